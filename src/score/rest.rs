//! Which faces an open slot could take, and what each adds beside the slots already filled; `hopes` asks
//! it what all of them could add together.
//!
//! Two ways of asking. *At the sizes drawn*: what is on hand for this variant. *At any size*: what
//! the structure could give if size were of no account; that is kept for all variants of that
//! structure, and for later questions.

use super::form::{Form, Structure, slots_in};
use super::groups::Groups;
use super::jury::{IN_ROLE, ONE};
use super::kept::Kept;
use super::labels::{Label, Levels};
use super::rank::Ranked;
use super::tables::{NONE, RoleRow, Row, place_of};
use crate::index::{Class, FaceId};
use api::{Material, Relation};
use std::collections::HashMap;
use std::sync::Arc;

/// No face has been chosen for a slot.
pub(super) const OPEN: FaceId = FaceId(u32::MAX);
/// A part with a slot that more faces than this could fill is not settled merely for a bound.
pub(super) const MANY: usize = 300;

/// Which sizes are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sizes {
    /// Any.
    Any,
    /// Those of the network.
    AsDrawn,
}

/// What is known of one structure at any size.
#[derive(Debug, Default)]
pub(super) struct OfStructure {
    options: Vec<Option<Arc<Options>>>,
    pub(super) ranked: Vec<Option<Arc<Ranked>>>,
    pub(super) ranked_well: Vec<Option<Arc<Ranked>>>,
    pub(super) alone: HashMap<(usize, FaceId), i64>,
    pub(super) groups: Option<Arc<Groups>>,
}

/// What is known of all structures met.
#[derive(Debug, Default)]
pub(super) struct Known {
    places: HashMap<Structure, usize>,
    pub(super) of: Vec<OfStructure>,
}

/// A face a slot could take.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    /// The face.
    pub(super) face: FaceId,
    /// What its piece adds at most, in millionths.
    pub(super) piece: u64,
    /// The best there is for it among its neighbours' classes, relation by relation.
    pub(super) ahead: Levels,
}

/// The faces a slot could take.
#[derive(Debug, Default)]
pub(super) struct Options {
    /// The faces, in the order of ids.
    pub(super) list: Vec<Candidate>,
    /// The most that a piece of any of them adds, in millionths.
    best_piece: u64,
}

/// The company a slot is in: rows of the faces it meets.
pub(super) struct Company {
    rows: Vec<Meeting>,
    differ: Vec<FaceId>,
    /// What each face is worth in the slot's role.
    in_role: Option<Arc<RoleRow>>,
}

/// One filled slot that an open one meets.
struct Meeting {
    relation: Relation,
    patterned: bool,
    rows: [Option<Arc<Row>>; 3],
}

/// Asks what open slots can add.
pub(super) struct Rest<'s, 'a, 'n> {
    /// What is kept.
    pub(super) kept: &'s mut Kept<'a>,
    /// The network's form.
    pub(super) form: Form<'n>,
    /// The sizes now asked for.
    sizes: Sizes,
    structure: usize,
    options: Vec<Option<Arc<Options>>>,
}

impl<'s, 'a, 'n> Rest<'s, 'a, 'n> {
    /// Begins with what is known of the structure.
    pub(super) fn new(kept: &'s mut Kept<'a>, form: Form<'n>) -> Self {
        let slots = form.slots();
        let known = &mut kept.store.known;
        let next = known.of.len();
        let structure = *known.places.entry(form.structure()).or_insert(next);
        if structure == next {
            let (options, ranked) = (vec![None; slots], vec![None; slots]);
            let ranked_well = ranked.clone();
            known.of.push(OfStructure { options, ranked, ranked_well, ..OfStructure::default() });
        }
        Self { kept, form, sizes: Sizes::AsDrawn, structure, options: vec![None; slots] }
    }

    /// What is known of the structure.
    pub(super) fn of_structure(&mut self) -> &mut OfStructure {
        &mut self.kept.store.known.of[self.structure]
    }

    /// The faces a slot could take at the sizes asked for.
    pub(super) fn options(&mut self, slot: usize) -> Arc<Options> {
        let known = match self.sizes {
            Sizes::AsDrawn => &self.options[slot],
            Sizes::Any => &self.kept.store.known.of[self.structure].options[slot],
        };
        if let Some(known) = known {
            return Arc::clone(known);
        }
        let (index, of) = (self.kept.index(), &self.form.network.slots[slot]);
        let slots = self.form.slots() as u64;
        let by_worth = self.kept.by_worth(of.role);
        let mut list = Vec::new();
        for class in self.form.classes[slot].clone() {
            for face in index.class(class) {
                let view = &index.face(*face).view;
                let busy = view.material == Material::Patterned
                    && view.pattern.busyness.millionths() > self.kept.quiet
                    && self.form.beneath_image[slot];
                if busy || !of.materials.contains(&view.material) {
                    continue;
                }
                let piece = match self.sizes {
                    Sizes::Any => Some(by_worth.of(*face, slots)),
                    Sizes::AsDrawn if self.kept.could_be(of, *face) => {
                        self.kept.worths(of, *face, slots).first().map(|(_, worth)| *worth)
                    }
                    Sizes::AsDrawn => None,
                };
                if let Some(piece) = piece {
                    list.push(Candidate { face: *face, piece, ahead: self.levels_ahead(slot, *face) });
                }
            }
        }
        list.sort_unstable_by_key(|candidate: &Candidate| candidate.face);
        let best_piece = list.iter().map(|candidate| candidate.piece).max().unwrap_or(0);
        let options = Arc::new(Options { list, best_piece });
        match self.sizes {
            Sizes::AsDrawn => self.options[slot] = Some(Arc::clone(&options)),
            Sizes::Any => self.of_structure().options[slot] = Some(Arc::clone(&options)),
        }
        options
    }

    /// What the piece of one face in a slot adds at most at the sizes drawn; `None` where it cannot be
    /// there.
    pub(super) fn piece(&mut self, slot: usize, face: FaceId) -> Option<u64> {
        let of = &self.form.network.slots[slot];
        if !self.kept.could_be(of, face) {
            return None;
        }
        let slots = self.form.slots() as u64;
        self.kept.worths(of, face, slots).first().map(|(_, worth)| *worth)
    }

    /// By how much a piece adds less, at the sizes drawn, than a piece of that face might at any size.
    pub(super) fn shortfall(&mut self, slot: usize, face: FaceId, piece: u64) -> u64 {
        let (role, slots) = (self.form.network.slots[slot].role, self.form.slots() as u64);
        self.kept.by_worth(role).of(face, slots).saturating_sub(piece)
    }

    /// The least that any piece for a slot falls short by.
    pub(super) fn least_shortfall(&mut self, slot: usize) -> u64 {
        let (role, slots) = (self.form.network.slots[slot].role, self.form.slots() as u64);
        let by_worth = self.kept.by_worth(role);
        let short = |option: &Candidate| by_worth.of(option.face, slots).saturating_sub(option.piece);
        self.options(slot).list.iter().map(short).min().unwrap_or(0)
    }

    /// The company a slot is in.
    pub(super) fn company(&mut self, slot: usize, faces: &[FaceId]) -> Company {
        let index = self.kept.index();
        let mut rows = Vec::new();
        for joint in &self.form.joints[slot] {
            let face = faces[joint.other];
            if face == OPEN {
                continue;
            }
            let mut meeting = Meeting {
                relation: joint.relation,
                patterned: index.face(face).class == Class::Patterned,
                rows: [const { None }; 3],
            };
            for class in &self.form.classes[slot] {
                if joint.relation != Relation::SameCard || (meeting.patterned && *class == Class::Patterned) {
                    let row = self.kept.tables.row(joint.relation, joint.other_end(), face, *class);
                    meeting.rows[*class as usize] = Some(row);
                }
            }
            rows.push(meeting);
        }
        let differ = self.form.differ[slot].iter().map(|other| faces[*other]).filter(|face| *face != OPEN).collect();
        let in_role = self.kept.tables.in_role(self.form.network.slots[slot].role).cloned();
        Company { rows, differ, in_role }
    }

    /// What a face in a slot adds in its company; `None` where it must not be there.
    pub(super) fn label(&mut self, company: &Company, face: FaceId, piece: u64) -> Option<Label> {
        self.kept.work += 1;
        if company.differ.contains(&face) {
            return None;
        }
        let of = self.kept.index().face(face);
        let mut label = Label { levels: self.form.opening(), add: piece };
        if let Some(row) = &company.in_role {
            label.levels[IN_ROLE] = label.levels[IN_ROLE].min(row.level(face));
        }
        for meeting in &company.rows {
            let Some(row) = &meeting.rows[of.class as usize] else {
                label.add += self.form.silent[place_of(meeting.relation)];
                continue;
            };
            let level = &mut label.levels[place_of(meeting.relation)];
            *level = (*level).min(row.level(of.place_in_class));
            let averaging = self.kept.tables.averaging.iter().zip(&self.form.mean_weights);
            for ((member, weight), worth) in averaging.zip(row.means(of.place_in_class)) {
                if member.range[place_of(meeting.relation)].is_some() {
                    let worth = if *worth == NONE { member.neutral } else { u64::from(*worth) };
                    label.add += weight * worth / ONE;
                }
            }
        }
        Some(label)
    }

    /// The most that a piece in a slot can add, at the sizes asked for.
    pub(super) fn best_piece(&mut self, slot: usize) -> u64 {
        self.options(slot).best_piece
    }

    /// The most that can be added by what is judged only when the card is finished: by the members that
    /// judge the card.
    pub(super) fn unjudged(&self) -> u64 {
        let most = |member: &super::Member| {
            let range = member.scorer.manifest().ranges.card.map_or(ONE, |range| u64::from(range.millionths()));
            member.share * range.max(member.neutral()) / ONE
        };
        self.kept.jury().cards().map(most).sum()
    }

    /// The most that open slots can add beside levels, at a glance.
    pub(super) fn ahead(&mut self, open: u64) -> u64 {
        slots_in(open).map(|slot| self.best_piece(slot)).sum::<u64>() + self.form.means_within(open)
    }

    /// Asks at other sizes from now on; gives those asked for before.
    pub(super) const fn ask_at(&mut self, sizes: Sizes) -> Sizes {
        std::mem::replace(&mut self.sizes, sizes)
    }

    /// Marks the members that can have nothing to say any more.
    pub(super) fn close(&self, levels: &mut Levels, open: u64, faces: &[FaceId]) {
        let index = self.kept.index();
        self.form.close(levels, open, |slot| index.face(faces[slot]).class == Class::Patterned);
    }

    /// All slots, as bits.
    pub(super) fn all_slots(&self) -> u64 {
        (1 << self.form.slots()) - 1
    }
}

/// A face among the options.
pub(super) fn find(options: &Options, face: FaceId) -> Option<Candidate> {
    let place = options.list.binary_search_by_key(&face, |candidate| candidate.face).ok()?;
    Some(options.list[place])
}

#[allow(clippy::cast_possible_wrap, reason = "a score is a few millionths, far below 2^63")]
pub(super) fn signed(score: u64) -> i64 {
    score as i64
}
