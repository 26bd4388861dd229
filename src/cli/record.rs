//! `add`, `used`, `lost`, `found`, `recount`, `given`, `undo` and `history`: each records one entry,
//! or lists them.

use super::args::{Add, Common, Count, Given, Undo, Used};
use super::console::Console;
use super::open;
use super::suggest::size;
use super::trouble::Trouble;
use crate::ledger::{Kind, NewPaper};
use crate::present::{json, text};
use crate::problem::quoted;
use crate::record::{self, Bought, Desk, Done, Left, Refused};
use crate::room::Room;
use api::units::{Purpose, Size};

/// What is recorded of one line.
#[derive(Clone, Copy)]
pub(super) enum Plain {
    /// Gone.
    Lost,
    /// Turned up.
    Found,
    /// Counted.
    Recount,
}

impl From<Refused> for Trouble {
    fn from(refused: Refused) -> Self {
        Self::input(refused.message(), refused.remedy())
    }
}

/// A room whose ledger can be written, and the papers it knows.
pub(super) struct Opened {
    pub(super) room: Room,
    papers: Vec<(String, Option<String>)>,
}

impl Opened {
    /// Opens the room of a command.
    pub(super) fn new(console: &Console, common: &Common) -> Result<Self, Trouble> {
        let room = open::readable(console, common)?;
        let papers = crate::stash::paper_backs(&room.stash);
        Ok(Self { room, papers })
    }

    /// Where entries go.
    pub(super) fn desk(&self, who: &'static str) -> Desk<'_> {
        Desk {
            folder: &self.room.stash.folder,
            base: &self.room.records.base,
            papers: &self.papers,
            today: self.room.today,
            who,
        }
    }
}

/// `add`.
pub(super) fn add(console: &Console, common: &Common, asked: &Add) -> Result<(), Trouble> {
    let opened = Opened::new(console, common)?;
    let settings = &opened.room.stash.settings;
    let count = asked.count.unwrap_or(1);
    let desk = opened.desk("swatchfold add");
    let done = match (&asked.size, &asked.colour) {
        (None, None) => record::add_more(&desk, &asked.id, count)?,
        (None, Some(_)) => {
            return Err(Trouble::input("a new paper needs a size", "give it with `--size \"8 1/2 x 11 in\"`"));
        }
        (Some(text), colour) => {
            let size = size("--size", text, settings, Purpose::Sheet)?;
            let new_paper = colour.as_ref().map(|colour| new_paper(asked, colour)).transpose()?;
            let kind = match asked.kind.as_deref() {
                Some("sheet") => Kind::Sheet,
                Some("card-base") => Kind::CardBase,
                Some("scrap") => Kind::Scrap,
                _ if new_paper.is_some() => Kind::Sheet,
                _ => Kind::Scrap,
            };
            let id = match &new_paper {
                Some(paper) => Some(paper.id.clone()),
                None => asked.as_id.clone(),
            };
            record::add(&desk, &Bought { paper: asked.id.clone(), new_paper, kind, size, count, id })?
        }
    };
    told(console, common, &opened.room, &done)
}

fn new_paper(asked: &Add, colour: &str) -> Result<NewPaper, Trouble> {
    let wrong = || {
        Trouble::input(
            format!("--colour {} is no colour", quoted(colour)),
            "write it as `#aa3322` or `lab(42, 50, 35)`",
        )
    };
    let colour = api::hex(crate::stash::colour_of(colour).ok_or_else(wrong)?);
    Ok(NewPaper {
        id: asked.id.clone(),
        name: asked.name.clone().unwrap_or_else(|| asked.id.clone()),
        material: asked.material.clone().unwrap_or_else(|| "cardstock".to_owned()),
        colour,
    })
}

/// `used`.
pub(super) fn used(console: &Console, common: &Common, asked: &Used) -> Result<(), Trouble> {
    let opened = Opened::new(console, common)?;
    let settings = &opened.room.stash.settings;
    let sizes: Result<Vec<Size>, Trouble> =
        asked.left.iter().map(|text| size("--left", text, settings, Purpose::Sheet)).collect();
    let left: Vec<Left> = sizes?.into_iter().map(|size| Left { size, count: 1 }).collect();
    let desk = opened.desk("swatchfold used");
    let done = record::used(&desk, &asked.id, asked.count.unwrap_or(1), &left, settings.unit)?;
    told(console, common, &opened.room, &done)
}

/// `lost`, `found`, `recount`.
pub(super) fn plain(console: &Console, common: &Common, what: Plain, asked: &Count) -> Result<(), Trouble> {
    let opened = Opened::new(console, common)?;
    let count = asked.count.unwrap_or(1);
    let done = match what {
        Plain::Lost => record::lost(&opened.desk("swatchfold lost"), &asked.id, count)?,
        Plain::Found => record::found(&opened.desk("swatchfold found"), &asked.id, count)?,
        Plain::Recount => record::recount(&opened.desk("swatchfold recount"), &asked.id, count)?,
    };
    told(console, common, &opened.room, &done)
}

/// `given`.
pub(super) fn given(console: &Console, common: &Common, asked: &Given) -> Result<(), Trouble> {
    let opened = Opened::new(console, common)?;
    let done = record::given(&opened.desk("swatchfold given"), &asked.id, asked.count.unwrap_or(1))?;
    told(console, common, &opened.room, &done)
}

/// `undo`.
pub(super) fn undo(console: &Console, common: &Common, asked: &Undo) -> Result<(), Trouble> {
    let opened = Opened::new(console, common)?;
    let done = record::undo(&opened.desk("swatchfold undo"), asked.entry)?;
    told(console, common, &opened.room, &done)
}

/// `history`.
pub(super) fn history(console: &Console, common: &Common) -> Result<(), Trouble> {
    let room = open::readable(console, common)?;
    if common.json {
        console.print_data(json::history(&room).as_bytes())
    } else {
        console.print(&text::history(&room, console.look()))
    }
}

/// Says what was recorded, once it is.
pub(super) fn told(console: &Console, common: &Common, room: &Room, done: &Done) -> Result<(), Trouble> {
    if let Some(name) = &done.set_aside {
        console.tell(&format!("the end of the ledger was torn by a crash; it is set aside in {}", quoted(name)));
    }
    if done.recorded.clock_is_behind {
        let day = &done.recorded.day;
        console.tell(&format!("the day is before that of the last entry: this is recorded for {day}, as that was"));
    }
    if common.json {
        console.print_data(json::recorded(room, &done.entry).as_bytes())
    } else {
        console.print(&text::recorded(room, &done.entry, &done.left))
    }
}
