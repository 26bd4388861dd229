//! The demo stash as the program unpacks it, once for all tests: its pictures are looked at only
//! once, and the copies that tests work on have what was found.

use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;
use tempfile::TempDir;

/// The name of the folder that `demo` makes.
pub(crate) const FOLDER: &str = "swatchfold-demo";

static UNPACKED: OnceLock<TempDir> = OnceLock::new();

/// A folder in which `demo` has been run with so little work that it found nothing.
pub(crate) fn unpacked() -> &'static Path {
    let folder = UNPACKED.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a folder of its own");
        let mut program = Command::new(env!("CARGO_BIN_EXE_swatchfold"));
        let output =
            program.args(["demo", "--work", "1"]).current_dir(folder.path()).output().expect("the program starts");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        folder
    });
    folder.path()
}

/// Puts a copy of the unpacked demo stash into a folder.
pub(crate) fn copy_into(folder: &Path) {
    let from = unpacked();
    for entry in walkdir::WalkDir::new(from) {
        let entry = entry.expect("its entries can be read");
        let to = folder.join(entry.path().strip_prefix(from).expect("it is beneath"));
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(to).expect("a folder can be made");
        } else {
            std::fs::copy(entry.path(), to).expect("a file can be copied");
        }
    }
}
