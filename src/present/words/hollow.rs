//! The steps by which a middle is cut out and cut up, in words.

use super::steps::Telling;
use crate::layout::Rect;

/// What to mind where a middle is cut out: common practice, no source.
pub const KNIFE_OUT: &str = "a craft knife is sharp: a fresh blade, a metal ruler and a cutting mat; cut away from the hand that holds, cap it at once and keep it out of reach of children; do as its maker says";

impl Telling<'_> {
    /// What is cut from middles.
    pub(super) fn cut_middle(&self, layers: &[usize]) -> String {
        let told = self.pieces_of(layers, |piece| piece.from_middle.is_some());
        format!("When those middles are cut out, cut from them, width first: {}.", told.join("; "))
    }

    /// Where a bit lies that bridges a hole beneath a layer.
    pub(super) fn across_hole(&self, layer: usize, bit: &Rect) -> Option<String> {
        let mut hollows = self.card.choice.hollows.iter();
        let hole = hollows.find(|hollow| hollow.cover == layer && hollow.rect.holds(bit))?.rect;
        let from = match (bit.left - hole.left, bit.top - hole.top) {
            (across, down) if across == down && !down.is_positive() => "along its upper edge".to_owned(),
            (across, down) if !across.is_positive() => format!("{} below its upper edge", self.length(down)),
            (across, down) if !down.is_positive() => format!("{} right of its left edge", self.length(across)),
            (across, down) => {
                format!("{} right of its left edge and {} below its upper", self.length(across), self.length(down))
            }
        };
        Some(format!("across the hole where the middle is cut out, {from}"))
    }

    /// Cutting the middle out of a layer.
    pub(super) fn hollow(&self, layer: usize) -> String {
        let own = self.own(layer);
        let holes = own.iter().filter_map(|piece| Some((piece.rect, piece.hole?)));
        let copies = |hole: &Rect| {
            let of = self.card.choice.hollows.iter().find(|hollow| hollow.rect == *hole);
            of.map_or(1, |hollow| hollow.copies)
        };
        let told: Vec<String> = holes
            .map(|(piece, hole)| {
                let on = match copies(&hole) {
                    1 => "On one card".to_owned(),
                    more => format!("On {more} cards"),
                };
                format!(
                    "{on}, when all trimming is done, cut the middle out of {} with a knife: {}, {} from its left edge and {} from its top edge as it lies on the card. The panel over it hides the hole. Keep the middle whole: another piece is cut from it.",
                    self.the(layer),
                    self.size(hole.size()),
                    self.length(hole.left - piece.left),
                    self.length(hole.top - piece.top)
                )
            })
            .collect();
        told.join(" ")
    }
}
