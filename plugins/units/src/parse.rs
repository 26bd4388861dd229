//! Reads a length as people write it: text in, a [`Length`] or the reason it is none out.
//!
//! A length is kept exactly or refused; nothing is rounded and no float takes part. The grammar:
//!
//! ```text
//! length   = [sign] number [unit]
//! number   = digits | decimal | fraction | digits (space | dash) fraction
//! decimal  = digits (`.` | `,`) digits, where one side may be empty
//! fraction = digits `/` digits | one of ½ ¼ ¾ ⅛ ⅜ ⅝ ⅞
//! unit     = in, inch, inches, ", ″ | mm | cm, and their long forms
//! ```

use crate::error::{LengthError, LengthErrorKind};
use crate::fraction::{FINEST, in_sixty_fourths, is_on_a_ruler, one_character_fraction};
use crate::unit::Scale;
use crate::{Length, Unit};
use std::ops::Range;

/// Digits beyond which a number is too long whatever its unit; keeps all arithmetic far inside `i128`.
const MOST_DIGITS: usize = 15;
/// Decimals beyond which no unit's number is a whole count of nanometres.
const MOST_DECIMALS: usize = 12;
/// How much of a faulty text an error repeats, in characters.
const SNIPPET: usize = 24;

impl Length {
    /// Reads a length that is 0 or more; a bare number takes the unit `bare`.
    ///
    /// # Errors
    /// Where the text is not a length, is less than 0, is over [`Length::LONGEST`], or cannot be kept exactly.
    ///
    /// ```
    /// use units::{Length, Unit};
    /// let card = Length::parse("4 1/4", Unit::Inch)?;
    /// for same in ["4-1/4\"", "4¼ in", "4.25in", "107.95mm", "10,795 cm", "4–1/4 inches"] {
    ///     assert_eq!(Length::parse(same, Unit::Inch)?, card);
    /// }
    /// let why = Length::parse("4 1/3 in", Unit::Inch).expect_err("thirds are on no ruler");
    /// assert_eq!(why.to_string(), "`1/3` is not a fraction on a ruler");
    /// assert_eq!(why.at, 2..5);
    /// # Ok::<(), units::LengthError>(())
    /// ```
    pub fn parse(text: &str, bare: Unit) -> Result<Self, LengthError> {
        let written = Written::read(text, 0)?;
        let length = written.length(bare.into())?;
        if length < Self::ZERO {
            return Err(written.fault(LengthErrorKind::Negative));
        }
        Ok(length)
    }

    /// Reads a length that may be less than 0, such as an offset; otherwise as [`Length::parse`].
    ///
    /// # Errors
    /// As [`Length::parse`], but for a sign.
    ///
    /// ```
    /// use units::{Length, Unit};
    /// assert_eq!(Length::parse_signed("-1/8 in", Unit::Inch)?.nanometres(), -3_175_000);
    /// # Ok::<(), units::LengthError>(())
    /// ```
    pub fn parse_signed(text: &str, bare: Unit) -> Result<Self, LengthError> {
        Written::read(text, 0)?.length(bare.into())
    }
}

/// A length as written: a fraction of a unit that may not have been said.
#[derive(Clone, Debug)]
pub(crate) struct Written {
    numerator: i128,
    denominator: i128,
    /// The unit that was written, if any.
    pub(crate) scale: Option<Scale>,
    /// Where the number with its sign stands in the whole text.
    pub(crate) at: Range<usize>,
    number: String,
}

impl Written {
    /// Reads the whole of `text`, which stands `offset` bytes into the text that errors point into.
    pub(crate) fn read(text: &str, offset: usize) -> Result<Self, LengthError> {
        let mut reader = Reader { text, at: 0, offset };
        reader.skip_space();
        if reader.rest().is_empty() {
            return Err(reader.fault(reader.at..reader.at, LengthErrorKind::Empty));
        }
        let start = reader.at;
        let sign = match reader.peek() {
            Some(dash) if is_dash(dash) => -1,
            _ => 1,
        };
        if sign < 0 || reader.peek() == Some('+') {
            reader.next();
            reader.skip_space();
        }
        let (numerator, denominator) = reader.number()?;
        let end = reader.at;
        let scale = reader.unit()?;
        Ok(Self {
            numerator: sign * numerator,
            denominator,
            scale,
            at: offset + start..offset + end,
            number: snippet(&text[start..end]),
        })
    }

    /// The length meant; `bare` is the unit where none was written.
    pub(crate) fn length(&self, bare: Scale) -> Result<Length, LengthError> {
        let scaled = self.numerator * i128::from(self.scale.unwrap_or(bare).nanometres());
        if (scaled / self.denominator).abs() > i128::from(Length::LONGEST.nanometres()) {
            return Err(self.fault(LengthErrorKind::TooLong));
        }
        match i64::try_from(scaled / self.denominator) {
            Ok(nanometres) if scaled % self.denominator == 0 => Ok(Length::from_nanometres(nanometres)),
            Ok(_) => Err(self.fault(LengthErrorKind::NotExact(self.number.clone()))),
            Err(_) => Err(self.fault(LengthErrorKind::TooLong)),
        }
    }

    /// An error that points at the number.
    pub(crate) fn fault(&self, kind: LengthErrorKind) -> LengthError {
        LengthError { at: self.at.clone(), kind }
    }
}

/// Walks a text from its start.
struct Reader<'a> {
    text: &'a str,
    at: usize,
    offset: usize,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn next(&mut self) {
        self.at += self.peek().map_or(0, char::len_utf8);
    }

    fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let start = self.at;
        while self.peek().is_some_and(&wanted) {
            self.next();
        }
        &self.text[start..self.at]
    }

    fn skip_space(&mut self) {
        self.take_while(char::is_whitespace);
    }

    fn fault(&self, at: Range<usize>, kind: LengthErrorKind) -> LengthError {
        LengthError { at: self.offset + at.start..self.offset + at.end, kind }
    }

    /// From here to the end of the text without the spaces there.
    fn remainder(&self) -> Range<usize> {
        self.at..self.at + self.rest().trim_end().len()
    }

    /// The number as a numerator over a denominator, both at least 0.
    fn number(&mut self) -> Result<(i128, i128), LengthError> {
        let start = self.at;
        let run = self.take_while(|c| c.is_ascii_digit() || is_decimal_mark(c));
        let end = self.at;
        let marks = run.chars().filter(|c| is_decimal_mark(*c)).count();
        if run.len() == marks {
            self.at = start;
            return match self.fraction(0)? {
                Some(fraction) if run.is_empty() => Ok(fraction),
                _ => {
                    let rest = self.remainder();
                    let kind = LengthErrorKind::NotANumber(snippet(&self.text[rest.clone()]));
                    Err(self.fault(rest, kind))
                }
            };
        }
        if marks > 1 {
            return Err(self.fault(start..end, LengthErrorKind::TwoDecimalMarks(snippet(run))));
        }
        if marks == 0 {
            // The run may be the top of a fraction, as in `3/8`.
            self.at = start;
            if let Some(fraction) = self.fraction(0)? {
                return Ok(fraction);
            }
        }
        self.at = end;
        let (whole, decimals) = run.split_once(is_decimal_mark).unwrap_or((run, ""));
        let decimals = decimals.trim_end_matches('0');
        let too_long = self.fault(start..end, LengthErrorKind::TooLong);
        let whole = whole_number(whole).ok_or(too_long)?;
        if decimals.len() > MOST_DECIMALS {
            return Err(self.fault(start..end, LengthErrorKind::NotExact(snippet(run))));
        }

        // `4 1/4` or `4-1/4`: what follows counts only if it is a whole fraction.
        match self.peek() {
            Some(dash) if is_dash(dash) => self.next(),
            _ => self.skip_space(),
        }
        let behind = self.at;
        match self.fraction(whole)? {
            None => self.at = end,
            Some(_) if marks > 0 => return Err(self.fault(start..self.at, LengthErrorKind::DecimalAndFraction)),
            Some((top, bottom)) if top >= bottom => {
                let kind = LengthErrorKind::FractionOverOne(snippet(&self.text[behind..self.at]));
                return Err(self.fault(behind..self.at, kind));
            }
            Some((top, bottom)) => return Ok((whole * bottom + top, bottom)),
        }
        let mut scaled = (whole, 1);
        for digit in decimals.bytes() {
            scaled = (scaled.0 * 10 + i128::from(digit - b'0'), scaled.1 * 10);
        }
        Ok(scaled)
    }

    /// A fraction behind the whole number `whole`, if the next characters are one; else nothing is taken.
    fn fraction(&mut self, whole: i128) -> Result<Option<(i128, i128)>, LengthError> {
        let start = self.at;
        let (top, bottom) = match self.peek().and_then(one_character_fraction) {
            Some(fraction) => {
                self.next();
                fraction
            }
            None => {
                let top = self.take_while(|c| c.is_ascii_digit());
                self.skip_space();
                if top.is_empty() || !self.peek().is_some_and(|c| matches!(c, '/' | '⁄' | '∕')) {
                    self.at = start;
                    return Ok(None);
                }
                self.next();
                self.skip_space();
                let bottom = self.take_while(|c| c.is_ascii_digit());
                if bottom.is_empty() {
                    return Err(self.fault(start..self.at, LengthErrorKind::HalfAFraction));
                }
                let top = whole_number(top).ok_or_else(|| self.fault(start..self.at, LengthErrorKind::TooLong))?;
                (top, whole_number(bottom).unwrap_or(i128::from(i64::MAX)))
            }
        };
        if bottom == 0 {
            return Err(self.fault(start..self.at, LengthErrorKind::ZeroDenominator));
        }
        if !is_on_a_ruler(bottom) {
            let sixty_fourths = top * FINEST;
            let below = whole * FINEST + sixty_fourths / bottom;
            let above = if sixty_fourths % bottom == 0 { below } else { below + 1 };
            let kind = LengthErrorKind::Denominator {
                written: snippet(&self.text[start..self.at]),
                nearest: [in_sixty_fourths(below), in_sixty_fourths(above)],
            };
            return Err(self.fault(start..self.at, kind));
        }
        Ok(Some((top, bottom)))
    }

    /// The unit, if one is written, up to the end of the text.
    fn unit(&mut self) -> Result<Option<Scale>, LengthError> {
        self.skip_space();
        let start = self.at;
        let Some(first) = self.peek() else { return Ok(None) };
        let word = if first.is_alphabetic() {
            self.take_while(|c| c.is_alphabetic() || c == '.')
        } else {
            self.take_while(|c| !c.is_alphanumeric() && !c.is_whitespace())
        };
        let word_end = self.at;
        let scale = Scale::parse(word);
        self.skip_space();
        if self.rest().is_empty() && (scale.is_some() || !(is_dash(first) || "./,+".contains(first))) {
            let unknown = self.fault(start..word_end, LengthErrorKind::UnknownUnit(snippet(word)));
            return scale.ok_or(unknown).map(Some);
        }
        if scale.is_none() {
            self.at = start;
        }
        let rest = self.remainder();
        Err(self.fault(rest.clone(), LengthErrorKind::Trailing(snippet(&self.text[rest]))))
    }
}

/// The hyphens and dashes people and their keyboards put between `4` and `1/4`, or before a number as a minus.
fn is_dash(c: char) -> bool {
    matches!(c, '-' | '\u{2010}' | '\u{2011}' | '\u{2012}' | '\u{2013}' | '\u{2212}')
}

fn is_decimal_mark(c: char) -> bool {
    matches!(c, '.' | ',')
}

/// Digits as a number; `None` where there are more than any length has.
fn whole_number(digits: &str) -> Option<i128> {
    let digits = digits.trim_start_matches('0');
    if digits.len() > MOST_DIGITS {
        return None;
    }
    Some(digits.bytes().fold(0, |number, digit| number * 10 + i128::from(digit - b'0')))
}

/// The beginning of a text, fit to be repeated in an error: short, and with nothing that moves the cursor.
pub(crate) fn snippet(text: &str) -> String {
    let mut short = String::new();
    for c in text.chars().take(SNIPPET) {
        if matches!(c, '\'' | '"' | '\\') { short.push(c) } else { short.extend(c.escape_debug()) }
    }
    if text.chars().nth(SNIPPET).is_some() {
        short.push('…');
    }
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(text: &str) -> Result<Length, LengthError> {
        Length::parse(text, Unit::Inch)
    }

    fn refused(text: &str) -> (Range<usize>, String, String) {
        let why = Length::parse(text, Unit::Inch).expect_err(text);
        assert!(text.get(why.at.clone()).is_some(), "{text:?}: {:?} is off the text", why.at);
        (why.at.clone(), why.to_string(), why.remedy())
    }

    #[test]
    fn reads_what_people_write() {
        for (text, nanometres) in [
            ("4 1/4", 107_950_000),
            ("4-1/4\"", 107_950_000),
            ("4–1/4", 107_950_000),
            ("4 ¼", 107_950_000),
            ("4¼ in", 107_950_000),
            ("4.25in", 107_950_000),
            ("4,25 in.", 107_950_000),
            ("17/4 in", 107_950_000),
            ("1 / 4", 6_350_000),
            ("1⁄4″", 6_350_000),
            (".5 in", 12_700_000),
            ("½", 12_700_000),
            ("¾\"", 19_050_000),
            ("¾''", 19_050_000),
            ("5½ inches", 139_700_000),
            ("3 1/2 inch", 88_900_000),
            ("3\u{a0}1/2 INCH", 88_900_000),
            ("108mm", 108_000_000),
            ("10.8 cm", 108_000_000),
            ("10,8 cm", 108_000_000),
            ("108 1/2 mm", 108_500_000),
            ("0.000001 mm", 1),
            ("100 m".trim_end_matches(" m"), 2_540_000_000),
            ("0", 0),
            ("-0", 0),
            ("  12  ", 304_800_000),
            ("4.", 101_600_000),
            ("+2", 50_800_000),
            ("0000000000000000000000004", 101_600_000),
            ("4.2500000000000000000000000", 107_950_000),
        ] {
            assert_eq!(inches(text).map(Length::nanometres), Ok(nanometres), "{text:?}");
        }
    }

    #[test]
    fn a_bare_number_takes_the_unit_given_and_a_written_unit_stands() {
        assert_eq!(Length::parse("105", Unit::Millimetre), Ok(Length::micrometres(105_000)));
        assert_eq!(Length::parse("1 in", Unit::Millimetre), Ok(Length::INCH));
    }

    #[test]
    fn a_sign_is_read_only_where_it_makes_sense() {
        for minus in ["-1/8 in", "−1/8 in", "–⅛", "- 0.125"] {
            assert_eq!(Length::parse_signed(minus, Unit::Inch).map(Length::nanometres), Ok(-3_175_000), "{minus}");
        }
        let (at, what, remedy) = refused(" -1/8 in");
        assert_eq!(at, 1..5);
        assert_eq!(what, "a length here cannot be less than 0");
        assert_eq!(remedy, "write the length without a minus");
    }

    #[test]
    fn each_refusal_says_where_what_and_what_to_do() {
        for (text, at, what, remedy) in [
            ("", 0..0, "a length is missing", "write a length such as `4 1/4 in` or `108 mm`"),
            ("four in", 0..7, "`four in` is not a number", "write a length such as `4 1/4 in` or `108 mm`"),
            (
                "4 1/3 in",
                2..5,
                "`1/3` is not a fraction on a ruler",
                "write halves, quarters, eighths and so on down to 64ths: the nearest are `4 21/64` and `4 11/32`",
            ),
            (
                "⅔",
                0..3,
                "`⅔` is not a fraction on a ruler",
                "write halves, quarters, eighths and so on down to 64ths: the nearest are `21/32` and `43/64`",
            ),
            ("2 3/12", 2..6, "`3/12` is not a fraction on a ruler", "write `2 1/4`"),
            ("4/1", 0..3, "`4/1` is not a fraction on a ruler", "write `4`"),
            ("4 1/0 in", 2..5, "a fraction cannot have 0 below its line", "write a fraction such as `1/4`"),
            ("4 1/", 2..4, "the fraction has no number below its line", "write a fraction such as `1/4`"),
            (
                "4 5/4",
                2..5,
                "the fraction `5/4` behind a whole number is not less than 1",
                "write the whole number with what is left over, such as `5 1/4`",
            ),
            ("4.5 1/4", 0..7, "a decimal number cannot be followed by a fraction", "write either `4.25` or `4 1/4`"),
            (
                "1,234.5 mm",
                0..7,
                "`1,234.5` has more than one decimal point or comma",
                "write one decimal point or comma and no thousands marks",
            ),
            (
                "4.3333333 in",
                0..9,
                "`4.3333333` has more decimals than can be kept exactly",
                "write at most 5 decimals of an inch or 6 of a millimetre",
            ),
            ("100.1 m", 6..7, "`m` is not a unit of length known here", "write `in`, `mm` or `cm`, or only the number"),
            ("100001 mm", 0..6, "the length is over 100 m", "check the number and its unit"),
            ("99999999999999999999", 0..20, "the length is over 100 m", "check the number and its unit"),
            (
                "12′",
                2..5,
                "`′` is not a unit of length known here",
                "write inches: `12 in` for a foot, or `\"` if inches are meant",
            ),
            (
                "12 pt",
                3..5,
                "`pt` is not a unit of length known here",
                "write a thickness in thousandths of an inch: 12 points are `0.012 in`",
            ),
            (
                "4 in wide",
                5..9,
                "`wide` does not belong behind a length",
                "write one number and one unit, such as `4 1/4 in`",
            ),
            (
                "4 - 1/4",
                2..7,
                "`- 1/4` does not belong behind a length",
                "write one number and one unit, such as `4 1/4 in`",
            ),
            ("4 5", 2..3, "`5` does not belong behind a length", "write one number and one unit, such as `4 1/4 in`"),
            ("½½", 2..4, "`½` does not belong behind a length", "write one number and one unit, such as `4 1/4 in`"),
        ] {
            assert_eq!(refused(text), (at, what.to_owned(), remedy.to_owned()), "{text:?}");
        }
    }

    #[test]
    fn an_error_repeats_no_character_that_could_move_the_cursor_and_no_long_text() {
        let (_, what, _) = refused("\u{1b}[2J\u{202e}x");
        assert!(!what.contains(['\u{1b}', '\u{202e}']), "{what:?}");
        let (_, what, _) = refused(&"w".repeat(1_000_000));
        assert_eq!(what, format!("`{}…` is not a number", "w".repeat(24)));
    }

    #[test]
    fn exactly_the_longest_is_read() {
        assert_eq!(Length::parse("100000 mm", Unit::Inch), Ok(Length::LONGEST));
        assert_eq!(Length::parse_signed("-100000 mm", Unit::Inch), Ok(-Length::LONGEST));
        assert!(Length::parse("100000.000001 mm", Unit::Inch).is_err());
    }
}
