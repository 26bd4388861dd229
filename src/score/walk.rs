//! The walk through the library graph: which variants of which layouts are searched, and in what order.
//!
//! Variants are met cheapest first. Each is searched only if what it could score at most would still
//! enter the list: a ceiling that depends on the structure alone (which papers lie on which), less
//! what the changes cost. Where the work allowed runs out, what was left is remembered, so that the
//! answer can say whether it is proven.

use super::best::Best;
use super::form::MOST_SLOTS;
use super::jury::ONE;
use super::kept::Kept;
use super::search::{self, Question, Search};
use crate::layout::adapt::{cost_of, next_changes};
use crate::layout::{Change, Drawn, Library, OnHand};
use crate::matching::network;
use crate::stash::settings::ChangeKind;
use crate::stash::{Die, Settings};
use api::units::Size;
use petgraph::graph::NodeIndex;
use std::collections::{BTreeMap, BinaryHeap};

/// What laying out one variant counts as, beside the candidates weighed for it.
const WORK_OF_A_VARIANT: u64 = 30;

/// What is walked, and under which settings.
pub(super) struct Walk<'w, 'a> {
    /// The library.
    pub library: &'w mut Library<'a>,
    /// Settings.
    pub settings: &'a Settings,
    /// Dies she owns.
    pub dies: &'a [Die],
    /// The lengths a layout may be bent to.
    pub on_hand: &'a OnHand,
    /// The only card sizes wanted; `None` is any.
    pub cards: Option<Vec<Size>>,
}

/// The structural changes made: those that add or take away a paper, not those that move an edge.
type Structure = Vec<(ChangeKind, usize)>;

/// What is to be done with a variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Todo {
    /// Look for the variants one change further.
    Grow,
    /// Search for papers.
    Solve,
}

/// Something waiting: the cheapest first, then the highest bound, then the lowest layout, then the
/// first met.
type Waiting = (std::cmp::Reverse<u64>, i64, std::cmp::Reverse<(usize, usize, Todo)>, NodeIndex);

fn is_structural(kind: ChangeKind) -> bool {
    matches!(kind, ChangeKind::PlainGround | ChangeKind::QuietShape | ChangeKind::SlipMat)
}

fn structure_of(changes: &[Change]) -> Structure {
    changes.iter().filter(|change| is_structural(change.kind())).map(|c| (c.kind(), c.panel().unwrap_or(0))).collect()
}

impl Walk<'_, '_> {
    /// Walks all layouts in `layouts` and offers every card found to `best`.
    pub(super) fn run(&mut self, kept: &mut Kept<'_>, best: &mut Best, layouts: impl Iterator<Item = usize>) {
        let mut waiting: BinaryHeap<Waiting> = BinaryHeap::new();
        let mut ceilings: BTreeMap<(usize, Structure), i64> = BTreeMap::new();
        let mut reach: BTreeMap<usize, i64> = BTreeMap::new();
        for layout in layouts {
            let most = self.ceilings(kept, layout, &mut ceilings);
            reach.insert(layout, most);
            let root = self.library.root(layout);
            self.queue(root, &ceilings, most, &mut waiting);
        }
        while let Some((_, bound, std::cmp::Reverse((layout, _, todo)), node)) = waiting.pop() {
            if !best.could_enter(bound, layout, &[]) {
                continue;
            }
            if kept.is_spent() {
                kept.leave_undecided(bound, layout);
                continue;
            }
            match todo {
                Todo::Solve => self.solve(kept, best, node),
                Todo::Grow => {
                    for next in self.library.grow(node) {
                        self.queue(next, &ceilings, reach[&layout], &mut waiting);
                    }
                }
            }
        }
    }

    fn queue(
        &self,
        node: NodeIndex,
        ceilings: &BTreeMap<(usize, Structure), i64>,
        reach: i64,
        waiting: &mut BinaryHeap<Waiting>,
    ) {
        let variant = self.library.variant(node);
        let structure = structure_of(&variant.changes);
        let structural: u64 = structure.iter().map(|(kind, _)| cost_of(*kind, self.settings)).sum();
        let ceiling = ceilings.get(&(variant.layout, structure)).copied().unwrap_or_else(|| signed(ONE));
        let order = |todo| std::cmp::Reverse((variant.layout, node.index(), todo));
        // A structure that nothing can fill has the least bound there is.
        let cost = std::cmp::Reverse(variant.cost);
        waiting.push((cost, ceiling.saturating_sub(signed(variant.cost)), order(Todo::Solve), node));
        waiting.push((cost, reach.saturating_sub(signed(variant.cost - structural)), order(Todo::Grow), node));
    }

    /// The ceiling of each structure that a layout can come to, and the most of these less the cost
    /// of coming there.
    fn ceilings(&self, kept: &mut Kept<'_>, layout: usize, ceilings: &mut BTreeMap<(usize, Structure), i64>) -> i64 {
        let of = &self.library.layouts[layout];
        let mut options: BTreeMap<(ChangeKind, usize), Change> = BTreeMap::new();
        for change in next_changes(of, &[], self.settings, self.on_hand) {
            if is_structural(change.kind()) {
                options.entry((change.kind(), change.panel().unwrap_or(0))).or_insert(change);
            }
        }
        let options: Vec<Change> = options.into_values().collect();
        let most_changes = usize::try_from(self.settings.most_changes).unwrap_or(usize::MAX);
        let mut most = i64::MIN;
        let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
        while let Some(set) = sets.pop() {
            let changes: Vec<Change> = set.iter().map(|place| options[*place]).collect();
            let cost: u64 = changes.iter().map(|change| cost_of(change.kind(), self.settings)).sum();
            if signed(ONE) - signed(cost) <= most {
                continue;
            }
            let ceiling = self.ceiling(kept, layout, &changes);
            most = most.max(ceiling.saturating_sub(signed(cost)));
            ceilings.insert((layout, structure_of(&changes)), ceiling);
            if set.len() < most_changes {
                let from = set.last().map_or(0, |last| last + 1);
                sets.extend((from..options.len()).map(|next| set.iter().copied().chain([next]).collect()));
            }
        }
        most
    }

    fn ceiling(&self, kept: &mut Kept<'_>, layout: usize, changes: &[Change]) -> i64 {
        let drawn = Drawn::changed(&self.library.layouts[layout], changes, self.settings.ruler);
        let Ok(network) = network(&drawn, self.dies) else { return signed(ONE) };
        if network.slots.len() > MOST_SLOTS { signed(ONE) } else { search::ceiling(kept, &network) }
    }

    fn solve(&self, kept: &mut Kept<'_>, best: &mut Best, node: NodeIndex) {
        let variant = self.library.variant(node);
        let drawn = Drawn::changed(&self.library.layouts[variant.layout], &variant.changes, self.settings.ruler);
        let wanted = |card: &Size| *card == drawn.card || card.turned() == drawn.card;
        if self.cards.as_ref().is_some_and(|cards| !cards.iter().any(wanted)) {
            return;
        }
        kept.work += WORK_OF_A_VARIANT;
        let Ok(network) = network(&drawn, self.dies) else { return };
        if !kept.could_fill(&network) {
            return;
        }
        if network.slots.len() > MOST_SLOTS {
            kept.leave_undecided(signed(ONE), variant.layout);
            return;
        }
        let question = Question {
            network: &network,
            layout: variant.layout,
            changes: &variant.changes,
            cost: signed(variant.cost),
        };
        Search::new(kept, best, &question).run();
    }

    /// Whether any variant of a layout can be made at all, looking at no more than `most` of them;
    /// `None` where that was not enough to tell.
    pub(super) fn can_be_made(&mut self, kept: &mut Kept<'_>, layout: usize, most: usize) -> Option<bool> {
        let mut best = Best::new(1, None);
        let mut level = vec![self.library.root(layout)];
        let mut met = 0;
        while !level.is_empty() {
            let mut next = Vec::new();
            for node in level {
                met += 1;
                if met > most || kept.is_spent() {
                    return None;
                }
                self.solve_any(kept, &mut best, node);
                if !best.is_empty() {
                    return Some(true);
                }
                next.extend(self.library.grow(node));
            }
            level = next;
        }
        Some(false)
    }

    fn solve_any(&self, kept: &mut Kept<'_>, best: &mut Best, node: NodeIndex) {
        let mut any = Best::any();
        self.solve(kept, &mut any, node);
        for found in any.into_list() {
            best.offer(found);
        }
    }
}

#[allow(clippy::cast_possible_wrap, reason = "a score is a few millionths, far below 2^63")]
fn signed(score: u64) -> i64 {
    score as i64
}
