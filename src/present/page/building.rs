//! How a card is built, on the contact sheet: folded away until it is wanted. The steps, what goes
//! beneath drawn in its place, what the finished card is like and how it travels.

use super::super::Scene;
use super::super::sentence;
use super::super::text::facts;
use super::super::words::steps_in_words;
use super::super::xml::{escape, mm};
use crate::assemble::Built;
use crate::score::Suggestion;
use std::fmt::Write as _;

/// The section of one card.
pub(super) fn section(scene: &Scene<'_>, found: &Suggestion, built: &Built) -> String {
    let steps = steps_in_words(scene.table, found, built);
    let mut list = String::new();
    let mut cautions: Vec<&'static str> = Vec::new();
    for step in &steps {
        let _ = write!(list, "<li>{}</li>", escape(&step.text));
        cautions.extend(&step.cautions);
    }
    let mut met: Vec<&str> = Vec::new();
    cautions.retain(|caution| {
        let is_new = !met.contains(caution);
        met.push(caution);
        is_new
    });
    let facts: String = facts(built).iter().map(|line| format!("<li>{}</li>", escape(&sentence(line)))).collect();
    let mind: String = cautions.iter().map(|caution| format!("<li>{}</li>", escape(&sentence(caution)))).collect();
    format!(
        "<section><details><summary>How to build it: {} steps</summary>{}<ol class=\"steps\">{list}</ol>\
         <h3 class=\"part\">The finished card</h3><ul>{facts}</ul><h3 class=\"part\">Mind</h3><ul class=\"care\">{mind}\
         <li>Tools and materials: follow their makers' instructions and local rules.</li></ul></details></section>\n",
        steps.len(),
        beneath(built),
    )
}

/// What goes beneath the layers, drawn where it lies; nothing where nothing does.
fn beneath(built: &Built) -> String {
    let bits: Vec<_> = built.beneath.iter().flat_map(|beneath| beneath.levelling.iter().map(|bit| bit.rect)).collect();
    let pads: Vec<_> =
        built.beneath.iter().flat_map(|one| one.foam.iter().flat_map(|pads| pads.pads.clone())).collect();
    if bits.is_empty() && pads.is_empty() {
        return String::new();
    }
    let card = built.stack.card;
    let mut drawn = String::new();
    let mut rect = |rect: &crate::layout::Rect, look: &str| {
        let _ = write!(
            drawn,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {look}/>",
            mm(rect.left),
            mm(rect.top),
            mm(rect.width()),
            mm(rect.height())
        );
    };
    for sheet in built.stack.sheets.iter() {
        for piece in &sheet.pieces {
            rect(piece, "fill=\"none\" stroke=\"#8a8178\" stroke-width=\"0.35\"");
        }
    }
    for bit in &bits {
        rect(
            bit,
            "fill=\"#c9b79a\" fill-opacity=\"0.75\" stroke=\"#6b5a3c\" stroke-width=\"0.35\" stroke-dasharray=\"1.5 1\"",
        );
    }
    for pad in &pads {
        rect(pad, "fill=\"#6f8fa3\" fill-opacity=\"0.85\" stroke=\"#33505f\" stroke-width=\"0.35\"");
    }
    let mut words = Vec::new();
    if !bits.is_empty() {
        words.push("dashed: levelling pieces");
    }
    if !pads.is_empty() {
        words.push("blue: foam");
    }
    let words = words.join("; ");
    format!(
        "<figure class=\"beneath\"><svg viewBox=\"-1 -1 {} {}\" width=\"{}mm\" role=\"img\" aria-label=\"What goes beneath the layers: {words}\">{drawn}</svg>\
         <figcaption>What goes beneath ({words})</figcaption></figure>",
        mm(card.width + api::units::Length::MILLIMETRE * 2),
        mm(card.height + api::units::Length::MILLIMETRE * 2),
        mm(card.width.half()),
    )
}
