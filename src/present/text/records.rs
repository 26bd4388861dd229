//! The ledger as text: what was recorded, entry by entry, in a maker's words.

use super::{Look, count};
use crate::ledger::{Change, Entry, Kind, Piece, What, active};
use crate::problem::printable;
use crate::room::Room;
use api::units::Size;
use std::fmt::Write as _;

/// At most so many pieces are named one by one in a line of words.
const MOST_NAMED: usize = 6;

/// Every entry, the latest last.
#[must_use]
pub fn history(room: &Room, look: Look) -> String {
    let entries = &room.records.book.entries;
    if entries.is_empty() {
        return "Nothing is recorded yet.\n".to_owned();
    }
    let mut out = String::new();
    for (entry, holds) in entries.iter().zip(active(entries)) {
        let words = entry_in_words(room, entry);
        let line = format!("{:>4}  {}  {words}", entry.number, entry.day);
        let _ = if holds {
            writeln!(out, "{line}")
        } else {
            writeln!(out, "{}", look.faint(&format!("{line} (taken back)")))
        };
    }
    out
}

/// What a command recorded, with the ids to pencil on what was kept.
#[must_use]
pub fn recorded(room: &Room, entry: &Entry, left: &[(String, u32)]) -> String {
    let mut out = format!("Recorded as entry {}: {}.\n", entry.number, entry_in_words(room, entry));
    for piece in &entry.pieces {
        let _ = writeln!(out, "  pencil {} on the back of {}", printable(&piece.id), piece_in_words(room, piece));
    }
    // What a plan takes is many lines; `stock` lists them.
    if entry.what != What::Made {
        for (id, count) in left {
            let _ = writeln!(out, "  {count} of `{}` on hand now", printable(id));
        }
    }
    out
}

fn is_of_dots(room: &Room, change: &Change) -> bool {
    room.records.base.get(&change.id).is_some_and(|line| line.kind == Kind::Dots)
}

fn piece_in_words(room: &Room, piece: &Piece) -> String {
    let size = Size::new(piece.width(), piece.height()).exact(room.stash.settings.unit);
    let name = room.stash.paper_called(&piece.paper).map(|paper| room.stash.paper(paper).name.clone());
    let of = printable(&name.unwrap_or_else(|| piece.paper.clone()));
    let each = if piece.count == 1 { "" } else { " each" };
    format!("{of}, {size}{each}")
}

/// An entry as a clause: "used 2 of `navy`".
#[must_use]
pub fn entry_in_words(room: &Room, entry: &Entry) -> String {
    let changes: Vec<String> = entry
        .changes
        .iter()
        .map(|change| format!("{} of `{}`", change.by.unsigned_abs(), printable(&change.id)))
        .collect();
    let changes = changes.join(", ");
    let pieces: Vec<String> = entry.pieces.iter().map(|piece| format!("`{}`", printable(&piece.id))).collect();
    let kept = match (pieces.first(), pieces.last()) {
        (Some(first), Some(last)) if pieces.len() > MOST_NAMED => {
            format!("; kept {}, {first} to {last}", count(pieces.len(), "piece"))
        }
        (Some(_), _) => format!("; kept {}", pieces.join(", ")),
        _ => String::new(),
    };
    match entry.what {
        What::Add if entry.pieces.is_empty() => format!("{changes} more"),
        What::Add => {
            let new: Vec<String> = entry
                .pieces
                .iter()
                .map(|piece| format!("{} of `{}`, {}", piece.count, printable(&piece.id), piece_in_words(room, piece)))
                .collect();
            format!("new: {}", new.join("; "))
        }
        What::Used => format!("used {changes}{kept}"),
        What::Lost => format!("lost {changes}"),
        What::Found => format!("found {changes}"),
        What::Recount => {
            let by = entry.changes.first().map_or(0, |change| change.by);
            let id = entry.changes.first().map_or("", |change| change.id.as_str());
            match by {
                0 => format!("counted `{}`: as many as thought", printable(id)),
                by => format!(
                    "counted `{}`: {} {}",
                    printable(id),
                    by.unsigned_abs(),
                    if by > 0 { "more" } else { "fewer" }
                ),
            }
        }
        What::Made => {
            let cards: u32 = entry.cards.iter().map(|cards| cards.count).sum();
            let sheets: u32 = entry.cuts.iter().filter(|cut| !cut.middle).map(|cut| cut.copies).sum();
            let dots: u64 = entry
                .changes
                .iter()
                .filter(|change| is_of_dots(room, change))
                .map(|change| change.by.unsigned_abs())
                .sum();
            let dots = if dots == 0 { String::new() } else { format!(", with {dots} finishing dots") };
            format!("made {} from {}{dots}{kept}", count(cards as usize, "card"), count(sheets as usize, "piece"))
        }
        What::Given => {
            let given: Vec<String> =
                entry.given.iter().map(|(id, count)| format!("{count} of `{}`", printable(id))).collect();
            format!("gave {}", given.join(", "))
        }
        What::Undo => match entry.undoes {
            Some(number) => format!("took back entry {number}"),
            None => "took back nothing".to_owned(),
        },
    }
}
