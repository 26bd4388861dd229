//! The shelf: every design printed, as files with their bytes; nothing is written here.

use crate::design::{Design, Drop, PIXELS_PER_INCH, Repeat, Side};
use crate::pads;
use crate::pads::cut_outs::CutOut;
use image::codecs::jpeg::{JpegEncoder, PixelDensity};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, ImageError, RgbImage};
use std::fmt::Write as _;

/// The resolution of the committed cut-outs, in pixels per inch.
pub const CUT_OUT_PIXELS_PER_INCH: u16 = 120;

/// JPEG quality of the committed papers.
pub const QUALITY: u8 = 80;

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
        Repeat::Lines(mm) => format!("{mm:.2}"),
        Repeat::Frame(wide, high) | Repeat::Cell(wide, high, Drop::Straight) => format!("{wide:.2}x{high:.2}"),
        Repeat::Cell(wide, high, Drop::Half) => format!("{wide:.2}x{high:.2} half-drop"),
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
# half-drop: every second column stands half a repeat lower, so the same height comes again after two columns;
# colours are the inks of the design and their shares of the sheet, before paper fibre and uneven inking.
pad,file,name,kind,repeat_mm,directional,busyness,width_mm,height_mm,back_of,colours";

/// The head of the list of cut-outs.
pub const IMAGES_HEAD: &str = "\
# The demo's cut-out pictures, written by `cargo run -p papermaker`. Do not edit by hand.
# looks is which way the picture faces; the size is that of the picture, its white edge included.
file,name,width_mm,height_mm,looks,inks";

/// A cut-out's line in its list.
pub fn cut_out_line(cut_out: &CutOut) -> String {
    let inks: Vec<String> = cut_out.inks.iter().map(|code| format!("#{code:06x}")).collect();
    let (w, h) = (cut_out.size.0.millimetres_for_drawing(), cut_out.size.1.millimetres_for_drawing());
    format!("{}.png,{},{w},{h},{},{}", cut_out.file, cut_out.name, cut_out.looks, inks.join(" "))
}

/// All designs, in the order of the pads.
pub fn designs() -> Vec<&'static Design> {
    pads::ALL.iter().flat_map(|pad| pad.iter()).collect()
}

/// A cut-out's committed bytes: PNG, clear round its edge.
pub fn cut_out(cut_out: &CutOut) -> Result<Vec<u8>, ImageError> {
    let picture = cut_out.printed(CUT_OUT_PIXELS_PER_INCH);
    let mut bytes = Vec::new();
    PngEncoder::new_with_quality(&mut bytes, CompressionType::Best, FilterType::Adaptive).write_image(
        picture.as_raw(),
        picture.width(),
        picture.height(),
        ExtendedColorType::Rgba8,
    )?;
    Ok(bytes)
}

/// Every committed picture: its path below `papers/`, with forward slashes, and how to draw it.
#[derive(Clone, Copy, Debug)]
pub enum Picture {
    /// A sheet of paper.
    Paper(&'static Design),
    /// A cut-out.
    CutOut(&'static CutOut),
}

impl Picture {
    /// Where it is kept, below `papers/`.
    pub fn path(self) -> String {
        match self {
            Self::Paper(design) => format!("{}/{}.jpg", design.pad, design.file),
            Self::CutOut(cut_out) => format!("images/{}.png", cut_out.file),
        }
    }

    /// Its bytes, and its line in the list of palettes if it is a paper.
    pub fn drawn(self) -> Result<(Vec<u8>, Option<String>), ImageError> {
        match self {
            Self::Paper(design) => paper(design).map(|(bytes, line)| (bytes, Some(line))),
            Self::CutOut(one) => cut_out(one).map(|bytes| (bytes, None)),
        }
    }
}

/// All pictures, papers first.
pub fn pictures() -> Vec<Picture> {
    let papers = designs().into_iter().map(Picture::Paper);
    papers.chain(pads::cut_outs::CUT_OUTS.iter().map(Picture::CutOut)).collect()
}
