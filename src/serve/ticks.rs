//! What is ticked off: which steps and cuts of which card are done, kept in a file of the stash, so
//! that a reload, another device or a flat battery loses nothing.

use super::desk::lock;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// The file, in the stash folder. It may be deleted: then nothing is ticked.
pub(super) const FILE: &str = "ticks.json";
/// Its format.
const FORMAT: u64 = 1;
/// The most sheets of ticks that are kept; those with the lowest names go first beyond that.
const MOST_LISTS: usize = 500;
/// The most ticks of one list.
const MOST_TICKS: usize = 400;
/// The longest name of a list or of a tick, in bytes.
const LONGEST: usize = 120;
/// The largest file that is believed.
const MOST_BYTES: u64 = 4_000_000;

type Lists = BTreeMap<String, BTreeSet<String>>;

/// All ticks of a stash.
pub(super) struct Ticks {
    path: PathBuf,
    lists: Mutex<Lists>,
}

impl Ticks {
    /// Reads them; a file that is damaged, newer or not there is as if nothing were ticked.
    pub(super) fn open(stash: &Path) -> Self {
        let path = stash.join(FILE);
        let lists = read(&path).unwrap_or_default();
        Self { path, lists: Mutex::new(lists) }
    }

    /// What is ticked on a list.
    pub(super) fn of(&self, list: &str) -> BTreeSet<String> {
        lock(&self.lists).get(list).cloned().unwrap_or_default()
    }

    /// Ticks or clears one thing. `Ok(false)` where the name cannot be one of ours.
    ///
    /// # Errors
    /// Where the file cannot be written: then nothing is changed.
    pub(super) fn set(&self, list: &str, tick: &str, done: bool) -> std::io::Result<bool> {
        let is_sound = |name: &str| {
            !name.is_empty()
                && name.len() <= LONGEST
                && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_./".contains(&byte))
        };
        if !is_sound(list) || !is_sound(tick) {
            return Ok(false);
        }
        let mut lists = lock(&self.lists);
        let mut next = lists.clone();
        let ticks = next.entry(list.to_owned()).or_default();
        let changed = if done { ticks.len() < MOST_TICKS && ticks.insert(tick.to_owned()) } else { ticks.remove(tick) };
        if ticks.is_empty() {
            next.remove(list);
        }
        while next.len() > MOST_LISTS {
            let first = next.keys().find(|name| *name != list).cloned().unwrap_or_default();
            next.remove(&first);
        }
        if changed {
            write(&self.path, &next)?;
            *lists = next;
        }
        Ok(true)
    }
}

fn read(path: &Path) -> Option<Lists> {
    let facts = std::fs::metadata(path).ok()?;
    if !facts.is_file() || facts.len() > MOST_BYTES {
        return None;
    }
    let value: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(path).ok()?).ok()?;
    if value.get("format")?.as_u64()? != FORMAT {
        return None;
    }
    let mut lists = Lists::new();
    for (name, ticks) in value.get("ticks")?.as_object()?.iter().take(MOST_LISTS) {
        let ticks = ticks.as_array()?.iter().filter_map(|tick| tick.as_str()).take(MOST_TICKS);
        lists.insert(name.clone(), ticks.map(str::to_owned).collect());
    }
    Some(lists)
}

/// Written beside its place and then moved there: nobody ever reads half of it.
fn write(path: &Path, lists: &Lists) -> std::io::Result<()> {
    let text = serde_json::json!({ "format": FORMAT, "ticks": lists }).to_string();
    let beside = path.with_file_name(format!(".{FILE}.{}.part", std::process::id()));
    let mut file = std::fs::File::create(&beside)?;
    let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
    drop(file);
    written.and_then(|()| std::fs::rename(&beside, path)).inspect_err(|_| {
        // What was half written is of no use to anyone.
        let _ = std::fs::remove_file(&beside);
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_outlive_the_program_and_can_be_cleared() {
        let folder = tempfile::tempdir().unwrap();
        let ticks = Ticks::open(folder.path());
        assert!(ticks.set("card-1", "cut-1", true).unwrap() && ticks.set("card-1", "step-2", true).unwrap());
        let again = Ticks::open(folder.path());
        assert_eq!(again.of("card-1"), BTreeSet::from(["cut-1".to_owned(), "step-2".to_owned()]));
        again.set("card-1", "cut-1", false).unwrap();
        assert_eq!(Ticks::open(folder.path()).of("card-1").len(), 1);
        assert!(Ticks::open(folder.path()).of("card-2").is_empty());
    }

    #[test]
    fn a_name_that_is_none_of_ours_and_a_damaged_file_change_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let ticks = Ticks::open(folder.path());
        for bad in ["", "a b", "<x>", &"x".repeat(200)] {
            assert!(!ticks.set(bad, "cut-1", true).unwrap(), "{bad}");
            assert!(!ticks.set("card", bad, true).unwrap(), "{bad}");
        }
        for bad in ["", "{", "{\"format\":2,\"ticks\":{}}", "[]"] {
            std::fs::write(folder.path().join(FILE), bad).unwrap();
            assert!(Ticks::open(folder.path()).of("card").is_empty());
        }
    }
}
