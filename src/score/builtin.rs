//! The scorers that come with the program: the only file that names them.

use crate::stash::Settings;
use api::{Colour, Ink, Knobs, Scorer};

/// Makes one scorer from the maker's knobs and the inks on hand.
type Make = fn(&Knobs, &[Ink]) -> Box<dyn Scorer>;

/// Every scorer that comes with the program, by name.
pub const BUILTIN: [(&str, Make); 8] = [
    ("colour-harmony", |knobs, _| swatchfold_colour_harmony::scorer(knobs)),
    ("hue-template", |knobs, _| swatchfold_hue_template::scorer(knobs)),
    ("legibility", swatchfold_legibility::scorer),
    ("mat-choice", |knobs, _| swatchfold_mat_choice::scorer(knobs)),
    ("pattern-mix", |knobs, _| swatchfold_pattern_mix::scorer(knobs)),
    ("same-pad", |knobs, _| swatchfold_same_pad::scorer(knobs)),
    ("stand-out", |knobs, _| swatchfold_stand_out::scorer(knobs)),
    ("use-up", |knobs, _| swatchfold_use_up::scorer(knobs)),
];

/// A model of how well two colours sit together.
type Harmony = fn(Colour, Colour) -> f64;

/// The models of harmony there are, by name: Ou & Luo 2006 and Ou and others 2018 (`docs/scoring.md`).
pub const HARMONY_MODELS: [(&str, Harmony); 2] =
    [("ou_luo_2006", swatchfold_colour_harmony::ou_luo_2006), ("ou_2018", swatchfold_colour_harmony::ou_2018)];

/// All of them, with the knobs as set.
#[must_use]
pub fn scorers(settings: &Settings, inks: &[Ink]) -> Vec<Box<dyn Scorer>> {
    let none = Knobs::default();
    BUILTIN
        .iter()
        .map(|(name, make)| make(settings.scorers.get(*name).map_or(&none, |setting| &setting.knobs), inks))
        .collect()
}
