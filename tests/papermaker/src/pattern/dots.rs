//! Dots: spots in half-drop rows, and confetti.

use super::scatter::{Class, scatter};
use crate::outline::{Outline, Place};
use crate::plates::{Fill, Ink, Plates};
use crate::random::Dice;

/// Spots of radius `r`, `pitch` apart, in rows that alternate; drawn on a cell of `pitch` by `pitch`
/// times a whole number.
pub fn spots(plates: &mut Plates, pitch: f64, r: f64, ink: Ink, dice: &mut Dice) {
    let columns = crate::maths::count(plates.wide() / pitch).max(1);
    let rows = crate::maths::count(plates.high() / pitch).max(1);
    let (dx, dy) = (plates.wide() / f64::from(columns), plates.high() / f64::from(rows));
    for j in 0..rows {
        for i in 0..columns {
            for half in [0.0, 0.5] {
                let at = [
                    (f64::from(i) + 0.25 + half) * dx + dice.about(0.0, 0.03 * pitch),
                    (f64::from(j) + 0.25 + half) * dy + dice.about(0.0, 0.03 * pitch),
                ];
                let (rx, ry) = (r * dice.about(1.0, 0.07), r * dice.about(1.0, 0.07));
                plates.lay(&Outline::blob(at, rx, ry, 0.045, dice), &Fill::flat(ink).mottled(0.12, 1.6));
            }
        }
    }
}

/// Confetti: round and oval scraps of every ink, thrown.
pub fn confetti(plates: &mut Plates, sizes: &[f64], most: u32, inks: &[Ink], dice: &mut Dice) {
    let classes: Vec<Class> = sizes.iter().map(|r| Class { clear: r * 1.35, most }).collect();
    for spot in scatter(plates, &classes, 4.0, dice) {
        let r = sizes[spot.class] * dice.about(1.0, 0.15);
        let place = Place::new(spot.at, dice.angle(), 1.0);
        let shape = Outline::blob([0.0, 0.0], r, r * dice.about(0.86, 0.14), 0.06, dice).at(&place);
        plates.lay(&shape, &Fill::flat(dice.pick(inks)).mottled(0.22, 2.2).pooled(0.08));
    }
}

/// Short brushed dashes all leaning one way, like drizzle.
pub fn drizzle(plates: &mut Plates, long: f64, lean: f64, inks: &[Ink], dice: &mut Dice) {
    for spot in scatter(plates, &[Class { clear: long * 0.55, most: 4000 }], 4.0, dice) {
        let place = Place::new(spot.at, lean + dice.about(0.0, 0.16), 1.0);
        let l = long * dice.about(0.5, 0.14);
        let line = [place.map([0.0, -l]), place.map([dice.about(0.0, 0.12), 0.0]), place.map([0.0, l])];
        let thick = dice.about(1.0, 0.3);
        let fill = Fill::flat(dice.pick(inks)).mottled(0.3, 1.6);
        plates
            .lay(&Outline::stroke(&line, |t| thick * (0.5 + 0.5 * crate::maths::sin(std::f64::consts::PI * t))), &fill);
    }
}
