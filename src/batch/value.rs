//! How good a choice of cards is: a choice in; a number for each goal, the first goal first, out.

use super::search::{Chosen, Search};
use crate::stash::Goal;
use api::units::Length;
use std::collections::BTreeSet;

/// A layout that comes again counts so much less, in thousandths, for each time before.
const SAME_LAYOUT: i64 = 120;
/// A paper that comes again, likewise.
const SAME_PAPER: i64 = 50;
/// However often something came before, a card counts at least so much, in thousandths.
const LEAST: i64 = 400;

impl Search<'_> {
    /// What one more card of a candidate adds, in millionths: less for what comes again.
    pub(super) fn worth(&self, chosen: &Chosen, place: usize) -> i64 {
        let card = &self.joint.candidates[place].card;
        let mut thousandths = 1000_i64;
        for other in chosen.uses.keys().filter(|other| **other != place) {
            let other = &self.joint.candidates[*other].card;
            if other.layout == card.layout {
                thousandths -= SAME_LAYOUT;
            }
            let shared = card.papers.iter().filter(|(_, face)| other.papers.iter().any(|(_, shown)| shown == face));
            thousandths -= SAME_PAPER * i64::try_from(shared.count()).unwrap_or(0);
        }
        card.score.max(0) * thousandths.max(LEAST) / 1000
    }

    /// How good a choice is, goal by goal.
    pub(super) fn value(&self, chosen: &Chosen) -> Vec<i64> {
        let mut score = 0;
        let mut so_far = Chosen::default();
        let mut order: Vec<(i64, usize)> =
            chosen.uses.keys().map(|place| (-self.joint.candidates[*place].card.score, *place)).collect();
        order.sort_unstable();
        for (_, place) in order {
            let count = chosen.uses[&place];
            score += self.worth(&so_far, place) * i64::from(count);
            so_far.uses.insert(place, count);
        }
        let groups = || chosen.groups.values();
        let settings: BTreeSet<Length> = groups().flat_map(|group| group.settings.iter().copied()).collect();
        let sheets: u64 = groups().map(|group| group.sheets).sum();
        let less = |count: usize| -i64::try_from(count).unwrap_or(i64::MAX);
        let of = |goal: &Goal| match goal {
            Goal::Cards => i64::from(chosen.made()),
            // Set down to hundredths of a card, so that what comes after has a say.
            Goal::Score => score / 10_000,
            Goal::OldStock => groups().map(|group| group.old).sum(),
            Goal::FewSheets => -i64::try_from(sheets).unwrap_or(i64::MAX),
            Goal::FewSettings => less(settings.len()),
            Goal::Leftovers => groups().map(|group| group.leftovers).fold(0, i64::saturating_add),
        };
        // What is as good without a knife is better.
        let middles: u64 = groups().map(|group| group.middles).sum();
        self.ask.goals.iter().map(of).chain([-i64::try_from(middles).unwrap_or(i64::MAX)]).collect()
    }
}
