//! What hangs, floats and lies about in a harbour: lanterns, boats, ripples, gulls.

use crate::maths::sin;
use crate::outline::{Outline, Place, Pt, curve};
use crate::plates::{Fill, Flow, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::PI;

fn stroke(place: &Place, points: &[Pt], thick: f64) -> Outline {
    Outline::stroke(&curve(points).iter().map(|p| place.map(*p)).collect::<Vec<_>>(), |t| {
        thick * (0.7 + 0.3 * sin(PI * t))
    })
}

fn straight(place: &Place, points: &[Pt], thick: f64) -> Outline {
    Outline::stroke(&points.iter().map(|p| place.map(*p)).collect::<Vec<_>>(), |_| thick)
}

/// The inks of a lantern.
#[derive(Clone, Copy, Debug)]
pub struct Lamp {
    /// The metal.
    pub metal: Ink,
    /// The lit glass.
    pub glass: Ink,
    /// The flame.
    pub flame: Ink,
    /// Edges and wires.
    pub wire: Ink,
}

/// A ship's lantern; its ring at the origin, `tall` from there down.
pub fn lantern(plates: &mut Plates, place: &Place, tall: f64, inks: Lamp, dice: &mut Dice) {
    let u = tall * 0.01;
    let size = place.size();
    let ring = Outline::blob([0.0, 5.0 * u], 5.0 * u, 5.0 * u, 0.05, dice).without(Outline::blob(
        [0.0, 5.0 * u],
        3.4 * u,
        3.4 * u,
        0.05,
        dice,
    ));
    plates.lay(&ring.at(place), &Fill::flat(inks.wire).trembling(0.05, 1.0));
    for side in [-1.0, 1.0] {
        let guard = [
            [side * 15.0 * u, 30.0 * u],
            [side * 27.0 * u, 50.0 * u],
            [side * 26.0 * u, 74.0 * u],
            [side * 17.0 * u, 90.0 * u],
        ];
        plates.lay(&stroke(place, &guard, 2.0 * u * size), &Fill::flat(inks.wire));
    }
    let glass = Outline::smooth(&[
        [-13.0 * u, 36.0 * u],
        [-20.0 * u, 50.0 * u],
        [-20.5 * u, 64.0 * u],
        [-14.0 * u, 80.0 * u],
        [14.0 * u, 80.0 * u],
        [20.5 * u, 64.0 * u],
        [20.0 * u, 50.0 * u],
        [13.0 * u, 36.0 * u],
    ]);
    let wick = place.map([0.0, 64.0 * u]);
    plates.lay(
        &glass.at(place),
        &Fill::wash(inks.flame)
            .into(inks.glass, Flow::Out { from: wick, reach: 24.0 * u * size })
            .opacity(0.98)
            .pooled(0.2),
    );
    let flame = Outline::smooth(&[
        [0.0, 76.0 * u],
        [-5.0 * u, 68.0 * u],
        [-2.0 * u, 58.0 * u],
        [0.5 * u, 50.0 * u],
        [3.0 * u, 59.0 * u],
        [5.0 * u, 69.0 * u],
    ]);
    plates.lay(&flame.at(place), &Fill::flat(inks.flame).opacity(0.95));
    let roof = Outline::smooth(&[
        [-4.0 * u, 10.0 * u],
        [4.0 * u, 10.0 * u],
        [7.0 * u, 20.0 * u],
        [19.0 * u, 31.0 * u],
        [18.0 * u, 36.0 * u],
        [-18.0 * u, 36.0 * u],
        [-19.0 * u, 31.0 * u],
        [-7.0 * u, 20.0 * u],
    ]);
    plates.lay(&roof.at(place), &Fill::wash(inks.metal).opacity(0.99).pooled(0.25));
    let base = Outline::smooth(&[
        [-18.0 * u, 79.0 * u],
        [18.0 * u, 79.0 * u],
        [20.0 * u, 86.0 * u],
        [24.0 * u, 97.0 * u],
        [22.0 * u, 100.0 * u],
        [-22.0 * u, 100.0 * u],
        [-24.0 * u, 97.0 * u],
        [-20.0 * u, 86.0 * u],
    ]);
    plates.lay(&base.at(place), &Fill::wash(inks.metal).opacity(0.99).pooled(0.25));
    for y in [46.0, 70.0] {
        plates.lay(
            &stroke(place, &[[-21.5 * u, y * u], [0.0, (y + 3.0) * u], [21.5 * u, y * u]], 1.3 * u * size),
            &Fill::flat(inks.wire).opacity(0.9),
        );
    }
    for (y, w) in [(33.0, 17.0), (84.0, 18.0), (94.0, 21.0)] {
        plates.lay(
            &stroke(place, &[[-w * u, y * u], [0.0, (y + 1.6) * u], [w * u, y * u]], 1.2 * u * size),
            &Fill::flat(inks.wire).opacity(0.55),
        );
    }
}

/// The inks of a boat.
#[derive(Clone, Copy, Debug)]
pub struct Boat {
    /// The hull.
    pub hull: Ink,
    /// The mainsail.
    pub main: Ink,
    /// The jib.
    pub jib: Ink,
    /// Mast, gunwale and pennant.
    pub trim: Ink,
}

/// A little sailing boat heading right; waterline middle at the origin, `tall` from there up.
pub fn boat(plates: &mut Plates, place: &Place, tall: f64, inks: Boat, dice: &mut Dice) {
    let u = tall * 0.01;
    let size = place.size();
    plates.lay(
        &straight(place, &[[2.0 * u, -10.0 * u], [2.4 * u, -60.0 * u], [2.0 * u, -99.0 * u]], 2.2 * u * size),
        &Fill::flat(inks.trim),
    );
    let belly = dice.about(6.0, 2.0) * u;
    let main = Outline::smooth(&[
        [-u, -96.0 * u],
        [-12.0 * u - belly, -62.0 * u],
        [-40.0 * u, -24.0 * u],
        [-20.0 * u, -19.5 * u],
        [-0.5 * u, -21.0 * u],
        [-0.2 * u, -60.0 * u],
    ]);
    let (head, clew) = (place.map([-4.0 * u, -70.0 * u]), place.map([-40.0 * u, -22.0 * u]));
    plates.lay(
        &main.at(place),
        &Fill::wash(inks.main)
            .into(inks.jib, Flow::Along { from: head, to: [2.0 * clew[0] - head[0], 2.0 * clew[1] - head[1]] })
            .opacity(0.97)
            .pooled(0.15),
    );
    for t in [0.3, 0.55, 0.8] {
        let y = (-92.0 + 70.0 * t) * u;
        let reach = (2.0 + 36.0 * t) * u;
        plates.lay(
            &stroke(place, &[[-u, y], [-0.5 * reach, y + 2.0 * u], [-reach, y + 3.0 * u]], 0.7 * u * size),
            &Fill::flat(inks.trim).opacity(0.4),
        );
    }
    let jib = Outline::smooth(&[
        [5.0 * u, -88.0 * u],
        [18.0 * u + belly, -52.0 * u],
        [38.0 * u, -21.0 * u],
        [20.0 * u, -19.0 * u],
        [5.0 * u, -20.0 * u],
        [6.0 * u, -54.0 * u],
    ]);
    plates.lay(&jib.at(place), &Fill::wash(inks.jib).opacity(0.97).pooled(0.2));
    let hull = Outline::smooth(&[
        [-40.0 * u, -15.0 * u],
        [0.0, -13.0 * u],
        [46.0 * u, -18.0 * u],
        [38.0 * u, -4.0 * u],
        [28.0 * u, 3.0 * u],
        [0.0, 4.0 * u],
        [-30.0 * u, 3.0 * u],
        [-38.0 * u, -4.0 * u],
    ]);
    plates.lay(&hull.at(place), &Fill::wash(inks.hull).opacity(0.99).pooled(0.25));
    plates.lay(
        &stroke(place, &[[-40.0 * u, -13.0 * u], [0.0, -10.6 * u], [44.0 * u, -15.5 * u]], 2.4 * u * size),
        &Fill::flat(inks.trim),
    );
    let pennant = Outline::smooth(&[
        [2.5 * u, -99.0 * u],
        [10.0 * u, -97.0 * u],
        [19.0 * u, -96.5 * u],
        [10.0 * u, -93.5 * u],
        [2.5 * u, -91.0 * u],
    ]);
    plates.lay(&pennant.at(place), &Fill::flat(inks.hull));
}

/// A hand-brushed ripple of water, from left to right of its middle.
pub fn ripple(plates: &mut Plates, place: &Place, long: f64, crests: u32, thick: f64, ink: Ink, dice: &mut Dice) {
    let n = 8 * crests;
    let height = long / f64::from(crests) * 0.16;
    let points: Vec<Pt> = (0..=n)
        .map(|k| {
            let t = f64::from(k) / f64::from(n);
            [(t - 0.5) * long, height * dice.about(1.0, 0.12) * sin(2.0 * PI * t * f64::from(crests))]
        })
        .collect();
    let line: Vec<Pt> = curve(&points).iter().map(|p| place.map(*p)).collect();
    let fill = Fill::flat(ink).mottled(0.3, 3.0);
    plates.lay(&Outline::stroke(&line, |t| thick * (0.25 + 0.75 * sin(PI * t).max(0.0))), &fill);
}

/// A gull on the wing, seen from afar; middle at the origin.
pub fn gull(plates: &mut Plates, place: &Place, span: f64, ink: Ink) {
    let h = 0.5 * span;
    let wings = Outline::smooth(&[
        [-h, 0.0],
        [-0.62 * h, -0.34 * h],
        [-0.2 * h, -0.16 * h],
        [0.0, 0.06 * h],
        [0.24 * h, -0.2 * h],
        [0.64 * h, -0.4 * h],
        [h, -0.08 * h],
        [0.6 * h, -0.22 * h],
        [0.22 * h, 0.0],
        [0.0, 0.2 * h],
        [-0.2 * h, 0.03 * h],
        [-0.58 * h, -0.16 * h],
    ]);
    plates.lay(&wings.at(place), &Fill::flat(ink).trembling(0.08, 1.2));
}
