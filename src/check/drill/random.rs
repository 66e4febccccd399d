//! Numbers for seeded sheets: the same seed gives the same sheet on every machine and in every version.

/// A small generator: SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators",
/// 2014), which is short enough to stand here, so that no change elsewhere can change a sheet.
#[derive(Clone, Debug)]
pub(super) struct Random(u64);

impl Random {
    /// A generator that gives the numbers of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `end`, which is taken as at least 1.
    pub fn below(&mut self, end: usize) -> usize {
        (self.next() % end.max(1) as u64) as usize
    }

    /// A number from `first` to `last`, both included.
    pub fn between(&mut self, first: u32, last: u32) -> u32 {
        let count = u64::from(last.saturating_sub(first)) + 1;
        first + (self.next() % count) as u32
    }

    /// One of them, or `None` of none.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        of.get(self.below(of.len()))
    }

    /// Puts them into another order.
    pub fn shuffle<T>(&mut self, of: &mut [T]) {
        for i in (1..of.len()).rev() {
            of.swap(i, self.below(i + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From memory: the first numbers of the published generator for seed 1234567.
    #[test]
    fn the_numbers_are_those_of_the_published_generator() {
        let mut random = Random::new(1_234_567);
        assert_eq!(random.next(), 6_457_827_717_110_365_317);
        assert_eq!(random.next(), 3_203_168_211_198_807_973);
    }

    #[test]
    fn numbers_stay_within_their_bounds() {
        let mut random = Random::new(1);
        for _ in 0..1000 {
            assert!(random.below(7) < 7);
            assert!((3..=5).contains(&random.between(3, 5)));
        }
        assert_eq!(random.below(0), 0);
        assert_eq!(random.between(9, 9), 9);
    }
}
