//! Step 7, *cut with few settings*: a plan in; every cut with a number and the trimmer's guide setting
//! out, in an order that does all cuts of one setting together, across sheets, as far as can be.
//!
//! A cut comes after the one that makes its part. Trims come first of all on their sheet.

use crate::cut::tree::{Axis, Becomes, CutSheet, Part, Plan, Side};
use crate::cut::{Problem, Rules, Stock};
use std::collections::BTreeMap;
use units::Length;

/// One cut of one sheet (or of the stack of its copies).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The sheet in [`Plan::sheets`].
    pub sheet: usize,
    /// Its number on that sheet, from 1, in the order of cutting.
    pub number: u32,
    /// The part that is cut: 0 for the whole sheet; cut n makes the parts 2n - 1 and 2n.
    pub part: u32,
    /// Where the part lies: left, top, width, height.
    pub place: (Length, Length, Length, Length),
    /// The direction.
    pub axis: Axis,
    /// Its place from the sheet's left or top edge.
    pub at: Length,
    /// The guide setting: what is left of the cut or above it.
    pub guide: Length,
    /// The side the hand holds.
    pub held: Side,
    /// Steps with the same number here are the same cut through parts of the same size that are there
    /// at the same time, so they may be cut as one stack.
    pub stack: u32,
}

/// Cuts made at one setting of the guide.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pass {
    /// The setting.
    pub guide: Length,
    /// The cuts, in order.
    pub steps: Vec<Step>,
}

/// A cut that could be made now.
struct Ready<'p> {
    sheet: usize,
    part: u32,
    what: What<'p>,
}

enum What<'p> {
    /// Trims still to be cut: left, top, right, bottom; then the root.
    Trim {
        root: &'p Part,
        left: Vec<(Axis, Length, Side)>,
        place: (Length, Length, Length, Length),
    },
    Cut(&'p Part),
}

impl Ready<'_> {
    fn guide(&self) -> Length {
        match &self.what {
            What::Trim { left, place, .. } => left.first().map_or(Length::ZERO, |(axis, at, _)| match axis {
                Axis::X => *at - place.0,
                Axis::Y => *at - place.1,
            }),
            What::Cut(Part { becomes: Becomes::Cut(cut), .. }) => cut.guide(),
            What::Cut(_) => Length::ZERO,
        }
    }

    fn alike(&self) -> Option<Alike> {
        match &self.what {
            What::Trim { left, place, .. } => left.first().map(|(axis, _, held)| (place.2, place.3, *axis, *held)),
            What::Cut(part) => match &part.becomes {
                Becomes::Cut(cut) => Some((part.width, part.height, cut.axis, cut.held)),
                Becomes::Piece { .. } | Becomes::Offcut => None,
            },
        }
    }
}

/// What stacked parts have in common: width, height, the cut's direction and the side held.
type Alike = (Length, Length, Axis, Side);

/// All cuts of a plan, grouped by guide setting.
#[must_use]
pub fn passes(problem: &Problem, plan: &Plan) -> Vec<Pass> {
    let mut ready: Vec<Ready<'_>> = Vec::new();
    for (index, sheet) in plan.sheets.iter().enumerate() {
        let Some(stock) = problem.stock.get(sheet.stock.0) else { continue };
        let place = (Length::ZERO, Length::ZERO, stock.width, stock.height);
        open(&mut ready, begin(&problem.rules, stock, sheet, index, place));
    }
    let mut numbers: BTreeMap<usize, u32> = BTreeMap::new();
    let mut passes: Vec<Pass> = Vec::new();
    let mut stack = 0;
    while !ready.is_empty() {
        let mut waiting: BTreeMap<Length, usize> = BTreeMap::new();
        ready.iter().for_each(|cut| *waiting.entry(cut.guide()).or_default() += 1);
        // The setting with most cuts waiting; of equal ones the longest.
        let Some((&guide, _)) = waiting.iter().max_by_key(|(guide, count)| (**count, **guide)) else { break };
        let mut steps = Vec::new();
        while let Some(first) = ready.iter().find(|cut| cut.guide() == guide).and_then(Ready::alike) {
            let (stacked, others) = std::mem::take(&mut ready)
                .into_iter()
                .partition::<Vec<_>, _>(|cut| cut.guide() == guide && cut.alike() == Some(first));
            ready = others;
            for cut in stacked {
                let number = numbers.entry(cut.sheet).or_default();
                *number += 1;
                steps.push(Step { stack, ..make(cut, *number, &mut ready) });
            }
            stack += 1;
        }
        passes.push(Pass { guide, steps });
    }
    passes
}

fn begin<'p>(
    rules: &Rules,
    stock: &Stock,
    sheet: &'p CutSheet,
    index: usize,
    place: (Length, Length, Length, Length),
) -> Ready<'p> {
    let trims = rules.trims;
    let mut left = Vec::new();
    let mut trim = |size: Length, axis, at, held| {
        if size.is_positive() {
            left.push((axis, at, held));
        }
    };
    trim(trims.left, Axis::X, trims.left, Side::Far);
    trim(trims.top, Axis::Y, trims.top, Side::Far);
    trim(trims.right, Axis::X, stock.width - trims.right, Side::Near);
    trim(trims.bottom, Axis::Y, stock.height - trims.bottom, Side::Near);
    Ready { sheet: index, part: 0, what: What::Trim { root: &sheet.root, left, place } }
}

/// Adds a cut that can be made, if there is one.
fn open<'p>(ready: &mut Vec<Ready<'p>>, mut next: Ready<'p>) {
    if let What::Trim { root, left, .. } = &next.what
        && left.is_empty()
    {
        next.what = What::Cut(root);
    }
    if !matches!(next.what, What::Cut(Part { becomes: Becomes::Piece { .. } | Becomes::Offcut, .. })) {
        ready.push(next);
    }
}

/// Makes a cut: gives its step, and opens those of its parts.
fn make<'p>(cut: Ready<'p>, number: u32, ready: &mut Vec<Ready<'p>>) -> Step {
    let guide = cut.guide();
    let (sheet, part) = (cut.sheet, cut.part);
    match cut.what {
        What::Trim { root, mut left, place } => {
            let (axis, at, held) = left.remove(0);
            let end = (place.0 + place.2, place.1 + place.3);
            let kept = match (axis, held) {
                (Axis::X, Side::Far) => (at, place.1, end.0 - at, place.3),
                (Axis::X, Side::Near) => (place.0, place.1, at - place.0, place.3),
                (Axis::Y, Side::Far) => (place.0, at, place.2, end.1 - at),
                (Axis::Y, Side::Near) => (place.0, place.1, place.2, at - place.1),
            };
            let kept_part = if held == Side::Near { 2 * number - 1 } else { 2 * number };
            open(ready, Ready { sheet, part: kept_part, what: What::Trim { root, left, place: kept } });
            Step { sheet, number, part, place, axis, at, guide, held, stack: 0 }
        }
        What::Cut(whole) => {
            let place = (whole.x, whole.y, whole.width, whole.height);
            let Becomes::Cut(cut) = &whole.becomes else {
                // `open` lets only parts with a cut in; a step of no length does no harm.
                return Step {
                    sheet,
                    number,
                    part,
                    place,
                    axis: Axis::X,
                    at: whole.x,
                    guide,
                    held: Side::Near,
                    stack: 0,
                };
            };
            open(ready, Ready { sheet, part: 2 * number - 1, what: What::Cut(&cut.near) });
            open(ready, Ready { sheet, part: 2 * number, what: What::Cut(&cut.far) });
            Step { sheet, number, part, place, axis: cut.axis, at: cut.at, guide, held: cut.held, stack: 0 }
        }
    }
}
