//! What goes on cards besides paper: dies, sentiments, images; and the layouts as drawn.

use super::stock::{Copies, Facing};
use crate::problem::Place;
use api::units::{Length, Size};
use api::{Material, Role, Swatch};
use std::path::PathBuf;

/// The outline a die cuts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DieOutline {
    /// A rectangle.
    Rectangle,
    /// A circle or an oval.
    Ellipse,
    /// Corner points in thousandths of its width and height, from the top left, clockwise.
    Polygon(Vec<(i32, i32)>),
}

/// A die she owns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Die {
    /// Its id.
    pub id: String,
    /// What she calls it.
    pub name: String,
    /// The size of what it cuts.
    pub size: Size,
    /// How much more paper it needs on each side.
    pub margin: Length,
    /// What it cuts.
    pub outline: DieOutline,
}

/// Words to stamp, or ready to stick on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sentiment {
    /// Its id.
    pub id: String,
    /// The words.
    pub words: String,
    /// The size of the inked words.
    pub size: Size,
    /// How many; a stamp is plenty.
    pub copies: Copies,
    /// What it is for; empty is for anything.
    pub occasions: Vec<String>,
}

/// What colour a part of an image may be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PartColour {
    /// Any plain stock.
    Any,
    /// A shade lighter than another part.
    LighterThan(String),
    /// A shade darker than another part.
    DarkerThan(String),
    /// The same stock as another part.
    SameAs(String),
    /// The same stock as the mat nearest beneath the image, or its panel where there is no mat.
    SameAsMat,
}

/// One die-cut part of an image.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImagePart {
    /// Its id within the image.
    pub id: String,
    /// The stock it needs, margin included.
    pub size: Size,
    /// What it may be cut from.
    pub takes: Vec<Material>,
    /// What colour it may be.
    pub colour: Vec<PartColour>,
    /// The part it is let into, flush, instead of lying on top.
    pub inlaid_in: Option<String>,
    /// Where its top left corner lies on the image, and its size there, in thousandths of the image.
    pub at: (i32, i32, i32, i32),
}

/// A picture to put on a card: printed, stamped, or built from die-cut parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Image {
    /// Its id.
    pub id: String,
    /// What she calls it.
    pub name: String,
    /// Its size.
    pub size: Size,
    /// How many; a stamp is plenty, and so is one built from parts.
    pub copies: Copies,
    /// Which way it looks.
    pub facing: Facing,
    /// Its colours, where entered; measured from the picture elsewhere.
    pub swatches: Vec<Swatch>,
    /// Its picture, relative to the stash folder.
    pub picture: Option<PathBuf>,
    /// The parts it is built from; empty where it comes whole.
    pub parts: Vec<ImagePart>,
    /// What it is for; empty is for anything.
    pub occasions: Vec<String>,
}

/// Where an edge sits: a share of the card, and a fixed length added to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Edge {
    /// Hundred-thousandths of the card's width (or height), so `33.333 %` is 33,333.
    pub share: i64,
    /// Added to that; negative is towards the left or the top.
    pub offset: Length,
}

/// The outline of a panel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shape {
    /// A rectangle.
    #[default]
    Rectangle,
    /// A circle or an oval that fills its rectangle.
    Ellipse,
    /// A banner whose right end has a notch cut into it.
    BannerRight,
    /// A banner whose left end has a notch cut into it.
    BannerLeft,
    /// A banner whose upper end has a notch cut into it.
    BannerUp,
    /// A banner whose lower end has a notch cut into it.
    BannerDown,
    /// Whatever the largest die she owns that fits cuts.
    Die,
}

/// What a panel may be made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Takes {
    /// Paper or cardstock of one of these materials.
    Stock(Vec<Material>),
    /// An image: it lies in the middle of the panel's rectangle.
    Image,
}

/// One panel as drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelSketch {
    /// Its id within the layout.
    pub id: String,
    /// What it is for.
    pub role: Role,
    /// The ids of the panels it lies on; empty is the card base.
    pub on: Vec<String>,
    /// Its left edge.
    pub left: Edge,
    /// Its right edge.
    pub right: Edge,
    /// Its top edge.
    pub top: Edge,
    /// Its bottom edge.
    pub bottom: Edge,
    /// Its outline.
    pub shape: Shape,
    /// The reveals of the mats behind it, nearest first.
    pub mats: Vec<Length>,
    /// What it may be made of.
    pub takes: Takes,
    /// The panel whose paper it must be, too.
    pub same_as: Option<String>,
    /// Panels whose paper it must not be.
    pub differs_from: Vec<String>,
    /// Whether it is raised on foam.
    pub raised: bool,
    /// Whether it carries words.
    pub holds_sentiment: bool,
    /// Where in the file it stands.
    pub place: Place,
}

/// A card sketch as drawn, before it is checked as a graph.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LayoutSketch {
    /// Its id.
    pub id: String,
    /// What she calls it.
    pub name: String,
    /// The size of the card's front, as drawn.
    pub card: Size,
    /// Whom to thank for it.
    pub credit: Option<String>,
    /// Where it is from.
    pub link: Option<String>,
    /// What it is for; empty is for anything.
    pub occasions: Vec<String>,
    /// Its panels, in the order of the file.
    pub panels: Vec<PanelSketch>,
    /// Where in the file it stands.
    pub place: Place,
}
