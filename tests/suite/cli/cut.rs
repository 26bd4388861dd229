//! `cut` as a person meets it: hostile and odd problems, limits, maps.

use super::{Ran, items, run, word};
use serde_json::Value;
use std::path::Path;
use tempfile::TempDir;

fn folder(problem: &str) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder of its own");
    std::fs::write(folder.path().join("job.toml"), problem).expect("a file can be written");
    folder
}

fn cut(problem: &str, more: &[&str]) -> Ran {
    run(folder(problem).path(), &[&["cut", "job.toml"], more].concat())
}

fn json(problem: &str, more: &[&str]) -> Value {
    cut(problem, &[&["--json"], more].concat()).json()
}

/// How many copies of a piece are cut and named as unplaced.
fn copies(answer: &Value, id: &str) -> (u64, u64) {
    let on = |sheet: &Value| {
        let here = items(sheet, "placements").iter().filter(|placed| word(placed, "piece") == id).count() as u64;
        here * sheet["copies"].as_u64().expect("a whole number")
    };
    let out = items(answer, "unplaced").iter().filter(|out| word(out, "piece") == id);
    (items(answer, "sheets").iter().map(on).sum(), out.map(|out| out["count"].as_u64().expect("a whole number")).sum())
}

const HEAD: &str = "unit = \"mm\"\ngoal = \"fewest-sheets\"\n";
const SHEET: &str = "[[stock]]\nid = \"sheet\"\nwidth = 305\nheight = 305\n";

fn piece(id: &str, width: &str, height: &str, more: &str) -> String {
    format!("[[piece]]\nid = \"{id}\"\nwidth = {width}\nheight = {height}\n{more}\n")
}

#[test]
fn the_answer_has_every_field_and_they_agree() {
    let problem = [HEAD, SHEET, "count = 4\n", &piece("a", "100", "148", "count = 9\nturn = false")].concat();
    let answer = json(&problem, &[]);
    let keys: Vec<&str> = answer.as_object().expect("an object").keys().map(String::as_str).collect();
    for key in ["format", "goal", "sheets", "unplaced", "value", "sheets_used", "cost", "bound", "proven"] {
        assert!(keys.contains(&key), "no `{key}`");
    }
    assert_eq!(answer["format"], 1);
    assert_eq!(answer["sheets_used"], 2);
    assert_eq!((&answer["bound"], &answer["proven"]), (&Value::from(2), &Value::from(true)));
    assert_eq!(answer["cost"], 2 * 305 * 305);
    assert_eq!(answer["value"], 9 * 100 * 148);
    assert_eq!(copies(&answer, "a"), (9, 0));
    for sheet in items(&answer, "sheets") {
        assert_eq!(word(sheet, "stock"), "sheet");
        let mut made = vec![0];
        for cut in items(sheet, "cuts") {
            let part = cut["part"].as_u64().expect("a whole number");
            assert!(made.contains(&part), "{cut} divides a part that is not there");
            made.retain(|other| *other != part);
            made.extend(items(cut, "makes").iter().map(|part| part.as_u64().expect("a whole number")));
            assert!(["x", "y"].contains(&word(cut, "axis")) && ["near", "far"].contains(&word(cut, "held")));
            let (position, start) = (&cut["position"], &cut["of"][word(cut, "axis")]);
            let guide = position.as_f64().expect("a number") - start.as_f64().expect("a number");
            assert!((guide - cut["guide"].as_f64().expect("a number")).abs() < 1e-9, "{cut}");
        }
        let parts = items(sheet, "placements").len() + items(sheet, "offcuts").len();
        assert_eq!(made.len(), parts, "every part is a piece or an offcut");
        assert!(items(sheet, "placements").iter().all(|placed| placed["turned"] == false));
    }
}

#[test]
fn the_three_goals_differ() {
    let stock = "[[stock]]\nid = \"big\"\nwidth = 200\nheight = 200\ncost = 10\n[[stock]]\nid = \"small\"\nwidth = 100\nheight = 100\ncost = 1\n";
    let problem = |goal: &str, count: &str| {
        let pieces = piece("p", "100", "100", "count = 4\nvalue = 7");
        format!("goal = \"{goal}\"\n{}{pieces}", stock.replace("cost", &format!("{count}cost")))
    };
    let fewest = json(&problem("fewest-sheets", ""), &[]);
    assert_eq!((&fewest["sheets_used"], &fewest["cost"]), (&Value::from(1), &Value::from(10)));
    let least = json(&problem("least-cost", ""), &[]);
    assert_eq!((&least["sheets_used"], &least["cost"]), (&Value::from(4), &Value::from(4)));
    let most = json(&problem("most-value", "count = 1\n"), &[]);
    assert_eq!((&most["value"], &most["proven"]), (&Value::from(28), &Value::from(true)));
}

#[test]
fn wrong_input_is_refused_and_named() {
    for (problem, named) in [
        ("", "`goal`"),
        ("goal = ", "job.toml:1:"),
        ("goal = \"fewest-sheets\"\n", "`stock`"),
        ("goal = 3\n", "`3` is no goal"),
        ("format = 2\ngoal = \"fewest-sheets\"\n", "format 2"),
        (&[HEAD, SHEET, &piece("a", "0", "5", "")].concat(), "`a` has no size"),
        (&[HEAD, SHEET, &piece("a", "nan", "5", "")].concat(), "`width`"),
        (&[HEAD, SHEET, &piece("a", "1e40", "5", "")].concat(), "`width`"),
        (&[HEAD, SHEET, &piece("a", "5", "5", "count = -1")].concat(), "`count`"),
        (&[HEAD, SHEET, &piece("a", "5", "5", "count = 99999999999999999999")].concat(), "`count`"),
        (&[HEAD, SHEET, &piece("a", "5", "5", "turn = \"yes\"")].concat(), "`turn`"),
        (&[HEAD, SHEET, "[rules]\ntrim = -3\n", &piece("a", "5", "5", "")].concat(), "`trim`"),
        (&[HEAD, SHEET, &piece("a\\u001b[2J", "0", "5", "")].concat(), "`a\u{fffd}[2J`"),
    ] {
        let told = cut(problem, &[]).refused();
        assert!(told.contains(named), "{named} is not in\n{told}");
        assert!(told.contains("help: "), "{told}");
    }
    let folder = folder("");
    std::fs::write(folder.path().join("latin.toml"), b"goal = \"\xe9\"\n").expect("a file can be written");
    for name in ["nowhere.toml", ".", "latin.toml"] {
        let told = run(folder.path(), &["cut", name]).refused();
        assert!(told.contains("help: "), "{told}");
    }
    run(folder.path(), &["cut"]).refused();
    run(folder.path(), &["cut", "job.toml", "--seconds", "-1"]).refused();
}

#[test]
fn what_is_too_large_is_named_and_the_rest_is_cut() {
    let problem =
        [HEAD, SHEET, "count = 2\n", &piece("huge", "306", "10", "count = 3"), &piece("a", "300", "150", "count = 2")];
    let answer = json(&problem.concat(), &[]);
    assert_eq!((copies(&answer, "huge"), copies(&answer, "a")), ((0, 3), (2, 0)));
    assert_eq!(answer["unplaced"][0]["larger_than_all_stock"], true);
    assert_eq!((&answer["sheets_used"], &answer["proven"]), (&Value::from(1), &Value::from(true)));
    assert!(cut(&problem.concat(), &[]).good().contains("3 × huge, 306 mm × 10 mm: larger than all stock"));
}

#[test]
fn a_group_that_no_paper_can_take_is_named_and_the_rest_is_cut() {
    let stock =
        "[[stock]]\nid = \"rose\"\nwidth = 100\nheight = 100\n[[stock]]\nid = \"moss\"\nwidth = 300\nheight = 20\n";
    let problem = [
        HEAD,
        stock,
        &piece("square", "90", "90", "same_paper = \"set\""),
        &piece("band", "290", "10", "same_paper = \"set\""),
        &piece("free", "250", "9", ""),
    ];
    let answer = json(&problem.concat(), &[]);
    assert_eq!((copies(&answer, "square"), copies(&answer, "band"), copies(&answer, "free")), ((1, 0), (0, 1), (1, 0)));
    assert_eq!(answer["unplaced"][0]["no_common_paper"], true);
    let told = cut(&problem.concat(), &[]).good();
    assert!(told.contains("no one paper has room for it and the rest of its group"), "{told}");
}

#[test]
fn stock_that_a_piece_makes_is_cut_after_it() {
    let stock = "[[stock]]\nid = \"sheet\"\nwidth = 110\nheight = 110\ncount = 1\n[[stock]]\nid = \"middle\"\nwidth = 80\nheight = 80\ncount = 1\nmade_by = \"mat\"\n";
    let problem = [HEAD, stock, &piece("label", "70", "60", ""), &piece("mat", "100", "100", "")];
    let answer = json(&problem.concat(), &[]);
    let order: Vec<&str> = items(&answer, "sheets").iter().map(|sheet| word(sheet, "stock")).collect();
    assert_eq!(order, ["sheet", "middle"]);
    assert_eq!((&answer["sheets_used"], &answer["proven"]), (&Value::from(1), &Value::from(true)));
    assert!(cut(&problem.concat(), &[]).good().contains("middle, from the middle of mat"));
    // Without the mat there is no middle.
    let without = problem.concat().replace("id = \"mat\"\n", "id = \"mat\"\ncount = 0\n").replace("110", "65");
    assert_eq!(copies(&json(&without, &[]), "label"), (0, 1));
}

#[test]
fn zero_counts_a_million_copies_and_a_64th_are_no_trouble() {
    let zero = [HEAD, SHEET, "count = 0\n", &piece("a", "5", "5", ""), &piece("b", "5", "5", "count = 0")].concat();
    assert_eq!(copies(&json(&zero, &[]), "a"), (0, 1));
    let none = [HEAD, SHEET, &piece("b", "5", "5", "count = 0")].concat();
    assert_eq!((&json(&none, &[])["sheets_used"], &json(&none, &[])["proven"]), (&Value::from(0), &Value::from(true)));
    let million = [HEAD, SHEET, &piece("a", "61", "61", "count = 1_000_000")].concat();
    let answer = json(&million, &["--work", "1000000"]);
    assert_eq!((copies(&answer, "a"), &answer["sheets_used"]), ((1_000_000, 0), &Value::from(40_000)));
    let inch = |side: &str| {
        let stock = "[[stock]]\nid = \"s\"\nwidth = 6\nheight = 6\ncount = 1\n";
        format!("unit = \"in\"\ngoal = \"fewest-sheets\"\n{stock}{}", piece("a", side, "6", "count = 2\nturn = false"))
    };
    assert_eq!(copies(&json(&inch("3"), &[]), "a"), (2, 0));
    assert_eq!(copies(&json(&inch("\"3 1/64\""), &[]), "a"), (1, 1));
}

#[test]
fn no_time_gives_the_plan_at_hand_and_says_so() {
    let pieces: String =
        (0..12).map(|n| piece(&format!("p{n}"), &(60 + 7 * n).to_string(), "83", "count = 3")).collect();
    let problem = [HEAD, SHEET, &pieces].concat();
    let answer = json(&problem, &["--seconds", "0"]);
    assert_eq!(answer["cut_short"], true);
    assert!((0..12).all(|n| copies(&answer, &format!("p{n}")) == (3, 0)));
    assert!(cut(&problem, &["--seconds", "0"]).good().contains("The time limit cut the search short"));
    let (one, two) = (cut(&problem, &["--work", "5000000", "--json"]), cut(&problem, &["--work", "5000000", "--json"]));
    assert_eq!(one.good(), two.good());
}

#[test]
fn maps_lie_on_pictures_of_the_folder_and_on_no_others() {
    let folder = tempfile::tempdir().expect("a folder of its own");
    let inner = folder.path().join("inner");
    std::fs::create_dir(&inner).expect("a folder can be made");
    let picture = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/papers/images/pear.png");
    for place in [inner.join("pear.png"), folder.path().join("outside.png")] {
        std::fs::copy(&picture, place).expect("a file can be copied");
    }
    let problem = |path: &str| {
        let stock = format!("[[stock]]\nid = \"<b> & \\\"s\"\nwidth = 200\nheight = 300\npicture = \"{path}\"\n");
        [HEAD, &stock, &piece("a <i>", "90", "90", "count = 7"), &piece("tiny", "2", "3", "count = 2")].concat()
    };
    for (path, is_there) in [("pear.png", true), ("../outside.png", false), ("/etc/passwd", false), ("no.png", false)] {
        std::fs::write(inner.join("job.toml"), problem(path)).expect("a file can be written");
        let ran = run(folder.path(), &["cut", "inner/job.toml", "--svg", "maps"]);
        assert_eq!(ran.err.contains("show no picture"), !is_there, "{}", ran.err);
        let map = std::fs::read_to_string(folder.path().join("maps/sheet-001.svg")).expect("a map is there");
        assert_eq!(map.contains("data:image/"), is_there, "{path}");
        let map = roxmltree::Document::parse(&map).expect("a map is XML");
        let text: String = map.descendants().filter_map(|node| node.text()).collect::<Vec<_>>().join("\n");
        assert!(text.contains("<b> & \"s") && text.contains("a <i>") && text.contains("90 mm × 90 mm"), "{text}");
        assert!(text.contains("1. Set ") && text.contains("tiny, 2 mm × 3 mm") && text.contains("2 cm"), "{text}");
    }
}
