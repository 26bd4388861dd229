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
/// How much less than the limit a span may be beneath a shape told by cores: 1/8 in.
const LEFT_OUT: Length = Length::from_nanometres(3_175_000);
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

/// The foam beneath the layer at `place`, which covers `cores`.
///
/// One grid of squares over all of it, of which those that lie wholly beneath it are taken; then, where a
/// spot is still further from foam than the span allows, the square that supports most of what is left.
pub(super) fn pads(stack: &Stack, place: usize, cores: &[Rect], rules: &Rules) -> Pads {
    let sheet = &stack.sheets[place];
    let is_pointed = matches!(sheet.outline, Outline::Polygon(_));
    let tips = if is_pointed { sheet.outline.corners(&sheet.whole) } else { Vec::new() };
    let mut found = Pads { pads: squares(cores, &tips, rules.foam_span), tucked: Vec::new() };
    keep_back(stack, place, &mut found);
    found
}

/// Squares beneath what `cores` cover, so that its tips are held, too.
fn squares(cores: &[Rect], tips: &[(Length, Length)], span: Length) -> Vec<Rect> {
    // The cores of a shape that is no rectangle leave out a little along its edge.
    let left_out = if cores.len() > 1 { LEFT_OUT } else { Length::ZERO };
    let reach = |pad: &Rect| reach(pad, span - left_out);
    let Some(around) = cores.iter().copied().reduce(|one, other| one.around(&other)) else { return Vec::new() };
    let covered = Region::all(cores.iter().copied());
    let mut pads = grid(&around, span);
    pads.retain(|pad| covered.holds(pad));
    let mut bare = covered;
    for pad in &pads {
        bare = bare.without(&reach(pad));
    }
    let mut others: Vec<Rect> = cores.iter().flat_map(|core| grid(core, span)).collect();
    while !bare.is_empty() {
        let left = bare.area().square_nanometres();
        let newly = |pad: &Rect| left - bare.clone().without(&reach(pad)).area().square_nanometres();
        // Of those that support as much, the first.
        let Some(best) = (0..others.len()).rev().max_by_key(|pad| newly(&others[*pad])) else { break };
        let pad = others.remove(best);
        if newly(&pad) == 0 {
            break;
        }
        bare = bare.without(&reach(&pad));
        pads.push(pad);
    }
    for (x, y) in tips {
        let tip = Rect { left: *x, top: *y, right: *x, bottom: *y };
        if pads.iter().any(|pad| reach(pad).rects().iter().any(|near| near.holds(&tip))) {
            continue;
        }
        let away = |pad: &Rect| {
            (pad.left - *x).max(*x - pad.right).max(Length::ZERO)
                + (pad.top - *y).max(*y - pad.bottom).max(Length::ZERO)
        };
        let nearest = others.iter().position(|pad| others.iter().all(|other| away(pad) <= away(other)));
        pads.extend(nearest.map(|pad| others.remove(pad)));
    }
    pads
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

/// What a square supports: all that is nearer to it than some seven tenths of the span, told as three
/// rectangles about it, one wide, one tall and one in between.
fn reach(pad: &Rect, span: Length) -> Region {
    let half = Length::from_nanometres(span.nanometres() / 2);
    let (far, near) = (half + SET_BACK, half - SET_BACK);
    let about = |across: Length, down: Length| Rect {
        left: pad.left - across,
        top: pad.top - down,
        right: pad.right + across,
        bottom: pad.bottom + down,
    };
    let near = near.max(Length::ZERO);
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
    use super::*;

    /// An inner cover of a disc: 32 strips, each as wide as the disc is at its narrower edge.
    #[allow(clippy::cast_possible_truncation, reason = "a few hundred million nanometres")]
    fn disc(inches: f64) -> Vec<Rect> {
        let radius = inches * 12.7e6;
        let strips = (-16..16).filter_map(|strip| {
            let (top, bottom) = (f64::from(strip) / 16.0 * radius, f64::from(strip + 1) / 16.0 * radius);
            let half = (radius * radius - top.abs().max(bottom.abs()).powi(2)).max(0.0).sqrt();
            let at = |side: f64| Length::from_nanometres((side + radius) as i64);
            (half > 1.0).then(|| Rect { left: at(-half), top: at(top), right: at(half), bottom: at(bottom) })
        });
        strips.collect()
    }

    #[test]
    fn a_disc_has_a_grid_and_little_more() {
        let span = Length::from_nanometres(25_400_000);
        let cores = disc(4.0);
        let pads = squares(&cores, &[], span);
        assert!(pads.len() <= 18, "{} squares", pads.len());
        let covered = Region::all(cores.iter().copied());
        assert!(pads.iter().all(|pad| covered.holds(pad)), "no square pokes out");
        let mut bare = covered;
        for pad in &pads {
            bare = bare.without(&reach(pad, span));
        }
        assert!(bare.is_empty(), "nothing is without support: {bare:?}");
    }

    #[test]
    fn a_rectangle_has_a_square_in_every_corner() {
        let inch = Length::from_nanometres(25_400_000);
        let core = Rect { left: Length::ZERO, top: Length::ZERO, right: inch * 3, bottom: inch * 2 };
        let pads = squares(&[core], &[], inch);
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
