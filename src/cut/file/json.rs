//! An answer as JSON, format 1. Lengths are millimetres and areas square millimetres, as exact decimals.

use super::Asked;
use super::read::goal_word;
use crate::cut::{Answer, Axis, Becomes, Goal, Part, Side, Step, Turned, Worth, nearest, passes};
use std::fmt::Write as _;
use units::Length;

/// The whole answer, one line. Its fields are in `docs/cutting.md`.
#[must_use]
pub fn json(asked: &Asked, answer: &Answer) -> String {
    let problem = &asked.problem;
    let steps: Vec<Step> = passes(problem, &answer.plan).into_iter().flat_map(|pass| pass.steps).collect();
    let mut out = format!("{{\"format\":1,\"goal\":{},\"sheets\":[", quoted(goal_word(problem.goal)));
    for (index, sheet) in answer.plan.sheets.iter().enumerate() {
        comma(&mut out, index);
        let id = problem.stock.get(sheet.stock.0).map_or("", |stock| stock.id.as_str());
        let _ = write!(out, "{{\"stock\":{},\"copies\":{},\"placements\":[", quoted(id), sheet.copies);
        let leaves = sheet.root.leaves();
        let mut first = true;
        for leaf in &leaves {
            if let Becomes::Piece { piece, turned } = leaf.becomes {
                let id = problem.pieces.get(piece.0).map_or("", |piece| piece.id.as_str());
                comma(&mut out, usize::from(!first));
                first = false;
                let _ = write!(
                    out,
                    "{{\"piece\":{},{},\"turned\":{}}}",
                    quoted(id),
                    place(leaf),
                    turned == Turned::Quarter
                );
            }
        }
        out.push_str("],\"cuts\":[");
        for (n, step) in steps.iter().filter(|step| step.sheet == index).enumerate() {
            comma(&mut out, n);
            cut(&mut out, step);
        }
        out.push_str("],\"offcuts\":[");
        let offcuts = leaves.iter().filter(|leaf| matches!(leaf.becomes, Becomes::Offcut));
        for (n, leaf) in offcuts.filter(|leaf| leaf.width.is_positive() && leaf.height.is_positive()).enumerate() {
            comma(&mut out, n);
            let _ = write!(out, "{{{}}}", place(leaf));
        }
        out.push_str("]}");
    }
    out.push_str("],\"unplaced\":[");
    for (n, (piece, count)) in answer.plan.unplaced.iter().enumerate() {
        comma(&mut out, n);
        let id = problem.pieces.get(piece.0).map_or("", |piece| piece.id.as_str());
        let large = answer.too_large.contains(piece);
        let apart = answer.no_common_paper.contains(piece);
        let _ = write!(
            out,
            "{{\"piece\":{},\"count\":{count},\"larger_than_all_stock\":{large},\"no_common_paper\":{apart}",
            quoted(id)
        );
        if let Some(near) = large.then(|| nearest(problem, *piece)).flatten() {
            let stock = quoted(&problem.stock[near.stock.0].id);
            let (narrow, short) = (near.too_narrow.to_mm_decimal(), near.too_short.to_mm_decimal());
            let _ = write!(out, ",\"nearest\":{{\"stock\":{stock},\"too_narrow\":{narrow},\"too_short\":{short}}}");
        }
        out.push('}');
    }
    let by_value = problem.pieces.first().is_some_and(|piece| piece.value == Worth::Area);
    let by_cost = problem.stock.iter().any(|stock| stock.cost == Worth::Area);
    let bound_is_area = match problem.goal {
        Goal::MostValue => by_value,
        Goal::FewestSheets => false,
        Goal::LeastCost => by_cost,
    };
    let _ = writeln!(
        out,
        "],\"value\":{},\"sheets_used\":{},\"cost\":{},\"bound\":{},\"proven\":{},\"cut_short\":{}}}",
        number(answer.value, by_value),
        answer.sheets,
        number(answer.cost, by_cost),
        number(answer.bound, bound_is_area),
        answer.proven,
        answer.cut_short
    );
    out
}

fn comma(out: &mut String, index: usize) {
    if index > 0 {
        out.push(',');
    }
}

fn cut(out: &mut String, step: &Step) {
    let (x, y, width, height) = step.place;
    let _ = write!(
        out,
        "{{\"number\":{},\"part\":{},\"makes\":[{},{}],\"of\":{{{}}},\"axis\":\"{}\",\"position\":{},\"guide\":{},\"held\":\"{}\"}}",
        step.number,
        step.part,
        2 * step.number - 1,
        2 * step.number,
        rectangle(x, y, width, height),
        if step.axis == Axis::X { "x" } else { "y" },
        step.at.to_mm_decimal(),
        step.guide.to_mm_decimal(),
        if step.held == Side::Near { "near" } else { "far" }
    );
}

fn place(part: &Part) -> String {
    rectangle(part.x, part.y, part.width, part.height)
}

fn rectangle(x: Length, y: Length, width: Length, height: Length) -> String {
    let mm = Length::to_mm_decimal;
    format!("\"x\":{},\"y\":{},\"width\":{},\"height\":{}", mm(x), mm(y), mm(width), mm(height))
}

/// A worth: as it is, or an area in square millimetres.
pub(super) fn number(worth: i128, is_area: bool) -> String {
    if !is_area {
        return worth.to_string();
    }
    let (whole, part) = (worth / 1_000_000_000_000, worth % 1_000_000_000_000);
    let decimals = format!("{:012}", part.abs());
    let decimals = decimals.trim_end_matches('0');
    if decimals.is_empty() { whole.to_string() } else { format!("{whole}.{decimals}") }
}

/// Text as JSON writes it.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            letter if u32::from(letter) < 0x20 || letter == '\u{7f}' => {
                let _ = write!(out, "\\u{:04x}", u32::from(letter));
            }
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}
