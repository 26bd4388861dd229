//! Step 7, *plan the cuts*: pieces wanted and stock on hand in, a tree of cuts for each sheet out.
//!
//! Every cut runs edge to edge (a guillotine cut), so a sheet is a tree: each cut makes two
//! rectangles. This module knows stock and pieces only, never cards: what they are for is `batch`'s
//! business. It reads no files, draws no random numbers that are not seeded by its input, and looks
//! at no clock, so the same input gives the same plan on any machine.
//!
//! Its three questions: [`fits`] (can these pieces come out of that stock?), [`yield_of`] (how many
//! of one size does a sheet give?), and whether a plan keeps every rule ([`check`], which shares no
//! code with the planner). The methods and their authors are named in `docs/cutting.md`.

/// The example in the documentation is run as a test.
#[cfg(doctest)]
#[doc = include_str!("../../docs/cutting.md")]
struct Documentation;

mod all;
mod ask;
mod check;
mod exact;
pub mod file;
mod finish;
mod fits;
mod greedy;
mod groups;
mod guide;
mod hand;
mod many;
mod near;
mod plan;
mod ruled;
mod scale;
mod seeded;
mod single;
mod tree;
mod value;
mod work;
mod yields;

pub use ask::{Goal, Limits, On, Piece, PieceIndex, Problem, Rules, Stages, Stock, StockIndex, Trims, Worth};
pub use check::{Broken, check};
pub use fits::{Fits, WhyNot, fits};
pub use guide::{Pass, Step, passes};
pub use hand::OffcutWorth;
pub use near::{Nearest, nearest};
pub use plan::{Answer, Effort, plan};
pub use tree::{Axis, Becomes, Cut, CutSheet, Part, Plan, Side, Turned};
pub use units::Turn;
pub use yields::yield_of;

#[cfg(test)]
mod agree;
#[cfg(test)]
mod agree_rules;
#[cfg(test)]
mod broken;
#[cfg(test)]
mod exhaustive;
#[cfg(test)]
mod published;
