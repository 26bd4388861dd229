//! *What was recorded*: every entry of the ledger, the latest first, and *take back*; and the small
//! entries a look at the stash leads to: counted anew, a scrap that was kept.

use super::super::view::View;
use super::frame::{self, Area};
use super::trouble;
use crate::ledger::active;
use crate::present::text::entry_in_words;
use crate::record::{self, Desk, Done, Refused};
use crate::stash::paper_backs;
use api::units::{Purpose, Size};
use maud::{Markup, html};
use swatchfold_door::Told;

/// Entries on the page.
const MOST: usize = 200;

/// The page.
pub(super) fn page(view: &View<'_>) -> Told {
    let room = view.room();
    let entries = &room.records.book.entries;
    let holds = active(entries);
    let latest = entries.iter().zip(&holds).rev().find(|(_, holds)| **holds).map(|(entry, _)| entry.number);
    let main = html! {
        header.lead {
            h1 { "What was recorded" }
            @if entries.is_empty() { p { "Nothing yet. A batch that was made is recorded on its own page." } }
        }
        @if let Some(trouble) = &room.records.trouble {
            p.wrong role="alert" { (trouble.message()) ". " (trouble.remedy()) "." }
        }
        ol.entries {
            @for (entry, holds) in entries.iter().zip(&holds).rev().take(MOST) {
                li {
                    span.meta { (entry.number) " · " (entry.day) }
                    span { @if *holds { (entry_in_words(room, entry)) } @else { del { (entry_in_words(room, entry)) } " (taken back)" } }
                    @if *holds { (take_back(view, entry.number, latest == Some(entry.number))) }
                }
            }
        }
    };
    frame::page(view, Area::Stash, "What was recorded", &main)
}

fn take_back(view: &View<'_>, number: u64, is_latest: bool) -> Markup {
    html! {
        form method="post" action="/record/undo" {
            (frame::hidden(view))
            input type="hidden" name="from" value="/record";
            input type="hidden" name="entry" value=(number);
            button.small { @if is_latest { "Take it back" } @else { "Take back" } span.out { " entry " (number) } }
        }
    }
}

/// Does something with the ledger of the stash.
pub(super) fn with_desk<T>(view: &View<'_>, make: impl FnOnce(&Desk<'_>) -> T) -> T {
    let room = view.room();
    let papers = paper_backs(&room.stash);
    make(&Desk {
        folder: &room.stash.folder,
        base: &room.records.base,
        papers: &papers,
        today: room.today,
        who: "swatchfold serve",
    })
}

/// Goes to what was recorded, or says why nothing was.
pub(super) fn told(view: &View<'_>, done: Result<Done, Refused>) -> Told {
    match done {
        Ok(_) => {
            view.pages.desk.look();
            Told::see("/record")
        }
        Err(refused) => trouble::said(
            view,
            400,
            &format!("Nothing was recorded: {}.", refused.message()),
            &format!("{}.", refused.remedy()),
        ),
    }
}

/// Takes an entry back.
pub(super) fn undo(view: &View<'_>) -> Told {
    let _pen = view.pages.desk.pen();
    if let Some(stale) = view.is_stale() {
        return stale;
    }
    let entry = view.asked.field("entry").and_then(|entry| entry.parse().ok());
    told(view, with_desk(view, |desk| record::undo(desk, entry)))
}

/// Counts a line anew.
pub(super) fn recount(view: &View<'_>) -> Told {
    let _pen = view.pages.desk.pen();
    if let Some(stale) = view.is_stale() {
        return stale;
    }
    let id = view.asked.field("id").unwrap_or_default();
    let Some(count) = view.asked.field("count").and_then(|count| count.trim().parse().ok()) else {
        return trouble::said(view, 400, "That is no number of pieces.", "Write a whole number, 0 or more.");
    };
    told(view, with_desk(view, |desk| record::recount(desk, id, count)))
}

/// Puts a size right: the piece as it was listed is gone, and one of the right size is there.
pub(super) fn resize(view: &View<'_>) -> Told {
    let _pen = view.pages.desk.pen();
    if let Some(stale) = view.is_stale() {
        return stale;
    }
    let settings = &view.room().stash.settings;
    let (id, text) = (view.asked.field("id").unwrap_or_default(), view.asked.field("size").unwrap_or_default());
    let size = match Size::read(text, settings.unit, settings.region, Purpose::Sheet) {
        Ok(size) => size,
        Err(why) => {
            return trouble::said(view, 400, &format!("“{text}” is no size: {why}."), &format!("{}.", why.remedy()));
        }
    };
    let Some(line) = view.room().stash.line_called(id).map(|line| view.room().stash.line(line)) else {
        return trouble::said(view, 404, "There is no such piece any more.", "Look at the stash again.");
    };
    let paper = view.room().stash.paper(line.front).id.clone();
    // First what is there, then what is not: were the second refused, nothing would be missing.
    let done = with_desk(view, |desk| record::add_piece(desk, &paper, size).and_then(|_| record::lost(desk, id, 1)));
    told(view, done)
}
