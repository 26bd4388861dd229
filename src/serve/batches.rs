//! Batches being planned, and those that are: each in a thread of its own, one at a time, to be
//! watched and to be stopped.

use super::Pages;
use super::desk::lock;
use crate::batch::{Far, Plan, PlanAsk};
use crate::present::json;
use crate::room::{BatchChoices, NoBatch, Room, UnknownId};
use api::units::Unit;
use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
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
    /// What was asked in the last round.
    pub(super) ask: PlanAsk,
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
    far: Mutex<Far>,
    stop: AtomicBool,
    planned: Mutex<Option<Outcome>>,
}

/// What came of the planning; ids that should be settled but are in no plan any more are an error.
pub(super) type Outcome = Result<Arc<Planned>, Vec<UnknownId>>;

impl Batch {
    /// The plan, once there is one, or why there can be none.
    pub(super) fn planned(&self) -> Option<Outcome> {
        lock(&self.planned).clone()
    }

    /// How far the planning is, in words: what is made, and what could be made at most.
    pub(super) fn far(&self) -> String {
        let Far { made, at_most } = *lock(&self.far);
        let so_far = match made {
            0 => return "Looking at what the papers give.".to_owned(),
            1 => "1 card planned so far".to_owned(),
            cards => format!("{cards} cards planned so far"),
        };
        if at_most >= u64::from(u32::MAX) {
            format!("{so_far}.")
        } else {
            format!("{so_far}; no plan from this stash makes more than {at_most}.")
        }
    }

    /// Ends the planning with what there is.
    pub(super) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    fn run(&self) {
        let stop = || self.stop.load(Ordering::Relaxed);
        let told = |far: Far| *lock(&self.far) = far;
        let planned = self.room.plan(&self.ask, &self.choices.rounds, &stop, &told).map(|(ask, plan)| {
            let text = json::plan(&self.room, &self.choices, &ask, &plan);
            Arc::new(Planned { ask, plan, text })
        });
        *lock(&self.planned) = Some(planned);
    }
}

/// All of them.
#[derive(Default)]
pub(super) struct Batches {
    all: Mutex<VecDeque<Arc<Batch>>>,
    /// Held by the one that is being planned.
    at_work: Arc<Mutex<()>>,
}

/// What stands where nothing of a plan is settled, since an empty field is not sent.
pub(super) const NOTHING: &str = "none";
/// The most rounds of planning again.
const MOST_ROUNDS: usize = 8;

/// What is settled, round by round, each field the ids with commas between.
fn rounds(query: &[(String, String)]) -> Vec<Vec<String>> {
    let fields = query.iter().filter(|(key, _)| key == "settled").take(MOST_ROUNDS);
    let ids = |(_, text): &(String, String)| {
        let ids = text.split(',').map(str::trim).filter(|id| !id.is_empty() && *id != NOTHING);
        ids.map(str::to_owned).collect()
    };
    fields.map(ids).collect()
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
        rounds: rounds(query),
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
            far: Mutex::new(Far { made: 0, at_most: u64::MAX }),
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
            if !teller.tell("far", &batch.far()) {
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
