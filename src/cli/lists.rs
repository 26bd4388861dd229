//! `check`, `stock`, `mats` and `layouts`: each opens the room and prints one list.

use super::args::{Common, Layouts, Mats, Stock};
use super::console::Console;
use super::open;
use super::save::save;
use super::trouble::Trouble;
use crate::present::{json, mats_page, text};
use crate::problem::{Severity, quoted};
use crate::stash::built_in_layout_files;
use std::path::Path;

/// `check`.
pub(super) fn check(console: &Console, common: &Common) -> Result<(), Trouble> {
    let mut room = open::as_it_is(common)?;
    room.ask_scripts();
    if common.json {
        console.print_data(json::check(&room).as_bytes())?;
    } else {
        console.print(&text::check(&room))?;
    }
    let is_wrong = room.problems.iter().any(|problem| problem.severity() == Severity::Wrong);
    if is_wrong { Err(Trouble::Told) } else { Ok(()) }
}

/// `stock`.
pub(super) fn stock(console: &Console, common: &Common, asked: &Stock) -> Result<(), Trouble> {
    let until = asked.on.as_deref().map(|text| open::day("--on", text)).transpose()?;
    let room = open::with_paper_on(console, common, until)?;
    if common.json {
        console.print_data(json::stock(&room).as_bytes())
    } else {
        console.print(&text::stock(&room, console.look()))
    }
}

/// `mats PAPER`.
pub(super) fn mats(console: &Console, common: &Common, asked: &Mats) -> Result<(), Trouble> {
    let room = open::with_paper(console, common)?;
    let (wanted, mut mats) = room
        .mats_for(&asked.paper, asked.beneath.as_deref(), asked.double)
        .map_err(|unknown| Trouble::unknown(&unknown))?;
    open::tell_failures(console, &room);
    mats.mats.truncate(asked.list.map_or(usize::MAX, |list| list as usize));
    if common.json {
        console.print_data(json::mats(&room, wanted, &mats).as_bytes())?;
    } else {
        console.print(&text::mats(&room, wanted, &mats, console.look()))?;
    }
    let Some(folder) = &asked.out else { return Ok(()) };
    let page = folder.join("mats.html");
    save(&page, mats_page(&room, wanted, &mats).as_bytes())?;
    console.tell(&format!("The mats as pictures, to open in a browser: {}", quoted(&page.display().to_string())));
    Ok(())
}

/// `layouts`.
pub(super) fn layouts(console: &Console, common: &Common, asked: &Layouts) -> Result<(), Trouble> {
    if asked.copy {
        copy_layouts(console, common)?;
    }
    let room = open::readable(console, common)?;
    if common.json {
        console.print_data(json::layouts(&room).as_bytes())
    } else {
        console.print(&text::layouts(&room, console.look()))
    }
}

/// Writes the built-in layouts into the stash, except those that are there already.
fn copy_layouts(console: &Console, common: &Common) -> Result<(), Trouble> {
    let stash = common.stash.as_deref().unwrap_or(Path::new("."));
    if !stash.is_dir() {
        let what = format!("there is no folder {}", quoted(&stash.display().to_string()));
        return Err(Trouble::input(what, "name the folder of your stash after `--stash`"));
    }
    let folder = stash.join("layouts");
    for (name, text) in built_in_layout_files() {
        let path = folder.join(name);
        if path.exists() {
            console.tell(&format!("{} is there already and stays as it is", quoted(&path.display().to_string())));
        } else {
            save(&path, text.as_bytes())?;
            console.tell(&format!("written: {}", quoted(&path.display().to_string())));
        }
    }
    Ok(())
}
