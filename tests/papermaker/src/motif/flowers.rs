//! Blossoms, from a loose watercolour bloom to a flower three strokes small.

use super::leaves::{grass, stem};
use crate::maths::sin;
use crate::outline::{Outline, Place, Pt, between, curve, polar};
use crate::plates::{Fill, Flow, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// The inks of a flower.
#[derive(Clone, Copy, Debug)]
pub struct Bloom {
    /// Most of the petal.
    pub petal: Ink,
    /// The petal near the eye, and its folds.
    pub deep: Ink,
    /// The eye.
    pub eye: Ink,
}

/// One petal of a length and a width, foot at the origin, tip up, with a notch of a share of its length.
pub fn petal(long: f64, wide: f64, notch: f64, dice: &mut Dice) -> Outline {
    let mut j = |v: f64| dice.about(v, 0.07 * wide.abs());
    let w = wide * 0.5;
    Outline::smooth(&[
        [0.0, 0.0],
        [j(-w * 0.62), -0.34 * long],
        [j(-w), -0.68 * long],
        [j(-w * 0.62), -0.97 * long],
        [j(0.0), -(1.0 - notch) * long],
        [j(w * 0.62), -0.98 * long],
        [j(w), -0.66 * long],
        [j(w * 0.6), -0.33 * long],
    ])
}

fn line(place: &Place, points: &[Pt], thick: f64) -> Outline {
    Outline::stroke(&curve(points).iter().map(|p| place.map(*p)).collect::<Vec<_>>(), |t| thick * (1.0 - 0.6 * t))
}

/// A loose, open blossom of five or six translucent petals, about `r` in radius.
pub fn blossom(plates: &mut Plates, place: &Place, r: f64, inks: Bloom, dice: &mut Dice) {
    let petals = dice.whole(5, 6);
    let start = dice.angle();
    let size = place.size();
    let mut order: Vec<u32> = (0..petals).collect();
    order.rotate_left(dice.whole(0, petals - 1) as usize);
    for k in order {
        let turn = start + TAU * f64::from(k) / f64::from(petals) + dice.about(0.0, 0.12);
        let long = r * dice.about(1.0, 0.12);
        let own = place.then([0.0, 0.0], turn, 1.0);
        let (foot, tip) = (own.map([0.0, 0.0]), own.map([0.0, -long]));
        let fill = Fill::wash(inks.deep)
            .into(inks.petal, Flow::Along { from: between(foot, tip, 0.02), to: between(foot, tip, 0.72) })
            .opacity(0.93)
            .mottled(0.3, 0.3 * r * size);
        plates.lay(&petal(long, r * dice.about(1.08, 0.14), dice.about(0.09, 0.05), dice).at(&own), &fill);
        for _ in 0..3 {
            let lean = dice.about(0.0, 0.26) * r;
            let reach = dice.about(0.62, 0.12) * long;
            let vein = [[0.0, -0.16 * long], [lean * 0.5, -0.5 * reach], [lean, -reach]];
            plates.lay(&line(&own, &vein, 0.16 * size), &Fill::flat(inks.deep).opacity(0.6));
        }
    }
    plates
        .lay(&Outline::blob([0.0, 0.0], r * 0.15, r * 0.15, 0.1, dice).at(place), &Fill::wash(inks.deep).opacity(1.0));
    for _ in 0..dice.whole(9, 13) {
        let to = polar([0.0, 0.0], dice.angle(), r * dice.about(0.24, 0.1));
        plates.lay(&line(place, &[[0.0, 0.0], between([0.0, 0.0], to, 0.6), to], 0.14 * size), &Fill::flat(inks.eye));
        let dot = r * dice.about(0.04, 0.015);
        plates.lay(&Outline::blob(to, dot, dot, 0.15, dice).at(place), &Fill::flat(inks.eye));
    }
}

/// A full, many-petalled bloom such as a dahlia: rings of petals, each a shade further in.
pub fn dahlia(plates: &mut Plates, place: &Place, r: f64, inks: Bloom, dice: &mut Dice) {
    let rings = 5_u32;
    for ring in 0..rings {
        let share = f64::from(ring) / f64::from(rings);
        let reach = r * (1.0 - 0.78 * share);
        let petals = 15 - 2 * ring;
        let start = dice.angle();
        for k in 0..petals {
            let turn = start + TAU * f64::from(k) / f64::from(petals) + dice.about(0.0, 0.06);
            let own = place.then([0.0, 0.0], turn, 1.0);
            let long = reach * dice.about(1.0, 0.06);
            let (foot, tip) = (own.map([0.0, -long * 0.25]), own.map([0.0, -long]));
            let w = long * (0.15 + 0.1 * share);
            let shape = Outline::smooth(&[
                [0.0, 0.0],
                [-w * 0.7, -0.4 * long],
                [-w * dice.about(1.0, 0.1), -0.74 * long],
                [dice.about(0.0, 0.06) * long, -long],
                [w * dice.about(1.0, 0.1), -0.72 * long],
                [w * 0.7, -0.4 * long],
            ]);
            let fill = Fill::wash(inks.deep).into(inks.petal, Flow::Along { from: foot, to: between(foot, tip, 0.9) });
            plates.lay(&shape.at(&own), &fill.opacity(0.97).mottled(0.16, 2.0).pooled(0.34).trembling(0.1, 1.2));
        }
    }
    plates.lay(&Outline::blob([0.0, 0.0], r * 0.12, r * 0.12, 0.08, dice).at(place), &Fill::flat(inks.deep));
    for _ in 0..14 {
        let at = polar([0.0, 0.0], dice.angle(), r * 0.12 * dice.unit());
        plates.lay(&Outline::blob(at, r * 0.022, r * 0.022, 0.1, dice).at(place), &Fill::flat(inks.eye));
    }
}

/// A rose or ranunculus: a round wash with folds that spiral in.
pub fn rose(plates: &mut Plates, place: &Place, r: f64, inks: Bloom, dice: &mut Dice) {
    let petals = 6_u32;
    let start = dice.angle();
    for k in 0..petals {
        let turn = start + TAU * f64::from(k) / f64::from(petals) + dice.about(0.0, 0.1);
        let at = polar([0.0, 0.0], turn, r * 0.45);
        let rr = r * dice.about(0.56, 0.05);
        let centre = place.map([0.0, 0.0]);
        let fill = Fill::wash(inks.deep).into(inks.petal, Flow::Out { from: centre, reach: 0.85 * r * place.size() });
        plates.lay(
            &Outline::blob(at, rr, rr * dice.about(0.94, 0.06), 0.06, dice).at(place),
            &fill.opacity(0.95).pooled(0.26),
        );
    }
    plates.lay(
        &Outline::blob([0.0, 0.0], r * 0.6, r * 0.58, 0.05, dice).at(place),
        &Fill::wash(inks.petal).opacity(0.95).pooled(0.24),
    );
    let mut angle = dice.angle();
    for k in 0..11_u32 {
        let share = f64::from(k) / 11.0;
        let reach = r * (0.62 - 0.54 * share);
        let sweep = dice.about(1.7, 0.3);
        let arc: Vec<Pt> = (0..7)
            .map(|i| {
                let t = f64::from(i) / 6.0;
                polar([0.0, 0.0], angle + sweep * t, reach * (1.0 - 0.1 * sin(PI * t)))
            })
            .collect();
        let points: Vec<Pt> = curve(&arc).iter().map(|p| place.map(*p)).collect();
        let thick = r * (0.12 - 0.04 * share) * place.size();
        plates.lay(
            &Outline::stroke(&points, |t| thick * sin(PI * t).max(0.0)),
            &Fill::flat(inks.deep).opacity(0.85).mottled(0.3, 2.0),
        );
        angle += 2.1 + dice.about(0.0, 0.2);
    }
    plates.lay(&Outline::blob([0.0, 0.0], r * 0.07, r * 0.06, 0.1, dice).at(place), &Fill::flat(inks.eye));
}

/// A small flower of five round petals and a dot, for ditsy grounds.
pub fn ditsy(plates: &mut Plates, place: &Place, r: f64, inks: Bloom, dice: &mut Dice) {
    let start = dice.angle();
    for k in 0..5 {
        let at = polar([0.0, 0.0], start + TAU * f64::from(k) / 5.0 + dice.about(0.0, 0.08), r * 0.58);
        let rr = r * dice.about(0.42, 0.04);
        plates.lay(&Outline::blob(at, rr, rr, 0.08, dice).at(place), &Fill::flat(inks.petal).mottled(0.18, 1.5));
    }
    let rr = r * 0.24;
    plates
        .lay(&Outline::blob([0.0, 0.0], rr * 1.5, rr * 1.5, 0.1, dice).at(place), &Fill::flat(inks.deep).opacity(0.5));
    plates.lay(&Outline::blob([0.0, 0.0], rr, rr, 0.1, dice).at(place), &Fill::flat(inks.eye));
}

/// A daisy: a ring of narrow petals and a large eye.
pub fn daisy(plates: &mut Plates, place: &Place, r: f64, inks: Bloom, dice: &mut Dice) {
    let petals = dice.whole(11, 14);
    let start = dice.angle();
    for k in 0..petals {
        let turn = start + TAU * f64::from(k) / f64::from(petals) + dice.about(0.0, 0.09);
        let own = place.then([0.0, 0.0], turn, 1.0);
        let long = r * dice.about(1.0, 0.1);
        let spine: Vec<Pt> = curve(&[[0.0, -0.16 * r], [0.0, -0.6 * long], [dice.about(0.0, 0.05) * r, -long]])
            .iter()
            .map(|p| own.map(*p))
            .collect();
        let wide = r * 0.26 * place.size();
        let shape = Outline::along(&spine, |t| wide * sin(PI * (0.12 + 0.8 * t)).max(0.0));
        plates.lay(&shape, &Fill::flat(inks.petal).mottled(0.2, 2.0).pooled(0.12));
    }
    plates.lay(&Outline::blob([0.0, 0.0], r * 0.27, r * 0.25, 0.06, dice).at(place), &Fill::flat(inks.eye).pooled(0.2));
    for _ in 0..6 {
        let at = polar([0.0, 0.03 * r], dice.between(0.2, 2.9), r * 0.2 * dice.unit());
        plates.lay(&Outline::blob(at, r * 0.03, r * 0.03, 0.1, dice).at(place), &Fill::flat(inks.deep).opacity(0.7));
    }
}

/// A flat head of tiny flowers on spokes, as of cow parsley; foot at the origin, `tall` to the top.
pub fn umbel(plates: &mut Plates, place: &Place, tall: f64, stalk: Ink, flower: Ink, dice: &mut Dice) {
    let bow = dice.about(0.0, 0.07) * tall;
    let hub = [bow, -0.68 * tall];
    let size = place.size();
    stem(plates, place, &[[0.0, 0.0], [bow * 0.2, -0.35 * tall], hub], 0.6 * size.max(0.7), stalk);
    let spokes = dice.whole(8, 11);
    for k in 0..spokes {
        let share = (f64::from(k) + 0.5) / f64::from(spokes) - 0.5;
        let angle = -FRAC_PI_2 + share * 2.5 + dice.about(0.0, 0.06);
        let to = polar(hub, angle, tall * (0.31 - 0.07 * share.abs()) * dice.about(1.0, 0.08));
        let mid = [between(hub, to, 0.55)[0], between(hub, to, 0.55)[1] - 0.012 * tall];
        stem(plates, place, &[hub, mid, to], 0.3 * size.max(0.8), stalk);
        for _ in 0..dice.whole(11, 15) {
            let at = polar(to, dice.angle(), tall * 0.06 * dice.unit().sqrt());
            let r = tall * dice.about(0.0125, 0.004);
            plates.lay(
                &Outline::blob([at[0], to[1] + 0.6 * (at[1] - to[1])], r, r, 0.2, dice).at(place),
                &Fill::flat(flower).opacity(0.95),
            );
        }
    }
}

/// A clump of thrift: round heads on wiry stems from one tuft of grass; foot at the origin.
pub fn thrift(plates: &mut Plates, place: &Place, tall: f64, heads: u32, inks: Bloom, green: Ink, dice: &mut Dice) {
    grass(plates, place, 0.34 * tall, 7 + 2 * heads, green, dice);
    for k in 0..heads {
        let lean = (f64::from(k) + 0.5) / f64::from(heads) - 0.5;
        let reach = tall * if heads == 1 { 1.0 } else { dice.about(0.84, 0.16) };
        let bow = (0.62 * lean + dice.about(0.0, 0.06)) * reach;
        let top = [bow, -0.86 * reach];
        stem(plates, place, &[[0.0, 0.0], [bow * 0.3, -0.45 * reach], top], 0.5 * place.size().max(0.8), green);
        let own = place.then(top, bow / reach, 1.0);
        let r = tall * dice.about(0.15, 0.015);
        for turn in [-0.9, -0.35, 0.35, 0.9] {
            let one = own.then([0.0, -0.02 * tall], PI + turn, 1.0);
            plates.lay(&petal(r * 0.5, r * 0.34, 0.0, dice).at(&one), &Fill::flat(inks.eye));
        }
        for (reach, petals) in [(1.0, 12_u32), (0.78, 10), (0.56, 8), (0.36, 6)] {
            let start = dice.angle();
            for k in 0..petals {
                let a = start + TAU * f64::from(k) / f64::from(petals) + dice.about(0.0, 0.14);
                let one = own.then([0.0, -0.35 * r], a, 1.0);
                let long = r * reach * (0.93 + 0.12 * crate::maths::cos(a)) * dice.about(1.0, 0.1);
                let (foot, tip) = (one.map([0.0, -0.15 * long]), one.map([0.0, -0.85 * long]));
                let fill = Fill::wash(inks.deep).into(inks.petal, Flow::Along { from: foot, to: tip });
                plates.lay(
                    &petal(long, r * 0.46, 0.12, dice).at(&one),
                    &fill.opacity(0.95).pooled(0.2).mottled(0.14, 1.5),
                );
            }
        }
    }
}
