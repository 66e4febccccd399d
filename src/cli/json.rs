//! The stable machine-readable form of a reading, as `slotwright help read` describes it.

use serde::Serialize;

use super::after::{Later, LaterHead};
use super::frames::Situation;
use crate::decode::{Asked, ChannelReading, Held, Reading, raw_slots};
use crate::light::estimates;
use crate::motion::Lamp;
use crate::rig::FixtureId;
use crate::wire::SlotState;

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
    /// Only where the profile or mode is not to be had: what is held from its address on, up to the next
    /// fixture; `null` was never sent.
    #[serde(skip_serializing_if = "Option::is_none")]
    raw: Option<Vec<Option<u8>>>,
    /// `null` where the profile or mode is not to be had.
    asked: Option<Asked>,
    /// What was assumed to work out its light.
    estimates: Vec<String>,
    /// Only where a time was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    now: Option<NowJson>,
}

#[derive(Serialize)]
struct NowJson {
    after_s: f64,
    state: Vec<String>,
    light: f64,
    pan_deg: f64,
    tilt_deg: f64,
    /// When each arrives after the frame; `null` where it is going to no position.
    pan_arrives_s: Option<f64>,
    tilt_arrives_s: Option<f64>,
    lamp: &'static str,
    estimate: Option<String>,
}

#[derive(Serialize)]
struct ChannelNowJson {
    words: String,
    value: Option<f64>,
    unit: Option<&'static str>,
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
    /// Only where a time was asked for; then `null` for what has no place in a pose.
    #[serde(skip_serializing_if = "Option::is_none")]
    now: Option<Option<ChannelNowJson>>,
}

#[derive(Serialize)]
struct RangeJson<'a> {
    /// At the channel's full resolution, as the value.
    from: u32,
    to: u32,
    label: &'a str,
}

/// What is asked of the fixtures at these places of the rig.
pub(super) fn reading(situation: &Situation, later: Option<&Later>, places: &[usize]) -> String {
    let fixtures = places.iter().map(|at| fixture(situation, later, *at)).collect();
    lines(&ShowJson { show: &situation.show.name, fixtures })
}

/// A value as JSON, one member a line.
pub(super) fn lines(value: &impl Serialize) -> String {
    // Only a map whose keys are no text, or an error of our own, can fail here: there is neither.
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text
}

fn fixture<'a>(situation: &'a Situation, later: Option<&'a Later>, at: usize) -> FixtureJson<'a> {
    let later = later.and_then(|later| later.head(situation, at));
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
            .map(|reading| {
                let one = |one| channel(&reading, &one, later.as_ref());
                reading.channels().map(one).collect()
            })
            .unwrap_or_default(),
        raw: fixture.address.filter(|_| reading.is_none()).map(|address| {
            let states = raw_slots(address, &situation.show.rig, &situation.frames);
            states.into_iter().map(SlotState::value).collect()
        }),
        estimates: estimated
            .map(|(reading, asked)| estimates(reading.mode, asked))
            .unwrap_or_default(),
        asked,
        now: later.as_ref().map(happening),
    }
}

/// What a head does now.
fn happening(head: &LaterHead<'_>) -> NowJson {
    let pose = head.pose;
    let arrives = head.head.arrives_s();
    let finite = |s: Option<f64>| s.filter(|s| s.is_finite());
    NowJson {
        after_s: head.after_s,
        state: head.doings(),
        light: pose.light(),
        pan_deg: pose.pan_deg,
        tilt_deg: pose.tilt_deg,
        pan_arrives_s: finite(arrives.pan_s),
        tilt_arrives_s: finite(arrives.tilt_s),
        lamp: match pose.lamp {
            Lamp::Ready => "ready",
            Lamp::On => "on",
            Lamp::Striking => "striking",
            Lamp::Hot => "hot",
            Lamp::Off => "off",
            Lamp::Unknown => "unknown",
        },
        estimate: head.estimate(),
    }
}

/// What a channel's part does now.
fn channel_now<'a>(head: &LaterHead<'a>, channel: &ChannelReading<'a>) -> Option<ChannelNowJson> {
    let now = head.now(channel)?;
    let value = now.value.filter(|(value, _)| value.is_finite());
    Some(ChannelNowJson {
        words: now.words,
        value: value.map(|(value, _)| value),
        unit: value.map(|(_, unit)| unit.symbol()),
    })
}

fn channel<'a>(
    reading: &Reading<'a>,
    channel: &ChannelReading<'a>,
    later: Option<&LaterHead<'a>>,
) -> ChannelJson<'a> {
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
        now: later.map(|head| channel_now(head, channel)),
    }
}
