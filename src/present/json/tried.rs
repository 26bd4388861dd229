//! A judge that was tried on two papers, as JSON.

use super::number::{Decimal, Millimetres, Millionths};
use super::{FORMAT, material, written};
use crate::index::FaceId;
use crate::present::scanned::{directional_key, kind_key};
use crate::room::{Room, Tried};
use api::{colour_name, hex};
use serde::Serialize;

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    plugin: &'a str,
    version: u32,
    paper: Saw<'a>,
    cardstock: Saw<'a>,
    answers: Vec<Answer<'a>>,
    failed: Option<String>,
}

#[derive(Serialize)]
struct Saw<'a> {
    id: &'a str,
    name: &'a str,
    material: &'static str,
    colours: Vec<Colour>,
    kind: &'static str,
    busyness: Millionths,
    repeat_mm: Option<Millimetres>,
    directional: &'static str,
}

#[derive(Serialize)]
struct Colour {
    hex: String,
    name: &'static str,
    lab: [Decimal; 3],
    share: Millionths,
}

#[derive(Serialize)]
struct Answer<'a> {
    term: &'static str,
    of: &'static str,
    worth: Option<Millionths>,
    why: &'a str,
    steps: Option<u64>,
    printed: &'a [String],
}

/// `plugins try NAME PAPER CARDSTOCK --json`.
#[must_use]
pub fn tried(room: &Room, tried: &Tried) -> String {
    let answers = tried.trial.answers.iter().map(|answered| Answer {
        term: answered.term,
        of: answered.of,
        worth: answered.worth.map(|worth| Millionths::of(worth.millionths())),
        why: &answered.why,
        steps: answered.steps,
        printed: &answered.printed,
    });
    written(&Document {
        format: FORMAT,
        plugin: &tried.manifest.name,
        version: tried.manifest.version,
        paper: saw(room, tried.paper),
        cardstock: saw(room, tried.cardstock),
        answers: answers.collect(),
        failed: tried.trial.failure.as_ref().map(|problem| problem.message()),
    })
}

fn saw(room: &Room, face: FaceId) -> Saw<'_> {
    let face = room.index.face(face);
    let pattern = &face.view.pattern;
    let colour = |swatch: &api::Swatch| Colour {
        hex: hex(swatch.colour),
        name: colour_name(swatch.colour),
        lab: [swatch.colour.l, swatch.colour.a, swatch.colour.b].map(Decimal),
        share: Millionths::of(swatch.share.millionths()),
    };
    Saw {
        id: &face.id,
        name: &face.view.name,
        material: material(face.view.material),
        colours: face.view.swatches.iter().map(colour).collect(),
        kind: kind_key(pattern.kind),
        busyness: Millionths::of(pattern.busyness.millionths()),
        repeat_mm: pattern.repeat.map(Millimetres),
        directional: directional_key(pattern.directional),
    }
}
