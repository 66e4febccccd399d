//! Numbers that can be worked with and that no real fixture has, and numbers that are not given.
//!
//! The bounds are wide of what charts print: common practice, no source.

use super::{channel_spot, kinds, mode_spot, range_spot};
use crate::finding::{listed, number};
use crate::profile::place::PathInFile;
use crate::profile::validate::{Check, Spot, spot};
use crate::profile::{Axis, Effect, Source, Unit};

/// Travel of an axis, or an angle in a wheel's slot, in degrees: three turns.
const MOST_TURN_DEG: f64 = 1080.0;
/// Speed of an axis in degrees a second.
const MOST_AXIS_DEG_S: f64 = 2000.0;
/// Acceleration of an axis in degrees a second squared.
const MOST_AXIS_DEG_S2: f64 = 20_000.0;
/// Flashes a second; charts have up to 33.
const MOST_FLASH_HZ: f64 = 60.0;
/// Swings, pulses or changes a second of something with a mass.
const MOST_SWING_HZ: f64 = 30.0;
/// Revolutions a minute of a head on its axes.
const MOST_HEAD_RPM: f64 = 120.0;
/// Revolutions a minute of a wheel, or of what stands in it.
const MOST_WHEEL_RPM: f64 = 600.0;
/// Time of one move, in seconds.
const MOST_MOVE_S: f64 = 600.0;
/// How long a value must be held, in seconds; charts have 2 to 8.
const MOST_HOLD_S: f64 = 60.0;
/// How long a reset takes, in seconds; charts have 15 to 60.
const MOST_RESET_S: f64 = 300.0;
/// Time from one wheel slot to the next, or of any other part from end to end, in seconds.
const MOST_PART_S: f64 = 30.0;

impl Check<'_> {
    /// Whether it says where its figures are from.
    pub(super) fn provenance(&mut self) {
        if self.profile.provenance.chart.trim().is_empty() {
            let what = "it does not say which chart its figures are from";
            let mend = "name the chart and its date: `provenance: (chart: \"...\")`";
            self.note(kinds::PROVENANCE, &spot("provenance", "provenance"), what, mend);
        }
        let wheels = self.profile.wheels.iter();
        let silent = wheels.filter(|(_, wheel)| wheel.shortest.is_none());
        let silent: Vec<&str> = silent.map(|(name, _)| name.as_str()).collect();
        if !silent.is_empty() {
            let what =
                format!("whether {} goes the shorter way round is not given", listed(silent));
            let mend = "it is taken to; give `shortest`";
            self.note(kinds::ASSUMED, &spot("wheels", "wheels"), what, mend);
        }
    }

    /// Whether the numbers are those of a real fixture.
    pub(super) fn reason(&mut self) {
        let profile = self.profile;
        if let Some((pan, tilt)) = profile.head.axes() {
            for (name, axis) in [("pan", pan), ("tilt", tilt)] {
                self.axis_reason(&spot("head", "head").field(name), axis);
            }
        }
        let body = spot("body", "body");
        for (field, value, most) in
            [("mass_kg", profile.body.mass_kg, 300.0), ("power_w", profile.body.power_w, 12_000.0)]
        {
            self.at_most(&body.field(field), value, most, "");
        }
        let source = spot("source", "source");
        if let Source::White { flux_lm, cct_k, .. } = &profile.source {
            self.at_most(&source.field("flux_lm"), Some(*flux_lm), 500_000.0, " lm");
            self.at_most(&source.field("cct_k"), Some(*cct_k), 20_000.0, " K");
        }
        for (name, wheel) in &profile.wheels {
            let at = Spot {
                path: PathInFile::top().field("wheels").field(name).field("move_s"),
                item: format!("wheel \"{name}\""),
            };
            self.at_most(&at, wheel.move_s, MOST_PART_S, " s");
            self.not_instant(&at, wheel.move_s);
        }
        let times = spot("times", "times");
        for (field, value) in profile.times.all() {
            self.not_instant(&times.field(field), value);
            if !["strike_s", "cool_s"].contains(&field) {
                self.at_most(&times.field(field), value, MOST_PART_S, " s");
            }
        }
        self.effect_reason();
    }

    fn axis_reason(&mut self, at: &Spot, axis: &Axis) {
        self.at_most(&at.field("travel_deg"), Some(axis.travel_deg), MOST_TURN_DEG, " deg");
        self.at_most(&at.field("speed_deg_s"), axis.speed_deg_s, MOST_AXIS_DEG_S, " deg/s");
        self.at_most(&at.field("accel_deg_s2"), axis.accel_deg_s2, MOST_AXIS_DEG_S2, " deg/s2");
    }

    fn effect_reason(&mut self) {
        let profile = self.profile;
        for (m, mode) in profile.modes.iter().enumerate() {
            for (c, channel) in mode.channels.iter().enumerate() {
                for (r, range) in channel.ranges.iter().enumerate() {
                    for effect in range.effects() {
                        let Some((value, most, unit)) = unreasonable(effect) else { continue };
                        let at = channel_spot(&mode_spot(m, mode), c, channel);
                        let at = range_spot(&at, r).field("does");
                        self.at_most(&at, Some(value), most, unit);
                    }
                }
            }
        }
    }

    fn at_most(&mut self, at: &Spot, value: Option<f64>, most: f64, unit: &str) {
        let Some(value) = value.filter(|value| value.abs() > most) else { return };
        let what = format!("`{}{unit}` is more than any fixture has", number(value));
        let mend = format!("look in the chart; up to {most}{unit} is usual");
        self.warning(kinds::PHYSICAL_HIGH, at, what, mend);
    }

    fn not_instant(&mut self, at: &Spot, value: Option<f64>) {
        if value == Some(0.0) {
            let mend = "leave it out where the manual does not say it";
            self.warning(kinds::INSTANT, at, "it takes no time at all", mend);
        }
    }
}

/// What of an effect is more than any fixture has: the number, the most that is usual, the unit.
fn unreasonable(effect: &Effect) -> Option<(f64, f64, &'static str)> {
    let over = |value: f64, most: f64, unit: &'static str| {
        (value.abs() > most).then_some((value, most, unit))
    };
    let held = effect.hold_s().flatten().and_then(|s| over(s, MOST_HOLD_S, " s"));
    let takes = match effect {
        Effect::Reset { takes_s: Some(s), .. } => over(*s, MOST_RESET_S, " s"),
        _ => None,
    };
    held.or(takes).or_else(|| {
        let physical = effect.physical()?;
        let (a, b) = physical.span;
        let far = if a.abs() > b.abs() { a } else { b };
        let (most, unit) = match (physical.unit, effect) {
            (Unit::Degree, Effect::Zoom { .. }) => (120.0, " deg"),
            (Unit::Degree, _) => (MOST_TURN_DEG, " deg"),
            (Unit::Hertz, Effect::Strobe { .. }) => (MOST_FLASH_HZ, " Hz"),
            (Unit::Hertz, _) => (MOST_SWING_HZ, " Hz"),
            (Unit::Rpm, Effect::PanSpin { .. } | Effect::TiltSpin { .. }) => {
                (MOST_HEAD_RPM, " rpm")
            }
            (Unit::Rpm, _) => (MOST_WHEEL_RPM, " rpm"),
            (Unit::DegreePerSecond, _) => (MOST_AXIS_DEG_S, " deg/s"),
            (Unit::Second, _) => (MOST_MOVE_S, " s"),
            (Unit::Kelvin, _) => (20_000.0, " K"),
            (Unit::Percent | Unit::Slot, _) => return None,
        };
        over(far, most, unit)
    })
}
