//! What a scan found, as text.

use super::Look;
use super::look::padded;
use crate::present::scanned::{OfPicture, about};
use crate::problem::{printable, quoted, shown};
use crate::swatch::{SaidBy, WhiteFound};
use api::units::Unit;
use api::{Directional, PatternKind, colour_name, hex};
use std::fmt::Write as _;

/// Each picture: how it was read, its colours, its pattern, what to know.
#[must_use]
pub fn scan(pictures: &[OfPicture], unit: Unit, look: Look) -> String {
    let mut out = String::new();
    for of in pictures {
        if !out.is_empty() {
            out.push('\n');
        }
        picture(&mut out, of, unit, look);
    }
    out
}

fn picture(out: &mut String, of: &OfPicture, unit: Unit, look: Look) {
    let scanned = &of.scanned;
    let reading = &scanned.reading;
    let scale = match scanned.dpi {
        None => "no scale known".to_owned(),
        Some((dpi, SaidBy::Maker)) => format!("{dpi} to the inch"),
        Some((dpi, SaidBy::File)) => format!("{dpi} to the inch, as the file says"),
        Some((dpi, SaidBy::Stash)) => format!("{dpi} to the inch, as your stash says"),
    };
    let name = look.strong(&printable(&of.path));
    let _ = writeln!(out, "{name}  {} x {} pixels, {scale}", scanned.width, scanned.height);
    let white = match reading.white {
        WhiteFound::Margin => "found in the margin; light and colours are corrected by it",
        WhiteFound::Patch => "as you named it; light and colours are corrected by it",
        WhiteFound::Nowhere => "not found: the colours are an estimate",
        _ => "not looked for: the colours are taken as they stand",
    };
    let _ = writeln!(out, "  white    {white}");
    for swatch in &reading.swatches {
        let millionths = swatch.share.millionths();
        let share = format!("{}.{:02} %", millionths / 10_000, millionths / 100 % 100);
        let (colour, hex) = (swatch.colour, hex(swatch.colour));
        let _ = writeln!(
            out,
            "  {share:>8} {}{hex}  {} {}",
            look.chip_of(&hex),
            padded(colour_name(colour), 18),
            look.faint(&format!("lab({:.1}, {:.1}, {:.1})", colour.l, colour.a, colour.b)),
        );
    }
    let _ = writeln!(out, "  pattern  {}", pattern(of, unit));
    for note in of.notes() {
        let _ = writeln!(out, "  note: {note}");
    }
    for kept in &of.kept {
        let hers = match kept.hers.as_slice() {
            [] => String::new(),
            keys => format!("; {} stayed as you wrote it", keys.join(", ")),
        };
        let _ = writeln!(out, "  written into {} for {}{hers}", quoted(&shown(&kept.file)), quoted(&kept.of));
    }
}

/// The measures of a pattern in a line.
fn pattern(of: &OfPicture, unit: Unit) -> String {
    let reading = &of.scanned.reading;
    let pattern = &reading.pattern;
    let kind = match pattern.kind {
        PatternKind::Tonal => "shades of one hue",
        PatternKind::Stripe => "stripes",
        PatternKind::Dot => "dots",
        PatternKind::Check => "checks",
        PatternKind::Scattered => "small motifs, scattered",
        PatternKind::BigMotif => "big motifs",
        _ => return "none: one colour".to_owned(),
    };
    let busy = match pattern.busyness.as_f64() {
        quiet if quiet < 0.25 => "quiet",
        some if some < 0.5 => "fairly quiet",
        lively if lively < 0.75 => "lively",
        _ => "busy",
    };
    let mut told = format!("{kind}, {busy} ({:.2})", pattern.busyness.as_f64());
    if reading.tonal && pattern.kind != PatternKind::Tonal {
        told.push_str(", all of one hue");
    }
    if let Some(repeat) = pattern.repeat {
        let _ = write!(told, ", repeats every {}", about(repeat, unit));
    }
    told.push_str(match pattern.directional {
        Directional::No => ", looks right whichever way it lies",
        Directional::QuarterTurn => ", looks wrong after a quarter turn",
        Directional::OneWay => ", has a right way up",
    });
    told
}
