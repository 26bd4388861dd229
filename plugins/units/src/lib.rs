//! Lengths, areas and paper sizes as whole numbers, so that a sum of fractions never drifts.
//!
//! Standard library only. Every other part of Swatchfold stands on this crate and none of its
//! values is ever a bare number or a float.

mod area;
mod error;
mod format;
mod fraction;
mod length;
mod named;
mod near;
mod parse;
mod size;
mod table;
mod unit;

pub use area::Area;
pub use error::{LengthError, LengthErrorKind, SizeError, SizeErrorKind};
pub use format::{Exactness, ROUNDED_MARK, Ruled, Ruler};
pub use length::Length;
pub use named::{NameError, Named, Purpose, Region, iso216_tolerance};
pub use size::{Size, Turn};
pub use unit::Unit;
