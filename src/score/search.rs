//! The exact search over one network: which faces fill its slots best.
//!
//! A depth-first branch and bound. Papers are chosen first, in the order of the panels, then the
//! base, then mats and all else. A choice is followed while the most it could still score would
//! enter the list; `hopes` knows what the slots still open can add.

use super::best::{Best, Faces, Found};
use super::form::{Form, slots_in};
use super::groups::{Groups, Papers};
use super::hopes::{Hopes, Wanted};
use super::jury::ONE;
use super::kept::{Kept, pieces_of};
use super::labels::{Label, Levels};
use super::rest::{OPEN, Rest, find, signed};
use crate::index::{Class, FaceId, StockId};
use crate::layout::Change;
use crate::matching::{Network, Slot, Supplied, Worths, could_be};
use api::{CardView, Relation};
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;
use std::sync::Arc;

/// One network may take this part of all work allowed.
const NETWORK_SHARE: u64 = 10;
/// What showing one scorer a finished card counts as, beside what it says it took.
const WORK_OF_A_CARD: u64 = 40;

/// A network ready to be searched.
pub(super) struct Question<'n> {
    /// The network.
    pub(super) network: &'n Network,
    /// Its layout.
    pub(super) layout: usize,
    /// What was changed.
    pub(super) changes: &'n [Change],
    /// What the changes cost, in millionths.
    pub(super) cost: i64,
}

/// How far a choice has come.
#[derive(Clone)]
struct State {
    faces: Vec<FaceId>,
    /// For each relation, what the weakest pair so far adds.
    levels: Levels,
    /// Known terms that add up, in millionths of the score.
    sum: u64,
    /// Patterned papers chosen for panels so far, in the order of the panels.
    shown: Faces,
    /// Which of the things that must show are shown, as bits.
    shows: u64,
}

/// A face that could be chosen next.
struct Next {
    /// The most a card could score that has it.
    bound: i64,
    /// What is left for the slots still open, once that was looked at: the bound heeds it.
    hopes: Option<Hopes>,
    face: FaceId,
    label: Label,
    shown: Faces,
}

impl Next {
    fn key(&self) -> (i64, Reverse<FaceId>, bool) {
        (self.bound, Reverse(self.face), self.hopes.is_some())
    }
}

impl Ord for Next {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key().cmp(&other.key())
    }
}

impl PartialEq for Next {
    fn eq(&self, other: &Self) -> bool {
        self.key() == other.key()
    }
}

impl Eq for Next {}

impl PartialOrd for Next {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Searches one network and offers what it finds.
pub(super) struct Search<'s, 'a, 'n> {
    rest: Rest<'s, 'a, 'n>,
    best: &'s mut Best,
    question: &'s Question<'n>,
    /// The work at which this network is left, so that one network cannot take it all.
    stop_at: u64,
    /// For each depth, which of the things that must show could be shown from there on.
    shows_ahead: Vec<u64>,
}

/// What any card of a network's structure could score at most, before its changes are paid for,
/// whatever the sizes and whatever is on hand of each paper: at a glance.
pub(super) fn ceiling(kept: &mut Kept<'_>, network: &Network) -> i64 {
    let form = Form::of(network, &kept.tables);
    let first = form.order[0];
    Rest::new(kept, form).ranked(first).first().map_or(i64::MIN, |(most, _)| *most)
}

/// The ways to choose the papers of a network's structure by which a card could score in a range,
/// before its changes are paid for; see [`Rest::groups`].
pub(super) fn groups(kept: &mut Kept<'_>, network: &Network, above: i64, up_to: i64, well: bool) -> Arc<Groups> {
    let form = Form::of(network, &kept.tables);
    Rest::new(kept, form).groups(above, up_to, well)
}

impl<'s, 'a, 'n> Search<'s, 'a, 'n> {
    /// Prepares a search.
    #[must_use]
    pub(super) fn new(kept: &'s mut Kept<'a>, best: &'s mut Best, question: &'s Question<'n>) -> Self {
        let network = question.network;
        let form = Form::of(network, &kept.tables);
        let mut shows_ahead = vec![0; form.slots() + 1];
        for depth in (0..form.slots()).rev() {
            shows_ahead[depth] = shows_ahead[depth + 1] | could_show(kept, &network.slots[form.order[depth]]);
        }
        let stop_at = kept.work.saturating_add(kept.most_work / NETWORK_SHARE);
        Self { rest: Rest::new(kept, form), best, question, stop_at, shows_ahead }
    }

    /// Searches the network: for these papers if they are given, else for any.
    pub(super) fn run(mut self, groups: Option<&[Papers]>) {
        let start = State {
            faces: vec![OPEN; self.rest.form.slots()],
            levels: self.rest.form.opening(),
            sum: 0,
            shown: Faces::new(),
            shows: 0,
        };
        let Some(groups) = groups else {
            self.dive(0, self.rest.all_slots(), &start, None);
            return;
        };
        let papers_open = self.rest.form.order[..self.rest.form.papers].iter().fold(0, |bits, slot| bits | 1 << slot);
        let others = self.rest.all_slots() & !papers_open;
        let shortfall: u64 = slots_in(others).map(|slot| self.rest.least_shortfall(slot)).sum();
        for papers in groups {
            let bound = papers.most() - signed(shortfall) - self.question.cost;
            if self.best.bar(self.question.layout).is_some_and(|bar| bound < bar) {
                return;
            }
            if self.rest.kept.is_spent() || self.rest.kept.work >= self.stop_at {
                self.rest.kept.leave_undecided(bound, self.question.layout);
                return;
            }
            self.try_papers(papers, bound, start.clone());
        }
    }

    /// Searches for cards with these papers.
    fn try_papers(&mut self, papers: &Papers, mut bound: i64, mut state: State) {
        let mut open = self.rest.all_slots();
        for (slot, face) in self.rest.form.order.clone().into_iter().zip(&papers.faces) {
            open &= !(1 << slot);
            let company = self.rest.company(slot, &state.faces);
            let Some(piece) = self.rest.piece(slot, *face) else { return };
            let Some(label) = self.rest.label(&company, *face, piece) else { return };
            state.shown = self.shown_with(&state, slot, *face);
            state.shows |= self.shown_in(slot, *face);
            state.faces[slot] = *face;
            state.levels = label.held_to(&state.levels).levels;
            self.rest.close(&mut state.levels, open, &state.faces);
            state.sum += label.add;
            bound -= signed(self.rest.shortfall(slot, *face, piece));
        }
        let depth = papers.faces.len();
        if !self.best.could_enter(bound, self.question.layout, &state.shown)
            || self.worse_than_its_group(depth, &state, bound)
        {
            return;
        }
        let certain = state.sum + self.rest.form.certain + self.rest.unjudged();
        let so_far = Label { levels: state.levels, add: certain };
        let wanted = Wanted { enough: self.enough(), so_far, open };
        let Some(hopes) = self.rest.hopes(wanted, &state.faces) else { return };
        let mut faces = state.faces.clone();
        let Some(most) = self.rest.most_hoped(&hopes, wanted, &mut faces) else { return };
        let bound = bound.min(most - self.question.cost);
        if self.best.could_enter(bound, self.question.layout, &state.shown)
            && !self.worse_than_its_group(depth, &state, bound)
        {
            self.dive(depth, open, &state, Some(&hopes));
        }
    }

    /// What a card must score more than, before its changes are paid for, to be of any use.
    fn enough(&self) -> i64 {
        self.best.bar(self.question.layout).map_or(-1, |bar| bar + self.question.cost - 1)
    }

    /// Fills the slots from `depth` on, with what `hopes` leave for them where they are known.
    fn dive(&mut self, depth: usize, open: u64, state: &State, hopes: Option<&Hopes>) {
        if depth == self.rest.form.slots() {
            self.arrive(state);
            return;
        }
        let slot = self.rest.form.order[depth];
        let open = open & !(1 << slot);
        let left = hopes.and_then(|hopes| hopes.faces(slot));
        let faces = left.unwrap_or_else(|| self.faces_for(depth, slot, state));
        if faces.is_empty() {
            return;
        }
        let mut filled = state.faces.clone();
        let any_will_do = self.best.any_will_do();
        let certain = state.sum + self.rest.form.certain + self.rest.unjudged();
        let mut next = self.candidates(depth, slot, open, state, &faces);
        while let Some(Next { bound, hopes: left, face, label, shown }) = next.pop() {
            if !self.best.could_enter(bound, self.question.layout, &shown) {
                // Those that remain promise no more, but ties are told by their faces.
                continue;
            }
            if self.rest.kept.is_spent() || self.rest.kept.work >= self.stop_at {
                self.rest.kept.leave_undecided(bound, self.question.layout);
                return;
            }
            filled[slot] = face;
            if left.is_none() && !any_will_do {
                let so_far = Label { levels: label.levels, add: certain + label.add };
                let wanted = Wanted { enough: self.enough(), so_far, open };
                let left = match hopes {
                    Some(hopes) => self.rest.left(hopes, wanted, &filled, slot),
                    None => self.rest.hopes(wanted, &filled),
                };
                let Some(left) = left else { continue };
                if let Some(most) = self.rest.most_hoped(&left, wanted, &mut filled) {
                    let bound = bound.min(most - self.question.cost);
                    next.push(Next { bound, hopes: Some(left), face, label, shown });
                }
                continue;
            }
            let state = State {
                faces: filled.clone(),
                levels: label.levels,
                sum: state.sum + label.add,
                shown,
                shows: state.shows | self.shown_in(slot, face),
            };
            if !self.worse_than_its_group(depth + 1, &state, bound) {
                self.dive(depth + 1, open, &state, left.as_ref());
            }
        }
    }

    /// The faces that could be chosen for a slot, each with the most a card could score that has it as
    /// far as is seen at a glance: the highest at the top.
    fn candidates(
        &mut self,
        depth: usize,
        slot: usize,
        open: u64,
        state: &State,
        faces: &[FaceId],
    ) -> BinaryHeap<Next> {
        let company = self.rest.company(slot, &state.faces);
        let options = self.rest.options(slot);
        let certain = state.sum + self.rest.form.certain + self.rest.unjudged();
        let ahead = certain + self.rest.ahead(open);
        let mut next = BinaryHeap::new();
        let mut filled = state.faces.clone();
        for face in faces {
            let Some(candidate) = find(&options, *face) else { continue };
            if !self.could_all_show(depth, state, slot, *face) {
                continue;
            }
            let Some(label) = self.rest.label(&company, *face, candidate.piece) else { continue };
            let mut label = label.held_to(&state.levels);
            filled[slot] = *face;
            self.rest.close(&mut label.levels, open, &filled);
            let most = self.rest.form.silence.of(&label.held_to(&candidate.ahead).levels) + label.add + ahead;
            let shown = self.shown_with(state, slot, *face);
            if self.could_enter(signed(most), &shown) {
                let bound = signed(most) - self.question.cost;
                next.push(Next { bound, hopes: None, face: *face, label, shown });
            }
        }
        next
    }

    /// The faces of a slot worth a look: papers by what they could score at most, as far as that
    /// could enter the list; all else as it comes.
    fn faces_for(&mut self, depth: usize, slot: usize, state: &State) -> Vec<FaceId> {
        if depth >= self.rest.form.papers {
            return self.rest.options(slot).list.iter().map(|candidate| candidate.face).collect();
        }
        let ranked = self.rest.ranked(slot);
        let worth_a_look = ranked.iter().take_while(|(most, _)| self.could_enter(*most, &state.shown));
        worth_a_look.map(|(_, face)| *face).collect()
    }

    fn could_enter(&self, most: i64, shown: &Faces) -> bool {
        self.best.could_enter(most - self.question.cost, self.question.layout, shown)
    }

    /// Whether everything that must show could still show with `face` chosen at this depth.
    fn could_all_show(&self, depth: usize, state: &State, slot: usize, face: FaceId) -> bool {
        let all = (1_u64 << self.rest.kept.must_show.len()) - 1;
        let shown = state.shows | self.shows_ahead[depth + 1];
        shown & all == all || (shown | self.shown_in(slot, face)) & all == all
    }

    fn shown_in(&self, slot: usize, face: FaceId) -> u64 {
        self.rest.kept.shown_in(&self.question.network.slots[slot], face)
    }

    fn shown_with(&self, state: &State, slot: usize, face: FaceId) -> Faces {
        let mut shown = state.shown.clone();
        if let Some(panel) = self.question.network.slots[slot].panel
            && self.rest.kept.index().face(face).class == Class::Patterned
        {
            shown.push((panel, face));
        }
        shown
    }

    /// Once all papers are chosen the group is known: whether even the bound is no better than the
    /// member that stands for it.
    fn worse_than_its_group(&self, depth: usize, state: &State, bound: i64) -> bool {
        if depth < self.rest.form.papers {
            return false;
        }
        let Some(member) = self.best.member(self.question.layout, &state.shown) else { return false };
        if bound != member.score {
            return bound < member.score;
        }
        let ours = (self.question.changes.len(), self.question.changes);
        let theirs = (member.changes.len(), member.changes.as_slice());
        if ours != theirs {
            return ours > theirs;
        }
        let filled = self.rest.form.order[..depth].iter().map(|slot| state.faces[*slot]);
        filled.gt(member.filled[..depth].iter().copied())
    }

    /// Every slot is filled: asks whether it can be cut, adds up the exact score, and offers it.
    fn arrive(&mut self, state: &State) {
        let network = self.question.network;
        let slots = network.slots.len() as u64;
        let worths: Vec<Arc<Worths>> = network
            .slots
            .iter()
            .zip(&state.faces)
            .map(|(slot, face)| self.rest.kept.worths(slot, *face, slots))
            .collect();
        let lists: Vec<&Worths> = worths.iter().map(Arc::as_ref).collect();
        let best_pieces: u64 = lists.iter().filter_map(|list| list.first()).map(|(_, worth)| *worth).sum();
        let known = self.rest.form.silence.of(&state.levels) + state.sum + self.rest.form.certain;
        let choice = match self.rest.kept.supply.settle(network, &state.faces, &lists) {
            Supplied::Yes(choice) => {
                self.rest.kept.makeable.insert(self.question.layout);
                choice
            }
            Supplied::No => return,
            Supplied::Unknown => {
                let bound = signed(known + self.rest.unjudged()) - self.question.cost;
                self.rest.kept.leave_undecided(bound, self.question.layout);
                return;
            }
        };
        let total = known - best_pieces + choice.worth + self.card_terms(state, &choice.main);
        self.best.offer(Found {
            score: signed(total) - self.question.cost,
            layout: self.question.layout,
            faces: state.shown.clone(),
            changes: self.question.changes.to_vec(),
            filled: self.rest.form.order.iter().map(|slot| state.faces[*slot]).collect(),
            choice,
        });
    }

    fn card_terms(&mut self, state: &State, main: &[StockId]) -> u64 {
        let (index, jury) = (self.rest.kept.index(), self.rest.kept.jury());
        if jury.cards().next().is_none() {
            return 0;
        }
        let network = self.question.network;
        let pieces = pieces_of(index, network, &state.faces, main);
        let relations: Vec<(Relation, usize, usize)> =
            network.links.iter().map(|link| (link.relation, link.upper, link.lower)).collect();
        let card = CardView::new(&pieces, &relations);
        let mut terms = 0;
        for member in jury.cards() {
            terms += member.share * u64::from(member.card(&card).millionths()) / ONE;
            self.rest.kept.work += WORK_OF_A_CARD + member.scorer.card_took();
        }
        self.rest.kept.heed_failures();
        terms
    }
}

/// Which of the things that must show a slot could show, as bits.
fn could_show(kept: &Kept<'_>, slot: &Slot) -> u64 {
    let could = |face: &&FaceId| could_be(kept.index(), slot, kept.index().face(**face));
    let faces = kept.must_show.iter().flat_map(|request| &request.faces);
    faces.filter(could).fold(0, |bits, face| bits | kept.shown_in(slot, *face))
}
