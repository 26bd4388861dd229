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

/// A command as a shell parts it.
fn words(command: &str) -> Vec<String> {
    command.split_whitespace().map(str::to_owned).collect()
}

/// Runs the program as a line says, and answers what `start` asks. A build without optimisation is
/// allowed less work, so that the test ends while one waits.
fn obey(folder: &Path, line: &str, arguments: &str) {
    let mut words = words(arguments);
    if words.first().is_some_and(|command| ["suggest", "demo", "start"].contains(&command.as_str())) {
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

/// The files that the tour edits are there and say what it says.
#[test]
fn the_tour_edits_what_is_there() {
    let scraps = page("demo-data/scraps.toml");
    let scrap = scraps.split("[[scrap]]").find(|scrap| scrap.contains("id = \"k03\"")).expect("the tour's scrap");
    assert!(scrap.contains("lamplit-quay/bunk-ticking") && scrap.contains("3 1/2 x 1 3/4 in"), "{scrap}");
    assert!(page("demo-data/settings.toml").contains("kind = \"settings\""));
}
