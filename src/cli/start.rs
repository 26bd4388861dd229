//! `start`: a few questions, answered by options or line by line, the first files of a stash out,
//! and the first cards from it.

use super::args::{Choose, Common, Start};
use super::console::Console;
use super::suggest::{answer, print, size};
use super::trouble::Trouble;
use super::{open, pictures};
use crate::present::sizes::card_size;
use crate::problem::{printable, quoted};
use crate::stash::Settings;
use crate::stash::start::{Answers, Picture, not_begun, pictures_in, write};
use api::units::{Purpose, Region, Unit};
use std::io::{BufRead, IsTerminal, Write};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

/// How many designs a pad may have.
const DESIGNS: RangeInclusive<u32> = 1..=500;
/// How many sheets of each.
const COPIES: RangeInclusive<u32> = 1..=1_000;

/// `start`.
pub(super) fn start(console: &Console, common: Common, asked: &Start) -> Result<(), Trouble> {
    let stash = common.stash.clone().unwrap_or_else(|| PathBuf::from("."));
    not_begun(&stash).map_err(|problem| Trouble::of(&problem))?;
    let answers = ask_all(console, &common, asked, &stash)?;
    let written = write(&stash, &answers).map_err(|problem| Trouble::of(&problem))?;
    for path in written.iter().filter(|path| path.extension().is_some_and(|ending| ending == "toml")) {
        console.tell(&format!("written: {}", quoted(&stash.join(path).display().to_string())));
    }
    let common = Common { stash: Some(stash.clone()), ..common };
    let room = open::with_paper(console, &common)?;
    // The first cards are of the size she makes, whatever size the layouts are drawn for.
    let card = vec![answers.card.exact(room.stash.settings.unit)];
    let choose = Choose { card, list: asked.list, work: asked.work, ..Choose::default() };
    let (room, answer) = answer(console, room, &choose)?;
    print(console, &common, &room, &answer)?;
    let out = asked.out.clone().unwrap_or_else(|| stash.join(pictures::FOLDER));
    pictures::draw(console, &room, &answer, "The first cards from your stash", &out)
}

/// Everything there is to ask, in turn.
fn ask_all(console: &Console, common: &Common, asked: &Start, stash: &Path) -> Result<Answers, Trouble> {
    let unit = common.unit.map(super::args::UnitWord::unit);
    let home = region_of(asked.card.as_deref().unwrap_or_default(), unit);
    let card = Question {
        option: "--card",
        words: "What size are the cards you make?",
        usual: Some(if home == Region::Us { "US A2" } else { "ISO A6" }.to_owned()),
        given: asked.card.as_deref(),
    };
    let (card, region) = card.ask(console, |text| {
        let region = region_of(text, unit);
        size(card.option, text, &Settings::of(region), Purpose::Card).map(|size| (size, region))
    })?;
    let settings = Settings::of(region);
    console.tell(&format!("  cards of {}", card_size(card, &settings)));
    let pad = Question {
        option: "--pad",
        words: "What size are the sheets of your pad?",
        usual: Some(if region == Region::Us { "6 x 6 in" } else { "150 x 150 mm" }.to_owned()),
        given: asked.pad.as_deref(),
    };
    let sheet = pad.ask(console, |text| size(pad.option, text, &settings, Purpose::Sheet))?;
    console.tell(&format!("  sheets of {}", sheet.exact(settings.unit)));
    let designs = Question {
        option: "--designs",
        words: "How many different designs has the pad?",
        usual: Some("12".to_owned()),
        given: asked.designs.as_deref(),
    };
    let designs = designs.ask(console, |text| number(designs.option, text, DESIGNS))?;
    let copies = Question {
        option: "--copies",
        words: "How many sheets of each design are there?",
        usual: Some("2".to_owned()),
        given: asked.copies.as_deref(),
    };
    let copies = copies.ask(console, |text| number(copies.option, text, COPIES))?;
    let folder = Question {
        option: "--pictures",
        words: "In which folder are the pictures of the designs, one for each?",
        usual: None,
        given: asked.pictures.as_deref(),
    };
    let pictures: Vec<Picture> =
        folder.ask(console, |text| pictures_in(Path::new(text), stash).map_err(|problem| Trouble::of(&problem)))?;
    console.tell(&format!("  {} pictures", pictures.len()));
    Ok(Answers { pad: asked.name.clone(), region, card, sheet, designs, copies, pictures })
}

/// Whose names and units she uses, by what she wrote: millimetres and ISO names, or inches.
fn region_of(text: &str, unit: Option<Unit>) -> Region {
    let text = text.to_lowercase();
    let is_metric = ["mm", "cm", "iso", "millim", "centim"].iter().any(|word| text.contains(word));
    match unit {
        Some(Unit::Millimetre) => Region::Iso,
        Some(Unit::Inch) => Region::Us,
        None if is_metric => Region::Iso,
        None => Region::Us,
    }
}

/// One question.
struct Question<'a> {
    /// The option that answers it.
    option: &'static str,
    words: &'static str,
    /// The answer of an empty line.
    usual: Option<String>,
    /// The answer given by the option.
    given: Option<&'a str>,
}

impl Question<'_> {
    /// The answer, as `read` understands it. A person at a terminal is asked again; a script is not.
    fn ask<T>(&self, console: &Console, read: impl Fn(&str) -> Result<T, Trouble>) -> Result<T, Trouble> {
        if let Some(given) = self.given {
            return read(given);
        }
        loop {
            let usual = self.usual.as_ref().map_or_else(String::new, |usual| format!(" [{usual}]"));
            // Whether anyone reads the question makes no difference to the answer.
            let _ = write!(std::io::stderr(), "{}{usual} ", self.words);
            let mut line = String::new();
            let count = std::io::stdin().lock().read_line(&mut line).map_err(|error| {
                Trouble::input(format!("the answer cannot be read: {error}"), format!("answer with {}", self.option))
            })?;
            let is_person = std::io::stdin().is_terminal();
            if !is_person || count == 0 {
                // Nobody pressed Enter, so the cursor is still behind the question.
                let _ = writeln!(std::io::stderr(), "{}", printable(line.trim()));
            }
            let answer = match (line.trim(), &self.usual) {
                ("", Some(usual)) if count > 0 => Ok(usual.as_str()),
                ("", _) => Err(Trouble::input(
                    format!("there is no answer to \"{}\"", self.words),
                    format!("type it, or give it with {}", self.option),
                )),
                (answer, _) => Ok(answer),
            };
            match answer.and_then(&read) {
                Err(trouble) if is_person && count > 0 => console.tell(&trouble.to_string()),
                answer => return answer,
            }
        }
    }
}

fn number(option: &str, text: &str, range: RangeInclusive<u32>) -> Result<u32, Trouble> {
    text.parse().ok().filter(|number| range.contains(number)).ok_or_else(|| {
        Trouble::input(
            format!("{option} {} is not a number from {} to {}", quoted(text), range.start(), range.end()),
            "write a whole number within these bounds",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_or_millimetres_are_heard_from_the_answer() {
        for (text, unit, region) in [
            ("A2", None, Region::Us),
            ("5 x 7 in", None, Region::Us),
            ("ISO A6", None, Region::Iso),
            ("105x148mm", None, Region::Iso),
            ("10.5 x 14.8 cm", None, Region::Iso),
            ("A6", Some(Unit::Millimetre), Region::Iso),
            ("105 x 148 mm", Some(Unit::Inch), Region::Us),
        ] {
            assert_eq!(region_of(text, unit), region, "{text}");
        }
    }

    #[test]
    fn numbers_are_whole_and_in_their_range() {
        assert_eq!(number("--copies", "2", COPIES).unwrap(), 2);
        for text in ["0", "-1", "two", "1.5", "1001", "99999999999999999999"] {
            let told = number("--copies", text, COPIES).unwrap_err();
            assert!(told.code() == 2 && told.to_string().contains("from 1 to 1000"), "{told}");
        }
    }
}
