//! What stands on the parts of a cut map: names and sizes as large as fit, and a key for what is too
//! small to be written on.

use super::{micro, plain, point};
use crate::cut::file::words;
use crate::cut::{Part, Turned};
use std::fmt::Write as _;
use units::Unit;

/// Letters smaller than this cannot be read in print, in thousandths of a millimetre.
const LEAST: i64 = 1_300;

/// The labels of one map.
pub(super) struct Labels {
    unit: Unit,
    em: i64,
    drawn: String,
    /// Name and size of what is too small; the first is `a`.
    keys: Vec<String>,
}

/// The height of letters so that lines of text fit a box; a letter is about 0.6 as wide as high.
fn fitting(lines: &[String], along: i64, across: i64, em: i64) -> i64 {
    let letters =
        lines.iter().map(|line| i64::try_from(line.chars().count()).unwrap_or(i64::MAX)).max().unwrap_or(1).max(1);
    let rows = i64::try_from(lines.len()).unwrap_or(1).max(1);
    em.min(along.saturating_mul(10) / letters.saturating_mul(6).max(1)).min(across * 10 / (rows * 13))
}

/// `a` to `z`, then `aa`, `ab` and so on.
fn letter(mut number: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'a' + u8::try_from(number % 26).unwrap_or(0)));
        match (number / 26).checked_sub(1) {
            Some(next) => number = next,
            None => break,
        }
    }
    letters.into_iter().rev().collect()
}

impl Labels {
    pub(super) fn new(unit: Unit, em: i64) -> Self {
        Self { unit, em, drawn: String::new(), keys: Vec::new() }
    }

    /// A piece's name and size, or a letter of the key.
    pub(super) fn piece(&mut self, leaf: &Part, id: &str, turned: Turned) {
        let size = words::size(self.unit, leaf.width, leaf.height);
        let name = if turned == Turned::Quarter { format!("{id} (turned)") } else { id.to_owned() };
        if self.write(leaf, &[name.clone(), size.clone()], LEAST)
            || self.write(leaf, &[format!("{name} {size}")], LEAST)
        {
            return;
        }
        let entry = format!("{name}, {size}");
        let place = self.keys.iter().position(|key| *key == entry).unwrap_or_else(|| {
            self.keys.push(entry);
            self.keys.len() - 1
        });
        self.write(leaf, &[letter(place)], 1);
    }

    /// A leftover's size, where there is room for it.
    pub(super) fn leftover(&mut self, leaf: &Part) {
        let size = words::size(self.unit, leaf.width, leaf.height);
        let _ = self.write(leaf, &["leftover".to_owned(), size.clone()], LEAST) || self.write(leaf, &[size], LEAST);
    }

    /// Writes lines in the middle of a part, upright if that is large enough; no where they would be
    /// smaller than `least`.
    fn write(&mut self, leaf: &Part, lines: &[String], least: i64) -> bool {
        let (width, height) = (micro(leaf.width), micro(leaf.height));
        let (level, upright) = (fitting(lines, width, height, self.em), fitting(lines, height, width, self.em));
        let is_level = level >= upright || level >= self.em * 9 / 10;
        let size = if is_level { level } else { upright };
        if size < least {
            return false;
        }
        let (x, y) = (micro(leaf.x) + width / 2, micro(leaf.y) + height / 2);
        let turn =
            if is_level { String::new() } else { format!(" transform=\"rotate(-90 {} {})\"", point(x), point(y)) };
        let _ = write!(
            self.drawn,
            "<g font-size=\"{}\" text-anchor=\"middle\" stroke=\"#fff\" stroke-width=\"{}\" stroke-linejoin=\"round\" paint-order=\"stroke\"{turn}>",
            point(size),
            point(size / 4)
        );
        let rows = i64::try_from(lines.len()).unwrap_or(1);
        for (row, line) in (0i64..).zip(lines) {
            let down = y + size * (20 * row - 10 * (rows - 1) + 6) * 6 / 100;
            let _ = write!(self.drawn, "<text x=\"{}\" y=\"{}\">{}</text>", point(x), point(down), plain(line));
        }
        self.drawn.push_str("</g>\n");
        true
    }

    pub(super) fn draw(&self, out: &mut String) {
        out.push_str(&self.drawn);
    }

    /// "a: label, 1/8 in × 1/4 in", and so on.
    pub(super) fn keys(&self) -> Vec<String> {
        self.keys.iter().enumerate().map(|(place, key)| format!("{}: {key}", letter(place))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let told: Vec<String> = [0, 25, 26, 27, 701, 702].into_iter().map(letter).collect();
        assert_eq!(told, ["a", "z", "aa", "ab", "zz", "aaa"]);
    }

    #[test]
    fn letters_fit_their_box() {
        let lines = [String::from("ten letter"), String::from("x")];
        assert_eq!(fitting(&lines, 60_000, 60_000, 5_000), 5_000);
        assert_eq!(fitting(&lines, 12_000, 60_000, 5_000), 2_000);
        assert_eq!(fitting(&lines, 60_000, 2_600, 5_000), 1_000);
    }
}
