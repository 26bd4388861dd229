//! The words for hidden joins: which pieces, how large, and what each runs beneath.

use super::with_article;
use crate::layout::{Axis, Change, Drawn, Rect, joins};
use crate::stash::Settings;
use api::units::{Length, Ruler};

/// How a panel pieced together with hidden joins is now, and what was done; `None` for other changes.
#[must_use]
pub(super) fn told(drawn: &Drawn, change: &Change, settings: &Settings) -> Option<(String, String)> {
    let (panel, axis, is_join) = match *change {
        Change::EndsOnly { panel, axis, .. } => (panel, axis, false),
        Change::Join { panel, axis, .. } => (panel, axis, true),
        _ => return None,
    };
    let of = drawn.panels.get(panel)?;
    if of.strips.is_empty() {
        return None;
    }
    let ruler = Ruler::with_step(settings.ruler).unwrap_or(Ruler::sixteenths());
    let names = names(of.strips.len(), axis);
    let pieces: Vec<String> = of
        .strips
        .iter()
        .zip(&names)
        .map(|(piece, name)| {
            let beneath = beneath(drawn, panel, piece, axis, ruler);
            let runs = if beneath.is_empty() { String::new() } else { format!(" runs {}", beneath.join(" and ")) };
            format!("the {name}, {},{runs}", piece.size().down(ruler))
        })
        .map(|words| words.trim_end_matches(',').to_owned())
        .collect();
    let the = with_article(&of.id);
    let count = match of.strips.len() {
        1 => "one short piece".to_owned(),
        2 => "two short pieces".to_owned(),
        more => format!("{more} short pieces"),
    };
    let side = axis.of(of.cut().size()).exact(settings.unit);
    let way = if axis == Axis::Width { "wide" } else { "high" };
    let what = if is_join {
        format!("{the} pieced from {count} instead of one {side} {way}, the seam hidden: {}", pieces.join("; "))
    } else {
        format!(
            "{the} cut as {count} instead of one {side} {way}: {}; what would lie between is left out, since nothing of it shows",
            pieces.join("; ")
        )
    };
    Some((count, what))
}

/// What the pieces of a panel are called, in their order along an axis.
#[must_use]
pub fn names(count: usize, axis: Axis) -> Vec<String> {
    let ends = match axis {
        Axis::Width => ["left piece", "right piece"],
        Axis::Height => ["upper piece", "lower piece"],
    };
    match count {
        0 => Vec::new(),
        1 => vec!["piece".to_owned()],
        _ => (0..count)
            .map(|place| match place {
                0 => ends[0].to_owned(),
                last if last + 1 == count => ends[1].to_owned(),
                1 if count == 3 => "middle piece".to_owned(),
                place => format!("piece {}", place + 1),
            })
            .collect(),
    }
}

/// "1/4 in beneath the focal panel": for each inner end of a piece, how far it runs beneath what.
fn beneath(drawn: &Drawn, panel: usize, piece: &Rect, axis: Axis, ruler: Ruler) -> Vec<String> {
    let whole = drawn.panels[panel].cut();
    let (start, end, first, last) = match axis {
        Axis::Width => (whole.left, whole.right, piece.left, piece.right),
        Axis::Height => (whole.top, whole.bottom, piece.top, piece.bottom),
    };
    let region = joins::showing(drawn, panel, piece);
    let mut words = Vec::new();
    let side = |rect: &Rect| match axis {
        Axis::Width => (rect.left, rect.right),
        Axis::Height => (rect.top, rect.bottom),
    };
    if first > start
        && let Some(shown) = region.rects().iter().map(|rect| side(rect).0).min()
    {
        words.push(run(drawn, panel, piece, axis, (first, shown - first), ruler));
    }
    if last < end
        && let Some(shown) = region.rects().iter().map(|rect| side(rect).1).max()
    {
        words.push(run(drawn, panel, piece, axis, (last, last - shown), ruler));
    }
    words
}

fn run(drawn: &Drawn, panel: usize, piece: &Rect, axis: Axis, (at, by): (Length, Length), ruler: Ruler) -> String {
    // The topmost panel that lies over the piece's inner end.
    let middle = match axis {
        Axis::Width => (at, piece.top + piece.height().half()),
        Axis::Height => (piece.left + piece.width().half(), at),
    };
    let over = drawn.order.iter().rev().take_while(|place| **place != panel).find(|place| {
        joins::covered_by(drawn, &drawn.panels[**place]).iter().any(|rect| {
            rect.left <= middle.0 && middle.0 <= rect.right && rect.top <= middle.1 && middle.1 <= rect.bottom
        })
    });
    let name = over.map_or_else(|| "what covers it".to_owned(), |place| with_article(&drawn.panels[*place].id));
    format!("{} beneath {name}", ruler.down(by))
}
