//! What stands round every page: its head, the ways to the other pages, and its foot.

use super::super::assets::address;
use super::super::view::View;
use api::units::Unit;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use swatchfold_door::Told;

/// The areas of work, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Area {
    Papers,
    Cards,
    Mats,
    Batch,
    Stash,
    Layouts,
    None,
}

/// Each area: its address, what is done there, and the short word for narrow screens.
const AREAS: [(Area, &str, &str, &str); 6] = [
    (Area::Papers, "/", "which paper?", "paper"),
    (Area::Cards, "/cards", "find a card", "cards"),
    (Area::Mats, "/mats", "match a mat", "mats"),
    (Area::Batch, "/batch", "plan a batch", "batch"),
    (Area::Stash, "/stash", "look at the stash", "stash"),
    (Area::Layouts, "/layouts", "draw a layout", "layouts"),
];

/// A page of an area.
pub(super) fn page(view: &View<'_>, area: Area, title: &str, main: &Markup) -> Told {
    Told::page(whole(title, Some((view, area)), main, &[]).into_string())
}

/// A page that needs a script of its own.
pub(super) fn page_with(view: &View<'_>, area: Area, title: &str, main: &Markup, scripts: &[&str]) -> Told {
    Told::page(whole(title, Some((view, area)), main, scripts).into_string())
}

/// A page by itself, for someone who is not let in or has lost the way.
pub(super) fn bare(status: u16, title: &str, main: &Markup) -> Told {
    Told::page(whole(title, None, main, &[]).into_string()).with_status(status)
}

fn whole(title: &str, within: Option<(&View<'_>, Area)>, main: &Markup, scripts: &[&str]) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Swatchfold" }
                link rel="stylesheet" href=(address("look.css"));
                link rel="icon" href=(address("mark.svg")) type="image/svg+xml";
                link rel="manifest" href=(address("pages.webmanifest"));
                @if let Some((view, _)) = within {
                    meta name="token" content=(view.asked.guest.token);
                    meta name="revision" content=(view.now.revision);
                    script src=(address("desk.js")) defer {}
                    @for script in scripts {
                        script src=(address(script)) defer {}
                    }
                }
            }
            body {
                a.skip href="#main" { "Skip to the page" }
                header.top {
                    a.brand href="/" {
                        (PreEscaped(include_str!("../assets/mark.svg")))
                        span { "Swatchfold" }
                    }
                    @if let Some((view, area)) = within {
                        nav.areas aria-label="What to do" {
                            ul {
                                @for (own, at, long, short) in AREAS {
                                    li {
                                        a href=(at) aria-current=[(own == area).then_some("page")] {
                                            span.long { (long) }
                                            span.short { (short) }
                                        }
                                    }
                                }
                            }
                        }
                        (units(view))
                    }
                }
                div #live role="status" aria-live="polite" {}
                main #main tabindex="-1" { (main) }
                @if let Some((view, _)) = within {
                    footer.foot {
                        p { "Drawn from your own papers. Nothing leaves this house: these pages come from your own computer." }
                        @if view.now.wrong() > 0 {
                            p { a href="/stash#wrong" { @if view.now.wrong() == 1 { "One thing in your files needs a look" } @else { (view.now.wrong()) " things in your files need a look" } } }
                        }
                    }
                }
            }
        }
    }
}

/// The switch between inches and millimetres.
fn units(view: &View<'_>) -> Markup {
    let back = {
        let query = super::super::choices::query_of(&view.asked.query);
        let path: String =
            view.asked.path.iter().map(|part| format!("/{}", super::super::choices::part(part))).collect();
        let path = if path.is_empty() { "/".to_owned() } else { path };
        if query.is_empty() { path } else { format!("{path}?{query}") }
    };
    html! {
        form.units method="post" action="/unit" {
            (hidden(view))
            input type="hidden" name="back" value=(back);
            fieldset {
                legend.out { "Lengths in" }
                @for (unit, word, short) in [(Unit::Inch, "inches", "in"), (Unit::Millimetre, "millimetres", "mm")] {
                    button name="unit" value=(short) aria-pressed=(if view.unit == unit { "true" } else { "false" }) title=(word) { (short) }
                }
            }
        }
    }
}

/// What every form that changes something must carry.
pub(super) fn hidden(view: &View<'_>) -> Markup {
    html! {
        input type="hidden" name="token" value=(view.asked.guest.token);
        input type="hidden" name="revision" value=(view.now.revision);
    }
}

/// Notes the unit and goes back.
pub(super) fn set_unit(view: &View<'_>) -> Told {
    let unit = match view.asked.field("unit") {
        Some("mm") => Unit::Millimetre,
        _ => Unit::Inch,
    };
    view.pages.desk.show_in(view.asked.guest.number, unit);
    // Only ever to a page of ours: a path, and no `//` that would name another host.
    let back = view.asked.field("back").filter(|back| back.starts_with('/') && !back.starts_with("//"));
    let back = back.filter(|back| back.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\'));
    Told::see(back.unwrap_or("/"))
}

/// Drawings that stand in a page, with what they share.
pub(super) fn shared(defs: &crate::present::Defs) -> Markup {
    html! {
        (PreEscaped(format!(
            "<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\" focusable=\"false\"><defs>{}</defs></svg>",
            defs.text()
        )))
    }
}
