//! Step 7, what the planner answers: each sheet as a tree of edge-to-edge cuts.
//!
//! Every part carries its own place and size, so that a reader (and the checker) need not work them
//! out. Origin at the sheet's top left, x to the right, y down.

use crate::cut::{PieceIndex, StockIndex};
use units::Length;

/// The line a cut runs along.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Axis {
    /// At one x, from top to bottom: the trimmer's guide is set to a width.
    X,
    /// At one y, from left to right: the trimmer's guide is set to a height.
    Y,
}

/// One of the two parts a cut makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Left of the cut, or above it.
    Near,
    /// Right of the cut, or below it.
    Far,
}

/// Whether a piece was turned a quarter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Turned {
    /// As drawn.
    No,
    /// A quarter turn.
    Quarter,
}

/// A rectangle of a sheet, and what becomes of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Left edge, from the sheet's left edge.
    pub x: Length,
    /// Top edge, from the sheet's top edge.
    pub y: Length,
    /// Size from left to right.
    pub width: Length,
    /// Size from top to bottom.
    pub height: Length,
    /// What becomes of it.
    pub becomes: Becomes,
}

/// What becomes of a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Becomes {
    /// A finished piece.
    Piece {
        /// Which.
        piece: PieceIndex,
        /// Turned or not.
        turned: Turned,
    },
    /// A leftover, back to the stash.
    Offcut,
    /// It is cut in two.
    Cut(Box<Cut>),
}

/// One cut, edge to edge through its part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// The direction.
    pub axis: Axis,
    /// Its place, from the sheet's left edge ([`Axis::X`]) or top edge ([`Axis::Y`]).
    pub at: Length,
    /// The side the hand holds.
    pub held: Side,
    /// The part left of it or above it.
    pub near: Part,
    /// The part right of it or below it.
    pub far: Part,
}

/// Sheets of one stock line that are cut alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutSheet {
    /// The stock line.
    pub stock: StockIndex,
    /// How many sheets are cut this way.
    pub copies: u32,
    /// The sheet without its trims.
    pub root: Part,
}

/// A plan: which sheets are cut, and how.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// The sheets, in the order they are cut.
    pub sheets: Vec<CutSheet>,
    /// Pieces that were asked for and are not cut, with how many.
    pub unplaced: Vec<(PieceIndex, u32)>,
}

impl Cut {
    /// What the trimmer's guide is set to: the width ([`Axis::X`]) or height of the part left of the
    /// cut or above it.
    #[must_use]
    pub fn guide(&self) -> Length {
        match self.axis {
            Axis::X => self.near.width,
            Axis::Y => self.near.height,
        }
    }
}

impl Part {
    /// All parts that are not cut further, left to right and top to bottom within each cut.
    #[must_use]
    pub fn leaves(&self) -> Vec<&Self> {
        let mut found = Vec::new();
        let mut waiting = vec![self];
        while let Some(part) = waiting.pop() {
            match &part.becomes {
                Becomes::Cut(cut) => waiting.extend([&cut.far, &cut.near]),
                Becomes::Piece { .. } | Becomes::Offcut => found.push(part),
            }
        }
        found
    }
}

impl Plan {
    /// How many copies of `piece` it cuts.
    #[must_use]
    pub fn copies_of(&self, piece: PieceIndex) -> u64 {
        let on = |sheet: &CutSheet| {
            let cut = |part: &&Part| matches!(part.becomes, Becomes::Piece { piece: p, .. } if p == piece);
            u64::from(sheet.copies) * sheet.root.leaves().into_iter().filter(cut).count() as u64
        };
        self.sheets.iter().map(on).sum()
    }

    /// How many copies of each of so many pieces it cuts.
    #[must_use]
    pub fn copies(&self, pieces: usize) -> Vec<u64> {
        let mut counts = vec![0u64; pieces];
        for sheet in &self.sheets {
            for leaf in sheet.root.leaves() {
                if let Becomes::Piece { piece, .. } = leaf.becomes
                    && let Some(count) = counts.get_mut(piece.0)
                {
                    *count += u64::from(sheet.copies);
                }
            }
        }
        counts
    }

    /// How many sheets it opens.
    #[must_use]
    pub fn sheets_used(&self) -> u64 {
        self.sheets.iter().map(|sheet| u64::from(sheet.copies)).sum()
    }
}
