//! Foam beneath a raised layer: so many squares that no span without support is wider than the limit,
//! set back from the edge, and kept clear of parts that tuck beneath.

use super::level::Rules;
use super::stack::Stack;
use crate::layout::Rect;
use api::units::Length;

/// How far foam is set back from the edge of what it raises: 1/8 in (3 mm). Common practice.
pub const SET_BACK: Length = Length::from_nanometres(3_175_000);
/// The side of a foam square, 1/2 in, and of a small one; common practice, no source.
const SQUARE: Length = Length::from_nanometres(12_700_000);
const SMALL: Length = Length::from_nanometres(6_350_000);
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
pub(super) fn pads(stack: &Stack, place: usize, cores: &[Rect], rules: &Rules) -> Pads {
    let mut found = Pads::default();
    for core in cores {
        let set_back = SET_BACK.min(Length::from_nanometres(core.size().short().nanometres() / 4));
        let inner = core.inset(set_back);
        let square = if inner.size().short() >= SQUARE * 2 { SQUARE } else { SMALL };
        let (across, down) = (square.min(inner.width()), square.min(inner.height()));
        for top in places(inner.top, inner.bottom, down, rules.foam_span) {
            for left in places(inner.left, inner.right, across, rules.foam_span) {
                found.pads.push(Rect { left, top, right: left + across, bottom: top + down });
            }
        }
    }
    keep_back(stack, place, &mut found);
    found
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
