//! What the slots still open can add beside those already filled, exactly, without looking at cards
//! whole: slots that do not meet are settled apart, and what was settled is kept.
//!
//! Two ways of asking. *At the sizes drawn*: what is on hand for this variant. *At any size*: what
//! the structure could give if size were of no account; that is kept for all variants of that
//! structure, and for later questions.

use super::form::{Form, Structure, slots_in};
use super::groups::Groups;
use super::jury::{IN_ROLE, ONE};
use super::kept::Kept;
use super::labels::{Label, Labels, Levels, could_exceed};
use super::rank::Ranked;
use super::tables::{NONE, RoleRow, Row, place_of};
use crate::index::{Class, FaceId};
use crate::matching::could_be;
use api::{Material, Relation};
use std::collections::HashMap;
use std::sync::Arc;

/// No face has been chosen for a slot.
pub(super) const OPEN: FaceId = FaceId(u32::MAX);
/// So many sets of labels are kept for one structure before all of them are dropped.
const MOST_SETS: usize = 200_000;

/// A part with a slot that more faces than this could fill is not settled merely for a bound.
pub(super) const MANY: usize = 300;

/// A part that takes more labels than this is bounded slot by slot instead of settled.
const MOST_TO_SETTLE: u64 = 4_000;

/// Which sizes are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sizes {
    /// Any.
    Any,
    /// Those of the network.
    AsDrawn,
}

/// A part of the open slots, and the faces around it.
type Key = (u64, Vec<FaceId>);
/// Labels for parts in the company they were asked about in.
type Sets = HashMap<Key, Arc<Labels>>;

/// Labels for one slot beside its neighbours, open ones included.
type Singly = HashMap<(usize, Vec<FaceId>), Arc<Labels>>;

/// What is known of one structure at any size.
#[derive(Debug, Default)]
pub(super) struct OfStructure {
    sets: Sets,
    singly: Singly,
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

/// The faces a slot could take, in the order of ids.
pub(super) type Options = Vec<Candidate>;

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
    sets: Sets,
    singly: Singly,
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
        let (sets, singly, options) = (Sets::new(), Singly::new(), vec![None; slots]);
        Self { kept, form, sizes: Sizes::AsDrawn, structure, sets, singly, options }
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
        let mut options = Options::new();
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
                    Sizes::AsDrawn if could_be(index, of, index.face(*face)) => {
                        self.kept.worths(of, *face, slots).first().map(|(_, worth)| *worth)
                    }
                    Sizes::AsDrawn => None,
                };
                if let Some(piece) = piece {
                    options.push(Candidate { face: *face, piece, ahead: self.levels_ahead(slot, *face) });
                }
            }
        }
        options.sort_unstable_by_key(|candidate| candidate.face);
        let options = Arc::new(options);
        match self.sizes {
            Sizes::AsDrawn => self.options[slot] = Some(Arc::clone(&options)),
            Sizes::Any => self.of_structure().options[slot] = Some(Arc::clone(&options)),
        }
        options
    }

    /// What the piece of one face in a slot adds at most at the sizes drawn; `None` where it cannot be
    /// there.
    pub(super) fn piece(&mut self, slot: usize, face: FaceId) -> Option<u64> {
        let (index, of) = (self.kept.index(), &self.form.network.slots[slot]);
        if !could_be(index, of, index.face(face)) {
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
        self.options(slot).iter().map(short).min().unwrap_or(0)
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

    /// The ways to fill a part of the open slots, in the company of the faces around it.
    pub(super) fn ways(&mut self, part: u64, faces: &mut [FaceId]) -> Arc<Labels> {
        let around: Vec<FaceId> =
            slots_in(self.form.around(part)).map(|slot| faces[slot]).filter(|face| *face != OPEN).collect();
        // A single slot in company of two or more is asked about once or twice in that company.
        let keeps = part.count_ones() > 1 || around.len() < 2;
        let key = (part, around);
        if keeps {
            let sets = match self.sizes {
                Sizes::AsDrawn => &self.sets,
                Sizes::Any => &self.kept.store.known.of[self.structure].sets,
            };
            if let Some(known) = sets.get(&key) {
                return Arc::clone(known);
            }
        }
        let ways = Arc::new(self.find_ways(part, faces));
        if keeps {
            let sets = match self.sizes {
                Sizes::AsDrawn => &mut self.sets,
                Sizes::Any => &mut self.kept.store.known.of[self.structure].sets,
            };
            if sets.len() >= MOST_SETS {
                sets.clear();
            }
            sets.insert(key, Arc::clone(&ways));
        }
        ways
    }

    fn find_ways(&mut self, part: u64, faces: &mut [FaceId]) -> Labels {
        if self.takes(part) > MOST_TO_SETTLE {
            return self.find_ways_apart(part, faces);
        }
        let slot = self.form.hub(part);
        let parts = self.form.parts(part & !(1 << slot));
        let company = self.company(slot, faces);
        let mut ways = Labels::default();
        for Candidate { face, piece, .. } in self.options(slot).iter().copied() {
            let Some(label) = self.label(&company, face, piece) else { continue };
            if parts.is_empty() {
                ways.insert(label);
                continue;
            }
            faces[slot] = face;
            let joined = self.joined(Labels::one(label), &parts, faces);
            faces[slot] = OPEN;
            ways.extend(&joined);
        }
        ways
    }

    /// How many labels it takes to settle a part exactly.
    fn takes(&mut self, part: u64) -> u64 {
        let slot = self.form.hub(part);
        let parts = self.form.parts(part & !(1 << slot));
        let each: u64 = parts.into_iter().fold(1, |sum, part| sum.saturating_add(self.takes(part)));
        each.saturating_mul(self.options(slot).len() as u64)
    }

    /// The most the slots of a part could add if they did not meet one another, except that each
    /// face is held to the best its neighbours' classes have for it.
    fn find_ways_apart(&mut self, part: u64, faces: &[FaceId]) -> Labels {
        let mut joined = Labels::one(Label { levels: self.form.opening(), add: self.form.means_inside(part) });
        for slot in slots_in(part) {
            let company = self.company(slot, faces);
            let mut ways = Labels::default();
            for Candidate { face, piece, ahead } in self.options(slot).iter().copied() {
                if let Some(label) = self.label(&company, face, piece) {
                    ways.insert(label.held_to(&ahead));
                }
            }
            joined = joined.join(&ways);
        }
        joined
    }

    /// Ways so far joined with the ways of some parts; none where a part has none.
    pub(super) fn joined(&mut self, ways: Labels, parts: &[u64], faces: &mut [FaceId]) -> Labels {
        let mut joined = ways;
        for part in parts {
            if joined.is_empty() {
                break;
            }
            joined = joined.join(&self.ways(*part, faces));
        }
        joined
    }

    /// Ways so far joined with the ways of the parts that do not take too long; and what the others
    /// could add at most, in millionths.
    pub(super) fn joined_quickly(&mut self, ways: Labels, parts: &[u64], faces: &mut [FaceId]) -> (Labels, u64) {
        let (mut quick, mut left_out) = (Vec::new(), 0);
        for part in parts {
            if slots_in(*part).any(|slot| self.options(slot).len() > MANY) {
                left_out |= part;
            } else {
                quick.push(*part);
            }
        }
        let pieces: u64 = slots_in(left_out).map(|slot| self.best_piece(slot)).sum();
        let extra = if left_out == 0 { 0 } else { pieces + self.form.means_within(left_out) };
        (self.joined(ways, &quick, faces), extra)
    }

    /// The most that a piece in a slot can add, at the sizes asked for.
    pub(super) fn best_piece(&mut self, slot: usize) -> u64 {
        self.options(slot).iter().map(|candidate| candidate.piece).max().unwrap_or(0)
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

    /// The ways to fill one open slot beside those of its neighbours that are filled; an open neighbour is
    /// thought to hold whatever its class has best.
    fn singly(&mut self, slot: usize, faces: &[FaceId]) -> Arc<Labels> {
        let company: Vec<FaceId> = slots_in(self.form.meets[slot]).map(|other| faces[other]).collect();
        let key = (slot, company);
        let kept = match self.sizes {
            Sizes::AsDrawn => &self.singly,
            Sizes::Any => &self.kept.store.known.of[self.structure].singly,
        };
        if let Some(known) = kept.get(&key) {
            return Arc::clone(known);
        }
        let company = self.company(slot, faces);
        let mut ways = Labels::default();
        for Candidate { face, piece, ahead } in self.options(slot).iter() {
            if let Some(label) = self.label(&company, *face, *piece) {
                ways.insert(label.held_to(ahead));
            }
        }
        let ways = Arc::new(ways);
        let kept = match self.sizes {
            Sizes::AsDrawn => &mut self.singly,
            Sizes::Any => &mut self.kept.store.known.of[self.structure].singly,
        };
        if kept.len() >= MOST_SETS {
            kept.clear();
        }
        kept.insert(key, Arc::clone(&ways));
        ways
    }

    /// Whether each open slot, for itself, has a face with which a card could score more than `enough`
    /// beside what is chosen, where the others do as well as each of them can for itself: `so_far` holds
    /// the levels met and all that is certain.
    pub(super) fn could_exceed(&mut self, enough: i64, so_far: &Label, open: u64, faces: &[FaceId]) -> bool {
        let mut ways: Vec<Arc<Labels>> = Vec::new();
        let mut add = so_far.add + self.form.means_inside(open);
        for slot in slots_in(open) {
            if self.options(slot).len() > MANY {
                add += self.best_piece(slot) + self.form.means_within(1 << slot);
            } else {
                ways.push(self.singly(slot, faces));
            }
        }
        self.kept.work += ways.iter().map(|ways| ways.len() as u64).sum::<u64>();
        could_exceed(enough, &Label { levels: so_far.levels, add }, &ways, &self.form.silence)
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
    let place = options.binary_search_by_key(&face, |candidate| candidate.face).ok()?;
    Some(options[place])
}

#[allow(clippy::cast_possible_wrap, reason = "a score is a few millionths, far below 2^63")]
pub(super) fn signed(score: u64) -> i64 {
    score as i64
}
