//! Step 8, *present*: answers in; pictures, pages, text and JSON out.
//!
//! It reads values and decides nothing: every number and choice it shows was made by an earlier step.

pub mod booklet;
pub mod dots;
mod finish;
pub mod json;
pub mod lettering;
pub mod lines;
mod mats;
mod motif;
pub mod notes;
pub mod outline;
pub mod page;
pub mod pictures;
pub mod report;
pub mod scanned;
pub mod sizes;
mod stand_in;
mod surface;
pub mod svg;
pub mod text;
pub mod words;
mod xml;

pub use crate::assemble::pieces;
pub use mats::mats_page;
pub use pictures::Pictures;
pub use stand_in::StandIn;
pub use xml::Defs;

use crate::assemble::{Bench, Built};
use crate::room::Room;
use crate::score::{Answer, Table};
use crate::stash::Stash;
use crate::swatch::Cache;

/// What every drawing is looked up in.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The stash: its papers' pictures, its sentiments.
    pub stash: &'a Stash,
    /// What the answer was found in.
    pub table: Table<'a>,
    /// Small copies of the pictures.
    pub pictures: &'a Pictures,
}

/// The card at a place in an answer as an SVG file at true size; `None` where the list is shorter.
///
/// Reads the pictures of its papers; small copies are kept in the stash's cache folder.
#[must_use]
pub fn card_svg(room: &Room, answer: &Answer, place: usize) -> Option<String> {
    let found = answer.suggestions.get(place)?;
    let pictures = Pictures::of(&room.stash, room.table(), std::slice::from_ref(found), &cache(room));
    let built = Built::new(room.table(), &Bench::new(room.table()).for_copies(answer.copies), found);
    let scene = Scene { stash: &room.stash, table: room.table(), pictures: &pictures };
    Some(svg::standalone(&scene, found, built.dots.as_ref()))
}

/// Every card of an answer and what is almost possible, as one HTML file that opens without a network.
///
/// Reads the pictures of the papers; small copies are kept in the stash's cache folder.
#[must_use]
pub fn contact_sheet(room: &Room, answer: &Answer, heading: &str) -> String {
    let pictures = Pictures::of(&room.stash, room.table(), &answer.suggestions, &cache(room));
    page::contact_sheet(room, answer, &pictures, heading)
}

fn cache(room: &Room) -> Cache {
    Cache::of(&room.stash.folder)
}

/// A clause with a capital at its beginning and a full stop at its end.
fn sentence(clause: &str) -> String {
    let mut out = capital(clause);
    if !out.is_empty() && !out.ends_with(['.', '!', '?', '…']) {
        out.push('.');
    }
    out
}

/// A text with a capital at its beginning.
fn capital(text: &str) -> String {
    let mut letters = text.trim().chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
