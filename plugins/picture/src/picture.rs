//! A decoded picture: rows of 8-bit sRGB pixels, upright, without transparency.

use crate::Note;

/// A picture in 8-bit sRGB, turned upright.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    width: u32,
    height: u32,
    rgb: Vec<u8>,
    notes: Vec<Note>,
}

impl Picture {
    /// A picture from its pixels, row by row, three bytes each; `None` unless there is at least one
    /// pixel and exactly as many bytes as the size asks for.
    #[must_use]
    pub fn from_rgb(width: u32, height: u32, rgb: Vec<u8>) -> Option<Self> {
        Self::with_notes(width, height, rgb, Vec::new())
    }

    /// As [`Picture::from_rgb`], with what is worth knowing about it.
    pub(crate) fn with_notes(width: u32, height: u32, rgb: Vec<u8>, mut notes: Vec<Note>) -> Option<Self> {
        let bytes = usize::try_from(u64::from(width).checked_mul(u64::from(height))?.checked_mul(3)?).ok()?;
        notes.sort();
        notes.dedup();
        (bytes > 0 && bytes == rgb.len()).then_some(Self { width, height, rgb, notes })
    }

    /// Width in pixels, at least 1.
    #[must_use]
    pub const fn width(&self) -> u32 {
        self.width
    }

    /// Height in pixels, at least 1.
    #[must_use]
    pub const fn height(&self) -> u32 {
        self.height
    }

    /// The pixels, row by row from the top left, three bytes each: red, green, blue in sRGB (IEC 61966-2-1).
    #[must_use]
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    /// What is worth knowing about how it was read, in a fixed order.
    #[must_use]
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }
}
