//! Step 7, *can these be cut from that?*: few pieces and stock lines in; yes with a plan, no with the
//! reason, or unknown out.
//!
//! First what is cheap: each piece against each line, areas, yields of equal pieces, a greedy plan.
//! Then the exact search: for every part of the list the smallest rectangles it can be cut from, made
//! by laying two smaller ones side by side or one above the other (the bottom-up building of Wang
//! 1983, with all minimal rectangles kept), and the cheapest choice of sheets over those. Work is
//! counted, never timed.

use crate::cut::greedy::{self, Growing, Item, Line};
use crate::cut::tree::{Axis, CutSheet, Plan, Turned};
use crate::cut::{Goal, Limits, On, Piece, PieceIndex, Problem, Rules, Stock, StockIndex, Turn, check, yields};

/// The answer to *can these pieces come out of that stock?*
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fits {
    /// Yes, so. The plan keeps every rule and opens cheap stock before dear stock.
    Yes(Plan),
    /// No, and it is proven.
    No(WhyNot),
    /// Neither a plan nor a proof came within the work allowed.
    Unknown,
}

/// The proof that pieces do not fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyNot {
    /// A piece is larger than every sheet it may come from, whichever way it may lie.
    TooLarge(PieceIndex),
    /// All sheets a piece may come from together yield fewer copies of it, with nothing else cut.
    TooMany(PieceIndex),
    /// The pieces have more area than the sheets they may come from.
    Area,
    /// Every arrangement was looked at.
    Searched,
}

/// More combinations of counts than this are not searched.
const MOST_STATES: usize = 1 << 14;
/// Lines are bits of one number.
const MOST_LINES: usize = 128;

/// Whether the pieces can be cut from the stock, edge to edge.
///
/// Groups (`Piece::group`) and stock that is made by cutting (`Stock::made_by`) are for the planner,
/// not for this question: say here with [`On::Only`] what each piece may come from.
#[must_use]
pub fn fits(pieces: &[Piece], stock: &[Stock], limits: &Limits) -> Fits {
    let question = Question::new(pieces, stock, &limits.rules);
    let answer = question.answer(limits.work);
    if let Fits::Yes(plan) = &answer {
        let problem = Problem {
            goal: Goal::LeastCost,
            stock: stock.iter().map(|line| Stock { made_by: None, ..line.clone() }).collect(),
            pieces: pieces.iter().map(|piece| Piece { group: None, ..piece.clone() }).collect(),
            rules: limits.rules.clone(),
        };
        if !check(&problem, plan).is_empty() {
            return Fits::Unknown;
        }
    }
    answer
}

/// Pieces that are alike, with their counts.
struct Kind {
    item: Item,
    /// The pieces it was made of: their place, how many copies.
    members: Vec<(PieceIndex, u32)>,
    count: u32,
}

struct Question<'a> {
    kinds: Vec<Kind>,
    /// Useful lines, cheapest first, with their place in the stock.
    lines: Vec<(Line, StockIndex)>,
    /// Lines were left out because there were too many.
    lines_missing: bool,
    rules: &'a Rules,
    cut: i64,
    trouble: Option<WhyNot>,
}

impl<'a> Question<'a> {
    fn new(pieces: &[Piece], stock: &[Stock], rules: &'a Rules) -> Self {
        let cut = rules.cut_width.nanometres().max(0);
        let mut lines: Vec<(Line, StockIndex)> = Vec::new();
        for (index, line) in stock.iter().enumerate() {
            let usable_width = line.width - rules.trims.left - rules.trims.right;
            let usable_height = line.height - rules.trims.top - rules.trims.bottom;
            if !usable_width.is_positive() || !usable_height.is_positive() || line.count == 0 {
                continue;
            }
            let (width, height) = (usable_width.nanometres() + cut, usable_height.nanometres() + cut);
            let wanted = |piece: &Piece| {
                let (w, h) = (piece.width.nanometres() + cut, piece.height.nanometres() + cut);
                let turned = piece.turn == Turn::Either && h <= width && w <= height;
                piece.count > 0 && piece.on.allows(StockIndex(index)) && ((w <= width && h <= height) || turned)
            };
            if pieces.iter().any(wanted) {
                let cost = line.cost.of(line.width, line.height);
                lines.push((Line { width, height, count: line.count, cost }, StockIndex(index)));
            }
        }
        lines.sort_by_key(|(line, index)| (line.cost, *index));
        let lines_missing = lines.len() > MOST_LINES;
        lines.truncate(MOST_LINES);
        let mut question = Self { kinds: Vec::new(), lines, lines_missing, rules, cut, trouble: None };
        for (index, piece) in pieces.iter().enumerate().filter(|(_, piece)| piece.count > 0) {
            question.add(PieceIndex(index), piece);
        }
        question
    }

    fn add(&mut self, index: PieceIndex, piece: &Piece) {
        if !piece.width.is_positive() || !piece.height.is_positive() {
            self.trouble.get_or_insert(WhyNot::TooLarge(index));
            return;
        }
        let (width, height) = (piece.width.nanometres() + self.cut, piece.height.nanometres() + self.cut);
        let mut item = Item { piece: index, width, height, turn: piece.turn, lines: 0 };
        for (bit, (line, stock)) in self.lines.iter().enumerate() {
            let allowed = matches!(piece.on, On::Any) || piece.on.allows(*stock);
            let lies = greedy::ways(&item).any(|((w, h), _)| w <= line.width && h <= line.height);
            if allowed && lies {
                item.lines |= 1 << bit;
            }
        }
        if item.lines == 0 {
            self.trouble.get_or_insert(WhyNot::TooLarge(index));
        }
        let alike = |kind: &&mut Kind| {
            let other = &kind.item;
            (other.width, other.height, other.turn, other.lines) == (width, height, item.turn, item.lines)
        };
        match self.kinds.iter_mut().find(alike) {
            Some(kind) => {
                kind.members.push((index, piece.count));
                kind.count = kind.count.saturating_add(piece.count);
            }
            None => self.kinds.push(Kind { item, members: vec![(index, piece.count)], count: piece.count }),
        }
    }

    fn answer(&self, allowed: u64) -> Fits {
        let proven = |why: WhyNot| if self.lines_missing { Fits::Unknown } else { Fits::No(why) };
        if let Some(why) = self.trouble {
            return proven(why);
        }
        if self.kinds.is_empty() {
            return Fits::Yes(Plan::default());
        }
        if !self.area_suffices() {
            return proven(WhyNot::Area);
        }
        let total: u64 = self.kinds.iter().map(|kind| u64::from(kind.count)).sum();
        let mut work = 0;
        if total <= allowed / 16 && total <= 1 << 20 {
            let items = self.items();
            let lines: Vec<Line> = self.lines.iter().map(|(line, _)| *line).collect();
            if let Some(sheets) = greedy::place_all(&items, &lines, &mut work) {
                return Fits::Yes(self.plan(&sheets));
            }
        }
        if let Some(piece) = self.yields_too_little() {
            return proven(WhyNot::TooMany(piece));
        }
        match Search::new(self, work, allowed).and_then(Search::run) {
            Some(Some(sheets)) => Fits::Yes(self.plan(&sheets)),
            Some(None) => proven(WhyNot::Searched),
            None => Fits::Unknown,
        }
    }

    fn items(&self) -> Vec<Item> {
        self.kinds
            .iter()
            .flat_map(|kind| kind.members.iter().map(|&member| (kind.item, member)))
            .flat_map(|(item, (piece, count))| (0..count).map(move |_| Item { piece, ..item }))
            .collect()
    }

    fn area_suffices(&self) -> bool {
        let area = |w: i64, h: i64| i128::from(w) * i128::from(h);
        let masks = self.kinds.iter().map(|kind| kind.item.lines).chain([u128::MAX]);
        masks.into_iter().all(|mask| {
            let needs: i128 = self
                .kinds
                .iter()
                .filter(|kind| kind.item.lines & !mask == 0)
                .map(|kind| area(kind.item.width, kind.item.height).saturating_mul(i128::from(kind.count)))
                .fold(0, i128::saturating_add);
            let has: i128 = (0..self.lines.len())
                .filter(|bit| mask >> bit & 1 == 1)
                .map(|bit| self.lines[bit].0)
                .map(|line| area(line.width, line.height).saturating_mul(i128::from(line.count)))
                .fold(0, i128::saturating_add);
            needs <= has
        })
    }

    fn yields_too_little(&self) -> Option<PieceIndex> {
        let short = |kind: &&Kind| {
            let item = &kind.item;
            let from = |line: &Line| {
                u64::from(yields::count(line.width, line.height, item.width, item.height, item.turn))
                    .saturating_mul(u64::from(line.count))
            };
            let most = (0..self.lines.len())
                .filter(|bit| item.lines >> bit & 1 == 1)
                .fold(0u64, |sum, bit| sum.saturating_add(from(&self.lines[bit].0)));
            most < u64::from(kind.count)
        };
        self.kinds.iter().find(short).map(|kind| kind.item.piece)
    }

    fn plan(&self, sheets: &[Growing]) -> Plan {
        let corner = (self.rules.trims.left, self.rules.trims.top);
        let mut plan = Plan::default();
        for sheet in sheets {
            let root = sheet.part(self.cut, corner);
            let stock = self.lines[sheet.line].1;
            plan.sheets.push(CutSheet { stock, copies: 1, root });
        }
        plan.sheets.sort_by_key(|sheet| sheet.stock);
        plan
    }
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
struct Search<'a> {
    question: &'a Question<'a>,
    radix: Vec<usize>,
    states: usize,
    blocks: Vec<Vec<Block>>,
    /// The lines all pieces of a state may come from and could fit by area.
    lines: Vec<u128>,
    work: u64,
    allowed: u64,
}

impl<'a> Search<'a> {
    fn new(question: &'a Question<'a>, work: u64, allowed: u64) -> Option<Self> {
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
        Some(Self { question, radix, states, blocks, lines, work, allowed })
    }

    /// `Some(None)`: proven impossible; `None`: the work ran out.
    fn run(mut self) -> Option<Option<Vec<Growing>>> {
        let counts: Vec<Vec<u32>> = (0..self.states).map(|state| self.counts(state)).collect();
        for (state, count) in counts.iter().enumerate().skip(1) {
            self.lines[state] = self.lines_of(count);
            if self.lines[state] != 0 {
                self.build(state, &counts)?;
            }
        }
        self.choose(&counts)
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
        (self.work <= self.allowed).then_some(())
    }

    /// The cheapest way to spread the whole list over the lines.
    fn choose(&mut self, counts: &[Vec<u32>]) -> Option<Option<Vec<Growing>>> {
        let question = self.question;
        let subs: Vec<Vec<u32>> = counts.iter().map(|count| self.sub_states(count)).collect();
        self.work += subs.iter().map(|sub| sub.len() as u64).sum::<u64>() * 2 * question.lines.len() as u64;
        if self.work > self.allowed {
            return None;
        }
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
                        && self.blocks[part as usize].iter().any(|b| b.width <= line.width && b.height <= line.height)
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
        let mut state = self.states - 1;
        if cheapest[question.lines.len()][state].is_none() {
            return Some(None);
        }
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

    fn sheet(&self, bit: usize, state: u32, left: &mut [Vec<(PieceIndex, u32)>]) -> Option<Growing> {
        let line = &self.question.lines[bit].0;
        let fits = |block: &Block| block.width <= line.width && block.height <= line.height;
        let index = self.blocks[state as usize].iter().position(fits)?;
        let mut sheet = Growing::new(bit, line.width, line.height);
        let mut waiting = vec![(0usize, (state, u32::try_from(index).ok()?))];
        while let Some((node, (state, index))) = waiting.pop() {
            let block = self.blocks[state as usize][index as usize];
            let node = sheet.trim(node, (block.width, block.height));
            match block.made {
                Made::Piece(turned) => {
                    let kind = self.radix.iter().position(|radix| *radix == state as usize)?;
                    let members = &mut left[kind];
                    let last = members.last_mut()?;
                    let piece = last.0;
                    last.1 -= 1;
                    if last.1 == 0 {
                        members.pop();
                    }
                    sheet.finish(node, piece, turned);
                }
                Made::Join(axis, near, far) => {
                    let first = self.blocks[near.0 as usize][near.1 as usize];
                    let size = if axis == Axis::X { first.width } else { first.height };
                    let cut = sheet.split(node, axis, size);
                    waiting.extend([(cut, near), (cut + 1, far)]);
                }
            }
        }
        Some(sheet)
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
