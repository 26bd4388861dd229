//! What is asked of a batch.

use super::Design;
use crate::index::{FaceId, StockId};
use crate::score::Suggestion;
use crate::stash::Goal;
use api::units::Size;
use std::collections::BTreeSet;
use std::ops::RangeInclusive;

/// Work for the search for candidates unless the maker says otherwise: a few seconds.
pub(super) const USUAL_WORK: u64 = 12_000_000;

/// A question for the planner.
#[derive(Clone, Debug)]
pub struct PlanAsk {
    /// How many cards are wanted; `None` is as many as can be made.
    pub cards: Option<u32>,
    /// How many of each design.
    pub each: RangeInclusive<u32>,
    /// At most so many designs.
    pub designs: Option<u32>,
    /// Every card shows one of these faces, or is cut from one of these lines; both empty is any.
    pub use_faces: BTreeSet<FaceId>,
    /// See `use_faces`.
    pub use_stock: BTreeSet<StockId>,
    /// The only card sizes wanted.
    pub sizes: Option<Vec<Size>>,
    /// Whether every layout on file may be used: only then can anything be good for nothing.
    pub every_layout: bool,
    /// What is better, in order.
    pub goals: Vec<Goal>,
    /// Work allowed for the search; the same on every machine.
    pub work: u64,
    /// What an earlier plan has settled.
    pub earlier: Earlier,
}

/// What is taken over from an earlier plan of the same stash.
#[derive(Clone, Debug, Default)]
pub struct Earlier {
    /// Designs that are settled, each with its count: all stay, if the search can cut for them again.
    pub settled: Vec<Design>,
    /// Designs that were turned down: none of them comes again.
    pub turned_down: Vec<Suggestion>,
}

impl Earlier {
    /// Whether a card was turned down.
    #[must_use]
    pub fn has_turned_down(&self, card: &Suggestion) -> bool {
        self.turned_down.iter().any(|other| is_same(other, card))
    }

    /// Whether a card is settled.
    #[must_use]
    pub fn has_settled(&self, card: &Suggestion) -> bool {
        self.settled.iter().any(|design| is_same(&design.card, card))
    }
}

/// Whether two suggestions are one card, whatever stock they are cut from.
pub(super) fn is_same(one: &Suggestion, other: &Suggestion) -> bool {
    one.layout == other.layout && one.faces == other.faces && one.changes == other.changes
}

impl PlanAsk {
    /// So many cards, two to four of each, of anything.
    #[must_use]
    pub fn of(cards: Option<u32>) -> Self {
        Self {
            cards,
            each: 2..=4,
            designs: None,
            use_faces: BTreeSet::new(),
            use_stock: BTreeSet::new(),
            sizes: None,
            every_layout: true,
            goals: Goal::ALL.to_vec(),
            work: USUAL_WORK,
            earlier: Earlier::default(),
        }
    }

    /// Whether something must be used on every card.
    #[must_use]
    pub fn names_papers(&self) -> bool {
        !self.use_faces.is_empty() || !self.use_stock.is_empty()
    }
}
