//! What is on hand: the lines of the stash's files and the ledger in; counts, leftovers and finished
//! cards out; and which entries stand in the way of taking one back.

use super::{Book, Entry, Kind, NewPaper, Piece, What};
use std::collections::{BTreeMap, BTreeSet};
use units::Length;

/// A line as the stash's files have it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BaseLine {
    /// A fingerprint of all that counts: kind, papers, size and count.
    pub print: String,
    /// What it is.
    pub kind: Kind,
    /// The paper that is up.
    pub paper: String,
    /// The paper on its other side.
    pub back: Option<String>,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// How many there are; `None` where they never run out.
    pub count: Option<u32>,
    /// The day it came, such as `2026-03-01`.
    pub added: Option<String>,
}

/// The lines of the stash's files, by id.
pub type Base = BTreeMap<String, BaseLine>;

/// A line as it is on hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Held {
    /// What it is.
    pub kind: Kind,
    /// The paper that is up.
    pub paper: String,
    /// The paper on its other side.
    pub back: Option<String>,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// How many there are; `None` where they never run out.
    pub count: Option<u32>,
    /// The fingerprint of its line in the files; empty where only the ledger has it.
    pub print: String,
    /// For a line that only the ledger has: its entry and day, and the line it was cut from.
    pub from: Option<(u64, String, Option<String>)>,
}

/// Finished cards of one design that are still here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cards {
    /// Their id.
    pub id: String,
    /// The suggestion they were made from.
    pub suggestion: String,
    /// The name of its layout.
    pub name: String,
    /// What they are for; empty is for anything.
    pub occasions: Vec<String>,
    /// How many are here.
    pub count: u32,
    /// How many were made.
    pub made: u32,
    /// The day.
    pub day: String,
    /// The entry.
    pub entry: u64,
}

/// Everything on hand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OnHand {
    /// Lines of stock by id.
    pub lines: BTreeMap<String, Held>,
    /// Papers that only the ledger knows.
    pub papers: Vec<NewPaper>,
    /// Finished cards by id.
    pub cards: BTreeMap<String, Cards>,
    /// Lines that were changed in the files since the ledger last drew on them, with what the ledger
    /// counted before: they are taken as the files say, and must be counted.
    pub recount: BTreeMap<String, i64>,
    /// What each entry took too much of: the entry and the line.
    short: Vec<InTheWay>,
}

/// An entry that could no longer be true.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct InTheWay {
    /// Its number.
    pub entry: u64,
    /// What it took: the id of a line or of finished cards.
    pub id: String,
}

/// Which entries hold: those that no later entry takes back.
#[must_use]
pub fn active(entries: &[Entry]) -> Vec<bool> {
    let mut active = vec![true; entries.len()];
    for place in (0..entries.len()).rev() {
        let undone = entries[place].undoes.and_then(|number| usize::try_from(number).ok());
        if let Some(undone) = undone.filter(|number| active[place] && (1..=place).contains(number)) {
            active[undone - 1] = false;
        }
    }
    active
}

/// What is on hand after every entry that holds, up to and with `until` if a day is given.
#[must_use]
pub fn on_hand(base: &Base, book: &Book, until: Option<&str>) -> OnHand {
    let end = until.map_or(book.entries.len(), |day| book.entries.partition_point(|entry| entry.day.as_str() <= day));
    let entries = &book.entries[..end];
    let mut now = reckon(base, entries, &active(entries));
    if let Some(day) = until {
        now.lines
            .retain(|id, _| base.get(id).is_none_or(|line| line.added.as_deref().is_none_or(|added| added <= day)));
    }
    now
}

/// Counts while they are reckoned: they may fall below nothing, which is told.
struct Reckoned {
    held: Held,
    count: i64,
    /// What entries counted that saw the line otherwise, and the last fingerprint they saw.
    other: i64,
    last_seen: Option<String>,
}

fn reckon(base: &Base, entries: &[Entry], active: &[bool]) -> OnHand {
    let mut now = OnHand::default();
    let mut lines: BTreeMap<&str, Reckoned> = BTreeMap::new();
    for (id, line) in base {
        lines.insert(id, from_base(line));
    }
    for (entry, _) in entries.iter().zip(active).filter(|(_, holds)| **holds) {
        take_in(&mut now, &mut lines, entry);
    }
    for (id, reckoned) in lines {
        let stale = reckoned.last_seen.is_some_and(|seen| seen != reckoned.held.print);
        if stale {
            now.recount.insert(id.to_owned(), reckoned.other);
        }
        let count = u32::try_from(reckoned.count.max(0)).unwrap_or(u32::MAX);
        let count = reckoned.held.count.map(|_| count);
        if reckoned.held.from.is_none() || count != Some(0) {
            now.lines.insert(id.to_owned(), Held { count, ..reckoned.held });
        }
    }
    now
}

fn from_base(line: &BaseLine) -> Reckoned {
    let held = Held {
        kind: line.kind,
        paper: line.paper.clone(),
        back: line.back.clone(),
        width: line.width,
        height: line.height,
        count: line.count,
        print: line.print.clone(),
        from: None,
    };
    Reckoned { held, count: line.count.map_or(0, i64::from), other: 0, last_seen: None }
}

fn from_piece(piece: &Piece, entry: &Entry) -> Reckoned {
    let held = Held {
        kind: piece.kind,
        paper: piece.paper.clone(),
        back: piece.back.clone(),
        width: piece.width(),
        height: piece.height(),
        count: Some(piece.count),
        print: String::new(),
        from: Some((entry.number, entry.day.clone(), piece.parent.clone())),
    };
    Reckoned { held, count: piece.count.into(), other: 0, last_seen: None }
}

fn take_in<'e>(now: &mut OnHand, lines: &mut BTreeMap<&'e str, Reckoned>, entry: &'e Entry) {
    for change in &entry.changes {
        let short = || InTheWay { entry: entry.number, id: change.id.clone() };
        match lines.get_mut(change.id.as_str()) {
            // A line of the files that is there no more needs no counting; one of the ledger's own
            // that is not there was taken back.
            None if change.seen.is_empty() => now.short.push(short()),
            None => {}
            Some(line) if line.held.count.is_none() => {}
            Some(line) if change.seen == line.held.print => {
                line.count = line.count.saturating_add(change.by);
                line.last_seen = Some(change.seen.clone());
                if line.count < 0 && change.by < 0 {
                    now.short.push(short());
                }
            }
            Some(line) => {
                line.other = line.other.saturating_add(change.by);
                line.last_seen = Some(change.seen.clone());
            }
        }
    }
    for piece in &entry.pieces {
        lines.entry(&piece.id).or_insert_with(|| from_piece(piece, entry));
    }
    now.papers.extend(entry.papers.iter().cloned());
    for made in &entry.cards {
        now.cards.insert(
            made.id.clone(),
            Cards {
                id: made.id.clone(),
                suggestion: made.suggestion.clone(),
                name: made.name.clone(),
                occasions: made.occasions.clone(),
                count: made.count,
                made: made.count,
                day: entry.day.clone(),
                entry: entry.number,
            },
        );
    }
    for (id, count) in &entry.given {
        match now.cards.get_mut(id) {
            Some(cards) if cards.count >= *count => cards.count -= count,
            _ => now.short.push(InTheWay { entry: entry.number, id: id.clone() }),
        }
    }
}

/// The entry that `undo` alone takes back: the last that holds and is itself no undo.
#[must_use]
pub fn last_to_undo(book: &Book) -> Option<u64> {
    let holds = active(&book.entries);
    let last = book.entries.iter().zip(holds).rev().find(|(entry, holds)| *holds && entry.what != What::Undo);
    last.map(|(entry, _)| entry.number)
}

/// The entries that could no longer be true if entry `number` were taken back.
#[must_use]
pub fn in_the_way(base: &Base, book: &Book, number: u64) -> Vec<InTheWay> {
    let before: BTreeSet<InTheWay> = reckon(base, &book.entries, &active(&book.entries)).short.into_iter().collect();
    let mut entries = book.entries.clone();
    entries.push(Entry { number: entries.len() as u64 + 1, undoes: Some(number), ..Entry::of(What::Undo) });
    let after: BTreeSet<InTheWay> = reckon(base, &entries, &active(&entries)).short.into_iter().collect();
    after.difference(&before).cloned().collect()
}
