//! Compares a reading with the truth: each true colour with the swatch that is nearest to it.

#![allow(dead_code, reason = "each test takes what it needs")]

use api::{Colour, delta_e_2000};
use std::fmt;
use swatchfold_picture::Reading;

/// A swatch further than this from every true colour is invented, and a colour without a swatch
/// within it is missed.
const FOUND: f64 = 4.0;

/// What is true of a picture: its colours in CIELAB (D65), and their shares.
pub(crate) struct Truth {
    pub(crate) colours: Vec<[f64; 3]>,
    pub(crate) shares: Vec<f64>,
}

/// How a reading compares.
pub(crate) struct Score {
    pub(crate) mean: f64,
    pub(crate) worst: f64,
    pub(crate) missed: usize,
    pub(crate) invented: usize,
    pub(crate) share: f64,
}

impl fmt::Display for Score {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            out,
            "mean {:.2} worst {:.2} missed {} invented {} share {:.2}",
            self.mean, self.worst, self.missed, self.invented, self.share
        )
    }
}

/// Sums over many readings.
#[derive(Default)]
pub(crate) struct Totals {
    pub(crate) count: usize,
    pub(crate) mean: f64,
    pub(crate) worst: f64,
    pub(crate) missed: usize,
    pub(crate) invented: usize,
    pub(crate) share: f64,
    pub(crate) worst_share: f64,
}

impl Totals {
    pub(crate) fn add(&mut self, score: &Score) {
        self.count += 1;
        self.mean += score.mean;
        self.worst = self.worst.max(score.worst);
        self.missed += score.missed;
        self.invented += score.invented;
        self.share += score.share;
        self.worst_share = self.worst_share.max(score.share);
    }
}

impl fmt::Display for Totals {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let count = self.count.max(1) as f64;
        write!(
            out,
            "{} pictures: mean {:.3} worst {:.2} missed {} invented {} share {:.3} (worst picture {:.2})",
            self.count,
            self.mean / count,
            self.worst,
            self.missed,
            self.invented,
            self.share / count,
            self.worst_share
        )
    }
}

/// Pairs of a true colour and the swatch that stands for it: nearest pairs first, each used once.
fn pairs(truth: &Truth, reading: &Reading) -> (Vec<(usize, usize, f64)>, Vec<Colour>) {
    let colours: Vec<Colour> = truth.colours.iter().map(|[l, a, b]| Colour::new(*l, *a, *b)).collect();
    let mut all: Vec<(usize, usize, f64)> = Vec::new();
    for (t, &colour) in colours.iter().enumerate() {
        for (s, swatch) in reading.swatches.iter().enumerate() {
            all.push((t, s, delta_e_2000(colour, swatch.colour)));
        }
    }
    all.sort_by(|one, two| one.2.total_cmp(&two.2));
    let mut taken: Vec<(usize, usize, f64)> = Vec::new();
    for pair in all {
        if pair.2 <= FOUND && taken.iter().all(|other| other.0 != pair.0 && other.1 != pair.1) {
            taken.push(pair);
        }
    }
    taken.sort_by_key(|pair| pair.0);
    (taken, colours)
}

/// Compares; share errors are in points (hundredths of the area), the mean over the true colours.
pub(crate) fn compare(truth: &Truth, reading: &Reading) -> Score {
    let (pairs, colours) = pairs(truth, reading);
    let shares = &truth.shares;
    let count = pairs.len().max(1) as f64;
    let share_error = |t: usize| {
        let found = pairs.iter().find(|pair| pair.0 == t).map_or(0.0, |pair| reading.swatches[pair.1].share.as_f64());
        100.0 * (found - shares[t]).abs()
    };
    Score {
        mean: pairs.iter().map(|pair| pair.2).sum::<f64>() / count,
        worst: pairs.iter().map(|pair| pair.2).fold(0.0, f64::max),
        missed: colours.len() - pairs.len(),
        invented: reading.swatches.len() - pairs.len(),
        share: (0..colours.len()).map(share_error).sum::<f64>() / colours.len() as f64,
    }
}

/// Truth and reading side by side.
pub(crate) fn table(truth: &Truth, reading: &Reading) -> String {
    let (pairs, colours) = pairs(truth, reading);
    let shares = &truth.shares;
    let mut lines = Vec::new();
    for (t, colour) in colours.iter().enumerate() {
        let found = pairs.iter().find(|pair| pair.0 == t);
        let text = found.map_or("missed".to_owned(), |&(_, s, far)| {
            let swatch = reading.swatches[s];
            format!("{:?} {:.2} % dE {far:.2}", three(swatch.colour), 100.0 * swatch.share.as_f64())
        });
        lines.push(format!("  {:?} {:.2} % -> {text}", three(*colour), 100.0 * shares[t]));
    }
    for (s, swatch) in reading.swatches.iter().enumerate() {
        if pairs.iter().all(|pair| pair.1 != s) {
            lines.push(format!("  invented {:?} {:.2} %", three(swatch.colour), 100.0 * swatch.share.as_f64()));
        }
    }
    lines.join("\n")
}

fn three(colour: Colour) -> [f64; 3] {
    [colour.l, colour.a, colour.b].map(|value| (value * 10.0).round() / 10.0)
}
