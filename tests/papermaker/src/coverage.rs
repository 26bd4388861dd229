//! How much of each pixel a shape covers: an outline in pixels in, exact areas out.
//!
//! Signed-area accumulation: each edge adds the area to its right within its row, and a running sum
//! along the row gives the cover. No sampling, so edges are as smooth as 8 bits can show.

use crate::maths::{floor, single};
use crate::outline::Pt;

/// Cover, 0 to 1, of a block of pixels.
#[derive(Debug)]
pub struct Cover {
    /// Leftmost pixel column of the block.
    pub x: i32,
    /// Topmost pixel row of the block.
    pub y: i32,
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Row after row.
    pub share: Vec<f32>,
}

/// Pixels beyond which a shape is cut off: far larger than any sheet drawn here.
const FAR: f64 = 6000.0;

/// The cover of closed loops whose points are in pixels; `None` for an empty shape.
pub fn cover(loops: &[Vec<Pt>]) -> Option<Cover> {
    let mut low = [f64::MAX; 2];
    let mut high = [f64::MIN; 2];
    for point in loops.iter().flatten() {
        for k in 0..2 {
            let v = point[k].clamp(-FAR, FAR);
            low[k] = low[k].min(v);
            high[k] = high[k].max(v);
        }
    }
    if !(low[0] < high[0] && low[1] < high[1]) {
        return None;
    }
    let (x, y) = (floor(low[0]), floor(low[1]));
    let width = usize::try_from(floor(high[0]) - x + 2).ok()?;
    let height = usize::try_from(floor(high[1]) - y + 1).ok()?;
    let stride = width + 2;
    let mut sums = vec![0.0_f32; stride * height];
    for ring in loops {
        for (i, p) in ring.iter().enumerate() {
            let q = ring[(i + 1) % ring.len()];
            let own = |p: Pt| [p[0].clamp(-FAR, FAR) - f64::from(x), p[1].clamp(-FAR, FAR) - f64::from(y)];
            edge(&mut sums, stride, height, own(*p), own(q));
        }
    }
    let mut share = Vec::with_capacity(width * height);
    for row in sums.chunks_exact(stride) {
        let mut sum = 0.0_f32;
        for &step in &row[..width] {
            sum += step;
            share.push(sum.abs().min(1.0));
        }
    }
    Some(Cover { x, y, width, height, share })
}

fn edge(sums: &mut [f32], stride: usize, height: usize, p: Pt, q: Pt) {
    let (sign, a, b) = if p[1] < q[1] { (1.0, p, q) } else { (-1.0, q, p) };
    if b[1] - a[1] < 1e-12 {
        return;
    }
    let slope = (b[0] - a[0]) / (b[1] - a[1]);
    let mut x = a[0];
    let first = usize::try_from(floor(a[1])).unwrap_or(0);
    let last = usize::try_from(floor(b[1].ceil())).unwrap_or(0).min(height);
    let mut top = a[1];
    for row in first..last {
        let foot = b[1].min(f64::from(u32::try_from(row).unwrap_or(u32::MAX)) + 1.0);
        let dy = foot - top;
        let next = x + slope * dy;
        strip(&mut sums[row * stride..(row + 1) * stride], sign * dy, x.min(next), x.max(next));
        x = next;
        top = foot;
    }
}

/// One edge within one row: from `x0` to `x1`, with signed height `d`.
fn strip(row: &mut [f32], d: f64, x0: f64, x1: f64) {
    let start = x0.floor();
    let i = usize::try_from(floor(start)).unwrap_or(0);
    let end = x1.ceil();
    let j = usize::try_from(floor(end)).unwrap_or(0);
    if j <= i + 1 {
        let middle = 0.5 * (x0 + x1) - start;
        row[i] += single(d * (1.0 - middle));
        row[i + 1] += single(d * middle);
        return;
    }
    let s = 1.0 / (x1 - x0);
    let into = 1.0 - (x0 - start);
    let first = 0.5 * s * into * into;
    let beyond = x1 - end + 1.0;
    let last = 0.5 * s * beyond * beyond;
    row[i] += single(d * first);
    if j == i + 2 {
        row[i + 1] += single(d * (1.0 - first - last));
    } else {
        let second = s * (1.5 - (x0 - start));
        row[i + 1] += single(d * (second - first));
        for cell in &mut row[i + 2..j - 1] {
            *cell += single(d * s);
        }
        let run = f64::from(u32::try_from(j - i - 3).unwrap_or(u32::MAX));
        row[j - 1] += single(d * (1.0 - (second + run * s) - last));
    }
    row[j] += single(d * last);
}

/// A box blur of `radius` pixels, both ways: where a wash has pooled at its rim.
pub fn blurred(cover: &Cover, radius: usize) -> Vec<f32> {
    let (w, h) = (cover.width, cover.height);
    let mut across = vec![0.0_f32; w * h];
    let wide = single(1.0 / f64::from(u32::try_from(2 * radius + 1).unwrap_or(1)));
    for y in 0..h {
        let row = &cover.share[y * w..(y + 1) * w];
        for x in 0..w {
            let (low, high) = (x.saturating_sub(radius), (x + radius).min(w - 1));
            across[y * w + x] = row[low..=high].iter().sum::<f32>() * wide;
        }
    }
    let mut out = vec![0.0_f32; w * h];
    for y in 0..h {
        let (low, high) = (y.saturating_sub(radius), (y + radius).min(h - 1));
        for x in 0..w {
            out[y * w + x] = (low..=high).map(|r| across[r * w + x]).sum::<f32>() * wide;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Dice;

    /// The sum of the cover is the area (shoelace), whatever the triangle.
    #[test]
    fn areas_are_exact() {
        let mut dice = Dice::new(3);
        for case in 0..300 {
            let t: Vec<Pt> = (0..3).map(|_| [dice.between(-40.0, 60.0), dice.between(-9.0, 70.0)]).collect();
            let area: f64 =
                (0..3).map(|i| t[i][0] * t[(i + 1) % 3][1] - t[(i + 1) % 3][0] * t[i][1]).sum::<f64>() / 2.0;
            let cover = cover(std::slice::from_ref(&t)).expect("a triangle");
            let sum: f64 = cover.share.iter().map(|&s| f64::from(s)).sum();
            assert!((sum - area.abs()).abs() < 0.02, "seed 3 case {case}: {t:?} covers {sum}, area {area}");
        }
    }

    #[test]
    fn nothing_covers_nothing() {
        assert!(cover(&[]).is_none());
        assert!(cover(&[vec![[1.0, 1.0], [5.0, 1.0]]]).is_none());
    }
}
