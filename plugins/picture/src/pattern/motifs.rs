//! The single shapes of a pattern: a grid of colours in, how round, how thick and how alike turned they are out.
//!
//! A motif is what hangs together and is not ground (the colour with the largest share). From its
//! moments (Hu 1962; Flusser 2000) come its roundness, the way it is long, and the way it points: the
//! vector Σ r |r|² about its middle, which is nothing for shapes that look the same after a half turn.
//! Motifs that agree which way they point give the pattern a top.

use super::Grid;

/// The fewest cells of a motif that is looked at.
const LEAST: usize = 12;

/// What the motifs are like, all taken together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Motifs {
    /// How far they agree which way they point, 0 to 1.
    pub(super) upright: f64,
    /// How far they agree which way they are long, 0 to 1.
    pub(super) lengthwise: f64,
    /// The part of their area that is in round ones.
    pub(super) round: f64,
    /// How thick they are, in cells: the widest disc inside, the mean over their area.
    pub(super) thick: f64,
}

/// Sums over one motif's cells.
struct Shape {
    cells: Vec<(usize, usize)>,
    on_rim: bool,
    widest: f64,
}

impl Motifs {
    pub(super) fn of(grid: &Grid) -> Self {
        let deep = depths(grid);
        let printed: Vec<bool> = grid.labels.iter().map(|label| *label != 0).collect();
        let shapes = hanging_together(grid, &deep, &printed);
        let all: f64 = shapes.iter().map(size).sum();
        if all <= 0.0 {
            return Self::default();
        }
        let thick = shapes.iter().map(|shape| size(shape) * 2.0 * shape.widest).sum::<f64>() / all;
        let (mut long, mut elongated) = ([0.0; 2], 0.0);
        let (mut round, mut whole) = (0.0, 0.0);
        let mut looks: Vec<Look> = Vec::new();
        for shape in shapes.iter().filter(|shape| !shape.on_rim) {
            let Some(moments) = Moments::of(shape, grid) else { continue };
            let area = size(shape);
            whole += area;
            if moments.is_round() {
                round += area;
            }
            // Each motif has one vote, larger ones a little more; round ones have nothing to say.
            let weight = area.sqrt();
            long.iter_mut().zip(moments.long).for_each(|(sum, part)| *sum += weight * part);
            elongated += weight * f64::hypot(moments.long[0], moments.long[1]).max(0.15);
            looks.push(Look {
                about: [area.ln() / 0.35, moments.elongation / 0.15, moments.pointedness / 0.06],
                weight,
                point: moments.point,
                inner: moments.inner,
            });
        }
        // Dots that touch hang together from rim to rim: look at their cores.
        for shape in shapes.iter().filter(|shape| shape.on_rim && shape.cells.len() * 7 > grid.labels.len()) {
            let core = |at: usize| deep[at] > 0.5 * shape.widest;
            let inside: Vec<bool> = {
                let mut inside = vec![false; grid.labels.len()];
                shape
                    .cells
                    .iter()
                    .map(|(x, y)| y * grid.width + x)
                    .filter(|at| core(*at))
                    .for_each(|at| inside[at] = true);
                inside
            };
            for shape in hanging_together(grid, &deep, &inside).iter().filter(|shape| !shape.on_rim) {
                let Some(moments) = Moments::of(shape, grid) else { continue };
                whole += size(shape);
                round += if moments.is_round() { size(shape) } else { 0.0 };
            }
        }
        // Of the largest only, where there are very many: pairs grow with the square.
        looks.sort_by(|one, two| two.weight.total_cmp(&one.weight));
        looks.truncate(600);
        Self {
            upright: agreed(&looks, |look| look.point, 0.05).max(agreed(&looks, |look| look.inner, 0.06)),
            lengthwise: if elongated > 0.0 { f64::hypot(long[0], long[1]) / elongated } else { 0.0 },
            round: if whole > 0.0 { round / whole } else { 0.0 },
            thick,
        }
    }
}

/// What tells one sort of motif from another whichever way it lies, and which way it points.
struct Look {
    about: [f64; 3],
    weight: f64,
    point: [f64; 2],
    inner: [f64; 2],
}

/// How far motifs of one sort point the same way: over all pairs, the likelier they are of one sort the
/// more they count. 1 where all of a sort agree, about 0 where they lie anyhow. A sort that points by
/// less than `least` does not point at all.
fn agreed(looks: &[Look], way: impl Fn(&Look) -> [f64; 2], least: f64) -> f64 {
    let (mut sum, mut most) = (0.0, 0.0);
    for (at, one) in looks.iter().enumerate() {
        let v = way(one);
        let long = f64::hypot(v[0], v[1]);
        for two in &looks[at + 1..] {
            let unlike: f64 = one.about.iter().zip(two.about).map(|(one, two)| (one - two).powi(2)).sum();
            if unlike > 9.0 {
                continue;
            }
            let w = way(two);
            let like = (-unlike).exp() * one.weight.min(two.weight);
            sum += like * (v[0] * w[0] + v[1] * w[1]);
            most += like * long.max(least) * f64::hypot(w[0], w[1]).max(least);
        }
    }
    if most > 0.0 { (sum / most).max(0.0) } else { 0.0 }
}

#[allow(clippy::cast_precision_loss, reason = "far fewer than 2^52 cells")]
fn size(shape: &Shape) -> f64 {
    shape.cells.len() as f64
}

/// The moments of one shape, all free of its size.
struct Moments {
    /// Which way it points.
    point: [f64; 2],
    pointedness: f64,
    /// Which way it is long, as a vector of twice the angle.
    long: [f64; 2],
    elongation: f64,
    /// Where its light lies within it.
    inner: [f64; 2],
    /// Its area as a part of the disc with the same second moment.
    filled: f64,
}

impl Moments {
    fn is_round(&self) -> bool {
        self.elongation < 0.25 && self.pointedness < 0.05 && self.filled > 0.88
    }

    fn of(shape: &Shape, grid: &Grid) -> Option<Self> {
        let count = size(shape);
        #[allow(clippy::cast_precision_loss, reason = "small numbers")]
        let place = |cell: &(usize, usize)| (cell.0 as f64, cell.1 as f64);
        let (sx, sy) = shape.cells.iter().map(place).fold((0.0, 0.0), |sum, at| (sum.0 + at.0, sum.1 + at.1));
        let (mx, my) = (sx / count, sy / count);
        let (mut xx, mut yy, mut xy, mut point, mut inner) = (0.0, 0.0, 0.0, [0.0; 2], [0.0; 2]);
        let light = |cell: &(usize, usize)| f64::from(grid.shades[cell.1 * grid.width + cell.0][0]);
        let mean = shape.cells.iter().map(light).sum::<f64>() / count;
        let mut spread = 0.0;
        for cell in &shape.cells {
            let (x, y) = place(cell);
            let (dx, dy) = (x - mx, y - my);
            let far = dx * dx + dy * dy;
            xx += dx * dx;
            yy += dy * dy;
            xy += dx * dy;
            point[0] += dx * far;
            point[1] += dy * far;
            let lighter = light(cell) - mean;
            inner[0] += dx * lighter;
            inner[1] += dy * lighter;
            spread += lighter.abs();
        }
        // A square cell has a second moment of its own, a twelfth each way.
        let second = (xx + yy) / count + 1.0 / 6.0;
        if second <= 0.0 {
            return None;
        }
        let third = second.powf(1.5) * count;
        let point = point.map(|sum| sum / third);
        let long = [(xx - yy) / count / second, 2.0 * xy / count / second];
        // Light counts only where there are lights and darks worth seeing within the motif.
        let worth = if spread / count > 2.0 { 1.0 / (second.sqrt() * spread) } else { 0.0 };
        Some(Self {
            pointedness: f64::hypot(point[0], point[1]),
            point,
            elongation: f64::hypot(long[0], long[1]),
            long,
            inner: inner.map(|sum| sum * worth),
            // A disc of area A has the second moment A / 2π.
            filled: count / (std::f64::consts::TAU * second),
        })
    }
}

/// For each cell that is not ground, how far the nearest ground lies, in cells: a chamfer of 3 and 4
/// (Borgefors 1986).
fn depths(grid: &Grid) -> Vec<f64> {
    let (wide, high) = (grid.width, grid.height);
    let far = u32::try_from(wide + high).unwrap_or(u32::MAX / 8) * 4;
    let mut deep: Vec<u32> = grid.labels.iter().map(|label| if *label == 0 { 0 } else { far }).collect();
    let order: Vec<usize> = (0..wide * high).collect();
    let mut pass = |order: &mut dyn Iterator<Item = usize>, steps: [(isize, isize, u32); 4]| {
        for at in order {
            let (x, y) = (at % wide, at / wide);
            for (dx, dy, cost) in steps {
                let (Some(nx), Some(ny)) = (x.checked_add_signed(dx), y.checked_add_signed(dy)) else { continue };
                if nx < wide && ny < high {
                    deep[at] = deep[at].min(deep[ny * wide + nx].saturating_add(cost));
                }
            }
        }
    };
    pass(&mut order.iter().copied(), [(-1, 0, 3), (0, -1, 3), (-1, -1, 4), (1, -1, 4)]);
    pass(&mut order.iter().rev().copied(), [(1, 0, 3), (0, 1, 3), (1, 1, 4), (-1, 1, 4)]);
    deep.into_iter().map(|depth| f64::from(depth) / 3.0).collect()
}

/// What of the cells `inside` hangs together, by its four neighbours.
fn hanging_together(grid: &Grid, deep: &[f64], inside: &[bool]) -> Vec<Shape> {
    let (wide, high) = (grid.width, grid.height);
    let mut seen: Vec<bool> = inside.iter().map(|inside| !inside).collect();
    let mut shapes = Vec::new();
    for start in 0..wide * high {
        if seen[start] {
            continue;
        }
        seen[start] = true;
        let mut open = vec![start];
        let mut shape = Shape { cells: Vec::new(), on_rim: false, widest: 0.0 };
        while let Some(at) = open.pop() {
            let (x, y) = (at % wide, at / wide);
            shape.on_rim |= x == 0 || y == 0 || x + 1 == wide || y + 1 == high;
            shape.widest = shape.widest.max(deep[at]);
            shape.cells.push((x, y));
            let neighbours = [
                (x > 0).then(|| at - 1),
                (x + 1 < wide).then_some(at + 1),
                (y > 0).then(|| at - wide),
                (y + 1 < high).then_some(at + wide),
            ];
            for next in neighbours.into_iter().flatten() {
                if !seen[next] {
                    seen[next] = true;
                    open.push(next);
                }
            }
        }
        if shape.cells.len() >= LEAST {
            shapes.push(shape);
        }
    }
    shapes
}
