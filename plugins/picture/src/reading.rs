//! A picture and what is known about how it was taken in, swatches and pattern measures out.

use crate::extract::colours;
use crate::{Note, Picture};
use api::units::Length;
use api::{Directional, Pattern, PatternKind, Share, Swatch};

/// What the picture's colours are measured against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum White {
    /// The colours are taken as they stand: flat artwork, or a scan already corrected.
    AsIs,
}

/// How large the picture is in the world, for measures in lengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Not known: no lengths are given.
    Unknown,
    /// Pixels to the inch.
    Dpi(u32),
    /// The picture shows this width of paper from edge to edge.
    Across(Length),
}

/// How a picture is to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Where the white is.
    pub white: White,
    /// How large it is in the world.
    pub scale: Scale,
}

/// How the white was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum WhiteFound {
    /// It was not looked for: the colours were taken as they stand.
    AsIs,
}

/// What a picture says of a paper.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Reading {
    /// The paper's colours, largest share first (ties: lighter first); shares add up to exactly one.
    pub swatches: Vec<Swatch>,
    /// What its pattern measures.
    pub pattern: Pattern,
    /// What the maker should know, in a fixed order: how it was decoded and how it was measured.
    pub notes: Vec<Note>,
    /// How the white was found.
    pub white: WhiteFound,
}

/// Measures a paper from its picture. Pure and repeatable: the same picture gives the same values,
/// whatever the build and the number of processors.
#[must_use]
pub fn swatches(picture: &Picture, options: &Options) -> Reading {
    let White::AsIs = options.white;
    let swatches = colours(picture);
    let kind = if swatches.len() > 1 { PatternKind::Scattered } else { PatternKind::Solid };
    let pattern = Pattern { kind, busyness: Share::ZERO, repeat: None, directional: Directional::No };
    Reading { swatches, pattern, notes: picture.notes().to_vec(), white: WhiteFound::AsIs }
}
