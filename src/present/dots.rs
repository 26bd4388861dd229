//! Finishing dots as they look: at true size, with the gleam of a pearl, a cut stone or a spangle.

use super::xml::mm;
use crate::assemble::DotsSet;
use crate::layout::Rect;
use crate::stash::{DotSort, Dots};
use api::units::Length;
use api::{Colour, hex};
use std::fmt::Write as _;

/// The dots of a card, drawn where they are set.
pub(super) fn drawn(dots: &Dots, set: &DotsSet) -> String {
    set.spots.iter().map(|spot| one(dots, spot)).collect()
}

/// The same dots as a swatch that stands beside their name.
#[must_use]
pub fn swatch(dots: &Dots) -> String {
    let side = Length::MILLIMETRE * 10;
    let around = Rect { left: Length::ZERO, top: Length::ZERO, right: side, bottom: side };
    let spot = around.centred(api::units::Size::square(Length::MILLIMETRE * 8));
    format!(
        "<svg class=\"chip\" viewBox=\"0 0 10 10\" preserveAspectRatio=\"xMidYMid meet\" aria-hidden=\"true\" focusable=\"false\">{}</svg>",
        one(dots, &spot)
    )
}

fn one(dots: &Dots, spot: &Rect) -> String {
    let (x, y) = ((spot.left + spot.right).half(), (spot.top + spot.bottom).half());
    let radius = spot.width().half();
    let part = |thousandths: i64| Length::from_nanometres(radius.nanometres() * thousandths / 1_000);
    let circle = |right: i64, down: i64, of: i64, look: &str| {
        format!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {look}/>", mm(x + part(right)), mm(y + part(down)), mm(part(of)))
    };
    let fill = |colour: Colour| format!("fill=\"{}\"", hex(colour));
    let own = fill(dots.colour);
    let mut out = circle(120, 220, 1_030, "fill=\"#1a120b\" fill-opacity=\".25\"");
    let rim = "stroke=\"#1a120b\" stroke-opacity=\".35\" stroke-width=\".08\"";
    out.push_str(&circle(0, 0, 1_000, &format!("{own} {rim}")));
    match dots.sort {
        DotSort::Pearls => {
            out.push_str(&circle(-80, -80, 780, &format!("{} fill-opacity=\".55\"", fill(lighter(dots.colour, 40.0)))));
            out.push_str(&circle(-300, -320, 260, "fill=\"#fff\" fill-opacity=\".9\""));
        }
        DotSort::Gems => {
            // Eight sides of a cut stone about its table.
            for side in 0..8 {
                let look = if side % 2 == 0 { lighter(dots.colour, 25.0) } else { darker(dots.colour, 12.0) };
                let mut corners = String::new();
                for (right, down) in [OCTAGON[side], OCTAGON[(side + 1) % 8]] {
                    let _ = write!(corners, "{},{} ", mm(x + part(right * 95 / 100)), mm(y + part(down * 95 / 100)));
                }
                let _ = write!(corners, "{},{}", mm(x), mm(y));
                let _ = write!(out, "<polygon points=\"{corners}\" {} fill-opacity=\".6\"/>", fill(look));
            }
            out.push_str(&circle(0, 0, 500, &format!("{} fill-opacity=\".85\"", fill(lighter(dots.colour, 12.0)))));
            out.push_str(&circle(-260, -280, 170, "fill=\"#fff\" fill-opacity=\".9\""));
        }
        DotSort::Sequins => {
            out.push_str(&circle(0, 0, 720, &format!("{} fill-opacity=\".6\"", fill(lighter(dots.colour, 25.0)))));
            out.push_str(&circle(0, 0, 160, "fill=\"#1a120b\" fill-opacity=\".4\""));
        }
    }
    out
}

/// The corners of an octagon in thousandths of its radius, clockwise from the right.
const OCTAGON: [(i64, i64); 8] =
    [(1000, 0), (707, 707), (0, 1000), (-707, 707), (-1000, 0), (-707, -707), (0, -1000), (707, -707)];

fn lighter(colour: Colour, by: f64) -> Colour {
    Colour { l: (colour.l + by).min(100.0), ..colour }
}

fn darker(colour: Colour, by: f64) -> Colour {
    Colour { l: (colour.l - by).max(0.0), ..colour }
}
