//! How the stash is being used up: the files, the ledger and the day in; the scraps by age and size,
//! what each pad gave, what nobody has touched for a season, and the scrap box month by month, out.

use crate::ledger::{Base, Book, Kind, OnHand, What, active, on_hand};
use crate::stash::{Date, LineKind, Stash};
use std::collections::{BTreeMap, BTreeSet};

/// Days of a season: a quarter of a year.
pub const SEASON: u32 = 91;
/// Months of the trend.
const MONTHS: usize = 12;
/// Square millimetres in a square centimetre.
const CM2: i128 = 100_000_000_000_000;

/// Scraps of one age and size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Scraps {
    /// How many.
    pub count: u64,
    /// Their area together, in whole square centimetres, rounded down.
    pub area_cm2: u64,
}

/// How old scraps are.
pub const AGES: [(&str, Option<u32>); 5] = [
    ("under 3 months", Some(SEASON)),
    ("3 to 12 months", Some(365)),
    ("1 to 2 years", Some(730)),
    ("over 2 years", Some(u32::MAX)),
    ("age unknown", None),
];

/// How large scraps are: under so many square centimetres.
pub const SIZES: [(&str, u64); 3] = [("under 50 cm2", 50), ("50 to 200 cm2", 200), ("over 200 cm2", u64::MAX)];

/// What one pad gave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PadYield {
    /// Its id.
    pub pad: String,
    /// Sheets that are whole.
    pub sheets_left: u64,
    /// Sheets that were cut by plans.
    pub sheets_cut: u64,
    /// Cards made with paper of it.
    pub cards: u64,
    /// Area that went onto cards, in whole square centimetres.
    pub used_cm2: u64,
    /// Area on hand, sheets and scraps.
    pub left_cm2: u64,
}

/// The report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report {
    /// The day.
    pub today: Date,
    /// Scraps by age, then by size.
    pub scraps: [[Scraps; SIZES.len()]; AGES.len()],
    /// What each pad gave, by id.
    pub pads: Vec<PadYield>,
    /// Lines that came, or were last touched, more than a season ago: id and days, longest first.
    pub untouched: Vec<(String, u32)>,
    /// The scrap box at the end of each of the last months: the day, how many pieces, their area.
    pub trend: Vec<(Date, Scraps)>,
}

/// Reports on a stash that is brought up to its ledger.
#[must_use]
pub fn report(stash: &Stash, base: &Base, book: &Book, today: Date) -> Report {
    let mut scraps = [[Scraps::default(); SIZES.len()]; AGES.len()];
    for line in stash.lines.iter().filter(|line| line.kind == LineKind::Scrap && line.count > 0) {
        let area = (line.width * line.height).square_nanometres();
        let days = line.added.map(|day| today.days_since(day));
        let age = AGES.iter().position(|(_, under)| match (days, under) {
            (Some(days), Some(under)) => days < *under || *under == u32::MAX,
            (None, None) => true,
            _ => false,
        });
        let size = SIZES.iter().position(|(_, under)| cm2(area) < *under);
        if let (Some(age), Some(size)) = (age, size) {
            let scraps = &mut scraps[age][size];
            scraps.count += u64::from(line.count);
            scraps.area_cm2 += cm2(area.saturating_mul(i128::from(line.count)));
        }
    }
    Report {
        today,
        scraps,
        pads: pads(stash, book),
        untouched: untouched(stash, book, today),
        trend: trend(base, book, today),
    }
}

fn cm2(square_nanometres: i128) -> u64 {
    u64::try_from(square_nanometres / CM2).unwrap_or(0)
}

fn pads(stash: &Stash, book: &Book) -> Vec<PadYield> {
    let mut pads: BTreeMap<&str, PadYield> = BTreeMap::new();
    let mut areas: BTreeMap<&str, (i128, i128)> = BTreeMap::new();
    let pad_of: BTreeMap<&str, &str> =
        stash.papers.iter().filter_map(|paper| Some((paper.id.as_str(), paper.pad.as_deref()?))).collect();
    let new =
        |pad: &str| PadYield { pad: pad.to_owned(), sheets_left: 0, sheets_cut: 0, cards: 0, used_cm2: 0, left_cm2: 0 };
    for line in &stash.lines {
        let Some(pad) = stash.paper(line.front).pad.as_deref() else { continue };
        let of = pads.entry(pad).or_insert_with(|| new(pad));
        if line.kind == LineKind::Sheet {
            of.sheets_left += u64::from(line.count);
        }
        areas.entry(pad).or_default().1 += (line.width * line.height).square_nanometres() * i128::from(line.count);
    }
    for (entry, _) in book.entries.iter().zip(active(&book.entries)).filter(|(_, holds)| *holds) {
        let mut cards: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for cut in &entry.cuts {
            let Some(pad) = pad_of.get(cut.paper.as_str()) else { continue };
            let of = pads.entry(pad).or_insert_with(|| new(pad));
            let is_leftover = !cut.stock.is_empty()
                && stash.line_called(&cut.stock).is_none_or(|line| stash.line(line).kind != LineKind::Sheet);
            if !is_leftover && !cut.middle {
                of.sheets_cut += u64::from(cut.copies);
            }
            if cut.middle {
                // The piece it was cut out of is counted whole; what is on cards is its ring.
                let area = i128::from(cut.area_mm2) * 1_000_000_000_000;
                areas.entry(pad).or_default().0 -= area * i128::from(cut.copies);
            }
            for piece in &cut.pieces {
                let area = i128::from(piece.width_nm) * i128::from(piece.height_nm);
                areas.entry(pad).or_default().0 += area * i128::from(piece.count) * i128::from(cut.copies);
                let made = entry.cards.iter().find(|made| piece.piece.starts_with(&format!("{} ", made.suggestion)));
                cards.entry(pad).or_default().extend(made.map(|made| made.suggestion.as_str()));
            }
        }
        for (pad, made) in cards {
            let count = entry.cards.iter().filter(|cards| made.contains(cards.suggestion.as_str()));
            if let Some(of) = pads.get_mut(pad) {
                of.cards += count.map(|cards| u64::from(cards.count)).sum::<u64>();
            }
        }
    }
    for (pad, (used, left)) in areas {
        if let Some(of) = pads.get_mut(pad) {
            (of.used_cm2, of.left_cm2) = (cm2(used), cm2(left));
        }
    }
    pads.into_values().collect()
}

/// The day each line was last touched: when it came, or when the ledger last drew on it.
fn untouched(stash: &Stash, book: &Book, today: Date) -> Vec<(String, u32)> {
    let mut touched: BTreeMap<&str, Date> = BTreeMap::new();
    for (entry, _) in book.entries.iter().zip(active(&book.entries)).filter(|(_, holds)| *holds) {
        let Some(day) = Date::parse(&entry.day) else { continue };
        if entry.what == What::Recount {
            continue;
        }
        for change in &entry.changes {
            touched.insert(&change.id, day);
        }
    }
    let mut found: Vec<(String, u32)> = stash
        .lines
        .iter()
        .filter(|line| line.count > 0)
        .filter_map(|line| {
            let last = touched.get(line.id.as_str()).copied().max(line.added)?;
            let days = today.days_since(last);
            (days > SEASON).then(|| (line.id.clone(), days))
        })
        .collect();
    found.sort_by(|one, other| other.1.cmp(&one.1).then(one.0.cmp(&other.0)));
    found
}

fn trend(base: &Base, book: &Book, today: Date) -> Vec<(Date, Scraps)> {
    let (mut year, mut month, _) = today.ymd();
    let mut ends = vec![today];
    while ends.len() < MONTHS {
        // The day before the first of a month is the last of the one before.
        let Some(first) = Date::from_ymd(year, month, 1) else { break };
        ends.push(Date(first.0 - 1));
        (year, month) = if month == 1 { (year - 1, 12) } else { (year, month - 1) };
    }
    ends.reverse();
    ends.dedup();
    ends.into_iter().map(|day| (day, box_of(&on_hand(base, book, Some(&day.to_string()))))).collect()
}

fn box_of(now: &OnHand) -> Scraps {
    let mut scraps = Scraps::default();
    let mut area = 0_i128;
    for line in now.lines.values().filter(|line| line.kind == Kind::Scrap) {
        let count = line.count.unwrap_or(0);
        scraps.count += u64::from(count);
        area += (line.width * line.height).square_nanometres().saturating_mul(i128::from(count));
    }
    scraps.area_cm2 = cm2(area);
    scraps
}
