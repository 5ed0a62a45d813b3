//! Random numbers that come out the same on every machine, from a seed.

/// SplitMix64: one 64-bit state, good enough for choosing test cases.
///
/// # Source
/// Steele, Lea, Flood, "Fast splittable pseudorandom number generators" (OOPSLA 2014), figure 17; constants from memory.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// A generator that starts from `seed`.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub const fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A whole number from 0 to `end` - 1.
    pub fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end.max(1)).unwrap_or(1);
        usize::try_from(self.bits() % end).unwrap_or(0)
    }

    /// A whole number from `least` to `most`, both included.
    pub fn whole(&mut self, least: u32, most: u32) -> u32 {
        let span = u64::from(most.saturating_sub(least)) + 1;
        least + u32::try_from(self.bits() % span).unwrap_or(0)
    }

    /// A number from 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        // 2 to the power of -32; a u32 is exact as an f64.
        f64::from(u32::try_from(self.bits() >> 32).unwrap_or(0)) / 4_294_967_296.0
    }

    /// True in `percent` of 100 cases.
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// One of the items; the default when there is none.
    pub fn pick<T: Clone + Default>(&mut self, items: &[T]) -> T {
        items
            .get(self.below(items.len()))
            .cloned()
            .unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::Random;

    #[test]
    fn the_same_seed_gives_the_same_numbers() {
        // First outputs of SplitMix64 from seed 1234567, as its public-domain C program prints them; from memory.
        let mut random = Random::new(1_234_567);
        assert_eq!(random.bits(), 6_457_827_717_110_365_317);
        assert_eq!(random.bits(), 3_203_168_211_198_807_973);
    }
}
