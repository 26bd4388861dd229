//! Sizes by name: a name, where it is said and what it is said of in, the size out.
//!
//! `A2` is a sheet under ISO 216 but a card or its envelope in the US, so a name is looked up with a
//! [`Region`] and a [`Purpose`]; a name that says its region (`US A2`, `ISO A2`) overrides the first.

use crate::fraction::one_character_fraction;
use crate::near::nearest;
use crate::parse::snippet;
use crate::table::TABLE;
use crate::{Length, Size, Unit};
use std::fmt;

/// Whose names a bare name is taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Region {
    /// The sizes of the United States.
    Us,
    /// ISO 216 sheets and ISO 269 envelopes.
    Iso,
}

impl Region {
    /// The region a setting names: `us` or `iso`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        match key(text).as_str() {
            "us" | "usa" => Some(Self::Us),
            "iso" => Some(Self::Iso),
            _ => None,
        }
    }

    const fn other(self) -> Self {
        match self {
            Self::Us => Self::Iso,
            Self::Iso => Self::Us,
        }
    }

    /// As it stands before a name.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Us => "US",
            Self::Iso => "ISO",
        }
    }
}

/// What is to have the size that a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Purpose {
    /// A finished card, folded.
    Card,
    /// A sheet of paper or cardstock.
    Sheet,
    /// An envelope, flat and measured outside.
    Envelope,
}

impl Purpose {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Card => "card",
            Self::Sheet => "sheet",
            Self::Envelope => "envelope",
        }
    }

    const fn with_article(self) -> &'static str {
        match self {
            Self::Card => "a card",
            Self::Sheet => "a sheet",
            Self::Envelope => "an envelope",
        }
    }

    /// Card names do for sheets and sheet names for cards: a letter sheet can be a card, and stock is sold
    /// cut to card size. An envelope is only ever an envelope.
    pub(crate) const fn also(self) -> Self {
        match self {
            Self::Card => Self::Sheet,
            Self::Sheet => Self::Card,
            Self::Envelope => Self::Envelope,
        }
    }
}

/// A size that has a name. Prints as `US A2 (4 1/4 x 5 1/2 in)`, an envelope as `US A2 envelope (…)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Named {
    pub(crate) region: Option<Region>,
    pub(crate) purpose: Purpose,
    pub(crate) name: &'static str,
    pub(crate) keys: &'static [&'static str],
    pub(crate) size: Size,
}

impl Named {
    /// The size a name stands for.
    ///
    /// Capitals, spaces, hyphens, and `no.` or `#` before a number make no difference. A bare name is the
    /// region's own; only where that has none does the other region's count.
    ///
    /// # Errors
    /// Where nothing of the kind has that name; the error lists the nearest that are known.
    ///
    /// ```
    /// use units::{Named, Purpose, Region};
    /// let say = |text, purpose| Named::lookup(text, Region::Us, purpose).map(|named| named.to_string());
    /// assert_eq!(say("A2", Purpose::Card)?, "US A2 (4 1/4 x 5 1/2 in)");
    /// assert_eq!(say("a-2", Purpose::Envelope)?, "US A2 envelope (4 3/8 x 5 3/4 in)");
    /// assert_eq!(say("iso a2", Purpose::Sheet)?, "ISO A2 (420 x 594 mm)");
    /// assert_eq!(say("#10", Purpose::Envelope)?, "US no. 10 envelope (4 1/8 x 9 1/2 in)");
    /// # Ok::<(), units::NameError>(())
    /// ```
    pub fn lookup(text: &str, region: Region, purpose: Purpose) -> Result<Self, NameError> {
        let whole = key(text);
        let (said, name) = split_region(&whole);
        let name = without_word(name, purpose);
        let first = said.unwrap_or(region);
        if let Some(named) = find(name, first, purpose) {
            return Ok(named);
        }
        // An ISO A6 card goes in a C6 envelope, so under ISO a bare `A6` must not become the US envelope.
        let known_as = TABLE.iter().find(|row| row.is_of(first) && row.keys.contains(&name));
        if said.is_none()
            && !(purpose == Purpose::Envelope && known_as.is_some())
            && let Some(named) = find(name, first.other(), purpose)
        {
            return Ok(named);
        }
        Err(NameError { text: snippet(text.trim()), purpose, known_as, nearest: nearest(name, first, purpose) })
    }

    /// The name of a size, either way round: the region's own first.
    ///
    /// ```
    /// use units::{Named, Purpose, Region, Size, Unit};
    /// let size = Size::parse("5 1/2 x 4 1/4 in", Unit::Inch)?;
    /// let named = Named::of(size, Region::Us, Purpose::Card).map(|named| named.full_name());
    /// assert_eq!(named.as_deref(), Some("US A2"));
    /// # Ok::<(), units::SizeError>(())
    /// ```
    #[must_use]
    pub fn of(size: Size, region: Region, purpose: Purpose) -> Option<Self> {
        let same = |row: &&Self| row.size == size.upright();
        let rows = || TABLE.iter().filter(same);
        rows()
            .find(|row| row.purpose == purpose && row.is_of(region))
            .or_else(|| rows().find(|row| row.purpose == purpose))
            .or_else(|| rows().find(|row| row.purpose == purpose.also() && row.is_of(region)))
            .or_else(|| rows().find(|row| row.purpose == purpose.also()))
            .copied()
    }

    /// Every named size: US before ISO, cards, sheets, then envelopes.
    pub fn all() -> impl Iterator<Item = Self> {
        TABLE.iter().copied()
    }

    /// The size, upright: the shorter side is its width.
    #[must_use]
    pub const fn size(self) -> Size {
        self.size
    }

    /// What is usually meant by the name.
    #[must_use]
    pub const fn purpose(self) -> Purpose {
        self.purpose
    }

    /// Whose name it is; `None` where everybody says it alike.
    #[must_use]
    pub const fn region(self) -> Option<Region> {
        self.region
    }

    /// The name with its region, such as `US A2`: [`Named::lookup`] finds it wherever it is said.
    #[must_use]
    pub fn full_name(self) -> String {
        match self.region {
            Some(region) => format!("{} {}", region.sign(), self.name),
            None => self.name.to_owned(),
        }
    }

    pub(crate) fn is_of(self, region: Region) -> bool {
        self.region.is_none_or(|own| own == region)
    }

    /// The unit the size is defined in.
    fn unit(self) -> Unit {
        if self.region == Some(Region::Iso) { Unit::Millimetre } else { Unit::Inch }
    }
}

impl fmt::Display for Named {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let envelope = if self.purpose == Purpose::Envelope { " envelope" } else { "" };
        write!(out, "{}{envelope} ({})", self.full_name(), self.size.exact(self.unit()))
    }
}

/// Why a name stands for no size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NameError {
    /// The beginning of what was written.
    pub text: String,
    /// What was to have the size.
    pub purpose: Purpose,
    /// The size of another kind that does have the name.
    pub known_as: Option<&'static Named>,
    /// The nearest names of the right kind, at most three, nearest first; empty where none is near.
    pub nearest: Vec<&'static Named>,
}

impl NameError {
    /// What to do about it, as a sentence without its full stop.
    #[must_use]
    pub fn remedy(&self) -> String {
        let names: Vec<String> = self
            .nearest
            .iter()
            .map(|named| format!("`{}` ({})", named.full_name(), named.size.exact(named.unit())))
            .collect();
        match names.as_slice() {
            [] => "write the two sides, such as `4 1/4 x 5 1/2 in`".into(),
            [only] => format!("did you mean {only}?"),
            [first @ .., last] => format!("did you mean {} or {last}?", first.join(", ")),
        }
    }
}

impl fmt::Display for NameError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.known_as {
            Some(named) => {
                write!(out, "{named} is {}, not {}", named.purpose.with_article(), self.purpose.with_article())
            }
            None => write!(out, "no {} size is called `{}`", self.purpose.word(), self.text),
        }
    }
}

impl std::error::Error for NameError {}

/// By how much a finished sheet's side may differ from its nominal length and keep its name.
///
/// 1.5 mm up to 150 mm (ISO 216:2007, 7.1 a); 2 mm up to 600 mm and 3 mm above (the same, second-hand).
///
/// ```
/// use units::{Length, iso216_tolerance};
/// let (a6, measured) = (Length::MILLIMETRE * 148, Length::MILLIMETRE * 147);
/// assert!((a6 - measured).abs() <= iso216_tolerance(a6));
/// ```
#[must_use]
pub fn iso216_tolerance(side: Length) -> Length {
    if side <= Length::MILLIMETRE * 150 {
        Length::micrometres(1_500)
    } else if side <= Length::MILLIMETRE * 600 {
        Length::MILLIMETRE * 2
    } else {
        Length::MILLIMETRE * 3
    }
}

/// The row of a key in a region, of the purpose itself or the one it may stand in for.
fn find(name: &str, region: Region, purpose: Purpose) -> Option<Named> {
    [purpose, purpose.also()].into_iter().find_map(|purpose| {
        TABLE.iter().copied().find(|row| row.purpose == purpose && row.is_of(region) && row.keys.contains(&name))
    })
}

/// A key's region, if it says one, and the rest of it.
fn split_region(key: &str) -> (Option<Region>, &str) {
    if let Some(rest) = key.strip_prefix("us") {
        (Some(Region::Us), rest)
    } else if let Some(rest) = key.strip_prefix("iso") {
        (Some(Region::Iso), rest)
    } else {
        (None, key)
    }
}

/// A key without a last word that only repeats what is asked for, as in `A2 card`.
fn without_word(key: &str, purpose: Purpose) -> &str {
    match key.strip_suffix(purpose.word()) {
        Some(rest) if !rest.is_empty() => rest,
        _ => key,
    }
}

/// How many characters of a name are looked at; no name is nearly as long.
pub(crate) const LONGEST_NAME: usize = 40;

/// How a name is spelled in the table: small letters and digits, a space only between two digits, and
/// `/` or `.` only inside a number, so that `No. 6 3/4`, `no-6¾` and `#6 3/4` are one and `5.14` is not `5 1/4`.
pub(crate) fn key(text: &str) -> String {
    let mut key = String::new();
    let mut gap = false;
    let mut characters = text.trim().chars().take(LONGEST_NAME + 1).peekable();
    while let Some(c) = characters.next() {
        let behind_digit = key.ends_with(|last: char| last.is_ascii_digit());
        let before_digit = characters.peek().is_some_and(char::is_ascii_digit);
        let fraction = one_character_fraction(c);
        if behind_digit && (fraction.is_some() || (gap && c.is_ascii_digit())) {
            key.push(' ');
        }
        gap = false;
        match (c, fraction) {
            (_, Some((top, bottom))) => key.push_str(&format!("{top}/{bottom}")),
            ('#' | '№', _) => key.push_str("no"),
            ('×', _) => key.push('x'),
            ('/' | '⁄', _) if behind_digit && before_digit => key.push('/'),
            ('.' | ',', _) if behind_digit && before_digit => key.push('.'),
            _ if c.is_alphanumeric() => key.extend(c.to_lowercase()),
            _ => gap = true,
        }
    }
    key.replace("number", "no")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn say(text: &str, region: Region, purpose: Purpose) -> Result<String, (String, String)> {
        Named::lookup(text, region, purpose)
            .map(|named| named.to_string())
            .map_err(|why| (why.to_string(), why.remedy()))
    }

    #[test]
    fn a_bare_name_is_the_regions_own_and_a_full_name_says_its_region() {
        for (text, region, purpose, name) in [
            ("A2", Region::Us, Purpose::Card, "US A2 (4 1/4 x 5 1/2 in)"),
            ("A2", Region::Us, Purpose::Sheet, "US A2 (4 1/4 x 5 1/2 in)"),
            ("A2", Region::Us, Purpose::Envelope, "US A2 envelope (4 3/8 x 5 3/4 in)"),
            ("A2", Region::Iso, Purpose::Card, "ISO A2 (420 x 594 mm)"),
            ("US A2", Region::Iso, Purpose::Card, "US A2 (4 1/4 x 5 1/2 in)"),
            ("us a2", Region::Iso, Purpose::Envelope, "US A2 envelope (4 3/8 x 5 3/4 in)"),
            ("ISO-A2", Region::Us, Purpose::Sheet, "ISO A2 (420 x 594 mm)"),
            ("a6", Region::Us, Purpose::Card, "US A6 (4 1/2 x 6 1/4 in)"),
            ("a 6", Region::Iso, Purpose::Card, "ISO A6 (105 x 148 mm)"),
            ("A7", Region::Us, Purpose::Card, "US A7 (5 x 7 in)"),
            ("A7", Region::Iso, Purpose::Card, "ISO A7 (74 x 105 mm)"),
            ("A4", Region::Us, Purpose::Sheet, "ISO A4 (210 x 297 mm)"),
            ("A5 card", Region::Us, Purpose::Card, "ISO A5 (148 x 210 mm)"),
            ("Letter", Region::Iso, Purpose::Sheet, "US letter (8 1/2 x 11 in)"),
            ("tabloid", Region::Us, Purpose::Sheet, "US ledger (11 x 17 in)"),
            ("half letter", Region::Us, Purpose::Card, "US half-letter (5 1/2 x 8 1/2 in)"),
            ("slim line", Region::Us, Purpose::Card, "US slimline (3 1/2 x 8 1/2 in)"),
            ("slimline 3-5/8", Region::Us, Purpose::Card, "US slimline 3 5/8 (3 5/8 x 8 5/8 in)"),
            ("slimline 3⅝", Region::Us, Purpose::Card, "US slimline 3 5/8 (3 5/8 x 8 5/8 in)"),
            ("no. 10", Region::Us, Purpose::Card, "US no. 10 (4 x 9 1/4 in)"),
            ("Number 10 envelope", Region::Iso, Purpose::Envelope, "US no. 10 envelope (4 1/8 x 9 1/2 in)"),
            ("#6¾", Region::Us, Purpose::Envelope, "US no. 6 3/4 envelope (3 5/8 x 6 1/2 in)"),
            ("5¼ in square", Region::Us, Purpose::Card, "5 1/4 in square (5 1/4 x 5 1/4 in)"),
            ("12\" pad", Region::Iso, Purpose::Sheet, "12 in pad (12 x 12 in)"),
            ("6 × 8 pad", Region::Us, Purpose::Sheet, "6 x 8 in pad (6 x 8 in)"),
            ("3x5 index card", Region::Us, Purpose::Card, "US index 3 x 5 (3 x 5 in)"),
            ("C6/C5", Region::Us, Purpose::Envelope, "ISO C6/C5 envelope (114 x 229 mm)"),
            ("dl", Region::Iso, Purpose::Envelope, "ISO DL envelope (110 x 220 mm)"),
            ("1/3 A4", Region::Iso, Purpose::Card, "ISO DL (99 x 210 mm)"),
            ("b6", Region::Iso, Purpose::Envelope, "ISO B6 envelope (125 x 176 mm)"),
            ("italian", Region::Us, Purpose::Envelope, "Italian envelope (110 x 230 mm)"),
        ] {
            assert_eq!(say(text, region, purpose).as_deref(), Ok(name), "{text:?} {region:?} {purpose:?}");
        }
    }

    #[test]
    fn an_unknown_name_lists_the_nearest_that_are_known() {
        for (text, region, purpose, what, remedy) in [
            (
                "leter",
                Region::Us,
                Purpose::Sheet,
                "no sheet size is called `leter`",
                "did you mean `US letter` (8 1/2 x 11 in)?",
            ),
            (
                "A11",
                Region::Us,
                Purpose::Card,
                "no card size is called `A11`",
                "did you mean `US A1` (3 1/2 x 4 7/8 in), `US A10` (5 3/4 x 9 1/4 in) or `ISO A1` (594 x 841 mm)?",
            ),
            (
                "A6",
                Region::Iso,
                Purpose::Envelope,
                "ISO A6 (105 x 148 mm) is a sheet, not an envelope",
                "did you mean `US A6` (4 3/4 x 6 1/2 in), `ISO C6` (114 x 162 mm) or `ISO B6` (125 x 176 mm)?",
            ),
            (
                "US A4",
                Region::Us,
                Purpose::Card,
                "US A4 envelope (4 1/4 x 6 1/4 in) is an envelope, not a card",
                "did you mean `ISO A4` (210 x 297 mm), `US A1` (3 1/2 x 4 7/8 in) or `US A2` (4 1/4 x 5 1/2 in)?",
            ),
            (
                "elephant",
                Region::Us,
                Purpose::Card,
                "no card size is called `elephant`",
                "write the two sides, such as `4 1/4 x 5 1/2 in`",
            ),
            (
                "",
                Region::Us,
                Purpose::Card,
                "no card size is called ``",
                "write the two sides, such as `4 1/4 x 5 1/2 in`",
            ),
        ] {
            assert_eq!(say(text, region, purpose), Err((what.to_owned(), remedy.to_owned())), "{text:?}");
        }
    }

    #[test]
    fn numbers_in_names_are_not_run_together() {
        for (one, other) in
            [("5.14 in square", "5 1/4 in square"), ("A1 0", "A10"), ("1 2 in pad", "12 in pad"), ("51/4", "5 1/4")]
        {
            assert_ne!(key(one), key(other));
        }
    }

    #[test]
    fn every_name_is_found_by_its_full_name_from_either_region_and_by_its_size() {
        for named in Named::all() {
            for region in [Region::Us, Region::Iso] {
                let found = Named::lookup(&named.full_name(), region, named.purpose());
                assert_eq!(found, Ok(named), "{named} said in {region:?}");
                let found = Named::of(named.size().turned(), region, named.purpose()).map(Named::size);
                assert_eq!(found, Some(named.size()));
            }
        }
    }

    #[test]
    fn regions_are_named_in_settings() {
        assert_eq!(Region::parse("US"), Some(Region::Us));
        assert_eq!(Region::parse(" iso "), Some(Region::Iso));
        assert_eq!(Region::parse("mars"), None);
    }

    #[test]
    fn the_tolerance_steps_at_150_and_600_mm() {
        for (side, micrometres) in [(148, 1_500), (150, 1_500), (151, 2_000), (600, 2_000), (601, 3_000)] {
            assert_eq!(iso216_tolerance(Length::MILLIMETRE * side), Length::micrometres(micrometres), "{side} mm");
        }
    }
}
