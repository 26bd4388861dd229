//! Step 7, *the most value from one sheet*: a sheet and kinds of pieces in; a tree of pieces, a true
//! bound and whether they meet out.
//!
//! Everything is a whole number in a unit of the caller's. The path: the sizes that pieces can reach
//! ([`reach`]); the relaxed question without limits on copies, as a dynamic programme over reachable
//! sizes only, inside and outside a rectangle ([`relax`]); prices that make overused copies dear
//! ([`price`]); and a search that builds blocks bottom up and drops those whose bound is too low
//! ([`blocks`]). It knows no trims, papers or hands.

mod blocks;
mod price;
mod reach;
mod relax;

use crate::cut::tree::{Axis, Turned};
use crate::cut::work::Work;
use reach::Reach;

/// One kind of piece.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    pub(super) width: i64,
    pub(super) height: i64,
    pub(super) value: i64,
    /// At most so many.
    pub(super) most: u32,
    pub(super) turns: bool,
}

/// One sheet and what may be cut from it.
#[derive(Clone, Debug)]
pub(super) struct Sheet {
    pub(super) width: i64,
    pub(super) height: i64,
    pub(super) kinds: Vec<Kind>,
}

/// A block of pieces without its own leftovers: its size is the smallest that holds it.
#[derive(Clone, Debug)]
pub(super) enum Tree {
    Piece(usize, Turned),
    Join(Axis, Box<(Tree, Tree)>),
}

/// The best found, and what nothing can beat.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    pub(super) tree: Option<Tree>,
    pub(super) value: i64,
    pub(super) bound: i64,
}

impl Kind {
    /// The ways it may lie.
    pub(super) fn ways(&self) -> impl Iterator<Item = (i64, i64, Turned)> + use<> {
        let second = (self.turns && self.width != self.height).then_some((self.height, self.width, Turned::Quarter));
        [(self.width, self.height, Turned::No)].into_iter().chain(second)
    }
}

impl Tree {
    /// How many of each kind.
    pub(super) fn count(&self, counts: &mut [u32]) {
        match self {
            Self::Piece(kind, _) => counts[*kind] += 1,
            Self::Join(_, two) => {
                two.0.count(counts);
                two.1.count(counts);
            }
        }
    }

    /// Its width and height.
    pub(super) fn size(&self, kinds: &[Kind]) -> (i64, i64) {
        match self {
            Self::Piece(kind, Turned::No) => (kinds[*kind].width, kinds[*kind].height),
            Self::Piece(kind, Turned::Quarter) => (kinds[*kind].height, kinds[*kind].width),
            Self::Join(axis, two) => {
                let (a, b) = (two.0.size(kinds), two.1.size(kinds));
                match axis {
                    Axis::X => (a.0 + b.0, a.1.max(b.1)),
                    Axis::Y => (a.0.max(b.0), a.1 + b.1),
                }
            }
        }
    }
}

/// The most value from one sheet, within `work` steps (counted, added to `done`).
pub(super) fn solve(sheet: &Sheet, limit: u64, work: &mut Work) -> Answer {
    let sheet = &fitted(sheet);
    let nothing = Answer { tree: None, value: 0, bound: 0 };
    if sheet.kinds.iter().all(|kind| kind.most == 0) {
        return nothing;
    }
    let by_area = area_bound(sheet);
    let Some(reach) = Reach::new(sheet) else {
        return Answer { bound: by_area, ..nothing };
    };
    if sheet.kinds.iter().all(|kind| kind.most == room(sheet, kind)) {
        return relax::unlimited(sheet, &reach.raster(sheet), work);
    }
    let priced = price::search(sheet, &reach, limit / 4, work);
    let mut answer = Answer { tree: priced.tree.clone(), value: priced.value, bound: priced.bound.min(by_area) };
    if answer.value < answer.bound {
        blocks::search(sheet, &reach, &priced, limit, work, &mut answer);
    }
    answer
}

/// More copies of a kind than this have no room by area.
fn room(sheet: &Sheet, kind: &Kind) -> u32 {
    let lies = kind.ways().any(|(w, h, _)| w <= sheet.width && h <= sheet.height);
    if !lies || kind.value <= 0 {
        return 0;
    }
    let area = i128::from(sheet.width) * i128::from(sheet.height) / (i128::from(kind.width) * i128::from(kind.height));
    u32::try_from(area).unwrap_or(u32::MAX)
}

/// The sheet with no more copies of a kind than there is room for, none of what does not fit.
fn fitted(sheet: &Sheet) -> Sheet {
    let kinds = sheet.kinds.iter().map(|kind| Kind { most: kind.most.min(room(sheet, kind)), ..*kind }).collect();
    Sheet { kinds, ..*sheet }
}

/// The most value by area alone: the densest pieces first, the last of them in part.
fn area_bound(sheet: &Sheet) -> i64 {
    let mut order: Vec<&Kind> = sheet.kinds.iter().filter(|kind| kind.most > 0).collect();
    let area = |kind: &Kind| i128::from(kind.width) * i128::from(kind.height);
    order.sort_by(|a, b| (i128::from(b.value) * area(a)).cmp(&(i128::from(a.value) * area(b))));
    let mut left = i128::from(sheet.width) * i128::from(sheet.height);
    let mut value = 0i128;
    for kind in order {
        let whole = i128::from(kind.most) * area(kind);
        if whole <= left {
            value += i128::from(kind.most) * i128::from(kind.value);
            left -= whole;
        } else {
            value += left * i128::from(kind.value) / area(kind);
            break;
        }
    }
    i64::try_from(value).unwrap_or(i64::MAX)
}
