//! Where a panel lies: `left`, `right`, `width`, `centre` (and the same from top to bottom), or an
//! `inset` all round, in; four edges that stretch with the card out.

use super::fields::{Fields, Otherwise};
use super::value::{Read, Value, signed_length};
use crate::problem::{Axis, Fault};
use crate::stash::Edge;
use api::units::{Length, Size};
use std::ops::Range;

/// The whole of the card, in hundred-thousandths.
pub(super) const WHOLE: i64 = 100_000;

/// The largest share anybody may write: ten cards' widths.
const LARGEST_SHARE: i64 = 10 * WHOLE;

/// The near and the far edge.
type Span = (Edge, Edge);

/// The keys of one axis: near edge, far edge, extent, middle.
type AxisKeys = [&'static str; 4];

/// The keys from left to right.
const ACROSS: AxisKeys = ["left", "right", "width", "centre"];

/// The keys from top to bottom.
const DOWN: AxisKeys = ["top", "bottom", "height", "middle"];

impl Edge {
    /// At the card's near edge.
    const START: Self = Self { share: 0, offset: Length::ZERO };
    /// At the card's far edge.
    const END: Self = Self { share: WHOLE, offset: Length::ZERO };
    /// In the middle of the card.
    const MIDDLE: Self = Self { share: WHOLE / 2, offset: Length::ZERO };

    const fn plus(self, other: Self) -> Self {
        Self {
            share: self.share + other.share,
            offset: Length::from_nanometres(self.offset.nanometres() + other.offset.nanometres()),
        }
    }

    const fn minus(self, other: Self) -> Self {
        Self {
            share: self.share - other.share,
            offset: Length::from_nanometres(self.offset.nanometres() - other.offset.nanometres()),
        }
    }

    const fn half(self) -> Self {
        Self { share: self.share.div_euclid(2), offset: self.offset.half() }
    }

    /// Where it lies on a card of this width (or height), to the nanometre below.
    pub(super) fn on(self, whole: Length) -> Length {
        let share = i128::from(whole.nanometres()) * i128::from(self.share);
        let share = i64::try_from(share.div_euclid(i128::from(WHOLE))).unwrap_or(i64::MAX);
        Length::from_nanometres(share) + self.offset
    }
}

/// The four edges of a panel, or what is wrong with them.
pub(super) struct Edges {
    /// From left to right.
    pub(super) across: Span,
    /// From top to bottom.
    pub(super) down: Span,
}

/// Reads where a panel lies on a card drawn at `card`, if that is known; `None` where it cannot
/// be said, which has been told.
pub(super) fn edges(fields: &Fields<'_, '_>, card: Option<Size>) -> Option<Edges> {
    let inset = match fields.value("inset") {
        None => Inset::None,
        Some(_) => fields.read("inset", Otherwise::LeaveOut, signed_length).map_or(Inset::Bad, Inset::Of),
    };
    let across = axis(fields, Axis::Across, ACROSS, inset, card.map(|card| card.width));
    let down = axis(fields, Axis::Down, DOWN, inset, card.map(|card| card.height));
    Some(Edges { across: across?, down: down? })
}

/// What the `inset` says.
#[derive(Clone, Copy)]
enum Inset {
    None,
    Bad,
    Of(Length),
}

impl Inset {
    /// The edges it gives along either axis.
    fn span(self) -> Option<Span> {
        let Self::Of(inset) = self else { return None };
        Some((Edge { offset: inset, ..Edge::START }, Edge { offset: -inset, ..Edge::END }))
    }
}

/// The two edges along one axis.
fn axis(fields: &Fields<'_, '_>, axis: Axis, keys: AxisKeys, inset: Inset, card: Option<Length>) -> Option<Span> {
    let given: Vec<&'static str> = keys.into_iter().filter(|&key| fields.value(key).is_some()).collect();
    let read = keys.map(|key| fields.read(key, Otherwise::LeaveOut, edge));
    let is_all_read = given.len() == read.iter().flatten().count();
    let missing = || {
        fields.report(fields.span.clone(), Fault::EdgesMissing { axis }, fields.left_out());
        None
    };
    let span = match (read, given.len()) {
        _ if !is_all_read => return None,
        (_, 3..) => {
            let last = fields.value(given[given.len() - 1]).map_or_else(|| fields.span.clone(), |value| value.key_span);
            fields.report(last, Fault::EdgesOver { axis, keys: given }, fields.left_out());
            return None;
        }
        ([Some(near), Some(far), _, _], _) => (near, far),
        ([Some(near), _, Some(extent), _], _) => (near, near.plus(extent)),
        ([_, Some(far), Some(extent), _], _) => (far.minus(extent), far),
        ([_, _, Some(extent), middle], _) => centred(middle.unwrap_or(Edge::MIDDLE), extent),
        ([Some(near), _, _, Some(middle)], _) => (near, middle.plus(middle).minus(near)),
        ([_, Some(far), _, Some(middle)], _) => (middle.plus(middle).minus(far), far),
        ([near, far, None, None], _) => match inset.span() {
            Some(span) => (near.unwrap_or(span.0), far.unwrap_or(span.1)),
            None if matches!(inset, Inset::Bad) => return None,
            None => return missing(),
        },
        ([None, None, None, Some(_)], _) => return missing(),
    };
    is_uncrossed(fields, axis, keys, span, card).then_some(span)
}

/// The edges of an extent about a middle.
fn centred(middle: Edge, extent: Edge) -> Span {
    let near = middle.minus(extent.half());
    (near, near.plus(extent))
}

/// Whether anything is left between two edges on the card as drawn; if not, that is told.
fn is_uncrossed(fields: &Fields<'_, '_>, axis: Axis, keys: AxisKeys, span: Span, card: Option<Length>) -> bool {
    let Some(card) = card else { return true };
    if span.1.on(card) > span.0.on(card) {
        return true;
    }
    let [_, far_key, extent_key, _] = keys;
    let blamed = fields.value(far_key).or_else(|| fields.value(extent_key));
    // `right = "1/8 in"` was most likely meant from the right.
    let from_far = Edge { share: WHOLE, offset: -span.1.offset };
    let is_from_far = fields.value(far_key).is_some() && span.1.share == 0 && from_far.on(card) > span.0.on(card);
    let unit = fields.document.reader.unit;
    let perhaps = is_from_far.then(|| format!("100% - {}", span.1.offset.exact(unit)));
    let at: Range<usize> = blamed.map_or_else(|| fields.span.clone(), |value| value.span);
    fields.report(at, Fault::EdgesCrossed { axis, perhaps }, fields.left_out());
    false
}

/// One edge, extent or middle: `1/8 in`, `50%`, `100% - 1/8 in`.
pub(super) fn edge(value: &Value<'_, '_>) -> Read<Edge> {
    let Some((share, rest)) = value.value.as_str().and_then(|text| text.split_once('%')) else {
        return signed_length(value).map(|offset| Edge { share: 0, offset });
    };
    let text = value.value.as_str().unwrap_or_default();
    let bad = || value.fault(Fault::BadEdge { key: value.key.to_owned(), text: text.to_owned() });
    let Some(share) = hundred_thousandths(share.trim()) else { return bad() };
    let rest_at = text.len() - rest.trim_start().len();
    let rest = rest.trim();
    if rest.is_empty() {
        return Ok(Edge { share, offset: Length::ZERO });
    }
    let sign = rest.chars().next().filter(|&sign| sign == '+' || is_minus(sign));
    let Some(sign) = sign else { return bad() };
    let written = &rest[sign.len_utf8()..];
    match Length::parse(written, value.document.reader.unit) {
        Ok(offset) => Ok(Edge { share, offset: if sign == '+' { offset } else { -offset } }),
        Err(error) => {
            let start = rest_at + sign.len_utf8();
            let at = start + error.at.start..start + error.at.end;
            value.fault_in(at, Fault::BadLength { key: value.key.to_owned(), error })
        }
    }
}

/// The signs people and their keyboards put for a minus.
fn is_minus(sign: char) -> bool {
    matches!(sign, '-' | '\u{2010}'..='\u{2013}' | '\u{2212}')
}

/// Per cent with up to three decimals, as hundred-thousandths.
fn hundred_thousandths(text: &str) -> Option<i64> {
    let (sign, digits) = match text.strip_prefix(is_minus) {
        Some(digits) => (-1, digits),
        None => (1, text),
    };
    let (whole, decimals) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
    let is_number = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || whole.len() > 6 || decimals.len() > 3 || !is_number(whole) || !is_number(decimals) {
        return None;
    }
    let share = format!("{whole}{decimals:0<3}").parse::<i64>().ok()?;
    (share <= LARGEST_SHARE).then_some(sign * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_exact_to_a_thousandth_of_a_per_cent() {
        for (text, share) in [
            ("50", Some(50_000)),
            ("33.333", Some(33_333)),
            ("33,5", Some(33_500)),
            ("-10", Some(-10_000)),
            ("\u{2212}0.001", Some(-1)),
            ("1000", Some(1_000_000)),
            ("1000.001", None),
            ("9999999", None),
            ("1.2345", None),
            ("", None),
            (".5", None),
            ("five", None),
        ] {
            assert_eq!(hundred_thousandths(text), share, "{text}");
        }
    }

    #[test]
    fn an_extent_about_a_middle_keeps_its_length_to_the_nanometre() {
        let extent = Edge { share: 33_333, offset: Length::from_nanometres(-7) };
        let (near, far) = centred(Edge::MIDDLE, extent);
        assert_eq!(far.minus(near), extent);
    }

    #[test]
    fn an_edge_lies_where_its_share_and_its_length_say() {
        let card = Length::MILLIMETRE * 105;
        assert_eq!(Edge::END.on(card), card);
        assert_eq!(Edge::MIDDLE.on(card), Length::micrometres(52_500));
        assert_eq!(Edge { share: 0, offset: -Length::MILLIMETRE }.on(card), -Length::MILLIMETRE);
    }
}
