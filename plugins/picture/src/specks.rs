//! Dots too small to have a flat middle: shades and the colours known so far in, votes out.
//!
//! A dot six pixels wide is blurred by lens and JPEG until no two of its pixels agree, and yet a maker
//! sees its colour. Its middle votes if it is further from the ground than all about it, if what lies
//! five or six pixels away is all of known colours, and if no known colour mixed with that ground
//! would look the same.

use crate::bands::bands;
use crate::dots::RING;
use crate::extract::mixed;
use crate::space::{Light, Shade, apart, apart_squared, light_of, shade_of};
use crate::vote::{Field, Vote, nearest};

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
