//! Beginning a stash: what is written is read back without a word, nothing is ever written over,
//! and what cannot be finished leaves nothing behind.

use super::{read, told};
use api::units::{Region, Size, Unit};
use std::fs;
use std::path::{Path, PathBuf};
use swatchfold::problem::Problem;
use swatchfold::stash::start::{Answers, Picture, files, pictures_in, write};
use tempfile::TempDir;

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder for the test can be made")
}

fn size(text: &str) -> Size {
    Size::parse(text, Unit::Inch).expect("a size")
}

fn answers(pictures: Vec<Picture>) -> Answers {
    Answers {
        pad: "My first pad".into(),
        region: Region::Us,
        card: size("4 1/4 x 5 1/2"),
        sheet: size("6 x 6"),
        designs: 3,
        copies: 2,
        pictures,
    }
}

/// A folder of pictures with names that need care, and something that is no picture.
fn some_pictures() -> TempDir {
    let pictures = folder();
    for name in ["small-leaves.JPG", "b's \u{5e9} 🌸.png", "c.webp", "d.png", "notes.txt", ".hidden.png"] {
        fs::write(pictures.path().join(name), name).expect("it can be written");
    }
    fs::create_dir(pictures.path().join("folder.png")).expect("it can be made");
    pictures
}

/// Everything in a folder, in order.
fn everything_in(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(next).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                open.push(path);
            } else {
                let inner = path.strip_prefix(folder).expect("it is inside");
                found.push(inner.to_string_lossy().replace(std::path::MAIN_SEPARATOR, "/"));
            }
        }
    }
    found.sort();
    found
}

#[test]
fn a_stash_is_begun_from_a_folder_of_pictures_and_read_without_a_word() {
    let (pictures, home) = (some_pictures(), folder());
    let stash = home.path().join("my stash");
    let found = pictures_in(pictures.path(), &stash).expect("there are pictures");
    let written = write(&stash, &answers(found)).expect("nothing is in the way");
    assert_eq!(written.len(), 7, "{written:?}");
    assert!(everything_in(&stash).contains(&"pictures/b's \u{5e9} 🌸.png".to_owned()));

    let reading = read(&stash);
    assert!(reading.problems.is_empty(), "{}", told(&reading));
    let names: Vec<&str> = reading.stash.papers.iter().map(|paper| paper.name.as_str()).collect();
    let designs = ["B's \u{5e9} 🌸", "C", "D"];
    assert_eq!(names[6..], designs, "three of four, in order of their names; the fourth is a remark");
    assert_eq!(reading.stash.lines[6].count, 2);
    assert_eq!(reading.stash.settings.cards, [size("4 1/4 x 5 1/2")]);
    for cardstock in &reading.stash.lines[..6] {
        assert_eq!(cardstock.assumed, ["size", "count", "finish"], "{}", cardstock.id);
    }
}

#[test]
fn the_remarks_become_lines_when_their_mark_is_taken_away() {
    let to = |name: &str| Picture { from: name.into(), to: Path::new("pictures").join(name) };
    for (designs, pictures) in [(1, 2), (4, 2)] {
        let pictures: Vec<Picture> = ["a.png", "b.png"].into_iter().take(pictures).map(to).collect();
        let stash = folder();
        fs::create_dir(stash.path().join("pictures")).expect("it can be made");
        for name in ["a.png", "b.png", "small-leaves.jpg"] {
            fs::write(stash.path().join("pictures").join(name), "").expect("it can be written");
        }
        for (path, text) in files(&Answers { designs, ..answers(pictures) }) {
            let is_line = |line: &str| line.starts_with("# [") || line.contains(" = ") && !line.contains('`');
            let lines = text.lines().map(|line| match line.strip_prefix("# ") {
                Some(rest) if is_line(line) => rest,
                _ => line,
            });
            let text = lines.collect::<Vec<_>>().join("\n");
            fs::write(stash.path().join(path), text).expect("it can be written");
        }
        let reading = read(stash.path());
        assert!(reading.problems.is_empty(), "{}", told(&reading));
    }
}

#[test]
fn pictures_inside_the_stash_stay_where_they_are() {
    let stash = folder();
    fs::create_dir_all(stash.path().join("scans/spring")).expect("it can be made");
    fs::write(stash.path().join("scans/spring/a.png"), "a").expect("it can be written");
    let found = pictures_in(&stash.path().join("scans/spring"), stash.path()).expect("there is one");
    let written = write(stash.path(), &answers(found)).expect("nothing is in the way");
    let expected = ["settings.toml", "my-first-pad.toml", "cardstock.toml"].map(PathBuf::from);
    assert_eq!(written, expected);
    assert!(read(stash.path()).problems.is_empty());
}

#[test]
fn a_pad_called_like_another_file_gets_another_name() {
    let names: Vec<PathBuf> =
        files(&Answers { pad: "Settings".into(), ..answers(Vec::new()) }).into_iter().map(|(path, _)| path).collect();
    assert_eq!(names, ["settings.toml", "pad-settings.toml", "cardstock.toml"].map(PathBuf::from));
}

/// What is said where a stash cannot be begun.
fn refusals() -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut refused = |stash: &Path, answers: &Answers| {
        let before = everything_in(stash);
        let problem = write(stash, answers).expect_err("something is in the way");
        assert_eq!(everything_in(stash), before, "nothing new may be left: {problem}");
        problems.push(*problem);
    };
    let pictures = some_pictures();

    let stash = folder();
    fs::write(stash.path().join("cardstock.toml"), "mine").expect("it can be written");
    refused(stash.path(), &answers(pictures_in(pictures.path(), stash.path()).expect("there are pictures")));
    assert_eq!(fs::read_to_string(stash.path().join("cardstock.toml")).ok().as_deref(), Some("mine"));

    // A picture that is gone when its turn comes, after others have been copied.
    let stash = folder();
    let mut gone = pictures_in(pictures.path(), stash.path()).expect("there are pictures");
    gone[2].from = pictures.path().join("gone.png");
    refused(stash.path(), &answers(gone));

    // A file where a folder is wanted.
    let stash = folder();
    fs::write(stash.path().join("pictures"), "a file").expect("it can be written");
    refused(stash.path(), &answers(pictures_in(pictures.path(), stash.path()).expect("there are pictures")));

    let empty = folder();
    problems.push(*pictures_in(empty.path(), stash.path()).expect_err("there is none"));
    problems.push(*pictures_in(&empty.path().join("nowhere"), stash.path()).expect_err("there is no folder"));
    let file = empty.path().join("one.png");
    fs::write(&file, "a file").expect("it can be written");
    problems.push(*pictures_in(&file, stash.path()).expect_err("it is a file"));
    problems
}

#[test]
fn nothing_is_written_over_and_nothing_is_left_half_done() {
    let said: Vec<String> = refusals().iter().map(Problem::message).collect();
    assert_eq!(said[0], "this is there already, and nothing of yours is written over");
    assert_eq!(said[1], "this cannot be written: it is not there any more");
    assert!(
        said[2].starts_with("this cannot be written: ") || said[2].starts_with("this is there already"),
        "{}",
        said[2]
    );
    assert_eq!(said[3], "there is no picture in this folder");
    assert_eq!(said[4], "there is no such folder of pictures");
    assert_eq!(said[5], "this is a file, and a folder of pictures is wanted");
}

/// The same as a reading, for whoever counts which faults have a case.
pub(super) fn readings() -> Vec<swatchfold::stash::Reading> {
    vec![swatchfold::stash::Reading { problems: refusals(), ..Default::default() }]
}
