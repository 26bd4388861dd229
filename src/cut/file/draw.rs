//! Cut maps: one SVG a sheet, at true size, readable in black and white.

use super::Asked;
use crate::cut::{Answer, Axis, Becomes, Part, Step, passes};
use std::fmt::Write as _;
use units::Length;

/// A map for each sheet of the plan, with a file name.
pub(super) fn maps(asked: &Asked, answer: &Answer) -> Vec<(String, String)> {
    let steps: Vec<Step> = passes(&asked.problem, &answer.plan).into_iter().flat_map(|pass| pass.steps).collect();
    (0..answer.plan.sheets.len())
        .map(|index| (format!("sheet-{:03}.svg", index + 1), cut_map(asked, answer, index, &steps, None)))
        .collect()
}

fn mm(length: Length) -> String {
    length.to_mm_decimal()
}

/// Text within SVG.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            letter if u32::from(letter) < 0x20 => out.push(' '),
            letter => out.push(letter),
        }
    }
    out
}

/// One map; `picture` is a reference to the paper's own picture, laid beneath.
fn cut_map(asked: &Asked, answer: &Answer, index: usize, steps: &[Step], picture: Option<&str>) -> String {
    let sheet = &answer.plan.sheets[index];
    let stock = &asked.problem.stock[sheet.stock.0];
    let steps: Vec<&Step> = steps.iter().filter(|step| step.sheet == index).collect();
    // Lengths for drawing only, in thousandths of a millimetre.
    let micro = |length: Length| length.nanometres() / 1000;
    let (width, height) = (micro(stock.width), micro(stock.height));
    let em = (width.min(height) / 28).clamp(1_500, 5_000);
    let margin = em * 2;
    let listed = i64::try_from(steps.len()).unwrap_or(0);
    let below = em * 3 * (listed + 3) / 2;
    let wide = width.max(em * 30);
    let point = |micro: i64| format!("{}.{:03}", micro / 1000, micro % 1000);
    let mut out = String::new();
    let (all_wide, all_high) = (point(wide + 2 * margin), point(height + 2 * margin + below));
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{all_wide}mm\" height=\"{all_high}mm\" viewBox=\"-{m} -{m} {all_wide} {all_high}\" font-family=\"sans-serif\" font-size=\"{}\">",
        point(em),
        m = point(margin),
    );
    let _ = writeln!(out, "<title>Sheet {}: {}</title>", index + 1, plain(&stock.id));
    let hatch = point(em / 2);
    let _ = writeln!(
        out,
        "<defs><pattern id=\"leftover\" width=\"{hatch}\" height=\"{hatch}\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path d=\"M0 0V{hatch}\" stroke=\"#999\" stroke-width=\"{}\"/></pattern></defs>",
        point(em / 12)
    );
    let (w, h) = (mm(stock.width), mm(stock.height));
    let _ =
        writeln!(out, "<rect width=\"100%\" height=\"100%\" x=\"-{m}\" y=\"-{m}\" fill=\"#fff\"/>", m = point(margin));
    let _ = writeln!(
        out,
        "<rect width=\"{w}\" height=\"{h}\" fill=\"url(#leftover)\" stroke=\"#000\" stroke-width=\"{}\"/>",
        point(em / 8)
    );
    if let Some(picture) = picture {
        let _ = writeln!(
            out,
            "<image href=\"{}\" width=\"{w}\" height=\"{h}\" preserveAspectRatio=\"xMidYMid slice\"/>",
            plain(picture)
        );
    }
    for leaf in sheet.root.leaves() {
        if let Becomes::Piece { piece, .. } = leaf.becomes {
            let opacity = if picture.is_some() { "0.35" } else { "1" };
            let id = &asked.problem.pieces[piece.0].id;
            piece_box(&mut out, asked, leaf, id, em, opacity);
        }
    }
    for step in &steps {
        cut_line(&mut out, step, em);
    }
    let head = format!(
        "Sheet {}: {}, {} × {}{}",
        index + 1,
        stock.id,
        stock.width.exact(asked.unit),
        stock.height.exact(asked.unit),
        if sheet.copies > 1 { format!(", {} alike", sheet.copies) } else { String::new() }
    );
    let mut y = height + margin + em;
    let _ = writeln!(out, "<text x=\"0\" y=\"{}\" font-weight=\"bold\">{}</text>", point(y), plain(&head));
    for step in &steps {
        y += em * 3 / 2;
        let way = if step.axis == Axis::X { "from the left" } else { "from the top" };
        let line = format!("{}. set {} {way}", step.number, step.guide.exact(asked.unit));
        let _ = writeln!(out, "<text x=\"0\" y=\"{}\">{}</text>", point(y), plain(&line));
    }
    out.push_str("</svg>\n");
    out
}

fn piece_box(out: &mut String, asked: &Asked, leaf: &Part, id: &str, em: i64, opacity: &str) {
    let micro = |length: Length| length.nanometres() / 1000;
    let point = |micro: i64| format!("{}.{:03}", micro / 1000, micro % 1000);
    let _ = writeln!(
        out,
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#fff\" fill-opacity=\"{opacity}\" stroke=\"#000\" stroke-width=\"{}\"/>",
        mm(leaf.x),
        mm(leaf.y),
        mm(leaf.width),
        mm(leaf.height),
        point(em / 10)
    );
    let size = format!("{} × {}", leaf.width.exact(asked.unit), leaf.height.exact(asked.unit));
    let letters = i64::try_from(id.chars().count().max(size.chars().count())).unwrap_or(1).max(1);
    let upright = leaf.width >= leaf.height;
    let (along, across) = (micro(leaf.width.max(leaf.height)), micro(leaf.width.min(leaf.height)));
    // As large as fits: a letter is about 0.6 as wide as high.
    let letter = em.min(along * 10 / (letters * 6)).min(across * 10 / 26).max(400);
    let (x, y) = (micro(leaf.x) + micro(leaf.width) / 2, micro(leaf.y) + micro(leaf.height) / 2);
    let turn = if upright { String::new() } else { format!(" transform=\"rotate(-90 {} {})\"", point(x), point(y)) };
    let _ = writeln!(
        out,
        "<g font-size=\"{}\" text-anchor=\"middle\"{turn}><text x=\"{x}\" y=\"{}\">{}</text><text x=\"{x}\" y=\"{}\">{}</text></g>",
        point(letter),
        point(y - letter / 5),
        plain(id),
        point(y + letter),
        plain(&size),
        x = point(x),
    );
}

fn cut_line(out: &mut String, step: &Step, em: i64) {
    let micro = |length: Length| length.nanometres() / 1000;
    let point = |micro: i64| format!("{}.{:03}", micro / 1000, micro % 1000);
    let (x, y, width, height) = step.place;
    let ((x1, y1), (x2, y2)) = match step.axis {
        Axis::X => ((step.at, y), (step.at, y + height)),
        Axis::Y => ((x, step.at), (x + width, step.at)),
    };
    let _ = writeln!(
        out,
        "<path d=\"M{} {}L{} {}\" stroke=\"#000\" stroke-width=\"{}\" stroke-dasharray=\"{} {}\"/>",
        mm(x1),
        mm(y1),
        mm(x2),
        mm(y2),
        point(em / 5),
        point(em),
        point(em / 2)
    );
    // The number sits near the beginning of its cut, each a little further than the one before.
    let length = micro(if step.axis == Axis::X { height } else { width });
    let off = (em + i64::from(step.number % 4) * em).min(length / 2);
    let (cx, cy) = match step.axis {
        Axis::X => (micro(step.at), micro(y) + off),
        Axis::Y => (micro(x) + off, micro(step.at)),
    };
    let _ = writeln!(
        out,
        "<g font-size=\"{}\" text-anchor=\"middle\"><circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#000\"/><text x=\"{}\" y=\"{}\" fill=\"#fff\">{}</text></g>",
        point(em * 4 / 5),
        point(cx),
        point(cy),
        point(em * 2 / 3),
        point(cx),
        point(cy + em * 3 / 10),
        step.number
    );
}
