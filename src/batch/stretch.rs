//! The same card in what is still there: a card whose papers have run out in, and what is left; the
//! card with other papers in their place, which its layout allows, out.

use super::On;
use super::search::Chosen;
use crate::cut::Becomes;
use crate::index::{FaceId, PLENTY, StockId};
use crate::matching::{Choice, domain, eligible};
use crate::score::{Suggestion, added_up, reasons};
use std::collections::{BTreeMap, BTreeSet};

/// How much is left of each paper, in square millimetres.
pub(super) struct Left {
    of: BTreeMap<FaceId, i128>,
}

impl Left {
    /// What a choice leaves.
    pub(super) fn of(on: On<'_>, chosen: &Chosen) -> Self {
        let index = on.table.index;
        let mut opened: BTreeMap<StockId, u32> = BTreeMap::new();
        let mut rest: BTreeMap<StockId, i128> = BTreeMap::new();
        for group in chosen.groups.values() {
            for sheet in &group.plan.sheets {
                let stock = group.lines[sheet.stock.0];
                *opened.entry(stock).or_default() += sheet.copies;
                let leaves = sheet.root.leaves();
                let offcuts = leaves.iter().filter(|leaf| leaf.becomes == Becomes::Offcut);
                let area: i128 = offcuts.map(|leaf| (leaf.width * leaf.height).square_nanometres()).sum();
                *rest.entry(stock).or_default() += area * i128::from(sheet.copies);
            }
        }
        let mut of: BTreeMap<FaceId, i128> = BTreeMap::new();
        for (stock, place) in index.stock.iter().zip(0..) {
            let id = StockId(place);
            let whole = i128::from(stock.count.min(PLENTY) - opened.get(&id).copied().unwrap_or(0).min(stock.count));
            let area = (stock.width * stock.height).square_nanometres().saturating_mul(whole)
                + rest.get(&id).copied().unwrap_or(0);
            for face in [Some(stock.front), stock.back].into_iter().flatten() {
                *of.entry(face).or_default() += area;
            }
        }
        Self { of }
    }

    fn area(&self, face: FaceId) -> i128 {
        self.of.get(&face).copied().unwrap_or(0)
    }
}

/// The card in what most is left of, slot by slot, the largest first; `turn` passes over so many of the
/// first choices. `None` where some slot finds nothing, or nothing would change.
pub(super) fn stretched(
    on: On<'_>,
    card: &Suggestion,
    left: &Left,
    keep: &BTreeSet<FaceId>,
    copies: u32,
    turn: usize,
) -> Option<Suggestion> {
    let index = on.table.index;
    let slots = &card.network.slots;
    // Parts of images are fitted to the papers they lie on: such a card stays as it is.
    if !card.choice.parts.is_empty() {
        return None;
    }
    let takes = |slot: usize| -> i128 {
        let needs = slots[slot].needs.iter().map(|need| need.cut_size().area().square_nanometres());
        needs.sum::<i128>() * i128::from(copies)
    };
    let mut order: Vec<usize> = (0..slots.len()).collect();
    order.sort_by_key(|slot| (std::cmp::Reverse(takes(*slot)), *slot));
    let mut spent: BTreeMap<u32, i128> = BTreeMap::new();
    let mut faces: Vec<Option<FaceId>> = vec![None; slots.len()];
    let quiet = on.table.settings.quiet;
    for slot in order {
        let now = card.faces[slot];
        let fits = |face: FaceId, faces: &[Option<FaceId>]| {
            let differs = card.network.differ.iter().all(|(one, other)| {
                let across = if *one == slot {
                    Some(*other)
                } else if *other == slot {
                    Some(*one)
                } else {
                    None
                };
                across.is_none_or(|across| faces[across] != Some(face))
            });
            let beneath = card.network.quiet.iter().any(|(_, below)| *below == slot);
            differs && (!beneath || index.face(face).view.pattern.busyness <= quiet)
        };
        let has = |face: FaceId, spent: &BTreeMap<u32, i128>| {
            left.area(face) - spent.get(&index.face(face).supply).copied().unwrap_or(0)
        };
        let mut could: Vec<FaceId> = domain(index, &slots[slot]);
        could.retain(|face| fits(*face, &faces) && has(*face, &spent) >= takes(slot));
        let chosen = if keep.contains(&now) {
            could.iter().copied().find(|face| *face == now)
        } else {
            let same_class = |face: &FaceId| index.face(*face).class != index.face(now).class;
            could.sort_by_key(|face| (same_class(face), std::cmp::Reverse(has(*face, &spent)), *face));
            let skip = turn.min(could.len().saturating_sub(1));
            could.get(skip).copied()
        }?;
        *spent.entry(index.face(chosen).supply).or_default() += takes(slot);
        faces[slot] = Some(chosen);
    }
    let faces: Vec<FaceId> = faces.into_iter().collect::<Option<_>>()?;
    if faces == card.faces {
        return None;
    }
    let mut pieces = Vec::new();
    for (slot, face) in slots.iter().zip(&faces) {
        let from: Option<Vec<StockId>> =
            slot.needs.iter().map(|need| eligible(index, need, *face).first().copied()).collect();
        pieces.push(from?);
    }
    let main = slots.iter().zip(&pieces).map(|(slot, pieces)| pieces[slot.main_need()]).collect();
    let mut new = card.clone();
    for (panel, face) in &mut new.papers {
        if let Some(slot) = slots.iter().position(|slot| slot.panel == Some(*panel)) {
            *face = faces[slot];
        }
    }
    // Which panels show patterned paper may be others now.
    new.papers.retain(|(_, face)| index.face(*face).class == crate::index::Class::Patterned);
    new.choice = Choice { main, pieces, worth: 0, parts: Vec::new() };
    new.faces = faces;
    new.reasons = reasons(on.table, &new.network, &new.faces, &new.choice);
    new.score = added_up(&new.reasons, &new.changes);
    new.id = named(&new, on);
    Some(new)
}

/// The layout's id and six hexadecimal digits of a hash (FNV-1a, 64 bits) of the changes and papers.
fn named(card: &Suggestion, on: On<'_>) -> String {
    let mut text = format!("{:?}", card.changes);
    for face in &card.faces {
        text.push('\n');
        text.push_str(&on.table.index.face(*face).id);
    }
    let take = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, take);
    format!("{}-{:06x}", on.table.layouts[card.layout].id, hash >> 40)
}
