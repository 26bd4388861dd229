//! One file as TOML: a text in, its sections with places out, and every place that is not TOML.
//!
//! A file with mistakes is read as far as it goes: an entry with a mistake in it is left out alone.

use super::keys::Kind;
use super::mend::{Called, Mended, Mistake, Within, in_our_words, mend};
use super::reader::Reader;
use crate::problem::{Fault, Outcome, Place, Problem, Source, nearest, quoted};
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// The newest format of stash files known here; older ones are read, newer ones refused.
pub const FORMAT: u32 = 1;

/// So many mistakes of one file are told one by one.
const SYNTAX_TOLD: usize = 20;

/// One file of the stash being read.
pub(super) struct Document<'r> {
    /// The whole run.
    pub(super) reader: &'r Reader<'r>,
    /// Its place in the run's sources.
    pub(super) number: usize,
    /// The file.
    pub(super) source: &'r Source,
    /// What the ids of its entries begin with, once one has asked.
    pub(super) prefix: OnceCell<String>,
    /// Lines that are not TOML; what else is said of them only follows from that.
    broken_lines: BTreeSet<u32>,
    /// Where the headers of entries with mistakes stand.
    broken_entries: BTreeSet<usize>,
    /// What those were called whose text is lost.
    lost: BTreeMap<usize, Called>,
    /// Whether there are mistakes above the first header, so that what is missing there may be one.
    pub(super) has_broken_top: bool,
    /// Whether there are mistakes below a header.
    pub(super) has_broken_sections: bool,
}

/// The text of a file as TOML, before anybody asks what it means.
pub(super) struct Parsed<'t> {
    /// Its top table.
    pub(super) table: DeTable<'t>,
    /// Where it is not TOML, in order.
    mistakes: Vec<Mistake>,
    /// What its lost sections were called.
    lost: BTreeMap<usize, Called>,
}

/// Parses a text as far as it goes; where it has mistakes, `mended` keeps it without them.
pub(super) fn parse<'t>(source: &'t Source, mended: &'t OnceCell<String>) -> Parsed<'t> {
    let (table, errors) = DeTable::parse_recoverable(&source.text);
    if errors.is_empty() {
        return Parsed { table: table.into_inner(), mistakes: Vec::new(), lost: BTreeMap::new() };
    }
    let Mended { text, mut mistakes, lost } = mend(&source.text);
    let text: &'t str = mended.get_or_init(|| text);
    let (table, errors) = DeTable::parse_recoverable(text);
    let headers = headers(table.get_ref());
    // What is left shows only in the whole: a section that is there twice, say.
    let mut lines: BTreeSet<u32> = mistakes.iter().map(|mistake| source.line(mistake.span.start)).collect();
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        if lines.insert(source.line(span.start)) {
            let fault = in_our_words(error.message(), &source.text, span.clone());
            let within = entry_at(&headers, span.start).map_or(Within::Top, Within::Section);
            mistakes.push(Mistake { span, fault, within });
        }
    }
    mistakes.sort_by_key(|mistake| (mistake.span.start, mistake.span.end));
    Parsed { table: table.into_inner(), mistakes, lost }
}

/// The last of these headers that is not beyond a byte.
fn entry_at(headers: &[usize], byte: usize) -> Option<usize> {
    headers.partition_point(|&header| header <= byte).checked_sub(1).map(|entry| headers[entry])
}

impl Parsed<'_> {
    /// What it says it is, if it says so in a word known here.
    pub(super) fn kind(&self) -> Option<Kind> {
        let word = self.table.get("kind")?.get_ref().as_str()?;
        Kind::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

impl<'r> Document<'r> {
    /// A file whose mistakes have been told; `None` where it is not for the stash, or not to be read.
    pub(super) fn new(
        reader: &'r Reader<'r>,
        number: usize,
        source: &'r Source,
        parsed: &Parsed<'_>,
    ) -> Option<(Self, Kind)> {
        // A cutting list on its own says its goal, and is none of the stash's business.
        if parsed.table.get("kind").is_none() && parsed.table.get("goal").is_some() {
            return None;
        }
        let headers = headers(&parsed.table);
        let mut document = Self {
            reader,
            number,
            source,
            prefix: OnceCell::new(),
            broken_lines: BTreeSet::new(),
            broken_entries: BTreeSet::new(),
            lost: parsed.lost.clone(),
            has_broken_top: false,
            has_broken_sections: false,
        };
        // A newer format may be written in newer TOML, so it comes first.
        if let Some(newer) = document.newer_format(&parsed.table) {
            reader.tell(number, || newer);
            return None;
        }
        let kind = parsed.kind();
        document.tell_mistakes(parsed, &headers, kind);
        if kind.is_none() {
            document.tell_kind(parsed);
        }
        kind.map(|kind| (document, kind))
    }

    /// The problem of a format newer than ours.
    fn newer_format(&self, table: &DeTable<'_>) -> Option<Problem> {
        let format = table.get("format")?;
        let DeValue::Integer(number) = format.get_ref() else { return None };
        let written = number.to_string();
        let is_newer = written.parse::<u32>().map_or(!written.starts_with('-'), |found| found > FORMAT);
        is_newer.then(|| {
            let fault = Fault::NewerFormat { found: quoted(&written), known: FORMAT };
            Problem::new(self.source.place(format.span()), fault)
        })
    }

    fn tell_mistakes(&mut self, parsed: &Parsed<'_>, headers: &[usize], kind: Option<Kind>) {
        for (number, mistake) in parsed.mistakes.iter().enumerate() {
            self.broken_lines.insert(self.source.line(mistake.span.start));
            let outcome = match mistake.within {
                Within::Top => {
                    self.has_broken_top = true;
                    Outcome::Said
                }
                Within::Section(header) | Within::Header(header) => {
                    self.has_broken_sections = true;
                    // A section within an entry, whose header has a dot, breaks that entry. A broken
                    // header of an entry breaks no other.
                    let line = self.source.line(header);
                    let is_inner = self.source.text[header..].lines().next().is_some_and(|line| line.contains('.'));
                    let is_lost = matches!(mistake.within, Within::Header(_)) && !is_inner;
                    self.broken_entries.extend(entry_at(headers, header).filter(|_| !is_lost));
                    Outcome::LeftOut(match kind {
                        Some(Kind::Layout) => "this layout".into(),
                        _ => format!("the section of line {line}"),
                    })
                }
            };
            let place = || self.source.place(mistake.span.clone());
            if number < SYNTAX_TOLD {
                self.reader.tell(self.number, || Problem::new(place(), mistake.fault.clone()).with(outcome));
            } else if number == SYNTAX_TOLD {
                let fault = Fault::MoreSyntax { more: parsed.mistakes.len() - SYNTAX_TOLD };
                self.reader.tell(self.number, || Problem::new(place(), fault));
            }
        }
    }

    /// Says that the kind is missing or unknown.
    fn tell_kind(&self, parsed: &Parsed<'_>) {
        let kinds: Vec<&'static str> = Kind::ALL.into_iter().map(Kind::word).collect();
        let (place, fault) = match parsed.table.get("kind") {
            Some(kind) => {
                let written = kind.get_ref().as_str().unwrap_or(&self.source.text[kind.span()]);
                let near = nearest(written, kinds.iter().copied()).map(str::to_owned);
                (self.source.place(kind.span()), Fault::UnknownKind { kind: written.to_owned(), nearest: near, kinds })
            }
            // Where the line with the kind may be among the mistakes, those are enough.
            None if !parsed.mistakes.is_empty() => return,
            None => {
                let meant = parsed.table.keys().find(|key| nearest(key.get_ref(), ["kind"]).is_some());
                let looks_like = Kind::ALL.into_iter().find(|kind| parsed.table.get(kind.section()).is_some());
                let place = meant.map_or_else(|| Place::whole(&self.source.file), |key| self.source.place(key.span()));
                let nearest = meant.map(|key| key.get_ref().to_string());
                (place, Fault::NoKind { nearest, looks_like: looks_like.map(Kind::word), kinds })
            }
        };
        self.reader.tell(self.number, || Problem::new(place, fault).with(Outcome::LeftOut("this file".into())));
    }

    /// What an entry with a mistake in it was called, by where its header stands.
    pub(super) fn called(&self, header: usize, table: &DeTable<'_>) -> Called {
        self.lost.get(&header).cloned().unwrap_or_else(|| Called::of(table))
    }

    /// Whether an entry, by where its header stands, has a mistake in it.
    pub(super) fn is_broken(&self, header: usize) -> bool {
        self.broken_entries.contains(&header)
    }

    /// Says what is wrong with a span, unless its line is not TOML to begin with.
    pub(super) fn report(&self, span: Range<usize>, fault: Fault, outcome: Outcome) {
        self.report_with(span, outcome, || fault);
    }

    /// The same, where even the fault takes some work to put into words.
    pub(super) fn report_with(&self, span: Range<usize>, outcome: Outcome, fault: impl FnOnce() -> Fault) {
        if !self.broken_lines.contains(&self.source.line(span.start)) {
            self.reader.tell(self.number, || Problem::new(self.source.place(span), fault()).with(outcome));
        }
    }
}

/// Where the headers of all top-level sections stand, in order.
fn headers(table: &DeTable<'_>) -> Vec<usize> {
    let mut headers = Vec::new();
    for (_, value) in table {
        match value.get_ref() {
            DeValue::Table(_) => headers.push(value.span().start),
            DeValue::Array(entries) => {
                let sections = entries.iter().filter(|entry| entry.get_ref().is_table());
                headers.extend(sections.map(|entry| entry.span().start));
            }
            _ => {}
        }
    }
    headers.sort_unstable();
    headers
}
