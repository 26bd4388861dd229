//! What would help most, and what is good for nothing: the prices of the bound and the plan in; a few
//! lines of stock out.

use super::bound::Priced;
use super::relax::{Relaxed, suits};
use super::{Design, On};
use crate::index::{PLENTY, StockId, StockKind};
use crate::stash::LineKind;

/// At most so many are named.
const MOST: usize = 3;
/// Pieces held against stock at most; beyond that nothing is called good for nothing.
const MOST_LOOKS: usize = 20_000_000;
/// Stock of which one more sheet would bring less than this share of a card is not named.
const LEAST: f64 = 0.05;

/// Stock of which one more sheet would help.
#[derive(Clone, Debug, PartialEq)]
pub struct Help {
    /// The line it should be like.
    pub stock: StockId,
    /// How many more cards one more sheet allows at most, in thousandths.
    pub thousandths: u32,
}

/// What would help, and what may go.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hints {
    /// What would help most first.
    pub helps: Vec<Help>,
    /// Ids of scraps from which no piece of any card on file could be cut.
    pub let_go: Vec<String>,
}

/// What would help most, and what is good for nothing.
pub(super) fn hints(on: On<'_>, relaxed: &Relaxed, priced: &Priced, designs: &[Design], ask: &super::PlanAsk) -> Hints {
    let mut rows: Vec<(f64, usize)> =
        priced.worth.iter().copied().zip(0..).filter(|(worth, _)| *worth > LEAST).collect();
    rows.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
    let used = |stock: &StockId| {
        let of = |design: &Design| design.card.choice.pieces.iter().flatten().any(|from| from == stock);
        designs.iter().any(of)
    };
    let helps = rows.into_iter().filter_map(|(worth, row)| {
        let row = &relaxed.rows[row];
        // Of stock that is as good as each other, one that the plan uses speaks for all.
        let stock = row.stock.iter().find(|stock| used(stock)).or(row.stock.first())?;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a million")]
        let thousandths = (worth * 1000.0).clamp(0.0, 1e9) as u32;
        Some(Help { stock: *stock, thousandths })
    });
    Hints { helps: helps.take(MOST).collect(), let_go: if ask.every_layout { let_go(on, relaxed) } else { Vec::new() } }
}

/// Scraps that suit no piece of any layout on file, nor a part of any image. Where not every layout
/// was looked through, none is named.
fn let_go(on: On<'_>, relaxed: &Relaxed) -> Vec<String> {
    let looks = on.table.index.stock.len().saturating_mul(relaxed.types.len());
    if !relaxed.complete || looks > MOST_LOOKS {
        return Vec::new();
    }
    let index = on.table.index;
    let mut ids = Vec::new();
    for (stock, place) in index.stock.iter().zip(0..) {
        let is_scrap = stock.kind == StockKind::Cuttable(LineKind::Scrap) && stock.count < PLENTY;
        if !is_scrap || relaxed.types.iter().any(|piece| suits(index, StockId(place), piece)) {
            continue;
        }
        let materials =
            [Some(stock.front), stock.back].into_iter().flatten().map(|face| index.face(face).view.material);
        let materials: Vec<_> = materials.collect();
        let is_part = |part: &crate::stash::ImagePart| {
            let (size, long) = (part.size, (stock.width.max(stock.height), stock.width.min(stock.height)));
            part.takes.iter().any(|material| materials.contains(material))
                && size.long() <= long.0
                && size.short() <= long.1
        };
        if !on.table.images.iter().flat_map(|image| &image.parts).any(is_part) {
            ids.extend(stock.ids().map(str::to_owned));
        }
    }
    ids
}
