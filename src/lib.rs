//! Swatchfold: from the papers on hand to the cards that can be made from them.

pub mod cut;
pub mod problem;
pub mod stash;
