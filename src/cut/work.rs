//! Work done so far, counted in steps, and the safety stop.

/// Steps between two looks at the safety stop.
const LOOK: u64 = 20_000_000;

/// A counter of steps. Where work runs out, only the count decides, so the same input ends at the
/// same place on any machine; the safety stop is asked now and then, and whether it struck is known.
pub(super) struct Work<'a> {
    done: u64,
    look: u64,
    stop: Option<&'a dyn Fn() -> bool>,
    stopped: bool,
}

impl<'a> Work<'a> {
    pub(super) fn new(stop: Option<&'a dyn Fn() -> bool>) -> Self {
        Self { done: 0, look: LOOK, stop, stopped: stop.is_some_and(|stop| stop()) }
    }

    /// A part of the work that goes on elsewhere, with so many steps done.
    pub(super) fn begun(done: u64, stop: &'a dyn Fn() -> bool) -> Self {
        Self { done, look: done.saturating_add(LOOK), stop: Some(stop), stopped: false }
    }

    pub(super) fn add(&mut self, steps: u64) {
        self.done = self.done.saturating_add(steps);
        if self.done >= self.look {
            self.look = self.done.saturating_add(LOOK);
            self.stopped |= self.stop.is_some_and(|stop| stop());
        }
    }

    /// What was done elsewhere, and whether the safety stop struck there.
    pub(super) fn take(&mut self, steps: u64, stopped: bool) {
        self.done = self.done.saturating_add(steps);
        self.stopped |= stopped;
    }

    /// Whether `limit` steps are done, or the safety stop struck.
    pub(super) fn past(&self, limit: u64) -> bool {
        self.done >= limit || self.stopped
    }

    /// Whether to end at once, asked of whoever may say so; for work that is counted elsewhere.
    pub(super) fn stop(&self) -> Option<&'a dyn Fn() -> bool> {
        self.stop
    }

    pub(super) fn done(&self) -> u64 {
        self.done
    }

    pub(super) fn stopped(&self) -> bool {
        self.stopped
    }
}
