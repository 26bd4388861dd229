//! A plan for sheets of many sizes: one sheet after another, always the one that can be filled best.
//!
//! Each size of sheet is filled a few times, with the pieces in orders that chance disturbs; the fullest
//! for its cost is taken, and only the sizes whose filling is no longer possible are filled again (their
//! old filling says how good they can be about). Large pieces count a little more, so that they are not
//! left for the end. After the sequential value correction of Belov and Scheithauer (2007), in spirit.

use super::strips::What;
use super::{Job, Strips};
use crate::cut::seeded::Seeded;
use crate::cut::work::Work;
use std::collections::BTreeMap;

/// Fillings tried for a size of sheet.
const TRIES: u32 = 10;

/// Equal sheets, over all lines, and their best filling.
struct Size {
    lines: Vec<usize>,
    /// How many sheets of the first line are used.
    used: u32,
    filling: Option<(i128, Strips)>,
}

struct Filler<'a> {
    job: &'a Job,
    /// By row, the items that are still to be laid.
    left: Vec<Vec<usize>>,
    random: Seeded,
    /// In hundredths: how much more the largest piece counts, for its area, than the smallest.
    large: i64,
    largest: i64,
}

/// Sheets for all the pieces, or for as many as find a place.
pub(super) fn plan(job: &Job, (seed, large): (u64, i64), limit: u64, work: &mut Work<'_>) -> Vec<Strips> {
    let mut left: Vec<Vec<usize>> = vec![Vec::new(); job.allowed.len()];
    for (index, item) in job.items.iter().enumerate().rev() {
        left[item.row].push(index);
    }
    let largest = job.items.iter().map(super::Item::area).max().unwrap_or(1).max(1);
    let mut filler = Filler { job, left, random: Seeded::new(seed), large, largest };
    let mut sizes = sizes(job);
    for size in &mut sizes {
        size.filling = filler.best(size.lines[0], work);
    }
    let mut sheets = Vec::new();
    while filler.left.iter().any(|items| !items.is_empty()) && !work.past(limit) {
        let top = sizes
            .iter()
            .enumerate()
            .filter_map(|(place, size)| size.filling.as_ref().map(|(worth, _)| (*worth, std::cmp::Reverse(place))))
            .max();
        let Some((_, std::cmp::Reverse(place))) = top else { break };
        let size = &mut sizes[place];
        let line = size.lines[0];
        let Some((_, filling)) = size.filling.take() else { break };
        if filler.is_there(&filling) {
            sheets.push(filler.take(Strips { line, ..filling }));
            size.used += 1;
            if size.used >= job.lines[line].count {
                size.lines.remove(0);
                size.used = 0;
            }
        }
        if let Some(&line) = size.lines.first() {
            size.filling = filler.best(line, work);
        }
    }
    sheets
}

/// The lines by size, cost and what may lie on them.
fn sizes(job: &Job) -> Vec<Size> {
    let mut found: BTreeMap<(i64, i64, i64, Vec<bool>), Vec<usize>> = BTreeMap::new();
    for (index, line) in job.lines.iter().enumerate().filter(|(_, line)| line.count > 0) {
        let allowed = job.allowed.iter().map(|row| row[index]).collect();
        found.entry((line.width, line.height, line.cost, allowed)).or_default().push(index);
    }
    found.into_values().map(|lines| Size { lines, used: 0, filling: None }).collect()
}

impl Filler<'_> {
    /// The best of a few fillings of a sheet of the line, and how good it is for its cost.
    fn best(&mut self, line: usize, work: &mut Work<'_>) -> Option<(i128, Strips)> {
        let mut best: Option<(i128, Strips)> = None;
        for attempt in 0..TRIES {
            let filling = self.fill(line, attempt, work);
            let worth = self.worth(&filling);
            if worth > 0 && best.as_ref().is_none_or(|(other, _)| worth > *other) {
                best = Some((worth, filling));
            }
        }
        best
    }

    fn fill(&mut self, line: usize, attempt: u32, work: &mut Work<'_>) -> Strips {
        let job = self.job;
        let mut rows: Vec<(i64, usize)> = Vec::new();
        for (row, items) in self.left.iter().enumerate() {
            let Some(&first) = items.last() else { continue };
            if job.allowed[row][line] {
                let item = &job.items[first];
                let key = match attempt % 3 {
                    0 => item.area(),
                    1 => item.width.max(item.height) * 1000,
                    _ => item.width.min(item.height) * 1000,
                };
                let noise = if attempt < 3 { 100 } else { 60 + i64::try_from(self.random.below(80)).unwrap_or(0) };
                rows.push((key.saturating_mul(noise), row));
            }
        }
        rows.sort_unstable_by_key(|(key, row)| (std::cmp::Reverse(*key), *row));
        let mut sheet = Strips::empty(line, job.lines[line].width, job.lines[line].height);
        for (_, row) in rows {
            for &item in self.left[row].iter().rev() {
                let ways: Vec<(i64, i64, bool)> = job.items[item].ways().collect();
                work.add((sheet.nodes.len() * ways.len()) as u64 + 1);
                if sheet.free() < job.items[item].area() || sheet.lay_best(item, &ways, |score| score).is_none() {
                    break;
                }
            }
        }
        sheet
    }

    /// The area laid, that of large pieces counting more, in millionths of the sheet's cost.
    fn worth(&self, sheet: &Strips) -> i128 {
        let of = |item: usize| {
            let area = self.job.items[item].area();
            i128::from(area) * i128::from(100 + self.large * (area / 64) / (self.largest / 64).max(1))
        };
        let cost = i128::from(self.job.lines[sheet.line].cost.max(1));
        sheet.items().map(of).sum::<i128>() * 10_000 / cost
    }

    /// Whether every piece of a filling can still be had.
    fn is_there(&self, filling: &Strips) -> bool {
        let mut needs: BTreeMap<usize, usize> = BTreeMap::new();
        filling.items().for_each(|item| *needs.entry(self.job.items[item].row).or_default() += 1);
        needs.iter().all(|(row, count)| self.left[*row].len() >= *count)
    }

    /// The filling with pieces that are still there.
    fn take(&mut self, mut filling: Strips) -> Strips {
        for node in &mut filling.nodes {
            if let What::Piece { item, .. } = &mut node.what
                && let Some(next) = self.left[self.job.items[*item as usize].row].pop()
            {
                *item = u32::try_from(next).unwrap_or(u32::MAX);
            }
        }
        filling
    }
}
