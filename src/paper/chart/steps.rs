//! Round physical values between the ends of a range, and the value nearest to each.

use crate::decode::{CompiledChannel, CompiledRange, values_for};
use crate::profile::Unit;

/// Round values between the ends of one range, at most.
const MOST: usize = 5;

/// Round values strictly between the ends of a range with the value nearest to each, in the order in
/// which the range passes them.
pub(super) fn steps(
    channel: &CompiledChannel,
    index: usize,
    range: &CompiledRange,
) -> Vec<(u32, f64)> {
    let Some(physical) = range.physical else { return Vec::new() };
    let (a, b) = physical.span;
    let (low, high) = (a.min(b), a.max(b));
    let mut steps: Vec<(u32, f64)> = round_between(low, high, physical.unit)
        .into_iter()
        .filter_map(|round| {
            let candidates = values_for(channel, round, physical.unit);
            let found = candidates.into_iter().find(|candidate| candidate.range == index)?;
            // The ends are told already.
            (found.value != range.first && found.value != range.last)
                .then_some((found.value, round))
        })
        .collect();
    steps.sort_by_key(|(value, _)| *value);
    steps.dedup_by_key(|(value, _)| *value);
    steps
}

/// Multiples of 1, 2, 2.5 or 5 times a power of ten strictly between two values, [`MOST`] at most; of
/// angles that are wide enough, parts of a right angle.
fn round_between(low: f64, high: f64, unit: Unit) -> Vec<f64> {
    let width = high - low;
    if !width.is_finite() || width <= 0.0 {
        return Vec::new();
    }
    let decade = 10f64.powf((width / (MOST + 1) as f64).log10().floor());
    let decimal = [1.0, 2.0, 2.5, 5.0, 10.0, 20.0].map(|factor| factor * decade);
    let angles: &[f64] =
        if unit == Unit::Degree && width > 45.0 { &[15.0, 45.0, 90.0] } else { &[] };
    let steps = angles.iter().copied().chain(decimal);
    let fitting = steps.into_iter().find_map(|step| {
        let first = (low / step).floor() + 1.0;
        let last = (high / step).ceil() - 1.0;
        let count = last - first + 1.0;
        (count <= MOST as f64).then_some((step, first, count.max(0.0) as usize))
    });
    let Some((step, first, count)) = fitting else { return Vec::new() };
    (0..count).map(|i| (first + i as f64) * step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(low: f64, high: f64, unit: Unit, expected: &[f64]) {
        assert_eq!(round_between(low, high, unit), expected, "{low}..{high}");
    }

    #[test]
    fn steps_are_round_and_few() {
        check(-270.0, 270.0, Unit::Degree, &[-180.0, -90.0, 0.0, 90.0, 180.0]);
        check(-135.0, 135.0, Unit::Degree, &[-90.0, -45.0, 0.0, 45.0, 90.0]);
        check(8.0, 38.0, Unit::Degree, &[10.0, 20.0, 30.0]);
        check(0.5, 18.0, Unit::Hertz, &[5.0, 10.0, 15.0]);
        check(0.0, 100.0, Unit::Percent, &[20.0, 40.0, 60.0, 80.0]);
        check(2800.0, 7200.0, Unit::Kelvin, &[3000.0, 4000.0, 5000.0, 6000.0, 7000.0]);
    }

    #[test]
    fn ends_that_are_no_range_have_no_steps() {
        check(3.0, 3.0, Unit::Hertz, &[]);
        check(f64::NAN, 1.0, Unit::Hertz, &[]);
        check(0.0, f64::INFINITY, Unit::Hertz, &[]);
        assert!(round_between(-1e300, 1e300, Unit::Degree).len() <= MOST);
    }
}
