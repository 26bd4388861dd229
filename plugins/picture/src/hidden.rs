//! Colours that stand nowhere wide enough to show themselves: the colours found so far in, all of them out.
//!
//! A ring three pixels wide has no flat place and so no vote, and if it has some, its neighbours are
//! mixed in. But the sharp picture (`unmix`) leaves it unexplained: where many pixels that no known
//! colours explain show the same, there is a colour more. What thin colours truly are then follows from
//! the covers by least squares, and the covers from the colours, in turn. A new colour stays only if it
//! takes its part of the paper.

use crate::peaks::hills;
use crate::space::{Light, Shade, apart, light_of, shade_of};
use crate::unmix::{Kernel, Solved, Ways, unmix};
use crate::vote::{Field, Noise, Vote, nearest};
use std::ops::Range;

/// About how many pixels are asked while colours are looked for.
const FEW: usize = 60_000;
/// About how many pixels are counted for the shares.
const MANY: usize = 360_000;
/// How many rows one strip counts.
const DEEP: usize = 12;
/// How often colours and covers are solved for in turn, at most.
const ROUNDS: usize = 12;
/// The blur where the picture does not tell, in pixels.
const COMMON_BLUR: f64 = 0.7;
/// The blur from which on thin bands tell nothing, and the most that is reckoned with.
const SOFT: f64 = 1.1;
/// What a border costs, for each squared unit of noise.
const BORDER: f32 = 4.0;
/// The least share of pixels that must stray alike for a new colour.
const LEAST_STRAYS: f64 = 0.003;
/// The least share a new colour must take.
const LEAST_NEW: f64 = 0.01;
/// The least share a new colour must take that JPEG could have smeared of two others.
const LEAST_SMEAR: f64 = 0.04;
/// The least share of a thin colour that is solved for again.
const LEAST_THIN: f64 = 0.03;
/// A colour whose votes find less than this part of their window alike is thin.
const THIN: f32 = 0.4;
/// One whose votes find less than this alike, and which takes hardly anything once a new colour is
/// there, was that colour mixed with others.
const MIXED: f32 = 0.5;
/// Colours nearer than this, in stretched Oklab, are one colour.
const SAME: f32 = 3.0;
/// How firmly thin colours are held to what was seen of them, and new ones, against what the covers say.
const HOLD: (f64, f64) = (0.15, 0.1);
/// How far a colour may go at once, in stretched Oklab.
const STEP: f32 = 6.0;
/// How far a thin colour may go from what was first seen of it, in stretched Oklab, and a new one: what
/// asks for more is no thin band of one colour.
const LEASH: (f32, f32) = (8.0, 12.0);
/// Below which movement, in stretched Oklab, and for which part of the misfit before, all is settled.
const SETTLED: (f32, f64) = (0.3, 0.97);

/// One colour while all are solved for.
#[derive(Clone, Copy)]
struct Colour {
    shade: Shade,
    /// Where it was first seen.
    first: Shade,
    solid: f32,
    is_new: bool,
    /// The area it took at first, in pixels.
    area: f64,
}

/// What all rounds share.
struct Search {
    kernel: Kernel,
    ways: Ways,
    /// How many pixels are asked.
    pixels: f64,
}

/// Completes the colours `shades`, whose votes found the parts `solid` of their windows alike, and counts
/// the area of each; `near` is how far, squared, a pixel may lie from the colour it shows, and `blur` is
/// the picture's own, in pixels.
pub(crate) fn settle(
    field: Field<'_>,
    noise: Noise,
    (shades, solid): (&[Shade], &[f32]),
    near: f32,
    blur: Option<f64>,
    counts: impl Fn(usize, usize) -> bool + Sync,
) -> Vec<(Shade, f64)> {
    // The pixel is a square, of variance 1 / 12; its covers hold that much of the blur.
    let blur = blur.map_or(COMMON_BLUR, |blur| (blur * blur - 1.0 / 12.0).max(0.0).sqrt());
    let border = BORDER * noise.iter().map(|noise| noise * noise).sum::<f32>();
    let rows = strips(field, FEW);
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let pixels = ((field.frame[2] - field.frame[0]) * rows.iter().map(ExactSizeIterator::len).sum::<usize>()) as f64;
    let search =
        Search { kernel: Kernel::new(blur.clamp(0.3, SOFT)), ways: Ways { near, border, stray: near }, pixels };
    let known = shades.iter().zip(solid);
    let mut colours: Vec<Colour> =
        known.map(|(&shade, &solid)| Colour { shade, first: shade, solid, is_new: false, area: 0.0 }).collect();
    let mut refused: Vec<Shade> = Vec::new();
    let mut before = f64::INFINITY;
    // In a soft picture nothing is sure of bands so thin: it is only counted.
    let rounds = if blur > SOFT { 0 } else { ROUNDS };
    for round in 0..rounds {
        let shades = shades_of(&colours);
        let solved = unmix(field, &shades, &search.kernel, &search.ways, &rows, &counts);
        if round == 0 {
            colours.iter_mut().zip(&solved.areas).for_each(|(colour, area)| colour.area = *area);
        }
        let moved = search.refine(&mut colours, &solved);
        if let Some(gone) = search.needless(&colours, &solved) {
            refused.push(colours.remove(gone).shade);
            before = f64::INFINITY;
            continue;
        }
        let taken: Vec<Shade> = shades_of(&colours).into_iter().chain(refused.iter().copied()).collect();
        if let Some(shade) = search.hidden(&solved.strays, &taken) {
            colours.push(Colour { shade, first: shade, solid: 0.0, is_new: true, area: 0.0 });
        } else if moved < SETTLED.0 || solved.misfit > SETTLED.1 * before {
            break;
        }
        before = solved.misfit;
    }
    let shades = shades_of(&colours);
    let areas = unmix(field, &shades, &search.kernel, &search.ways, &strips(field, MANY), &counts).areas;
    shades.into_iter().zip(areas).collect()
}

/// Rows to look at, in strips over the whole height, so that about `most` pixels are asked. They lie
/// unevenly, so that no pattern keeps step with them.
fn strips(field: Field<'_>, most: usize) -> Vec<Range<usize>> {
    let [left, top, right, bottom] = field.frame;
    let high = bottom - top;
    let all = high.div_ceil(DEEP).max(1);
    let some = (most / ((right - left).max(1) * DEEP)).max(1);
    if some >= all {
        return (0..high).step_by(2 * DEEP).map(|first| first..(first + 2 * DEEP).min(high)).collect();
    }
    // Somewhere within its part of the height, by the golden section.
    let strip = |k: usize| {
        let part = k * high / some..(k + 1) * high / some;
        let first = part.start + (part.len() - DEEP) * (k * 618 % 1000) / 1000;
        first..first + DEEP
    };
    (0..some).map(strip).collect()
}

fn shades_of(colours: &[Colour]) -> Vec<Shade> {
    colours.iter().map(|colour| colour.shade).collect()
}

impl Search {
    /// Moves new and thin colours to what explains best what is seen; how far the furthest goes.
    fn refine(&self, colours: &mut [Colour], solved: &Solved) -> f32 {
        let is_free =
            |at: usize| colours[at].is_new || (colours[at].solid < THIN && solved.areas[at] > LEAST_THIN * self.pixels);
        let free: Vec<usize> = (0..colours.len()).filter(|&at| is_free(at)).collect();
        let mut most = 0.0_f32;
        for (&at, better) in free.iter().zip(refined(colours, solved, &free)) {
            let Colour { shade, first, is_new, .. } = &mut colours[at];
            let leash = if *is_new { LEASH.1 } else { LEASH.0 };
            let part = (leash / apart(better, *first).max(0.1)).min(1.0);
            let better: Shade = std::array::from_fn(|c| first[c] + part * (better[c] - first[c]));
            let far = apart(better, *shade);
            let part = (STEP / far.max(0.1)).min(1.0);
            *shade = std::array::from_fn(|c| shade[c] + part * (better[c] - shade[c]));
            most = most.max(far);
        }
        most
    }

    /// A colour that is not needed: a new one that has become another or takes nothing, or a mixture seen
    /// before that a new one explains.
    fn needless(&self, colours: &[Colour], solved: &Solved) -> Option<usize> {
        let areas = &solved.areas;
        let any_new = colours.iter().any(|colour| colour.is_new);
        (0..colours.len()).rev().find(|&at| {
            let own = colours[at];
            if !own.is_new {
                return any_new
                    && own.solid < MIXED
                    && own.area > 0.01 * self.pixels
                    && areas[at] < (0.25 * own.area).max(0.005 * self.pixels);
            }
            let double = colours.iter().enumerate().any(|(other, colour)| {
                other != at && apart(colour.shade, own.shade) < SAME && (!colour.is_new || areas[other] >= areas[at])
            });
            let others = |from: usize| (from..colours.len()).filter(|&other| other != at);
            let smeared = areas[at] < LEAST_SMEAR * self.pixels
                && others(0)
                    .any(|one| others(one + 1).any(|two| is_smear(own.shade, colours[one].shade, colours[two].shade)));
            double || smeared || areas[at] < LEAST_NEW * self.pixels
        })
    }

    /// The colour that most of the strays show, if enough show one that is not `taken`.
    fn hidden(&self, strays: &[Vote], taken: &[Shade]) -> Option<Shade> {
        /// How far strays of one colour scatter, in stretched Oklab.
        const SCATTER: f32 = 1.5;
        let (hill, count) = hills(strays, SCATTER);
        let mut sums = vec![([0.0_f32; 3], 0.0_f32); count];
        for (vote, &hill) in strays.iter().zip(&hill) {
            sums[hill].0.iter_mut().zip(vote.shade).for_each(|(sum, value)| *sum += value);
            sums[hill].1 += 1.0;
        }
        sums.into_iter()
            .filter(|(_, count)| f64::from(*count) >= (LEAST_STRAYS * self.pixels).max(12.0))
            .map(|(sum, count)| sum.map(|sum| sum / count))
            .find(|&shade| nearest(taken, shade).is_none_or(|(_, far)| far.sqrt() > SAME + 0.4))
    }
}

/// Whether a shade lies between two others in lightness, and in hue and chroma too, each by its own
/// measure: JPEG keeps colour more coarsely than lightness and smears the one further than the other.
pub(crate) fn is_smear([l, a, b]: Shade, from: Shade, to: Shade) -> bool {
    let (da, db) = (to[1] - from[1], to[2] - from[2]);
    let part = ((a - from[1]) * da + (b - from[2]) * db) / (da * da + db * db).max(1e-3);
    let (off_a, off_b) = (a - from[1] - part * da, b - from[2] - part * db);
    (0.1..=0.9).contains(&part)
        && off_a * off_a + off_b * off_b < 4.0
        && (from[0].min(to[0]) - 1.5..=from[0].max(to[0]) + 1.5).contains(&l)
}

/// What the `free` colours must be to explain best what is seen, given the covers and all others.
fn refined(colours: &[Colour], solved: &Solved, free: &[usize]) -> Vec<Shade> {
    let lights: Vec<Light> = colours.iter().map(|colour| light_of(colour.shade)).collect();
    let normal = |one: usize, two: usize| solved.normal[one * colours.len() + two];
    let mut matrix: Vec<Vec<f64>> =
        free.iter().map(|&one| free.iter().map(|&two| normal(one, two)).collect()).collect();
    let mut right: Vec<Light> = Vec::with_capacity(free.len());
    for (row, &one) in free.iter().enumerate() {
        let hold = normal(one, one) * if colours[one].is_new { HOLD.1 } else { HOLD.0 };
        matrix[row][row] += hold + 1e-6;
        let first = light_of(colours[one].first);
        right.push(std::array::from_fn(|c| {
            let shown: f64 = (0..colours.len()).map(|two| normal(one, two) * lights[two][c]).sum();
            solved.right[one][c] - shown + hold * (first[c] - lights[one][c])
        }));
    }
    // Gauss, without exchanging rows: the matrix is positive.
    for at in 0..free.len() {
        let (row, light) = (matrix[at].clone(), right[at]);
        for below in at + 1..free.len() {
            let part = matrix[below][at] / row[at];
            matrix[below].iter_mut().zip(&row).for_each(|(value, above)| *value -= part * above);
            right[below].iter_mut().zip(light).for_each(|(value, above)| *value -= part * above);
        }
    }
    for at in (0..free.len()).rev() {
        let rest: Light =
            std::array::from_fn(|c| (at + 1..free.len()).map(|column| matrix[at][column] * right[column][c]).sum());
        right[at] = std::array::from_fn(|c| (right[at][c] - rest[c]) / matrix[at][at]);
    }
    free.iter()
        .zip(right)
        .map(|(&at, step)| shade_of(std::array::from_fn(|c| (lights[at][c] + step[c]).clamp(0.001, 1.0))))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use libm::erf;

    const WIDE: usize = 200;
    const NOISE: Noise = [0.3, 0.2, 0.2];

    /// Upright stripes of colours and widths, again and again, blurred by `blur`.
    fn striped(stripes: &[(Light, f64)], blur: f64) -> Vec<Shade> {
        let period: f64 = stripes.iter().map(|stripe| stripe.1).sum();
        let row: Vec<Shade> = (0..WIDE)
            .map(|x| {
                let x = f64::from(u32::try_from(x).unwrap_or(0)) + 0.5;
                let mut light = [0.0; 3];
                for time in -1..=200 {
                    let mut left = f64::from(time) * period;
                    for (own, width) in stripes {
                        let side = |edge: f64| 0.5 * erf((edge - x) / (blur * std::f64::consts::SQRT_2));
                        let part = side(left + width) - side(left);
                        (0..3).for_each(|c| light[c] += part * own[c]);
                        left += width;
                    }
                }
                shade_of(light)
            })
            .collect();
        (0..WIDE).flat_map(|_| row.iter().copied()).collect()
    }

    /// Settles stripes whose first `known` colours are known; colours found and their shares.
    fn settled(stripes: &[(Light, f64)], known: &[usize]) -> Vec<(Shade, f64)> {
        let shades = striped(stripes, 0.75);
        let field = Field { shades: &shades, width: WIDE, frame: [0, 0, WIDE, WIDE] };
        let known: Vec<Shade> = known.iter().map(|&at| shade_of(stripes[at].0)).collect();
        let solid = vec![0.9; known.len()];
        let found = settle(field, NOISE, (&known, &solid), 4.0, Some(0.75), |_, _| true);
        let all: f64 = found.iter().map(|(_, area)| area).sum();
        found.into_iter().map(|(shade, area)| (shade, area / all)).collect()
    }

    const DARK: Light = [0.05, 0.06, 0.09];
    const PALE: Light = [0.75, 0.72, 0.65];
    /// Halfway in light between the two.
    const MIDDLING: Light = [0.40, 0.39, 0.37];
    const RED: Light = [0.45, 0.06, 0.08];

    #[test]
    fn a_band_three_pixels_wide_is_found_and_measured() {
        let stripes = [(DARK, 14.3), (RED, 3.2), (PALE, 16.1)];
        let found = settled(&stripes, &[0, 2]);
        assert_eq!(found.len(), 3, "{found:?}");
        let off = apart(found[2].0, shade_of(RED));
        assert!(off < 4.0, "{found:?}: off by {off}");
        for (at, width) in [(0, 14.3), (1, 16.1), (2, 3.2)] {
            assert!((found[at].1 - width / 33.6).abs() < 0.02, "{found:?}");
        }
    }

    #[test]
    fn a_step_is_not_counted_for_the_colour_it_passes_through() {
        // The middling colour has a stripe of its own, and as much again where dark meets pale if counted
        // by likeness alone.
        let stripes = [(DARK, 9.0), (PALE, 9.0), (DARK, 9.0), (PALE, 9.0), (MIDDLING, 9.0)];
        let found = settled(&stripes, &[0, 1, 4]);
        assert_eq!(found.len(), 3, "{found:?}");
        for (at, share) in [(0, 0.4), (1, 0.4), (2, 0.2)] {
            assert!((found[at].1 - share).abs() < 0.012, "{found:?}");
        }
    }

    #[test]
    fn where_all_is_explained_nothing_is_added() {
        let stripes = [(DARK, 9.0), (PALE, 2.4), (RED, 12.3), (PALE, 7.1)];
        let found = settled(&stripes, &[0, 1, 2]);
        assert_eq!(found.len(), 3, "{found:?}");
        assert!((found[1].1 - 9.5 / 30.8).abs() < 0.015, "{found:?}");
    }
}
