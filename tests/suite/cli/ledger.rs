//! The ledger as a person meets it: recorded, taken back, killed, edited, written by two at once.

use super::{copy_of, items, millionths, program, run, word};
use std::collections::BTreeSet;
use std::io::Read;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

const LEDGER: &str = "ledger.swatchfold";

fn on(folder: &Path, day: &str, arguments: &[&str]) -> super::Ran {
    run(folder, &[arguments, &["--today", day]].concat())
}

fn stock(folder: &Path) -> String {
    on(folder, "2026-03-01", &["stock", "--json"]).good()
}

/// How many of each line there are.
fn counts(folder: &Path, day: &str) -> Vec<(String, i64)> {
    let stock = on(folder, "2026-03-01", &["stock", "--json", "--on", day]).json();
    items(&stock, "stock")
        .iter()
        .map(|line| (word(line, "id").to_owned(), line["count"].as_i64().expect("a count")))
        .collect()
}

#[test]
fn step_by_step_undo_to_the_beginning_gives_the_same_bytes() {
    let stash = copy_of("small");
    let folder = stash.path();
    let before = stock(folder);
    let steps: [&[&str]; 8] = [
        &["add", "garden/leaves", "--size", "3 x 4 in"],
        &["used", "moss", "--left", "2 x 3 in", "--left", "1 1/64 x 1 in"],
        &["lost", "rust"],
        &["found", "box/1", "2"],
        &["recount", "cream", "5"],
        &["used", "L2"],
        &["add", "teal", "5", "--colour", "#3f7f80", "--size", "US letter"],
        &["used", "wren"],
    ];
    let mut states = vec![before.clone()];
    for step in steps {
        on(folder, "2026-03-01", step).good();
        states.push(stock(folder));
    }
    let lines = counts(folder, "2026-03-01");
    let of = |id: &str| lines.iter().find(|(line, _)| line == id).map(|(_, count)| *count);
    assert_eq!((of("moss"), of("box/1"), of("cream"), of("wren")), (Some(2), Some(3), Some(5), Some(1)));
    assert_eq!((of("L1"), of("L2"), of("L3"), of("teal")), (Some(1), None, Some(1), Some(5)));
    let now = on(folder, "2026-03-01", &["stock", "--json"]).json();
    let left = items(&now, "stock").iter().find(|line| line["id"] == "L3").expect("it was kept");
    assert_eq!(millionths(left, "width"), 25_796_875, "to the sixty-fourth");
    while let Some(state) = states.pop() {
        assert_eq!(stock(folder), state);
        let undone = on(folder, "2026-03-01", &["undo"]);
        assert_eq!(undone.code, if states.is_empty() { Some(2) } else { Some(0) }, "{undone:?}");
    }
    assert_eq!(stock(folder), before);
    // Ids are never given twice, not even after an undo.
    let again = on(folder, "2026-03-01", &["add", "moss", "--size", "1 x 1 in"]).good();
    assert!(again.contains("L4"), "{again}");
}

#[test]
fn an_entry_whose_leftover_was_used_is_not_taken_back_and_says_why() {
    let stash = copy_of("small");
    let folder = stash.path();
    on(folder, "2026-03-01", &["used", "moss", "--left", "4 x 4 in"]).good();
    on(folder, "2026-03-02", &["lost", "rust"]).good();
    on(folder, "2026-03-03", &["used", "L1", "--left", "1 x 1 in"]).good();
    let told = on(folder, "2026-03-04", &["undo", "1"]).refused();
    assert!(told.contains("entry 3 (`L1`)") && told.contains("take back 3 first"), "{told}");
    on(folder, "2026-03-04", &["undo", "2"]).good();
    for (entry, says) in [("2", "taken back already"), ("0", "no entry 0"), ("99", "the last one is 4")] {
        let told = on(folder, "2026-03-04", &["undo", entry]).refused();
        assert!(told.contains(says), "{told}");
    }
    on(folder, "2026-03-04", &["undo", "3"]).good();
    on(folder, "2026-03-04", &["undo", "1"]).good();
    assert_eq!(counts(folder, "2026-03-04"), counts(folder, "2026-02-28"));
}

#[test]
fn what_cannot_be_is_refused_and_nothing_is_recorded() {
    let stash = copy_of("small");
    let folder = stash.path();
    for (arguments, says) in [
        (&["lost", "mos"][..], "did you mean `moss`?"),
        (&["used", "moss", "99"], "96 fewer than 99"),
        (&["used", "cup"], "never runs out"),
        (&["used", "moss", "--left", "9 x 11 in"], "cannot be left of `moss`"),
        (&["used", "moss", "--left", "8 x 11 in", "--left", "8 x 11 in"], "cannot be left of `moss`"),
        (&["add", "nothing", "--size", "3 x 4 in"], "no paper has the id `nothing`"),
        (&["add", "moss", "--size", "3 x"], "--size"),
        (&["add", "moss", "--as", "rust", "--size", "3 x 4 in"], "something has it already"),
        (&["add", "moss", "--colour", "#123456", "--size", "3 x 4 in"], "a paper has it already"),
        (&["add", "new", "--colour", "blueish", "--size", "3 x 4 in"], "no colour"),
        (&["given", "C1"], "no finished cards"),
        (&["undo"], "nothing to take back"),
        (&["lost", "moss", "0"], "nothing to record"),
        (&["stock", "--on", "yesterday"], "not a day"),
        (&["made", "nowhere.json"], "cannot be read"),
    ] {
        let told = on(folder, "2026-03-01", arguments).refused();
        assert!(told.contains(says), "{arguments:?}: {told}");
    }
    assert!(!folder.join(LEDGER).exists(), "nothing was recorded, so there is no ledger");
}

#[test]
fn a_ledger_that_is_not_as_it_was_written_is_refused_by_its_line() {
    let stash = copy_of("small");
    let folder = stash.path();
    for id in ["moss", "cream", "moss"] {
        on(folder, "2026-03-01", &["used", id]).good();
    }
    let path = folder.join(LEDGER);
    let good = std::fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = good.split_inclusive('\n').collect();
    let cases = [
        (good.replace("cream", "creaM"), "line 3"),
        (good.replacen("\"by\":-1", "\"by\":-2", 1), "line 2"),
        ([lines[0], lines[1], lines[3]].concat(), "entry 2 is missing"),
        ([lines[0], lines[3]].concat(), "entries 1 to 2 are missing"),
        (good.replacen("ledger\":1", "ledger\":2", 1), "newer Swatchfold"),
        ("shopping list\n".to_owned(), "not a ledger"),
    ];
    for (text, says) in cases {
        std::fs::write(&path, &text).unwrap();
        for arguments in [&["stock"][..], &["suggest"], &["lost", "moss"], &["undo"], &["history"], &["check"]] {
            let ran = on(folder, "2026-03-01", arguments);
            assert_eq!(ran.code, Some(2), "{arguments:?}: {ran:?}");
            assert!(format!("{}{}", ran.out, ran.err).contains(says), "{says}, {arguments:?}: {ran:?}");
        }
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text, "it is left as it is");
    }
    // A torn end is passed over in reading, and set aside by the next that writes.
    std::fs::write(&path, format!("{good}{{\"entry\":4,\"da")).unwrap();
    assert!(on(folder, "2026-03-01", &["stock"]).err.contains("1 note"));
    let ran = on(folder, "2026-03-01", &["lost", "moss"]);
    assert!(ran.err.contains("ledger.swatchfold.torn-1"), "{ran:?}");
    assert!(ran.good().contains("entry 4"));
    assert_eq!(std::fs::read_to_string(folder.join("ledger.swatchfold.torn-1")).unwrap(), "{\"entry\":4,\"da");
}

#[cfg(unix)]
#[test]
fn links_and_folders_in_the_place_of_the_ledger_are_not_followed() {
    let stash = copy_of("small");
    let folder = stash.path();
    let elsewhere = tempfile::tempdir().unwrap();
    let target = elsewhere.path().join("target");
    std::os::unix::fs::symlink(&target, folder.join(LEDGER)).unwrap();
    assert!(on(folder, "2026-03-01", &["lost", "moss"]).refused().contains("a link"));
    assert!(!target.exists());
    std::fs::remove_file(folder.join(LEDGER)).unwrap();
    std::fs::create_dir(folder.join(LEDGER)).unwrap();
    assert!(on(folder, "2026-03-01", &["stock"]).refused().contains("no plain file"));
    std::fs::remove_dir(folder.join(LEDGER)).unwrap();
    std::os::unix::fs::symlink(&target, folder.join(".ledger.lock")).unwrap();
    assert!(on(folder, "2026-03-01", &["lost", "moss"]).refused().contains(".ledger.lock"));
    assert!(!target.exists());
}

#[test]
fn days_never_run_backwards_and_say_so() {
    let stash = copy_of("small");
    let folder = stash.path();
    on(folder, "2026-03-05", &["lost", "rust"]).good();
    let ran = on(folder, "2026-02-01", &["used", "moss"]);
    assert!(ran.err.contains("recorded for 2026-03-05"), "{ran:?}");
    assert!(counts(folder, "2026-03-04").contains(&("moss".to_owned(), 3)));
    assert!(counts(folder, "2026-03-05").contains(&("moss".to_owned(), 2)));
}

#[test]
fn a_line_changed_by_hand_is_not_counted_twice() {
    let stash = copy_of("small");
    let folder = stash.path();
    on(folder, "2026-03-01", &["used", "moss"]).good();
    let path = folder.join("papers/cardstock.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    let changed = text.replacen("count = 3", "count = 2", 1);
    assert_ne!(text, changed, "{text}");
    std::fs::write(&path, changed).unwrap();
    assert!(counts(folder, "2026-03-01").contains(&("moss".to_owned(), 2)), "taken at its word");
    let told = on(folder, "2026-03-01", &["check"]);
    assert!(told.out.contains("swatchfold recount moss NUMBER"), "{told:?}");
    on(folder, "2026-03-01", &["recount", "moss", "1"]).good();
    assert!(counts(folder, "2026-03-01").contains(&("moss".to_owned(), 1)));
    assert!(!on(folder, "2026-03-01", &["check"]).out.contains("recount"));
}

#[test]
fn a_piece_whose_paper_is_in_no_file_now_is_told_and_left_out() {
    let stash = copy_of("small");
    let folder = stash.path();
    on(folder, "2026-03-01", &["add", "rust", "--size", "2 x 2 in"]).good();
    let path = folder.join("papers/cardstock.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, text.replace("rust", "rest").replace("Rust", "Rest")).unwrap();
    let told = on(folder, "2026-03-01", &["check"]);
    assert!(told.out.contains("the piece `L1` is of the paper `rust`, which is in no file now"), "{told:?}");
    assert!(!counts(folder, "2026-03-01").iter().any(|(id, _)| id == "L1"));
}

/// Each run is killed at a moment of its own; what it said before that must hold.
#[test]
fn a_run_that_is_killed_loses_nothing_it_said_it_recorded() {
    let kills: u32 = std::env::var("SWATCHFOLD_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(40);
    let stash = copy_of("small");
    let folder = stash.path();
    on(folder, "2026-03-01", &["found", "cream", "900000"]).good();
    let mut said: BTreeSet<u64> = BTreeSet::from([1]);
    let mut asked = 1_u64;
    let mut dice = 0x9e37_79b9_7f4a_7c15_u64;
    for kill in 0..kills {
        let mut child = program(folder)
            .args(["used", "cream", "--left", "1 x 1 in", "--json", "--today", "2026-03-01"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        asked += 1;
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        // A run takes some 10 to 30 ms: most are killed within it, some after.
        std::thread::sleep(Duration::from_micros((dice >> 40) % 25_000));
        let _ = child.kill();
        let mut out = String::new();
        child.stdout.take().expect("it is piped").read_to_string(&mut out).expect("text");
        let _ = child.wait();
        if let Ok(told) = serde_json::from_str::<serde_json::Value>(&out) {
            said.insert(told["recorded"]["entry"].as_u64().expect("a number"));
        }
        if kill % 10 == 9 || kill + 1 == kills {
            let history = on(folder, "2026-03-01", &["history", "--json"]).json();
            let there: BTreeSet<u64> =
                items(&history, "entries").iter().map(|entry| entry["entry"].as_u64().unwrap()).collect();
            assert!(said.is_subset(&there), "after {kill} kills: {said:?} are not all among {there:?}");
            assert!(there.len() as u64 <= asked, "more than was asked for");
            for entry in items(&history, "entries").iter().skip(1) {
                let whole = items(entry, "changes").len() == 1 && items(entry, "pieces").len() == 1;
                assert!(whole, "half an entry: {entry}");
            }
            let used = i64::try_from(there.len()).unwrap() - 1;
            assert!(counts(folder, "2026-03-01").contains(&("cream".to_owned(), 900_006 - used)));
        }
    }
    on(folder, "2026-03-01", &["lost", "moss"]).good();
}

#[test]
fn two_who_write_at_once_take_turns() {
    let stash = copy_of("small");
    let folder = stash.path();
    on(folder, "2026-03-01", &["found", "cream", "1000"]).good();
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                for _ in 0..5 {
                    on(folder, "2026-03-01", &["used", "cream"]).good();
                }
            });
        }
    });
    let history = on(folder, "2026-03-01", &["history", "--json"]).json();
    let numbers: Vec<u64> = items(&history, "entries").iter().map(|entry| entry["entry"].as_u64().unwrap()).collect();
    assert_eq!(numbers, (1..=21).collect::<Vec<_>>());
    assert!(counts(folder, "2026-03-01").contains(&("cream".to_owned(), 986)));
}

#[test]
fn whoever_keeps_on_writing_is_named() {
    let stash = copy_of("small");
    let folder = stash.path();
    let lock = std::fs::File::create(folder.join(".ledger.lock")).unwrap();
    lock.lock().unwrap();
    std::fs::write(folder.join(".ledger.lock"), "the page in the next room, process 7").unwrap();
    let told = on(folder, "2026-03-01", &["lost", "moss"]).refused();
    assert!(told.contains("written by the page in the next room, process 7"), "{told}");
    // Reading goes on meanwhile.
    stock(folder);
    drop(lock);
    on(folder, "2026-03-01", &["lost", "moss"]).good();
}

#[test]
fn tables_bring_a_stash_and_its_ledger_out_and_in_again() {
    let stash = copy_of("small");
    let folder = stash.path();
    on(folder, "2026-03-01", &["used", "moss", "--left", "2 x 3 in"]).good();
    on(
        folder,
        "2026-03-02",
        &["add", "teal", "5", "--colour", "#3f7f80", "--size", "US letter", "--name", "Teal, \"deep\""],
    )
    .good();
    on(folder, "2026-03-03", &["undo", "1"]).good();
    on(folder, "2026-03-03", &["export", "tables"]).good();
    let table = std::fs::read_to_string(folder.join("tables/ledger.csv")).unwrap();
    // RFC 4180, sections 2.1, 2.6 and 2.7: CRLF after each row, quotes about a field with a comma, doubled within.
    assert!(table.contains("\"Teal, \"\"deep\"\"\"") && table.lines().count() > 5 && table.contains("\r\n"), "{table}");
    let palette = std::fs::read_to_string(folder.join("tables/swatches.gpl")).unwrap();
    assert!(palette.starts_with("GIMP Palette\nName: ") && palette.contains(" 63 127 128\t"), "{palette}");
    let elsewhere = tempfile::tempdir().unwrap();
    let tables = folder.join("tables");
    run(elsewhere.path(), &["import", tables.to_str().unwrap(), "--today", "2026-03-03"]).good();
    let lines = |folder: &Path| -> Vec<(String, i64, i64, i64)> {
        let stock = on(folder, "2026-03-03", &["stock", "--json"]).json();
        items(&stock, "stock")
            .iter()
            .filter(|line| line["kind"] != "image")
            .map(|line| {
                let count = line["count"].as_i64().unwrap();
                (word(line, "id").to_owned(), count, millionths(line, "width"), millionths(line, "height"))
            })
            .collect()
    };
    assert_eq!(lines(elsewhere.path()), lines(folder));
    let history = |folder: &Path| on(folder, "2026-03-03", &["history", "--json"]).json()["entries"].clone();
    assert_eq!(history(elsewhere.path()), history(folder));
    // Not twice, and nothing that is wrong.
    let told = run(elsewhere.path(), &["import", tables.to_str().unwrap(), "--today", "2026-03-03"]).refused();
    assert!(told.contains("is there already"), "{told}");
    let bad = tempfile::tempdir().unwrap();
    let broken = bad.path().join("bad.csv");
    std::fs::write(&broken, "id,kind,width_mm,height_mm,count\na,sheet,10,20,1\na,sheet,10,x,1\nb,shed,1,2,3\n")
        .unwrap();
    let told = run(bad.path(), &["import", "bad.csv", "--today", "2026-03-03"]).refused();
    assert!(told.contains("row 3") && told.contains("row 4"), "{told}");
    assert_eq!(std::fs::read_dir(bad.path()).unwrap().count(), 1, "nothing was brought in");
}
