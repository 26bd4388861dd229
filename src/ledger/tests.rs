//! What a ledger may be read from and what it refuses; what is on hand; what stands in the way of
//! taking an entry back.

use super::*;
use std::collections::BTreeMap;
use units::Length;

/// An entry that uses so many of a line whose fingerprint is its id.
pub(super) fn used(id: &str, count: u32) -> Entry {
    let change = Change { id: id.to_owned(), by: -i64::from(count), seen: id.to_owned() };
    Entry { changes: vec![change], ..Entry::of(What::Used) }
}

fn text(entries: &[Entry]) -> String {
    let mut book = Book::default();
    let mut all = String::new();
    for entry in entries {
        let number = book.entries.len() as u64 + 1;
        let day = if entry.day.is_empty() { "2026-03-01".to_owned() } else { entry.day.clone() };
        let entry = Entry { number, day, ..entry.clone() };
        let (text, _) = book.text_of("s", &[entry]);
        all.push_str(&text);
        book = Book::read(all.as_bytes()).expect("what is written is read");
    }
    all
}

fn three() -> String {
    text(&[used("a", 1), used("b", 2), used("a", 3)])
}

fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

#[test]
fn a_ledger_is_read_as_it_was_written() {
    let text = three();
    let book = Book::read(text.as_bytes()).unwrap();
    assert_eq!((book.stash.as_str(), book.entries.len(), book.is_torn()), ("s", 3, false));
    assert_eq!(book.entries[2].changes, used("a", 3).changes);
    assert_eq!(Book::read(b"").unwrap(), Book::default());
    // An editor's line ends are not a change.
    assert_eq!(Book::read(text.replace('\n', "\r\n").as_bytes()).unwrap().entries, book.entries);
}

#[test]
fn any_byte_changed_by_hand_is_noticed() {
    let text = three();
    let good = Book::read(text.as_bytes()).unwrap();
    let ends_within = text.len() - 1;
    for place in 0..ends_within {
        for with in [b'0', b'x', b' ', b'"'] {
            let mut bytes = text.clone().into_bytes();
            if bytes[place] == with {
                continue;
            }
            bytes[place] = with;
            let read = Book::read(&bytes);
            assert!(read.is_err(), "byte {place} changed to {:?}: {read:?}", char::from(with));
            assert_ne!(read.ok(), Some(good.clone()));
        }
    }
}

#[test]
fn missing_swapped_and_doubled_lines_are_told_apart_from_a_torn_end() {
    let text = three();
    let parts = lines(&text);
    let without_second = [parts[0], parts[1], parts[3]].concat();
    assert_eq!(Book::read(without_second.as_bytes()), Err(Trouble::Missing { line: 3, from: 2, to: 2 }));
    let without_first_two = [parts[0], parts[3]].concat();
    assert_eq!(Book::read(without_first_two.as_bytes()), Err(Trouble::Missing { line: 2, from: 1, to: 2 }));
    let swapped = [parts[0], parts[2], parts[1], parts[3]].concat();
    assert_eq!(Book::read(swapped.as_bytes()), Err(Trouble::Missing { line: 2, from: 1, to: 1 }));
    let doubled = [parts[0], parts[1], parts[1], parts[2], parts[3]].concat();
    assert_eq!(Book::read(doubled.as_bytes()), Err(Trouble::Edited { line: 3 }));
    let blank = [parts[0], parts[1], "\n", parts[2], parts[3]].concat();
    assert_eq!(Book::read(blank.as_bytes()), Err(Trouble::Edited { line: 3 }));
    assert_eq!(Book::read(parts[1..].concat().as_bytes()), Err(Trouble::NoLedger));
    for end in 0..text.len() {
        let book = Book::read(&text.as_bytes()[..end]).unwrap_or_else(|why| panic!("cut at {end}: {why:?}"));
        let whole: usize = parts
            .iter()
            .map(|part| part.len())
            .scan(0, |sum, len| {
                *sum += len;
                Some(*sum)
            })
            .filter(|sum| *sum <= end + 1)
            .count();
        assert_eq!(book.entries.len(), whole.saturating_sub(1), "cut at {end}");
    }
}

#[test]
fn a_newer_ledger_is_refused_by_its_format_whatever_else_it_holds() {
    let newer = "{\"swatchfold-ledger\":2,\"stash\":\"s\",\"more\":[1]}\tnot our sum\n";
    assert_eq!(Book::read(newer.as_bytes()), Err(Trouble::Newer { found: 2, known: 1 }));
    for other in ["hello\n", "{}\n", "[[pad]]\nname = 3\n", "\u{feff}{\"swatchfold-ledger\":1}\t0\n"] {
        assert_eq!(Book::read(other.as_bytes()), Err(Trouble::NoLedger), "{other}");
    }
}

/// The ledger of the first release, byte for byte: it must be read for ever.
#[test]
fn the_ledger_of_format_1_is_read() {
    let released = include_str!("../../tests/cases/ledger/format-1.ledger");
    let book = Book::read(released.as_bytes()).expect("a ledger of format 1");
    assert_eq!(book.entries.len(), 6);
    let whats: Vec<&str> = book.entries.iter().map(|entry| entry.what.word()).collect();
    assert_eq!(whats, ["add", "used", "made", "given", "recount", "undo"]);
    assert_eq!(book.entries[1].pieces[0].width(), Length::INCH * 2);
}

fn base(counts: &[(&str, u32)]) -> Base {
    let line = |id: &str, count| BaseLine {
        print: id.to_owned(),
        kind: Kind::Sheet,
        paper: "p".into(),
        back: None,
        width: Length::INCH * 6,
        height: Length::INCH * 6,
        count: Some(count),
        added: None,
    };
    counts.iter().map(|(id, count)| ((*id).to_owned(), line(id, *count))).collect()
}

fn book(entries: &[Entry]) -> Book {
    Book::read(text(entries).as_bytes()).unwrap()
}

fn counts(now: &OnHand) -> BTreeMap<&str, u32> {
    now.lines.iter().map(|(id, line)| (id.as_str(), line.count.unwrap())).collect()
}

fn cut(from: &str, leaves: &str) -> Entry {
    let piece = Piece::new(leaves.into(), Kind::Scrap, "p".into(), (Length::INCH, Length::INCH * 2), 1);
    Entry { pieces: vec![Piece { parent: Some(from.into()), ..piece }], ..used(from, 1) }
}

fn used_piece(id: &str) -> Entry {
    Entry { changes: vec![Change { id: id.into(), by: -1, seen: String::new() }], ..Entry::of(What::Used) }
}

fn undo(number: u64) -> Entry {
    Entry { undoes: Some(number), ..Entry::of(What::Undo) }
}

#[test]
fn what_is_on_hand_is_the_files_less_what_was_cut_and_with_what_was_left() {
    let base = base(&[("a", 3), ("b", 1)]);
    let book = book(&[cut("a", "L1"), used("b", 1)]);
    let now = on_hand(&base, &book, None);
    assert_eq!(counts(&now), BTreeMap::from([("a", 2), ("b", 0), ("L1", 1)]));
    // A leftover that is used up is listed no more; a line of the files is.
    let book = self::book(&[cut("a", "L1"), used_piece("L1"), undo(2), used_piece("L1")]);
    assert_eq!(counts(&on_hand(&base, &book, None)), BTreeMap::from([("a", 2), ("b", 1)]));
}

#[test]
fn undo_to_the_beginning_is_the_beginning_and_an_undo_can_be_undone() {
    let base = base(&[("a", 3), ("b", 1)]);
    let mut entries = vec![cut("a", "L1"), used("a", 1), used_piece("L1"), used("b", 1)];
    let start = on_hand(&base, &Book::default(), None);
    for _ in 0..4 {
        let book = book(&entries);
        let last = last_to_undo(&book).expect("there is one");
        assert_eq!(in_the_way(&base, &book, last), []);
        entries.push(undo(last));
    }
    let book = book(&entries);
    assert_eq!(last_to_undo(&book), None);
    assert_eq!(on_hand(&base, &book, None), start);
    // The second last undo brought back entry 2 gone: taking that undo back uses the sheet again.
    entries.push(undo(7));
    assert_eq!(counts(&on_hand(&base, &self::book(&entries), None))["a"], 2);
}

#[test]
fn an_entry_whose_leftovers_were_used_names_what_stands_in_the_way() {
    let base = base(&[("a", 3)]);
    let book = book(&[cut("a", "L1"), used("a", 1), used_piece("L1")]);
    assert_eq!(in_the_way(&base, &book, 1), [InTheWay { entry: 3, id: "L1".into() }]);
    assert_eq!(in_the_way(&base, &book, 2), []);
    let found = Entry {
        what: What::Found,
        ..Entry { changes: vec![Change { id: "a".into(), by: 2, seen: "a".into() }], ..Entry::of(What::Found) }
    };
    let book = self::book(&[found, used("a", 4)]);
    assert_eq!(in_the_way(&base, &book, 1), [InTheWay { entry: 2, id: "a".into() }]);
}

#[test]
fn a_line_changed_in_the_files_is_counted_once_and_asks_for_a_recount() {
    let mut base = base(&[("a", 6)]);
    let one = book(&[used("a", 2)]);
    assert_eq!(counts(&on_hand(&base, &one, None))["a"], 4);
    // She writes 4 into the file herself: it stays 4, and is asked about.
    let line = base.get_mut("a").unwrap();
    (line.count, line.print) = (Some(4), "a2".into());
    let now = on_hand(&base, &one, None);
    assert_eq!((counts(&now)["a"], now.recount.get("a")), (4, Some(&-2)));
    let seen = Change { id: "a".into(), by: -1, seen: "a2".into() };
    let two = book(&[used("a", 2), Entry { changes: vec![seen], ..Entry::of(What::Recount) }]);
    let now = on_hand(&base, &two, None);
    assert_eq!((counts(&now)["a"], now.recount.get("a")), (3, None));
}

#[test]
fn finished_cards_are_here_until_they_are_given() {
    let made = CardsMade { id: "C1".into(), suggestion: "x".into(), name: "X".into(), occasions: vec![], count: 4 };
    let made = Entry { cards: vec![made], ..used("a", 1) };
    let give = |count| Entry { given: vec![("C1".into(), count)], ..Entry::of(What::Given) };
    let base = base(&[("a", 3)]);
    let book = book(&[made, give(3)]);
    assert_eq!(on_hand(&base, &book, None).cards["C1"].count, 1);
    assert_eq!(in_the_way(&base, &book, 1), [InTheWay { entry: 2, id: "C1".into() }]);
}

#[test]
fn the_stock_of_a_day_is_that_of_its_evening() {
    let on = |day: &str, entry: Entry| Entry { day: day.into(), ..entry };
    let mut base = base(&[("a", 3), ("late", 1)]);
    base.get_mut("late").unwrap().added = Some("2026-05-01".into());
    let book = book(&[on("2026-03-01", cut("a", "L1")), on("2026-04-01", used("a", 1)), on("2026-06-01", undo(1))]);
    let day = |day: &str| {
        counts(&on_hand(&base, &book, Some(day)))
            .into_iter()
            .map(|(id, n)| format!("{id} {n}"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    assert_eq!(day("2026-02-28"), "a 3");
    assert_eq!(day("2026-03-01"), "L1 1, a 2");
    assert_eq!(day("2026-05-01"), "L1 1, a 1, late 1");
    assert_eq!(day("2026-06-01"), "a 2, late 1");
}
