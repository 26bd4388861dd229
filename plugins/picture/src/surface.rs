//! How the light falls over a picture: samples of known whiteness in, a smooth surface out.
//!
//! The surface is a polynomial in the logarithm of the light, one for each of red, green and blue,
//! fitted by weighted least squares. Samples of white fix its height; samples of a printed colour,
//! whose own strength is not known, fix only how it changes across the picture: within each such
//! group both sides are taken relative to the group's mean (the within estimator; Frisch and Waugh
//! 1933), which solves for all the unknown strengths at once.

use crate::space::{Light, Shade, shade};

/// A place in the picture and the light seen there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sample {
    /// Across, -1 to 1 over the longer side.
    pub(crate) x: f64,
    /// Down, on the same scale.
    pub(crate) y: f64,
    /// The light, all three above none.
    pub(crate) light: Light,
    /// How much it counts.
    pub(crate) weight: f64,
    /// Which printed colour it is of; `None` for white.
    pub(crate) group: Option<usize>,
}

/// Light as a function of place: the exponential of a polynomial, for each channel.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Surface {
    degree: usize,
    /// One list of coefficients for each channel, in the order of [`terms`].
    channels: [Vec<f64>; 3],
}

/// The powers of a polynomial of `degree` in two variables, lowest first.
fn terms(degree: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..=degree).flat_map(|sum| (0..=sum).map(move |y| (sum - y, y)))
}

/// The terms' values at a place, into `out`.
fn values(degree: usize, x: f64, y: f64, out: &mut Vec<f64>) {
    out.clear();
    let power = |base: f64, times: usize| (0..times).fold(1.0, |product, _| product * base);
    out.extend(terms(degree).map(|(px, py)| power(x, px) * power(y, py)));
}

/// The place of a pixel of a `width` × `height` picture on the scale of [`Sample`].
pub(crate) fn place(x: f64, y: f64, width: usize, height: usize) -> (f64, f64) {
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let (w, h) = (width as f64, height as f64);
    let half = w.max(h) / 2.0;
    ((x + 0.5 - w / 2.0) / half, (y + 0.5 - h / 2.0) / half)
}

impl Surface {
    /// The same light everywhere, `level` in each channel.
    pub(crate) fn even(level: Light) -> Self {
        Self { degree: 0, channels: level.map(|value| vec![value.max(1e-6).ln()]) }
    }

    /// The logarithm of the light at a place.
    pub(crate) fn log_at(&self, x: f64, y: f64) -> Light {
        let mut terms = Vec::new();
        values(self.degree, x, y, &mut terms);
        std::array::from_fn(|channel| self.channels[channel].iter().zip(&terms).map(|(c, t)| c * t).sum())
    }

    /// Fits a surface of `degree` to the samples, as the light by which each is seen: white samples
    /// are white of strength `white`. Samples that lie far off the first fit are then left out and
    /// the fit is made again. `None` where the samples do not determine it.
    pub(crate) fn fit(samples: &[Sample], white: Light, degree: usize) -> Option<Self> {
        let first = Self::fit_once(samples, white, degree)?;
        let mut off: Vec<f64> = Vec::with_capacity(samples.len());
        let levels = first.levels(samples);
        let miss = |sample: &Sample| {
            let level = sample.group.map_or(white.map(f64::ln), |group| levels[group]);
            let fitted = first.log_at(sample.x, sample.y);
            (0..3).map(|c| (sample.light[c].ln() - level[c] - fitted[c]).abs()).fold(0.0, f64::max)
        };
        off.extend(samples.iter().map(miss));
        let mut sorted = off.clone();
        sorted.sort_by(f64::total_cmp);
        let limit = (4.0 * sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)).max(0.01);
        let kept: Vec<Sample> =
            samples.iter().zip(&off).filter(|(_, off)| **off <= limit).map(|(sample, _)| *sample).collect();
        Self::fit_once(&kept, white, degree).or(Some(first))
    }

    /// The mean logarithm of each group's own strength, under this light.
    pub(crate) fn levels(&self, samples: &[Sample]) -> Vec<Light> {
        let groups = samples.iter().filter_map(|sample| sample.group).max().map_or(0, |last| last + 1);
        let mut sums = vec![([0.0; 3], 0.0); groups];
        for sample in samples {
            let Some(group) = sample.group else { continue };
            let fitted = self.log_at(sample.x, sample.y);
            let (sum, weight) = &mut sums[group];
            for channel in 0..3 {
                sum[channel] += sample.weight * (sample.light[channel].ln() - fitted[channel]);
            }
            *weight += sample.weight;
        }
        sums.into_iter().map(|(sum, weight)| sum.map(|sum| if weight > 0.0 { sum / weight } else { 0.0 })).collect()
    }

    fn fit_once(samples: &[Sample], white: Light, degree: usize) -> Option<Self> {
        let count = terms(degree).count();
        let groups = samples.iter().filter_map(|sample| sample.group).max().map_or(0, |last| last + 1);
        // Mean terms and mean logarithms of each group.
        let mut means = vec![(vec![0.0; count], [0.0; 3], 0.0); groups];
        let mut basis = Vec::with_capacity(count);
        for sample in samples {
            let Some(group) = sample.group else { continue };
            values(degree, sample.x, sample.y, &mut basis);
            let (terms, logs, weight) = &mut means[group];
            for (sum, term) in terms.iter_mut().zip(&basis) {
                *sum += sample.weight * term;
            }
            for (sum, light) in logs.iter_mut().zip(sample.light) {
                *sum += sample.weight * light.ln();
            }
            *weight += sample.weight;
        }
        for (terms, logs, weight) in &mut means {
            if *weight > 0.0 {
                terms.iter_mut().chain(logs.iter_mut()).for_each(|sum| *sum /= *weight);
            }
        }
        let mut matrix = vec![0.0; count * count];
        let mut right = [vec![0.0; count], vec![0.0; count], vec![0.0; count]];
        for sample in samples {
            values(degree, sample.x, sample.y, &mut basis);
            let mut logs = sample.light.map(f64::ln);
            if let Some(group) = sample.group {
                let (terms, means, _) = &means[group];
                basis.iter_mut().zip(terms).for_each(|(value, mean)| *value -= mean);
                logs.iter_mut().zip(means).for_each(|(value, mean)| *value -= mean);
            } else {
                logs.iter_mut().zip(white).for_each(|(value, white)| *value -= white.ln());
            }
            for row in 0..count {
                let weighted = sample.weight * basis[row];
                for column in 0..count {
                    matrix[row * count + column] += weighted * basis[column];
                }
                for (right, log) in right.iter_mut().zip(logs) {
                    right[row] += weighted * log;
                }
            }
        }
        let channels = solve(matrix, count, right)?;
        Some(Self { degree, channels })
    }

    /// The factors that even the light out over a picture of this size.
    pub(crate) fn gains(&self, width: usize, height: usize) -> Gains {
        const STEP: usize = 16;
        let (across, down) = (width / STEP + 2, height / STEP + 2);
        let mut nodes = Vec::with_capacity(across * down);
        for row in 0..down {
            for column in 0..across {
                #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
                let (x, y) = place((column * STEP) as f64, (row * STEP) as f64, width, height);
                #[allow(clippy::cast_possible_truncation, reason = "held within single precision's range")]
                let gain = self.log_at(x, y).map(|log| (-log).exp().clamp(1e-3, 1e3) as f32);
                nodes.push(gain);
            }
        }
        Gains { step: STEP, across, nodes }
    }
}

/// Factors on a coarse lattice; straight between its nodes.
pub(crate) struct Gains {
    step: usize,
    across: usize,
    nodes: Vec<[f32; 3]>,
}

impl Gains {
    /// The shade of one pixel after the light is evened out.
    pub(crate) fn shade_at(&self, x: usize, y: usize, light: [f32; 3]) -> Shade {
        let (node, along) = (x / self.step, x % self.step);
        let between = self.between(y);
        let (here, next) = (between(node), between(node + 1));
        #[allow(clippy::cast_precision_loss, reason = "small whole numbers")]
        let along = along as f32 / self.step as f32;
        shade(std::array::from_fn(|c| light[c] * (here[c] + (next[c] - here[c]) * along)))
    }

    /// The factors at the nodes' columns along one row of pixels.
    fn between(&self, row: usize) -> impl Fn(usize) -> [f32; 3] + '_ {
        let top = &self.nodes[row / self.step * self.across..][..self.across];
        let low = &self.nodes[(row / self.step + 1) * self.across..][..self.across];
        #[allow(clippy::cast_precision_loss, reason = "small whole numbers")]
        let down = (row % self.step) as f32 / self.step as f32;
        move |node| std::array::from_fn(|c| top[node][c] + (low[node][c] - top[node][c]) * down)
    }

    /// The shades of one row of pixels after the light is evened out.
    pub(crate) fn row(&self, row: usize, light: &[[f32; 3]], out: &mut [Shade]) {
        let between = self.between(row);
        for (node, (light, out)) in light.chunks(self.step).zip(out.chunks_mut(self.step)).enumerate() {
            let (here, next) = (between(node), between(node + 1));
            #[allow(clippy::cast_precision_loss, reason = "a small whole number")]
            let slope: [f32; 3] = std::array::from_fn(|channel| (next[channel] - here[channel]) / self.step as f32);
            for (at, (light, out)) in light.iter().zip(out).enumerate() {
                #[allow(clippy::cast_precision_loss, reason = "a small whole number")]
                let at = at as f32;
                *out = shade(std::array::from_fn(|channel| light[channel] * (here[channel] + slope[channel] * at)));
            }
        }
    }
}

/// Solves the symmetric `matrix` for three right-hand sides by Cholesky's method, with a trace of
/// ridge so that directions without samples stay flat; `None` where it is not positive.
fn solve(mut matrix: Vec<f64>, count: usize, mut right: [Vec<f64>; 3]) -> Option<[Vec<f64>; 3]> {
    let trace: f64 = (0..count).map(|at| matrix[at * count + at]).sum();
    for at in 0..count {
        matrix[at * count + at] += trace * 1e-9;
    }
    for row in 0..count {
        for column in 0..=row {
            let mut sum = matrix[row * count + column];
            for at in 0..column {
                sum -= matrix[row * count + at] * matrix[column * count + at];
            }
            if row == column {
                if sum.is_nan() || sum <= 0.0 {
                    return None;
                }
                matrix[row * count + column] = sum.sqrt();
            } else {
                matrix[row * count + column] = sum / matrix[column * count + column];
            }
        }
    }
    for right in &mut right {
        for row in 0..count {
            for at in 0..row {
                right[row] -= matrix[row * count + at] * right[at];
            }
            right[row] /= matrix[row * count + row];
        }
        for row in (0..count).rev() {
            for at in row + 1..count {
                right[row] -= matrix[at * count + row] * right[at];
            }
            right[row] /= matrix[row * count + row];
        }
    }
    right.iter().flatten().all(|value| value.is_finite()).then_some(right)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_known_light_is_found_again_from_white_and_from_unknown_colours() {
        let truth =
            |x: f64, y: f64| [0.8 * (0.2 * x - 0.1 * y * y).exp(), 0.7 * (0.3 * y).exp(), 0.6 * (x * y * 0.2).exp()];
        let mut samples = Vec::new();
        for at in 0..400 {
            let (x, y) = (f64::from(at % 20) / 9.5 - 1.0, f64::from(at / 20) / 9.5 - 1.0);
            let rim = x.abs() > 0.95 || y.abs() > 0.95;
            let strength = if rim { 0.9 } else { [0.1, 0.4, 0.25][at as usize % 3] };
            let group = if rim { None } else { Some(at as usize % 3) };
            samples.push(Sample { x, y, light: truth(x, y).map(|light| light * strength), weight: 1.0, group });
        }
        let found = Surface::fit(&samples, [0.9; 3], 3).expect("determined");
        for (x, y) in [(0.0, 0.0), (0.5, -0.5), (-0.9, 0.9)] {
            for (found, truth) in found.log_at(x, y).iter().zip(truth(x, y)) {
                assert!((found.exp() / truth - 1.0).abs() < 1e-4, "{} instead of {truth}", found.exp());
            }
        }
        let levels = found.levels(&samples);
        assert!((levels[1][0].exp() - 0.4).abs() < 1e-4);
        assert_eq!(Surface::fit(&[], [0.9; 3], 2), None);
    }
}
