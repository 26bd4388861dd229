//! What `suggest --json` says must hold together: scores add up, pieces fit what they are cut
//! from, what is promised is on hand.

use super::{Ran, copy_of, items, millionths, run, small, word};
use serde_json::Value;
use std::collections::BTreeMap;

fn suggested() -> Value {
    small(&["suggest", "--json", "--list", "40"]).json()
}

/// The sum of each value times its weight, each rounded down to a millionth, less the costs.
fn added_up(suggestion: &Value) -> i64 {
    let reasons = items(suggestion, "reasons").iter();
    let costs: i64 = items(suggestion, "changes").iter().map(|change| millionths(change, "cost")).sum();
    reasons.map(|reason| millionths(reason, "value") * millionths(reason, "weight") / 1_000_000).sum::<i64>() - costs
}

#[test]
fn every_score_is_what_its_reasons_and_costs_add_up_to() {
    let answer = suggested();
    let suggestions = items(&answer, "suggestions");
    assert!(suggestions.len() > 10 && answer["exact"] == true);
    let changed = suggestions.iter().filter(|one| !items(one, "changes").is_empty()).count();
    assert!(changed > 0, "no suggestion tests the costs");
    let mut last = i64::MAX;
    for suggestion in suggestions {
        let score = millionths(suggestion, "score");
        assert_eq!(added_up(suggestion), score, "{}", word(suggestion, "id"));
        assert!(score <= last, "the list is not in order at {}", word(suggestion, "id"));
        last = score;
    }
}

#[test]
fn mats_add_up_too() {
    let answer = small(&["mats", "garden/leaves", "--json"]).json();
    assert_eq!(word(&answer, "paper"), "garden/leaves");
    let mats = items(&answer, "mats");
    assert_eq!(mats.len(), 3);
    for mat in mats {
        let reasons = items(mat, "reasons").iter();
        let sum: i64 =
            reasons.map(|reason| millionths(reason, "value") * millionths(reason, "weight") / 1_000_000).sum();
        assert_eq!(sum, millionths(mat, "score"), "{mat}");
    }
}

/// Stock by its id: width, height, count.
fn stock() -> BTreeMap<String, (i64, i64, i64)> {
    let answer = small(&["stock", "--json"]).json();
    let lines = items(&answer, "stock").iter();
    lines
        .map(|line| {
            let count = line["count"].as_i64().expect("a count");
            (word(line, "id").to_owned(), (millionths(line, "width"), millionths(line, "height"), count))
        })
        .collect()
}

#[test]
fn every_piece_fits_what_it_is_cut_from() {
    let (answer, stock) = (suggested(), stock());
    let mut looked_at = BTreeMap::new();
    for suggestion in items(&answer, "suggestions") {
        for layer in items(suggestion, "layers") {
            for piece in items(layer, "pieces") {
                let place = format!("{} {}", word(suggestion, "id"), word(layer, "panel"));
                let (mut width, mut height, _) = stock[word(piece, "from")];
                if piece["turned"] == true {
                    (width, height) = (height, width);
                }
                let (cut_width, cut_height) = (millionths(piece, "cut_width"), millionths(piece, "cut_height"));
                assert!(cut_width <= width && cut_height <= height, "{place}: {piece}");
                let is_exact = cut_width == width || cut_height == height;
                assert_eq!(piece["fit"] == "exact", is_exact && piece["made"] != "ready", "{place}: {piece}");
                *looked_at.entry(word(piece, "made").to_owned()).or_insert(0) += 1;
            }
        }
    }
    let kinds: Vec<&str> = looked_at.keys().map(String::as_str).collect();
    assert_eq!(kinds, ["cut", "die", "fold", "ready"], "every way of making a piece is met");
}

#[test]
fn layers_lie_on_the_card_with_the_base_at_the_bottom() {
    for suggestion in items(&suggested(), "suggestions") {
        let card = &suggestion["card"];
        let (width, height) = (millionths(card, "width"), millionths(card, "height"));
        let layers = items(suggestion, "layers");
        assert_eq!(word(&layers[0], "role"), "base");
        assert_eq!((millionths(&layers[0], "width"), millionths(&layers[0], "height")), (width, height));
        for layer in layers {
            let (x, y) = (millionths(layer, "x"), millionths(layer, "y"));
            let inside = x >= 0
                && y >= 0
                && x + millionths(layer, "width") <= width
                && y + millionths(layer, "height") <= height;
            assert!(inside, "{layer}");
            assert_eq!(layer["opaque"] == false, layer["material"] == "vellum" || items(layer, "pieces").is_empty());
            assert_eq!(layer["shape"] == "polygon", layer["outline"].is_array(), "{layer}");
        }
    }
}

/// An image built from parts is those parts, each cut from a scrap, and nothing else.
#[test]
fn an_image_of_parts_is_its_parts() {
    let answer = suggested();
    let built: Vec<&Value> = items(&answer, "suggestions")
        .iter()
        .filter(|one| items(one, "layers").iter().any(|l| l["role"] == "part"))
        .collect();
    assert!(!built.is_empty());
    for suggestion in built {
        let layers = items(suggestion, "layers");
        let place = layers.iter().position(|layer| layer["paper"] == "cup").expect("the image is a layer");
        assert!(items(&layers[place], "pieces").is_empty());
        for (part, id) in [(1, "bird body"), (2, "bird band")] {
            let part = &layers[place + part];
            assert_eq!((word(part, "panel"), word(part, "role")), (id, "part"));
            assert_eq!(items(part, "pieces").len(), 1);
        }
    }
}

/// Equal lines of stock are one to the search; any of them will do, and all are named.
#[test]
fn equal_pieces_of_stock_are_all_named() {
    let answer = suggested();
    let pieces = items(&answer, "suggestions")
        .iter()
        .flat_map(|one| items(one, "layers"))
        .flat_map(|layer| items(layer, "pieces"));
    let twin: Vec<&Value> = pieces.filter(|piece| piece["from"] == "box/3").collect();
    assert!(!twin.is_empty());
    assert!(twin.iter().all(|piece| piece["or_from"] == serde_json::json!(["box/twin"])));
}

#[test]
fn what_is_almost_possible_says_what_is_lacking() {
    // On no other card than its own, so that it cannot be carried to a smaller one.
    let answer = small(&["suggest", "--json", "--card", "8 x 8 in"]).json();
    let near =
        items(&answer, "near_misses").iter().find(|near| near["layout"] == "mural").expect("the mural is too large");
    assert_eq!((word(near, "panel"), word(near, "lack")), ("base", "size"));
    // The unfolded blank, 16 x 8 in; the largest sheet is 8 1/2 x 11 in, so 16 - 11 = 5 in are lacking.
    assert_eq!((millionths(&near["needs"], "width"), millionths(&near["needs"], "height")), (406_400_000, 203_200_000));
    assert_eq!(millionths(near, "short_by"), 127_000_000);
    assert_eq!(word(&near["nearest"], "stock"), "cream");
    assert!(word(near, "why").contains("16 x 8 in") && word(near, "why").contains("5 in too narrow"), "{near}");
}

#[test]
fn what_must_be_used_and_has_no_place_is_said_to_be_too_small() {
    let answer = small(&["suggest", "--json", "--use", "box/3"]).json();
    let near = items(&answer, "near_misses");
    let told: Vec<&Value> = near.iter().filter(|near| near["nearest"]["stock"] == "box/3").collect();
    assert!(!told.is_empty(), "{near:?}");
    for near in told {
        assert_eq!(word(near, "lack"), "size");
        assert!(millionths(near, "short_by") > 0, "{near}");
    }
}

#[test]
fn the_same_question_gets_the_same_bytes() {
    for command in
        [&["suggest", "--json"][..], &["suggest"], &["stock", "--json"], &["mats", "moss"], &["plugins", "--json"]]
    {
        let (one, other) = (small(command).good(), small(command).good());
        assert_eq!(one, other, "{command:?}");
    }
}

/// The promise of the first five minutes: a scrap's size and a weight, edited, show.
#[test]
fn an_edited_size_and_an_edited_weight_show() {
    let folder = copy_of("small");
    let scores = |ran: Ran| -> Vec<(String, i64)> {
        let answer = ran.json();
        items(&answer, "suggestions").iter().map(|one| (word(one, "id").to_owned(), millionths(one, "score"))).collect()
    };
    let ask = || run(folder.path(), &["suggest", "--json", "--use", "box/1", "--today", "2026-03-01"]);
    let before = scores(ask());
    assert!(!before.is_empty());
    let edit = |file: &str, from: &str, to: &str| {
        let path = folder.path().join(file);
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{file} has no {from}");
        std::fs::write(path, text.replace(from, to)).unwrap();
    };
    edit("settings.toml", "weight = 0.5", "weight = 4");
    let heavier = scores(ask());
    assert_ne!(before, heavier, "a weight was changed");
    edit("papers/box.toml", "size = \"2 x 3 in\"", "size = \"1/2 x 1/2 in\"");
    assert!(scores(ask()).is_empty(), "the scrap is too small for anything now");
}
