//! Quiet grounds in shades of one hue: linen, brushed paint, speckle, washes.

use super::scatter::{Class, scatter};
use crate::maths::smooth;
use crate::outline::{Outline, Place};
use crate::plates::{Fill, Ink, Plates};
use crate::random::{Dice, Noise};

/// Woven linen: slubbed threads both ways in a second shade.
pub fn linen(plates: &mut Plates, thread: f64, ink: Ink, strength: f64) {
    let (warp, weft, cloud) = (Noise::new(plates.seed()), Noise::new(plates.seed()), Noise::new(plates.seed()));
    plates.wash(ink, |[x, y]| {
        let a = warp.at(x / thread, y / (thread * 14.0)) + 0.5 * warp.at(x / (thread * 2.7), y / (thread * 40.0));
        let b = weft.at(x / (thread * 14.0), y / thread) + 0.5 * weft.at(x / (thread * 40.0), y / (thread * 2.7));
        strength * smooth(-0.9, 1.1, a + b + 0.3 * cloud.cloud(x / 16.0, y / 16.0))
    });
}

/// Broad dry brush marks from side to side.
pub fn brushed(plates: &mut Plates, inks: [Ink; 2]) {
    let (a, b) = (Noise::new(plates.seed()), Noise::new(plates.seed()));
    let sway = Noise::new(plates.seed());
    plates.wash(inks[0], |[x, y]| {
        let y = y + 1.6 * sway.at(x / 34.0, y / 30.0);
        smooth(-0.5, 0.8, a.cloud(x / 42.0, y / 2.6) + 0.5 * a.at(x / 60.0, y / 9.0))
    });
    plates.wash(inks[1], |[x, y]| {
        let y = y + 1.6 * sway.at(x / 34.0, y / 30.0);
        0.75 * smooth(0.15, 0.75, b.cloud(x / 30.0, y / 1.5))
    });
}

/// A watered wash: pools of a second and third shade that bloom into each other.
pub fn wash(plates: &mut Plates, wave: f64, inks: [Ink; 2]) {
    let (a, b, warp) = (Noise::new(plates.seed()), Noise::new(plates.seed()), Noise::new(plates.seed()));
    plates.wash(inks[0], |[x, y]| {
        let (u, v) = (x + 6.0 * warp.at(x / 20.0, y / 20.0), y + 6.0 * warp.at(x / 20.0 + 9.0, y / 20.0));
        0.8 * smooth(-0.5, 0.6, a.cloud(u / wave, v / wave))
    });
    plates.wash(inks[1], |[x, y]| {
        let (u, v) = (x + 7.0 * warp.at(x / 18.0, y / 18.0 + 5.0), y);
        let n = b.cloud(u / (wave * 0.7), v / (wave * 0.7));
        0.55 * smooth(0.05, 0.5, n) + 0.25 * (smooth(0.0, 0.05, n) - smooth(0.05, 0.16, n))
    });
}

/// Flecks, as in eggshell or flecked recycled paper.
pub fn speckle(plates: &mut Plates, inks: &[Ink], most: u32, dice: &mut Dice) {
    let classes =
        [Class { clear: 1.5, most: most / 12 }, Class { clear: 0.75, most: most / 3 }, Class { clear: 0.35, most }];
    let sizes = [0.62, 0.34, 0.19];
    for spot in scatter(plates, &classes, 1.0, dice) {
        let r = sizes[spot.class] * dice.about(1.0, 0.4);
        let place = Place::new(spot.at, dice.angle(), 1.0);
        let shape = Outline::blob([0.0, 0.0], r, r * dice.about(0.7, 0.25), 0.12, dice).at(&place);
        plates.lay(&shape, &Fill::flat(dice.pick(inks)).opacity(dice.about(0.8, 0.2)).trembling(0.05, 0.5));
    }
}
