//! The ledger as JSON: what was recorded, entry by entry.

use super::number::Millimetres;
use super::{FORMAT, written};
use crate::ledger::{Entry, active};
use crate::present::text::entry_in_words;
use crate::room::Room;
use api::units::Length;
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Serialize)]
struct History<'a> {
    format: u32,
    stash: String,
    revision: String,
    entries: Vec<EntryOf<'a>>,
}

#[derive(Serialize)]
struct RecordedOf<'a> {
    format: u32,
    recorded: EntryOf<'a>,
}

#[derive(Serialize)]
struct EntryOf<'a> {
    entry: u64,
    day: &'a str,
    what: &'static str,
    text: String,
    undoes: Option<u64>,
    undone_by: Option<u64>,
    plan: Option<&'a str>,
    changes: Vec<ChangeOf<'a>>,
    pieces: Vec<PieceOf<'a>>,
    cards: Vec<CardsOf<'a>>,
    given: Vec<GivenOf<'a>>,
    cuts: Vec<CutOf<'a>>,
}

#[derive(Serialize)]
struct ChangeOf<'a> {
    id: &'a str,
    by: i64,
}

#[derive(Serialize)]
struct PieceOf<'a> {
    id: &'a str,
    kind: &'static str,
    paper: &'a str,
    back: Option<&'a str>,
    width: Millimetres,
    height: Millimetres,
    count: u32,
    parent: Option<&'a str>,
}

#[derive(Serialize)]
struct CardsOf<'a> {
    id: &'a str,
    suggestion: &'a str,
    name: &'a str,
    occasions: &'a [String],
    count: u32,
}

#[derive(Serialize)]
struct GivenOf<'a> {
    id: &'a str,
    count: u32,
}

#[derive(Serialize)]
struct CutOf<'a> {
    stock: &'a str,
    copies: u32,
    pieces: Vec<CutPieceOf<'a>>,
}

#[derive(Serialize)]
struct CutPieceOf<'a> {
    piece: &'a str,
    width: Millimetres,
    height: Millimetres,
    count: u32,
}

/// `history --json`: every entry, in order.
#[must_use]
pub fn history(room: &Room) -> String {
    let entries = &room.records.book.entries;
    let holds = active(entries);
    let mut undone: BTreeMap<u64, u64> = BTreeMap::new();
    for (entry, _) in entries.iter().zip(&holds).filter(|(_, holds)| **holds) {
        undone.extend(entry.undoes.map(|number| (number, entry.number)));
    }
    written(&History {
        format: FORMAT,
        stash: room.records.stash_id(),
        revision: room.records.book.revision(),
        entries: entries.iter().map(|entry| entry_of(room, entry, undone.get(&entry.number).copied())).collect(),
    })
}

/// What a command recorded.
#[must_use]
pub fn recorded(room: &Room, entry: &Entry) -> String {
    written(&RecordedOf { format: FORMAT, recorded: entry_of(room, entry, None) })
}

fn entry_of<'a>(room: &Room, entry: &'a Entry, undone_by: Option<u64>) -> EntryOf<'a> {
    let length = |nanometres| Millimetres(Length::from_nanometres(nanometres));
    EntryOf {
        entry: entry.number,
        day: &entry.day,
        what: entry.what.word(),
        text: entry_in_words(room, entry),
        undoes: entry.undoes,
        undone_by,
        plan: entry.plan.as_deref(),
        changes: entry.changes.iter().map(|change| ChangeOf { id: &change.id, by: change.by }).collect(),
        pieces: entry
            .pieces
            .iter()
            .map(|piece| PieceOf {
                id: &piece.id,
                kind: piece.kind.word(),
                paper: &piece.paper,
                back: piece.back.as_deref(),
                width: Millimetres(piece.width()),
                height: Millimetres(piece.height()),
                count: piece.count,
                parent: piece.parent.as_deref(),
            })
            .collect(),
        cards: entry
            .cards
            .iter()
            .map(|cards| CardsOf {
                id: &cards.id,
                suggestion: &cards.suggestion,
                name: &cards.name,
                occasions: &cards.occasions,
                count: cards.count,
            })
            .collect(),
        given: entry.given.iter().map(|(id, count)| GivenOf { id, count: *count }).collect(),
        cuts: entry
            .cuts
            .iter()
            .map(|cut| CutOf {
                stock: &cut.stock,
                copies: cut.copies,
                pieces: cut
                    .pieces
                    .iter()
                    .map(|piece| CutPieceOf {
                        piece: &piece.piece,
                        width: length(piece.width_nm),
                        height: length(piece.height_nm),
                        count: piece.count,
                    })
                    .collect(),
            })
            .collect(),
    }
}
