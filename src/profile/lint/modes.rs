//! Modes beside each other: channels of one name that do not do the same in both.

use std::collections::BTreeMap;

use super::{channel_spot, kinds, mode_spot};
use crate::finding::number;
use crate::profile::effect::Span;
use crate::profile::validate::Check;
use crate::profile::{Channel, Effect, Mode};

impl Check<'_> {
    /// Whether channels of one name agree in all modes.
    pub(super) fn agreement(&mut self) {
        let mut first: BTreeMap<&str, (&Mode, &Channel)> = BTreeMap::new();
        let profile = self.profile;
        for (m, mode) in profile.modes.iter().enumerate() {
            for (c, channel) in mode.channels.iter().enumerate() {
                let Some((other_mode, other)) = first.get(channel.name.as_str()) else {
                    first.insert(&channel.name, (mode, channel));
                    continue;
                };
                let at = channel_spot(&mode_spot(m, mode), c, channel);
                let elsewhere = format!("mode \"{}\"", other_mode.name);
                if let Some((key, here, there)) = other_numbers(channel, other) {
                    let what = format!("`{key}` is {here} here and {there} in {elsewhere}");
                    let mend = "look in the chart which of the two is right";
                    self.warning(kinds::MODES_DISAGREE, &at, what, mend);
                } else if let Some(what) = other_layout(channel, other) {
                    let what = format!("{what} than in {elsewhere}");
                    let mend = "nothing, if the chart has it so";
                    self.note(kinds::MODES_DISAGREE, &at, what, mend);
                }
            }
        }
    }
}

/// What tells one effect of a channel from another, besides its numbers: its name, and the wheel slots or
/// the shape that it has.
type Identity = (&'static str, Vec<u16>);

fn identity(effect: &Effect) -> Identity {
    let mut parts = effect.wheel_slots();
    if let Effect::Strobe { shape, .. } | Effect::IrisPulse { shape, .. } = effect {
        parts.push(*shape as u16);
    }
    (effect.key(), parts)
}

/// The first effect that has other numbers in two channels, with both.
fn other_numbers(a: &Channel, b: &Channel) -> Option<(&'static str, String, String)> {
    let spans = |channel: &Channel| {
        let mut spans: BTreeMap<_, Vec<Span>> = BTreeMap::new();
        for effect in channel.ranges.iter().flat_map(|range| range.effects()) {
            if let Some(physical) = effect.physical() {
                spans.entry(identity(effect)).or_default().push(physical.span);
            }
        }
        spans
    };
    let others = spans(b);
    spans(a).into_iter().find_map(|(identity, here)| {
        let there = others.get(&identity)?;
        (here != *there).then(|| (identity.0, in_words(&here), in_words(there)))
    })
}

fn in_words(spans: &[Span]) -> String {
    let words = spans.iter().take(3).map(|(a, b)| format!("{}..{}", number(*a), number(*b)));
    words.collect::<Vec<_>>().join(" and ")
}

/// What else two channels have of their own: `its ranges lie at other values`.
fn other_layout(a: &Channel, b: &Channel) -> Option<&'static str> {
    let coarse =
        |channel: &Channel, value: u32| value >> (8 * channel.at.len().saturating_sub(1).min(3));
    let layout = |channel: &Channel| -> Vec<(u32, u32, Identity)> {
        let ranges = channel.ranges.iter().filter_map(|range| {
            let (first, last) = range.bounds(channel.at.len())?;
            Some((coarse(channel, first), coarse(channel, last), identity(&range.does)))
        });
        ranges.collect()
    };
    if layout(a) != layout(b) {
        Some("its ranges lie at other values, or do other things,")
    } else if coarse(a, a.default).abs_diff(coarse(b, b.default)) > 1 {
        // One step is what rounding to the coarse slot takes.
        Some("it rests at another value")
    } else if a.snap != b.snap {
        Some("it is marked otherwise for fades")
    } else {
        None
    }
}
