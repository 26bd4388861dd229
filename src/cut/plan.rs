//! Step 7, *plan the cuts*: a whole problem in, the best plan found and what no plan can beat out.
//!
//! Chooses the method for the goal, turns lengths into small whole numbers and trees into cuts, and
//! shows nothing that [`check`] finds fault with.

use crate::cut::greedy::Growing;
use crate::cut::single::{self, Kind, Sheet, Tree};
use crate::cut::tree::{Axis, CutSheet, Plan};
use crate::cut::{PieceIndex, Problem, StockIndex, Turn, check};

/// How hard the planner may try.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Steps of work, counted and never timed, so that the same input gives the same plan.
    pub work: u64,
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
}

/// Plans the cuts.
#[must_use]
pub fn plan(problem: &Problem, effort: Effort) -> Answer {
    most_value(problem, effort)
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

fn most_value(problem: &Problem, effort: Effort) -> Answer {
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
    let mut done = 0;
    let found = single::solve(&sheet, effort.work, &mut done);
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
