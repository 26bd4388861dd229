//! Writes files whole or not at all: a path and its bytes in.

use super::trouble::Trouble;
use std::ffi::OsString;
use std::path::Path;

/// Writes a file beside its place and then moves it there, so that nobody ever reads half of it.
/// The folders above are made.
pub(super) fn save(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let failed = |error| Trouble::writing(path, &error);
    let folder = path.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder).map_err(failed)?;
    let mut beside = OsString::from(".");
    beside.push(path.file_name().unwrap_or_default());
    beside.push(format!(".{}.part", std::process::id()));
    let beside = folder.join(beside);
    std::fs::write(&beside, bytes).and_then(|()| std::fs::rename(&beside, path)).map_err(|error| {
        // What was half written is of no use to anyone.
        let _ = std::fs::remove_file(&beside);
        failed(error)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_written_whole_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a/b.txt");
        save(&path, b"one").unwrap();
        save(&path, b"two").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(std::fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }

    #[test]
    fn what_cannot_be_written_is_told_and_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let taken = folder.path().join("taken");
        std::fs::create_dir(&taken).unwrap();
        let trouble = save(&taken, b"x").unwrap_err();
        assert_eq!(trouble.code(), 1);
        assert!(trouble.to_string().contains("taken"), "{trouble}");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        assert!(save(&folder.path().join("file/within"), b"x").is_ok());
        assert!(save(&folder.path().join("file/within/deeper"), b"x").is_err());
    }
}
