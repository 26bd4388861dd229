//! Foam beneath a raised layer: so many squares that no span without support is wider than the limit,
//! set back from the edge, and kept clear of parts that tuck beneath.

use super::level::Rules;
use super::stack::Stack;
use crate::layout::{Outline, Rect, Region};
use api::units::Length;

/// How far foam is set back from the edge of what it raises: 1/8 in (3 mm). Common practice.
pub const SET_BACK: Length = Length::from_nanometres(3_175_000);
/// The side of a foam square, 1/2 in, and of a small one; common practice, no source.
const SQUARE: Length = Length::from_nanometres(12_700_000);
const SMALL: Length = Length::from_nanometres(6_350_000);
/// The side of a snippet of foam for where no square fits, 1/8 in.
const SNIPPET: Length = Length::from_nanometres(3_175_000);
/// What is narrower than this, 1/16 in, is no foam that a hand could cut.
const SLIGHTEST: Length = Length::from_nanometres(1_587_500);
/// How much less than the limit a span may be beneath a shape told by bands: 3/16 in.
const LEFT_OUT: Length = Length::from_nanometres(4_762_500);
/// How far foam keeps from a part that tucks beneath: 1/16 in.
const CLEAR: Length = Length::from_nanometres(1_587_500);

/// The foam beneath one layer.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Pads {
    /// Where each square (or, on something narrow, each bit of tape) lies.
    pub pads: Vec<Rect>,
    /// Layers that tuck beneath the raised one, as places in the stack, and how far each may reach
    /// beneath it before it meets the foam; what reaches further is trimmed.
    pub tucked: Vec<(usize, Length)>,
}

impl Pads {
    /// How much tape the squares come to, one after another along their longer sides.
    #[must_use]
    pub fn tape(&self) -> Length {
        self.pads.iter().map(|pad| pad.size().long()).sum()
    }
}

/// The foam beneath the layer at `place`.
pub(super) fn pads(stack: &Stack, place: usize, rules: &Rules) -> Pads {
    let sheet = &stack.sheets[place];
    let span = rules.foam_span;
    let pads = if sheet.outline == Outline::Rectangle {
        sheet.pieces.iter().flat_map(|piece| grid(piece, span)).collect()
    } else {
        let set_back = SET_BACK.min(Length::from_nanometres(sheet.around().size().short().nanometres() / 4));
        let joined = |areas: Vec<Region>| Region::apart(areas.iter().flat_map(|area| area.rects().to_vec()));
        let backs = [set_back, set_back.half(), Length::ZERO];
        // Where nothing has room so far within, foam may lie nearer to the edge; points are looked into more finely.
        let may_lie = backs.iter().map(|back| joined(sheet.areas_within(*back)));
        let finely = backs.iter().skip(1).map(|back| joined(sheet.fine_areas_within(*back)));
        squares(may_lie.chain(finely), &Region::apart(sheet.inner()), span)
    };
    let mut found = Pads { pads, tucked: Vec::new() };
    found.pads.retain(|pad| pad.size().short() >= SLIGHTEST);
    keep_back(stack, place, &mut found);
    found
}

/// Squares beneath a shape: one grid over where they may lie, of which those that lie wholly there are taken;
/// then, while a spot of what is to be `held` is further from foam than the span allows, the square that
/// supports most of what is left.
fn squares(may_lie: impl Iterator<Item = Region>, held: &Region, span: Length) -> Vec<Rect> {
    // What is told by bands leaves out a little along its edge, so a square is taken to reach less far.
    let reach = |pad: &Rect| reach(pad, span - LEFT_OUT);
    let mut pads: Vec<Rect> = Vec::new();
    let mut bare = held.clone();
    for (round, may_lie) in may_lie.enumerate() {
        let around = may_lie.rects().iter().copied().reduce(|one, other| one.around(&other));
        let Some(around) = around else { continue };
        if round == 0 {
            pads = grid(&around.inset(-SET_BACK), span);
            pads.retain(|pad| may_lie.holds(pad));
            for pad in &pads {
                bare = bare.without(&reach(pad));
            }
        }
        if bare.is_empty() {
            break;
        }
        let mut others = elsewhere(&may_lie, &around, span);
        while !bare.is_empty() {
            let left = bare.area().square_nanometres();
            let newly = |pad: &Rect| left - bare.clone().without(&reach(pad)).area().square_nanometres();
            // Of those that support as much, the first.
            let best = others.iter().map(newly).enumerate().rev().max_by_key(|(_, most)| *most);
            let Some((best, _)) = best.filter(|(_, most)| *most > 0) else { break };
            let pad = others.swap_remove(best);
            bare = bare.without(&reach(&pad));
            pads.push(pad);
        }
    }
    if pads.is_empty() {
        // Too slight for a square set back from its edges: a bit beneath the largest of it.
        let largest = held.rects().iter().max_by_key(|rect| rect.area());
        pads.extend(largest.into_iter().flat_map(|rect| grid(rect, span)));
    }
    pads
}

/// Where else a square may lie: half a span (at least 1/2 in) apart over all of it, and at the ends and in the middle of each band.
fn elsewhere(may_lie: &Region, around: &Rect, span: Length) -> Vec<Rect> {
    let at = |left, top, side: Length| Rect { left, top, right: left + side, bottom: top + side };
    let mut found = Vec::new();
    let apart = span.half().max(SQUARE);
    for top in places(around.top, around.bottom, SMALL, apart - SMALL) {
        for left in places(around.left, around.right, SMALL, apart - SMALL) {
            found.extend([SQUARE, SMALL, SNIPPET].map(|side| at(left, top, side)));
        }
    }
    for band in may_lie.rects() {
        for side in [SMALL, SNIPPET] {
            let middle = band.left + (band.width() - side).half();
            for left in [band.left, middle, band.right - side] {
                found.extend([at(left, band.top, side), at(left, band.bottom - side, side)]);
            }
        }
    }
    found.retain(|pad| may_lie.holds(pad));
    found
}

/// Squares over a rectangle, set back from its edges.
fn grid(core: &Rect, span: Length) -> Vec<Rect> {
    let set_back = SET_BACK.min(Length::from_nanometres(core.size().short().nanometres() / 4));
    let inner = core.inset(set_back);
    let square = if inner.size().short() >= SQUARE * 2 { SQUARE } else { SMALL };
    let (across, down) = (square.min(inner.width()), square.min(inner.height()));
    let mut pads = Vec::new();
    for top in places(inner.top, inner.bottom, down, span) {
        for left in places(inner.left, inner.right, across, span) {
            pads.push(Rect { left, top, right: left + across, bottom: top + down });
        }
    }
    pads
}

/// What a square supports: all that is nearer to it than some seven tenths of the span (of 1/2 in, where the
/// span is less), told as three rectangles about it, one wide, one tall and one in between.
fn reach(pad: &Rect, span: Length) -> Region {
    let half = span.half().max(SMALL);
    let (far, near) = (half + SET_BACK, half - SET_BACK);
    let about = |across: Length, down: Length| Rect {
        left: pad.left - across,
        top: pad.top - down,
        right: pad.right + across,
        bottom: pad.bottom + down,
    };
    Region::all([about(half, half), about(far, near), about(near, far)])
}

/// Where squares begin along a side, so that no gap between two is wider than `span`.
fn places(from: Length, to: Length, square: Length, span: Length) -> Vec<Length> {
    let room = (to - from - square).nanometres();
    if room <= 0 {
        return vec![from];
    }
    let pitch = (square + span).nanometres().max(1);
    let gaps = (room + pitch - 1) / pitch;
    (0..=gaps).map(|gap| from + Length::from_nanometres(room * gap / gaps)).collect()
}

/// Takes away squares that lie over a part that tucks beneath, unless none would be left.
fn keep_back(stack: &Stack, place: usize, pads: &mut Pads) {
    let raised = &stack.sheets[place];
    let around = raised.around();
    for (below, part) in stack.sheets.iter().enumerate().take(place).skip(1) {
        let own = part.around();
        let shared = own.shared(&around);
        let pokes_out = !shared.is_empty() && !around.holds(&own);
        if !pokes_out || own.holds(&around) || raised.on.contains(&below) || is_beneath_all(&shared, &around) {
            continue;
        }
        let clear = own.inset(-CLEAR);
        let kept: Vec<Rect> = pads.pads.iter().copied().filter(|pad| pad.shared(&clear).is_empty()).collect();
        if kept.len() == pads.pads.len() {
            continue;
        }
        if kept.is_empty() {
            // There is foam in the way wherever the part goes: it may reach as far as the foam is set back.
            pads.tucked.push((below, SET_BACK));
        } else {
            pads.pads = kept;
            pads.tucked.push((below, shared.size().short()));
        }
    }
}

/// Whether what is shared reaches across most of the raised layer: then it is what that lies on.
fn is_beneath_all(shared: &Rect, around: &Rect) -> bool {
    shared.area().square_nanometres() * 2 > around.area().square_nanometres()
}

#[cfg(test)]
mod tests {
    use super::super::level::Bits;
    use super::super::stack::{Held, Sheet, Sight};
    use super::*;

    /// The foam beneath one raised layer with this outline.
    fn beneath(outline: Outline, (width, height): (i64, i64), foam_span: Length) -> Vec<Rect> {
        let inch = Length::INCH;
        let whole = Rect { left: Length::ZERO, top: Length::ZERO, right: inch * width, bottom: inch * height };
        let sheet = |outline, held| Sheet {
            pieces: vec![whole],
            outline,
            whole,
            sight: Sight::Opaque,
            held,
            caliper: Length::from_nanometres(270_000),
            grammage: 200,
            on: Vec::new(),
            hole: None,
        };
        let sheets = vec![sheet(Outline::Rectangle, Held::Flat), sheet(outline, Held::OnFoam)];
        let stack = Stack { card: whole.size(), sheets };
        let ply = Length::from_nanometres(140_000);
        let bits = Bits { paper: ply, card: ply * 2, thin_foam: Length::MILLIMETRE, foam: Length::MILLIMETRE * 2 };
        let rules = Rules { level_above: ply, foam_span, ruler: BIT, bits };
        pads(&stack, 1, &rules).pads
    }

    /// 1/16 in.
    const BIT: Length = Length::from_nanometres(1_587_500);

    #[test]
    fn a_disc_has_a_grid_and_little_more() {
        let pads = beneath(Outline::Ellipse, (4, 4), Length::INCH);
        assert!(pads.len() <= 18, "{} squares", pads.len());
        let whole = Rect { left: Length::ZERO, top: Length::ZERO, right: Length::INCH * 4, bottom: Length::INCH * 4 };
        let held = Region::apart(Outline::Ellipse.inner(&whole));
        assert!(pads.iter().all(|pad| held.holds(pad)), "no square pokes out");
        let bare = pads.iter().fold(held, |bare, pad| bare.without(&reach(pad, Length::INCH)));
        assert!(bare.is_empty(), "nothing is without support: {bare:?}");
    }

    #[test]
    fn however_small_a_span_is_asked_for_it_ends() {
        for span in [Length::ZERO, Length::from_nanometres(1), BIT, Length::MILLIMETRE] {
            let pads = beneath(Outline::Ellipse, (4, 4), span);
            assert!((1..1_000).contains(&pads.len()), "{} squares for {span:?}", pads.len());
        }
    }

    #[test]
    fn the_points_of_a_banner_are_held() {
        let inch = Length::INCH;
        let notched = Outline::Polygon(vec![(0, 0), (500, 333), (1000, 0), (1000, 1000), (0, 1000)]);
        let pads = beneath(notched, (5, 3), inch);
        let in_point = |pad: &Rect| pad.top < inch.half() && (pad.right < inch || pad.left > inch * 4);
        assert_eq!(pads.iter().filter(|pad| in_point(pad)).count(), 2, "{pads:?}");
    }

    #[test]
    fn a_rectangle_has_a_square_in_every_corner() {
        let inch = Length::INCH;
        let core = Rect { left: Length::ZERO, top: Length::ZERO, right: inch * 3, bottom: inch * 2 };
        let pads = grid(&core, inch);
        for (x, y) in
            [(core.left, core.top), (core.right, core.top), (core.left, core.bottom), (core.right, core.bottom)]
        {
            let near = |pad: &Rect| {
                let dx = (pad.left - x).nanometres().abs().min((pad.right - x).nanometres().abs());
                let dy = (pad.top - y).nanometres().abs().min((pad.bottom - y).nanometres().abs());
                dx == SET_BACK.nanometres() && dy == SET_BACK.nanometres()
            };
            assert!(pads.iter().any(near), "none near {x:?}, {y:?}");
        }
    }
}
