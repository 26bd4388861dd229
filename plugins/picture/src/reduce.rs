//! A picture made smaller by averaging areas in linear light; whole-number arithmetic throughout, so
//! that every machine makes the same bytes.

use crate::Picture;
use std::sync::LazyLock;

/// Linear light at full strength, as the whole number the averages are made of.
const FULL: f64 = 65_535.0;

/// 8-bit sRGB to linear light in 65,535ths (IEC 61966-2-1).
pub(crate) static LINEAR: LazyLock<[u16; 256]> = LazyLock::new(|| {
    std::array::from_fn(|code| {
        let encoded = u8::try_from(code).map_or(1.0, f64::from) / 255.0;
        whole(srgb_to_linear(encoded) * FULL)
    })
});

/// Linear light in 65,535ths, sixteen steps at a time, to the nearest 8-bit sRGB.
static ENCODED: LazyLock<Vec<u8>> =
    LazyLock::new(|| (0..=4095_u16).map(|step| encoded((f64::from(step) * 16.0 + 7.5) / FULL)).collect());

/// The sRGB curve, encoded to linear, both from 0 to 1.
pub(crate) fn srgb_to_linear(encoded: f64) -> f64 {
    if encoded <= 0.04045 { encoded / 12.92 } else { ((encoded + 0.055) / 1.055).powf(2.4) }
}

/// Linear light from 0 to 1 to the nearest 8-bit sRGB.
fn encoded(linear: f64) -> u8 {
    let code = if linear <= 0.003_130_8 { linear * 12.92 } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..255 before")]
    let code = (code * 255.0).round().clamp(0.0, 255.0) as u8;
    code
}

/// The nearest whole number from 0 to 65,535.
fn whole(number: f64) -> u16 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..65535 before")]
    let number = number.round().clamp(0.0, FULL) as u16;
    number
}

/// Linear light in 65,535ths to 8-bit sRGB: exact below 1/16, within one part in 4,096 above.
pub(crate) fn to_srgb(linear: u16) -> u8 {
    if linear < 4096 { encoded(f64::from(linear) / FULL) } else { ENCODED[usize::from(linear / 16)] }
}

/// One span of source pixels under a target pixel: from where, how many, and the weights of the
/// first and last in 256ths (those between weigh 256).
pub(crate) struct Span {
    pub(crate) from: usize,
    pub(crate) weights: Vec<u64>,
}

/// How `source` pixels spread over `target` ones, `target` at most `source`.
pub(crate) fn spans(source: u32, target: u32) -> Vec<Span> {
    let (source, target) = (u64::from(source), u64::from(target));
    (0..target)
        .map(|place| {
            // Edges in 256ths of a source pixel.
            let (from, to) = (place * source * 256 / target, (place + 1) * source * 256 / target);
            let (first, last) = (from / 256, (to - 1) / 256);
            let weights = (first..=last).map(|at| to.min((at + 1) * 256) - from.max(at * 256)).collect();
            Span { from: usize::try_from(first).unwrap_or(0), weights }
        })
        .collect()
}

/// The size a picture takes when its longer side is at most `side`, in proportion, never enlarged.
pub(crate) fn fitted(width: u32, height: u32, side: u32) -> (u32, u32) {
    let longest = width.max(height);
    if longest <= side || side == 0 {
        return (width, height);
    }
    let scaled = |edge: u32| {
        let rounded = (u64::from(edge) * u64::from(side) * 2 + u64::from(longest)) / (u64::from(longest) * 2);
        u32::try_from(rounded).unwrap_or(edge).max(1)
    };
    (scaled(width), scaled(height))
}

/// The picture with its longer side at most `side` pixels; the same picture where it is small enough.
pub(crate) fn reduced(picture: &Picture, side: u32) -> Picture {
    let (width, height) = fitted(picture.width(), picture.height(), side);
    if (width, height) == (picture.width(), picture.height()) {
        return picture.clone();
    }
    let linear = &*LINEAR;
    let across = spans(picture.width(), width);
    let down = spans(picture.height(), height);
    let stride = picture.width() as usize * 3;
    let mut rgb = Vec::with_capacity(width as usize * height as usize * 3);
    let mut row_sums = vec![0_u64; width as usize * 3];
    for span in &down {
        row_sums.fill(0);
        for (line, &line_weight) in span.weights.iter().enumerate() {
            let row = &picture.rgb()[(span.from + line) * stride..][..stride];
            for (sums, across) in row_sums.chunks_exact_mut(3).zip(&across) {
                let mut sum = [0_u64; 3];
                for (pixel, &weight) in row[across.from * 3..].chunks_exact(3).zip(&across.weights) {
                    for (sum, &code) in sum.iter_mut().zip(pixel) {
                        *sum += weight * u64::from(linear[usize::from(code)]);
                    }
                }
                for (total, sum) in sums.iter_mut().zip(sum) {
                    *total += line_weight * sum;
                }
            }
        }
        let high: u64 = span.weights.iter().sum();
        for (sums, across) in row_sums.chunks_exact(3).zip(&across) {
            let area = high * across.weights.iter().sum::<u64>();
            rgb.extend(sums.iter().map(|&sum| to_srgb(u16::try_from((sum + area / 2) / area).unwrap_or(u16::MAX))));
        }
    }
    Picture::with_notes(width, height, rgb, picture.notes().to_vec())
        .expect("a row of target pixels is pushed for each target row")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chequer_of_black_and_white_averages_to_half_the_light() {
        let rgb = (0..16).flat_map(|at| if (at + at / 4) % 2 == 0 { [0; 3] } else { [255; 3] }).collect();
        let board = Picture::from_rgb(4, 4, rgb).expect("4 × 4");
        // Half the light is code 188 in sRGB, not 128.
        assert_eq!(reduced(&board, 2).rgb(), [188; 12]);
    }

    #[test]
    fn every_code_survives_a_reduction_of_a_flat_picture() {
        for code in 0..=255 {
            let flat = Picture::from_rgb(7, 5, vec![code; 105]).expect("7 × 5");
            assert!(reduced(&flat, 3).rgb().iter().all(|&after| after == code), "{code}");
        }
    }

    #[test]
    fn sizes_keep_their_proportion_and_never_vanish() {
        assert_eq!(fitted(4000, 3000, 1000), (1000, 750));
        assert_eq!(fitted(10_000, 1, 100), (100, 1));
        assert_eq!(fitted(50, 40, 100), (50, 40));
    }
}
