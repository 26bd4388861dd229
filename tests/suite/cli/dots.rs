//! Finishing dots as a person meets them: listed, counted, set on cards, given out over a batch, taken
//! from stock when it is made, brought back, left off.

use super::{items, millionths, run, word};
use serde_json::Value;
use std::path::Path;

const DAY: [&str; 2] = ["--today", "2026-03-01"];

/// A stash of one layout, for a new baby, and so many pearls that go with it; of gems that do not there
/// are plenty.
pub(super) fn stash(pearls: u32, settings: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let files = [
        (
            "pad.toml",
            "kind = \"pad\"\nid = \"pad\"\nsheet = \"6 x 6 in\"\n\
             [[design]]\nid = \"leaf\"\ncolour = \"#6a8c3a\"\ncopies = 9\nbusyness = 0.3\n"
                .to_owned(),
        ),
        (
            "bases.toml",
            "kind = \"bases\"\n[[base]]\nid = \"white\"\nsize = \"A2\"\ncolour = \"#fdfdfd\"\ncount = 9\n".to_owned(),
        ),
        (
            "cardstock.toml",
            "kind = \"cardstock\"\n[[cardstock]]\nid = \"cream\"\ncolour = \"#f2e6cf\"\ncount = 9\n".to_owned(),
        ),
        (
            "layout.toml",
            "kind = \"layout\"\nid = \"cot\"\nname = \"Cot\"\ncard = \"A2\"\noccasions = [\"new baby\"]\n\
             [[panel]]\nid = \"background\"\nrole = \"background\"\ninset = \"1/4 in\"\ntakes = \"patterned\"\n\
             [[panel]]\nid = \"sheet\"\nrole = \"feature\"\non = \"background\"\nwidth = 2\nheight = 2\n\
             takes = \"cardstock\"\n"
                .to_owned(),
        ),
        (
            "dots.toml",
            format!(
                "kind = \"dots\"\n[[dots]]\nid = \"pearls\"\nname = \"Milk pearls\"\ncolour = \"#f3ece0\"\n\
                 diameter = \"4 mm\"\ncount = {pearls}\n\
                 [[dots]]\nid = \"gems\"\nsort = \"gems\"\ncolour = \"#aa2233\"\ndiameter = \"4 mm\"\n\
                 height = \"2 mm\"\ngrams = 0.05\ncount = 500\n"
            ),
        ),
        ("settings.toml", format!("kind = \"settings\"\ncards = [\"A2\"]\nmost-changes = 0\n{settings}")),
    ];
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("a file");
    }
    folder
}

fn on(folder: &Path, arguments: &[&str]) -> super::Ran {
    run(folder, &[arguments, &DAY].concat())
}

fn pearls(folder: &Path) -> i64 {
    let stock = on(folder, &["stock", "--json"]).json();
    let dots = items(&stock, "dots").iter().find(|dots| dots["id"] == "pearls").expect("they are listed");
    dots["count"].as_i64().expect("a count")
}

#[test]
fn a_card_takes_three_pearls_and_says_where_how_high_and_what_to_mind() {
    let folder = stash(48, "");
    let told = on(folder.path(), &["suggest", "--json"]).json();
    let card = &items(&told, "suggestions")[0];
    let dots = &card["dots"];
    assert_eq!((word(dots, "stock"), dots["count"].as_i64()), ("pearls", Some(3)), "{dots}");
    assert_eq!((dots["takes_up"].is_null(), dots["young_child"].as_bool()), (true, Some(true)));
    let step = items(card, "steps").last().expect("it has steps");
    assert_eq!(word(step, "kind"), "dots");
    assert!(word(step, "text").contains("set three of Milk pearls (pearls), 4 mm across"), "{step}");
    let cautions: Vec<&str> = items(step, "cautions").iter().filter_map(Value::as_str).collect();
    assert!(cautions.iter().any(|caution| caution.contains("not for children under 3")), "{cautions:?}");
    assert!(cautions.iter().any(|caution| caution.contains("leave the dots off")), "{cautions:?}");
    // Every middle is one that a ruler of sixteenths sets, in millimetres 1.5875 apart.
    for middle in dots["middles"].as_array().expect("a list") {
        for at in middle.as_array().expect("two lengths") {
            let nanometres = (at.as_f64().expect("a length") * 1e6).round();
            assert!((nanometres / 1_587_500.0).fract().abs() < 1e-9, "{middle}");
        }
    }
    let off = stash(48, "finishing-dots = false\n");
    let without = on(off.path(), &["suggest", "--json"]).json();
    let plain = &items(&without, "suggestions")[0];
    assert!(plain["dots"].is_null());
    // They change neither which card it is nor its score, only how thick and heavy it is.
    assert_eq!((&card["id"], &card["score"]), (&plain["id"], &plain["score"]));
    assert_eq!(items(card, "steps").len(), items(plain, "steps").len() + 1);
    assert!(millionths(card, "thickness") > millionths(plain, "thickness"));
    assert!(millionths(card, "weight") > millionths(plain, "weight"));
    // Left out, none; and of what there are few, one; shared among too many cards, none.
    let spared = on(folder.path(), &["suggest", "--json", "--without", "pearls"]).json();
    assert!(items(&spared, "suggestions")[0]["dots"].is_null());
    let few = stash(2, "");
    let one = on(few.path(), &["suggest", "--json"]).json();
    assert_eq!(items(&one, "suggestions")[0]["dots"]["count"].as_i64(), Some(1));
    let shared = on(few.path(), &["suggest", "--json", "--each", "3"]).json();
    assert!(items(&shared, "suggestions")[0]["dots"].is_null());
    assert!(on(few.path(), &["suggest", "--use", "pearls"]).refused().contains("pearls"), "they never must be used");
}

#[test]
fn a_batch_promises_each_dot_once_made_takes_them_and_undo_brings_them_back() {
    for (pearls_on_hand, set) in [(48, 12), (11, 8), (4, 4), (3, 0)] {
        let folder = stash(pearls_on_hand, "");
        let path = folder.path();
        let before = on(path, &["stock", "--json"]).good();
        let text = on(path, &["plan", "--json", "--cards", "4", "--each", "4..4", "--work", "300000"]).good();
        std::fs::write(path.join("plan.json"), &text).expect("a file");
        let plan: Value = serde_json::from_str(&text).expect("a plan");
        let takes: i64 = items(&plan, "cards")
            .iter()
            .map(|cards| cards["suggestion"]["dots"]["count"].as_i64().unwrap_or(0) * cards["count"].as_i64().unwrap())
            .sum();
        assert_eq!(plan["made"].as_i64(), Some(4), "{plan}");
        assert!(takes <= i64::from(pearls_on_hand), "{takes} of {pearls_on_hand}");
        // Eleven are three for each of three cards: four cards alike have one, or two less than three each.
        let expected = if pearls_on_hand == 11 { 4 } else { set };
        assert_eq!(takes, expected, "of {pearls_on_hand}");
        on(path, &["made", "plan.json", "--kept", "none", "--no-dots"]).good();
        assert_eq!(pearls(path), i64::from(pearls_on_hand));
        on(path, &["undo"]).good();
        assert_eq!(on(path, &["stock", "--json"]).good(), before);
        on(path, &["made", "plan.json", "--kept", "none"]).good();
        assert_eq!(pearls(path), i64::from(pearls_on_hand) - takes);
        on(path, &["undo"]).good();
        assert_eq!(on(path, &["stock", "--json"]).good(), before);
    }
}

#[test]
fn a_plan_whose_dots_are_gone_or_are_none_is_refused() {
    let folder = stash(6, "");
    let path = folder.path();
    let text = on(path, &["plan", "--json", "--cards", "2", "--each", "2..2", "--work", "300000"]).good();
    std::fs::write(path.join("plan.json"), &text).expect("a file");
    on(path, &["lost", "pearls", "3"]).good();
    let told = on(path, &["made", "plan.json"]).refused();
    assert!(told.contains("`pearls`: 6 dots to be set, 3 left") && told.contains("--no-dots"), "{told}");
    on(path, &["made", "plan.json", "--no-dots"]).good();
    on(path, &["undo"]).good();
    let wrong = [
        ("stock", Value::from("white"), "on hand no more"),
        ("stock", Value::from("rubies"), "on hand no more"),
        ("count", Value::from(0), "0 dots"),
        ("count", Value::from(4_000_000_000_u32), "4000000000 dots"),
        ("count", Value::from(-1), "no plan"),
        ("count", Value::from("three"), "no plan"),
    ];
    for (key, value, says) in wrong {
        let mut plan: Value = serde_json::from_str(&text).expect("a plan");
        let dots = &mut plan["cards"][0]["suggestion"]["dots"];
        assert_eq!(dots["stock"], "pearls");
        dots[key] = value;
        std::fs::write(path.join("wrong.json"), plan.to_string()).expect("a file");
        let told = on(path, &["made", "wrong.json"]).refused();
        assert!(told.contains(says), "{told}");
    }
}

#[test]
fn dots_are_used_lost_found_and_counted_and_undo_gives_the_same_bytes() {
    let folder = stash(48, "");
    let path = folder.path();
    let before = on(path, &["stock", "--json"]).good();
    let steps: [(&[&str], i64); 5] = [
        (&["used", "pearls", "5"], 43),
        (&["lost", "pearls", "3"], 40),
        (&["found", "pearls"], 41),
        (&["add", "pearls", "10"], 51),
        (&["recount", "pearls", "50"], 50),
    ];
    for (step, now) in steps {
        on(path, step).good();
        assert_eq!(pearls(path), now, "{step:?}");
    }
    let told = on(path, &["used", "pearls", "--left", "1 x 1 in"]).refused();
    assert!(told.contains("no piece is left"), "{told}");
    assert!(on(path, &["used", "pearls", "51"]).refused().contains("there are 50"));
    assert!(on(path, &["used", "pearl"]).refused().contains("did you mean `pearls`?"));
    assert!(on(path, &["history"]).good().contains("used 5 of `pearls`"));
    for _ in 0..5 {
        on(path, &["undo"]).good();
    }
    assert_eq!(on(path, &["stock", "--json"]).good(), before);
    let listed = on(path, &["stock"]).good();
    assert!(listed.contains("Finishing dots") && listed.contains("about 2 mm high"), "{listed}");
}

#[test]
fn tables_bring_dots_out_and_in_again() {
    let folder = stash(48, "");
    let path = folder.path();
    on(path, &["used", "pearls", "8"]).good();
    on(path, &["export", "tables"]).good();
    let elsewhere = tempfile::tempdir().expect("a folder");
    let tables = path.join("tables");
    on(elsewhere.path(), &["import", tables.to_str().expect("a plain path")]).good();
    let dots = |folder: &Path| -> Vec<(String, i64, i64, i64, String)> {
        let stock = on(folder, &["stock", "--json"]).json();
        let of = |dots: &Value| {
            let count = dots["count"].as_i64().expect("a count");
            let (wide, high) = (millionths(dots, "diameter"), millionths(dots, "height"));
            (word(dots, "id").to_owned(), count, wide, high, word(dots, "colour").to_owned())
        };
        items(&stock, "dots").iter().map(of).collect()
    };
    assert_eq!(dots(elsewhere.path()), dots(path));
    assert_eq!(pearls(elsewhere.path()), 40);
    let bad = tempfile::tempdir().expect("a folder");
    let rows = "id,kind,material,width_mm,height_mm,count,thick_mm\n\
                a,dots,kraft,4,4,1,2\nb,sheet,gems,4,4,1,\nc,dots,gems,4,4,1,0\n";
    std::fs::write(bad.path().join("bad.csv"), rows).expect("a file");
    let told = on(bad.path(), &["import", "bad.csv"]).refused();
    for row in ["row 2", "row 3", "row 4"] {
        assert!(told.contains(row), "{told}");
    }
}
