//! Seeded chance and smooth noise: a seed in, the same numbers out for ever.
//!
//! `Dice` is SplitMix64 (Steele, Lea and Flood 2014); `Noise` is gradient noise on a square grid
//! (after Perlin 1985, with the quintic fade of 2002). Neither ever asks the clock or the system.

use crate::maths;
use std::f64::consts::TAU;

fn scramble(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A seeded source of chance.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that always fall the same way for the same seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        scramble(self.0)
    }

    /// A number from 0 up to, but not including, 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit an f64")]
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number between two ends.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A number about `centre`, mostly within `spread` of it and never beyond 1.5 `spread`.
    pub fn about(&mut self, centre: f64, spread: f64) -> f64 {
        centre + spread * (self.unit() + self.unit() + self.unit() - 1.5)
    }

    /// True `share` of the time.
    pub fn falls(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: u32, high: u32) -> u32 {
        low + maths::count((self.unit() * f64::from(high + 1 - low)).floor())
    }

    /// One of a list that is not empty.
    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        let last = u32::try_from(from.len() - 1).unwrap_or(u32::MAX);
        from[self.whole(0, last) as usize]
    }

    /// Any angle, in radians.
    pub fn angle(&mut self) -> f64 {
        self.between(0.0, TAU)
    }
}

/// Smooth noise over the plane, about -1 to 1, mean 0, one bump per unit.
#[derive(Clone, Copy, Debug)]
pub struct Noise(u64);

impl Noise {
    /// The noise of a seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn corner(self, ix: i32, iy: i32, dx: f64, dy: f64) -> f64 {
        const D: f64 = std::f64::consts::FRAC_1_SQRT_2;
        let key = (u64::from(ix.cast_unsigned()) << 32) | u64::from(iy.cast_unsigned());
        match scramble(key ^ self.0.wrapping_mul(0x9e37_79b9_7f4a_7c15)) & 7 {
            0 => dx,
            1 => -dx,
            2 => dy,
            3 => -dy,
            4 => D * (dx + dy),
            5 => D * (dx - dy),
            6 => D * (dy - dx),
            _ => -D * (dx + dy),
        }
    }

    /// The noise at a point.
    pub fn at(self, x: f64, y: f64) -> f64 {
        let (fx, fy) = (x.floor(), y.floor());
        let (ix, iy) = (maths::floor(fx), maths::floor(fy));
        let (dx, dy) = (x - fx, y - fy);
        let fade = |t: f64| t * t * t * (t * (t * 6.0 - 15.0) + 10.0);
        let (u, v) = (fade(dx), fade(dy));
        let (jx, jy) = (ix.wrapping_add(1), iy.wrapping_add(1));
        let top = self.corner(ix, iy, dx, dy) * (1.0 - u) + self.corner(jx, iy, dx - 1.0, dy) * u;
        let low = self.corner(ix, jy, dx, dy - 1.0) * (1.0 - u) + self.corner(jx, jy, dx - 1.0, dy - 1.0) * u;
        (top * (1.0 - v) + low * v) * 1.5
    }

    /// Three octaves of the noise, for clouds, pools and paper.
    pub fn cloud(self, x: f64, y: f64) -> f64 {
        let fine = Self(self.0 ^ 0x5bd1);
        let finest = Self(self.0 ^ 0xc2b2);
        (self.at(x, y) + 0.5 * fine.at(2.03 * x + 7.1, 2.03 * y) + 0.25 * finest.at(4.1 * x, 4.1 * y + 3.3)) / 1.4
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dice_repeat_and_stay_in_range() {
        let (mut one, mut two) = (Dice::new(7), Dice::new(7));
        let mut seen = [0_u32; 4];
        for _ in 0..4000 {
            let face = one.whole(2, 5);
            assert_eq!(face, two.whole(2, 5));
            seen[face as usize - 2] += 1;
            let near = one.about(3.0, 1.0);
            assert!((1.5..=4.5).contains(&near));
            two.about(3.0, 1.0);
        }
        assert!(seen.iter().all(|&n| n > 800), "{seen:?}");
    }

    #[test]
    fn noise_is_smooth_and_centred() {
        let noise = Noise::new(11);
        let mut sum = 0.0;
        for k in 0..10_000 {
            let (x, y) = (f64::from(k % 100) * 0.37 - 9.0, f64::from(k / 100) * 0.37);
            let here = noise.at(x, y);
            assert!(here.abs() <= 1.5 && (noise.at(x + 1e-4, y) - here).abs() < 1e-3);
            sum += here;
        }
        assert!((sum / 10_000.0).abs() < 0.05);
    }
}
