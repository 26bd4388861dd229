//! Finishing dots of a plan that was carried out: what its file says of them in; what is taken of each
//! kind, and what of that is not on hand, out.

use super::plain::change;
use super::{Now, Refused};
use crate::ledger::{Change, Kind};
use serde::Deserialize;
use std::collections::BTreeMap;

/// The most dots on one card that are read.
const MOST: u32 = 1_000;

/// Whether the dots of a plan were set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DotsUsed {
    /// As the plan's steps say.
    AsPlanned,
    /// None were.
    No,
}

/// The dots of one card, as a plan's file has them.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub(super) struct DotsFile {
    pub(super) stock: String,
    pub(super) count: u32,
}

/// How many dots of each kind some cards take: the dots of each, and how many cards there are of it.
pub(super) fn taken(cards: &[(Option<DotsFile>, u32)]) -> Result<BTreeMap<String, u32>, Refused> {
    let mut takes: BTreeMap<String, u32> = BTreeMap::new();
    for (dots, cards) in cards {
        let Some(dots) = dots else { continue };
        if dots.count == 0 || dots.count > MOST {
            return Err(Refused::BadPlan { why: format!("a card has {} dots", dots.count) });
        }
        let so_far = takes.entry(dots.stock.clone()).or_default();
        *so_far = so_far.saturating_add(dots.count.saturating_mul(*cards));
    }
    Ok(takes)
}

/// What of the dots taken is not on hand any more.
pub(super) fn changed(takes: &BTreeMap<String, u32>, now: &Now<'_>) -> Vec<String> {
    let mut changed = Vec::new();
    for (id, takes) in takes {
        match now.on_hand.lines.get(id).filter(|line| line.kind == Kind::Dots) {
            None => changed.push(format!("`{id}`: {takes} dots to be set, and they are on hand no more")),
            Some(line) => {
                let has = line.count.unwrap_or(0);
                if has < *takes {
                    let left = if has == 0 { "none is left".to_owned() } else { format!("{has} left") };
                    changed.push(format!("`{id}`: {takes} dots to be set, {left}; `--no-dots` records it without"));
                }
            }
        }
    }
    changed
}

/// The changes that take them.
pub(super) fn changes(takes: &BTreeMap<String, u32>, now: &Now<'_>) -> Vec<Change> {
    let of = |(id, takes): (&String, &u32)| Some(change(id, now.on_hand.lines.get(id)?, -i64::from(*takes)));
    takes.iter().filter_map(of).collect()
}
