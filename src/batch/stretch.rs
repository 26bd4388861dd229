//! The same card in what is still there: a card whose papers have run out in, and what is left; the
//! card with other papers in their place, which its layout allows, out.

use super::On;
use super::needs::line_size;
use super::pool::Remains;
use crate::index::{Class, FaceId, PieceNeed, Source, StockId};
use crate::layout::adapt::cost_of;
use crate::layout::{Change, Drawn};
use crate::matching::{Choice, Network, Slot, domain, eligible, network};
use crate::score::{Faces, Suggestion, added_up, reasons};
use api::units::{Length, Size};
use std::collections::{BTreeMap, BTreeSet};

/// What is left of each paper: sizes, with how many of each.
pub(super) struct Left {
    of: BTreeMap<FaceId, Vec<(Size, u32)>>,
}

impl Left {
    /// What a choice leaves: sheets opened, by line, and what is left of them.
    pub(super) fn of(on: On<'_>, remains: &Remains) -> Self {
        let index = on.table.index;
        let mut rest: BTreeMap<StockId, Vec<(Size, u32)>> = BTreeMap::new();
        for (stock, size, count) in remains.leftovers.iter().copied() {
            rest.entry(stock).or_default().push((size, count));
        }
        let mut of: BTreeMap<FaceId, Vec<(Size, u32)>> = BTreeMap::new();
        for (stock, place) in index.stock.iter().zip(0..) {
            let id = StockId(place);
            let whole = stock.count - remains.opened.get(&id).copied().unwrap_or(0).min(stock.count);
            let mut left = rest.remove(&id).unwrap_or_default();
            left.push((line_size(index, id), whole));
            for face in [Some(stock.front), stock.back].into_iter().flatten() {
                of.entry(face).or_default().extend(left.iter().copied());
            }
        }
        Self { of }
    }

    /// The area of all pieces of one size that could come of a paper, side by side in rows.
    fn area(&self, face: FaceId, piece: Size, turns: bool) -> i128 {
        let rows = |has: Size, piece: Size| {
            let along = |has: Length, piece: Length| i128::from(has.nanometres() / piece.nanometres().max(1));
            along(has.width, piece.width) * along(has.height, piece.height)
        };
        let most = |has: Size| {
            let upright = rows(has, piece);
            if turns { upright.max(rows(has, piece.turned())) } else { upright }
        };
        let of = self.of.get(&face).map_or(&[][..], Vec::as_slice);
        let count: i128 = of.iter().map(|(has, count)| most(*has).saturating_mul(i128::from(*count))).sum();
        count.saturating_mul(piece.area().square_nanometres())
    }
}

/// What papers are chosen for.
#[derive(Clone, Copy)]
pub(super) struct Wish<'a> {
    /// Papers that were asked for.
    pub(super) keep: &'a BTreeSet<FaceId>,
    /// How many copies of the card there must be enough for.
    pub(super) copies: u32,
    /// So many of the first choices are passed over.
    pub(super) turn: usize,
}

/// The card in what most is left of, slot by slot, the largest first. `None` where some slot finds nothing,
/// or nothing would change.
pub(super) fn stretched(on: On<'_>, card: &Suggestion, left: &Left, wish: Wish<'_>) -> Option<Suggestion> {
    // Parts of images are fitted to the papers they lie on: such a card stays as it is.
    if !card.choice.parts.is_empty() {
        return None;
    }
    let faces = papers(on, &card.network, Some(&card.faces), left, wish)?;
    if faces == card.faces {
        return None;
    }
    let mut new = card.clone();
    for (panel, face) in &mut new.papers {
        if let Some(slot) = card.network.slots.iter().position(|slot| slot.panel == Some(*panel)) {
            *face = faces[slot];
        }
    }
    in_papers(on, new, faces)
}

/// A layout with these changes as a card in what most is left of. `None` where some slot finds nothing.
pub(super) fn made_of(
    on: On<'_>,
    layout: usize,
    changes: &[Change],
    left: &Left,
    wish: Wish<'_>,
) -> Option<Suggestion> {
    let settings = on.table.settings;
    let drawn = Drawn::changed(&on.table.layouts[layout], changes, settings.ruler);
    let network = network(&drawn, on.table.dies).ok()?;
    let faces = papers(on, &network, None, left, wish)?;
    let of_panel = |(slot, face): (&Slot, &FaceId)| Some((slot.panel?, *face));
    let mut papers: Faces = network.slots.iter().zip(&faces).filter_map(of_panel).collect();
    papers.sort_unstable();
    papers.dedup();
    let changes = changes.iter().map(|change| (*change, cost_of(change.kind(), settings))).collect();
    let choice = Choice::nothing();
    let (id, score, reasons) = (String::new(), 0, Vec::new());
    let card = Suggestion { id, layout, drawn, changes, network, faces: Vec::new(), papers, choice, score, reasons };
    in_papers(on, card, faces)
}

/// A paper for every slot, of what most is left of; of those `now` in them, what was asked for stays, or
/// makes room for something else that was asked for.
fn papers(
    on: On<'_>,
    network: &Network,
    now: Option<&[FaceId]>,
    left: &Left,
    Wish { keep, copies, turn }: Wish<'_>,
) -> Option<Vec<FaceId>> {
    let index = on.table.index;
    let slots = &network.slots;
    let takes = |slot: usize| -> i128 {
        let needs = slots[slot].needs.iter().map(|need| need.cut_size().area().square_nanometres());
        needs.sum::<i128>() * i128::from(copies)
    };
    let mut order: Vec<usize> = (0..slots.len()).collect();
    order.sort_by_key(|slot| (std::cmp::Reverse(takes(*slot)), *slot));
    // Of a fresh card, the smallest piece that can be is of what was asked for.
    let could_keep = |slot: &&usize| domain(index, &slots[**slot]).iter().any(|face| keep.contains(face));
    let asked_for = if now.is_none() { order.iter().rev().find(could_keep).copied() } else { None };
    // Parts of images are fitted to the papers they lie on, which nobody does here.
    let is_built = |face: FaceId| match index.face(face).source {
        Source::Image(image) => on.table.images.get(image).is_some_and(|image| !image.parts.is_empty()),
        _ => false,
    };
    let mut spent: BTreeMap<u32, i128> = BTreeMap::new();
    let mut faces: Vec<Option<FaceId>> = vec![None; slots.len()];
    let quiet = on.table.settings.quiet;
    for slot in order {
        let now = now.map(|faces| faces[slot]);
        let fits = |face: FaceId, faces: &[Option<FaceId>]| {
            let differs = network.differ.iter().all(|(one, other)| {
                let across = if *one == slot {
                    Some(*other)
                } else if *other == slot {
                    Some(*one)
                } else {
                    None
                };
                across.is_none_or(|across| faces[across] != Some(face))
            });
            let beneath = network.quiet.iter().any(|(_, below)| *below == slot);
            differs && (!beneath || index.face(face).view.pattern.busyness <= quiet)
        };
        let has = |face: FaceId, spent: &BTreeMap<u32, i128>| {
            let main = &slots[slot].needs[slots[slot].main_need()];
            let turns = index.face(face).may_turn() || matches!(main, PieceNeed::Blank(_));
            left.area(face, main.cut_size(), turns) - spent.get(&index.face(face).supply).copied().unwrap_or(0)
        };
        let mut could: Vec<FaceId> = domain(index, &slots[slot]);
        could.retain(|face| !is_built(*face) && fits(*face, &faces) && has(*face, &spent) >= takes(slot));
        if asked_for == Some(slot) {
            could.retain(|face| keep.contains(face));
        }
        let most_left = |face: &FaceId| (std::cmp::Reverse(has(*face, &spent)), *face);
        if let Some(now) = now.filter(|now| keep.contains(now)) {
            could.retain(|face| keep.contains(face));
            could.sort_by_key(|face| (*face != now, most_left(face)));
        } else {
            // What a fresh card could be cut of plainly need not be patterned.
            let usual = now.map_or(Class::Plain, |now| index.face(now).class);
            could.sort_by_key(|face| (index.face(*face).class != usual, most_left(face)));
        }
        let skip = turn.min(could.len().saturating_sub(1));
        let chosen = could.get(skip).copied()?;
        *spent.entry(index.face(chosen).supply).or_default() += takes(slot);
        faces[slot] = Some(chosen);
    }
    faces.into_iter().collect()
}

/// A card in these papers, slot by slot.
fn in_papers(on: On<'_>, mut new: Suggestion, faces: Vec<FaceId>) -> Option<Suggestion> {
    let index = on.table.index;
    let slots = &new.network.slots;
    let mut pieces = Vec::new();
    for (slot, face) in slots.iter().zip(&faces) {
        let from: Option<Vec<StockId>> =
            slot.needs.iter().map(|need| eligible(index, need, *face).first().copied()).collect();
        pieces.push(from?);
    }
    let main = slots.iter().zip(&pieces).map(|(slot, pieces)| pieces[slot.main_need()]).collect();
    // Which panels show patterned paper may be others now.
    new.papers.retain(|(_, face)| index.face(*face).class == Class::Patterned);
    new.choice = Choice { main, pieces, ..Choice::nothing() };
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
