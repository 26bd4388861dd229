//! Step 2, *index what is on hand*: a stash whose swatches are known in; faces and the stock that
//! shows them out, in an order that never changes.
//!
//! Faces are what scorers judge: a paper's front, its back, a cardstock, an image. Stock is what
//! is cut: equal lines are merged, ages are counted from the day given. Nothing here judges.

mod build;
mod fit;

pub use build::{PLENTY, build};
pub use fit::{PieceNeed, blank, fits_on};

use crate::stash::{Facing, Grain, LineKind};
use api::units::Length;
use api::{Directional, Material, PaperView, Role};
use smallvec::SmallVec;
use std::collections::BTreeMap;

/// A place in [`Index::faces`]; faces are in the order of their ids, so this orders ties.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaceId(pub u32);

/// A place in [`Index::stock`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StockId(pub u32);

impl FaceId {
    /// Its place in the list.
    #[must_use]
    pub const fn place(self) -> usize {
        self.0 as usize
    }
}

impl StockId {
    /// Its place in the list.
    #[must_use]
    pub const fn place(self) -> usize {
        self.0 as usize
    }
}

/// Which of the lists a face is in: pairs are tabled list by list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// Patterned papers.
    Patterned,
    /// Everything of one colour: cardstock, kraft, vellum, glitter.
    Plain,
    /// Images.
    Image,
}

/// The number of classes.
pub const CLASSES: usize = 3;

/// What a face is a face of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// A paper, as a place in the stash's papers.
    Paper(usize),
    /// An image, as a place in the stash's images.
    Image(usize),
    /// A plain white card base that nobody listed, since every card needs one.
    AssumedBase,
}

/// One face one can see.
#[derive(Clone, Debug)]
pub struct Face {
    /// Its id.
    pub id: String,
    /// What scorers see of it.
    pub view: PaperView,
    /// What it is a face of.
    pub source: Source,
    /// Its list.
    pub class: Class,
    /// Its place in its list.
    pub place_in_class: usize,
    /// The stock that shows it.
    pub stock: Vec<StockId>,
    /// Faces with the same number share stock, as the two sides of a sheet do.
    pub supply: u32,
    /// Which way an image looks.
    pub facing: Facing,
}

impl Face {
    /// Whether a piece of it may be cut turned a quarter.
    #[must_use]
    pub fn may_turn(&self) -> bool {
        self.view.pattern.directional == Directional::No
    }
}

/// Equal pieces of stock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stock {
    /// The lines merged here, in the order of their ids; the first stands for all.
    pub lines: SmallVec<[StockLine; 1]>,
    /// What it is.
    pub kind: StockKind,
    /// Its width, the pattern the right way up.
    pub width: Length,
    /// Its height, the pattern the right way up.
    pub height: Length,
    /// How many there are in all.
    pub count: u32,
    /// The face that is up.
    pub front: FaceId,
    /// The other face, where it can be used too.
    pub back: Option<FaceId>,
    /// Days since it came into the house.
    pub age_days: Option<u32>,
    /// How thick and heavy it is and which way its fibres run, as far as somebody entered it.
    pub body: Body,
}

/// A line of the stash that is merged into a piece of stock: most stand alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StockLine {
    /// Its id.
    pub id: String,
    /// How many pieces it has.
    pub count: u32,
}

/// What was entered of how a paper is made; of merged lines, what the first that says it says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Body {
    /// How thick it is.
    pub thickness: Option<Length>,
    /// Grams per square metre.
    pub grammage: Option<u32>,
    /// Which way its fibres run.
    pub grain: Option<Grain>,
}

impl Stock {
    /// The id that stands for it.
    #[must_use]
    pub fn id(&self) -> &str {
        self.lines.first().map_or("", |line| &line.id)
    }

    /// The ids of all lines merged here, in their order.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.lines.iter().map(|line| line.id.as_str())
    }
}

/// What a piece of stock is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StockKind {
    /// Something to cut.
    Cuttable(LineKind),
    /// A folded blank, ready made.
    CardBase,
    /// An image, ready made: used whole.
    Image,
}

/// Everything on hand, in the order of ids.
#[derive(Clone, Debug, Default)]
pub struct Index {
    /// Every face, in the order of ids.
    pub faces: Vec<Face>,
    /// Ids of papers that show the very picture of another, with the face that stands for both.
    pub same_prints: BTreeMap<String, FaceId>,
    /// All stock, in the order of ids.
    pub stock: Vec<Stock>,
    /// The faces of each class, in the order of ids.
    pub classes: [Vec<FaceId>; CLASSES],
    /// Stock to cut, smallest area first, then the oldest, then in the order of ids.
    pub smallest_first: Vec<StockId>,
    /// Sides of patterned papers set down to the ruler, longest first, each once.
    pub sides: Vec<Length>,
}

impl Index {
    /// The face at a place.
    #[must_use]
    pub fn face(&self, face: FaceId) -> &Face {
        &self.faces[face.place()]
    }

    /// The stock at a place.
    #[must_use]
    pub fn stock(&self, stock: StockId) -> &Stock {
        &self.stock[stock.place()]
    }

    /// The faces of a class.
    #[must_use]
    pub fn class(&self, class: Class) -> &[FaceId] {
        &self.classes[class as usize]
    }

    /// The face with an id, or the face that stands for a paper with that id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<FaceId> {
        let own = self.faces.binary_search_by(|face| face.id.as_str().cmp(id)).ok();
        own.and_then(|place| u32::try_from(place).ok()).map(FaceId).or_else(|| self.same_prints.get(id).copied())
    }
}

/// The class a material belongs to.
#[must_use]
pub fn class_of(material: Material) -> Class {
    match material {
        Material::Patterned => Class::Patterned,
        Material::Image => Class::Image,
        _ => Class::Plain,
    }
}

/// Whether a role is the folded blank, which is cut differently from all else.
#[must_use]
pub fn is_base(role: Role) -> bool {
    role == Role::Base
}

/// Whether nothing can be seen through a material.
#[must_use]
pub fn is_opaque(material: Material) -> bool {
    material != Material::Vellum
}
