//! Batches being planned, and those that are: each in a thread of its own, one at a time, to be
//! watched and to be stopped.

use super::Pages;
use super::desk::lock;
use crate::batch::{Plan, PlanAsk};
use crate::present::json;
use crate::room::{BatchChoices, NoBatch, Room};
use api::units::Unit;
use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use swatchfold_door::{Kind, Told};

/// How many plans are kept.
const KEPT: usize = 6;
/// How often whoever watches is told.
const TELL_EVERY: Duration = Duration::from_millis(400);
/// The most cards of a batch.
const MOST_CARDS: u32 = 500;
/// Cards where nobody says how many.
const USUAL: u32 = 12;

/// A plan, and what is read of it to record it.
pub(super) struct Planned {
    /// The plan.
    pub(super) plan: Plan,
    /// The same as `plan --json` prints it.
    pub(super) text: String,
}

/// One batch.
pub(super) struct Batch {
    /// Its name in addresses.
    pub(super) name: String,
    /// The room it is planned in.
    pub(super) room: Room,
    /// What was asked.
    pub(super) ask: PlanAsk,
    choices: BatchChoices,
    so_far: AtomicU32,
    stop: AtomicBool,
    planned: Mutex<Option<Arc<Planned>>>,
}

impl Batch {
    /// The plan, once there is one.
    pub(super) fn planned(&self) -> Option<Arc<Planned>> {
        lock(&self.planned).clone()
    }

    /// How many cards are planned so far.
    pub(super) fn so_far(&self) -> u32 {
        self.so_far.load(Ordering::Relaxed)
    }

    /// Ends the planning with what there is.
    pub(super) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    fn run(&self) {
        let stop = || self.stop.load(Ordering::Relaxed);
        let plan = self.room.plan(&self.ask, &stop, &|made| self.so_far.store(made, Ordering::Relaxed));
        let text = json::plan(&self.room, &self.choices, &self.ask, &plan);
        *lock(&self.planned) = Some(Arc::new(Planned { plan, text }));
    }
}

/// All of them.
#[derive(Default)]
pub(super) struct Batches {
    all: Mutex<VecDeque<Arc<Batch>>>,
    /// Held by the one that is being planned.
    at_work: Arc<Mutex<()>>,
}

/// What is asked of a batch, from the pairs of a query; `None` where nothing is asked yet.
pub(super) fn asked(query: &[(String, String)]) -> Result<Option<BatchChoices>, String> {
    let value = |name: &str| query.iter().find(|(key, _)| key == name).map(|(_, value)| value.trim());
    let all = |name: &str| -> Vec<String> {
        let own = query.iter().filter(|(key, value)| key == name && !value.trim().is_empty());
        own.map(|(_, value)| value.trim().to_owned()).take(40).collect()
    };
    let number = |name: &str, most: u32| match value(name).filter(|text| !text.is_empty()) {
        None => Ok(None),
        Some(text) => match text.parse::<u32>() {
            Ok(number) if (1..=most).contains(&number) => Ok(Some(number)),
            _ => Err(format!("“{text}” is no number from 1 to {most}")),
        },
    };
    if value("plan").is_none() {
        return Ok(None);
    }
    let cards = if value("all").is_some() { None } else { Some(number("cards", MOST_CARDS)?.unwrap_or(USUAL)) };
    let each = match (number("least", 100)?, number("most", 100)?) {
        (None, None) => None,
        (least, most) => {
            let least = least.unwrap_or(1);
            let most = most.unwrap_or(least.max(4));
            if least > most {
                return Err(format!("“{least} to {most}” of each is the wrong way round"));
            }
            Some((least, most))
        }
    };
    Ok(Some(BatchChoices {
        cards,
        each,
        designs: number("designs", 100)?,
        must_use: all("use"),
        spare: all("without"),
        occasion: value("occasion").filter(|text| !text.is_empty()).map(str::to_owned),
        work: None,
    }))
}

impl Batches {
    /// The batch that is asked for: the one that is there, or a new one that is begun.
    pub(super) fn batch(&self, pages: &Pages, choices: &BatchChoices, unit: Unit) -> Result<Arc<Batch>, NoBatch> {
        let now = pages.desk.now();
        let key = format!("{unit:?} {} {choices:?}", now.revision);
        let hash = key
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
        let name = format!("batch-{hash:016x}");
        if let Some(known) = self.called(&name) {
            return Ok(known);
        }
        let (room, ask) = now.room(unit).again().arranged_for_batch(choices)?;
        let batch = Arc::new(Batch {
            name,
            room,
            ask,
            choices: choices.clone(),
            so_far: AtomicU32::new(0),
            stop: AtomicBool::new(false),
            planned: Mutex::default(),
        });
        let mut all = lock(&self.all);
        if let Some(known) = all.iter().find(|known| known.name == batch.name) {
            return Ok(Arc::clone(known));
        }
        if all.len() >= KEPT
            && let Some(oldest) = all.pop_front()
        {
            oldest.stop();
        }
        all.push_back(Arc::clone(&batch));
        drop(all);
        let (at_work, own) = (Arc::clone(&self.at_work), Arc::clone(&batch));
        let begun = std::thread::Builder::new().name("planning a batch".to_owned()).spawn(move || {
            let _one_at_a_time = lock(&at_work);
            own.run();
        });
        if begun.is_err() {
            // Without a thread of its own it is planned here and now.
            batch.run();
        }
        Ok(batch)
    }

    /// The batch with a name.
    pub(super) fn called(&self, name: &str) -> Option<Arc<Batch>> {
        lock(&self.all).iter().find(|batch| batch.name == name).cloned()
    }
}

/// Tells how far a batch is, until it is planned or nobody listens.
pub(super) fn watch(batch: Arc<Batch>) -> Told {
    let (teller, told) = Told::events();
    let begun = std::thread::Builder::new().name("telling of a batch".to_owned()).spawn(move || {
        while batch.planned().is_none() {
            let so_far = match batch.so_far() {
                0 => "Looking at what the papers give.".to_owned(),
                1 => "1 card planned so far.".to_owned(),
                cards => format!("{cards} cards planned so far."),
            };
            if !teller.tell("far", &so_far) {
                return;
            }
            std::thread::sleep(TELL_EVERY);
        }
        teller.tell("planned", "The batch is planned.");
    });
    match begun {
        Ok(_) => told,
        Err(_) => Told::new(503, Kind::Text, "there is no room to watch just now"),
    }
}
