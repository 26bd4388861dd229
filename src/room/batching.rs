//! The room as it is for a batch: what the maker chose in, a plan out.

use super::Room;
use super::asked::{BatchChoices, Choices, NoBatch, UnknownId};
use crate::batch::{self, Design, Far, Plan, PlanAsk};
use crate::score::{Jury, Table};
use std::collections::BTreeSet;

impl Room {
    /// The room as it is for a batch, and the question.
    ///
    /// # Errors
    /// Ids that name nothing here, or an occasion that no layout is for.
    pub fn arranged_for_batch(self, choices: &BatchChoices) -> Result<(Self, PlanAsk), NoBatch> {
        let (must_use, leave_out) = (choices.must_use.clone(), choices.spare.clone());
        let usual = Choices { must_use, leave_out, ..Choices::default() };
        let (mut room, _) = self.arranged(&usual).map_err(NoBatch::Unknown)?;
        if let Some(occasion) = &choices.occasion {
            let is_it = |other: &String| other.to_lowercase() == occasion.to_lowercase();
            let all: BTreeSet<String> = room.layouts.iter().flat_map(|layout| layout.occasions.clone()).collect();
            if !all.iter().any(is_it) {
                return Err(NoBatch::UnknownOccasion { occasion: occasion.clone(), all: all.into_iter().collect() });
            }
            room.layouts.retain(|layout| layout.occasions.is_empty() || layout.occasions.iter().any(is_it));
        }
        let mut ask = PlanAsk::of(choices.cards);
        for id in &choices.must_use {
            let faces = room.faces_named(id);
            if faces.is_empty() {
                ask.use_stock.extend(room.stock_named(id));
            } else {
                ask.use_faces.extend(faces);
            }
        }
        if let Some((low, high)) = choices.each {
            ask.each = low..=high;
        }
        ask.designs = choices.designs;
        ask.every_layout = choices.occasion.is_none();
        ask.goals.clone_from(&room.stash.settings.goals);
        ask.work = choices.work.unwrap_or(ask.work);
        Ok((room, ask))
    }

    /// Plans a batch, round by round where some of an earlier plan is settled. `stop` may end it early;
    /// `told` hears how far it is. What is planned, and what was asked in the last round.
    ///
    /// # Errors
    /// Ids of settled cards that are not in the plan before.
    pub fn plan(
        &self,
        ask: &PlanAsk,
        rounds: &[Vec<String>],
        stop: &dyn Fn() -> bool,
        told: &dyn Fn(Far),
    ) -> Result<(PlanAsk, Plan), Vec<UnknownId>> {
        let mut ask = ask.clone();
        let mut plan = self.plan_once(&ask, stop, told);
        for settled in rounds {
            let known = || plan.designs.iter().map(|design| design.card.id.as_str());
            let unknown = settled.iter().filter(|id| known().all(|known| known != id.as_str()));
            let unknown: Vec<UnknownId> = unknown
                .map(|id| UnknownId {
                    id: id.clone(),
                    nearest: crate::problem::nearest(id, known()).map(str::to_owned),
                })
                .collect();
            if !unknown.is_empty() {
                return Err(unknown);
            }
            let (kept, others): (Vec<Design>, Vec<Design>) =
                plan.designs.into_iter().partition(|design| settled.contains(&design.card.id));
            ask.earlier.settled = kept;
            ask.earlier.turned_down.extend(others.into_iter().map(|design| design.card));
            plan = self.plan_once(&ask, stop, told);
        }
        Ok((ask, plan))
    }

    fn plan_once(&self, ask: &PlanAsk, stop: &dyn Fn() -> bool, told: &dyn Fn(Far)) -> Plan {
        let plan = |jury: &Jury| {
            let failed = self.scripts.failed();
            // What is planned with a script that has failed is thrown away.
            let stop = || stop() || self.scripts.failed() != failed;
            let on = self.on();
            batch::plan(batch::On { table: Table { jury, ..on.table }, ..on }, ask, &stop, told)
        };
        self.by_sound_jury(|| plan(&self.jury), plan)
    }

    /// What a plan is made from, and checked against.
    #[must_use]
    pub fn on(&self) -> batch::On<'_> {
        batch::On { table: self.table(), stash: &self.stash, today: self.today }
    }
}
