//! What a scorer may see: papers, pieces and cards, made by the host and read-only.

use crate::Share;
use palette::white_point::D65;
use units::{Area, Length};

/// A colour as all comparison sees it: CIELAB with the D65 white, 2 degree observer.
pub type Colour = palette::Lab<D65, f64>;

/// One of a paper's colours and how much of the paper it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swatch {
    /// The colour.
    pub colour: Colour,
    /// Its share of the paper's area; the shares of a paper add up to one.
    pub share: Share,
}

/// What a stock is, as far as choosing goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Material {
    /// Printed with a pattern.
    Patterned,
    /// Plain stock of one colour.
    Cardstock,
    /// Translucent: hides nothing.
    Vellum,
    /// Covered in glitter; its colour is only roughly known.
    Glitter,
    /// Unbleached brown stock.
    Kraft,
    /// A printed or stamped picture, already made.
    Image,
}

/// How a stock's surface takes the light.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Finish {
    /// Even and matt.
    #[default]
    Smooth,
    /// Embossed or woven to the touch.
    Textured,
    /// A soft sheen.
    Pearl,
    /// Mirror or foil.
    Metallic,
    /// Glittered.
    Glitter,
}

/// An ink, a pen or a paint on hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Ink {
    /// What the maker calls it.
    pub name: String,
    /// Its colour as it dries on white paper.
    pub colour: Colour,
}

/// What the pattern is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum PatternKind {
    /// One colour, no pattern.
    #[default]
    Solid,
    /// Shades of one hue, quiet at arm's length.
    Tonal,
    /// Stripes.
    Stripe,
    /// Dots.
    Dot,
    /// Checks, plaids and ginghams.
    Check,
    /// Many small motifs scattered over the paper.
    Scattered,
    /// Few large motifs.
    BigMotif,
}

/// Which turns change how a pattern looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Directional {
    /// Looks right whichever way it lies.
    #[default]
    No,
    /// Looks wrong after a quarter turn, right after a half turn: stripes.
    QuarterTurn,
    /// Has a right way up.
    OneWay,
}

/// What is known of a pattern, measured or entered by hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Pattern {
    /// What it is made of.
    pub kind: PatternKind,
    /// How much is going on: 0 for a solid, 1 for the busiest of prints.
    pub busyness: Share,
    /// The distance after which it repeats, where it does and that is known.
    pub repeat: Option<Length>,
    /// Which turns change it.
    pub directional: Directional,
}

/// One face of a paper.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct PaperView {
    /// What the maker calls it.
    pub name: String,
    /// Its colours, largest share first; at least one.
    pub swatches: Vec<Swatch>,
    /// Its pattern.
    pub pattern: Pattern,
    /// What it is.
    pub material: Material,
    /// How its surface takes the light.
    pub finish: Finish,
    /// Which pad it came in, as a number that only tells pads apart; `None` if it came in none.
    pub pad: Option<u32>,
}

impl PaperView {
    /// A face of one plain colour, to which the other fields are then set.
    #[must_use]
    pub fn plain(name: impl Into<String>, colour: Colour) -> Self {
        Self {
            name: name.into(),
            swatches: vec![Swatch { colour, share: Share::ONE }],
            pattern: Pattern::default(),
            material: Material::Cardstock,
            finish: Finish::Smooth,
            pad: None,
        }
    }

    /// The colour with the largest share.
    #[must_use]
    pub fn main_colour(&self) -> Colour {
        self.swatches.first().map_or(Colour::new(100.0, 0.0, 0.0), |swatch| swatch.colour)
    }
}

/// What a panel is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Role {
    /// The folded blank everything lies on.
    Base,
    /// The ground that covers most of the front.
    Background,
    /// A strip across or down the card.
    Band,
    /// A large panel that carries something.
    Feature,
    /// What the eye goes to.
    Focal,
    /// Carries the words.
    Sentiment,
    /// Shows as an even edge round a panel.
    Mat,
    /// One of the die-cut parts an image is built from.
    Part,
}

/// One piece in its place, and the stock it would be cut from.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct PieceView<'a> {
    /// The face that shows.
    pub paper: &'a PaperView,
    /// What the piece is for.
    pub role: Role,
    /// The piece's width on the card.
    pub width: Length,
    /// The piece's height on the card.
    pub height: Length,
    /// The stock it would be cut from: its width.
    pub stock_width: Length,
    /// The stock it would be cut from: its height.
    pub stock_height: Length,
    /// How many copies of that stock are on hand.
    pub stock_count: u32,
    /// Whether that stock is a scrap, left over from earlier work.
    pub is_scrap: bool,
    /// Days since the stock came into the house; `None` if nobody wrote it down.
    pub age_days: Option<u32>,
}

impl<'a> PieceView<'a> {
    /// A piece as large as the sheet it is cut from, to which the other fields are then set.
    #[must_use]
    pub fn whole_sheet(paper: &'a PaperView, role: Role, width: Length, height: Length) -> Self {
        Self {
            paper,
            role,
            width,
            height,
            stock_width: width,
            stock_height: height,
            stock_count: 1,
            is_scrap: false,
            age_days: None,
        }
    }

    /// The area of the piece.
    #[must_use]
    pub fn area(&self) -> Area {
        self.width * self.height
    }
}

/// How two pieces of a card stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Relation {
    /// The first lies on the second, which is its mat.
    MatBehind,
    /// The first lies on the second, and both show.
    Touching,
    /// Both are patterned and on one card.
    SameCard,
}

/// A finished card.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct CardView<'a> {
    /// Its pieces, bottom first.
    pub pieces: &'a [PieceView<'a>],
    /// Which pieces meet, as places in `pieces`.
    pub relations: &'a [(Relation, usize, usize)],
}

impl<'a> CardView<'a> {
    /// A card from its pieces, bottom first, and their relations.
    #[must_use]
    pub const fn new(pieces: &'a [PieceView<'a>], relations: &'a [(Relation, usize, usize)]) -> Self {
        Self { pieces, relations }
    }
}
