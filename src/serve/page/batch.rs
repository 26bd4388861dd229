//! *Plan a batch*: how many cards, what must be used; the cards with their numbers, the sheets with
//! their cuts, tick boxes for the work, what is left, and *record it*.

use super::super::batches::{self, Batch, Planned};
use super::super::choices::{part, query_of};
use super::super::view::View;
use super::card::{Row, tick_list};
use super::frame::{self, Area};
use super::kept::{self, Leftover};
use super::trouble;
use crate::batch::{PlacedFor, PlanSheet};
use crate::cut::Axis;
use crate::index::{FaceId, PLENTY};
use crate::present::svg::inline;
use crate::present::text::verdict;
use crate::present::words::KNIFE_OUT;
use crate::present::{Defs, Scene};
use crate::room::NoBatch;
use api::units::Length;
use maud::{Markup, PreEscaped, html};
use std::sync::Arc;
use swatchfold_door::Told;

/// The page.
pub(super) fn page(view: &View<'_>) -> Told {
    if view.asked.query("again").is_some() {
        return Told::see(again(view));
    }
    let choices = match batches::asked(&view.asked.query) {
        Ok(choices) => choices,
        Err(why) => return trouble::said(view, 400, &format!("{why}."), "Go back and write another number."),
    };
    let batch = match choices.map(|choices| view.pages.batches.batch(view.pages, &choices, view.unit)).transpose() {
        Ok(batch) => batch,
        Err(NoBatch::Unknown(ids)) => return trouble::unknown(view, &ids),
        Err(NoBatch::UnknownOccasion { occasion, .. }) => {
            let what = format!("No layout is for “{occasion}”.");
            return trouble::said(
                view,
                404,
                &what,
                "Leave the occasion out, or give layouts `occasions` in their files.",
            );
        }
    };
    let main = html! {
        header.lead {
            h1 { "Plan a batch" }
            p { "Several cards from one stash, so that no sheet is promised twice." }
        }
        (form(view))
        @match batch.as_ref().map(|batch| (batch, batch.planned())) {
            None => (kept::list(view)),
            Some((batch, None)) => (at_work(view, batch)),
            Some((_, Some(Err(_)))) => (not_settled(view)),
            Some((batch, Some(Ok(planned)))) => (plan(view, batch, &planned)),
        }
    };
    frame::page(view, Area::Batch, "Plan a batch", &main)
}

fn form(view: &View<'_>) -> Markup {
    let query = |name: &str| view.asked.query(name).unwrap_or_default().to_owned();
    let uses: Vec<&str> = view.asked.queries("use").filter(|id| !id.is_empty()).collect();
    let room = view.room();
    let pads: std::collections::BTreeSet<&str> =
        room.stash.papers.iter().filter_map(|paper| paper.pad.as_deref()).collect();
    html! {
        form.choices method="get" action="/batch" data-swap="asked" aria-label="What batch" {
            input type="hidden" name="plan" value="1";
            div.row {
                label.field { span { "How many cards" } input type="number" name="cards" min="1" max="500" inputmode="numeric" value=(if query("cards").is_empty() { "12".to_owned() } else { query("cards") }); }
                label.tick { input type="checkbox" name="all" value="1" checked[view.asked.query("all").is_some()]; span { "as many as can be made" } }
                label.field { span { "Of each, from" } input type="number" name="least" min="1" max="100" inputmode="numeric" value=(if query("least").is_empty() { "2".to_owned() } else { query("least") }); }
                label.field { span { "to" } input type="number" name="most" min="1" max="100" inputmode="numeric" value=(if query("most").is_empty() { "4".to_owned() } else { query("most") }); }
            }
            @if !pads.is_empty() {
                fieldset {
                    legend { "Every card uses one of these; none ticked is anything" }
                    @for pad in &pads {
                        label.tick { input type="checkbox" name="use" value=(pad) checked[uses.contains(pad)]; span { (pad.replace('-', " ")) } }
                    }
                    @for id in uses.iter().filter(|id| !pads.contains(**id)) {
                        label.tick { input type="checkbox" name="use" value=(id) checked; span { (id) } }
                    }
                }
            }
            p.ways { button.main { "Plan it" } }
        }
    }
}

fn at_work(view: &View<'_>, batch: &Arc<Batch>) -> Markup {
    html! {
        section.looking.planning data-watch=(format!("/batch/watch/{}", batch.name)) {
            p role="status" { "Planning. " span.far { (batch.far()) } }
            form method="post" action="/batch/stop" {
                (frame::hidden(view))
                input type="hidden" name="batch" value=(batch.name);
                input type="hidden" name="back" value=(address(view));
                button.small { "Stop, and take what there is" }
            }
            noscript { p { a href=(address(view)) { "Look again" } } }
        }
    }
}

/// The address of the next round: what was ticked is settled.
fn again(view: &View<'_>) -> String {
    let kept: Vec<&str> = view.asked.queries("keep").filter(|id| !id.is_empty()).collect();
    let settled = if kept.is_empty() { batches::NOTHING.to_owned() } else { kept.join(",") };
    let own = |(key, _): &&(String, String)| key != "keep" && key != "again";
    let mut pairs: Vec<(String, String)> = view.asked.query.iter().filter(own).cloned().collect();
    pairs.push(("settled".to_owned(), settled));
    format!("/batch?{}", query_of(&pairs))
}

fn not_settled(view: &View<'_>) -> Markup {
    let pairs: Vec<(String, String)> = view.asked.query.iter().filter(|(key, _)| key != "settled").cloned().collect();
    html! {
        p.wrong role="alert" { "What was settled is not in a plan of this stash any more: papers have come or gone since." }
        p.ways { a.button.main href=(format!("/batch?{}", query_of(&pairs))) data-swap="" { "Plan it afresh" } }
    }
}

/// The cards of a plan, each to be settled before the rest is planned again.
fn designs(view: &View<'_>, batch: &Batch, planned: &Planned, drawn: &[String]) -> Markup {
    let plan = &planned.plan;
    html! {
        form method="get" action="/batch" data-swap="asked" aria-label="What is settled" {
            @for (key, value) in view.asked.query.iter().filter(|(key, _)| key != "keep" && key != "again") {
                input type="hidden" name=(key) value=(value);
            }
            input type="hidden" name="again" value="1";
            ul.cards.small-cards {
                @for (design, drawing) in plan.designs.iter().zip(drawn) {
                    @let name = &batch.room.layouts[design.card.layout].name;
                    li.card {
                        div.front { (PreEscaped(drawing)) }
                        div.told {
                            h2 { span.count { (design.count) " ×" } " " bdi { (name) } }
                            label.tick { input type="checkbox" name="keep" value=(design.card.id) checked[planned.ask.earlier.has_settled(&design.card)]; span { "settled" span.out { ": " (name) } } }
                        }
                    }
                }
            }
            @if !plan.designs.is_empty() {
                p.ways { button.button { "Keep what is settled, plan the rest again" } }
            }
        }
    }
}

fn address(view: &View<'_>) -> String {
    format!("/batch?{}", query_of(&view.asked.query))
}

/// Tells how far a batch is.
pub(super) fn watch(view: &View<'_>, name: &str) -> Option<Told> {
    view.pages.batches.called(name).map(batches::watch)
}

/// Ends the planning.
pub(super) fn stop(view: &View<'_>) -> Told {
    if let Some(batch) = view.pages.batches.called(view.asked.field("batch").unwrap_or_default()) {
        batch.stop();
    }
    let back = view
        .asked
        .field("back")
        .filter(|back| back.starts_with("/batch?") && back.bytes().all(|byte| byte.is_ascii_graphic()));
    Told::see(back.unwrap_or("/batch"))
}

fn plan(view: &View<'_>, batch: &Batch, planned: &Planned) -> Markup {
    let (room, plan) = (&batch.room, &planned.plan);
    let cards: Vec<_> = plan.designs.iter().map(|design| design.card.clone()).collect();
    let mut faces: Vec<FaceId> = plan.sheets.iter().map(|sheet| room.index.stock(sheet.of).front).collect();
    faces.extend(cards.iter().flat_map(|card| card.faces.iter().copied()));
    faces.extend(
        cards.iter().flat_map(|card| &card.choice.parts).flat_map(|choice| choice.parts.iter().map(|(face, _)| *face)),
    );
    let pictures = view.pictures_of_faces(room, &faces);
    let scene = view.scene(room, &pictures);
    let mut shared = Defs::new("s-");
    let drawn: Vec<String> = cards
        .iter()
        .enumerate()
        .map(|(place, card)| {
            inline(
                &scene,
                card,
                plan.built.get(place).and_then(|built| built.dots.as_ref()),
                &format!("c{place}"),
                &mut shared,
            )
        })
        .collect();
    let unit = room.stash.settings.unit;
    let ticks = view.pages.ticks.of(&batch.name);
    let to_cut: Vec<(usize, &PlanSheet)> =
        plan.sheets.iter().enumerate().filter(|(_, sheet)| room.index.stock(sheet.of).count < PLENTY).collect();
    html! {
        (frame::shared(&shared))
        p.verdict role="status" { (verdict(&planned.ask, plan)) }
        (keep_form(view, batch, planned))
        (designs(view, batch, planned, &drawn))
        @if !to_cut.is_empty() {
            section aria-labelledby="sheets" {
                h2 #sheets { "Cut" }
                p.caution { "Close or cover the blade when it is not in use. Keep fingers behind the guard and off the rail, and children and pets from the table." }
                @if plan.sheets.iter().any(|sheet| sheet.middle.is_some()) {
                    p.caution { "Middles are cut out with a knife, where the dashed lines are, when all trimming of sheets is done: " (KNIFE_OUT) "." }
                }
                @if !plan.guide_settings.is_empty() {
                    p { "Trimmer settings, in order: " @for (place, setting) in plan.guide_settings.iter().enumerate() { @if place > 0 { ", " } span.size { (setting.exact(unit)) } } "." }
                }
                ol.maps {
                    @for (place, sheet) in &to_cut { (sheet_map(view, &scene, batch, planned, *place, sheet, &ticks)) }
                }
            }
        }
        (build(view, &scene, batch, planned, &ticks))
        (record_form(view, batch, planned))
    }
}

/// To keep the plan, so that work can go on with it on another day.
fn keep_form(view: &View<'_>, batch: &Batch, planned: &Planned) -> Markup {
    html! {
        @if planned.plan.made > 0 {
            form.ways method="post" action="/plan/keep" {
                (frame::hidden(view))
                input type="hidden" name="batch" value=(batch.name);
                button.button { "Keep this plan, to cut and build it" }
            }
        }
    }
}

/// One sheet: its map, and its cuts to tick.
fn sheet_map(
    view: &View<'_>,
    scene: &Scene<'_>,
    batch: &Batch,
    planned: &Planned,
    place: usize,
    sheet: &PlanSheet,
    ticks: &std::collections::BTreeSet<String>,
) -> Markup {
    let unit = scene.table.settings.unit;
    let face = scene.table.index.face(scene.table.index.stock(sheet.of).front);
    let steps: Vec<_> = planned.plan.steps.iter().filter(|step| step.sheet == place).collect();
    let rows: Vec<Row> = steps
        .iter()
        .map(|step| Row {
            what: html! {
                b { "Cut " (step.number) } ": set " span.size { (step.guide.exact(unit)) }
                @if step.axis == Axis::X { ", top to bottom" } @else { ", left to right" }
            },
            more: String::new(),
        })
        .collect();
    html! {
        li.map {
            div.front { (drawn_sheet(scene, planned, place, sheet)) }
            div.told {
                h3 { bdi { (face.view.name) } @if sheet.copies > 1 { " × " (sheet.copies) } }
                p.meta { (sheet.size.exact(unit)) " · " code { (sheet.stock) } }
                @if rows.is_empty() { p { "Used whole: nothing to cut." } }
                (tick_list(view, &batch.name, &format!("sheet-{place}-cut"), &rows, ticks))
                @if sheet.placed.iter().any(|placed| matches!(placed.what, PlacedFor::Need { .. })) {
                    details {
                        summary { "Spoilt a piece?" span.out { " Sheet " (place + 1) } }
                        ul {
                            @for (number, placed) in sheet.placed.iter().enumerate() {
                                li { a href=(super::spoilt::address(view, &batch.name, place, number)) { (placed.design + 1) ": " bdi { (placed.piece) } " " (placed.size.exact(unit)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The sheet with its pieces and numbered cuts, lines dark on light so that it prints in grey.
fn drawn_sheet(scene: &Scene<'_>, planned: &Planned, place: usize, sheet: &PlanSheet) -> Markup {
    let mm = |length: Length| length.to_mm_decimal();
    let (width, height) = (mm(sheet.size.width), mm(sheet.size.height));
    let unit = scene.table.settings.unit;
    let face = scene.table.index.stock(sheet.of).front;
    let picture = scene.pictures.of_face(scene.stash, scene.table.index.face(face).source);
    let steps = planned.plan.steps.iter().filter(|step| step.sheet == place);
    let cards = planned.plan.designs.len();
    html! {
        svg viewBox=(format!("-1 -1 {} {}", mm(sheet.size.width + Length::MILLIMETRE * 2), mm(sheet.size.height + Length::MILLIMETRE * 2))) role="img" aria-label=(format!("Cut map of sheet {}", sheet.stock)) {
            rect width=(width) height=(height) fill=(api::hex(scene.table.index.face(face).view.main_colour())) {}
            @if let Some(picture) = picture { image width=(width) height=(height) preserveAspectRatio="none" href=(picture.href) {} }
            rect width=(width) height=(height) fill="#fff" fill-opacity=".35" stroke="#2a2521" stroke-width=".4" {}
            @for placed in &sheet.placed {
                @let (x, y) = placed.at;
                rect x=(mm(x)) y=(mm(y)) width=(mm(placed.size.width)) height=(mm(placed.size.height)) fill="#fff" fill-opacity=".55" stroke="#2a2521" stroke-width=".35" {}
                @if let Some(hole) = &placed.hole {
                    rect x=(mm(hole.at.0)) y=(mm(hole.at.1)) width=(mm(hole.size.width)) height=(mm(hole.size.height)) fill="none" stroke="#2a2521" stroke-width=".5" stroke-dasharray="1.6 1.6" {}
                    text x=(mm(hole.at.0 + hole.size.width.half())) y=(mm(hole.at.1 + Length::MILLIMETRE * 5)) font-size="3.2" text-anchor="middle" fill="#1c1917" font-family="system-ui, sans-serif" {
                        "knife, after trimming" @if hole.copies < sheet.copies { ": " (hole.copies) " of " (sheet.copies) }
                    }
                }
                @let middle = (mm(x + placed.size.width.half()), mm(y + placed.size.height.half()));
                text x=(middle.0) y=(middle.1) font-size="4.2" text-anchor="middle" fill="#1c1917" font-family="system-ui, sans-serif" {
                    tspan x=(middle.0) dy="-.6" { @if cards > 1 { (placed.design + 1) ": " } (placed.piece) }
                    tspan x=(middle.0) dy="4.8" { (placed.size.exact(unit)) }
                }
            }
            @for step in steps {
                @let (left, top, wide, high) = step.place;
                @let ends = if step.axis == Axis::X { (step.at, top, step.at, top + high) } else { (left, step.at, left + wide, step.at) };
                line x1=(mm(ends.0)) y1=(mm(ends.1)) x2=(mm(ends.2)) y2=(mm(ends.3)) stroke="#96381b" stroke-width=".7" stroke-dasharray="2.4 1.4" {}
                circle cx=(mm(ends.0)) cy=(mm(ends.1)) r="2.9" fill="#96381b" {}
                text x=(mm(ends.0)) y=(mm(ends.1)) dy="1.3" font-size="3.6" text-anchor="middle" fill="#fff" font-weight="bold" font-family="system-ui, sans-serif" { (step.number) }
            }
        }
    }
}

/// The cards to put together.
fn build(
    view: &View<'_>,
    scene: &Scene<'_>,
    batch: &Batch,
    planned: &Planned,
    ticks: &std::collections::BTreeSet<String>,
) -> Markup {
    let designs = planned.plan.designs.iter();
    let rows =
        kept::to_build(designs.map(|design| (batch.room.layouts[design.card.layout].name.as_str(), design.count)));
    html! {
        @if !rows.is_empty() {
            section.work aria-labelledby="build" {
                h2 #build { "Build" }
                (tick_list(view, &batch.name, "card", &rows, ticks))
                @for (place, (design, built)) in planned.plan.designs.iter().zip(&planned.plan.built).enumerate() {
                    details {
                        summary { "How to build " (place + 1) ": " (batch.room.layouts[design.card.layout].name) }
                        ol.steps {
                            @for step in super::card::steps(scene, &design.card, built) {
                                li { (step.what) @if !step.more.is_empty() { " " small { (step.more) } } }
                            }
                        }
                    }
                }
                p.caution { "Tools and materials: follow their makers' instructions and local rules." }
            }
        }
    }
}

fn record_form(view: &View<'_>, batch: &Batch, planned: &Planned) -> Markup {
    let unit = batch.room.stash.settings.unit;
    let plan = &planned.plan;
    let leftovers = plan.leftovers.iter().map(|leftover| Leftover {
        name: leftover.number.to_string(),
        words: format!("{} of {}", leftover.size.exact(unit), plan.sheets[leftover.sheet].stock),
        count: leftover.count,
        keep: leftover.worth_keeping,
    });
    let has_dots = plan.built.iter().any(|built| built.dots.is_some());
    html! {
        @if plan.made > 0 {
            (kept::record_form(view, ("/batch/made", &batch.name, &address(view)), leftovers, has_dots))
        }
    }
}

/// Records a batch that was made.
pub(super) fn made(view: &View<'_>) -> Told {
    let _pen = view.pages.desk.pen();
    if let Some(stale) = view.is_stale() {
        return stale;
    }
    let batch = view.pages.batches.called(view.asked.field("batch").unwrap_or_default());
    let Some(planned) = batch.as_ref().and_then(|batch| batch.planned()).and_then(Result::ok) else {
        return trouble::said(
            view,
            404,
            "This plan is not here any more.",
            "Plan the batch again; your ticks are kept with the same plan.",
        );
    };
    kept::record(view, &planned.text)
}

/// The address of a plan's own paper choices, for the other pages.
pub(super) fn using(id: &str) -> String {
    format!("/batch?plan=1&use={}", part(id))
}
