//! Opens a room for a command: the common arguments in, the room out, and a word on stderr where
//! the stash has problems.

use super::args::Common;
use super::console::Console;
use super::progress::Progress;
use super::trouble::Trouble;
use crate::present::text::problem_count;
use crate::problem::{Severity, quoted};
use crate::room::Room;
use crate::stash::Date;
use crate::swatch::Cache;
use std::path::Path;
use std::time::SystemTime;

/// Seconds in a day.
const DAY: u64 = 86_400;

/// The room as it is, whatever is wrong with it.
pub(super) fn as_it_is(common: &Common) -> Result<Room, Trouble> {
    as_it_was(common, None)
}

/// The room as it was at the end of a day, if one is given.
fn as_it_was(common: &Common, until: Option<Date>) -> Result<Room, Trouble> {
    let folder = common.stash.as_deref().unwrap_or(Path::new("."));
    let today = today(common.today.as_deref())?;
    let progress = Progress::begin("looking at the pictures");
    let mut room = Room::open_on(folder, today, until, &Cache::of(folder), &|done, of| progress.at(done, of));
    drop(progress);
    if let Some(unit) = common.unit {
        room.stash.settings.unit = unit.unit();
    }
    Ok(room)
}

/// The room, if the folder can be read at all. Says how many problems there are.
pub(super) fn readable(console: &Console, common: &Common) -> Result<Room, Trouble> {
    let room = as_it_is(common)?;
    if !room.stash.folder.is_dir() {
        return Err(all_told(console, &room));
    }
    with_ledger(&room)?;
    if let Some(problems) = problem_count(&room.problems) {
        console.tell(&format!("{problems} in this stash: `swatchfold check` tells where and what to do"));
    }
    Ok(room)
}

/// The room, if there is anything in it to make cards from.
pub(super) fn with_paper(console: &Console, common: &Common) -> Result<Room, Trouble> {
    with_paper_on(console, common, None)
}

/// A stash whose ledger cannot be read cannot say what is on hand.
fn with_ledger(room: &Room) -> Result<(), Trouble> {
    match &room.records.trouble {
        None => Ok(()),
        Some(trouble) => Err(Trouble::input(trouble.message(), trouble.remedy())),
    }
}

/// As [`with_paper`], as it was at the end of a day, if one is given.
pub(super) fn with_paper_on(console: &Console, common: &Common, until: Option<Date>) -> Result<Room, Trouble> {
    let room = as_it_was(common, until)?;
    with_ledger(&room)?;
    if room.stash.lines.is_empty() {
        let told = all_told(console, &room);
        if room.problems.iter().any(|problem| problem.severity() == Severity::Wrong) {
            return Err(told);
        }
        return Err(Trouble::input(
            format!("there is no paper to use in {}", quoted(&room.stash.folder.display().to_string())),
            "`swatchfold start` begins a stash, and `--stash DIR` names the folder of one",
        ));
    }
    if let Some(problems) = problem_count(&room.problems) {
        console.tell(&format!("{problems} in this stash: `swatchfold check` tells where and what to do"));
    }
    Ok(room)
}

/// Tells of every script that was left out because it failed.
pub(super) fn tell_failures(console: &Console, room: &Room) {
    for problem in room.scripts.failures() {
        console.tell(&problem.to_string());
    }
}

/// Tells every problem in full.
fn all_told(console: &Console, room: &Room) -> Trouble {
    for problem in &room.problems {
        console.tell(&format!("{problem}\n"));
    }
    Trouble::Told
}

/// The day given, or the system's, by UTC.
fn today(given: Option<&str>) -> Result<Date, Trouble> {
    let Some(text) = given else {
        let seconds = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).map_or(0, |since| since.as_secs());
        return Ok(Date(i32::try_from(seconds / DAY).unwrap_or(i32::MAX)));
    };
    day("--today", text)
}

/// A day given after an option.
pub(super) fn day(option: &str, text: &str) -> Result<Date, Trouble> {
    Date::parse(text).ok_or_else(|| {
        Trouble::input(
            format!("{} is not a day for `{option}`", quoted(text)),
            "write year, month and day: `2026-03-01`",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_as_given_or_else_the_systems() {
        assert_eq!(today(Some("1970-01-31")).unwrap(), Date(30));
        assert_eq!(today(Some("yesterday")).unwrap_err().code(), 2);
        assert!(today(None).unwrap() > Date::from_ymd(2026, 1, 1).unwrap());
    }
}
