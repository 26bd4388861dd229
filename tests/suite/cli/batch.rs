//! Batches as a person meets them: planned, recorded, taken back; a plan of another day or stash.

use super::{copy_of, items, millionths, repository, run, word};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

const DAY: [&str; 2] = ["--today", "2026-03-01"];

fn on(folder: &Path, arguments: &[&str]) -> super::Ran {
    run(folder, &[arguments, &DAY].concat())
}

fn planned(folder: &Path, arguments: &[&str]) -> String {
    on(folder, &[&["plan", "--json", "--work", "300000"], arguments].concat()).good()
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).expect("a plan")
}

fn place(value: &Value) -> [i64; 4] {
    let [x, y, width, height] = ["x", "y", "width", "height"].map(|key| millionths(value, key));
    [x, y, x + width, y + height]
}

#[track_caller]
fn number(value: &Value, key: &str) -> i64 {
    value[key].as_i64().unwrap_or_else(|| panic!("no whole number `{key}` in {value}"))
}

/// What must hold of every plan, looked at from outside: counts, areas, places, bounds.
fn adds_up(plan: &Value, stock: &Value) {
    let has: BTreeMap<&str, i64> =
        items(stock, "stock").iter().map(|line| (word(line, "id"), number(line, "count"))).collect();
    let mut takes: BTreeMap<&str, i64> = BTreeMap::new();
    let mut cut: BTreeMap<&str, i64> = BTreeMap::new();
    for sheet in items(plan, "sheets") {
        let copies = number(sheet, "copies");
        *takes.entry(word(sheet, "stock")).or_default() += copies;
        let (width, height) = (millionths(sheet, "width"), millionths(sheet, "height"));
        let all: Vec<[i64; 4]> = items(sheet, "placements").iter().chain(items(sheet, "offcuts")).map(place).collect();
        for (number, one) in all.iter().enumerate() {
            assert!(one[0] >= 0 && one[1] >= 0 && one[2] <= width && one[3] <= height, "{sheet}");
            for other in &all[..number] {
                let apart = one[2] <= other[0] || other[2] <= one[0] || one[3] <= other[1] || other[3] <= one[1];
                assert!(apart, "two things on one place: {sheet}");
            }
        }
        let area: i128 = all.iter().map(|[x, y, right, bottom]| i128::from(right - x) * i128::from(bottom - y)).sum();
        assert_eq!(area, i128::from(width) * i128::from(height), "pieces and leftovers are the sheet: {sheet}");
        for placed in items(sheet, "placements") {
            *cut.entry(word(placed, "piece")).or_default() += copies;
        }
    }
    for (id, takes) in takes {
        assert!(takes <= has.get(id).copied().unwrap_or(0), "{takes} of {id}");
    }
    let mut made = 0;
    for cards in items(plan, "cards") {
        let count = number(cards, "count");
        made += count;
        let card = &cards["suggestion"];
        for layer in items(card, "layers") {
            let pieces = i64::try_from(items(layer, "pieces").len()).expect("a few pieces");
            let name = format!("{} {}", word(card, "id"), word(layer, "panel"));
            if pieces > 0 {
                assert_eq!(cut.get(name.as_str()).copied().unwrap_or(0), count * pieces, "{name}");
            }
        }
    }
    assert_eq!(plan["made"].as_i64(), Some(made));
    let at_most = number(plan, "at_most");
    assert!(made <= at_most);
    assert_eq!(plan["proven"].as_bool(), Some(made == at_most));
}

#[test]
fn a_plan_adds_up_and_is_the_same_every_time() {
    for stash in ["small", "narrow", "odd-names"] {
        let folder = copy_of(stash);
        let stock = on(folder.path(), &["stock", "--json"]).json();
        for arguments in [&["--cards", "3", "--each", "1..3"][..], &["--all", "--each", "1..4"], &["--cards", "1"]] {
            let plan = planned(folder.path(), arguments);
            adds_up(&json(&plan), &stock);
            assert_eq!(plan, planned(folder.path(), arguments), "{stash} {arguments:?}");
        }
    }
}

#[test]
fn choices_hold() {
    let folder = copy_of("small");
    let all = json(&planned(folder.path(), &["--all", "--each", "1..4"]));
    let made = all["made"].as_i64().unwrap();
    assert!(made > 1, "{all}");
    let some = json(&planned(folder.path(), &["--cards", "1", "--each", "1..4"]));
    assert_eq!(some["made"], 1);
    assert_eq!(some["at_most"], all["at_most"], "the bound does not look at --cards");
    let few = json(&planned(folder.path(), &["--all", "--each", "1..2", "--designs", "1"]));
    assert!(items(&few, "cards").len() <= 1 && few["at_most"].as_i64().unwrap() <= 2, "{few}");
    let used = json(&planned(folder.path(), &["--all", "--each", "1..4", "--use", "garden/stripe"]));
    for cards in items(&used, "cards") {
        let shows = items(&cards["suggestion"], "layers").iter().any(|layer| layer["paper"] == "garden/stripe");
        assert!(shows, "{cards}");
    }
    let spared = json(&planned(folder.path(), &["--all", "--each", "1..4", "--spare", "garden/stripe"]));
    assert!(items(&spared, "sheets").iter().all(|sheet| sheet["stock"] != "garden/stripe"));
    for (arguments, says) in [
        (&["--each", "4..2"][..], "--each"),
        (&["--each", "two"], "--each"),
        (&["--use", "garden/strip"], "did you mean `garden/stripe`?"),
        (&["--for", "the moon"], "no layout is for `the moon`"),
    ] {
        let told = on(folder.path(), &[&["plan"], arguments].concat()).refused();
        assert!(told.contains(says), "{told}");
    }
}

#[test]
fn made_as_planned_is_recorded_and_undo_brings_everything_back() {
    let folder = copy_of("small");
    let path = folder.path();
    let before = on(path, &["stock", "--json"]).good();
    let plan = planned(path, &["--cards", "2", "--each", "1..2", "--use", "garden/leaves"]);
    std::fs::write(path.join("plan.json"), &plan).unwrap();
    assert_eq!(on(path, &["stock", "--json"]).good(), before, "a plan cuts nothing");
    let recorded = on(path, &["made", "plan.json", "--kept", "all", "--json"]).json();
    let plan = json(&plan);
    let kept: Vec<(i64, i64)> = items(&recorded["recorded"], "pieces")
        .iter()
        .map(|piece| (millionths(piece, "width"), millionths(piece, "height")))
        .collect();
    let left: Vec<(i64, i64)> =
        items(&plan, "offcuts").iter().map(|piece| (millionths(piece, "width"), millionths(piece, "height"))).collect();
    assert_eq!(kept, left, "to the nanometre");
    let stock = on(path, &["stock", "--json"]).json();
    assert_eq!(items(&stock, "cards").iter().map(|cards| cards["count"].as_i64().unwrap()).sum::<i64>(), 2);
    let was: Value = serde_json::from_str(&before).unwrap();
    for line in items(&was, "stock") {
        let id = word(line, "id");
        let cut: i64 = items(&plan, "sheets")
            .iter()
            .filter(|sheet| sheet["stock"] == id)
            .map(|sheet| sheet["copies"].as_i64().unwrap())
            .sum();
        let now = items(&stock, "stock").iter().find(|now| now["id"] == id).expect("it is listed");
        let cut = if line["plenty"] == true { 0 } else { cut };
        assert_eq!(now["count"].as_i64().unwrap(), line["count"].as_i64().unwrap() - cut, "{id}");
    }
    let told = on(path, &["made", "plan.json"]).refused();
    assert!(told.contains("recorded already, as entry 1"), "{told}");
    let card = word(&items(&stock, "cards")[0], "id").to_owned();
    on(path, &["given", &card]).good();
    assert!(on(path, &["undo", "1"]).refused().contains("entry 2"), "the card was given");
    let report = on(path, &["report", "--json"]).json();
    assert!(items(&report, "pads").iter().any(|pad| pad["cards"].as_i64() > Some(0)), "{report}");
    on(path, &["undo"]).good();
    on(path, &["undo"]).good();
    assert_eq!(on(path, &["stock", "--json"]).good(), before);
    // Taken back, it may be recorded again, with some of its leftovers.
    on(path, &["made", "plan.json", "--kept", "none"]).good();
    let told = on(path, &["made", "plan.json", "--kept", "999"]).refused();
    assert!(told.contains("no leftover `999`"), "{told}");
}

#[test]
fn a_plan_that_does_not_fit_is_refused_with_what_changed() {
    let folder = copy_of("small");
    let path = folder.path();
    let text = planned(path, &["--cards", "2", "--each", "1..2"]);
    std::fs::write(path.join("plan.json"), &text).unwrap();
    let plan = json(&text);
    let sheet = items(&plan, "sheets").iter().find(|sheet| sheet["stock"] != "cup").expect("something is cut");
    let id = word(sheet, "stock");
    let stock = on(path, &["stock", "--json"]).json();
    let line = items(&stock, "stock").iter().find(|line| line["id"] == id).expect("it is listed");
    let count = line["count"].as_i64().unwrap().to_string();
    on(path, &["lost", id, &count]).good();
    let told = on(path, &["made", "plan.json"]).refused();
    assert!(
        told.contains("no longer fits") && told.contains(&format!("`{id}`")) && told.contains("none is left"),
        "{told}"
    );
    on(path, &["undo"]).good();
    on(path, &["made", "plan.json"]).good();
    // Of another stash; of a copy that went its own way; of the future; broken; not to be believed.
    let other = copy_of("narrow");
    std::fs::write(other.path().join("plan.json"), &text).unwrap();
    assert!(on(other.path(), &["made", "plan.json"]).refused().contains("another stash"));
    let later = planned(path, &["--cards", "1", "--each", "1..2"]);
    let copy = copy_of("small");
    std::fs::write(copy.path().join("plan.json"), &later).unwrap();
    assert!(on(copy.path(), &["made", "plan.json"]).refused().contains("another stash"));
    let (head, sheets) = text.split_once("\"sheets\": [").expect("it has sheets");
    let in_sheets = |from: &str, to: &str| format!("{head}\"sheets\": [{}", sheets.replacen(from, to, 1));
    let broken = [
        (text.replacen("\"format\": 1", "\"format\": 2", 1), "format 2"),
        (text[..text.len() / 2].to_owned(), "no plan"),
        ("{}".to_owned(), "no plan"),
        (in_sheets("\"x\": 0", "\"x\": -50"), "outside the sheet"),
        (in_sheets("\"copies\": 1", "\"copies\": 0"), "0 times"),
    ];
    for (bad, says) in broken {
        assert_ne!(bad, text);
        std::fs::write(copy.path().join("bad.json"), bad).unwrap();
        let told = on(copy.path(), &["made", "bad.json"]).refused();
        assert!(told.contains(says), "{says}: {told}");
    }
}

#[test]
fn a_scrap_good_for_nothing_else_levels_a_card_and_is_used_up_by_it() {
    let stash = tempfile::tempdir().expect("a folder");
    let case = repository("tests/cases/adaptations/ends-only");
    for file in ["cardstock.toml", "layout.toml", "settings.toml", "sheets.toml"] {
        std::fs::copy(case.join(file), stash.path().join(file)).expect("a copy");
    }
    let scrap = "kind = \"scraps\"\n[[scrap]]\nid = \"misty\"\nsize = \"2 1/8 x 1 7/16 in\"\ncount = 2\n\
                 material = \"vellum\"\ncolour = \"#e8eef2\"\n";
    std::fs::write(stash.path().join("scraps.toml"), scrap).expect("a file");
    let ran = |arguments: &[&str]| run(stash.path(), arguments);
    let text = ran(&["plan", "--cards", "1", "--each", "1..1", "--json"]).good();
    let plan: Value = serde_json::from_str(&text).expect("JSON");
    let slip = &plan["levelling"][0];
    assert_eq!((slip["from"].as_str(), slip["of"].as_str()), (Some("misty"), Some("scrap")), "{slip}");
    let sheets = plan["sheets"].as_array().expect("sheets");
    let taken: Vec<&Value> = sheets.iter().filter(|sheet| sheet["stock"] == "misty").collect();
    assert_eq!(taken.len(), 1, "{sheets:?}");
    assert_eq!(taken[0]["placements"][0]["width"], slip["width"], "it lies on its scrap");

    std::fs::write(stash.path().join("plan.json"), &text).expect("a file");
    let on_hand = || ran(&["stock", "--json"]).json();
    let left = |stock: &Value| {
        let lines = stock["stock"].as_array().expect("lines").iter();
        lines.filter(|line| line["id"] == "misty").filter_map(|line| line["count"].as_u64()).sum::<u64>()
    };
    let before = on_hand();
    ran(&["made", "plan.json"]).good();
    assert_eq!((left(&before), left(&on_hand())), (2, 1));
    ran(&["undo"]).good();
    assert_eq!(on_hand(), before);
}
