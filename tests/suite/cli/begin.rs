//! The first minutes: `demo` and `start`, in an empty folder.

use super::{TODAY, items, repository, run, run_with_answers, word};
use crate::demo;
use serde_json::Value;
use std::path::{Path, PathBuf};

/// So little work that the tests need not wait, and the day.
const LITTLE: &[&str] = &["--work", "1000000", "--list", "6", "--today", "2026-03-01"];

/// Pictures of eight designs.
fn pictures() -> String {
    repository("demo-data/papers/slack-water").to_str().expect("our own path is text").to_owned()
}

/// The cards that were drawn into a folder.
fn drawn(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap_or_else(|why| panic!("{}: {why}", folder.display()))
        .map(|entry| entry.expect("its entries can be read").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Whether a file is what a browser opens without a network.
fn is_self_contained(page: &str) -> bool {
    page.trim_start().to_lowercase().starts_with("<!doctype html>")
        && !["src=\"http", "href=\"http", "url(http", "@import", "<script src"].iter().any(|link| page.contains(link))
}

#[test]
fn a_stash_is_begun_by_answering_line_by_line() {
    let folder = tempfile::tempdir().unwrap();
    let answers = format!("A2\n\n8\n\n{}\n", pictures());
    let ran = run_with_answers(folder.path(), &[&["start", "--stash", "mine"], LITTLE].concat(), &answers);
    for says in [
        "What size are the cards you make? [US A2]",
        "cards of US A2 (4 1/4 x 5 1/2 in)",
        "What size are the sheets of your pad? [6 x 6 in]",
        "sheets of 6 x 6 in",
        "How many different designs has the pad? [12]",
        "How many sheets of each design are there? [2]",
        "In which folder are the pictures of the designs, one for each?",
        "8 pictures",
        "contact-sheet.html",
    ] {
        assert!(ran.err.contains(says), "{says}: {}", ran.err);
    }
    assert!(ran.good().contains(" 1. "));
    let mine = folder.path().join("mine");
    assert!(std::fs::read_to_string(mine.join("first-pad.toml")).unwrap().contains("copies = 2"));
    assert!(is_self_contained(&std::fs::read_to_string(mine.join("cards/contact-sheet.html")).unwrap()));
    assert!(run(&mine, &["check"]).good().starts_with("All is well"));
    // Nothing of hers is ever written over.
    let again = run_with_answers(folder.path(), &["start", "--stash", "mine"], &answers).refused();
    assert!(again.contains("nothing of yours is written over"), "{again}");
}

#[test]
fn a_script_gives_the_answers_as_options() {
    let folder = tempfile::tempdir().unwrap();
    let pictures = pictures();
    let asked = [
        "start",
        "--card",
        "ISO A6",
        "--pad",
        "150 x 150 mm",
        "--designs",
        "3",
        "--copies",
        "4",
        "--name",
        "See & Sand",
    ];
    let options = ["--pictures", &pictures, "--out", "drawn here", "--json"];
    let ran = run(folder.path(), &[&asked[..], &options, LITTLE].concat());
    assert!(!ran.err.contains('?'), "nothing is asked: {}", ran.err);
    let answer: Value = ran.json();
    let cards = items(&answer, "suggestions");
    assert!(!cards.is_empty());
    assert_eq!(word(&cards[0]["card"], "size"), "ISO A6");
    let names = drawn(&folder.path().join("drawn here"));
    assert_eq!(names.len(), cards.len() + 1);
    assert_eq!((names[0].as_str(), names.last().map(String::as_str)), ("card-01.svg", Some("contact-sheet.html")));
    let pad = std::fs::read_to_string(folder.path().join("see-sand.toml")).unwrap();
    assert!(pad.contains("copies = 4") && pad.matches("\n[[design]]").count() == 3, "{pad}");
}

#[test]
fn answers_that_make_no_sense_are_refused_and_write_nothing() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("empty")).unwrap();
    let pictures = pictures();
    let good = ["--card", "A2", "--pad", "6 x 6 in", "--designs", "3", "--copies", "2", "--pictures", &pictures];
    for (option, answer, says) in [
        ("--card", "big", "--card `big`"),
        ("--pad", "-6 x 6 in", "--pad `-6 x 6 in`"),
        ("--designs", "0", "from 1 to 500"),
        ("--designs", "some", "from 1 to 500"),
        ("--copies", "99999999999999999999", "from 1 to 1000"),
        ("--pictures", "nowhere", "there is no such folder"),
        ("--pictures", "empty", "no picture"),
    ] {
        let bad = format!("{option}={answer}");
        let told = run(folder.path(), &[&["start", "--stash", "new"], &good[..], &[&bad]].concat()).refused();
        assert!(told.contains(says), "{option} {answer}: {told}");
        assert!(!folder.path().join("new").exists(), "{option} {answer}");
    }
    let told = run_with_answers(folder.path(), &["start", "--stash", "new"], "A2\n6 x 6 in\n").refused();
    assert!(told.contains("give it with --designs"), "{told}");
    assert!(!folder.path().join("new").exists());
}

/// What is in a folder, without what the program found and drew.
fn listing(top: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let files = walkdir::WalkDir::new(top).into_iter().map(|entry| entry.expect("its entries can be read"));
    let mut files: Vec<_> = files
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let path = entry.path().strip_prefix(top).expect("it is beneath").to_owned();
            (path, std::fs::read(entry.path()).expect("a file can be read"))
        })
        .filter(|(path, _)| !path.starts_with("cards") && !path.starts_with(".swatchfold"))
        .collect();
    files.sort();
    files
}

#[test]
fn the_demo_that_is_embedded_is_the_demo_in_the_repository() {
    let (embedded, repository) = (listing(&demo::unpacked().join(demo::FOLDER)), listing(&repository("demo-data")));
    let names = |files: &[(PathBuf, Vec<u8>)]| files.iter().map(|(path, _)| path.clone()).collect::<Vec<_>>();
    assert_eq!(names(&embedded), names(&repository));
    assert!(embedded == repository, "a file of the demo stash is embedded in an older state");
    // Nothing half unpacked is left in it or beside it.
    assert_eq!(drawn(demo::unpacked()), [demo::FOLDER]);
    let hidden: Vec<String> =
        drawn(&demo::unpacked().join(demo::FOLDER)).into_iter().filter(|name| name.starts_with('.')).collect();
    assert_eq!(hidden, [".swatchfold"]);
}

/// An empty folder one stands in is as good as a new one; a folder with anything in it is hers.
#[test]
fn the_demo_goes_where_it_is_told_if_nothing_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let ran = run(folder.path(), &["demo", "--stash", ".", "--work", "1", "--out", "drawn"]);
    assert!(ran.err.contains("The demo stash is now in `.`"), "{}", ran.err);
    ran.good();
    assert!(folder.path().join("scraps.toml").is_file() && folder.path().join("drawn/contact-sheet.html").is_file());
    let hers = tempfile::tempdir().unwrap();
    std::fs::write(hers.path().join("diary.txt"), "dear diary").unwrap();
    let told = run(hers.path(), &["demo", "--stash", "."]).refused();
    assert!(told.contains("stays as you left it") && told.contains("there is no paper"), "{told}");
    assert_eq!(drawn(hers.path()), ["diary.txt"]);
}

/// The demo goes to a contact sheet, and what a person changed stays changed.
#[test]
fn the_demo_keeps_what_was_changed() {
    let folder = tempfile::tempdir().unwrap();
    demo::copy_into(folder.path());
    let stash = folder.path().join(demo::FOLDER);
    let settings = stash.join("settings.toml");
    std::fs::write(&settings, "kind = \"settings\"\nper-layout = 1\n").unwrap();
    let ran = run(folder.path(), &[&["demo"], LITTLE].concat());
    assert!(ran.err.contains("stays as you left it"), "{}", ran.err);
    assert!(ran.err.contains("swatchfold-demo/cards/contact-sheet.html"), "{}", ran.err);
    assert!(!ran.err.contains("problem"), "{}", ran.err);
    let text = ran.good();
    assert!(text.contains(" 1. "), "{text}");
    assert_eq!(std::fs::read_to_string(settings).unwrap(), "kind = \"settings\"\nper-layout = 1\n");
    assert!(is_self_contained(&std::fs::read_to_string(stash.join("cards/contact-sheet.html")).unwrap()));
}

#[test]
fn the_demo_does_not_write_into_what_is_no_folder() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("swatchfold-demo"), "mine").unwrap();
    let told = run(folder.path(), &["demo"]).refused();
    assert!(told.contains("a stash is a folder"), "{told}");
    assert_eq!(std::fs::read(folder.path().join("swatchfold-demo")).unwrap(), b"mine");
}

#[test]
fn cards_are_drawn_where_it_is_asked_and_only_then() {
    let folder = super::copy_of("small");
    let before = drawn(folder.path());
    run(folder.path(), &[&["suggest"][..], &TODAY].concat()).good();
    let after: Vec<String> = drawn(folder.path()).into_iter().filter(|name| name != ".swatchfold").collect();
    assert_eq!(before, after);
    let ran = run(folder.path(), &[&["suggest", "--list", "3", "--out", "a/b c"][..], &TODAY].concat());
    assert!(ran.err.contains("a/b c/contact-sheet.html"), "{}", ran.err);
    ran.good();
    let names = drawn(&folder.path().join("a/b c"));
    assert_eq!(names, ["card-01.svg", "card-02.svg", "card-03.svg", "contact-sheet.html"]);
    let fewer = run(folder.path(), &[&["suggest", "--list", "1", "--out", "a/b c"][..], &TODAY].concat());
    assert!(fewer.err.contains("`card-02.svg` to `card-03.svg` are of an earlier run"), "{}", fewer.err);
    assert_eq!(drawn(&folder.path().join("a/b c")), names, "nothing is taken away");
    for name in &names[..3] {
        let picture = std::fs::read_to_string(folder.path().join("a/b c").join(name)).unwrap();
        assert!(
            picture.contains("width=\"4.25in\"") || picture.contains("width=\"107.95mm\""),
            "{name} is not at true size"
        );
    }
    std::fs::write(folder.path().join("file"), "").unwrap();
    let ran = run(folder.path(), &["suggest", "--list", "1", "--out", "file"]);
    assert_eq!(ran.code, Some(1));
    assert!(ran.err.contains("`file/card-01.svg` cannot be written"), "{}", ran.err);
}
