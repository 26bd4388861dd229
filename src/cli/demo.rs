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
        console.tell(&format!("The demo stash is in {shown} already, and stays as you left it"));
    } else {
        unpack(&stash)?;
        console.tell(&format!("The demo stash is now in {shown}: change it as you like, and run this again"));
    }
    let common = Common { stash: Some(stash.clone()), ..common };
    let room = open::with_paper(console, &common)?;
    let (room, answer) = answer(room, &asked.choose)?;
    print(console, &common, &room, &answer)?;
    let out = asked.out.clone().unwrap_or_else(|| stash.join(pictures::FOLDER));
    pictures::draw(console, &room, &answer, "Cards from the demo stash", &out)
}

/// Whether anything is there that must not be written over.
fn is_taken(stash: &Path) -> bool {
    match std::fs::read_dir(stash) {
        Ok(mut entries) => entries.next().is_some(),
        Err(_) => stash.symlink_metadata().is_ok(),
    }
}

/// Unpacks the stash beside its place and then moves it there, so that it is never half there.
fn unpack(stash: &Path) -> Result<(), Trouble> {
    let failed = |error| Trouble::writing(stash, &error);
    let name = stash.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let above = stash.parent().filter(|above| !above.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = above.join(format!(".{name}.{}.part", std::process::id()));
    std::fs::create_dir_all(&beside)
        .and_then(|()| STASH.extract(&beside))
        .and_then(|()| if stash.is_dir() { std::fs::remove_dir(stash) } else { Ok(()) })
        .and_then(|()| std::fs::rename(&beside, stash))
        .map_err(|error| {
            // What was half unpacked is of no use to anyone.
            let _ = std::fs::remove_dir_all(&beside);
            failed(error)
        })
}
