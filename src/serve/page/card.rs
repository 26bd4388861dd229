//! *Cut and build*: one card large, as drawn beside as adapted, what to cut and how to put it
//! together, with tick boxes that stay.

use super::super::choices::{Asking, part};
use super::super::view::{GLANCE, LOOKS, View};
use super::frame::{self, Area};
use super::trouble;
use crate::assemble::{Bench, Built};
use crate::present::page::sections;
use crate::present::pieces::{CardPiece, Made, Turned, pieces};
use crate::present::sizes::{card_size, ruler};
use crate::present::svg::{inline, prefix_of};
use crate::present::words::{kind_word, steps_in_words};
use crate::present::{Defs, Scene};
use crate::score::Suggestion;
use api::units::Size;
use maud::{Markup, PreEscaped, html};
use std::collections::BTreeSet;
use swatchfold_door::{Kind, Told};

/// The page.
pub(super) fn page(view: &View<'_>, id: &str) -> Told {
    let asking = match view.asking() {
        Ok(asking) => asking,
        Err(unclear) => return trouble::unclear(view, &unclear),
    };
    let question = match view.question(&asking) {
        Ok(question) => question,
        Err(unknown) => return trouble::unknown(view, &unknown),
    };
    // As far as was looked already, and a little further if need be.
    let found = [GLANCE, LOOKS[0]].into_iter().find_map(|work| question.card(id, work));
    let Some(found) = found else { return trouble::no_card(view, &asking) };
    let cards = std::slice::from_ref(&found);
    let pictures = view.pictures_of(&question.room, cards);
    let scene = view.scene(&question.room, &pictures);
    let main = built(view, &scene, &found, &asking);
    frame::page(view, Area::Cards, &scene.table.layouts[found.layout].name, &main)
}

fn built(view: &View<'_>, scene: &Scene<'_>, found: &Suggestion, asking: &Asking) -> Markup {
    let settings = scene.table.settings;
    let layout = &scene.table.layouts[found.layout];
    let mut shared = Defs::new("s-");
    let list = prefix_of(&found.id);
    let ticks = view.pages.ticks.of(&list);
    let bench = Bench::new(scene.table).for_copies(asking.choices.copies.unwrap_or(1));
    let built = Built::new(scene.table, &bench, found);
    let drawn = inline(scene, found, built.dots.as_ref(), "card", &mut shared);
    let told = sections(scene, found, &mut shared);
    let rows = cuts(scene, found);
    let steps = steps(scene, found, &built);
    html! {
        (frame::shared(&shared))
        p.back { a href=(asking.at("/cards")) { "← All cards" } }
        article.build {
            div.front { (PreEscaped(&drawn)) }
            div.told {
                header {
                    h1 { bdi { (layout.name) } }
                    p.meta { (card_size(found.network.card, settings)) }
                }
                h2.out { "What it is made of" }
                (PreEscaped(&told.changed))
                (PreEscaped(&told.materials))
                (PreEscaped(&told.care))
            }
            section.work aria-labelledby="cut" {
                h2 #cut { "Cut" }
                p.meta { "Width first, the pattern the right way up. Measure the sheet itself: it may have been cut into since." }
                (tick_list(view, &list, "cut", &rows, &ticks))
                p.caution { "Close or cover the blade when it is not in use. Keep fingers behind the guard and off the rail, and children and pets from the table." }
            }
            section.work aria-labelledby="build" {
                h2 #build { "Build" }
                (tick_list(view, &list, "step", &steps, &ticks))
                p.caution { "Tools and materials: follow their makers' instructions and local rules." }
            }
            details {
                summary { h2.plain { "Why this one" } }
                div.inner { (PreEscaped(&told.why)) (PreEscaped(&told.credit)) }
            }
        }
    }
}

/// One thing to do: what, and the rest in small.
pub(super) struct Row {
    pub(super) what: Markup,
    pub(super) more: String,
}

/// Tick boxes. Without a script each is a button that sends itself.
pub(super) fn tick_list(view: &View<'_>, list: &str, kind: &str, rows: &[Row], ticks: &BTreeSet<String>) -> Markup {
    html! {
        ol.ticks data-list=(list) {
            @for (number, row) in rows.iter().enumerate() {
                @let name = format!("{kind}-{}", number + 1);
                @let done = ticks.contains(&name);
                li {
                    form method="post" action="/tick" {
                        input type="hidden" name="token" value=(view.asked.guest.token);
                        input type="hidden" name="list" value=(list);
                        input type="hidden" name="tick" value=(name);
                        input type="hidden" name="done" value=(if done { "0" } else { "1" });
                        input type="hidden" name="back" value=(back(view));
                        label {
                            input type="checkbox" data-tick=(name) checked[done];
                            span { (row.what) @if !row.more.is_empty() { small { (row.more) } } }
                        }
                        noscript { button.small { @if done { "Not done" } @else { "Done" } } }
                    }
                }
            }
        }
    }
}

fn back(view: &View<'_>) -> String {
    let path: String = view.asked.path.iter().map(|one| format!("/{}", part(one))).collect();
    let query = super::super::choices::query_of(&view.asked.query);
    if query.is_empty() { path } else { format!("{path}?{query}") }
}

/// What is to be cut, equal pieces together.
fn cuts(scene: &Scene<'_>, found: &Suggestion) -> Vec<Row> {
    let index = scene.table.index;
    let settings = scene.table.settings;
    let all = pieces(index, found);
    let mut rows = Vec::new();
    let mut place = 0;
    while let Some(piece) = all.get(place) {
        let same = |other: &CardPiece| {
            (other.layer, other.cut, other.stock, other.turned) == (piece.layer, piece.cut, piece.stock, piece.turned)
        };
        let count = all[place..].iter().take_while(|other| same(other)).count();
        place += count;
        let layer = &found.network.layers[piece.layer];
        let stock = index.stock(piece.stock);
        let name = if layer.id == "base" { "card base" } else { layer.id.as_str() };
        let size = match piece.made {
            Made::Ready => piece.cut.exact(settings.unit),
            Made::Cut | Made::Folded | Made::Die(_) => piece.cut.down(ruler(settings)),
        };
        let then = match piece.made {
            Made::Folded => format!(", folded to {}", found.network.card.down(ruler(settings))),
            Made::Die(die) => {
                scene.table.dies.get(die).map_or_else(String::new, |die| format!(", then die-cut with {}", die.name))
            }
            Made::Ready => ", as it is".to_owned(),
            Made::Cut => String::new(),
        };
        let turned = if piece.turned == Turned::Quarter { ", turned a quarter" } else { "" };
        let from = Size::new(stock.width, stock.height).exact(settings.unit);
        rows.push(Row {
            what: html! {
                b { (name) } " "
                @if count > 1 { (count) " of " }
                span.size { (size) } (then)
            },
            more: format!(
                "{} · from {} {from}, {}{turned}",
                index.face(piece.face).view.name,
                kind_word(stock),
                stock.id()
            ),
        });
    }
    rows
}

/// How it is put together, in the order of work, each step with what to mind.
pub(super) fn steps(scene: &Scene<'_>, found: &Suggestion, built: &Built) -> Vec<Row> {
    steps_in_words(scene.table, found, built)
        .into_iter()
        .map(|step| Row { what: html! { (step.text) }, more: step.cautions.join("; ") })
        .collect()
}

/// Ticks or clears one thing.
pub(super) fn tick(view: &View<'_>) -> Told {
    let field = |name: &str| view.asked.field(name).unwrap_or_default();
    let is_script = view.asked.field("back").is_none();
    match view.pages.set_tick(field("list"), field("tick"), field("done") == "1") {
        Ok(true) if is_script => Told::new(204, Kind::Text, ""),
        Ok(true) => {
            let back = field("back");
            let is_ours = ["/card/", "/batch?", "/plan/"].iter().any(|own| back.starts_with(own))
                && back.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
            Told::see(if is_ours { back } else { "/cards" })
        }
        Ok(false) => trouble::said(view, 400, "There is nothing of that name to tick.", "Load the page again."),
        Err(why) => trouble::said(
            view,
            500,
            &format!("The tick could not be kept: {why}."),
            "Check that there is room on the disk and that the stash folder may be written to.",
        ),
    }
}
