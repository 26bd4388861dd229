//! *Almost*: layouts that cannot be made, each with what it lacks, by how much, and what comes nearest.

use super::super::outline::{Names, drawing};
use super::super::sizes::card_size;
use super::super::words::lack_words;
use super::super::xml::escape;
use super::super::{Scene, sentence};
use crate::layout::Drawn;
use crate::score::{Almost, Answer};
use std::fmt::Write as _;

/// The section; nothing where every layout can be made.
pub(super) fn section(scene: &Scene<'_>, answer: &Answer) -> String {
    if answer.almost.is_empty() {
        return String::new();
    }
    let mut out = String::from(
        "<section class=\"almost\" aria-labelledby=\"almost\">\n<h2 id=\"almost\">Almost</h2>\n\
         <p>These layouts lack one thing. The panel it is lacking for is drawn heavy.</p>\n<div class=\"misses\">\n",
    );
    for almost in &answer.almost {
        out.push_str(&miss(scene, almost));
    }
    out.push_str("</div>\n</section>\n");
    out
}

fn miss(scene: &Scene<'_>, almost: &Almost) -> String {
    let (settings, layout) = (scene.table.settings, &scene.table.layouts[almost.layout]);
    let words = lack_words(&almost.miss, settings);
    let drawn = Drawn::as_drawn(layout, layout.card, settings.ruler);
    let mut out = String::from("<article class=\"miss\">\n");
    let _ = write!(
        out,
        "<header><h3><bdi>{}</bdi></h3><p class=\"meta\">{}</p></header>\n{}\n<div><p><b>Lacking:</b> {}</p>",
        escape(&layout.name),
        escape(&card_size(layout.card, settings)),
        drawing(&drawn, &[&almost.miss.panel], Names::Beside, &format!("{}, as drawn", layout.name)),
        escape(&sentence(&words.needs)),
    );
    if let Some(nearest) = &words.nearest {
        let _ = write!(out, "<p><b>Nearest:</b> {}</p>", escape(&sentence(nearest)));
    }
    let _ = writeln!(out, "<p><b>What would help:</b> {}</p></div>\n</article>", escape(&sentence(&words.remedy)));
    out
}
