//! The plugin contract: what a scorer may see, what it may answer, what it says of itself.
//!
//! A scorer reads views (a paper, a piece, a finished card) that the host makes, and answers with
//! a [`Worth`] from 0 to 1. It decides nothing else: sizes, cuts and choices are the host's. It
//! must be a pure function of what it is shown, since the host asks in any order and keeps answers.
//!
//! Lengths and colours come from [`units`] and [`palette`], both re-exported here so that a scorer
//! depends on this crate alone.

mod colour;
mod colour_name;
mod manifest;
mod scorer;
mod view;
mod worth;

pub use colour::{
    cam16_ucs, cam16_ucs_distance, contrast_ratio, delta_e_2000, delta_e_2000_each, from_hex, hex, is_in_srgb, lch,
    luminance, oklab,
};
pub use colour_name::colour_name;
pub use manifest::{API_VERSION, Gather, Knob, Knobs, Manifest, Ranges};
pub use palette;
pub use scorer::{Scorer, Subject};
pub use units;
pub use view::{
    CardView, Colour, Directional, Finish, Ink, Material, PaperView, Pattern, PatternKind, PieceView, Relation, Role,
    Swatch,
};
pub use worth::{Share, Worth};
