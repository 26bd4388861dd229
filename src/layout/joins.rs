//! Hidden joins: what of a panel need not be of its paper, since something opaque lies over it.
//!
//! A drawn layout in; pieces out that together look like the panel, with every seam and every inner
//! end at least a glue margin beneath a cover. Only what covers whatever papers are chosen counts: no
//! vellum, no image (it keeps its own size), no die (it is not chosen yet), and of a raised panel only
//! what lies well within its edge, since one can look beneath.

use super::{Axis, Drawn, DrawnPanel, Outline, Rect, Region, outline_of};
use crate::stash::{Shape, Takes};
use api::Material;
use api::units::Length;

/// What pieces must save along the panel before parts of it are left out: 1/2 in, so that nothing is
/// joined for a sliver. Common practice, no source.
const WORTH_SAVING: Length = Length::from_nanometres(12_700_000);
/// How far one may look beneath the edge of a raised panel: 1/8 in. With the usual glue margin that is
/// the 3/8 in that makers leave under foam. Common practice, no source.
const BENEATH_FOAM: Length = Length::from_nanometres(3_175_000);
/// The shortest piece that is cut for a join, 1/2 in; common practice, no source.
const SHORTEST: Length = Length::from_nanometres(12_700_000);
/// How many places for one seam are tried.
const SEAMS: usize = 2;

/// From one end of something to the other, along one axis.
pub(super) type Span = (Length, Length);

/// What panels over `place` cover for certain.
#[must_use]
pub fn covers(drawn: &Drawn, place: usize) -> Vec<Rect> {
    let above = drawn.order.iter().skip_while(|other| **other != place).skip(1);
    above.flat_map(|other| covered_by(drawn, &drawn.panels[*other])).collect()
}

/// What one panel covers for certain, with its mats.
#[must_use]
pub fn covered_by(drawn: &Drawn, panel: &DrawnPanel) -> Vec<Rect> {
    let flush = drawn.flush(panel);
    let mut rects = if !panel.mats.is_empty() {
        outline_of(panel, panel.footprint.size()).inner(&panel.footprint)
    } else if panel.left_out || !is_opaque(&panel.takes) || panel.shape == Shape::Die {
        Vec::new()
    } else if panel.strips.is_empty() {
        outline_of(panel, panel.cut().size()).inner(&panel.cut())
    } else {
        // Pieces are cut to the outline, too.
        let bands = outline_of(panel, panel.cut().size()).inner(&panel.cut());
        panel.strips.iter().flat_map(|strip| bands.iter().map(|band| band.shared(strip))).collect()
    };
    let raised = if panel.raised { BENEATH_FOAM } else { Length::ZERO };
    // Bands of a curved panel hang together, so only its outermost edge is looked beneath.
    let edge = panel.footprint.inset(raised).shared(&flush);
    rects.iter_mut().for_each(|rect| *rect = rect.shared(&edge));
    rects.retain(|rect| !rect.is_empty());
    rects
}

/// Whether nothing can be seen through a panel, whatever it is made of.
fn is_opaque(takes: &Takes) -> bool {
    matches!(takes, Takes::Stock(materials) if !materials.contains(&Material::Vellum))
}

/// What may show of a rectangle that belongs to a panel.
#[must_use]
pub fn showing(drawn: &Drawn, place: usize, rect: &Rect) -> Region {
    let mut region = Region::of(rect.shared(&drawn.flush(&drawn.panels[place])));
    for cover in covers(drawn, place) {
        region.take(&cover);
    }
    region
}

/// Whether nothing shows of a panel and its mats.
pub(super) fn is_hidden(drawn: &Drawn, place: usize) -> bool {
    showing(drawn, place, &drawn.panels[place].footprint).is_empty()
}

/// Whether a panel may be left out: nothing of it shows, and what lies on it is trimmed no differently
/// on what is beneath.
pub(super) fn may_leave_out(drawn: &Drawn, place: usize) -> bool {
    let beneath = &drawn.panels[place].on;
    is_hidden(drawn, place)
        && drawn.panels.iter().filter(|panel| panel.on.contains(&place)).all(|panel| {
            let on = panel.on.iter().filter(|below| **below != place).chain(beneath).copied().collect();
            let without = DrawnPanel { on, ..panel.clone() };
            let shows = |panel: &DrawnPanel| drawn.flush(panel).shared(&panel.footprint);
            shows(panel) == shows(&without)
        })
}

/// Whether a panel may be joined at all.
pub(super) fn may_join(panel: &DrawnPanel) -> bool {
    let shape = matches!(
        panel.shape,
        Shape::Rectangle | Shape::BannerRight | Shape::BannerLeft | Shape::BannerUp | Shape::BannerDown
    );
    shape && panel.takes != Takes::Image && panel.strips.is_empty() && !panel.left_out
}

/// Where a panel may show along an axis: spans in order, none touching another.
fn shows(drawn: &Drawn, place: usize, axis: Axis) -> Vec<Span> {
    let region = showing(drawn, place, &drawn.panels[place].cut());
    let mut spans: Vec<Span> = region.rects().iter().map(|rect| span(rect, axis)).collect();
    spans.sort_unstable();
    let mut joined: Vec<Span> = Vec::new();
    for span in spans {
        match joined.last_mut() {
            Some(last) if last.1 >= span.0 => last.1 = last.1.max(span.1),
            _ => joined.push(span),
        }
    }
    joined
}

pub(super) const fn span(rect: &Rect, axis: Axis) -> Span {
    match axis {
        Axis::Width => (rect.left, rect.right),
        Axis::Height => (rect.top, rect.bottom),
    }
}

/// A panel as long as one piece of it would be cut: set down to the ruler along an axis.
fn set_down(whole: Rect, axis: Axis, ruler: Length) -> Rect {
    match axis {
        Axis::Width => Rect { right: whole.left + whole.width().floor_to(ruler), ..whole },
        Axis::Height => Rect { bottom: whole.top + whole.height().floor_to(ruler), ..whole },
    }
}

/// The part of `whole` between two places along an axis.
fn part(whole: &Rect, axis: Axis, (from, to): Span) -> Rect {
    match axis {
        Axis::Width => Rect { left: from, right: to, ..*whole },
        Axis::Height => Rect { top: from, bottom: to, ..*whole },
    }
}

/// Only the parts of a panel that show along an axis, each running a margin beneath what covers the
/// rest; `None` where that would not save enough, or leave too short a piece.
#[must_use]
pub fn ends(drawn: &Drawn, place: usize, axis: Axis, margin: Length, ruler: Length) -> Option<Vec<Rect>> {
    let panel = &drawn.panels[place];
    let whole = set_down(panel.cut(), axis, ruler);
    let (start, end) = span(&whole, axis);
    let (from, to) = span(&whole.shared(&drawn.flush(panel)), axis);
    let mut pieces: Vec<Span> = Vec::new();
    for shown in shows(drawn, place, axis) {
        let left = if shown.0 <= from { start } else { (shown.0 - margin).max(start) };
        let right = if shown.1 >= to { end } else { (shown.1 + margin).min(end) };
        pieces.push((left, right));
    }
    // Pieces are set on the ruler, which may make two meet; then they are one.
    loop {
        for piece in &mut pieces {
            let length = -(piece.0 - piece.1).floor_to(ruler);
            if piece.1 == end && piece.0 > start {
                piece.0 = (end - length).max(start);
            } else {
                piece.1 = (piece.0 + length).min(end);
            }
        }
        let before = pieces.len();
        let mut joined: Vec<Span> = Vec::with_capacity(before);
        for piece in pieces {
            match joined.last_mut() {
                Some(last) if last.1 >= piece.0 => last.1 = last.1.max(piece.1),
                _ => joined.push(piece),
            }
        }
        pieces = joined;
        if pieces.len() == before {
            break;
        }
    }
    let used: Length = pieces.iter().map(|piece| piece.1 - piece.0).sum();
    let keeps_ends = pieces.first().is_some_and(|first| first.0 == start) && pieces.last()?.1 == end;
    if (end - start) - used < WORTH_SAVING
        || pieces.iter().any(|piece| piece.1 - piece.0 < SHORTEST)
        || (panel.shape != Shape::Rectangle && !keeps_ends)
    {
        return None;
    }
    Some(pieces.into_iter().map(|piece| part(&whole, axis, piece)).collect())
}

/// Between which two places a seam may lie in each hidden part of a panel, on the ruler as measured
/// from the panel's start; parts too small for a margin on either side are left out.
fn seam_spans(drawn: &Drawn, place: usize, axis: Axis, margin: Length, ruler: Length) -> Vec<Span> {
    let (start, end) = span(&set_down(drawn.panels[place].cut(), axis, ruler), axis);
    let shown = shows(drawn, place, axis);
    shown
        .windows(2)
        .map(|pair| {
            let first = start - (start - (pair[0].1 + margin)).floor_to(ruler);
            let last = start + (pair[1].0 - margin - start).floor_to(ruler);
            (first, last)
        })
        .filter(|(first, last)| first <= last && *first - start >= SHORTEST && end - *last >= SHORTEST)
        .collect()
}

/// Places for one seam: a margin beneath the edge of the cover, and where a side on hand would end.
pub(super) fn seams(
    drawn: &Drawn,
    place: usize,
    axis: Axis,
    margin: Length,
    ruler: Length,
    sides: &[Length],
) -> Vec<Option<Length>> {
    let (start, end) = span(&set_down(drawn.panels[place].cut(), axis, ruler), axis);
    let spans = seam_spans(drawn, place, axis, margin, ruler);
    let mut found: Vec<Option<Length>> = Vec::new();
    for (first, last) in &spans {
        let within = |seam: &Length| seam >= first && seam <= last && (*seam - start).floor_to(ruler) == *seam - start;
        let of_stock = sides.iter().flat_map(|side| [start + *side, end - *side]).filter(within);
        let mut places: Vec<Length> = Vec::new();
        for seam in std::iter::once(*first).chain(of_stock) {
            if places.len() < SEAMS && !places.contains(&seam) {
                places.push(seam);
            }
        }
        found.extend(places.into_iter().map(|seam| Some(seam - start)));
    }
    if spans.len() > 1 {
        found.push(None);
    }
    found
}

/// A panel pieced together with its seam `at` from its start, or with one in every hidden part.
#[must_use]
pub fn joined(
    drawn: &Drawn,
    place: usize,
    axis: Axis,
    at: Option<Length>,
    margin: Length,
    ruler: Length,
) -> Option<Vec<Rect>> {
    let whole = set_down(drawn.panels[place].cut(), axis, ruler);
    let (start, end) = span(&whole, axis);
    let spans = seam_spans(drawn, place, axis, margin, ruler);
    let seams: Vec<Length> = match at {
        Some(at) => {
            let seam = start + at;
            spans.iter().any(|(first, last)| (*first..=*last).contains(&seam)).then_some(vec![seam])?
        }
        None => spans.iter().map(|(first, _)| *first).collect(),
    };
    if seams.is_empty() {
        return None;
    }
    let edges: Vec<Length> = std::iter::once(start).chain(seams).chain([end]).collect();
    Some(edges.windows(2).map(|edge| part(&whole, axis, (edge[0], edge[1]))).collect())
}

/// The widest hidden part of a panel along an axis that shows on both sides, where it is too small for
/// a seam with a margin on either side; and what it would have to be.
#[must_use]
pub fn too_thin(drawn: &Drawn, place: usize, axis: Axis, margin: Length) -> Option<(Length, Length)> {
    if !may_join(&drawn.panels[place]) {
        return None;
    }
    let shown = shows(drawn, place, axis);
    let widest = shown.windows(2).map(|pair| pair[1].0 - pair[0].1).max()?;
    (widest < margin * 2).then_some((widest, margin * 2))
}

/// What outline a panel's pieces are parts of.
#[must_use]
pub fn outline_whole(panel: &DrawnPanel) -> Outline {
    outline_of(panel, panel.cut().size())
}
