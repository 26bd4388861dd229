//! What goes beneath the layers of a batch's cards, and the dots that go on them: listed scraps that are
//! good for nothing else are given out once, whichever cards need them; the rest comes from the bits box.

use super::Design;
use super::sheets::{Placed, PlacedFor, PlanSheet};
use crate::assemble::{Bench, Built};
use crate::construct::level::Filling;
use crate::index::StockId;
use crate::score::Table;
use api::units::{Length, Size};
use std::collections::BTreeMap;

/// Slips alike beneath one layer of one design.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// The design, as a place in [`super::Plan::designs`].
    pub design: usize,
    /// The layer it goes beneath.
    pub layer: String,
    /// What it is of.
    pub of: Filling,
    /// The scrap it is cut from; `None` is the bits box.
    pub stock: Option<StockId>,
    /// Its size.
    pub size: Size,
    /// How many lie on one another.
    pub plies: u32,
    /// On how many cards.
    pub count: u32,
}

/// Builds every design of a plan; what its cards need beneath their layers; and the scraps that takes, each
/// used whole.
pub(super) fn levelled(
    table: Table<'_>,
    designs: &[Design],
    sheets: &[PlanSheet],
) -> (Vec<Built>, Vec<Slip>, Vec<PlanSheet>) {
    let bench = Bench::new(table);
    let mut left: BTreeMap<StockId, u32> = bench.scraps.iter().map(|(id, scrap)| (*id, scrap.count)).collect();
    for sheet in sheets.iter().filter(|sheet| sheet.middle.is_none()) {
        left.entry(sheet.of).and_modify(|count| *count = count.saturating_sub(sheet.copies));
    }
    let (mut all, mut slips, mut takes) = (Vec::new(), Vec::new(), BTreeMap::new());
    for sheet in sheets.iter().filter(|sheet| sheet.middle.is_none()) {
        *takes.entry(sheet.stock.clone()).or_insert(0) += sheet.copies;
    }
    let mut scraps: Vec<PlanSheet> = Vec::new();
    let mut dots = super::dotted::Shared::of(&bench);
    for (place, design) in designs.iter().enumerate() {
        // So many for each of its cards.
        let each = |id: &StockId| left[id] / design.count.max(1);
        let offered = bench.scraps.iter().filter(|(id, _)| each(id) > 0);
        let offered = offered.map(|(id, scrap)| (*id, crate::construct::level::Scrap { count: each(id), ..*scrap }));
        let built = Built::new(
            table,
            &Bench { scraps: offered.collect(), dots: dots.for_each(design.count), ..bench.clone() },
            &design.card,
        );
        for (of, beneath) in built.parts.iter().zip(&built.beneath) {
            let layer = design.card.network.layers[of.layer].id.clone();
            for bit in &beneath.levelling {
                let stock = if let Filling::Scrap(scrap) = bit.of { built.scraps.get(scrap).copied() } else { None };
                let slip = Slip {
                    design: place,
                    layer: layer.clone(),
                    of: bit.of,
                    stock,
                    size: bit.rect.size(),
                    plies: bit.plies,
                    count: design.card.choice.fills(of.layer, &bit.rect).unwrap_or(design.count),
                };
                if let Some(stock) = stock {
                    let copies = bit.plies.saturating_mul(slip.count);
                    left.entry(stock).and_modify(|count| *count = count.saturating_sub(copies));
                    scraps.extend(used_whole(table, &slip, stock, copies, &mut takes));
                }
                slips.push(slip);
            }
        }
        dots.take(&built, design.count);
        all.push(built);
    }
    (all, slips, scraps)
}

/// So many scraps of one kind, line by line.
fn used_whole(
    table: Table<'_>,
    slip: &Slip,
    of: StockId,
    mut copies: u32,
    takes: &mut BTreeMap<String, u32>,
) -> Vec<PlanSheet> {
    let stock = table.index.stock(of);
    let size = Size::new(stock.width, stock.height);
    let upright = slip.size.width <= size.width && slip.size.height <= size.height;
    let mut sheets = Vec::new();
    for line in &stock.lines {
        let taken = takes.entry(line.id.clone()).or_insert(0);
        let copies_of_line = copies.min(line.count.saturating_sub(*taken));
        if copies_of_line == 0 {
            continue;
        }
        *taken += copies_of_line;
        copies -= copies_of_line;
        sheets.push(PlanSheet {
            stock: line.id.clone(),
            paper: table.index.face(stock.front).id.clone(),
            of,
            middle: None,
            copies: copies_of_line,
            size,
            placed: vec![Placed {
                design: slip.design,
                what: PlacedFor::Levelling,
                piece: format!("beneath {}", slip.layer),
                at: (Length::ZERO, Length::ZERO),
                size: if upright { slip.size } else { slip.size.turned() },
                turned: !upright,
                hole: None,
            }],
        });
    }
    sheets
}
