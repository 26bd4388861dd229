//! Which papers promise most in a slot, whatever the sizes: the order in which they are looked at, and
//! where looking may stop.

use super::hopes::Wanted;
use super::jury::IN_ROLE;
use super::labels::{Label, Levels};
use super::rest::{Candidate, MANY, OPEN, Rest, Sizes, find, signed};
use super::tables::place_of;
use crate::index::{Class, FaceId};
use api::Relation;
use std::sync::Arc;

/// Rows against classes larger than this are not made merely to rank faces.
const SHORT_CLASS: usize = 512;

/// Faces, each with the most that a card could score that has it in a slot; the highest first, then
/// in the order of ids.
pub(super) type Ranked = Vec<(i64, FaceId)>;

impl Rest<'_, '_, '_> {
    /// Ranks the faces of a slot by the most a card could score with each, at any size: a loose bound
    /// from what each face finds in its neighbours' classes.
    pub(super) fn ranked(&mut self, slot: usize) -> Arc<Ranked> {
        if let Some(known) = &self.of_structure().ranked[slot] {
            return Arc::clone(known);
        }
        let before = self.ask_at(Sizes::Any);
        let others: u64 =
            (0..self.form.slots()).filter(|other| *other != slot).map(|other| self.best_piece(other)).sum();
        let certain = self.form.certain + self.form.means_within(u64::MAX) + self.unjudged() + others;
        let options = self.options(slot);
        let mut ranked = Ranked::with_capacity(options.list.len());
        for Candidate { face, piece, ahead } in options.list.iter() {
            ranked.push((signed(self.form.silence.of(ahead) + certain + piece), *face));
        }
        self.ask_at(before);
        ranked.sort_unstable_by_key(|(most, face)| (std::cmp::Reverse(*most), *face));
        let ranked = Arc::new(ranked);
        self.of_structure().ranked[slot] = Some(Arc::clone(&ranked));
        ranked
    }

    /// Ranks the papers of a slot by [`Self::most_alone`], unless that was not done before and there
    /// are few: then as [`Self::ranked`].
    pub(super) fn ranked_well(&mut self, slot: usize, even_few: bool) -> Arc<Ranked> {
        let loosely = self.ranked(slot);
        let known = self.of_structure().ranked_well[slot].is_some();
        if self.form.papers < 2 || (loosely.len() <= MANY && !even_few && !known) {
            return loosely;
        }
        if let Some(known) = &self.of_structure().ranked_well[slot] {
            return Arc::clone(known);
        }
        let mut ranked: Ranked = loosely.iter().map(|(_, face)| (self.most_alone(slot, *face), *face)).collect();
        ranked.sort_unstable_by_key(|(most, face)| (std::cmp::Reverse(*most), *face));
        let ranked = Arc::new(ranked);
        self.of_structure().ranked_well[slot] = Some(Arc::clone(&ranked));
        ranked
    }

    /// The most a card could score, at any size, with a face in a slot if the slots for the other
    /// papers could hold what they liked.
    pub(super) fn most_alone(&mut self, slot: usize, face: FaceId) -> i64 {
        if let Some(known) = self.of_structure().alone.get(&(slot, face)) {
            return *known;
        }
        let before = self.ask_at(Sizes::Any);
        let papers = self.form.order[..self.form.papers].iter().fold(0, |bits, slot| bits | 1_u64 << slot);
        let open = self.all_slots() & !papers;
        let certain = self.form.certain + self.unjudged() + self.ahead(papers & !(1 << slot));
        let mut faces = vec![OPEN; self.form.slots()];
        faces[slot] = face;
        let most = find(&self.options(slot), face).and_then(|candidate| {
            let label = Label { levels: self.form.opening(), add: candidate.piece + certain };
            let wanted = Wanted { enough: -1, so_far: label.held_to(&candidate.ahead), open };
            let hopes = self.hopes(wanted, &faces)?;
            self.most_hoped(&hopes, wanted, &mut faces)
        });
        self.ask_at(before);
        let most = most.unwrap_or(i64::MIN);
        self.of_structure().alone.insert((slot, face), most);
        most
    }

    /// The best there is for a face among its neighbours' classes, relation by relation.
    pub(super) fn levels_ahead(&mut self, slot: usize, face: FaceId) -> Levels {
        let index = self.kept.index();
        let patterned = index.face(face).class == Class::Patterned;
        let mut levels = self.form.opening();
        if let Some(row) = self.kept.tables.in_role(self.form.network.slots[slot].role) {
            levels[IN_ROLE] = levels[IN_ROLE].min(row.level(face));
        }
        for joint in &self.form.joints[slot] {
            let [class] = self.form.classes[joint.other].as_slice() else { continue };
            let silent = joint.relation == Relation::SameCard && !(patterned && *class == Class::Patterned);
            if silent || index.class(*class).len() > SHORT_CLASS {
                continue;
            }
            let row = self.kept.tables.row(joint.relation, joint.other_end().other(), face, *class);
            let level = &mut levels[place_of(joint.relation)];
            *level = (*level).min(row.best);
        }
        levels
    }
}
