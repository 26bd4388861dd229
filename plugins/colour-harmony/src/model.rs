//! Two published models of colour harmony: two colours in, a value on the model's own scale out.
//!
//! Ou & Luo (2006) and Ou et al. (2018) were fitted to observers' judgements of two patches side by
//! side on grey. Both reward likeness and lightness. Constants and worked values stand in
//! `tests/published/colour/harmony_pairs.csv`. What needs one colour only is kept in [`Prepared`],
//! so that many pairs of few colours cost little. It never says whether a pair is allowed.

use crate::steady::{exp, tanh};
use api::Colour;

/// A harmony value on a model's own scale, with the parts it is the sum of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harmony {
    /// What the difference in chroma and hue gives.
    pub chromatic: f64,
    /// What the sum and the difference in lightness give.
    pub lightness: f64,
    /// What the hues themselves give; 0 in the 2018 model.
    pub hue: f64,
}

impl Harmony {
    /// The value: the sum of the parts.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.chromatic + self.lightness + self.hue
    }
}

/// A colour with what the models need of it alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prepared {
    lightness: f64,
    a: f64,
    b: f64,
    chroma: f64,
    /// The hue term S of the 2006 model.
    hue: f64,
}

impl Prepared {
    /// Works out chroma and hue term. Lightness outside 0 to 100, which no surface has, is read as
    /// the nearer end.
    #[must_use]
    #[inline]
    pub fn new(colour: Colour) -> Self {
        let lightness = colour.l.clamp(0.0, 100.0);
        let chroma = (colour.a * colour.a + colour.b * colour.b).sqrt();
        Self { lightness, a: colour.a, b: colour.b, chroma, hue: hue_term(lightness, colour.a, colour.b, chroma) }
    }

    /// Lightness, 0 to 100.
    #[must_use]
    pub fn lightness(&self) -> f64 {
        self.lightness
    }
}

/// S of the 2006 model: what a hue gives, more the more chroma it has. Degrees, sine of 50 and 90 added.
#[inline]
fn hue_term(lightness: f64, a: f64, b: f64, chroma: f64) -> f64 {
    // sin 50 and cos 50 degrees, since the hue's own sine and cosine are b/C and a/C.
    const SIN_50: f64 = 0.766_044_443_118_978;
    const COS_50: f64 = 0.642_787_609_686_539_3;
    let (sin, cos) = if chroma > 0.0 { (b / chroma, a / chroma) } else { (0.0, 1.0) };
    let degrees = libm::atan2(sin, cos).to_degrees();
    let degrees = if degrees < 0.0 { degrees + 360.0 } else { degrees };
    let preference = -0.08 - 0.14 * (sin * COS_50 + cos * SIN_50) - 0.07 * (cos * cos - sin * sin);
    let x = (90.0 - degrees) / 10.0;
    let yellow = (0.22 * lightness - 12.8) / 10.0 * exp(x - exp(x));
    (0.5 + 0.5 * tanh(-2.0 + 0.5 * chroma)) * (preference + yellow)
}

/// The square of the metric hue difference (not an angle) and the difference in chroma.
#[inline]
fn hue_and_chroma_apart(one: &Prepared, other: &Prepared) -> (f64, f64) {
    let (a, b, chroma) = (one.a - other.a, one.b - other.b, one.chroma - other.chroma);
    ((a * a + b * b - chroma * chroma).max(0.0), chroma)
}

/// Ou & Luo 2006, its value alone: the same sum as [`ou_luo_2006_parts`] gives.
#[must_use]
#[inline]
pub fn ou_luo_2006_prepared(one: &Prepared, other: &Prepared) -> f64 {
    let (hue_squared, chroma) = hue_and_chroma_apart(one, other);
    let apart = (hue_squared + chroma * chroma / (1.46 * 1.46)).sqrt();
    let chromatic = 0.04 + 0.53 * tanh(0.8 - 0.045 * apart);
    let sum = 0.28 + 0.54 * tanh(-3.88 + 0.029 * (one.lightness + other.lightness));
    let difference = 0.14 + 0.15 * tanh(-2.0 + 0.2 * (one.lightness - other.lightness).abs());
    chromatic + (sum + difference) + (one.hue + other.hue)
}

/// Ou & Luo 2006 in its three parts: HC, HL and HH.
#[must_use]
pub fn ou_luo_2006_parts(one: Colour, other: Colour) -> Harmony {
    let (one, other) = (Prepared::new(one), Prepared::new(other));
    let (hue_squared, chroma) = hue_and_chroma_apart(&one, &other);
    let apart = (hue_squared + chroma * chroma / (1.46 * 1.46)).sqrt();
    Harmony {
        chromatic: 0.04 + 0.53 * tanh(0.8 - 0.045 * apart),
        lightness: 0.28
            + 0.54 * tanh(-3.88 + 0.029 * (one.lightness + other.lightness))
            + 0.14
            + 0.15 * tanh(-2.0 + 0.2 * (one.lightness - other.lightness).abs()),
        hue: one.hue + other.hue,
    }
}

/// The harmony of two colours by Ou & Luo 2006: about -1.2 to 1.5 for colours a printer can make.
#[must_use]
pub fn ou_luo_2006(one: Colour, other: Colour) -> f64 {
    ou_luo_2006_prepared(&Prepared::new(one), &Prepared::new(other))
}

/// Ou et al. 2018, its value alone.
#[must_use]
#[inline]
pub fn ou_2018_prepared(one: &Prepared, other: &Prepared) -> f64 {
    let (hue_squared, chroma) = hue_and_chroma_apart(one, other);
    let lightness_apart = (one.lightness - other.lightness).abs();
    let chromatic = -0.7 * tanh(-0.7 + 0.04 * hue_squared.sqrt()) - 0.3 * tanh(-1.1 + 0.05 * chroma.abs());
    let lightness =
        0.4 * tanh(-0.8 + 0.05 * lightness_apart) + 0.3 + 0.6 * tanh(-4.2 + 0.028 * (one.lightness + other.lightness));
    chromatic + lightness
}

/// The harmony of two colours by Ou et al. 2018, metric hue difference, lightness offset -0.8:
/// transcriptions differ in both, so the third decimal is not settled.
#[must_use]
pub fn ou_2018(one: Colour, other: Colour) -> f64 {
    ou_2018_prepared(&Prepared::new(one), &Prepared::new(other))
}

/// Which model judges.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Model {
    /// Ou & Luo 2006.
    #[default]
    OuLuo2006,
    /// Ou et al. 2018.
    Ou2018,
}

impl Model {
    /// A range no two colours with lightness 0 to 100 and any a and b can leave: the sum of the least
    /// and of the greatest values of the model's parts.
    ///
    /// 2006: HC -0.49 to 0.3920; HL -0.2642 to 1.0365; each S above -0.5713 and below 0.2390.
    /// 2018: hue -0.7 to 0.4231, chroma -0.3 to 0.2402; lightness -0.5654 to 0.8466.
    #[must_use]
    pub const fn range(self) -> (f64, f64) {
        match self {
            Self::OuLuo2006 => (-1.898, 1.908),
            Self::Ou2018 => (-1.567, 1.511),
        }
    }

    /// The value of two colours on the model's own scale.
    #[must_use]
    #[inline]
    pub fn value(self, one: &Prepared, other: &Prepared) -> f64 {
        match self {
            Self::OuLuo2006 => ou_luo_2006_prepared(one, other),
            Self::Ou2018 => ou_2018_prepared(one, other),
        }
    }

    /// The value carried to 0..1 by a straight line through the ends of [`Model::range`]: monotone,
    /// and never cut off, since no value lies outside.
    #[must_use]
    #[inline]
    pub fn share(self, value: f64) -> f64 {
        let (low, high) = self.range();
        (value - low) / (high - low)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small xorshift generator, so that a failure names the seed it came from.
    fn numbers(mut seed: u64) -> impl FnMut() -> f64 {
        move || {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            #[allow(clippy::cast_precision_loss, reason = "53 bits are kept")]
            let number = (seed >> 11) as f64 / (1_u64 << 53) as f64;
            number
        }
    }

    #[test]
    fn published_pairs_come_out() {
        let table = include_str!("../../../tests/published/colour/harmony_pairs.csv");
        let mut pairs = 0;
        for line in table.lines().filter(|line| line.starts_with("#") && !line.starts_with("# ")) {
            let fields: Vec<&str> = line.split(',').collect();
            let number = |place: usize| fields[place].parse::<f64>().unwrap();
            let one = Colour::new(number(2), number(3), number(4));
            let other = Colour::new(number(5), number(6), number(7));
            let parts = ou_luo_2006_parts(one, other);
            for (ours, theirs, what) in [
                (parts.value(), number(8), "CH 2006"),
                (parts.chromatic, number(9), "HC"),
                (parts.lightness, number(10), "HL"),
                (parts.hue, number(11), "HH"),
                (ou_luo_2006(one, other), number(8), "CH 2006, prepared"),
                (ou_luo_2006(other, one), number(8), "CH 2006, the other way round"),
                (ou_2018(one, other), number(12), "CH 2018"),
            ] {
                assert!((ours - theirs).abs() < 3e-6, "{what} of {} and {}: {ours} for {theirs}", fields[0], fields[1]);
            }
            pairs += 1;
        }
        assert_eq!(pairs, 16);
    }

    #[test]
    fn no_pair_leaves_the_range() {
        for model in [Model::OuLuo2006, Model::Ou2018] {
            let (low, high) = model.range();
            let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
            let seed = 0x5eed_0001;
            let mut number = numbers(seed);
            for round in 0..300_000 {
                // Half of them at the ends of the lightness scale and far out in chroma, where the extremes lie.
                let wide = if round % 2 == 0 { 120.0 } else { 1_000.0 };
                let mut colour = || {
                    let (l, turn, chroma) =
                        (number() * 140.0 - 20.0, number() * std::f64::consts::TAU, number() * wide);
                    Prepared::new(Colour::new(l, chroma * turn.cos(), chroma * turn.sin()))
                };
                let one = colour();
                let other = if round % 3 == 0 { one } else { colour() };
                let value = model.value(&one, &other);
                assert!((low..=high).contains(&value), "{model:?} gives {value}; seed {seed:#x}, round {round}");
                least = least.min(value);
                greatest = greatest.max(value);
            }
            // The range is proved from the parts, so it is wider than what pairs reach, but not idly so.
            assert!(greatest > 0.8 * high && least < 0.6 * low, "{model:?}: {least} to {greatest}");
        }
    }

    #[test]
    fn the_order_of_two_colours_means_nothing() {
        let seed = 0x5eed_0002;
        let mut number = numbers(seed);
        for _ in 0..10_000 {
            let mut colour =
                || Prepared::new(Colour::new(number() * 100.0, number() * 200.0 - 100.0, number() * 200.0 - 100.0));
            let (one, other) = (colour(), colour());
            assert_eq!(ou_luo_2006_prepared(&one, &other).to_bits(), ou_luo_2006_prepared(&other, &one).to_bits());
            assert_eq!(ou_2018_prepared(&one, &other).to_bits(), ou_2018_prepared(&other, &one).to_bits());
        }
    }
}
