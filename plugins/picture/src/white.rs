//! Where the white is: a picture in, samples of white and the outline of what is printed out.
//!
//! An unprinted margin is flat, bright and nearly without colour, it runs along the picture's edge,
//! and it ends in straight lines. A pale printed ground that runs off the picture has no such lines,
//! so it is not taken for white.

use crate::bands::bands;
use crate::space::{Light, apart, shade_of};
use crate::surface::{Sample, Surface, place};
use crate::work::Work;

/// The most the light differs within a flat block, as a part of its mean.
const FLAT: f64 = 0.09;
/// The most the light changes from one block of margin to the next, as a logarithm.
const STEP: f64 = 0.06;
/// The least brightness of margin as a part of the brightest margin in the picture.
const DIMMEST: f64 = 0.3;
/// The most red differs from blue in a white, as a logarithm: candle light and open shade lie within.
const TINT: f64 = 1.1;
/// How far from white, in stretched Oklab, the margin has ended.
const ENDED: f32 = 4.0;

/// A straight edge of what is printed: `at + slope × along`, in pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Edge {
    at: f64,
    slope: f64,
}

impl Edge {
    fn value(self, along: f64) -> f64 {
        self.at + self.slope * along
    }
}

/// What is printed, in pixels of the measured picture: between four edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Printed {
    left: Edge,
    right: Edge,
    top: Edge,
    bottom: Edge,
}

impl Printed {
    /// The whole picture.
    pub(crate) fn whole(width: usize, height: usize) -> Self {
        let edge = |at| Edge { at, slope: 0.0 };
        #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
        let (w, h) = (width as f64, height as f64);
        Self { left: edge(-0.5), right: edge(w), top: edge(-0.5), bottom: edge(h) }
    }

    /// Whether the middle of a pixel is printed on, at least `guard` pixels inside.
    pub(crate) fn holds(&self, x: f64, y: f64, guard: f64) -> bool {
        x >= self.left.value(y) + guard
            && x <= self.right.value(y) - guard
            && y >= self.top.value(x) + guard
            && y <= self.bottom.value(x) - guard
    }

    /// The rectangle of whole pixels that lies inside all four edges: left, top, right, bottom, the
    /// last two just outside. `None` where nothing is left.
    pub(crate) fn inner(&self, width: usize, height: usize) -> Option<[usize; 4]> {
        #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
        let (w, h) = (width as f64, height as f64);
        let low = |edge: Edge, along: f64| edge.value(0.0).max(edge.value(along)).max(0.0).ceil();
        let high =
            |edge: Edge, along: f64, most: f64| edge.value(0.0).min(edge.value(along)).min(most - 1.0).floor() + 1.0;
        let sides = [low(self.left, h), low(self.top, w), high(self.right, h, w), high(self.bottom, w, h)];
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held within the picture")]
        let [left, top, right, bottom] = sides.map(|side| side.max(0.0) as usize);
        (left < right && top < bottom && right <= width && bottom <= height).then_some([left, top, right, bottom])
    }
}

/// White found in a picture.
pub(crate) struct Margin {
    pub(crate) samples: Vec<Sample>,
    pub(crate) surface: Surface,
    pub(crate) printed: Printed,
    /// The share of margin where the picture is at full strength, so that its light cannot be told.
    pub(crate) burnt: f64,
}

/// Blocks of a picture: the mean light of each and how much it differs within.
struct Blocks {
    side: usize,
    across: usize,
    down: usize,
    light: Vec<Light>,
    flat: Vec<bool>,
}

impl Blocks {
    fn of(work: &Work) -> Self {
        let side = (work.width.min(work.height) / 110).clamp(3, 32);
        let (across, down) = (work.width / side, work.height / side);
        let rows = bands(down, |rows| {
            let mut found = Vec::with_capacity(rows.len() * across);
            for row in rows {
                for column in 0..across {
                    let (mut sum, mut squares) = ([0.0_f64; 3], 0.0);
                    for y in row * side..(row + 1) * side {
                        for light in &work.light[y * work.width + column * side..][..side] {
                            let luma = f64::from(light[0] + 2.0 * light[1] + light[2]) / 4.0;
                            squares += luma * luma;
                            sum.iter_mut().zip(light).for_each(|(sum, light)| *sum += f64::from(*light));
                        }
                    }
                    #[allow(clippy::cast_precision_loss, reason = "a small whole number")]
                    let count = (side * side) as f64;
                    let light = sum.map(|sum| (sum / count).max(1e-5));
                    let luma = (light[0] + 2.0 * light[1] + light[2]) / 4.0;
                    let spread = (squares / count - luma * luma).max(0.0).sqrt() / luma;
                    found.push((light, spread <= FLAT));
                }
            }
            found
        });
        let (light, flat) = rows.into_iter().flatten().unzip();
        Self { side, across, down, light, flat }
    }

    fn luma(&self, at: usize) -> f64 {
        let [r, g, b] = self.light[at];
        (r + 2.0 * g + b) / 4.0
    }

    /// The largest change of any channel from one block to another, as a logarithm.
    fn step(&self, one: usize, two: usize) -> f64 {
        (0..3).map(|c| (self.light[one][c] / self.light[two][c]).ln().abs()).fold(0.0, f64::max)
    }

    fn neighbours(&self, at: usize) -> impl Iterator<Item = usize> {
        let (x, y) = (at % self.across, at / self.across);
        let left = (x > 0).then(|| at - 1);
        let right = (x + 1 < self.across).then_some(at + 1);
        let up = (y > 0).then(|| at - self.across);
        let below = (y + 1 < self.down).then_some(at + self.across);
        [left, right, up, below].into_iter().flatten()
    }

    /// The blocks that look like a margin, spread inwards from the picture's edge.
    fn margin(&self) -> Option<Vec<bool>> {
        let rim: Vec<usize> = (0..self.light.len())
            .filter(|at| {
                let (x, y) = (at % self.across, at / self.across);
                x == 0 || y == 0 || x + 1 == self.across || y + 1 == self.down
            })
            .collect();
        let white = |at: usize| self.flat[at] && (self.light[at][0] / self.light[at][2]).ln().abs() <= TINT;
        let mut bright: Vec<f64> = rim.iter().filter(|at| white(**at)).map(|at| self.luma(*at)).collect();
        bright.sort_by(f64::total_cmp);
        let brightest = *bright.get(bright.len().saturating_sub(1) * 9 / 10)?;
        let mut open: Vec<usize> =
            rim.iter().copied().filter(|&at| white(at) && self.luma(at) >= DIMMEST * brightest).collect();
        if open.len() * 5 < rim.len() {
            return None;
        }
        let mut margin = vec![false; self.light.len()];
        open.iter().for_each(|&at| margin[at] = true);
        while let Some(at) = open.pop() {
            for next in self.neighbours(at) {
                if !margin[next] && white(next) && self.step(at, next) <= STEP {
                    margin[next] = true;
                    open.push(next);
                }
            }
        }
        Some(margin)
    }

    /// Samples of the blocks marked in `chosen`.
    fn samples(&self, work: &Work, chosen: impl Fn(usize) -> bool) -> Vec<Sample> {
        (0..self.light.len())
            .filter(|at| chosen(*at))
            .map(|at| {
                #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
                let middle = |block: usize| (block * self.side) as f64 + (self.side - 1) as f64 / 2.0;
                let (x, y) = place(middle(at % self.across), middle(at / self.across), work.width, work.height);
                Sample { x, y, light: self.light[at], weight: 1.0, group: None }
            })
            .collect()
    }
}

/// Looks for an unprinted margin. `white` is what white paper's light would be under even light.
pub(crate) fn margin(work: &Work, white: Light) -> Option<Margin> {
    if work.width.min(work.height) < 40 {
        return None;
    }
    let blocks = Blocks::of(work);
    let marked = blocks.margin()?;
    let samples = blocks.samples(work, |at| marked[at]);
    let surface = Surface::fit(&samples, white, 3).or_else(|| Surface::fit(&samples, white, 1))?;
    let printed = edges(work, &surface, white)?;
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let outside = |at: usize| {
        let (x, y) = ((at % blocks.across * blocks.side) as f64, (at / blocks.across * blocks.side) as f64);
        let far = (blocks.side - 1) as f64;
        // All four corners outside, with two pixels to spare.
        [(x, y), (x + far, y), (x, y + far), (x + far, y + far)].iter().all(|(x, y)| !printed.holds(*x, *y, -2.0))
    };
    let samples = blocks.samples(work, |at| marked[at] && outside(at));
    let surface = Surface::fit(&samples, white, 3)?;
    let full = samples.iter().filter(|sample| sample.light.iter().any(|light| *light > 0.985)).count();
    #[allow(clippy::cast_precision_loss, reason = "far fewer than 2^52")]
    let burnt = full as f64 / samples.len().max(1) as f64;
    Some(Margin { samples, surface, printed, burnt })
}

/// White in a rectangle of the measured picture, given as left, top, right, bottom.
pub(crate) fn patch(work: &Work, [left, top, right, bottom]: [usize; 4]) -> Vec<Sample> {
    let mut sum = [0.0_f64; 3];
    for row in top..bottom {
        for light in &work.light[row * work.width + left..row * work.width + right] {
            sum.iter_mut().zip(light).for_each(|(sum, light)| *sum += f64::from(*light));
        }
    }
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let (count, middle) =
        (((right - left) * (bottom - top)) as f64, |one: usize, two: usize| (one + two - 1) as f64 / 2.0);
    let (x, y) = place(middle(left, right), middle(top, bottom), work.width, work.height);
    vec![Sample { x, y, light: sum.map(|sum| (sum / count).max(1e-5)), weight: 1.0, group: None }]
}

/// The straight edges of what is printed; `None` unless two sides at least have one.
fn edges(work: &Work, surface: &Surface, white: Light) -> Option<Printed> {
    let gains = surface.gains(work.width, work.height);
    let paper = shade_of(white);
    let (width, height) = (work.width, work.height);
    let away = |x: usize, y: usize| apart(gains.shade_at(x, y, work.light[y * width + x]), paper);
    let [left, right, top, bottom] = [
        side(width, height, |along, deep| away(deep, along)),
        side(width, height, |along, deep| away(width - 1 - deep, along)),
        side(height, width, away),
        side(height, width, |along, deep| away(along, height - 1 - deep)),
    ];
    if [left, right, top, bottom].iter().flatten().count() < 2 {
        return None;
    }
    let whole = Printed::whole(width, height);
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let mirrored = |edge: Edge, size: usize| Edge { at: (size - 1) as f64 - edge.at, slope: -edge.slope };
    Some(Printed {
        left: left.unwrap_or(whole.left),
        right: right.map_or(whole.right, |edge| mirrored(edge, width)),
        top: top.unwrap_or(whole.top),
        bottom: bottom.map_or(whole.bottom, |edge| mirrored(edge, height)),
    })
}

/// The straight edge of the print seen from one side: for each line along that side, how deep the
/// first print lies; then the line most of those points agree on, nearest to the picture's edge.
fn side(depth: usize, length: usize, away: impl Fn(usize, usize) -> f32) -> Option<Edge> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for along in 0..length {
        let printed = |deep: usize| away(along, deep) > ENDED;
        let Some(first) =
            (0..depth.saturating_sub(4)).find(|&deep| printed(deep) && printed(deep + 1) && printed(deep + 2))
        else {
            continue;
        };
        // Between pixels: where the way from white to the ink behind is half done.
        let ink = away(along, first + 3).max(ENDED);
        let mut deep = first.saturating_sub(2);
        while deep < first + 3 && away(along, deep) < ink / 2.0 {
            deep += 1;
        }
        let (before, after) = (if deep == 0 { 0.0 } else { away(along, deep - 1) }, away(along, deep));
        #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
        let (along, deep) = (along as f64, deep as f64);
        let part = if after > before { f64::from((after - ink / 2.0) / (after - before)).clamp(0.0, 1.0) } else { 0.0 };
        points.push((along, deep - part));
    }
    // Motifs left white at the edge make some points lie too deep: start from the shallow ones.
    let mut depths: Vec<f64> = points.iter().map(|point| point.1).collect();
    depths.sort_by(f64::total_cmp);
    let shallow = *depths.get(depths.len() / 5)?;
    if shallow < 2.0 || points.len() * 4 < length {
        return None;
    }
    let mut edge = Edge { at: shallow, slope: 0.0 };
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let mut reach = (length as f64 * 0.02).max(3.0);
    for _ in 0..12 {
        let near: Vec<(f64, f64)> =
            points.iter().copied().filter(|point| (point.1 - edge.value(point.0)).abs() <= reach).collect();
        edge = line(&near).unwrap_or(edge);
        reach = (reach * 0.7).max(1.5);
    }
    let on = points.iter().filter(|point| (point.1 - edge.value(point.0)).abs() <= 1.5).count();
    // Straight only if much of the side lies on it.
    (on * 100 >= length * 30 && on * 100 >= points.len() * 40).then_some(edge)
}

/// The line of least squares through points.
fn line(points: &[(f64, f64)]) -> Option<Edge> {
    #[allow(clippy::cast_precision_loss, reason = "far fewer than 2^52")]
    let count = points.len() as f64;
    if count < 2.0 {
        return None;
    }
    let (mean_x, mean_y) =
        (points.iter().map(|p| p.0).sum::<f64>() / count, points.iter().map(|p| p.1).sum::<f64>() / count);
    let spread: f64 = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
    if spread <= 0.0 {
        return None;
    }
    let slope = points.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum::<f64>() / spread;
    Some(Edge { at: mean_y - slope * mean_x, slope })
}
