//! Step 8, *present*: answers in; pictures, pages, text and JSON out.
//!
//! It reads values and decides nothing: every number and choice it shows was made by an earlier step.

mod finish;
pub mod json;
pub mod lettering;
pub mod lines;
mod motif;
pub mod notes;
pub mod outline;
pub mod pictures;
pub mod pieces;
pub mod sizes;
mod surface;
pub mod svg;
pub mod text;
pub mod words;
mod xml;

pub use pictures::Pictures;
pub use xml::escape;

use crate::score::Table;
use crate::stash::Stash;

/// What every drawing is looked up in.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The stash: its papers' pictures, its sentiments.
    pub stash: &'a Stash,
    /// What the answer was found in.
    pub table: Table<'a>,
    /// Small copies of the pictures.
    pub pictures: &'a Pictures,
}
