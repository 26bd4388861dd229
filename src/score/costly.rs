//! Scorers that fail, and scorers that take long over a card: how long the search goes on with them.

use super::small::{Dice, small_stash, table};
use super::suggest::{Answer, Ask, suggest};
use super::{Jury, checked};
use crate::index;
use crate::stash::Date;
use api::{API_VERSION, CardView, Gather, Manifest, Ranges, Scorer, Subject, Worth};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A judge of cards that counts how often it is asked.
struct Judge {
    manifest: Manifest,
    asked: Arc<AtomicU64>,
    takes: u64,
    fails_at: u64,
}

impl Scorer for Judge {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }
    fn card(&self, card: &CardView<'_>) -> Option<Worth> {
        self.asked.fetch_add(1, Ordering::Relaxed);
        // No two cards alike, so that the list is not full of the first that come.
        let sum = card.pieces.iter().flat_map(|piece| piece.paper.name.bytes());
        let sum = sum.fold(7_u32, |sum, byte| sum.wrapping_mul(31).wrapping_add(u32::from(byte)));
        Worth::from_millionths(sum % 1_000_000)
    }
    fn card_took(&self) -> u64 {
        self.takes
    }
    fn has_failed(&self) -> bool {
        self.asked.load(Ordering::Relaxed) >= self.fails_at
    }
    fn why(&self, _: &Subject<'_>) -> String {
        "so it is".to_owned()
    }
}

/// A stash of which more than two hundred cards can be made.
const SEED: u64 = 28;

/// The list of a small stash, and how often the judge was asked for it.
fn judged(work: u64, takes: u64, fails_at: u64) -> (Answer, u64) {
    let stash = small_stash(&mut Dice(SEED));
    let index = index::build(&stash, Date(10));
    let (layouts, _) = checked(&stash);
    let asked = Arc::new(AtomicU64::new(0));
    let manifest = Manifest {
        name: "judge".to_owned(),
        title: String::new(),
        version: 1,
        api_version: API_VERSION,
        gather: Gather::Mean,
        neutral: Worth::HALF,
        ranges: Ranges { card: Some(Worth::ONE), ..Ranges::default() },
        weight: 1.0,
        knobs: Vec::new(),
    };
    let judge = Judge { manifest, asked: Arc::clone(&asked), takes, fails_at };
    let (jury, _) = Jury::seat(vec![Box::new(judge)], &stash.settings);
    let table = table(&stash, &index, &layouts, &jury);
    let ask = Ask { list: 24, work, ..Ask::new(&stash.settings) };
    let answer = suggest(table, &ask);
    (answer, asked.load(Ordering::Relaxed))
}

#[test]
fn a_search_ends_when_a_scorer_fails() {
    let (answer, asked) = judged(u64::MAX, 0, u64::MAX);
    assert!(answer.exact && asked > 200, "too small to tell: {asked} cards");
    let (answer, asked) = judged(u64::MAX, 0, 3);
    // The reasons of the few cards listed are asked for, too.
    assert!(!answer.exact && asked <= 3 + 24, "{asked} cards were judged in vain");
}

#[test]
fn what_a_scorer_takes_counts_as_work() {
    let (_, quick) = judged(1_000_000, 0, u64::MAX);
    let (answer, slow) = judged(1_000_000, 100_000, u64::MAX);
    assert!(!answer.exact && slow <= 10 + 24 && slow < quick, "{slow} of {quick} cards");
}
