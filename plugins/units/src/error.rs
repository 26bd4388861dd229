//! What can be wrong with a written length or size, in words that say where and what to do instead.

use crate::fraction::FINEST;
use crate::{Length, NameError};
use std::fmt;
use std::ops::Range;

/// Why a text is not a length, and where in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LengthError {
    /// The bytes of the text that are at fault; always on character boundaries, empty where something is missing.
    pub at: Range<usize>,
    /// What is the matter with them.
    pub kind: LengthErrorKind,
}

/// What can be the matter with a written length.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum LengthErrorKind {
    /// There is nothing there.
    Empty,
    /// Something else stands where a number should.
    NotANumber(String),
    /// Less than nothing, where only a size makes sense.
    Negative,
    /// The word or mark behind the number is no unit known here.
    UnknownUnit(String),
    /// The number and its unit are followed by something else.
    Trailing(String),
    /// A fraction in a denominator that no ruler has.
    Denominator {
        /// The fraction as written.
        written: String,
        /// The allowed fractions nearest below and above it; the same twice where one is equal to it.
        nearest: [String; 2],
    },
    /// Divided by nothing.
    ZeroDenominator,
    /// A slash with no number behind it.
    HalfAFraction,
    /// A whole number followed by a fraction that is not less than one.
    FractionOverOne(String),
    /// A number with a decimal point or comma, followed by a fraction.
    DecimalAndFraction,
    /// More than one decimal point or comma in one number.
    TwoDecimalMarks(String),
    /// More decimals than whole nanometres can hold.
    NotExact(String),
    /// Longer than [`Length::LONGEST`].
    TooLong,
}

impl fmt::Display for LengthErrorKind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(out, "a length is missing"),
            Self::NotANumber(text) => write!(out, "`{text}` is not a number"),
            Self::Negative => write!(out, "a length here cannot be less than 0"),
            Self::UnknownUnit(text) => write!(out, "`{text}` is not a unit of length known here"),
            Self::Trailing(text) => write!(out, "`{text}` does not belong behind a length"),
            Self::Denominator { written, .. } => write!(out, "`{written}` is not a fraction on a ruler"),
            Self::ZeroDenominator => write!(out, "a fraction cannot have 0 below its line"),
            Self::HalfAFraction => write!(out, "the fraction has no number below its line"),
            Self::FractionOverOne(text) => {
                write!(out, "the fraction `{text}` behind a whole number is not less than 1")
            }
            Self::DecimalAndFraction => write!(out, "a decimal number cannot be followed by a fraction"),
            Self::TwoDecimalMarks(text) => write!(out, "`{text}` has more than one decimal point or comma"),
            Self::NotExact(text) => write!(out, "`{text}` has more decimals than can be kept exactly"),
            Self::TooLong => write!(out, "the length is over {}", Length::LONGEST.in_metres()),
        }
    }
}

impl LengthErrorKind {
    /// What to do about it, as a sentence without its full stop.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Empty | Self::NotANumber(_) => "write a length such as `4 1/4 in` or `108 mm`".into(),
            Self::Negative => "write the length without a minus".into(),
            Self::UnknownUnit(text) => match text.as_str() {
                "'" | "’" | "′" | "ft" | "ft." | "foot" | "feet" => {
                    "write inches: `12 in` for a foot, or `\"` if inches are meant".into()
                }
                "pt" | "pts" | "point" | "points" | "mil" | "mils" => {
                    "write a thickness in thousandths of an inch: 12 points are `0.012 in`".into()
                }
                _ => "write `in`, `mm` or `cm`, or only the number".into(),
            },
            Self::Trailing(_) => "write one number and one unit, such as `4 1/4 in`".into(),
            Self::Denominator { nearest: [below, above], .. } if below == above => format!("write `{below}`"),
            Self::Denominator { nearest: [below, above], .. } => {
                format!(
                    "write halves, quarters, eighths and so on down to {FINEST}ths: \
                     the nearest are `{below}` and `{above}`"
                )
            }
            Self::ZeroDenominator | Self::HalfAFraction => "write a fraction such as `1/4`".into(),
            Self::FractionOverOne(_) => "write the whole number with what is left over, such as `5 1/4`".into(),
            Self::DecimalAndFraction => "write either `4.25` or `4 1/4`".into(),
            Self::TwoDecimalMarks(_) => "write one decimal point or comma and no thousands marks".into(),
            Self::NotExact(_) => "write at most 5 decimals of an inch or 6 of a millimetre".into(),
            Self::TooLong => "check the number and its unit".into(),
        }
    }
}

impl LengthError {
    /// What to do about it, as a sentence without its full stop.
    #[must_use]
    pub fn remedy(&self) -> String {
        self.kind.remedy()
    }
}

impl fmt::Display for LengthError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.kind.fmt(out)
    }
}

impl std::error::Error for LengthError {}

/// Why a text is not a size, and where in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SizeError {
    /// The bytes of the text that are at fault; always on character boundaries, empty where something is missing.
    pub at: Range<usize>,
    /// What is the matter with them.
    pub kind: SizeErrorKind,
}

/// What can be the matter with a written size.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum SizeErrorKind {
    /// A side is no length.
    Side(LengthErrorKind),
    /// A side that is 0 or less.
    NoSide,
    /// One length where two belong.
    OneSide,
    /// More than two.
    ThirdSide,
    /// Neither sides nor a name known here.
    Name(NameError),
}

impl SizeError {
    /// What to do about it, as a sentence without its full stop.
    #[must_use]
    pub fn remedy(&self) -> String {
        match &self.kind {
            SizeErrorKind::Side(why) => why.remedy(),
            SizeErrorKind::NoSide => "write a side that is longer than 0".into(),
            SizeErrorKind::OneSide => "write both, such as `4 1/4 x 5 1/2 in`".into(),
            SizeErrorKind::ThirdSide => "write width and height, and the thickness in its own place".into(),
            SizeErrorKind::Name(why) => why.remedy(),
        }
    }
}

impl fmt::Display for SizeError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.kind {
            SizeErrorKind::Side(why) => why.fmt(out),
            SizeErrorKind::NoSide => write!(out, "a side must be longer than 0"),
            SizeErrorKind::OneSide => write!(out, "a size has two sides"),
            SizeErrorKind::ThirdSide => write!(out, "a size has only two sides"),
            SizeErrorKind::Name(why) => why.fmt(out),
        }
    }
}

impl std::error::Error for SizeError {}

impl From<LengthError> for SizeError {
    fn from(why: LengthError) -> Self {
        Self { at: why.at, kind: SizeErrorKind::Side(why.kind) }
    }
}
