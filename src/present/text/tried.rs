//! A judge that was tried on two papers, as text.

use super::{Look, score};
use crate::index::FaceId;
use crate::present::scanned::{about, directional_key, kind_key};
use crate::present::words::{finish_word, material_word};
use crate::problem::printable;
use crate::room::{Room, Tried};
use api::{colour_name, hex};
use std::fmt::Write as _;

/// What it was shown, what it answered, what it printed.
#[must_use]
pub fn tried(room: &Room, tried: &Tried, look: Look) -> String {
    let manifest = &tried.manifest;
    let name = look.strong(&printable(&manifest.name));
    let mut out = format!("{name}  {} (version {})\n", printable(&manifest.title), manifest.version);
    saw(&mut out, "saw the paper", room, tried.paper, look);
    saw(&mut out, "saw the cardstock", room, tried.cardstock, look);
    for answered in &tried.trial.answers {
        let asked = if answered.of.is_empty() {
            answered.term.to_owned()
        } else {
            format!("{} ({})", answered.term, answered.of)
        };
        let told = match answered.worth {
            None => "no opinion".to_owned(),
            Some(worth) => format!("{}  {}", score(i64::from(worth.millionths())), printable(&answered.why)),
        };
        let steps = answered.steps.map_or_else(String::new, |steps| format!("  ({steps} steps)"));
        let _ = writeln!(out, "  {asked}: {told}{}", look.faint(&steps));
        for line in &answered.printed {
            let _ = writeln!(out, "    printed: {}", printable(line));
        }
    }
    if tried.trial.answers.is_empty() && tried.trial.failure.is_none() {
        out.push_str("  it was asked nothing: it judges no papers\n");
    }
    out
}

fn saw(out: &mut String, heading: &str, room: &Room, face: FaceId, look: Look) {
    let face = room.index.face(face);
    let (view, pattern) = (&face.view, &face.view.pattern);
    let repeat = pattern
        .repeat
        .map_or_else(String::new, |repeat| format!(", repeats every {}", about(repeat, room.stash.settings.unit)));
    let _ = writeln!(
        out,
        "  {heading} {} {}: {}, {}, {}, busyness {:.2}{repeat}, directional {}",
        printable(&view.name),
        look.faint(&printable(&face.id)),
        material_word(view.material),
        finish_word(view.finish),
        kind_key(pattern.kind),
        pattern.busyness.as_f64(),
        directional_key(pattern.directional),
    );
    for swatch in &view.swatches {
        let millionths = swatch.share.millionths();
        let hex = hex(swatch.colour);
        let _ = writeln!(
            out,
            "    {:>3}.{:02} %  {}{hex}  {}",
            millionths / 10_000,
            millionths / 100 % 100,
            look.chip_of(&hex),
            colour_name(swatch.colour),
        );
    }
}
