//! `plugins`: the judges, or one of them tried on two papers.

use super::args::{Common, PluginAction, Plugins};
use super::console::Console;
use super::open;
use super::trouble::Trouble;
use crate::present::{json, text};
use crate::problem::{Problem, quoted};
use std::path::Path;

/// `plugins` and `plugins try`.
pub(super) fn plugins(console: &Console, common: &Common, asked: &Plugins) -> Result<(), Trouble> {
    let mut room = open::readable(console, common)?;
    let Some(PluginAction::Try { name, paper, cardstock }) = &asked.action else {
        room.ask_scripts();
        return if common.json {
            console.print_data(json::plugins(&room).as_bytes())
        } else {
            console.print(&text::plugins(&room, console.look()))
        };
    };
    let tried = room.try_out(name, paper, cardstock).map_err(|unknown| {
        // A script that cannot be read has no name but that of its file: what is wrong with it is the reason.
        let is_meant = |problem: &&Problem| {
            let file = Path::new(&problem.place.file);
            file.starts_with("plugins") && file.file_stem().is_some_and(|stem| stem == name.as_str())
        };
        let mut told = room.problems.iter().filter(is_meant).peekable();
        if told.peek().is_some() {
            told.for_each(|problem| console.tell(&format!("{problem}\n")));
            return Trouble::Told;
        }
        match unknown.as_slice() {
            [one] if one.id == *name && one.nearest.is_none() => Trouble::input(
                format!("there is no judge {}", quoted(name)),
                "`swatchfold plugins` lists the judges there are, and `swatchfold check` the scripts that cannot be read",
            ),
            _ => Trouble::unknown(&unknown),
        }
    })?;
    if common.json {
        console.print_data(json::tried(&room, &tried).as_bytes())?;
    } else {
        console.print(&text::tried(&room, &tried, console.look()))?;
    }
    match &tried.trial.failure {
        None => Ok(()),
        Some(problem) => {
            console.tell(&problem.to_string());
            Err(Trouble::Told)
        }
    }
}
