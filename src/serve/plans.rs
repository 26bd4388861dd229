//! Plans that are kept: the name of a plan and its text in, a file in the stash's folder `plans`; from there
//! a plan that work was begun on is shown as it was, whatever has been recorded or edited since.
//!
//! A plan is kept when she says so, and with its first tick. The files are those of `plan --json`, so
//! `print`, `writeup` and `made` read them as well. Names are our own, so no address leads anywhere else.

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// The folder, within that of the stash. It may be deleted: then no plan is kept.
pub(super) const FOLDER: &str = "plans";
/// The most plans that are kept; the oldest go first beyond that.
const MOST: usize = 60;
/// The ending of a plan that was put away, and how many of those stay.
const AWAY: &str = "away";
const MOST_AWAY: usize = 10;
/// The largest file that is read.
const MOST_BYTES: u64 = 40_000_000;

/// Keeps a plan, unless it is kept already. `Ok(false)` where the name is none of a plan.
///
/// # Errors
/// Where the file cannot be written, or the folder is a link to somewhere else.
pub(super) fn keep(stash: &Path, name: &str, text: &str) -> io::Result<bool> {
    let Some(path) = path(stash, name) else { return Ok(false) };
    let folder = stash.join(FOLDER);
    match fs::symlink_metadata(&folder) {
        Ok(facts) if facts.is_dir() => {}
        Ok(_) => return Err(io::Error::new(io::ErrorKind::InvalidInput, format!("`{FOLDER}` is no folder"))),
        Err(_) => fs::create_dir(&folder)?,
    }
    if fs::symlink_metadata(&path).is_ok() {
        return Ok(true);
    }
    // Written beside its place and then moved there: nobody ever reads half of it.
    let beside = folder.join(format!(".{name}.{}.part", std::process::id()));
    let mut file = fs::File::create(&beside)?;
    let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
    drop(file);
    written.and_then(|()| fs::rename(&beside, &path)).inspect_err(|_| {
        // What was half written is of no use to anyone.
        let _ = fs::remove_file(&beside);
    })?;
    for (old, _) in all(stash).into_iter().skip(MOST) {
        fs::remove_file(folder.join(format!("{old}.json")))?;
    }
    Ok(true)
}

/// The text of a plan that is kept.
pub(super) fn read(stash: &Path, name: &str) -> Option<String> {
    if !fs::symlink_metadata(stash.join(FOLDER)).ok()?.is_dir() {
        return None;
    }
    let path = path(stash, name)?;
    let facts = fs::symlink_metadata(&path).ok()?;
    if facts.is_file() && facts.len() <= MOST_BYTES { fs::read_to_string(&path).ok() } else { None }
}

/// The plans that are kept, the latest first, with when each was.
pub(super) fn all(stash: &Path) -> Vec<(String, SystemTime)> {
    let folder = stash.join(FOLDER);
    if !fs::symlink_metadata(&folder).is_ok_and(|facts| facts.is_dir()) {
        return Vec::new();
    }
    let entries = fs::read_dir(&folder).into_iter().flatten().filter_map(Result::ok);
    let mut all: Vec<(String, SystemTime)> = entries
        .filter_map(|entry| {
            let name = entry.file_name().to_str()?.strip_suffix(".json")?.to_owned();
            path(stash, &name)?;
            let facts = entry.metadata().ok().filter(fs::Metadata::is_file)?;
            Some((name, facts.modified().unwrap_or(SystemTime::UNIX_EPOCH)))
        })
        .collect();
    all.sort_by(|(one, early), (other, late)| (late, other).cmp(&(early, one)));
    all
}

/// Keeps a plan no longer; it can be taken back until [`MOST_AWAY`] others were put away.
///
/// # Errors
/// Where there is no such plan, or its file cannot be moved.
pub(super) fn put_away(stash: &Path, name: &str) -> io::Result<()> {
    let path = path(stash, name).ok_or(io::ErrorKind::NotFound)?;
    let entries = fs::read_dir(stash.join(FOLDER))?.filter_map(Result::ok);
    let mut away: Vec<(SystemTime, PathBuf)> = entries
        .filter(|entry| entry.file_name().to_string_lossy().ends_with(AWAY))
        .filter_map(|entry| Some((entry.metadata().ok()?.modified().ok()?, entry.path())))
        .collect();
    away.sort();
    for (_, old) in away.iter().rev().skip(MOST_AWAY - 1) {
        fs::remove_file(old)?;
    }
    fs::rename(&path, path.with_extension(AWAY))
}

/// Whether a plan of this name was put away and can be taken back.
pub(super) fn is_away(stash: &Path, name: &str) -> bool {
    let away = path(stash, name).map(|path| path.with_extension(AWAY));
    away.is_some_and(|away| fs::symlink_metadata(away).is_ok_and(|facts| facts.is_file()))
}

/// Takes a plan back that was put away. `Ok(false)` where there is none of that name.
///
/// # Errors
/// Where its file cannot be moved.
pub(super) fn take_back(stash: &Path, name: &str) -> io::Result<bool> {
    let free = path(stash, name).filter(|path| fs::symlink_metadata(path).is_err());
    let Some(path) = free.filter(|_| is_away(stash, name)) else { return Ok(false) };
    fs::rename(path.with_extension(AWAY), &path)?;
    Ok(true)
}

/// The file of a plan, if the name is one of a plan: `batch-` and sixteen digits of base sixteen.
fn path(stash: &Path, name: &str) -> Option<PathBuf> {
    let digits = name.strip_prefix("batch-")?;
    let sound = digits.len() == 16 && digits.bytes().all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte));
    sound.then(|| stash.join(FOLDER).join(format!("{name}.json")))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAME: &str = "batch-0123456789abcdef";

    #[test]
    fn a_plan_is_kept_as_it_was_first() {
        let folder = tempfile::tempdir().unwrap();
        assert!(read(folder.path(), NAME).is_none() && all(folder.path()).is_empty());
        assert!(keep(folder.path(), NAME, "one").unwrap());
        assert!(keep(folder.path(), NAME, "other").unwrap());
        assert_eq!(read(folder.path(), NAME).as_deref(), Some("one"));
        assert_eq!(all(folder.path()).len(), 1);
        put_away(folder.path(), NAME).unwrap();
        assert!(all(folder.path()).is_empty() && read(folder.path(), NAME).is_none());
        assert!(put_away(folder.path(), NAME).is_err());
        assert!(take_back(folder.path(), NAME).unwrap() && !take_back(folder.path(), NAME).unwrap());
        assert_eq!(read(folder.path(), NAME).as_deref(), Some("one"));
        for number in 0..30 {
            let name = format!("batch-{number:016x}");
            assert!(keep(folder.path(), &name, "x").unwrap());
            put_away(folder.path(), &name).unwrap();
        }
        assert_eq!(std::fs::read_dir(folder.path().join(FOLDER)).unwrap().count(), 1 + MOST_AWAY);
    }

    #[test]
    fn names_lead_nowhere_else() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["", "batch-", "../x", "batch-0123456789abcde/", "batch-0123456789ABCDEF", "batch-../../0123456789"]
        {
            assert!(!keep(folder.path(), name, "x").unwrap(), "{name}");
            assert!(read(folder.path(), name).is_none(), "{name}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_link_to_another_folder_is_not_followed() {
        let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        std::os::unix::fs::symlink(other.path(), folder.path().join(FOLDER)).unwrap();
        fs::write(other.path().join(format!("{NAME}.json")), "secret").unwrap();
        keep(folder.path(), NAME, "x").unwrap_err();
        assert!(read(folder.path(), NAME).is_none() && all(folder.path()).is_empty());
    }
}
