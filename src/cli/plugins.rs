//! `plugins`: the judges, or one of them tried on two papers.

use super::args::{Common, PluginAction, Plugins};
use super::console::Console;
use super::open;
use super::trouble::Trouble;
use crate::present::{json, text};

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
        // A script that cannot be read has no name yet: what is wrong with it is the likelier reason.
        for problem in room.problems.iter().filter(|problem| problem.place.file.starts_with("plugins")) {
            console.tell(&format!("{problem}\n"));
        }
        Trouble::unknown(&unknown)
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
