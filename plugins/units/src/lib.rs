//! Lengths, areas and paper sizes as whole numbers, so that a sum of fractions never drifts.
//!
//! Standard library only. Every other part of Swatchfold stands on this crate and none of its
//! values is ever a bare number or a float.

mod area;
mod length;

pub use area::Area;
pub use length::Length;
