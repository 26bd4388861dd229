//! The two systems a person measures in; settings name one, a bare number takes it.

use crate::Length;

/// The unit a bare number is read in, and the one lengths are printed in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// Inches and their binary fractions.
    #[default]
    Inch,
    /// Millimetres and their decimals.
    Millimetre,
}

impl Unit {
    /// The unit a setting names: `in`, `inch`, `inches`, `mm` and their long forms.
    ///
    /// ```
    /// use units::Unit;
    /// assert_eq!(Unit::parse("Inches"), Some(Unit::Inch));
    /// assert_eq!(Unit::parse("mm"), Some(Unit::Millimetre));
    /// assert_eq!(Unit::parse("cubit"), None);
    /// ```
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        match Scale::parse(text.trim())? {
            Scale::Inch => Some(Self::Inch),
            Scale::Millimetre => Some(Self::Millimetre),
            Scale::Centimetre => None,
        }
    }

    /// One of it.
    #[must_use]
    pub const fn length(self) -> Length {
        match self {
            Self::Inch => Length::INCH,
            Self::Millimetre => Length::MILLIMETRE,
        }
    }

    /// Its sign as printed behind a number: `in` or `mm`.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Millimetre => "mm",
        }
    }
}

/// What a number may be followed by; wider than [`Unit`], since people also write centimetres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Scale {
    Inch,
    Millimetre,
    Centimetre,
}

impl Scale {
    /// The scale a word or mark stands for, in capitals or not; `None` for any other.
    pub(crate) fn parse(word: &str) -> Option<Self> {
        match word.to_lowercase().as_str() {
            "in" | "in." | "inch" | "inches" | "\"" | "″" | "”" | "“" | "''" | "’’" | "′′" => {
                Some(Self::Inch)
            }
            "mm" | "mm." | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some(Self::Millimetre),
            "cm" | "cm." | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Some(Self::Centimetre),
            _ => None,
        }
    }

    /// How many nanometres one of it has.
    pub(crate) const fn nanometres(self) -> i64 {
        match self {
            Self::Inch => Length::INCH.nanometres(),
            Self::Millimetre => Length::MILLIMETRE.nanometres(),
            Self::Centimetre => 10 * Length::MILLIMETRE.nanometres(),
        }
    }
}

impl From<Unit> for Scale {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::Inch => Self::Inch,
            Unit::Millimetre => Self::Millimetre,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_names_inches_or_millimetres_only() {
        assert_eq!(Unit::parse(" in. "), Some(Unit::Inch));
        assert_eq!(Unit::parse("\""), Some(Unit::Inch));
        assert_eq!(Unit::parse("MM"), Some(Unit::Millimetre));
        assert_eq!(Unit::parse("cm"), None);
        assert_eq!(Unit::parse(""), None);
    }

    #[test]
    fn ten_millimetres_are_a_centimetre() {
        assert_eq!(Scale::Centimetre.nanometres(), Unit::Millimetre.length().nanometres() * 10);
    }
}
