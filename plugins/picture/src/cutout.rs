//! Small copies for drawing on cards: the bytes of a picture in, the bytes of a small one out, still
//! see-through where the picture is, as die-cut images are.
//!
//! Nothing the camera or the program wrote beside the pixels is carried over.

use crate::decode::guarded;
use crate::reduce::{LINEAR, fitted, spans, to_srgb};
use crate::{Encoding, Format, Limits, Picture, PictureError};
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder};

/// A small copy, as the bytes of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SmallCopy {
    /// The bytes.
    pub bytes: Vec<u8>,
    /// JPEG, or PNG where the picture is see-through.
    pub format: Format,
}

/// A copy with its longer side at most `side` pixels, in proportion and never enlarged: a JPEG of
/// this quality (1 to 100), or a PNG where parts of the picture can be seen through.
///
/// # Errors
/// As [`crate::decode`]; and [`PictureError::Damaged`] where the copy cannot be written.
pub fn small_copy(bytes: &[u8], limits: Limits, side: u32, quality: u8) -> Result<SmallCopy, PictureError> {
    guarded(bytes, limits, |format, upright| {
        let (width, height) = (upright.pixels.width(), upright.pixels.height());
        let through = upright.pixels.color().has_alpha();
        let rgba = upright.pixels.into_rgba8().into_raw();
        let mut rgb: Vec<u8> = rgba.chunks_exact(4).flat_map(|pixel| [pixel[0], pixel[1], pixel[2]]).collect();
        upright.profile.follow(&mut rgb, &mut Vec::new());
        let alpha: Vec<u8> = rgba.iter().skip(3).step_by(4).copied().collect();
        if through && alpha.iter().any(|alpha| *alpha < 255) {
            let cutout = Cutout { width, height, rgb, alpha };
            return cutout.reduced(side.max(1)).png().map(|bytes| SmallCopy { bytes, format: Format::Png });
        }
        let picture = Picture::from_rgb(width, height, rgb).ok_or_else(|| PictureError::Damaged {
            format,
            detail: format!("it has fewer pixels than its size of {width} × {height} asks for"),
        })?;
        let bytes = picture.thumbnail(side, Encoding::Jpeg { quality })?;
        Ok(SmallCopy { bytes, format: Format::Jpeg })
    })
}

/// Pixels and how far each can be seen through: 0 wholly, 255 not at all.
struct Cutout {
    width: u32,
    height: u32,
    rgb: Vec<u8>,
    alpha: Vec<u8>,
}

impl Cutout {
    /// Averaged in linear light, each pixel counting by how much of it there is to see.
    fn reduced(self, side: u32) -> Self {
        let (width, height) = fitted(self.width, self.height, side);
        if (width, height) == (self.width, self.height) {
            return self;
        }
        let (across, down) = (spans(self.width, width), spans(self.height, height));
        let mut small = Self { width, height, rgb: Vec::new(), alpha: Vec::new() };
        for line in &down {
            for column in &across {
                let (mut sums, mut seen, mut area) = ([0_u64; 3], 0_u64, 0_u64);
                for (row, high) in (line.from..).zip(&line.weights) {
                    for (at, wide) in (column.from..).zip(&column.weights) {
                        let place = row * self.width as usize + at;
                        let weight = high * wide;
                        let here = weight * u64::from(self.alpha[place]);
                        for (sum, code) in sums.iter_mut().zip(&self.rgb[place * 3..]) {
                            *sum += here * u64::from(LINEAR[usize::from(*code)]);
                        }
                        seen += here;
                        area += weight;
                    }
                }
                let mean = |sum: u64| u16::try_from((sum + seen / 2) / seen.max(1)).unwrap_or(u16::MAX);
                small.rgb.extend(sums.map(|sum| to_srgb(mean(sum))));
                small.alpha.push(u8::try_from((seen + area / 2) / area.max(1)).unwrap_or(u8::MAX));
            }
        }
        small
    }

    fn png(&self) -> Result<Vec<u8>, PictureError> {
        let pixels: Vec<u8> = self
            .rgb
            .chunks_exact(3)
            .zip(&self.alpha)
            .flat_map(|(rgb, alpha)| [rgb[0], rgb[1], rgb[2], *alpha])
            .collect();
        let mut bytes = Vec::new();
        PngEncoder::new(&mut bytes)
            .write_image(&pixels, self.width, self.height, ExtendedColorType::Rgba8)
            .map_err(|error| PictureError::Damaged { format: Format::Png, detail: error.to_string() })?;
        Ok(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_seen_gives_no_colour() {
        // Two red pixels beside two that are green but cannot be seen.
        let cutout = Cutout {
            width: 2,
            height: 2,
            rgb: vec![200, 0, 0, 0, 200, 0, 200, 0, 0, 0, 200, 0],
            alpha: vec![255, 0, 255, 0],
        };
        let small = cutout.reduced(1);
        assert_eq!((small.rgb, small.alpha), (vec![200, 0, 0], vec![128]));
    }

    #[test]
    fn a_see_through_picture_stays_so_and_any_other_becomes_a_jpeg() {
        let cutout = |alpha: u8| Cutout { width: 1, height: 2, rgb: vec![9; 6], alpha: vec![255, alpha] };
        let copy = |alpha| {
            let bytes = cutout(alpha).png().expect("written");
            small_copy(&bytes, Limits::COMMON, 2, 80).expect("read")
        };
        assert_eq!(copy(0).format, Format::Png);
        assert_eq!(copy(0).bytes, cutout(0).png().expect("written"));
        assert_eq!(copy(255).format, Format::Jpeg);
        assert!(small_copy(b"not a picture", Limits::COMMON, 2, 80).is_err());
    }
}
