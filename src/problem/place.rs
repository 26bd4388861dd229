//! Where in a file something stands: a text and a byte span in, file, line, column and the line
//! itself out. It never reads a file.

use super::text::printable;
use std::ops::Range;
use std::path::{Path, PathBuf};
use unicode_width::UnicodeWidthStr;

/// How much of a long line is shown before, beneath and after the caret, in characters.
const SHOWN: (usize, usize, usize) = (60, 60, 40);

/// So many bytes apart are the places at which letters are counted beforehand.
const STRIDE: usize = 4_096;

/// The text of one file, and where each of its lines begins.
#[derive(Clone, Debug)]
pub struct Source {
    /// Its path, relative to the stash folder.
    pub file: PathBuf,
    /// What is in it.
    pub text: String,
    line_starts: Vec<usize>,
    /// How many letters begin before each multiple of [`STRIDE`] bytes, so that a column costs no
    /// more in a line of sixteen million letters than in one of ten.
    letters: Vec<usize>,
}

impl Source {
    /// A text, with its lines and letters counted once, so that each place costs a binary search.
    #[must_use]
    pub fn new(file: impl Into<PathBuf>, text: impl Into<String>) -> Self {
        let text = text.into();
        let after_breaks = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n').map(|(at, _)| at + 1);
        let line_starts = std::iter::once(0).chain(after_breaks).collect();
        let sums = text.as_bytes().chunks(STRIDE).scan(0, |sum, chunk| {
            let before = *sum;
            *sum += letters_in(chunk);
            Some(before)
        });
        let letters = sums.collect();
        Self { file: file.into(), text, line_starts, letters }
    }

    /// The line a byte stands in, from 1.
    #[must_use]
    pub fn line(&self, byte: usize) -> u32 {
        count(self.line_starts.partition_point(|&at| at <= byte).max(1))
    }

    /// How many letters begin before a byte.
    fn letters_before(&self, byte: usize) -> usize {
        let stride = (byte / STRIDE).min(self.letters.len().saturating_sub(1));
        let known = self.letters.get(stride).copied().unwrap_or(0);
        known + letters_in(&self.text.as_bytes()[stride * STRIDE..byte])
    }

    /// Where a span of bytes stands. A span beyond the end, or within a character, is drawn in to
    /// the nearest whole one.
    #[must_use]
    pub fn place(&self, span: Range<usize>) -> Place {
        let start = self.text.floor_char_boundary(span.start);
        let line = self.line_starts.partition_point(|&at| at <= start).saturating_sub(1);
        let line_start = self.line_starts.get(line).copied().unwrap_or(0);
        let line_end = self.line_starts.get(line + 1).map_or(self.text.len(), |next| next - 1);
        let text = &self.text[line_start..line_end];
        let line_end = line_start + text.strip_suffix('\r').unwrap_or(text).len();
        let start = start.min(line_end);
        let end = self.text.floor_char_boundary(span.end).clamp(start, line_end);
        let column = self.letters_before(start) - self.letters_before(line_start) + 1;
        let (before, marked, after) =
            (&self.text[line_start..start], &self.text[start..end], &self.text[end..line_end]);
        Place {
            file: self.file.clone(),
            span,
            line: count(line + 1),
            column: count(column),
            excerpt: Some(Excerpt::cut(before, marked, after)),
        }
    }
}

/// How many letters begin in some bytes of UTF-8 text.
fn letters_in(bytes: &[u8]) -> usize {
    bytes.iter().filter(|&&byte| byte & 0xc0 != 0x80).count()
}

/// A count of lines or letters, which a file under the size limit never overflows.
fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Where in the stash something stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file (or folder), relative to the stash folder.
    pub file: PathBuf,
    /// The bytes meant.
    pub span: Range<usize>,
    /// The line, from 1.
    pub line: u32,
    /// The column in characters, from 1.
    pub column: u32,
    excerpt: Option<Excerpt>,
}

/// A line as shown, in the part before the caret, the part above it, and the rest.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Excerpt {
    before: String,
    marked: String,
    after: String,
}

impl Excerpt {
    fn cut(before: &str, marked: &str, after: &str) -> Self {
        let from = before.char_indices().rev().take(SHOWN.0).last().map_or(before.len(), |(at, _)| at);
        let lead = if from > 0 { "…" } else { "" };
        let head = |text: &str, most: usize| {
            let end = text.char_indices().nth(most).map_or(text.len(), |(at, _)| at);
            let tail = if end < text.len() { "…" } else { "" };
            format!("{}{tail}", printable(&text[..end]))
        };
        Self {
            before: format!("{lead}{}", printable(&before[from..])),
            marked: head(marked, SHOWN.1),
            after: head(after, SHOWN.2),
        }
    }
}

impl Place {
    /// A file or folder as a whole.
    #[must_use]
    pub fn whole(file: impl Into<PathBuf>) -> Self {
        Self { file: file.into(), span: 0..0, line: 1, column: 1, excerpt: None }
    }

    /// A line of a file whose text cannot be shown, as where it is not UTF-8.
    #[must_use]
    pub fn line_of(file: impl Into<PathBuf>, byte: usize, line: u32, column: u32) -> Self {
        Self { file: file.into(), span: byte..byte, line, column, excerpt: None }
    }

    /// What places are sorted by: file, then line, then column.
    #[must_use]
    pub fn order(&self) -> (&Path, u32, u32, usize, usize) {
        (&self.file, self.line, self.column, self.span.start, self.span.end)
    }

    /// `file:line:column`, with `/` between folders everywhere and nothing a terminal would obey.
    #[must_use]
    pub fn short(&self) -> String {
        format!("{}:{}:{}", shown(&self.file), self.line, self.column)
    }

    /// The line with a caret beneath what is meant, or nothing where there is no text to show.
    #[must_use]
    pub fn caret(&self) -> Option<String> {
        let Excerpt { before, marked, after } = self.excerpt.as_ref()?;
        let number = self.line.to_string();
        let carets = "^".repeat(marked.width().max(1));
        let line = format!("{before}{marked}{after}");
        Some(format!(
            " {number} | {}\n {:gutter$} | {:indent$}{carets}",
            line.trim_end(),
            "",
            "",
            gutter = number.len(),
            indent = before.width(),
        ))
    }
}

/// A path as shown: `.` for the stash folder itself.
#[must_use]
pub fn shown(path: &Path) -> String {
    if path.as_os_str().is_empty() {
        return String::from(".");
    }
    printable(&path.to_string_lossy().replace(std::path::MAIN_SEPARATOR, "/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn line_and_column_count_characters_and_survive_any_span() {
        let source = Source::new("a.toml", "ä = 1\r\nname = \"é\"\n");
        let place = source.place(8..12);
        assert_eq!((place.line, place.column), (2, 1));
        assert_eq!(place.caret().as_deref(), Some(" 2 | name = \"é\"\n   | ^^^^"));
        for start in 0..30 {
            for end in 0..30 {
                let place = source.place(Range { start, end });
                assert!(place.line <= 3, "{start} {end}");
            }
        }
    }

    #[test]
    fn columns_of_a_long_line_are_those_of_counting() {
        let text: String =
            "aé花🌸\n".chars().cycle().take(3 * STRIDE).map(|c| if c == '\n' { ' ' } else { c }).collect();
        let source = Source::new("a.toml", format!("{text}\n{text}"));
        for (nth, (at, _)) in source.text.char_indices().enumerate().step_by(97) {
            let (line, column) = match nth.checked_sub(3 * STRIDE + 1) {
                Some(column) => (2, column),
                None => (1, nth),
            };
            let place = source.place(at..at);
            assert_eq!((place.line, place.column as usize), (line, column + 1));
            assert_eq!(source.line(at), line);
        }
    }

    #[test]
    fn a_wide_letter_moves_the_caret_by_two() {
        let source = Source::new("a.toml", "\"花\" = 7");
        let at = source.text.find('7').unwrap();
        assert_eq!(source.place(at..at + 1).caret().as_deref(), Some(" 1 | \"花\" = 7\n   |        ^"));
    }

    #[test]
    fn a_very_long_line_is_cut_round_the_caret() {
        let text = format!("{}7{}", "x".repeat(100_000), "y".repeat(100_000));
        let caret = Source::new("a.toml", text).place(100_000..100_001).caret().unwrap();
        assert!(caret.lines().all(|line| line.chars().count() < 120), "{caret}");
        assert!(caret.contains("x7y"));
    }
}
