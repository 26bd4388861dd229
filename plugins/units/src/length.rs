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

    /// The largest multiple of `step` that is not longer than this; `step` must be positive.
    #[must_use]
    pub fn floor_to(self, step: Self) -> Self {
        Self(self.0.div_euclid(step.0).saturating_mul(step.0))
    }

    /// The multiple of `step` nearest to this, the longer one where two are as near.
    #[must_use]
    pub fn round_to(self, step: Self) -> Self {
        Self(self.0.saturating_add(step.0 / 2)).floor_to(step)
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
