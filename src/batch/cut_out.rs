//! Middles of a plan as they are carried out: groups with their cuts in; one sheet for each middle that
//! is cut out, in an order in which each is there before it is cut up, and which pieces are hollow, out.

use super::joint::{GroupPlan, Line};
use super::search::Search;
use super::sheets::{PlacedFor, PlanSheet};
use crate::cut::{self, CutSheet, Problem, Step};
use crate::layout::Rect;
use crate::matching::{Choice, FromMiddle, Hollow, MiddleOf};
use api::units::{Length, Size};
use std::collections::BTreeMap;

/// Whose middle a sheet of a plan is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CutOut {
    /// The design, as a place in [`super::Plan::designs`].
    pub design: usize,
    /// The slot of the piece it is cut out of.
    pub slot: usize,
    /// The place of that piece among what the slot needs.
    pub need: usize,
    /// Where it lies on the card.
    pub rect: Rect,
    /// The layer that covers it there.
    pub cover: usize,
}

/// Where the middle of a piece is cut out, as the piece lies on its sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HoleOnSheet {
    /// Left and top edge, from the sheet's top left corner.
    pub at: (Length, Length),
    /// Its size as it lies.
    pub size: Size,
    /// Of so many of the sheets cut alike.
    pub copies: u32,
}

impl super::Plan {
    /// The id of the line of stock that a sheet is of, or, where it is a middle, that it came from.
    #[must_use]
    pub fn line_of(&self, sheet: usize) -> &str {
        let Some(mut of) = self.sheets.get(sheet) else { return "" };
        // A middle is smaller than the piece it is in, so this comes to an end.
        for _ in 0..self.sheets.len() {
            let Some(middle) = of.middle else { break };
            let maker = self.sheets.iter().find(|other| other.placed.iter().any(|placed| middle.is_in(placed)));
            match maker {
                Some(maker) => of = maker,
                None => break,
            }
        }
        &of.stock
    }
}

impl CutOut {
    /// Whether it is cut out of a piece.
    #[must_use]
    pub fn is_in(&self, placed: &super::Placed) -> bool {
        placed.design == self.design && placed.what == PlacedFor::Need { slot: self.slot, need: self.need }
    }
}

/// What sheets that are middles are called: "middle of the window mat of three-bands-1a2b3c".
pub(super) fn name(search: &Search<'_>, (candidate, middle): (usize, usize)) -> MiddleOf {
    let of = &search.joint.candidates[candidate];
    let layer = of.middles[middle].layer;
    MiddleOf { card: of.card.id.clone(), layer: of.card.network.layers[layer].id.clone() }
}

/// What a line that is a middle is cut out of.
pub(super) fn cut_out(search: &Search<'_>, line: Line, design_of: &BTreeMap<usize, usize>) -> Option<CutOut> {
    let (candidate, middle) = line.middle?;
    let of = search.joint.candidates[candidate].middles[middle];
    Some(CutOut { design: design_of[&candidate], slot: of.slot, need: of.need, rect: of.rect, cover: of.cover })
}

/// The sheets of a group that are middles, the largest first: a middle is larger than any piece cut from
/// it, and that is larger than its own middle.
pub(super) fn of_group(search: &Search<'_>, group: &GroupPlan) -> Vec<CutSheet> {
    let mut sheets: Vec<CutSheet> = group.plan.sheets.iter().filter(|sheet| is_middle(group, sheet)).cloned().collect();
    sheets.sort_by_key(|sheet| {
        let area = sheet.root.width * sheet.root.height;
        let line = group.lines[sheet.stock.0];
        (std::cmp::Reverse(area), line.middle.map(|middle| name(search, middle).words()), sheet.stock)
    });
    sheets
}

/// Whether a sheet is a middle.
pub(super) fn is_middle(group: &GroupPlan, sheet: &CutSheet) -> bool {
    group.lines[sheet.stock.0].middle.is_some()
}

/// The cuts of a plan in order, those of one setting together: first of all sheets that are there at
/// first, then of middles, once the pieces they are in have been trimmed.
pub(super) fn steps(problem: &Problem, plan: &cut::Plan, sheets: &[PlanSheet]) -> Vec<Step> {
    let turns = turns(sheets);
    let mut steps: Vec<Step> = Vec::new();
    let mut stacks = 0;
    for turn in 0..=turns.iter().copied().max().unwrap_or(0) {
        let own: Vec<usize> = (0..sheets.len()).filter(|sheet| turns[*sheet] == turn).collect();
        let part =
            cut::Plan { sheets: own.iter().map(|sheet| plan.sheets[*sheet].clone()).collect(), unplaced: Vec::new() };
        let first = stacks;
        for pass in cut::passes(problem, &part) {
            for step in pass.steps {
                stacks = stacks.max(first + step.stack + 1);
                steps.push(Step { sheet: own[step.sheet], stack: first + step.stack, ..step });
            }
        }
    }
    steps
}

/// When each sheet can be cut: 0 is at once, and a middle comes one turn after the last sheet that a
/// piece it is in is cut from.
fn turns(sheets: &[PlanSheet]) -> Vec<u32> {
    let mut turns: Vec<u32> = Vec::with_capacity(sheets.len());
    for sheet in sheets {
        let turn = sheet.middle.map_or(0, |of| {
            let from =
                sheets.iter().zip(&turns).filter(|(other, _)| other.placed.iter().any(|placed| of.is_in(placed)));
            from.map(|(_, turn)| turn + 1).max().unwrap_or(1)
        });
        turns.push(turn);
    }
    turns
}

/// Marks the pieces whose middle is cut out: of those alike, the first on the sheets.
pub(super) fn mark(sheets: &mut [PlanSheet], rect_of: &dyn Fn(&CutOut) -> Rect) {
    for (of, mut left) in counted(sheets) {
        let piece = rect_of(&of);
        for sheet in sheets.iter_mut() {
            let copies_of_sheet = sheet.copies;
            for placed in &mut sheet.placed {
                let is_in = of.is_in(placed);
                let copies = left.min(copies_of_sheet);
                if !is_in || copies == 0 {
                    continue;
                }
                left -= copies;
                let (left_of, top_of) = (of.rect.left - piece.left, of.rect.top - piece.top);
                let size = of.rect.size();
                // A piece that lies turned lies a quarter clockwise.
                let (at, size) = if placed.turned {
                    ((piece.height() - top_of - size.height, left_of), size.turned())
                } else {
                    ((left_of, top_of), size)
                };
                placed.hole = Some(HoleOnSheet { at: (placed.at.0 + at.0, placed.at.1 + at.1), size, copies });
            }
        }
    }
}

/// How many of each middle are cut out.
pub(super) fn counted(sheets: &[PlanSheet]) -> BTreeMap<CutOut, u32> {
    let mut counts: BTreeMap<CutOut, u32> = BTreeMap::new();
    for sheet in sheets {
        if let Some(of) = sheet.middle {
            *counts.entry(of).or_default() += sheet.copies;
        }
    }
    counts
}

/// Adds to a design's choice what of it is hollow, and what is cut from middles: pieces of which the
/// first copy is, since sheets come before middles.
pub(super) fn tell(choice: &mut Choice, design: usize, sheets: &[PlanSheet], names: &dyn Fn(&CutOut) -> MiddleOf) {
    choice.hollows = counted(sheets)
        .into_iter()
        .filter(|(of, _)| of.design == design)
        .map(|(of, copies)| Hollow { slot: of.slot, need: of.need, rect: of.rect, cover: of.cover, copies })
        .collect();
    let mut first: BTreeMap<(usize, usize), Option<CutOut>> = BTreeMap::new();
    for sheet in sheets {
        for placed in sheet.placed.iter().filter(|placed| placed.design == design) {
            if let PlacedFor::Need { slot, need } = placed.what {
                first.entry((slot, need)).or_insert(sheet.middle);
            }
        }
    }
    let from =
        |((slot, need), of): ((usize, usize), Option<CutOut>)| of.map(|of| FromMiddle { slot, need, of: names(&of) });
    choice.from_middles = first.into_iter().filter_map(from).collect();
}
