//! Swatchfold: from the papers on hand to the cards that can be made from them.

pub mod assemble;
pub mod batch;
pub mod cli;
pub mod construct;
pub mod cut;
pub mod index;
pub mod layout;
pub mod ledger;
pub mod matching;
pub mod present;
pub mod problem;
pub mod record;
pub mod room;
pub mod score;
pub mod serve;
pub mod stash;
pub mod swatch;
