//! Leaves, sprigs, fronds and grasses.

use crate::maths::{cos, sin};
use crate::outline::{Outline, Place, Pt, between, curve, polar};
use crate::plates::{Fill, Flow, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::{FRAC_PI_2, PI};

/// The inks of a leaf.
#[derive(Clone, Copy, Debug)]
pub struct Green {
    /// The blade.
    pub blade: Ink,
    /// The half in shade.
    pub shade: Ink,
    /// The rib and the stalk.
    pub rib: Ink,
}

/// A leaf of a length and a width, stalk at the origin, tip up.
pub fn leaf(plates: &mut Plates, place: &Place, long: f64, wide: f64, green: Green, dice: &mut Dice) {
    let bend = dice.about(0.0, 0.22) * long;
    let spine = curve(&[[0.0, 0.0], [bend * 0.6, -0.35 * long], [bend, -0.72 * long], [bend * 0.7, -long]]);
    let belly = dice.about(0.42, 0.06);
    let half = |side: f64| {
        let n = spine.len();
        let mut points: Vec<Pt> = spine.clone();
        for (i, p) in spine.iter().enumerate().rev() {
            let t = f64::from(u32::try_from(i).unwrap_or(0)) / f64::from(u32::try_from(n - 1).unwrap_or(1));
            points.push([p[0] + side * 0.5 * wide * profile(t, belly), p[1]]);
        }
        Outline::polygon(&points).at(place)
    };
    let (foot, tip) = (place.map([0.0, 0.0]), place.map([bend * 0.7, -long]));
    let light = Fill::wash(green.blade).into(green.shade, Flow::Along { from: between(foot, tip, 0.75), to: foot });
    let dark = Fill::wash(green.shade).into(green.blade, Flow::Along { from: between(foot, tip, 0.4), to: tip });
    let whole = half(1.0).and(half(-1.0));
    plates.lay(&whole, &light.opacity(0.94).mottled(0.2, 2.5));
    plates.lay(&half(if dice.falls(0.5) { 1.0 } else { -1.0 }), &dark.opacity(0.55));
    let size = place.size();
    let line = |points: &[Pt], thick: f64| {
        Outline::stroke(&points.iter().map(|p| place.map(*p)).collect::<Vec<_>>(), |t| thick * (1.0 - 0.75 * t))
    };
    plates.lay(&line(&spine, 0.3 * size.max(0.8)), &Fill::flat(green.rib).opacity(0.8));
    if long * size > 9.0 {
        let veins = 4 + u32::from(long * size > 16.0) * 2;
        for k in 1..=veins {
            let t = f64::from(k) / f64::from(veins + 1);
            let i = crate::maths::count(t * 28.0).min(28) as usize;
            let from = spine[i.min(spine.len() - 1)];
            let reach = 0.42 * wide * profile(t, belly);
            for side in [-1.0, 1.0] {
                let to = [from[0] + side * reach, from[1] - 0.12 * long];
                let mid = [from[0] + side * reach * 0.55, from[1] - 0.045 * long];
                plates.lay(&line(&curve(&[from, mid, to]), 0.17 * size.max(0.9)), &Fill::flat(green.rib).opacity(0.55));
            }
        }
    }
}

fn profile(t: f64, belly: f64) -> f64 {
    let t = if t < belly { 0.5 * t / belly } else { 0.5 + 0.5 * (t - belly) / (1.0 - belly) };
    sin(PI * t).max(0.0)
}

/// A stem along points, tapering.
pub fn stem(plates: &mut Plates, place: &Place, points: &[Pt], thick: f64, ink: Ink) {
    let line: Vec<Pt> = curve(points).iter().map(|p| place.map(*p)).collect();
    plates.lay(&Outline::stroke(&line, |t| thick * (1.0 - 0.5 * t)), &Fill::flat(ink).mottled(0.2, 2.0));
}

/// A curved stem with pairs of leaves that shrink towards its tip; `pairs` at least 1.
pub fn sprig(plates: &mut Plates, place: &Place, long: f64, pairs: u32, green: Green, dice: &mut Dice) {
    let bend = dice.about(0.0, 0.5) * long * 0.5;
    let points = [[0.0, 0.0], [bend * 0.25, -0.4 * long], [bend, -long]];
    stem(plates, place, &points, 0.45 * place.size().max(0.7), green.rib);
    let line = curve(&points);
    let last = line.len() - 1;
    for k in 1..=pairs {
        let t = f64::from(k) / f64::from(pairs);
        let at = line[(crate::maths::count(t * 20.0) as usize).min(last)];
        let size = long * (0.36 - 0.16 * t) * dice.about(1.0, 0.12);
        let lean = bend / long * 1.2;
        if k == pairs {
            leaf(plates, &place.then(at, lean, 1.0), size * 1.1, size * 0.46, green, dice);
        } else {
            for side in [-1.0, 1.0] {
                let turn = lean * t + side * dice.about(0.95, 0.2);
                leaf(plates, &place.then(at, turn, 1.0), size, size * dice.about(0.42, 0.06), green, dice);
            }
        }
    }
}

/// A fern or fennel frond: a bowed rib and many narrow leaflets, each a little bowed itself.
pub fn frond(plates: &mut Plates, place: &Place, long: f64, ink: Ink, dice: &mut Dice) {
    let bend = dice.about(0.0, 0.4) * long * 0.6;
    let points = [[0.0, 0.0], [bend * 0.2, -0.45 * long], [bend, -long]];
    let line = curve(&points);
    stem(plates, place, &points, 0.36 * place.size().max(0.8), ink);
    let steps = 18_u32;
    for k in 2..=steps {
        let t = f64::from(k) / f64::from(steps + 1);
        let at = line[(crate::maths::count(t * 20.0) as usize).min(line.len() - 1)];
        let next = line[(crate::maths::count(t * 20.0) as usize + 1).min(line.len() - 1)];
        let at = between(at, next, (t * 20.0).fract());
        let size = long * 0.36 * sin(PI * (0.2 + 0.78 * t)).max(0.12) * dice.about(1.0, 0.12);
        for side in [-1.0, 1.0] {
            let turn = bend / long * t + side * (1.2 - 0.5 * t) + dice.about(0.0, 0.1);
            let own = place.then(at, turn, 1.0);
            let tip = [side * -0.2 * size, -size];
            let spine: Vec<Pt> =
                curve(&[[0.0, 0.0], [side * 0.03 * size, -0.5 * size], tip]).iter().map(|p| own.map(*p)).collect();
            let wide = 0.135 * size * place.size();
            plates.lay(
                &Outline::stroke(&spine, |t| wide * profile(0.04 + 0.96 * t, 0.36)),
                &Fill::flat(ink).mottled(0.3, 1.6),
            );
        }
    }
}

/// Blades of grass fanning from one foot.
pub fn grass(plates: &mut Plates, place: &Place, long: f64, blades: u32, ink: Ink, dice: &mut Dice) {
    for k in 0..blades {
        let lean = (f64::from(k) + 0.5) / f64::from(blades) - 0.5 + dice.about(0.0, 0.06);
        let tall = long * dice.about(0.85, 0.2);
        let spine = [[0.0, 0.0], [lean * tall * 0.35, -0.55 * tall], [lean * tall * 1.1, -tall]];
        let line: Vec<Pt> = curve(&spine).iter().map(|p| place.map(*p)).collect();
        let thick = 0.55 * place.size();
        plates.lay(&Outline::stroke(&line, |t| thick * (1.0 - t)), &Fill::flat(ink).mottled(0.3, 2.0));
    }
}

/// A strap of kelp: a long rippling blade.
pub fn kelp(plates: &mut Plates, place: &Place, long: f64, wide: f64, inks: [Ink; 2], dice: &mut Dice) {
    let phase = dice.angle();
    let sway = dice.about(0.1, 0.06) * long;
    let points: Vec<Pt> = (0..9)
        .map(|k| {
            let t = f64::from(k) / 8.0;
            [sway * t * sin(phase + 4.2 * t), -long * t]
        })
        .collect();
    let line = curve(&points);
    let side = |sign: f64, ripple: f64| -> Vec<Pt> {
        line.iter()
            .enumerate()
            .map(|(i, p)| {
                let t =
                    f64::from(u32::try_from(i).unwrap_or(0)) / f64::from(u32::try_from(line.len() - 1).unwrap_or(1));
                let ruffle = 1.0 + 0.22 * sin(ripple + t * long / wide * 2.4);
                [p[0] + sign * 0.5 * wide * profile(t * 0.94 + 0.03, 0.45) * ruffle, p[1]]
            })
            .collect()
    };
    let mut points = side(-1.0, dice.angle());
    points.extend(side(1.0, dice.angle()).into_iter().rev());
    let (foot, tip) = (place.map([0.0, 0.0]), place.map([0.0, -long]));
    let fill = Fill::wash(inks[0]).into(inks[1], Flow::Along { from: tip, to: foot }).opacity(0.9);
    plates.lay(&Outline::polygon(&points).at(place), &fill);
    let rib: Vec<Pt> = line.iter().map(|p| place.map(*p)).collect();
    let thick = 0.5 * place.size();
    plates.lay(&Outline::stroke(&rib, |t| thick * (1.0 - 0.8 * t)), &Fill::flat(inks[1]).opacity(0.7));
}

/// A bare stem with round berries on short stalks.
pub fn berries(plates: &mut Plates, place: &Place, long: f64, inks: [Ink; 3], dice: &mut Dice) {
    let [stalk, berry, shine] = inks;
    let bend = dice.about(0.0, 0.3) * long;
    let points = [[0.0, 0.0], [bend * 0.3, -0.5 * long], [bend, -long]];
    stem(plates, place, &points, 0.32 * place.size().max(0.8), stalk);
    let line = curve(&points);
    for (k, at) in line.iter().enumerate().skip(6).step_by(3) {
        let side = if k % 2 == 0 { 1.0 } else { -1.0 };
        let to = polar(*at, -FRAC_PI_2 + side * dice.about(0.9, 0.2), long * dice.about(0.16, 0.04));
        stem(plates, place, &[*at, between(*at, to, 0.5), to], 0.22 * place.size().max(0.8), stalk);
        let r = long * dice.about(0.075, 0.015);
        plates.lay(&Outline::blob(to, r, r, 0.06, dice).at(place), &Fill::flat(berry).mottled(0.25, 1.2).pooled(0.15));
        let glint = [to[0] - 0.35 * r, to[1] - 0.35 * r];
        plates.lay(&Outline::blob(glint, r * 0.24, r * 0.2, 0.1, dice).at(place), &Fill::flat(shine).opacity(0.7));
    }
}

/// A broad heart-shaped leaf with a ruffled rim on a stout stalk, as of rhubarb or chard; the
/// stalk's top at the origin, tip up, `long` for blade and stalk together.
pub fn ruffled(plates: &mut Plates, place: &Place, long: f64, green: Green, dice: &mut Dice) {
    let l = 0.68 * long;
    let bend = dice.about(0.0, 0.1) * l;
    let rim = [
        [0.03, -0.02],
        [0.17, 0.11],
        [0.36, 0.07],
        [0.49, -0.1],
        [0.47, -0.33],
        [0.37, -0.57],
        [0.22, -0.8],
        [0.09, -0.94],
        [0.0, -1.0],
    ];
    let mut points: Vec<Pt> = Vec::new();
    for side in [1.0, -1.0] {
        let (phase, wide) = (dice.angle(), dice.about(1.0, 0.08));
        let half: Vec<Pt> = curve(&rim)
            .iter()
            .enumerate()
            .map(|(k, p)| {
                let t = f64::from(u32::try_from(k).unwrap_or(0)) / 80.0;
                let ruffle = 1.0 + 0.075 * sin(phase + 38.0 * t) * sin(PI * t);
                [side * p[0] * wide * ruffle * l + bend * p[1] * p[1], p[1] * ruffle * l]
            })
            .collect();
        if side > 0.0 {
            points.extend(half);
        } else {
            points.extend(half.into_iter().rev());
        }
    }
    let hub = place.map([0.0, -0.1 * l]);
    let fill = Fill::wash(green.shade).into(green.blade, Flow::Out { from: hub, reach: 0.62 * l * place.size() });
    plates.lay(&Outline::polygon(&points).at(place), &fill.opacity(0.96).mottled(0.16, 3.0).trembling(0.3, 2.4));
    let thick = 0.02 * long * place.size();
    let mut rib = |points: &[Pt], thick: f64, opacity: f64| {
        let line: Vec<Pt> = curve(points).iter().map(|p| place.map(*p)).collect();
        plates.lay(&Outline::stroke(&line, |t| thick * (1.0 - 0.72 * t)), &Fill::flat(green.rib).opacity(opacity));
    };
    let sway = dice.about(0.0, 0.12) * long;
    rib(&[[sway, 0.32 * long], [0.3 * sway, 0.15 * long], [0.0, 0.0], [0.0, -0.08 * l]], 3.4 * thick, 0.95);
    for (x, y, thick) in
        [(0.0, -0.9, 1.7), (0.34, -0.5, 1.2), (-0.34, -0.5, 1.2), (0.42, -0.08, 1.0), (-0.42, -0.08, 1.0)]
            .map(|(x, y, t)| (x, y, t * thick))
    {
        let tip = [x * l + bend * y * y, y * l];
        let from = [0.0, -0.02 * l];
        let mid = [between(from, tip, 0.5)[0] * 0.86, between(from, tip, 0.5)[1]];
        rib(&[from, mid, tip], thick, 0.85);
        for part in [0.34, 0.52, 0.7] {
            let root = between(from, tip, part);
            let out = [(tip[0] - from[0]) * (0.34 - 0.16 * part), (tip[1] - from[1]) * (0.34 - 0.16 * part)];
            for turn in [-0.75_f64, 0.75] {
                let (s, c) = (sin(turn), cos(turn));
                let to = [root[0] + out[0] * c - out[1] * s, root[1] + out[0] * s + out[1] * c];
                rib(&[root, between(root, to, 0.5), to], 0.5 * thick, 0.6);
            }
        }
    }
}
