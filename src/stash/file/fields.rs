//! One section of a file as typed fields: a table in, values out, with a problem at the exact span
//! for each key that is unknown, missing, of the wrong type or out of range.
//!
//! Every key asked for must be in the section's [`Keys`]: that is what keeps the documents honest.

use super::document::Document;
use super::keys::{Keys, Kind};
use super::mend::Called;
use super::reader::Origin;
use super::value::{Complaint, Read, Value};
use crate::problem::{Fault, Outcome, Place};
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// As what a key is read that may be silent and is wrong.
pub(super) const UNSAID: &str = "if it were not there";

/// What becomes of a thing whose key cannot be read.
#[derive(Clone, Copy, Debug)]
pub(super) enum Otherwise<'a> {
    /// It is left out.
    LeaveOut,
    /// It is read as if this stood there.
    Take(&'a str),
}

/// One section of a file.
#[derive(Clone)]
pub(super) struct Fields<'d, 'r> {
    /// The file.
    pub(super) document: &'d Document<'r>,
    /// Its keys.
    pub(super) keys: &'static Keys,
    /// Its header, or its brackets.
    pub(super) span: Range<usize>,
    table: &'d DeTable<'d>,
}

impl<'d, 'r> Fields<'d, 'r> {
    /// A section, after saying which of its keys nobody knows.
    pub(super) fn new(
        document: &'d Document<'r>,
        table: &'d DeTable<'d>,
        span: Range<usize>,
        keys: &'static Keys,
    ) -> Self {
        let fields = Self { document, keys, span, table };
        for key in table.keys().filter(|key| !keys.keys.contains(&key.get_ref().as_ref())) {
            let nearest = document.reader.nearest(key.get_ref(), keys.keys.iter().copied());
            let fault = Fault::UnknownKey { key: key.get_ref().to_string(), of: keys.of, nearest };
            fields.report(key.span(), fault, Outcome::Said);
        }
        fields
    }

    /// A section whose other keys are names of its own, which are given back.
    pub(super) fn open_ended(
        document: &'d Document<'r>,
        table: &'d DeTable<'d>,
        span: Range<usize>,
        keys: &'static Keys,
    ) -> (Self, Vec<Value<'d, 'r>>) {
        let fields = Self { document, keys, span, table };
        let own = table.iter().filter(|(key, _)| !keys.keys.contains(&key.get_ref().as_ref()));
        let own = own.map(|(key, value)| Value::new(document, key.get_ref(), key.span(), value)).collect();
        (fields, own)
    }

    /// Says what is wrong with a span of this file.
    pub(super) fn report(&self, span: Range<usize>, fault: Fault, outcome: Outcome) {
        self.document.report(span, fault, outcome);
    }

    /// What becomes of this section where it cannot be read.
    pub(super) fn left_out(&self) -> Outcome {
        Outcome::LeftOut(self.keys.this.to_owned())
    }

    /// Where its header stands.
    pub(super) fn place(&self) -> Place {
        self.document.source.place(self.span.clone())
    }

    /// A span of this file, in few bytes.
    pub(super) fn origin_of(&self, span: Range<usize>) -> Origin {
        Origin { source: self.document.number, span }
    }

    /// A key's value, if it is there.
    pub(super) fn value(&self, key: &'static str) -> Option<Value<'d, 'r>> {
        debug_assert!(self.keys.keys.contains(&key), "`{key}` is no key of {}", self.keys.of);
        let (written, value) = self.table.get_key_value(key)?;
        Some(Value::new(self.document, key, written.span(), value))
    }

    /// A key's value, read; `None` where it is absent, or wrong and that has been told.
    pub(super) fn read<T>(
        &self,
        key: &'static str,
        otherwise: Otherwise<'_>,
        parse: impl FnOnce(&Value<'d, 'r>) -> Read<T>,
    ) -> Option<T> {
        let value = self.value(key)?;
        parse(&value).map_err(|complaints| self.complain(complaints, otherwise)).ok()
    }

    /// A key that may be absent or wrong: then it is as if `taken_as` stood there.
    pub(super) fn optional<T>(
        &self,
        key: &'static str,
        taken_as: &str,
        parse: impl FnOnce(&Value<'d, 'r>) -> Read<T>,
    ) -> Option<T> {
        self.read(key, Otherwise::Take(taken_as), parse)
    }

    /// A key without which this section is left out, which is told.
    pub(super) fn required<T>(
        &self,
        key: &'static str,
        example: &'static str,
        parse: impl FnOnce(&Value<'d, 'r>) -> Read<T>,
    ) -> Option<T> {
        if self.value(key).is_none() {
            self.missing(key, example);
        }
        self.read(key, Otherwise::LeaveOut, parse)
    }

    /// Says that a key is missing.
    pub(super) fn missing(&self, key: &'static str, example: &'static str) {
        if self.is_top() && self.document.has_broken_top {
            return;
        }
        self.report(self.span.clone(), Fault::MissingKey { key, of: self.keys.of, example }, self.left_out());
    }

    /// Says that a key is pointless beside another, where it is there.
    pub(super) fn pointless(&self, key: &'static str, beside: &'static str) {
        if let Some(value) = self.value(key) {
            self.report(value.key_span, Fault::PointlessKey { key: key.to_owned(), beside }, Outcome::Said);
        }
    }

    /// Whether these are the keys at the top of a file.
    pub(super) fn is_top(&self) -> bool {
        Kind::ALL.iter().any(|kind| kind.keys().heading == self.keys.heading)
    }

    /// Says that a file is empty of what it is for.
    pub(super) fn no_entries(&self, section: &'static str) {
        if self.document.has_broken_top || self.document.has_broken_sections {
            return;
        }
        let fault = Fault::NoEntries { of: self.keys.of, section };
        self.report(self.span.clone(), fault, Outcome::Said);
    }

    /// Tells each complaint, and what becomes of what it was about.
    pub(super) fn complain(&self, complaints: Vec<Complaint>, otherwise: Otherwise<'_>) {
        let outcome = match otherwise {
            Otherwise::LeaveOut => self.left_out(),
            Otherwise::Take(what) => Outcome::TakenAs(what.to_owned()),
        };
        self.complain_as(complaints, &outcome);
    }

    /// Tells each complaint with an outcome of its own.
    pub(super) fn complain_as(&self, complaints: Vec<Complaint>, outcome: &Outcome) {
        for Complaint { span, fault } in complaints {
            self.report(span, fault, outcome.clone());
        }
    }

    /// A section within this one, such as `[design.back]`.
    pub(super) fn section(&self, key: &'static str, keys: &'static Keys) -> Option<Fields<'d, 'r>> {
        let value = self.value(key)?;
        match value.value {
            DeValue::Table(table) => Some(Fields::new(self.document, table, value.section_span(), keys)),
            _ => {
                let wrong = value.wrong("a section of its own, or keys in curly brackets");
                self.complain(wrong, Otherwise::Take("not there"));
                None
            }
        }
    }

    /// The sections of a list within this one, such as each `[[scrap]]`. One that is no section is
    /// told here.
    pub(super) fn sections(&self, key: &'static str, keys: &'static Keys) -> Vec<Entry<'d, 'r>> {
        let Some(value) = self.value(key) else { return Vec::new() };
        let sections: Vec<(&DeValue<'_>, Range<usize>)> = match value.value {
            DeValue::Array(entries) => entries.iter().map(|entry| (entry.get_ref(), entry.span())).collect(),
            one => vec![(one, value.section_span())],
        };
        let open = |(entry, span): (&'d DeValue<'d>, Range<usize>)| match entry {
            DeValue::Table(table) if self.document.is_broken(span.start) => {
                Entry::Broken(self.document.called(span.start, table))
            }
            DeValue::Table(table) => Entry::Good(Fields::new(self.document, table, span, keys)),
            other => {
                let entry = Value { value: other, span, ..value.clone() };
                for Complaint { span, fault } in entry.wrong("a section of its own for each") {
                    self.report(span, fault, Outcome::LeftOut(keys.this.to_owned()));
                }
                Entry::Broken(Called::default())
            }
        };
        sections.into_iter().map(open).collect()
    }
}

/// One of a list of sections.
pub(super) enum Entry<'d, 'r> {
    /// It can be asked for its keys.
    Good(Fields<'d, 'r>),
    /// It is not TOML or no section, and that has been told; what it was perhaps called.
    Broken(Called),
}
