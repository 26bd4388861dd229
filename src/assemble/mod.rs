//! Between steps 5 and 8, *assemble*: a suggestion in; the card as it is built out.
//!
//! It lays a suggestion's pieces in a stack, with how thick and heavy each paper is, asks `construct`
//! what shows, hides and holds, and puts what has to be done in the order of work. The words are for
//! `present`.

mod bench;
mod built;
mod dots;
pub mod pieces;
mod steps;

pub use bench::Bench;
pub use built::{Built, Part};
pub use dots::DotsSet;
pub use steps::{Step, Task};
