//! The scorers that come with the program: the only file that names them.

use crate::problem::{Fault, Outcome, Problem, nearest};
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

/// What the settings say of scorers that do not exist, and of knobs that they have not or that do not turn so
/// far. Whether a name is that of a script can only be said where all `scripts_are_read`.
#[must_use]
pub fn settings_in_vain(settings: &Settings, scorers: &[Box<dyn Scorer>], scripts_are_read: bool) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (name, setting) in &settings.scorers {
        let Some(scorer) = scorers.iter().find(|scorer| scorer.manifest().name == *name) else {
            if let Some(place) = setting.place.clone().filter(|_| scripts_are_read) {
                let names = scorers.iter().map(|scorer| scorer.manifest().name.as_str());
                let fault =
                    Fault::UnknownScorer { name: name.clone(), nearest: nearest(name, names).map(str::to_owned) };
                problems.push(Problem::new(place, fault));
            }
            continue;
        };
        let known = &scorer.manifest().knobs;
        for (knob, place) in &setting.knob_places {
            let Some(of) = known.iter().find(|of| of.name == *knob) else {
                let fault = Fault::UnknownKnob {
                    scorer: name.clone(),
                    knob: knob.clone(),
                    nearest: nearest(knob, known.iter().map(|of| of.name.as_ref())).map(str::to_owned),
                    knobs: known.iter().map(|of| of.name.to_string()).collect(),
                };
                problems.push(Problem::new(place.clone(), fault));
                continue;
            };
            let Some(value) = setting.knobs.0.get(knob).filter(|value| !(of.low..=of.high).contains(*value)) else {
                continue;
            };
            let (key, found) = (knob.clone(), value.to_string());
            let fault = Fault::OutOfRange { key, found, low: of.low.to_string(), high: of.high.to_string() };
            problems.push(
                Problem::new(place.clone(), fault).with(Outcome::TakenAs(value.clamp(of.low, of.high).to_string())),
            );
        }
    }
    problems
}
