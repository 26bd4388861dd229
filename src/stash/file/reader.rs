//! What a whole run of reading knows: the files, the settings that give bare numbers their
//! meaning, and the list of problems. It reads nothing itself.

use super::pictures::Pictures;
use crate::problem::{Fault, Place, Problem, Source, nearest};
use crate::stash::Date;
use api::units::{Region, Unit};
use std::cell::{Cell, RefCell};
use std::ops::Range;

/// How many words may be compared in a run to find near names: a stash in which every line is
/// mistyped must not take minutes. Far more than a person's mistakes need.
const COMPARISONS: usize = 300_000;

/// So many problems of one file are told; nobody reads more at once.
const TOLD: usize = 1_000;

/// One run of reading a stash.
pub(super) struct Reader<'s> {
    /// Its files, in order.
    pub(super) sources: &'s [Source],
    /// The unit of a bare number.
    pub(super) unit: Unit,
    /// Whose names a bare `A2` means.
    pub(super) region: Region,
    /// Today, where somebody said so.
    pub(super) today: Option<Date>,
    /// The pictures beside the files.
    pub(super) pictures: Pictures,
    problems: RefCell<Vec<Problem>>,
    /// How many problems each file has.
    counts: RefCell<Vec<usize>>,
    comparisons: Cell<usize>,
}

impl<'s> Reader<'s> {
    /// A run over these files.
    pub(super) fn new(sources: &'s [Source], pictures: Pictures, today: Option<Date>) -> Self {
        Self {
            sources,
            unit: Unit::Inch,
            region: Region::Us,
            today,
            pictures,
            problems: RefCell::default(),
            counts: RefCell::new(vec![0; sources.len()]),
            comparisons: Cell::new(COMPARISONS),
        }
    }

    /// Notes a problem in one of the files. Beyond [`TOLD`] of a file they are only counted, and
    /// not even put into words.
    pub(super) fn tell(&self, source: usize, problem: impl FnOnce() -> Problem) {
        let mut counts = self.counts.borrow_mut();
        counts[source] += 1;
        if counts[source] <= TOLD {
            drop(counts);
            let problem = problem();
            self.problems.borrow_mut().push(problem);
        }
    }

    /// All problems noted.
    pub(super) fn into_problems(self) -> Vec<Problem> {
        let mut problems = self.problems.into_inner();
        for (source, &count) in self.sources.iter().zip(self.counts.borrow().iter()) {
            if count > TOLD {
                let end = source.text.len();
                problems.push(Problem::new(source.place(end..end), Fault::MoreProblems { more: count - TOLD }));
            }
        }
        problems
    }

    /// Where something stands.
    pub(super) fn place(&self, origin: &Origin) -> Place {
        self.sources[origin.source].place(origin.span.clone())
    }

    /// The near name for a mistyped one, as long as the run has comparisons left.
    pub(super) fn nearest<'a>(&self, written: &str, words: impl IntoIterator<Item = &'a str>) -> Option<String> {
        let left = self.comparisons.get();
        let mut seen = 0;
        let found = nearest(written, words.into_iter().take(left).inspect(|_| seen += 1)).map(str::to_owned);
        self.comparisons.set(left - seen);
        found
    }
}

/// Where something stands, in few bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Origin {
    /// The file, as a place in the run's sources.
    pub(super) source: usize,
    /// The bytes.
    pub(super) span: Range<usize>,
}
