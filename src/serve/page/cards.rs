//! *Find a card*: suggestions as drawn cards, and what must be used, left out, or of which size; every
//! change draws them anew in place.

use super::super::choices::Asking;
use super::super::view::{GLANCE, View};
use super::frame::{self, Area};
use super::tiles::chip;
use super::trouble;
use crate::assemble::{Bench, Built};
use crate::index::FaceId;
use crate::present::page::sections;
use crate::present::sizes::{card_name, card_size};
use crate::present::svg::inline;
use crate::present::words::{lack_words, material_word};
use crate::present::{Defs, Scene};
use crate::room::Room;
use crate::score::{Answer, Suggestion};
use api::units::Size;
use maud::{Markup, PreEscaped, html};
use swatchfold_door::Told;

/// The page.
pub(super) fn page(view: &View<'_>) -> Told {
    let asking = match view.asking() {
        Ok(asking) => asking,
        Err(unclear) => return trouble::unclear(view, &unclear),
    };
    let question = match view.question(&asking) {
        Ok(question) => question,
        Err(unknown) => return trouble::unknown(view, &unknown),
    };
    let answer = question.answer(GLANCE);
    let main = html! {
        header.lead {
            h1 { "Find a card" }
        }
        (choices(view, &asking))
        div #list { (list(view, &question.room, &answer, &asking)) }
        @if !answer.exact {
            (still_looking(&asking))
        }
    };
    frame::page(view, Area::Cards, "Find a card", &main)
}

/// The part of the page with the cards, as found with so much work.
pub(in super::super) fn part(view: &View<'_>, room: &Room, answer: &Answer, asking: &Asking) -> String {
    list(view, room, answer, asking).into_string()
}

fn still_looking(asking: &Asking) -> Markup {
    html! {
        div.looking #looking data-events=(asking.at("/cards/longer")) {
            p { "These are the best found at a glance. " span.far {} }
            button.small type="button" hidden { "Stop looking" }
        }
    }
}

/// How sure the list is.
pub(in super::super) fn proof(answer: &Answer) -> &'static str {
    match (answer.suggestions.is_empty(), answer.exact) {
        (false, true) => "The best there are, best first: that is proven.",
        (false, false) => "The best found so far, best first.",
        (true, true) => "No card can be made of this.",
        (true, false) => "No card was found so far.",
    }
}

/// What is asked for, to be changed.
fn choices(view: &View<'_>, asking: &Asking) -> Markup {
    let room = view.room();
    let sizes = sizes(room);
    let named = |id: &str| name_of(room, id);
    let chosen = &asking.choices;
    html! {
        form.choices #choices method="get" action="/cards" data-swap="" aria-label="What to use" {
            @if !(chosen.must_use.is_empty() && chosen.leave_out.is_empty() && chosen.layouts.is_empty()) {
                ul.chosen {
                    @for id in &chosen.must_use {
                        li.use {
                            input type="hidden" name="use" value=(id);
                            span { "must use " b { bdi { (named(id)) } } }
                            a href=(asking.without_word_of(id).at("/cards")) data-swap="" aria-label=(format!("no longer: must use {}", named(id))) { "×" }
                        }
                    }
                    @for id in &chosen.leave_out {
                        li.leave {
                            input type="hidden" name="without" value=(id);
                            span { "leave out " b { bdi { (named(id)) } } }
                            a href=(asking.without_word_of(id).at("/cards")) data-swap="" aria-label=(format!("no longer: leave out {}", named(id))) { "×" }
                        }
                    }
                    @for id in &chosen.layouts {
                        li.use {
                            input type="hidden" name="layout" value=(id);
                            span { "layout " b { bdi { (layout_name(room, id)) } } }
                            a href=(asking.without_word_of(id).at("/cards")) data-swap="" aria-label=(format!("no longer: only the layout {}", layout_name(room, id))) { "×" }
                        }
                    }
                }
            }
            fieldset {
                legend { "Card size" }
                @for size in &sizes {
                    label.tick {
                        input type="checkbox" name="card" value=(size.exact(room.stash.settings.unit)) checked[asking.asks_for(*size)];
                        span { (card_name(*size, &room.stash.settings).unwrap_or_else(|| size.exact(room.stash.settings.unit))) }
                    }
                }
            }
            div.row {
                label.field {
                    span { "Of each" }
                    input type="number" name="each" min="1" max="1000" inputmode="numeric" value=(chosen.copies.unwrap_or(1));
                }
                label.tick {
                    input type="checkbox" name="scraps" value="1" checked[chosen.scraps_first];
                    span { "scraps first" }
                }
                button.small { "Show" }
            }
        }
    }
}

/// The card sizes she makes, and those of the layouts.
fn sizes(room: &Room) -> Vec<Size> {
    let mut sizes: Vec<Size> = Vec::new();
    for size in room.stash.settings.cards.iter().copied().chain(room.layouts.iter().map(|layout| layout.card)) {
        if !sizes.contains(&size) && !sizes.contains(&size.turned()) && sizes.len() < 8 {
            sizes.push(size);
        }
    }
    sizes
}

/// What an id is called.
fn name_of(room: &Room, id: &str) -> String {
    if let Some(face) = room.index.find(id) {
        return room.index.face(face).view.name.clone();
    }
    match room.stash.line_called(id) {
        Some(line) => room.stash.describe(line),
        None => id.replace('-', " "),
    }
}

fn layout_name(room: &Room, id: &str) -> String {
    room.layouts.iter().find(|layout| layout.id == id).map_or_else(|| id.to_owned(), |layout| layout.name.clone())
}

fn list(view: &View<'_>, room: &Room, answer: &Answer, asking: &Asking) -> Markup {
    let pictures = view.pictures_of(room, &answer.suggestions);
    let scene = view.scene(room, &pictures);
    let mut shared = Defs::new("s-");
    let bench = Bench::new(scene.table).for_copies(answer.copies);
    let cards: Vec<Markup> = answer
        .suggestions
        .iter()
        .enumerate()
        .map(|(place, found)| card(&scene, &bench, found, place + 1, asking, &mut shared))
        .collect();
    html! {
        (frame::shared(&shared))
        p.proof { (proof(answer)) }
        ul.cards { @for card in &cards { (card) } }
        @if let (Some(more), true) = (asking.more(), answer.suggestions.len() >= asking.choices.list.unwrap_or(0)) {
            p.ways { a.button href=(more.at("/cards")) data-swap="" { "Show more" } }
        }
        (almost(room, answer))
    }
}

fn card(
    scene: &Scene<'_>,
    bench: &Bench,
    found: &Suggestion,
    number: usize,
    asking: &Asking,
    shared: &mut Defs,
) -> Markup {
    let settings = scene.table.settings;
    let layout = &scene.table.layouts[found.layout];
    let prefix = format!("c{number}");
    let dots = Built::new(scene.table, bench, found).dots;
    let told = sections(scene, found, shared);
    let at = asking.at(&format!("/card/{}", super::super::choices::part(&found.id)));
    html! {
        li.card {
            a.front href=(at) {
                (PreEscaped(inline(scene, found, dots.as_ref(), &prefix, shared)))
            }
            div.told {
                h2 { bdi { (layout.name) } }
                p.meta {
                    (card_size(found.network.card, settings)) " · "
                    @match found.changes.len() {
                        0 => "as drawn",
                        1 => "1 change",
                        count => { (count) " changes" }
                    }
                }
                (materials(scene, found, asking, shared))
                details {
                    summary { "Why this one" }
                    div.inner {
                        (PreEscaped(&told.why))
                        (PreEscaped(&told.changed))
                        (PreEscaped(&told.care))
                        (PreEscaped(&told.credit))
                    }
                }
                p.ways { a.button.main href=(at) { "Cut and build" span.out { ": " (layout.name) } } }
            }
        }
    }
}

/// The papers of a card, each to be marked *must use* or *leave out*.
fn materials(scene: &Scene<'_>, found: &Suggestion, asking: &Asking, shared: &mut Defs) -> Markup {
    let mut faces: Vec<FaceId> = Vec::new();
    for layer in &found.network.layers {
        let face = found.faces[layer.slot];
        if !faces.contains(&face) {
            faces.push(face);
        }
    }
    let rows: Vec<Markup> = faces.iter().map(|face| material(scene, *face, asking, shared)).collect();
    let chips: Vec<Markup> = faces.iter().map(|face| chip(scene, *face, shared)).collect();
    let touched = faces.iter().any(|face| asking.choices.must_use.contains(&scene.table.index.face(*face).id));
    html! {
        details.made-of open[touched] {
            summary { span.out { "Its papers: use or leave out" } span.chips { @for chip in &chips { (chip) } } }
            ul.papers { @for row in &rows { (row) } }
        }
    }
}

fn material(scene: &Scene<'_>, face: FaceId, asking: &Asking, shared: &mut Defs) -> Markup {
    let of = scene.table.index.face(face);
    let (is_used, name) = (asking.choices.must_use.contains(&of.id), &of.view.name);
    let to_use = if is_used { asking.without_word_of(&of.id) } else { asking.using(&of.id) };
    html! {
        li {
            (chip(scene, face, shared))
            span { b { bdi { (name) } } small { (material_word(of.view.material)) } }
            span.marks {
                a href=(to_use.at("/cards")) data-swap="" aria-label=(if is_used { format!("no longer: must use {name}") } else { format!("must use {name}") }) aria-current=[is_used.then_some("true")] { "must use" }
                a href=(asking.leaving_out(&of.id).at("/cards")) data-swap="" aria-label=(format!("leave out {name}")) { "leave out" }
            }
        }
    }
}

fn almost(room: &Room, answer: &Answer) -> Markup {
    html! {
        @if !answer.almost.is_empty() {
            details.almost {
                summary { "Almost: " (answer.almost.len()) @if answer.almost.len() == 1 { " layout lacks" } @else { " layouts lack" } " one thing" }
                ul {
                    @for almost in &answer.almost {
                        @let words = lack_words(&almost.miss, &room.stash.settings);
                        li { b { bdi { (room.layouts[almost.layout].name) } } ": " (words.needs) ". " (words.remedy) "." }
                    }
                }
            }
        }
    }
}
