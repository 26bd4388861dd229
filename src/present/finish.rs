//! How a surface takes the light, drawn: kraft fibres, glitter specks, a pearl's sheen, a weave.
//!
//! A material and a finish in; the paint that is laid over its colour out, the same for every
//! colour, so that a page needs each once. Sizes are in millimetres and drawn freely.

use super::xml::{Defs, hundredths};
use api::{Finish, Material};
use std::fmt::Write as _;

/// The paint to lay over the colour; `None` for a smooth surface.
pub(super) fn overlay(material: Material, finish: Finish, defs: &mut Defs) -> Option<String> {
    let id = match (material, finish) {
        (Material::Kraft, _) => defs.id("fibres", fibres),
        (Material::Glitter, _) | (_, Finish::Glitter) => defs.id("specks", specks),
        (_, Finish::Textured) => defs.id("weave", weave),
        (_, Finish::Pearl) => defs.id("pearl", pearl),
        (_, Finish::Metallic) => defs.id("metal", metal),
        _ => return None,
    };
    Some(format!("url(#{id})"))
}

/// Numbers that look thrown: a linear congruential generator (Knuth's MMIX constants, from memory),
/// the same on every machine.
pub(super) struct Thrown(u64);

impl Thrown {
    pub(super) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number from 0 up to `below`.
    pub(super) fn below(&mut self, below: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(self.0 >> 33).unwrap_or(0) % below.max(1)
    }
}

fn tile(id: &str, side: i64, inside: &str) -> String {
    let side = hundredths(side);
    format!(
        "<pattern id=\"{id}\" patternUnits=\"userSpaceOnUse\" width=\"{side}\" height=\"{side}\">{inside}</pattern>"
    )
}

fn fibres(id: &str) -> String {
    let mut thrown = Thrown::new(11);
    let (mut dark, mut light) = (String::new(), String::new());
    for count in 0..110 {
        let (x, y) = (thrown.below(2000), thrown.below(2000));
        let (across, down) = (thrown.below(220) - 110, thrown.below(140) - 70);
        let bend = thrown.below(80) - 40;
        let path = if count % 3 == 0 { &mut light } else { &mut dark };
        let _ = write!(
            path,
            "M{} {}q{} {} {} {}",
            hundredths(x),
            hundredths(y),
            hundredths(across / 2 + bend),
            hundredths(down / 2 - bend),
            hundredths(across),
            hundredths(down)
        );
    }
    let strokes = format!(
        "<g fill=\"none\" stroke-linecap=\"round\" stroke-width=\".14\">\
         <path d=\"{dark}\" stroke=\"#4a2f14\" stroke-opacity=\".3\"/>\
         <path d=\"{light}\" stroke=\"#fff3dc\" stroke-opacity=\".4\"/></g>"
    );
    tile(id, 2000, &strokes)
}

fn specks(id: &str) -> String {
    let mut thrown = Thrown::new(5);
    let paints = ["#fff\" fill-opacity=\".85", "#fff\" fill-opacity=\".4", "#000\" fill-opacity=\".16"];
    let mut inside = String::new();
    for (number, paint) in paints.iter().enumerate() {
        let mut path = String::new();
        for _ in 0..60 {
            let (x, y, size) = (thrown.below(900), thrown.below(900), 10 + thrown.below(18));
            let _ = write!(
                path,
                "M{} {}l{s} {s} -{s} {s} -{s} -{s}z",
                hundredths(x),
                hundredths(y),
                s = hundredths(if number == 0 { size } else { size + 6 })
            );
        }
        let _ = write!(inside, "<path d=\"{path}\" fill=\"{paint}\"/>");
    }
    tile(id, 900, &inside)
}

fn weave(id: &str) -> String {
    tile(
        id,
        120,
        "<path d=\"M0 .3h1.2M0 .9h1.2\" stroke=\"#fff\" stroke-opacity=\".16\" stroke-width=\".22\"/>\
         <path d=\"M.3 0v1.2M.9 0v1.2\" stroke=\"#000\" stroke-opacity=\".07\" stroke-width=\".22\"/>",
    )
}

/// A gradient over the piece; stops are offset in per cent, colour and opacity in hundredths.
fn gradient(id: &str, stops: &[(u32, &str, u32)]) -> String {
    let mut inside = String::new();
    for (offset, colour, opacity) in stops {
        let opacity = hundredths(i64::from(*opacity));
        let _ = write!(inside, "<stop offset=\"{offset}%\" stop-color=\"{colour}\" stop-opacity=\"{opacity}\"/>");
    }
    format!("<linearGradient id=\"{id}\" x1=\"0\" y1=\"0\" x2=\"1\" y2=\"1\">{inside}</linearGradient>")
}

fn pearl(id: &str) -> String {
    gradient(id, &[(0, "#fff", 5), (35, "#fff", 34), (55, "#fff", 6), (80, "#fff", 22), (100, "#000", 5)])
}

fn metal(id: &str) -> String {
    gradient(
        id,
        &[(0, "#000", 12), (22, "#fff", 55), (40, "#000", 6), (62, "#fff", 40), (78, "#000", 16), (100, "#fff", 25)],
    )
}
