//! Random numbers from a seed: the same seed, the same numbers, everywhere.

/// SplitMix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators", figure 17).
pub(crate) struct Seeded(u64);

impl Seeded {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From `least` to `most`, both possible.
    pub(crate) fn between(&mut self, least: i64, most: i64) -> i64 {
        let span = u64::try_from(most - least).expect("least is not more than most") + 1;
        least + i64::try_from(self.next() % span).expect("below an i64 span")
    }

    pub(crate) fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        let count = i64::try_from(choices.len()).expect("a short list");
        choices[usize::try_from(self.between(0, count - 1)).expect("at least 0")]
    }
}
