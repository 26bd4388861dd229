//! Step 9, *record*: what happened to the stash in, entries of the ledger out, or why not.
//!
//! Whoever records locks the ledger first, reads it anew and checks against what is on hand then:
//! what a face knew when it asked may be old. Nothing here decides which cards to make.

mod cuts;
mod dots;
pub mod exchange;
mod made;
mod middles;
mod plain;
mod refused;
pub mod report;

pub use made::{DotsUsed, Kept, OffcutFile, PlanFile, made};
pub use plain::{Bought, Left, add, add_more, add_piece, found, given, lost, recount, undo, used};
pub use refused::Refused;

use crate::ledger::{Base, Book, Change, Entry, Folder, OnHand, Pen, Recorded, on_hand};
use crate::stash::{Date, fingerprint};
use std::collections::BTreeSet;
use std::path::Path;

/// Where entries go: a stash's folder, what its files say, the day, and who writes.
#[derive(Clone, Copy, Debug)]
pub struct Desk<'a> {
    /// The stash's folder.
    pub folder: &'a Path,
    /// The lines of the files, without the ledger.
    pub base: &'a Base,
    /// The papers of the files and what is on their backs: id, and the other side's.
    pub papers: &'a [(String, Option<String>)],
    /// The day.
    pub today: Date,
    /// Who writes, as whoever waits is told: "swatchfold made".
    pub who: &'a str,
}

/// What an entry is made from: the ledger as it is now, locked.
#[derive(Clone, Copy, Debug)]
pub struct Now<'a> {
    /// What is on hand.
    pub on_hand: &'a OnHand,
    /// The ledger.
    pub book: &'a Book,
}

/// What became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// The entry that is written for good.
    pub recorded: Recorded,
    /// The entry itself.
    pub entry: Entry,
    /// How many there are now of each line it changed that was there before.
    pub left: Vec<(String, u32)>,
    /// The file to which a torn end of the ledger was saved first, if there was one.
    pub set_aside: Option<String>,
}

impl Desk<'_> {
    /// Locks the ledger, makes an entry from what is on hand, and writes it for good.
    ///
    /// # Errors
    /// Why it was refused; then nothing is recorded.
    pub fn write(&self, make: impl FnOnce(Now<'_>) -> Result<Entry, Refused>) -> Result<Done, Refused> {
        let mut pen: Pen<Folder> = Folder::open(self.folder, self.who)?;
        let now = on_hand(self.base, pen.book(), None);
        let entry = make(Now { on_hand: &now, book: pen.book() })?;
        let recorded = pen.record(&fingerprint(self.base), &self.today.to_string(), entry.clone())?;
        let entry = Entry { number: recorded.entry, day: recorded.day.clone(), ..entry };
        let left = |change: &Change| {
            let had = now.lines.get(&change.id)?.count?;
            Some((change.id.clone(), u32::try_from(i64::from(had) + change.by).ok()?))
        };
        let left = entry.changes.iter().filter_map(left).collect();
        Ok(Done { recorded, entry, left, set_aside: pen.book().set_aside.clone() })
    }
}

/// Puts entries from elsewhere into a ledger in which nothing is recorded yet; how many there are.
///
/// # Errors
/// Where something is recorded already, or it could not be written; then nothing is recorded.
pub fn bring(desk: &Desk<'_>, entries: Vec<Entry>) -> Result<usize, Refused> {
    let mut pen: Pen<Folder> = Folder::open(desk.folder, desk.who)?;
    let has = pen.book().entries.len();
    if has > 0 {
        return Err(Refused::NotEmpty { entries: has });
    }
    let count = entries.len();
    pen.record_all(&fingerprint(desk.base), entries)?;
    Ok(count)
}

impl Now<'_> {
    /// New ids for pieces: `L1`, `L2` …, after every one that was ever given.
    pub fn piece_ids(&self) -> impl Iterator<Item = String> {
        let given = self.book.entries.iter().flat_map(|entry| entry.pieces.iter().map(|piece| piece.id.as_str()));
        ids('L', given, self.on_hand.lines.keys().cloned().collect())
    }

    /// New ids for finished cards: `C1`, `C2` ….
    pub fn card_ids(&self) -> impl Iterator<Item = String> {
        let given = self.book.entries.iter().flat_map(|entry| entry.cards.iter().map(|cards| cards.id.as_str()));
        ids('C', given, self.on_hand.lines.keys().cloned().collect())
    }
}

fn ids<'a>(
    letter: char,
    given: impl Iterator<Item = &'a str> + 'a,
    taken: BTreeSet<String>,
) -> impl Iterator<Item = String> {
    let number = |id: &str| id.strip_prefix(letter).and_then(|digits| digits.parse::<u64>().ok());
    let last = given.filter_map(number).max().unwrap_or(0);
    (last.saturating_add(1)..).map(move |number| format!("{letter}{number}")).filter(move |id| !taken.contains(id))
}
