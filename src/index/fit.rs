//! Whether one piece can be cut from one piece of stock at all.

use super::{Face, Stock, StockKind};
use crate::stash::LineKind;
use api::units::{Length, Size};

/// One piece that must be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PieceNeed {
    /// A piece of this width and height, the pattern upright.
    Cut(Size),
    /// A folded blank for a card of this size: ready made, or cut with its fold along the long side.
    Blank(Size),
    /// A whole image no larger than this.
    Whole(Size),
}

impl PieceNeed {
    /// What must be cut for it: the piece, or the unfolded blank.
    #[must_use]
    pub fn cut_size(&self) -> Size {
        match *self {
            Self::Cut(size) | Self::Whole(size) => size,
            Self::Blank(card) => blank(card),
        }
    }
}

/// The unfolded blank of a card: twice its short side, so that the fold runs along the long one.
#[must_use]
pub fn blank(card: Size) -> Size {
    if card.width <= card.height {
        Size { width: card.width * 2, height: card.height }
    } else {
        Size { width: card.width, height: card.height * 2 }
    }
}

/// Whether `need` can be had from `stock`, showing `face`.
#[must_use]
pub fn fits_on(need: &PieceNeed, face: &Face, stock: &Stock) -> bool {
    let has = (stock.width, stock.height);
    match (need, stock.kind) {
        (PieceNeed::Blank(card), StockKind::CardBase) => {
            has == (card.width, card.height) || has == (card.height, card.width)
        }
        (PieceNeed::Whole(size), StockKind::Image) => has.0 <= size.width && has.1 <= size.height,
        (PieceNeed::Blank(card), StockKind::Cuttable(_)) => upright_or_turned(blank(*card), has, true),
        (PieceNeed::Cut(size), StockKind::Cuttable(LineKind::Sheet | LineKind::Scrap)) => {
            upright_or_turned(*size, has, face.may_turn())
        }
        _ => false,
    }
}

fn upright_or_turned(size: Size, has: (Length, Length), may_turn: bool) -> bool {
    (size.width <= has.0 && size.height <= has.1) || (may_turn && size.height <= has.0 && size.width <= has.1)
}
