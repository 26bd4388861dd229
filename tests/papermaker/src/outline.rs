//! Shapes drawn by hand: a few points in, a closed outline with a human wobble out.
//!
//! Points are millimetres on the sheet (x right, y down), as plain floats: this is drawing, not
//! measuring. An outline never knows its colour; `plates` fills it.

use crate::maths::{cos, sin};
use crate::random::{Dice, Noise};
use std::f64::consts::{PI, TAU};

/// A point in millimetres.
pub type Pt = [f64; 2];

/// Which way round a motif is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    /// As its code draws it.
    AsDrawn,
    /// Mirrored left to right.
    Mirrored,
}

/// Where a motif stands: its own millimetres to the sheet's.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    at: Pt,
    across: Pt,
    down: Pt,
}

impl Place {
    /// A motif at a point, turned clockwise by `turn` radians and scaled by `size`.
    pub fn new(at: Pt, turn: f64, size: f64) -> Self {
        let (s, c) = (sin(turn) * size, cos(turn) * size);
        Self { at, across: [c, s], down: [-s, c] }
    }

    /// The same place with the motif facing as asked.
    pub fn facing(self, facing: Facing) -> Self {
        match facing {
            Facing::AsDrawn => self,
            Facing::Mirrored => Self { across: [-self.across[0], -self.across[1]], ..self },
        }
    }

    /// A motif's point on the sheet.
    pub fn map(&self, [x, y]: Pt) -> Pt {
        [self.at[0] + self.across[0] * x + self.down[0] * y, self.at[1] + self.across[1] * x + self.down[1] * y]
    }

    /// A place within this one: a petal in its flower.
    pub fn then(&self, at: Pt, turn: f64, size: f64) -> Self {
        let (s, c) = (sin(turn) * size, cos(turn) * size);
        let dir = |[x, y]: Pt| [self.across[0] * x + self.down[0] * y, self.across[1] * x + self.down[1] * y];
        Self { at: self.map(at), across: dir([c, s]), down: dir([-s, c]) }
    }

    /// How many sheet millimetres one motif millimetre is.
    pub fn size(&self) -> f64 {
        (self.across[0] * self.down[1] - self.across[1] * self.down[0]).abs().sqrt()
    }
}

/// A filled shape: closed loops, each a list of points.
#[derive(Clone, Debug, Default)]
pub struct Outline {
    /// The loops. Those that run the same way add up, those that run against each other cut holes.
    pub loops: Vec<Vec<Pt>>,
}

/// A smooth curve through points (Catmull-Rom), `per` steps between each two.
fn smooth_through(points: &[Pt], per: u32, at: impl Fn(isize) -> Pt, spans: usize) -> Vec<Pt> {
    let mut out = Vec::with_capacity(points.len() * per as usize + 1);
    for span in 0..spans {
        let i = isize::try_from(span).unwrap_or(0);
        let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        for step in 0..per {
            let t = f64::from(step) / f64::from(per);
            out.push([0, 1].map(|k| {
                let (p, q, r, s) = (a[k], b[k], c[k], d[k]);
                0.5 * (2.0 * q
                    + (r - p) * t
                    + (2.0 * p - 5.0 * q + 4.0 * r - s) * t * t
                    + (3.0 * q - p - 3.0 * r + s) * t * t * t)
            }));
        }
    }
    out
}

/// A smooth open curve through the points, for stems and brush strokes.
pub fn curve(points: &[Pt]) -> Vec<Pt> {
    let last = points.len() - 1;
    let at = |i: isize| points[usize::try_from(i).unwrap_or(0).min(last)];
    let mut out = smooth_through(points, 10, at, last);
    out.push(points[last]);
    out
}

impl Outline {
    /// A polygon with sharp corners.
    pub fn polygon(points: &[Pt]) -> Self {
        Self { loops: vec![points.to_vec()] }
    }

    /// A smooth closed shape through the points.
    pub fn smooth(points: &[Pt]) -> Self {
        let n = points.len();
        let at = |i: isize| points[i.rem_euclid(isize::try_from(n).unwrap_or(1)).unsigned_abs()];
        Self { loops: vec![smooth_through(points, 8, at, n)] }
    }

    /// A rectangle by its corners.
    pub fn rectangle(low: Pt, high: Pt) -> Self {
        Self::polygon(&[low, [high[0], low[1]], high, [low[0], high[1]]])
    }

    /// An ellipse that is never quite round: `uneven` is the wobble as a share of the radius.
    pub fn blob(centre: Pt, rx: f64, ry: f64, uneven: f64, dice: &mut Dice) -> Self {
        let phases = [dice.angle(), dice.angle(), dice.angle()];
        let weights = [dice.about(0.5, 0.4), dice.about(0.4, 0.4), dice.about(0.2, 0.2)];
        let points: Vec<Pt> = (0..40)
            .map(|k| {
                let a = f64::from(k) * TAU / 40.0;
                let wobble: f64 = phases
                    .iter()
                    .zip(weights)
                    .zip([2.0, 3.0, 5.0])
                    .map(|((phase, weight), times)| weight * sin(times * a + phase))
                    .sum();
                let r = 1.0 + uneven * wobble;
                [centre[0] + rx * r * cos(a), centre[1] + ry * r * sin(a)]
            })
            .collect();
        Self { loops: vec![points] }
    }

    /// A brush stroke along a line; `width` gives its full width from 0 (start) to 1 (end).
    pub fn stroke(line: &[Pt], width: impl Fn(f64) -> f64) -> Self {
        let mut lengths = vec![0.0];
        for pair in line.windows(2) {
            lengths.push(lengths[lengths.len() - 1] + distance(pair[0], pair[1]));
        }
        let whole = lengths[lengths.len() - 1].max(1e-9);
        let last = line.len() - 1;
        let (mut left, mut right) = (Vec::new(), Vec::new());
        for (i, &p) in line.iter().enumerate() {
            let (a, b) = (line[i.saturating_sub(1)], line[(i + 1).min(last)]);
            let length = distance(a, b).max(1e-9);
            let half = 0.5 * width(lengths[i] / whole).max(0.0);
            let n = [-(b[1] - a[1]) / length * half, (b[0] - a[0]) / length * half];
            left.push([p[0] + n[0], p[1] + n[1]]);
            right.push([p[0] - n[0], p[1] - n[1]]);
        }
        let cap = |end: Pt, from: Pt, out: &mut Vec<Pt>| {
            let (dx, dy) = (from[0] - end[0], from[1] - end[1]);
            for k in 1..6 {
                let a = -f64::from(k) * PI / 6.0;
                out.push([end[0] + dx * cos(a) - dy * sin(a), end[1] + dx * sin(a) + dy * cos(a)]);
            }
        };
        let mut points = left.clone();
        cap(line[last], left[last], &mut points);
        points.extend(right.iter().rev());
        cap(line[0], right[0], &mut points);
        Self { loops: vec![points] }
    }

    /// A leaf or petal about a curved spine: `width` as for a stroke, but coming to points.
    pub fn along(spine: &[Pt], width: impl Fn(f64) -> f64) -> Self {
        Self::stroke(spine, width)
    }

    /// The shape as it lies at a place.
    pub fn at(mut self, place: &Place) -> Self {
        for point in self.loops.iter_mut().flatten() {
            *point = place.map(*point);
        }
        self
    }

    /// The shape with another one cut out of it: loops are turned round where needed.
    pub fn without(mut self, mut hole: Self) -> Self {
        for ring in &mut hole.loops {
            if turning(ring) > 0.0 {
                ring.reverse();
            }
        }
        for ring in &mut self.loops {
            if turning(ring) < 0.0 {
                ring.reverse();
            }
        }
        self.loops.append(&mut hole.loops);
        self
    }

    /// The shape and another one as one fill.
    pub fn and(mut self, mut other: Self) -> Self {
        for ring in self.loops.iter_mut().chain(&mut other.loops) {
            if turning(ring) < 0.0 {
                ring.reverse();
            }
        }
        self.loops.append(&mut other.loops);
        self
    }

    /// A trembling hand: points at most `step` apart, each moved up to about `by` millimetres.
    #[must_use]
    pub fn trembled(&self, by: f64, wave: f64, seed: u64) -> Self {
        let (nx, ny) = (Noise::new(seed), Noise::new(seed ^ 0xa5a5));
        let step = (wave * 0.3).max(0.15);
        let loops = self.loops.iter().map(|ring| {
            let mut out = Vec::with_capacity(ring.len() * 2);
            for (i, &p) in ring.iter().enumerate() {
                let q = ring[(i + 1) % ring.len()];
                let parts = (distance(p, q) / step).ceil().clamp(1.0, 4000.0);
                let mut k = 0.0;
                while k < parts {
                    let t = k / parts;
                    let [x, y] = [p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t];
                    let (u, v) = (x / wave, y / wave);
                    out.push([x + by * nx.cloud(u, v), y + by * ny.cloud(u + 31.7, v)]);
                    k += 1.0;
                }
            }
            out
        });
        Self { loops: loops.collect() }
    }
}

fn turning(ring: &[Pt]) -> f64 {
    ring.iter()
        .enumerate()
        .map(|(i, p)| {
            let q = ring[(i + 1) % ring.len()];
            p[0] * q[1] - q[0] * p[1]
        })
        .sum()
}

/// The distance between two points.
pub fn distance(a: Pt, b: Pt) -> f64 {
    let (dx, dy) = (a[0] - b[0], a[1] - b[1]);
    (dx * dx + dy * dy).sqrt()
}

/// A point part of the way from one to another.
pub fn between(a: Pt, b: Pt, share: f64) -> Pt {
    [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]
}

/// The point at a distance and an angle from another.
pub fn polar(from: Pt, angle: f64, length: f64) -> Pt {
    [from[0] + length * cos(angle), from[1] + length * sin(angle)]
}
