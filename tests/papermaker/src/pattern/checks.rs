//! Gingham, plaid and windowpane: bands both ways, in ink thin enough to show where they cross.

use super::stripes::{Band, Run, bands};
use crate::outline::Outline;
use crate::plates::{Fill, Ink, Plates};

/// Gingham: squares of `side` millimetres, half-tone bands and full tone where they cross.
pub fn gingham(plates: &mut Plates, side: f64, ink: Ink) {
    let list: [Band; 2] = [(side, Some(ink)), (side, None)];
    for (run, along) in [(Run::Down, [0.0, 1.0]), (Run::Across, [1.0, 0.0])] {
        bands(plates, run, &list, -side * 0.5, |ink| {
            Fill::flat(ink).opacity(0.62).mottled(0.14, 5.0).streaked(0.22, along).trembling(0.14, 2.5)
        });
    }
}

/// Plaid: the same bands down and across, each at its own opacity.
pub fn plaid(plates: &mut Plates, list: &[(f64, Option<Ink>, f64)], start: f64) {
    for (run, along) in [(Run::Down, [0.0, 1.0]), (Run::Across, [1.0, 0.0])] {
        for (k, &(_, ink, opacity)) in list.iter().enumerate() {
            let only: Vec<Band> =
                list.iter().enumerate().map(|(i, &(wide, _, _))| (wide, if i == k { ink } else { None })).collect();
            bands(plates, run, &only, start, |ink| {
                Fill::flat(ink).opacity(opacity).mottled(0.1, 5.0).streaked(0.16, along).trembling(0.12, 3.0)
            });
        }
    }
}

/// A hand-drawn grid of single lines.
pub fn windowpane(plates: &mut Plates, pitch: f64, thick: f64, ink: Ink) {
    for (reach, long, down) in [(plates.wide(), plates.high(), Run::Down), (plates.high(), plates.wide(), Run::Across)]
    {
        let mut at = pitch * 0.5;
        while at < reach + 1.0 {
            let line = match down {
                Run::Down => [[at, -3.0], [at, long + 3.0]],
                Run::Across => [[-3.0, at], [long + 3.0, at]],
            };
            plates.lay(&Outline::stroke(&line, |_| thick), &Fill::flat(ink).mottled(0.3, 3.0).trembling(0.3, 5.0));
            at += pitch;
        }
    }
}
