//! Sines, powers and rounding that give the same bits on every machine.
//!
//! Numbers in, numbers out. The platform's own library may differ in the last bit between systems
//! and between debug and release builds, and the committed pictures must come out byte for byte;
//! so only `+ - * /` and `sqrt`, which IEEE 754 fixes exactly, are used here.

use std::f64::consts::{FRAC_PI_2, LN_2, PI, SQRT_2, TAU};

/// The sine of an angle in radians, good to about 1e-12.
pub fn sin(angle: f64) -> f64 {
    let mut x = angle - TAU * (angle / TAU).round();
    if x > FRAC_PI_2 {
        x = PI - x;
    } else if x < -FRAC_PI_2 {
        x = -PI - x;
    }
    let square = x * x;
    let mut term = x;
    let mut sum = x;
    for k in 1..10 {
        let n = f64::from(2 * k);
        term *= -square / (n * (n + 1.0));
        sum += term;
    }
    sum
}

/// The cosine of an angle in radians.
pub fn cos(angle: f64) -> f64 {
    sin(angle + FRAC_PI_2)
}

/// `e` to the power `x`.
pub fn exp(x: f64) -> f64 {
    let whole = (x / LN_2).round().clamp(-1000.0, 1000.0);
    let rest = x - whole * LN_2;
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 1..16 {
        term *= rest / f64::from(k);
        sum += term;
    }
    // Two to a whole power is written straight into the exponent bits, exactly.
    sum * f64::from_bits(u64::from((floor(whole) + 1023).unsigned_abs()) << 52)
}

/// The natural logarithm of a positive number; zero and below give the log of the least normal number.
pub fn ln(value: f64) -> f64 {
    let value = value.max(f64::MIN_POSITIVE);
    let bits = value.to_bits();
    let mut halvings = f64::from(i32::try_from(bits >> 52).unwrap_or(2047) - 1023);
    let mut m = f64::from_bits(bits & 0x000f_ffff_ffff_ffff | 0x3ff0_0000_0000_0000);
    if m > SQRT_2 {
        m *= 0.5;
        halvings += 1.0;
    }
    let s = (m - 1.0) / (m + 1.0);
    let square = s * s;
    let mut power = s;
    let mut sum = 0.0;
    for k in 0..16 {
        sum += power / f64::from(2 * k + 1);
        power *= square;
    }
    2.0 * sum + halvings * LN_2
}

/// A non-negative base to any power.
pub fn pow(base: f64, exponent: f64) -> f64 {
    if base <= 0.0 { 0.0 } else { exp(exponent * ln(base)) }
}

/// A smooth step from 0 (at or below `low`) to 1 (at or above `high`).
pub fn smooth(low: f64, high: f64, x: f64) -> f64 {
    let t = ((x - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// The whole number at or below `x`, held within the range of `i32`.
#[expect(clippy::cast_possible_truncation, reason = "held within i32 first")]
pub fn floor(x: f64) -> i32 {
    x.floor().clamp(f64::from(i32::MIN), f64::from(i32::MAX)) as i32
}

/// The nearest whole number, never below zero.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held within u32 first")]
pub fn count(x: f64) -> u32 {
    x.round().clamp(0.0, f64::from(u32::MAX)) as u32
}

/// A share between 0 and 1 as a byte.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held within u8 first")]
pub fn byte(share: f64) -> u8 {
    (share * 255.0).round().clamp(0.0, 255.0) as u8
}

/// A drawing value in single precision, for the big buffers.
#[expect(clippy::cast_possible_truncation, reason = "single precision is wanted")]
pub fn single(x: f64) -> f32 {
    x as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_platform() {
        for step in -400..400 {
            let x = f64::from(step) * 0.07;
            assert!((sin(x) - x.sin()).abs() < 1e-10, "sin {x}");
            assert!((cos(x) - x.cos()).abs() < 1e-10, "cos {x}");
            assert!((exp(x * 0.3) / (x * 0.3).exp() - 1.0).abs() < 1e-10, "exp {x}");
            let positive = 0.001 + f64::from(step + 400) * 0.01;
            assert!((ln(positive) - positive.ln()).abs() < 1e-10, "ln {positive}");
            assert!((pow(positive, 2.4) - positive.powf(2.4)).abs() < 1e-9, "pow {positive}");
        }
    }

    #[test]
    fn conversions_hold_at_the_ends() {
        assert_eq!((floor(-0.5), floor(1e300), floor(f64::NAN)), (-1, i32::MAX, 0));
        assert_eq!((count(-3.0), count(2.5)), (0, 3));
        assert_eq!((byte(-1.0), byte(0.5), byte(2.0)), (0, 128, 255));
        assert_eq!(pow(0.0, 0.5), 0.0);
    }
}
