//! Which faces could fill a slot, and from which stock.
//!
//! A slot and the index in; faces and stock out, in the order of ids. It asks only of each slot
//! alone; whether all pieces of all copies can be cut together is `supply`'s question.

use super::Slot;
use crate::index::{Face, FaceId, Index, PieceNeed, Stock, StockId, StockKind, class_of, fits_on};
use crate::stash::Facing;

/// The faces that could fill a slot: of a material it takes, with stock for each of its pieces.
#[must_use]
pub fn domain(index: &Index, slot: &Slot) -> Vec<FaceId> {
    let mut classes: Vec<_> = slot.materials.iter().map(|material| class_of(*material)).collect();
    classes.sort_unstable();
    classes.dedup();
    let mut found: Vec<FaceId> = Vec::new();
    for class in classes {
        found.extend(index.class(class).iter().filter(|face| could_be(index, slot, index.face(**face))));
    }
    found.sort_unstable();
    found
}

/// Whether a face could fill a slot.
#[must_use]
pub fn could_be(index: &Index, slot: &Slot, face: &Face) -> bool {
    let looks_out = slot.looks_out.is_some_and(|out| face.facing == out && out != Facing::Ahead);
    !looks_out
        && slot.materials.contains(&face.view.material)
        && slot.needs.iter().all(|need| face.stock.iter().any(|stock| fits_on(need, face, index.stock(*stock))))
}

/// Whether there may be enough of a face for so many copies of a slot: never no where there is.
#[must_use]
pub fn may_suffice(index: &Index, slot: &Slot, face: &Face, copies: u32) -> bool {
    let enough = |need: &PieceNeed| {
        let alike = slot.needs.iter().filter(|other| *other == need).count() as u64;
        let wanted = u64::from(copies).saturating_mul(alike);
        let mut found = 0_u64;
        face.stock.iter().map(|stock| index.stock(*stock)).filter(|stock| fits_on(need, face, stock)).any(|stock| {
            found = found.saturating_add(u64::from(stock.count).saturating_mul(most_of(need, face, stock)));
            found >= wanted
        })
    };
    (copies == 1 && slot.needs.len() == 1) || slot.needs.iter().all(enough)
}

/// The most pieces one sheet can give: pieces that may not be turned stand in rows and columns, others
/// take their area at least.
fn most_of(need: &PieceNeed, face: &Face, stock: &Stock) -> u64 {
    let nanometres = |length: api::units::Length| u128::try_from(length.nanometres()).unwrap_or(0).max(1);
    let (width, height) = (nanometres(stock.width), nanometres(stock.height));
    let PieceNeed::Cut(size) = need else {
        return if matches!(stock.kind, StockKind::Cuttable(_)) { u64::MAX } else { 1 };
    };
    let (across, down) = (nanometres(size.width), nanometres(size.height));
    let most = if face.may_turn() { width * height / (across * down) } else { (width / across) * (height / down) };
    u64::try_from(most).unwrap_or(u64::MAX)
}

/// The stock from which a piece showing `face` could be cut.
#[must_use]
pub fn eligible(index: &Index, need: &PieceNeed, face: FaceId) -> Vec<StockId> {
    let face = index.face(face);
    face.stock.iter().copied().filter(|stock| fits_on(need, face, index.stock(*stock))).collect()
}
