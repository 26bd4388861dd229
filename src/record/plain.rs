//! Entries without a plan: bought, used, lost, found, counted, given, taken back.

use super::{Desk, Done, Now, Refused};
use crate::ledger::{Change, Entry, Held, Kind, NewPaper, Piece, What, active, in_the_way, last_to_undo};
use crate::problem::nearest;
use api::units::{Size, Unit};

/// The most of anything.
const MOST: u32 = 1_000_000;

/// A piece that is left of another, or turned up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Left {
    /// Its size, the pattern upright.
    pub size: Size,
    /// How many.
    pub count: u32,
}

/// Stock that came into the house.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bought {
    /// The id of its paper.
    pub paper: String,
    /// A paper that the files do not know; its id must be that of `paper`.
    pub new_paper: Option<NewPaper>,
    /// What it is.
    pub kind: Kind,
    /// Its size, the pattern upright.
    pub size: Size,
    /// How many.
    pub count: u32,
    /// The id it is to have; `None` is the next free one.
    pub id: Option<String>,
}

/// Records stock that came into the house.
///
/// # Errors
/// Why it was refused; then nothing is recorded.
pub fn add(desk: &Desk<'_>, bought: &Bought) -> Result<Done, Refused> {
    desk.write(|now| {
        counted(bought.count)?;
        let back = match &bought.new_paper {
            Some(paper) if knows(desk, &now, &paper.id) => {
                return Err(Refused::BadId { id: paper.id.clone(), why: "a paper has it already" });
            }
            Some(_) => None,
            None => back_of(desk, &now, &bought.paper)?,
        };
        let id = match &bought.id {
            Some(id) => free_id(&now, id)?,
            None => next(&now),
        };
        let piece =
            Piece::new(id, bought.kind, bought.paper.clone(), (bought.size.width, bought.size.height), bought.count);
        let papers = bought.new_paper.iter().cloned().collect();
        Ok(Entry { pieces: vec![Piece { back, ..piece }], papers, ..Entry::of(What::Add) })
    })
}

/// Records a scrap of a known paper that came into the house, one piece of it: what a page's
/// "add a scrap" asks.
///
/// # Errors
/// As [`add`].
pub fn add_piece(desk: &Desk<'_>, paper: &str, size: Size) -> Result<Done, Refused> {
    let (kind, new_paper, count, id) = (Kind::Scrap, None, 1, None);
    add(desk, &Bought { paper: paper.to_owned(), new_paper, kind, size, count, id })
}

/// Records more of a line that is there.
///
/// # Errors
/// Why it was refused; then nothing is recorded.
pub fn add_more(desk: &Desk<'_>, id: &str, count: u32) -> Result<Done, Refused> {
    more(desk, What::Add, id, count)
}

/// Records pieces that turned up again.
///
/// # Errors
/// Why it was refused; then nothing is recorded.
pub fn found(desk: &Desk<'_>, id: &str, count: u32) -> Result<Done, Refused> {
    more(desk, What::Found, id, count)
}

fn more(desk: &Desk<'_>, what: What, id: &str, count: u32) -> Result<Done, Refused> {
    desk.write(|now| {
        counted(count)?;
        let (line, has) = line(&now, id)?;
        if has.saturating_add(count) > MOST {
            return Err(Refused::BadCount { count });
        }
        Ok(Entry { changes: vec![change(id, line, i64::from(count))], ..Entry::of(what) })
    })
}

/// Records pieces used up without a plan, and what was kept of them.
///
/// # Errors
/// Why it was refused; then nothing is recorded.
pub fn used(desk: &Desk<'_>, id: &str, count: u32, left: &[Left], unit: Unit) -> Result<Done, Refused> {
    fewer(desk, What::Used, id, count, left, unit)
}

/// Records pieces that are gone.
///
/// # Errors
/// Why it was refused; then nothing is recorded.
pub fn lost(desk: &Desk<'_>, id: &str, count: u32) -> Result<Done, Refused> {
    fewer(desk, What::Lost, id, count, &[], Unit::Inch)
}

fn fewer(desk: &Desk<'_>, what: What, id: &str, count: u32, left: &[Left], unit: Unit) -> Result<Done, Refused> {
    desk.write(|now| {
        counted(count)?;
        let (line, has) = line(&now, id)?;
        if has < count {
            return Err(Refused::TooFew { id: id.to_owned(), has, wanted: count });
        }
        if line.kind == Kind::Dots && !left.is_empty() {
            return Err(Refused::NothingLeft { id: id.to_owned() });
        }
        let whole = Size::new(line.width, line.height);
        let mut area = 0;
        let mut ids = now.piece_ids();
        let mut pieces = Vec::new();
        for left in left {
            counted(left.count)?;
            area += left.size.area().square_nanometres() * i128::from(left.count);
            let fits = left.size.width <= whole.width && left.size.height <= whole.height;
            if !fits || area > whole.area().square_nanometres() * i128::from(count) {
                let (piece, whole) = (left.size.exact(unit), whole.exact(unit));
                return Err(Refused::TooLarge { of: id.to_owned(), piece, whole });
            }
            let size = (left.size.width, left.size.height);
            let piece = Piece::new(ids.next().unwrap_or_default(), Kind::Scrap, line.paper.clone(), size, left.count);
            pieces.push(Piece { back: line.back.clone(), parent: Some(id.to_owned()), ..piece });
        }
        Ok(Entry { changes: vec![change(id, line, -i64::from(count))], pieces, ..Entry::of(what) })
    })
}

/// Records how many there are, whatever was thought before.
///
/// # Errors
/// Why it was refused; then nothing is recorded.
pub fn recount(desk: &Desk<'_>, id: &str, count: u32) -> Result<Done, Refused> {
    desk.write(|now| {
        if count > MOST {
            return Err(Refused::BadCount { count });
        }
        let (line, has) = line(&now, id)?;
        let by = i64::from(count) - i64::from(has);
        Ok(Entry { changes: vec![change(id, line, by)], ..Entry::of(What::Recount) })
    })
}

/// Records finished cards that were given.
///
/// # Errors
/// Why it was refused; then nothing is recorded.
pub fn given(desk: &Desk<'_>, id: &str, count: u32) -> Result<Done, Refused> {
    desk.write(|now| {
        counted(count)?;
        let here = || now.on_hand.cards.values().filter(|cards| cards.count > 0);
        let Some(cards) = now.on_hand.cards.get(id) else {
            return Err(Refused::UnknownCards {
                id: id.to_owned(),
                all: here().map(|cards| cards.id.clone()).collect(),
            });
        };
        if cards.count < count {
            return Err(Refused::TooFew { id: id.to_owned(), has: cards.count, wanted: count });
        }
        Ok(Entry { given: vec![(id.to_owned(), count)], ..Entry::of(What::Given) })
    })
}

/// Takes an entry back: the one with that number, or the latest that holds. To take back an undo is
/// to do again what it took back.
///
/// # Errors
/// Where later entries stand on it (each is named), or there is no such entry.
pub fn undo(desk: &Desk<'_>, entry: Option<u64>) -> Result<Done, Refused> {
    desk.write(|now| {
        let number = match entry {
            Some(number) => number,
            None => last_to_undo(now.book).ok_or(Refused::NothingToUndo)?,
        };
        let last = now.book.entries.len() as u64;
        let place = usize::try_from(number).ok().and_then(|number| number.checked_sub(1));
        match place.and_then(|place| active(&now.book.entries).get(place).copied()) {
            None => return Err(Refused::UnknownEntry { entry: number, last }),
            Some(false) => return Err(Refused::AlreadyUndone { entry: number }),
            Some(true) => {}
        }
        let ways = in_the_way(desk.base, now.book, number);
        if !ways.is_empty() {
            return Err(Refused::InTheWay { entry: number, ways });
        }
        Ok(Entry { undoes: Some(number), ..Entry::of(What::Undo) })
    })
}

fn counted(count: u32) -> Result<(), Refused> {
    if (1..=MOST).contains(&count) { Ok(()) } else { Err(Refused::BadCount { count }) }
}

/// A line that is counted, and how many there are.
fn line<'n>(now: &Now<'n>, id: &str) -> Result<(&'n Held, u32), Refused> {
    let Some(line) = now.on_hand.lines.get(id) else {
        let nearest = nearest(id, now.on_hand.lines.keys().map(String::as_str)).map(str::to_owned);
        return Err(Refused::UnknownStock { id: id.to_owned(), nearest });
    };
    let has = line.count.ok_or_else(|| Refused::Plenty { id: id.to_owned() })?;
    Ok((line, has))
}

/// So many more or fewer of a line, with what was seen of it.
pub(super) fn change(id: &str, line: &Held, by: i64) -> Change {
    Change { id: id.to_owned(), by, seen: line.print.clone() }
}

fn knows(desk: &Desk<'_>, now: &Now<'_>, id: &str) -> bool {
    desk.papers.iter().any(|(paper, _)| paper == id) || now.on_hand.papers.iter().any(|paper| paper.id == id)
}

/// The other side of a known paper.
fn back_of(desk: &Desk<'_>, now: &Now<'_>, id: &str) -> Result<Option<String>, Refused> {
    if let Some((_, back)) = desk.papers.iter().find(|(paper, _)| paper == id) {
        return Ok(back.clone());
    }
    if now.on_hand.papers.iter().any(|paper| paper.id == id) {
        return Ok(None);
    }
    let known = desk.papers.iter().map(|(paper, _)| paper.as_str());
    let nearest = nearest(id, known.chain(now.on_hand.papers.iter().map(|paper| paper.id.as_str())));
    Err(Refused::UnknownPaper { id: id.to_owned(), nearest: nearest.map(str::to_owned) })
}

fn next(now: &Now<'_>) -> String {
    now.piece_ids().next().unwrap_or_default()
}

/// An id that was never given.
fn free_id(now: &Now<'_>, id: &str) -> Result<String, Refused> {
    let why = if id.trim() != id || id.is_empty() || id.chars().count() > 80 || id.chars().any(char::is_control) {
        "it is empty, too long, or has a space at an end"
    } else if now.on_hand.lines.contains_key(id) {
        "something has it already"
    } else if now.book.entries.iter().any(|entry| entry.pieces.iter().any(|piece| piece.id == id)) {
        "something had it before"
    } else {
        return Ok(id.to_owned());
    };
    Err(Refused::BadId { id: id.to_owned(), why })
}
