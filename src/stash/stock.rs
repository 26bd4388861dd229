//! Papers, and the lines of stock they are cut from.

use super::Date;
use api::units::{Length, Size};
use api::{Directional, Finish, Material, PatternKind, Share, Swatch};
use std::path::PathBuf;

/// A place in [`super::Stash::papers`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PaperId(pub u32);

/// A place in [`super::Stash::lines`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LineId(pub u32);

/// Which way a picture looks, so that it can look into the card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Facing {
    /// Neither way, or straight out.
    #[default]
    Ahead,
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// How many are on hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Copies {
    /// So many and no more.
    Exactly(u32),
    /// As many as anyone wants: a stamp, a pen.
    Plenty,
}

/// Which side of a sheet its fibres run along.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grain {
    /// Along the height.
    AlongHeight,
    /// Along the width.
    AlongWidth,
}

/// Where a paper's colours come from.
#[derive(Clone, Debug, PartialEq)]
pub enum Colours {
    /// Entered by hand, largest share first.
    Entered(Vec<Swatch>),
    /// To be measured from this picture.
    FromPicture,
}

/// What the maker wrote of a pattern; what is `None` is measured, or else assumed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PatternEntry {
    /// What it is made of.
    pub kind: Option<PatternKind>,
    /// How busy it is.
    pub busyness: Option<Share>,
    /// After what distance it repeats.
    pub repeat: Option<Length>,
    /// Which turns change it.
    pub directional: Option<Directional>,
}

/// One face one can see: a design's front, its back, a cardstock's side.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// Its id: `harbour-dusk/03`, `harbour-dusk/03/back`, `navy`.
    pub id: String,
    /// What she calls it.
    pub name: String,
    /// What it is.
    pub material: Material,
    /// How its surface takes the light.
    pub finish: Finish,
    /// Its colours.
    pub colours: Colours,
    /// Its pattern.
    pub pattern: PatternEntry,
    /// Its picture, relative to the stash folder.
    pub picture: Option<PathBuf>,
    /// The width and height of paper the picture shows: a whole sheet unless she said otherwise.
    pub picture_of: Option<(Length, Length)>,
    /// The id of its pad, where it came in one.
    pub pad: Option<String>,
}

/// What a line of stock is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineKind {
    /// Full sheets, from a pad or single.
    Sheet,
    /// A piece left over from earlier work.
    Scrap,
    /// Folded blanks, ready made; width and height are those of the card's front.
    CardBase,
}

/// A number of equal pieces of stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its id, short enough to pencil on the back.
    pub id: String,
    /// What it is.
    pub kind: LineKind,
    /// The face that is up.
    pub front: PaperId,
    /// The other face, where it can be used too.
    pub back: Option<PaperId>,
    /// Its width, with the pattern the right way up.
    pub width: Length,
    /// Its height, with the pattern the right way up.
    pub height: Length,
    /// How many there are.
    pub count: u32,
    /// When it came into the house, or was left over.
    pub added: Option<Date>,
    /// Which way its fibres run.
    pub grain: Option<Grain>,
    /// Its weight in whole grams per square metre.
    pub grams_per_square_metre: Option<u32>,
    /// Its thickness.
    pub thickness: Option<Length>,
    /// The fields nobody entered, by their key in the file: they hold defaults, marked as assumed.
    pub assumed: Vec<&'static str>,
}

impl Line {
    /// Its width and height.
    #[must_use]
    pub const fn size(&self) -> Size {
        Size::new(self.width, self.height)
    }
}
