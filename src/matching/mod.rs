//! Step 4, *match*: a drawn layout and the index in; what it needs, who could fill it, and whether
//! the pieces of all copies can really be cut out. What is lacking, where nothing will do.
//!
//! It finds what is possible; what is good is `score`'s to say.

mod candidates;
pub mod hollow;
pub mod near;
mod parts;
mod sentiments;
mod slots;
mod supply;

pub use candidates::{could_be, domain, eligible};
pub use hollow::{FromMiddle, Hollow, MiddleOf};
pub use parts::PartChoice;
pub use sentiments::sentiments_for;
pub use slots::{Layer, Link, MAT_MATERIALS, Network, Slot, Unmakeable, network};

pub use crate::layout::{Outline, outline_of};
pub use supply::{Choice, MustUse, Supplied, Supply, Worths};
