//! The slots still open on a card in the making: which faces could still make it good enough, and the
//! most it could score with them.
//!
//! Every face chosen leaves fewer for the slots it meets. What is left is handed down from one choice to
//! the next, so that a face that cannot help is looked at once and not again.

use super::form::slots_in;
use super::jury::LANES;
use super::labels::{Label, Labels, most_joined};
use super::rest::{Candidate, MANY, OPEN, Rest, signed};
use crate::index::FaceId;
use std::sync::Arc;

/// So often are slots held against one another, at most.
const ROUNDS: usize = 3;
/// A part that takes more labels than this is bounded slot by slot instead of settled.
const MOST_TO_SETTLE: u64 = 300;

/// A face for an open slot, with what it adds in the company it has so far.
#[derive(Clone, Copy, Debug)]
struct Hope {
    of: Candidate,
    label: Label,
}

/// For open slots, the faces with which a card could be good enough.
#[derive(Clone, Debug, Default)]
pub(super) struct Hopes {
    /// By slot; a slot that is filled, or that very many faces could fill, has none.
    slots: Vec<(usize, Vec<Hope>)>,
}

impl Hopes {
    fn of(&self, slot: usize) -> Option<&[Hope]> {
        let place = self.slots.binary_search_by_key(&slot, |(slot, _)| *slot).ok()?;
        Some(&self.slots[place].1)
    }

    /// The faces left for a slot, in the order of ids; `None` where they were not looked at one by one.
    pub(super) fn faces(&self, slot: usize) -> Option<Vec<FaceId>> {
        Some(self.of(slot)?.iter().map(|hope| hope.of.face).collect())
    }

    /// Whether a face may be left out for a slot.
    pub(super) fn rule_out(&self, slot: usize, face: FaceId) -> bool {
        self.of(slot).is_some_and(|left| left.binary_search_by_key(&face, |hope| hope.of.face).is_err())
    }
}

/// What is looked for.
#[derive(Clone, Copy)]
pub(super) struct Wanted {
    /// A card is good enough if it scores more than this, before its changes are paid for.
    pub(super) enough: i64,
    /// What is chosen, and all that is certain.
    pub(super) so_far: Label,
    /// The slots still open, as bits.
    pub(super) open: u64,
}

impl Rest<'_, '_, '_> {
    /// The faces for the open slots with which a card could be good enough if all other slots did as well as
    /// each can for itself; `None` where a slot has none.
    pub(super) fn hopes(&mut self, wanted: Wanted, faces: &[FaceId]) -> Option<Hopes> {
        let mut hopes = Hopes::default();
        for slot in slots_in(wanted.open) {
            let options = self.options(slot);
            if options.list.len() <= MANY {
                let hope = |of: &Candidate| Hope { of: *of, label: Label::open([0; LANES]) };
                hopes.slots.push((slot, options.list.iter().map(hope).collect()));
            }
        }
        self.left_of(hopes, wanted, faces, u64::MAX)
    }

    /// What is left of hopes after a face was chosen for `filled`.
    pub(super) fn left(&mut self, hopes: &Hopes, wanted: Wanted, faces: &[FaceId], filled: usize) -> Option<Hopes> {
        let open = hopes.slots.iter().filter(|(slot, _)| wanted.open & (1 << slot) != 0);
        let meets = self.form.meets[filled];
        self.left_of(Hopes { slots: open.cloned().collect() }, wanted, faces, meets)
    }

    /// Leaves out what cannot be good enough; the labels of the slots `met` are made anew.
    fn left_of(&mut self, mut hopes: Hopes, wanted: Wanted, faces: &[FaceId], met: u64) -> Option<Hopes> {
        let looked_at = hopes.slots.iter().fold(0, |bits, (slot, _)| bits | 1_u64 << slot);
        let certain = wanted.so_far.add
            + self.form.means_inside(wanted.open)
            + slots_in(wanted.open & !looked_at).map(|slot| self.most_added(slot, faces)).sum::<u64>();
        let mut adds = Vec::with_capacity(hopes.slots.len());
        for (slot, left) in &hopes.slots {
            let anew = met & (1 << slot) != 0;
            adds.push(if anew { self.most_added(*slot, faces) } else { most_of(left) });
        }
        let mut most: u64 = adds.iter().sum();
        let mut caps = wanted.so_far;
        for round in 0..ROUNDS {
            let before = (caps, most);
            for (place, (slot, left)) in hopes.slots.iter_mut().enumerate() {
                let anew = round == 0 && met & (1 << *slot) != 0;
                let company = if anew { Some(self.company(*slot, faces)) } else { None };
                let others = certain + most - adds[place];
                let mut held = Label::open([0; LANES]);
                let silence = self.form.silence;
                left.retain_mut(|hope| {
                    if let Some(company) = &company {
                        let Some(label) = self.label(company, hope.of.face, hope.of.piece) else { return false };
                        hope.label = label.held_to(&hope.of.ahead);
                    }
                    let worth = silence.of(&hope.label.held_to(&caps.levels).levels) + hope.label.add + others;
                    let good = signed(worth) > wanted.enough;
                    if good {
                        held = held.or_better(&hope.label);
                    }
                    good
                });
                if left.is_empty() {
                    return None;
                }
                caps = caps.held_to(&held.levels);
                most = most - adds[place] + held.add;
                adds[place] = held.add;
            }
            if (caps, most) == before {
                break;
            }
        }
        Some(hopes)
    }

    /// The most that a slot can add beside levels, in its company so far.
    fn most_added(&mut self, slot: usize, faces: &[FaceId]) -> u64 {
        self.best_piece(slot) + self.form.means_towards(slot, |other| faces[other] != OPEN)
    }

    /// The most that a card could score with what is left, if it is good enough.
    pub(super) fn most_hoped(&mut self, hopes: &Hopes, wanted: Wanted, faces: &mut [FaceId]) -> Option<i64> {
        let mut so_far = wanted.so_far;
        let mut sets = Vec::new();
        for part in self.form.parts(wanted.open) {
            if slots_in(part).all(|slot| hopes.of(slot).is_some()) && self.takes(part, hopes) <= MOST_TO_SETTLE {
                sets.push(Arc::new(self.settled(part, hopes, faces)));
                continue;
            }
            so_far.add += self.form.means_inside(part);
            for slot in slots_in(part) {
                match hopes.of(slot) {
                    Some(left) => sets.push(Arc::new(Labels::of(left.iter().map(|hope| hope.label).collect()))),
                    None => so_far.add += self.most_added(slot, faces),
                }
            }
        }
        most_joined(wanted.enough, &so_far, &sets, &self.form.silence).map(signed)
    }

    /// How many labels it takes to settle a part exactly.
    fn takes(&self, part: u64, hopes: &Hopes) -> u64 {
        let hub = self.form.hub(part);
        let parts = self.form.parts(part & !(1 << hub));
        let each: u64 = parts.into_iter().fold(1, |sum, part| sum.saturating_add(self.takes(part, hopes)));
        each.saturating_mul(hopes.of(hub).map_or(u64::MAX, |left| left.len() as u64))
    }

    /// The ways to fill a part of the open slots with what is left, in the company of the faces around it.
    fn settled(&mut self, part: u64, hopes: &Hopes, faces: &mut [FaceId]) -> Labels {
        let hub = self.form.hub(part);
        let parts = self.form.parts(part & !(1 << hub));
        let company = self.company(hub, faces);
        let mut ways = Vec::new();
        for hope in hopes.of(hub).unwrap_or_default() {
            let Some(label) = self.label(&company, hope.of.face, hope.of.piece) else { continue };
            let label = label.held_to(&hope.of.ahead);
            faces[hub] = hope.of.face;
            let mut joined = Labels::one(label);
            for part in &parts {
                joined = joined.join(&self.settled(*part, hopes, faces));
            }
            faces[hub] = OPEN;
            ways.extend(joined.each());
        }
        Labels::of(ways)
    }
}

/// The most that any of what is left adds.
fn most_of(left: &[Hope]) -> u64 {
    left.iter().map(|hope| hope.label.add).max().unwrap_or(0)
}
