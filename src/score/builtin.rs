//! The scorers that come with the program: the only file that names them.

use crate::stash::Settings;
use api::{Knobs, Scorer};

/// Makes one scorer from the maker's knobs.
type Make = fn(&Knobs) -> Box<dyn Scorer>;

/// Every scorer that comes with the program, by name.
pub const BUILTIN: [(&str, Make); 5] = [
    ("colour-harmony", swatchfold_colour_harmony::scorer),
    ("mat-choice", swatchfold_mat_choice::scorer),
    ("pattern-mix", swatchfold_pattern_mix::scorer),
    ("same-pad", swatchfold_same_pad::scorer),
    ("use-up", swatchfold_use_up::scorer),
];

/// All of them, with the knobs as set.
#[must_use]
pub fn scorers(settings: &Settings) -> Vec<Box<dyn Scorer>> {
    let none = Knobs::default();
    BUILTIN
        .iter()
        .map(|(name, make)| make(settings.scorers.get(*name).map_or(&none, |setting| &setting.knobs)))
        .collect()
}
