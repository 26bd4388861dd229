//! The command line as a person meets it: the real program on small stashes, its words, its JSON,
//! its exit codes.

mod answers;
mod bad_input;
mod batch;
mod begin;
mod cases;
mod choices;
mod colour;
mod cut;
mod documents;
mod dots;
mod ledger;
mod middles;
mod print;
mod scan;
mod scripts;
mod terminal;
mod thin;

use serde_json::Value;
use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// What a run left behind.
#[derive(Debug)]
struct Ran {
    /// The exit code; none where a signal ended it.
    code: Option<i32>,
    /// What it printed.
    out: String,
    /// What it said beside that.
    err: String,
}

impl Ran {
    /// What it printed, if all went well.
    fn good(self) -> String {
        assert_eq!(self.code, Some(0), "{}\n{}", self.out, self.err);
        self.out
    }

    /// What it printed, as JSON, if all went well.
    fn json(self) -> Value {
        let text = self.good();
        serde_json::from_str(&text).unwrap_or_else(|why| panic!("{why}\n{text}"))
    }

    /// What it said, if the input was refused with a clear error.
    #[track_caller]
    fn refused(self) -> String {
        assert_eq!(self.code, Some(2), "{}\n{}", self.out, self.err);
        assert!(!self.err.is_empty() && !self.err.contains("defect"), "{}", self.err);
        self.err
    }
}

/// A folder of the repository.
fn repository(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// The program, in a folder, with nothing in its surroundings that could change what it prints.
fn program(folder: &Path) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_swatchfold"));
    program.current_dir(folder).stdin(Stdio::null());
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLORTERM", "TERM", "CI"] {
        program.env_remove(name);
    }
    program
}

/// Runs the program in a folder.
fn run(folder: &Path, arguments: &[impl AsRef<OsStr>]) -> Ran {
    ended(program(folder).args(arguments))
}

/// Runs the program in a folder, with answers to what it asks.
fn run_with_answers(folder: &Path, arguments: &[&str], answers: &str) -> Ran {
    let mut program = program(folder);
    let piped = program.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = piped.spawn().expect("the program starts");
    let mut stdin = child.stdin.take().expect("stdin is piped");
    // It may end before it has read all answers.
    let _ = stdin.write_all(answers.as_bytes());
    drop(stdin);
    let output = child.wait_with_output().expect("the program ends");
    Ran { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
}

fn ended(program: &mut Command) -> Ran {
    let output = program.output().expect("the program starts");
    Ran { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
}

fn text(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).expect("what is printed is UTF-8")
}

/// A copy of a stash that may be changed.
fn copy_of(stash: &str) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder of its own");
    copy(&repository("tests/cases/cli/stashes").join(stash), folder.path());
    folder
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder can be made");
    for entry in std::fs::read_dir(from).unwrap_or_else(|why| panic!("{}: {why}", from.display())) {
        let entry = entry.expect("its entries can be read");
        let (path, to) = (entry.path(), to.join(entry.file_name()));
        if path.is_dir() {
            copy(&path, &to);
        } else {
            std::fs::copy(&path, &to).expect("a file can be copied");
        }
    }
}

/// The small stash, and the day on which it is looked at.
const SMALL: &str = "small";
/// That day, as arguments.
const TODAY: [&str; 2] = ["--today", "2026-03-01"];

/// Runs a command on the small stash.
fn small(arguments: &[&str]) -> Ran {
    run(copy_of(SMALL).path(), &[arguments, &TODAY].concat())
}

/// The items of a list.
#[track_caller]
fn items<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().unwrap_or_else(|| panic!("no list `{key}` in {value}"))
}

/// A text.
#[track_caller]
fn word<'v>(value: &'v Value, key: &str) -> &'v str {
    value[key].as_str().unwrap_or_else(|| panic!("no text `{key}` in {value}"))
}

/// Whole millionths: of a share, or of a millimetre (which are nanometres).
#[track_caller]
#[allow(clippy::cast_possible_truncation, reason = "the numbers printed are small, with six decimals at most")]
fn millionths(value: &Value, key: &str) -> i64 {
    let number = value[key].as_f64().unwrap_or_else(|| panic!("no number `{key}` in {value}"));
    (number * 1e6).round() as i64
}
