//! Phase that never drifts: counted from the moment a rate was set, not summed step by step. And the
//! numbers behind everything random.

/// How far something periodic is, in cycles, at a rate that was set at some moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phase {
    since_s: f64,
    cycles: f64,
    hz: f64,
}

/// Fastest rate that is worked with, in hertz; guards against rates of no meaning.
const MOST_HZ: f64 = 1e6;

impl Phase {
    /// Cycle 0 starts at `t_s`.
    pub fn start(t_s: f64, hz: f64) -> Self {
        Self { since_s: t_s, cycles: 0.0, hz: usable(hz) }
    }

    /// Goes on from where it is at another rate.
    pub fn set_hz(&mut self, t_s: f64, hz: f64) {
        if usable(hz) != self.hz {
            // One that has not started yet still starts when it would have.
            let since_s = t_s.max(self.since_s);
            *self = Self { since_s, cycles: self.at(t_s), hz: usable(hz) };
        }
    }

    /// Goes on at another rate from the same part of a cycle, which is called cycle 0.
    pub fn in_this_cycle(&self, t_s: f64, hz: f64) -> Self {
        Self { since_s: t_s, cycles: self.split(t_s).1, hz: usable(hz) }
    }

    /// Whole and part cycles at a time. Cycle `n` runs from `n` to `n + 1`.
    pub fn at(&self, t_s: f64) -> f64 {
        self.cycles + self.hz * (t_s - self.since_s).max(0.0)
    }

    /// The rate.
    pub fn hz(&self) -> f64 {
        self.hz
    }

    /// Which cycle it is and how far into it, 0..1.
    pub fn split(&self, t_s: f64) -> (u64, f64) {
        let cycles = self.at(t_s);
        (cycles as u64, cycles - cycles.floor())
    }
}

fn usable(hz: f64) -> f64 {
    if hz.is_finite() { hz.clamp(0.0, MOST_HZ) } else { 0.0 }
}

/// The `n`th of a sequence of well-mixed numbers: the same whenever and in whatever order it is asked for
/// (SplitMix64: G. L. Steele, D. Lea and C. H. Flood, Fast splittable pseudorandom number generators,
/// 2014; constants from memory).
pub fn mixed(seed: u64, n: u64) -> u64 {
    let mut z = seed.wrapping_add(n.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// The same as a share, 0 (included) to 1 (left out).
pub fn mixed_share(seed: u64, n: u64) -> f64 {
    // 53 bits are what a double holds.
    (mixed(seed, n) >> 11) as f64 / (1u64 << 53) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_of_rate_goes_on_from_where_it_is() {
        let mut phase = Phase::start(1.0, 2.0);
        phase.set_hz(2.25, 8.0);
        assert_eq!(phase.at(2.25), 2.5);
        assert_eq!(phase.at(2.5), 4.5);
        phase.set_hz(3.0, f64::NAN);
        assert_eq!(phase.at(100.0), 8.5);
    }

    #[test]
    fn shares_are_spread_evenly() {
        let n = 10_000;
        let mean = (0..n).map(|i| mixed_share(7, i)).sum::<f64>() / n as f64;
        // The mean of n even shares scatters by 1 / sqrt(12 n) = 0.0029.
        assert!((mean - 0.5).abs() < 0.01, "{mean}");
    }
}
