//! The desk the pages work at: the room as it is now, questions that were asked of it, and which
//! revision of the stash a page has seen.
//!
//! The stash is read anew when one of its files has changed. A question is a room arranged for some
//! choices; the last few are kept, so that a page that comes back is answered at once.

use super::choices::Asking;
use crate::problem::Severity;
use crate::room::{Room, UnknownId};
use crate::score::{Answer, Ask, Suggestion};
use crate::stash::Date;
use crate::swatch::{CACHE_FOLDER, Cache};
use api::units::Unit;
use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError, RwLock};
use std::time::{Duration, Instant, SystemTime};

/// How many questions are kept.
const KEPT_QUESTIONS: usize = 10;
/// How many earlier revisions are remembered, to tell what has changed since.
const KEPT_REVISIONS: usize = 40;
/// How often, at most, the files are looked at.
const LOOK_EVERY: Duration = Duration::from_millis(700);
/// The most files that are looked at.
const MOST_FILES: usize = 20_000;

/// The stash at one moment.
pub(super) struct Now {
    room: Room,
    other: OnceLock<Room>,
    /// What stands for this state: changes with every file of the stash.
    pub(super) revision: String,
}

impl Now {
    /// The room, with lengths shown in a unit.
    pub(super) fn room(&self, unit: Unit) -> &Room {
        if self.room.stash.settings.unit == unit {
            return &self.room;
        }
        self.other.get_or_init(|| {
            let mut room = self.room.again();
            room.stash.settings.unit = unit;
            room
        })
    }

    /// The unit her settings name.
    pub(super) fn unit(&self) -> Unit {
        self.room.stash.settings.unit
    }

    /// How many problems there are that keep something from being used.
    pub(super) fn wrong(&self) -> usize {
        self.room.problems.iter().filter(|problem| problem.severity() == Severity::Wrong).count()
    }
}

/// A room arranged for some choices, and what was found in it so far.
pub(super) struct Question {
    /// The room.
    pub(super) room: Room,
    ask: Ask,
    found: Mutex<Option<(u64, Arc<Answer>)>>,
    /// Every card that was ever shown for it, so that its page is still there when a better one has
    /// taken its place in the list.
    met: Mutex<BTreeMap<String, Suggestion>>,
}

impl Question {
    /// What there is to suggest with so much work; at once where it is known.
    pub(super) fn answer(&self, work: u64) -> Arc<Answer> {
        // One at a time: the second finds what the first one found.
        let mut found = lock(&self.found);
        if let Some((done, answer)) = found.as_ref()
            && (answer.exact || *done >= work)
        {
            return Arc::clone(answer);
        }
        let answer = Arc::new(self.room.suggest(&Ask { work, ..self.ask.clone() }));
        *found = Some((work, Arc::clone(&answer)));
        let mut met = lock(&self.met);
        met.extend(answer.suggestions.iter().map(|found| (found.id.clone(), found.clone())));
        answer
    }

    /// The card with an id, if it is among those found with so much work, or was.
    pub(super) fn card(&self, id: &str, work: u64) -> Option<Suggestion> {
        let known = lock(&self.met).get(id).cloned();
        known.or_else(|| {
            self.answer(work);
            lock(&self.met).get(id).cloned()
        })
    }
}

/// What a line of stock was at some revision, in words.
pub(super) type Snapshot = BTreeMap<String, String>;

/// One line that is not as it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Difference {
    /// The line.
    pub(super) id: String,
    /// What it was; nothing where it is new.
    pub(super) was: Option<String>,
    /// What it is; nothing where it is gone.
    pub(super) is: Option<String>,
}

/// The desk.
pub(super) struct Desk {
    /// The folder of the stash.
    pub(super) folder: PathBuf,
    today: Option<Date>,
    cache: Cache,
    now: RwLock<Arc<Now>>,
    looked: Mutex<Instant>,
    questions: Mutex<VecDeque<(String, Arc<Question>)>>,
    earlier: Mutex<VecDeque<(String, Snapshot)>>,
    units: Mutex<BTreeMap<u64, Unit>>,
    /// Held by whoever changes the stash.
    pen: Mutex<()>,
}

impl Desk {
    /// Opens the stash in a folder.
    pub(super) fn open(room: Room, today: Option<Date>) -> Self {
        let folder = room.stash.folder.clone();
        let cache = Cache::of(&folder);
        let now = Arc::new(Now { revision: revision(&folder), room, other: OnceLock::new() });
        let earlier = VecDeque::from([(now.revision.clone(), snapshot(&now.room))]);
        Self {
            folder,
            today,
            cache,
            now: RwLock::new(now),
            looked: Mutex::new(Instant::now()),
            questions: Mutex::default(),
            earlier: Mutex::new(earlier),
            units: Mutex::default(),
            pen: Mutex::default(),
        }
    }

    /// The stash as it is now.
    pub(super) fn now(&self) -> Arc<Now> {
        let is_time = {
            let mut looked = lock(&self.looked);
            let is_time = looked.elapsed() >= LOOK_EVERY;
            if is_time {
                *looked = Instant::now();
            }
            is_time
        };
        if is_time { self.look() } else { Arc::clone(&self.now.read().unwrap_or_else(PoisonError::into_inner)) }
    }

    /// Looks at the files, and reads them where one has changed.
    pub(super) fn look(&self) -> Arc<Now> {
        let known = Arc::clone(&self.now.read().unwrap_or_else(PoisonError::into_inner));
        let today = self.today.unwrap_or_else(system_day);
        let latest = revision(&self.folder);
        if latest == known.revision && today == known.room.today {
            return known;
        }
        let mut now = self.now.write().unwrap_or_else(PoisonError::into_inner);
        if now.revision == latest && now.room.today == today {
            return Arc::clone(&now);
        }
        let room = Room::open(&self.folder, today, &self.cache, &|_, _| {}).taking_over(&now.room);
        *now = Arc::new(Now { revision: latest.clone(), room, other: OnceLock::new() });
        lock(&self.questions).clear();
        let mut earlier = lock(&self.earlier);
        if earlier.len() >= KEPT_REVISIONS {
            earlier.pop_front();
        }
        earlier.push_back((latest, snapshot(&now.room)));
        Arc::clone(&now)
    }

    /// The room arranged for what is asked.
    pub(super) fn question(&self, asking: &Asking, unit: Unit) -> Result<Arc<Question>, Vec<UnknownId>> {
        let now = self.now();
        let key = format!("{unit:?}&{}&{}", now.revision, asking.query());
        if let Some((_, known)) = lock(&self.questions).iter().find(|(other, _)| *other == key) {
            return Ok(Arc::clone(known));
        }
        let (room, ask) = now.room(unit).again().arranged(&asking.choices)?;
        let question = Arc::new(Question { room, ask, found: Mutex::default(), met: Mutex::default() });
        let mut questions = lock(&self.questions);
        if questions.len() >= KEPT_QUESTIONS {
            questions.pop_front();
        }
        questions.push_back((key, Arc::clone(&question)));
        Ok(question)
    }

    /// The unit a guest wants lengths shown in.
    pub(super) fn unit_of(&self, guest: u64, now: &Now) -> Unit {
        lock(&self.units).get(&guest).copied().unwrap_or_else(|| now.unit())
    }

    /// Notes the unit a guest wants.
    pub(super) fn show_in(&self, guest: u64, unit: Unit) {
        let mut units = lock(&self.units);
        while units.len() >= 1_000 {
            units.pop_first();
        }
        units.insert(guest, unit);
    }

    /// Takes the pen, so that nobody else changes the stash meanwhile.
    pub(super) fn pen(&self) -> MutexGuard<'_, ()> {
        lock(&self.pen)
    }

    /// What has changed since a revision; `None` where it is not remembered any more.
    pub(super) fn since(&self, revision: &str) -> Option<Vec<Difference>> {
        let now = self.look();
        let is = snapshot(&now.room);
        let earlier = lock(&self.earlier);
        let was = &earlier.iter().rev().find(|(known, _)| known == revision)?.1;
        let ids: std::collections::BTreeSet<&String> = was.keys().chain(is.keys()).collect();
        let differ = ids.into_iter().filter(|id| was.get(*id) != is.get(*id));
        Some(
            differ
                .map(|id| Difference { id: id.clone(), was: was.get(id).cloned(), is: is.get(id).cloned() })
                .collect(),
        )
    }

    /// Where small copies of pictures are kept.
    pub(super) fn pictures(&self) -> Cache {
        self.cache.beside("pictures")
    }
}

/// Locks what nobody leaves half changed.
pub(super) fn lock<T>(what: &Mutex<T>) -> MutexGuard<'_, T> {
    what.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The day it is, by UTC.
pub(super) fn system_day() -> Date {
    let seconds = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).map_or(0, |since| since.as_secs());
    Date(i32::try_from(seconds / 86_400).unwrap_or(i32::MAX))
}

fn snapshot(room: &Room) -> Snapshot {
    let copies = |copies| match copies {
        crate::stash::Copies::Exactly(count) => format!("{count} of "),
        crate::stash::Copies::Plenty => String::new(),
    };
    crate::present::lines::stock_lines(room)
        .into_iter()
        .map(|line| {
            let name = &room.index.face(line.front).view.name;
            let size = line.size.exact(room.stash.settings.unit);
            (line.id.to_owned(), format!("{}{name}, {size}", copies(line.copies)))
        })
        .collect()
}

/// What stands for the state of a folder: the names, sizes and times of its files.
fn revision(folder: &Path) -> String {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    let mut take = |bytes: &[u8]| {
        for byte in bytes {
            hash = (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        hash = hash.rotate_left(5);
    };
    let walk = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter();
    let own = walk.filter_entry(|entry| {
        let name = entry.file_name().to_string_lossy();
        entry.depth() == 0
            || !(name == CACHE_FOLDER
                || name.starts_with('.')
                || name == super::ticks::FILE
                || name == super::plans::FOLDER)
    });
    for entry in own.filter_map(Result::ok).filter(|entry| entry.file_type().is_file()).take(MOST_FILES) {
        take(entry.path().as_os_str().as_encoded_bytes());
        if let Ok(facts) = entry.metadata() {
            let changed = facts.modified().ok().and_then(|time| time.duration_since(SystemTime::UNIX_EPOCH).ok());
            take(&facts.len().to_le_bytes());
            take(&changed.map_or(0, |time| time.as_nanos()).to_le_bytes());
        }
    }
    format!("{hash:016x}")
}
