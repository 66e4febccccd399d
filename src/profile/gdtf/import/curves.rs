//! Curves that functions follow: pieces, each a polynomial in percent (DIN SPEC 15800, table 24).

use super::super::attributes;
use super::super::description::{ChannelFunction, DmxProfile, FixtureType, ProfilePoint};
use super::pieces::{Line, Piece};
use super::wheel_effects::family;
use crate::profile::Curve;

/// Levels at which a curve is read that is none of those a profile has.
const POINTS: u32 = 33;

/// Levels that a curve of straight lines may have to be taken as it is.
const MOST_POINTS: usize = 1025;

/// The curve of a name.
pub(super) fn named<'a>(fixture: &'a FixtureType, link: &str) -> Option<&'a DmxProfile> {
    let profiles = fixture.physical().map(|physical| physical.profiles.as_slice());
    profiles.unwrap_or_default().iter().find(|profile| profile.name.as_deref() == Some(link))
}

/// The curve as a dimmer follows it: one that the profile has a word for, straight lines between its
/// own levels where these lie evenly, else read at evenly spaced levels.
pub(super) fn of_level(profile: &DmxProfile) -> Curve {
    if let [only] = profile.points.as_slice()
        && let Some(curve) = simple(only)
    {
        return curve;
    }
    if let Some(levels) = straight(&profile.points) {
        return Curve::Table(levels);
    }
    let at = |i: u32| f64::from(i) * 100.0 / f64::from(POINTS - 1);
    Curve::Table((0..POINTS).map(|i| level(profile.output(at(i)))).collect())
}

/// Straight parts that stand for a curve.
pub(super) const PARTS: usize = 16;

/// The curve that a function other than a dimmer's follows, where parts of straight lines can stand for
/// it: its physical values are more than names, and none of its sets has its own.
pub(super) fn to_bend<'a>(
    fixture: &'a FixtureType,
    function: &ChannelFunction,
) -> Option<&'a DmxProfile> {
    let named_attribute = attributes::find(function.attribute())?;
    let attribute = named_attribute.attribute;
    let even = attribute.name == "Dimmer"
        || attribute.feature.starts_with("Control")
        || family(named_attribute).is_some_and(|(_, end)| end.is_empty())
        || function.sets.iter().any(|set| set.physical_from.or(set.physical_to).is_some());
    let link = function.dmx_profile.as_deref().filter(|_| !even)?;
    named(fixture, link).filter(|profile| !profile.points.is_empty())
}

/// A piece of a function, whose values run from `first` to `last`, in the straight parts of a curve.
pub(super) fn bend<'a>(
    piece: Piece<'a>,
    (first, last): (u32, u32),
    profile: &DmxProfile,
) -> Vec<Piece<'a>> {
    let (from, to) = piece.function.physical();
    let (low, high) = (piece.function.min.unwrap_or(from), piece.function.max.unwrap_or(to));
    let length = f64::from(last - first).max(1.0);
    let physical = |value: u32| {
        let percent = f64::from(value - first) / length * 100.0;
        low + (high - low) * profile.output(percent) / 100.0
    };
    let mut begins: Vec<u32> = parts(profile)
        .into_iter()
        .map(|percent| first + (percent / 100.0 * length).ceil() as u32)
        .filter(|begin| (piece.first + 1..=piece.last).contains(begin))
        .collect();
    begins.push(piece.first);
    begins.sort_unstable();
    begins.dedup();
    let ends = begins.iter().skip(1).map(|next| next - 1).chain([piece.last]);
    let part = |(first, last): (&u32, u32)| Piece {
        first: *first,
        last,
        line: Line::through((*first, physical(*first)), (last, physical(last))),
        ..piece.clone()
    };
    begins.iter().zip(ends).map(part).collect()
}

/// Where the straight parts of a curve begin, in percent: its own pieces where these are straight and
/// not too many, else even ones.
fn parts(profile: &DmxProfile) -> Vec<f64> {
    let straight = |point: &ProfilePoint| factors(point)[2..] == [0.0, 0.0];
    if profile.points.len() <= PARTS && profile.points.iter().all(straight) {
        let begins = profile.points.iter().map(|point| point.percent.unwrap_or(0.0));
        return begins.filter(|percent| (0.0..=100.0).contains(percent)).collect();
    }
    (0..PARTS).map(|i| i as f64 * 100.0 / PARTS as f64).collect()
}

/// A share of 0..1 of what is in percent.
fn level(percent: f64) -> f64 {
    super::round((percent / 100.0).clamp(0.0, 1.0))
}

fn factors(point: &ProfilePoint) -> [f64; 4] {
    [point.cfc0, point.cfc1, point.cfc2, point.cfc3].map(|factor| factor.unwrap_or(0.0))
}

/// A single piece from 0 that is a curve with a word of its own.
fn simple(point: &ProfilePoint) -> Option<Curve> {
    let close = |known: [f64; 4]| {
        let mut pairs = known.into_iter().zip(factors(point));
        pairs.all(|(known, given)| (known - given).abs() <= 1e-9)
    };
    match () {
        () if point.percent.unwrap_or(0.0) != 0.0 => None,
        () if close([0.0, 1.0, 0.0, 0.0]) => Some(Curve::Linear),
        () if close([0.0, 0.0, 1e-2, 0.0]) => Some(Curve::Square),
        () if close([0.0, 0.0, 3e-2, -2e-4]) => Some(Curve::S),
        () => None,
    }
}

/// The levels of straight lines that join, at even steps from 0 to 100 percent.
fn straight(points: &[ProfilePoint]) -> Option<Vec<f64>> {
    if !(2..=MOST_POINTS).contains(&points.len()) {
        return None;
    }
    let step = 100.0 / (points.len() - 1) as f64;
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-6;
    for (i, point) in points.iter().enumerate() {
        let [c0, c1, c2, c3] = factors(point);
        let joins = points.get(i + 1).is_none_or(|next| near(c0 + c1 * step, factors(next)[0]));
        let inside = (-1e-6..=100.0 + 1e-6).contains(&c0);
        let even = near(point.percent.unwrap_or(0.0), i as f64 * step);
        if !(even && joins && inside && c2 == 0.0 && c3 == 0.0) {
            return None;
        }
    }
    Some(points.iter().map(|point| level(factors(point)[0])).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn profile(points: &[(f64, [f64; 4])]) -> DmxProfile {
        let point = |(percent, [c0, c1, c2, c3]): &(f64, [f64; 4])| ProfilePoint {
            percent: Some(*percent),
            cfc0: Some(*c0),
            cfc1: Some(*c1),
            cfc2: Some(*c2),
            cfc3: Some(*c3),
            ..ProfilePoint::default()
        };
        DmxProfile { points: points.iter().map(point).collect(), ..DmxProfile::default() }
    }

    #[test]
    fn curves_with_a_word_of_their_own_are_known() {
        // Worked example: percent in, percent out, so that x² of shares is 0.01 x² of percent.
        let linear = profile(&[(0.0, [0.0, 1.0, 0.0, 0.0])]);
        assert_eq!(of_level(&linear), Curve::Linear);
        assert_eq!(of_level(&profile(&[(0.0, [0.0, 0.0, 0.01, 0.0])])), Curve::Square);
        assert_eq!(of_level(&profile(&[(0.0, [0.0, 0.0, 0.03, -0.0002])])), Curve::S);
    }

    #[test]
    fn straight_lines_between_even_levels_keep_their_levels() {
        let lines = profile(&[
            (0.0, [0.0, 0.4, 0.0, 0.0]),
            (50.0, [20.0, 1.6, 0.0, 0.0]),
            (100.0, [100.0, 0.0, 0.0, 0.0]),
        ]);
        assert_eq!(of_level(&lines), Curve::Table(vec![0.0, 0.2, 1.0]));
    }

    #[test]
    fn a_piece_follows_a_curve_in_straight_parts() {
        let function = ChannelFunction {
            attribute: Some("Zoom".to_owned()),
            physical_from: Some(10.0),
            physical_to: Some(50.0),
            ..ChannelFunction::default()
        };
        let piece = |first: u32, last: u32| Piece {
            first,
            last,
            when: Default::default(),
            line: Line::through((0, 10.0), (200, 50.0)),
            function: &function,
            set: None,
            flashes: None,
        };
        // Worked example: a quarter of the way up to the middle, the rest behind it.
        let lines = profile(&[(0.0, [0.0, 0.5, 0.0, 0.0]), (50.0, [25.0, 1.5, 0.0, 0.0])]);
        let ends = |parts: &[Piece<'_>]| -> Vec<(u32, u32, f64, f64)> {
            let end = |p: &Piece<'_>| (p.first, p.last, p.line.at(p.first), p.line.at(p.last));
            parts.iter().map(end).collect()
        };
        let parts = bend(piece(0, 200), (0, 200), &lines);
        assert_eq!(ends(&parts), [(0, 99, 10.0, 19.9), (100, 200, 20.0, 50.0)]);
        assert_eq!(ends(&bend(piece(150, 150), (0, 200), &lines)), [(150, 150, 35.0, 35.0)]);
        let square = profile(&[(0.0, [0.0, 0.0, 0.01, 0.0])]);
        let parts = bend(piece(0, 200), (0, 200), &square);
        assert_eq!(parts.len(), PARTS);
        for part in &parts {
            let middle = (part.first + part.last) / 2;
            let exact = 10.0 + 40.0 * (f64::from(middle) / 200.0).powi(2);
            assert!((part.line.at(middle) - exact).abs() < 0.05, "{middle}");
        }
    }

    #[test]
    fn any_other_curve_is_read_at_even_levels() {
        let lines = profile(&[(0.0, [0.0, 0.0, 0.0, 0.0]), (30.0, [0.0, 10.0 / 7.0, 0.0, 0.0])]);
        let Curve::Table(levels) = of_level(&lines) else { panic!("{:?}", of_level(&lines)) };
        assert_eq!((levels.len(), levels[0], levels[32]), (33, 0.0, 1.0));
        // DIN SPEC 15800, table 24: 0 before the first piece.
        let late = profile(&[(50.0, [100.0, 0.0, 0.0, 0.0])]);
        let Curve::Table(levels) = of_level(&late) else { panic!("{:?}", of_level(&late)) };
        assert_eq!((levels[15], levels[16]), (0.0, 1.0));
    }
}
