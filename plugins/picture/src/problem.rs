//! What can be wrong with a picture, where, by how much, and what to do about it.

use crate::Format;
use std::fmt;

/// Why a picture could not be read. Says what and by how much; [`PictureError::remedy`] says what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PictureError {
    /// The file holds nothing at all.
    Empty,
    /// It starts like no picture known here.
    NotAPicture,
    /// It is a picture or document of a kind that is not read.
    OtherKind {
        /// What people call the kind: "HEIC (the usual format of some phones)".
        kind: &'static str,
    },
    /// Its name ends as one kind of picture and its content is another.
    Mislabelled {
        /// What the name ends in, without the dot.
        extension: String,
        /// What the content is.
        content: Format,
    },
    /// The file ends before the picture does.
    CutShort {
        /// The kind of picture.
        format: Format,
        /// How many bytes there are.
        bytes: usize,
    },
    /// The content breaks the rules of its format.
    Damaged {
        /// The kind of picture.
        format: Format,
        /// What the decoder met.
        detail: String,
    },
    /// More pixels than the limit.
    TooManyPixels {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
        /// How many pixels are allowed.
        limit: u64,
    },
}

/// Pixels in millions with one decimal, rounded up so that what is over a limit never reads as equal to it.
fn megapixels(pixels: u64) -> String {
    let tenths = pixels.div_ceil(100_000);
    format!("{}.{}", tenths / 10, tenths % 10)
}

impl fmt::Display for PictureError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(out, "the picture file is empty (0 bytes)"),
            Self::NotAPicture => {
                write!(out, "this is not a picture: its first bytes are those of no JPEG, PNG or WebP")
            }
            Self::OtherKind { kind } => write!(out, "this is a file of the kind {kind}, which is not read here"),
            Self::Mislabelled { extension, content } => {
                write!(out, "the name ends in `.{extension}`, but the content is {content}")
            }
            Self::CutShort { format, bytes } => {
                write!(
                    out,
                    "the {format} picture is cut short: the file ends after {bytes} bytes, before the picture does"
                )
            }
            Self::Damaged { format, detail } => write!(out, "the {format} picture is damaged: {detail}"),
            Self::TooManyPixels { width, height, limit } => write!(
                out,
                "the picture is {width} × {height} pixels, {} million; the most that is read is {} million",
                megapixels(u64::from(*width) * u64::from(*height)),
                megapixels(*limit)
            ),
        }
    }
}

impl std::error::Error for PictureError {}

impl PictureError {
    /// What to do about it. Every kind of problem has an answer.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Empty => "copy the picture again from the camera, phone or scanner".to_owned(),
            Self::NotAPicture => "give a JPEG, PNG or WebP picture".to_owned(),
            Self::OtherKind { .. } => {
                "save or export it as JPEG (or PNG or WebP) and give that file instead".to_owned()
            }
            Self::Mislabelled { content, .. } => {
                format!("rename the file so that it ends in `.{}`", content.extension())
            }
            Self::CutShort { .. } | Self::Damaged { .. } => {
                "copy it again from where it came from, or open it in a picture viewer and save it anew".to_owned()
            }
            Self::TooManyPixels { .. } => "reduce it, or scan at a lower resolution: 300 dpi is plenty".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sentences_say_what_by_how_much_and_what_to_do() {
        let large = PictureError::TooManyPixels { width: 10_000, height: 10_000, limit: 60_000_000 };
        assert_eq!(
            large.to_string(),
            "the picture is 10000 × 10000 pixels, 100.0 million; the most that is read is 60.0 million"
        );
        assert_eq!(large.remedy(), "reduce it, or scan at a lower resolution: 300 dpi is plenty");
        let wrong = PictureError::Mislabelled { extension: "jpg".to_owned(), content: Format::Png };
        assert_eq!(wrong.to_string(), "the name ends in `.jpg`, but the content is PNG");
        assert_eq!(wrong.remedy(), "rename the file so that it ends in `.png`");
        let over = PictureError::TooManyPixels { width: 60_000_001, height: 1, limit: 60_000_000 };
        assert!(over.to_string().contains("60.1 million; the most that is read is 60.0"), "{over}");
    }
}
