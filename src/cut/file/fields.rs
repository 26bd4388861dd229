//! The keys of one table of a problem file: taken one by one, each checked, faults gathered.

use super::Trouble;
use crate::problem::nearest;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};
use units::{Length, Unit};

/// A table being read. [`Fields::end`] names the keys that nobody took.
pub(super) struct Fields<'t> {
    table: &'t DeTable<'t>,
    /// What the table is called in messages: "stock 2".
    name: String,
    at: Range<usize>,
    known: Vec<&'static str>,
    unit: Unit,
    pub(super) faults: Vec<Trouble>,
}

impl<'t> Fields<'t> {
    pub(super) fn new(table: &'t DeTable<'t>, name: String, at: Range<usize>, unit: Unit) -> Self {
        Self { table, name, at, known: Vec::new(), unit, faults: Vec::new() }
    }

    fn find(&mut self, key: &'static str) -> Option<(&'t DeValue<'t>, Range<usize>)> {
        self.known.push(key);
        self.table
            .iter()
            .find(|(name, _)| name.get_ref().as_ref() == key)
            .map(|(_, value)| (value.get_ref(), value.span()))
    }

    pub(super) fn fault(&mut self, at: Range<usize>, said: String, remedy: String) {
        self.faults.push(Trouble { at, said, remedy });
    }

    pub(super) fn missing(&mut self, key: &str, example: &str) {
        let (at, name) = (self.at.clone(), self.name.clone());
        self.fault(at, format!("{name} has no `{key}`"), format!("add a line such as `{key} = {example}`"));
    }

    pub(super) fn text(&mut self, key: &'static str) -> Option<(String, Range<usize>)> {
        let (value, at) = self.find(key)?;
        match value {
            DeValue::String(text) => Some((text.to_string(), at)),
            DeValue::Integer(number) => Some((number.as_str().to_owned(), at)),
            _ => {
                self.fault(at, format!("`{key}` of {} is not text", self.name), "put it in quotes".to_owned());
                None
            }
        }
    }

    /// A length: a number in the file's unit, or text such as `"4 1/4 in"`.
    pub(super) fn length(&mut self, key: &'static str) -> Option<Length> {
        let (value, at) = self.find(key)?;
        let written = match value {
            DeValue::String(text) => text.to_string(),
            DeValue::Integer(number) => number.as_str().replace('_', ""),
            DeValue::Float(number) => number.as_str().replace('_', ""),
            _ => {
                let said = format!("`{key}` of {} is not a length", self.name);
                self.fault(at, said, "write a number, or text such as \"4 1/4 in\"".to_owned());
                return None;
            }
        };
        match Length::parse(&written, self.unit) {
            Ok(length) => Some(length),
            Err(error) => {
                let said = format!("`{key}` of {}: {error}", self.name);
                self.fault(at, said, error.remedy());
                None
            }
        }
    }

    /// A whole number that is not negative and at most `most`.
    pub(super) fn number(&mut self, key: &'static str, most: u64) -> Option<u64> {
        let (value, at) = self.find(key)?;
        let number = match value {
            DeValue::Integer(number) => u64::from_str_radix(&number.as_str().replace('_', ""), number.radix()).ok(),
            _ => None,
        };
        let number = number.filter(|number| *number <= most);
        if number.is_none() {
            let said = format!("`{key}` of {} is not a whole number from 0 to {most}", self.name);
            self.fault(at, said, format!("write it in digits, such as `{key} = 2`"));
        }
        number
    }

    pub(super) fn yes_or_no(&mut self, key: &'static str) -> Option<bool> {
        let (value, at) = self.find(key)?;
        if let DeValue::Boolean(answer) = value {
            return Some(*answer);
        }
        self.fault(at, format!("`{key}` of {} is neither true nor false", self.name), format!("write `{key} = true`"));
        None
    }

    /// A list of text, with the place of each.
    pub(super) fn list(&mut self, key: &'static str) -> Option<Vec<(String, Range<usize>)>> {
        let (value, at) = self.find(key)?;
        let texts = |entries: &'t toml::de::DeArray<'t>| {
            entries
                .iter()
                .map(|entry: &Spanned<DeValue<'t>>| match entry.get_ref() {
                    DeValue::String(text) => Some((text.to_string(), entry.span())),
                    _ => None,
                })
                .collect::<Option<Vec<_>>>()
        };
        let list = if let DeValue::Array(entries) = value { texts(entries) } else { None };
        if list.is_none() {
            let said = format!("`{key}` of {} is not a list of texts", self.name);
            self.fault(at, said, format!("write it as `{key} = [\"one\", \"two\"]`"));
        }
        list
    }

    /// The tables of a list such as `[[stock]]`.
    pub(super) fn tables(&mut self, key: &'static str) -> Vec<(&'t DeTable<'t>, Range<usize>)> {
        let Some((value, at)) = self.find(key) else { return Vec::new() };
        let mut found = Vec::new();
        let mut wrong = Vec::new();
        if let DeValue::Array(entries) = value {
            for entry in entries.iter() {
                match entry.get_ref() {
                    DeValue::Table(table) => found.push((table, entry.span())),
                    _ => wrong.push(entry.span()),
                }
            }
        } else {
            wrong.push(at);
        }
        for at in wrong {
            self.fault(at, format!("`{key}` is not a list of tables"), format!("begin each with `[[{key}]]`"));
        }
        found
    }

    /// A table such as `[rules]`.
    pub(super) fn table(&mut self, key: &'static str) -> Option<(&'t DeTable<'t>, Range<usize>)> {
        let (value, at) = self.find(key)?;
        if let DeValue::Table(table) = value {
            return Some((table, at));
        }
        self.fault(at, format!("`{key}` is not a table"), format!("begin it with `[{key}]`"));
        None
    }

    /// The faults, with those of keys that are not known.
    pub(super) fn end(mut self) -> Vec<Trouble> {
        for (key, _) in self.table.iter() {
            let name: &DeString<'_> = key.get_ref();
            if self.known.iter().any(|known| known == name) {
                continue;
            }
            let remedy = match nearest(name, self.known.iter().copied()) {
                Some(word) => format!("did you mean `{word}`?"),
                None => format!("remove it; {} may have {}", self.name, self.known.join(", ")),
            };
            let said = format!("{} has an unknown key `{name}`", self.name);
            self.faults.push(Trouble { at: key.span(), said, remedy });
        }
        self.faults
    }
}
