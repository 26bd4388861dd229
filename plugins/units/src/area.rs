//! An area is a whole number of square nanometres.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

/// An area as a whole number of square nanometres; a [`crate::Length`] times another is one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Area(i128);

impl Area {
    /// No area at all.
    pub const ZERO: Self = Self(0);

    /// An area from whole square nanometres.
    #[must_use]
    pub const fn from_square_nanometres(square_nanometres: i128) -> Self {
        Self(square_nanometres)
    }

    /// This area in whole square nanometres.
    #[must_use]
    pub const fn square_nanometres(self) -> i128 {
        self.0
    }
}

impl Add for Area {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Area {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl AddAssign for Area {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Mul<i64> for Area {
    type Output = Self;
    fn mul(self, count: i64) -> Self {
        Self(self.0.saturating_mul(i128::from(count)))
    }
}

impl Sum for Area {
    fn sum<I: Iterator<Item = Self>>(areas: I) -> Self {
        areas.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use crate::{Area, Length};

    #[test]
    fn copies_add_up_and_arithmetic_stops_at_its_ends() {
        let square = Length::INCH * Length::INCH;
        let mut added = Area::ZERO;
        for _ in 0..3 {
            added += square;
        }
        assert_eq!(added, square * 3);
        assert_eq!([square, square, square].into_iter().sum::<Area>() - square, square * 2);
        let most = Area::from_square_nanometres(i128::MAX);
        assert_eq!((most + square, most * 2), (most, most));
        assert_eq!(Area::from_square_nanometres(i128::MIN) - square, Area::from_square_nanometres(i128::MIN));
    }
}
