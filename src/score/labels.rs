//! What open slots can still add to a card, as few numbers as tell all that matters.
//!
//! A label holds, for each relation, what the weakest pair met in it adds, and what adds up besides. Of two
//! labels one is needless if it is nowhere better. Slots that do not meet are settled apart and their labels
//! joined, so that a card is never looked at whole.

use super::jury::LANES;
use std::sync::Arc;

/// Marks "no pair judged so far" in a relation: above every worth, so that it holds nobody back.
pub(super) const SILENT: u32 = u32::MAX;
/// More labels than this are thinned out by taking two for one that is as good as both.
const MOST: usize = 16;
const _: () = assert!(MOST < 64, "labels of a set are marked by bits");

/// So often are sets held against one another, at most.
const ROUNDS: usize = 4;
/// So many ways to take one label of each set are looked at, at most, before the looser bound is taken.
const MOST_STEPS: u32 = 4_000;

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

    /// Whether no level is above the other's. Every level is looked at: that is quicker than to stop early.
    fn is_held_below(&self, other: &Self) -> bool {
        self.levels.iter().zip(&other.levels).fold(true, |all, (own, its)| all & (own <= its))
    }

    /// As good as both.
    pub(super) fn or_better(mut self, other: &Self) -> Self {
        for (level, its) in self.levels.iter_mut().zip(&other.levels) {
            *level = (*level).max(*its);
        }
        self.add = self.add.max(other.add);
        self
    }

    fn with(&self, other: &Self) -> Self {
        let mut levels = self.levels;
        for (level, its) in levels.iter_mut().zip(&other.levels) {
            *level = (*level).min(*its);
        }
        Self { levels, add: self.add + other.add }
    }
}

/// Labels of which none is needless, those that add most first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Labels(Vec<Label>);

impl Labels {
    /// One label.
    pub(super) fn one(label: Label) -> Self {
        Self(vec![label])
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    /// Those of many labels that are not needless.
    pub(super) fn of(mut many: Vec<Label>) -> Self {
        many.sort_unstable_by_key(|label| (std::cmp::Reverse(label.add), std::cmp::Reverse(label.levels)));
        let mut labels = Self(Vec::with_capacity(MOST + 1));
        for label in many {
            if !labels.0.iter().any(|other| label.is_held_below(other)) {
                labels.0.push(label);
                if labels.0.len() > MOST {
                    labels.thin_out();
                }
            }
        }
        labels
    }

    /// One of each: the weakest pair of both, and the sum of what adds up.
    pub(super) fn join(&self, other: &Self) -> Self {
        Self::of(self.each_with(other).collect())
    }

    /// Every one.
    pub(super) fn each(&self) -> impl Iterator<Item = Label> + '_ {
        self.0.iter().copied()
    }

    /// Every one of these with every one of others, needless ones among them.
    pub(super) fn each_with<'o>(&'o self, others: &'o Self) -> impl Iterator<Item = Label> + 'o {
        self.0.iter().flat_map(|one| others.0.iter().map(|its| one.with(its)))
    }

    /// Takes two neighbours for one that is as good as both: still a bound, and half as many.
    fn thin_out(&mut self) {
        self.0.sort_unstable_by_key(|label| (label.levels, label.add));
        let labels = std::mem::take(&mut self.0);
        for pair in labels.chunks(2) {
            self.0.push(pair.get(1).map_or(pair[0], |other| pair[0].or_better(other)));
        }
        self.0.sort_unstable_by_key(|label| (std::cmp::Reverse(label.add), label.levels));
    }

    /// The most that any of them adds.
    fn most_added(&self) -> Option<u64> {
        self.0.first().map(|label| label.add)
    }
}

/// Sets of which one label each is taken, held against one another.
struct Held<'s> {
    sets: Vec<&'s Labels>,
    /// Of each set, the labels that may be good enough, as bits.
    good: Vec<u64>,
    /// What is certain, with no level above what every set can come to.
    open: Label,
    /// The most that all sets add together.
    most: u64,
}

impl<'s> Held<'s> {
    /// Leaves of each set the labels with which more than `enough` is worth having beside `so_far` and the
    /// other sets, where each of those adds its most and holds each relation down as little as it can;
    /// `None` where a set has no such label.
    fn of(enough: i64, so_far: &Label, sets: &'s [Arc<Labels>], silence: &Silence) -> Option<Self> {
        let sets: Vec<&Labels> = sets.iter().map(Arc::as_ref).collect();
        let most = sets.iter().map(|ways| ways.most_added()).sum::<Option<u64>>()?;
        let mut good = vec![u64::MAX; sets.len()];
        let mut caps = so_far.levels;
        for _ in 0..ROUNDS {
            let before = caps;
            for (ways, good) in sets.iter().zip(&mut good) {
                let others = so_far.add + most - ways.most_added()?;
                let mut held = [0; LANES];
                for (place, label) in ways.0.iter().enumerate() {
                    let worth = silence.of(&label.held_to(&caps).levels) + label.add + others;
                    if *good & (1 << place) == 0 || i64::try_from(worth).is_ok_and(|worth| worth <= enough) {
                        *good &= !(1 << place);
                        continue;
                    }
                    for (most, level) in held.iter_mut().zip(&label.levels) {
                        *most = (*most).max(*level);
                    }
                }
                *good &= (1_u64 << ways.len()) - 1;
                if *good == 0 {
                    return None;
                }
                caps = Label::open(caps).held_to(&held).levels;
            }
            if caps == before {
                break;
            }
        }
        Some(Self { sets, good, open: Label { levels: caps, add: so_far.add }, most })
    }

    /// The most that one label of each set is worth beside what is certain, if that is more than `enough`.
    fn most(mut self, enough: i64, silence: &Silence) -> Option<u64> {
        let mut order: Vec<usize> = (0..self.sets.len()).collect();
        order.sort_by_key(|set| self.good[*set].count_ones());
        self.sets = order.iter().map(|set| self.sets[*set]).collect();
        self.good = order.iter().map(|set| self.good[*set]).collect();
        let mut ahead = vec![0; self.sets.len() + 1];
        for (place, ways) in self.sets.iter().enumerate().rev() {
            ahead[place] = ahead[place + 1] + ways.most_added().unwrap_or(0);
        }
        let mut best = Found { most: enough, steps: 0 };
        self.take(0, self.open, &ahead, silence, &mut best);
        if best.steps > MOST_STEPS {
            return Some(silence.of(&self.open.levels) + self.open.add + self.most);
        }
        u64::try_from(best.most).ok().filter(|_| best.most > enough)
    }

    /// Takes a label of the set at `place` and of those after it.
    fn take(&self, place: usize, so_far: Label, ahead: &[u64], silence: &Silence, best: &mut Found) {
        let worth = |label: &Label| i64::try_from(silence.of(&label.levels) + label.add).unwrap_or(i64::MAX);
        let Some(ways) = self.sets.get(place) else {
            best.most = best.most.max(worth(&so_far));
            return;
        };
        for (at, label) in ways.0.iter().enumerate() {
            if self.good[place] & (1 << at) == 0 {
                continue;
            }
            best.steps += 1;
            if best.steps > MOST_STEPS {
                return;
            }
            let both = so_far.with(label);
            if worth(&Label { add: both.add + ahead[place + 1], ..both }) > best.most {
                self.take(place + 1, both, ahead, silence, best);
            }
        }
    }
}

/// The best found of all ways to take one label of each set.
struct Found {
    most: i64,
    steps: u32,
}

/// The most that one label of each set is worth beside `so_far`, if that is more than `enough`; at most a
/// bound of it where there are very many ways.
pub(super) fn most_joined(enough: i64, so_far: &Label, sets: &[Arc<Labels>], silence: &Silence) -> Option<u64> {
    Held::of(enough, so_far, sets, silence)?.most(enough, silence)
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

    fn most_of(labels: Labels) -> Option<u64> {
        most_joined(-1, &Label::open([SILENT; LANES]), &[Arc::new(labels)], &SILENCE)
    }

    #[test]
    fn what_is_nowhere_better_is_dropped() {
        let mut many = vec![label(10, 20, 5), label(10, 19, 5), label(11, 3, 5)];
        assert_eq!(Labels::of(many.clone()).len(), 2);
        many.push(label(11, 20, 6));
        assert_eq!(Labels::of(many).0, [label(11, 20, 6)]);
    }

    #[test]
    fn what_no_one_way_has_both_of_is_not_promised() {
        let labels = Labels::of(vec![label(57, 7, 0), label(7, 57, 0)]);
        assert_eq!(most_of(labels), Some(57 + 7 + 60));
    }

    #[test]
    fn joined_ways_have_the_weakest_of_both_and_the_sum() {
        let (one, other) = (Labels::one(label(50, 10, 3)), Labels::one(label(20, 60, 4)));
        assert_eq!(one.join(&other), Labels::one(label(20, 10, 7)));
    }

    #[test]
    fn thinned_out_labels_still_promise_no_less() {
        let mut many = Vec::new();
        let mut most = 0;
        for step in 0..1000_u32 {
            let one = step * 13 % 701;
            let way = label(one, 701 - one, u64::from(step * 17 % 1000));
            most = most.max(SILENCE.of(&way.levels) + way.add);
            many.push(way);
        }
        let labels = Labels::of(many);
        assert!(labels.0.len() <= MOST);
        let promised = most_of(labels).unwrap();
        assert!(promised >= most, "{promised} {most}");
    }
}
