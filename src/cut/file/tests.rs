//! Tests: what a file says is what is planned, what is wrong with one is named with its place.

use super::*;
use crate::cut::{Goal, Stages, check};
use crate::problem::Source;
use units::Length;

/// What a run gives.
struct Output {
    text: String,
    json: String,
    maps: Vec<(String, String)>,
    answer: Answer,
}

fn run(toml: &str, work: u64) -> Output {
    let asked = read(toml).unwrap();
    let answer = answer(&asked, work, None);
    Output { text: text(&asked, &answer), json: json(&asked, &answer), maps: maps(&asked, &answer, &[]), answer }
}

const GOOD: &str = r#"
unit = "mm"
goal = "fewest-sheets"
stack = 4
[rules]
trim = 2
safe_strip = 20
longest_cut = "310 mm"
[[stock]]
id = "sheet"
width = 304
height = 304
count = 9
[[piece]]
id = "front"
width = 95
height = 140
count = 12
turn = false
[[piece]]
id = "mat"
width = 100
height = 145
count = 3
"#;

#[test]
fn a_sound_file_gives_a_plan_in_text_json_and_maps() {
    let output = run(GOOD, 3_000_000);
    let asked = read(GOOD).unwrap();
    assert_eq!(check(&asked.problem, &output.answer.plan), vec![]);
    assert!(output.answer.plan.unplaced.is_empty());
    assert_eq!(output.answer.sheets, 3);
    let json: serde_json::Value = serde_json::from_str(&output.json).unwrap();
    assert_eq!(json["format"], 1);
    assert_eq!(json["goal"], "fewest-sheets");
    assert_eq!(json["sheets_used"], 3);
    let placed: usize = json["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .map(|sheet| {
            let copies = usize::try_from(sheet["copies"].as_u64().unwrap()).unwrap();
            copies * sheet["placements"].as_array().unwrap().len()
        })
        .sum();
    assert_eq!(placed, 15);
    assert!(json["sheets"][0]["cuts"][0]["guide"].is_number());
    assert_eq!(output.maps.len(), output.answer.plan.sheets.len());
    assert!(output.maps[0].1.starts_with("<svg"));
    assert!(output.text.contains("never narrower than 20 mm"), "{}", output.text);
}

#[test]
fn the_same_file_gives_the_same_bytes() {
    let (one, two) = (run(GOOD, 3_000_000), run(GOOD, 3_000_000));
    assert_eq!((one.json, one.text, one.maps), (two.json, two.text, two.maps));
}

#[test]
fn every_fault_is_named_with_place_and_remedy() {
    let text = "unit = \"cubits\"\ngoal = \"fewest-sheet\"\n[[stock]]\nid = \"s\"\nwidht = 10\nheight = 1e9\n[[piece]]\nid = \"p\"\nwidth = -1\nheight = \"4 1/3 in\"\nfrom = [\"t\"]\n";
    let faults: Vec<String> =
        read(text).unwrap_err().iter().map(|fault| fault.shown(&Source::new("job.toml", text))).collect();
    let all = faults.join("");
    for expected in [
        "job.toml:1:8: `cubits` is no unit",
        "did you mean `fewest-sheets`?",
        "job.toml:5:1: stock 1 has an unknown key `widht`",
        "did you mean `width`?",
        "stock 1 has no `width`",
        "job.toml:9:9: `width` of piece 1",
        "job.toml:10:10: `height` of piece 1",
        "job.toml:11:9: piece `p` is to come from `t`, which is not in stock",
    ] {
        assert!(all.contains(expected), "{expected} is not in\n{all}");
    }
}

#[test]
fn a_broken_file_is_an_error_and_not_a_panic() {
    for text in
        ["", "goal", "= 3", "[[stock", "unit = 3\n[stock]\nx = 1", "goal = \"most-value\"\nstock = 3\npiece = \"é\""]
    {
        let faults = read(text).unwrap_err();
        assert!(!faults.is_empty());
        for fault in faults {
            assert!(fault.shown(&Source::new("f", text)).starts_with("f:"));
        }
    }
}

#[test]
fn rules_and_papers_are_read() {
    let text = "goal = \"least-cost\"\nunit = \"in\"\n[rules]\ntrim_left = 0.25\nstages = 3\ncut_width = \"1/64\"\n[[stock]]\nid = \"a\"\nwidth = 12\nheight = 12\ncost = 5\npaper = \"rose\"\n[[stock]]\nid = \"b\"\nwidth = \"3 1/2\"\nheight = 4\ncost = 1\npaper = \"rose\"\nmade_by = \"big\"\n[[piece]]\nid = \"big\"\nwidth = 5\nheight = 5\nsame_paper = \"x\"\nfrom = [\"a\"]\n";
    let asked = read(text).unwrap();
    assert_eq!(asked.problem.goal, Goal::LeastCost);
    assert_eq!(asked.problem.rules.stages, Stages::AtMost(3));
    assert_eq!(asked.problem.rules.trims.left, Length::inches(0, 1, 4).unwrap());
    assert_eq!(asked.problem.rules.cut_width, Length::inches(0, 1, 64).unwrap());
    assert_eq!(asked.problem.stock[0].paper, asked.problem.stock[1].paper);
    assert_eq!(asked.problem.stock[1].made_by, Some(crate::cut::PieceIndex(0)));
    assert_eq!(asked.problem.stock[1].width, Length::inches(3, 1, 2).unwrap());
}

#[test]
fn a_piece_larger_than_all_stock_is_named_and_the_rest_planned() {
    let text = "goal = \"fewest-sheets\"\n[[stock]]\nid = \"s\"\nwidth = 100\nheight = 100\ncount = 2\n[[piece]]\nid = \"huge\"\nwidth = 300\nheight = 10\n[[piece]]\nid = \"none\"\nwidth = 10\nheight = 10\ncount = 0\n[[piece]]\nid = \"p\"\nwidth = 50\nheight = 50\ncount = 5\n";
    let output = run(text, 1_000_000);
    assert_eq!(output.answer.sheets, 2);
    assert_eq!(output.answer.too_large, vec![crate::cut::PieceIndex(0)]);
    assert!(
        output.text.contains("Not cut: 1 × huge, 300 mm × 10 mm: larger than all stock it may come from; nearest is "),
        "{}",
        output.text
    );
    assert!(output.answer.proven);
}

#[test]
fn ids_that_stand_twice_are_told_with_both_places() {
    let text = "goal = \"fewest-sheets\"\n[[stock]]\nid = \"s\"\nwidth = 9\nheight = 9\n[[piece]]\nid = \"p\"\nwidth = 5\nheight = 5\n[[piece]]\nid = \"p\"\nwidth = 4\nheight = 4\n";
    let faults = read(text).expect_err("`p` stands twice");
    let source = Source::new("job.toml", text);
    let said: Vec<String> = faults.iter().map(|fault| fault.shown(&source)).collect();
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].starts_with("job.toml:11:6: two entries of `piece` are called `p`, this and number 1"), "{said:?}");
}
