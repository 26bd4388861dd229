//! Dots too small to have a flat middle: shades and the colours known so far in, votes out.
//!
//! A dot six pixels wide is blurred by lens and JPEG until no two of its pixels agree, and yet a maker
//! sees its colour. Its middle votes if it is further from the ground than all about it, if what lies
//! five or six pixels away is all of known colours, and if no known colour mixed with that ground
//! would look the same.

use crate::bands::bands;
use crate::extract::mixed;
use crate::space::{Light, Shade, apart, apart_squared, light_of, shade_of};
use crate::vote::{Field, Vote, nearest};
use std::collections::BTreeSet;

/// How far away the ground is looked for, in pixels.
const RING: [(isize, isize); 12] =
    [(5, 0), (-5, 0), (0, 5), (0, -5), (4, 4), (-4, -4), (4, -4), (-4, 4), (6, 2), (-6, -2), (2, -6), (-2, 6)];

/// How far from the ring a vote may not be explained, in stretched Oklab.
const UNLIKE: f32 = 4.0;

/// The votes of specks; `far` is how far, squared, a single pixel may lie from the colour it shows.
pub(crate) fn specks(field: Field<'_>, known: &[Shade], far: f32) -> Vec<Vote> {
    let [left, top, right, bottom] = field.frame;
    if known.is_empty() || right - left < 16 || bottom - top < 16 {
        return Vec::new();
    }
    let lights: Vec<Light> = known.iter().map(|&shade| light_of(shade)).collect();
    let rows = bottom - top - 14;
    let parts = bands(rows, |part| {
        let mut found = Vec::new();
        for y in part.start + top + 7..part.end + top + 7 {
            for x in left + 7..right - 7 {
                let shade = field.at(x, y);
                if known.iter().any(|&known| apart_squared(known, shade) <= far) {
                    continue;
                }
                if let Some(shade) = speck(field, x, y, known, &lights, far) {
                    let (x, y) = (u32::try_from(x).unwrap_or(0), u32::try_from(y).unwrap_or(0));
                    found.push(Vote { x, y, shade, alike: 1 });
                }
            }
        }
        found
    });
    parts.concat()
}

/// The shade of the speck whose middle is here, if there is one.
fn speck(field: Field<'_>, x: usize, y: usize, known: &[Shade], lights: &[Light], far: f32) -> Option<Shade> {
    let here = field.at(x, y);
    let at = |dx: isize, dy: isize| field.at(x.wrapping_add_signed(dx), y.wrapping_add_signed(dy));
    let ground = known[nearest(known, at(5, 0))?.0];
    let own = apart_squared(here, ground);
    let mut mean = [0.0_f32; 3];
    for dy in -1..=1 {
        for dx in -1..=1 {
            let near = at(dx, dy);
            if apart_squared(near, ground) > own {
                return None;
            }
            // The middle weighs most: what lies about is already mixed with the ground.
            let weight = [0.4, 0.12, 0.03][usize::from(dx != 0) + usize::from(dy != 0)];
            mean.iter_mut().zip(near).for_each(|(mean, near)| *mean += weight * near);
        }
    }
    let mut about: Vec<usize> = Vec::with_capacity(4);
    let mut strangers = 0;
    for (dx, dy) in RING {
        let (colour, off) = nearest(known, at(dx, dy))?;
        if off > 2.0 * far {
            strangers += 1;
        } else if !about.contains(&colour) {
            about.push(colour);
        }
    }
    if strangers > 2 {
        return None;
    }
    let light = light_of(mean);
    for &one in &about {
        for two in 0..known.len() {
            let (from, to) = (lights[one], lights[two]);
            let (part, _) = mixed(light, from, to);
            let between = std::array::from_fn(|c| from[c] + (to[c] - from[c]) * part);
            if apart(shade_of(between), mean) < UNLIKE {
                return None;
            }
        }
    }
    Some(mean)
}

/// How far the lens and the pixels blur, as a standard deviation in pixels.
const BLUR: f64 = 0.75;
/// The fewest dots from which a colour is worked out.
const LEAST_DOTS: usize = 8;

/// The true colour of small dots that show as `seen`, whose middles are about `places`; `known` holds
/// the other colours. `None` where too few stand alone on one ground, or they are no lighter and no
/// darker than it.
///
/// JPEG keeps colour at half the resolution, so no pixel of a small dot has its colour. But nothing is
/// lost, only spread: the code a dot adds to its ground, summed over all about it, is its area times
/// the difference of the two colours. Its area follows from its lightness, which is not spread so far:
/// a disc of radius r blurred by σ keeps 1 - exp(-r² / 2σ²) of its strength in the middle.
pub(crate) fn true_colour(
    field: Field<'_>,
    places: &[(u32, u32)],
    seen: Shade,
    known: &[Shade],
    far: f32,
) -> Option<Shade> {
    let [left, top, right, bottom] = field.frame;
    // JPEG's own lightness (ITU-T T.871).
    let luma = |code: Light| 0.299 * code[0] + 0.587 * code[1] + 0.114 * code[2];
    // The pixel of each dot that is furthest from its ground, however many votes the dot has.
    let mut middles: BTreeSet<(usize, usize)> = BTreeSet::new();
    for &(x, y) in places {
        let (x, y) = (x as usize, y as usize);
        if x < left + 9 || y < top + 9 || x + 9 >= right || y + 9 >= bottom {
            continue;
        }
        let Some((ground, _)) = nearest(known, field.at(x + 5, y)) else { continue };
        let mut best = (f32::NEG_INFINITY, x, y);
        for row in y - 2..=y + 2 {
            for column in x - 2..=x + 2 {
                let far = apart_squared(field.at(column, row), known[ground]);
                if far > best.0 {
                    best = (far, column, row);
                }
            }
        }
        middles.insert((best.1, best.2));
    }
    // Code added in all, lightness added in the middle, and the ground, of each dot.
    let mut dots: Vec<(Light, f64, Light)> = Vec::new();
    for &(x, y) in &middles {
        let at = |dx: isize, dy: isize| field.at(x.wrapping_add_signed(dx), y.wrapping_add_signed(dy));
        let Some((ground, _)) = nearest(known, at(5, 0)) else { continue };
        let lone = RING.iter().filter(|(dx, dy)| apart_squared(at(*dx, *dy), known[ground]) <= 3.0 * far).count();
        if lone + 1 < RING.len() || apart_squared(at(0, 0), known[ground]) <= far {
            continue;
        }
        let mut ground = [0.0; 3];
        for (dx, dy) in RING {
            let code = code_of(at(dx, dy));
            ground.iter_mut().zip(code).for_each(|(sum, code)| *sum += code / 12.0);
        }
        let (mut sum, mut peak) = ([0.0; 3], 0.0_f64);
        for dy in -5..=5_isize {
            for dx in -5..=5_isize {
                if dx * dx + dy * dy > 27 {
                    continue;
                }
                let code = code_of(at(dx, dy));
                let added: Light = std::array::from_fn(|c| code[c] - ground[c]);
                sum.iter_mut().zip(added).for_each(|(sum, added)| *sum += added);
                if dx.abs() <= 1 && dy.abs() <= 1 && luma(added).abs() > peak.abs() {
                    peak = luma(added);
                }
            }
        }
        dots.push((sum, peak, ground));
    }
    // Dots they are only if a good part of them stand alone.
    if dots.len() < LEAST_DOTS || dots.len() * 5 < middles.len() {
        return None;
    }
    // The middle half by the light they add: not those half covered, nor two in one.
    dots.sort_by(|one, two| luma(one.0).total_cmp(&luma(two.0)));
    let middle = &dots[dots.len() / 4..dots.len() - dots.len() / 4];
    #[allow(clippy::cast_precision_loss, reason = "a count of dots")]
    let count = middle.len() as f64;
    let mean = |of: &dyn Fn(&(Light, f64, Light)) -> f64| middle.iter().map(of).sum::<f64>() / count;
    let (peak, ground) = (mean(&|dot| dot.1), std::array::from_fn::<f64, 3, _>(|c| mean(&|dot| dot.2[c])));
    let sum: Light = std::array::from_fn(|c| mean(&|dot| dot.0[c]));
    if peak.abs() < 0.04 {
        return None;
    }
    let area = disc(luma(sum) / peak)?;
    let code: Light = std::array::from_fn(|c| ground[c] + sum[c] / area);
    if code.iter().any(|code| !(-0.08..=1.08).contains(code)) {
        return None;
    }
    let found = shade_of(code.map(|code| code.clamp(0.0, 1.0).powf(GAMMA)));
    (apart(found, seen) < 30.0).then_some(found)
}

/// About sRGB's curve, as a power: JPEG spreads codes, not light.
const GAMMA: f64 = 2.2;

fn code_of(shade: Shade) -> Light {
    light_of(shade).map(|light| light.max(0.0).powf(1.0 / GAMMA))
}

/// The area of the disc that shows the given ratio of all its light to that in its middle; `None` for
/// less than the blur alone gives, or more than the window holds.
fn disc(ratio: f64) -> Option<f64> {
    let shown = |r: f64| std::f64::consts::PI * r * r / (1.0 - (-r * r / (2.0 * BLUR * BLUR)).exp());
    let (mut low, mut high) = (0.8, 4.5);
    if !(shown(low)..=shown(high)).contains(&ratio) {
        return None;
    }
    for _ in 0..40 {
        let r = 0.5 * (low + high);
        if shown(r) < ratio { low = r } else { high = r }
    }
    Some(std::f64::consts::PI * low * low)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_discs_area_is_found_from_what_its_middle_shows() {
        let r: f64 = 2.0;
        let shown = std::f64::consts::PI * 4.0 / (1.0 - (-4.0 / (2.0 * BLUR * BLUR)).exp());
        let area = disc(shown).expect("within the window");
        assert!((area - std::f64::consts::PI * r * r).abs() < 1e-6, "{area}");
        assert_eq!(disc(1.0), None);
    }
}
