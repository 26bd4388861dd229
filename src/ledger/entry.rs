//! One entry of the ledger: plain values, as they stand in the file.

use serde::{Deserialize, Serialize};
use units::Length;

/// What an entry records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// New stock, or more of what there was.
    Add,
    /// Stock used up without a plan.
    Used,
    /// Stock that is gone.
    Lost,
    /// Stock that turned up.
    Found,
    /// A count that holds from now on.
    Recount,
    /// Cards made from a plan: what was cut, what was kept.
    Made,
    /// Finished cards given away.
    Given,
    /// An earlier entry taken back.
    Undo,
}

impl What {
    /// Its word in the file and in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Add => "add",
            Self::Used => "used",
            Self::Lost => "lost",
            Self::Found => "found",
            Self::Recount => "recount",
            Self::Made => "made",
            Self::Given => "given",
            Self::Undo => "undo",
        }
    }
}

/// What a line of stock is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Full sheets.
    Sheet,
    /// Pieces left over.
    Scrap,
    /// Folded blanks; their size is that of the card's front.
    CardBase,
    /// Images.
    Image,
    /// Finishing dots; width and height are their diameter.
    Dots,
}

impl Kind {
    /// Its word in the file and in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Scrap => "scrap",
            Self::CardBase => "card-base",
            Self::Image => "image",
            Self::Dots => "dots",
        }
    }
}

/// So many more or fewer of a line of stock.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Change {
    /// The line's id.
    pub id: String,
    /// How many more; fewer where negative.
    pub by: i64,
    /// The fingerprint of the line in the stash's files, as it was then; empty for a line that only
    /// the ledger has.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub seen: String,
}

/// A line of stock that only the ledger has: something bought, found, or left over from a cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Piece {
    /// Its id, to be pencilled on the back.
    pub id: String,
    /// What it is.
    pub kind: Kind,
    /// The paper that is up.
    pub paper: String,
    /// The paper on its other side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub back: Option<String>,
    /// Its width in nanometres, the pattern upright.
    pub width_nm: i64,
    /// Its height in nanometres.
    pub height_nm: i64,
    /// How many there are.
    pub count: u32,
    /// The line it was cut from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parent: Option<String>,
}

impl Piece {
    /// A line of so many pieces of a paper.
    #[must_use]
    pub fn new(id: String, kind: Kind, paper: String, size: (Length, Length), count: u32) -> Self {
        let (width_nm, height_nm) = (size.0.nanometres(), size.1.nanometres());
        Self { id, kind, paper, back: None, width_nm, height_nm, count, parent: None }
    }

    /// Its width, the pattern upright.
    #[must_use]
    pub const fn width(&self) -> Length {
        Length::from_nanometres(self.width_nm)
    }

    /// Its height, the pattern upright.
    #[must_use]
    pub const fn height(&self) -> Length {
        Length::from_nanometres(self.height_nm)
    }
}

/// A paper that the stash's files do not know: plain, of one colour.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewPaper {
    /// Its id.
    pub id: String,
    /// What she calls it.
    pub name: String,
    /// What it is: `cardstock`, `kraft`, `vellum`, `glitter` or `patterned`.
    pub material: String,
    /// Its colour in sRGB, `#rrggbb`.
    pub colour: String,
}

/// Finished cards of one design.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CardsMade {
    /// Their id.
    pub id: String,
    /// The suggestion they were made from.
    pub suggestion: String,
    /// The name of its layout.
    pub name: String,
    /// What they are for; empty is for anything.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub occasions: Vec<String>,
    /// How many.
    pub count: u32,
}

/// What was cut from one line of stock.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cut {
    /// The line's id.
    pub stock: String,
    /// How many pieces of it were cut alike.
    pub copies: u32,
    /// The area of one of them in square millimetres, rounded down: what the report reckons with.
    pub area_mm2: u64,
    /// The paper.
    pub paper: String,
    /// What each gave.
    pub pieces: Vec<CutPiece>,
    /// Whether it is no sheet of the line but the middle cut out of a piece of it: then `area_mm2` is the
    /// middle's, and was counted with that piece already.
    #[serde(default, skip_serializing_if = "is_sheet")]
    pub middle: bool,
}

/// Whether a cut is of a sheet; what is no middle needs no word in the file.
#[allow(clippy::trivially_copy_pass_by_ref, reason = "the form that serde asks for")]
const fn is_sheet(middle: &bool) -> bool {
    !*middle
}

/// Equal pieces cut from one sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CutPiece {
    /// What it is for: a card's suggestion and the layer.
    pub piece: String,
    /// Its width in nanometres.
    pub width_nm: i64,
    /// Its height in nanometres.
    pub height_nm: i64,
    /// How many of it from each sheet.
    pub count: u32,
}

/// One entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// Its number, from 1.
    #[serde(rename = "entry")]
    pub number: u64,
    /// The day, such as `2026-03-01`. Days never run backwards.
    pub day: String,
    /// What it records.
    pub what: What,
    /// What there is more or less of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<Change>,
    /// Lines that are new.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pieces: Vec<Piece>,
    /// Papers that are new.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<NewPaper>,
    /// Cards that are finished.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cards: Vec<CardsMade>,
    /// Finished cards that are gone: their id and how many.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub given: Vec<(String, u32)>,
    /// What was cut.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cuts: Vec<Cut>,
    /// The entry it takes back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub undoes: Option<u64>,
    /// The plan it follows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plan: Option<String>,
    /// In a maker's words, if she left any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Entry {
    /// An entry with nothing in it yet; its number and day are set when it is written.
    #[must_use]
    pub fn of(what: What) -> Self {
        Self {
            number: 0,
            day: String::new(),
            what,
            changes: Vec::new(),
            pieces: Vec::new(),
            papers: Vec::new(),
            cards: Vec::new(),
            given: Vec::new(),
            cuts: Vec::new(),
            undoes: None,
            plan: None,
            note: None,
        }
    }
}
