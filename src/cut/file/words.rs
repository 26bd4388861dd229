//! An answer in plain words: what to cut, at which setting of the trimmer, and how good the plan is.

use super::Asked;
use super::json::number;
use crate::cut::{Answer, Axis, Becomes, Goal, Part, Pass, Side, Turned, Worth, passes};
use std::fmt::Write as _;
use units::Length;

/// The whole answer.
pub(super) fn text(asked: &Asked, answer: &Answer) -> String {
    let mut out = String::new();
    let problem = &asked.problem;
    let size = |part: &Part| format!("{} × {}", exact(asked, part.width), exact(asked, part.height));
    for (index, sheet) in answer.plan.sheets.iter().enumerate() {
        let stock = &problem.stock[sheet.stock.0];
        let times = if sheet.copies == 1 { String::new() } else { format!(", {} sheets cut alike", sheet.copies) };
        let (width, height) = (exact(asked, stock.width), exact(asked, stock.height));
        let _ = writeln!(out, "Sheet {}: {} ({width} × {height}){times}", index + 1, stock.id);
        for leaf in sheet.root.leaves() {
            match leaf.becomes {
                Becomes::Piece { piece, turned } => {
                    let turn = if turned == Turned::Quarter { ", turned" } else { "" };
                    let _ = writeln!(out, "  {}: {}{turn}", problem.pieces[piece.0].id, size(leaf));
                }
                Becomes::Offcut if leaf.width.is_positive() && leaf.height.is_positive() => {
                    let _ = writeln!(out, "  leftover: {}", size(leaf));
                }
                Becomes::Offcut | Becomes::Cut(_) => {}
            }
        }
    }
    let passes = passes(problem, &answer.plan);
    if !passes.is_empty() {
        cautions(&mut out, asked);
        let _ = writeln!(out, "Cuts, all of one trimmer setting together:");
    }
    for pass in &passes {
        setting(&mut out, asked, answer, pass);
    }
    for (piece, count) in &answer.plan.unplaced {
        let why = if answer.too_large.contains(piece) { ": larger than all stock it may come from" } else { "" };
        let _ = writeln!(out, "Not cut: {count} of {}{why}", problem.pieces[piece.0].id);
    }
    verdict(&mut out, asked, answer);
    out
}

fn exact(asked: &Asked, length: Length) -> String {
    length.exact(asked.unit)
}

fn cautions(out: &mut String, asked: &Asked) {
    let _ = writeln!(out, "Blades are sharp: keep fingers behind the guard, and close the blade when you stop.");
    if asked.problem.rules.safe_strip.is_positive() {
        let narrow = exact(asked, asked.problem.rules.safe_strip);
        let _ = writeln!(out, "Hold the part named at each cut; it is never narrower than {narrow}.");
    }
}

fn setting(out: &mut String, asked: &Asked, answer: &Answer, pass: &Pass) {
    let _ = writeln!(out, "  set {}:", exact(asked, pass.guide));
    for step in &pass.steps {
        let sheet = &answer.plan.sheets[step.sheet];
        let way = if step.axis == Axis::X { "from the left" } else { "from the top" };
        let hold = match (step.axis, step.held) {
            (Axis::X, Side::Near) => "left",
            (Axis::X, Side::Far) => "right",
            (Axis::Y, Side::Near) => "upper",
            (Axis::Y, Side::Far) => "lower",
        };
        let part = format!("{} × {}", exact(asked, step.place.2), exact(asked, step.place.3));
        let stack = match sheet.copies.min(asked.stack) {
            0 | 1 if sheet.copies > 1 => format!(", {} times", sheet.copies),
            0 | 1 => String::new(),
            stack if stack == sheet.copies => format!(", all {stack} sheets as one stack"),
            stack => format!(", {} sheets in stacks of {stack}", sheet.copies),
        };
        let _ = writeln!(
            out,
            "    sheet {}, cut {}: the {part} part, {way}, hold the {hold} side{stack}",
            step.sheet + 1,
            step.number
        );
    }
}

fn verdict(out: &mut String, asked: &Asked, answer: &Answer) {
    let problem = &asked.problem;
    let by_value = problem.pieces.first().is_some_and(|piece| piece.value == Worth::Area);
    let by_cost = problem.stock.iter().any(|stock| stock.cost == Worth::Area);
    let (what, figure, bound, sense) = match problem.goal {
        Goal::MostValue => ("value", number(answer.value, by_value), number(answer.bound, by_value), "more"),
        Goal::FewestSheets => ("sheets", answer.sheets.to_string(), answer.bound.to_string(), "fewer"),
        Goal::LeastCost => ("cost", number(answer.cost, by_cost), number(answer.bound, by_cost), "less"),
    };
    let _ = if answer.proven {
        writeln!(out, "{what} {figure}: proven best")
    } else {
        writeln!(out, "{what} {figure}: the best found; no plan has {sense} than {bound}")
    };
    if answer.cut_short {
        let _ = writeln!(out, "The search was cut short by the time limit; another run may end elsewhere.");
    }
}
