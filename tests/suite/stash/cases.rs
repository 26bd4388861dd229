//! Every folder of `tests/cases/stash` is a stash; its `expected.txt` is what is said of it, word for
//! word, and what is read of it. To see new words: run with `WRITE_EXPECTED=1` and read the difference.

use super::{case_folders, folders, read, starting, told};
use std::collections::BTreeSet;
use std::path::Path;

#[test]
fn each_stash_gets_exactly_its_words() {
    let failed: Vec<String> = case_folders().iter().filter_map(|case| check(case).err()).collect();
    assert!(failed.is_empty(), "{}", failed.join("\n\n"));
}

fn check(case: &Path) -> Result<(), String> {
    let expected = case.join("expected.txt");
    let got = told(&read(case));
    if std::env::var_os("WRITE_EXPECTED").is_some() {
        std::fs::write(&expected, &got).map_err(|error| format!("{}: {error}", expected.display()))?;
    }
    let wanted = std::fs::read_to_string(&expected).map_err(|error| format!("{}: {error}", expected.display()))?;
    if got == wanted.replace("\r\n", "\n") {
        return Ok(());
    }
    let first = got.lines().zip(wanted.lines()).position(|(one, other)| one != other);
    let line = first.unwrap_or(got.lines().count().min(wanted.lines().count()));
    let at = |text: &str| text.lines().nth(line).unwrap_or("(nothing more)").to_owned();
    Err(format!("{}:{}:\n  wanted {}\n  got    {}", expected.display(), line + 1, at(&wanted), at(&got)))
}

#[test]
fn a_stash_reads_alike_every_time() {
    for case in case_folders() {
        let [once, twice] = [(); 2].map(|()| read(&case));
        assert_eq!(format!("{once:?}"), format!("{twice:?}"), "{}", case.display());
    }
}

/// Faults that are told by a later step, which has cases of its own.
const TOLD_LATER: [&str; 15] = [
    "PictureNotRead",
    "PanelsInACircle",
    "PanelOffCard",
    "PanelOffSupport",
    "PanelVanishes",
    "MatBehindOutline",
    // By `scan --save` and by the host of scripts: see `cli/scan.rs` and `cli/scripts.rs`.
    "PictureElsewhere",
    "PictureUnused",
    "Script",
    "UnknownScorer",
    "UnknownKnob",
    // Of the ledger: `tests/suite/cli/ledger.rs`.
    "LedgerUnreadable",
    "LedgerTorn",
    "RecountWanted",
    "PaperOfPieceGone",
];

#[test]
fn every_kind_of_fault_has_a_case() {
    // The kinds, from the one place that lists them.
    let source = include_str!("../../../src/problem/fault.rs");
    let body = source.split("pub enum Fault {").nth(1).and_then(|rest| rest.split("\n}").next());
    let kinds: BTreeSet<&str> = body
        .expect("the list is there")
        .lines()
        .filter_map(|line| line.strip_prefix("    "))
        .filter(|line| line.starts_with(|letter: char| letter.is_ascii_uppercase()))
        .filter_map(|line| line.split([' ', ',', '{']).next())
        .collect();
    assert!(kinds.len() > 40, "{kinds:?}");

    let readings =
        case_folders().into_iter().map(|case| read(&case)).chain(folders::readings()).chain(starting::readings());
    let faults = readings.flat_map(|reading| reading.problems).map(|problem| format!("{:?}", problem.fault));
    let seen: BTreeSet<String> = faults.filter_map(|fault| fault.split([' ', '{']).next().map(str::to_owned)).collect();
    let missing: Vec<&&str> =
        kinds.iter().filter(|kind| !seen.contains(**kind) && !TOLD_LATER.contains(kind)).collect();
    assert!(missing.is_empty(), "no case for {missing:?}");
}
