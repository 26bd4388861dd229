//! One change a maker would make to a layout, and the words for it.

use crate::stash::settings::ChangeKind;
use api::units::{Length, Size};

/// Across the card or down it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Axis {
    /// The width.
    Width,
    /// The height.
    Height,
}

impl Axis {
    /// The side of `size` that runs along it.
    #[must_use]
    pub fn of(self, size: Size) -> Length {
        match self {
            Self::Width => size.width,
            Self::Height => size.height,
        }
    }

    /// "width" or "height".
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Width => "width",
            Self::Height => "height",
        }
    }
}

/// One change to a layout. `panel` is a place in the layout's list of panels.
///
/// The order of the kinds is the order in which changes are made: the card first, then the whole
/// layout, then single panels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Change {
    /// Made for a card of another size.
    CardSize {
        /// The size as drawn.
        from: Size,
        /// The size now.
        to: Size,
    },
    /// The whole layout turned a quarter clockwise.
    Turn,
    /// The whole layout mirrored left to right.
    Mirror,
    /// The border round the front.
    Border {
        /// As drawn.
        from: Length,
        /// Now.
        to: Length,
    },
    /// Plain cardstock for a patterned ground.
    PlainGround {
        /// The ground.
        panel: usize,
    },
    /// A quiet plain shape slipped beneath an image.
    QuietShape {
        /// The image's panel.
        panel: usize,
        /// How far the shape reaches beyond the image's place.
        edge: Length,
    },
    /// One mat's edge shows wider or narrower; the panel on it gives or takes.
    Reveal {
        /// The panel.
        panel: usize,
        /// Which of its mats, nearest first.
        mat: usize,
        /// As drawn.
        from: Length,
        /// Now.
        to: Length,
    },
    /// A mat more behind a panel; the panel gives way.
    SlipMat {
        /// The panel.
        panel: usize,
        /// How much of the mat shows.
        reveal: Length,
    },
    /// A panel's side cut to what the paper gives.
    ResizeToPaper {
        /// The panel.
        panel: usize,
        /// Which side.
        axis: Axis,
        /// As drawn.
        from: Length,
        /// Now.
        to: Length,
    },
    /// An image's panel, and what it lies on, made large enough for the image.
    ResizeToImage {
        /// The image's panel.
        panel: usize,
        /// As drawn.
        from: Size,
        /// Now.
        to: Size,
    },
    /// A panel built from equal strips with even gaps.
    Strips {
        /// The panel.
        panel: usize,
        /// The side that is divided.
        axis: Axis,
        /// How many strips.
        count: u32,
        /// The gap between two.
        gap: Length,
    },
    /// A panel of which nothing shows left out.
    LeaveOut {
        /// The panel.
        panel: usize,
    },
    /// Only those parts of a panel cut that show.
    EndsOnly {
        /// The panel.
        panel: usize,
        /// The side that is divided.
        axis: Axis,
        /// How far each piece runs beneath what covers the rest, at least.
        margin: Length,
    },
    /// A panel pieced together with its seam hidden.
    Join {
        /// The panel.
        panel: usize,
        /// The side that is divided.
        axis: Axis,
        /// Where the seam lies, from the panel's left or top; `None` is one in every hidden part.
        at: Option<Length>,
        /// How far each seam keeps from the edge of what covers it, at least.
        margin: Length,
    },
}

impl Change {
    /// What kind of change it is, for its cost.
    #[must_use]
    pub const fn kind(&self) -> ChangeKind {
        match self {
            Self::CardSize { .. } => ChangeKind::CardSize,
            Self::Turn => ChangeKind::Turn,
            Self::Mirror => ChangeKind::Mirror,
            Self::Border { .. } => ChangeKind::Border,
            Self::PlainGround { .. } => ChangeKind::PlainGround,
            Self::QuietShape { .. } => ChangeKind::QuietShape,
            Self::Reveal { .. } => ChangeKind::Reveal,
            Self::SlipMat { .. } => ChangeKind::SlipMat,
            Self::ResizeToPaper { .. } => ChangeKind::ResizeToPaper,
            Self::ResizeToImage { .. } => ChangeKind::ResizeToImage,
            Self::Strips { .. } => ChangeKind::Strips,
            Self::LeaveOut { .. } => ChangeKind::LeaveOut,
            Self::EndsOnly { .. } => ChangeKind::EndsOnly,
            Self::Join { .. } => ChangeKind::Join,
        }
    }

    /// The panel it is made to; `None` for changes to the whole card.
    #[must_use]
    pub const fn panel(&self) -> Option<usize> {
        match *self {
            Self::CardSize { .. } | Self::Turn | Self::Mirror | Self::Border { .. } => None,
            Self::PlainGround { panel }
            | Self::QuietShape { panel, .. }
            | Self::Reveal { panel, .. }
            | Self::SlipMat { panel, .. }
            | Self::ResizeToPaper { panel, .. }
            | Self::ResizeToImage { panel, .. }
            | Self::Strips { panel, .. }
            | Self::LeaveOut { panel }
            | Self::EndsOnly { panel, .. }
            | Self::Join { panel, .. } => Some(panel),
        }
    }

    /// What it touches: two changes with the same key would undo one another, so a card has one.
    /// Keys also order the changes of a card, so that each set of changes is met once.
    #[must_use]
    pub const fn key(&self) -> (ChangeKind, usize, usize) {
        let detail = match *self {
            Self::Reveal { mat, .. } => mat,
            Self::ResizeToPaper { axis: Axis::Height, .. } => 1,
            _ => 0,
        };
        let panel = match self.panel() {
            Some(panel) => panel,
            None => 0,
        };
        (self.kind(), panel, detail)
    }
}
