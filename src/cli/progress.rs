//! Says on stderr what takes longer than a second, and nothing of what does not.

use std::io::{IsTerminal, Write};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// What is done without a word.
const SILENCE: Duration = Duration::from_secs(1);
/// How often a terminal's line is written again.
const TICK: Duration = Duration::from_millis(200);
/// How long until a second line where nobody can write over one; each further wait is twice as long.
const LINE: Duration = Duration::from_secs(10);

/// In place of how many there are: the count is per cent of the work allowed.
const OF_WORK: usize = usize::MAX;

/// Something under way. It is told of until this is dropped.
#[derive(Debug)]
pub(super) struct Progress {
    stop: Option<Sender<()>>,
    teller: Option<JoinHandle<()>>,
    count: std::sync::Arc<[AtomicUsize; 2]>,
}

impl Progress {
    /// Begins: `what` is as in "looking at the pictures".
    pub(super) fn begin(what: &'static str) -> Self {
        let (stop, stopped) = channel::<()>();
        let count = std::sync::Arc::new([AtomicUsize::new(0), AtomicUsize::new(0)]);
        let counted = std::sync::Arc::clone(&count);
        let teller = std::thread::spawn(move || {
            let begun = Instant::now();
            let is_terminal = std::io::stderr().is_terminal();
            let mut wait = SILENCE;
            let mut has_told = false;
            while stopped.recv_timeout(wait) == Err(RecvTimeoutError::Timeout) {
                let line = line(what, &counted, begun.elapsed());
                // Whether anyone reads it makes no difference to what is done.
                let _ = if is_terminal {
                    write!(std::io::stderr(), "\r{line}\u{1b}[K")
                } else {
                    writeln!(std::io::stderr(), "{line}")
                };
                wait = match (is_terminal, has_told) {
                    (true, _) => TICK,
                    (false, false) => LINE,
                    (false, true) => wait * 2,
                };
                has_told = true;
            }
            if is_terminal && has_told {
                let _ = write!(std::io::stderr(), "\r\u{1b}[K");
            }
        });
        Self { stop: Some(stop), teller: Some(teller), count }
    }

    /// So much of the work allowed is done: at the end of it comes the best found so far, if it is not proven
    /// to be the best before.
    pub(super) fn spent(&self, work: u64, allowed: u64) {
        let share = u128::from(work.min(allowed)) * 100 / u128::from(allowed.max(1));
        self.count[0].store(usize::try_from(share).unwrap_or(100), Ordering::Relaxed);
        self.count[1].store(OF_WORK, Ordering::Relaxed);
    }

    /// So many of so many are done.
    pub(super) fn at(&self, done: usize, of: usize) {
        self.count[0].store(done, Ordering::Relaxed);
        self.count[1].store(of, Ordering::Relaxed);
    }
}

fn line(what: &str, count: &[AtomicUsize; 2], taken: Duration) -> String {
    let [done, of] = [0, 1].map(|place: usize| count[place].load(Ordering::Relaxed));
    let so_many = match of {
        0 => String::new(),
        OF_WORK => format!(", {done} % of the work allowed"),
        of => format!(", {done} of {of}"),
    };
    format!("{what}{so_many} ({} s)", taken.as_secs())
}

impl Drop for Progress {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(teller) = self.teller.take() {
            let _ = teller.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_says_what_how_far_and_how_long() {
        let count = [AtomicUsize::new(0), AtomicUsize::new(0)];
        let told = |count: &[AtomicUsize; 2]| line("looking at the pictures", count, Duration::from_millis(2_500));
        assert_eq!(told(&count), "looking at the pictures (2 s)");
        count[0].store(30, Ordering::Relaxed);
        count[1].store(OF_WORK, Ordering::Relaxed);
        assert_eq!(told(&count), "looking at the pictures, 30 % of the work allowed (2 s)");
        count[0].store(3, Ordering::Relaxed);
        count[1].store(44, Ordering::Relaxed);
        assert_eq!(told(&count), "looking at the pictures, 3 of 44 (2 s)");
    }
}
