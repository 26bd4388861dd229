//! Looks at one picture file for its own sake: a path and how to read it in, all that was measured out.

use super::bytes_of;
use crate::problem::Fault;
use api::Colour;
use api::units::Length;
use std::path::Path;
use swatchfold_picture::{Format, Limits, OFFICE_PAPER, Options, Reading, Scale, White, decode, stated_dpi};

/// How a picture is to be read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scan {
    /// Where the white is.
    pub white: White,
    /// What colour the white paper is, where she knows it.
    pub paper: Option<Colour>,
    /// How large the picture is in the world, where anyone said.
    pub size: Option<Size>,
}

/// What is known of how large the picture is in the world.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// Pixels to the inch.
    Dpi(u32),
    /// The picture shows this width of paper from edge to edge.
    Across(Length),
}

/// Who said how large the picture is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SaidBy {
    /// The maker, in the question.
    Maker,
    /// The picture file.
    File,
    /// The stash, which says how much paper the picture shows.
    Stash,
}

/// What was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Scanned {
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
    pub height: u32,
    /// Pixels to the inch, rounded, and who said so.
    pub dpi: Option<(u32, SaidBy)>,
    /// Colours, pattern, white, and what she should know.
    pub reading: Reading,
}

/// Reads a picture.
///
/// # Errors
/// [`Fault::PictureNotRead`]: what it is instead, how much too large it is, or that the patch of white
/// lies outside it; each with what to do.
pub fn scan(path: &Path, asked: &Scan) -> Result<Scanned, Fault> {
    let bytes = bytes_of(path)?;
    let not_read = |error: &swatchfold_picture::PictureError| Fault::PictureNotRead {
        message: error.to_string(),
        remedy: error.remedy(),
    };
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    Format::named(&ending, &bytes).map_err(|error| not_read(&error))?;
    let picture = decode(&bytes, Limits::COMMON).map_err(|error| not_read(&error))?;
    let (width, height) = (picture.width(), picture.height());
    if let White::Patch { x, y, width: wide, height: high } = asked.white {
        let inside = |from: u32, long: u32, most: u32| long > 0 && from.checked_add(long).is_some_and(|to| to <= most);
        if !inside(x, wide, width) || !inside(y, high, height) {
            return Err(Fault::PictureNotRead {
                message: format!(
                    "the white of {wide} × {high} pixels at {x},{y} does not lie inside its {width} × {height} pixels"
                ),
                remedy: "give left edge, top edge, width and height of the white in pixels of this picture".to_owned(),
            });
        }
    }
    let stated = stated_dpi(&bytes).map(|dpi| (Size::Dpi(dpi), SaidBy::File));
    // What she says goes first; a scanner that notes its steps knows them better than a stash that
    // takes the picture for the sheet.
    let size = match asked.size {
        Some(size @ Size::Dpi(_)) => Some((size, SaidBy::Maker)),
        Some(size @ Size::Across(_)) => stated.or(Some((size, SaidBy::Stash))),
        None => stated,
    };
    let options = Options {
        white: asked.white,
        paper: asked.paper.unwrap_or(OFFICE_PAPER),
        scale: match size {
            None => Scale::Unknown,
            Some((Size::Dpi(dpi), _)) => Scale::Dpi(dpi),
            Some((Size::Across(across), _)) => Scale::Across(across),
        },
    };
    let reading = swatchfold_picture::swatches(&picture, &options);
    Ok(Scanned { width, height, dpi: size.and_then(|(size, by)| Some((dpi(size, width)?, by))), reading })
}

/// Pixels to the inch; `None` where a length of nothing is shown.
fn dpi(size: Size, width: u32) -> Option<u32> {
    match size {
        Size::Dpi(dpi) => Some(dpi),
        Size::Across(across) => {
            let inch = i128::from(Length::INCH.nanometres()) * i128::from(width);
            let across = i128::from(across.nanometres());
            (across > 0).then(|| u32::try_from((inch + across / 2) / across).ok()).flatten()
        }
    }
}
