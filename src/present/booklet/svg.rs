//! Pages as SVG: marks and pictures in; one file a page at true size, with nothing fetched, out.

use super::mark::{Frame, Ink, Look, Mark, Page, Placed, Shape, Tag};
use super::pdf::Bytes;
use crate::present::pictures::href_of;
use crate::present::xml::escape;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// What lies beneath the marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Beneath {
    /// White paper.
    White,
    /// Whatever the drawing is laid on.
    Nothing,
}

/// A page; `size` is in millimetres.
pub(crate) fn svg(size: (f64, f64), page: &Page, pictures: &[Bytes], beneath: Beneath) -> String {
    let (wide, high) = size;
    let mut body = String::new();
    let mut clips = 0_u32;
    for mark in &page.marks {
        draw(mark, &mut clips, &mut body);
    }
    let used: BTreeSet<usize> = page
        .marks
        .iter()
        .filter_map(|mark| if let Mark::Picture(placed) = mark { Some(placed.picture) } else { None })
        .collect();
    let mut defs = String::new();
    for number in used {
        let Some(picture) = pictures.get(number) else { continue };
        // Drawn as one by one, and stretched where it stands.
        let _ = write!(
            defs,
            "<image id=\"p{number}\" width=\"1\" height=\"1\" preserveAspectRatio=\"none\" href=\"{}\"/>",
            href_of(&picture.bytes, picture.format)
        );
    }
    let ground = match beneath {
        Beneath::White => format!("<rect width=\"{wide}\" height=\"{high}\" fill=\"#fff\"/>"),
        Beneath::Nothing => String::new(),
    };
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}mm\" height=\"{high}mm\" viewBox=\"0 0 {wide} {high}\" \
         font-family=\"Liberation Sans, Arial, Helvetica, sans-serif\"><defs>{defs}</defs>\
         {ground}{body}</svg>\n"
    )
}

fn draw(mark: &Mark, clips: &mut u32, out: &mut String) {
    let _ = match mark {
        Mark::Shape(shape, look) => write!(out, "<{}{}/>", outline(shape), painted(look)),
        Mark::Words(words) => write!(
            out,
            "<text x=\"{:.3}\" y=\"{:.3}\" font-size=\"{:.3}\"{} fill=\"{}\">{}</text>",
            words.at.0,
            words.at.1,
            words.size,
            if words.bold { " font-weight=\"bold\"" } else { "" },
            hex(words.ink),
            escape(&words.text)
        ),
        Mark::Picture(placed) => write!(out, "{}", pictured(placed)),
        Mark::Clip(shape) => {
            *clips += 1;
            write!(out, "<clipPath id=\"c{clips}\"><{}/></clipPath><g clip-path=\"url(#c{clips})\">", outline(shape))
        }
        Mark::Begin(Tag::Figure(told)) => write!(out, "<g role=\"img\" aria-label=\"{}\">", escape(told)),
        Mark::Begin(Tag::Heading(level)) => write!(out, "<g role=\"heading\" aria-level=\"{level}\">"),
        Mark::Begin(Tag::Paragraph | Tag::Footer) => write!(out, "<g>"),
        Mark::Unclip | Mark::End => write!(out, "</g>"),
    };
}

fn pictured(placed: &Placed) -> String {
    let ((x, y), (wide, high)) = (placed.at, placed.size);
    let turn = if placed.turned { " rotate(90)" } else { "" };
    format!(
        "<use href=\"#p{}\" transform=\"translate({x:.3} {y:.3}){turn} scale({wide:.4} {high:.4})\" opacity=\"{}\"/>",
        placed.picture, placed.opacity
    )
}

/// An element with its geometry, still to be painted and closed.
fn outline(shape: &Shape) -> String {
    match shape {
        Shape::Rect(Frame { x, y, w, h }) => {
            format!("rect x=\"{x:.3}\" y=\"{y:.3}\" width=\"{w:.3}\" height=\"{h:.3}\"")
        }
        Shape::Ellipse(Frame { x, y, w, h }) => {
            let (rx, ry) = (w / 2.0, h / 2.0);
            format!("ellipse cx=\"{:.3}\" cy=\"{:.3}\" rx=\"{rx:.3}\" ry=\"{ry:.3}\"", x + rx, y + ry)
        }
        Shape::Polygon(corners) => {
            let points: Vec<String> = corners.iter().map(|(x, y)| format!("{x:.3},{y:.3}")).collect();
            format!("polygon points=\"{}\"", points.join(" "))
        }
        Shape::Line((x, y), (to_x, to_y)) => {
            format!("line x1=\"{x:.3}\" y1=\"{y:.3}\" x2=\"{to_x:.3}\" y2=\"{to_y:.3}\"")
        }
    }
}

fn painted(look: &Look) -> String {
    let mut out = format!(" fill=\"{}\"", look.fill.map_or_else(|| "none".to_owned(), hex));
    if let Some((ink, width)) = look.line {
        let _ = write!(out, " stroke=\"{}\" stroke-width=\"{width:.3}\"", hex(ink));
    }
    if look.dashed {
        out.push_str(" stroke-dasharray=\"1.2 .9\"");
    }
    if look.opacity < 1.0 {
        let _ = write!(out, " opacity=\"{}\"", look.opacity);
    }
    out
}

fn hex([red, green, blue]: Ink) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}
