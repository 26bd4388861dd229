//! The relaxed question, with no limit on copies, over reachable sizes.
//!
//! *Inside*: the most value from a rectangle (Gilmore and Gomory 1966, Beasley 1985, over reachable
//! sizes). *Outside*: the most value from the rest of the sheet when a rectangle of it is kept (as in
//! the bounds of Viswanathan and Bagchi 1993, exact for the relaxed question). Cuts are tried only
//! beside rectangles that are worth more than any division of them by parallel cuts.

use super::reach::{NONE, Reach};
use super::{Answer, Sheet, Tree};
use crate::cut::tree::{Axis, Turned};
use crate::cut::work::Work;

/// A piece as it lies, by place.
#[derive(Clone, Copy)]
pub(super) struct Lying {
    pub(super) kind: usize,
    pub(super) turned: Turned,
    pub(super) x: usize,
    pub(super) y: usize,
}

/// Every way every kind may lie on the sheet.
pub(super) fn lying(sheet: &Sheet, reach: &Reach) -> Vec<Lying> {
    let mut found = Vec::new();
    for (kind, k) in sheet.kinds.iter().enumerate().filter(|(_, k)| k.most > 0) {
        for (w, h, turned) in k.ways() {
            if let (Some(x), Some(y)) = (reach.x.first(w), reach.y.first(h)) {
                found.push(Lying { kind, turned, x, y });
            }
        }
    }
    found
}

/// The most value from every reachable size.
pub(super) struct Inside {
    pub(super) best: Vec<i64>,
    /// The widths worth cutting off: somewhere not made by cuts of the same direction.
    pub(super) widths: Vec<usize>,
    /// The same for heights, by width.
    pub(super) heights: Vec<Vec<usize>>,
    high: usize,
}

impl Inside {
    /// Fills the table; `values` are by kind. Adds its steps to `done`.
    pub(super) fn new(reach: &Reach, lying: &[Lying], values: &[i64], work: &mut Work) -> Self {
        let (wide, high) = (reach.x.len(), reach.y.len());
        let mut best = vec![0i64; wide * high];
        let mut by_width: Vec<Vec<&Lying>> = vec![Vec::new(); wide];
        lying.iter().filter(|piece| values[piece.kind] > 0).for_each(|piece| by_width[piece.x].push(piece));
        let mut widths: Vec<usize> = Vec::new();
        let mut heights: Vec<Vec<usize>> = vec![Vec::new(); wide];
        let mut by_cuts = vec![0i64; high];
        for i in 1..wide {
            let (before, from) = best.split_at_mut(i * high);
            let row = &mut from[..high];
            row.copy_from_slice(&before[(i - 1) * high..]);
            let here = reach.x.at[i];
            for &a in &widths {
                if reach.x.at[a] * 2 > here {
                    break;
                }
                let Some(b) = reach.x.rest(here - reach.x.at[a]) else { continue };
                let (one, two) = (&before[a * high..(a + 1) * high], &before[b * high..(b + 1) * high]);
                for ((value, p), q) in row.iter_mut().zip(one).zip(two) {
                    let sum = p + q;
                    *value = if sum > *value { sum } else { *value };
                }
                work.add(high as u64 / 4);
            }
            by_cuts.copy_from_slice(row);
            for piece in &by_width[i] {
                let value = values[piece.kind];
                row[piece.y..].iter_mut().for_each(|v| *v = (*v).max(value));
            }
            let worth = &mut heights[i];
            for j in 1..high {
                let there = reach.y.at[j];
                let mut most = row[j - 1];
                for &a in worth.iter() {
                    if reach.y.at[a] * 2 > there {
                        break;
                    }
                    if let Some(b) = reach.y.rest(there - reach.y.at[a]) {
                        most = most.max(row[a] + row[b]);
                    }
                }
                work.add(worth.len() as u64);
                if row[j] > most {
                    worth.push(j);
                } else {
                    row[j] = most;
                }
            }
            if row.iter().zip(&by_cuts).any(|(now, cuts)| now > cuts) {
                widths.push(i);
            }
        }
        Self { best, widths, heights, high }
    }

    pub(super) fn at(&self, x: usize, y: usize) -> i64 {
        self.best[x * self.high + y]
    }

    /// The most value from the whole sheet.
    pub(super) fn whole(&self) -> i64 {
        self.best.last().copied().unwrap_or(0)
    }

    /// The pieces that give the most value.
    pub(super) fn tree(&self, reach: &Reach, lying: &[Lying], values: &[i64]) -> Option<Tree> {
        self.tree_of(reach, lying, values, reach.x.len() - 1, reach.y.len() - 1)
    }

    fn tree_of(&self, reach: &Reach, lying: &[Lying], values: &[i64], mut x: usize, mut y: usize) -> Option<Tree> {
        let value = self.at(x, y);
        if value == 0 {
            return None;
        }
        // Leave out what adds nothing.
        while self.at(x - 1, y) == value {
            x -= 1;
        }
        while self.at(x, y - 1) == value {
            y -= 1;
        }
        if let Some(piece) = lying.iter().find(|p| p.x <= x && p.y <= y && values[p.kind] == value) {
            return Some(Tree::Piece(piece.kind, piece.turned));
        }
        let joined = |axis, near: Option<Tree>, far: Option<Tree>| match (near, far) {
            (Some(near), Some(far)) => Some(Tree::Join(axis, Box::new((near, far)))),
            (one, other) => one.or(other),
        };
        for &a in self.widths.iter().take_while(|a| reach.x.at[**a] * 2 <= reach.x.at[x]) {
            if let Some(b) = reach.x.rest(reach.x.at[x] - reach.x.at[a])
                && self.at(a, y) + self.at(b, y) == value
            {
                let near = self.tree_of(reach, lying, values, a, y);
                return joined(Axis::X, near, self.tree_of(reach, lying, values, b, y));
            }
        }
        for &a in self.heights[x].iter().take_while(|a| reach.y.at[**a] * 2 <= reach.y.at[y]) {
            if let Some(b) = reach.y.rest(reach.y.at[y] - reach.y.at[a])
                && self.at(x, a) + self.at(x, b) == value
            {
                let near = self.tree_of(reach, lying, values, x, a);
                return joined(Axis::Y, near, self.tree_of(reach, lying, values, x, b));
            }
        }
        None
    }
}

/// The most value where copies do not run out: no more than this one programme.
pub(super) fn unlimited(sheet: &Sheet, raster: &Reach, work: &mut Work) -> Answer {
    let lying = lying(sheet, raster);
    let values: Vec<i64> = sheet.kinds.iter().map(|kind| kind.value).collect();
    let inside = Inside::new(raster, &lying, &values, work);
    Answer { tree: inside.tree(raster, &lying, &values), value: inside.whole(), bound: inside.whole() }
}

/// The most value from the sheet outside a rectangle of every reachable size.
pub(super) fn outside(reach: &Reach, inside: &Inside, work: &mut Work) -> Vec<i64> {
    let (wide, high) = (reach.x.len(), reach.y.len());
    let mut best = vec![0i64; wide * high];
    for i in (0..wide).rev() {
        let (upto, after) = best.split_at_mut((i + 1) * high);
        let row = &mut upto[i * high..];
        if i + 1 < wide {
            row.copy_from_slice(&after[..high]);
        }
        for &a in &inside.widths {
            let s = reach.x.sum(i, a);
            if s == NONE {
                if reach.x.at[i] + reach.x.at[a] > reach.x.at[wide - 1] {
                    break;
                }
                continue;
            }
            let whole = &after[(usize::from(s) - i - 1) * high..];
            let part = &inside.best[a * high..(a + 1) * high];
            for ((value, p), q) in row.iter_mut().zip(whole).zip(part) {
                let sum = p + q;
                *value = if sum > *value { sum } else { *value };
            }
            work.add(high as u64 / 4);
        }
        for j in (0..high).rev() {
            let mut most = row[j];
            if j + 1 < high {
                most = most.max(row[j + 1]);
            }
            for &a in &inside.heights[i] {
                let s = reach.y.sum(j, a);
                if s == NONE {
                    if reach.y.at[j] + reach.y.at[a] > reach.y.at[high - 1] {
                        break;
                    }
                    continue;
                }
                most = most.max(row[usize::from(s)] + inside.at(i, a));
            }
            work.add(inside.heights[i].len() as u64);
            row[j] = most;
        }
    }
    best
}
