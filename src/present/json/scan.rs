//! What a scan found, as JSON.

use super::number::{Decimal, Millimetres, Millionths};
use super::{FORMAT, written};
use crate::present::scanned::{OfPicture, directional_key, kind_key, white_key};
use crate::problem::shown;
use crate::swatch::SaidBy;
use api::{colour_name, hex};
use serde::Serialize;

#[derive(Serialize)]
struct Scan<'a> {
    format: u32,
    pictures: Vec<Picture<'a>>,
}

#[derive(Serialize)]
struct Picture<'a> {
    picture: &'a str,
    width_px: u32,
    height_px: u32,
    dpi: Option<u32>,
    dpi_from: Option<&'static str>,
    white: &'static str,
    estimate: bool,
    unreliable: bool,
    swatches: Vec<Swatch>,
    pattern: Pattern,
    notes: Vec<String>,
    saved: Vec<Saved<'a>>,
}

#[derive(Serialize)]
struct Swatch {
    hex: String,
    name: &'static str,
    lab: [Decimal; 3],
    share: Millionths,
}

#[derive(Serialize)]
struct Pattern {
    kind: &'static str,
    busyness: Millionths,
    repeat_mm: Option<Millimetres>,
    directional: &'static str,
    tonal: bool,
}

#[derive(Serialize)]
struct Saved<'a> {
    file: String,
    of: &'a str,
    left_as_written: &'a [&'static str],
}

/// `scan IMAGE… --json`: the pictures that could be read, in the order asked.
#[must_use]
pub fn scan(pictures: &[OfPicture]) -> String {
    written(&Scan { format: FORMAT, pictures: pictures.iter().map(picture).collect() })
}

fn picture(of: &OfPicture) -> Picture<'_> {
    let scanned = &of.scanned;
    let reading = &scanned.reading;
    let pattern = &reading.pattern;
    Picture {
        picture: &of.path,
        width_px: scanned.width,
        height_px: scanned.height,
        dpi: scanned.dpi.map(|(dpi, _)| dpi),
        dpi_from: scanned.dpi.map(|(_, by)| match by {
            SaidBy::Maker => "you",
            SaidBy::File => "file",
            SaidBy::Stash => "stash",
        }),
        white: white_key(reading.white),
        estimate: reading.is_estimate(),
        unreliable: of.is_unreliable(),
        swatches: reading
            .swatches
            .iter()
            .map(|swatch| Swatch {
                hex: hex(swatch.colour),
                name: colour_name(swatch.colour),
                lab: [swatch.colour.l, swatch.colour.a, swatch.colour.b].map(Decimal),
                share: Millionths::of(swatch.share.millionths()),
            })
            .collect(),
        pattern: Pattern {
            kind: kind_key(pattern.kind),
            busyness: Millionths::of(pattern.busyness.millionths()),
            repeat_mm: pattern.repeat.map(Millimetres),
            directional: directional_key(pattern.directional),
            tonal: reading.tonal,
        },
        notes: of.notes(),
        saved: of
            .kept
            .iter()
            .map(|kept| Saved { file: shown(&kept.file), of: &kept.of, left_as_written: &kept.hers })
            .collect(),
    }
}
