//! Draws an answer into a folder: a picture of each card, and a contact sheet of them all.

use super::console::Console;
use super::progress::Progress;
use super::save::save;
use super::trouble::Trouble;
use crate::present::{card_svg, contact_sheet};
use crate::problem::quoted;
use crate::room::Room;
use crate::score::Answer;
use std::path::Path;

/// Where the pictures go within a stash, unless she says otherwise.
pub(super) const FOLDER: &str = "cards";

/// Writes `contact-sheet.html` and `card-01.svg` and so on into a folder, and says where. Those of an
/// earlier run are written over; nothing is ever taken away, but what is left of them is named.
pub(super) fn draw(
    console: &Console,
    room: &Room,
    answer: &Answer,
    heading: &str,
    folder: &Path,
) -> Result<(), Trouble> {
    let progress = Progress::begin("drawing the cards");
    let cards = answer.suggestions.len();
    for place in 0..cards {
        progress.at(place, cards);
        if let Some(picture) = card_svg(room, answer, place) {
            save(&folder.join(name(place)), picture.as_bytes())?;
        }
    }
    let sheet = folder.join("contact-sheet.html");
    save(&sheet, contact_sheet(room, answer, heading).as_bytes())?;
    drop(progress);
    console.tell(&format!("The cards as pictures, to open in a browser: {}", quoted(&sheet.display().to_string())));
    let old = (cards..).take_while(|place| folder.join(name(*place)).exists()).last();
    match old {
        None => {}
        Some(last) if last == cards => console.tell(&format!("{} is of an earlier run.", quoted(&name(last)))),
        Some(last) => {
            let (first, last) = (quoted(&name(cards)), quoted(&name(last)));
            console.tell(&format!("{first} to {last} are of an earlier run."));
        }
    }
    Ok(())
}

/// What the picture of one card is called.
fn name(place: usize) -> String {
    format!("card-{:02}.svg", place + 1)
}
