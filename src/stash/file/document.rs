//! One file as TOML: a text in, its sections with places out, and every place that is not TOML.
//!
//! A file with mistakes is read as far as it goes: what stands between two headers is one entry,
//! and an entry with a mistake in it is left out alone.

use super::keys::Kind;
use super::reader::Reader;
use crate::problem::{Fault, Outcome, Place, Problem, Source, nearest, quoted};
use std::cell::OnceCell;
use std::collections::BTreeSet;
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
}

/// The text of a file as TOML, before anybody asks what it means.
pub(super) struct Parsed<'r> {
    /// Its top table.
    pub(super) table: DeTable<'r>,
    /// Where it is not TOML, in order.
    mistakes: Vec<(Range<usize>, String)>,
}

/// Parses a text as far as it goes.
pub(super) fn parse(source: &Source) -> Parsed<'_> {
    let (table, errors) = DeTable::parse_recoverable(&source.text);
    let end = source.text.len();
    let mut mistakes: Vec<(Range<usize>, String)> =
        errors.iter().map(|error| (error.span().unwrap_or(end..end), error.message().to_owned())).collect();
    mistakes.sort_by_key(|(span, _)| (span.start, span.end));
    Parsed { table: table.into_inner(), mistakes }
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
        };
        // A newer format may be written in newer TOML, so it comes first.
        if let Some(newer) = document.newer_format(&parsed.table) {
            reader.log(newer);
            return None;
        }
        document.tell_mistakes(parsed, &headers);
        let kind = parsed.kind();
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

    fn tell_mistakes(&mut self, parsed: &Parsed<'_>, headers: &[usize]) {
        for (number, (span, message)) in parsed.mistakes.iter().enumerate() {
            let place = self.source.place(span.clone());
            self.broken_lines.insert(place.line);
            let entry = headers.partition_point(|&header| header <= span.start).checked_sub(1);
            let outcome = match entry.map(|entry| headers[entry]) {
                Some(header) => {
                    self.broken_entries.insert(header);
                    Outcome::LeftOut(format!("the section of line {}", self.source.place(header..header).line))
                }
                None => Outcome::Said,
            };
            if number < SYNTAX_TOLD {
                let fault = in_our_words(message, &self.source.text, span.clone());
                self.reader.log(Problem::new(place, fault).with(outcome));
            } else if number == SYNTAX_TOLD {
                let fault = Fault::MoreSyntax { more: parsed.mistakes.len() - SYNTAX_TOLD };
                self.reader.log(Problem::new(place, fault));
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
        self.reader.log(Problem::new(place, fault).with(Outcome::LeftOut("this file".into())));
    }

    /// Whether an entry, by where its header stands, has a mistake in it.
    pub(super) fn is_broken(&self, header: usize) -> bool {
        self.broken_entries.contains(&header)
    }

    /// Says what is wrong with a span, unless its line is not TOML to begin with.
    pub(super) fn report(&self, span: Range<usize>, fault: Fault, outcome: Outcome) {
        let place = self.source.place(span);
        if !self.broken_lines.contains(&place.line) {
            self.reader.log(Problem::new(place, fault).with(outcome));
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

/// The TOML reader's message as a card maker may read it, and what to do.
fn in_our_words(message: &str, text: &str, span: Range<usize>) -> Fault {
    let written = text.get(span.clone()).unwrap_or_default();
    let after = text.get(span.start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    let (what, remedy) = if written.is_empty() && after.starts_with('#') {
        // A colour without quotes: TOML takes it for a remark.
        let word = after.split_whitespace().next().unwrap_or_default();
        (
            "`#` begins a remark, so no value is left here".to_owned(),
            format!("write {}", quoted(&format!("\"{word}\""))),
        )
    } else if message.starts_with("string values must be quoted") {
        let example = if written.contains('"') { format!("'{written}'") } else { format!("\"{written}\"") };
        ("text stands in quotes".to_owned(), format!("write {}", quoted(&example)))
    } else if message.starts_with("duplicate key") {
        (format!("{} is here twice", quoted(written)), "leave one of the two".to_owned())
    } else if message.starts_with("key with no value") {
        ("a key without a value".to_owned(), "write `=` and a value behind it, or `#` before it".to_owned())
    } else if message.contains("max recursion depth") || message.starts_with("recursion limit") {
        ("brackets within brackets go on too deep".to_owned(), "take some of the brackets away".to_owned())
    } else {
        let remedy = "a line is a key, `=` and a value; text stands in quotes, the name of a section in brackets";
        (message.to_owned(), remedy.to_owned())
    };
    Fault::Syntax { what, remedy }
}
