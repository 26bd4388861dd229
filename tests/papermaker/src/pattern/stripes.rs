//! Stripes: painted bands, ticking, and lines that waver.

use crate::maths::sin;
use crate::outline::{Outline, Pt, curve};
use crate::plates::{Fill, Ink, Plates};
use crate::random::Dice;

/// Which way lines run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Run {
    /// Up and down the sheet.
    Down,
    /// From side to side.
    Across,
}

/// One band of a stripe: how wide, and in which ink (`None` leaves the ground).
pub type Band = (f64, Option<Ink>);

/// Bands laid side by side over the whole sheet, again and again; `fill` says how a band is inked.
pub fn bands(plates: &mut Plates, run: Run, list: &[Band], start: f64, fill: impl Fn(Ink) -> Fill) {
    let (reach, long) = match run {
        Run::Down => (plates.wide(), plates.high()),
        Run::Across => (plates.high(), plates.wide()),
    };
    let mut at = start;
    while at < reach {
        for &(wide, ink) in list {
            if let Some(ink) = ink
                && at + wide > -2.0
                && at < reach + 2.0
            {
                let (low, high) = match run {
                    Run::Down => ([at, -4.0], [at + wide, long + 4.0]),
                    Run::Across => ([-4.0, at], [long + 4.0, at + wide]),
                };
                plates.lay(&Outline::rectangle(low, high), &fill(ink));
            }
            at += wide;
        }
    }
}

/// Brushed lines across the sheet that rise and fall like sand after the tide.
pub fn ripples(plates: &mut Plates, pitch: f64, thick: f64, inks: &[Ink], dice: &mut Dice) {
    let (wide, high) = (plates.wide(), plates.high());
    let (p, q) = (dice.angle(), dice.angle());
    let mut y = -2.0 * pitch;
    while y < high + 2.0 * pitch {
        let ink = dice.pick(inks);
        let (own, swell) = (dice.about(0.0, 0.35) * pitch, dice.about(1.0, 0.25));
        let points: Vec<Pt> = (0..=28)
            .map(|k| {
                let x = (f64::from(k) / 28.0) * (wide + 12.0) - 6.0;
                let lift = sin(x / 17.0 + p + y / 60.0) * 1.1 + 0.55 * sin(x / 7.3 + q + y / 21.0);
                [x, y + own + lift * pitch * 0.55 * swell]
            })
            .collect();
        let (a, b) = (dice.angle(), dice.between(2.0, 5.0));
        let line = Outline::stroke(&curve(&points), |t| thick * (0.62 + 0.38 * sin(a + b * 6.3 * t)));
        plates.lay(&line, &Fill::flat(ink).mottled(0.35, 6.0).trembling(0.18, 2.5));
        y += pitch;
    }
}
