//! Each `tests/cases/cli/*.case`: a stash, a command, and all that it prints, word for word.
//!
//! The first line names the stash (`stash: small`, or `stash: -` for an empty folder), the second
//! the command (`$ swatchfold check`), the third the exit code. Then `--- stdout` and `--- stderr`,
//! each with what is printed there. With `SWATCHFOLD_WRITE_CASES=1` the cases are written anew, so
//! that a change of words can be looked at as a change of files.

use super::{copy_of, repository, run};
use std::fmt::Write as _;
use std::path::Path;

struct Case {
    stash: String,
    command: String,
    expected: String,
}

#[test]
fn every_case_prints_what_is_expected_word_for_word() {
    let folder = repository("tests/cases/cli");
    let mut cases: Vec<_> = std::fs::read_dir(&folder)
        .expect("the folder of cases is there")
        .map(|entry| entry.expect("its entries can be read").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "case"))
        .collect();
    cases.sort();
    assert!(!cases.is_empty(), "no cases in {}", folder.display());
    let failed: Vec<String> = cases.iter().filter_map(|path| check(path).err()).collect();
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

fn check(path: &Path) -> Result<(), String> {
    let text = std::fs::read_to_string(path).expect("a case can be read");
    let case = read(&text).ok_or_else(|| format!("{}: not a case", path.display()))?;
    let printed = printed(&case);
    if printed == case.expected {
        return Ok(());
    }
    if std::env::var_os("SWATCHFOLD_WRITE_CASES").is_some() {
        let whole = format!("stash: {}\n$ swatchfold {}\n{printed}", case.stash, case.command);
        std::fs::write(path, whole).expect("a case can be written");
        return Ok(());
    }
    Err(format!("{}:\n{printed}", path.display()))
}

fn read(text: &str) -> Option<Case> {
    let (stash, rest) = text.strip_prefix("stash: ")?.split_once('\n')?;
    let (command, expected) = rest.strip_prefix("$ swatchfold ")?.split_once('\n')?;
    Some(Case { stash: stash.to_owned(), command: command.to_owned(), expected: expected.to_owned() })
}

fn printed(case: &Case) -> String {
    let folder =
        if case.stash == "-" { tempfile::tempdir().expect("a folder of its own") } else { copy_of(&case.stash) };
    let ran = run(folder.path(), &words(&case.command));
    let mut printed = format!("exit: {}\n", ran.code.expect("no signal ends it"));
    let _ = write!(printed, "--- stdout\n{}--- stderr\n{}", ran.out, ran.err);
    printed
}

/// A command as a shell parts it, with double quotes round words that have spaces.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (place, part) in command.split('"').enumerate() {
        if place % 2 == 1 {
            words.push(part.to_owned());
        } else {
            words.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    words
}
