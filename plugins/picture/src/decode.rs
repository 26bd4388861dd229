//! The bytes of a JPEG, PNG or WebP in, an upright 8-bit sRGB [`Picture`] out.
//!
//! The size is checked before a pixel is decoded. It never reads a file, and it never lets a
//! decoder's panic through.

use crate::format::jpeg_facts;
use crate::profile::{Followed, to_srgb};
use crate::{Format, Note, Picture, PictureError};
use image::codecs::{jpeg::JpegDecoder, png::PngDecoder, webp::WebPDecoder};
use image::error::ImageError;
use image::metadata::Orientation;
use image::{ColorType, DynamicImage, ImageDecoder};
use std::io::{Cursor, ErrorKind};

/// How large a picture may be. Without a default: whoever decodes says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The most pixels, width times height.
    pub pixels: u64,
    /// The most bytes the decoder may take for itself.
    pub bytes: u64,
}

impl Limits {
    /// 60 million pixels, which is a 12 × 12 in sheet scanned at 600 dpi with a margin, and half a gibibyte.
    pub const COMMON: Self = Self { pixels: 60_000_000, bytes: 512 << 20 };
}

/// Decodes a picture: upright as the camera noted, in sRGB by its colour profile, see-through parts
/// laid on white, 16-bit steps rounded to 8-bit ones. [`Picture::notes`] says what was done.
///
/// # Errors
/// Every [`PictureError`] but [`PictureError::Mislabelled`], for which see [`Format::named`].
pub fn decode(bytes: &[u8], limits: Limits) -> Result<Picture, PictureError> {
    guarded(bytes, limits, |format, upright| {
        let (width, height) = (upright.pixels.width(), upright.pixels.height());
        let mut notes = upright.notes;
        let mut rgb = laid_on_white(upright.pixels, &mut notes);
        upright.profile.follow(&mut rgb, &mut notes);
        Picture::with_notes(width, height, rgb, notes).ok_or_else(|| PictureError::Damaged {
            format,
            detail: format!("it has fewer pixels than its size of {width} × {height} asks for"),
        })
    })
}

/// Decodes a picture and hands it on. The decoders are meant not to panic; should one do so on some
/// picture, that is damage to report, not a reason to lose the run.
pub(crate) fn guarded<T>(
    bytes: &[u8],
    limits: Limits,
    then: impl Fn(Format, Upright) -> Result<T, PictureError> + std::panic::RefUnwindSafe,
) -> Result<T, PictureError> {
    let format = Format::of(bytes)?;
    std::panic::catch_unwind(|| then(format, decode_as(format, bytes, limits)?))
        .unwrap_or_else(|_| Err(PictureError::Damaged { format, detail: "its decoder gave up".to_owned() }))
}

/// A picture turned upright, see-through parts and colour profile still as they came.
pub(crate) struct Upright {
    pub(crate) pixels: DynamicImage,
    pub(crate) profile: Profile,
    notes: Vec<Note>,
}

/// The colour profile a picture came with.
pub(crate) struct Profile {
    icc: Result<Option<Vec<u8>>, ImageError>,
    grey: bool,
}

impl Profile {
    /// Brings pixels in this profile to sRGB.
    pub(crate) fn follow(&self, rgb: &mut [u8], notes: &mut Vec<Note>) {
        match &self.icc {
            Ok(None) => {}
            Ok(Some(_)) if notes.contains(&Note::PrintColours) => {}
            Ok(Some(icc)) => match to_srgb(icc, self.grey, rgb) {
                Followed::Srgb => {}
                Followed::Converted(name) => notes.push(Note::ProfileFollowed { name }),
                Followed::Unreadable => notes.push(Note::ProfileUnreadable),
            },
            // A profile that cannot even be fetched is as good as one that cannot be read.
            Err(_) => notes.push(Note::ProfileUnreadable),
        }
    }
}

/// Decodes bytes that begin as `format`.
fn decode_as(format: Format, bytes: &[u8], limits: Limits) -> Result<Upright, PictureError> {
    let failed = |error: ImageError| explain(format, bytes.len(), &error);
    let mut notes = Vec::new();
    match format {
        Format::Jpeg => {
            let facts = jpeg_facts(bytes)?;
            if facts.components == 4 {
                notes.push(Note::PrintColours);
            }
            read(JpegDecoder::new(Cursor::new(bytes)).map_err(failed)?, format, bytes.len(), limits, notes)
        }
        Format::Png => {
            let decoder = PngDecoder::with_limits(Cursor::new(bytes), allowance(limits)).map_err(failed)?;
            read(decoder, format, bytes.len(), limits, notes)
        }
        Format::WebP => read(WebPDecoder::new(Cursor::new(bytes)).map_err(failed)?, format, bytes.len(), limits, notes),
    }
}

/// What a decoder may take for itself; the number of pixels is checked here, before it is asked for any.
fn allowance(limits: Limits) -> image::Limits {
    let mut allowance = image::Limits::default();
    allowance.max_alloc = Some(limits.bytes);
    allowance
}

/// Turns what a decoder met into words for the maker.
fn explain(format: Format, bytes: usize, error: &ImageError) -> PictureError {
    let mut source: Option<&(dyn std::error::Error + 'static)> = Some(error);
    while let Some(cause) = source {
        if cause.downcast_ref::<std::io::Error>().is_some_and(|io| io.kind() == ErrorKind::UnexpectedEof) {
            return PictureError::CutShort { format, bytes };
        }
        source = cause.source();
    }
    let detail = error.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    // Some decoders keep the cause only as words.
    if detail.to_lowercase().contains("unexpected end of file") {
        return PictureError::CutShort { format, bytes };
    }
    PictureError::Damaged { format, detail }
}

/// Reads the pixels once the size is known to be allowed.
fn read(
    mut decoder: impl ImageDecoder,
    format: Format,
    bytes: usize,
    limits: Limits,
    mut notes: Vec<Note>,
) -> Result<Upright, PictureError> {
    let failed = |error: ImageError| explain(format, bytes, &error);
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels > limits.pixels || decoder.total_bytes() > limits.bytes {
        let per_pixel = u64::from(decoder.color_type().bytes_per_pixel()).max(1);
        let limit = limits.pixels.min(limits.bytes / per_pixel);
        return Err(PictureError::TooManyPixels { width, height, limit });
    }
    if pixels == 0 {
        return Err(PictureError::Damaged { format, detail: format!("its size is {width} × {height} pixels") });
    }
    decoder.set_limits(allowance(limits)).map_err(failed)?;
    let turn = decoder.orientation().map_err(failed)?;
    let icc = decoder.icc_profile();
    let kind = decoder.color_type();
    let mut decoded = DynamicImage::from_decoder(decoder).map_err(failed)?;
    if turn != Orientation::NoTransforms {
        decoded.apply_orientation(turn);
        notes.push(Note::Turned);
    }
    if matches!(kind, ColorType::L16 | ColorType::La16 | ColorType::Rgb16 | ColorType::Rgba16) {
        notes.push(Note::SixteenBit);
    }
    let grey = !kind.has_color();
    if grey {
        notes.push(Note::Grey);
    }
    Ok(Upright { pixels: decoded, profile: Profile { icc, grey }, notes })
}

/// Pixels without transparency: each see-through one is mixed with white, as a screen shows it.
fn laid_on_white(decoded: DynamicImage, notes: &mut Vec<Note>) -> Vec<u8> {
    if !decoded.color().has_alpha() {
        return decoded.into_rgb8().into_raw();
    }
    let rgba = decoded.into_rgba8();
    let mut through = false;
    let mut rgb = Vec::with_capacity(rgba.len() / 4 * 3);
    for pixel in rgba.pixels() {
        let [red, green, blue, alpha] = pixel.0;
        through |= alpha < 255;
        for channel in [red, green, blue] {
            let mixed = (u32::from(channel) * u32::from(alpha) + 255 * u32::from(255 - alpha) + 127) / 255;
            rgb.push(u8::try_from(mixed).unwrap_or(u8::MAX));
        }
    }
    if through {
        notes.push(Note::LaidOnWhite);
    }
    rgb
}
