//! What is told where something is not as it should be: what, and what to do.

use super::super::choices::{Asking, Unclear};
use super::super::view::View;
use super::frame::{self, Area};
use crate::room::UnknownId;
use maud::{Markup, html};
use swatchfold_door::{Pairing, Refusal, Told};

/// A page that says what is wrong and what to do.
pub(super) fn said(view: &View<'_>, status: u16, what: &str, remedy: &str) -> Told {
    let main = html! {
        header.lead { h1 { (what) } p { (remedy) } }
        p.ways { a.button.main href="/" { "To the papers" } a.button href="/cards" { "To the cards" } }
    };
    frame::page(view, Area::None, "Not quite", &main).with_status(status)
}

/// Something in the address cannot be.
pub(super) fn unclear(view: &View<'_>, unclear: &Unclear) -> Told {
    said(view, 400, &format!("{}.", unclear.what), &format!("It should be: {}.", unclear.remedy))
}

/// Ids that name nothing.
pub(super) fn unknown(view: &View<'_>, ids: &[UnknownId]) -> Told {
    let main = html! {
        header.lead {
            h1 { "That is not in the stash" }
            @for unknown in ids {
                p {
                    "Nothing here is called " b { bdi { (unknown.id) } } "."
                    @if let Some(nearest) = &unknown.nearest {
                        " The nearest there is: " a href=(Asking::default().using(nearest).at("/cards")) { bdi { (nearest) } } "."
                    }
                }
            }
        }
        p.ways { a.button.main href="/" { "To the papers" } }
    };
    frame::page(view, Area::None, "Not in the stash", &main).with_status(404)
}

/// A card that is not among those that can be made now.
pub(super) fn no_card(view: &View<'_>, asking: &Asking) -> Told {
    let main = html! {
        header.lead {
            h1 { "This card is not on the list any more" }
            p { "What is on hand has changed since, or it takes a longer look to find it again." }
        }
        p.ways { a.button.main href=(asking.at("/cards")) { "Look at the cards" } }
    };
    frame::page(view, Area::Cards, "Not on the list", &main).with_status(404)
}

/// A page that has seen an earlier state: nothing was changed, and this is what is different now.
pub(in super::super) fn stale(view: &View<'_>, seen: &str) -> Told {
    if view.asked.path.first().is_some_and(|first| first == "api") {
        return super::super::api::stale(view, seen);
    }
    let main = html! {
        header.lead {
            h1 { "Something has changed meanwhile" }
            p { "Another page, or a file of the stash. Nothing was changed by you just now: look, and do it again if it still holds." }
        }
        (difference(view, seen))
        p.ways { a.button.main href=(view.asked.field("from").filter(|from| from.starts_with('/') && !from.starts_with("//")).unwrap_or("/stash")) { "Look again" } }
    };
    frame::page(view, Area::None, "Changed meanwhile", &main).with_status(409)
}

fn difference(view: &View<'_>, seen: &str) -> Markup {
    html! {
        @match view.pages.desk.since(seen) {
            None => { p { "What you saw is too long ago to say what is different." } }
            Some(lines) if lines.is_empty() => { p { "No paper is different: it was something else, such as a layout or a setting." } }
            Some(lines) => {
                ul.difference {
                    @for line in &lines {
                        li {
                            code { (line.id) } " "
                            @match (&line.was, &line.is) {
                                (Some(was), Some(is)) => { del { (was) } " is now " ins { (is) } },
                                (Some(was), None) => { del { (was) } " is gone" },
                                (None, Some(is)) => { ins { (is) } " is new" },
                                (None, None) => {},
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What a refusal says: what, and what to do.
pub(in super::super) fn words(refusal: &Refusal) -> (String, String) {
    let (what, remedy) = match refusal {
        Refusal::StrangeHost => (
            "This address leads here by a name that is not ours",
            "Use the address that was printed when the pages were opened",
        ),
        Refusal::OtherSite => ("Another site's page asked for this", "Open the page itself and do it there"),
        Refusal::NoSession => (
            "This device is not known here any more",
            "Load the page again; a tablet or telephone is paired with the code from the terminal",
        ),
        Refusal::NoToken => (
            "This page is older than the program that serves it",
            "Load it again and repeat what you did: nothing was changed",
        ),
        Refusal::NoSuchPage => ("There is no such page", "Begin again with the papers"),
        Refusal::NoSuchMethod => ("Nothing of the kind is done here", "Use the pages' own buttons"),
        Refusal::TooLarge(most) => {
            return (
                format!("What was sent is larger than {} kB", most / 1000),
                "Send a smaller picture, or less at a time".to_owned(),
            );
        }
        Refusal::TooSlow => ("What was sent took too long to come", "Come nearer to the router and try again"),
        Refusal::Unreadable(why) => {
            return (
                format!("What was sent cannot be read: {why}"),
                "Load the page again and repeat what you did".to_owned(),
            );
        }
        Refusal::Wait(seconds) => {
            return (
                "Too many wrong codes".to_owned(),
                format!("Wait {seconds} seconds, then type the code that stands in the terminal now"),
            );
        }
        Refusal::Defect => (
            "This is a defect of Swatchfold, not of your stash",
            "Nothing of yours is lost; the terminal says more: please report it",
        ),
    };
    (what.to_owned(), remedy.to_owned())
}

/// The page for what was not let through.
pub(in super::super) fn refused(refusal: &Refusal) -> Told {
    let (what, remedy) = words(refusal);
    let main = html! {
        header.lead { h1 { (what) "." } p { (remedy) "." } }
        p.ways { a.button.main href="/" { "To the papers" } }
    };
    frame::bare(refusal.status(), "Not quite", &main)
}

/// The page on which the code is typed in.
pub(in super::super) fn pairing(pairing: &Pairing) -> Told {
    let main = html! {
        form.pairing method="post" action="/pair" {
            h1 { "Let this device in" }
            p { "Type the code that stands in the terminal of the computer with the stash. It works once." }
            @if pairing.was_wrong {
                p.wrong role="alert" { "That was not the code. There may be a new one: look again." }
            }
            label { span { "Code" }
                input name="code" value=(pairing.code) autocomplete="one-time-code" autocapitalize="characters" spellcheck="false" maxlength="16" required autofocus;
            }
            button.main { "Let me in" }
        }
    };
    frame::bare(200, "Let this device in", &main)
}
