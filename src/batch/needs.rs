//! Every piece of one copy of a card: a suggestion in; what must be cut, showing which face, from
//! which stock, out.

use crate::cut::Turn;
use crate::index::{FaceId, Index, PieceNeed, Source, StockId, StockKind, blank};
use crate::matching::eligible;
use crate::score::Suggestion;
use crate::stash::Image;
use api::units::Size;

/// Which piece of a card it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Part {
    /// Need so many of a slot.
    Need {
        /// The slot.
        slot: usize,
        /// The place in its needs.
        need: usize,
    },
    /// A part of an image built from parts.
    Built {
        /// The place in the card's list of images built from parts.
        image: usize,
        /// The part.
        part: usize,
    },
}

/// One piece of one copy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Wanted {
    pub(super) part: Part,
    pub(super) face: FaceId,
    /// What is cut, the pattern upright.
    pub(super) size: Size,
    pub(super) turn: Turn,
    /// The stock it may come from.
    pub(super) on: Vec<StockId>,
}

/// The pieces of a card; `None` where one of them can come from nowhere.
pub(super) fn wanted(index: &Index, images: &[Image], card: &Suggestion) -> Option<Vec<Wanted>> {
    let mut all = Vec::new();
    for (slot, face) in card.faces.iter().enumerate() {
        for (place, need) in card.network.slots[slot].needs.iter().enumerate() {
            all.push(one(index, Part::Need { slot, need: place }, need, *face)?);
        }
    }
    for (place, chosen) in card.choice.parts.iter().enumerate() {
        let Source::Image(image) = index.face(card.faces[chosen.slot]).source else { continue };
        let parts = &images.get(image)?.parts;
        for (part, (made, (face, _))) in parts.iter().zip(&chosen.parts).enumerate() {
            let part = Part::Built { image: place, part };
            all.push(one(index, part, &PieceNeed::Cut(made.size), *face)?);
        }
    }
    Some(all)
}

fn one(index: &Index, part: Part, need: &PieceNeed, face: FaceId) -> Option<Wanted> {
    let on = eligible(index, need, face);
    let first = index.stock(*on.first()?);
    let (size, turn) = match need {
        PieceNeed::Cut(size) => (*size, if index.face(face).may_turn() { Turn::Either } else { Turn::AsPrinted }),
        PieceNeed::Blank(card) => (blank(card.upright()), Turn::Either),
        PieceNeed::Whole(_) => (Size::new(first.width, first.height), Turn::AsPrinted),
    };
    Some(Wanted { part, face, size, turn, on })
}

/// A line as it is cut: a ready-made base is a blank of its own size.
pub(super) fn line_size(index: &Index, stock: StockId) -> Size {
    let stock = index.stock(stock);
    let size = Size::new(stock.width, stock.height);
    if stock.kind == StockKind::CardBase { blank(size.upright()) } else { size }
}
