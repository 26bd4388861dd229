//! `cut`: a problem file in; a plan of cuts as text or JSON, and as cut maps, out.

use super::args::{Common, Cut};
use super::console::Console;
use super::progress::Progress;
use super::save::save;
use super::trouble::Trouble;
use crate::cut::file::{self, Asked};
use crate::cut::{Answer, Goal, Problem};
use crate::present::pictures::copy_of;
use crate::problem::{Source, quoted};
use crate::stash::picture_within;
use crate::swatch::Cache;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Read as _;
use std::path::Path;
use std::time::{Duration, Instant};

/// Steps of work where nothing else is said: for few pieces, and at most, some seconds.
const WORK: (u64, u64) = (100_000_000, 400_000_000);
/// Steps more for each piece.
const WORK_A_PIECE: u64 = 1_000_000;
/// Steps that a desktop does in a second, about; a time stands for that much work.
const WORK_A_SECOND: f64 = 100_000_000.0;
/// The largest file that is read, in bytes.
const MOST_BYTES: u64 = 16_000_000;

/// `cut PROBLEM.toml`.
pub(super) fn cut(console: &Console, common: &Common, wanted: &Cut) -> Result<(), Trouble> {
    let text = text_of(&wanted.problem)?;
    let mut asked = file::read(&text).map_err(|faults| {
        let source = Source::new(&wanted.problem, text.as_str());
        for fault in &faults {
            console.tell(&format!("{}\n", fault.shown(&source)));
        }
        Trouble::Told
    })?;
    if let Some(unit) = common.unit {
        asked.unit = unit.unit();
    }
    let answer = planned(&asked, wanted);
    if common.json {
        console.print_data(file::json(&asked, &answer).as_bytes())?;
    } else {
        console.print(&file::text(&asked, &answer))?;
    }
    match &wanted.svg {
        Some(folder) => draw(console, &asked, &answer, &wanted.problem, folder),
        None => Ok(()),
    }
}

/// Plans within the work or the time allowed.
fn planned(asked: &Asked, wanted: &Cut) -> Answer {
    let begun = Instant::now();
    let stop = || wanted.seconds.is_some_and(|limit| begun.elapsed() >= limit);
    let of_time = |time: Duration| steps_in(time.as_secs_f64());
    let work = wanted.work.unwrap_or_else(|| wanted.seconds.map_or_else(|| usual_work(&asked.problem), of_time));
    let _progress = Progress::begin("planning the cuts");
    file::answer(asked, work, Some(&stop))
}

/// The work for a problem where nothing else is said. A search for the most value ends by itself when it
/// is proven, so it may take longer.
fn usual_work(problem: &Problem) -> u64 {
    let (few, most) = WORK;
    let copies: u64 = problem.pieces.iter().map(|piece| u64::from(piece.count)).sum();
    match problem.goal {
        Goal::MostValue => most,
        Goal::FewestSheets | Goal::LeastCost => copies.saturating_mul(WORK_A_PIECE).saturating_add(few).min(most),
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "no time is negative, and longer times than fit stand for the most work there is"
)]
fn steps_in(seconds: f64) -> u64 {
    (seconds * WORK_A_SECOND) as u64
}

/// The text of a problem file.
fn text_of(path: &Path) -> Result<String, Trouble> {
    let shown = quoted(&path.display().to_string());
    let unread = |error: std::io::Error| {
        Trouble::input(format!("{shown} cannot be read: {error}"), "name a cutting problem: a file of TOML")
    };
    let file = std::fs::File::open(path).map_err(unread)?;
    let about = file.metadata().map_err(unread)?;
    if !about.is_file() {
        return Err(Trouble::input(format!("{shown} is not a file"), "name a cutting problem: a file of TOML"));
    }
    if about.len() > MOST_BYTES {
        let what = format!("{shown} has {} bytes, more than {MOST_BYTES}", about.len());
        return Err(Trouble::input(what, "plan fewer pieces at a time"));
    }
    let mut bytes = Vec::new();
    file.take(MOST_BYTES).read_to_end(&mut bytes).map_err(unread)?;
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..at].iter().filter(|byte| **byte == b'\n').count() + 1;
        Trouble::input(format!("{shown} is not text in UTF-8 (line {line})"), "save it as UTF-8")
    })
}

/// Writes a cut map for each sheet. Maps of an earlier plan are named, never taken away.
fn draw(console: &Console, asked: &Asked, answer: &Answer, problem: &Path, folder: &Path) -> Result<(), Trouble> {
    let pictures = pictures(console, asked, answer, problem);
    let maps = file::maps(asked, answer, &pictures);
    for (name, map) in &maps {
        save(&folder.join(name), map.as_bytes())?;
    }
    let shown = quoted(&folder.display().to_string());
    match maps.as_slice() {
        [] => console.tell("There is no sheet to cut, so no cut map is drawn"),
        [_] => console.tell(&format!("The cut map is in {shown}: print it at 100 %")),
        maps => console.tell(&format!("{} cut maps are in {shown}: print them at 100 %", maps.len())),
    }
    let old = (maps.len() + 1..).map(file::map_name).take_while(|name| folder.join(name).exists()).count();
    if old > 0 {
        console
            .tell(&format!("{old} more there, from `{}` on, are of an earlier plan", file::map_name(maps.len() + 1)));
    }
    Ok(())
}

/// For each stock line that is cut, a small copy of its paper's picture, where there is one.
fn pictures(console: &Console, asked: &Asked, answer: &Answer, problem: &Path) -> Vec<Option<String>> {
    let folder = match problem.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let cut: BTreeSet<usize> = answer.plan.sheets.iter().map(|sheet| sheet.stock.0).collect();
    let mut known: BTreeMap<&str, Option<String>> = BTreeMap::new();
    let mut found = vec![None; asked.pictures.len()];
    for line in cut {
        let Some(written) = asked.pictures.get(line).and_then(Option::as_deref) else { continue };
        let read = || {
            let picture = picture_within(folder, written).and_then(|path| copy_of(&path, &Cache::none()));
            if picture.is_none() {
                console.tell(&format!(
                    "The maps show no picture {}: no picture file of that name is in the folder of the problem",
                    quoted(written)
                ));
            }
            picture.map(|picture| picture.href)
        };
        found[line] = known.entry(written).or_insert_with(read).clone();
    }
    found
}

/// A time as written: seconds, with decimals if need be.
pub(super) fn seconds(text: &str) -> Result<Duration, String> {
    let number: f64 = text.trim().parse().map_err(|_| "write seconds as a number, such as 5 or 0.5".to_owned())?;
    Duration::try_from_secs_f64(number)
        .map_err(|_| "a time is 0 seconds or more, and no longer than a clock counts".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_seconds_with_decimals_and_nothing_else() {
        assert_eq!(seconds("0"), Ok(Duration::ZERO));
        assert_eq!(seconds(" 0.5 "), Ok(Duration::from_millis(500)));
        for bad in ["", "-1", "five", "NaN", "inf", "1e300", "1m"] {
            assert!(seconds(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_time_stands_for_work() {
        assert_eq!(steps_in(0.0), 0);
        assert_eq!(steps_in(2.5), 250_000_000);
        assert_eq!(steps_in(1e18), u64::MAX);
    }
}
