//! Step 3, *lay the layouts in a graph*: sketches in, checked layouts and their adaptations out.
//!
//! A layout is an acyclic graph of panels, each lying on others or on the card base; the library
//! graph joins it to variants, one change apart. Nothing here chooses paper.

pub mod adapt;
mod change;
mod drawn;
pub mod joins;
mod library;
mod outline;
mod rect;
mod region;
mod sketch;

pub use adapt::OnHand;
pub use change::{Axis, Change};
pub use drawn::{Drawn, DrawnPanel};
pub use library::{Library, Variant};
pub use outline::{Outline, outline_cut, outline_of};
pub use rect::Rect;
pub use region::Region;
pub use sketch::{Layout, LiesOn, Panel, check};
