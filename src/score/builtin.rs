//! The scorers that come with the program: the only file that names them.

use crate::stash::Settings;
use api::{Colour, Knobs, Scorer};

/// Makes one scorer from the maker's knobs.
type Make = fn(&Knobs) -> Box<dyn Scorer>;

/// Every scorer that comes with the program, by name.
pub const BUILTIN: [(&str, Make); 4] = [
    ("colour-harmony", swatchfold_colour_harmony::scorer),
    ("mat-choice", swatchfold_mat_choice::scorer),
    ("pattern-mix", swatchfold_pattern_mix::scorer),
    ("use-up", swatchfold_use_up::scorer),
];

/// A model of how well two colours sit together.
type Harmony = fn(Colour, Colour) -> f64;

/// The models of harmony there are, by name: Ou & Luo 2006 and Ou and others 2018 (`docs/scoring.md`).
pub const HARMONY_MODELS: [(&str, Harmony); 2] =
    [("ou_luo_2006", swatchfold_colour_harmony::ou_luo_2006), ("ou_2018", swatchfold_colour_harmony::ou_2018)];

/// All of them, with the knobs as set.
#[must_use]
pub fn scorers(settings: &Settings) -> Vec<Box<dyn Scorer>> {
    let none = Knobs::default();
    BUILTIN
        .iter()
        .map(|(name, make)| make(settings.scorers.get(*name).map_or(&none, |setting| &setting.knobs)))
        .collect()
}
