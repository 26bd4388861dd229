//! `build`: one of the suggested cards, by its id, with the steps to build it.

use super::args::{Build, Common};
use super::console::Console;
use super::trouble::Trouble;
use super::{open, suggest};
use crate::assemble::{Bench, Built};
use crate::present::{json, text};
use crate::problem::{nearest, quoted};

/// `build ID`.
pub(super) fn build(console: &Console, common: &Common, asked: &Build) -> Result<(), Trouble> {
    let room = open::with_paper(console, common)?;
    let (room, mut answer) = suggest::answer(console, room, &asked.choose)?;
    let Some(place) = answer.suggestions.iter().position(|found| found.id == asked.id) else {
        let near = nearest(&asked.id, answer.suggestions.iter().map(|found| found.id.as_str()));
        let remedy = match near {
            Some(near) => format!("did you mean {}?", quoted(near)),
            None => "ask with the same options as `suggest`, which prints the id of each card".to_owned(),
        };
        return Err(Trouble::input(format!("none of the cards suggested has the id {}", quoted(&asked.id)), remedy));
    };
    let found = answer.suggestions.swap_remove(place);
    if common.json {
        answer.suggestions = vec![found];
        answer.almost.clear();
        return console.print_data(json::suggestions(&room, &answer).as_bytes());
    }
    let built = Built::new(room.table(), &Bench::new(room.table()).for_copies(answer.copies), &found);
    console.print(&text::build(&room, &found, &built, place + 1, console.look()))
}
