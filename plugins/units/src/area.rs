//! An area is a whole number of square nanometres.

use std::iter::Sum;
use std::ops::{Add, Sub};

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

impl Sum for Area {
    fn sum<I: Iterator<Item = Self>>(areas: I) -> Self {
        areas.fold(Self::ZERO, Add::add)
    }
}
