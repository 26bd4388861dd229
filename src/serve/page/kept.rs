//! A plan that was kept: its cards, its sheets with their cuts, the steps, tick boxes, the booklet to print,
//! and *record it*; as it was planned, whatever has been recorded or edited since.

use super::super::plans;
use super::super::view::View;
use super::card::{Row, tick_list};
use super::frame::{self, Area};
use super::trouble;
use crate::present::booklet::{self, NoBooklet, PageSize, Parts};
use crate::record::{self, DotsUsed, Kept, PlanFile};
use crate::stash::Date;
use api::units::{Region, Size};
use maud::{Markup, html};
use std::collections::BTreeSet;
use std::time::UNIX_EPOCH;
use swatchfold_door::{Kind, Told};

/// The most plans that are named on the page where batches are planned.
const NAMED: usize = 12;

fn gone(view: &View<'_>) -> Told {
    trouble::said(view, 404, "This plan is not kept here.", "Plan the batch again.")
}

/// The plan, or what is told where there is none, or it cannot be read.
fn open(view: &View<'_>, name: &str) -> Result<(String, Parts), Told> {
    let text = plans::read(&view.pages.desk.folder, name).ok_or_else(|| gone(view))?;
    match Parts::read(view.room(), &text) {
        Ok(parts) => Ok((text, parts)),
        Err(refused) => {
            let what = format!("This plan cannot be shown: {}.", refused.message());
            Err(trouble::said(view, 400, &what, "Take its file out of the folder `plans`, and plan the batch again."))
        }
    }
}

/// Keeps the plan of a batch that is there, so that work on it can go on whatever happens.
pub(super) fn keep(view: &View<'_>) -> Told {
    let name = view.asked.field("batch").unwrap_or_default();
    let taken_back = plans::take_back(&view.pages.desk.folder, name);
    match taken_back.and_then(|taken_back| Ok(taken_back || view.pages.keep_plan(name)?)) {
        Ok(true) => Told::see(format!("/plan/{name}")),
        Ok(false) => trouble::said(view, 404, "This plan is not here any more.", "Plan the batch again."),
        Err(why) => trouble::said(
            view,
            500,
            &format!("The plan could not be kept: {why}."),
            "Check that there is room on the disk and that the stash folder may be written to.",
        ),
    }
}

/// Keeps a plan no longer; its ticks stay, and it can be taken back.
pub(super) fn put_away(view: &View<'_>) -> Told {
    let name = view.asked.field("batch").unwrap_or_default();
    match plans::put_away(&view.pages.desk.folder, name) {
        Ok(()) => Told::see(format!("/batch?away={name}")),
        Err(_) => gone(view),
    }
}

/// The plans that are kept, to go on with.
pub(super) fn list(view: &View<'_>) -> Markup {
    let kept = plans::all(&view.pages.desk.folder);
    let day = |time: &std::time::SystemTime| {
        let days = time.duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs() / 86_400);
        Date(i32::try_from(days).unwrap_or(0)).to_string()
    };
    let away = view.asked.query("away");
    html! {
        @if let Some(name) = away.filter(|name| plans::is_away(&view.pages.desk.folder, name)) {
            form.work method="post" action="/plan/keep" {
                (frame::hidden(view))
                input type="hidden" name="batch" value=(name);
                p role="status" { "The plan was put away." }
                button.small { "Keep it after all" }
            }
        }
        @if !kept.is_empty() {
            section.work aria-labelledby="kept" {
                h2 #kept { "Go on with a plan" }
                ul {
                    @for (name, time) in kept.iter().take(NAMED) {
                        @let done = view.pages.ticks.of(name).len();
                        li { a href=(format!("/plan/{name}")) { "The plan kept on " (day(time)) } " · " @if done == 1 { "1 thing ticked off" } @else { (done) " things ticked off" } }
                    }
                }
            }
        }
    }
}

/// The page.
pub(super) fn page(view: &View<'_>, name: &str) -> Told {
    let parts = match open(view, name) {
        Ok((_, parts)) => parts,
        Err(told) => return told,
    };
    let batch = &parts.batch;
    let ticks = view.pages.ticks.of(name);
    let main = html! {
        p.back { a href="/batch" { "← Plan a batch" } }
        header.lead {
            h1 { "A batch of " (batch.made) @if batch.made == 1 { " card" } @else { " cards" } }
            p { "Planned on " (batch.today) ", and kept as it was then." }
        }
        p.ways {
            a.button href=(format!("/plan/{name}/booklet.pdf")) { "The booklet, to print (PDF)" }
        }
        ul.cards.small-cards {
            @for (place, cards) in batch.cards.iter().enumerate() {
                li.card {
                    div.front { img src=(format!("/plan/{name}/card-{place}.svg")) alt=(parts.card_in_words(place)); }
                    div.told { h2 { span.count { (cards.count) " ×" } " " bdi { (cards.suggestion.layout_name) } } }
                }
            }
        }
        (sheets(view, name, &parts, &ticks))
        (build(view, name, &parts, &ticks))
        (record_kept(view, name, &parts))
        form.work method="post" action="/plan/away" {
            (frame::hidden(view))
            input type="hidden" name="batch" value=(name);
            p { "Done with it, or not to be made? What was recorded stays recorded." }
            button.small { "Keep this plan no longer" }
        }
    };
    frame::page(view, Area::Batch, "A batch", &main)
}

fn sheets(view: &View<'_>, name: &str, parts: &Parts, ticks: &BTreeSet<String>) -> Markup {
    let unit = view.unit;
    let batch = &parts.batch;
    html! {
        @if !batch.sheets.is_empty() {
            section aria-labelledby="sheets" {
                h2 #sheets { "Cut" }
                p.caution { "Close or cover the blade when it is not in use. Keep fingers behind the guard and off the rail, and children and pets from the table." }
                @if !batch.guide_settings.is_empty() {
                    p { "Trimmer settings, in order: " @for (place, setting) in batch.guide_settings.iter().enumerate() { @if place > 0 { ", " } span.size { (setting.0.exact(unit)) } } "." }
                }
                ol.maps {
                    @for (place, sheet) in batch.sheets.iter().enumerate() {
                        @let size = Size::new(sheet.width.0, sheet.height.0).exact(unit);
                        li.map {
                            div.front { img src=(format!("/plan/{name}/sheet-{place}.svg")) alt=(format!("Cut map of sheet {}", sheet.stock)); }
                            div.told {
                                h3 { bdi { (parts.paper(&sheet.paper)) } @if sheet.copies > 1 { " × " (sheet.copies) } }
                                p.meta { (size) " · " code { (sheet.stock) } }
                                @if sheet.cuts.is_empty() { p { "Used whole: nothing to cut." } }
                                (tick_list(view, name, &format!("sheet-{place}-cut"), &sheet.cuts.iter().map(|cut| Row {
                                    what: html! {
                                        b { "Cut " (cut.number) } ": set " span.size { (cut.guide.0.exact(unit)) }
                                        @if cut.axis == "x" { ", top to bottom" } @else { ", left to right" }
                                    },
                                    more: String::new(),
                                }).collect::<Vec<Row>>(), ticks))
                                ul {
                                    @for piece in &sheet.placements {
                                        @if let Some(hole) = &piece.hollow {
                                            li { "After trimming cut the middle out of " bdi { (piece.layer) } " with a knife: " span.size { (Size::new(hole.width.0, hole.height.0).exact(unit)) } }
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn build(view: &View<'_>, name: &str, parts: &Parts, ticks: &BTreeSet<String>) -> Markup {
    let cards = &parts.batch.cards;
    let rows = to_build(cards.iter().map(|cards| (cards.suggestion.layout_name.as_str(), cards.count)));
    html! {
        @if !rows.is_empty() {
            section.work aria-labelledby="build" {
                h2 #build { "Build" }
                (tick_list(view, name, "card", &rows, ticks))
                @for (place, cards) in cards.iter().enumerate() {
                    details {
                        summary { "How to build " (place + 1) ": " (cards.suggestion.layout_name) }
                        ol.steps {
                            @for step in &cards.suggestion.steps {
                                li { (step.text) @if !step.cautions.is_empty() { " " small { (step.cautions.join("; ")) } } }
                            }
                        }
                    }
                }
                p.caution { "Tools and materials: follow their makers' instructions and local rules." }
            }
        }
    }
}

/// Every card of a batch to tick off, from the designs' names and how many there are of each.
pub(super) fn to_build<'a>(designs: impl Iterator<Item = (&'a str, u32)>) -> Vec<Row> {
    let cards =
        designs.enumerate().flat_map(|(place, (name, count))| (1..=count).map(move |card| (place, name, card, count)));
    cards
        .map(|(place, name, card, count)| Row {
            what: html! { b { (place + 1) ": " bdi { (name) } } ", card " (card) " of " (count) },
            more: String::new(),
        })
        .collect()
}

/// A leftover that may be kept.
pub(super) struct Leftover {
    /// What the plan calls it.
    pub(super) name: String,
    /// Its size and what it is of.
    pub(super) words: String,
    pub(super) count: u32,
    /// Whether it is worth keeping.
    pub(super) keep: bool,
}

/// The form that records a batch: sent to an address, with the batch's name and the page it is on.
pub(super) fn record_form(
    view: &View<'_>,
    (action, batch, from): (&str, &str, &str),
    leftovers: impl Iterator<Item = Leftover>,
    has_dots: bool,
) -> Markup {
    let leftovers: Vec<Leftover> = leftovers.collect();
    html! {
        form.work method="post" action=(action) {
            h2 { "Record it" }
            p { "When all is cut: what was used is taken off, the finished cards are noted, and the leftovers you keep go back to the stash. It can be taken back." }
            (frame::hidden(view))
            input type="hidden" name="batch" value=(batch);
            input type="hidden" name="from" value=(from);
            @if !leftovers.is_empty() {
                fieldset.leftovers {
                    legend { "Leftovers to keep" }
                    @for rest in &leftovers {
                        label.tick {
                            input type="checkbox" name="kept" value=(rest.name) checked[rest.keep];
                            span { (rest.words) @if rest.count > 1 { " × " (rest.count) } }
                        }
                    }
                }
            }
            @if has_dots {
                label.tick {
                    input type="checkbox" name="dots" value="1" checked;
                    span { "I set the finishing dots: take them off, too" }
                }
            }
            button.main { "Record it" }
        }
    }
}

fn record_kept(view: &View<'_>, name: &str, parts: &Parts) -> Markup {
    let batch = &parts.batch;
    let leftovers = batch.offcuts.iter().map(|rest| Leftover {
        name: rest.id.clone(),
        words: format!("{} of {}", Size::new(rest.width.0, rest.height.0).exact(view.unit), rest.stock),
        count: rest.count,
        keep: rest.keep,
    });
    let has_dots = batch.cards.iter().any(|cards| cards.suggestion.dots.is_some());
    record_form(view, ("/plan/made", name, &format!("/plan/{name}")), leftovers, has_dots)
}

/// A drawing of the plan, or its booklet.
pub(super) fn part(view: &View<'_>, name: &str, file: &str) -> Option<Told> {
    let (text, parts) = match open(view, name) {
        Ok(plan) => plan,
        Err(told) => return Some(told),
    };
    if file == "booklet.pdf" {
        let paper = if view.room().stash.settings.region == Region::Us { PageSize::Letter } else { PageSize::A4 };
        return Some(match booklet::booklet(view.room(), &text, paper) {
            Ok(booklet) => Told::new(200, Kind::Pdf, booklet.pdf),
            Err(NoBooklet::Plan(_)) => gone(view),
            Err(NoBooklet::Pdf(why)) => {
                trouble::said(view, 500, &format!("The booklet cannot be made: {why}."), "Plan fewer cards at a time.")
            }
        });
    }
    let (kind, place) = file.strip_suffix(".svg")?.split_once('-')?;
    let place = place.parse().ok()?;
    let drawing = match kind {
        "card" => parts.card(place),
        "sheet" => parts.sheet(place),
        _ => None,
    };
    drawing.map(|svg| Told::new(200, Kind::Svg, svg))
}

/// Records a batch that was made by a plan that was kept.
pub(super) fn made(view: &View<'_>) -> Told {
    let _pen = view.pages.desk.pen();
    if let Some(stale) = view.is_stale() {
        return stale;
    }
    let name = view.asked.field("batch").unwrap_or_default();
    let Some(text) = plans::read(&view.pages.desk.folder, name) else { return gone(view) };
    record(view, &text)
}

/// Writes what a plan made into the record: which leftovers were kept, and whether dots were set, is ticked.
pub(super) fn record(view: &View<'_>, plan: &str) -> Told {
    let kept: Vec<String> = match &view.asked.body {
        swatchfold_door::Body::Form(fields, _) => {
            fields.iter().filter(|(key, _)| key == "kept").map(|(_, value)| value.clone()).collect()
        }
        _ => Vec::new(),
    };
    // A box that is not ticked is not sent.
    let dots = if view.asked.field("dots") == Some("1") { DotsUsed::AsPlanned } else { DotsUsed::No };
    let done = PlanFile::read(plan)
        .and_then(|plan| super::record::with_desk(view, |desk| record::made(desk, &plan, &Kept::These(kept), dots)));
    super::record::told(view, done)
}
