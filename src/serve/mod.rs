//! The pages: the same engine in a browser, on the craft table's tablet, telephone or laptop.
//!
//! A room in; pages and JSON out, by way of the door (`plugins/door`), which keeps out whoever may
//! not come in. What is served is in the program itself: nothing is fetched, and pictures are small
//! copies. It decides nothing about paper: each page asks the room one thing and shows the answer.

mod adding;
mod api;
mod assets;
mod batches;
mod choices;
mod desk;
mod drawing;
mod looking;
mod page;
mod plans;
mod shelf;
mod ticks;
mod view;

#[cfg(test)]
mod tests;

use crate::room::Room;
use crate::stash::Date;
use desk::Desk;
use shelf::Shelf;
use std::sync::Arc;
use swatchfold_door::{Asked, House, Method, Pairing, Refusal, Told};
pub use swatchfold_door::{Bell, Doors, Notice, Trouble, squares};
use ticks::Ticks;
use view::View;

/// The largest form, in bytes.
const MOST_FORM: u64 = 200_000;
/// The largest form with a photograph, in bytes.
const MOST_PHOTOGRAPH: u64 = 40_000_000;

/// The pages of one stash.
pub struct Pages {
    desk: Desk,
    shelf: Shelf,
    ticks: Ticks,
    batches: batches::Batches,
}

impl Pages {
    /// The pages of a room. Where `today` is given, it stays that day.
    #[must_use]
    pub fn new(room: Room, today: Option<Date>) -> Self {
        let desk = Desk::open(room, today);
        Self { ticks: Ticks::open(&desk.folder), shelf: Shelf::default(), batches: batches::Batches::default(), desk }
    }

    /// Asks for cards of everything, and for cards of scraps, so that the judges have seen all papers before
    /// anyone waits for them.
    fn warm_up(&self) {
        for scraps_first in [false, true] {
            let asking = choices::Asking::for_everything(scraps_first);
            if let Ok(question) = self.desk.question(&asking, self.desk.now().unit()) {
                question.answer(view::GLANCE);
            }
        }
    }

    /// Keeps the plan of a batch that is there. `Ok(false)` where there is none of that name.
    fn keep_plan(&self, name: &str) -> std::io::Result<bool> {
        let planned = self.batches.called(name).and_then(|batch| batch.planned()).and_then(Result::ok);
        match planned {
            Some(planned) => plans::keep(&self.desk.folder, name, &planned.text),
            None => Ok(plans::read(&self.desk.folder, name).is_some()),
        }
    }

    /// Ticks or clears one thing; a plan that work is begun on is kept. `Ok(false)` where the name cannot
    /// be one of ours.
    fn set_tick(&self, list: &str, tick: &str, done: bool) -> std::io::Result<bool> {
        if done {
            self.keep_plan(list)?;
        }
        self.ticks.set(list, tick, done)
    }
}

/// Opens the pages of a room until the bell is rung; `told` hears where they are.
///
/// # Errors
/// Where a port cannot be opened, or there is no local network though one is asked for.
pub fn serve(
    pages: Pages,
    doors: Doors,
    bell: &Bell,
    told: impl Fn(Notice) + Send + Sync + 'static,
) -> Result<(), Trouble> {
    let pages = Arc::new(pages);
    let warmed = Arc::clone(&pages);
    // Where there is no thread to be had, the first who asks waits a little longer.
    let _ = std::thread::Builder::new().name("warming up".to_owned()).spawn(move || warmed.warm_up());
    swatchfold_door::serve(pages, doors, bell, Arc::new(told))
}

impl House for Pages {
    fn answer(self: Arc<Self>, asked: Asked) -> Told {
        let parts = asked.parts();
        if asked.method == Method::Look && parts == ["cards", "longer"] {
            return looking::longer(&self, asked);
        }
        if let ["look", name] = parts.as_slice() {
            return assets::asset(name).unwrap_or_else(|| self.refused(&Refusal::NoSuchPage, false));
        }
        if let ["picture", name] = parts.as_slice() {
            return page::picture(&self, name).unwrap_or_else(|| self.refused(&Refusal::NoSuchPage, false));
        }
        let view = View::new(&self, &asked);
        if let ["api", rest @ ..] = parts.as_slice() {
            return api::answer(&view, rest);
        }
        let told = match asked.method {
            Method::Look => page::look(&view, &parts),
            Method::Change => page::change(&view, &parts),
            Method::Remove => None,
        };
        told.unwrap_or_else(|| self.refused(&Refusal::NoSuchPage, false))
    }

    fn most_bytes(&self, path: &[String]) -> u64 {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        match path.as_slice() {
            ["stash", "add"] | ["api", "photograph"] => MOST_PHOTOGRAPH,
            _ => MOST_FORM,
        }
    }

    fn pairing(&self, pairing: &Pairing) -> Told {
        page::pairing(pairing)
    }

    fn refused(&self, refusal: &Refusal, as_data: bool) -> Told {
        if as_data { api::refused(refusal) } else { page::refused(refusal) }
    }

    fn is_open(&self, path: &[String]) -> bool {
        matches!(path, [first, _] if first == "look")
    }
}
