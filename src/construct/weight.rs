//! Weights: what paper weighs from its area and its weight per area, and how a weight is written.
//!
//! ISO 536 defines grammage as grams per square metre; an area times a grammage is a weight.

use api::units::Area;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign};

/// A weight as a whole number of micrograms, so that a sum of small parts loses nothing that matters.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Weight(i64);

/// The heaviest weight that is read: 100 kg.
const HEAVIEST: i64 = 100_000_000_000;
/// Micrograms in an ounce, 28.349523125 g exactly (international avoirdupois), to the microgram.
const OUNCE: i64 = 28_349_523;

impl Weight {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// So many whole grams.
    #[must_use]
    pub const fn grams(count: i64) -> Self {
        Self(count * 1_000_000)
    }

    /// So many micrograms.
    #[must_use]
    pub const fn micrograms(count: i64) -> Self {
        Self(count)
    }

    /// The count of micrograms.
    #[must_use]
    pub const fn as_micrograms(self) -> i64 {
        self.0
    }

    /// What so much paper of a grammage (in grams per square metre, ISO 536) weighs, to the microgram below.
    #[must_use]
    pub fn of(area: Area, grams_per_square_metre: u32) -> Self {
        // Square nanometres times g/m² are 10^-18 g, which are 10^-12 µg.
        let micrograms =
            area.square_nanometres().saturating_mul(i128::from(grams_per_square_metre)) / 1_000_000_000_000;
        Self(i64::try_from(micrograms).unwrap_or(i64::MAX / 4).min(i64::MAX / 4))
    }

    /// Reads `18g`, `18 g`, `0.6 oz`, `12,5 g` or a bare number of grams.
    ///
    /// # Errors
    /// In words, where it is not a weight, not above nothing, or more than 100 kg.
    pub fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let split = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(text.len());
        let (number, unit) = text.split_at(split);
        let per = match unit.trim().to_ascii_lowercase().as_str() {
            "" | "g" | "gram" | "grams" => 1_000_000,
            "oz" | "ounce" | "ounces" => OUNCE,
            "kg" => 1_000_000_000,
            "mg" => 1_000,
            _ => return Err(format!("grams are written `g` and ounces `oz`, not `{}`", short(unit.trim()))),
        };
        let millionths = decimal(number).ok_or("a weight is a number with `g` or `oz`")?;
        let micrograms = i128::from(millionths) * i128::from(per) / 1_000_000;
        match i64::try_from(micrograms) {
            Ok(count) if count > 0 && count <= HEAVIEST => Ok(Self(count)),
            Ok(count) if count <= 0 => Err("a card weighs more than nothing".to_owned()),
            _ => Err("a card weighs less than 100 kg".to_owned()),
        }
    }
}

/// At most some characters of what was written.
fn short(text: &str) -> String {
    text.chars().take(12).collect()
}

/// A decimal number in millionths; further digits are cut off.
fn decimal(text: &str) -> Option<i64> {
    let (whole, rest) = text.split_once(['.', ',']).unwrap_or((text, ""));
    let all_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if (whole.is_empty() && rest.is_empty()) || !all_digits(whole) || !all_digits(rest) || whole.len() > 9 {
        return None;
    }
    let whole: i64 = if whole.is_empty() { 0 } else { whole.parse().ok()? };
    let digits: String = rest.chars().chain("000000".chars()).take(6).collect();
    Some(whole * 1_000_000 + digits.parse::<i64>().ok()?)
}

impl fmt::Display for Weight {
    /// Grams to a tenth, rounded to the nearest: `18 g`, `6.5 g`.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tenths = (self.0 + 50_000).div_euclid(100_000);
        match tenths.rem_euclid(10) {
            0 => write!(out, "{} g", tenths.div_euclid(10)),
            tenth => write!(out, "{}.{tenth} g", tenths.div_euclid(10)),
        }
    }
}

impl Add for Weight {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Weight {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sum for Weight {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::units::{Length, Size};

    #[test]
    fn a_weight_is_read_as_people_write_it() {
        for (text, micrograms) in
            [("18g", 18_000_000), ("18", 18_000_000), ("12,5 g", 12_500_000), ("3.5 oz", 99_223_330), (".5g", 500_000)]
        {
            assert_eq!(Weight::parse(text), Ok(Weight(micrograms)), "{text}");
        }
        for text in ["", "g", "-3g", "0g", "18 stone", "1e9g", "99999999999g", "200kg", "1.2.3g", "18 \u{1b}[2J"] {
            assert!(Weight::parse(text).is_err(), "{text}");
        }
    }

    /// Worked examples of ISO 536 arithmetic: a whole A4 sheet at 80 g/m² weighs 4.99 g (A4 by ISO 216).
    #[test]
    fn an_area_times_a_grammage_is_a_weight() {
        let mm = |count: i64| Length::MILLIMETRE * count;
        let a4 = Size::new(mm(210), mm(297)).area();
        assert_eq!(Weight::of(a4, 80), Weight(4_989_600));
        assert_eq!(Weight::of(a4, 80).to_string(), "5 g");
        // An A5 blank at 300 g/m² and a panel of 99 x 142 mm at 160 g/m²: 11.57 g.
        let card =
            Weight::of(Size::new(mm(148), mm(210)).area(), 300) + Weight::of(Size::new(mm(99), mm(142)).area(), 160);
        assert_eq!(card, Weight(11_573_280));
        assert_eq!(card.to_string(), "11.6 g");
    }
}
