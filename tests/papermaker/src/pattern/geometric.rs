//! Scallops, chevrons, nets, tiles, pebbles and cut-paper shapes.

use super::scatter::{Class, scatter};
use crate::maths::{cos, sin};
use crate::outline::{Outline, Place, Pt, curve, polar};
use crate::plates::{Fill, Flow, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Overlapping scallops in rows, each with arcs within; the top rows lie furthest back.
pub fn scallops(plates: &mut Plates, r: f64, grounds: &[Ink], line: Ink, arcs: u32, dice: &mut Dice) {
    let step = r * 0.52;
    let rows = crate::maths::count(plates.high() / step) + 4;
    let columns = crate::maths::count(plates.wide() / (2.0 * r)) + 3;
    for j in 0..rows {
        let y = (f64::from(j) - 0.5) * step;
        let shift = if j % 2 == 0 { 0.0 } else { r };
        for i in 0..columns {
            let at =
                [f64::from(i) * 2.0 * r - 2.0 * r + shift + dice.about(0.0, 0.02 * r), y + dice.about(0.0, 0.02 * r)];
            let ink = dice.pick(grounds);
            plates.lay(
                &Outline::blob(at, r * 1.01, r * 1.01, 0.012, dice),
                &Fill::wash(ink).opacity(0.97).mottled(0.12, r).pooled(0.1),
            );
            for k in 0..arcs {
                let reach = r * (0.97 - 0.8 * f64::from(k) / f64::from(arcs.max(1)));
                let points: Vec<Pt> = (0..=16)
                    .map(|s| polar(at, PI + PI * f64::from(s) / 16.0, reach * dice.about(1.0, 0.008)))
                    .collect();
                let thick = r * if k == 0 { 0.085 } else { 0.05 };
                plates.lay(&Outline::stroke(&curve(&points), |_| thick), &Fill::flat(line).mottled(0.25, 2.0));
            }
        }
    }
}

/// Chevrons of brushed bands, `rise` high and `run` wide, in the inks given in turn (`None` is ground).
pub fn chevrons(plates: &mut Plates, run: f64, rise: f64, list: &[(f64, Option<Ink>)]) {
    let whole: f64 = list.iter().map(|(w, _)| w).sum();
    let mut y = -rise - whole;
    while y < plates.high() + rise {
        for &(thick, ink) in list {
            if let Some(ink) = ink {
                let mut top: Vec<Pt> = Vec::new();
                let mut x = -run;
                let mut up = 0.0;
                while x < plates.wide() + 2.0 * run {
                    top.push([x, y + up]);
                    up = rise - up;
                    x += run;
                }
                let mut points = top.clone();
                points.extend(top.iter().rev().map(|p| [p[0], p[1] + thick]));
                plates.lay(&Outline::polygon(&points), &Fill::flat(ink).mottled(0.16, 4.0).trembling(0.2, 2.6));
            }
            y += thick;
        }
    }
}

/// A fishing net: knotted diamonds, drawn slack.
pub fn net(plates: &mut Plates, wide: f64, high: f64, thick: f64, ink: Ink, dice: &mut Dice) {
    let columns = crate::maths::count(plates.wide() / wide) + 3;
    let rows = crate::maths::count(plates.high() / high) + 3;
    let sag = |i: u32, j: u32, dice: &mut Dice| -> Pt {
        let half = if j.is_multiple_of(2) { 0.0 } else { 0.5 };
        [
            (f64::from(i) - 1.0 + half) * wide + dice.about(0.0, 0.05 * wide),
            (f64::from(j) * 0.5 - 1.0) * high + dice.about(0.0, 0.04 * high),
        ]
    };
    let knots: Vec<Vec<Pt>> = (0..2 * rows).map(|j| (0..columns).map(|i| sag(i, j, dice)).collect()).collect();
    let fill = Fill::flat(ink).mottled(0.3, 2.5);
    for (j, pair) in knots.windows(2).enumerate() {
        for (i, &from) in pair[0].iter().enumerate() {
            let right = if j % 2 == 0 { i } else { i + 1 };
            for to in [right.checked_sub(1), Some(right)].into_iter().flatten() {
                if let Some(&to) = pair[1].get(to) {
                    let mid =
                        [(from[0] + to[0]) * 0.5 + dice.about(0.0, 0.03 * wide), (from[1] + to[1]) * 0.5 + 0.05 * high];
                    plates.lay(&Outline::stroke(&curve(&[from, mid, to]), |_| thick), &fill);
                }
            }
            let r = thick * dice.about(1.1, 0.2);
            plates.lay(&Outline::blob(from, r, r * 0.85, 0.12, dice), &fill);
        }
    }
}

/// Pebbles lying close: large ones first, small ones in the gaps, some with a band of quartz.
pub fn pebbles(plates: &mut Plates, sizes: &[f64], inks: &[Ink], vein: Ink, dice: &mut Dice) {
    let classes: Vec<Class> = sizes.iter().map(|r| Class { clear: r * 1.04, most: 900 }).collect();
    for spot in scatter(plates, &classes, 5.0, dice) {
        let r = sizes[spot.class];
        let place = Place::new(spot.at, dice.about(0.0, 0.9), 1.0);
        let ry = r * dice.about(0.84, 0.1);
        let ink = dice.pick(inks);
        let second = dice.pick(inks);
        let fill =
            Fill::wash(ink).into(second, Flow::Along { from: spot.at, to: polar(spot.at, dice.angle(), 3.2 * r) });
        plates.lay(
            &Outline::blob([0.0, 0.0], r * 1.08, ry, 0.05, dice).at(&place),
            &fill.opacity(0.97).mottled(0.22, 1.6).pooled(0.2),
        );
        if r > 2.2 && dice.falls(0.34) {
            let y = dice.about(0.0, 0.4) * ry;
            let half = r * 0.98 * (1.0 - (y / ry) * (y / ry)).max(0.0).sqrt();
            let line = curve(&[[-half, y + dice.about(0.0, 0.5)], [0.0, y + dice.about(0.0, 0.6)], [half, y]]);
            let line: Vec<Pt> = line.iter().map(|p| place.map(*p)).collect();
            let thick = r * dice.about(0.1, 0.05);
            plates.lay(&Outline::stroke(&line, |_| thick), &Fill::flat(vein).opacity(0.85).trembling(0.15, 1.0));
        } else if dice.falls(0.4) {
            for _ in 0..crate::maths::count(r * 4.0) {
                let at = polar([0.0, 0.0], dice.angle(), 0.82 * ry * dice.unit().sqrt());
                let d = dice.about(0.14, 0.08);
                plates.lay(&Outline::blob(at, d, d, 0.1, dice).at(&place), &Fill::flat(vein).opacity(0.6));
            }
        }
    }
}

/// A kitchen tile on a cell of `side` by `side`: a star of petals, quarter rounds in the corners.
pub fn tile(plates: &mut Plates, side: f64, inks: [Ink; 3], dice: &mut Dice) {
    let [deep, mid, light] = inks;
    let c = side * 0.5;
    for corner in [[0.0, 0.0], [side, 0.0], [0.0, side], [side, side]] {
        plates.lay(
            &Outline::blob(corner, 0.3 * side, 0.3 * side, 0.01, dice),
            &Fill::wash(mid).opacity(0.96).pooled(0.12),
        );
        plates.lay(&Outline::blob(corner, 0.21 * side, 0.21 * side, 0.015, dice), &Fill::flat(light));
        plates.lay(&Outline::blob(corner, 0.12 * side, 0.12 * side, 0.02, dice), &Fill::wash(deep).opacity(0.97));
    }
    for k in 0..8 {
        let turn = TAU * f64::from(k) / 8.0;
        let long = if k % 2 == 0 { 0.4 * side } else { 0.27 * side };
        let own = Place::new([c, c], turn, 1.0);
        let ink = if k % 2 == 0 { deep } else { mid };
        let w = long * if k % 2 == 0 { 0.2 } else { 0.24 };
        let shape = Outline::smooth(&[[0.0, -0.1 * long], [-w, -0.58 * long], [0.0, -long], [w, -0.58 * long]]);
        plates.lay(&shape.at(&own), &Fill::wash(ink).opacity(0.96).pooled(0.14));
    }
    plates.lay(&Outline::blob([c, c], 0.075 * side, 0.075 * side, 0.03, dice), &Fill::flat(light));
    for k in 0..4 {
        let at = polar([c, c], FRAC_PI_2 * f64::from(k), 0.47 * side);
        plates.lay(&Outline::blob(at, 0.035 * side, 0.035 * side, 0.05, dice), &Fill::flat(deep));
    }
}

/// Cut-paper shapes, layered: arches, half rounds, blades and pebbles in every ink.
pub fn cut_paper(plates: &mut Plates, size: f64, inks: &[Ink], dice: &mut Dice) {
    let classes = [
        Class { clear: size, most: 40 },
        Class { clear: size * 0.55, most: 60 },
        Class { clear: size * 0.24, most: 140 },
    ];
    for spot in scatter(plates, &classes, size, dice) {
        let r = classes[spot.class].clear * dice.about(0.98, 0.1);
        let place = Place::new(spot.at, dice.angle(), 1.0);
        let shape = match dice.whole(0, if spot.class == 2 { 1 } else { 5 }) {
            0 => Outline::blob([0.0, 0.0], r, r * dice.about(0.85, 0.1), 0.08, dice),
            1 => Outline::smooth(&[[0.0, -r], [0.42 * r, -0.1 * r], [0.1 * r, r], [-0.4 * r, 0.1 * r]]),
            2 => {
                let mut points: Vec<Pt> =
                    (0..=14).map(|k| polar([0.0, 0.3 * r], PI + PI * f64::from(k) / 14.0, r)).collect();
                points.extend((0..=14).rev().map(|k| polar([0.0, 0.3 * r], PI + PI * f64::from(k) / 14.0, 0.52 * r)));
                Outline::polygon(&points)
            }
            3 => {
                let mut points: Vec<Pt> =
                    (0..=16).map(|k| polar([0.0, 0.35 * r], PI + PI * f64::from(k) / 16.0, r)).collect();
                points.push([r * 0.98, 0.42 * r]);
                points.push([-r * 0.98, 0.42 * r]);
                Outline::polygon(&points)
            }
            4 => {
                let lobes: Vec<Pt> = (0..60)
                    .map(|k| {
                        let a = TAU * f64::from(k) / 60.0;
                        polar([0.0, 0.0], a, r * (0.84 + 0.12 * cos(5.0 * a)))
                    })
                    .collect();
                Outline::smooth(&lobes)
            }
            _ => {
                let line: Vec<Pt> =
                    (0..=60).map(|k| [(f64::from(k) / 30.0 - 1.0) * r, 0.26 * r * sin(f64::from(k) * 0.36)]).collect();
                Outline::stroke(&line, |_| 0.24 * r)
            }
        };
        plates.lay(&shape.at(&place), &Fill::flat(dice.pick(inks)).mottled(0.14, 5.0).trembling(0.16, 3.0));
    }
}
