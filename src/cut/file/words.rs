//! An answer in plain words: how good the plan is, what comes from which sheet, and what to cut at which
//! setting of the trimmer.

use super::Asked;
use crate::cut::{
    Answer, Axis, Becomes, CutSheet, Goal, Part, Pass, PieceIndex, Side, Step, Turned, Worth, nearest, passes,
};
use crate::problem::printable;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use units::{Area, Length, Ruler, Unit};

/// What to mind with blades. Common practice, no source; the maker of the trimmer knows it best.
pub(super) const CAUTIONS: [&str; 2] = [
    "Blades are sharp: keep fingers behind the guard, close the blade when you stop, keep it from children.",
    "Follow the trimmer's own instructions: the longest cut, and how many sheets it takes at once.",
];

/// The whole answer.
#[must_use]
pub fn text(asked: &Asked, answer: &Answer) -> String {
    let mut out = String::new();
    verdict(&mut out, asked, answer);
    for (index, sheet) in answer.plan.sheets.iter().enumerate() {
        let _ = writeln!(out, "\n{}", heading(asked, index, sheet));
        contents(&mut out, asked, sheet);
    }
    let passes = passes(&asked.problem, &answer.plan);
    if !passes.is_empty() {
        out.push('\n');
        for caution in cautions(asked) {
            let _ = writeln!(out, "{caution}");
        }
        let _ = writeln!(out, "\nCuts in order, those of one trimmer setting together:");
    }
    for pass in &passes {
        setting(&mut out, asked, answer, pass);
    }
    out
}

/// A length as it is set on the trimmer: exact where a ruler has a mark for it, else the nearest mark
/// with `~`, and then as it is.
pub(super) fn on_ruler(unit: Unit, length: Length) -> String {
    let ruler = if unit == Unit::Inch { Ruler::sixty_fourths() } else { Ruler::half_millimetres() };
    let ruled = ruler.nearest(length);
    if ruled.shown == length { length.exact(unit) } else { format!("{ruled} ({} exactly)", length.exact(unit)) }
}

pub(super) fn size(unit: Unit, width: Length, height: Length) -> String {
    format!("{} × {}", on_ruler(unit, width), on_ruler(unit, height))
}

/// "Sheet 2: rose, 6 in × 6 in, 3 cut alike".
pub(super) fn heading(asked: &Asked, index: usize, sheet: &CutSheet) -> String {
    let stock = &asked.problem.stock[sheet.stock.0];
    let maker = stock.made_by.and_then(|maker| asked.problem.pieces.get(maker.0));
    let from = maker.map_or_else(String::new, |piece| format!(", from the middle of {}", piece.id));
    let alike = if sheet.copies > 1 { format!(", {} cut alike", sheet.copies) } else { String::new() };
    let size = size(asked.unit, stock.width, stock.height);
    printable(&format!("Sheet {}: {}{from}, {size}{alike}", index + 1, stock.id))
}

/// The cautions that hold for this plan.
pub(super) fn cautions(asked: &Asked) -> Vec<String> {
    let mut cautions: Vec<String> = CAUTIONS.iter().map(|&caution| caution.to_owned()).collect();
    if asked.problem.rules.safe_strip.is_positive() {
        let narrow = on_ruler(asked.unit, asked.problem.rules.safe_strip);
        cautions.push(format!("Hold the side named at each cut: it is never narrower than {narrow}."));
    } else {
        cautions.push("Never hold a narrow strip under the blade: `safe_strip` in the file rules it out.".to_owned());
    }
    cautions
}

/// Which side the hand holds.
pub(super) fn held(axis: Axis, side: Side) -> &'static str {
    match (axis, side) {
        (Axis::X, Side::Near) => "left",
        (Axis::X, Side::Far) => "right",
        (Axis::Y, Side::Near) => "upper",
        (Axis::Y, Side::Far) => "lower",
    }
}

/// From which edge the guide is set.
pub(super) fn from(axis: Axis) -> &'static str {
    if axis == Axis::X { "from the left" } else { "from the top" }
}

/// What is cut.
pub(super) fn part(unit: Unit, step: &Step) -> String {
    if step.part == 0 {
        "the whole sheet".to_owned()
    } else {
        format!("the {} part", size(unit, step.place.2, step.place.3))
    }
}

/// Pieces and leftovers of a sheet, those alike together.
fn contents(out: &mut String, asked: &Asked, sheet: &CutSheet) {
    let mut pieces: BTreeMap<(PieceIndex, bool), usize> = BTreeMap::new();
    let mut leftovers: BTreeMap<(Length, Length), usize> = BTreeMap::new();
    let is_there = |leaf: &&&Part| leaf.width.is_positive() && leaf.height.is_positive();
    for leaf in sheet.root.leaves().iter().filter(is_there) {
        match leaf.becomes {
            Becomes::Piece { piece, turned } => *pieces.entry((piece, turned == Turned::Quarter)).or_default() += 1,
            Becomes::Offcut => *leftovers.entry((leaf.width, leaf.height)).or_default() += 1,
            Becomes::Cut(_) => {}
        }
    }
    for ((index, turned), count) in pieces {
        let piece = &asked.problem.pieces[index.0];
        let turn = if turned { ", turned a quarter" } else { "" };
        let size = size(asked.unit, piece.width, piece.height);
        let _ = writeln!(out, "  {count} × {}: {size}{turn}", printable(&piece.id));
    }
    for ((width, height), count) in leftovers.iter().rev() {
        let _ = writeln!(out, "  {count} × leftover: {}", size(asked.unit, *width, *height));
    }
}

/// All cuts of one setting; those that may be stacked in one line.
fn setting(out: &mut String, asked: &Asked, answer: &Answer, pass: &Pass) {
    let _ = writeln!(out, "  Set the guide to {}:", on_ruler(asked.unit, pass.guide));
    for steps in pass.steps.chunk_by(|one, next| one.stack == next.stack) {
        let Some(first) = steps.first() else { continue };
        let which: Vec<String> =
            steps.iter().map(|step| format!("sheet {} cut {}", step.sheet + 1, step.number)).collect();
        let what = if steps.iter().all(|step| step.part == 0) {
            "the whole sheet".to_owned()
        } else {
            part(asked.unit, first)
        };
        let sheets: u64 = steps
            .iter()
            .map(|step| answer.plan.sheets.get(step.sheet).map_or(1, |sheet| u64::from(sheet.copies)))
            .sum();
        let _ = writeln!(
            out,
            "    {}: {what}, {}, hold the {} side{}",
            which.join(", "),
            from(first.axis),
            held(first.axis, first.held),
            stacked(sheets, u64::from(asked.stack))
        );
    }
}

/// How many times, or in which stacks, a cut through so many sheets is made.
pub(super) fn stacked(sheets: u64, stack: u64) -> String {
    match stack.min(sheets) {
        _ if sheets < 2 => String::new(),
        0 | 1 => format!(", {sheets} times"),
        all if all == sheets => format!(", all {sheets} as one stack"),
        stack => format!(", {sheets} of them in stacks of {stack}"),
    }
}

/// How good the plan is, and what is not cut.
fn verdict(out: &mut String, asked: &Asked, answer: &Answer) {
    let problem = &asked.problem;
    let area_or_number = |worth: i128, is_area: bool| {
        if is_area { Area::from_square_nanometres(worth).rounded(asked.unit) } else { worth.to_string() }
    };
    let by_value = problem.pieces.first().is_some_and(|piece| piece.value == Worth::Area);
    let by_cost = problem.stock.iter().any(|stock| stock.cost == Worth::Area);
    let sheets = |n: i128| if n == 1 { "1 sheet".to_owned() } else { format!("{n} sheets") };
    let (figure, bound, sense) = match problem.goal {
        Goal::MostValue => {
            let what = if by_value { "Pieces of " } else { "Pieces worth " };
            (
                format!("{what}{}", area_or_number(answer.value, by_value)),
                area_or_number(answer.bound, by_value),
                "gives more",
            )
        }
        Goal::FewestSheets => (sheets(answer.sheets.into()), sheets(answer.bound), "needs fewer"),
        Goal::LeastCost => {
            let what = if by_cost { "Stock of " } else { "Stock for " };
            (
                format!("{what}{}", area_or_number(answer.cost, by_cost)),
                area_or_number(answer.bound, by_cost),
                "costs less",
            )
        }
    };
    let _ = if answer.proven {
        writeln!(out, "{figure}: proven, no plan {sense}.")
    } else if problem.goal == Goal::MostValue {
        writeln!(out, "{figure}: the best found. No plan gives more than {bound}.")
    } else if answer.plan.unplaced.is_empty() {
        writeln!(out, "{figure}: the best found. No plan does with less than {bound}.")
    } else {
        writeln!(out, "{figure}, and not everything is cut: the best found.")
    };
    if answer.cut_short {
        let _ = writeln!(out, "The time limit cut the search short: another run may end elsewhere.");
    }
    for (piece, count) in &answer.plan.unplaced {
        let asked_piece = &problem.pieces[piece.0];
        let why = if answer.too_large.contains(piece) {
            format!(": larger than all stock it may come from{}", nearest_in_words(asked, *piece))
        } else if answer.no_common_paper.contains(piece) {
            ": no one paper has room for it and the rest of its group".to_owned()
        } else {
            String::new()
        };
        let size = size(asked.unit, asked_piece.width, asked_piece.height);
        let _ = writeln!(out, "Not cut: {count} × {}, {size}{why}", printable(&asked_piece.id));
    }
}

/// "; nearest is rose, which is 1/2 in too narrow".
fn nearest_in_words(asked: &Asked, piece: PieceIndex) -> String {
    let Some(near) = nearest(&asked.problem, piece) else { return String::new() };
    let by =
        |length: Length, word: &str| length.is_positive().then(|| format!("{} {word}", on_ruler(asked.unit, length)));
    let lacks: Vec<String> =
        [by(near.too_narrow, "too narrow"), by(near.too_short, "too short")].into_iter().flatten().collect();
    let trims = asked.problem.rules.trims;
    let trimmed = [trims.left, trims.right, trims.top, trims.bottom].iter().any(|trim| trim.is_positive());
    let id = printable(&asked.problem.stock[near.stock.0].id);
    format!("; nearest is {id}, {}{}", lacks.join(" and "), if trimmed { " when trimmed" } else { "" })
}
