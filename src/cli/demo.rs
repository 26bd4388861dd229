//! `demo`: the stash that comes with the program, unpacked where nothing is yet, and the cards that
//! can be made from it.

use super::args::{Common, Demo};
use super::console::Console;
use super::open;
use super::pictures;
use super::suggest::{answer, print};
use super::trouble::Trouble;
use crate::problem::quoted;
use include_dir::{Dir, include_dir};
use std::fs::DirEntry;
use std::path::{Path, PathBuf};

/// The stash, as it is in the repository.
static STASH: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/demo-data");

/// Where it goes unless she says otherwise.
const FOLDER: &str = "swatchfold-demo";

/// `demo`.
pub(super) fn demo(console: &Console, common: Common, asked: &Demo) -> Result<(), Trouble> {
    let stash = common.stash.clone().unwrap_or_else(|| PathBuf::from(FOLDER));
    let shown = quoted(&stash.display().to_string());
    if is_taken(&stash) {
        console.tell(&format!("{shown} is there already, so nothing is unpacked: it stays as you left it"));
    } else {
        unpack(&stash)?;
        console.tell(&format!("The demo stash is now in {shown}: change it as you like, and run this again"));
    }
    let common = Common { stash: Some(stash.clone()), ..common };
    let room = open::with_paper(console, &common)?;
    let (room, answer) = answer(console, room, &asked.choose)?;
    print(console, &common, &room, &answer)?;
    let out = asked.out.clone().unwrap_or_else(|| stash.join(pictures::FOLDER));
    pictures::draw(console, &room, &answer, "Cards from the demo stash", &out)
}

/// Whether anything is there that must not be written over. What is hidden is nobody's work.
fn is_taken(stash: &Path) -> bool {
    let is_seen = |entry: std::io::Result<DirEntry>| {
        entry.is_ok_and(|entry| !entry.file_name().as_encoded_bytes().starts_with(b"."))
    };
    match std::fs::read_dir(stash) {
        Ok(entries) => entries.into_iter().any(is_seen),
        Err(_) => stash.symlink_metadata().is_ok(),
    }
}

/// Unpacks the stash into a hidden folder within its place, and moves everything up once it is
/// whole, so that a full disk leaves nothing half there.
fn unpack(stash: &Path) -> Result<(), Trouble> {
    let part = stash.join(format!(".{}.part", std::process::id()));
    let unpacked = std::fs::create_dir_all(&part).and_then(|()| STASH.extract(&part)).and_then(|()| {
        for entry in std::fs::read_dir(&part)? {
            let entry = entry?;
            std::fs::rename(entry.path(), stash.join(entry.file_name()))?;
        }
        Ok(())
    });
    // Empty by now, or of no use to anyone.
    let _ = std::fs::remove_dir_all(&part);
    unpacked.map_err(|error| Trouble::writing(stash, &error))
}
