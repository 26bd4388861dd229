//! Two searches side by side, on two cores where there are two: a plan to begin with in, the better of the
//! two plans out, and the same one on any machine.
//!
//! They differ in their random numbers only and know nothing of one another, but that the one which comes
//! down to what no plan can beat ends the other. Which one that is, is decided by the steps done: a search
//! goes on for as many steps as the other had done when it ended, however slow its core is.

use super::ruin::improve;
use super::{Aim, Filled, Job};
use crate::cut::work::Work;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;
use std::time::Duration;

/// With fewer steps than this to go, a second search is not worth a thread.
const WORTH_TWO: u64 = 5_000_000;
/// How long to wait before the safety stop is asked again.
const LOOK: Duration = Duration::from_millis(5);

/// What a plan is sought for.
pub(super) struct Asked<'a> {
    pub(super) job: &'a Job,
    /// No plan costs less.
    pub(super) lower: i64,
    /// The steps that may be done by then.
    pub(super) limit: u64,
}

impl Asked<'_> {
    /// How much is left out, and the cost: less is better.
    fn measure(&self, filled: &Filled) -> (i64, i64) {
        let of = |item: &usize| {
            let item = &self.job.items[*item];
            if self.job.aim == Aim::Value { item.weight } else { item.area() }
        };
        (filled.out.iter().map(of).fold(0, i64::saturating_add), filled.cost)
    }

    /// Whether no plan is better.
    fn is_best(&self, filled: &Filled) -> bool {
        filled.out.is_empty() && (self.job.aim == Aim::Value || filled.cost <= self.lower)
    }
}

/// The better plan of two searches that begin with `begin`; steps are counted as those of one.
pub(super) fn improved(asked: &Asked<'_>, begin: &Filled, work: &mut Work<'_>) -> Filled {
    let begun = work.done();
    if asked.limit.saturating_sub(begun) < WORTH_TWO {
        return improve(asked, 1, begin, work, &|_| false);
    }
    // The fewest steps with which a search ended since no plan is better.
    let ended = AtomicU64::new(u64::MAX);
    let struck = AtomicBool::new(false);
    let one = |seed: u64, stop: &dyn Fn() -> bool| {
        let mut own = Work::begun(begun, stop);
        let found = improve(asked, seed, begin, &mut own, &|done| done > ended.load(Ordering::Relaxed));
        if asked.is_best(&found) {
            ended.fetch_min(own.done(), Ordering::Relaxed);
        }
        (found, own.done())
    };
    let asks = || {
        if work.stop().is_some_and(|stop| stop()) {
            struck.store(true, Ordering::Relaxed);
        }
        struck.load(Ordering::Relaxed)
    };
    let (first, second) = thread::scope(|scope| {
        let other = scope.spawn(|| one(2, &|| struck.load(Ordering::Relaxed)));
        let first = one(1, &asks);
        while !other.is_finished() {
            asks();
            thread::sleep(LOOK);
        }
        (first, other.join().unwrap_or_else(|broken| resume_unwind(broken)))
    });
    let (best, steps) = better(asked, first, second);
    work.take(steps.saturating_sub(begun), struck.load(Ordering::Relaxed));
    best
}

/// The better of two plans with the steps they took, of the best ones the one that took fewer.
fn better(asked: &Asked<'_>, first: (Filled, u64), second: (Filled, u64)) -> (Filled, u64) {
    let key = |(found, steps): &(Filled, u64)| (asked.measure(found), if asked.is_best(found) { *steps } else { 0 });
    if key(&second) < key(&first) { second } else { first }
}
