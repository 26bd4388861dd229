//! Mats for a paper, as JSON.

use super::cards::{Why, why};
use super::number::{Decimal, Millimetres, Millionths};
use super::{Colour, FORMAT, colours, written};
use crate::index::FaceId;
use crate::present::mats::stack_of;
use crate::room::Room;
use crate::score::{LookFor, Mat, Mats, Reason, Wanted};
use api::hex;
use serde::Serialize;

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    paper: &'a str,
    name: &'a str,
    colours: Vec<Colour>,
    beneath: Option<&'a str>,
    mats: Vec<MatOf<'a>>,
    look_for: Option<LookForOf<'a>>,
}

#[derive(Serialize)]
struct MatOf<'a> {
    cardstock: &'a str,
    name: &'a str,
    colours: Vec<Colour>,
    reveal: Option<Millimetres>,
    outer: Option<Outer<'a>>,
    score: Millionths,
    reasons: Vec<Why<'a>>,
}

#[derive(Serialize)]
struct Outer<'a> {
    cardstock: &'a str,
    name: &'a str,
    colours: Vec<Colour>,
    reveal: Option<Millimetres>,
}

#[derive(Serialize)]
struct LookForOf<'a> {
    hex: String,
    lab: [Decimal; 3],
    name: &'static str,
    score: Millionths,
    reasons: Vec<Why<'a>>,
    nearest: Option<Nearest<'a>>,
}

#[derive(Serialize)]
struct Nearest<'a> {
    cardstock: &'a str,
    name: &'a str,
    delta_e_2000: Decimal,
}

/// `mats PAPER --json`: the plain stock on hand, best mat first.
#[must_use]
pub fn mats(room: &Room, wanted: Wanted, mats: &Mats) -> String {
    let face = room.index.face(wanted.paper);
    written(&Document {
        format: FORMAT,
        paper: &face.id,
        name: &face.view.name,
        colours: colours(&face.view),
        beneath: wanted.beneath.map(|beneath| id(room, beneath)),
        mats: mats.mats.iter().map(|mat| mat_of(room, wanted, mat)).collect(),
        look_for: mats.look_for.as_ref().map(|found| look_for(room, found)),
    })
}

fn id(room: &Room, face: FaceId) -> &str {
    &room.index.face(face).id
}

fn mat_of<'a>(room: &'a Room, wanted: Wanted, mat: &'a Mat) -> MatOf<'a> {
    let face = room.index.face(mat.face);
    let stack = stack_of(wanted, mat);
    let about = |reason: &'a Reason| {
        let places = reason.about.iter().filter_map(|place| stack.get(*place));
        why(reason, places.map(|face| id(room, *face)).collect())
    };
    let outer = mat.outer.map(|outer| {
        let of = room.index.face(outer);
        Outer {
            cardstock: &of.id,
            name: &of.view.name,
            colours: colours(&of.view),
            reveal: wanted.reveals[1].map(Millimetres),
        }
    });
    MatOf {
        cardstock: &face.id,
        name: &face.view.name,
        colours: colours(&face.view),
        reveal: wanted.reveals[0].map(Millimetres),
        outer,
        score: Millionths::of(mat.score),
        reasons: mat.reasons.iter().map(about).collect(),
    }
}

fn look_for<'a>(room: &'a Room, found: &'a LookFor) -> LookForOf<'a> {
    let colour = found.colour;
    LookForOf {
        hex: hex(colour),
        lab: [colour.l, colour.a, colour.b].map(Decimal),
        name: found.name,
        score: Millionths::of(found.score),
        reasons: found.reasons.iter().map(|reason| why(reason, Vec::new())).collect(),
        nearest: found.nearest.map(|(face, apart)| Nearest {
            cardstock: id(room, face),
            name: &room.index.face(face).view.name,
            delta_e_2000: Decimal(apart),
        }),
    }
}
