//! Step 7, a plan at once: pieces one by one into the free part they fit best.
//!
//! In come pieces and sheets as bare whole numbers (the caller has added the width of a cut to both,
//! after which cuts take nothing away), out goes a tree for each sheet opened. It proves nothing.

use crate::cut::tree::{Axis, Becomes, Cut, Part, Side, Turned};
use crate::cut::{PieceIndex, Turn};
use units::Length;

/// One piece to place: sizes with the cut width added, and the lines it may come from as bits.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    pub(super) piece: PieceIndex,
    pub(super) width: i64,
    pub(super) height: i64,
    pub(super) turn: Turn,
    pub(super) lines: u128,
}

/// A line of equal sheets, sizes with the cut width added; cheapest first in a list.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub(super) width: i64,
    pub(super) height: i64,
    pub(super) count: u32,
    pub(super) cost: i128,
}

/// What lies at a node of a sheet's tree.
#[derive(Clone, Copy, Debug)]
enum At {
    Free,
    Piece(PieceIndex, Turned),
    Split(Axis, usize, usize),
}

#[derive(Clone, Copy, Debug)]
struct Node {
    x: i64,
    y: i64,
    width: i64,
    height: i64,
    at: At,
}

/// A sheet's tree while it grows; node 0 is the sheet.
#[derive(Clone, Debug)]
pub(super) struct Growing {
    pub(super) line: usize,
    nodes: Vec<Node>,
}

impl Growing {
    pub(super) fn new(line: usize, width: i64, height: i64) -> Self {
        Self { line, nodes: vec![Node { x: 0, y: 0, width, height, at: At::Free }] }
    }

    /// How wide or high the part is, in the direction its cuts along `axis` would divide.
    pub(super) fn size(&self, node: usize, axis: Axis) -> i64 {
        if axis == Axis::X { self.nodes[node].width } else { self.nodes[node].height }
    }

    pub(super) fn split(&mut self, node: usize, axis: Axis, size: i64) -> usize {
        let whole = self.nodes[node];
        let (mut near, mut far) = (whole, whole);
        match axis {
            Axis::X => {
                near.width = size;
                far.x += size;
                far.width -= size;
            }
            Axis::Y => {
                near.height = size;
                far.y += size;
                far.height -= size;
            }
        }
        let first = self.nodes.len();
        self.nodes.extend([near, far]);
        self.nodes[node].at = At::Split(axis, first, first + 1);
        first
    }

    /// Cuts the free part `node` so that the larger leftover stays whole, and puts the piece in its corner.
    pub(super) fn place(&mut self, node: usize, piece: PieceIndex, size: (i64, i64), turned: Turned) {
        let at = self.trim(node, size);
        self.finish(at, piece, turned);
    }

    /// The part `node` is the piece.
    pub(super) fn finish(&mut self, node: usize, piece: PieceIndex, turned: Turned) {
        self.nodes[node].at = At::Piece(piece, turned);
    }

    /// Cuts the part `node` to a size, the larger leftover whole; gives the part of that size.
    pub(super) fn trim(&mut self, node: usize, size: (i64, i64)) -> usize {
        let Node { width, height, .. } = self.nodes[node];
        let (right, below) = (width - size.0, height - size.1);
        let x_first = i128::from(right) * i128::from(height) >= i128::from(below) * i128::from(width);
        let order = if x_first { [Axis::X, Axis::Y] } else { [Axis::Y, Axis::X] };
        let mut at = node;
        for axis in order {
            let (length, rest) = if axis == Axis::X { (size.0, right) } else { (size.1, below) };
            if rest > 0 {
                at = self.split(at, axis, length);
            }
        }
        at
    }

    /// The tree in true sizes: every part `cut` less wide and high than here, moved by `corner`.
    pub(super) fn part(&self, cut: i64, corner: (Length, Length)) -> Part {
        self.part_of(0, cut, corner)
    }

    fn part_of(&self, node: usize, cut: i64, corner: (Length, Length)) -> Part {
        let nm = Length::from_nanometres;
        let Node { x, y, width, height, at } = self.nodes[node];
        let becomes = match at {
            At::Free => Becomes::Offcut,
            At::Piece(piece, turned) => Becomes::Piece { piece, turned },
            At::Split(axis, near, far) => {
                let mut parts = [self.part_of(near, cut, corner), self.part_of(far, cut, corner)];
                let place = if axis == Axis::X { corner.0 + nm(x) } else { corner.1 + nm(y) };
                let size = if axis == Axis::X { parts[0].width } else { parts[0].height };
                pull_in(&mut parts[1], (corner.0 + nm(x + width - cut), corner.1 + nm(y + height - cut)));
                let [near, far] = parts;
                let held = if near.width.min(near.height) > far.width.min(far.height) { Side::Near } else { Side::Far };
                Becomes::Cut(Box::new(Cut { axis, at: place + size, held, near, far }))
            }
        };
        let size = |length: i64| nm((length - cut).max(0));
        Part { x: corner.0 + nm(x), y: corner.1 + nm(y), width: size(width), height: size(height), becomes }
    }
}

/// A leftover narrower than the cut is gone: it begins where the part ends.
fn pull_in(part: &mut Part, end: (Length, Length)) {
    part.x = part.x.min(end.0);
    part.y = part.y.min(end.1);
}

/// The orders in which pieces are tried.
const ORDERS: [fn(&Item) -> i128; 4] = [
    |item| i128::from(item.width) * i128::from(item.height),
    |item| i128::from(item.width.max(item.height)),
    |item| i128::from(item.height),
    |item| i128::from(item.width),
];

/// Tries a few orders, and gives the first that places everything. Adds to `work` what it did.
pub(super) fn place_all(items: &[Item], lines: &[Line], work: &mut u64) -> Option<Vec<Growing>> {
    for key in ORDERS {
        let mut order: Vec<&Item> = items.iter().collect();
        order.sort_by_key(|item| (item.lines.count_ones(), std::cmp::Reverse(key(item)), item.piece));
        if let Some(sheets) = place_in_order(&order, lines, work) {
            return Some(sheets);
        }
    }
    None
}

fn place_in_order(order: &[&Item], lines: &[Line], work: &mut u64) -> Option<Vec<Growing>> {
    let mut open: Vec<Growing> = Vec::new();
    let mut left: Vec<u32> = lines.iter().map(|line| line.count).collect();
    for item in order {
        let mut best: Option<((i64, i64), usize, usize, Turned)> = None;
        for (s, sheet) in open.iter().enumerate().filter(|(_, sheet)| item.lines >> sheet.line & 1 == 1) {
            *work += sheet.nodes.len() as u64;
            for (n, node) in sheet.nodes.iter().enumerate().filter(|(_, node)| matches!(node.at, At::Free)) {
                for (size, turned) in ways(item) {
                    let rest = (node.width - size.0, node.height - size.1);
                    if rest.0 < 0 || rest.1 < 0 {
                        continue;
                    }
                    let score = (rest.0.min(rest.1), rest.0.max(rest.1));
                    if best.is_none_or(|(other, ..)| score < other) {
                        best = Some((score, s, n, turned));
                    }
                }
            }
        }
        let (sheet, node, turned) = match best {
            Some((_, sheet, node, turned)) => (sheet, node, turned),
            None => {
                let (line, turned) = (0..lines.len())
                    .filter(|&l| item.lines >> l & 1 == 1 && left[l] > 0)
                    .find_map(|l| fitting(item, lines[l].width, lines[l].height).map(|turned| (l, turned)))?;
                if left[line] != crate::cut::Stock::PLENTY {
                    left[line] -= 1;
                }
                open.push(Growing::new(line, lines[line].width, lines[line].height));
                (open.len() - 1, 0, turned)
            }
        };
        open[sheet].place(node, item.piece, sized(item, turned), turned);
    }
    Some(open)
}

/// The ways a piece may lie.
pub(super) fn ways(item: &Item) -> impl Iterator<Item = ((i64, i64), Turned)> {
    let second = (item.turn == Turn::Either && item.width != item.height)
        .then_some(((item.height, item.width), Turned::Quarter));
    [((item.width, item.height), Turned::No)].into_iter().chain(second)
}

/// The item's size as it lies.
pub(super) fn sized(item: &Item, turned: Turned) -> (i64, i64) {
    match turned {
        Turned::No => (item.width, item.height),
        Turned::Quarter => (item.height, item.width),
    }
}

/// How it lies, of the ways that fit, with the least room left in one direction.
fn fitting(item: &Item, width: i64, height: i64) -> Option<Turned> {
    ways(item)
        .filter(|((w, h), _)| *w <= width && *h <= height)
        .min_by_key(|((w, h), turned)| ((width - w).min(height - h), *turned))
        .map(|(_, turned)| turned)
}
