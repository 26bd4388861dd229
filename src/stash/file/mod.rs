//! What the TOML may say, and how it becomes what is true: a folder of files in, the stash and
//! everything that is wrong with it out.
//!
//! In order: `walk` finds the files, `open` reads them, `document` parses one, `settings` come
//! first, then each kind of file has a module of its own that fills the `draft`. A bad entry never
//! takes a good one with it.

mod colour;
mod document;
mod dots;
mod draft;
mod edges;
mod face;
mod fields;
mod image;
mod keep;
pub mod keys;
mod layout;
mod mend;
mod names;
mod open;
mod pad;
mod pictures;
mod reader;
mod register;
mod settings;
mod stock;
mod things;
mod value;
mod walk;
mod weight;

pub(crate) use colour::colour_of;
pub use colour::{lab_of, read as read_colour};
pub use document::FORMAT;
pub use keep::{Kept, Seen, keep};
pub(crate) use register::slug;
pub(crate) use walk::in_words;
pub use weight::{GRADES, grams_per_square_metre};

use crate::problem::{Fault, Outcome, Place, Problem, Source, sort};
use crate::stash::{Date, Reading, Settings};
use document::{Document, Parsed, parse};
use draft::Draft;
use fields::{Fields, Otherwise};
use keys::Kind;
use pictures::Pictures;
use reader::Reader;
use std::cell::OnceCell;
use std::path::{Path, PathBuf};

/// How much of a folder is read. What is beyond is refused by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The most files and folders looked at: more are somebody's whole disk.
    pub entries: usize,
    /// The largest TOML file, in bytes.
    pub file_bytes: u64,
    /// The most of all TOML files together, in bytes.
    pub stash_bytes: u64,
}

impl Limits {
    /// For a stash of a person: some 140,000 scraps in a file, some 600,000 in all.
    pub const USUAL: Self = Self { entries: 200_000, file_bytes: 16_000_000, stash_bytes: 64_000_000 };
}

/// The path of a picture written in a file of `folder`, if it is a file inside that folder, links and all.
#[must_use]
pub fn picture_within(folder: &Path, written: &str) -> Option<PathBuf> {
    Pictures::new(folder).find(Path::new(""), written).ok().map(|path| folder.join(path))
}

/// Reads a stash: the good part of it, and all that is wrong.
///
/// With `today`, dates that have not come yet are noted. The folder is only ever read.
#[must_use]
pub fn read(folder: &Path, today: Option<Date>) -> Reading {
    read_within(folder, today, &Limits::USUAL)
}

/// As [`read`], with limits of one's own.
#[must_use]
pub fn read_within(folder: &Path, today: Option<Date>, limits: &Limits) -> Reading {
    let walked = walk::walk(folder, limits.entries);
    let mut problems = walked.problems;
    let is_folder = folder.is_dir();
    let sources = open::open_all(folder, walked.files, limits, &mut problems);
    let Reading { mut stash, problems: found } = read_texts(&sources, Pictures::new(folder), today);
    stash.folder = folder.to_path_buf();
    problems.extend(found);
    if stash.lines.is_empty() && problems.is_empty() && is_folder {
        problems.push(Problem::new(Place::whole(""), Fault::NothingThere));
    }
    sort(&mut problems);
    Reading { stash, problems }
}

/// Reads texts that are in no folder, and so have no pictures.
#[must_use]
pub fn read_sources(sources: Vec<Source>) -> Reading {
    let mut reading = read_texts(&sources, Pictures::new(Path::new("")), None);
    sort(&mut reading.problems);
    reading
}

fn read_texts(sources: &[Source], pictures: Pictures, today: Option<Date>) -> Reading {
    let mut reader = Reader::new(sources, pictures, today);
    let settings = find_settings(&mut reader);
    let mut draft = Draft::new(&reader);
    for (number, source) in sources.iter().enumerate() {
        read_file(&mut draft, number, source);
    }
    let mut stash = draft.finish();
    stash.settings = settings;
    Reading { stash, problems: reader.into_problems() }
}

/// The settings of the first file of them, whose meaning of bare numbers then holds for all files.
fn find_settings(reader: &mut Reader<'_>) -> Settings {
    let sources = reader.sources;
    let mut found: Option<(Settings, Place)> = None;
    for (number, source) in sources.iter().enumerate() {
        // No other file need be parsed twice.
        if !source.text.contains("settings") {
            continue;
        }
        let mended = OnceCell::new();
        let parsed = parse(source, &mended);
        if parsed.kind() != Some(Kind::Settings) {
            continue;
        }
        if found.is_none() {
            // Only the meaning of bare numbers is wanted at first, and nothing is said twice.
            let silent = Reader::new(sources, Pictures::new(Path::new("")), None);
            let units = Document::new(&silent, number, source, &parsed)
                .map(|(document, _)| settings::units(&Fields::new(&document, &parsed.table, 0..0, &keys::SETTINGS)));
            if let Some((unit, region)) = units {
                (reader.unit, reader.region) = (unit, region);
            }
        }
        let Some((document, _)) = Document::new(reader, number, source, &parsed) else { continue };
        let place = source.place(parsed.table.get("kind").map_or(0..0, |kind| kind.span()));
        match &found {
            None => {
                let top = top(&document, &parsed, Kind::Settings);
                found = Some((settings::settings(&top), place));
            }
            Some((_, first)) => {
                let fault = Fault::SecondSettings { first: Box::new(first.clone()) };
                reader.tell(number, || Problem::new(place, fault).with(Outcome::LeftOut("this file".into())));
            }
        }
    }
    found.map_or_else(Settings::default, |(settings, _)| settings)
}

/// Reads one file into the draft.
fn read_file(draft: &mut Draft<'_>, number: usize, source: &Source) {
    let mended = OnceCell::new();
    let parsed = parse(source, &mended);
    if parsed.kind() == Some(Kind::Settings) {
        return;
    }
    let Some((document, kind)) = Document::new(draft.reader, number, source, &parsed) else { return };
    let top = top(&document, &parsed, kind);
    match kind {
        Kind::Pad => draft.read_pad(&top),
        Kind::Sheets => draft.read_sheets(&top),
        Kind::Cardstock => draft.read_cardstock(&top),
        Kind::Scraps => draft.read_scraps(&top),
        Kind::Bases => draft.read_bases(&top),
        Kind::Dies => draft.read_dies(&top),
        Kind::Sentiments => draft.read_sentiments(&top),
        Kind::Inks => draft.read_inks(&top),
        Kind::Images => draft.read_images(&top),
        Kind::Dots => draft.read_dots(&top),
        Kind::Layout => draft.read_layout(&top),
        Kind::Layouts => draft.read_layouts(&top),
        Kind::Settings => {}
    }
}

/// The top of a file: its kind and format are known good or told, and where its entries have no
/// id of their own, an `id` here is what theirs begin with.
fn top<'d, 'r>(document: &'d Document<'r>, parsed: &'d Parsed<'d>, kind: Kind) -> Fields<'d, 'r> {
    let kind_span = parsed.table.get("kind").map_or(0..0, |kind| kind.span());
    let top = Fields::new(document, &parsed.table, kind_span, kind.keys());
    top.optional("format", "the format of today", value::count(1..=FORMAT));
    let has_entries = !matches!(kind, Kind::Pad | Kind::Layout | Kind::Settings);
    if has_entries && let Some(id) = top.read("id", Otherwise::Take("if it were not there"), value::id) {
        document.prefix.get_or_init(|| id);
    }
    top
}
