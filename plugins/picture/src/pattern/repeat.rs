//! After what distance a pattern comes again: a grid of shades in, its likeness to itself moved along out.
//!
//! The autocorrelation along rows and along columns, normalised over what overlaps (as in template
//! matching; Lewis 1995). A repeat is the least move at which the pattern is nearly as like itself as
//! it ever gets again.

use super::Grid;
use crate::bands::bands;

/// The least likeness, 0 to 1, that counts as coming again.
const LIKE: f64 = 0.5;
/// How near to the best likeness a shorter repeat must come.
const NEARLY: f64 = 0.9;
/// At least this likeness at every move means nothing changes along this way.
const CONSTANT: f64 = 0.8;
/// The most lines that are compared.
const LINES: usize = 150;

/// A pattern moved one way.
pub(super) struct Along {
    /// The least distance after which it comes again, in cells.
    pub(super) repeat: Option<f64>,
    /// Whether nothing changes this way.
    pub(super) constant: bool,
    /// Likeness at each move from 0 on.
    likeness: Vec<f64>,
}

impl Along {
    /// Whether the likeness runs otherwise than it does the other way.
    pub(super) fn differs(&self, other: &Self) -> bool {
        if let (Some(one), Some(two)) = (self.repeat, other.repeat)
            && (one / two).ln().abs() < 0.06
        {
            return false;
        }
        // How quickly likeness is lost tells lines from spots: compare where it first falls to a half.
        let half =
            |along: &Self| along.likeness.iter().position(|like| *like < 0.5).unwrap_or(along.likeness.len()).max(1);
        #[allow(clippy::cast_precision_loss, reason = "a small number")]
        let ratio = half(self) as f64 / half(other) as f64;
        ratio.ln().abs() > 0.9
    }
}

/// The pattern moved from left to right.
pub(super) fn across(grid: &Grid) -> Along {
    let at = |line: usize, place: usize| grid.shades[line * grid.width + place];
    along(grid, grid.height, grid.width, at)
}

/// The pattern moved from top to bottom.
pub(super) fn down(grid: &Grid) -> Along {
    let at = |line: usize, place: usize| grid.shades[place * grid.width + line];
    along(grid, grid.width, grid.height, at)
}

fn along(grid: &Grid, lines: usize, length: usize, at: impl Fn(usize, usize) -> [f32; 3] + Sync) -> Along {
    #[allow(clippy::cast_precision_loss, reason = "a small number")]
    let count = grid.shades.len() as f32;
    let mut mean = [0.0_f32; 3];
    for shade in &grid.shades {
        mean.iter_mut().zip(shade).for_each(|(mean, value)| *mean += value / count);
    }
    let most = length / 2;
    let chosen: Vec<usize> = (0..lines).step_by(lines.div_ceil(LINES).max(1)).collect();
    let parts = bands(chosen.len(), |part| {
        // For each move: the product, and the squares of what overlaps on either side.
        let mut sums = vec![[0.0_f64; 3]; most + 1];
        for &line in &chosen[part] {
            let row: [Vec<f32>; 3] =
                std::array::from_fn(|c| (0..length).map(|place| at(line, place)[c] - mean[c]).collect());
            for (step, sums) in sums.iter_mut().enumerate() {
                for channel in &row {
                    let (before, after) = (&channel[..length - step], &channel[step..]);
                    let dot = |one: &[f32], two: &[f32]| {
                        f64::from(one.iter().zip(two).map(|(one, two)| one * two).sum::<f32>())
                    };
                    sums[0] += dot(before, after);
                    sums[1] += dot(before, before);
                    sums[2] += dot(after, after);
                }
            }
        }
        sums
    });
    let mut totals = vec![[0.0_f64; 3]; most + 1];
    for part in parts {
        for (total, sums) in totals.iter_mut().zip(part) {
            total.iter_mut().zip(sums).for_each(|(total, sum)| *total += sum);
        }
    }
    let likeness: Vec<f64> = totals.iter().map(|[product, one, two]| product / (one * two).sqrt().max(1e-9)).collect();
    let constant = likeness.iter().all(|like| *like >= CONSTANT);
    let repeat = if constant { None } else { first_return(&likeness) };
    Along { repeat, constant, likeness }
}

/// The least move at which likeness has a peak nearly as high as its highest.
fn first_return(likeness: &[f64]) -> Option<f64> {
    let peaks: Vec<usize> = (3..likeness.len().saturating_sub(1))
        .filter(|&at| likeness[at] >= likeness[at - 1] && likeness[at] > likeness[at + 1] && likeness[at] >= LIKE)
        .filter(|&at| {
            // A peak, not the shoulder of the first fall: lower somewhere before.
            let lowest = likeness[..at].iter().copied().fold(f64::INFINITY, f64::min);
            likeness[at] - lowest > 0.08
        })
        .collect();
    let best = peaks.iter().map(|&at| likeness[at]).fold(0.0, f64::max);
    let at = *peaks.iter().find(|&&at| likeness[at] >= NEARLY * best)?;
    // Between cells: the top of the parabola through three points.
    let (before, here, after) = (likeness[at - 1], likeness[at], likeness[at + 1]);
    let bend = before - 2.0 * here + after;
    #[allow(clippy::cast_precision_loss, reason = "a small number")]
    let place = at as f64;
    Some(place + if bend < 0.0 { 0.5 * (before - after) / bend } else { 0.0 })
}

/// How much of the pattern is explained by its columns' means and by its rows' means, each as a part
/// of all there is: both are large in checks, whose lines run the whole way.
pub(super) fn ruled(grid: &Grid) -> (f64, f64) {
    // In windows, so that a picture taken a little askew does not blur its own lines.
    const WINDOW: usize = 110;
    let (mut all, mut rows, mut columns) = (0.0, 0.0, 0.0);
    for top in (0..grid.height).step_by(WINDOW) {
        for left in (0..grid.width).step_by(WINDOW) {
            let (wide, high) = (WINDOW.min(grid.width - left), WINDOW.min(grid.height - top));
            if wide < WINDOW / 2 || high < WINDOW / 2 {
                continue;
            }
            for channel in 0..3 {
                let (mut by_row, mut by_column) = (vec![0.0_f64; high], vec![0.0_f64; wide]);
                let (mut sum, mut squares) = (0.0, 0.0);
                for (y, row) in by_row.iter_mut().enumerate() {
                    for (x, column) in by_column.iter_mut().enumerate() {
                        let value = f64::from(grid.shades[(top + y) * grid.width + left + x][channel]);
                        *row += value;
                        *column += value;
                        sum += value;
                        squares += value * value;
                    }
                }
                #[allow(clippy::cast_precision_loss, reason = "small numbers")]
                let (wide, high) = (wide as f64, high as f64);
                let mean = sum / (wide * high);
                all += squares - sum * mean;
                rows += by_row.iter().map(|row| (row / wide - mean).powi(2)).sum::<f64>() * wide;
                columns += by_column.iter().map(|column| (column / high - mean).powi(2)).sum::<f64>() * high;
            }
        }
    }
    if all > 0.0 { (rows / all, columns / all) } else { (0.0, 0.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_of_the_returns_is_the_repeat() {
        let wave: Vec<f64> = (0..200).map(|at| (f64::from(at) * std::f64::consts::TAU / 31.5).cos()).collect();
        let found = first_return(&wave).expect("a wave returns");
        assert!((found - 31.5).abs() < 0.1, "{found}");
        let falling: Vec<f64> = (0..200).map(|at| (-f64::from(at) / 20.0).exp()).collect();
        assert_eq!(first_return(&falling), None);
    }
}
