//! Two colours as JSON.

use super::number::Decimal;
use super::{FORMAT, written};
use crate::score::{ColourFacts, PairFacts};
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Serialize)]
struct Pair<'a> {
    format: u32,
    a: One<'a>,
    b: One<'a>,
    delta_e_2000: Decimal,
    cam16_ucs_distance: Option<Decimal>,
    harmony: BTreeMap<&'a str, Decimal>,
    contrast_ratio: Decimal,
}

#[derive(Serialize)]
struct One<'a> {
    hex: &'a str,
    in_srgb: bool,
    name: &'a str,
    lab: [Decimal; 3],
    lch: [Decimal; 3],
    oklab: [Decimal; 3],
    cam16_ucs: Option<[Decimal; 3]>,
}

/// `colour A B --json`.
#[must_use]
pub fn colour(pair: &PairFacts) -> String {
    written(&Pair {
        format: FORMAT,
        a: one(&pair.one),
        b: one(&pair.other),
        delta_e_2000: Decimal(pair.delta_e_2000),
        cam16_ucs_distance: pair.cam16_ucs_distance.map(Decimal),
        harmony: pair.harmony.iter().map(|(model, value)| (*model, Decimal(*value))).collect(),
        contrast_ratio: Decimal(pair.contrast_ratio),
    })
}

fn one(facts: &ColourFacts) -> One<'_> {
    One {
        hex: &facts.hex,
        in_srgb: facts.in_srgb,
        name: facts.name,
        lab: facts.lab.map(Decimal),
        lch: facts.lch.map(Decimal),
        oklab: facts.oklab.map(Decimal),
        cam16_ucs: facts.cam16_ucs.map(|parts| parts.map(Decimal)),
    }
}
