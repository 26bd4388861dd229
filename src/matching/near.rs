//! *Almost*: what a layout lacks, by how much, and the nearest thing on hand.
//!
//! A layout as drawn, and the index in; the one slot that comes nearest to being filled out. It never
//! says just "no".

use super::{Network, Slot, Unmakeable, domain};
use crate::index::{FaceId, Index, StockId, StockKind, class_of};
use crate::layout::Axis;
use crate::stash::Die;
use api::Material;
use api::units::{Length, Size};

/// The nearest thing on hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Nearest {
    /// The id of the stock, or of the die.
    pub stock: String,
    /// What it is called.
    pub name: String,
    /// Its size.
    pub size: Size,
}

/// What is lacking.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lack {
    /// A piece larger than any on hand.
    Size {
        /// What it must be made of.
        materials: Vec<Material>,
        /// How large it must be.
        needs: Size,
        /// The nearest on hand, and by how much its sides fall short together.
        nearest: Option<(Nearest, Length)>,
    },
    /// An image no larger than a place, looking the right way.
    Image {
        /// The room there is.
        room: Size,
        /// The smallest on hand, and by how much it is too large.
        nearest: Option<(Nearest, Length)>,
    },
    /// A die no larger than a place.
    Die {
        /// The room there is.
        room: Size,
        /// The one that is least too large, and by how much.
        nearest: Option<(Nearest, Length)>,
    },
    /// Enough copies: each piece is there, but not all of them for so many cards, or not together.
    Copies {
        /// So many cards were asked for.
        cards: u32,
    },
    /// Papers that may lie on one another.
    Partner,
    /// A card large enough: on one of this size nothing is left of the panel.
    Card {
        /// The size asked for.
        card: Size,
    },
}

/// One layout's near miss.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NearMiss {
    /// The id of the panel (or mat, or base) that cannot be made.
    pub panel: String,
    /// What is lacking.
    pub lack: Lack,
    /// Whether this is the place to which what must be used comes nearest, not what the layout lacks by itself.
    pub is_for_request: bool,
    /// The cover that would hide a join of the panel, were it wide enough.
    pub thin_cover: Option<ThinCover>,
}

/// What lies over the middle of a panel is too narrow for a hidden join.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ThinCover {
    /// How wide the widest part is that is hidden, along the panel.
    pub hidden: Length,
    /// How wide it would have to be: two glue margins.
    pub needs: Length,
    /// Along which axis.
    pub axis: Axis,
}

impl NearMiss {
    /// What a layout lacks by itself.
    const fn of(panel: String, lack: Lack) -> Self {
        Self { panel, lack, is_for_request: false, thin_cover: None }
    }
}

/// What a network lacks: the first slot with nothing to fill it, or, where each could be filled for
/// itself, copies or partners.
#[must_use]
pub fn lacking(index: &Index, network: &Network, copies: u32) -> NearMiss {
    let empty = network.slots.iter().find(|slot| domain(index, slot).is_empty());
    if let Some(slot) = empty {
        return NearMiss::of(slot.id.clone(), slot_lack(index, slot, &|_, _| true));
    }
    let largest = network
        .slots
        .iter()
        .skip(1)
        .max_by_key(|slot| slot.needs.iter().map(|need| need.cut_size().area()).sum::<api::units::Area>());
    let panel = largest.map_or_else(|| "base".to_owned(), |slot| slot.id.clone());
    let alone = network.slots.iter().all(|slot| domain(index, slot).len() > 1);
    let lack = if alone || copies > 1 { Lack::Copies { cards: copies } } else { Lack::Partner };
    NearMiss::of(panel, lack)
}

/// What is lacking where no choice of paper would mend it, on a card of this size.
#[must_use]
pub fn unmakeable(fault: &Unmakeable, dies: &[Die], card: Size) -> NearMiss {
    match fault {
        Unmakeable::NoDie { panel, room } => {
            let over = |die: &&Die| too_much(die.size.width, room.width) + too_much(die.size.height, room.height);
            let die = dies.iter().min_by_key(|die| (over(die), die.size.area(), &die.id));
            let nearest =
                die.map(|die| (Nearest { stock: die.id.clone(), name: die.name.clone(), size: die.size }, over(&die)));
            NearMiss::of(panel.clone(), Lack::Die { room: *room, nearest })
        }
        Unmakeable::NoCommonMaterial { panel } => NearMiss::of(panel.clone(), Lack::Partner),
        Unmakeable::NothingLeft { panel } => NearMiss::of(panel.clone(), Lack::Card { card }),
    }
}

/// What a network lacks so that it would use one of these pieces of stock: the slot that one of them comes
/// nearest to. `None` where no slot takes their material, or where one of them is large enough.
#[must_use]
pub fn lacking_for(index: &Index, network: &Network, wanted: impl Fn(FaceId, StockId) -> bool) -> Option<NearMiss> {
    let short = |slot: &Slot| match slot_lack(index, slot, &wanted) {
        lack @ (Lack::Size { nearest: Some((_, short_by)), .. } | Lack::Image { nearest: Some((_, short_by)), .. }) => {
            Some((short_by, NearMiss { panel: slot.id.clone(), lack, is_for_request: true, thin_cover: None }))
        }
        _ => None,
    };
    let nearest = network.slots.iter().filter_map(short).min_by_key(|(short_by, _)| *short_by)?;
    (nearest.0 > Length::ZERO).then_some(nearest.1)
}

fn slot_lack(index: &Index, slot: &Slot, wanted: &impl Fn(FaceId, StockId) -> bool) -> Lack {
    let need = slot.needs[slot.main_need()].cut_size();
    if slot.materials == [Material::Image] {
        let nearest =
            nearest(index, slot, wanted, |size| too_much(size.width, need.width) + too_much(size.height, need.height));
        return Lack::Image { room: need, nearest };
    }
    let nearest = nearest(index, slot, wanted, |size| {
        let upright = too_much(need.width, size.width) + too_much(need.height, size.height);
        let turned = too_much(need.width, size.height) + too_much(need.height, size.width);
        upright.min(turned)
    });
    Lack::Size { materials: slot.materials.clone(), needs: need, nearest }
}

/// By how much `wants` is more than `has`.
fn too_much(wants: Length, has: Length) -> Length {
    (wants - has).max(Length::ZERO)
}

/// The stock wanted of a material the slot takes that falls short by least; the larger, then the first by
/// id, where two fall short alike.
fn nearest(
    index: &Index,
    slot: &Slot,
    wanted: &impl Fn(FaceId, StockId) -> bool,
    short_by: impl Fn(Size) -> Length,
) -> Option<(Nearest, Length)> {
    let mut best: Option<(Length, std::cmp::Reverse<api::units::Area>, StockId, FaceId)> = None;
    for class in [class_of(Material::Patterned), class_of(Material::Cardstock), class_of(Material::Image)] {
        for face in index.class(class) {
            let view = &index.face(*face).view;
            if !slot.materials.contains(&view.material) {
                continue;
            }
            for id in &index.face(*face).stock {
                let stock = index.stock(*id);
                if stock.kind == StockKind::CardBase || !wanted(*face, *id) {
                    continue;
                }
                let size = Size::new(stock.width, stock.height);
                let candidate = (short_by(size), std::cmp::Reverse(size.area()), *id, *face);
                if best.is_none_or(|best| candidate < best) {
                    best = Some(candidate);
                }
            }
        }
    }
    best.map(|(short_by, _, id, face)| {
        let stock = index.stock(id);
        let size = Size::new(stock.width, stock.height);
        (Nearest { stock: stock.id().to_owned(), name: index.face(face).view.name.clone(), size }, short_by)
    })
}
