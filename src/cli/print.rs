//! `print` and `writeup`: a plan's file in; a booklet to print out, or the batch in words, out.

use super::args::Common;
use super::console::Console;
use super::progress::Progress;
use super::save::save;
use super::trouble::Trouble;
use super::{open, plan};
use crate::present::booklet::{self, Booklet, Markup, NoBooklet, PageSize};
use crate::present::json;
use crate::problem::{printable, quoted};
use crate::record::Refused;
use crate::room::Room;
use clap::{Args, ValueEnum, ValueHint};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// `print`.
#[derive(Debug, Args)]
pub(super) struct Print {
    /// The plan, as `plan --json` printed it; `-` reads it from stdin.
    #[arg(value_hint = ValueHint::FilePath)]
    pub(super) plan: PathBuf,
    /// The paper in your printer.
    #[arg(long, value_name = "PAPER", default_value = "letter")]
    pub(super) paper: PaperWord,
    /// The file for the booklet.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, default_value = "booklet.pdf")]
    pub(super) out: PathBuf,
    /// Write each page as an SVG file at true size as well, into this folder.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) svg: Option<PathBuf>,
    /// Write each page as a PNG picture of 150 dots to the inch as well, into this folder.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) png: Option<PathBuf>,
}

/// The paper in a printer.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum PaperWord {
    /// ISO A4, 210 x 297 mm.
    A4,
    /// US letter, 8 1/2 x 11 in.
    Letter,
}

/// `writeup`.
#[derive(Debug, Args)]
pub(super) struct Writeup {
    /// The plan, as `plan --json` printed it; `-` reads it from stdin.
    #[arg(value_hint = ValueHint::FilePath)]
    pub(super) plan: PathBuf,
    /// Plain text instead of Markdown.
    #[arg(long)]
    pub(super) plain: bool,
}

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

/// The stash of a plan: the folder that was said, or else the first of these that it is of: the current
/// folder, the one the plan lies in, and one called as its stash was in either.
fn room_of(console: &Console, common: &Common, plan: &Path, text: &str) -> Result<Room, Trouble> {
    let room = open::readable(console, common)?;
    let Ok((id, name)) = booklet::stash_of(text) else { return Ok(room) };
    if common.stash.is_some() || room.records.stash_id() == id {
        return Ok(room);
    }
    let beside = plan.parent().filter(|parent| !parent.as_os_str().is_empty());
    let mut folders: Vec<PathBuf> = beside.map(Path::to_owned).into_iter().collect();
    // A name is a name only, and leads nowhere else.
    if Path::new(&name).file_name() == Some(OsStr::new(&name)) {
        folders.extend([Path::new(".").join(&name), beside.unwrap_or(Path::new(".")).join(&name)]);
    }
    for folder in folders.into_iter().filter(|folder| folder.is_dir()) {
        let of_plan = Common { stash: Some(folder.clone()), ..common.clone() };
        if open::as_it_is(&of_plan).is_ok_and(|room| room.records.stash_id() == id) {
            console.tell(&format!("The stash of this plan: {}", quoted(&folder.display().to_string())));
            return open::readable(console, &of_plan);
        }
    }
    Ok(room)
}

/// `print PLAN`.
pub(super) fn print(console: &Console, common: &Common, asked: &Print) -> Result<(), Trouble> {
    let text = plan::read(&asked.plan)?;
    let room = room_of(console, common, &asked.plan, &text)?;
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
    let mut files = vec![asked.out.display().to_string()];
    if let Some(folder) = &asked.svg {
        for place in 0..booklet.count() {
            let Some(page) = booklet.page_svg(place) else { break };
            let path = folder.join(format!("page-{:03}.svg", place + 1));
            save(&path, page.as_bytes())?;
            files.push(path.display().to_string());
        }
    }
    if let Some(folder) = &asked.png {
        let progress = Progress::begin("drawing the pages");
        for place in 0..booklet.count() {
            progress.at(place, booklet.count());
            let Some(page) = booklet.page_png(place) else {
                return Err(Trouble::Failure {
                    what: format!("page {} cannot be drawn as a picture", place + 1),
                    remedy: "print the booklet without `--png`".to_owned(),
                });
            };
            let path = folder.join(format!("page-{:03}.png", place + 1));
            save(&path, &page)?;
            files.push(path.display().to_string());
        }
    }
    if common.json {
        return console.print_data(json::files(&files).as_bytes());
    }
    console.tell(&format!("The booklet, {} pages, to print at 100 %: {}", booklet.count(), quoted(&files[0])));
    for folder in [&asked.svg, &asked.png].into_iter().flatten() {
        console.tell(&format!("Its pages as pictures: {}", quoted(&folder.display().to_string())));
    }
    Ok(())
}

/// Says what is not as it should be.
fn tell(console: &Console, booklet: &Booklet) {
    if booklet.other_stash {
        console.tell(
            "This plan is of another stash than this, or its files changed since: pictures may be wrong. `--stash DIR` names its folder",
        );
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
    let room = room_of(console, common, &asked.plan, &text)?;
    let markup = if asked.plain { Markup::Plain } else { Markup::Markdown };
    let words = booklet::writeup(&room, &text, markup).map_err(unread)?;
    console.print_data(words.as_bytes())
}
