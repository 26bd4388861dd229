//! Step 7, *the same paper*: a problem with groups in; the problem once for each way to give every group
//! a paper out, so that nobody further on need know of groups.

use crate::cut::plan::fits_somewhere;
use crate::cut::{Goal, On, PieceIndex, Problem, StockIndex, Worth};
use std::collections::BTreeSet;

/// At most so many ways to give papers to groups are tried.
const MOST_PAPERS: usize = 24;

/// The ways to give papers to groups.
pub(super) struct Choices {
    /// The problem with every piece of a group kept to one paper, once for each way.
    pub(super) ways: Vec<Problem>,
    /// Whether these are all ways.
    pub(super) complete: bool,
    /// Pieces that no paper has room for together with the rest of their group: they are asked for in
    /// no way.
    pub(super) apart: Vec<PieceIndex>,
}

/// All ways, or those with the papers of which there is most. With no groups there is one.
pub(super) fn choices(problem: &Problem) -> Choices {
    let groups: BTreeSet<u32> =
        problem.pieces.iter().filter(|piece| piece.count > 0).filter_map(|piece| piece.group).collect();
    let papers: BTreeSet<u32> = problem.stock.iter().map(|stock| stock.paper).collect();
    let mut found = Choices { ways: vec![problem.clone()], complete: true, apart: Vec::new() };
    for group in groups {
        let members: Vec<PieceIndex> = (0..problem.pieces.len())
            .map(PieceIndex)
            .filter(|piece| problem.pieces[piece.0].group == Some(group) && problem.pieces[piece.0].count > 0)
            .collect();
        let fits = |paper: u32| -> Vec<PieceIndex> {
            let narrowed = narrowed(problem, &members, paper);
            members.iter().copied().filter(|piece| fits_somewhere(&narrowed, *piece)).collect()
        };
        let usable: Vec<(u32, Vec<PieceIndex>)> = papers.iter().map(|paper| (*paper, fits(*paper))).collect();
        let whole = usable.iter().any(|(_, some)| some.len() == members.len());
        // Where no paper takes them all, the paper that takes most of them, and the rest is named.
        let most = usable.iter().map(|(_, some)| area(problem, some)).max().unwrap_or(0);
        let taken: Vec<&(u32, Vec<PieceIndex>)> = match (problem.goal, whole) {
            (Goal::MostValue, true) => usable.iter().filter(|(_, some)| !some.is_empty()).collect(),
            (_, true) => usable.iter().filter(|(_, some)| some.len() == members.len()).collect(),
            (_, false) => usable.iter().filter(|(_, some)| area(problem, some) == most).take(1).collect(),
        };
        if !whole && let Some((_, some)) = taken.first() {
            found.apart.extend(members.iter().filter(|piece| !some.contains(piece)));
        }
        let mut next: Vec<Problem> = Vec::new();
        for way in &found.ways {
            next.extend(taken.iter().map(|(paper, _)| narrowed(way, &members, *paper)));
        }
        next.sort_by_key(|way| std::cmp::Reverse(room(way)));
        found.complete &= next.len() <= MOST_PAPERS;
        next.truncate(MOST_PAPERS);
        found.ways = next;
    }
    for way in &mut found.ways {
        found.apart.iter().for_each(|piece| way.pieces[piece.0].count = 0);
    }
    found
}

/// The problem with those pieces kept to one paper.
fn narrowed(problem: &Problem, members: &[PieceIndex], paper: u32) -> Problem {
    let mut narrowed = problem.clone();
    for member in members {
        let piece = &mut narrowed.pieces[member.0];
        let lines = (0..problem.stock.len()).map(StockIndex);
        let kept = lines.filter(|line| piece.on.allows(*line) && problem.stock[line.0].paper == paper);
        piece.on = On::Only(kept.collect());
    }
    narrowed
}

fn area(problem: &Problem, pieces: &[PieceIndex]) -> i128 {
    let of = |piece: &PieceIndex| {
        let piece = &problem.pieces[piece.0];
        piece.area().square_nanometres().saturating_mul(piece.count.into())
    };
    pieces.iter().map(of).fold(0, i128::saturating_add)
}

/// The area that pieces of groups may come from.
fn room(problem: &Problem) -> i128 {
    let grouped = problem.pieces.iter().filter(|piece| piece.group.is_some());
    let lines: BTreeSet<usize> =
        grouped.flat_map(|piece| (0..problem.stock.len()).filter(|line| piece.on.allows(StockIndex(*line)))).collect();
    let area = |line: &usize| {
        let stock = &problem.stock[*line];
        Worth::Area.of(stock.width, stock.height).saturating_mul(i128::from(stock.count))
    };
    lines.iter().map(area).fold(0, i128::saturating_add)
}
