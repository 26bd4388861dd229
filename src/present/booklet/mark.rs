//! What stands on a page: shapes, words and pictures in millimetres from its top left corner.
//!
//! Sections put marks down; `pdf` and `svg` turn them into files. For drawing only: nothing is
//! decided by these numbers.

/// A colour as red, green and blue.
pub(crate) type Ink = [u8; 3];

/// The ink of text and outlines.
pub(crate) const BLACK: Ink = [0, 0, 0];
/// The ink of what matters less; dark enough to read in print.
pub(crate) const GREY: Ink = [90, 90, 90];
/// Paper.
pub(crate) const WHITE: Ink = [255, 255, 255];

/// A rectangle: left, top, width and height in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) w: f64,
    pub(crate) h: f64,
}

impl Frame {
    pub(crate) const fn new(x: f64, y: f64, w: f64, h: f64) -> Self {
        Self { x, y, w, h }
    }

    /// Moved right and down.
    pub(crate) fn moved(self, x: f64, y: f64) -> Self {
        Self { x: self.x + x, y: self.y + y, ..self }
    }
}

/// An outline.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    Rect(Frame),
    Ellipse(Frame),
    Polygon(Vec<(f64, f64)>),
    Line((f64, f64), (f64, f64)),
}

/// How an outline is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Look {
    pub(crate) fill: Option<Ink>,
    /// From 0 to 1.
    pub(crate) opacity: f32,
    /// Ink and width in millimetres.
    pub(crate) line: Option<(Ink, f64)>,
    pub(crate) dashed: bool,
}

impl Look {
    pub(crate) const fn filled(ink: Ink) -> Self {
        Self { fill: Some(ink), opacity: 1.0, line: None, dashed: false }
    }

    pub(crate) const fn lined(ink: Ink, width: f64) -> Self {
        Self { fill: None, opacity: 1.0, line: Some((ink, width)), dashed: false }
    }

    pub(crate) const fn dashed(self) -> Self {
        Self { dashed: true, ..self }
    }

    pub(crate) const fn faint(self, opacity: f32) -> Self {
        Self { opacity, ..self }
    }
}

/// What a part of a page is, for those who do not see it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Tag {
    /// A heading of level 1 to 3.
    Heading(u16),
    Paragraph,
    /// A drawing, and what it shows.
    Figure(String),
    /// What is on every page.
    Footer,
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Words {
    pub(crate) text: String,
    /// Where its baseline begins.
    pub(crate) at: (f64, f64),
    /// The size of the type, in millimetres.
    pub(crate) size: f64,
    pub(crate) bold: bool,
    pub(crate) ink: Ink,
}

/// A picture of the list that goes with the pages, stretched over a rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Placed {
    pub(crate) picture: usize,
    /// Where the picture's top left corner comes to lie.
    pub(crate) at: (f64, f64),
    /// Width and height before it is turned.
    pub(crate) size: (f64, f64),
    /// Turned a quarter clockwise about that corner.
    pub(crate) turned: bool,
    /// From 0 to 1.
    pub(crate) opacity: f32,
}

/// A thing on a page, or the beginning or end of what belongs together.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Mark {
    Shape(Shape, Look),
    Words(Words),
    Picture(Placed),
    /// Only what lies within is seen, until [`Mark::Unclip`].
    Clip(Shape),
    Unclip,
    Begin(Tag),
    End,
}

/// A page and its marks, in the order in which they are drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Page {
    pub(crate) marks: Vec<Mark>,
}
