//! `exp`, `tanh` and angles from additions, multiplications and divisions alone: a number in, a number out.
//!
//! The platform's own functions differ in the last digit from one system to the next, and
//! they cannot be worked out several at once. These are the same everywhere, in debug and release,
//! because IEEE 754 fixes every step, and short enough to be inlined. They never allocate.

/// The natural logarithm of 2 in two parts, the first with spare low digits, so that `k` times it is exact.
const LN_2_HIGH: f64 = 0.693_147_180_369_123_8;
/// What the first part leaves of it.
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;

/// e to the power of `x`, within 1e-15 of its value; below -700 it is as at -700, above 700 as at 700.
#[inline]
pub(crate) fn exp(x: f64) -> f64 {
    let x = x.clamp(-700.0, 700.0);
    // Adding and taking away 1.5 * 2^52 rounds to the nearest whole number.
    const WHOLE: f64 = 6_755_399_441_055_744.0;
    let shifted = x * std::f64::consts::LOG2_E + WHOLE;
    let k = shifted - WHOLE;
    let r = (x - k * LN_2_HIGH) - k * LN_2_LOW;
    // Taylor's series on |r| <= ln 2 / 2; the first term left out is below 5e-18.
    let (r2, r4) = (r * r, (r * r) * (r * r));
    let low = (1.0 + r) + r2 * (1.0 / 2.0 + r * (1.0 / 6.0));
    let mid = (1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0 + r * (1.0 / 5_040.0));
    let high = (1.0 / 40_320.0 + r * (1.0 / 362_880.0)) + r2 * (1.0 / 3_628_800.0 + r * (1.0 / 39_916_800.0));
    let last = 1.0 / 479_001_600.0 + r * (1.0 / 6_227_020_800.0);
    let fraction = low + r4 * (mid + r4 * (high + r4 * last));
    // The low bits of `shifted` hold k; the exponent of 2^k is k + 1023.
    let power = f64::from_bits(shifted.to_bits().wrapping_add(1023) << 52);
    fraction * power
}

/// The hyperbolic tangent of `x`, within 1e-15 of its value.
#[inline]
pub(crate) fn tanh(x: f64) -> f64 {
    1.0 - 2.0 / (exp(2.0 * x) + 1.0)
}

/// The angle of a direction in degrees, from 0 up to 360, within 1e-9; 0 where both are 0.
#[inline]
pub(crate) fn degrees(y: f64, x: f64) -> f64 {
    let (less, more) = (y.abs().min(x.abs()), y.abs().max(x.abs()));
    // Near the diagonal, measured from there: tan(45 - angle) = (more - less) / (more + less).
    let is_far = less > 0.414_213_562_373_095 * more;
    let (rise, run) = if is_far { (less - more, less + more) } else { (less, more) };
    let t = if run > 0.0 { rise / run } else { 0.0 };
    // The series of the arc tangent on |t| <= tan(22.5 degrees); the first term left out is below 2e-11.
    let (t2, t4) = (t * t, (t * t) * (t * t));
    let low = (1.0 - t2 * (1.0 / 3.0)) + t4 * (1.0 / 5.0 - t2 * (1.0 / 7.0));
    let mid = (1.0 / 9.0 - t2 * (1.0 / 11.0)) + t4 * (1.0 / 13.0 - t2 * (1.0 / 15.0));
    let high = (1.0 / 17.0 - t2 * (1.0 / 19.0)) + t4 * (1.0 / 21.0 - t2 * (1.0 / 23.0));
    let t8 = t4 * t4;
    let arc = (t * (low + t8 * (mid + t8 * high))).to_degrees() + if is_far { 45.0 } else { 0.0 };
    let from_x = if y.abs() > x.abs() { 90.0 - arc } else { arc };
    let upper = if x < 0.0 { 180.0 - from_x } else { from_x };
    if y < 0.0 { 360.0 - upper } else { upper }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_agree_with_the_platforms_own() {
        for step in -200_000..=200_000 {
            let x = f64::from(step) / 10_000.0;
            let (ours, theirs) = (exp(x), x.exp());
            assert!((ours - theirs).abs() <= 1e-15 * theirs, "exp({x}): {ours} for {theirs}");
            let (ours, theirs) = (tanh(x), x.tanh());
            assert!((ours - theirs).abs() <= 1e-15, "tanh({x}): {ours} for {theirs}");
        }
    }

    #[test]
    fn angles_go_once_round() {
        for step in 0..36_000 {
            let turn = f64::from(step) / 100.0;
            let (y, x) = turn.to_radians().sin_cos();
            let apart = (degrees(3.0 * y, 3.0 * x) - turn).abs();
            assert!(apart.min(360.0 - apart) < 2e-9, "{turn}: {apart} off");
        }
        assert_eq!((degrees(0.0, 0.0), degrees(0.0, -1.0), degrees(-1.0, 0.0)), (0.0, 180.0, 270.0));
    }

    #[test]
    fn the_ends_stay_numbers() {
        assert!(exp(f64::INFINITY).is_finite());
        assert!(exp(f64::NEG_INFINITY) > 0.0 && exp(-1e9) < 1e-300);
        assert_eq!((tanh(1e9), tanh(-1e9)), (1.0, -1.0));
        assert!(exp(f64::NAN).is_nan());
    }
}
