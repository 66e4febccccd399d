//! A channel from one end to the other: the stops on the way, and which value comes when.

use super::compile::CompiledChannel;

/// Neighbouring values of a channel that lie in one range, or in none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stop {
    /// The first of them, at the channel's full resolution.
    pub first: u32,
    /// The last of them, included.
    pub last: u32,
    /// The range, as a place in the channel's ranges. `None`: no range covers them.
    pub range: Option<usize>,
}

/// Every stop of a channel from 0 to its greatest value, without a value left out. `held` gives the
/// value of another slot of the fixture by its offset (1 is its first), or `None` where it was never
/// sent: a range that depends on it does not hold.
pub fn stops(channel: &CompiledChannel, held: impl Fn(u16) -> Option<u8>) -> Vec<Stop> {
    let max = channel.max_value();
    // What a value does can only change where a range begins, or behind one that ends.
    let mut firsts = vec![0];
    for range in &channel.ranges {
        firsts.push(range.first);
        firsts.extend(range.last.checked_add(1));
    }
    firsts.retain(|first| *first <= max);
    firsts.sort_unstable();
    firsts.dedup();
    let mut stops: Vec<Stop> = Vec::with_capacity(firsts.len());
    for (i, first) in firsts.iter().copied().enumerate() {
        let last = firsts.get(i + 1).map_or(max, |next| next - 1);
        let range = channel.find_with(first, &held);
        match stops.last_mut() {
            Some(before) if before.range == range => before.last = last,
            _ => stops.push(Stop { first, last, range }),
        }
    }
    stops
}

/// The value after a share (0 to 1) of the way from 0 to `max`. Every value lasts as long as any other.
pub fn value_at(share: f64, max: u32) -> u32 {
    // A float that is too great becomes the greatest value.
    ((share.max(0.0) * (f64::from(max) + 1.0)) as u32).min(max)
}

/// The share of the way at which a value begins.
pub fn share_of(value: u32, max: u32) -> f64 {
    f64::from(value) / (f64::from(max) + 1.0)
}

/// The stop that a value lies in.
pub fn stop_of(stops: &[Stop], value: u32) -> Option<Stop> {
    stops.iter().copied().find(|stop| (stop.first..=stop.last).contains(&value))
}

/// The boundary after a value: where the next stop begins, and in the last stop its last value. `None`
/// where that is the value itself.
pub fn boundary_after(stops: &[Stop], value: u32) -> Option<u32> {
    let next = stops.iter().map(|stop| stop.first).find(|first| *first > value);
    next.or_else(|| stops.last().map(|stop| stop.last).filter(|last| *last > value))
}

/// The boundary before a value: where its stop begins, and from there where the one before begins.
/// `None` at the first of all.
pub fn boundary_before(stops: &[Stop], value: u32) -> Option<u32> {
    stops.iter().rev().map(|stop| stop.first).find(|first| *first < value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::CompiledMode;
    use crate::profile::Library;

    fn mode(profile: &str, mode: &str) -> CompiledMode {
        let profile = Library::embedded().get(profile).expect("it is shipped");
        CompiledMode::new(&profile, profile.mode(mode).expect("it has that mode"))
    }

    #[test]
    fn stops_leave_no_value_out_for_any_shipped_channel() {
        for profile in Library::embedded().profiles() {
            for of in &profile.modes {
                let mode = CompiledMode::new(profile, of);
                for channel in &mode.channels {
                    let stops = stops(channel, |_| Some(0));
                    assert_eq!(stops.first().map(|stop| stop.first), Some(0));
                    assert_eq!(stops.last().map(|stop| stop.last), Some(channel.max_value()));
                    for pair in stops.windows(2) {
                        assert_eq!(pair[0].last + 1, pair[1].first, "{}", channel.name);
                        assert_ne!(pair[0].range, pair[1].range, "{}", channel.name);
                    }
                    for stop in stops {
                        for value in [stop.first, stop.last] {
                            assert_eq!(channel.find_with(value, |_| Some(0)), stop.range);
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn boundaries_lead_through_the_ranges_and_to_both_ends() {
        let mode = mode("Tarnfell S1 Spot", "full");
        let shutter = mode.channels.iter().find(|channel| channel.name == "Shutter").unwrap();
        let stops = stops(shutter, |_| None);
        let mut value = 0;
        let mut up = vec![value];
        while let Some(next) = boundary_after(&stops, value) {
            value = next;
            up.push(value);
        }
        let firsts: Vec<u32> = stops.iter().map(|stop| stop.first).collect();
        assert_eq!(up[..up.len() - 1], firsts);
        assert_eq!(value, 255);
        let mut down = Vec::new();
        while let Some(next) = boundary_before(&stops, value) {
            value = next;
            down.push(value);
        }
        down.reverse();
        assert_eq!(down, firsts);
        assert_eq!(boundary_before(&stops, firsts[1] + 1), Some(firsts[1]));
    }

    #[test]
    fn every_value_lasts_as_long_as_any_other() {
        assert_eq!((value_at(0.0, 255), value_at(1.0, 255)), (0, 255));
        assert_eq!((value_at(0.5, 255), value_at(0.4999, 255)), (128, 127));
        for max in [255, 65_535, 0xff_ffff, u32::MAX] {
            for value in [0, 1, max / 3, max - 1, max] {
                assert_eq!(value_at(share_of(value, max), max), value);
            }
        }
    }
}
