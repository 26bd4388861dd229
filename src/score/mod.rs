//! Step 5, *score*: what could be made in; the best of it out, exactly, and why.
//!
//! Scorers are plugins: they give terms about pieces, pairs and cards within known ranges, and the
//! search uses the ranges and the pair tables as bounds, so that it need not look at most cards. The
//! score is a sum of whole millionths that can be added up again from the reasons.

mod best;
mod builtin;
mod facts;
mod form;
mod groups;
mod hopes;
mod host;
mod jury;
mod kept;
mod labels;
mod mats;
mod rank;
mod rest;
mod search;
mod suggest;
mod tables;
mod trial;
mod walk;

pub use best::{Faces, Found};
pub use builtin::{BUILTIN, HARMONY_MODELS, scorers, settings_in_vain};
pub use facts::{ColourFacts, PairFacts, pair_facts};

pub use host::{Script, Scripts};
pub use jury::{Family, Jury, Member, NotSeated, ONE};
pub use kept::{MustShow, Request};
pub use mats::{LookFor, Mat, Mats, Wanted, mats};
pub use suggest::{
    Almost, Answer, Ask, Reason, Suggestion, Table, Warm, added_up, checked, reasons, suggest, suggest_with, usual_work,
};
pub use trial::{Answered, Trial, try_out};

#[cfg(test)]
mod agree;
#[cfg(test)]
mod costly;
#[cfg(test)]
mod small;
