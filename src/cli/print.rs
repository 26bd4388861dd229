//! `print` and `writeup`: a plan's file in; a booklet to print out, or the batch in words, out.

use super::args::{Common, PaperWord, Print, Writeup};
use super::console::Console;
use super::progress::Progress;
use super::save::save;
use super::trouble::Trouble;
use super::{open, plan};
use crate::present::booklet::{self, Booklet, Markup, NoBooklet, PageSize};
use crate::present::json;
use crate::problem::{printable, quoted};
use crate::record::Refused;

/// The most papers that are named where their pictures are missing.
const NAMED: usize = 5;

/// A plan that cannot be shown.
fn unread(refused: Refused) -> Trouble {
    match refused {
        Refused::BadPlan { why } => Trouble::input(
            format!("this is no plan that can be shown: {why}"),
            "make it anew: `swatchfold plan --json > plan.json`",
        ),
        other => other.into(),
    }
}

/// `print PLAN`.
pub(super) fn print(console: &Console, common: &Common, asked: &Print) -> Result<(), Trouble> {
    let text = plan::read(&asked.plan)?;
    let room = open::readable(console, common)?;
    let paper = match asked.paper {
        PaperWord::A4 => PageSize::A4,
        PaperWord::Letter => PageSize::Letter,
    };
    let progress = Progress::begin("setting the booklet");
    let booklet = booklet::booklet(&room, &text, paper).map_err(|no| match no {
        NoBooklet::Plan(refused) => unread(refused),
        NoBooklet::Pdf(why) => Trouble::Failure {
            what: format!("the booklet cannot be made: {why}"),
            remedy: "print fewer cards at a time".to_owned(),
        },
    })?;
    drop(progress);
    save(&asked.out, &booklet.pdf)?;
    tell(console, &booklet);
    let shown = asked.out.display().to_string();
    if common.json {
        return console.print_data(json::files(&[shown]).as_bytes());
    }
    console.tell(&format!("The booklet, {} pages, to print at 100 %: {}", booklet.pages, quoted(&shown)));
    Ok(())
}

/// Says what is not as it should be.
fn tell(console: &Console, booklet: &Booklet) {
    if booklet.other_stash {
        console.tell("This plan is of another stash than this, or its files changed since: pictures may be wrong");
    }
    let missing = &booklet.missing;
    if missing.is_empty() {
        return;
    }
    let mut names: Vec<String> = missing.iter().take(NAMED).map(|name| printable(name)).collect();
    if missing.len() > NAMED {
        names.push(format!("{} more", missing.len() - NAMED));
    }
    console.tell(&format!("Drawn in their colours, since this stash has no picture of them: {}", names.join(", ")));
}

/// `writeup PLAN`.
pub(super) fn writeup(console: &Console, common: &Common, asked: &Writeup) -> Result<(), Trouble> {
    let text = plan::read(&asked.plan)?;
    let room = open::readable(console, common)?;
    let markup = if asked.plain { Markup::Plain } else { Markup::Markdown };
    let words = booklet::writeup(&room, &text, markup).map_err(unread)?;
    console.print_data(words.as_bytes())
}
