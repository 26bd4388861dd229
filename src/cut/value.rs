//! Step 7, *the most value*: from one sheet exactly, from several one after another and then better.

use crate::cut::all::{self, Left};
use crate::cut::many::{self, Aim};
use crate::cut::plan::Found;
use crate::cut::scale::Scale;
use crate::cut::single::{self, Tree};
use crate::cut::tree::Plan;
use crate::cut::work::Work;
use crate::cut::{Problem, Stages, Stock};

/// Lines of stock beyond which each sheet gets a share of the work too small for proofs.
const MOST_SHEETS: u64 = 400;

/// A plan of much value, and the most that any plan has.
pub(super) fn most(problem: &Problem, scale: &Scale, limit: u64, work: &mut Work<'_>) -> Found {
    let mut left = Left::new(problem);
    // Stock that a piece makes is there only once the piece is cut.
    for (stock, count) in problem.stock.iter().zip(&mut left.stock) {
        if stock.made_by.is_some() {
            *count = 0;
        }
    }
    let total: i128 = all_value(problem, scale);
    let mut bound = 0i128;
    let now = work.done();
    let sheets: u64 = left.stock.iter().map(|count| u64::from(*count)).fold(0, u64::saturating_add);
    let share = limit.saturating_sub(now) / (sheets.clamp(1, MOST_SHEETS) + 1);
    // What each line gives at most, were it alone.
    let full = Left { pieces: left.pieces.clone(), stock: left.stock.clone() };
    for line in 0..problem.stock.len() {
        let stock = &problem.stock[line];
        let count = stock
            .made_by
            .map_or(stock.count, |maker| stock.count.min(problem.pieces.get(maker.0).map_or(0, |p| p.count)));
        if count > 0 && !(sheets == 1 && stock.made_by.is_none()) {
            let until = work.done().saturating_add(share / problem.stock.len().max(1) as u64);
            let answer = single::solve(&all::one_sheet(problem, scale, &full, line, &scale.values), until, work);
            bound = bound.saturating_add(i128::from(answer.bound).saturating_mul(count.into()));
        }
    }
    let mut trees: Vec<(usize, u32, Tree)> = Vec::new();
    loop {
        let mut best: Option<(i128, usize, single::Answer)> = None;
        for line in (0..problem.stock.len()).filter(|line| left.stock[*line] > 0) {
            let until = if sheets == 1 { limit } else { work.done().saturating_add(share / 4) };
            let answer = single::solve(&all::one_sheet(problem, scale, &left, line, &scale.values), until, work);
            if sheets == 1 {
                bound = bound.saturating_add(answer.bound.into());
            }
            let area = i128::from(scale.stock[line].0) * i128::from(scale.stock[line].1);
            let dense = i128::from(answer.value) * 1_000_000 / area.max(1);
            if answer.tree.is_some() && best.as_ref().is_none_or(|(other, ..)| dense > *other) {
                best = Some((dense, line, answer));
            }
        }
        let Some((_, line, single::Answer { tree: Some(tree), .. })) = best else { break };
        let mut counts = vec![0; problem.pieces.len()];
        tree.count(&mut counts);
        let most = counts.iter().zip(&left.pieces).filter(|(n, _)| **n > 0).map(|(n, has)| has / n).min();
        let copies = most.unwrap_or(1).clamp(1, left.stock[line]);
        left.pieces.iter_mut().zip(&counts).for_each(|(has, n)| *has -= n * copies);
        all::take(&mut left.stock[line], copies);
        for (index, stock) in problem.stock.iter().enumerate() {
            if let Some(maker) = stock.made_by
                && let Some(n) = counts.get(maker.0)
            {
                // Each copy of the piece gives one of the stock, as long as that is allowed.
                let had: u32 = trees.iter().filter(|(line, ..)| *line == index).map(|(_, copies, _)| copies).sum();
                left.stock[index] = (left.stock[index] + n * copies).min(stock.count.saturating_sub(had));
            }
        }
        trees.push((line, copies, tree));
    }
    let bound = bound.min(total);
    let sheets = trees
        .iter()
        .map(|(line, copies, tree)| crate::cut::CutSheet {
            copies: *copies,
            ..all::tree_sheet(problem, scale, *line, tree)
        })
        .collect();
    let mut plan = Plan { sheets: all::in_order(problem, sheets), unplaced: Vec::new() };
    let value = value_of(problem, scale, &plan);
    let staged = problem.rules.stages != Stages::Free;
    let made = problem.stock.iter().any(|stock| stock.made_by.is_some());
    if (value < bound || staged) && !made && scale.exact {
        improve(problem, scale, &trees, staged, limit, work, &mut plan);
    }
    Found { plan, bound: if scale.exact { bound * scale.value_unit } else { i128::MAX / 4 } }
}

/// Empties and fills sheets, from the plan at hand unless it has too many stages.
fn improve(
    problem: &Problem,
    scale: &Scale,
    trees: &[(usize, u32, Tree)],
    staged: bool,
    limit: u64,
    work: &mut Work<'_>,
    plan: &mut Plan,
) {
    let all_left = Left::new(problem);
    let sheets_at_hand: u64 = problem.stock.iter().map(|stock| u64::from(stock.count)).sum();
    let pieces: u64 = problem.pieces.iter().map(|piece| u64::from(piece.count)).sum();
    if pieces > 3000 || sheets_at_hand > 3000 || problem.stock.iter().any(|stock| stock.count == Stock::PLENTY) {
        return;
    }
    let job = all::job(problem, scale, &all_left, Aim::Value);
    let owner = all::owners(&all_left);
    let mut start = Vec::new();
    let mut next: Vec<usize> = (0..problem.pieces.len()).map(|p| owner.partition_point(|o| *o < p)).collect();
    for (line, copies, tree) in trees {
        for _ in 0..*copies {
            start.push(many::strips::of_tree(tree, *line, &job, &mut next));
        }
    }
    if staged {
        start.retain(|strips| strips.stages() <= job.stages);
    }
    let filled = many::search(&job, start, 0, limit, work);
    let sheets = filled.sheets.iter().map(|strips| all::sheet(problem, scale, strips, &owner)).collect();
    let other = Plan { sheets: all::in_order(problem, sheets), unplaced: Vec::new() };
    if staged || value_of(problem, scale, &other) > value_of(problem, scale, plan) {
        *plan = other;
    }
}

fn all_value(problem: &Problem, scale: &Scale) -> i128 {
    problem.pieces.iter().zip(&scale.values).map(|(piece, value)| i128::from(*value) * i128::from(piece.count)).sum()
}

fn value_of(problem: &Problem, scale: &Scale, plan: &Plan) -> i128 {
    let copies = plan.copies(problem.pieces.len());
    scale.values.iter().zip(copies).map(|(value, copies)| i128::from(*value) * i128::from(copies)).sum()
}
