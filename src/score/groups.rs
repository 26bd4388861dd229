//! Which papers could go together at all in a structure, whatever the sizes: worked out once for all
//! variants of a layout that have it.
//!
//! Most changes only move edges. What they cost is known, what the papers could score at best is
//! known, so a variant is drawn and searched only for papers that would better the list with it.

use super::labels::{Label, Labels, Levels};
use super::form::slots_in;
use super::kept::{MustShow, shown_by};
use super::rest::{OPEN, Rest, Sizes, find, signed};
use crate::index::FaceId;
use std::collections::BTreeSet;
use std::sync::Arc;

/// More ways to choose the papers than this are not kept.
const MOST: usize = 4_000;

/// Papers for the slots filled first, in the order they are filled.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Papers {
    /// What a card with them could score at most, before its changes are paid for, negated: the
    /// highest comes first.
    below: std::cmp::Reverse<i64>,
    /// The papers.
    pub(super) faces: Vec<FaceId>,
}

impl Papers {
    /// What a card with them could score at most, before its changes are paid for, whatever the sizes
    /// and whatever is on hand of each paper.
    pub(super) const fn most(&self) -> i64 {
        self.below.0
    }
}

/// All ways to choose the papers by which a card could score more than `enough`, the best first.
#[derive(Clone, Debug)]
pub(super) struct Groups {
    enough: i64,
    must_show: MustShow,
    /// The ways; `None` where there are too many to keep.
    list: Option<Arc<[Papers]>>,
}

/// How far a choice of papers has come.
struct Choosing {
    faces: Vec<FaceId>,
    levels: Levels,
    sum: u64,
}

impl Rest<'_, '_, '_> {
    /// All ways to choose the papers by which a card of this structure could score more than
    /// `enough`, the best first; it may hold some that score less. `None` where there are too many, or
    /// the work allowed is done.
    pub(super) fn groups(&mut self, enough: i64) -> Option<Arc<[Papers]>> {
        let must_show = self.kept.must_show.clone();
        if let Some(known) = &self.of_structure().groups {
            match &known.list {
                _ if known.must_show != must_show => {}
                Some(list) if known.enough <= enough => return Some(Arc::clone(list)),
                None if known.enough >= enough => return None,
                _ => {}
            }
        }
        let before = self.ask_at(Sizes::Any);
        let mut list = Vec::new();
        let choosing =
            Choosing { faces: vec![OPEN; self.form.slots()], levels: self.form.opening(), sum: self.form.certain };
        let all = self.gather(0, self.all_slots(), choosing, enough, &mut list);
        self.ask_at(before);
        if self.kept.is_spent() {
            return None;
        }
        list.sort_unstable();
        let list: Option<Arc<[Papers]>> = all.then(|| list.into());
        self.of_structure().groups = Some(Groups { enough, must_show, list: list.clone() });
        list
    }

    /// Gathers what begins with the papers chosen so far; false where there are too many.
    fn gather(
        &mut self,
        depth: usize,
        open: u64,
        mut choosing: Choosing,
        enough: i64,
        list: &mut Vec<Papers>,
    ) -> bool {
        if !self.could_all_show(&choosing.faces, open) {
            return true;
        }
        let beside = Label { levels: choosing.levels, add: choosing.sum + self.unjudged() };
        if depth > 0 && !self.could_exceed(enough, &beside, open, &choosing.faces) {
            return true;
        }
        if depth == self.form.papers {
            let parts = self.form.parts(open);
            let (ways, extra) = self.joined_quickly(Labels::one(beside), &parts, &mut choosing.faces);
            if let Some(most) = ways.most(&self.form.weights).map(|most| signed(most + extra))
                && most > enough
            {
                let faces = self.form.order[..depth].iter().map(|slot| choosing.faces[*slot]).collect();
                list.push(Papers { below: std::cmp::Reverse(most), faces });
            }
            return list.len() <= MOST;
        }
        let slot = self.form.order[depth];
        let open = open & !(1 << slot);
        let (company, options) = (self.company(slot, &choosing.faces), self.options(slot));
        let ahead: u64 = self.ahead(open) + self.unjudged() + choosing.sum;
        for (most, face) in self.ranked(slot).iter() {
            if *most <= enough || self.kept.is_spent() {
                break;
            }
            let Some(candidate) = find(&options, *face) else { continue };
            let Some(label) = self.label(&company, *face, candidate.piece) else { continue };
            let mut label = label.held_to(&choosing.levels);
            let mut faces = choosing.faces.clone();
            faces[slot] = *face;
            self.close(&mut label.levels, open, &faces);
            let loose = self.form.weights.of(&label.held_to(&candidate.ahead).levels) + label.add + ahead;
            if signed(loose) <= enough {
                continue;
            }
            let next = Choosing { faces, levels: label.levels, sum: choosing.sum + label.add };
            if !self.gather(depth + 1, open, next, enough, list) {
                return false;
            }
        }
        true
    }

    /// Whether everything that must show shows, or could show in a slot still open.
    fn could_all_show(&mut self, faces: &[FaceId], open: u64) -> bool {
        let must_show = self.kept.must_show;
        let filled = faces.iter().filter(|face| **face != OPEN);
        let mut shown = filled.fold(0, |bits, face| bits | shown_by(must_show, *face));
        let all = (1_u64 << must_show.len()) - 1;
        for slot in slots_in(open) {
            if shown & all == all {
                break;
            }
            let options = self.options(slot);
            let could = |set: &BTreeSet<FaceId>| set.iter().any(|face| find(&options, *face).is_some());
            let sets = must_show.iter().enumerate().filter(|(_, set)| could(set));
            shown = sets.fold(shown, |bits, (place, _)| bits | 1 << place);
        }
        shown & all == all
    }
}
