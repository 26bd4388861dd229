//! Step 1b, *look at the pictures*: the bytes of a picture in, swatches and pattern measures out.
//!
//! The path, in order: [`decode`] the bytes into a [`Picture`] in sRGB (`format`, `decode`,
//! `profile`); shrink it where it is larger than need be (`reduce`); draw a [`Picture::thumbnail`]
//! for the cards; take [`swatches`] from it. How each number is found, its sources and its limits:
//! `docs/swatches.md`.
//!
//! This crate never opens a file, never reads a clock and never guesses from a file's name.

/// Changed whenever a reading may change for the same picture: whoever keeps readings keeps them by it.
pub const VERSION: u32 = 5;

mod bands;
mod cutout;
mod decode;
mod dots;
mod extract;
mod focus;
mod format;
mod hidden;
mod note;
mod pattern;
mod peaks;
mod picture;
mod problem;
mod profile;
mod reading;
mod reduce;
mod resolution;
mod shine;
mod space;
mod specks;
mod surface;
mod thumbnail;
mod unmix;
mod vote;
mod white;
mod work;

pub use cutout::{SmallCopy, small_copy};
pub use decode::{Limits, decode};
pub use format::Format;
pub use note::Note;
pub use picture::Picture;
pub use problem::PictureError;
pub use reading::{OFFICE_PAPER, Options, Reading, Scale, White, WhiteFound, swatches};
pub use resolution::stated_dpi;
pub use thumbnail::Encoding;
