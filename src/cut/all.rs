//! Step 7, *all pieces*: from as few sheets, or as cheap stock, as can be.
//!
//! Sheets that repeat are cut off the question first, where there are thousands of pieces; the rest is
//! for [`many`]. Makes the order in which stock comes to be ([`Stock::made_by`]) right.

use crate::cut::greedy::Growing;
use crate::cut::many::{self, Aim, Item, Job, Line, Strips, strips::What};
use crate::cut::plan::Found;
use crate::cut::scale::{Scale, lies, usable};
use crate::cut::single::{self, Kind, Sheet, Tree};
use crate::cut::tree::{Axis, CutSheet, Part, Plan, Turned};
use crate::cut::work::Work;
use crate::cut::{Piece, PieceIndex, Problem, Stages, Stock, StockIndex, Turn};
use std::collections::BTreeMap;

/// More pieces than this are not laid one by one.
const MOST_ITEMS: u64 = 4000;
/// Steps for a sheet that is to repeat.
const REPEATED: u64 = 30_000_000;

/// How many of each piece and each sheet are still to be had.
pub(super) struct Left {
    pub(super) pieces: Vec<u32>,
    pub(super) stock: Vec<u32>,
}

impl Left {
    pub(super) fn new(problem: &Problem) -> Self {
        let made = |stock: &Stock| match stock.made_by {
            // All pieces are cut, so all the stock they make will be there.
            Some(piece) => stock.count.min(problem.pieces.get(piece.0).map_or(0, |p| p.count)),
            None => stock.count,
        };
        Self {
            pieces: problem.pieces.iter().map(|piece| piece.count).collect(),
            stock: problem.stock.iter().map(made).collect(),
        }
    }

    fn total(&self) -> u64 {
        self.pieces.iter().map(|count| u64::from(*count)).sum()
    }
}

/// A plan for all pieces, and the least that any plan needs.
pub(super) fn pieces(problem: &Problem, scale: &Scale, limit: u64, work: &mut Work<'_>) -> Found {
    let mut left = Left::new(problem);
    let bound = lower(problem, scale, &left);
    let mut sheets = repeated(problem, scale, &mut left, work);
    let job = job(problem, scale, &left, Aim::All);
    let least = if sheets.is_empty() { bound.0 } else { many::bound::lower(&job.lines, &kinds(problem, scale, &left)) };
    let filled = many::search(&job, Vec::new(), least, limit, work);
    let owner = owners(&left);
    sheets.extend(filled.sheets.iter().map(|strips| sheet(problem, scale, strips, &owner)));
    let mut out: BTreeMap<PieceIndex, u32> = BTreeMap::new();
    filled.out.iter().for_each(|item| *out.entry(PieceIndex(owner[*item])).or_default() += 1);
    let mut unplaced: Vec<(PieceIndex, u32)> = out.into_iter().collect();
    let beyond = left.total().saturating_sub(owner.len() as u64);
    if beyond > 0 {
        unplaced = missing(problem, &sheets);
    }
    let plan = Plan { sheets: in_order(problem, sheets), unplaced };
    Found { plan, bound: if scale.exact { i128::from(bound.0) * scale.cost_unit } else { 0 } }
}

struct Bound(i64);

fn lower(problem: &Problem, scale: &Scale, left: &Left) -> Bound {
    Bound(many::bound::lower(&lines(scale, left), &kinds(problem, scale, left)))
}

/// What is wanted and on no sheet.
pub(super) fn missing(problem: &Problem, sheets: &[CutSheet]) -> Vec<(PieceIndex, u32)> {
    let plan = Plan { sheets: sheets.to_vec(), unplaced: Vec::new() };
    let copies = plan.copies(problem.pieces.len());
    let short = |(index, (piece, cut)): (usize, (&Piece, u64))| {
        let left = u64::from(piece.count).saturating_sub(cut);
        (left > 0).then(|| (PieceIndex(index), u32::try_from(left).unwrap_or(u32::MAX)))
    };
    problem.pieces.iter().zip(copies).enumerate().filter_map(short).collect()
}

fn lines(scale: &Scale, left: &Left) -> Vec<Line> {
    let line = |((&(width, height), &cost), &count): ((&(i64, i64), &i64), &u32)| Line { width, height, count, cost };
    scale.stock.iter().zip(&scale.costs).zip(&left.stock).map(line).collect()
}

/// Pieces with how many of each.
fn kinds(problem: &Problem, scale: &Scale, left: &Left) -> Vec<(Item, u64)> {
    let item = |piece: usize| Item {
        width: scale.pieces[piece].0,
        height: scale.pieces[piece].1,
        turns: problem.pieces[piece].turn == Turn::Either,
        row: piece,
        weight: scale.values[piece],
    };
    (0..problem.pieces.len())
        .filter(|piece| left.pieces[*piece] > 0)
        .map(|piece| (item(piece), u64::from(left.pieces[piece])))
        .collect()
}

/// The piece of each item, as many as are laid one by one.
pub(super) fn owners(left: &Left) -> Vec<usize> {
    let most = usize::try_from(MOST_ITEMS).unwrap_or(usize::MAX);
    left.pieces.iter().enumerate().flat_map(|(piece, count)| (0..*count).map(move |_| piece)).take(most).collect()
}

/// The question for [`many`].
pub(super) fn job(problem: &Problem, scale: &Scale, left: &Left, aim: Aim) -> Job {
    let kinds: BTreeMap<usize, Item> =
        kinds(problem, scale, left).into_iter().map(|(item, _)| (item.row, item)).collect();
    let items = owners(left).into_iter().map(|piece| kinds[&piece]).collect();
    let may = |piece: usize, line: usize| {
        problem.pieces[piece].on.allows(StockIndex(line))
            && lies(scale.pieces[piece], problem.pieces[piece].turn, scale.stock[line])
            && !comes_of_itself(problem, piece, line)
    };
    let allowed = (0..problem.pieces.len()).map(|p| (0..problem.stock.len()).map(|l| may(p, l)).collect()).collect();
    let stages = if let Stages::AtMost(stages) = problem.rules.stages { stages.into() } else { u32::MAX };
    Job { items, lines: lines(scale, left), allowed, stages, aim }
}

/// A piece that makes stock comes only from stock made by a larger one, so that one can be first.
pub(super) fn comes_of_itself(problem: &Problem, piece: usize, line: usize) -> bool {
    let makes = problem.stock.iter().any(|stock| stock.made_by == Some(PieceIndex(piece)));
    let Some(maker) = problem.stock[line].made_by.and_then(|maker| problem.pieces.get(maker.0)) else { return false };
    makes && problem.pieces[piece].area() >= maker.area()
}

/// Where there are thousands of pieces: sheets cut alike, each as full as can be found quickly.
fn repeated(problem: &Problem, scale: &Scale, left: &mut Left, work: &mut Work<'_>) -> Vec<CutSheet> {
    let mut sheets = Vec::new();
    let mut order: Vec<usize> =
        (0..problem.stock.len()).filter(|line| problem.stock[*line].made_by.is_none()).collect();
    let area = |line: usize| i128::from(scale.stock[line].0) * i128::from(scale.stock[line].1);
    order.sort_by(|a, b| {
        let (dear_a, dear_b) = (i128::from(scale.costs[*a]) * area(*b), i128::from(scale.costs[*b]) * area(*a));
        dear_a.cmp(&dear_b).then(area(*b).cmp(&area(*a))).then(a.cmp(b))
    });
    for line in order {
        while left.total() > MOST_ITEMS && left.stock[line] > 0 && !work.past(u64::MAX) {
            let until = work.done() + REPEATED;
            let values: Vec<i64> = scale.pieces.iter().map(|(w, h)| w.saturating_mul(*h)).collect();
            let answer = single::solve(&one_sheet(problem, scale, left, line, &values), until, work);
            let Some(tree) = answer.tree else { break };
            let mut counts = vec![0; problem.pieces.len()];
            tree.count(&mut counts);
            let most = counts.iter().zip(&left.pieces).filter(|(n, _)| **n > 0).map(|(n, has)| has / n).min();
            let copies = most.unwrap_or(0).min(left.stock[line]);
            if copies == 0 {
                break;
            }
            for (has, n) in left.pieces.iter_mut().zip(&counts) {
                *has -= n * copies;
            }
            take(&mut left.stock[line], copies);
            sheets.push(CutSheet { copies, ..tree_sheet(problem, scale, line, &tree) });
        }
    }
    sheets
}

/// Fewer of what can run out.
pub(super) fn take(count: &mut u32, copies: u32) {
    if *count != Stock::PLENTY {
        *count -= copies;
    }
}

/// One sheet of a line and what is left to cut from it.
pub(super) fn one_sheet(problem: &Problem, scale: &Scale, left: &Left, line: usize, values: &[i64]) -> Sheet {
    let kind = |piece: usize| {
        let asked = &problem.pieces[piece];
        let may = asked.on.allows(StockIndex(line)) && !comes_of_itself(problem, piece, line);
        Kind {
            width: scale.pieces[piece].0,
            height: scale.pieces[piece].1,
            value: values[piece],
            most: if may { left.pieces[piece] } else { 0 },
            turns: asked.turn == Turn::Either,
        }
    };
    let (width, height) = scale.stock[line];
    Sheet { width, height, kinds: (0..problem.pieces.len()).map(kind).collect() }
}

/// A tree as cuts.
pub(super) fn tree_sheet(problem: &Problem, scale: &Scale, line: usize, tree: &Tree) -> CutSheet {
    let sizes: Vec<Kind> =
        scale.pieces.iter().map(|&(width, height)| Kind { width, height, value: 0, most: 0, turns: true }).collect();
    let (mut growing, finish) = start(problem, scale, line);
    grow(&mut growing, 0, tree, &sizes, scale);
    finish(&growing)
}

/// A whole sheet of a line, and how to end it.
fn start(problem: &Problem, scale: &Scale, line: usize) -> (Growing, impl Fn(&Growing) -> CutSheet) {
    let (width, height) = usable(&problem.stock[line], &problem.rules);
    let corner = (problem.rules.trims.left, problem.rules.trims.top);
    let cut = scale.cut;
    let finish = move |growing: &Growing| {
        let root: Part = growing.part(cut, corner);
        CutSheet { stock: StockIndex(line), copies: 1, root }
    };
    (Growing::new(line, width, height), finish)
}

fn grow(growing: &mut Growing, node: usize, tree: &Tree, kinds: &[Kind], scale: &Scale) {
    let unit = scale.unit;
    let (w, h) = tree.size(kinds);
    match tree {
        Tree::Piece(piece, turned) => finish_piece(growing, node, (*piece, *turned), scale, (w, h)),
        Tree::Join(axis, two) => {
            let node = growing.trim(node, (w * unit, h * unit));
            let (w, h) = two.0.size(kinds);
            let size = if *axis == Axis::X { w } else { h };
            let first = growing.split(node, *axis, size * unit);
            grow(growing, first, &two.0, kinds, scale);
            grow(growing, first + 1, &two.1, kinds, scale);
        }
    }
}

/// Trims a part to the true size of its piece, which is less than its units where those are coarse.
fn finish_piece(
    growing: &mut Growing,
    node: usize,
    (piece, turned): (usize, Turned),
    scale: &Scale,
    units: (i64, i64),
) {
    let size = scale.true_size(piece, turned).unwrap_or((units.0 * scale.unit, units.1 * scale.unit));
    let node = growing.trim(node, size);
    growing.finish(node, PieceIndex(piece), turned);
}

/// Strips as cuts.
pub(super) fn sheet(problem: &Problem, scale: &Scale, strips: &Strips, owner: &[usize]) -> CutSheet {
    let (mut growing, finish) = start(problem, scale, strips.line);
    strip(&mut growing, 0, strips, 0, owner, scale);
    finish(&growing)
}

fn strip(growing: &mut Growing, node: usize, sheet: &Strips, at: usize, owner: &[usize], scale: &Scale) {
    let n = sheet.nodes[at];
    match n.what {
        What::Piece { item, turned } => {
            let turned = if turned { Turned::Quarter } else { Turned::No };
            finish_piece(growing, node, (owner[item as usize], turned), scale, (n.width, n.height));
        }
        What::Strip(axis) => {
            let mut node = node;
            let end = at + n.len as usize;
            let mut part = at + 1;
            while part < end {
                let p = &sheet.nodes[part];
                let next = part + p.len as usize;
                let size = if axis == Axis::X { p.width } else { p.height } * scale.unit;
                let mut here = node;
                if growing.size(node, axis) > size {
                    here = growing.split(node, axis, size);
                    node = here + 1;
                }
                strip(growing, here, sheet, part, owner, scale);
                part = next;
            }
        }
    }
}

/// The sheets in an order in which stock is there before it is cut; equal lines together.
pub(super) fn in_order(problem: &Problem, mut sheets: Vec<CutSheet>) -> Vec<CutSheet> {
    sheets.sort_by_key(|sheet| {
        let maker = problem.stock[sheet.stock.0].made_by.and_then(|maker| problem.pieces.get(maker.0));
        // Made stock last, that of larger pieces first.
        (maker.map(|piece| -piece.area().square_nanometres()), sheet.stock)
    });
    sheets
}
