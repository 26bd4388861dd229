//! Which pixels speak for a colour: shades in, votes out.
//!
//! Only flat places vote, so the mixtures along edges do not. A vote is the mean of the pixels round
//! about that look alike, given the noise (Lee's sigma filter, 1983, applied twice), so that
//! fibres, grain and JPEG blocks average out while a neighbouring colour is never mixed in.

use crate::bands::bands;
use crate::space::{Shade, apart_squared};

/// How many places are asked, about.
const PLACES: usize = 120_000;
/// How far a vote looks about, in pixels.
const REACH: usize = 3;
/// How many pixels lie within that.
pub(crate) const WINDOW: u32 = 49;

/// One place's vote.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Vote {
    pub(crate) x: u32,
    pub(crate) y: u32,
    pub(crate) shade: Shade,
    /// How many of the [`WINDOW`] pixels about look alike.
    pub(crate) alike: u32,
}

/// What is read: the shades of a picture and the rectangle of them that counts.
#[derive(Clone, Copy)]
pub(crate) struct Field<'a> {
    pub(crate) shades: &'a [Shade],
    pub(crate) width: usize,
    /// Left, top, right, bottom; the last two just outside.
    pub(crate) frame: [usize; 4],
}

impl Field<'_> {
    pub(crate) fn at(&self, x: usize, y: usize) -> Shade {
        self.shades[y * self.width + x]
    }

    /// The mean of the 3 × 3 pixels about a place that is not on the frame's rim.
    fn mean(&self, x: usize, y: usize) -> Shade {
        let mut sum = [0.0; 3];
        for row in y - 1..=y + 1 {
            for shade in &self.shades[row * self.width + x - 1..=row * self.width + x + 1] {
                sum.iter_mut().zip(shade).for_each(|(sum, value)| *sum += value);
            }
        }
        sum.map(|sum| sum / 9.0)
    }
}

/// How much single pixels of one colour differ, for each of the three axes: a standard deviation.
pub(crate) type Noise = [f32; 3];

/// The noise of a picture, from differences between pixels five apart: JPEG makes nearer ones alike.
pub(crate) fn noise(field: Field<'_>) -> Noise {
    const LAG: usize = 5;
    // The least noise that is reckoned with: a third of a step of an 8-bit picture, about.
    const FLOOR: Noise = [0.3, 0.2, 0.2];
    let [left, top, right, bottom] = field.frame;
    if right - left <= LAG || bottom - top <= LAG {
        return FLOOR;
    }
    let (across, down) = (right - left - LAG, bottom - top - LAG);
    let step = (across * down / 40_000).max(1);
    let mut differences: [Vec<f32>; 3] = Default::default();
    for at in (0..across * down).step_by(step) {
        let (x, y) = (left + at % across, top + at / across);
        let here = field.at(x, y);
        for other in [field.at(x + LAG, y), field.at(x, y + LAG)] {
            for channel in 0..3 {
                differences[channel].push((here[channel] - other[channel]).abs());
            }
        }
    }
    let mut noise = FLOOR;
    for (noise, mut differences) in noise.iter_mut().zip(differences) {
        // Two in ten of all differences are taken to lie within a colour; in a normal distribution
        // that many lie within 0.253 standard deviations, and a difference has the variance of two.
        differences.sort_by(f32::total_cmp);
        let part = differences.get(differences.len() / 5).copied().unwrap_or(0.0) / 0.253 / std::f32::consts::SQRT_2;
        *noise = noise.max(part);
    }
    noise
}

/// The votes of a picture, from places evenly spread. A picture too small or too busy for flat places
/// gets the vote of single pixels.
pub(crate) fn votes(field: Field<'_>, noise: Noise) -> Vec<Vote> {
    let [left, top, right, bottom] = field.frame;
    let (across, down) = (right - left, bottom - top);
    let mut stride = 1;
    while across * down / (stride * stride) > PLACES {
        stride += 1;
    }
    let (asked, mut found) = ask(field, noise, stride, |_, _| true);
    if found.len() * 50 < asked.max(1) {
        found.clear();
        let stride = (across * down / PLACES).max(1);
        found.extend((0..across * down).step_by(stride).map(|at| {
            let (x, y) = (left + at % across, top + at / across);
            let (px, py) = (u32::try_from(x).unwrap_or(0), u32::try_from(y).unwrap_or(0));
            Vote { x: px, y: py, shade: field.at(x, y), alike: WINDOW }
        }));
    }
    found
}

/// The votes of all flat places whose colour is none of `known`: at least `far` from each, squared.
pub(crate) fn rare_votes(field: Field<'_>, noise: Noise, known: &[Shade], far: f32) -> Vec<Vote> {
    let rare = |x: usize, y: usize| known.iter().all(|&shade| apart_squared(shade, field.at(x, y)) > far);
    let (_, mut found) = ask(field, noise, 1, rare);
    found.retain(|vote| known.iter().all(|&shade| apart_squared(shade, vote.shade) > far));
    found
}

/// Asks the flat ones of every `stride`th place that is `wanted`; how many places there were, and the votes.
fn ask(
    field: Field<'_>,
    noise: Noise,
    stride: usize,
    wanted: impl Fn(usize, usize) -> bool + Sync,
) -> (usize, Vec<Vote>) {
    let [left, top, right, bottom] = field.frame;
    let margin = REACH + 1;
    if right - left <= 2 * margin || bottom - top <= 2 * margin {
        return (0, Vec::new());
    }
    let rows: Vec<usize> = (top + margin..bottom - margin).step_by(stride).collect();
    let columns: Vec<usize> = (left + margin..right - margin).step_by(stride).collect();
    let scale = noise.map(|noise| 1.0 / (3.0 * noise + 0.5));
    // Where an edge passes, the means on either side differ by more than noise does.
    let calm = noise.map(|noise| 1.0 / (2.0 * noise + 1.4));
    let parts = bands(rows.len(), |part| {
        let mut found = Vec::new();
        for &y in &rows[part] {
            for &x in &columns {
                if wanted(x, y) && is_flat(field, x, y, calm) {
                    found.push(vote(field, x, y, scale));
                }
            }
        }
        found
    });
    (rows.len() * columns.len(), parts.concat())
}

/// Whether no edge passes within a pixel or so: the three on either side have the same mean, both ways.
fn is_flat(field: Field<'_>, x: usize, y: usize, calm: [f32; 3]) -> bool {
    let (mut across, mut down) = ([0.0_f32; 3], [0.0_f32; 3]);
    for step in 0..3 {
        let (row, column) = (y + step - 1, x + step - 1);
        let (right, left) = (field.at(x + 1, row), field.at(x - 1, row));
        let (low, high) = (field.at(column, y + 1), field.at(column, y - 1));
        for channel in 0..3 {
            across[channel] += right[channel] - left[channel];
            down[channel] += low[channel] - high[channel];
        }
    }
    let size = |sum: [f32; 3]| (0..3).map(|c| (sum[c] / 3.0 * calm[c]).powi(2)).sum::<f32>();
    size(across) <= 1.0 && size(down) <= 1.0
}

/// The mean of what looks alike about a place.
fn vote(field: Field<'_>, x: usize, y: usize, scale: [f32; 3]) -> Vote {
    let mut middle = field.mean(x, y);
    let mut alike = 0;
    for reach in [REACH - 1, REACH] {
        let (mut sum, mut count) = ([0.0_f32; 3], 0.0_f32);
        for row in y - reach..=y + reach {
            for shade in &field.shades[row * field.width + x - reach..=row * field.width + x + reach] {
                let off: [f32; 3] = std::array::from_fn(|c| (shade[c] - middle[c]) * scale[c]);
                let inside = if off[0] * off[0] + off[1] * off[1] + off[2] * off[2] <= 1.0 { 1.0 } else { 0.0 };
                count += inside;
                for channel in 0..3 {
                    sum[channel] += inside * shade[channel];
                }
            }
        }
        if count > 0.0 {
            middle = sum.map(|sum| sum / count);
        }
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of at most 49")]
        let count = count as u32;
        alike = count;
    }
    Vote { x: u32::try_from(x).unwrap_or(0), y: u32::try_from(y).unwrap_or(0), shade: middle, alike }
}

/// Where the nearest of `centres` lies and how far: its place and the squared distance. The first of
/// equals; nothing for no centres.
#[inline]
pub(crate) fn nearest(centres: &[Shade], shade: Shade) -> Option<(usize, f32)> {
    let mut best: Option<(usize, f32)> = None;
    for (place, &centre) in centres.iter().enumerate() {
        let far = apart_squared(centre, shade);
        if best.is_none_or(|(_, least)| far < least) {
            best = Some((place, far));
        }
    }
    best
}
