//! What no plan can beat: the relaxation in; prices on stock, checked in whole numbers, and the most
//! cards they allow out.
//!
//! Column generation (Dantzig and Wolfe 1960): the linear programme chooses how many cards of each
//! kind fit the stock; its prices are what stock is worth; the cheapest card at these prices comes
//! in. Whatever the prices are, no plan makes more cards than all stock is worth over what the
//! cheapest card costs (Farley 1990): that quotient, rounded down in whole numbers, is the bound.
//! A card that makes stock of its own, the middles of its mats, costs so much less.

use super::PlanAsk;
use super::lp::{Column, Lp};
use super::relax::{Relaxed, Takes, Variant};
use crate::index::{PieceNeed, StockId, StockKind};
use api::units::Size;
use std::collections::BTreeMap;

/// Rounds of pricing at most.
const MOST_ROUNDS: u32 = 120;
/// Steps of the simplex in one round at most.
const MOST_STEPS: u32 = 400;
/// How much of the calm prices is in those that are tried.
const CALM: f64 = 0.6;
/// A whole price of one.
const ONE: f64 = 1_099_511_627_776.0;
/// Rows beyond which the prices are not sought, and stock counts by bases alone.
const MOST_RESOURCES: usize = 1_500;

/// So many of the cheapest variants of a layout are tried as cards, where cards are wanted.
const THRIFTY_OF_A_LAYOUT: usize = 6;
/// So many of all.
const THRIFTY: usize = 120;

/// Prices on stock, and what follows.
pub(super) struct Priced {
    /// No plan makes more cards.
    pub(super) at_most: u64,
    /// What one sheet of each row is worth, in cards.
    pub(super) worth: Vec<f64>,
    /// For each row: the price of its area, then of each of its measures.
    prices: Vec<Vec<f64>>,
    row_of: BTreeMap<StockId, usize>,
    measures: Vec<Vec<(Size, crate::cut::Turn, u32)>>,
    areas: Vec<f64>,
    /// Places of the variants that take least of what is scarce, the cheapest first.
    pub(super) thrifty: Vec<usize>,
}

impl Priced {
    /// What a piece costs if it is cut from a line, in cards.
    pub(super) fn cost(&self, stock: StockId, size: Size) -> f64 {
        let Some(row) = self.row_of.get(&stock).copied() else { return 0.0 };
        let share = area(size) / self.areas[row];
        let mut cost = self.prices[row].first().copied().unwrap_or(0.0) * share;
        for ((least, turn, most), price) in self.measures[row].iter().zip(self.prices[row].iter().skip(1)) {
            let covers = (size.width >= least.width && size.height >= least.height)
                || (*turn == crate::cut::Turn::Either && size.width >= least.height && size.height >= least.width);
            if covers {
                cost += price / f64::from(*most);
            }
        }
        cost
    }
}

#[allow(clippy::cast_precision_loss, reason = "a share of an area; the bound itself is reckoned in whole numbers")]
fn area(size: Size) -> f64 {
    size.area().square_nanometres() as f64
}

/// Prices by area alone, to begin with.
fn by_area(
    relaxed: &Relaxed,
    resources: &Resources,
    capacities: &[f64],
    best: &mut Option<(u128, Vec<u64>)>,
) -> Option<(f64, Vec<f64>)> {
    let mut prices = vec![0.0; resources.all];
    let largest = relaxed.rows.iter().map(row_area).fold(1.0, f64::max);
    for (row, first) in relaxed.rows.iter().zip(&resources.first) {
        if !row.kind_is_whole() {
            prices[*first] = row_area(row) / largest;
        }
    }
    let costs = type_costs(relaxed, resources, &prices);
    let least = cheapest(relaxed, &costs).iter().map(|(cost, _)| *cost).fold(f64::INFINITY, f64::min);
    if least <= 1e-9 || !least.is_finite() {
        return None;
    }
    offer(relaxed, resources, &prices, best);
    let most = prices.iter().zip(capacities).map(|(price, has)| price * has).sum::<f64>() / least;
    Some((most, prices.iter().map(|price| price / least).collect()))
}

#[allow(clippy::cast_precision_loss, reason = "a share of an area; the bound itself is reckoned in whole numbers")]
fn row_area(row: &super::relax::Row) -> f64 {
    (row.area as f64).max(1.0)
}

/// Where the resources of each row begin in the list of all.
struct Resources {
    first: Vec<usize>,
    all: usize,
}

impl Resources {
    fn of(relaxed: &Relaxed) -> Self {
        let (mut first, mut all) = (Vec::new(), 0);
        for row in &relaxed.rows {
            first.push(all);
            all += 1 + row.measures.len();
        }
        Self { first, all }
    }
}

/// The bound.
pub(super) fn bound(relaxed: &Relaxed, ask: &PlanAsk, stop: &dyn Fn() -> bool) -> Priced {
    let resources = Resources::of(relaxed);
    let mut best: Option<(u128, Vec<u64>)> = None;
    let mut priced: Vec<f64> = vec![0.0; resources.all];
    if resources.all <= MOST_RESOURCES {
        let capacities: Vec<f64> = relaxed
            .rows
            .iter()
            .flat_map(|row| {
                #[allow(clippy::cast_precision_loss, reason = "counts of sheets are small")]
                let count = row.count as f64;
                std::iter::repeat_n(count, 1 + row.measures.len())
            })
            .collect();
        let mut lp = Lp::new(&capacities);
        // The prices that allowed fewest cards so far, scaled so that the cheapest card costs one.
        let mut centre: Option<(f64, Vec<f64>)> = by_area(relaxed, &resources, &capacities, &mut best);
        for round in 0..MOST_ROUNDS {
            let sharp: Vec<f64> = lp.prices().into_iter().map(|price| price.max(0.0)).collect();
            // Prices between the two swing less from round to round (Wentges 1997).
            let between =
                |centre: &[f64]| centre.iter().zip(&sharp).map(|(c, s)| CALM * c + (1.0 - CALM) * s).collect();
            let smooth: Vec<f64> = centre.as_ref().map_or_else(|| sharp.clone(), |(_, centre)| between(centre));
            let mut came = false;
            for prices in [&smooth, &sharp] {
                let costs = type_costs(relaxed, &resources, prices);
                let cheapest = cheapest(relaxed, &costs);
                let least = cheapest.iter().map(|(cost, _)| *cost).fold(f64::INFINITY, f64::min);
                if least > 1e-9 && least.is_finite() {
                    let most = prices.iter().zip(&capacities).map(|(price, has)| price * has).sum::<f64>() / least;
                    if centre.as_ref().is_none_or(|(best, _)| most < *best) {
                        offer(relaxed, &resources, prices, &mut best);
                        centre = Some((most, prices.iter().map(|price| price / least).collect()));
                    }
                }
                for (_, variant) in &cheapest {
                    let column = column(relaxed, &resources, &costs, variant);
                    let cost: f64 = column.iter().map(|(row, takes)| sharp[*row] * takes).sum();
                    if cost < 1.0 - 1e-6 {
                        lp.add(column);
                        came = true;
                    }
                }
                if came {
                    break;
                }
            }
            let near = centre.as_ref().is_some_and(|(most, _)| most.floor() <= lp.objective() + 1e-6);
            if !came || near || (round > 0 && stop()) {
                break;
            }
            lp.solve(MOST_STEPS);
        }
        if let Some((_, centre)) = centre {
            priced = centre;
        }
    } else {
        offer_bases(relaxed, &resources, &mut best);
    }
    // Where no price holds it down, nothing on hand runs out.
    let most = best.as_ref().and_then(|(most, _)| u64::try_from(*most).ok());
    let mut at_most = most.map_or(u64::from(u32::MAX), |most| most.min(u32::MAX.into()));
    if let Some(designs) = ask.designs {
        at_most = at_most.min(u64::from(designs).saturating_mul(u64::from(*ask.each.end())));
    }
    let by_row = |row: usize| {
        let first = resources.first[row];
        priced[first..=first + relaxed.rows[row].measures.len()].to_vec()
    };
    let prices: Vec<Vec<f64>> = (0..relaxed.rows.len()).map(by_row).collect();
    let thrifty = thriftiest(relaxed, &type_costs(relaxed, &resources, &priced));
    Priced {
        at_most,
        worth: prices.iter().map(|prices| prices.iter().sum()).collect(),
        prices,
        row_of: relaxed
            .rows
            .iter()
            .enumerate()
            .flat_map(|(row, of)| of.stock.iter().map(move |id| (*id, row)))
            .collect(),
        measures: relaxed.rows.iter().map(|row| row.measures.clone()).collect(),
        areas: relaxed.rows.iter().map(row_area).collect(),
        thrifty,
    }
}

/// The cheapest variants of each layout, the cheapest of all first; none where nothing has a price, and none
/// of a layout that was not looked through.
fn thriftiest(relaxed: &Relaxed, costs: &Costs) -> Vec<usize> {
    let mut by_layout: BTreeMap<usize, Vec<(f64, usize)>> = BTreeMap::new();
    for (place, variant) in relaxed.variants.iter().enumerate().filter(|(_, variant)| variant.types.len() > 1) {
        let cost: f64 = variant.types.iter().map(|kind| costs.any[*kind].0).sum();
        let more =
            if variant.bound_to_use { dearer(variant, costs).map_or(f64::INFINITY, |(more, _)| more) } else { 0.0 };
        let makes: f64 = variant.makes.iter().map(|middle| costs.middles[*middle].0).sum();
        let cost = cost + more - makes;
        if cost > 0.0 && cost.is_finite() {
            by_layout.entry(variant.layout).or_default().push((cost, place));
        }
    }
    let cheaper = |one: &(f64, usize), other: &(f64, usize)| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1));
    let mut all = Vec::new();
    for mut variants in by_layout.into_values() {
        variants.sort_unstable_by(cheaper);
        variants.truncate(THRIFTY_OF_A_LAYOUT);
        all.extend(variants);
    }
    all.sort_unstable_by(cheaper);
    all.into_iter().map(|(_, place)| place).take(THRIFTY).collect()
}

/// What each type costs at least on any row, and on any row of what is asked for: with the place
/// among its takes.
struct Costs {
    any: Vec<(f64, usize)>,
    asked_for: Vec<Option<(f64, usize)>>,
    /// What each type of middle is worth at most, with the row.
    middles: Vec<(f64, usize)>,
}

fn share(relaxed: &Relaxed, kind: usize, takes: &Takes) -> f64 {
    let row = &relaxed.rows[takes.row];
    match row.kind_is_whole() {
        true => 1.0,
        false => area(relaxed.types[kind].need.cut_size()) / row_area(row),
    }
}

fn cost_on(relaxed: &Relaxed, resources: &Resources, prices: &[f64], kind: usize, takes: &Takes) -> f64 {
    let first = resources.first[takes.row];
    let row = &relaxed.rows[takes.row];
    let counted = takes.counts.iter().map(|measure| prices[first + 1 + measure] / f64::from(row.measures[*measure].2));
    prices[first] * share(relaxed, kind, takes) + counted.sum::<f64>()
}

fn type_costs(relaxed: &Relaxed, resources: &Resources, prices: &[f64]) -> Costs {
    let (mut any, mut asked_for) = (Vec::new(), Vec::new());
    for (kind, takes) in relaxed.takes.iter().enumerate() {
        let (mut least, mut least_asked): ((f64, usize), Option<(f64, usize)>) = ((f64::INFINITY, 0), None);
        for (place, on) in takes.iter().enumerate() {
            let cost = cost_on(relaxed, resources, prices, kind, on);
            if cost < least.0 {
                least = (cost, place);
            }
            if relaxed.rows[on.row].asked_for && least_asked.is_none_or(|(other, _)| cost < other) {
                least_asked = Some((cost, place));
            }
        }
        any.push(least);
        asked_for.push(least_asked);
    }
    let middles = relaxed.middles.iter().map(|(rows, area)| {
        let worth = |row: &usize| (prices[resources.first[*row]] * part_of(*area, &relaxed.rows[*row]), *row);
        rows.iter().map(worth).fold((0.0, rows[0]), |most, other| if other.0 > most.0 { other } else { most })
    });
    Costs { any, asked_for, middles: middles.collect() }
}

/// What part of a row's area a middle is.
#[allow(clippy::cast_precision_loss, reason = "a share of an area; the bound itself is reckoned in whole numbers")]
fn part_of(area: i128, row: &super::relax::Row) -> f64 {
    area as f64 / row_area(row)
}

/// The piece of a variant that is dearer by least if it is of what is asked for.
fn dearer(variant: &Variant, costs: &Costs) -> Option<(f64, usize)> {
    let mut least: Option<(f64, usize)> = None;
    for (place, kind) in variant.types.iter().enumerate() {
        if let Some((cost, _)) = costs.asked_for[*kind] {
            let more = cost - costs.any[*kind].0;
            if least.is_none_or(|(other, _)| more < other) {
                least = Some((more, place));
            }
        }
    }
    least
}

/// The cheapest card of each layout, so that several columns come in at once.
fn cheapest<'r>(relaxed: &'r Relaxed, costs: &Costs) -> Vec<(f64, &'r Variant)> {
    let mut found: BTreeMap<usize, (f64, &Variant)> = BTreeMap::new();
    for variant in &relaxed.variants {
        let mut cost: f64 = variant.types.iter().map(|kind| costs.any[*kind].0).sum();
        if variant.bound_to_use {
            let Some((more, _)) = dearer(variant, costs) else { continue };
            cost += more;
        }
        cost -= variant.makes.iter().map(|middle| costs.middles[*middle].0).sum::<f64>();
        let best = found.entry(variant.layout).or_insert((cost, variant));
        if cost < best.0 {
            *best = (cost, variant);
        }
    }
    found.into_values().collect()
}

fn column(relaxed: &Relaxed, resources: &Resources, costs: &Costs, variant: &Variant) -> Column {
    let swapped = if variant.bound_to_use { dearer(variant, costs).map(|(_, place)| place) } else { None };
    let mut column: BTreeMap<usize, f64> = BTreeMap::new();
    for (place, kind) in variant.types.iter().enumerate() {
        let on = match costs.asked_for[*kind] {
            Some((_, on)) if swapped == Some(place) => on,
            _ => costs.any[*kind].1,
        };
        let takes = &relaxed.takes[*kind][on];
        let first = resources.first[takes.row];
        *column.entry(first).or_default() += share(relaxed, *kind, takes);
        for measure in &takes.counts {
            let most = f64::from(relaxed.rows[takes.row].measures[*measure].2);
            *column.entry(first + 1 + measure).or_default() += 1.0 / most;
        }
    }
    for middle in &variant.makes {
        let row = costs.middles[*middle].1;
        *column.entry(resources.first[row]).or_default() -= part_of(relaxed.middles[*middle].1, &relaxed.rows[row]);
    }
    column.into_iter().collect()
}

/// Checks prices in whole numbers, and keeps them if they allow fewer cards than those before.
fn offer(relaxed: &Relaxed, resources: &Resources, prices: &[f64], best: &mut Option<(u128, Vec<u64>)>) {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from nothing to 2^62 by the clamp")]
    let whole: Vec<u64> = prices.iter().map(|price| (price * ONE).clamp(0.0, 4e18) as u64).collect();
    if let Some(most) = allowed(relaxed, resources, &whole)
        && best.as_ref().is_none_or(|(least, _)| most < *least)
    {
        *best = Some((most, whole));
    }
}

/// A price on bases alone: every card needs one.
fn offer_bases(relaxed: &Relaxed, resources: &Resources, best: &mut Option<(u128, Vec<u64>)>) {
    let mut prices = vec![0.0; resources.all];
    for (row, first) in relaxed.rows.iter().zip(&resources.first) {
        let bases = |piece: &&super::relax::PieceType| matches!(piece.need, PieceNeed::Blank(_));
        let whole = row.area;
        let most = relaxed.types.iter().filter(bases).filter_map(|piece| {
            let base = piece.need.cut_size().area().square_nanometres();
            u32::try_from(whole / base.max(1)).ok()
        });
        prices[*first] = f64::from(most.max().unwrap_or(0));
    }
    offer(relaxed, resources, &prices, best);
}

/// The most cards that whole prices allow: all stock is worth, over what the cheapest card costs, each
/// cost rounded down. `None` where they allow any number.
fn allowed(relaxed: &Relaxed, resources: &Resources, prices: &[u64]) -> Option<u128> {
    if relaxed.variants.is_empty() {
        return Some(0);
    }
    let on = |kind: usize, takes: &Takes| -> u128 {
        let row = &relaxed.rows[takes.row];
        let first = resources.first[takes.row];
        let by_area = if row.kind_is_whole() {
            u128::from(prices[first])
        } else {
            let of = |area: i128| u128::try_from(area).unwrap_or(0) / 1_000_000;
            // The piece rounded down and the sheet up, so that a cost is never too high.
            u128::from(prices[first]) * of(relaxed.types[kind].need.cut_size().area().square_nanometres())
                / (of(row.area) + 1)
        };
        let counted = takes
            .counts
            .iter()
            .map(|measure| u128::from(prices[first + 1 + measure]) / u128::from(row.measures[*measure].2));
        by_area + counted.sum::<u128>()
    };
    let mut any = Vec::new();
    let mut asked_for = Vec::new();
    for (kind, takes) in relaxed.takes.iter().enumerate() {
        any.push(takes.iter().map(|takes| on(kind, takes)).min().unwrap_or(u128::MAX));
        let asked = takes.iter().filter(|takes| relaxed.rows[takes.row].asked_for);
        asked_for.push(asked.map(|takes| on(kind, takes)).min());
    }
    let takes = |variant: &Variant| -> Option<u128> {
        let all = variant.types.iter().fold(0_u128, |sum, kind| sum.saturating_add(any[*kind]));
        if !variant.bound_to_use {
            return Some(all);
        }
        let more = variant.types.iter().filter_map(|kind| asked_for[*kind].map(|asked| asked - any[*kind]));
        more.min().map(|more| all.saturating_add(more))
    };
    // What a middle brings at most, rounded up.
    let middles: Vec<u128> = relaxed
        .middles
        .iter()
        .map(|(rows, area)| {
            let of = |area: i128| u128::try_from(area).unwrap_or(0) / 1_000_000;
            let brings = |row: &usize| {
                let price = u128::from(prices[resources.first[*row]]);
                if price == 0 { 0 } else { price * (of(*area) + 1) / of(relaxed.rows[*row].area).max(1) + 1 }
            };
            rows.iter().map(brings).max().unwrap_or(0)
        })
        .collect();
    let cost = |variant: &Variant| -> Option<u128> {
        let makes: u128 = variant.makes.iter().map(|middle| middles[*middle]).sum();
        takes(variant).map(|cost| cost.saturating_sub(makes))
    };
    let cheapest = relaxed.variants.iter().filter_map(cost).min()?;
    if cheapest == 0 {
        return None;
    }
    let mut worth: u128 = 0;
    for (row, first) in relaxed.rows.iter().zip(&resources.first) {
        let prices = &prices[*first..=first + row.measures.len()];
        let sheet: u128 = prices.iter().map(|price| u128::from(*price)).sum();
        worth = worth.saturating_add(sheet.saturating_mul(row.count.into()));
    }
    Some(worth / cheapest)
}

impl super::relax::Row {
    /// Whether it is used whole: an image, or a ready-made base.
    pub(super) fn kind_is_whole(&self) -> bool {
        !matches!(self.kind(), StockKind::Cuttable(_))
    }
}
