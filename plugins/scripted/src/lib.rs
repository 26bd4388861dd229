//! Host for a maker's own scorers: a manifest (TOML) and a script in, a [`api::Scorer`] out.
//!
//! A script sees what native scorers see and no more: papers, pieces, cards, its knobs and the month. It
//! has no files, no network, no clock, and limits on steps, depth and memory ([`ScriptLimits`]). One that
//! loops, grows, fails or answers nonsense is stopped, and from then on has no opinion; [`Scripted::failure`]
//! then says what happened, and the host leaves it out and asks again without it, so that a run counts a
//! script wholly or not at all. This crate reads no files itself: texts come from the host.

mod ask;
mod engine;
mod fingerprint;
mod functions;
mod limits;
mod manifest;
mod pairs;
mod problem;
mod scorer;
mod table;
mod values;

pub use ask::Tried;
pub use limits::ScriptLimits;
pub use manifest::{ScriptManifest, Term};
pub use problem::{ScriptProblem, Text};
pub use scorer::{Month, Scripted};
