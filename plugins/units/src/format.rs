//! Writes lengths and areas as a person can set them on a ruler, and exactly where that is asked for.
//!
//! A [`Ruled`] that was rounded opens with `~`, read "about": `~4 3/16 in`. What is written without it
//! is exact, and reading it back gives the same length. Floats take no part.

use crate::fraction::in_sixty_fourths;
use crate::{Area, Length, Unit};
use std::fmt;

/// One sixty-fourth of an inch.
const SIXTY_FOURTH: Length = Length::from_nanometres(396_875);

/// Put before a length or area that rounding changed.
pub const ROUNDED_MARK: char = '~';

/// The ruler a person sets lengths on: its finest division, and its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ruler {
    step: Length,
    unit: Unit,
}

impl Ruler {
    /// All rulers there are, inches before millimetres, coarse before fine.
    pub const ALL: [Self; 6] = [
        Self::eighths(),
        Self::sixteenths(),
        Self::thirty_seconds(),
        Self::sixty_fourths(),
        Self::millimetres(),
        Self::half_millimetres(),
    ];

    const fn of_inches(sixty_fourths: i64) -> Self {
        Self { step: Length::from_nanometres(SIXTY_FOURTH.nanometres() * sixty_fourths), unit: Unit::Inch }
    }

    /// A ruler divided into 1/8 in.
    #[must_use]
    pub const fn eighths() -> Self {
        Self::of_inches(8)
    }

    /// A ruler divided into 1/16 in, the usual one.
    #[must_use]
    pub const fn sixteenths() -> Self {
        Self::of_inches(4)
    }

    /// A ruler divided into 1/32 in.
    #[must_use]
    pub const fn thirty_seconds() -> Self {
        Self::of_inches(2)
    }

    /// A ruler divided into 1/64 in.
    #[must_use]
    pub const fn sixty_fourths() -> Self {
        Self::of_inches(1)
    }

    /// A ruler divided into millimetres.
    #[must_use]
    pub const fn millimetres() -> Self {
        Self { step: Length::MILLIMETRE, unit: Unit::Millimetre }
    }

    /// A ruler divided into half millimetres.
    #[must_use]
    pub const fn half_millimetres() -> Self {
        Self { step: Length::micrometres(500), unit: Unit::Millimetre }
    }

    /// The ruler with this division, if there is one: for a setting such as `1/16 in`.
    ///
    /// ```
    /// use units::{Length, Ruler, Unit};
    /// let step = Length::parse("1/16 in", Unit::Inch)?;
    /// assert_eq!(Ruler::with_step(step), Some(Ruler::sixteenths()));
    /// # Ok::<(), units::LengthError>(())
    /// ```
    #[must_use]
    pub fn with_step(step: Length) -> Option<Self> {
        Self::ALL.into_iter().find(|ruler| ruler.step == step)
    }

    /// Its finest division.
    #[must_use]
    pub const fn step(self) -> Length {
        self.step
    }

    /// The unit it is divided in.
    #[must_use]
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// The longest mark that is not longer: for a piece that must fit inside another.
    ///
    /// ```
    /// use units::{Length, Ruler};
    /// let sheet = Length::micrometres(108_000);
    /// assert_eq!(Ruler::sixteenths().down(sheet).to_string(), "~4 1/4 in");
    /// assert_eq!(Ruler::millimetres().down(sheet).to_string(), "108 mm");
    /// ```
    #[must_use]
    pub fn down(self, length: Length) -> Ruled {
        self.ruled(length, length.floor_to(self.step))
    }

    /// The nearest mark, the longer one where two are as near: for a piece that fits nothing.
    #[must_use]
    pub fn nearest(self, length: Length) -> Ruled {
        self.ruled(length, length.round_to(self.step))
    }

    fn ruled(self, length: Length, shown: Length) -> Ruled {
        let exact = match shown.cmp(&length) {
            std::cmp::Ordering::Less => Exactness::RoundedDown,
            std::cmp::Ordering::Equal => Exactness::Exact,
            std::cmp::Ordering::Greater => Exactness::RoundedUp,
        };
        Ruled { length, shown, exact, unit: self.unit }
    }
}

/// How what is shown stands to what is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Exactness {
    /// Shown as it is.
    Exact,
    /// Shown shorter than it is.
    RoundedDown,
    /// Shown longer than it is.
    RoundedUp,
}

/// A length beside the mark of a ruler that stands for it.
///
/// Printed as `4 1/4 in` or `10.5 mm`, with [`ROUNDED_MARK`] in front where the two differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ruled {
    /// What is meant.
    pub length: Length,
    /// What is shown: a whole number of the ruler's divisions.
    pub shown: Length,
    /// How the two stand to each other.
    pub exact: Exactness,
    unit: Unit,
}

impl fmt::Display for Ruled {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut text = self.shown.exact(self.unit);
        if self.exact != Exactness::Exact {
            text.insert(0, ROUNDED_MARK);
        }
        out.pad(&text)
    }
}

impl Length {
    /// The length with nothing rounded: inches as a fraction down to 1/64 or as a decimal, where one is exact,
    /// and otherwise millimetres.
    ///
    /// [`Length::parse_signed`] reads it back to the same length.
    ///
    /// ```
    /// use units::{Length, Unit};
    /// let card = Length::micrometres(107_950);
    /// assert_eq!(card.exact(Unit::Inch), "4 1/4 in");
    /// assert_eq!(card.exact(Unit::Millimetre), "107.95 mm");
    /// assert_eq!(Length::micrometres(254).exact(Unit::Inch), "0.01 in");
    /// assert_eq!(Length::MILLIMETRE.exact(Unit::Inch), "1 mm");
    /// ```
    #[must_use]
    pub fn exact(self, unit: Unit) -> String {
        let nanometres = i128::from(self.nanometres());
        let minus = if nanometres < 0 { "-" } else { "" };
        match unit {
            Unit::Inch if nanometres % i128::from(SIXTY_FOURTH.nanometres()) == 0 => {
                let count = nanometres.abs() / i128::from(SIXTY_FOURTH.nanometres());
                format!("{minus}{} in", in_sixty_fourths(count))
            }
            // 127 nm are exactly 0.000005 in, the coarsest decimal step that nanometres share with the inch.
            Unit::Inch if nanometres % 127 == 0 => format!("{} in", decimal(nanometres / 127 * 5, 6)),
            Unit::Inch | Unit::Millimetre => format!("{} mm", self.to_mm_decimal()),
        }
    }

    /// Millimetres as an exact decimal without a unit, written from the whole number: what JSON carries.
    ///
    /// ```
    /// use units::Length;
    /// assert_eq!(Length::from_nanometres(396_875).to_mm_decimal(), "0.396875");
    /// assert_eq!(Length::from_nanometres(-3_175_000).to_mm_decimal(), "-3.175");
    /// assert_eq!(Length::ZERO.to_mm_decimal(), "0");
    /// ```
    #[must_use]
    pub fn to_mm_decimal(self) -> String {
        decimal(i128::from(self.nanometres()), 6)
    }

    /// Whole metres, for naming a limit.
    pub(crate) fn in_metres(self) -> String {
        format!("{} m", decimal(i128::from(self.nanometres()), 9))
    }
}

impl Area {
    /// Square inches or square centimetres to two decimals, with [`ROUNDED_MARK`] in front where that changed it.
    ///
    /// ```
    /// use units::{Length, Unit};
    /// let hidden = Length::INCH * 3 * Length::INCH;
    /// assert_eq!(hidden.rounded(Unit::Inch), "3 sq in");
    /// assert_eq!(hidden.rounded(Unit::Millimetre), "~19.35 cm²");
    /// ```
    #[must_use]
    pub fn rounded(self, unit: Unit) -> String {
        // A hundredth of a square inch, and of a square centimetre, in square nanometres.
        let (hundredth, sign) = match unit {
            Unit::Inch => (254_i128 * 254 * 100_000_000, "sq in"),
            Unit::Millimetre => (1_000_000_000_000, "cm²"),
        };
        let squares = self.square_nanometres();
        let whole = squares.div_euclid(hundredth);
        let left = squares.rem_euclid(hundredth);
        let count = if left * 2 >= hundredth { whole + 1 } else { whole };
        let mark = if left == 0 { String::new() } else { ROUNDED_MARK.to_string() };
        format!("{mark}{} {sign}", decimal(count, 2))
    }
}

/// `count` units of the given decimal place, without needless zeros.
fn decimal(count: i128, places: u32) -> String {
    let one = 10_u128.pow(places);
    let size = count.unsigned_abs();
    let minus = if count < 0 { "-" } else { "" };
    let (whole, part) = (size / one, size % one);
    if part == 0 {
        return format!("{minus}{whole}");
    }
    let width = usize::try_from(places).expect("a handful of decimal places");
    let digits = format!("{part:0width$}");
    format!("{minus}{whole}.{}", digits.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prints_reduced_fractions_and_plain_decimals() {
        for (nanometres, inches, millimetres) in [
            (107_950_000, "4 1/4 in", "107.95 mm"),
            (3_175_000, "1/8 in", "3.175 mm"),
            (0, "0 in", "0 mm"),
            (396_875, "1/64 in", "0.396875 mm"),
            (-3_175_000, "-1/8 in", "-3.175 mm"),
            (108_000_000, "108 mm", "108 mm"),
            (10_500_000, "10.5 mm", "10.5 mm"),
            (30_480, "0.0012 in", "0.03048 mm"),
            (-127, "-0.000005 in", "-0.000127 mm"),
        ] {
            let length = Length::from_nanometres(nanometres);
            assert_eq!(length.exact(Unit::Inch), inches);
            assert_eq!(length.exact(Unit::Millimetre), millimetres);
        }
    }

    #[test]
    fn rounding_down_never_shows_more_and_is_marked() {
        let ruler = Ruler::sixteenths();
        let fits = Length::inches(4, 15, 64).expect("on a sixty-fourth");
        assert_eq!(ruler.down(fits).to_string(), "~4 3/16 in");
        assert_eq!(ruler.down(fits).exact, Exactness::RoundedDown);
        assert_eq!(ruler.nearest(fits).to_string(), "~4 1/4 in");
        assert_eq!(ruler.nearest(fits).exact, Exactness::RoundedUp);
        assert_eq!(ruler.nearest(fits).length, fits);
        let exact = ruler.down(Length::INCH * 12);
        assert_eq!((exact.to_string().as_str(), exact.exact), ("12 in", Exactness::Exact));
        assert_eq!(Ruler::half_millimetres().down(Length::micrometres(10_700)).to_string(), "~10.5 mm");
        assert_eq!(Ruler::millimetres().nearest(Length::micrometres(10_500)).to_string(), "~11 mm");
        assert_eq!(format!("{:>8}|", ruler.down(Length::INCH)), "    1 in|");
    }

    #[test]
    fn every_ruler_is_found_by_its_step() {
        for ruler in Ruler::ALL {
            assert_eq!(Ruler::with_step(ruler.step()), Some(ruler));
        }
        assert_eq!(Ruler::with_step(Length::ZERO), None);
        assert_eq!(Ruler::with_step(Length::micrometres(1)), None);
    }

    #[test]
    fn no_length_is_too_long_to_print() {
        for nanometres in [i64::MIN, i64::MAX] {
            let length = Length::from_nanometres(nanometres);
            for ruled in Ruler::ALL.map(|ruler| ruler.down(length)) {
                assert!(ruled.shown <= length && ruled.to_string().len() > 10, "{ruled}");
            }
        }
        assert_eq!(Length::from_nanometres(i64::MIN).to_mm_decimal(), "-9223372036854.775808");
        let area = Area::from_square_nanometres(i128::MIN);
        assert!(area.rounded(Unit::Inch).starts_with("~-"));
    }

    #[test]
    fn areas_have_two_decimals_and_say_so_when_rounded() {
        let quarter = Length::micrometres(6_350);
        let card = quarter * 17 * (quarter * 22);
        assert_eq!(card.rounded(Unit::Inch), "~23.38 sq in");
        assert_eq!(card.rounded(Unit::Millimetre), "~150.81 cm²");
        assert_eq!((quarter * 2 * quarter).rounded(Unit::Inch), "~0.13 sq in");
        assert_eq!((quarter * 4 * (quarter * 2)).rounded(Unit::Inch), "0.5 sq in");
        assert_eq!(Area::ZERO.rounded(Unit::Millimetre), "0 cm²");
    }
}
