//! The stable machine-readable form of a reading, as `slotwright help read` describes it.

use serde::Serialize;

use super::frames::Situation;
use crate::decode::{Asked, ChannelReading, Held, Reading};
use crate::light::estimates;
use crate::rig::FixtureId;

#[derive(Serialize)]
struct ShowJson<'a> {
    show: &'a str,
    fixtures: Vec<FixtureJson<'a>>,
}

#[derive(Serialize)]
struct FixtureJson<'a> {
    id: FixtureId,
    label: &'a str,
    profile: &'a str,
    mode: &'a str,
    /// `null` while it is not patched.
    universe: Option<u16>,
    /// The first slot; `null` while it is not patched.
    address: Option<u16>,
    channels: Vec<ChannelJson<'a>>,
    /// `null` where the profile or mode is not to be had.
    asked: Option<Asked>,
    /// What was assumed to work out its light.
    estimates: Vec<String>,
}

#[derive(Serialize)]
struct ChannelJson<'a> {
    name: &'a str,
    /// Slots of the universe, coarse first; `null` past its end.
    slots: Vec<Option<u16>>,
    /// At the channel's full resolution; `null` where it is not known.
    value: Option<u32>,
    held: &'static str,
    range: Option<RangeJson<'a>>,
    effect: Option<&'static str>,
    physical: Option<f64>,
    unit: Option<&'static str>,
}

#[derive(Serialize)]
struct RangeJson<'a> {
    /// At the channel's full resolution, as the value.
    from: u32,
    to: u32,
    label: &'a str,
}

/// What is asked of the fixtures at these places of the rig.
pub(super) fn reading(situation: &Situation, places: &[usize]) -> String {
    let fixtures = places.iter().map(|at| fixture(situation, *at)).collect();
    lines(&ShowJson { show: &situation.show.name, fixtures })
}

/// A value as JSON, one member a line.
pub(super) fn lines(value: &impl Serialize) -> String {
    // Only a map whose keys are no text, or an error of our own, can fail here: there is neither.
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text
}

fn fixture(situation: &Situation, at: usize) -> FixtureJson<'_> {
    let fixture = &situation.show.rig[at];
    let reading = situation.plan.reading(at, &situation.frames, &situation.decoded);
    let asked = reading.map(|reading| reading.asked());
    let estimated = reading.zip(asked.as_ref());
    FixtureJson {
        id: fixture.id,
        label: &fixture.label,
        profile: &fixture.profile,
        mode: &fixture.mode,
        universe: fixture.address.map(|address| address.universe.number()),
        address: fixture.address.map(|address| address.slot.number()),
        channels: reading
            .map(|reading| reading.channels().map(|one| channel(&reading, &one)).collect())
            .unwrap_or_default(),
        estimates: estimated
            .map(|(reading, asked)| estimates(reading.mode, asked))
            .unwrap_or_default(),
        asked,
    }
}

fn channel<'a>(reading: &Reading<'a>, channel: &ChannelReading<'a>) -> ChannelJson<'a> {
    let slot = |offset: &u16| reading.slot(*offset).map(|slot| slot.number());
    let physical = channel.physical.filter(|value| value.is_finite());
    let unit = channel.range.and_then(|range| range.physical).map(|pair| pair.unit.symbol());
    ChannelJson {
        name: &channel.channel.name,
        slots: channel.channel.offsets.iter().map(slot).collect(),
        value: channel.held.value(),
        held: match channel.held {
            Held::Sent(_) => "sent",
            Held::Kept(_) => "kept",
            Held::NeverSent => "never_sent",
            Held::NoSlot => "no_slot",
        },
        range: channel.range.map(|range| RangeJson {
            from: range.first,
            to: range.last,
            label: &range.label,
        }),
        effect: channel.range.map(|range| range.does.key()),
        physical,
        unit: physical.and(unit),
    }
}
