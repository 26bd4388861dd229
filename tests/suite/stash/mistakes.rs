//! Random mistakes in good files: whatever a file says, reading it ends, panics never, points only
//! at what is there, and what is read keeps every rule of a stash.

use super::{all_cases, read};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use swatchfold::problem::Source;
use swatchfold::stash::{Colours, Reading};

/// So many mutilated stashes; more with `MISTAKES=5000`.
const ROUNDS: u64 = 250;

/// Where the random mistakes begin; printed with every failure.
const SEED: u64 = 0x5eed_cafe;

/// A small generator of repeatable numbers (SplitMix64, Steele, Lea and Flood 2014).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, most: usize) -> usize {
        usize::try_from(self.next() % most.max(1) as u64).expect("it is below a size")
    }

    fn one_of<'a>(&mut self, things: &[&'a str]) -> &'a str {
        things[self.below(things.len())]
    }
}

/// What people and programs put where it does not belong.
const BITS: [&str; 34] = [
    "\"",
    "'",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "\n",
    "\r\n",
    "#",
    "-",
    "0",
    "9999999999999999999",
    "1e400",
    "nan",
    "-inf",
    "true",
    "\"\"",
    "\"\"\"",
    "''' '''",
    "\\u0000",
    "\u{0}",
    "\u{1b}[31m",
    "é",
    "🌸",
    "שלום",
    "\u{202e}",
    "%",
    "1/0",
    "[[panel]]\n",
];

/// One to six mistakes in a text.
fn mutilated(text: &str, dice: &mut Dice) -> String {
    let mut text = text.to_owned();
    for _ in 0..=dice.below(6) {
        let mut spot = || text.floor_char_boundary(dice.below(text.len() + 1));
        let (one, other) = (spot(), spot());
        let (from, to) = (one.min(other), one.max(other));
        let near = text.floor_char_boundary((from + 12).min(to));
        match dice.below(6) {
            0 => text.replace_range(from..near, ""),
            1 => text.insert_str(from, dice.one_of(&BITS)),
            2 => text.replace_range(from..near, dice.one_of(&BITS)),
            3 => {
                let again = text[from..text.floor_char_boundary((from + 200).min(to))].to_owned();
                text.insert_str(to, &again);
            }
            4 => text.truncate(to),
            _ => {
                // Two lines change places.
                let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
                if !lines.is_empty() {
                    let (one, other) = (dice.below(lines.len()), dice.below(lines.len()));
                    lines.swap(one, other);
                    text = lines.concat();
                }
            }
        }
    }
    text
}

/// The files of the case that has everything, with their texts where they are TOML.
fn good_stash() -> Vec<(PathBuf, String)> {
    let everything = all_cases().join("everything");
    let mut files = Vec::new();
    for folder in [everything.clone(), everything.join("pads")] {
        for entry in fs::read_dir(folder).expect("the case is there").flatten().filter(|entry| entry.path().is_file()) {
            let path = entry.path();
            let text = fs::read_to_string(&path).expect("it is text");
            files.push((path.strip_prefix(&everything).expect("it is inside").to_path_buf(), text));
        }
    }
    files.sort();
    assert!(files.len() > 10);
    files
}

#[test]
fn no_mistake_in_a_file_brings_the_reader_down() {
    let rounds = std::env::var("MISTAKES").ok().and_then(|count| count.parse().ok()).unwrap_or(ROUNDS);
    let good = good_stash();
    let stash = tempfile::tempdir().expect("a folder for the test can be made");
    fs::create_dir(stash.path().join("pads")).expect("it can be made");
    for (file, text) in &good {
        fs::write(stash.path().join(file), text).expect("it can be written");
    }
    let toml: Vec<&(PathBuf, String)> =
        good.iter().filter(|(file, _)| file.extension().is_some_and(|end| end == "toml")).collect();
    for round in 0..rounds {
        let mut dice = Dice(SEED.wrapping_add(round));
        let (file, text) = toml[dice.below(toml.len())];
        let bad = mutilated(text, &mut dice);
        fs::write(stash.path().join(file), &bad).expect("it can be written");
        let outcome = std::panic::catch_unwind(|| {
            let reading = read(stash.path());
            assert_sound(&reading, stash.path());
            let [once, twice] = [format!("{reading:?}"), format!("{:?}", read(stash.path()))];
            assert_eq!(once, twice, "two readings differ");
        });
        assert!(outcome.is_ok(), "round {round} of seed {SEED:#x}, {}:\n{bad}", file.display());
        fs::write(stash.path().join(file), text).expect("it can be written");
    }
}

/// What holds of every stash that was read, whatever it was read from.
fn assert_sound(reading: &Reading, folder: &Path) {
    let stash = &reading.stash;
    let longest = api::units::Length::LONGEST;
    let mut ids = BTreeSet::new();
    for line in &stash.lines {
        assert!(ids.insert(&line.id), "two lines are called {}", line.id);
        assert!(
            line.width.is_positive() && line.width <= longest && line.height.is_positive() && line.height <= longest
        );
        assert!(line.count <= 1_000_000);
        assert!((line.front.0 as usize) < stash.papers.len());
        assert!(line.back.is_none_or(|back| (back.0 as usize) < stash.papers.len()));
    }
    let mut ids = BTreeSet::new();
    for paper in &stash.papers {
        assert!(ids.insert(&paper.id), "two papers are called {}", paper.id);
        match &paper.colours {
            Colours::FromPicture => assert!(paper.picture.is_some(), "{} has nothing to see", paper.id),
            Colours::Entered(swatches) => {
                assert_eq!(swatches.iter().map(|swatch| swatch.share.millionths()).sum::<u32>(), 1_000_000);
                assert!(swatches.iter().all(|swatch| swatch.colour.l.is_finite()));
            }
        }
        if let Some(picture) = &paper.picture {
            assert!(picture.is_relative() && folder.join(picture).is_file());
        }
        assert!(paper.name.chars().all(|letter| !letter.is_control()), "{:?}", paper.name);
    }
    for layout in &stash.layouts {
        for panel in &layout.panels {
            let names = panel.on.iter().chain(&panel.same_as).chain(&panel.differs_from);
            for name in names {
                assert!(layout.panels.iter().any(|other| other.id == *name && other.id != panel.id));
            }
            assert!(panel.mats.iter().all(|mat| mat.is_positive()));
        }
    }
    for problem in &reading.problems {
        let text = fs::read_to_string(folder.join(&problem.place.file)).unwrap_or_default();
        let lines = u32::try_from(text.lines().count() + 1).expect("it is small");
        assert!(problem.place.line <= lines, "{problem}");
        assert!(!problem.message().is_empty() && !problem.remedy().is_empty());
        assert!(problem.to_string().chars().all(|letter| letter == '\n' || !letter.is_control()), "{problem:?}");
    }
    let order: Vec<_> = reading.problems.iter().map(|problem| problem.place.order()).collect();
    assert!(order.is_sorted());
}

#[test]
fn any_span_of_any_text_has_a_place() {
    let mut dice = Dice(SEED);
    for round in 0..2_000 {
        let bits: Vec<&str> = (0..dice.below(12)).map(|_| dice.one_of(&BITS)).collect();
        let source = Source::new("a.toml", bits.concat());
        let (start, end) = (dice.below(60), dice.below(60));
        let place = source.place(start..end);
        let caret = place.caret().unwrap_or_default();
        assert_eq!(caret.lines().count(), 2, "round {round} of seed {SEED:#x}: {caret}");
    }
}
