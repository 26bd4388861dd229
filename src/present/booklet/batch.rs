//! A plan as its file has it: the text of `plan --json` in; what a booklet or a write-up tells of it
//! out, or why it cannot be printed.
//!
//! The file is read as anybody might have written it: sheets are checked as for `made`, lengths and
//! counts are bounded.

use crate::record::{PlanFile, Refused};
use api::units::{Length, Size, Unit};
use serde::{Deserialize, Deserializer};
use serde_json::value::RawValue;

/// The most sheets, cards, and things on one of them, that are printed.
const MOST: usize = 2_000;
/// The longest length that is believed: 10 m.
const LONGEST: Length = Length::micrometres(10_000_000);

/// A length of the file, in millimetres there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Mm(pub(crate) Length);

impl<'de> Deserialize<'de> for Mm {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        use serde::de::Error;
        let raw = Box::<RawValue>::deserialize(deserializer)?;
        let length = Length::parse_signed(raw.get(), Unit::Millimetre)
            .map_err(|why| D::Error::custom(format!("`{}` is no length in millimetres: {why}", raw.get())))?;
        if length > LONGEST || length < -LONGEST {
            return Err(D::Error::custom(format!("`{}` mm is longer than any paper", raw.get())));
        }
        Ok(Self(length))
    }
}

impl Mm {
    /// Millimetres, for drawing.
    pub(crate) fn mm(self) -> f64 {
        self.0.millimetres_for_drawing()
    }
}

/// A whole plan.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Batch {
    format: u32,
    pub(crate) stash: StashOf,
    pub(crate) today: String,
    pub(crate) made: u32,
    pub(crate) cards: Vec<Cards>,
    pub(crate) sheets: Vec<Sheet>,
    pub(crate) guide_settings: Vec<Mm>,
    pub(crate) offcuts: Vec<Offcut>,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct StashOf {
    pub(crate) id: String,
    pub(crate) name: String,
}

/// A design and how many of it.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Cards {
    pub(crate) suggestion: Card,
    pub(crate) count: u32,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Card {
    pub(crate) id: String,
    pub(crate) layout: String,
    pub(crate) layout_name: String,
    pub(crate) card: CardSize,
    pub(crate) changes: Vec<Changed>,
    pub(crate) layers: Vec<Layer>,
    pub(crate) thickness: Mm,
    #[serde(default)]
    pub(crate) thickness_estimated: bool,
    pub(crate) weight: f64,
    #[serde(default)]
    pub(crate) weight_estimated: bool,
    pub(crate) envelopes: Vec<Envelope>,
    pub(crate) post: Vec<Post>,
    pub(crate) steps: Vec<Step>,
    #[serde(default)]
    pub(crate) dots: Option<Dots>,
    #[serde(default)]
    pub(crate) notes: Vec<String>,
}

/// Finishing dots of one card.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Dots {
    pub(crate) stock: String,
    pub(crate) name: String,
    pub(crate) colour: String,
    pub(crate) diameter: Mm,
    pub(crate) count: u32,
    pub(crate) middles: Vec<[Mm; 2]>,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct CardSize {
    pub(crate) size: String,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Changed {
    pub(crate) text: String,
    #[serde(default)]
    pub(crate) why: String,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Colour {
    pub(crate) hex: String,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Layer {
    pub(crate) panel: String,
    pub(crate) role: String,
    pub(crate) material: String,
    pub(crate) paper: String,
    pub(crate) name: String,
    #[serde(default)]
    pub(crate) colours: Vec<Colour>,
    pub(crate) shape: String,
    #[serde(default)]
    pub(crate) outline: Vec<[Mm; 2]>,
    pub(crate) x: Mm,
    pub(crate) y: Mm,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
    #[serde(default)]
    pub(crate) carries_words: bool,
    #[serde(default)]
    pub(crate) sentiments: Vec<String>,
    #[serde(default)]
    pub(crate) trimmed_flush: bool,
    #[serde(default)]
    pub(crate) levelling: Vec<Level>,
    #[serde(default)]
    pub(crate) foam: Option<Foam>,
    #[serde(default)]
    pub(crate) die: Option<String>,
    #[serde(default)]
    pub(crate) pieces: Vec<Piece>,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Level {
    pub(crate) width: Mm,
    pub(crate) height: Mm,
    pub(crate) plies: u32,
    pub(crate) of: String,
    pub(crate) from: String,
    /// On so many cards, where not on all.
    #[serde(default)]
    pub(crate) hollow_copies: Option<u32>,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Foam {
    pub(crate) squares: u32,
    pub(crate) tape: Mm,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Piece {
    pub(crate) x: Mm,
    pub(crate) y: Mm,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
    pub(crate) turned: bool,
    pub(crate) from: String,
    pub(crate) made: String,
    pub(crate) cut_width: Mm,
    pub(crate) cut_height: Mm,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Envelope {
    pub(crate) name: String,
    pub(crate) fit: String,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Post {
    pub(crate) profile: String,
    pub(crate) class: String,
    pub(crate) why: Vec<String>,
    pub(crate) as_of: String,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Step {
    pub(crate) text: String,
    #[serde(default)]
    pub(crate) cautions: Vec<String>,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Sheet {
    pub(crate) stock: String,
    pub(crate) paper: String,
    pub(crate) copies: u32,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
    /// What it is the middle of, where it is cut out of a piece.
    #[serde(default)]
    pub(crate) middle_of: Option<MiddleOf>,
    pub(crate) placements: Vec<Placed>,
    pub(crate) cuts: Vec<Cut>,
    pub(crate) offcuts: Vec<Rest>,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Placed {
    pub(crate) card: String,
    pub(crate) layer: String,
    pub(crate) x: Mm,
    pub(crate) y: Mm,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
    pub(crate) turned: bool,
    #[serde(default)]
    pub(crate) hollow: Option<Hollow>,
}

/// What a sheet is the middle of.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct MiddleOf {}

/// Where the middle of a piece is cut out.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Hollow {
    pub(crate) x: Mm,
    pub(crate) y: Mm,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
    pub(crate) copies: u32,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Place {
    pub(crate) x: Mm,
    pub(crate) y: Mm,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Cut {
    pub(crate) number: u32,
    pub(crate) part: u32,
    pub(crate) makes: [u32; 2],
    pub(crate) of: Place,
    pub(crate) axis: String,
    pub(crate) position: Mm,
    pub(crate) guide: Mm,
    pub(crate) held: String,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Rest {
    pub(crate) id: String,
    pub(crate) x: Mm,
    pub(crate) y: Mm,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Offcut {
    pub(crate) id: String,
    pub(crate) stock: String,
    pub(crate) width: Mm,
    pub(crate) height: Mm,
    pub(crate) count: u32,
    pub(crate) keep: bool,
}

impl Batch {
    /// Reads a plan.
    ///
    /// # Errors
    /// Where it is no plan, is of another version, or has more in it than any batch.
    pub(crate) fn read(text: &str) -> Result<Self, Refused> {
        let bad = |why: String| Refused::BadPlan { why };
        // The sheets and leftovers are checked there.
        PlanFile::read(text)?;
        let batch: Self = serde_json::from_str(text).map_err(|why| bad(why.to_string()))?;
        if batch.format != 1 {
            return Err(bad(format!("it is of format {}, and this Swatchfold prints 1", batch.format)));
        }
        let is_crowded = |count: usize| count > MOST;
        if is_crowded(batch.cards.len())
            || is_crowded(batch.sheets.len())
            || is_crowded(batch.guide_settings.len())
            || batch.sheets.iter().any(|sheet| is_crowded(sheet.placements.len()) || is_crowded(sheet.cuts.len()))
            || batch.cards.iter().any(|cards| cards.suggestion.is_crowded())
        {
            return Err(bad(format!("it has more than {MOST} of something: plan fewer cards at a time")));
        }
        for cards in &batch.cards {
            if let Some(why) = cards.suggestion.impossible() {
                return Err(bad(why));
            }
        }
        Ok(batch)
    }

    /// The first place on a sheet of this stock where a panel of a card is cut, if there is one.
    pub(crate) fn placed(&self, card: &str, panel: &str, stock: &str) -> Option<&Placed> {
        let sheets = self.sheets.iter().filter(|sheet| sheet.stock == stock);
        sheets.flat_map(|sheet| &sheet.placements).find(|placed| placed.card == card && placed.layer == panel)
    }
}

impl Card {
    fn is_crowded(&self) -> bool {
        let layer =
            |layer: &Layer| layer.pieces.len() > MOST || layer.outline.len() > MOST || layer.levelling.len() > MOST;
        let dots = self.dots.as_ref().is_some_and(|dots| dots.middles.len() > MOST);
        dots || self.layers.len() > MOST || self.steps.len() > MOST || self.layers.iter().any(layer)
    }

    /// What cannot be true of it.
    fn impossible(&self) -> Option<String> {
        let is_flat = |width: Mm, height: Mm| width.0 <= Length::ZERO || height.0 <= Length::ZERO;
        if is_flat(self.card.width, self.card.height) {
            return Some(format!("the card `{}` has no size", self.id));
        }
        if let Some(dots) = self.dots.as_ref().filter(|dots| is_flat(dots.diameter, dots.diameter)) {
            return Some(format!("the dots `{}` of the card `{}` have no size", dots.stock, self.id));
        }
        let layer = self.layers.iter().find(|layer| {
            is_flat(layer.width, layer.height) || layer.pieces.iter().any(|piece| is_flat(piece.width, piece.height))
        })?;
        Some(format!("the panel `{}` of the card `{}` has no size", layer.panel, self.id))
    }
}

/// A size of the file.
pub(crate) fn size(width: Mm, height: Mm) -> Size {
    Size::new(width.0, height.0)
}
