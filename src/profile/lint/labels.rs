//! Labels of ranges against what the ranges do.

use super::words::{has, number_after, runs, words};
use super::{kinds, range_spot};
use crate::finding::number;
use crate::profile::validate::{Check, Spot};
use crate::profile::{Channel, Effect, Range, Unit};

/// Which way what a range asks for runs, as its label may say it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    /// Of how fast something is.
    Speed,
    /// Of a beam angle.
    Zoom,
    /// Of a focus.
    Focus,
    /// Of how much there is of something.
    Share,
    /// Of a colour temperature.
    Temperature,
}

/// Two words one behind the other, and of what they say that it rises.
const RISING: &[(&str, &str, Way)] = &[
    ("slow", "fast", Way::Speed),
    ("min", "max", Way::Speed),
    ("narrow", "wide", Way::Zoom),
    ("near", "far", Way::Focus),
    ("closed", "open", Way::Share),
    ("dark", "full", Way::Share),
    ("dark", "bright", Way::Share),
    ("out", "in", Way::Share),
    ("small", "large", Way::Share),
    ("warm", "cold", Way::Temperature),
];

impl Check<'_> {
    /// Whether the labels of a channel's ranges say what these do.
    pub(super) fn labels(&mut self, at: &Spot, channel: &Channel) {
        for (i, range) in channel.ranges.iter().enumerate().filter(|(_, r)| !r.label.is_empty()) {
            let words = words(&range.label);
            let spot = || range_spot(at, i).field("label");
            let label = &range.label;
            if let Some((a, b)) = against_its_way(range, &words) {
                let what = format!("`{label}` runs from {} to {}", number(a), number(b));
                let mend = "exchange the two numbers, or the two words";
                self.warning(kinds::LABEL_SENSE, &spot(), what, mend);
            }
            if let Some((sense, sign)) = against_its_sense(&range.does, &words) {
                let what = format!("`{label}` turns at a {sign} rate, which is {sense}");
                let mend = "change the sign of `rpm`, or the word";
                self.warning(kinds::LABEL_TURN, &spot(), what, mend);
            }
            if let Some(said_s) = held_otherwise(range) {
                let what = format!("`{label}` says {} s and `hold_s` does not", number(said_s));
                let mend = format!("give `hold_s: {said_s:.1}`, or mend the label");
                self.warning(kinds::LABEL_HOLD, &spot(), what, mend);
            }
            if let Some(key) = says_another_effect(range, &words) {
                let what = format!("`{label}` is the label of an effect that is `{key}`");
                let mend = "mend the label, or `does`";
                self.warning(kinds::LABEL_EFFECT, &spot(), what, mend);
            }
        }
    }
}

/// The two ends of a range whose label says that it runs the other way.
fn against_its_way(range: &Range, words: &[String]) -> Option<(f64, f64)> {
    let physical = range.does.physical()?;
    let (a, b) = physical.span;
    let way = match (&range.does, physical.unit) {
        (Effect::Zoom { .. }, _) => Way::Zoom,
        (Effect::Focus { .. }, _) => Way::Focus,
        (Effect::AimShare { .. }, _) => Way::Speed,
        (_, Unit::Hertz | Unit::Rpm | Unit::DegreePerSecond | Unit::Second) => Way::Speed,
        (_, Unit::Percent) => Way::Share,
        (_, Unit::Kelvin) => Way::Temperature,
        _ => return None,
    };
    // The sense of turning is another matter; and a longer time is slower.
    let rise = match physical.unit {
        Unit::Second => a - b,
        _ => b.abs() - a.abs(),
    };
    let said = RISING.iter().filter(|(.., of)| *of == way).find_map(|(low, high, _)| {
        match (runs(words, low, high), runs(words, high, low)) {
            (true, false) => Some(1.0),
            (false, true) => Some(-1.0),
            _ => None,
        }
    })?;
    (rise * said < 0.0).then_some((a, b))
}

/// What the rate of a range says of its sense where its label says the other.
fn against_its_sense(effect: &Effect, words: &[String]) -> Option<(&'static str, &'static str)> {
    let (forth, back, (a, b)): (&[&str], &[&str], _) = match effect {
        Effect::Spin { rpm, .. } | Effect::PanSpin { rpm } => {
            (&["anticlockwise", "counterclockwise", "ccw"], &["clockwise", "cw"], *rpm)
        }
        Effect::Scroll { rpm, .. } => {
            (&["forward", "forwards"], &["backward", "backwards", "reverse"], *rpm)
        }
        _ => return None,
    };
    let said = match (has(words, forth), has(words, back)) {
        (true, false) => 1.0,
        (false, true) => -1.0,
        _ => return None,
    };
    let rate = a + b;
    (rate * said < 0.0).then(|| match rate > 0.0 {
        true => (forth[0], "positive"),
        false => (back[0], "negative"),
    })
}

/// The hold that a label speaks of where the effect has another, or none.
fn held_otherwise(range: &Range) -> Option<f64> {
    let hold_s = range.does.hold_s()?;
    let said_s = number_after(&range.label, "hold")?;
    (hold_s != Some(said_s)).then_some(said_s)
}

/// The effect's own name where the label of its range speaks of another.
fn says_another_effect(range: &Range, words: &[String]) -> Option<&'static str> {
    use Effect::{Idle, IrisPulse, LampOff, LampOn, Open, Program, Reset, Select, Strobe, Unknown};
    if matches!(range.does, Idle | Unknown | Select | Program { .. }) {
        return None;
    }
    let any = |kind: fn(&Effect) -> bool| range.effects().any(kind);
    let denied = has(words, &["no", "not", "off", "stop", "without"]);
    let first = words.first().map_or("", String::as_str);
    let flashes = any(|effect| matches!(effect, Strobe { .. } | IrisPulse { .. }));
    let lights = any(|effect| matches!(effect, Open | Strobe { .. }));
    let wrong = (range.does == Effect::Shut && first == "open")
        || (lights && words.len() == 1 && ["closed", "blackout", "shut"].contains(&first))
        || (has(words, &["strobe", "strobing"]) && !denied && !flashes)
        || (has(words, &["reset"]) && !denied && !any(|e| matches!(e, Reset { .. })))
        || (runs(words, "lamp", "on") && !any(|e| matches!(e, LampOn { .. })))
        || (runs(words, "lamp", "off") && !any(|e| matches!(e, LampOff { .. })))
        || runs(words, "no", "function")
        || ["reserved", "unused"].contains(&first);
    wrong.then(|| range.does.key())
}
