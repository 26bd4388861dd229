//! How good pairs can be in several scorers' eyes at once: the bound that makes the search short.
//!
//! Members that take the weakest pair pull apart: the pair that one likes best another may like
//! least. A front remembers, for each level of the leading member's worth, the best that every other
//! member finds among pairs the leading one puts at that level or higher. Two fronts that hold for
//! one card are joined by taking the lesser; the bound is the best sum over the levels.

use super::jury::ONE;

/// The height of one level, in millionths: a sixty-fourth. Worths of pairs that are gathered by the
/// weakest are set down to whole levels before anything is compared: a finer difference is no
/// difference to the eye, and a bound that knows the level knows the worth.
pub(super) const STEP: u32 = 1_000_000 / 64;
/// How many levels there are, nothing and the whole included.
const LEVELS: usize = 65;

/// For each level, the best worth each member finds; the leading member first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Front {
    members: usize,
    /// Worths in millionths, level by level; a level no pair reaches is below `reached`'s end.
    best: Vec<u32>,
    /// How many levels are reached, from the lowest.
    reached: usize,
}

impl Front {
    /// Nothing is known: everything is possible.
    pub(super) fn open(members: usize) -> Self {
        Self { members, best: vec![1_000_000; members * LEVELS], reached: LEVELS }
    }

    /// No pair at all.
    pub(super) fn empty(members: usize) -> Self {
        Self { members, best: vec![0; members * LEVELS], reached: 0 }
    }

    /// One more pair is possible. Worths in millionths, the leading member's first.
    pub(super) fn add(&mut self, worths: &[u32]) {
        let Some(lead) = worths.first() else { return };
        let level = (*lead / STEP) as usize;
        self.reached = self.reached.max(level + 1);
        // Only the level itself is marked; `settle` spreads it to the levels below.
        let row = &mut self.best[level * self.members..(level + 1) * self.members];
        for (best, worth) in row.iter_mut().zip(worths) {
            *best = (*best).max(*worth);
        }
    }

    /// Spreads what was added to all lower levels.
    pub(super) fn settle(&mut self) {
        for at in (0..(LEVELS - 1) * self.members).rev() {
            self.best[at] = self.best[at].max(self.best[at + self.members]);
        }
    }

    /// Either front's pairs are possible.
    pub(super) fn or(&mut self, other: &Self) {
        self.reached = self.reached.max(other.reached);
        // Levels the other does not reach hold nothing of it.
        let reached = other.reached * self.members;
        for (best, other) in self.best[..reached].iter_mut().zip(&other.best) {
            *best = (*best).max(*other);
        }
    }

    /// A card has pairs of both fronts.
    pub(super) fn and(&mut self, other: &Self) {
        self.reached = self.reached.min(other.reached);
        for (best, other) in self.best.iter_mut().zip(&other.best) {
            *best = (*best).min(*other);
        }
    }

    /// The most the members can add to a score, in millionths, at these shares and caps, both in the
    /// order of the front. Nothing where no pair is possible.
    pub(super) fn most(&self, shares: &[u64], caps: &[u32]) -> u64 {
        let mut most = 0;
        for level in 0..self.reached {
            let base = level * self.members;
            let (Some(share), Some(cap)) = (shares.first(), caps.first()) else { return 0 };
            #[allow(clippy::cast_possible_truncation, reason = "a level is at most 64")]
            let worth = level as u32 * STEP;
            if worth > *cap {
                break;
            }
            let mut sum = share * u64::from(worth) / ONE;
            for member in 1..self.members {
                sum += shares[member] * u64::from(caps[member].min(self.best[base + member])) / ONE;
            }
            most = most.max(sum);
        }
        most
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_front_of_one_pair_bounds_that_pair() {
        let shares = [500_000, 300_000];
        for pair in [[0, 1_000_000], [984_375, 15_625], [1_000_000, 1_000_000], [15_625, 0]] {
            let mut front = Front::empty(2);
            front.add(&pair);
            front.settle();
            let exact = 500_000 * u64::from(pair[0]) / ONE + 300_000 * u64::from(pair[1]) / ONE;
            let most = front.most(&shares, &[1_000_000, 1_000_000]);
            assert_eq!(most, exact, "{pair:?}");
        }
    }

    #[test]
    fn what_no_one_pair_has_both_of_is_not_promised() {
        // One pair is liked by the first, another by the second: together no card has both.
        let mut front = Front::empty(2);
        front.add(&[890_625, 109_375]);
        front.add(&[109_375, 890_625]);
        front.settle();
        let most = front.most(&[500_000, 500_000], &[1_000_000, 1_000_000]);
        assert_eq!(most, 499_999);
    }

    #[test]
    fn two_fronts_of_one_card_hold_each_other_back() {
        let (mut one, mut other) = (Front::empty(2), Front::empty(2));
        one.add(&[890_625, 203_125]);
        other.add(&[312_500, 890_625]);
        one.settle();
        other.settle();
        one.and(&other);
        let most = one.most(&[500_000, 500_000], &[1_000_000, 1_000_000]);
        assert_eq!(most, 156_250 + 101_562);
    }
}
