//! Scorer: do these two papers' colours sit well together? Two papers in, a worth out.
//!
//! Each of one paper's colours is set beside each of the other's; a pair of colours counts by the
//! product of their shares of area. Harmony is what the pair at the place `forgive` reaches when all
//! are lined up from worst to best: one real pair decides, never an average over many colours.
//! Beside it stands contrast: how far the two papers are apart in lightness at arm's length. The
//! models reward likeness, so without contrast every card would be bland. It ranks; it forbids nothing.

mod judge;
mod model;
mod steady;
mod words;

pub use judge::scorer;
pub use model::{Harmony, Ou2018, OuLuo2006, ou_2018, ou_luo_2006};
