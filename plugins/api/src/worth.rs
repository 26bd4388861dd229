//! Shares and worths: numbers from 0 to 1, held as whole millionths so that they compare exactly.

/// Millionths from 0 to 1,000,000, with the conversions both [`Share`] and [`Worth`] need.
macro_rules! millionths {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u32);

        impl $name {
            /// Nought.
            pub const ZERO: Self = Self(0);
            /// The whole.
            pub const ONE: Self = Self(1_000_000);
            /// A half.
            pub const HALF: Self = Self(500_000);

            /// From whole millionths; `None` above 1,000,000.
            #[must_use]
            pub const fn from_millionths(count: u32) -> Option<Self> {
                if count <= 1_000_000 { Some(Self(count)) } else { None }
            }

            /// The nearest whole millionth to a number; `None` unless it is finite and from 0 to 1.
            #[must_use]
            pub fn new(number: f64) -> Option<Self> {
                if !(0.0..=1.0).contains(&number) {
                    return None;
                }
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 1 by the check above")]
                let count = (number * 1e6).round() as u32;
                Some(Self(count))
            }

            /// The nearest one to a number, where what is below 0 counts as 0, above 1 as 1, and
            /// what is no number as 0.
            #[must_use]
            pub fn clamped(number: f64) -> Self {
                Self::new(number.clamp(0.0, 1.0)).unwrap_or_default()
            }

            /// In whole millionths, 0 to 1,000,000.
            #[must_use]
            pub const fn millionths(self) -> u32 {
                self.0
            }

            /// As a float from 0 to 1, for arithmetic with colours.
            #[must_use]
            pub fn as_f64(self) -> f64 {
                f64::from(self.0) / 1e6
            }
        }
    };
}

millionths! {
    /// How much of a paper's area a colour takes.
    Share
}

millionths! {
    /// How good something is, 0 (as bad as it gets) to 1 (as good as it gets).
    Worth
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_from_0_to_1_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, -0.1, 1.000_001] {
            assert_eq!(Worth::new(bad), None, "{bad}");
        }
        assert_eq!(Worth::from_millionths(1_000_001), None);
        assert_eq!(Worth::new(0.25).map(Worth::millionths), Some(250_000));
        assert_eq!(Worth::clamped(f64::NAN), Worth::ZERO);
    }
}
