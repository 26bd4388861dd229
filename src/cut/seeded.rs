//! Numbers that look random and are the same on every machine: a seed in, numbers out.
//!
//! The generator is SplitMix64 (Steele, Lea and Flood 2014). Not for secrets.

/// A stream of numbers fixed by its seed.
#[derive(Clone, Debug)]
pub(super) struct Seeded(u64);

impl Seeded {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(super) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `end`, which must not be 0.
    pub(super) fn below(&mut self, end: u64) -> u64 {
        u64::try_from((u128::from(self.next()) * u128::from(end)) >> 64).unwrap_or(0)
    }
}
