//! `suggest`: what was chosen on the command line in, the list out.

use super::args::{Choose, Common, Suggest};
use super::console::Console;
use super::progress::Progress;
use super::trouble::Trouble;
use super::{open, pictures};
use crate::present::{json, text};
use crate::problem::quoted;
use crate::room::{Choices, Room};
use crate::score::Answer;
use crate::stash::Settings;
use api::units::{Purpose, Size};

/// `suggest`.
pub(super) fn suggest(console: &Console, common: &Common, asked: &Suggest) -> Result<(), Trouble> {
    let room = open::with_paper(console, common)?;
    let (room, answer) = answer(console, room, &asked.choose)?;
    print(console, common, &room, &answer)?;
    match &asked.out {
        Some(folder) => pictures::draw(console, &room, &answer, "Cards from your stash", folder),
        None => {
            if console.is_watched() && !common.json {
                console.tell("To see them as pictures, add `--out cards`");
            }
            Ok(())
        }
    }
}

/// Asks a room for what was chosen.
pub(super) fn answer(console: &Console, room: Room, choose: &Choose) -> Result<(Room, Answer), Trouble> {
    let choices = choices(choose, &room.stash.settings)?;
    let (room, ask) = room.arranged(&choices).map_err(|unknown| Trouble::unknown(&unknown))?;
    let progress = Progress::begin("looking for the best cards");
    let answer = room.suggest_telling(&ask, &|work| progress.spent(work, ask.work));
    drop(progress);
    open::tell_failures(console, &room);
    Ok((room, answer))
}

/// Prints an answer.
pub(super) fn print(console: &Console, common: &Common, room: &Room, answer: &Answer) -> Result<(), Trouble> {
    if common.json {
        console.print_data(json::suggestions(room, answer).as_bytes())
    } else {
        console.print(&text::suggestions(room, answer, console.look()))
    }
}

fn choices(choose: &Choose, settings: &Settings) -> Result<Choices, Trouble> {
    let cards: Result<Vec<Size>, Trouble> =
        choose.card.iter().map(|text| size("--card", text, settings, Purpose::Card)).collect();
    not_both("--without", &choose.must_use, &choose.without)?;
    Ok(Choices {
        must_use: choose.must_use.clone(),
        leave_out: choose.without.clone(),
        cards: cards?,
        layouts: choose.layout.clone(),
        copies: choose.each,
        list: choose.list.map(|list| list as usize),
        per_layout: choose.per_layout.map(|most| most as usize),
        scraps_first: choose.scraps_first,
        work: choose.work,
    })
}

/// That nothing is asked for and left out at once.
pub(super) fn not_both(out: &str, must_use: &[String], leave_out: &[String]) -> Result<(), Trouble> {
    match must_use.iter().find(|id| leave_out.contains(id)) {
        None => Ok(()),
        Some(id) => Err(Trouble::input(
            format!("{} is both asked for and left out", quoted(id)),
            format!("name it after `--use` or after `{out}`, not after both"),
        )),
    }
}

/// A size given after an option, by its sides or by its name.
pub(super) fn size(option: &str, text: &str, settings: &Settings, purpose: Purpose) -> Result<Size, Trouble> {
    Size::read(text, settings.unit, settings.region, purpose)
        .map_err(|why| Trouble::input(format!("{option} {}: {why}", quoted(text)), why.remedy()))
}
