//! Which papers could go together at all in a structure, whatever the sizes: worked out once for all
//! variants of a layout that have it.
//!
//! Most changes only move edges. What they cost is known, what the papers could score at best is
//! known, so a variant is drawn and searched only for papers that would better the list with it.

use super::form::slots_in;
use super::hopes::{Hopes, Wanted};
use super::kept::{MustShow, Request, shown_by};
use super::labels::{Label, Levels};
use super::rest::{OPEN, Rest, Sizes, find, signed};
use crate::index::FaceId;
use std::sync::Arc;

/// About so many ways to choose the papers are looked for at once: enough to raise the bar, after which
/// few of the others would do.
const ENOUGH: usize = 100;

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

/// The ways to choose the papers by which a card could score in a certain range, the best first.
#[derive(Clone, Debug)]
pub(super) struct Groups {
    /// More than this: others that score less may be left.
    pub(super) above: i64,
    /// No more than this.
    up_to: i64,
    /// The ways; there may be some that score more.
    pub(super) list: Arc<[Papers]>,
    must_show: MustShow,
}

impl Groups {
    /// Whether these are all that score more than `above` and no more than `up_to`.
    pub(super) const fn hold(&self, above: i64, up_to: i64) -> bool {
        self.above <= above && self.up_to >= up_to
    }

    /// The most that a card could score, where it was known to score no more than `known`.
    pub(super) fn most_from(&self, known: i64) -> i64 {
        let most = self.list.first().map_or(self.above, Papers::most).max(self.above);
        if self.up_to >= known { known.min(most) } else { known }
    }
}

/// What is gathered: scores above `above`, which rises as better ways are found.
struct Gathered {
    above: i64,
    up_to: i64,
    /// Whether papers are ranked well even if they are few.
    well: bool,
    list: Vec<Papers>,
}

impl Gathered {
    fn take(&mut self, papers: Papers) {
        self.list.push(papers);
        if self.list.len() >= ENOUGH * 2 {
            self.list.sort_unstable();
            let cut = self.list[ENOUGH].most();
            // Those that score alike are kept or left together.
            let better = self.list.partition_point(|papers| papers.most() > cut);
            if better > 0 {
                self.list.truncate(better);
                self.above = cut;
            }
        }
    }
}

/// How far a choice of papers has come.
struct Choosing {
    faces: Vec<FaceId>,
    levels: Levels,
    sum: u64,
}

impl Rest<'_, '_, '_> {
    /// The ways to choose the papers by which a card of this structure could score more than `above`
    /// and no more than `up_to`, the best first; if there are very many, the best of them. It pays to look
    /// `well` where many could be good enough.
    pub(super) fn groups(&mut self, above: i64, up_to: i64, well: bool) -> Arc<Groups> {
        let must_show = self.kept.must_show.clone();
        if let Some(known) = &self.of_structure().groups
            && known.must_show == must_show
            && known.up_to >= up_to
            && (known.above <= above || known.list.iter().any(|papers| papers.most() <= up_to))
        {
            return Arc::clone(known);
        }
        let before = self.ask_at(Sizes::Any);
        let choosing =
            Choosing { faces: vec![OPEN; self.form.slots()], levels: self.form.opening(), sum: self.form.certain };
        let mut gathered = Gathered { above, up_to, well, list: Vec::new() };
        let finished = self.gather(0, self.all_slots(), choosing, None, &mut gathered);
        self.ask_at(before);
        let Gathered { mut above, mut list, .. } = gathered;
        list.sort_unstable();
        if !finished {
            // What was not looked at is left as if it were below what is asked for next.
            (above, list) = (up_to, Vec::new());
        }
        let groups = Arc::new(Groups { above, up_to, list: list.into(), must_show });
        if finished {
            self.of_structure().groups = Some(Arc::clone(&groups));
        }
        groups
    }

    /// Gathers what begins with the papers chosen so far; false where the work allowed is done.
    fn gather(
        &mut self,
        depth: usize,
        open: u64,
        mut choosing: Choosing,
        hopes: Option<&Hopes>,
        gathered: &mut Gathered,
    ) -> bool {
        if !self.could_all_show(&choosing.faces, open) {
            return true;
        }
        let so_far = Label { levels: choosing.levels, add: choosing.sum + self.unjudged() };
        let wanted = Wanted { enough: gathered.above, so_far, open };
        let left = match hopes {
            Some(hopes) => self.left(hopes, wanted, &choosing.faces, self.form.order[depth - 1]),
            None => self.hopes(wanted, &choosing.faces),
        };
        let Some(hopes) = left else { return true };
        if depth == self.form.papers {
            if let Some(most) = self.most_hoped(&hopes, wanted, &mut choosing.faces)
                && most <= gathered.up_to
            {
                let faces = self.form.order[..depth].iter().map(|slot| choosing.faces[*slot]).collect();
                gathered.take(Papers { below: std::cmp::Reverse(most), faces });
            }
            return true;
        }
        let slot = self.form.order[depth];
        let open = open & !(1 << slot);
        let (company, options) = (self.company(slot, &choosing.faces), self.options(slot));
        let ahead: u64 = self.ahead(open) + self.unjudged() + choosing.sum;
        for (most, face) in self.ranked_well(slot, gathered.well).iter() {
            if self.kept.is_spent() {
                return false;
            }
            if *most <= gathered.above {
                break;
            }
            if hopes.rule_out(slot, *face) {
                continue;
            }
            let Some(candidate) = find(&options, *face) else { continue };
            let Some(label) = self.label(&company, *face, candidate.piece) else { continue };
            let mut label = label.held_to(&choosing.levels);
            let mut faces = choosing.faces.clone();
            faces[slot] = *face;
            self.close(&mut label.levels, open, &faces);
            let loose = self.form.silence.of(&label.held_to(&candidate.ahead).levels) + label.add + ahead;
            if signed(loose) <= gathered.above || self.most_alone(slot, *face) <= gathered.above {
                continue;
            }
            let next = Choosing { faces, levels: label.levels, sum: choosing.sum + label.add };
            if !self.gather(depth + 1, open, next, Some(&hopes), gathered) {
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
            let could = |request: &Request| request.faces.iter().any(|face| find(&options, *face).is_some());
            let sets = must_show.iter().enumerate().filter(|(_, request)| could(request));
            shown = sets.fold(shown, |bits, (place, _)| bits | 1 << place);
        }
        shown & all == all
    }
}
