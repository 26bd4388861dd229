//! The commands that the README and the guide give are real: each is run, in their order, as a
//! newcomer would; only that the demo stash is unpacked already, and its pictures looked at.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// How the README calls the program from a fresh clone.
const FROM_CLONE: &str = "cargo run --release -- ";
/// How it runs every test.
const TEST: &str = "cargo test --workspace";

fn page(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
}

/// The lines of every block of commands.
fn commands(text: &str) -> Vec<String> {
    let blocks = text.split("```sh\n").skip(1).filter_map(|block| block.split("```").next());
    blocks.flat_map(str::lines).map(str::to_owned).collect()
}

/// A command as a shell parts it; a word may stand in double quotes.
fn words(command: &str) -> Vec<String> {
    let (mut words, mut word, mut quoted) = (Vec::new(), String::new(), false);
    for letter in command.chars() {
        match letter {
            '"' => quoted = !quoted,
            space if space.is_whitespace() && !quoted => words.push(std::mem::take(&mut word)),
            other => word.push(other),
        }
    }
    words.push(word);
    words.retain(|word| !word.is_empty());
    words
}

/// Runs the program as a line says, and answers what `start` asks. A build without optimisation is
/// allowed less work, so that the test ends while one waits.
fn obey(folder: &Path, line: &str, arguments: &str) {
    let mut words = words(arguments);
    if words.first().is_some_and(|command| ["suggest", "demo", "start", "plan"].contains(&command.as_str())) {
        words.extend(["--work", "1000000", "--today", "2026-03-01"].map(str::to_owned));
    }
    let mut program = Command::new(env!("CARGO_BIN_EXE_swatchfold"));
    program.args(&words).current_dir(folder).stdout(Stdio::piped()).stderr(Stdio::piped());
    let answers = folder.join("answers");
    let pictures = PathBuf::from("swatchfold-demo/papers/slack-water");
    std::fs::write(&answers, format!("A2\n6 x 6 in\n8\n2\n{}\n", pictures.display())).expect("a file can be written");
    program.stdin(std::fs::File::open(&answers).expect("it was just written"));
    let output = program.output().expect("the program starts");
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "`{line}`: {told}");
    assert!(!output.stdout.is_empty(), "`{line}` prints nothing: {told}");
}

#[test]
fn the_readme_opens_with_the_job_and_two_commands() {
    let text = page("README.md");
    assert!(text.starts_with("# Swatchfold\n\nYou have "));
    let commands = commands(&text);
    assert_eq!(commands[..2], [format!("{FROM_CLONE}demo"), TEST.to_owned()]);
    // `.ci/run` and the README agree on what passes every test.
    if let Ok(script) = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(".ci/run")) {
        assert!(script.contains(TEST), ".ci/run does not call `{TEST}`");
    }
}

#[test]
fn every_command_of_the_readme_and_the_guide_is_real() {
    for path in ["README.md", "docs/guide.md"] {
        let folder = tempfile::tempdir().expect("a folder of its own");
        crate::demo::copy_into(folder.path());
        let commands = commands(&page(path));
        let mut ran = 0;
        for line in commands.iter().filter(|line| *line != TEST) {
            let arguments = line.strip_prefix(FROM_CLONE).or_else(|| line.strip_prefix("swatchfold "));
            obey(folder.path(), line, arguments.unwrap_or_else(|| panic!("{path}: `{line}` is not ours")));
            ran += 1;
        }
        assert!(ran > 3, "{path} gives only {ran} commands");
    }
}

#[test]
fn every_page_that_is_linked_is_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for path in ["README.md", "docs/guide.md", "docs/json.md"] {
        let text = page(path);
        for link in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            if link.starts_with("https://") {
                continue;
            }
            let target = root.join(path).with_file_name(link);
            assert!(target.exists(), "{path} links to {link}, which is not there");
        }
    }
}

/// The cards that the tour asks for: their ids, and the scores.
fn asked(folder: &Path) -> Vec<(String, String)> {
    let arguments = "suggest --stash swatchfold-demo --use k03 --list 3 --json --work 1000000 --today 2026-03-01";
    let output = Command::new(env!("CARGO_BIN_EXE_swatchfold"))
        .args(words(arguments))
        .current_dir(folder)
        .output()
        .expect("the program starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).expect("it prints JSON");
    let cards = answer["suggestions"].as_array().expect("a list").iter();
    cards
        .map(|card| {
            let uses = |layer: &serde_json::Value| {
                layer["pieces"].as_array().is_some_and(|pieces| pieces.iter().any(|piece| piece["from"] == "k03"))
            };
            assert!(
                card["layers"].as_array().is_some_and(|layers| layers.iter().any(uses)),
                "{} does without k03",
                card["id"]
            );
            (card["id"].to_string(), card["score"].to_string())
        })
        .collect()
}

/// A size and a weight, edited as the README says, show in the cards.
#[test]
fn the_tour_shows_what_it_promises() {
    let folder = tempfile::tempdir().expect("a folder of its own");
    crate::demo::copy_into(folder.path());
    let stash = folder.path().join(crate::demo::FOLDER);
    let before = asked(folder.path());
    assert_eq!(before.len(), 3);

    let scraps = std::fs::read_to_string(stash.join("scraps.toml")).expect("the file is there");
    let (head, tail) = scraps.split_once("id = \"k03\"").expect("the tour's scrap");
    assert!(
        tail.trim_start().starts_with("paper = \"lamplit-quay/bunk-ticking\"\nsize = \"3 1/2 x 1 3/4 in\""),
        "{tail:.200}"
    );
    assert!(page("README.md").contains("`size = \"2 x 1 3/4 in\"`"));
    let shorter = format!("{head}id = \"k03\"{}", tail.replacen("3 1/2 x 1 3/4 in", "2 x 1 3/4 in", 1));
    std::fs::write(stash.join("scraps.toml"), shorter).expect("a file can be written");
    let smaller = asked(folder.path());
    assert!(!smaller.is_empty() && smaller != before, "a smaller scrap shows");

    assert!(page("README.md").contains("find `use-up = 0.5` and make it weigh more: `use-up = 5`"));
    let settings = std::fs::read_to_string(stash.join("settings.toml")).expect("the file is there");
    assert_eq!(settings.matches("\nuse-up = 0.5\n").count(), 1, "{settings}");
    std::fs::write(stash.join("settings.toml"), settings.replace("\nuse-up = 0.5\n", "\nuse-up = 5\n"))
        .expect("a file can be written");
    obey(folder.path(), "swatchfold check", "check --stash swatchfold-demo");
    let heavier = asked(folder.path());
    assert!(!heavier.is_empty() && heavier != smaller, "a heavier weight shows");
}
