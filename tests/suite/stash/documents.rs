//! The keys are honest: the reader looks at every key of its lists, `docs/formats.md` describes every
//! one of them under its heading, and the examples in it are read without a word.

use super::{all_cases, read, told};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use swatchfold::problem::Fault;
use swatchfold::stash::ChangeKind;
use swatchfold::stash::file::keys::{self, Kind};

fn formats() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/formats.md");
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[test]
fn every_key_is_described_under_its_heading() {
    let formats = formats();
    let mut missing = Vec::new();
    for section in keys::ALL {
        let heading = format!("## {}\n", section.heading);
        let Some(text) = formats.split(&heading).nth(1) else {
            missing.push(format!("the heading `{}`", heading.trim_end()));
            continue;
        };
        let text = text.split("\n## ").next().unwrap_or(text);
        let rows: BTreeSet<&str> =
            text.lines().filter_map(|line| line.strip_prefix("| `")?.split('`').next()).collect();
        let keys: BTreeSet<&str> = section.keys.iter().copied().collect();
        missing.extend(keys.difference(&rows).map(|key| format!("`{key}` under `{}`", section.heading)));
        missing.extend(rows.difference(&keys).map(|key| format!("no such key: `{key}` under `{}`", section.heading)));
    }
    assert!(missing.is_empty(), "docs/formats.md lacks:\n{}", missing.join("\n"));
}

#[test]
fn the_examples_in_the_document_are_read_without_a_word() {
    let stash = tempfile::tempdir().expect("a folder for the test can be made");
    let write = |name: &str, text: &str| fs::write(stash.path().join(name), text).expect("it can be written");
    let formats = formats();
    let mut kinds = BTreeSet::new();
    for (number, example) in formats.split("```toml\n").skip(1).enumerate() {
        let example = example.split("```").next().unwrap_or_default();
        // Every whole file says its kind; a few lines out of one do not.
        let Some(kind) = Kind::ALL.into_iter().find(|kind| example.contains(&format!("kind = \"{}\"", kind.word())))
        else {
            continue;
        };
        kinds.insert(kind);
        write(&format!("{}-{number}.toml", kind.word()), example);
        for picture in example.split('"').filter(|text| text.ends_with(".jpg") || text.ends_with(".png")) {
            write(picture, "");
        }
    }
    assert_eq!(kinds.len(), Kind::ALL.len(), "only {kinds:?} have an example");
    let reading = read(stash.path());
    assert!(reading.problems.is_empty(), "{}", told(&reading));
}

/// A file in which a key of a section has a value it cannot take, and the file's kind.
fn with_nonsense(section: &keys::Keys, key: &str) -> String {
    // A section of its own is no value for any key, and a number no section for any section.
    let is_section = Kind::ALL.iter().any(|kind| kind.section() == key) || matches!(key, "back" | "part" | "costs");
    let nonsense = if is_section { "3" } else { "{ nonsense = 1 }" };
    let is = |other: &keys::Keys| section.heading == other.heading;
    let top = Kind::ALL.into_iter().find(|kind| is(kind.keys()));
    let within = |kind: &str, header: &str| format!("kind = \"{kind}\"\n{header}\n{key} = {nonsense}\n");
    match top {
        Some(_) if key == "kind" => format!("{key} = {nonsense}\n"),
        Some(kind) => format!("kind = \"{}\"\n{key} = {nonsense}\n", kind.word()),
        None if is(&keys::DESIGN) => within("pad", "[[design]]"),
        None if is(&keys::BACK) => within("pad", "[[design]]\n[design.back]"),
        None if is(&keys::SHEET) => within("sheets", "[[sheet]]"),
        None if is(&keys::CARDSTOCK) => within("cardstock", "[[cardstock]]"),
        None if is(&keys::SCRAP) => within("scraps", "[[scrap]]"),
        None if is(&keys::BASE) => within("bases", "[[base]]"),
        None if is(&keys::DIE) => within("dies", "[[die]]"),
        None if is(&keys::SENTIMENT) => within("sentiments", "[[sentiment]]"),
        None if is(&keys::INK) => within("inks", "[[ink]]"),
        None if is(&keys::DOTS) => within("dots", "[[dots]]"),
        None if is(&keys::IMAGE) => within("images", "[[image]]"),
        None if is(&keys::PART) => within("images", "[[image]]\nsize = \"1 x 1\"\n[[image.part]]"),
        None if is(&keys::ONE_LAYOUT) => within("layouts", "[[layout]]"),
        None if is(&keys::PANEL) => within("layout", "[[panel]]"),
        None if is(&keys::COSTS) => within("settings", "[costs]"),
        None if is(&keys::SCORER) => within("settings", "[scorers.use-up]"),
        None => panic!("how does a section `{}` begin?", section.heading),
    }
}

#[test]
fn every_key_is_looked_at() {
    let stash = tempfile::tempdir().expect("a folder for the test can be made");
    let mut ignored = Vec::new();
    for section in keys::ALL {
        for key in section.keys {
            let text = with_nonsense(section, key);
            fs::write(stash.path().join("a.toml"), &text).expect("it can be written");
            let line = u32::try_from(text.lines().count()).expect("it is short");
            let problems = read(stash.path()).problems;
            let is_told = |fault: &Fault| !matches!(fault, Fault::UnknownKey { .. } | Fault::MissingKey { .. });
            if !problems.iter().any(|problem| problem.place.line == line && is_told(&problem.fault)) {
                ignored.push(format!("`{key}` of {}:\n{text}", section.of));
            }
        }
    }
    assert!(ignored.is_empty(), "nobody looks at\n{}", ignored.join("\n"));
}

#[test]
fn the_case_with_everything_has_every_key() {
    let everything = all_cases().join("everything");
    let mut text = String::new();
    for folder in [everything.clone(), everything.join("pads")] {
        for entry in fs::read_dir(folder).expect("the case is there").flatten() {
            text.push_str(&fs::read_to_string(entry.path()).unwrap_or_default());
        }
    }
    let words: BTreeSet<&str> = text.split(|letter: char| !(letter.is_alphanumeric() || letter == '-')).collect();
    let missing: Vec<&str> =
        keys::ALL.iter().flat_map(|section| section.keys).copied().filter(|key| !words.contains(key)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn each_kind_of_change_has_a_cost_to_set() {
    let costs: BTreeSet<&str> = ChangeKind::ALL.into_iter().map(ChangeKind::key).collect();
    assert_eq!(costs, keys::COSTS.keys.iter().copied().collect());
}
