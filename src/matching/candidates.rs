//! Which faces could fill a slot, and from which stock.
//!
//! A slot and the index in; faces and stock out, in the order of ids. It asks only of each piece
//! alone; whether all pieces of all copies can be cut together is `supply`'s question.

use super::Slot;
use crate::index::{Face, FaceId, Index, PieceNeed, StockId, class_of, fits_on};
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

/// The stock from which a piece showing `face` could be cut.
#[must_use]
pub fn eligible(index: &Index, need: &PieceNeed, face: FaceId) -> Vec<StockId> {
    let face = index.face(face);
    face.stock.iter().copied().filter(|stock| fits_on(need, face, index.stock(*stock))).collect()
}
