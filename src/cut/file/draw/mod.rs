//! Cut maps: one SVG a sheet, at true size, readable in black and white.
//!
//! The sheet's picture lies beneath where one is known; leftovers are hatched, pieces carry their id and
//! size, every cut its number in the order of work. Below stand the settings of the guide, the cautions
//! and two bars to check the print with.

mod label;
mod list;

use super::{Asked, words};
use crate::cut::{Answer, Axis, Becomes, CutSheet, Part, Step, passes};
use label::Labels;
use std::fmt::Write as _;
use units::Length;

/// With more cuts than this on a sheet, numbers are not kept apart.
const MOST_NUMBERS: usize = 400;

/// The name of the map of a sheet, counted from 1.
#[must_use]
pub fn map_name(sheet: usize) -> String {
    format!("sheet-{sheet:03}.svg")
}

/// A map for each sheet of the plan, with a file name. `pictures` are references to the pictures of the
/// papers, by stock line, laid beneath; it may be shorter than the stock.
#[must_use]
pub fn maps(asked: &Asked, answer: &Answer, pictures: &[Option<String>]) -> Vec<(String, String)> {
    let mut by_sheet: Vec<Vec<Step>> = vec![Vec::new(); answer.plan.sheets.len()];
    for step in passes(&asked.problem, &answer.plan).into_iter().flat_map(|pass| pass.steps) {
        by_sheet[step.sheet].push(step);
    }
    let sheets = answer.plan.sheets.iter().zip(&by_sheet).enumerate();
    sheets
        .map(|(index, (sheet, steps))| {
            let picture = pictures.get(sheet.stock.0).and_then(Option::as_deref);
            (map_name(index + 1), cut_map(asked, (index, sheet), steps, picture))
        })
        .collect()
}

/// Thousandths of a millimetre, for drawing only.
fn micro(length: Length) -> i64 {
    length.nanometres() / 1000
}

/// Thousandths of a millimetre as a number in an attribute.
fn point(micro: i64) -> String {
    Length::micrometres(micro).to_mm_decimal()
}

/// A length exactly, as a number in an attribute.
fn mm(length: Length) -> String {
    length.to_mm_decimal()
}

/// Text within SVG, without the characters XML 1.0 has no room for.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => {}
            letter => out.push(letter),
        }
    }
    out
}

/// One map; `picture` is a reference to the paper's own picture.
fn cut_map(asked: &Asked, (index, sheet): (usize, &CutSheet), steps: &[Step], picture: Option<&str>) -> String {
    let stock = &asked.problem.stock[sheet.stock.0];
    let (width, height) = (micro(stock.width), micro(stock.height));
    let em = (width.min(height) / 26).clamp(1_800, 4_500);
    let mut labels = Labels::new(asked.unit, em);
    let mut drawn = String::new();
    ground(&mut drawn, (stock.width, stock.height), em, picture);
    for leaf in sheet.root.leaves() {
        if leaf.width.is_positive() && leaf.height.is_positive() {
            leaf_box(&mut drawn, asked, leaf, em, picture.is_some(), &mut labels);
        }
    }
    steps.iter().for_each(|step| cut_line(&mut drawn, step, em));
    labels.draw(&mut drawn);
    numbers(&mut drawn, steps, em);
    let list = list::List::new(asked, sheet, steps, labels.keys());
    let heading = words::heading(asked, index, sheet);
    let margin = 6_000;
    let wide = width.max(list.width()).max(list::width_of(&heading)) + 2 * margin;
    let below = list.draw(&mut drawn, &heading, height + margin);
    let high = below + 2 * margin;
    let mut out = String::new();
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"-{m} -{m} {w} {h}\" font-family=\"sans-serif\">",
        w = point(wide),
        h = point(high),
        m = point(margin),
    );
    let _ = writeln!(out, "<title>{}</title>", plain(&heading));
    let hatch = point(em / 2);
    let _ = writeln!(
        out,
        "<defs><pattern id=\"leftover\" width=\"{hatch}\" height=\"{hatch}\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path d=\"M0 0V{hatch}\" stroke=\"#888\" stroke-width=\"{}\"/></pattern></defs>",
        point(em / 10)
    );
    let m = point(margin);
    let _ = writeln!(
        out,
        "<rect width=\"{}\" height=\"{}\" x=\"-{m}\" y=\"-{m}\" fill=\"#fff\"/>",
        point(wide),
        point(high)
    );
    out.push_str(&drawn);
    out.push_str("</svg>\n");
    out
}

/// The bare sheet: its picture, or nothing, within its outline.
fn ground(out: &mut String, (width, height): (Length, Length), em: i64, picture: Option<&str>) {
    let (w, h) = (mm(width), mm(height));
    if let Some(picture) = picture {
        let _ = writeln!(
            out,
            "<image href=\"{}\" width=\"{w}\" height=\"{h}\" preserveAspectRatio=\"none\"/>",
            plain(picture)
        );
    }
    let _ = writeln!(
        out,
        "<rect width=\"{w}\" height=\"{h}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{}\"/>",
        point(em / 8)
    );
}

/// A piece with its name and size, or a hatched leftover with its size.
fn leaf_box(out: &mut String, asked: &Asked, leaf: &Part, em: i64, over_picture: bool, labels: &mut Labels) {
    let place = format!(
        "x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
        mm(leaf.x),
        mm(leaf.y),
        mm(leaf.width),
        mm(leaf.height)
    );
    match leaf.becomes {
        Becomes::Piece { piece, turned } => {
            let id = asked.problem.pieces.get(piece.0).map_or("", |piece| piece.id.as_str());
            let opacity = if over_picture { "0.3" } else { "1" };
            let _ = writeln!(
                out,
                "<rect {place} fill=\"#fff\" fill-opacity=\"{opacity}\" stroke=\"#000\" stroke-width=\"{}\"/>",
                point(em / 10)
            );
            labels.piece(leaf, id, turned);
        }
        Becomes::Offcut | Becomes::Cut(_) => {
            let _ = writeln!(out, "<rect {place} fill=\"url(#leftover)\"/>");
            labels.leftover(leaf);
        }
    }
}

/// From where to where a cut runs, in thousandths of a millimetre.
fn ends(step: &Step) -> ((i64, i64), (i64, i64)) {
    let (x, y, width, height) = step.place;
    let (from, to) = match step.axis {
        Axis::X => ((step.at, y), (step.at, y + height)),
        Axis::Y => ((x, step.at), (x + width, step.at)),
    };
    ((micro(from.0), micro(from.1)), (micro(to.0), micro(to.1)))
}

/// A dashed line on a white one, so that it shows on any paper.
fn cut_line(out: &mut String, step: &Step, em: i64) {
    let ((x1, y1), (x2, y2)) = ends(step);
    let path = format!("M{} {}L{} {}", point(x1), point(y1), point(x2), point(y2));
    let _ = writeln!(
        out,
        "<path d=\"{path}\" stroke=\"#fff\" stroke-width=\"{}\"/><path d=\"{path}\" stroke=\"#000\" stroke-width=\"{}\" stroke-dasharray=\"{} {}\"/>",
        point(em / 4),
        point(em / 6),
        point(em * 2 / 3),
        point(em / 3)
    );
}

/// The number of each cut, somewhere along it, apart from the others.
fn numbers(out: &mut String, steps: &[Step], em: i64) {
    let radius = em * 2 / 3;
    let mut taken: Vec<(i64, i64)> = Vec::new();
    for step in steps {
        let (from, to) = ends(step);
        let along =
            |sixteenths: i64| (from.0 + (to.0 - from.0) * sixteenths / 16, from.1 + (to.1 - from.1) * sixteenths / 16);
        let apart = |place: (i64, i64)| {
            let distance = |other: &(i64, i64)| (place.0 - other.0).abs().max((place.1 - other.1).abs());
            taken.iter().map(distance).min().unwrap_or(i64::MAX).min(radius * 3)
        };
        let mut best = along(3);
        if taken.len() < MOST_NUMBERS {
            for sixteenths in [2, 4, 1, 6, 10, 12, 14, 3, 5, 7, 9, 11, 13, 15] {
                if apart(along(sixteenths)) > apart(best) {
                    best = along(sixteenths);
                }
            }
        }
        taken.push(best);
        let size = if step.number > 99 { em * 3 / 5 } else { em * 4 / 5 };
        let _ = writeln!(
            out,
            "<g font-size=\"{}\" text-anchor=\"middle\"><circle cx=\"{x}\" cy=\"{}\" r=\"{}\" fill=\"#000\" stroke=\"#fff\" stroke-width=\"{}\"/><text x=\"{x}\" y=\"{}\" fill=\"#fff\">{}</text></g>",
            point(size),
            point(best.1),
            point(radius),
            point(em / 12),
            point(best.1 + size * 7 / 20),
            step.number,
            x = point(best.0),
        );
    }
}
