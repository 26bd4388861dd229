//! Hollow mats as a person meets them: off until the settings say so, then planned, told with their
//! cautions, recorded and taken back.

use super::{items, run, word};
use serde_json::Value;
use std::path::Path;

const DAY: [&str; 2] = ["--today", "2026-03-01"];

fn on(folder: &Path, arguments: &[&str]) -> super::Ran {
    run(folder, &[arguments, &DAY].concat())
}

/// Two layouts, the mat of one just as large as a scrap of the only red cardstock, the mat of the other
/// smaller than its middle.
pub(super) fn stash(settings: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let files = [
        (
            "pad.toml",
            "kind = \"pad\"\nid = \"pad\"\nsheet = \"6 x 6 in\"\n\
             [[design]]\nid = \"dots\"\ncolour = \"#88aa44\"\ncopies = 9\nbusyness = 0.3\n",
        ),
        ("bases.toml", "kind = \"bases\"\n[[base]]\nid = \"white\"\nsize = \"A2\"\ncolour = \"#fdfdfd\"\ncount = 9\n"),
        (
            "scraps.toml",
            "kind = \"scraps\"\n[[scrap]]\nid = \"red\"\nmaterial = \"cardstock\"\ncolour = \"#aa2233\"\n\
             size = \"3 x 4 in\"\ncount = 2\n",
        ),
        (
            "layouts.toml",
            "kind = \"layouts\"\n\
             [[layout]]\nid = \"window\"\ncard = \"A2\"\n\
             [[layout.panel]]\nid = \"window\"\nrole = \"feature\"\ncentre = \"50%\"\nmiddle = \"50%\"\n\
             width = 3\nheight = 4\nmats = [\"1/8 in\"]\n\
             [[layout]]\nid = \"label\"\ncard = \"A2\"\n\
             [[layout.panel]]\nid = \"label\"\nrole = \"feature\"\ncentre = \"50%\"\nmiddle = \"50%\"\n\
             width = \"1 1/4\"\nheight = \"3 1/4\"\nmats = [\"1/8 in\"]\n",
        ),
    ];
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("a file");
    }
    let settings = format!("kind = \"settings\"\ncards = [\"A2\"]\nmost-changes = 0\n{settings}");
    std::fs::write(folder.path().join("settings.toml"), settings).expect("a file");
    folder
}

const PLAN: [&str; 6] = ["plan", "--json", "--cards", "4", "--each", "1..2"];

fn planned(folder: &Path) -> (String, Value) {
    let text = on(folder, &PLAN).good();
    let plan = serde_json::from_str(&text).expect("JSON");
    (text, plan)
}

#[test]
fn a_middle_is_cut_up_only_where_the_settings_allow_it() {
    let (without, said_off) = (stash(""), stash("hollow-mats = false\n"));
    let (text, plan) = planned(without.path());
    assert!(!text.contains("hollow") && !text.contains("middle"), "nothing is said of middles");
    assert_eq!(planned(said_off.path()).1["cards"], plan["cards"]);
    let with = stash("hollow-mats = true\n");
    let (_, more) = planned(with.path());
    let made = |plan: &Value| plan["made"].as_u64().expect("a count");
    assert!(made(&more) > made(&plan), "{} with, {} without", made(&more), made(&plan));
    assert!(more["at_most"].as_u64() >= Some(made(&more)));
}

#[test]
fn a_plan_tells_whose_middle_each_piece_is_from_and_how_to_cut_it_out() {
    let with = stash("hollow-mats = true\n");
    let (text, plan) = planned(with.path());
    let sheets = items(&plan, "sheets");
    let middle = sheets.iter().find(|sheet| sheet["middle_of"].is_object()).expect("a middle");
    let of = &middle["middle_of"];
    assert_eq!((word(of, "stock"), word(of, "layer")), ("red", "window mat"));
    let name = format!("middle of the window mat of {}", word(of, "card"));
    assert_eq!(word(middle, "stock"), name);
    let cards: Vec<&Value> = items(&plan, "cards").iter().map(|cards| &cards["suggestion"]).collect();
    let pieces = |card: &str, panel: &str| {
        let card = cards.iter().find(|other| word(other, "id") == card).expect("the card");
        let layer = items(card, "layers").iter().find(|layer| word(layer, "panel") == panel).expect("the layer");
        layer["pieces"][0].clone()
    };
    // The mat says where its hole is, on the card and on its sheet; the piece says where it is from.
    let mat = pieces(word(of, "card"), "window mat");
    assert_eq!(mat["hollow"]["width"], middle["width"]);
    assert_eq!(mat["hollow"]["x"], of["x"]);
    let placed = &middle["placements"][0];
    assert_eq!(word(&pieces(word(placed, "card"), word(placed, "layer")), "from"), name);
    let holes =
        sheets.iter().flat_map(|sheet| items(sheet, "placements")).filter(|placed| placed["hollow"].is_object());
    assert!(holes.count() > 0);
    // A knife step, with its caution, after the cutting and before the glueing.
    let steps = items(cards.iter().find(|card| word(card, "id") == word(of, "card")).expect("the card"), "steps");
    let kinds: Vec<&str> = steps.iter().map(|step| word(step, "kind")).collect();
    let at = |kind: &str| kinds.iter().position(|other| *other == kind).unwrap_or_else(|| panic!("{kind}: {kinds:?}"));
    assert!(at("cut") < at("hollow") && at("hollow") < at("level") && at("level") < at("mat"), "{kinds:?}");
    assert!(word(&steps[at("level")], "text").contains("across the hole"), "{}", steps[at("level")]);
    for must in ["sharp", "metal ruler", "cutting mat", "away from the hand", "reach of children", "maker says"] {
        assert!(steps[at("hollow")]["cautions"][0].as_str().expect("a caution").contains(must), "{must}");
    }
    let shown = on(with.path(), &["plan", "--cards", "4", "--each", "1..2"]).good();
    assert!(shown.contains("With a knife") && shown.contains("Mind the knife") && shown.contains(&name), "{shown}");
    // The booklet draws and tells it.
    std::fs::write(with.path().join("plan.json"), text).expect("a file");
    on(with.path(), &["print", "plan.json", "--out", "booklet.pdf"]).good();
}

#[test]
fn what_is_cut_from_middles_is_recorded_once_and_taken_back_to_the_byte() {
    let with = stash("hollow-mats = true\n");
    let (text, plan) = planned(with.path());
    std::fs::write(with.path().join("plan.json"), &text).expect("a file");
    let stock = || on(with.path(), &["stock", "--json"]).good();
    let count = |text: &str| {
        let stock: Value = serde_json::from_str(text).expect("JSON");
        let of_red = |line: &&Value| line["id"] == "red";
        items(&stock, "stock").iter().filter(of_red).filter_map(|line| line["count"].as_u64()).sum::<u64>()
    };
    let before = stock();
    let made = on(with.path(), &["made", "plan.json", "--kept", "all"]).good();
    let after = stock();
    assert_eq!((count(&before), count(&after)), (2, 0), "{made}");
    // What is left of a middle is kept under the line it came from.
    let rest = items(&plan, "offcuts").iter().filter(|rest| word(rest, "stock").starts_with("middle of"));
    let rest = rest.count();
    assert!(rest > 0, "the label is smaller than the middle");
    let entries: Value = on(with.path(), &["history", "--json"]).json();
    let entry = items(&entries, "entries").iter().find(|entry| word(entry, "what") == "made").expect("an entry");
    let of_red = items(entry, "pieces").iter().filter(|piece| piece["parent"] == "red").count();
    assert_eq!(of_red, rest, "{entry}");
    on(with.path(), &["undo"]).good();
    assert_eq!(stock(), before);
}

#[test]
fn a_plan_whose_middles_cannot_be_is_refused() {
    let with = stash("hollow-mats = true\n");
    let (text, _) = planned(with.path());
    let broken = [
        // The middle of a piece that no sheet has.
        (text.replace("\"layer\": \"window mat\"", "\"layer\": \"other mat\""), "are cut out"),
        // Of a line that is not opened.
        (
            text.replace("\"stock\": \"red\",\n        \"card\"", "\"stock\": \"blue\",\n        \"card\""),
            "does not cut",
        ),
    ];
    for (bad, says) in broken {
        assert_ne!(bad, text);
        std::fs::write(with.path().join("bad.json"), bad).expect("a file");
        let told = on(with.path(), &["made", "bad.json"]).refused();
        assert!(told.contains(says), "{says}: {told}");
    }
}
