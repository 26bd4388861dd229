//! Between steps 3 and 4, *build*: what shows of every layer, what hides, and what holds.
//!
//! Layers in their places, with what they are made of, in; visible regions, levelling, foam, glue
//! zones, thickness, weight, envelopes and postal classes out. It works on lengths alone: which paper
//! is chosen, and in which words it is told, is for other steps.

pub mod base;
pub mod dots;
pub mod envelope;
pub mod foam;
pub mod level;
pub mod order;
pub mod paper;
pub mod post;
pub mod stack;
mod weight;

pub use base::{Base, Fold};
pub use envelope::{Envelope, Fit};
pub use level::{Beneath, Filling, Levelling, build};
pub use post::{Class, Posted};
pub use stack::{Held, Sheet, Sight, Stack, glue_zones, visible};
pub use weight::Weight;
