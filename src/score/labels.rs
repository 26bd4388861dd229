//! What open slots can still add to a card, as few numbers as tell all that matters.
//!
//! A label holds, for each relation, what the weakest pair met in it adds, and what adds up besides. Of two labels one is needless if it is nowhere better. Slots that do
//! not meet are settled apart and their labels joined, so that a card is never looked at whole.

use super::jury::LANES;
use std::sync::Arc;

/// Marks "no pair judged so far" in a relation: above every worth, so that it holds nobody back.
pub(super) const SILENT: u32 = u32::MAX;
/// More labels than this are thinned out by taking two for one that is as good as both.
const MOST: usize = 128;

/// So often are sets held against one another, at most.
const ROUNDS: usize = 4;

/// For each relation, and for papers in their roles, what the weakest met adds to the score, in millionths,
/// or [`SILENT`].
pub(super) type Levels = [u32; LANES];

/// One way to fill some slots, as far as it matters to the rest of the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Label {
    /// The weakest pairs met.
    pub(super) levels: Levels,
    /// What adds up besides, in millionths.
    pub(super) add: u64,
}

impl Label {
    /// Nothing filled, at these caps.
    pub(super) const fn open(levels: Levels) -> Self {
        Self { levels, add: 0 }
    }

    /// The same with no level above these.
    pub(super) fn held_to(mut self, caps: &Levels) -> Self {
        for (level, cap) in self.levels.iter_mut().zip(caps) {
            *level = (*level).min(*cap);
        }
        self
    }

    fn is_needless_beside(&self, other: &Self) -> bool {
        self.add <= other.add && self.levels.iter().zip(&other.levels).all(|(own, its)| own <= its)
    }

    fn with(&self, other: &Self) -> Self {
        let mut levels = self.levels;
        for (level, its) in levels.iter_mut().zip(&other.levels) {
            *level = (*level).min(*its);
        }
        Self { levels, add: self.add + other.add }
    }
}

/// Labels of which none is needless.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Labels(Vec<Label>);

impl Labels {
    /// One label.
    pub(super) fn one(label: Label) -> Self {
        Self(vec![label])
    }

    /// Whether there is no way at all.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    /// Takes one more label.
    pub(super) fn insert(&mut self, label: Label) {
        if self.0.iter().any(|other| label.is_needless_beside(other)) {
            return;
        }
        self.0.retain(|other| !other.is_needless_beside(&label));
        self.0.push(label);
        if self.0.len() > MOST {
            self.thin_out();
        }
    }

    /// Takes all of another's labels.
    pub(super) fn extend(&mut self, other: &Self) {
        other.0.iter().for_each(|label| self.insert(*label));
    }

    /// One of each: the weakest pair of both, and the sum of what adds up.
    pub(super) fn join(&self, other: &Self) -> Self {
        let mut joined = Self::default();
        for one in &self.0 {
            for its in &other.0 {
                joined.insert(one.with(its));
            }
        }
        joined
    }

    /// Takes two neighbours for one that is as good as both: still a bound, and half as many.
    fn thin_out(&mut self) {
        self.0.sort_unstable_by_key(|label| (label.levels, label.add));
        let labels = std::mem::take(&mut self.0);
        for pair in labels.chunks(2) {
            let mut both = pair[0];
            if let Some(other) = pair.get(1) {
                for (level, its) in both.levels.iter_mut().zip(&other.levels) {
                    *level = (*level).max(*its);
                }
                both.add = both.add.max(other.add);
            }
            self.0.push(both);
        }
    }

    /// The most any of the labels is worth.
    pub(super) fn most(&self, silence: &Silence) -> Option<u64> {
        self.0.iter().map(|label| silence.of(&label.levels) + label.add).max()
    }
}

/// Whether each set has a label with which more than `enough` is worth having beside `so_far` and the
/// others, where each of the others adds its most and holds each relation down as little as it can.
pub(super) fn could_exceed(enough: i64, so_far: &Label, sets: &[Arc<Labels>], silence: &Silence) -> bool {
    let most_of = |ways: &Labels| ways.0.iter().map(|label| label.add).max();
    let Some(most) = sets.iter().map(|ways| most_of(ways)).sum::<Option<u64>>() else { return false };
    let mut caps = so_far.levels;
    for _ in 0..ROUNDS {
        let before = caps;
        for ways in sets {
            let others = so_far.add + most - most_of(ways).unwrap_or(0);
            let worth = |label: &Label| silence.of(&label.held_to(&caps).levels) + label.add + others;
            let good = ways.0.iter().filter(|label| i64::try_from(worth(label)).unwrap_or(i64::MAX) > enough);
            let mut held = None;
            for label in good {
                let held = held.get_or_insert([0; LANES]);
                for (most, level) in held.iter_mut().zip(&label.levels) {
                    *most = (*most).max(*level);
                }
            }
            let Some(held) = held else { return false };
            caps = Label::open(caps).held_to(&held).levels;
        }
        if caps == before {
            break;
        }
    }
    true
}

/// What a relation could still add in which nothing has been judged yet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Silence(pub(super) Levels);

impl Silence {
    /// What these levels add at most, in millionths; exactly, where none is silent.
    pub(super) fn of(&self, levels: &Levels) -> u64 {
        let worth = |(level, most): (&u32, &u32)| u64::from(if *level == SILENT { *most } else { *level });
        levels.iter().zip(&self.0).map(worth).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SILENCE: Silence = Silence([60, 60, 60, 60]);

    fn label(one: u32, two: u32, add: u64) -> Label {
        Label { levels: [one, two, SILENT, 0], add }
    }

    #[test]
    fn what_is_nowhere_better_is_dropped() {
        let mut labels = Labels::default();
        labels.insert(label(10, 20, 5));
        labels.insert(label(10, 19, 5));
        labels.insert(label(11, 3, 5));
        assert_eq!(labels.0.len(), 2);
        labels.insert(label(11, 20, 6));
        assert_eq!(labels.0, [label(11, 20, 6)]);
    }

    #[test]
    fn what_no_one_way_has_both_of_is_not_promised() {
        let mut labels = Labels::default();
        labels.insert(label(57, 7, 0));
        labels.insert(label(7, 57, 0));
        assert_eq!(labels.most(&SILENCE), Some(57 + 7 + 60));
    }

    #[test]
    fn joined_ways_have_the_weakest_of_both_and_the_sum() {
        let (one, other) = (Labels::one(label(50, 10, 3)), Labels::one(label(20, 60, 4)));
        assert_eq!(one.join(&other), Labels::one(label(20, 10, 7)));
    }

    #[test]
    fn thinned_out_labels_still_promise_no_less() {
        let mut labels = Labels::default();
        let mut most = 0;
        for step in 0..1000_u32 {
            let one = step * 13 % 701;
            let way = label(one, 701 - one, u64::from(step * 17 % 1000));
            most = most.max(SILENCE.of(&way.levels) + way.add);
            labels.insert(way);
        }
        let promised = labels.most(&SILENCE).unwrap();
        assert!(promised >= most, "{promised} {most}");
        assert!(labels.0.len() <= MOST);
    }
}
