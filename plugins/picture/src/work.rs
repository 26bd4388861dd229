//! The picture as it is measured: linear light, no larger than need be, and its colours under even light.

use crate::Picture;
use crate::bands::fill_rows;
use crate::reduce::srgb_to_linear;
use crate::space::Shade;
use crate::surface::Surface;
use std::sync::LazyLock;

/// The most pixels that are measured; a larger picture is averaged down by a whole number.
const MOST_PIXELS: usize = 4_200_000;

/// 8-bit sRGB to linear light.
static LIGHT: LazyLock<[f32; 256]> = LazyLock::new(|| {
    std::array::from_fn(|code| {
        let code = u8::try_from(code).map_or(1.0, f64::from);
        #[allow(clippy::cast_possible_truncation, reason = "from 0 to 1; single precision is enough")]
        let light = srgb_to_linear(code / 255.0) as f32;
        light
    })
});

/// A picture in linear light, row by row.
pub(crate) struct Work {
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// Red, green, blue of each pixel, 1 for full strength.
    pub(crate) light: Vec<[f32; 3]>,
    /// How many pixels of the picture one pixel here is wide and high.
    pub(crate) factor: usize,
}

impl Work {
    /// The picture's pixels as linear light, averaged over squares where it is large.
    pub(crate) fn of(picture: &Picture) -> Self {
        let (wide, high) = (picture.width() as usize, picture.height() as usize);
        let mut factor = 1;
        while (wide / factor) * (high / factor) > MOST_PIXELS && wide.min(high) / (factor + 1) >= 16 {
            factor += 1;
        }
        let (width, height) = (wide / factor, high / factor);
        let light_of = &*LIGHT;
        let rgb = picture.rgb();
        #[allow(clippy::cast_precision_loss, reason = "a small whole number")]
        let part = 1.0 / (factor * factor) as f32;
        let mut light = vec![[0.0_f32; 3]; width * height];
        fill_rows(&mut light, width, |row, line| {
            for dy in 0..factor {
                let source = &rgb[(row * factor + dy) * wide * 3..][..width * factor * 3];
                for (out, pixels) in line.iter_mut().zip(source.chunks_exact(factor * 3)) {
                    for pixel in pixels.chunks_exact(3) {
                        for (out, &code) in out.iter_mut().zip(pixel) {
                            *out += light_of[usize::from(code)];
                        }
                    }
                }
            }
            if factor > 1 {
                for out in line {
                    for value in out {
                        *value *= part;
                    }
                }
            }
        });
        Self { width, height, light, factor }
    }

    /// Half as wide and high, each pixel the mean of four.
    pub(crate) fn halved(&self) -> Self {
        let (width, height) = (self.width / 2, self.height / 2);
        let mut light = vec![[0.0; 3]; width * height];
        fill_rows(&mut light, width, |row, line| {
            let (upper, lower) = (&self.light[row * 2 * self.width..], &self.light[(row * 2 + 1) * self.width..]);
            for (out, (upper, lower)) in line.iter_mut().zip(upper.chunks_exact(2).zip(lower.chunks_exact(2))) {
                *out = std::array::from_fn(|c| (upper[0][c] + upper[1][c] + lower[0][c] + lower[1][c]) / 4.0);
            }
        });
        Self { width, height, light, factor: self.factor * 2 }
    }

    /// The stretched Oklab of every pixel once the light is evened out.
    pub(crate) fn shades(&self, surface: &Surface) -> Vec<Shade> {
        let mut shades = vec![[0.0; 3]; self.width * self.height];
        let gains = surface.gains(self.width, self.height);
        fill_rows(&mut shades, self.width, |row, line| {
            gains.row(row, &self.light[row * self.width..][..self.width], line);
        });
        shades
    }
}
