//! Looking longer: what takes more than a moment runs in a thread of its own, and tells the browser
//! how far it is and what it has found, until it is done or nobody listens.

use super::choices::Asking;
use super::view::{GLANCE, LOOKS, View};
use super::{Pages, page};
use crate::score::Answer;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use swatchfold_door::{Asked, Kind, Teller, Told};

/// Looks that go on at a time; whoever comes later keeps what was found at a glance.
const MOST_AT_A_TIME: usize = 3;

static AT_WORK: AtomicUsize = AtomicUsize::new(0);

/// Counts itself while it is there.
struct Place;

impl Place {
    fn take() -> Option<Self> {
        let taken = AT_WORK.fetch_add(1, Ordering::Relaxed);
        let place = Self;
        // Dropped again where there is no room.
        (taken < MOST_AT_A_TIME).then_some(place)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        AT_WORK.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Looks longer and longer, and tells the cards whenever they have changed.
pub(super) fn longer(pages: &Arc<Pages>, asked: Asked) -> Told {
    let asking = match View::new(pages, &asked).asking() {
        Ok(asking) => asking,
        Err(unclear) => return Told::new(400, Kind::Text, unclear.what),
    };
    let (teller, told) = Told::events();
    let pages = Arc::clone(pages);
    let run = std::thread::Builder::new().name("looking for cards".to_owned());
    let begun = run.spawn(move || {
        let Some(_place) = Place::take() else {
            teller.tell("done", "Others are looking just now. Load the page again to look further.");
            return;
        };
        look(&View::new(&pages, &asked), &asking, &teller);
    });
    match begun {
        Ok(_) => told,
        Err(_) => Told::new(503, Kind::Text, "there is no room to look further just now"),
    }
}

fn look(view: &View<'_>, asking: &Asking, teller: &Teller) {
    let Ok(question) = view.question(asking) else {
        teller.tell("done", "Something asked for is not there any more.");
        return;
    };
    let mut answer = question.answer(GLANCE);
    let mut shown = ids(&answer);
    for (place, work) in LOOKS.into_iter().enumerate() {
        let far = format!("Looking further, {} of {}.", place + 1, LOOKS.len());
        if answer.exact || !teller.tell("far", &far) {
            break;
        }
        answer = question.answer(work);
        let found = ids(&answer);
        if found != shown || answer.exact {
            teller.tell("cards", &page::card_list(view, &question.room, &answer, asking));
            shown = found;
        }
    }
    teller.tell("done", page::proof(&answer));
}

fn ids(answer: &Answer) -> Vec<String> {
    answer.suggestions.iter().map(|found| found.id.clone()).collect()
}
