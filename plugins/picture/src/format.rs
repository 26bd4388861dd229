//! Which kind of picture some bytes are, told from the bytes alone, and whether they are all there.
//!
//! A decoder that meets the end of a file too soon may fill the rest with grey; a swatch taken from
//! that would be wrong without a word. So the end of a JPEG is looked for before it is decoded.

use crate::PictureError;
use std::fmt;

/// A kind of picture that is read here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Format {
    /// JPEG (ISO/IEC 10918).
    Jpeg,
    /// PNG (ISO/IEC 15948).
    Png,
    /// WebP, the first frame of it.
    WebP,
}

impl fmt::Display for Format {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::WebP => "WebP",
        })
    }
}

/// How files of other kinds begin, and what people call them. An offset says where the bytes stand.
const OTHERS: &[(usize, &[u8], &str)] = &[
    (4, b"ftypheic", "HEIC (the usual format of some phones)"),
    (4, b"ftypheix", "HEIC (the usual format of some phones)"),
    (4, b"ftyphevc", "HEIC (the usual format of some phones)"),
    (4, b"ftypmif1", "HEIF (the usual format of some phones)"),
    (4, b"ftypmsf1", "HEIF (the usual format of some phones)"),
    (4, b"ftypavif", "AVIF"),
    (4, b"ftypavis", "AVIF"),
    (4, b"ftyp", "a film"),
    (4, b"JXL ", "JPEG XL"),
    (0, b"\xff\x0a", "JPEG XL"),
    (4, b"jP  ", "JPEG 2000"),
    (0, b"GIF8", "GIF"),
    (0, b"BM", "BMP"),
    (0, b"II*\0", "TIFF, or a camera's raw picture"),
    (0, b"MM\0*", "TIFF, or a camera's raw picture"),
    (0, b"%PDF", "PDF"),
    (0, b"8BPS", "a layered picture"),
    (0, b"<svg", "SVG (a drawing)"),
    (0, b"<?xml", "XML (perhaps a drawing)"),
    (0, b"PK\x03\x04", "a ZIP archive"),
];

impl Format {
    /// The kind that `bytes` begin as.
    ///
    /// # Errors
    /// [`PictureError::Empty`] for no bytes, [`PictureError::OtherKind`] for a kind known but not
    /// read, [`PictureError::NotAPicture`] for the rest.
    pub fn of(bytes: &[u8]) -> Result<Self, PictureError> {
        if bytes.is_empty() {
            return Err(PictureError::Empty);
        }
        if bytes.starts_with(b"\xff\xd8\xff") {
            return Ok(Self::Jpeg);
        }
        if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
            return Ok(Self::Png);
        }
        if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            return Ok(Self::WebP);
        }
        for &(offset, start, kind) in OTHERS {
            if bytes.get(offset..).is_some_and(|rest| rest.starts_with(start)) {
                return Err(PictureError::OtherKind { kind });
            }
        }
        Err(PictureError::NotAPicture)
    }

    /// As [`Format::of`], and refuses bytes that are not what the file's name says: `extension` is
    /// what the name ends in, without the dot, in any case. An extension that names none of the
    /// kinds read here is no reason to refuse.
    ///
    /// # Errors
    /// Those of [`Format::of`], and [`PictureError::Mislabelled`].
    pub fn named(extension: &str, bytes: &[u8]) -> Result<Self, PictureError> {
        let content = Self::of(bytes)?;
        let says = match extension.to_ascii_lowercase().as_str() {
            "jpg" | "jpeg" | "jpe" | "jfif" => Self::Jpeg,
            "png" => Self::Png,
            "webp" => Self::WebP,
            _ => return Ok(content),
        };
        if says == content {
            Ok(content)
        } else {
            Err(PictureError::Mislabelled { extension: extension.to_owned(), content })
        }
    }

    /// What a file of this kind should end in, without the dot.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::WebP => "webp",
        }
    }
}

/// What the markers of a JPEG say of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct JpegFacts {
    /// How many colour components it has: 1 grey, 3 colour, 4 print colours.
    pub(crate) components: u8,
    /// How many times the decoder must go over the picture.
    pub(crate) scans: u32,
}

/// The most scans a progressive JPEG is allowed: encoders write about ten; thousands are an attack on time.
const MOST_SCANS: u32 = 200;

/// Walks the markers of a JPEG from its start to the end-of-image marker.
///
/// What follows that marker (other pictures, a film clip) is not looked at.
pub(crate) fn jpeg_facts(bytes: &[u8]) -> Result<JpegFacts, PictureError> {
    let cut_short = || PictureError::CutShort { format: Format::Jpeg, bytes: bytes.len() };
    let damaged = |detail: &str| PictureError::Damaged { format: Format::Jpeg, detail: detail.to_owned() };
    let mut facts = JpegFacts::default();
    let mut at = 2;
    loop {
        // Between segments there is one 0xFF, or several as padding, then the marker's code. Inside
        // a scan, 0xFF 0x00 and the restart markers (0xD0 to 0xD7) belong to the data.
        let from = at;
        while *bytes.get(at).ok_or_else(cut_short)? != 0xff {
            at += 1;
        }
        if at > from && facts.scans == 0 {
            return Err(damaged(&format!("stray bytes before the picture data, at byte {from}")));
        }
        while *bytes.get(at).ok_or_else(cut_short)? == 0xff {
            at += 1;
        }
        let code = bytes[at];
        at += 1;
        match code {
            0xd9 if facts.scans > 0 => return Ok(facts),
            0xd9 => return Err(damaged("it ends before any picture data")),
            0x00 | 0x01 | 0xd0..=0xd8 => continue,
            _ => {}
        }
        let length = usize::from(*bytes.get(at).ok_or_else(cut_short)?) << 8
            | usize::from(*bytes.get(at + 1).ok_or_else(cut_short)?);
        if length < 2 {
            return Err(damaged(&format!("a segment of impossible length at byte {at}")));
        }
        let segment = bytes.get(at + 2..at + length).ok_or_else(cut_short)?;
        match code {
            // Start of frame: precision, height, width, number of components. 0xC4, 0xC8 and 0xCC
            // are not frames.
            0xc0..=0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf => {
                facts.components = *segment.get(5).ok_or_else(|| damaged("the frame header is too short"))?;
            }
            0xda => {
                facts.scans += 1;
                if facts.scans > MOST_SCANS {
                    return Err(damaged(&format!("it asks for more than {MOST_SCANS} passes over the picture")));
                }
            }
            _ => {}
        }
        at += length;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_told_from_the_bytes() {
        assert_eq!(Format::of(b""), Err(PictureError::Empty));
        assert_eq!(Format::of(b"\xff\xd8\xff\xe0"), Ok(Format::Jpeg));
        assert_eq!(Format::of(b"RIFF\0\0\0\0WEBPVP8 "), Ok(Format::WebP));
        assert_eq!(Format::of(b"hello there"), Err(PictureError::NotAPicture));
        let heic = Format::of(b"\0\0\0\x18ftypheic\0\0").expect_err("not read");
        assert_eq!(
            heic.to_string(),
            "this is a file of the kind HEIC (the usual format of some phones), which is not read here"
        );
    }

    #[test]
    fn a_name_that_lies_is_refused() {
        let png = b"\x89PNG\r\n\x1a\n";
        assert_eq!(Format::named("PNG", png), Ok(Format::Png));
        assert_eq!(Format::named("picture", png), Ok(Format::Png));
        assert_eq!(
            Format::named("JPG", png),
            Err(PictureError::Mislabelled { extension: "JPG".to_owned(), content: Format::Png })
        );
    }
}
