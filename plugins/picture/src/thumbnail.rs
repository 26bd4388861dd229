//! Small copies of a picture, as file bytes, for drawing on cards and pages.

use crate::reduce::reduced;
use crate::{Picture, PictureError};
use image::codecs::{jpeg::JpegEncoder, png::PngEncoder};
use image::{ExtendedColorType, ImageEncoder};

/// How a small copy is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// JPEG at a quality from 1 to 100.
    Jpeg {
        /// 1 (small) to 100 (fine); what lies outside is brought inside.
        quality: u8,
    },
    /// PNG, without loss.
    Png,
}

impl Picture {
    /// The picture with its longer side at most `side` pixels, in proportion and never enlarged, as
    /// the bytes of a file. Averaged in linear light, so that a fine pattern keeps its overall colour.
    ///
    /// # Errors
    /// [`PictureError::Damaged`] where the encoder cannot write the size: a JPEG side over 65,535 pixels.
    pub fn thumbnail(&self, side: u32, encoding: Encoding) -> Result<Vec<u8>, PictureError> {
        let small = reduced(self, side.max(1));
        let mut bytes = Vec::new();
        let (rgb, width, height) = (small.rgb(), small.width(), small.height());
        let (written, format) = match encoding {
            Encoding::Jpeg { quality } => (
                JpegEncoder::new_with_quality(&mut bytes, quality.clamp(1, 100)).write_image(
                    rgb,
                    width,
                    height,
                    ExtendedColorType::Rgb8,
                ),
                crate::Format::Jpeg,
            ),
            Encoding::Png => (
                PngEncoder::new(&mut bytes).write_image(rgb, width, height, ExtendedColorType::Rgb8),
                crate::Format::Png,
            ),
        };
        written.map_err(|error| PictureError::Damaged { format, detail: error.to_string() })?;
        Ok(bytes)
    }

    /// The picture with its longer side at most `side` pixels, in proportion and never enlarged.
    #[must_use]
    pub fn reduced(&self, side: u32) -> Self {
        reduced(self, side.max(1))
    }
}
