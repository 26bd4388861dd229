//! One value of a file, and how it is read as a length, a count, a choice, a date and so on:
//! a value in, the thing or its complaints (each with the exact span) out.

use super::document::Document;
use crate::problem::{Fault, Found, printable};
use crate::stash::Date;
use api::Share;
use api::units::{Length, Purpose, Size};
use std::ops::{Range, RangeInclusive};
use toml::de::DeValue;

/// What is wrong with a value, and where.
#[derive(Debug)]
pub(super) struct Complaint {
    /// Where.
    pub(super) span: Range<usize>,
    /// What.
    pub(super) fault: Fault,
}

/// A thing read, or all that is wrong with it.
pub(super) type Read<T> = Result<T, Vec<Complaint>>;

/// The longest text a name or a line of words may have, in characters.
const LONGEST_TEXT: usize = 500;

/// The longest id, in characters.
const LONGEST_ID: usize = 80;

/// A value and its key.
#[derive(Clone)]
pub(super) struct Value<'d, 'r> {
    /// The file.
    pub(super) document: &'d Document<'r>,
    /// The key, as written.
    pub(super) key: &'d str,
    /// Where the key stands.
    pub(super) key_span: Range<usize>,
    /// The value.
    pub(super) value: &'d DeValue<'d>,
    /// Where the value stands.
    pub(super) span: Range<usize>,
}

impl<'d, 'r> Value<'d, 'r> {
    /// A value of a table.
    pub(super) fn new(
        document: &'d Document<'r>,
        key: &'d str,
        key_span: Range<usize>,
        value: &'d toml::Spanned<DeValue<'d>>,
    ) -> Self {
        Self { document, key, key_span, value: value.get_ref(), span: value.span() }
    }

    /// The header of a section, or its brackets; its key where TOML has no header for it.
    pub(super) fn section_span(&self) -> Range<usize> {
        if self.span.is_empty() { self.key_span.clone() } else { self.span.clone() }
    }

    /// One complaint about the whole value.
    pub(super) fn fault<T>(&self, fault: Fault) -> Read<T> {
        Err(vec![Complaint { span: self.span.clone(), fault }])
    }

    /// One complaint about a part of its text. Where escapes or line ends make the text differ
    /// from what is in the file, the whole value is meant.
    pub(super) fn fault_in<T>(&self, part: Range<usize>, fault: Fault) -> Read<T> {
        let written = self.document.source.text.get(self.span.clone()).unwrap_or_default();
        let text = self.value.as_str().unwrap_or(written);
        let span = match written.find(text) {
            Some(lead) if !part.is_empty() => {
                let start = self.span.start + lead;
                start + part.start..start + part.end
            }
            _ => self.span.clone(),
        };
        Err(vec![Complaint { span, fault }])
    }

    /// A complaint that it is of the wrong type.
    pub(super) fn wrong(&self, wanted: &'static str) -> Vec<Complaint> {
        let found = match self.value {
            DeValue::String(_) => Found::Text,
            DeValue::Integer(_) => Found::WholeNumber,
            DeValue::Float(_) => Found::Decimal,
            DeValue::Boolean(_) => Found::TrueOrFalse,
            DeValue::Datetime(_) => Found::Date,
            DeValue::Array(_) => Found::List,
            DeValue::Table(_) => Found::Table,
        };
        let span = if found == Found::Table { self.section_span() } else { self.span.clone() };
        vec![Complaint { span, fault: Fault::WrongType { key: self.key.to_owned(), wanted, found } }]
    }

    /// Each item of a list, or the value itself where it is none.
    pub(super) fn items(&self) -> Vec<Self> {
        match self.value {
            DeValue::Array(items) => {
                let item = |item: &'d toml::Spanned<DeValue<'d>>| Self {
                    value: item.get_ref(),
                    span: item.span(),
                    ..self.clone()
                };
                items.iter().map(item).collect()
            }
            _ => vec![self.clone()],
        }
    }
}

/// Reads each item of a list; one value alone is a list of one. All complaints come together.
pub(super) fn list<'d, 'r: 'd, T>(item: impl Fn(&Value<'d, 'r>) -> Read<T>) -> impl Fn(&Value<'d, 'r>) -> Read<Vec<T>> {
    move |value| {
        let (mut things, mut complaints) = (Vec::new(), Vec::new());
        for value in value.items() {
            match item(&value) {
                Ok(thing) => things.push(thing),
                Err(more) => complaints.extend(more),
            }
        }
        if complaints.is_empty() { Ok(things) } else { Err(complaints) }
    }
}

/// Text as written, not empty.
pub(super) fn raw_text<'d>(value: &Value<'d, '_>) -> Read<&'d str> {
    match value.value {
        DeValue::String(text) if !text.trim().is_empty() => Ok(text.as_ref()),
        DeValue::String(_) => value.fault(Fault::EmptyText { key: value.key.to_owned() }),
        _ => Err(value.wrong("a text in quotes")),
    }
}

/// Text on one line, with nothing in it that a terminal would obey.
pub(super) fn text(value: &Value<'_, '_>) -> Read<String> {
    let words: Vec<&str> = raw_text(value)?.split_whitespace().collect();
    Ok(printable(&words.join(" ")).chars().take(LONGEST_TEXT).collect())
}

/// A name other files may refer to.
pub(super) fn id(value: &Value<'_, '_>) -> Read<String> {
    let id = match value.value {
        DeValue::String(id) => id.to_string(),
        // `id = 3` is plain enough.
        DeValue::Integer(number) => number.to_string(),
        _ => return Err(value.wrong("a text in quotes")),
    };
    let is_good = !id.is_empty() && id == id.trim() && id.chars().count() <= LONGEST_ID && printable(&id) == id;
    if is_good { Ok(id) } else { value.fault(Fault::BadId { id }) }
}

/// The text of a length, a size or a number: a bare number is one, too.
fn number_text<'d>(value: &Value<'d, '_>) -> Option<std::borrow::Cow<'d, str>> {
    match value.value {
        DeValue::String(text) => Some(text.as_ref().into()),
        DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().into()),
        DeValue::Float(number) => Some(number.as_str().into()),
        _ => None,
    }
}

/// A length that may be less than nothing.
pub(super) fn signed_length(value: &Value<'_, '_>) -> Read<Length> {
    let Some(text) = number_text(value) else {
        return Err(value.wrong("a length such as `\"4 1/4 in\"` or `\"108 mm\"`"));
    };
    Length::parse_signed(&text, value.document.reader.unit)
        .or_else(|error| value.fault_in(error.at.clone(), Fault::BadLength { key: value.key.to_owned(), error }))
}

/// A length of nothing or more.
pub(super) fn length_or_none(value: &Value<'_, '_>) -> Read<Length> {
    let length = signed_length(value)?;
    if length >= Length::ZERO { Ok(length) } else { value.fault(Fault::LengthNegative { key: value.key.to_owned() }) }
}

/// A length of more than nothing.
pub(super) fn length(value: &Value<'_, '_>) -> Read<Length> {
    match length_or_none(value)? {
        Length::ZERO => value.fault(Fault::LengthZero { key: value.key.to_owned() }),
        length => Ok(length),
    }
}

/// A size: two lengths or a name.
pub(super) fn size<'d, 'r: 'd>(purpose: Purpose) -> impl Fn(&Value<'d, 'r>) -> Read<Size> {
    move |value| {
        let Some(text) = number_text(value) else {
            return Err(value.wrong("a size such as `\"4 1/4 x 5 1/2 in\"` or `\"A2\"`"));
        };
        let reader = value.document.reader;
        Size::read(&text, reader.unit, reader.region, purpose)
            .or_else(|error| value.fault_in(error.at.clone(), Fault::BadSize { key: value.key.to_owned(), error }))
    }
}

/// A whole number within a range.
pub(super) fn count<'d, 'r: 'd>(range: RangeInclusive<u32>) -> impl Fn(&Value<'d, 'r>) -> Read<u32> {
    move |value| {
        let DeValue::Integer(number) = value.value else { return Err(value.wrong("a whole number")) };
        let found = u32::from_str_radix(number.as_str(), number.radix()).ok();
        match found.filter(|found| range.contains(found)) {
            Some(found) => Ok(found),
            None => {
                let (low, high) = (range.start().to_string(), range.end().to_string());
                value.fault(Fault::OutOfRange { key: value.key.to_owned(), found: number.to_string(), low, high })
            }
        }
    }
}

/// Any number within a range.
pub(super) fn number<'d, 'r: 'd>(range: RangeInclusive<f64>) -> impl Fn(&Value<'d, 'r>) -> Read<f64> {
    move |value| {
        let found = match value.value {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse::<f64>().ok(),
            DeValue::Float(number) => number.as_str().parse::<f64>().ok(),
            _ => None,
        };
        let Some(found) = found else { return Err(value.wrong("a number")) };
        if range.contains(&found) {
            return Ok(found);
        }
        let (low, high) = (range.start().to_string(), range.end().to_string());
        value.fault(Fault::OutOfRange { key: value.key.to_owned(), found: found.to_string(), low, high })
    }
}

/// A share from 0 to 1, as `0.4` or `"40%"`.
pub(super) fn share(value: &Value<'_, '_>) -> Read<Share> {
    let per_cent = value.value.as_str().and_then(|text| text.trim().strip_suffix('%'));
    match per_cent.map(|text| text.trim().parse::<f64>()) {
        None if value.value.is_str() => Err(value.wrong("a number from 0 to 1, or per cent as in `\"40%\"`")),
        None => number(0.0..=1.0)(value).map(Share::clamped),
        Some(Ok(number)) if (0.0..=100.0).contains(&number) => Ok(Share::clamped(number / 100.0)),
        Some(Ok(number)) => value.fault(Fault::OutOfRange {
            key: value.key.to_owned(),
            found: format!("{number} %"),
            low: "0 %".into(),
            high: "100 %".into(),
        }),
        Some(Err(_)) => Err(value.wrong("a number from 0 to 1, or per cent as in `\"40%\"`")),
    }
}

/// A day. One that has not come yet is worth a note.
pub(super) fn date(value: &Value<'_, '_>) -> Read<Date> {
    let bad = |text: &str| value.fault(Fault::BadDate { text: text.to_owned() });
    let date = match value.value {
        DeValue::String(text) => Date::parse(text).map_or_else(|| bad(text), Ok)?,
        DeValue::Datetime(moment) => {
            let day = moment.date.and_then(|day| Date::from_ymd(day.year.into(), day.month.into(), day.day.into()));
            day.map_or_else(|| bad(&moment.to_string()), Ok)?
        }
        _ => return Err(value.wrong("a date such as 2026-03-01")),
    };
    if let Some(today) = value.document.reader.today.filter(|&today| date > today) {
        let fault = Fault::FutureDate { date: date.to_string(), today: today.to_string() };
        value.document.report(value.span.clone(), fault, crate::problem::Outcome::Said);
    }
    Ok(date)
}

/// One word of a list of words.
pub(super) fn choice<'d, 'r: 'd, T: Copy>(choices: &'static [(&'static str, T)]) -> impl Fn(&Value<'d, 'r>) -> Read<T> {
    move |value| {
        let DeValue::String(word) = value.value else { return Err(value.wrong("one of a few words, in quotes")) };
        if let Some((_, chosen)) = choices.iter().find(|(choice, _)| choice == word) {
            return Ok(*chosen);
        }
        let words: Vec<&'static str> = choices.iter().map(|(choice, _)| *choice).collect();
        let nearest = value.document.reader.nearest(word, words.iter().copied());
        value.fault(Fault::UnknownChoice { key: value.key.to_owned(), word: word.to_string(), choices: words, nearest })
    }
}

/// `true` or `false`.
pub(super) fn yes_or_no(value: &Value<'_, '_>) -> Read<bool> {
    value.value.as_bool().ok_or_else(|| value.wrong("`true` or `false`"))
}
