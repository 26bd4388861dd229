//! A piece that was spoilt: a plan and the piece in; where on it damage would not show, and what else
//! on hand it can be cut from again, out.

use super::{On, Placed, PlacedFor, Plan};
use crate::index::{PLENTY, StockId, StockKind};
use crate::layout::{Rect, Region};
use api::units::{Size, Turn};

/// What can be done about a spoilt piece.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mending {
    /// Where damage hides beneath other layers, on the piece as it lies on the card, its own top left
    /// corner at zero; nothing where that is not known.
    pub hidden: Vec<Rect>,
    /// Leftovers of the plan it fits in, as places in [`Plan::leftovers`], the smallest first.
    pub leftovers: Vec<usize>,
    /// Stock the plan leaves alone that it can be cut from, the smallest first, with how many there are.
    pub stock: Vec<(StockId, u32)>,
}

/// What can be done about a piece of a sheet; `None` where there is no such piece.
#[must_use]
pub fn mending(on: On<'_>, plan: &Plan, sheet: usize, piece: usize) -> Option<Mending> {
    let placed = plan.sheets.get(sheet)?.placed.get(piece)?;
    let PlacedFor::Need { slot, .. } = placed.what else { return Some(Mending::default()) };
    let design = plan.designs.get(placed.design)?;
    let index = on.table.index;
    let face = design.card.faces[slot];
    let turn = if index.face(face).may_turn() { Turn::Either } else { Turn::AsPrinted };
    let size = upright(placed);
    let shows = |stock: StockId| {
        let stock = index.stock(stock);
        stock.front == face || stock.back == Some(face)
    };
    let mut leftovers: Vec<usize> = (0..plan.leftovers.len())
        .filter(|place| {
            let left = &plan.leftovers[*place];
            shows(plan.sheets[left.sheet].of) && size.fits_in(left.size, turn)
        })
        .collect();
    leftovers.sort_by_key(|place| (plan.leftovers[*place].size.area(), *place));
    let mut stock: Vec<(StockId, u32)> = index
        .stock
        .iter()
        .zip((0..).map(StockId))
        .filter(|(stock, id)| {
            matches!(stock.kind, StockKind::Cuttable(_))
                && shows(*id)
                && size.fits_in(Size::new(stock.width, stock.height), turn)
        })
        .map(|(stock, id)| {
            let used: u32 = plan
                .sheets
                .iter()
                .filter(|sheet| sheet.of == id && sheet.middle.is_none())
                .map(|sheet| sheet.copies)
                .sum();
            (id, if stock.count >= PLENTY { PLENTY } else { stock.count.saturating_sub(used) })
        })
        .filter(|(_, count)| *count > 0)
        .collect();
    stock.sort_by_key(|(id, _)| (Size::new(index.stock(*id).width, index.stock(*id).height).area(), id.0));
    Some(Mending { hidden: hidden(plan, placed, slot), leftovers, stock })
}

/// The size of a piece with its pattern upright.
fn upright(placed: &Placed) -> Size {
    if placed.turned { placed.size.turned() } else { placed.size }
}

/// What hides of all pieces that this one may become: of some alike, nobody knows which is which.
fn hidden(plan: &Plan, placed: &Placed, slot: usize) -> Vec<Rect> {
    let card = &plan.designs[placed.design].card;
    let built = &plan.built[placed.design];
    let may_be = built.pieces.iter().filter(|piece| {
        let cut = piece.rect.size();
        card.network.layers[piece.layer].slot == slot && piece.cut == cut && cut == upright(placed)
    });
    let of_one = |piece: &crate::assemble::pieces::CardPiece| {
        let seen = &built.visible[built.place_of(piece.layer)];
        let hidden = Region::of(piece.rect).without(seen);
        let (left, top) = (piece.rect.left, piece.rect.top);
        let moved = hidden.rects().iter().map(|rect| Rect {
            left: rect.left - left,
            top: rect.top - top,
            right: rect.right - left,
            bottom: rect.bottom - top,
        });
        Region::apart(moved)
    };
    let all = may_be.map(of_one).reduce(|one, other| {
        let shared = other.rects().iter().flat_map(|rect| one.within(rect).rects().to_vec());
        Region::apart(shared)
    });
    all.map_or_else(Vec::new, |region| region.tidy().rects().to_vec())
}
