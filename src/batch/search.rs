//! Which cards, and how many of each: candidates and what `cut` says of them in, the best choice found
//! out.
//!
//! Cards are added one design after the other, the one that adds most first, as long as everything
//! can still be cut together. Then some are taken out and others put in, again and again (Schrimpf,
//! Schneider, Stamm-Wilbrandt and Dueck 2000), and what is better by the goals, in their order, is
//! kept. Where too few cards come of it, what the plan would leave is asked for further candidates.
//! Work is counted, never timed; there is no luck but a count.

use super::Far;
use super::bound::Priced;
use super::joint::{Candidate, GroupPlan, Joint, Use, by_group};
use super::pool;
use super::relax::Relaxed;
use super::stretch::{Left, Wish, made_of, stretched};
use super::{On, PlanAsk};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Rounds of taking out and putting in.
const ROUNDS: u32 = 240;
/// One question to `cut` for so much work allowed, within these bounds, so that rounds end on large
/// stashes too.
const WORK_OF_A_QUESTION: u64 = 3_000;
/// See [`WORK_OF_A_QUESTION`].
const QUESTIONS: (u64, u64) = (300, 6_000);
/// How often what is left is asked for more.
const REFILLS: u32 = 12;
/// Cards that are tried in other papers: so many are looked at for each that is added.
const STRETCHED_AT_ONCE: usize = 160;
/// How many other papers each is tried in.
const TURNS: usize = 4;
/// So many tries for each question allowed.
const TRIES: u64 = 5;
/// Candidates of which every choice is tried, where they make too few cards.
const FEW: usize = 40;

/// Cards with their counts, and how everything is cut.
#[derive(Clone, Debug, Default)]
pub(super) struct Chosen {
    /// Candidates by their place.
    pub(super) uses: BTreeMap<usize, u32>,
    /// How each group of stock is cut.
    pub(super) groups: BTreeMap<u32, Rc<GroupPlan>>,
}

impl Chosen {
    pub(super) fn made(&self) -> u32 {
        self.uses.values().sum()
    }
}

/// What is kept while every choice is tried.
struct Trying {
    best: Chosen,
    most: u64,
    until: u64,
    looks: u64,
}

/// In which order cards are tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Order {
    /// What scores most first.
    Score,
    /// What takes least of what is scarce first.
    Thrift,
}

/// The search.
pub(super) struct Search<'a> {
    on: On<'a>,
    pub(super) ask: &'a PlanAsk,
    pub(super) joint: Joint<'a>,
    stop: &'a dyn Fn() -> bool,
    told: &'a dyn Fn(Far),
    work: u64,
    stopped: bool,
    /// What each candidate takes of what is scarce, in millionths of a card.
    costs: Vec<i64>,
    /// What is settled: it is in every choice.
    settled: Chosen,
    /// What no plan can beat.
    at_most: u64,
}

impl<'a> Search<'a> {
    pub(super) fn new(on: On<'a>, ask: &'a PlanAsk, stop: &'a dyn Fn() -> bool, told: &'a dyn Fn(Far)) -> Self {
        let joint = Joint::new(on.table);
        Self {
            on,
            ask,
            joint,
            stop,
            told,
            work: 0,
            stopped: false,
            costs: Vec::new(),
            settled: Chosen::default(),
            at_most: u64::MAX,
        }
    }

    pub(super) const fn was_stopped(&self) -> bool {
        self.stopped
    }

    pub(super) const fn work(&self) -> u64 {
        self.work
    }

    fn tell(&self, best: &Chosen) {
        (self.told)(Far { made: best.made(), at_most: self.at_most });
    }

    fn is_over(&mut self) -> bool {
        self.stopped = self.stopped || (self.stop)();
        self.stopped
    }

    /// The best choice found.
    pub(super) fn run(&mut self, relaxed: &Relaxed, priced: &Priced) -> Chosen {
        self.at_most = priced.at_most;
        self.settle(priced);
        self.tell(&self.settled);
        let first = self.ask.work / 5 * 2;
        let (start, end) = (*self.ask.each.start(), *self.ask.each.end());
        // Where designs are few, many of each are needed.
        let cards = |designs: u32| self.ask.cards.map_or(u32::MAX, |cards| cards.div_ceil(designs.max(1)));
        let many = self.ask.designs.map_or(start, cards).clamp(start, end);
        for copies in BTreeSet::from([start, many]).into_iter().rev() {
            let share = if many == start { first } else { first / 2 };
            let (cards, work) = pool::from_all(self.on, self.ask, copies, share);
            self.work += work;
            self.take(cards, priced);
        }
        let mut best = self.grown(self.settled.clone(), Order::Score);
        if self.is_short(&best) {
            self.take_thrifty(relaxed, priced);
            let thrifty = self.grown(self.settled.clone(), Order::Thrift);
            best = self.better(best, thrifty);
            // What is dear is dear in other papers, too: from nothing, what is thrifty comes first in all of them.
            let thriftiest = self.stretched(self.settled.clone(), priced);
            best = self.better(best, thriftiest);
            best = self.refilled(best, priced);
            best = self.stretched(best, priced);
            best = self.tried_out(best, priced);
        }
        let mut best_value = self.value(&best);
        let mut dice = 0_u64;
        for round in 0..ROUNDS {
            if self.is_over() || self.joint.asked > self.questions() {
                break;
            }
            let order = if self.is_short(&best) && round % 2 == 0 { Order::Thrift } else { Order::Score };
            let thinned = self.thinned(&best, &mut dice);
            let next = self.grown_apart(thinned, order, Some(&best));
            let value = self.value(&next);
            if value > best_value {
                self.tell(&next);
                (best, best_value) = (next, value);
            }
        }
        best
    }

    /// Takes over what is settled, as far as it can be cut again.
    fn settle(&mut self, priced: &Priced) {
        for design in &self.ask.earlier.settled {
            self.take(vec![design.card.clone()], priced);
            let Some(place) = self.joint.place_of(&design.card) else { continue };
            if self.ask.cards.is_some_and(|cards| self.settled.made().saturating_add(design.count) > cards) {
                continue;
            }
            let so_far = self.settled.clone();
            if let Some(groups) = self.with(&so_far, place, design.count) {
                self.settled.uses.insert(place, design.count);
                self.settled.groups.extend(groups);
            }
        }
    }

    fn take(&mut self, cards: Vec<crate::score::Suggestion>, priced: &Priced) -> bool {
        let mut is_new = false;
        for card in cards {
            if !self.ask.earlier.has_turned_down(&card) && self.joint.take(card) {
                is_new = true;
                let candidate = self.joint.candidates.last();
                self.costs.push(candidate.map_or(0, |candidate| cost(candidate, priced)));
            }
        }
        is_new
    }

    /// The cards that take least of what is scarce, whatever they score, become candidates, too.
    fn take_thrifty(&mut self, relaxed: &Relaxed, priced: &Priced) {
        // Which piece is cut from a line that was asked for is not known here.
        if self.ask.names_papers() && self.ask.use_faces.is_empty() {
            return;
        }
        let left = Left::of(self.on, &self.joint.left(&self.settled));
        let wish = Wish { keep: &self.ask.use_faces, copies: self.least(u32::MAX), turn: 0 };
        for place in &priced.thrifty {
            let (layout, changes) = (relaxed.variants[*place].layout, &relaxed.changes[*place]);
            if let Some(card) = made_of(self.on, layout, changes, &left, wish) {
                self.take(vec![card], priced);
            }
        }
    }

    /// How many questions `cut` may be asked before the rounds end.
    fn questions(&self) -> u64 {
        (self.ask.work / WORK_OF_A_QUESTION).clamp(QUESTIONS.0, QUESTIONS.1)
    }

    /// Whether fewer cards are made than are wanted.
    fn is_short(&self, chosen: &Chosen) -> bool {
        self.ask.cards.is_none_or(|cards| chosen.made() < cards) && !self.is_full(chosen)
    }

    fn is_full(&self, chosen: &Chosen) -> bool {
        self.ask.designs.is_some_and(|most| chosen.uses.len() >= most as usize)
    }

    /// Asks what a plan leaves for more, until nothing comes of it.
    fn refilled(&mut self, mut best: Chosen, priced: &Priced) -> Chosen {
        let share = (self.ask.work - self.ask.work / 5 * 2) / u64::from(REFILLS);
        for _ in 0..REFILLS {
            if self.is_over() || !self.is_short(&best) || self.work >= self.ask.work {
                break;
            }
            let (cards, work) = pool::from_rest(self.on, self.ask, &self.joint.left(&best), share);
            self.work += work;
            let is_new = self.take(cards, priced);
            let more = self.grown(best.clone(), Order::Thrift);
            let grew = more.made() > best.made();
            best = more;
            self.tell(&best);
            if !is_new && !grew {
                break;
            }
        }
        best
    }

    /// Adds cards in other papers than they were suggested in, the thriftiest first, until none fits.
    fn stretched(&mut self, mut best: Chosen, priced: &Priced) -> Chosen {
        let mut tries = 0;
        loop {
            let mut ranked: Vec<(i64, i64, usize)> = (0..self.joint.candidates.len())
                .map(|place| (self.costs[place] / 50_000, -self.worth(&best, place), place))
                .collect();
            ranked.sort_unstable();
            // One for each layout as it is changed: its papers are chosen anew.
            let mut met = BTreeSet::new();
            ranked.retain(|(_, _, place)| {
                let card = &self.joint.candidates[*place].card;
                met.insert((card.layout, card.changes.clone()))
            });
            ranked.truncate(STRETCHED_AT_ONCE);
            let left = self.ask.cards.map_or(u32::MAX, |cards| cards - best.made().min(cards));
            let rest = Left::of(self.on, &self.joint.left(&best));
            let mut added = false;
            'cards: for turn in 0..TURNS {
                for (_, _, place) in &ranked {
                    for copies in [*self.ask.each.end(), self.least(left)] {
                        tries += 1;
                        if self.is_over() || !self.is_short(&best) || tries > self.questions() * TRIES {
                            return best;
                        }
                        let card = &self.joint.candidates[*place].card;
                        let wish = Wish { keep: &self.ask.use_faces, copies, turn };
                        let Some(card) = stretched(self.on, card, &rest, wish) else { continue };
                        if !self.take(vec![card], priced) {
                            continue;
                        }
                        let new = self.joint.candidates.len() - 1;
                        if self.add(&mut best, new, left, 1) {
                            self.tell(&best);
                            added = true;
                            break 'cards;
                        }
                    }
                }
            }
            if !added {
                return best;
            }
        }
    }

    /// Tries every choice of few candidates, as far as the questions allowed go: only more cards count.
    fn tried_out(&mut self, best: Chosen, priced: &Priced) -> Chosen {
        if self.joint.candidates.len() > FEW || !self.is_short(&best) {
            return best;
        }
        let until = self.joint.asked + self.questions() / 2;
        let most = self.ask.cards.map_or(u64::MAX, u64::from).min(priced.at_most);
        let mut trying = Trying { best, most, until, looks: 0 };
        let settled = self.settled.clone();
        self.try_from(0, &settled, &mut trying);
        trying.best
    }

    fn try_from(&mut self, from: usize, chosen: &Chosen, trying: &mut Trying) {
        if chosen.made() > trying.best.made() {
            trying.best = chosen.clone();
        }
        let each = self.ask.each.clone();
        let least = (*each.start()).min(self.ask.cards.unwrap_or(u32::MAX));
        for place in from..self.joint.candidates.len() {
            let rest = u64::from(*each.end()) * (self.joint.candidates.len() - place) as u64;
            trying.looks += 1;
            let is_enough = u64::from(trying.best.made()) >= trying.most
                || u64::from(chosen.made()) + rest <= u64::from(trying.best.made())
                || self.joint.asked > trying.until
                || trying.looks > self.questions() * 4;
            if is_enough || self.is_full(chosen) || self.is_over() {
                return;
            }
            if self.settled.uses.contains_key(&place) {
                continue;
            }
            let left = self.ask.cards.map_or(u32::MAX, |cards| cards - chosen.made().min(cards));
            for count in (least..=(*each.end()).min(left)).rev() {
                if let Some(groups) = self.with(chosen, place, count) {
                    let mut next = chosen.clone();
                    next.uses.insert(place, count);
                    next.groups.extend(groups);
                    self.try_from(place + 1, &next, trying);
                }
            }
        }
    }

    fn better(&mut self, one: Chosen, other: Chosen) -> Chosen {
        if self.value(&other) > self.value(&one) { other } else { one }
    }

    fn grown(&mut self, chosen: Chosen, order: Order) -> Chosen {
        self.grown_apart(chosen, order, None)
    }

    /// Adds designs as long as any can be added; those just taken out of `apart` only after the others.
    fn grown_apart(&mut self, mut chosen: Chosen, order: Order, apart: Option<&Chosen>) -> Chosen {
        let mut dead: BTreeSet<usize> = chosen.uses.keys().copied().collect();
        while !self.is_full(&chosen) {
            let left = self.ask.cards.map_or(u32::MAX, |cards| cards - chosen.made().min(cards));
            if left < self.least(left) || left == 0 {
                break;
            }
            let mut ranked: Vec<(bool, i64, i64, usize)> = (0..self.joint.candidates.len())
                .filter(|place| !dead.contains(place))
                .map(|place| {
                    let was =
                        apart.is_some_and(|apart| apart.uses.contains_key(&place) && !chosen.uses.contains_key(&place));
                    let gain = self.worth(&chosen, place);
                    match order {
                        Order::Score => (was, -gain, 0, place),
                        Order::Thrift => (was, self.costs[place] / 50_000, -gain, place),
                    }
                })
                .collect();
            ranked.sort_unstable();
            let mut added = false;
            // Where designs are few, those come first of which enough can be made.
            let enough = self.enough(&chosen, left);
            'counts: for at_least in [enough, 1] {
                for (_, _, _, place) in &ranked {
                    if self.is_over() {
                        return chosen;
                    }
                    if at_least == 1 {
                        dead.insert(*place);
                    }
                    if self.add(&mut chosen, *place, left, at_least) {
                        dead.insert(*place);
                        added = true;
                        break 'counts;
                    }
                }
                if enough == 1 {
                    break;
                }
            }
            if !added {
                break;
            }
            self.tell(&chosen);
        }
        chosen
    }

    /// The fewest of a design, where so many cards are still wanted.
    fn least(&self, left: u32) -> u32 {
        // One card alone is asked for where fewer are wanted than of any design.
        let all = self.ask.cards.unwrap_or(u32::MAX);
        (*self.ask.each.start()).min(all).min(left.max(1))
    }

    /// How many of each further design are needed so that the designs allowed make all that is wanted.
    fn enough(&self, chosen: &Chosen, left: u32) -> u32 {
        let Some(designs) = self.ask.designs else { return 1 };
        let designs = (designs as usize).saturating_sub(chosen.uses.len()).max(1);
        left.div_ceil(u32::try_from(designs).unwrap_or(u32::MAX)).clamp(1, *self.ask.each.end())
    }

    /// Adds as many of a candidate as can be, within what is asked of each design, and `at_least` so many.
    fn add(&mut self, chosen: &mut Chosen, place: usize, left: u32, at_least: u32) -> bool {
        let (least, most) = (*self.ask.each.start(), *self.ask.each.end());
        let least = least.min(self.ask.cards.unwrap_or(u32::MAX));
        let mut counts: Vec<u32> = (least.max(at_least)..=most.min(left)).rev().collect();
        // What is still wanted after it must be enough for another design, if that can be.
        counts.sort_by_key(|count| {
            (left != u32::MAX && left - count != 0 && left - count < least, std::cmp::Reverse(*count))
        });
        for count in counts {
            if let Some(groups) = self.with(chosen, place, count) {
                chosen.uses.insert(place, count);
                chosen.groups.extend(groups);
                return true;
            }
        }
        false
    }

    /// The groups of a choice with so many of a candidate, if everything can be cut.
    fn with(&mut self, chosen: &Chosen, place: usize, count: u32) -> Option<Vec<(u32, Rc<GroupPlan>)>> {
        let mut uses = chosen.uses.clone();
        uses.insert(place, count);
        let touched = self.joint.candidates[place].groups.clone();
        let mut groups = by_group(&self.joint.candidates, &uses);
        groups.retain(|group, _| touched.contains(group));
        // The scarcest first: most questions end at the first no.
        let mut asked: Vec<(u32, Vec<Use>)> = groups.into_iter().collect();
        asked.sort_by_key(|(group, uses)| (std::cmp::Reverse(uses.len()), *group));
        let mut found = Vec::new();
        for (group, uses) in asked {
            found.push((group, self.joint.group(group, &uses)?));
        }
        Some(found)
    }

    /// A choice without one to three of its designs.
    fn thinned(&mut self, chosen: &Chosen, dice: &mut u64) -> Chosen {
        let mut roll = |of: usize| {
            // Knuth's 64-bit multiplier: a count that looks like luck and is not.
            *dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            usize::try_from(*dice >> 33).unwrap_or(0) % of.max(1)
        };
        let mut uses = chosen.uses.clone();
        for _ in 0..=roll(3) {
            let place = roll(uses.len() - self.settled.uses.len());
            let mut loose = uses.keys().copied().filter(|place| !self.settled.uses.contains_key(place));
            if let Some(out) = loose.nth(place) {
                uses.remove(&out);
            }
        }
        let mut groups = BTreeMap::new();
        for (group, uses) in by_group(&self.joint.candidates, &uses) {
            match self.joint.group(group, &uses) {
                Some(plan) => {
                    groups.insert(group, plan);
                }
                // Fewer pieces that `cut` has no answer for: stay with what is known.
                None => return chosen.clone(),
            }
        }
        Chosen { uses, groups }
    }
}

/// What one copy takes of what is scarce, in millionths of a card.
fn cost(candidate: &Candidate, priced: &Priced) -> i64 {
    let piece = |wanted: &super::needs::Wanted| {
        wanted.on.iter().map(|stock| priced.cost(*stock, wanted.size)).fold(f64::INFINITY, f64::min)
    };
    let cost: f64 = candidate.wanted.iter().map(piece).sum();
    #[allow(clippy::cast_possible_truncation, reason = "a card costs a few cards at most, by the clamp")]
    let millionths = (cost * 1e6).clamp(0.0, 1e12) as i64;
    millionths
}
