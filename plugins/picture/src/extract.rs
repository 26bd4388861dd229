//! The colours of a picture and their shares: pixels in, swatches out.
//!
//! Flat areas vote in CIELAB; the peaks of the vote are the colours; every pixel then counts for the
//! nearest one. Thin edges do not vote, so the mixtures they are made of do not become colours.

use crate::Picture;
use crate::reduce::{LINEAR, reduced};
use api::palette::{FromColor, LinSrgb, Xyz};
use api::{Colour, Share, Swatch};

/// Longer side of the picture that is looked at, in pixels.
const SIDE: u32 = 1000;
/// The most two neighbouring pixels of a flat area differ, in CIELAB units.
const FLAT: f64 = 5.0;
/// Side of a voting cell, in CIELAB units.
const CELL: f64 = 2.0;
/// Colours nearer than this are one colour, in CIELAB units.
const APART: f64 = 7.0;
/// The least share of all pixels that makes a colour.
const LEAST: f64 = 0.0015;

/// The paper's colours, largest share first.
pub(crate) fn colours(picture: &Picture) -> Vec<Swatch> {
    let small = reduced(picture, SIDE);
    let (width, height) = (small.width() as usize, small.height() as usize);
    let pixels: Vec<[f64; 3]> =
        small.rgb().chunks_exact(3).map(|pixel| lab_of([pixel[0], pixel[1], pixel[2]])).collect();
    let flat: Vec<usize> = (0..pixels.len())
        .filter(|&at| {
            let (x, y) = (at % width, at / width);
            let near = [
                (x > 0, at.wrapping_sub(1)),
                (x + 1 < width, at + 1),
                (y > 0, at.wrapping_sub(width)),
                (y + 1 < height, at + width),
            ];
            near.iter().all(|&(inside, other)| !inside || apart(pixels[at], pixels[other]) <= FLAT)
        })
        .collect();
    // A picture without any flat area still has colours: then everything votes.
    let mut voters: Vec<[f64; 3]> =
        if flat.len() * 100 < pixels.len() { pixels.clone() } else { flat.iter().map(|&at| pixels[at]).collect() };
    let least = (pixels.len() as f64 * LEAST).max(1.0);
    let mut centres: Vec<[f64; 3]> = Vec::new();
    while centres.is_empty() || voters.len() as f64 >= least {
        let mut votes = std::collections::BTreeMap::<[i32; 3], (u32, [f64; 3])>::new();
        for voter in &voters {
            #[allow(clippy::cast_possible_truncation, reason = "CIELAB of sRGB stays within ±200")]
            let cell = voter.map(|value| (value / CELL).floor() as i32);
            let (count, sum) = votes.entry(cell).or_default();
            *count += 1;
            for (sum, value) in sum.iter_mut().zip(voter) {
                *sum += value;
            }
        }
        let Some((count, sum)) = votes.into_values().reduce(|best, next| if next.0 > best.0 { next } else { best })
        else {
            break;
        };
        let mut centre = sum.map(|value| value / f64::from(count));
        for _ in 0..3 {
            let near: Vec<&[f64; 3]> = voters.iter().filter(|voter| apart(**voter, centre) < APART / 2.0).collect();
            centre = std::array::from_fn(|channel| {
                near.iter().map(|voter| voter[channel]).sum::<f64>() / near.len().max(1) as f64
            });
        }
        let before = voters.len();
        voters.retain(|voter| apart(*voter, centre) >= APART);
        if before == voters.len() {
            break;
        }
        if centres.is_empty() || (before - voters.len()) as f64 >= least {
            centres.push(centre);
        }
    }
    let mut counts = vec![0_u64; centres.len()];
    for pixel in &pixels {
        let nearest =
            (0..centres.len()).min_by(|&one, &two| apart(*pixel, centres[one]).total_cmp(&apart(*pixel, centres[two])));
        if let Some(nearest) = nearest {
            counts[nearest] += 1;
        }
    }
    shared(&centres, &counts)
}

/// Swatches from colours and their weights: shares in whole millionths that add up to exactly one,
/// by largest remainder; largest share first, ties by lightness, then a, then b, high ones first.
pub(crate) fn shared(centres: &[[f64; 3]], counts: &[u64]) -> Vec<Swatch> {
    let total = counts.iter().sum::<u64>().max(1);
    let mut rows: Vec<([f64; 3], u64, u64)> = centres
        .iter()
        .zip(counts)
        .map(|(centre, &count)| {
            let scaled = u128::from(count) * 1_000_000;
            let (whole, rest) = (scaled / u128::from(total), scaled % u128::from(total));
            (
                centre.map(|value| (value * 1000.0).round() / 1000.0),
                u64::try_from(whole).unwrap_or(0),
                u64::try_from(rest).unwrap_or(0),
            )
        })
        .collect();
    let lighter = |one: &[f64; 3], two: &[f64; 3]| {
        (0..3).map(|at| two[at].total_cmp(&one[at])).find(|order| order.is_ne()).unwrap_or(std::cmp::Ordering::Equal)
    };
    rows.sort_by(|one, two| two.2.cmp(&one.2).then_with(|| lighter(&one.0, &two.0)));
    let missing = 1_000_000_u64.saturating_sub(rows.iter().map(|row| row.1).sum());
    for row in rows.iter_mut().take(usize::try_from(missing).unwrap_or(0)) {
        row.1 += 1;
    }
    rows.sort_by(|one, two| two.1.cmp(&one.1).then_with(|| lighter(&one.0, &two.0)));
    rows.into_iter()
        .map(|(lab, millionths, _)| Swatch {
            colour: Colour::new(lab[0], lab[1], lab[2]),
            share: u32::try_from(millionths).ok().and_then(Share::from_millionths).unwrap_or_default(),
        })
        .collect()
}

/// CIELAB (D65) of an 8-bit sRGB pixel.
fn lab_of(pixel: [u8; 3]) -> [f64; 3] {
    let [red, green, blue] = pixel.map(|code| f64::from(LINEAR[usize::from(code)]) / 65_535.0);
    let lab = Colour::from_color(Xyz::from_color(LinSrgb::new(red, green, blue)));
    [lab.l, lab.a, lab.b]
}

/// Distance in CIELAB.
fn apart(one: [f64; 3], two: [f64; 3]) -> f64 {
    one.iter().zip(two).map(|(one, two)| (one - two) * (one - two)).sum::<f64>().sqrt()
}
