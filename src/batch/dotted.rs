//! Finishing dots of a batch: given out once, over all its cards. And how a plan's checker looks at
//! them, with code of its own.

use super::check::Wrong;
use super::{On, Plan};
use crate::assemble::{Bench, Built};
use std::collections::BTreeMap;

/// What is left of the dots while they are given out.
pub(super) struct Shared {
    left: Vec<(usize, u32)>,
}

impl Shared {
    /// All that lie on the bench.
    pub(super) fn of(bench: &Bench) -> Self {
        Self { left: bench.dots.clone() }
    }

    /// How many each of `count` cards may have of each kind.
    pub(super) fn for_each(&self, count: u32) -> Vec<(usize, u32)> {
        let each = self.left.iter().map(|(kind, left)| (*kind, left / count.max(1)));
        each.filter(|(_, each)| *each > 0).collect()
    }

    /// Takes what `count` cards built like this have on them.
    pub(super) fn take(&mut self, built: &Built, count: u32) {
        let Some(set) = &built.dots else { return };
        for (_, left) in self.left.iter_mut().filter(|(kind, _)| *kind == set.of) {
            *left = left.saturating_sub(set.count().saturating_mul(count));
        }
    }
}

/// That no dot is promised twice, none is set where none are wanted, each group lies on its card, and
/// none of its dots on another.
pub(super) fn dots(on: On<'_>, plan: &Plan, wrong: &mut Vec<Wrong>) {
    let mut takes: BTreeMap<usize, u64> = BTreeMap::new();
    for (place, (design, built)) in plan.designs.iter().zip(&plan.built).enumerate() {
        let Some(set) = &built.dots else { continue };
        *takes.entry(set.of).or_default() += set.spots.len() as u64 * u64::from(design.count);
        let card = design.card.network.card;
        let beside = set.spots.iter().any(|spot| {
            spot.left.nanometres() < 0
                || spot.top.nanometres() < 0
                || spot.right > card.width
                || spot.bottom > card.height
        });
        let clash = (0..set.spots.len()).any(|one| {
            (0..one).any(|other| {
                let (one, other) = (&set.spots[one], &set.spots[other]);
                one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom
            })
        });
        if beside || clash || !on.table.settings.finishing_dots {
            wrong.push(Wrong::DotsMisplaced { design: place });
        }
    }
    for (kind, takes) in takes {
        let (id, has) = on.stash.dots.get(kind).map_or(("", 0), |dots| (dots.id.as_str(), dots.count));
        if takes > u64::from(has) {
            wrong.push(Wrong::DotsPromisedTwice { dots: id.to_owned(), takes, has: has.into() });
        }
    }
}
