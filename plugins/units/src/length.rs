//! A length is a whole number of nanometres.

use crate::Area;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

/// A length as a whole number of nanometres, so that 1/64 in (396,875 nm) and 1 µm are both exact.
///
/// Arithmetic saturates at the ends of `i64` (nine million kilometres): a length read from a file
/// is checked against [`Length::LONGEST`] long before.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0);
    /// One inch, 25.4 mm exactly.
    pub const INCH: Self = Self(25_400_000);
    /// One millimetre.
    pub const MILLIMETRE: Self = Self(1_000_000);
    /// The longest length a file may name: 100 m. Anything longer is a slip of the pen.
    pub const LONGEST: Self = Self(100_000_000_000);

    /// A length from whole nanometres.
    #[must_use]
    pub const fn from_nanometres(nanometres: i64) -> Self {
        Self(nanometres)
    }

    /// This length in whole nanometres.
    #[must_use]
    pub const fn nanometres(self) -> i64 {
        self.0
    }

    /// `inches(4, 1, 4)` is 4 1/4 in; `None` where no whole count is that long, as for 1/3 in.
    #[must_use]
    pub fn inches(whole: i64, num: i64, den: i64) -> Option<Self> {
        let scaled = whole.checked_mul(den)?.checked_add(num)?.checked_mul(Self::INCH.0)?;
        (scaled.checked_rem(den)? == 0).then(|| Self(scaled / den))
    }

    /// Whole micrometres, so `micrometres(10_500)` is 10.5 mm.
    #[must_use]
    pub const fn micrometres(count: i64) -> Self {
        Self(count.saturating_mul(1_000))
    }

    /// The length without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }

    /// Whether this is more than nothing.
    #[must_use]
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// The largest multiple of `step` that is not longer than this; a step of 0 or less changes nothing.
    ///
    /// ```
    /// use units::Length;
    /// assert_eq!(Length::micrometres(10_700).floor_to(Length::MILLIMETRE), Length::MILLIMETRE * 10);
    /// ```
    #[must_use]
    pub fn floor_to(self, step: Self) -> Self {
        let step = step.0.max(1);
        Self(self.0.div_euclid(step).saturating_mul(step))
    }

    /// The multiple of `step` nearest to this, the longer one where two are as near; steps as in [`Length::floor_to`].
    #[must_use]
    pub fn round_to(self, step: Self) -> Self {
        Self(self.0.saturating_add(step.0.max(0) / 2)).floor_to(step)
    }

    /// Half of it, rounded down to whole nanometres.
    #[must_use]
    pub const fn half(self) -> Self {
        Self(self.0.div_euclid(2))
    }

    /// Millimetres as a float, for drawing and for words only: never for deciding.
    #[must_use]
    #[allow(clippy::cast_precision_loss, reason = "for drawing only, as the name of the target says")]
    pub fn millimetres_for_drawing(self) -> f64 {
        self.0 as f64 / 1e6
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, count: i64) -> Self {
        Self(self.0.saturating_mul(count))
    }
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area::from_square_nanometres(i128::from(self.0) * i128::from(other.0))
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The international yard and pound agreement of 1959: 1 in = 25.4 mm.
    #[test]
    fn an_inch_is_exactly_25_4_mm() {
        assert_eq!(Length::INCH, Length::micrometres(25_400));
        assert_eq!(Length::inches(0, 1, 64).map(Length::nanometres), Some(396_875));
    }

    #[test]
    fn only_whole_counts_are_inches() {
        assert_eq!(Length::inches(4, 1, 4), Some(Length::micrometres(107_950)));
        assert_eq!(Length::inches(-1, 1, 2), Some(Length::micrometres(-12_700)));
        for (whole, num, den) in [(0, 1, 3), (1, 1, 0), (i64::MAX, 1, 2), (1, i64::MAX, 1), (1, 1, i64::MAX)] {
            assert_eq!(Length::inches(whole, num, den), None, "{whole} {num}/{den}");
        }
    }

    #[test]
    fn steps_go_down_below_nothing_too_and_ties_go_up() {
        let step = Length::MILLIMETRE;
        for (micrometres, down, nearest) in
            [(1_500, 1, 2), (1_499, 1, 1), (-1_500, -2, -1), (-1_501, -2, -2), (2_000, 2, 2)]
        {
            let length = Length::micrometres(micrometres);
            assert_eq!((length.floor_to(step), length.round_to(step)), (step * down, step * nearest), "{micrometres}");
        }
        for step in [Length::ZERO, -Length::INCH, Length::from_nanometres(i64::MIN)] {
            assert_eq!((Length::INCH.floor_to(step), Length::INCH.round_to(step)), (Length::INCH, Length::INCH));
        }
    }

    #[test]
    fn arithmetic_stops_at_its_ends() {
        let (most, least) = (Length::from_nanometres(i64::MAX), Length::from_nanometres(i64::MIN));
        assert_eq!(most + most, most);
        assert_eq!(least - most, least);
        assert_eq!(-least, most);
        assert_eq!(least.abs(), most);
        assert_eq!(most * -2, least);
        assert_eq!(Length::micrometres(i64::MAX), most);
        assert_eq!((least * least).square_nanometres(), 1_i128 << 126);
        assert_eq!(least.half() + least.half(), least);
    }
}
