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
}

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
        Some(Self { at, sum })
    }

    pub(super) fn len(&self) -> usize {
        self.at.len()
    }

    /// The place at the sum of two places.
    pub(super) fn sum(&self, i: usize, j: usize) -> u16 {
        self.sum[i * self.at.len() + j]
    }

    /// The place of exactly this length.
    pub(super) fn find(&self, length: i64) -> Option<usize> {
        self.at.binary_search(&length).ok()
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
}
