//! A file that is not quite TOML: its text in, a text of the same length in which each mistake is
//! blotted out with the section it stands in, and the mistakes in our words, out.
//!
//! A quote or a bracket that is never closed would swallow all that follows. So each section, from
//! its header to the next, is read on its own first, and a mistake never reaches beyond its section.

use crate::problem::{Fault, quoted};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// One place that is not TOML.
pub(super) struct Mistake {
    /// Where.
    pub(super) span: Range<usize>,
    /// What.
    pub(super) fault: Fault,
    /// What it is in.
    pub(super) within: Within,
}

/// What a mistake is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Within {
    /// What stands above the first header.
    Top,
    /// The section whose header begins here.
    Section(usize),
    /// The header that begins here, so that there is no such section.
    Header(usize),
}

/// A text without its mistakes.
pub(super) struct Mended {
    /// As long as the text it was, so that all spans hold.
    pub(super) text: String,
    /// What was wrong, in order.
    pub(super) mistakes: Vec<Mistake>,
    /// What the sections were called that were blotted out, by where their headers begin.
    pub(super) lost: BTreeMap<usize, Called>,
}

/// What a thing is called, as far as it says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Called {
    /// Its id.
    pub(super) id: Option<String>,
    /// Its name.
    pub(super) name: Option<String>,
}

impl Called {
    /// What a table says it is called.
    pub(super) fn of(table: &DeTable<'_>) -> Self {
        let text = |key: &str| table.get(key).and_then(|value| value.get_ref().as_str()).map(str::to_owned);
        Self { id: text("id"), name: text("name") }
    }
}

/// Blots the mistakes of a text out.
pub(super) fn mend(text: &str) -> Mended {
    let lines = Lines::of(text);
    let mut mended = Mended { text: text.to_owned(), mistakes: Vec::new(), lost: BTreeMap::new() };
    let mut blots = Vec::new();
    let all = sections(text, &lines);
    let listed: BTreeSet<&str> = all.iter().filter_map(|section| section.header(text)?.listed()).collect();
    let mut met = BTreeSet::new();
    for section in all {
        let single = section.header(text).and_then(Header::single);
        if let Some(name) = single.filter(|name| listed.contains(name) || !met.insert(*name)) {
            mended.lost.insert(section.span.start, called(&text[section.span.clone()]));
            mended.mistakes.push(section.should_be_listed(name));
            blots.push(section.span);
        } else if section.has_header {
            blots.extend(mended.mend_section(text, &section, &lines));
        } else {
            mended.mend_top(&section, &lines);
        }
    }
    mended.blot(&blots);
    mended.mistakes.sort_by_key(|mistake| (mistake.span.start, mistake.span.end));
    mended
}

/// So often the top of a file is read again, since one mistake may hide the next.
const ROUNDS: usize = 10;

impl Mended {
    /// A section with a header goes as a whole; the header itself stays, if it is one, so that
    /// later entries keep their numbers. Gives what is to be blotted out.
    fn mend_section(&mut self, text: &str, section: &Section, lines: &Lines) -> Option<Range<usize>> {
        let mistakes = mistakes(text, section, lines);
        if mistakes.is_empty() {
            return None;
        }
        self.lost.insert(section.span.start, called(&text[section.span.clone()]));
        let is_header = mistakes.iter().all(|mistake| matches!(mistake.told.within, Within::Section(_)));
        self.mistakes.extend(mistakes.into_iter().map(|mistake| mistake.told));
        Some(if is_header { section.body..section.span.end } else { section.span.clone() })
    }

    /// What is at the top holds for the whole file, so only the lines in question go.
    fn mend_top(&mut self, section: &Section, lines: &Lines) {
        let mut told_lines = BTreeSet::new();
        for _ in 0..ROUNDS {
            let found = mistakes(&self.text, section, lines);
            let is_mended = found.iter().all(|found| is_understood(&found.message));
            let mut blots = Vec::new();
            for Found { told, message } in found {
                let line = lines.at(told.span.start);
                if !is_understood(&message) {
                    blots.push(line.clone());
                }
                if told_lines.insert(line.start) {
                    self.mistakes.push(told);
                }
            }
            self.blot(&blots);
            if is_mended {
                return;
            }
        }
        self.blot(std::slice::from_ref(&section.span));
    }

    /// Puts spaces for everything in these spans but the line ends.
    fn blot(&mut self, spans: &[Range<usize>]) {
        let mut bytes = std::mem::take(&mut self.text).into_bytes();
        for span in spans {
            for byte in bytes[span.clone()].iter_mut().filter(|byte| **byte != b'\n') {
                *byte = b' ';
            }
        }
        // Spans begin and end between characters, so this is UTF-8; were it not, it would be mended, too.
        self.text = String::from_utf8_lossy(&bytes).into_owned();
    }
}

/// Where each line of a text begins and ends.
struct Lines {
    starts: Vec<usize>,
    end: usize,
}

impl Lines {
    fn of(text: &str) -> Self {
        let after_breaks = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n').map(|(at, _)| at + 1);
        Self { starts: std::iter::once(0).chain(after_breaks).collect(), end: text.len() }
    }

    /// The line a byte stands in, without its end.
    fn at(&self, byte: usize) -> Range<usize> {
        let line = self.starts.partition_point(|&start| start <= byte).saturating_sub(1);
        self.starts[line]..self.starts.get(line + 1).map_or(self.end, |next| next - 1)
    }
}

/// The lines from one header to the next.
struct Section {
    span: Range<usize>,
    has_header: bool,
    /// Where the line of the header ends.
    body: usize,
}

/// What stands between the brackets of a header that has no dot in it.
#[derive(Clone, Copy)]
enum Header<'t> {
    /// `[name]`, of which there is one.
    Single(&'t str),
    /// `[[name]]`, one of a list.
    Listed(&'t str),
}

impl<'t> Header<'t> {
    fn single(self) -> Option<&'t str> {
        if let Self::Single(name) = self { Some(name) } else { None }
    }

    fn listed(self) -> Option<&'t str> {
        if let Self::Listed(name) = self { Some(name) } else { None }
    }
}

impl Section {
    /// Its header, if it has one that names something at the top of the file.
    fn header<'t>(&self, text: &'t str) -> Option<Header<'t>> {
        let line = text.get(self.span.start..self.body).filter(|_| self.has_header)?.trim();
        let plain = |name: &'t str| {
            let name = name.trim();
            name.chars().all(|sign| sign.is_ascii_alphanumeric() || sign == '-' || sign == '_').then_some(name)
        };
        let listed = line.strip_prefix("[[").and_then(|rest| rest.split_once("]]"));
        match listed {
            Some((name, _)) => plain(name).map(Header::Listed),
            None => plain(line.strip_prefix('[')?.split_once(']')?.0).map(Header::Single),
        }
    }

    /// That a `[name]` should be one more `[[name]]`.
    fn should_be_listed(&self, name: &str) -> Mistake {
        let what = format!("`[{name}]` in single brackets beside another {name}");
        let fault = Fault::Syntax { what, remedy: format!("write `[[{name}]]`, as for each in a list") };
        Mistake { span: self.span.start..self.body, fault, within: Within::Header(self.span.start) }
    }
}

/// All sections of a text: what is above the first header, then each header with its lines.
fn sections(text: &str, lines: &Lines) -> Vec<Section> {
    let mut starts = vec![0];
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let name = line.trim_start().strip_prefix('[').map(|rest| rest.strip_prefix('[').unwrap_or(rest));
        if at > 0 && name.is_some_and(|name| name.starts_with(|letter: char| letter.is_ascii_alphabetic())) {
            starts.push(at);
        }
        at += line.len();
    }
    let ends = starts.iter().copied().skip(1).chain([text.len()]);
    let section = |(&start, end): (&usize, usize)| {
        let has_header = start > 0;
        Section { span: start..end, has_header, body: if has_header { lines.at(start).end } else { start } }
    };
    starts.iter().zip(ends).map(section).collect()
}

/// A mistake, and the reader's own words for it.
struct Found {
    told: Mistake,
    message: String,
}

/// Whether the TOML reader made sense of a mistake by itself: it takes a word without quotes for
/// text, and the first of two lines for the right one.
fn is_understood(message: &str) -> bool {
    message.starts_with("string values must be quoted") || message.starts_with("duplicate key")
}

/// The mistakes of one section read on its own, in order.
fn mistakes(text: &str, section: &Section, lines: &Lines) -> Vec<Found> {
    let start = section.span.start;
    let (_, errors) = DeTable::parse_recoverable(&text[section.span.clone()]);
    let mut found: Vec<(Range<usize>, String)> = errors
        .iter()
        .map(|error| {
            let span = error.span().unwrap_or(0..0);
            (start + span.start..start + span.end, error.message().to_owned())
        })
        .collect();
    found.sort_by_key(|(span, _)| (span.start, span.end));
    // What follows a bracket that is never closed is only its consequence.
    let unclosed = found.iter().find_map(|(_, message)| unclosed(message));
    let first = found.iter().position(|(_, message)| is_in_brackets(message)).filter(|_| unclosed.is_some());
    if let Some(first) = first {
        found.truncate(first + 1);
    }
    // One word a line is enough.
    let mut seen = BTreeSet::new();
    found.retain(|(span, _)| seen.insert(lines.at(span.start).start));
    let in_words = |(span, message): (Range<usize>, String)| {
        let fault = match unclosed {
            Some(opening) if is_in_brackets(&message) => {
                let closing = if opening == '[' { ']' } else { '}' };
                let what = format!("the `{opening}` before this is never closed");
                Fault::Syntax { what, remedy: format!("write `{closing}` where it ends") }
            }
            _ => in_our_words(&message, text, span.clone()),
        };
        in_section((span, message, fault), section)
    };
    found.into_iter().map(in_words).collect()
}

fn in_section((span, message, fault): (Range<usize>, String, Fault), section: &Section) -> Found {
    let start = section.span.start;
    let within = match section.has_header {
        false => Within::Top,
        // A bracket that lacks is noticed at the end of its line.
        true if span.start < section.body || message.starts_with("unclosed array table") => Within::Header(start),
        true if message.starts_with("unclosed table") => Within::Header(start),
        true => Within::Section(start),
    };
    Found { told: Mistake { span, fault, within }, message }
}

/// The bracket that a message says is never closed.
fn unclosed(message: &str) -> Option<char> {
    if message.starts_with("unclosed array,") {
        Some('[')
    } else if message.starts_with("unclosed inline table") {
        Some('{')
    } else {
        None
    }
}

/// What the one thing of a section is called, as far as its mistakes let it say.
fn called(section: &str) -> Called {
    let (table, _) = DeTable::parse_recoverable(section);
    let mut value = table.get_ref().values().next().map(|value| value.get_ref());
    while let Some(DeValue::Array(entries)) = value {
        value = entries.iter().next().map(|entry| entry.get_ref());
    }
    value.and_then(DeValue::as_table).map(Called::of).unwrap_or_default()
}

/// Whether a message is about the items between brackets.
fn is_in_brackets(message: &str) -> bool {
    let starts = [
        "missing comma between",
        "unexpected `=` in array",
        "missing key for inline",
        "unclosed array,",
        "unclosed inline",
    ];
    starts.iter().any(|start| message.starts_with(start))
}

/// The TOML reader's message as a card maker may read it, and what to do.
pub(super) fn in_our_words(message: &str, text: &str, span: Range<usize>) -> Fault {
    let written = text.get(span.clone()).unwrap_or_default();
    let at = span.start.min(text.len());
    let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
    let line = start..text[at..].find('\n').map_or(text.len(), |length| at + length);
    let after = text.get(span.start.min(line.end)..line.end).unwrap_or_default();
    let whole_line = &text[line];
    let starts = |start: &str| message.starts_with(start);
    let (what, remedy) = if starts("string values must be quoted") && written.is_empty() && after.starts_with('#') {
        // A colour without quotes: TOML takes it for a remark.
        let word = after.split_whitespace().next().unwrap_or_default();
        ("`#` begins a remark, so no value is left here".into(), format!("write {}", quoted(&format!("\"{word}\""))))
    } else if starts("string values must be quoted") && written.is_empty() {
        ("nothing stands behind `=`".into(), "write a value there, or `#` before the line".into())
    } else if starts("string values must be quoted") || starts("invalid boolean") || starts("invalid float") {
        let example = if written.contains('"') { format!("'{written}'") } else { format!("\"{written}\"") };
        ("text stands in quotes".into(), format!("write {}", quoted(&example)))
    } else if starts("duplicate key") {
        (format!("{} is here twice", quoted(written)), "leave one of the two".into())
    } else if starts("key with no value") || starts("invalid unquoted key") {
        (
            "this is no key with `=` and a value".into(),
            "write a line such as `count = 2`, or `#` before a remark".into(),
        )
    } else if starts("invalid basic string") || starts("invalid literal string") {
        let mark = if starts("invalid basic") { '"' } else { '\'' };
        (format!("the text has no `{mark}` at its end"), format!("write `{mark}` behind it"))
    } else if starts("invalid multi-line") {
        let marks = if starts("invalid multi-line basic") { "\"\"\"" } else { "'''" };
        (format!("the `{marks}` before this is never closed"), format!("write `{marks}` where the text ends"))
    } else if starts("unexpected key or value") && whole_line.matches('"').count() % 2 == 1 {
        ("this stands behind a text that has ended".into(), "put text with `\"` in it between `'` and `'`".into())
    } else if starts("unexpected key or value") {
        ("this stands behind the value".into(), "write one key and one value on a line".into())
    } else if starts("missing escaped value") || message.contains("escape") {
        (
            "`\\` means something else within double quotes".into(),
            "put the text between `'` and `'`, or write `/`".into(),
        )
    } else if starts("unclosed array table") || starts("unclosed table") {
        let name = whole_line.trim_matches(|letter: char| "[] \t\r".contains(letter));
        let example = if starts("unclosed array") { format!("[[{name}]]") } else { format!("[{name}]") };
        ("the header of this section lacks a bracket".into(), format!("write {}", quoted(&example)))
    } else if message.contains("max recursion depth") || starts("recursion limit") {
        ("brackets within brackets go on too deep".into(), "take some of the brackets away".into())
    } else {
        let remedy = "a line is a key, `=` and a value; text stands in quotes, the name of a section in brackets";
        (message.to_owned(), remedy.into())
    };
    Fault::Syntax { what, remedy }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        let mended = mend(text);
        assert_eq!(mended.text.len(), text.len(), "spans must hold");
        mended
            .mistakes
            .iter()
            .map(|mistake| match &mistake.fault {
                Fault::Syntax { what, .. } => format!("{:?} {what}", mistake.within),
                other => format!("{other:?}"),
            })
            .collect()
    }

    #[test]
    fn a_mistake_stays_in_its_section() {
        for bad in ["a = [1", "a = { b = 1", "a = \"x", "a = '''x", "a", "a = \"\"\"x", "]", "= 1", "a = 1 2"] {
            let text = format!("top = 1\n[[s]]\n{bad}\n[[s]]\nb = 2\n");
            let mended = mend(&text);
            assert_eq!(mended.mistakes.len(), 1, "{bad}: {:?}", words(&text));
            assert_eq!(mended.mistakes[0].within, Within::Section(8), "{bad}");
            let (table, left) = DeTable::parse_recoverable(&mended.text);
            assert!(left.is_empty(), "{bad}: {left:?}");
            let both = table.get_ref().get("s").and_then(|sections| sections.get_ref().as_array()).map(|all| all.len());
            assert_eq!(both, Some(2), "{bad}");
        }
    }

    #[test]
    fn at_the_top_only_the_lines_in_question_go() {
        let mended = mend("kind = \"pad\"\nname = Leaves\nprose here\nsheet = \"6 x 6\n");
        let (table, _) = DeTable::parse_recoverable(&mended.text);
        let keys: Vec<&str> = table.get_ref().keys().map(|key| key.get_ref().as_ref()).collect();
        assert_eq!(keys, ["kind", "name"]);
        assert_eq!(mended.mistakes.len(), 3);
        let all = mend("kind = \"pad\"\na = [\n");
        assert_eq!(all.mistakes.len(), 1);
        assert!(DeTable::parse_recoverable(&all.text).1.is_empty());
    }

    #[test]
    fn a_list_over_several_lines_is_no_header() {
        let good = "a = [\n  [50, 0],\n  [\"x\"],\n]\n";
        assert_eq!(sections(good, &Lines::of(good)).len(), 1);
        assert!(mend(good).mistakes.is_empty());
    }
}
