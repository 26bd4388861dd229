//! The ledger as a table, one row for each thing an entry holds, and such a table as entries again.

use super::{BadTable, Row, Rows, table};
use crate::ledger::{CardsMade, Change, Cut, CutPiece, Entry, Kind, NewPaper, Piece, What};
use crate::stash::Date;
use api::units::Length;

const HEADINGS: [&str; 21] = [
    "entry",
    "day",
    "what",
    "item",
    "id",
    "count",
    "kind",
    "paper",
    "back",
    "width_mm",
    "height_mm",
    "parent",
    "seen",
    "name",
    "material",
    "colour",
    "occasions",
    "suggestion",
    "undoes",
    "plan",
    "note",
];

/// Occasions and the like stand in one field with this between.
const BETWEEN: char = ';';

type Fields = [String; HEADINGS.len()];

fn empty(entry: &Entry, item: &str) -> Fields {
    let mut fields: Fields = Default::default();
    fields[0] = entry.number.to_string();
    fields[1].clone_from(&entry.day);
    fields[2] = entry.what.word().to_owned();
    fields[3] = item.to_owned();
    fields
}

fn put(fields: &mut Fields, heading: &str, text: impl Into<String>) {
    if let Some(place) = HEADINGS.iter().position(|other| *other == heading) {
        fields[place] = text.into();
    }
}

fn mm(nanometres: i64) -> String {
    Length::from_nanometres(nanometres).to_mm_decimal()
}

/// Every entry, row by row.
#[must_use]
pub fn ledger_table(entries: &[Entry]) -> String {
    table(&HEADINGS, entries.iter().flat_map(rows_of).map(Vec::from))
}

fn rows_of(entry: &Entry) -> Vec<Fields> {
    let mut first = empty(entry, "entry");
    put(&mut first, "undoes", entry.undoes.map_or_else(String::new, |number| number.to_string()));
    put(&mut first, "plan", entry.plan.clone().unwrap_or_default());
    put(&mut first, "note", entry.note.clone().unwrap_or_default());
    let mut rows = vec![first];
    for change in &entry.changes {
        let mut row = empty(entry, "change");
        put(&mut row, "id", &change.id);
        put(&mut row, "count", change.by.to_string());
        put(&mut row, "seen", &change.seen);
        rows.push(row);
    }
    for piece in &entry.pieces {
        let mut row = empty(entry, "piece");
        put(&mut row, "id", &piece.id);
        put(&mut row, "count", piece.count.to_string());
        put(&mut row, "kind", piece.kind.word());
        put(&mut row, "paper", &piece.paper);
        put(&mut row, "back", piece.back.clone().unwrap_or_default());
        put(&mut row, "width_mm", mm(piece.width_nm));
        put(&mut row, "height_mm", mm(piece.height_nm));
        put(&mut row, "parent", piece.parent.clone().unwrap_or_default());
        rows.push(row);
    }
    for paper in &entry.papers {
        let mut row = empty(entry, "paper");
        put(&mut row, "id", &paper.id);
        put(&mut row, "name", &paper.name);
        put(&mut row, "material", &paper.material);
        put(&mut row, "colour", &paper.colour);
        rows.push(row);
    }
    for cards in &entry.cards {
        let mut row = empty(entry, "cards");
        put(&mut row, "id", &cards.id);
        put(&mut row, "count", cards.count.to_string());
        put(&mut row, "name", &cards.name);
        put(&mut row, "occasions", cards.occasions.join(&BETWEEN.to_string()));
        put(&mut row, "suggestion", &cards.suggestion);
        rows.push(row);
    }
    for (id, count) in &entry.given {
        let mut row = empty(entry, "given");
        put(&mut row, "id", id);
        put(&mut row, "count", count.to_string());
        rows.push(row);
    }
    for cut in &entry.cuts {
        let mut row = empty(entry, if cut.middle { "cut-middle" } else { "cut" });
        put(&mut row, "id", &cut.stock);
        put(&mut row, "count", cut.copies.to_string());
        put(&mut row, "paper", &cut.paper);
        // The area of the sheet in square millimetres.
        put(&mut row, "width_mm", cut.area_mm2.to_string());
        rows.push(row);
        for piece in &cut.pieces {
            let mut row = empty(entry, "cut-piece");
            put(&mut row, "name", &piece.piece);
            put(&mut row, "count", piece.count.to_string());
            put(&mut row, "width_mm", mm(piece.width_nm));
            put(&mut row, "height_mm", mm(piece.height_nm));
            rows.push(row);
        }
    }
    rows
}

/// Reads a table of entries, which must be numbered from 1 without a gap.
///
/// # Errors
/// All that is wrong with it, row by row.
pub fn read_ledger(text: &str) -> Result<Vec<Entry>, Vec<BadTable>> {
    let rows = Rows::read(text, &["entry", "day", "what", "item"])?;
    let (mut entries, mut bad): (Vec<Entry>, Vec<BadTable>) = (Vec::new(), Vec::new());
    for row in rows.each() {
        if let Err(why) = take(&mut entries, &row) {
            bad.push(why);
        }
    }
    if bad.is_empty() { Ok(entries) } else { Err(bad) }
}

fn take(entries: &mut Vec<Entry>, row: &Row<'_>) -> Result<(), BadTable> {
    let bad = |why: String| BadTable::new(row.number, why);
    let number: u64 = row.number("entry")?;
    let item = row.get("item");
    if item == "entry" {
        if number != entries.len() as u64 + 1 {
            return Err(bad(format!("entry {number} stands where {} is due", entries.len() + 1)));
        }
        let day = row.get("day");
        if Date::parse(day).is_none() || entries.last().is_some_and(|last| last.day.as_str() > day) {
            return Err(bad(format!("`{day}` is no day, or one before that of the entry above")));
        }
        let what = [What::Add, What::Used, What::Lost, What::Found, What::Recount, What::Made, What::Given, What::Undo];
        let word = row.get("what");
        let what = what.into_iter().find(|what| what.word() == word);
        let what = what.ok_or_else(|| bad(format!("`{word}` is nothing a ledger records")))?;
        let undoes = row.some("undoes").map(|_| row.number::<u64>("undoes")).transpose()?;
        if (what == What::Undo) != undoes.is_some_and(|undone| undone >= 1 && undone < number) {
            return Err(bad("an undo names an earlier entry, and nothing else does".to_owned()));
        }
        let (day, plan, note) = (day.to_owned(), row.some("plan"), row.some("note"));
        entries.push(Entry { number, day, undoes, plan, note, ..Entry::of(what) });
        return Ok(());
    }
    let Some(entry) = entries.last_mut().filter(|entry| entry.number == number) else {
        return Err(bad(format!("it belongs to entry {number}, which is not the one above")));
    };
    into(entry, item, row)
}

fn into(entry: &mut Entry, item: &str, row: &Row<'_>) -> Result<(), BadTable> {
    let bad = |why: String| BadTable::new(row.number, why);
    let id = || row.some("id").ok_or_else(|| bad("it has no id".to_owned()));
    match item {
        "change" => {
            entry.changes.push(Change { id: id()?, by: row.number("count")?, seen: row.get("seen").to_owned() });
        }
        "piece" => {
            let kind = match row.get("kind") {
                "sheet" => Kind::Sheet,
                "card-base" => Kind::CardBase,
                "scrap" => Kind::Scrap,
                other => return Err(bad(format!("`{other}` is no kind of piece"))),
            };
            let size = (row.millimetres("width_mm")?, row.millimetres("height_mm")?);
            let paper = row.some("paper").ok_or_else(|| bad("it has no paper".to_owned()))?;
            let piece = Piece::new(id()?, kind, paper, size, row.number("count")?);
            entry.pieces.push(Piece { back: row.some("back"), parent: row.some("parent"), ..piece });
        }
        "paper" => entry.papers.push(NewPaper {
            id: id()?,
            name: row.get("name").to_owned(),
            material: row.get("material").to_owned(),
            colour: row.get("colour").to_owned(),
        }),
        "cards" => entry.cards.push(CardsMade {
            id: id()?,
            suggestion: row.get("suggestion").to_owned(),
            name: row.get("name").to_owned(),
            occasions: row.get("occasions").split(BETWEEN).filter(|one| !one.is_empty()).map(str::to_owned).collect(),
            count: row.number("count")?,
        }),
        "given" => entry.given.push((id()?, row.number("count")?)),
        "cut" | "cut-middle" => entry.cuts.push(Cut {
            stock: id()?,
            copies: row.number("count")?,
            area_mm2: row.number("width_mm")?,
            paper: row.get("paper").to_owned(),
            pieces: Vec::new(),
            middle: item == "cut-middle",
        }),
        "cut-piece" => {
            let Some(cut) = entry.cuts.last_mut() else { return Err(bad("it stands under no cut".to_owned())) };
            cut.pieces.push(CutPiece {
                piece: row.get("name").to_owned(),
                width_nm: row.millimetres("width_mm")?.nanometres(),
                height_nm: row.millimetres("height_mm")?.nanometres(),
                count: row.number("count")?,
            });
        }
        other => return Err(bad(format!("`{other}` is nothing an entry holds"))),
    }
    Ok(())
}
