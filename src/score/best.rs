//! The list being made: the best member of each group, as many as are wanted, in order.
//!
//! A group is a layout and its face papers. Order: the higher score; then the layout's place; then
//! the face papers, panel by panel, by id. Within a group, where two score alike: fewer changes; then
//! the order of the changes; then the faces, slot by slot; then the stock, slot by slot, the stock that
//! adds most first, then by id.

use crate::index::FaceId;
use crate::layout::Change;
use crate::matching::Choice;
use std::collections::{BTreeMap, BTreeSet};

/// Which panel shows which patterned paper, in the order of the panels.
pub type Faces = Vec<(usize, FaceId)>;

/// One card that can be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its score, in millionths.
    pub score: i64,
    /// The layout.
    pub layout: usize,
    /// The face papers.
    pub faces: Faces,
    /// What was changed.
    pub changes: Vec<Change>,
    /// The faces, in the order the search fills slots.
    pub filled: Vec<FaceId>,
    /// The stock.
    pub choice: Choice,
}

impl Found {
    fn rank(&self) -> Rank {
        Rank { score: std::cmp::Reverse(self.score), layout: self.layout, faces: self.faces.clone() }
    }

    /// Whether it stands before another member of its group.
    fn beats(&self, other: &Self) -> bool {
        let key = |found: &Self| {
            (
                std::cmp::Reverse(found.score),
                found.changes.len(),
                found.changes.clone(),
                found.filled.clone(),
                found.choice.main.clone(),
            )
        };
        key(self) < key(other)
    }
}

/// A place in the list.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Rank {
    score: std::cmp::Reverse<i64>,
    layout: usize,
    faces: Faces,
}

/// The best so far.
#[derive(Debug)]
pub(super) struct Best {
    most: usize,
    per_layout: usize,
    first_will_do: bool,
    ranks: BTreeSet<Rank>,
    of_layout: BTreeMap<usize, BTreeSet<Rank>>,
    found: BTreeMap<(usize, Faces), Found>,
}

impl Best {
    /// An empty list for at most `most` groups, and at most `per_layout` of one layout.
    #[must_use]
    pub(super) fn new(most: usize, per_layout: Option<usize>) -> Self {
        Self {
            most,
            per_layout: per_layout.unwrap_or(usize::MAX),
            first_will_do: false,
            ranks: BTreeSet::new(),
            of_layout: BTreeMap::new(),
            found: BTreeMap::new(),
        }
    }

    /// A list that is full with the first card that comes, whatever it scores.
    #[must_use]
    pub(super) fn any() -> Self {
        Self { first_will_do: true, ..Self::new(1, None) }
    }

    /// Whether any card will do, whatever it scores.
    pub(super) const fn any_will_do(&self) -> bool {
        self.first_will_do
    }

    /// The one that a new group of `layout` has to beat; `None` where there is room.
    fn to_beat(&self, layout: usize) -> Option<&Rank> {
        let of_layout = self.of_layout.get(&layout);
        if of_layout.map_or(0, BTreeSet::len) >= self.per_layout {
            return of_layout.and_then(BTreeSet::last);
        }
        if self.ranks.len() >= self.most { self.ranks.last() } else { None }
    }

    /// The score that a card of `layout` must at least have to enter; `None` where there is room.
    pub(super) fn bar(&self, layout: usize) -> Option<i64> {
        self.to_beat(layout).map(|rank| rank.score.0)
    }

    /// Whether a card of `layout` that scores at most `bound` and whose first face papers are
    /// `faces` could still enter the list, or better its group's place in it.
    #[must_use]
    pub(super) fn could_enter(&self, bound: i64, layout: usize, faces: &[(usize, FaceId)]) -> bool {
        if self.most == 0 || self.per_layout == 0 || (self.first_will_do && !self.ranks.is_empty()) {
            return false;
        }
        let Some(rank) = self.to_beat(layout) else { return true };
        match bound.cmp(&rank.score.0) {
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Less => false,
            std::cmp::Ordering::Equal => match layout.cmp(&rank.layout) {
                std::cmp::Ordering::Less => true,
                std::cmp::Ordering::Greater => false,
                std::cmp::Ordering::Equal => faces <= rank.faces.as_slice() || rank.faces.starts_with(faces),
            },
        }
    }

    /// The member that stands for a group so far.
    #[must_use]
    pub(super) fn member(&self, layout: usize, faces: &Faces) -> Option<&Found> {
        self.found.get(&(layout, faces.clone()))
    }

    /// Whether nothing is in.
    #[must_use]
    pub(super) fn is_empty(&self) -> bool {
        self.ranks.is_empty()
    }

    /// Whether any card of a layout is in the list.
    #[must_use]
    pub(super) fn has_layout(&self, layout: usize) -> bool {
        self.of_layout.contains_key(&layout)
    }

    /// Offers a card; it enters if it is good enough, and what it pushes out leaves.
    pub(super) fn offer(&mut self, found: Found) {
        let group = (found.layout, found.faces.clone());
        if let Some(member) = self.found.get(&group) {
            if !found.beats(member) {
                return;
            }
            let old = member.rank();
            self.leave(&old);
        }
        let rank = found.rank();
        self.ranks.insert(rank.clone());
        self.of_layout.entry(found.layout).or_default().insert(rank);
        let layout = found.layout;
        self.found.insert(group, found);
        if self.of_layout.get(&layout).map_or(0, BTreeSet::len) > self.per_layout {
            self.push_out(self.of_layout[&layout].last().cloned());
        }
        if self.ranks.len() > self.most {
            self.push_out(self.ranks.last().cloned());
        }
    }

    fn push_out(&mut self, rank: Option<Rank>) {
        if let Some(rank) = rank {
            self.leave(&rank);
            self.found.remove(&(rank.layout, rank.faces));
        }
    }

    fn leave(&mut self, rank: &Rank) {
        self.ranks.remove(rank);
        if let Some(of_layout) = self.of_layout.get_mut(&rank.layout) {
            of_layout.remove(rank);
            if of_layout.is_empty() {
                self.of_layout.remove(&rank.layout);
            }
        }
    }

    /// The list, best first.
    #[must_use]
    pub(super) fn into_list(mut self) -> Vec<Found> {
        let ranks: Vec<Rank> = self.ranks.into_iter().collect();
        ranks.into_iter().filter_map(|rank| self.found.remove(&(rank.layout, rank.faces))).collect()
    }
}
