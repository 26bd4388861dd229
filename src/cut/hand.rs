//! Step 7, *made for hands*: where the pieces of a sheet lie in, the order of the cuts out.
//!
//! Every way to divide the sheet edge to edge between the pieces is looked at: cuts no longer than the
//! trimmer takes, the held part never narrower than is safe, no more stages than allowed; of those,
//! the one with the fewest guide settings, then the fewest cuts, then the offcut most worth keeping.
//! It moves no piece.

use crate::cut::tree::{Axis, Becomes, Cut, Part, Side, Turned};
use crate::cut::{PieceIndex, Rules, Stages, yields};
use std::collections::{BTreeMap, BTreeSet};
use units::Length;

/// Divisions looked at, before the first one found for a part is taken.
const MOST_LOOKS: u32 = 30_000;
/// Divisions looked at in all; beyond, a part counts as one that no order divides.
const MOST_EVER: u32 = 200_000;

/// A piece where it lies, in nanometres from the corner of the sheet without its trims.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Placed {
    pub(super) piece: PieceIndex,
    pub(super) turned: Turned,
    pub(super) x: i64,
    pub(super) y: i64,
    pub(super) width: i64,
    pub(super) height: i64,
}

/// What an offcut is worth to the maker.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OffcutWorth {
    /// Its area, less for a strip more than twice as long as wide.
    Shape,
    /// The largest area of pieces of one of these sizes that it still yields, turned or not; its
    /// shape counts only between equals.
    Becomes(Vec<(Length, Length)>),
}

impl OffcutWorth {
    /// The worth of an offcut of that size; more is better.
    #[must_use]
    pub fn of(&self, width: Length, height: Length) -> i128 {
        let (short, long) = (width.min(height).nanometres(), width.max(height).nanometres().max(1));
        let area = (width * height).square_nanometres();
        let shape = if short * 2 < long { area / i128::from(long) * i128::from(short) * 2 } else { area };
        match self {
            Self::Shape => shape,
            Self::Becomes(sizes) => {
                let most = sizes.iter().map(|(w, h)| {
                    let (w, h) = (w.nanometres(), h.nanometres());
                    if w <= 0 || h <= 0 {
                        return 0;
                    }
                    let turn = crate::cut::Turn::Either;
                    let count = yields::count(width.nanometres(), height.nanometres(), w, h, turn);
                    i128::from(count) * i128::from(w) * i128::from(h)
                });
                // A thousandth of the shape decides between equals.
                most.max().unwrap_or(0) + shape / 1000
            }
        }
    }
}

/// How good an order of cuts is: less is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Burden {
    /// Cuts at settings that are not yet in use.
    pub(super) settings: u32,
    pub(super) cuts: u32,
    /// The worth of the best offcut, negative.
    pub(super) offcut: i128,
}

/// Left, top, width and height.
type Region = (i64, i64, i64, i64);

/// The burden of a part, and the first cut of it, if it is cut.
type Chosen = (Burden, Option<(Axis, i64)>);

struct Look<'a> {
    placed: &'a [Placed],
    rules: &'a Rules,
    worth: &'a OffcutWorth,
    cut: i64,
    /// Settings in use elsewhere: a cut at one costs nothing.
    known: &'a BTreeSet<i64>,
    memo: BTreeMap<(Region, u8, u8), Option<Chosen>>,
    looks: u32,
}

/// The best order of cuts for the pieces as they lie on a sheet of that size, its corner at `corner`;
/// `None` where no order keeps the rules.
pub(super) fn order(
    placed: &[Placed],
    (width, height): (i64, i64),
    corner: (Length, Length),
    rules: &Rules,
    worth: &OffcutWorth,
    known: &BTreeSet<i64>,
    looks: &mut u64,
) -> Option<(Burden, Part)> {
    let cut = rules.cut_width.nanometres();
    let mut best: Option<(Burden, Part)> = None;
    let mut known = known.clone();
    // Once with the settings in use, and once more with those that came out.
    for _ in 0..2 {
        let mut look = Look { placed, rules, worth, cut, known: &known, memo: BTreeMap::new(), looks: 0 };
        let all: Vec<usize> = (0..placed.len()).collect();
        let region = (0, 0, width, height);
        let burden = look.best(region, &all, 0, 2);
        let part = look.part(region, &all, corner, 0, 2);
        *looks += u64::from(look.looks) + 1;
        let ((burden, _), part) = (burden?, part?);
        let found = settings(&part);
        let new = u32::try_from(found.difference(&known).count()).unwrap_or(u32::MAX);
        let burden = Burden { settings: new, ..burden };
        if best.as_ref().is_none_or(|(other, _)| burden < *other) {
            best = Some((burden, part));
        }
        known.extend(found);
    }
    let (burden, part) = best?;
    Some((burden, part))
}

/// The guide settings of a part's cuts, in nanometres: the width or height of what each cuts off.
pub(super) fn settings(part: &Part) -> BTreeSet<i64> {
    let mut found = BTreeSet::new();
    let mut waiting = vec![part];
    while let Some(part) = waiting.pop() {
        if let Becomes::Cut(cut) = &part.becomes {
            found.insert(cut.guide().nanometres());
            waiting.extend([&cut.near, &cut.far]);
        }
    }
    found
}

impl Look<'_> {
    /// `stages` runs are used; the last of them went along `last` (0 for X, 1 for Y, 2 for none yet).
    fn best(&mut self, region: Region, inside: &[usize], stages: u8, last: u8) -> Option<Chosen> {
        let nothing = Burden { settings: 0, cuts: 0, offcut: 0 };
        let (x, y, width, height) = region;
        if inside.is_empty() {
            let worth = self.worth.of(Length::from_nanometres(width), Length::from_nanometres(height));
            return Some((Burden { offcut: -worth, ..nothing }, None));
        }
        if let [only] = inside
            && let p = &self.placed[*only]
            && (p.x, p.y, p.width, p.height) == region
        {
            return Some((nothing, None));
        }
        let key = match self.rules.stages {
            Stages::Free => (region, 0, 2),
            Stages::AtMost(_) => (region, stages, last),
        };
        if let Some(known) = self.memo.get(&key) {
            return *known;
        }
        let mut found: Option<Chosen> = None;
        for axis in [Axis::X, Axis::Y] {
            let this = u8::from(axis == Axis::Y);
            let stages = if last == this { stages } else { stages + 1 };
            if let Stages::AtMost(most) = self.rules.stages
                && stages > most
            {
                continue;
            }
            let (start, size, length) = if axis == Axis::X { (x, width, height) } else { (y, height, width) };
            if self.rules.longest_cut.is_some_and(|longest| length > longest.nanometres()) {
                continue;
            }
            for place in self.places(axis, inside, start, size) {
                self.looks += 1;
                if (found.is_some() && self.looks > MOST_LOOKS) || self.looks > MOST_EVER {
                    break;
                }
                let Some((near, far)) = self.divide(region, axis, place) else { continue };
                let (before, after): (Vec<usize>, Vec<usize>) = inside.iter().partition(|i| {
                    let p = &self.placed[**i];
                    (if axis == Axis::X { p.x } else { p.y }) < place
                });
                let Some((one, _)) = self.best(near, &before, stages, this) else { continue };
                let Some((two, _)) = self.best(far, &after, stages, this) else { continue };
                let fresh = u32::from(!self.known.contains(&(place - start)));
                let burden = Burden {
                    settings: one.settings + two.settings + fresh,
                    cuts: one.cuts + two.cuts + 1,
                    offcut: one.offcut.min(two.offcut),
                };
                if found.is_none_or(|(other, _)| burden < other) {
                    found = Some((burden, Some((axis, place))));
                }
            }
        }
        self.memo.insert(key, found);
        found
    }

    /// Where a cut would touch no piece: at the far edge of a piece, or so that its width ends at one.
    fn places(&self, axis: Axis, inside: &[usize], start: i64, size: i64) -> BTreeSet<i64> {
        let span = |i: &usize| {
            let p = &self.placed[*i];
            if axis == Axis::X { (p.x, p.x + p.width) } else { (p.y, p.y + p.height) }
        };
        let edges = inside.iter().map(span).flat_map(|(from, to)| [from - self.cut, to]);
        edges
            .filter(|place| *place > start && *place < start + size)
            .filter(|place| inside.iter().map(span).all(|(from, to)| to <= *place || from >= *place + self.cut))
            .collect()
    }

    /// The two parts, if one of them can be held.
    fn divide(&self, (x, y, width, height): Region, axis: Axis, place: i64) -> Option<(Region, Region)> {
        let far = |start: i64, size: i64| {
            let begin = (place + self.cut).min(start + size);
            (begin, start + size - begin)
        };
        let (near, far) = match axis {
            Axis::X => {
                let (begin, size) = far(x, width);
                ((x, y, place - x, height), (begin, y, size, height))
            }
            Axis::Y => {
                let (begin, size) = far(y, height);
                ((x, y, width, place - y), (x, begin, width, size))
            }
        };
        let held = near.2.min(near.3).max(far.2.min(far.3));
        (held >= self.rules.safe_strip.nanometres()).then_some((near, far))
    }

    fn part(
        &mut self,
        region: Region,
        inside: &[usize],
        corner: (Length, Length),
        stages: u8,
        last: u8,
    ) -> Option<Part> {
        let nm = Length::from_nanometres;
        let (x, y, width, height) = region;
        let (_, choice) = self.best(region, inside, stages, last)?;
        let becomes = match (choice, inside) {
            (None, []) => Becomes::Offcut,
            (None, [only, ..]) => {
                let placed = &self.placed[*only];
                Becomes::Piece { piece: placed.piece, turned: placed.turned }
            }
            (Some((axis, place)), _) => {
                let (near, far) = self.divide(region, axis, place)?;
                let this = u8::from(axis == Axis::Y);
                let stages = if last == this { stages } else { stages + 1 };
                let (before, after): (Vec<usize>, Vec<usize>) = inside.iter().partition(|i| {
                    let p = &self.placed[**i];
                    (if axis == Axis::X { p.x } else { p.y }) < place
                });
                let near = self.part(near, &before, corner, stages, this)?;
                let far = self.part(far, &after, corner, stages, this)?;
                let held = if near.width.min(near.height) > far.width.min(far.height) { Side::Near } else { Side::Far };
                let at = nm(place) + if axis == Axis::X { corner.0 } else { corner.1 };
                Becomes::Cut(Box::new(Cut { axis, at, held, near, far }))
            }
        };
        Some(Part { x: corner.0 + nm(x), y: corner.1 + nm(y), width: nm(width), height: nm(height), becomes })
    }
}

/// The pieces of a part where they lie, from `corner`.
pub(super) fn placed(root: &Part) -> Vec<Placed> {
    let mut found: Vec<Placed> = root
        .leaves()
        .into_iter()
        .filter_map(|leaf| match leaf.becomes {
            Becomes::Piece { piece, turned } => Some(Placed {
                piece,
                turned,
                x: (leaf.x - root.x).nanometres(),
                y: (leaf.y - root.y).nanometres(),
                width: leaf.width.nanometres(),
                height: leaf.height.nanometres(),
            }),
            Becomes::Offcut | Becomes::Cut(_) => None,
        })
        .collect();
    found.sort_by_key(|p| (p.y, p.x, p.piece));
    found
}
