//! How sharp a picture is: evened shades in, the blur as a standard deviation in pixels out.
//!
//! Where one printed colour ends and another begins the paper has a clean edge, so how steeply the
//! light changes there is the picture's own doing: lens, focus and pixels together. A step blurred by
//! a normal curve of deviation σ rises by erf(1 / σ√8) of its height over the pixel it is in the midst of.
//! It decides nothing about colours.

use crate::space::{Shade, light_of};
use crate::vote::Field;
use libm::erf;

/// How large an edge is asked, in lightness: a clear one, against noise and JPEG.
const STEP: f32 = 14.0;
/// How flat it must be on either side.
const FLAT: f32 = 3.0;
/// The fewest edges that tell.
const LEAST: usize = 60;
/// About how many edges are asked.
const ENOUGH: usize = 6_000;

/// The blur of what `field` shows; `None` without enough clear edges.
pub(crate) fn blur(field: Field<'_>) -> Option<f64> {
    let [left, top, right, bottom] = field.frame;
    if right - left < 16 || bottom - top < 16 {
        return None;
    }
    let mut found: Vec<f64> = Vec::new();
    // Rows far apart first, and more between them only if there are too few edges.
    const ORDER: [usize; 8] = [0, 4, 2, 6, 1, 5, 3, 7];
    for first in ORDER {
        for y in (top + 6 + first..bottom - 6).step_by(8) {
            for x in left + 6..right - 6 {
                let across =
                    |along: isize, beside: isize| field.at(x.wrapping_add_signed(along), y.wrapping_add_signed(beside));
                let down = |along: isize, beside: isize| across(beside, along);
                found.extend(edge(across));
                found.extend(edge(down));
            }
        }
        if found.len() > ENOUGH {
            break;
        }
    }
    if found.len() < LEAST {
        return None;
    }
    found.sort_by(f64::total_cmp);
    Some(found[found.len() * 2 / 5])
}

/// The blur of the edge midway between the places 0 and 1, if there is one; `at` gives the shade so
/// many pixels along and beside.
fn edge(at: impl Fn(isize, isize) -> Shade) -> Option<f64> {
    let light = |along: isize| at(along, 0)[0];
    let (low, high) = (light(-4), light(5));
    if (low - high).abs() < STEP || (light(-3) - low).abs() > FLAT || (light(4) - high).abs() > FLAT {
        return None;
    }
    if (light(-5) - low).abs() > FLAT || (light(6) - high).abs() > FLAT {
        return None;
    }
    // Light is mixed in proportion, lightness is not.
    let luma = |along: isize, beside: isize| {
        let [r, g, b] = light_of(at(along, beside));
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let ends = |one: isize, two: isize, three: isize| (luma(one, 0) + luma(two, 0) + luma(three, 0)) / 3.0;
    let (from, to) = (ends(-5, -4, -3), ends(4, 5, 6));
    let part = |along: isize, beside: isize| (luma(along, beside) - from) / (to - from);
    let (before, after) = (part(0, 0), part(1, 0));
    // Midway between two pixels, so that the same share of the rise is seen.
    if (before + after - 1.0).abs() > 0.16 {
        return None;
    }
    let slope = after - before;
    let tilt = 0.25 * (part(0, 1) - part(0, -1) + part(1, 1) - part(1, -1)) / slope;
    if !(0.2..0.95).contains(&slope) || tilt.abs() > 0.35 {
        return None;
    }
    // erf(1 / σ√8) = slope, by halving; then across the edge rather than along the row.
    let (mut sharp, mut soft) = (0.2, 2.0);
    for _ in 0..16 {
        let middle = 0.5 * (sharp + soft);
        if erf(0.5 / (middle * std::f64::consts::SQRT_2)) > slope { sharp = middle } else { soft = middle }
    }
    Some(sharp / (1.0 + tilt * tilt).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::space::shade_of;

    #[test]
    fn a_known_blur_is_found_from_slanting_edges() {
        const SIDE: usize = 160;
        for blur in [0.5, 0.7, 1.0] {
            let shades: Vec<Shade> = (0..SIDE * SIDE)
                .map(|at| {
                    // Bands twenty pixels wide, a little aslant, in two colours.
                    let (x, y) = ((at % SIDE) as f64, (at / SIDE) as f64);
                    let along = (x + 0.2 * y) / f64::hypot(1.0, 0.2);
                    let (band, within) = ((along / 20.0).floor(), along.rem_euclid(20.0));
                    let side = |distance: f64| 0.5 * (1.0 + erf(distance / (blur * std::f64::consts::SQRT_2)));
                    let near = if within < 10.0 { side(within) } else { side(20.0 - within) };
                    let part = if band.rem_euclid(2.0) < 1.0 { near } else { 1.0 - near };
                    shade_of([0.1 + 0.6 * part, 0.2 + 0.3 * part, 0.3 + 0.1 * part])
                })
                .collect();
            let field = Field { shades: &shades, width: SIDE, frame: [0, 0, SIDE, SIDE] };
            let found = super::blur(field).expect("clear edges");
            assert!((found - blur).abs() < 0.05, "{found} instead of {blur}");
        }
    }

    #[test]
    fn without_edges_there_is_no_telling() {
        let shades = vec![[60.0, 0.0, 0.0]; 64 * 64];
        assert_eq!(blur(Field { shades: &shades, width: 64, frame: [0, 0, 64, 64] }), None);
        assert_eq!(blur(Field { shades: &shades[..100], width: 10, frame: [0, 0, 10, 10] }), None);
    }
}
