//! Each option of `suggest` does what it says.

use super::{Ran, items, small, word};
use serde_json::Value;
use std::collections::BTreeSet;

fn suggestions(options: &[&str]) -> Vec<Value> {
    let ran: Ran = small(&[&["suggest", "--json", "--list", "100"], options].concat());
    items(&ran.json(), "suggestions").to_vec()
}

/// Every stock that a card is cut from.
fn cut_from(suggestion: &Value) -> BTreeSet<&str> {
    let pieces = items(suggestion, "layers").iter().flat_map(|layer| items(layer, "pieces"));
    pieces.map(|piece| word(piece, "from")).collect()
}

/// Every paper that shows on a card.
fn papers(suggestion: &Value) -> BTreeSet<&str> {
    items(suggestion, "layers").iter().map(|layer| word(layer, "paper")).collect()
}

#[test]
fn what_must_be_used_is_used() {
    for (id, is_used) in [
        ("box/2", (|card| cut_from(card).contains("box/2")) as fn(&Value) -> bool),
        ("garden/stripe", |card| papers(card).contains("garden/stripe")),
        ("garden", |card| papers(card).iter().any(|paper| paper.starts_with("garden/"))),
        ("wren", |card| papers(card).contains("wren")),
    ] {
        let all = suggestions(&[]);
        let used = suggestions(&["--use", id]);
        assert!(!used.is_empty() && used.iter().all(is_used), "{id}");
        assert!(all.iter().any(|card| !is_used(card)), "{id} is in every card anyway");
    }
    let both = suggestions(&["--use", "wren", "--use", "moss"]);
    assert!(!both.is_empty() && both.iter().all(|card| papers(card).is_superset(&BTreeSet::from(["wren", "moss"]))));
}

#[test]
fn what_is_left_out_is_out() {
    for id in ["cream", "garden", "box/1", "wren"] {
        let left = suggestions(&["--without", id]);
        assert!(!left.is_empty(), "{id}");
        for card in &left {
            let used = papers(card).iter().any(|paper| *paper == id || paper.starts_with(&format!("{id}/")));
            assert!(!used && !cut_from(card).contains(id), "{id}: {}", word(card, "id"));
        }
    }
}

#[test]
fn only_cards_of_the_size_asked_for() {
    for (size, width, height) in [("5 x 7 in", 127.0, 177.8), ("US A2", 107.95, 139.7), ("100x100mm", 100.0, 100.0)] {
        let cards = suggestions(&["--card", size]);
        assert!(!cards.is_empty(), "{size}");
        for card in cards {
            let sides = [&card["card"]["width"], &card["card"]["height"]].map(|side| side.as_f64().unwrap());
            assert!(sides == [width, height] || sides == [height, width], "{size}: {sides:?}");
        }
    }
    let either = suggestions(&["--card", "US A2", "--card", "5 x 7 in"]);
    let widths: BTreeSet<String> = either.iter().map(|card| card["card"]["size"].to_string()).collect();
    assert_eq!(widths.len(), 2);
}

#[test]
fn only_the_layouts_asked_for_and_so_many_of_each() {
    let layouts = |options: &[&str]| -> Vec<String> {
        suggestions(options).iter().map(|card| word(card, "layout").to_owned()).collect()
    };
    assert!(layouts(&["--layout", "window"]).iter().all(|layout| layout == "window"));
    let both: BTreeSet<String> = layouts(&["--layout", "window", "--layout", "frame"]).into_iter().collect();
    assert_eq!(both, BTreeSet::from(["frame".to_owned(), "window".to_owned()]));
    let once = layouts(&["--per-layout", "1"]);
    assert_eq!(once.len(), once.iter().collect::<BTreeSet<_>>().len());
    assert_eq!(layouts(&["--list", "2"]).len(), 2);
}

#[test]
fn there_is_paper_for_every_copy() {
    // Two sheets of each design in the pad.
    let grounds = |each: &str| {
        let cards = suggestions(&["--layout", "frame", "--each", each]);
        cards.iter().filter(|card| cut_from(card).contains("garden/leaves")).count()
    };
    assert!(grounds("2") > 0);
    assert_eq!(grounds("100"), 0);
}

#[test]
fn scraps_first_puts_scraps_first() {
    let scraps = |options: &[&str]| {
        let cards = suggestions(options);
        let uses = |card: &&Value| cut_from(card).iter().any(|stock| stock.starts_with("box/"));
        cards.iter().position(|card| uses(&card))
    };
    assert!(scraps(&["--scraps-first"]) <= scraps(&[]));
    let weight = |options: &[&str]| {
        let cards = suggestions(options);
        let reasons = items(&cards[0], "reasons").iter().filter(|reason| reason["scorer"] == "use-up");
        reasons.map(|reason| reason["weight"].as_f64().unwrap()).sum::<f64>()
    };
    assert!(weight(&["--scraps-first"]) > 2.0 * weight(&[]));
}

#[test]
fn a_search_cut_short_says_so() {
    let ran = small(&["suggest", "--json", "--work", "1"]).json();
    assert_eq!(ran["exact"], false);
    let text = small(&["suggest", "--work", "1"]).good();
    assert!(text.contains("--work a larger number"), "{text}");
}

#[test]
fn units_change_the_words_and_nothing_else() {
    let (inches, millimetres) =
        (small(&["suggest", "--json"]).json(), small(&["suggest", "--json", "--unit", "mm"]).json());
    let told = |answer: &Value| items(answer, "suggestions").iter().map(|one| one["score"].clone()).collect::<Vec<_>>();
    assert_eq!(told(&inches), told(&millimetres));
    let text = small(&["suggest", "--unit", "mm"]).good();
    assert!(text.contains("107.95 x 139.7 mm") && !text.contains(" in "), "{text}");
}

/// Ages are counted to the day given: nothing is old on the day it came.
#[test]
fn ages_are_counted_to_the_day_given() {
    let folder = super::copy_of("small");
    let stock = |day: &str| super::run(folder.path(), &["stock", "--today", day]).good();
    assert!(stock("2026-01-15").contains("4 years"));
    assert!(stock("2022-01-20").contains("5 days"));
}
