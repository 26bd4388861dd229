//! *Draw a layout*: the layouts there are, and a card on which panels are placed by dragging or by
//! typing fractions; saved as the same TOML that is written by hand.

use super::super::choices::Asking;
use super::super::drawing;
use super::super::view::View;
use super::frame::{self, Area};
use super::trouble;
use crate::layout::{Drawn, Layout};
use crate::present::outline::{Names, drawing as outline};
use crate::present::sizes::card_size;
use maud::{Markup, PreEscaped, html};
use swatchfold_door::Told;

/// The page with all layouts.
pub(super) fn page(view: &View<'_>) -> Told {
    let room = view.room();
    let main = html! {
        header.lead {
            h1 { "Draw a layout" }
            p {
                @if room.built_in_layouts { "These came with the program. Draw one of your own beside them, or begin from one." }
                @else { "These are yours. Draw another, or begin from one." }
            }
            p.ways { a.button.main href="/layouts/draw" { "A new layout" } }
        }
        ul.layouts {
            @for layout in &room.layouts { (tile(view, layout)) }
        }
    };
    frame::page(view, Area::Layouts, "Draw a layout", &main)
}

fn tile(view: &View<'_>, layout: &Layout) -> Markup {
    let settings = &view.room().stash.settings;
    let drawn = Drawn::as_drawn(layout, layout.card, settings.ruler);
    let nothing = Asking::of_layout(&layout.id);
    html! {
        li {
            div.front { (PreEscaped(outline(&drawn, &[], Names::Left, &layout.name))) }
            h2 { bdi { (layout.name) } }
            p.meta { (card_size(layout.card, settings)) @if let Some(credit) = &layout.credit { " · " bdi { (credit) } } }
            p.ways {
                a.button.small href=(nothing.at("/cards")) { "Cards" span.out { " with the layout " (layout.name) } }
                a.button.small href=(format!("/layouts/draw?like={}", super::super::choices::part(&layout.id))) { "Begin from it" span.out { ": " (layout.name) } }
            }
        }
    }
}

/// The page on which one is drawn.
pub(super) fn draw(view: &View<'_>) -> Told {
    let room = view.room();
    let like = match view.asked.query("like") {
        None => None,
        Some(id) => match room.layouts.iter().find(|layout| layout.id == id) {
            Some(layout) => Some(layout),
            None => return trouble::said(view, 404, "There is no such layout.", "Choose one of those there are."),
        },
    };
    let sketch = drawing::Sketch::beginning(room, like);
    frame::page_with(view, Area::Layouts, "A new layout", &table(view, &sketch, None), &["draw.js"])
}

/// The sheet: a card to draw on, and a row of fields for each panel, which work without the drawing.
fn table(view: &View<'_>, sketch: &drawing::Sketch, wrong: Option<&[String]>) -> Markup {
    html! {
        p.back { a href="/layouts" { "← All layouts" } }
        header.lead { h1 { "A new layout" } p { "Drag a panel or its corners, or type where it lies. Everything snaps to the marks of your ruler." } }
        form.draw method="post" action="/layouts/draw" data-mm=(sketch.scale) {
            (frame::hidden(view))
            input type="hidden" name="from" value="/layouts/draw";
            @if let Some(wrong) = wrong {
                div.wrong role="alert" { p { "It cannot be saved as it is:" } ul { @for one in wrong { li { (one) } } } }
            }
            div.row {
                label.field.wide { span { "What you call it" } input name="name" value=(sketch.name) required maxlength="80" autocomplete="off"; }
                label.field { span { "Card, width × height" } input name="card" value=(sketch.card) required autocomplete="off"; }
            }
            div.board {
                svg.paper role="img" aria-label="The card with its panels" {}
            }
            ol.panels {
                @for (number, panel) in sketch.panels.iter().enumerate() { (row(number, panel, &sketch.panels)) }
            }
            p.ways {
                button.small type="button" data-do="add" hidden { "Another panel" }
                button.small type="button" data-do="mirror" hidden { "Mirror it" }
                label.button.small data-do="import" hidden { "Rectangles from an SVG" input.out type="file" accept="image/svg+xml,.svg"; }
            }
            button.main { "Save it" }
        }
        template #panel { (row(0, &drawing::PanelRow::blank(0), &[])) }
    }
}

fn row(number: usize, panel: &drawing::PanelRow, all: &[drawing::PanelRow]) -> Markup {
    let field = |name: &'static str, words: &'static str, value: &str| {
        html! {
            label.field { span { (words) } input name=(name) value=(value) size="7" autocomplete="off" required; }
        }
    };
    html! {
        li.panel {
            fieldset {
                legend { "Panel " span.number { (number + 1) } }
                label.field { span { "name" } input name="id" value=(panel.id) size="10" maxlength="40" autocomplete="off" required; }
                label.field { span { "for" }
                    select name="role" { @for role in drawing::ROLES { option selected[role == panel.role] { (role) } } }
                }
                (field("left", "left", &panel.left))
                (field("top", "top", &panel.top))
                (field("width", "width", &panel.width))
                (field("height", "height", &panel.height))
                label.field { span { "lies on" }
                    select name="on" {
                        option value="" { "the card" }
                        @for other in all.iter().take(number) { option value=(other.id) selected[other.id == panel.on] { (other.id) } }
                    }
                }
                label.field { span { "edge of a mat" } input name="mat" value=(panel.mat) size="7" autocomplete="off" placeholder="none"; }
                button.small type="button" data-do="remove" hidden { "Take away" }
            }
        }
    }
}

/// Saves what was drawn.
pub(super) fn save(view: &View<'_>) -> Told {
    let _pen = view.pages.desk.pen();
    if let Some(stale) = view.is_stale() {
        return stale;
    }
    let sketch = drawing::Sketch::from_form(view);
    match drawing::save(view, &sketch) {
        Ok(id) => {
            view.pages.desk.look();
            Told::see(Asking::of_layout(&id).at("/cards"))
        }
        Err(wrong) => {
            let main = table(view, &sketch, Some(&wrong));
            frame::page_with(view, Area::Layouts, "A new layout", &main, &["draw.js"]).with_status(400)
        }
    }
}
