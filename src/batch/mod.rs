//! Step 6, *choose a batch*: what is on hand and what is asked for in; which cards, how many of each,
//! every piece from a sheet that is promised once, and the most that any plan could make, out.
//!
//! `pool` asks the best-k search for candidates, `joint` asks `cut` whether all pieces of some cards
//! can be cut together, `search` chooses, `relax` says what no plan can beat (`docs/batches.md`),
//! `sheets` plans the cuts that are made, and [`check`] looks at the whole once more, with code of its
//! own. Nothing here reads a file or looks at a clock.

mod ask;
mod bound;
mod check;
mod cut_out;
mod dotted;
mod hints;
mod hollowed;
mod joint;
mod levelling;
mod lp;
mod needs;
mod pool;
mod relax;
mod search;
mod sheets;
mod spoilt;
mod stretch;
mod value;

pub use ask::{Earlier, PlanAsk};
pub use check::{Wrong, check};
pub use cut_out::{CutOut, HoleOnSheet};
pub use hints::{Help, Hints};
pub use levelling::Slip;
pub use sheets::{Leftover, Placed, PlacedFor, PlanSheet};
pub use spoilt::{Mending, mending};

use crate::assemble::Built;
use crate::cut::Step;
use crate::score::{Suggestion, Table};
pub use crate::stash::Goal;
use crate::stash::{Date, Stash};
use api::units::Length;

#[cfg(test)]
mod agree;
#[cfg(test)]
mod middles_agree;

/// One design of a plan.
#[derive(Clone, Debug)]
pub struct Design {
    /// The card; its stock is what the plan cuts it from.
    pub card: Suggestion,
    /// How many are made.
    pub count: u32,
}

/// A plan for a batch.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The cards, best first.
    pub designs: Vec<Design>,
    /// Each design as built.
    pub built: Vec<Built>,
    /// What goes beneath their layers.
    pub levelling: Vec<Slip>,
    /// How many cards are made.
    pub made: u32,
    /// No plan from this stash makes more, however many are asked for.
    pub at_most: u64,
    /// Every sheet that is cut or used whole.
    pub sheets: Vec<PlanSheet>,
    /// The cuts in order, those of one trimmer setting together where that can be.
    pub steps: Vec<Step>,
    /// The settings of the trimmer, in order of use.
    pub guide_settings: Vec<Length>,
    /// What is left of the sheets.
    pub leftovers: Vec<Leftover>,
    /// What would help most, and what is good for nothing.
    pub hints: Hints,
    /// Whether the wall clock ended the search before its work was done.
    pub cut_short: bool,
    /// Work done.
    pub work: u64,
}

impl Plan {
    /// Whether no plan makes more cards.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        u64::from(self.made) >= self.at_most
    }
}

/// How far a search is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Far {
    /// Cards planned so far.
    pub made: u32,
    /// No plan from this stash makes more.
    pub at_most: u64,
}

/// Everything a plan is made from.
#[derive(Clone, Copy)]
pub struct On<'a> {
    /// What everything is looked up in.
    pub table: Table<'a>,
    /// The stash.
    pub stash: &'a Stash,
    /// The day ages are counted to.
    pub today: Date,
}

/// Plans a batch. `stop` is asked now and then whether to end at once; `told` hears how many cards
/// are planned so far, and how many there could be at most.
#[must_use]
pub fn plan(on: On<'_>, ask: &PlanAsk, stop: &dyn Fn() -> bool, told: &dyn Fn(Far)) -> Plan {
    let mut search = search::Search::new(on, ask, stop, told);
    let relaxed = relax::Relaxed::new(on.table, ask);
    let priced = bound::bound(&relaxed, ask, stop);
    let chosen = search.run(&relaxed, &priced);
    let (designs, mut cuts) = sheets::realise(on, &search, &chosen, ask);
    let (built, levelling, scraps) = levelling::levelled(on.table, &designs, &cuts.sheets);
    cuts.sheets.extend(scraps);
    let made = designs.iter().map(|design| design.count).sum();
    let hints = hints::hints(on, &relaxed, &priced, &designs, ask);
    let plan = Plan {
        designs,
        built,
        levelling,
        made,
        at_most: priced.at_most.max(u64::from(made)),
        sheets: cuts.sheets,
        steps: cuts.steps,
        guide_settings: cuts.guide_settings,
        leftovers: cuts.leftovers,
        hints,
        cut_short: search.was_stopped(),
        work: search.work(),
    };
    debug_assert!(priced.at_most >= u64::from(made), "the bound is below what was made");
    debug_assert_eq!(check(on, ask, &plan), vec![], "a plan that breaks a rule");
    plan
}
