//! Scripts of a maker's own: they are asked, they are tried, and one that misbehaves is named and left
//! out while the suggestions still come.

use super::{copy_of, repository, run};
use serde_json::Value;
use std::path::Path;
use tempfile::TempDir;

/// A script with its manifest, in the folder `plugins` of a stash.
fn put(stash: &Path, name: &str, terms: &str, script: &str) {
    let folder = stash.join("plugins");
    std::fs::create_dir_all(&folder).expect("a folder");
    let manifest = format!(
        "kind = \"plugin\"\napi = 1\nname = \"{name}\"\ntitle = \"of my own\"\nversion = 1\n\
         script = \"{name}.rhai\"\nterms = [{terms}]\n"
    );
    std::fs::write(folder.join(format!("{name}.toml")), manifest).expect("a manifest");
    std::fs::write(folder.join(format!("{name}.rhai")), script).expect("a script");
}

fn with(name: &str, terms: &str, script: &str) -> TempDir {
    let stash = copy_of("small");
    put(stash.path(), name, terms, script);
    stash
}

fn suggested(stash: &Path) -> Value {
    run(stash, &["suggest", "--json", "--today", "2026-12-01"]).json()
}

#[test]
fn a_script_counts_in_the_score_and_says_why() {
    let stash = with(
        "likes-rust",
        "\"mat-behind\", \"touching\"",
        "fn colours(one, other) { if one.name == \"rust\" || other.name == \"rust\" { [0.25, \"my rust\"] } else { 1.0 } }",
    );
    let told = suggested(stash.path());
    assert_eq!(told["exact"], true);
    let first = &told["suggestions"][0];
    let reasons = first["reasons"].as_array().expect("reasons");
    assert!(reasons.iter().any(|reason| reason["scorer"] == "likes-rust"), "{reasons:?}");
    #[allow(clippy::cast_possible_truncation, reason = "a score is a few millionths")]
    let millionths = |value: &Value| (value.as_f64().expect("a number") * 1e6).round() as i64;
    let sum: i64 = reasons.iter().map(|one| millionths(&one["value"]) * millionths(&one["weight"]) / 1_000_000).sum();
    let costs: i64 =
        first["changes"].as_array().expect("changes").iter().map(|change| millionths(&change["cost"])).sum();
    assert_eq!(millionths(&first["score"]), sum - costs);
    let listed = run(stash.path(), &["plugins"]).good();
    assert!(listed.contains("likes-rust") && listed.contains("plugins/likes-rust.toml"), "{listed}");
}

/// The list without any script, for comparison.
fn plain() -> Value {
    suggested(copy_of("small").path())["suggestions"].clone()
}

#[test]
fn a_script_that_misbehaves_is_named_and_left_out_of_the_whole_run() {
    let plain = plain();
    for (what, script, said) in [
        ("loops", "fn mat_behind(a, b) { loop { } }", "took too many steps"),
        ("recurses", "fn mat_behind(a, b) { mat_behind(a, b) }", "called itself too deep"),
        ("grows", "fn mat_behind(a, b) { let x = \"ab\"; loop { x += x; } }", "too large"),
        ("lists", "fn mat_behind(a, b) { let x = []; loop { x.push(1); } }", "too large"),
        ("throws", "fn mat_behind(a, b) { throw \"no\" }", "gave up: no"),
        ("is no number", "fn mat_behind(a, b) { 0.0 / 0.0 }", ""),
        ("is a text", "fn mat_behind(a, b) { \"good\" }", ""),
        ("is too good", "fn mat_behind(a, b) { 17 }", ""),
        ("divides by nothing", "fn mat_behind(a, b) { 1 / 0 }", ""),
        ("waits", "fn mat_behind(a, b) { sleep(1000); 1.0 }", ""),
        ("is no script", "fn mat_behind(a, b) {{{", "cannot be read"),
        ("lacks its function", "fn other(a) { 1.0 }", "no function answers it"),
    ] {
        let stash = with("bad", "\"mat-behind\"", script);
        let ran = run(stash.path(), &["suggest", "--json", "--today", "2026-12-01"]);
        assert_eq!(ran.code, Some(0), "{what}: {}", ran.err);
        let told: Value = serde_json::from_str(&ran.out).expect("JSON");
        assert_eq!(told["suggestions"], plain, "{what}: it left a trace");
        let checked = run(stash.path(), &["check"]);
        assert_eq!(checked.code, Some(2), "{what}: {}", checked.out);
        assert!(checked.out.contains("plugins/bad.rhai") && checked.out.contains(said), "{what}: {}", checked.out);
    }
}

#[test]
fn one_bad_script_takes_no_good_one_with_it() {
    let stash = with("good", "\"mat-behind\"", "fn mat_behind(panel, mat) { [0.5, \"so so\"] }");
    put(stash.path(), "bad", "\"touching\"", "fn touching(a, b) { loop { } }");
    put(stash.path(), "colour-harmony", "\"touching\"", "fn touching(a, b) { 1.0 }");
    let told = run(stash.path(), &["plugins", "--json"]).json();
    let names: Vec<&str> =
        told["plugins"].as_array().expect("a list").iter().filter_map(|one| one["name"].as_str()).collect();
    assert!(names.contains(&"good") && !names.contains(&"bad"), "{names:?}");
    let not_asked: Vec<&str> =
        told["not_asked"].as_array().expect("a list").iter().filter_map(|one| one["name"].as_str()).collect();
    assert_eq!(not_asked, ["plugins/bad.rhai", "plugins/colour-harmony.toml"]);
}

/// Pieces are asked as they come up, so this one fails in the midst of a search.
#[test]
fn a_script_that_fails_on_the_way_leaves_no_trace() {
    let script = "fn piece(piece) { if piece.role == \"mat\" { throw \"no mats\" } 1.0 }";
    let stash = with("late", "\"piece\"", script);
    let ran = run(stash.path(), &["suggest", "--json", "--today", "2026-12-01"]);
    let told: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(told["suggestions"], plain());
    assert!(ran.err.contains("plugins/late.rhai:1:") && ran.err.contains("no mats"), "{}", ran.err);
}

#[test]
fn a_judge_is_tried_on_two_papers() {
    let stash = with(
        "calm",
        "\"mat-behind\"",
        "fn mat_behind(panel, mat) { print(panel.main.hex); [0.75, `a quiet ${mat.main.name}`] }",
    );
    let told = run(stash.path(), &["plugins", "try", "calm", "garden/leaves", "cream"]).good();
    for part in ["saw the paper Small leaves", "mat behind: 0.750  a quiet", "printed: #", "steps)"] {
        assert!(told.contains(part), "{part:?} is not in {told}");
    }
    let unknown = run(stash.path(), &["plugins", "try", "clam", "garden/leaves", "crean"]).refused();
    assert!(unknown.contains("`calm`") && unknown.contains("`cream`"), "{unknown}");
    put(stash.path(), "calm", "\"mat-behind\"", "fn mat_behind(panel, mat) {\n    panel.colour\n}");
    let failed = run(stash.path(), &["plugins", "try", "calm", "garden/leaves", "cream"]);
    assert_eq!(failed.code, Some(2));
    assert!(failed.err.contains("plugins/calm.rhai:2:") && failed.err.contains("\nhelp: "), "{}", failed.err);
}

#[test]
fn the_demos_script_works_in_the_demo() {
    let demo = repository("demo-data");
    let stash = tempfile::tempdir().expect("a folder");
    for folder in ["", "plugins"] {
        std::fs::create_dir_all(stash.path().join(folder)).expect("a folder");
    }
    for file in ["cardstock.toml", "plugins/no-red-beside-green.toml", "plugins/no-red-beside-green.rhai"] {
        std::fs::copy(demo.join(file), stash.path().join(file)).expect("a file");
    }
    let red_on_green = ["plugins", "try", "no-red-beside-green", "radish", "leaf", "--today"];
    let in_month = |day| run(stash.path(), &[&red_on_green[..], &[day]].concat()).good();
    assert!(in_month("2026-12-24").contains("and it is December"));
    assert!(!in_month("2026-06-24").contains("and it is December"));
}

#[test]
fn what_lies_outside_the_folder_is_not_run() {
    let stash = copy_of("small");
    put(stash.path(), "out", "\"mat-behind\"", "fn mat_behind(a, b) { 1.0 }");
    let manifest = stash.path().join("plugins/out.toml");
    let text = std::fs::read_to_string(&manifest).expect("the manifest");
    std::fs::write(&manifest, text.replace("out.rhai", "../out.rhai")).expect("the manifest");
    let checked = run(stash.path(), &["check"]);
    assert!(checked.out.contains("is no script beside the manifest"), "{}", checked.out);
    #[cfg(unix)]
    {
        std::fs::write(&manifest, text).expect("the manifest");
        let script = stash.path().join("plugins/out.rhai");
        std::fs::rename(&script, stash.path().join("elsewhere.rhai")).expect("moved");
        std::os::unix::fs::symlink("../elsewhere.rhai", &script).expect("a link");
        let checked = run(stash.path(), &["check"]);
        assert!(checked.out.contains("it is a link, which is not followed"), "{}", checked.out);
    }
}

#[test]
fn what_the_settings_say_of_no_scorer_and_no_knob_is_told_where_it_stands() {
    let stash = copy_of("small");
    std::fs::write(
        stash.path().join("settings.toml"),
        "kind = \"settings\"\n\n[scorers.use-upp]\nweight = 2\n\n[scorers.use-up]\noldd = 1\n",
    )
    .expect("a file");
    let ran = run(stash.path(), &["check"]);
    assert_eq!(ran.code, Some(2), "{}", ran.out);
    let told = ran.out;
    for wanted in [
        "settings.toml:3:10: there is no scorer `use-upp`",
        "did you mean `use-up`?",
        "settings.toml:7:1: the scorer use-up has no knob `oldd`",
    ] {
        assert!(told.contains(wanted), "{wanted} is not in: {told}");
    }
}
