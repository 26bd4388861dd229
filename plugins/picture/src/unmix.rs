//! What every pixel is mixed of: the colours, the blur and the evened shades in, a sharp map of covers out.
//!
//! Lens and pixels mix neighbours in light, in known proportion. So the sharp picture is looked for
//! that, blurred again, comes nearest to what is seen: each pixel one colour, or two in a proportion
//! (least squares, one pixel after the other, the best for it while all others stay), and of two that
//! explain the same the one with the shorter borders (total variation: Rudin, Osher and Fatemi 1992).
//! A step from dark to light so never counts for the middling colour it passes through, and a band
//! two pixels wide still takes its two pixels. It never changes or finds a colour.

use crate::bands::bands;
use crate::space::{Light, Shade, cube_root, light_of, shade};
use crate::vote::{Field, Vote, nearest};
use std::ops::Range;

/// How far the blur reaches, in pixels.
const REACH: usize = 2;
/// How wide its square is.
const SIDE: usize = 2 * REACH + 1;
/// How many more rows are solved on either side of those that count.
const RIM: usize = 4;
/// How often all pixels are gone through.
const SWEEPS: usize = 5;
/// Mixtures of less than this are none.
const LEAST_PART: f32 = 0.03;
/// The most colours tried for one pixel.
const MOST_COLOURS: usize = 6;

/// A picture's blur, the pixel's own square left out.
pub(crate) struct Kernel {
    weights: [f32; SIDE * SIDE],
    /// The sum of the weights' squares.
    square: f32,
}

impl Kernel {
    /// A normal curve of deviation `blur` in pixels, both ways.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "a few small numbers")]
    pub(crate) fn new(blur: f64) -> Self {
        let at = |place: usize| {
            let away = place as f64 - REACH as f64;
            (-away * away / (2.0 * blur * blur)).exp()
        };
        let sum: f64 = (0..SIDE).map(at).sum();
        let weights: [f32; SIDE * SIDE] = std::array::from_fn(|k| (at(k / SIDE) * at(k % SIDE) / (sum * sum)) as f32);
        Self { square: weights.iter().map(|weight| weight * weight).sum(), weights }
    }

    /// The weighted sum of what `of` gives for the places about the one at `at`, rows `wide` apart.
    #[inline]
    fn blurred(&self, at: usize, wide: usize, of: impl Fn(usize) -> [f32; 3]) -> [f32; 3] {
        let corner = at - REACH * wide - REACH;
        let mut sum = [0.0; 3];
        for (row, weights) in self.weights.chunks_exact(SIDE).enumerate() {
            for (column, weight) in weights.iter().enumerate() {
                let value = of(corner + row * wide + column);
                (0..3).for_each(|c| sum[c] += weight * value[c]);
            }
        }
        sum
    }
}

/// What the solving is held to.
pub(crate) struct Ways {
    /// How far, squared, a pixel may lie from the colour it shows.
    pub(crate) near: f32,
    /// What a pixel unlike all its neighbours costs, against squared units of lightness.
    pub(crate) border: f32,
    /// From which misfit on a pixel is not explained, in squared units of lightness.
    pub(crate) stray: f32,
}

/// What was found in the rows asked.
#[derive(Clone)]
pub(crate) struct Solved {
    /// The area of each colour, in pixels.
    pub(crate) areas: Vec<f64>,
    /// Least squares for the colours themselves: the products of their blurred covers, summed over the
    /// pixels that are not plainly one colour, row by row.
    pub(crate) normal: Vec<f64>,
    /// The same covers times the light seen.
    pub(crate) right: Vec<Light>,
    /// The misfit of those pixels, each at most that of a stray.
    pub(crate) misfit: f64,
    /// Places no mixture of the colours explains: the crests of the misfit, and what they show, sharpened.
    pub(crate) strays: Vec<Vote>,
}

impl Solved {
    fn none(count: usize) -> Self {
        Self {
            areas: vec![0.0; count],
            normal: vec![0.0; count * count],
            right: vec![[0.0; 3]; count],
            misfit: 0.0,
            strays: Vec::new(),
        }
    }

    fn and(mut self, other: Self) -> Self {
        self.areas.iter_mut().zip(other.areas).for_each(|(sum, part)| *sum += part);
        self.normal.iter_mut().zip(other.normal).for_each(|(sum, part)| *sum += part);
        self.right.iter_mut().zip(other.right).for_each(|(sum, part)| (0..3).for_each(|c| sum[c] += part[c]));
        self.misfit += other.misfit;
        self.strays.extend(other.strays);
        self
    }
}

/// Solves the strips of `field` for `colours`; `counts` says of a pixel whether it is printed.
pub(crate) fn unmix(
    field: Field<'_>,
    colours: &[Shade],
    kernel: &Kernel,
    ways: &Ways,
    strips: &[Range<usize>],
    counts: &(impl Fn(usize, usize) -> bool + Sync),
) -> Solved {
    let lights: Vec<[f32; 3]> = colours.iter().map(|&shade| light(shade)).collect();
    let mut none = Solved::none(colours.len());
    let [left, top, right, bottom] = field.frame;
    if lights.is_empty() || right - left <= 2 * SIDE || bottom - top <= 2 * SIDE {
        // Too small for a blur to be told: each pixel is of the colour it is nearest to.
        for y in strips.iter().cloned().flatten().map(|row| top + row) {
            for x in (left..right).filter(|&x| counts(x, y)) {
                if let Some((own, _)) = nearest(colours, field.at(x, y)) {
                    none.areas[own] += 1.0;
                }
            }
        }
        return none;
    }
    let parts = bands(strips.len(), |part| {
        strips[part].iter().fold(none.clone(), |sum, rows| {
            let mut strip = Strip::new(field, rows, colours, &lights, ways.near);
            strip.predict(kernel);
            for turn in 0..SWEEPS {
                strip.sweep(kernel, ways.border, turn);
            }
            sum.and(strip.solved(kernel, ways, rows.len(), counts))
        })
    });
    parts.into_iter().fold(none, Solved::and)
}

/// What one pixel is made of: two colours, and how much of the second.
#[derive(Clone, Copy, PartialEq)]
struct Cover {
    one: u16,
    two: u16,
    part: f32,
}

impl Cover {
    fn whole(colour: u16) -> Self {
        Self { one: colour, two: colour, part: 0.0 }
    }

    /// How much of it is of a colour.
    fn of(self, colour: u16) -> f32 {
        let first = if self.one == colour { 1.0 - self.part } else { 0.0 };
        if self.two == colour { first + self.part } else { first }
    }

    /// How much both have in common, 0 to 1.
    fn common(self, other: Self) -> f32 {
        let first = (1.0 - self.part).min(other.of(self.one));
        if self.part > 0.0 { first + self.part.min(other.of(self.two)) } else { first }
    }
}

/// Some rows while they are solved.
struct Strip<'a> {
    /// Where its first pixel lies in the field.
    corner: (usize, usize),
    wide: usize,
    high: usize,
    /// How many rows above those that count.
    above: usize,
    colours: &'a [[f32; 3]],
    covers: Vec<Cover>,
    /// The places that are not plainly one colour, and have all the blur needs about them.
    open: Vec<usize>,
    /// The light seen, where it is needed.
    seen: Vec<[f32; 3]>,
    /// How much each channel counts at the open places.
    weights: Vec<[f32; 3]>,
    /// What is seen less what the covers would show.
    off: Vec<[f32; 3]>,
    /// In which sweep something last changed near by.
    stirred: Vec<usize>,
}

/// How much a channel's light counts, so that a change of one unit of lightness in all three counts one.
fn weight(light: f32) -> f32 {
    let root = cube_root(light.max(0.0) + 0.01);
    363.0 / (root * root * root * root)
}

fn light(shade: Shade) -> [f32; 3] {
    #[allow(clippy::cast_possible_truncation, reason = "from 0 to 1; single precision is enough")]
    let light = light_of(shade).map(|value| value as f32);
    light
}

impl<'a> Strip<'a> {
    fn new(field: Field<'_>, rows: &Range<usize>, shades: &[Shade], colours: &'a [[f32; 3]], near: f32) -> Self {
        let [left, top, right, bottom] = field.frame;
        let first = (top + rows.start).saturating_sub(RIM).max(top);
        let last = (top + rows.end + RIM).min(bottom);
        let (wide, high) = (right - left, last - first);
        let all = wide * high;
        let mut covers = Vec::with_capacity(all);
        let mut sure = Vec::with_capacity(all);
        for y in first..last {
            for x in left..right {
                let (own, far) = nearest(shades, field.at(x, y)).unwrap_or((0, 0.0));
                covers.push(Cover::whole(u16::try_from(own).unwrap_or(0)));
                sure.push(far <= near);
            }
        }
        let mut strip = Self {
            corner: (left, first),
            wide,
            high,
            above: top + rows.start - first,
            colours,
            covers,
            open: Vec::new(),
            seen: vec![[0.0; 3]; all],
            weights: vec![[0.0; 3]; all],
            off: vec![[0.0; 3]; all],
            stirred: vec![0; all],
        };
        let mut needed = vec![false; all];
        for y in REACH..high - REACH {
            for x in REACH..wide - REACH {
                let at = y * wide + x;
                let own = strip.covers[at].one;
                let plain = |at: usize| sure[at] && strip.covers[at].one == own;
                if [at - wide, at, at + wide].into_iter().all(|at| plain(at - 1) && plain(at) && plain(at + 1)) {
                    continue;
                }
                strip.open.push(at);
                for row in 0..SIDE {
                    needed[at + row * wide - REACH * wide - REACH..][..SIDE].fill(true);
                }
            }
        }
        for (at, _) in needed.iter().enumerate().filter(|(_, needed)| **needed) {
            strip.seen[at] = light(field.at(left + at % wide, first + at / wide));
            strip.weights[at] = strip.seen[at].map(weight);
        }
        strip
    }

    fn value(&self, cover: Cover) -> [f32; 3] {
        let (one, two) = (self.colours[usize::from(cover.one)], self.colours[usize::from(cover.two)]);
        std::array::from_fn(|c| one[c] + (two[c] - one[c]) * cover.part)
    }

    /// Whether the blur about a place lies within the strip.
    fn holds(&self, at: usize) -> bool {
        let (x, y) = (at % self.wide, at / self.wide);
        (REACH..self.wide - REACH).contains(&x) && (REACH..self.high - REACH).contains(&y)
    }

    /// Fills in what is off, where it is needed.
    fn predict(&mut self, kernel: &Kernel) {
        for at in 0..self.off.len() {
            if self.weights[at][0] > 0.0 && self.holds(at) {
                let shown = kernel.blurred(at, self.wide, |at| self.value(self.covers[at]));
                self.off[at] = std::array::from_fn(|c| self.seen[at][c] - shown[c]);
            }
        }
    }

    /// Goes through all open places once, backwards every other `turn`, and gives each its best cover while
    /// all others stay; places where nothing has changed since they were asked are left alone.
    fn sweep(&mut self, kernel: &Kernel, border: f32, turn: usize) {
        for k in 0..self.open.len() {
            let at = self.open[if turn % 2 == 1 { self.open.len() - 1 - k } else { k }];
            if self.stirred[at] + 1 < turn {
                continue;
            }
            let was = self.covers[at];
            let now = self.best(kernel, border, at);
            if (now.one, now.two) != (was.one, was.two) || (now.part - was.part).abs() > LEAST_PART {
                let (before, after) = (self.value(was), self.value(now));
                self.covers[at] = now;
                let corner = at - REACH * self.wide - REACH;
                for (k, weight) in kernel.weights.iter().enumerate() {
                    let near = corner + k / SIDE * self.wide + k % SIDE;
                    self.stirred[near] = turn;
                    let off = &mut self.off[near];
                    (0..3).for_each(|c| off[c] -= weight * (after[c] - before[c]));
                }
            }
        }
    }

    /// The cover of one place that costs least.
    fn best(&self, kernel: &Kernel, border: f32, at: usize) -> Cover {
        let was = self.covers[at];
        // The light here that would explain best what is seen about: the sum of squares is a bowl round it.
        let pull = kernel.blurred(at, self.wide, |at| self.off[at]);
        let value = self.value(was);
        let wanted: [f32; 3] = std::array::from_fn(|c| value[c] + pull[c] / kernel.square);
        let bowl = self.weights[at].map(|weight| weight * kernel.square);
        let wide = self.wide;
        let about = [at - 1, at + 1, at - wide, at + wide, at - wide - 1, at - wide + 1, at + wide - 1, at + wide + 1]
            .map(|at| self.covers[at]);
        let (mut some, mut count) = ([0_u16; MOST_COLOURS], 0);
        for cover in about.into_iter().chain([was]) {
            for colour in [cover.one, cover.two] {
                if count < MOST_COLOURS && !some[..count].contains(&colour) {
                    some[count] = colour;
                    count += 1;
                }
            }
        }
        if count == 1 {
            return Cover::whole(some[0]);
        }
        let cost = |cover: Cover| -> f32 {
            let value = self.value(cover);
            let misfit: f32 = (0..3).map(|c| bowl[c] * (value[c] - wanted[c]).powi(2)).sum();
            // Corners are further away by the root of two.
            let unlike = |covers: &[Cover]| covers.iter().map(|other| 1.0 - cover.common(*other)).sum::<f32>();
            misfit + border * (unlike(&about[..4]) + 0.7 * unlike(&about[4..]))
        };
        let mut best = (cost(was), was);
        let mut ask = |cover: Cover| {
            let cost = cost(cover);
            if cost < best.0 {
                best = (cost, cover);
            }
        };
        for (k, &one) in some[..count].iter().enumerate() {
            ask(Cover::whole(one));
            let from = self.colours[usize::from(one)];
            for &two in &some[k + 1..count] {
                let to = self.colours[usize::from(two)];
                let (mut dot, mut long) = (0.0, 1e-9);
                for c in 0..3 {
                    dot += bowl[c] * (wanted[c] - from[c]) * (to[c] - from[c]);
                    long += bowl[c] * (to[c] - from[c]).powi(2);
                }
                let part = dot / long;
                if (LEAST_PART..=1.0 - LEAST_PART).contains(&part) {
                    ask(Cover { one, two, part });
                }
            }
        }
        best.1
    }

    /// The sums over the rows that count, of which there are `rows`.
    fn solved(&self, kernel: &Kernel, ways: &Ways, rows: usize, counts: &impl Fn(usize, usize) -> bool) -> Solved {
        let count = self.colours.len();
        let mut solved = Solved::none(count);
        let inner = self.above * self.wide..(self.above + rows) * self.wide;
        for at in inner.clone() {
            if counts(self.corner.0 + at % self.wide, self.corner.1 + at / self.wide) {
                let cover = self.covers[at];
                solved.areas[usize::from(cover.one)] += f64::from(1.0 - cover.part);
                solved.areas[usize::from(cover.two)] += f64::from(cover.part);
            }
        }
        let mut row = vec![0.0_f64; count];
        for &at in self.open.iter().filter(|at| inner.contains(at)) {
            solved.misfit += f64::from(self.misfit(at).min(ways.stray));
            if let Some(shade) = self.stray(kernel, at, ways.stray) {
                let place = |value: usize| u32::try_from(value).unwrap_or(0);
                let (x, y) = (place(self.corner.0 + at % self.wide), place(self.corner.1 + at / self.wide));
                solved.strays.push(Vote { x, y, shade, alike: 1 });
            }
            row.fill(0.0);
            let corner = at - REACH * self.wide - REACH;
            for (k, weight) in kernel.weights.iter().enumerate() {
                let cover = self.covers[corner + k / SIDE * self.wide + k % SIDE];
                row[usize::from(cover.one)] += f64::from(weight * (1.0 - cover.part));
                row[usize::from(cover.two)] += f64::from(weight * cover.part);
            }
            let weight = f64::from(self.weights[at].iter().sum::<f32>() / 3.0);
            for one in (0..count).filter(|&one| row[one] > 0.0) {
                for two in 0..count {
                    solved.normal[one * count + two] += weight * row[one] * row[two];
                }
                for c in 0..3 {
                    solved.right[one][c] += weight * row[one] * f64::from(self.seen[at][c]);
                }
            }
        }
        solved
    }

    /// How badly a place is explained, in squared units of lightness.
    fn misfit(&self, at: usize) -> f32 {
        (0..3).map(|c| self.weights[at][c] * self.off[at][c].powi(2)).sum()
    }

    /// What a place shows that is explained worse than `limit`, on a crest that goes on to either side.
    fn stray(&self, kernel: &Kernel, at: usize, limit: f32) -> Option<Shade> {
        let own = self.misfit(at);
        if own < limit || !self.holds(at - self.wide - 1) || !self.holds(at + self.wide + 1) {
            return None;
        }
        let steps = [1, self.wide, self.wide + 1, self.wide - 1];
        let is_crest = (0..4).any(|k| {
            let (over, along) = (steps[k], steps[k ^ 1]);
            [at - over, at + over].into_iter().all(|at| self.misfit(at) <= own)
                && [at - along, at + along].into_iter().all(|at| self.misfit(at) > 0.5 * limit)
        });
        if !is_crest {
            return None;
        }
        // One step of sharpening (Van Cittert 1931).
        let soft = kernel.blurred(at, self.wide, |at| self.seen[at]);
        Some(shade(std::array::from_fn(|c| (2.0 * self.seen[at][c] - soft[c]).max(0.0))))
    }
}
