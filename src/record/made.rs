//! A plan that was carried out: its JSON in; one entry with what was cut, the cards that are finished
//! and the leftovers that were kept out, or why it no longer fits what is on hand.
//!
//! The plan is read as anybody might have written it: nothing of it is believed before it is checked.

use super::cuts::{cut, line_id};
pub use super::dots::DotsUsed;
use super::dots::{self, DotsFile};
use super::middles::MiddleFile;
use super::plain::change;
use super::{Desk, Done, Now, Refused};
use crate::ledger::{Base, CardsMade, Change, Entry, Held, Kind, Piece, What, active};
use crate::stash::fingerprint;
use api::units::{Length, Unit};
use serde::Deserialize;
use serde_json::value::RawValue;
use std::collections::BTreeMap;

/// The newest format of plans that is read.
const FORMAT: u32 = 1;
/// The most sheets of a plan, and pieces of a sheet, that are read.
const MOST: usize = 100_000;

/// Which leftovers were kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kept {
    /// Those the plan calls worth keeping.
    AsPlanned,
    /// All.
    All,
    /// Those with these ids.
    These(Vec<String>),
}

/// A leftover as a plan's file has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OffcutFile {
    /// Its id within the plan.
    pub id: String,
    /// The line it is left of.
    pub stock: String,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// How many.
    pub count: u32,
    /// Whether the plan calls it worth keeping.
    pub keep: bool,
}

/// A plan as its file has it.
#[derive(Clone, Debug)]
pub struct PlanFile {
    /// A fingerprint of the whole text.
    print: String,
    stash: String,
    stash_name: String,
    revision: String,
    cards: Vec<CardsMade>,
    /// Finishing dots by their ids, and how many of each in all.
    pub dots: BTreeMap<String, u32>,
    sheets: Vec<SheetFile>,
    /// What is left over.
    pub offcuts: Vec<OffcutFile>,
}

#[derive(Clone, Debug)]
pub(super) struct SheetFile {
    pub(super) stock: String,
    pub(super) paper: String,
    pub(super) copies: u32,
    pub(super) size: (Length, Length),
    pub(super) pieces: Vec<(String, Spot)>,
    offcuts: Vec<(String, Spot)>,
    /// What it is the middle of, where it is no sheet of the stash.
    pub(super) middle: Option<MiddleFile>,
    /// Holes of its pieces: which piece, where, of how many of the sheets cut alike.
    pub(super) holes: Vec<(usize, Spot, u32)>,
}

/// Left, top, right and bottom edge.
pub(super) type Spot = [Length; 4];

#[derive(Deserialize)]
struct Raw<'a> {
    format: u32,
    stash: RawStash,
    revision: String,
    cards: Vec<RawCards>,
    #[serde(borrow)]
    sheets: Vec<RawSheet<'a>>,
    #[serde(borrow)]
    offcuts: Vec<RawOffcut<'a>>,
}

#[derive(Deserialize)]
struct RawStash {
    id: String,
    name: String,
}

#[derive(Deserialize)]
struct RawCards {
    suggestion: RawSuggestion,
    count: u32,
    #[serde(default)]
    occasions: Vec<String>,
}

#[derive(Deserialize)]
struct RawSuggestion {
    id: String,
    layout_name: String,
    dots: Option<DotsFile>,
}

#[derive(Deserialize)]
struct RawSheet<'a> {
    stock: String,
    paper: String,
    copies: u32,
    #[serde(borrow)]
    width: &'a RawValue,
    #[serde(borrow)]
    height: &'a RawValue,
    middle_of: Option<MiddleFile>,
    #[serde(borrow)]
    placements: Vec<RawPlaced<'a>>,
    #[serde(borrow)]
    offcuts: Vec<RawRest<'a>>,
}

#[derive(Deserialize)]
struct RawPlaced<'a> {
    piece: String,
    #[serde(borrow)]
    x: &'a RawValue,
    #[serde(borrow)]
    y: &'a RawValue,
    #[serde(borrow)]
    width: &'a RawValue,
    #[serde(borrow)]
    height: &'a RawValue,
    #[serde(borrow)]
    hollow: Option<RawHollow<'a>>,
}

#[derive(Deserialize)]
struct RawHollow<'a> {
    #[serde(borrow)]
    x: &'a RawValue,
    #[serde(borrow)]
    y: &'a RawValue,
    #[serde(borrow)]
    width: &'a RawValue,
    #[serde(borrow)]
    height: &'a RawValue,
    copies: u32,
}

#[derive(Deserialize)]
struct RawRest<'a> {
    id: String,
    #[serde(borrow)]
    x: &'a RawValue,
    #[serde(borrow)]
    y: &'a RawValue,
    #[serde(borrow)]
    width: &'a RawValue,
    #[serde(borrow)]
    height: &'a RawValue,
}

#[derive(Deserialize)]
struct RawOffcut<'a> {
    id: String,
    stock: String,
    #[serde(borrow)]
    width: &'a RawValue,
    #[serde(borrow)]
    height: &'a RawValue,
    count: u32,
    keep: bool,
}

/// The one field that is looked at before all others.
#[derive(Deserialize)]
struct Format {
    format: u32,
}

impl PlanFile {
    /// Reads a plan.
    ///
    /// # Errors
    /// Where it is no plan, or one that cannot be true.
    pub fn read(text: &str) -> Result<Self, Refused> {
        let bad = |why: String| Refused::BadPlan { why };
        let format: Format = serde_json::from_str(text).map_err(|why| bad(why.to_string()))?;
        if format.format > FORMAT {
            return Err(bad(format!("it is of format {}, and this Swatchfold reads up to {FORMAT}", format.format)));
        }
        let raw: Raw<'_> = serde_json::from_str(text).map_err(|why| bad(why.to_string()))?;
        debug_assert!(raw.format <= FORMAT);
        if raw.sheets.len() > MOST || raw.sheets.iter().any(|sheet| sheet.placements.len() > MOST) {
            return Err(bad("it has more sheets or pieces than any batch".to_owned()));
        }
        let sheets: Result<Vec<SheetFile>, Refused> = raw.sheets.into_iter().map(sheet).collect();
        let offcuts: Result<Vec<OffcutFile>, Refused> = raw.offcuts.into_iter().map(offcut).collect();
        let with_dots: Vec<_> = raw.cards.iter().map(|cards| (cards.suggestion.dots.clone(), cards.count)).collect();
        let cards = raw.cards.into_iter().map(|cards| CardsMade {
            id: String::new(),
            suggestion: cards.suggestion.id,
            name: cards.suggestion.layout_name,
            occasions: cards.occasions,
            count: cards.count,
        });
        let plan = Self {
            print: format!("{:016x}", fnv(text.trim().as_bytes())),
            stash: raw.stash.id,
            stash_name: raw.stash.name,
            revision: raw.revision,
            cards: cards.collect(),
            dots: dots::taken(&with_dots)?,
            sheets: sheets?,
            offcuts: offcuts?,
        };
        plan.adds_up()?;
        Ok(plan)
    }

    /// Every sheet's pieces and leftovers lie within it, on no other, and the lists agree.
    fn adds_up(&self) -> Result<(), Refused> {
        let bad = |why: String| Err(Refused::BadPlan { why });
        super::middles::add_up(&self.sheets)?;
        let mut of_sheets: BTreeMap<&str, (&SheetFile, &Spot)> = BTreeMap::new();
        for (number, sheet) in self.sheets.iter().enumerate() {
            let spots: Vec<&Spot> = sheet.pieces.iter().chain(&sheet.offcuts).map(|(_, spot)| spot).collect();
            let (width, height) = &sheet.size;
            let within = |spot: &&&Spot| {
                let [left, top, right, bottom] = **spot;
                left.nanometres() >= 0
                    && top.nanometres() >= 0
                    && left < right
                    && top < bottom
                    && right <= width
                    && bottom <= height
            };
            if spots.iter().filter(within).count() < spots.len() {
                return bad(format!("on sheet {}, of `{}`, something lies outside the sheet", number + 1, sheet.stock));
            }
            if overlap(&spots) {
                return bad(format!("on sheet {}, of `{}`, two things lie on one place", number + 1, sheet.stock));
            }
            if sheet.copies == 0 || sheet.copies > 1_000_000 {
                return bad(format!("sheet {} is cut {} times", number + 1, sheet.copies));
            }
            for (id, spot) in &sheet.offcuts {
                if of_sheets.insert(id, (sheet, spot)).is_some() {
                    return bad(format!("two leftovers have the id `{id}`"));
                }
            }
        }
        for offcut in &self.offcuts {
            let agrees = of_sheets.get(offcut.id.as_str()).is_some_and(|(sheet, [left, top, right, bottom])| {
                (*right - *left, *bottom - *top, &sheet.stock, sheet.copies)
                    == (offcut.width, offcut.height, &offcut.stock, offcut.count)
            });
            if !agrees {
                return bad(format!("the leftover `{}` is not as on its sheet", offcut.id));
            }
        }
        if self.cards.iter().any(|cards| cards.count == 0 || cards.count > 1_000_000) {
            return bad("a card is made never, or too often".to_owned());
        }
        if self.sheets.is_empty() || self.cards.is_empty() {
            return bad("it makes no cards".to_owned());
        }
        Ok(())
    }

    fn takes(&self) -> BTreeMap<&str, u32> {
        let mut takes: BTreeMap<&str, u32> = BTreeMap::new();
        for sheet in self.sheets.iter().filter(|sheet| sheet.middle.is_none()) {
            let so_far = takes.entry(&sheet.stock).or_default();
            *so_far = so_far.saturating_add(sheet.copies);
        }
        takes
    }

    fn kept(&self, kept: &Kept) -> Result<Vec<&OffcutFile>, Refused> {
        match kept {
            Kept::All => Ok(self.offcuts.iter().collect()),
            Kept::AsPlanned => Ok(self.offcuts.iter().filter(|offcut| offcut.keep).collect()),
            Kept::These(ids) => {
                let find = |id: &String| {
                    self.offcuts.iter().find(|offcut| offcut.id == *id).ok_or_else(|| Refused::UnknownLeftover {
                        id: id.clone(),
                        all: self.offcuts.iter().map(|offcut| offcut.id.clone()).collect(),
                    })
                };
                let mut found: Vec<&OffcutFile> = ids.iter().map(find).collect::<Result<_, _>>()?;
                found.sort_by_key(|offcut| self.offcuts.iter().position(|other| other.id == offcut.id));
                found.dedup();
                Ok(found)
            }
        }
    }
}

/// Whether any two lie on one place: those that begin before another ends, from left to right.
fn overlap(spots: &[&Spot]) -> bool {
    let mut sorted: Vec<&Spot> = spots.to_vec();
    sorted.sort();
    sorted.iter().enumerate().any(|(place, one)| {
        sorted[place + 1..]
            .iter()
            .take_while(|other| other[0] < one[2])
            .any(|other| one[1] < other[3] && other[1] < one[3])
    })
}

fn fnv(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |sum, byte| (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3))
}

/// A length in millimetres, exactly as it is written.
fn length(raw: &RawValue) -> Result<Length, Refused> {
    Length::parse_signed(raw.get(), Unit::Millimetre)
        .map_err(|why| Refused::BadPlan { why: format!("`{}` is no length in millimetres: {why}", raw.get()) })
}

fn spot(x: &RawValue, y: &RawValue, width: &RawValue, height: &RawValue) -> Result<Spot, Refused> {
    let (left, top, width, height) = (length(x)?, length(y)?, length(width)?, length(height)?);
    let sum = |one: Length, other: Length| {
        let sum = one.nanometres().checked_add(other.nanometres()).map(Length::from_nanometres);
        sum.ok_or_else(|| Refused::BadPlan { why: "a length is longer than any paper".to_owned() })
    };
    Ok([left, top, sum(left, width)?, sum(top, height)?])
}

fn sheet(raw: RawSheet<'_>) -> Result<SheetFile, Refused> {
    let mut holes = Vec::new();
    for (place, placed) in raw.placements.iter().enumerate() {
        if let Some(hole) = &placed.hollow {
            holes.push((place, spot(hole.x, hole.y, hole.width, hole.height)?, hole.copies));
        }
    }
    let piece = |placed: RawPlaced<'_>| Ok((placed.piece, spot(placed.x, placed.y, placed.width, placed.height)?));
    let rest = |rest: RawRest<'_>| Ok((rest.id, spot(rest.x, rest.y, rest.width, rest.height)?));
    Ok(SheetFile {
        stock: raw.stock,
        paper: raw.paper,
        copies: raw.copies,
        size: (length(raw.width)?, length(raw.height)?),
        pieces: raw.placements.into_iter().map(piece).collect::<Result<_, Refused>>()?,
        offcuts: raw.offcuts.into_iter().map(rest).collect::<Result<_, Refused>>()?,
        middle: raw.middle_of,
        holes,
    })
}

fn offcut(raw: RawOffcut<'_>) -> Result<OffcutFile, Refused> {
    let (width, height) = (length(raw.width)?, length(raw.height)?);
    Ok(OffcutFile { id: raw.id, stock: raw.stock, width, height, count: raw.count, keep: raw.keep })
}

/// Records that a plan was carried out: what was cut, the cards, the leftovers that were kept, the dots
/// that were set.
///
/// # Errors
/// Where it is of another stash, was recorded before, or no longer fits what is on hand (each line
/// that changed is named); then nothing is recorded.
pub fn made(desk: &Desk<'_>, plan: &PlanFile, kept: &Kept, dots: DotsUsed) -> Result<Done, Refused> {
    let kept = plan.kept(kept)?;
    let set = if dots == DotsUsed::No { BTreeMap::new() } else { plan.dots.clone() };
    desk.write(|now| {
        of_this_stash(desk.base, plan, &now)?;
        let holds = active(&now.book.entries);
        let same = |(entry, holds): (&Entry, bool)| {
            (holds && entry.plan.as_deref() == Some(plan.print.as_str())).then_some(entry.number)
        };
        if let Some(entry) = now.book.entries.iter().zip(holds).find_map(same) {
            return Err(Refused::AlreadyMade { entry });
        }
        let takes = plan.takes();
        let mut changed = what_changed(plan, &takes, &now);
        changed.extend(dots::changed(&set, &now));
        if !changed.is_empty() {
            return Err(Refused::Changed { what: changed });
        }
        let mut entry = entry(plan, &kept, &takes, &now);
        entry.changes.extend(dots::changes(&set, &now));
        Ok(entry)
    })
}

fn of_this_stash(base: &Base, plan: &PlanFile, now: &Now<'_>) -> Result<(), Refused> {
    let other = |why: String| Err(Refused::OtherStash { why });
    let ours = if now.book.stash.is_empty() { fingerprint(base) } else { now.book.stash.clone() };
    let name = &plan.stash_name;
    if plan.stash == ours {
        if now.book.has_been(&plan.revision) {
            return Ok(());
        }
        return other(format!("`{name}` has recorded what this one has not"));
    }
    // Files may be edited before anything is recorded, and the stash is still the same: what the
    // plan cuts must be here as it was.
    let strange: Vec<&str> = plan
        .sheets
        .iter()
        .filter(|sheet| sheet.middle.is_none())
        .filter(|sheet| !now.on_hand.lines.get(&sheet.stock).is_some_and(|line| is_like(line, sheet)))
        .map(|sheet| sheet.stock.as_str())
        .collect();
    match strange.first() {
        None if plan.revision.starts_with("0-") => Ok(()),
        None => other(format!("its ledger is that of `{name}`")),
        Some(first) => other(format!("it is of `{name}`, and there is no `{first}` like its own here")),
    }
}

/// Whether a line is of the size and paper that a plan cuts.
fn is_like(line: &Held, sheet: &SheetFile) -> bool {
    let (width, height) = sheet.size;
    let same = match line.kind {
        // A ready-made base counts as its blank, twice as wide as it is folded.
        Kind::CardBase => {
            let (short, long) = (line.width.min(line.height), line.width.max(line.height));
            (short * 2, long) == (width, height)
        }
        _ => (line.width, line.height) == (width, height),
    };
    same && line.paper == sheet.paper
}

fn what_changed(plan: &PlanFile, takes: &BTreeMap<&str, u32>, now: &Now<'_>) -> Vec<String> {
    let mut changed = Vec::new();
    for (id, takes) in takes {
        let Some(line) = now.on_hand.lines.get(*id) else {
            if *id != ASSUMED {
                changed.push(format!("`{id}`: {takes} to be cut, and it is on hand no more"));
            }
            continue;
        };
        let of_line = plan.sheets.iter().filter(|sheet| sheet.stock == *id);
        if of_line.into_iter().any(|sheet| !is_like(line, sheet)) {
            changed.push(format!("`{id}`: its size or its paper is not what it was"));
        } else if let Some(has) = line.count
            && has < *takes
        {
            let left = if has == 0 { "none is left".to_owned() } else { format!("{has} left") };
            changed.push(format!("`{id}`: {takes} to be cut, {left}"));
        }
    }
    changed
}

/// The card base that is assumed where nobody listed any is not counted.
const ASSUMED: &str = "assumed-white-card";

fn entry(plan: &PlanFile, kept: &[&OffcutFile], takes: &BTreeMap<&str, u32>, now: &Now<'_>) -> Entry {
    let line = |id: &str| now.on_hand.lines.get(id);
    let changes: Vec<Change> = takes
        .iter()
        .filter_map(|(id, takes)| {
            let line = line(id).filter(|line| line.count.is_some())?;
            Some(change(id, line, -i64::from(*takes)))
        })
        .collect();
    let mut ids = now.piece_ids();
    let pieces = kept.iter().filter_map(|offcut| {
        let of = line_id(&plan.sheets, &offcut.stock);
        let line = line(of)?;
        let size = (offcut.width, offcut.height);
        let id = ids.next().unwrap_or_default();
        let piece = Piece::new(id, Kind::Scrap, line.paper.clone(), size, offcut.count);
        Some(Piece { back: line.back.clone(), parent: Some(of.to_owned()), ..piece })
    });
    let pieces: Vec<Piece> = pieces.collect();
    let mut card_ids = now.card_ids();
    let cards = plan.cards.iter().map(|cards| CardsMade { id: card_ids.next().unwrap_or_default(), ..cards.clone() });
    let cuts = plan.sheets.iter().filter(|sheet| line(sheet.line()).is_some_and(|line| line.count.is_some()));
    Entry {
        changes,
        pieces,
        cards: cards.collect(),
        cuts: cuts.map(|sheet| cut(sheet, now)).collect(),
        plan: Some(plan.print.clone()),
        ..Entry::of(What::Made)
    }
}
