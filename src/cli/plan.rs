//! `plan`: what was chosen on the command line in, a plan for a batch out; and `made`: a plan in, what
//! it cut and what was kept recorded.

use super::args::{Common, Made, Plan};
use super::console::Console;
use super::open;
use super::progress::Progress;
use super::record::{Opened, told};
use super::trouble::Trouble;
use crate::batch::Far;
use crate::present::{json, text};
use crate::problem::quoted;
use crate::record::{self, DotsUsed, Kept, PlanFile};
use crate::room::{BatchChoices, NoBatch, UnknownId};
use std::io::{BufRead, IsTerminal, Read, Write};
use std::path::Path;
use std::time::{Duration, Instant};

/// Cards of a batch where nobody says how many.
const USUAL: u32 = 12;
/// The most bytes of a plan that are read.
const LARGEST: u64 = 64_000_000;

impl From<NoBatch> for Trouble {
    fn from(no: NoBatch) -> Self {
        match no {
            NoBatch::Unknown(ids) => Self::unknown(&ids),
            NoBatch::UnknownOccasion { occasion, all } => {
                let remedy = if all.is_empty() {
                    "give layouts `occasions` in their files, or leave `--for` out".to_owned()
                } else {
                    format!("there are layouts for {}", all.join(", "))
                };
                Self::input(format!("no layout is for {}", quoted(&occasion)), remedy)
            }
        }
    }
}

/// `plan`.
pub(super) fn plan(console: &Console, common: &Common, asked: &Plan) -> Result<(), Trouble> {
    let each = asked.each.as_deref().map(range).transpose()?;
    super::suggest::not_both("--spare", &asked.must_use, &asked.spare)?;
    let room = open::with_paper(console, common)?;
    let choices = BatchChoices {
        cards: if asked.all { None } else { Some(asked.cards.unwrap_or(USUAL)) },
        each,
        designs: asked.designs,
        must_use: asked.must_use.clone(),
        spare: asked.spare.clone(),
        occasion: asked.occasion.clone(),
        work: asked.work,
        rounds: asked.settled.iter().map(|cards| ids(cards)).collect(),
    };
    let (room, ask) = room.arranged_for_batch(&choices)?;
    let progress = Progress::begin("planning the batch, cards so far");
    let begun = Instant::now();
    let limit = asked.seconds.map(Duration::from_secs);
    let stop = || limit.is_some_and(|limit| begun.elapsed() >= limit);
    let wanted = ask.cards.map_or(0, |cards| cards as usize);
    let told = |far: Far| progress.at(far.made as usize, wanted.max(far.made as usize));
    let planned = room.plan(&ask, &choices.rounds, &stop, &told);
    drop(progress);
    let (ask, plan) = planned.map_err(|unknown| not_planned(&unknown))?;
    if common.json {
        console.print_data(json::plan(&room, &choices, &ask, &plan).as_bytes())
    } else {
        console.print(&text::plan(&room, &ask, &plan, console.look()))
    }
}

/// Ids that should be settled and are not in the plan.
fn not_planned(unknown: &[UnknownId]) -> Trouble {
    let named: Vec<String> = unknown.iter().map(|unknown| quoted(&unknown.id)).collect();
    let nearest: Vec<String> = unknown.iter().filter_map(|unknown| unknown.nearest.as_deref().map(quoted)).collect();
    let remedy = "name ids at the ends of the lines that the same command prints without this `--settled`";
    let remedy =
        if nearest.is_empty() { remedy.to_owned() } else { format!("{remedy}, such as {}", nearest.join(", ")) };
    Trouble::input(format!("--settled {}: not in the plan before", named.join(", ")), remedy)
}

/// Ids with commas between.
fn ids(text: &str) -> Vec<String> {
    text.split(',').map(str::trim).filter(|id| !id.is_empty()).map(str::to_owned).collect()
}

/// `2..4`, or one number.
fn range(text: &str) -> Result<(u32, u32), Trouble> {
    let number = |text: &str| text.trim().parse::<u32>().ok().filter(|number| (1..=1000).contains(number));
    let parts = match text.split_once("..") {
        Some((low, high)) => number(low).zip(number(high.trim_start_matches('='))),
        None => number(text).map(|only| (only, only)),
    };
    parts.filter(|(low, high)| low <= high).ok_or_else(|| {
        Trouble::input(
            format!("--each {} says not how many of each design", quoted(text)),
            "write it as `2..4`, or as one number from 1 to 1000",
        )
    })
}

/// `made`.
pub(super) fn made(console: &Console, common: &Common, asked: &Made) -> Result<(), Trouble> {
    let opened = Opened::new(console, common)?;
    let text = read(&asked.plan)?;
    let plan = PlanFile::read(&text)?;
    let kept = match &asked.kept {
        Some(words) => kept(words)?,
        None if std::io::stdin().is_terminal() && !common.json => ask_kept(&opened, &plan)?,
        None => {
            if !plan.offcuts.is_empty() {
                console.tell("note: leftovers large enough to list count as kept; `--kept` says which were");
            }
            Kept::AsPlanned
        }
    };
    let dots = if asked.no_dots { DotsUsed::No } else { DotsUsed::AsPlanned };
    if dots == DotsUsed::AsPlanned && !plan.dots.is_empty() {
        console.tell("note: the finishing dots of its steps count as set; `--no-dots` says that you set none");
    }
    let done = record::made(&opened.desk("swatchfold made"), &plan, &kept, dots)?;
    told(console, common, &opened.room, &done)
}

/// The text of a plan's file; `-` is stdin.
pub(super) fn read(path: &Path) -> Result<String, Trouble> {
    let shown = quoted(&path.display().to_string());
    let cannot = |why: String| {
        Trouble::input(format!("{shown} cannot be read: {why}"), "name a plan made with `swatchfold plan --json`")
    };
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin().lock().take(LARGEST).read_to_end(&mut bytes).map_err(|error| cannot(error.to_string()))?;
    } else {
        let about = path.metadata().map_err(|error| cannot(error.to_string()))?;
        if !about.is_file() || about.len() > LARGEST {
            return Err(cannot("it is no plan".to_owned()));
        }
        let file = std::fs::File::open(path).map_err(|error| cannot(error.to_string()))?;
        file.take(LARGEST).read_to_end(&mut bytes).map_err(|error| cannot(error.to_string()))?;
    }
    String::from_utf8(bytes).map_err(|_| cannot("it is not text".to_owned()))
}

/// `all`, `none`, or numbers.
fn kept(words: &str) -> Result<Kept, Trouble> {
    match words.trim() {
        "" | "as-planned" => Ok(Kept::AsPlanned),
        "all" => Ok(Kept::All),
        "none" => Ok(Kept::These(Vec::new())),
        list => {
            let ids = list.split([',', ' ']).map(str::trim).filter(|id| !id.is_empty());
            Ok(Kept::These(ids.map(str::to_owned).collect()))
        }
    }
}

/// Asks which leftovers were kept; an empty line is those worth keeping.
fn ask_kept(opened: &Opened, plan: &PlanFile) -> Result<Kept, Trouble> {
    if plan.offcuts.is_empty() {
        return Ok(Kept::AsPlanned);
    }
    let unit = opened.room.stash.settings.unit;
    let mut out = String::from("Left over:\n");
    for offcut in &plan.offcuts {
        let bit = if offcut.keep { "" } else { ", for the bits box" };
        let size = api::units::Size::new(offcut.width, offcut.height).exact(unit);
        out.push_str(&format!(
            "  {:>3}: {} of {}, {size}{bit}\n",
            offcut.id,
            offcut.count,
            crate::problem::printable(&offcut.stock)
        ));
    }
    out.push_str("Which did you keep? (numbers, `all`, `none`) [those not for the bits box] ");
    // Whether anyone reads the question makes no difference to the answer.
    let _ = write!(std::io::stderr(), "{out}");
    let mut line = String::new();
    std::io::stdin()
        .lock()
        .read_line(&mut line)
        .map_err(|error| Trouble::input(format!("the answer cannot be read: {error}"), "answer with `--kept`"))?;
    kept(&line)
}
