//! One table of a manifest: TOML values in, values of the kind asked for out, and every value that is of
//! another kind, every key that is missing and every key that means nothing, all in one reading.

use crate::problem::{ScriptProblem, Text};
use std::collections::BTreeSet;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value and the byte it begins at.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Placed<T> {
    pub(crate) value: T,
    pub(crate) at: usize,
}

/// What was read so far, and what is wrong with it.
pub(crate) struct Reading<'t> {
    text: &'t str,
    pub(crate) problems: Vec<ScriptProblem>,
}

impl<'t> Reading<'t> {
    /// Nothing read yet, nothing wrong yet.
    pub(crate) fn of(text: &'t str) -> Self {
        Self { text, problems: Vec::new() }
    }

    /// Something wrong at a byte of the text.
    pub(crate) fn fault(&mut self, at: usize, what: impl Into<String>, remedy: impl Into<String>) {
        self.problems.push(ScriptProblem::at_byte(Text::Manifest, self.text, at, what, remedy));
    }
}

/// A table whose keys are asked for one by one.
pub(crate) struct Table<'d> {
    keys: &'d DeTable<'d>,
    /// Where it begins.
    start: usize,
    asked: BTreeSet<&'static str>,
}

impl<'d> Table<'d> {
    pub(crate) fn new(keys: &'d DeTable<'d>, start: usize) -> Self {
        Self { keys, start, asked: BTreeSet::new() }
    }

    /// A text.
    pub(crate) fn text(&mut self, key: &'static str, reading: &mut Reading<'_>) -> Option<Placed<String>> {
        self.read(key, reading, "a text in quotes", |value| value.as_str().map(str::to_owned))
    }

    /// A whole number from 0.
    pub(crate) fn whole(&mut self, key: &'static str, reading: &mut Reading<'_>) -> Option<Placed<u32>> {
        self.read(key, reading, "a whole number", |value| {
            let DeValue::Integer(number) = value else { return None };
            u32::from_str_radix(number.as_str(), number.radix()).ok()
        })
    }

    /// Any number.
    pub(crate) fn number(&mut self, key: &'static str, reading: &mut Reading<'_>) -> Option<Placed<f64>> {
        self.read(key, reading, "a number", |value| match value {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse().ok(),
            DeValue::Float(number) => number.as_str().parse().ok(),
            _ => None,
        })
    }

    /// A list of texts; a single text is a list of one. What in it is no text is told and left out.
    pub(crate) fn texts(
        &mut self,
        key: &'static str,
        reading: &mut Reading<'_>,
    ) -> Option<Placed<Vec<Placed<String>>>> {
        let value = self.value(key)?;
        let at = value.span().start;
        let items: Vec<&Spanned<DeValue<'_>>> = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => vec![value],
        };
        let mut texts = Vec::new();
        for item in items {
            match item.get_ref().as_str() {
                Some(text) => texts.push(Placed { value: text.to_owned(), at: item.span().start }),
                None => wrong(key, item, "a list of texts in quotes", reading),
            }
        }
        Some(Placed { value: texts, at })
    }

    /// The tables of a list, each written as `[[key]]`.
    pub(crate) fn tables(&mut self, key: &'static str, reading: &mut Reading<'_>) -> Vec<Table<'d>> {
        let wanted = format!("a list, each written as `[[{key}]]`");
        let Some(value) = self.value(key) else { return Vec::new() };
        let DeValue::Array(items) = value.get_ref() else {
            wrong(key, value, &wanted, reading);
            return Vec::new();
        };
        let mut tables = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::Table(keys) => tables.push(Table::new(keys, item.span().start)),
                _ => wrong(key, item, &wanted, reading),
            }
        }
        tables
    }

    /// Tells that a key which must be there is not. What was there but wrong is told already.
    pub(crate) fn must_have(&self, keys: &[&str], reading: &mut Reading<'_>) {
        for key in keys.iter().filter(|key| !self.keys.contains_key(**key)) {
            reading.fault(self.start, format!("there is no `{key}`"), format!("add a line `{key} = ...`: {SEE}"));
        }
    }

    /// Tells all keys that were never asked for.
    pub(crate) fn finish(self, reading: &mut Reading<'_>) {
        for key in self.keys.keys().filter(|key| !self.asked.contains(key.get_ref().as_ref())) {
            let known: Vec<String> = self.asked.iter().map(|known| format!("`{known}`")).collect();
            let what = format!("`{}` means nothing here", shown(key.get_ref()));
            reading.fault(key.span().start, what, format!("take it away; the keys are {}", known.join(", ")));
        }
    }

    fn value(&mut self, key: &'static str) -> Option<&'d Spanned<DeValue<'d>>> {
        self.asked.insert(key);
        self.keys.get(key)
    }

    fn read<T>(
        &mut self,
        key: &'static str,
        reading: &mut Reading<'_>,
        wanted: &str,
        read: impl Fn(&DeValue<'_>) -> Option<T>,
    ) -> Option<Placed<T>> {
        let value = self.value(key)?;
        let found = read(value.get_ref());
        if found.is_none() {
            wrong(key, value, wanted, reading);
        }
        Some(Placed { value: found?, at: value.span().start })
    }
}

/// Where the keys of a manifest are told.
pub(crate) const SEE: &str = "see `docs/plugins.md` for the keys of a manifest";

fn wrong(key: &str, value: &Spanned<DeValue<'_>>, wanted: &str, reading: &mut Reading<'_>) {
    let found = match value.get_ref() {
        DeValue::String(_) => "a text".to_owned(),
        DeValue::Integer(number) => format!("{number}"),
        DeValue::Float(number) => format!("{number}"),
        DeValue::Boolean(truth) => format!("{truth}"),
        DeValue::Datetime(_) => "a date".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a section".to_owned(),
    };
    reading.fault(value.span().start, format!("`{key}` is {}", shown(&found)), format!("write {wanted}; {SEE}"));
}

/// A word from a file, short enough to be read.
fn shown(word: &str) -> String {
    let mut short: String = word.chars().filter(|letter| !letter.is_control()).take(40).collect();
    if short.len() < word.len() {
        short.push('…');
    }
    short
}
