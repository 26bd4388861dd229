//! Looks at the middles of a finished plan with code of its own: each is cut out of a piece that the same
//! plan cuts before it, once; it is hidden, with a glue margin all round; and the cards say so.

use super::check::Wrong;
use super::{CutOut, On, PlacedFor, Plan};
use crate::index::is_opaque;
use crate::layout::{Rect, Region};
use crate::matching::hollow::SMALLEST;
use api::units::Size;
use api::{Material, Role};
use std::collections::BTreeMap;

/// Everything that is wrong with the middles of a plan.
pub(super) fn middles(on: On<'_>, plan: &Plan, wrong: &mut Vec<Wrong>) {
    let mut takes: BTreeMap<CutOut, u64> = BTreeMap::new();
    for (sheet, of) in plan.sheets.iter().enumerate() {
        let Some(middle) = of.middle else { continue };
        if !on.table.settings.hollow_mats {
            wrong.push(Wrong::MiddleNotAllowed { sheet });
        }
        let Some((place, piece)) = piece_of(plan, &middle) else {
            wrong.push(Wrong::MiddleOfNothing { sheet });
            continue;
        };
        let so_far = takes.entry(middle).or_default();
        *so_far += u64::from(of.copies);
        let (has, before) = cut(plan, &middle, sheet);
        if before == 0 {
            wrong.push(Wrong::MiddleOfNothing { sheet });
        } else if *so_far > has {
            wrong.push(Wrong::MiddleTwice { sheet, takes: *so_far, has });
        }
        let margin = on.table.settings.glue_margin;
        let hidden = hidden(on, plan, &middle, place);
        if !piece.holds(&middle.rect) || !hidden.holds(&middle.rect) {
            wrong.push(Wrong::MiddleShows { sheet });
        } else if !piece.inset(margin).holds(&middle.rect) || !hidden.holds(&middle.rect.inset(-margin)) {
            wrong.push(Wrong::MiddleMargin { sheet });
        }
        let design = &plan.designs[middle.design];
        let shows = |placed: &super::Placed| match placed.what {
            PlacedFor::Need { slot, .. } => {
                let of = plan.designs.get(placed.design).and_then(|design| design.card.faces.get(slot));
                of == design.card.faces.get(middle.slot)
            }
            PlacedFor::Part | PlacedFor::Levelling => false,
        };
        if of.size != middle.rect.size() || of.size.short() < SMALLEST || !of.placed.iter().all(shows) {
            wrong.push(Wrong::WrongMiddle { sheet });
        }
    }
    told(plan, &takes, wrong);
}

/// The layer and the piece a middle is cut out of, as the card has them.
fn piece_of(plan: &Plan, of: &CutOut) -> Option<(usize, Rect)> {
    let network = &plan.designs.get(of.design)?.card.network;
    let layers = network.layers.iter().enumerate().filter(|(_, layer)| layer.slot == of.slot);
    let mut pieces = layers.flat_map(|(place, layer)| layer.pieces.iter().map(move |piece| (place, *piece)));
    pieces.nth(of.need)
}

/// How many pieces the plan cuts that have this middle: in all, and before a sheet.
fn cut(plan: &Plan, of: &CutOut, sheet: usize) -> (u64, u64) {
    let mut counts = (0, 0);
    for (place, other) in plan.sheets.iter().enumerate() {
        let is_it = |placed: &&super::Placed| {
            placed.design == of.design && placed.what == PlacedFor::Need { slot: of.slot, need: of.need }
        };
        let count = other.placed.iter().filter(is_it).count() as u64 * u64::from(other.copies);
        counts.0 += count;
        counts.1 += if place < sheet { count } else { 0 };
    }
    counts
}

/// What of a layer is certainly hidden by what is glued flat over it, hollow panels counted as rings.
fn hidden(on: On<'_>, plan: &Plan, of: &CutOut, place: usize) -> Region {
    let card = &plan.designs[of.design].card;
    let layers = &card.network.layers;
    let mut region = Region::nothing();
    for (above, layer) in layers.iter().enumerate().skip(place + 1) {
        let material = on.table.index.face(card.faces[layer.slot]).view.material;
        let below = &layers[above - 1];
        let lies_on_mat = below.role == Role::Mat && below.id.starts_with(&format!("{} mat", layer.id));
        let is_flat = !layer.raised || lies_on_mat;
        if !is_opaque(material) || material == Material::Image || !is_flat {
            continue;
        }
        let mut covers = Region::nothing();
        for piece in &layer.pieces {
            for band in layer.outline.inner(piece) {
                covers.add(&band.shared(&layer.rect));
            }
        }
        for hole in plan.sheets.iter().filter_map(|sheet| sheet.middle) {
            let is_here = hole.design == of.design && hole != *of;
            if is_here && piece_of(plan, &hole).is_some_and(|(layer, _)| layer == above) {
                covers.take(&hole.rect);
            }
        }
        covers.rects().iter().for_each(|rect| region.add(rect));
    }
    region
}

/// Whether cards and pieces say of themselves what is hollow.
fn told(plan: &Plan, takes: &BTreeMap<CutOut, u64>, wrong: &mut Vec<Wrong>) {
    for (place, design) in plan.designs.iter().enumerate() {
        let own = || takes.iter().filter(|(of, _)| of.design == place);
        let is_told = |(of, count): (&CutOut, &u64)| {
            let mut hollows = design.card.choice.hollows.iter();
            let on_card = hollows.any(|hollow| {
                (hollow.slot, hollow.need, hollow.rect, u64::from(hollow.copies)) == (of.slot, of.need, of.rect, *count)
            });
            on_card && on_sheets(plan, of) == *count
        };
        if !own().all(is_told) || own().count() != design.card.choice.hollows.len() {
            wrong.push(Wrong::HollowUntold { design: place });
        }
    }
}

/// On how many pieces as they lie on sheets the hole of a middle is marked, in its size.
fn on_sheets(plan: &Plan, of: &CutOut) -> u64 {
    let mut count = 0;
    for placed in plan.sheets.iter().flat_map(|sheet| &sheet.placed) {
        let is_it = placed.design == of.design && placed.what == PlacedFor::Need { slot: of.slot, need: of.need };
        let Some(hole) = placed.hole.filter(|_| is_it) else { continue };
        let size: Size = of.rect.size();
        let size = if placed.turned { size.turned() } else { size };
        let (x, y) = (hole.at.0 - placed.at.0, hole.at.1 - placed.at.1);
        let is_within = x.nanometres() >= 0
            && y.nanometres() >= 0
            && x + hole.size.width <= placed.size.width
            && y + hole.size.height <= placed.size.height;
        if hole.size == size && is_within {
            count += u64::from(hole.copies);
        }
    }
    count
}
