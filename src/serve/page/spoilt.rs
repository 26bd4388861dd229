//! *Spoilt?*: one piece of a plan that went wrong: where the damage would hide, what it can be cut from
//! again, and how to go on without it.

use super::super::choices::query_of;
use super::super::view::View;
use super::frame::{self, Area};
use super::trouble;
use crate::batch::{Mending, Plan, mending};
use crate::index::PLENTY;
use crate::layout::Rect;
use crate::room::Room;
use api::units::{Length, Size};
use maud::{Markup, html};
use swatchfold_door::Told;

/// The address of a piece's page.
pub(super) fn address(view: &View<'_>, batch: &str, sheet: usize, piece: usize) -> String {
    let mut pairs = vec![
        ("batch".to_owned(), batch.to_owned()),
        ("sheet".to_owned(), sheet.to_string()),
        ("piece".to_owned(), piece.to_string()),
    ];
    // What the plan was asked with, so that this page leads back to it.
    pairs.extend(view.asked.query.iter().cloned());
    format!("/batch/spoilt?{}", query_of(&pairs))
}

/// The page.
pub(super) fn page(view: &View<'_>) -> Told {
    let number = |name: &str| view.asked.query(name).and_then(|text| text.parse::<usize>().ok());
    let batch = view.pages.batches.called(view.asked.query("batch").unwrap_or_default());
    let planned = batch.as_ref().and_then(|batch| batch.planned()).and_then(Result::ok);
    let (Some(batch), Some(planned), Some(sheet), Some(piece)) = (batch, planned, number("sheet"), number("piece"))
    else {
        return trouble::said(view, 404, "This plan is not here any more.", "Plan the batch again.");
    };
    let Some(mending) = mending(batch.room.on(), &planned.plan, sheet, piece) else {
        return trouble::said(view, 404, "There is no such piece in this plan.", "Go back to the plan.");
    };
    let (room, plan) = (&batch.room, &planned.plan);
    let own = |(key, _): &&(String, String)| !["batch", "sheet", "piece"].contains(&key.as_str());
    let asked: Vec<(String, String)> = view.asked.query.iter().filter(own).cloned().collect();
    let placed = &plan.sheets[sheet].placed[piece];
    let unit = room.stash.settings.unit;
    let card = &plan.designs[placed.design].card;
    let main = html! {
        p.back { a href=(format!("/batch?{}", query_of(&asked))) { "← The plan" } }
        header.lead {
            h1 { "A spoilt piece" }
            p { bdi { (placed.piece) } " of " bdi { (room.layouts[card.layout].name) } ", " span.size { (placed.size.exact(unit)) } ", from " code { (plan.sheets[sheet].stock) } "." }
        }
        (hide(&mending, placed.size, placed.turned))
        (cut_again(room, plan, &mending))
        section.work aria-labelledby="without" {
            h2 #without { "Or go on without it" }
            p { "Other cards come in place of " bdi { (room.layouts[card.layout].name) } "; the rest of the plan is settled. Count the spoilt sheet anew in the stash first, so that it is not promised again." }
            p.ways {
                a.button href=(without(plan, placed.design, &asked)) { "Plan the rest again" }
                a.button.small href="/stash" { "To the stash" }
            }
        }
    };
    frame::page(view, Area::Batch, "A spoilt piece", &main)
}

/// The plan with every other design settled.
fn without(plan: &Plan, design: usize, asked: &[(String, String)]) -> String {
    let others = plan.designs.iter().enumerate().filter(|(place, _)| *place != design);
    let kept: Vec<&str> = others.map(|(_, design)| design.card.id.as_str()).collect();
    let mut pairs = asked.to_vec();
    let settled = if kept.is_empty() { super::super::batches::NOTHING.to_owned() } else { kept.join(",") };
    pairs.push(("settled".to_owned(), settled));
    format!("/batch?{}", query_of(&pairs))
}

fn hide(mending: &Mending, size: Size, turned: bool) -> Markup {
    let size = if turned { size.turned() } else { size };
    let mm = |length: Length| length.to_mm_decimal();
    html! {
        section.work aria-labelledby="hide" {
            h2 #hide { "Hide it" }
            @if mending.hidden.is_empty() {
                p { "Nothing of this piece is certain to lie beneath another: damage would show. A small mark on the edge may still go under a mat or be inked over." }
            } @else {
                p { "What is dark here lies beneath other layers, the pattern upright: damage there does not show, and the piece can be used." }
                div.front {
                    svg viewBox=(format!("-1 -1 {} {}", mm(size.width + Length::MILLIMETRE * 2), mm(size.height + Length::MILLIMETRE * 2))) role="img" aria-label="The piece; what is hidden of it is dark" {
                        rect width=(mm(size.width)) height=(mm(size.height)) fill="#fff" stroke="#2a2521" stroke-width=".5" {}
                        @for Rect { left, top, right, bottom } in &mending.hidden {
                            rect x=(mm(*left)) y=(mm(*top)) width=(mm(*right - *left)) height=(mm(*bottom - *top)) fill="#6b625a" {}
                        }
                    }
                }
            }
        }
    }
}

fn cut_again(room: &Room, plan: &Plan, mending: &Mending) -> Markup {
    let unit = room.stash.settings.unit;
    html! {
        section.work aria-labelledby="again" {
            h2 #again { "Cut it again" }
            @if mending.leftovers.is_empty() && mending.stock.is_empty() {
                p { "No leftover of this plan is large enough, and no more of this paper is on hand." }
            } @else {
                ul {
                    @for place in mending.leftovers.iter().take(4) {
                        @let left = &plan.leftovers[*place];
                        li { "From a leftover of " code { (plan.sheets[left.sheet].stock) } ", " span.size { (left.size.exact(unit)) } ", which this plan leaves over." }
                    }
                    @for (stock, count) in mending.stock.iter().take(4) {
                        @let of = room.index.stock(*stock);
                        li {
                            "From " code { (of.id()) } ", " span.size { (Size::new(of.width, of.height).exact(unit)) } ", which this plan leaves alone ("
                            @if *count >= PLENTY { "plenty" } @else { (count) } "). Note it as used in the stash."
                        }
                    }
                }
                p.caution { "Close or cover the blade when it is not in use. Keep fingers behind the guard and off the rail, and children and pets from the table." }
            }
        }
    }
}
