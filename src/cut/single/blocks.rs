//! Blocks of pieces built bottom up, each a rectangle with its leftovers inside.
//!
//! After Wang (1983) and Viswanathan and Bagchi (1993): every pair of blocks is laid side by side and
//! one above the other; a block whose bound (its worth at the prices, and the most the sheet outside
//! it can give) does not pass a goal is dropped. The goal starts just below the bound of the whole
//! and is lowered until a plan passes it (as in iterative deepening, Korf 1985), so that a search
//! which ends without one proves a lower bound. Of blocks of the same pieces only the smallest stay.

use super::price::Priced;
use super::reach::{NONE, Reach};
use super::relax::{Inside, outside};
use super::{Answer, Sheet, Tree};
use crate::cut::tree::{Axis, Turned};
use crate::cut::work::Work;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap, HashMap};

/// Counts of the kinds, packed with a guard bit each.
type Counts = [u64; 4];
/// More blocks than this are not kept.
const MOST_BLOCKS: usize = 3_000_000;

/// How counts are packed: word, shift and the guards that show when there are too many.
struct Packing {
    places: Vec<(usize, u32)>,
    bias: Counts,
    guards: Counts,
}

impl Packing {
    fn new(sheet: &Sheet) -> Option<Self> {
        let (mut word, mut shift) = (0, 0);
        let mut packing = Self { places: Vec::new(), bias: [0; 4], guards: [0; 4] };
        for kind in &sheet.kinds {
            let bits = u32::BITS - kind.most.leading_zeros();
            if kind.most == 0 {
                packing.places.push((0, 0));
                continue;
            }
            if shift + bits + 1 > 64 {
                (word, shift) = (word + 1, 0);
            }
            if word == 4 {
                return None;
            }
            packing.places.push((word, shift));
            packing.bias[word] |= ((1u64 << bits) - 1 - u64::from(kind.most)) << shift;
            packing.guards[word] |= 1 << (shift + bits);
            shift += bits + 1;
        }
        Some(packing)
    }

    fn one(&self, kind: usize) -> Counts {
        let mut counts = [0; 4];
        let (word, shift) = self.places[kind];
        counts[word] = 1 << shift;
        counts
    }

    /// The counts together, if there are as many copies.
    fn both(&self, a: &Counts, b: &Counts) -> Option<Counts> {
        let mut sum = [0; 4];
        let mut over = 0;
        for word in 0..4 {
            sum[word] = a[word] + b[word];
            over |= (sum[word] + self.bias[word]) & self.guards[word];
        }
        (over == 0).then_some(sum)
    }
}

#[derive(Clone, Copy)]
struct Block {
    counts: Counts,
    x: u16,
    y: u16,
    value: i64,
    /// Worth at the prices, in parts.
    worth: i64,
    made: Made,
    /// Another with the same pieces is no larger.
    dropped: bool,
}

#[derive(Clone, Copy)]
enum Made {
    Piece(usize, Turned),
    Join(Axis, u32, u32),
}

/// Closed blocks of one size, worth most first.
struct SameSize {
    x: usize,
    y: usize,
    /// The most that any of them is worth.
    most: i64,
    members: Vec<(i64, u32)>,
}

struct Search<'a> {
    sheet: &'a Sheet,
    reach: &'a Reach,
    priced: &'a Priced,
    packing: Packing,
    outside: Vec<i64>,
    blocks: Vec<Block>,
    known: HashMap<Counts, Vec<u32>>,
    sizes: Vec<SameSize>,
    size_at: BTreeMap<(u16, u16), usize>,
    /// A block's bound must pass this, in parts.
    goal: i64,
    best: Option<(i64, u32)>,
    waiting: BinaryHeap<Reverse<(i64, u32)>>,
}

/// Improves `answer` until its value and bound meet or the work is done.
pub(super) fn search(sheet: &Sheet, reach: &Reach, priced: &Priced, limit: u64, work: &mut Work, answer: &mut Answer) {
    let Some(packing) = Packing::new(sheet) else { return };
    let inside = Inside::new(reach, &priced.lying, &priced.prices.values, work);
    let mut search = Search {
        sheet,
        reach,
        priced,
        packing,
        outside: outside(reach, &inside, work),
        blocks: Vec::new(),
        known: HashMap::new(),
        sizes: Vec::new(),
        size_at: BTreeMap::new(),
        goal: 0,
        best: None,
        waiting: BinaryHeap::new(),
    };
    let mut slack = ((answer.bound - answer.value) / 32).max(1);
    while answer.value < answer.bound && !work.past(limit) {
        let goal = (answer.bound - slack).max(answer.value);
        let ended = search.run(goal, limit, work);
        if let Some((value, block)) = search.best
            && value > answer.value
        {
            answer.value = value;
            answer.tree = Some(search.tree(block));
        }
        if !ended {
            break;
        }
        // Nothing passes the goal but what was found.
        answer.bound = answer.bound.min(goal.max(answer.value));
        slack *= 3;
    }
}

impl Search<'_> {
    /// Looks at every block whose bound passes `goal`; no if the work ran out before the end.
    fn run(&mut self, goal: i64, limit: u64, work: &mut Work) -> bool {
        self.blocks.clear();
        self.known.clear();
        self.sizes.clear();
        self.size_at.clear();
        self.waiting.clear();
        self.best = None;
        self.goal = self.parts(goal);
        for piece in &self.priced.lying {
            let value = self.sheet.kinds[piece.kind].value;
            let (x, y) = (u16::try_from(piece.x).unwrap_or(NONE), u16::try_from(piece.y).unwrap_or(NONE));
            let worth = self.priced.prices.values[piece.kind];
            let made = Made::Piece(piece.kind, piece.turned);
            let counts = self.packing.one(piece.kind);
            self.open(Block { counts, x, y, value, worth, made, dropped: false });
        }
        while let Some(Reverse((_, next))) = self.waiting.pop() {
            if self.blocks[next as usize].dropped {
                continue;
            }
            self.close(next);
            self.join(next, work);
            if work.past(limit) || self.blocks.len() > MOST_BLOCKS {
                return false;
            }
        }
        true
    }

    /// The goal in parts, so that a bound of the goal itself does not pass.
    fn parts(&self, goal: i64) -> i64 {
        let prices = &self.priced.prices;
        (goal + 1) * prices.fine - 1 - prices.copies
    }

    fn outside(&self, x: usize, y: usize) -> i64 {
        self.outside[x * self.reach.y.len() + y]
    }

    fn open(&mut self, block: Block) {
        if block.worth + self.outside(block.x.into(), block.y.into()) <= self.goal {
            return;
        }
        let index = u32::try_from(self.blocks.len()).unwrap_or(u32::MAX);
        let same = self.known.entry(block.counts).or_default();
        for &other in same.iter() {
            let other = &self.blocks[other as usize];
            if other.x <= block.x && other.y <= block.y {
                return;
            }
        }
        let blocks = &mut self.blocks;
        same.retain(|&other| {
            let other = &mut blocks[other as usize];
            let needless = block.x <= other.x && block.y <= other.y;
            other.dropped |= needless;
            !needless
        });
        same.push(index);
        if self.best.is_none_or(|(value, _)| block.value > value) {
            self.best = Some((block.value, index));
            self.goal = self.goal.max(self.parts(block.value));
        }
        let area = self.reach.x.at[usize::from(block.x)] * self.reach.y.at[usize::from(block.y)];
        self.waiting.push(Reverse((area, index)));
        self.blocks.push(block);
    }

    fn close(&mut self, index: u32) {
        let Block { x, y, worth, .. } = self.blocks[index as usize];
        let sizes = &mut self.sizes;
        let size = *self.size_at.entry((x, y)).or_insert_with(|| {
            sizes.push(SameSize { x: x.into(), y: y.into(), most: worth, members: Vec::new() });
            sizes.len() - 1
        });
        let members = &mut self.sizes[size].members;
        let place = members.partition_point(|(other, _)| *other >= worth);
        members.insert(place, (worth, index));
        self.sizes[size].most = self.sizes[size].members[0].0;
    }

    /// Lays the block beside and above every closed one.
    fn join(&mut self, index: u32, work: &mut Work) {
        let block = self.blocks[index as usize];
        let (x, y) = (usize::from(block.x), usize::from(block.y));
        work.add(self.sizes.len() as u64);
        for size in 0..self.sizes.len() {
            let SameSize { x: ox, y: oy, most, .. } = self.sizes[size];
            let beside = (self.reach.x.sum(x, ox), y.max(oy));
            let above = (self.reach.y.sum(y, oy), x.max(ox));
            if beside.0 != NONE {
                let place = (usize::from(beside.0), beside.1);
                let needs = self.goal - self.outside(place.0, place.1) - block.worth;
                if most > needs {
                    self.join_all(index, size, Axis::X, place, needs, work);
                }
            }
            if above.0 != NONE {
                let place = (above.1, usize::from(above.0));
                let needs = self.goal - self.outside(place.0, place.1) - block.worth;
                if most > needs {
                    self.join_all(index, size, Axis::Y, place, needs, work);
                }
            }
        }
    }

    fn join_all(&mut self, index: u32, size: usize, axis: Axis, place: (usize, usize), needs: i64, work: &mut Work) {
        let block = self.blocks[index as usize];
        let mut member = 0;
        while let Some(&(worth, other)) = self.sizes[size].members.get(member) {
            if worth <= needs {
                break;
            }
            member += 1;
            work.add(2);
            let partner = &self.blocks[other as usize];
            if partner.dropped {
                continue;
            }
            let Some(counts) = self.packing.both(&block.counts, &partner.counts) else { continue };
            let value = block.value + partner.value;
            let (x, y) = (u16::try_from(place.0).unwrap_or(NONE), u16::try_from(place.1).unwrap_or(NONE));
            let made = Made::Join(axis, other, index);
            self.open(Block { counts, x, y, value, worth: block.worth + worth, made, dropped: false });
            work.add(10);
        }
    }

    fn tree(&self, index: u32) -> Tree {
        match self.blocks[index as usize].made {
            Made::Piece(kind, turned) => Tree::Piece(kind, turned),
            Made::Join(axis, near, far) => Tree::Join(axis, Box::new((self.tree(near), self.tree(far)))),
        }
    }
}
