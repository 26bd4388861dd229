//! The shelf: every design printed, as files with their bytes; nothing is written here.

use crate::design::{Design, PIXELS_PER_INCH, Repeat, Side};
use crate::pads;
use image::codecs::jpeg::{JpegEncoder, PixelDensity};
use image::{ExtendedColorType, ImageError, RgbImage};
use std::fmt::Write as _;

/// JPEG quality of the committed papers.
pub const QUALITY: u8 = 80;

/// A design's file, as a path below `papers/` with forward slashes.
pub fn path(design: &Design) -> String {
    format!("{}/{}.jpg", design.pad, design.file)
}

/// A picture as JPEG bytes that say their resolution.
pub fn jpeg(picture: &RgbImage, quality: u8, per_inch: u16) -> Result<Vec<u8>, ImageError> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, quality);
    encoder.set_pixel_density(PixelDensity::dpi(per_inch));
    encoder.encode(picture.as_raw(), picture.width(), picture.height(), ExtendedColorType::Rgb8)?;
    Ok(bytes)
}

/// A design's committed bytes and its line in the list of palettes.
pub fn paper(design: &Design) -> Result<(Vec<u8>, String), ImageError> {
    let sheet = design.printed(PIXELS_PER_INCH);
    let bytes = jpeg(&sheet.picture, QUALITY, PIXELS_PER_INCH)?;
    let repeat = match design.repeat {
        Repeat::None => String::new(),
        Repeat::Lines(mm) => format!("{mm:.1}"),
        Repeat::Frame(wide, high) | Repeat::Cell(wide, high, _) => format!("{wide:.1}x{high:.1}"),
    };
    let back_of = match design.side {
        Side::Front => String::new(),
        Side::BackOf(fronts) => fronts.join(" "),
    };
    let mut colours = String::new();
    for colour in design.palette(&sheet) {
        let gap = if colours.is_empty() { "" } else { " " };
        // Writing to a String cannot fail.
        let _ = write!(colours, "{gap}#{:06x}:{:.3}", colour.hex, colour.share);
    }
    let (w, h) = design.size;
    let line = format!(
        "{},{}.jpg,{},{},{},{},{:.2},{},{},{},{}",
        design.pad,
        design.file,
        design.name,
        design.kind,
        repeat,
        design.directional,
        design.busyness,
        w.millimetres_for_drawing(),
        h.millimetres_for_drawing(),
        back_of,
        colours
    );
    Ok((bytes, line))
}

/// The head of the list of palettes.
pub const HEAD: &str = "\
# True colours of the demo's papers, written by `cargo run -p papermaker`. Do not edit by hand.
# kind, directional and repeat are how the drawing was made; busyness is 0 (plain) to 1, judged by eye;
# colours are the inks of the design and their shares of the sheet, before paper fibre and uneven inking.
pad,file,name,kind,repeat_mm,directional,busyness,width_mm,height_mm,back_of,colours";

/// All designs, in the order of the pads.
pub fn designs() -> Vec<&'static Design> {
    pads::ALL.iter().flat_map(|pad| pad.iter()).collect()
}
