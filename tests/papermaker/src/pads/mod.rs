//! The pads of the Tidewater Allotment Society's card table, an invented club in a harbour town.
//!
//! Within a pad the papers share one palette, with a few busy, some quiet and some small in scale.

use crate::design::Design;

pub mod cut_outs;
pub mod lamplit_quay;
pub mod odd_sheets;
pub mod seedling_bench;
pub mod slack_water;

/// Every pad's designs.
pub const ALL: [&[Design]; 4] =
    [&lamplit_quay::DESIGNS, &seedling_bench::DESIGNS, &slack_water::DESIGNS, &odd_sheets::DESIGNS];
