//! Mats for a paper, as text: each drawn as a small block of colours where the terminal can show them.

use super::look::{padded, widest};
use super::{Look, score};
use crate::index::FaceId;
use crate::problem::printable;
use crate::room::Room;
use crate::score::{Mat, Mats, ONE, Reason, Wanted};
use api::{PaperView, hex};
use std::fmt::Write as _;

/// The widest a column of names gets.
const COLUMN: usize = 40;

/// Mats, best first, and what to look for where none does well.
#[must_use]
pub fn mats(room: &Room, wanted: Wanted, mats: &Mats, look: Look) -> String {
    let view = |face: FaceId| &room.index.face(face).view;
    let called = |face: FaceId| printable(&view(face).name);
    let mut out = format!("Mats for {}{}", look.chips(view(wanted.paper)), look.strong(&called(wanted.paper)));
    if let Some(beneath) = wanted.beneath {
        let _ = write!(out, " on {}{}", look.chips(view(beneath)), look.strong(&called(beneath)));
    }
    let unit = room.stash.settings.unit;
    let reveals: Vec<String> = wanted.reveals.iter().flatten().map(|reveal| reveal.exact(unit)).collect();
    let _ = writeln!(out, ", with {} showing", reveals.join(" and "));
    if mats.mats.is_empty() {
        out.push_str("There is no plain stock here that could be one.\n");
    }
    let name = |mat: &Mat| match mat.outer {
        None => called(mat.face),
        Some(outer) => format!("{} on {}", called(mat.face), called(outer)),
    };
    let names: Vec<String> = mats.mats.iter().map(name).collect();
    let wide = widest(names.iter().map(String::as_str), COLUMN);
    for ((mat, name), number) in mats.mats.iter().zip(&names).zip(1..) {
        let mut chips = look.chips(view(mat.face));
        if let Some(outer) = mat.outer {
            chips.push_str(&look.chips(view(outer)));
        }
        let ids = mat.outer.map_or_else(String::new, |outer| format!(", {}", printable(&room.index.face(outer).id)));
        let ids = format!("{}{ids}", printable(&room.index.face(mat.face).id));
        let _ = writeln!(
            out,
            "{number:>3}. {chips}{}  {}  {}\n     {}",
            padded(name, wide),
            score(i64::try_from(mat.score).unwrap_or(i64::MAX)),
            look.faint(&ids),
            why(&mat.reasons),
        );
        if number <= DRAWN {
            let mats = [Some(mat.face), mat.outer].into_iter().flatten().map(view).collect::<Vec<_>>();
            out.push_str(&drawn(view(wanted.paper), &mats, wanted.beneath.map(view), look));
        }
    }
    if let Some(found) = &mats.look_for {
        let colour = found.colour;
        let _ = writeln!(
            out,
            "{} does it well. Look for {}{}: {}, lab({:.0}, {:.0}, {:.0}), which would score {}: {}",
            if mats.mats.is_empty() { "Nothing here" } else { "None of them" },
            look.chip_of(&hex(colour)),
            look.strong(found.name),
            hex(colour),
            colour.l,
            // A colour without a minus sign before nothing.
            if colour.a.abs() < 0.5 { 0.0 } else { colour.a },
            if colour.b.abs() < 0.5 { 0.0 } else { colour.b },
            score(i64::try_from(found.score).unwrap_or(i64::MAX)),
            why(&found.reasons),
        );
        if let Some((face, apart)) = found.nearest {
            let how = match apart {
                near if near < 5.0 => "all but the same",
                near if near < 12.0 => "near it",
                near if near < 25.0 => "some way off",
                _ => "far off",
            };
            let _ = writeln!(out, "The nearest you have is {} ({how}, {apart:.0} CIEDE2000).", called(face));
        }
    }
    out
}

/// So many of them are drawn in a terminal.
const DRAWN: usize = 5;

/// What is said of a mat, by those who have an opinion.
fn why(reasons: &[Reason]) -> String {
    let mut reasons: Vec<_> = reasons.iter().filter(|reason| !reason.about.is_empty()).collect();
    // What the mat takes up is what she asked for; then what counts most.
    let key = |reason: &&Reason| (reason.scorer != "mat-choice", std::cmp::Reverse(reason.value * reason.weight / ONE));
    reasons.sort_by_key(key);
    let why: Vec<String> = reasons.iter().map(|reason| printable(&reason.why)).collect();
    why.join("; ")
}

/// A paper on its mats on what lies beneath, as blocks; nothing where there is no colour.
fn drawn(paper: &PaperView, mats: &[&PaperView], beneath: Option<&PaperView>, look: Look) -> String {
    let rings: Vec<&PaperView> = mats.iter().copied().chain(beneath).collect();
    // Stripes of the paper's colours by their shares, so that the small ones show.
    let inside: Vec<String> = (0..12)
        .map(|place| {
            let at = place * 83_333 + 41_666;
            let mut passed = 0;
            let found = paper.swatches.iter().find(|swatch| {
                passed += swatch.share.millionths();
                passed > at
            });
            hex(found.map_or_else(|| paper.main_colour(), |swatch| swatch.colour))
        })
        .collect();
    let edge = |ring: &PaperView| hex(ring.main_colour());
    let mut rows: Vec<Vec<String>> = vec![inside.clone(), inside];
    for ring in rings {
        let colour = edge(ring);
        for row in &mut rows {
            row.insert(0, colour.clone());
            row.push(colour.clone());
        }
        let line = vec![colour; rows.first().map_or(0, Vec::len)];
        rows.insert(0, line.clone());
        rows.push(line);
    }
    let mut out = String::new();
    for row in rows {
        let blocks: String = row.iter().map(|colour| look.block_of(colour)).collect();
        if !blocks.is_empty() {
            let _ = writeln!(out, "     {blocks}");
        }
    }
    out
}
