//! The sizes that pieces side by side can reach: the only sizes the search need know.
//!
//! After Herz (1972) and Christofides and Whitlock (1977): every cut can be moved to a place where
//! pieces, each used no more often than there are copies, end.

use super::Sheet;
use std::collections::BTreeSet;

/// More places than this along a side, and the exact methods are not for this sheet.
const MOST: usize = 3000;
/// No such sum.
pub(super) const NONE: u16 = u16::MAX;

/// The reachable places along one side of the sheet, ascending, 0 first.
pub(super) struct Places {
    pub(super) at: Vec<i64>,
    /// `sum[i * len + j]`: the place at the sum of two, [`NONE`] where there is none.
    sum: Vec<u16>,
    /// The place at each length, while the side is short enough for a list.
    place: Vec<u16>,
    matched: Matched,
}

/// What the rest after a cut must be.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Matched {
    /// A place itself: other cuts leave something that another cut would not.
    Exactly,
    /// Anything: it counts as the place before it.
    Before,
}

/// Sides up to this have a list of places by length.
const LISTED: i64 = 1 << 20;

impl Places {
    fn new(side: i64, pieces: &[(i64, u32)]) -> Option<Self> {
        let mut reached = BTreeSet::from([0i64]);
        for &(length, most) in pieces {
            let most = u32::try_from(side / length).unwrap_or(u32::MAX).min(most);
            let starts: Vec<i64> = reached.iter().copied().collect();
            for start in starts {
                for times in 1..=i64::from(most) {
                    let place = start + times * length;
                    if place > side {
                        break;
                    }
                    reached.insert(place);
                }
                if reached.len() > MOST {
                    return None;
                }
            }
        }
        let at: Vec<i64> = reached.into_iter().collect();
        let len = at.len();
        let mut sum = vec![NONE; len * len];
        for i in 0..len {
            let mut k = i;
            for j in 0..len {
                let total = at[i] + at[j];
                while k < len && at[k] < total {
                    k += 1;
                }
                if k == len {
                    break;
                }
                if at[k] == total {
                    sum[i * len + j] = u16::try_from(k).unwrap_or(NONE);
                }
            }
        }
        let mut place = Vec::new();
        if side < LISTED {
            place = vec![NONE; usize::try_from(side).ok()? + 1];
            for (i, length) in at.iter().enumerate() {
                place[usize::try_from(*length).ok()?] = u16::try_from(i).ok()?;
            }
        }
        Some(Self { at, sum, place, matched: Matched::Exactly })
    }

    pub(super) fn len(&self) -> usize {
        self.at.len()
    }

    /// The place at the sum of two places.
    pub(super) fn sum(&self, i: usize, j: usize) -> u16 {
        self.sum[i * self.at.len() + j]
    }

    /// The first place not before this length.
    pub(super) fn first(&self, length: i64) -> Option<usize> {
        let place = self.at.partition_point(|at| *at < length);
        (place < self.at.len()).then_some(place)
    }

    /// The place of what is left of a length.
    pub(super) fn rest(&self, length: i64) -> Option<usize> {
        if !self.place.is_empty() {
            let place = *self.place.get(usize::try_from(length).ok()?)?;
            return (place != NONE).then_some(usize::from(place));
        }
        match self.matched {
            Matched::Exactly => self.at.binary_search(&length).ok(),
            Matched::Before => self.at.partition_point(|at| *at <= length).checked_sub(1),
        }
    }

    /// The places that matter where copies do not run out: those that leave a reachable rest (the
    /// raster points of Scheithauer and Terno 1996).
    fn raster(&self, side: i64) -> Self {
        let before = |length: i64| self.at[self.at.partition_point(|at| *at <= length) - 1];
        let mut at: Vec<i64> = self.at.iter().map(|place| before(side - place)).collect();
        at.reverse();
        at.dedup();
        let mut place = Vec::new();
        if side < LISTED {
            let mut last = 0u16;
            for length in 0..=side {
                while at.get(usize::from(last) + 1).is_some_and(|next| *next <= length) {
                    last += 1;
                }
                place.push(last);
            }
        }
        Self { at, sum: Vec::new(), place, matched: Matched::Before }
    }
}

/// Reachable places both ways.
pub(super) struct Reach {
    pub(super) x: Places,
    pub(super) y: Places,
}

impl Reach {
    /// `None` where there are too many.
    pub(super) fn new(sheet: &Sheet) -> Option<Self> {
        let (mut across, mut down) = (Vec::new(), Vec::new());
        for kind in sheet.kinds.iter().filter(|kind| kind.most > 0) {
            for (w, h, _) in kind.ways().filter(|(w, h, _)| *w <= sheet.width && *h <= sheet.height) {
                across.push((w, kind.most));
                down.push((h, kind.most));
            }
        }
        Some(Self { x: Places::new(sheet.width, &across)?, y: Places::new(sheet.height, &down)? })
    }

    /// The reachable places where no kind's copies can run out.
    pub(super) fn raster(&self, sheet: &Sheet) -> Self {
        Self { x: self.x.raster(sheet.width), y: self.y.raster(sheet.height) }
    }
}
