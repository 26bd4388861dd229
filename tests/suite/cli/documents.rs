//! `docs/json.md` and what is printed are the same: every field that is printed is described, in
//! its place, and every field described is printed somewhere.

use super::{copy_of, repository, run, small};
use serde_json::Value;
use std::collections::BTreeSet;

/// The fields of each document, as paths such as `suggestions[].layers[].panel`.
fn described(command: &str) -> BTreeSet<String> {
    let text = std::fs::read_to_string(repository("docs/json.md")).expect("the page is there");
    let mut fields = BTreeSet::new();
    let (mut is_here, mut prefix) = (false, String::new());
    for line in text.lines() {
        if let Some(heading) = line.strip_prefix("## ") {
            let rest = heading.strip_prefix(&format!("`{command}"));
            is_here = rest.is_some_and(|rest| command != "plugins" || !rest.starts_with(" try"));
            prefix.clear();
        } else if let Some(heading) = line.strip_prefix("### `") {
            prefix = format!("{}.", heading.split('`').next().unwrap_or_default());
        } else if let Some(row) = line.strip_prefix("| `").filter(|_| is_here) {
            fields.insert(format!("{prefix}{}", row.split('`').next().unwrap_or_default()));
        }
    }
    assert!(!fields.is_empty(), "docs/json.md does not describe `{command}`");
    fields
}

fn printed(value: &Value, prefix: &str, fields: &mut BTreeSet<String>) {
    match value {
        Value::Object(object) => {
            for (key, value) in object {
                let path = if prefix.is_empty() { key.clone() } else { format!("{prefix}.{key}") };
                printed(value, &path, fields);
                fields.insert(path);
            }
        }
        Value::Array(list) => list.iter().for_each(|item| printed(item, &format!("{prefix}[]"), fields)),
        _ => {}
    }
}

/// All fields that a command prints, on every stash and with every option that brings more.
fn fields(command: &str) -> BTreeSet<String> {
    let mut fields = BTreeSet::new();
    let broken = copy_of("small");
    std::fs::write(broken.path().join("bad.toml"), "kind = \"scraps\"\nsise = 3\n").expect("a file can be written");
    let documents = match command {
        "suggest" => vec![
            small(&["suggest", "--json", "--list", "200"]).out,
            small(&["suggest", "--json", "--list", "200", "--card", "8 x 8 in"]).out,
            small(&["suggest", "--json", "--list", "200", "--card", "5 x 7 in"]).out,
            run(copy_of("narrow").path(), &["suggest", "--json", "--list", "200"]).out,
            run(super::dots::stash(9, "").path(), &["suggest", "--json"]).out,
            run(super::thin::stash("3/8 in").path(), &["suggest", "--json"]).out,
            // Its band is cut as two ends, so that there is something to level.
            run(&repository("tests/cases/adaptations/ends-only"), &["suggest", "--json"]).out,
        ],
        "mats" => {
            let asked = [&["moss"][..], &["moss", "cream"], &["garden/leaves", "--double"]];
            asked.map(|asked| small(&[&["mats", "--json"], asked].concat()).out).to_vec()
        }
        "plugins" => {
            let folder = broken.path().join("plugins");
            std::fs::create_dir_all(&folder).expect("a folder");
            std::fs::write(folder.join("bad.toml"), "kind = \"plugin\"\n").expect("a file");
            vec![run(broken.path(), &["plugins", "--json"]).out]
        }
        "plugins try" => vec![small(&["plugins", "try", "mat-choice", "garden/leaves", "cream", "--json"]).out],
        "stock" | "history" | "plan" | "report" => recorded(command),
        "check" => vec![run(broken.path(), &["check", "--json"]).out],
        "colour" => vec![small(&["colour", "#1f2a4d", "#a83c09", "--json"]).out],
        "scan" => {
            let demo = repository("demo-data");
            let picture = "papers/slack-water/drizzle.jpg";
            let stash = tempfile::tempdir().expect("a folder");
            let here = stash.path().join("drizzle.jpg");
            std::fs::copy(demo.join(picture), &here).expect("a picture");
            let sheets = "kind = \"sheets\"\n[[sheet]]\nsize = \"6 x 8 in\"\npicture = \"drizzle.jpg\"\n";
            std::fs::write(stash.path().join("sheets.toml"), sheets).expect("a file");
            vec![run(stash.path(), &["scan", &here.display().to_string(), "--save", "--json"]).out]
        }
        "envelope" => vec![small(&["envelope", "4.25x5.5", "--json"]).out],
        other => vec![small(&[other, "--json"]).out],
    };
    for document in documents {
        let value: Value = serde_json::from_str(&document).unwrap_or_else(|why| panic!("{command}: {why}\n{document}"));
        assert_eq!(value["format"], 1, "{command}");
        printed(&value, "", &mut fields);
    }
    fields
}

/// What a command prints on a stash in which something of every kind is recorded.
fn recorded(command: &str) -> Vec<String> {
    let stash = copy_of("small");
    let folder = stash.path();
    let ran = |arguments: &[&str]| run(folder, &[arguments, &["--today", "2026-03-01"]].concat());
    let plan = ran(&["plan", "--cards", "2", "--each", "1..2", "--work", "300000", "--json"]).good();
    std::fs::write(folder.join("plan.json"), &plan).expect("a file can be written");
    let many = ran(&["plan", "--all", "--work", "300000", "--json"]).good();
    ran(&["made", "plan.json", "--kept", "all"]).good();
    ran(&["given", "C1"]).good();
    if command != "plan" {
        let dots = run(super::dots::stash(9, "").path(), &[command, "--json"]).good();
        return vec![ran(&[command, "--json"]).good(), dots];
    }
    // Its band is cut as two ends, so that there is something to level.
    let ends = repository("tests/cases/adaptations/ends-only");
    // Its mats are hollow.
    let hollow = super::middles::stash("hollow-mats = true\n");
    let asked = ["plan", "--cards", "4", "--each", "1..2", "--json"];
    vec![
        plan,
        many,
        run(&ends, &["plan", "--cards", "2", "--each", "1..2", "--json"]).good(),
        run(hollow.path(), &asked).good(),
    ]
}

#[test]
fn every_field_is_described_and_every_description_is_of_a_field() {
    let commands = ["suggest", "mats", "scan", "colour", "stock", "layouts", "plugins", "plugins try", "check"];
    for command in commands.into_iter().chain(["plan", "history", "report", "envelope"]) {
        let (described, printed) = (described(command), fields(command));
        // `to` is as `from`, `b` as `a`, `cardstock` as `paper`, and one description does for both.
        let as_twin = |path: String| match (path.strip_prefix("b."), path.strip_prefix("cardstock.")) {
            (Some(field), _) => format!("a.{field}"),
            (_, Some(field)) => format!("paper.{field}"),
            _ => path.replace("changes[].to.", "changes[].from."),
        };
        let printed: BTreeSet<String> = printed.into_iter().map(as_twin).collect();
        // A card is a card, and is described where suggestions are.
        let of_a_card = |path: &String| path.starts_with("cards[].suggestion.");
        let printed: BTreeSet<String> = printed.into_iter().filter(|path| !of_a_card(path)).collect();
        let missing: Vec<_> = printed.difference(&described).collect();
        assert!(missing.is_empty(), "docs/json.md lacks, for `{command}`: {missing:?}");
        let stale: Vec<_> = described.difference(&printed).collect();
        assert!(stale.is_empty(), "docs/json.md describes what `{command}` never prints: {stale:?}");
    }
}
