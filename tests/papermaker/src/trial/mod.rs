//! Trial papers: a seed in; a drawing in flat inks out, with the truth about it.
//!
//! For testing what others read from pictures. Every colour is a flat ink of known Lab, every share
//! is counted on the plates, every pattern repeats at a known distance and turns in a known way.
//! `palette` picks the inks, `drawing` lays them out, `photo` takes the picture, `seeds` is the
//! committed list. Nothing here looks at a picture, and nothing of the program is used.

mod drawing;
mod palette;
pub mod photo;
pub mod seeds;

use crate::colour::{Light, from_lab, lab};
use crate::design::{Directional, Kind};
use crate::maths::count;
use crate::plates::Plates;
use crate::random::Dice;

/// How hard a trial is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Style {
    /// Four to six well separated colours, none under 2 % of the sheet.
    Plain,
    /// Ten colours: close tints of three hues, thin lines, and an accent on 0.3 % of the sheet.
    Ditsy,
}

/// One trial: everything about it follows from its style and its seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Trial {
    /// How hard it is.
    pub style: Style,
    /// What it is drawn from.
    pub seed: u64,
}

/// A colour that is there, and how much of the paper it covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrueColour {
    /// CIELAB, D65, of the ink itself: a perfect white diffuser would be 100, 0, 0.
    pub lab: [f64; 3],
    /// Share of the paper's area, 0 to 1.
    pub share: f64,
}

/// What is true of a trial paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Truth {
    /// Its colours, largest share first.
    pub colours: Vec<TrueColour>,
    /// What sort of pattern it is.
    pub kind: Kind,
    /// Which turns change it.
    pub directional: Directional,
    /// The least distance across after which the pattern comes again, in millimetres; none where
    /// it is the same all the way across.
    pub across: Option<f64>,
    /// The same, down.
    pub down: Option<f64>,
    /// How much goes on: the mean step in Lab (Euclidean) met per millimetre travelled across and
    /// down, without noise. Plain paper is 0. Compare only trials that lie well apart.
    pub steps_per_mm: f64,
}

/// A trial paper, ready to be photographed.
#[derive(Debug)]
pub struct Paper {
    plates: Plates,
    inks: Vec<Light>,
    /// What is true of it.
    pub truth: Truth,
}

impl Trial {
    /// Draws the paper at a resolution in pixels per inch.
    pub fn paper(self, per_inch: u16) -> Paper {
        let per_mm = f64::from(per_inch) / 25.4;
        let mut dice = Dice::new(self.seed.wrapping_mul(2).wrapping_add(self.style as u64));
        let plan = drawing::Plan::new(self.style, &mut dice);
        let labs = palette::inks(self.style, plan.kind, &mut dice);
        let inks: Vec<Light> = labs.iter().map(|&lab| from_lab(lab)).collect();
        let pixels = |mm: f64| count(mm * per_mm).max(1);
        let (wide, high) = (pixels(plan.cell[0]), pixels(plan.cell[1]));
        let mut plates = Plates::cell(wide as usize, high as usize, 0, per_mm, inks.len(), dice.bits());
        plan.draw(self.style, inks.len(), &mut plates, &mut dice);
        let shares = plates.mean_shares();
        let mut colours: Vec<TrueColour> =
            labs.iter().zip(shares).map(|(&lab, share)| TrueColour { lab, share }).collect();
        colours.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.lab[0].total_cmp(&b.lab[0])));
        let mm = |pixels: u32| f64::from(pixels) / per_mm;
        let truth = Truth {
            colours,
            kind: plan.kind,
            directional: plan.directional,
            across: plan.across.then(|| mm(wide)),
            down: plan.down.then(|| mm(high)),
            steps_per_mm: steps_per_mm(&plates, &inks, per_mm, wide, high),
        };
        Paper { plates, inks, truth }
    }
}

impl Paper {
    /// The colours of the truth, in its order, with their shares of the top left `wide` × `high`
    /// pixels: what a picture shows need not be a whole number of repeats.
    pub fn colours_within(&self, wide: u32, high: u32) -> Vec<TrueColour> {
        let mut sums = vec![0.0_f64; self.inks.len()];
        for y in 0..high {
            for x in 0..wide {
                let (shares, _) = self.plates.look(x as usize, y as usize);
                sums.iter_mut().zip(shares).for_each(|(sum, share)| *sum += f64::from(*share));
            }
        }
        let all: f64 = sums.iter().sum();
        let share_of = |colour: &TrueColour| {
            let light = from_lab(colour.lab);
            let same = |ink: &Light| (0..3).all(|k| (ink[k] - light[k]).abs() < 1e-9);
            self.inks.iter().position(same).map_or(0.0, |ink| sums[ink] / all)
        };
        self.truth.colours.iter().map(|colour| TrueColour { share: share_of(colour), ..*colour }).collect()
    }

    /// The light a pixel of the printed sheet reflects, 0 to 1; cover is averaged in linear light.
    pub fn reflects(&self, x: usize, y: usize) -> Light {
        let (shares, _) = self.plates.look(x, y);
        let mut sum = [0.0; 3];
        for (&share, ink) in shares.iter().zip(&self.inks) {
            for k in 0..3 {
                sum[k] += f64::from(share) * ink[k];
            }
        }
        sum
    }
}

fn steps_per_mm(plates: &Plates, inks: &[Light], per_mm: f64, wide: u32, high: u32) -> f64 {
    let at = |x: u32, y: u32| {
        let (shares, _) = plates.look(x as usize, y as usize);
        let mut sum = [0.0; 3];
        for (&share, ink) in shares.iter().zip(inks) {
            for k in 0..3 {
                sum[k] += f64::from(share) * ink[k];
            }
        }
        lab(sum)
    };
    let gap = |a: [f64; 3], b: [f64; 3]| {
        let d = [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
        (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt()
    };
    let row = |y: u32| -> Vec<[f64; 3]> { (0..wide).map(|x| at(x, y)).collect() };
    let mut sum = 0.0;
    let first = row(0);
    let mut above = first.clone();
    for y in 1..=high {
        let here = if y == high { first.clone() } else { row(y) };
        for x in 0..wide as usize {
            sum += gap(above[x], here[x]) + gap(above[x], above[(x + 1) % wide as usize]);
        }
        above = here;
    }
    0.5 * sum * per_mm / (f64::from(wide) * f64::from(high))
}
