//! What open slots can still add to a card, as few numbers as tell all that matters.
//!
//! A label holds, for each member that takes the weakest pair, the level of the weakest pair met,
//! and what adds up besides. Of two labels one is needless if it is nowhere better. Slots that do
//! not meet are settled apart and their labels joined, so that a card is never looked at whole.

use super::jury::ONE;

/// The height of one level, in millionths: a sixty-fourth. Worths of pairs that are gathered by the
/// weakest are set down to whole levels before anything is compared: a finer difference is no
/// difference to the eye, and few levels make few labels.
pub(super) const STEP: u32 = 1_000_000 / 64;
/// The highest level.
pub(super) const TOP: u8 = 64;
/// Marks "no opinion so far" among levels: above every level, so that it holds nobody back.
pub(super) const SILENT: u8 = u8::MAX;
/// Marks "no opinion, and none to come": worth what the member is worth where it has nothing to say.
pub(super) const NEUTRAL: u8 = TOP + 1;
/// So many members that take the weakest pair are followed; any beyond are thought content.
pub(super) const FOLLOWED: usize = 8;
/// More labels than this are thinned out by taking two for one that is as good as both.
const MOST: usize = 128;

/// For each followed member, the level of the weakest pair.
pub(super) type Levels = [u8; FOLLOWED];

/// Nothing has been judged yet.
pub(super) const OPENING: Levels = [SILENT; FOLLOWED];

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
    pub(super) fn most(&self, weights: &Weights) -> Option<u64> {
        self.0.iter().map(|label| weights.of(&label.levels) + label.add).max()
    }
}

/// What each level of each followed member adds to a score.
#[derive(Clone, Debug)]
pub(super) struct Weights([[u64; NEUTRAL as usize + 1]; FOLLOWED]);

impl Weights {
    /// From the members' shares and what they are worth where they have nothing to say, both in
    /// millionths, in the order of the levels.
    pub(super) fn new(members: impl Iterator<Item = (u64, u64)>) -> Self {
        let mut weights = [[0; NEUTRAL as usize + 1]; FOLLOWED];
        for (row, (share, neutral)) in weights.iter_mut().zip(members) {
            for (level, weight) in (0_u64..=u64::from(TOP)).zip(row.iter_mut()) {
                *weight = share * (level * u64::from(STEP)) / ONE;
            }
            row[usize::from(NEUTRAL)] = share * neutral / ONE;
        }
        Self(weights)
    }

    /// What these levels add at most, in millionths; exactly, where none is silent.
    pub(super) fn of(&self, levels: &Levels) -> u64 {
        let weight = |(row, level): (&[u64; NEUTRAL as usize + 1], &u8)| match *level {
            SILENT => row[usize::from(TOP)].max(row[usize::from(NEUTRAL)]),
            level => row[usize::from(level.min(NEUTRAL))],
        };
        self.0.iter().zip(levels).map(weight).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn label(one: u8, two: u8, add: u64) -> Label {
        let mut levels = OPENING;
        (levels[0], levels[1]) = (one, two);
        Label { levels, add }
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
        let weights = Weights::new([(500_000, 0), (500_000, 0)].into_iter());
        let mut labels = Labels::default();
        labels.insert(label(57, 7, 0));
        labels.insert(label(7, 57, 0));
        assert_eq!(labels.most(&weights), Some(weights.of(&label(57, 7, 0).levels)));
    }

    #[test]
    fn joined_ways_have_the_weakest_of_both_and_the_sum() {
        let (one, other) = (Labels::one(label(50, 10, 3)), Labels::one(label(20, 60, 4)));
        assert_eq!(one.join(&other), Labels::one(label(20, 10, 7)));
    }

    #[test]
    fn thinned_out_labels_still_promise_no_less() {
        let weights = Weights::new([(300_000, 0), (200_000, 0)].into_iter());
        let mut labels = Labels::default();
        let mut most = 0;
        for step in 0..200_u64 {
            let one = u8::try_from(step % 64).unwrap();
            let way = label(one, 64 - one, step * 17 % 1000);
            most = most.max(weights.of(&way.levels) + way.add);
            labels.insert(way);
        }
        let promised = labels.most(&weights).unwrap();
        assert!(promised >= most, "{promised} {most}");
        assert!(labels.0.len() <= MOST);
    }
}
