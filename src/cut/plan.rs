//! Step 7, *plan the cuts*: a whole problem in, the best plan found and what no plan can beat out.
//!
//! Chooses the method for the goal, turns lengths into small whole numbers and trees into cuts, and
//! gives no plan that [`check`] finds fault with.

use crate::cut::greedy::Growing;
use crate::cut::many::{self, Filled, Item, Job, Strips, strips::What};
use crate::cut::single::{self, Kind, Sheet, Tree};
use crate::cut::tree::{Axis, CutSheet, Plan, Turned};
use crate::cut::work::Work;
use crate::cut::{Goal, PieceIndex, Problem, Stages, Stock, StockIndex, Turn, check};
use std::collections::BTreeMap;

/// How hard the planner may try.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    /// Steps of work, counted and never timed, so that the same input gives the same plan.
    pub work: u64,
    /// Asked now and then whether to end at once (a wall clock, a closed window). A plan that it cut
    /// short says so, for another run may come further.
    pub stop: Option<&'a dyn Fn() -> bool>,
}

/// The best plan found, and how good it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// The plan.
    pub plan: Plan,
    /// The value of the pieces cut.
    pub value: i128,
    /// The cost of the sheets opened.
    pub cost: i128,
    /// What no plan can beat: most value, fewest sheets or least cost, as the goal says.
    pub bound: i128,
    /// Whether the plan reaches the bound.
    pub proven: bool,
    /// Whether the safety stop struck before the work was done.
    pub cut_short: bool,
}

/// Plans the cuts.
#[must_use]
pub fn plan(problem: &Problem, effort: Effort<'_>) -> Answer {
    let mut work = Work::new(effort.stop);
    match problem.goal {
        Goal::MostValue => most_value(problem, effort.work, &mut work),
        Goal::FewestSheets | Goal::LeastCost => all_pieces(problem, effort.work, &mut work),
    }
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

fn most_value(problem: &Problem, limit: u64, work: &mut Work) -> Answer {
    let rules = &problem.rules;
    let cut = rules.cut_width.nanometres();
    let line = &problem.stock[0];
    let width = (line.width - rules.trims.left - rules.trims.right).nanometres() + cut;
    let height = (line.height - rules.trims.top - rules.trims.bottom).nanometres() + cut;
    let mut unit = 0i128;
    let mut worth = 0i128;
    for piece in &problem.pieces {
        unit = gcd(gcd(unit, (piece.width.nanometres() + cut).into()), (piece.height.nanometres() + cut).into());
        worth = gcd(worth, piece.value.of(piece.width, piece.height));
    }
    let small = |length: i64| i64::try_from(i128::from(length) / unit.max(1)).unwrap_or(i64::MAX);
    let kinds = problem
        .pieces
        .iter()
        .map(|piece| Kind {
            width: small(piece.width.nanometres() + cut),
            height: small(piece.height.nanometres() + cut),
            value: i64::try_from(piece.value.of(piece.width, piece.height) / worth.max(1)).unwrap_or(0),
            most: piece.count,
            turns: piece.turn == Turn::Either,
        })
        .collect();
    let sheet = Sheet { width: small(width), height: small(height), kinds };
    let found = single::solve(&sheet, limit, work);
    let mut plan = Plan::default();
    if let Some(tree) = &found.tree {
        let mut growing = Growing::new(0, width, height);
        grow(&mut growing, 0, tree, &sheet.kinds, i64::try_from(unit).unwrap_or(1));
        let root = growing.part(cut, (rules.trims.left, rules.trims.top));
        plan.sheets.push(CutSheet { stock: StockIndex(0), copies: 1, root });
    }
    debug_assert!(check(problem, &plan).is_empty());
    Answer {
        plan,
        value: i128::from(found.value) * worth,
        cost: 0,
        bound: i128::from(found.bound) * worth,
        proven: found.value >= found.bound,
        cut_short: work.stopped(),
    }
}

fn grow(growing: &mut Growing, node: usize, tree: &Tree, kinds: &[Kind], unit: i64) {
    let (w, h) = tree.size(kinds);
    let node = growing.trim(node, (w * unit, h * unit));
    match tree {
        Tree::Piece(kind, turned) => growing.finish(node, PieceIndex(*kind), *turned),
        Tree::Join(axis, two) => {
            let (w, h) = two.0.size(kinds);
            let size = if *axis == Axis::X { w } else { h };
            let first = growing.split(node, *axis, size * unit);
            grow(growing, first, &two.0, kinds, unit);
            grow(growing, first + 1, &two.1, kinds, unit);
        }
    }
}

/// All pieces from few or cheap sheets.
fn all_pieces(problem: &Problem, limit: u64, work: &mut Work) -> Answer {
    let rules = &problem.rules;
    let cut = rules.cut_width.nanometres();
    let mut unit = 0i128;
    for piece in &problem.pieces {
        unit = gcd(gcd(unit, (piece.width.nanometres() + cut).into()), (piece.height.nanometres() + cut).into());
    }
    let unit = i64::try_from(unit).unwrap_or(1).max(1);
    let sheet_cost = |stock: &Stock| match problem.goal {
        Goal::FewestSheets => 1,
        Goal::MostValue | Goal::LeastCost => stock.cost.of(stock.width, stock.height),
    };
    let costs = problem.stock.iter().map(sheet_cost).fold(0, gcd).max(1);
    let lines = problem
        .stock
        .iter()
        .map(|stock| many::Line {
            width: ((stock.width - rules.trims.left - rules.trims.right).nanometres() + cut) / unit,
            height: ((stock.height - rules.trims.top - rules.trims.bottom).nanometres() + cut) / unit,
            count: stock.count,
            cost: i64::try_from(sheet_cost(stock) / costs).unwrap_or(i64::MAX / 1_000_000),
        })
        .collect();
    let mut items = Vec::new();
    let mut owner = Vec::new();
    for (index, piece) in problem.pieces.iter().enumerate() {
        let item = Item {
            width: (piece.width.nanometres() + cut) / unit,
            height: (piece.height.nanometres() + cut) / unit,
            turns: piece.turn == Turn::Either,
            row: index,
        };
        for _ in 0..piece.count {
            items.push(item);
            owner.push(index);
        }
    }
    let allowed = problem
        .pieces
        .iter()
        .map(|piece| (0..problem.stock.len()).map(|line| piece.on.allows(StockIndex(line))).collect())
        .collect();
    let stages = if let Stages::AtMost(stages) = rules.stages { stages.into() } else { u32::MAX };
    let job = Job { items, lines, allowed, stages };
    let lower = many::bound::lower(&job);
    let found: Filled = many::search(&job, lower, limit, work);
    let mut plan = Plan::default();
    for sheet in &found.sheets {
        let stock = &problem.stock[sheet.line];
        let width = (stock.width - rules.trims.left - rules.trims.right).nanometres() + cut;
        let height = (stock.height - rules.trims.top - rules.trims.bottom).nanometres() + cut;
        let mut growing = Growing::new(sheet.line, width, height);
        strip(&mut growing, 0, sheet, 0, &owner, unit);
        let root = growing.part(cut, (rules.trims.left, rules.trims.top));
        plan.sheets.push(CutSheet { stock: StockIndex(sheet.line), copies: 1, root });
    }
    let mut out: BTreeMap<PieceIndex, u32> = BTreeMap::new();
    found.out.iter().for_each(|item| *out.entry(PieceIndex(owner[*item])).or_default() += 1);
    plan.unplaced = out.into_iter().collect();
    debug_assert_eq!(check(problem, &plan), vec![]);
    let value = problem.pieces.iter().map(|piece| piece.value.of(piece.width, piece.height) * i128::from(piece.count)).sum();
    Answer {
        plan,
        value,
        cost: i128::from(found.cost) * costs,
        bound: i128::from(lower) * costs,
        proven: found.out.is_empty() && found.cost <= lower,
        cut_short: work.stopped(),
    }
}

fn strip(growing: &mut Growing, node: usize, sheet: &Strips, at: usize, owner: &[usize], unit: i64) {
    let n = sheet.nodes[at];
    match n.what {
        What::Piece { item, turned } => {
            let node = growing.trim(node, (n.width * unit, n.height * unit));
            let turned = if turned { Turned::Quarter } else { Turned::No };
            growing.finish(node, PieceIndex(owner[item as usize]), turned);
        }
        What::Strip(axis) => {
            let mut node = node;
            let end = at + n.len as usize;
            let mut part = at + 1;
            while part < end {
                let p = &sheet.nodes[part];
                let next = part + p.len as usize;
                let size = if axis == Axis::X { p.width } else { p.height } * unit;
                let mut here = node;
                if growing.size(node, axis) > size {
                    here = growing.split(node, axis, size);
                    node = here + 1;
                }
                strip(growing, here, sheet, part, owner, unit);
                part = next;
            }
        }
    }
}
