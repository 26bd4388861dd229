//! Step 7, what is asked of the planner: stock, pieces, the trimmer's rules and the goal.
//!
//! Plain values made by whoever asks; nothing here plans or checks a plan.

use units::{Area, Length, Turn};

/// The place of a stock line in [`Problem::stock`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StockIndex(pub usize);

/// The place of a piece in [`Problem::pieces`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PieceIndex(pub usize);

/// What a copy of a piece is worth, or what a sheet costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Worth {
    /// As much as its area, in square nanometres.
    Area,
    /// A whole number in whatever unit the asker counts in.
    Exactly(u64),
}

impl Worth {
    /// The worth as one number, for something `width` by `height`.
    #[must_use]
    pub fn of(self, width: Length, height: Length) -> i128 {
        match self {
            Self::Area => (width * height).square_nanometres(),
            Self::Exactly(number) => i128::from(number),
        }
    }
}

/// Equal sheets or scraps that may be cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stock {
    /// What the maker calls it; shown, never interpreted.
    pub id: String,
    /// Size from left to right.
    pub width: Length,
    /// Size from top to bottom.
    pub height: Length,
    /// How many are on hand; [`Stock::PLENTY`] where they do not run out.
    pub count: u32,
    /// What opening one costs: old scraps cheap, fresh sheets dear.
    pub cost: Worth,
    /// Which paper it is, where pieces ask for the same one; equal numbers are the same paper.
    pub paper: u32,
    /// Where this stock is made by cutting that piece first (the hidden middle of a mat): one copy
    /// of the stock for each copy of the piece cut, at most `count`.
    pub made_by: Option<PieceIndex>,
}

impl Stock {
    /// So many that they do not run out.
    pub const PLENTY: u32 = u32::MAX;

    /// A stock line of plain sheets whose cost is their area.
    #[must_use]
    pub fn new(id: &str, width: Length, height: Length, count: u32) -> Self {
        Self { id: id.to_owned(), width, height, count, cost: Worth::Area, paper: 0, made_by: None }
    }
}

/// The stock lines a piece may be cut from.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum On {
    /// Any of them.
    Any,
    /// Only these.
    Only(Vec<StockIndex>),
}

impl On {
    /// Whether `stock` is among them.
    #[must_use]
    pub fn allows(&self, stock: StockIndex) -> bool {
        match self {
            Self::Any => true,
            Self::Only(lines) => lines.contains(&stock),
        }
    }
}

/// Equal pieces that are wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// What the maker calls it; shown, never interpreted.
    pub id: String,
    /// Size from left to right, as drawn.
    pub width: Length,
    /// Size from top to bottom, as drawn.
    pub height: Length,
    /// How many are wanted; with [`Goal::MostValue`] at most this many are cut.
    pub count: u32,
    /// What one copy is worth; read by [`Goal::MostValue`] only.
    pub value: Worth,
    /// Whether it may be turned.
    pub turn: Turn,
    /// The stock lines it may come from.
    pub on: On,
    /// Pieces with the same number here come from the same paper (see [`Stock::paper`]).
    pub group: Option<u32>,
}

impl Piece {
    /// A piece worth its area, from any stock.
    #[must_use]
    pub fn new(id: &str, width: Length, height: Length, count: u32, turn: Turn) -> Self {
        Self { id: id.to_owned(), width, height, count, value: Worth::Area, turn, on: On::Any, group: None }
    }

    /// The area of one copy.
    #[must_use]
    pub fn area(&self) -> Area {
        self.width * self.height
    }
}

/// What is trimmed off every sheet before anything else, from each edge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Trims {
    /// From the left edge.
    pub left: Length,
    /// From the right edge.
    pub right: Length,
    /// From the top edge.
    pub top: Length,
    /// From the bottom edge.
    pub bottom: Length,
}

/// How many times the direction of the cuts may change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stages {
    /// As often as it likes.
    #[default]
    Free,
    /// At most this many runs of parallel cuts one within another, trimming a piece to size included.
    AtMost(u8),
}

/// What the trimmer and the hand can do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rules {
    /// Trimmed off every sheet first.
    pub trims: Trims,
    /// What a cut takes away: nothing for a blade.
    pub cut_width: Length,
    /// The longest cut the trimmer takes, if it is limited.
    pub longest_cut: Option<Length>,
    /// The narrowest strip a hand holds safely: the part held during a cut is at least this wide and
    /// this high. Zero where anything can be held.
    pub safe_strip: Length,
    /// How many stages of cuts.
    pub stages: Stages,
}

impl Rules {
    /// Whether cuts have to keep more than edge to edge: a longest cut, a narrowest strip, stages.
    #[must_use]
    pub fn of_hands(&self) -> bool {
        self.longest_cut.is_some() || self.safe_strip.is_positive() || self.stages != Stages::Free
    }
}

/// What is to be made as good as it can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    /// The most value of pieces from the stock on hand.
    MostValue,
    /// All pieces from as few sheets as can be.
    FewestSheets,
    /// All pieces from the cheapest stock.
    LeastCost,
}

/// A whole question for the planner.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// What is to be made best.
    pub goal: Goal,
    /// The stock on hand.
    pub stock: Vec<Stock>,
    /// The pieces wanted.
    pub pieces: Vec<Piece>,
    /// What trimmer and hand can do.
    pub rules: Rules,
}

/// How long [`crate::cut::fits`] may think, and what the trimmer can do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Steps of work, counted and never timed: about 200 million a second on a desktop.
    pub work: u64,
    /// The trimmer's rules.
    pub rules: Rules,
}

impl Limits {
    /// So much work with a plain blade: no trims, nothing lost to the cut, any strip held.
    #[must_use]
    pub fn work(work: u64) -> Self {
        Self { work, rules: Rules::default() }
    }
}
