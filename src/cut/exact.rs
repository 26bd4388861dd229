//! Step 7, the exact search for few pieces: every part of the list, the smallest rectangles for it,
//! and the cheapest sheets.
//!
//! For every part of the list the smallest rectangles it can be cut from, made by laying two smaller
//! ones side by side or one above the other (the bottom-up building of Wang 1983, with all minimal
//! rectangles kept); then the best choice of sheets over those. Where trimmer or hand have rules, each part
//! of the list is looked at sheet by sheet as well ([`super::ruled`]).

use crate::cut::PieceIndex;
use crate::cut::fits::{Kind, Question};
use crate::cut::greedy::{self, Growing, Item};
use crate::cut::ruled::Ruled;
use crate::cut::tree::{Axis, Turned};

/// More combinations of counts than this are not searched.
const MOST_STATES: usize = 1 << 14;

/// Steps between two looks at whether to stop.
const LOOK: u64 = 10_000_000;

/// What the chosen part of the list must be.
#[derive(Clone, Copy)]
pub(super) enum Target<'a> {
    /// The whole list, as cheap as can be.
    All,
    /// The part of most value (by kind of the question), then as cheap as can be.
    Value(&'a [i128]),
}

/// A rectangle from which a part of the list can be cut, and how.
#[derive(Clone, Copy)]
struct Block {
    width: i64,
    height: i64,
    made: Made,
}

#[derive(Clone, Copy)]
enum Made {
    Piece(Turned),
    /// Two blocks (state, place in its list) beside each other ([`Axis::X`]) or one above the other.
    Join(Axis, (u32, u32), (u32, u32)),
}

/// The exact search over all parts of the list; a part is a count for each kind, packed in mixed radix.
pub(super) struct Search<'a> {
    question: &'a Question<'a>,
    radix: Vec<usize>,
    states: usize,
    blocks: Vec<Vec<Block>>,
    /// The lines all pieces of a state may come from and could fit by area.
    lines: Vec<u128>,
    pub(super) work: u64,
    allowed: u64,
    stop: Option<&'a dyn Fn() -> bool>,
    /// When `stop` is asked next, in steps of work.
    look: u64,
    /// Where trimmer or hand have rules.
    ruled: Option<Ruled>,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        question: &'a Question<'a>,
        work: u64,
        allowed: u64,
        stop: Option<&'a dyn Fn() -> bool>,
    ) -> Option<Self> {
        let mut states = 1usize;
        let mut radix = Vec::new();
        for kind in &question.kinds {
            radix.push(states);
            states = states.checked_mul(usize::try_from(kind.count).ok()?.checked_add(1)?)?;
            if states > MOST_STATES {
                return None;
            }
        }
        let (blocks, lines) = (vec![Vec::new(); states], vec![u128::MAX; states]);
        let items = question.kinds.iter().flat_map(|kind| (0..kind.count).map(|_| (kind.item.width, kind.item.height)));
        let items: Vec<(i64, i64)> = items.collect();
        let largest = question.lines.iter().map(|(line, _)| line.width.max(line.height)).max().unwrap_or(0);
        let ruled = Ruled::new(question.rules, &items, largest).ok()?;
        let look = work.saturating_add(LOOK);
        Some(Self { question, radix, states, blocks, lines, work, allowed, stop, look, ruled })
    }

    /// Counts work; `None` where no more is allowed.
    pub(super) fn spend(&mut self, steps: u64) -> Option<()> {
        self.work += steps;
        if self.work >= self.look {
            self.look = self.work.saturating_add(LOOK);
            if self.stop.is_some_and(|stop| stop()) {
                return None;
            }
        }
        (self.work <= self.allowed).then_some(())
    }

    /// Whether some rectangle for all of `state` lies in that size; without rules that is enough.
    pub(super) fn has_room(&self, state: u32, (width, height): (i64, i64)) -> bool {
        self.blocks[state as usize].iter().any(|block| block.width <= width && block.height <= height)
    }

    /// The least that a part must measure along `axis` for all of `state`, where it measures `across` the other way.
    pub(super) fn least(&self, state: u32, axis: Axis, across: i64) -> Option<i64> {
        let ways = self.blocks[state as usize].iter().map(|block| match axis {
            Axis::X => (block.width, block.height),
            Axis::Y => (block.height, block.width),
        });
        ways.filter(|(_, other)| *other <= across).map(|(along, _)| along).min()
    }

    /// The piece of a state that is one piece.
    pub(super) fn single(&self, state: u32) -> Option<&Item> {
        let kind = self.radix.iter().position(|radix| *radix == state as usize)?;
        Some(&self.question.kinds[kind].item)
    }

    /// All parts of a state, with the empty one and itself.
    pub(super) fn parts_of(&self, state: u32) -> Vec<u32> {
        self.sub_states(&self.counts(state as usize))
    }

    /// Whether all of `state` comes from one sheet of the line.
    fn one_sheet_gives(&mut self, ruled: &mut Option<Ruled>, state: u32, bit: usize) -> Option<bool> {
        let line = &self.question.lines[bit].0;
        let size = (line.width, line.height);
        match ruled {
            _ if !self.has_room(state, size) => Some(false),
            None => Some(true),
            Some(ruled) => self.keeps_rules(ruled, state, size),
        }
    }

    /// `Some(None)`: proven impossible; `None`: the work ran out.
    pub(super) fn run(&mut self, target: Target<'_>) -> Option<Option<Vec<Growing>>> {
        let counts: Vec<Vec<u32>> = (0..self.states).map(|state| self.counts(state)).collect();
        for (state, count) in counts.iter().enumerate().skip(1) {
            self.lines[state] = self.lines_of(count);
            if self.lines[state] != 0 {
                self.build(state, &counts)?;
            }
        }
        self.choose(&counts, target)
    }

    fn counts(&self, state: usize) -> Vec<u32> {
        let digit = |(kind, radix): (&Kind, &usize)| u32::try_from(state / radix % (kind.count as usize + 1));
        self.question.kinds.iter().zip(&self.radix).map(|pair| digit(pair).unwrap_or(u32::MAX)).collect()
    }

    fn lines_of(&self, counts: &[u32]) -> u128 {
        let kinds = || self.question.kinds.iter().zip(counts).filter(|(_, count)| **count > 0);
        let mut lines = kinds().fold(u128::MAX, |lines, (kind, _)| lines & kind.item.lines);
        let area = |w: i64, h: i64| i128::from(w) * i128::from(h);
        let needs: i128 = kinds().map(|(kind, n)| area(kind.item.width, kind.item.height) * i128::from(*n)).sum();
        for (bit, (line, _)) in self.question.lines.iter().enumerate() {
            if area(line.width, line.height) < needs {
                lines &= !(1 << bit);
            }
        }
        lines
    }

    /// All sub-lists of `state` up to `state` itself, as state numbers.
    fn sub_states(&self, counts: &[u32]) -> Vec<u32> {
        let mut found = vec![0u32];
        for (count, radix) in counts.iter().zip(&self.radix) {
            let before = found.len();
            for times in 1..=*count {
                let step = u32::try_from(*radix).unwrap_or(u32::MAX).saturating_mul(times);
                for i in 0..before {
                    found.push(found[i] + step);
                }
            }
        }
        found
    }

    fn build(&mut self, state: usize, counts: &[Vec<u32>]) -> Option<()> {
        let mut found: Vec<Block> = Vec::new();
        let usable: Vec<(i64, i64)> = (0..self.question.lines.len())
            .filter(|bit| self.lines[state] >> bit & 1 == 1)
            .map(|bit| (self.question.lines[bit].0.width, self.question.lines[bit].0.height))
            .collect();
        let fits = |w: i64, h: i64| usable.iter().any(|(width, height)| w <= *width && h <= *height);
        if let Some(kind) = self.radix.iter().position(|radix| *radix == state)
            && counts[state].iter().sum::<u32>() == 1
        {
            for ((width, height), turned) in greedy::ways(&self.question.kinds[kind].item) {
                if fits(width, height) {
                    keep(&mut found, Block { width, height, made: Made::Piece(turned) });
                }
            }
        } else {
            let whole = u32::try_from(state).ok()?;
            for near in self.sub_states(&counts[state]) {
                let far = whole - near;
                if near == 0 || near > far {
                    continue;
                }
                let (a, b) = (&self.blocks[near as usize], &self.blocks[far as usize]);
                self.work += 4 + 2 * (a.len() * b.len()) as u64;
                for (i, one) in (0u32..).zip(a) {
                    for (j, two) in (0u32..).zip(b) {
                        let beside = (one.width + two.width, one.height.max(two.height));
                        let above = (one.width.max(two.width), one.height + two.height);
                        for (axis, (width, height)) in [(Axis::X, beside), (Axis::Y, above)] {
                            if fits(width, height) {
                                let made = Made::Join(axis, (near, i), (far, j));
                                keep(&mut found, Block { width, height, made });
                            }
                        }
                    }
                }
            }
        }
        self.blocks[state] = found;
        self.spend(0)
    }

    /// The cheapest way to spread the whole list over the lines.
    fn choose(&mut self, counts: &[Vec<u32>], target: Target<'_>) -> Option<Option<Vec<Growing>>> {
        let question = self.question;
        let subs: Vec<Vec<u32>> = counts.iter().map(|count| self.sub_states(count)).collect();
        self.work += subs.iter().map(|sub| sub.len() as u64).sum::<u64>() * 2 * question.lines.len() as u64;
        if self.work > self.allowed {
            return None;
        }
        let mut ruled = self.ruled.take();
        // For each line: the fewest sheets a state needs, and the part on the last of them.
        let mut sheets: Vec<Vec<Option<(u32, u32)>>> = Vec::new();
        // After each line: the least cost of a state from the lines so far, and its part on this line.
        let mut cheapest: Vec<Vec<Option<(i128, u32)>>> = vec![vec![None; self.states]];
        cheapest[0][0] = Some((0, 0));
        for (bit, (line, _)) in question.lines.iter().enumerate() {
            let mut needs: Vec<Option<(u32, u32)>> = vec![None; self.states];
            needs[0] = Some((0, 0));
            for state in 1..self.states {
                for &part in &subs[state] {
                    let rest = state - part as usize;
                    if part == 0 || self.lines[part as usize] >> bit & 1 == 0 {
                        continue;
                    }
                    if let Some((others, _)) = needs[rest]
                        && others < line.count
                        && needs[state].is_none_or(|(best, _)| others + 1 < best)
                        && self.one_sheet_gives(&mut ruled, part, bit)?
                    {
                        needs[state] = Some((others + 1, part));
                    }
                }
            }
            let before = &cheapest[bit];
            let mut after: Vec<Option<(i128, u32)>> = vec![None; self.states];
            for state in 0..self.states {
                for &part in &subs[state] {
                    if let (Some((others, _)), Some((n, _))) = (before[state - part as usize], needs[part as usize]) {
                        let cost = others + line.cost * i128::from(n);
                        if after[state].is_none_or(|(best, _)| cost < best) {
                            after[state] = Some((cost, part));
                        }
                    }
                }
            }
            sheets.push(needs);
            cheapest.push(after);
        }
        let last = &cheapest[question.lines.len()];
        let mut state = match target {
            Target::All => self.states - 1,
            Target::Value(values) => {
                let value = |state: &usize| {
                    let counts = counts[*state].iter().zip(values);
                    counts.map(|(count, value)| i128::from(*count) * value).sum::<i128>()
                };
                let possible = (0..self.states).filter(|state| last[*state].is_some());
                possible.max_by_key(|state| (value(state), last[*state].map(|(cost, _)| -cost))).unwrap_or(0)
            }
        };
        if last[state].is_none() {
            return Some(None);
        }
        self.ruled = ruled;
        let mut left: Vec<Vec<(PieceIndex, u32)>> = question.kinds.iter().map(|kind| kind.members.clone()).collect();
        let mut plan = Vec::new();
        for bit in (0..question.lines.len()).rev() {
            let (_, part) = cheapest[bit + 1][state]?;
            state -= part as usize;
            let mut here = part as usize;
            while here != 0 {
                let (_, on_sheet) = sheets[bit][here]?;
                plan.push(self.sheet(bit, on_sheet, &mut left)?);
                here -= on_sheet as usize;
            }
        }
        Some(Some(plan))
    }

    fn sheet(&mut self, bit: usize, state: u32, left: &mut [Vec<(PieceIndex, u32)>]) -> Option<Growing> {
        let line = &self.question.lines[bit].0;
        let mut sheet = Growing::new(bit, line.width, line.height);
        let pieces = match self.ruled.take() {
            None => self.grow_freely(&mut sheet, state)?,
            Some(mut ruled) => {
                let pieces = self.grow(&mut ruled, &mut sheet, state)?;
                self.ruled = Some(ruled);
                pieces
            }
        };
        for (node, state, turned) in pieces {
            let members = &mut left[self.radix.iter().position(|radix| *radix == state as usize)?];
            let last = members.last_mut()?;
            let piece = last.0;
            last.1 -= 1;
            if last.1 == 0 {
                members.pop();
            }
            sheet.finish(node, piece, turned);
        }
        Some(sheet)
    }

    /// Cuts the sheet into all of `state`; gives the parts that are pieces, each with its kind as a state.
    fn grow_freely(&self, sheet: &mut Growing, state: u32) -> Option<Vec<(usize, u32, Turned)>> {
        let (width, height) = (sheet.size(0, Axis::X), sheet.size(0, Axis::Y));
        let fits = |block: &Block| block.width <= width && block.height <= height;
        let index = self.blocks[state as usize].iter().position(fits)?;
        let mut pieces = Vec::new();
        let mut waiting = vec![(0usize, (state, u32::try_from(index).ok()?))];
        while let Some((node, (state, index))) = waiting.pop() {
            let block = self.blocks[state as usize][index as usize];
            let node = sheet.trim(node, (block.width, block.height));
            match block.made {
                Made::Piece(turned) => pieces.push((node, state, turned)),
                Made::Join(axis, near, far) => {
                    let first = self.blocks[near.0 as usize][near.1 as usize];
                    let size = if axis == Axis::X { first.width } else { first.height };
                    let cut = sheet.split(node, axis, size);
                    waiting.extend([(cut, near), (cut + 1, far)]);
                }
            }
        }
        Some(pieces)
    }
}

/// Keeps a block unless another is no larger either way; drops those it makes needless.
fn keep(found: &mut Vec<Block>, block: Block) {
    if found.iter().any(|other| other.width <= block.width && other.height <= block.height) {
        return;
    }
    found.retain(|other| block.width > other.width || block.height > other.height);
    found.push(block);
}
