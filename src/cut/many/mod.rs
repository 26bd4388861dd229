//! Step 7, *all pieces from many sheets*: pieces one by one and sheets with costs in; a tree for each
//! sheet opened, what stays out, and a true lower bound out.
//!
//! Sizes are whole numbers in a unit of the caller's. Sheets are trees of strips in strips ([`strips`]);
//! a plan at once comes from laying in the largest pieces first; then sheets are emptied in part and
//! filled again, with a goal that is always a little cheaper than the best plan so far ([`ruin`]), in two
//! searches side by side ([`abreast`]);
//! [`bound`] says what no plan can beat.

mod abreast;
pub(super) mod bound;
mod dense;
mod ruin;
pub(super) mod strips;

pub(super) use ruin::search;
pub(super) use strips::Strips;

/// One piece to lay.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    pub(super) width: i64,
    pub(super) height: i64,
    pub(super) turns: bool,
    /// The row of [`Job::allowed`] that says where it may lie.
    pub(super) row: usize,
    /// What it is worth, where that is what counts.
    pub(super) weight: i64,
}

/// A line of equal sheets.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub(super) width: i64,
    pub(super) height: i64,
    pub(super) count: u32,
    pub(super) cost: i64,
}

/// What a plan is to reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Aim {
    /// All pieces, at little cost.
    All,
    /// Much worth of pieces from the sheets there are.
    Value,
}

/// The whole question.
#[derive(Clone, Debug)]
pub(super) struct Job {
    pub(super) items: Vec<Item>,
    pub(super) lines: Vec<Line>,
    /// By row, then by line: whether pieces of the row may lie on the line.
    pub(super) allowed: Vec<Vec<bool>>,
    /// The most nested runs of cuts, trimming included.
    pub(super) stages: u32,
    pub(super) aim: Aim,
}

/// A plan: filled sheets, and the items left out.
#[derive(Clone, Debug, Default)]
pub(super) struct Filled {
    pub(super) sheets: Vec<Strips>,
    pub(super) out: Vec<usize>,
    pub(super) cost: i64,
}

impl Item {
    pub(super) fn area(&self) -> i64 {
        self.width * self.height
    }

    /// Its sizes as it may lie: turned or not.
    pub(super) fn ways(&self) -> impl Iterator<Item = (i64, i64, bool)> + use<> {
        let second = (self.turns && self.width != self.height).then_some((self.height, self.width, true));
        [(self.width, self.height, false)].into_iter().chain(second)
    }
}
