//! A change of model or mode: what becomes of the values that a show holds for a fixture.
//!
//! [`compare`] looks at one frame: which values mean something else afterwards, which values would keep
//! what was meant, what has no counterpart, and what would happen that nobody wants. [`change`] does so
//! for fixtures and looks of a show, and [`edits`] makes the change.

mod danger;
mod keep;
pub(super) mod kin;
mod level;
mod over_cues;
mod over_show;

use std::sync::Arc;

use serde::Serialize;

pub use danger::Danger;
pub use keep::{KeptRow, Outcome, To};
pub use over_cues::CueRow;
pub use over_show::{FixtureChange, FrameOf, change, edits, is_unknown};

use crate::decode::{ChannelReading, CompiledChannel, CompiledMode, Plan, Reading, split};
use crate::profile::Effect;
use crate::profile::coverage;
use crate::rig::{Address, Fixture};
use crate::wire::Frames;
use crate::wire::slots_written;
use danger::Beside;
use keep::keep;
use kin::Kin;

/// Slots whose values stay, and what they mean before and after.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RawRow {
    /// The slots counted from the fixture's first (which is 1), most significant first.
    pub slots: Vec<u16>,
    /// Their values; `None` where one was never sent.
    pub values: Vec<Option<u8>>,
    /// The channel they are of before, and what they mean. `None`: no channel.
    pub before: Option<Meant>,
    /// The same afterwards: one slot of a wide channel may come to belong to another channel than the next.
    pub after: Vec<Meant>,
    /// They mean the same.
    pub same: bool,
}

/// What values mean.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Meant {
    /// The channel.
    pub channel: String,
    /// What it asks for.
    pub words: String,
}

/// The value of a channel, and what it means on the channel that does most of the same.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChannelRow {
    /// The value, at the full resolution of the channel before.
    pub value: u32,
    /// How many slots that channel has.
    pub width: usize,
    /// The channel before, and what it asks for.
    pub before: Meant,
    /// The channel afterwards. `None`: none does the same.
    pub after: Option<Meant>,
    /// They mean the same.
    pub same: bool,
    /// It was closed, and would be open.
    pub opens: bool,
}

/// What a change does to one frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrameChange {
    /// What the values mean before and after, if they stay.
    pub raw: Vec<RawRow>,
    /// What they mean before and after, if each channel's value goes to the channel that does most of
    /// the same, wherever its slots are: what a desk does that keeps values by what they are for.
    pub by_channel: Vec<ChannelRow>,
    /// Which values would keep the meaning.
    pub kept: Vec<KeptRow>,
    /// What happens if the values stay in their slots.
    pub dangers: Vec<Danger>,
    /// What happens if they go with their channels.
    pub dangers_by_channel: Vec<Danger>,
    /// What happens with the values that keep the meaning.
    pub dangers_kept: Vec<Danger>,
    /// These values: every slot of the new mode by its offset (1 is the first), with its byte.
    pub translated: Vec<(u16, u8)>,
}

impl FrameChange {
    /// How many channels keep their meaning without any change, of how many.
    pub fn kept_raw(&self) -> (usize, usize) {
        let before = self.raw.iter().filter(|row| row.before.is_some());
        let (same, all) =
            before.fold((0, 0), |(same, all), row| (same + usize::from(row.same), all + 1));
        (same, all)
    }

    /// The meanings that cannot be kept.
    pub fn lost(&self) -> impl Iterator<Item = &KeptRow> {
        self.kept.iter().filter(|row| row.outcome == Outcome::Lost)
    }
}

/// What becomes of a channel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LayoutRow {
    /// The channel before; empty for one that is new.
    pub before: String,
    /// Its slots before.
    pub slots_before: Vec<u16>,
    /// The channel that does most of the same afterwards; empty where none does.
    pub after: String,
    /// Its slots afterwards.
    pub slots_after: Vec<u16>,
}

/// How many effects of a channel tell what it is for.
const TELLING: usize = 32;

/// For each channel of `before`, the channel of `after` that does most of the same: by what they do, and
/// only then by what they are called.
pub(super) fn counterparts(
    kin: &Kin<'_>,
    before: &CompiledMode,
    after: &CompiledMode,
) -> Vec<Option<usize>> {
    let counterpart = |channel: &CompiledChannel| {
        let likeness = |other: &CompiledChannel| {
            let offered = || other.ranges.iter().flat_map(|range| range.effects()).take(TELLING);
            let effects = channel.ranges.iter().flat_map(|range| range.effects());
            // Nothing on purpose is everywhere.
            let telling = effects.filter(|effect| !matches!(effect, Effect::Idle)).take(TELLING);
            let alike =
                telling.filter(|wanted| offered().any(|o| kin.distance(wanted, o).is_some()));
            (alike.count(), usize::from(other.name.eq_ignore_ascii_case(&channel.name)))
        };
        let mut best: Option<(usize, (usize, usize))> = None;
        for (i, other) in after.channels.iter().enumerate().filter(|(_, o)| o.cell == channel.cell)
        {
            let score = likeness(other);
            if score.0 > 0 && best.is_none_or(|(_, known)| score > known) {
                best = Some((i, score));
            }
        }
        best.map(|(i, _)| i)
    };
    before.channels.iter().map(counterpart).collect()
}

/// Where every channel goes: by what they do, not by what they are called.
pub fn layout(before: &CompiledMode, after: &CompiledMode) -> Vec<LayoutRow> {
    let kin = Kin::new(&before.profile, &after.profile);
    let places = counterparts(&kin, before, after);
    let row = |before: Option<&CompiledChannel>, after: Option<&CompiledChannel>| {
        let told = |channel: Option<&CompiledChannel>| {
            channel.map_or_else(Default::default, |c| (c.name.clone(), c.offsets.clone()))
        };
        let ((before, slots_before), (after, slots_after)) = (told(before), told(after));
        LayoutRow { before, slots_before, after, slots_after }
    };
    let goes = before.channels.iter().zip(&places).map(|(channel, place)| {
        row(Some(channel), place.and_then(|place| after.channels.get(place)))
    });
    let comes = after.channels.iter().enumerate().filter(|(i, _)| !places.contains(&Some(*i)));
    goes.chain(comes.map(|(_, channel)| row(None, Some(channel)))).collect()
}

/// What becomes of one frame for a fixture at `address` that was in one mode and is in another.
/// `fixture` says how it hangs and what is set in it; its profile and mode are not looked at.
pub fn compare(
    before: &Arc<CompiledMode>,
    after: &Arc<CompiledMode>,
    fixture: &Fixture,
    frames: &Frames,
    address: Address,
) -> Option<FrameChange> {
    let plan = Plan::from_modes([before, after].map(|mode| (Some(mode.clone()), Some(address))));
    let mut decoded = plan.start();
    plan.decode(frames, &mut decoded);
    let was = plan.reading(0, frames, &decoded)?;
    let is = plan.reading(1, frames, &decoded)?;
    let kin = Kin::new(&before.profile, &after.profile);
    let put = |slots: &[(u16, u8)]| {
        let mut new = frames.clone();
        for (offset, byte) in slots {
            if let Some(slot) = address.slot_at(*offset) {
                new.set(address.universe, slot, *byte);
            }
        }
        let mut decoded = plan.start();
        plan.decode(&new, &mut decoded);
        (new, decoded)
    };
    let kept = keep(&was, after, &kin);
    let (kept_frames, kept_decoded) = put(&kept.slots);
    let kept_is = plan.reading(1, &kept_frames, &kept_decoded)?;
    let places = counterparts(&kin, before, after);
    let (moved_frames, moved_decoded) = put(&moved(&was, after, &places));
    let moved_is = plan.reading(1, &moved_frames, &moved_decoded)?;
    let by_channel = by_channel(&was, &moved_is, &places, &kin);
    let mut dangers_by_channel =
        danger::dangers(&was, &moved_is, fixture, Beside::Channels(&places));
    danger::opens(&by_channel, &mut dangers_by_channel);
    Some(FrameChange {
        raw: raw(&was, &is, &kin),
        by_channel,
        dangers: danger::dangers(&was, &is, fixture, Beside::Slots),
        dangers_by_channel,
        dangers_kept: danger::dangers(&was, &kept_is, fixture, Beside::Channels(&places)),
        kept: kept.rows,
        translated: kept.slots,
    })
}

/// Every slot of the new mode if the values go with their channels: the coarse slot of each counts, and
/// what nothing comes to rests.
fn moved(was: &Reading<'_>, after: &CompiledMode, places: &[Option<usize>]) -> Vec<(u16, u8)> {
    let mut slots = Vec::new();
    for (i, channel) in after.channels.iter().enumerate() {
        let from = places.iter().position(|place| *place == Some(i));
        let from = from.and_then(|from| was.mode.channels.get(from));
        let value = from.and_then(|from| Some((from, was.held(from).value()?)));
        let value = value.map_or(channel.default, |(from, value)| {
            if from.offsets.len() == channel.offsets.len() {
                return value;
            }
            // The same byte in every slot is the same share of a wider channel.
            let fill = channel.max_value() / u32::from(u8::MAX);
            u32::from(from.coarse(value)) * fill
        });
        let bytes = split(value, channel.offsets.len());
        slots.extend(channel.offsets.iter().copied().zip(bytes));
    }
    slots
}

/// What each channel's value means on the channel that does most of the same.
fn by_channel(
    was: &Reading<'_>,
    is: &Reading<'_>,
    places: &[Option<usize>],
    kin: &Kin<'_>,
) -> Vec<ChannelRow> {
    let does = |reading: &ChannelReading<'_>, wanted: &dyn Fn(&Effect) -> bool| {
        reading.range.is_some_and(|range| range.effects().any(wanted))
    };
    let rows = was.channels().zip(places).filter_map(|(before, place)| {
        let after = place.and_then(|place| is.channel(place));
        let shut = does(&before, &|effect| matches!(effect, Effect::Shut));
        let opens = |after: &ChannelReading<'_>| {
            shut && does(after, &|e| matches!(e, Effect::Open | Effect::Strobe { .. }))
        };
        Some(ChannelRow {
            value: before.held.value()?,
            width: before.channel.offsets.len(),
            before: meant(&before),
            same: after.as_ref().is_some_and(|after| asks_the_same(kin, &before, after)),
            opens: after.as_ref().is_some_and(opens),
            after: after.as_ref().map(meant),
        })
    });
    rows.collect()
}

fn meant(reading: &ChannelReading<'_>) -> Meant {
    Meant { channel: reading.channel.name.clone(), words: meaning(reading) }
}

/// What the values mean in both modes, slot by slot.
fn raw(was: &Reading<'_>, is: &Reading<'_>, kin: &Kin<'_>) -> Vec<RawRow> {
    let values = |slots: &[u16]| -> Vec<Option<u8>> {
        let state = |offset: &u16| was.slot_state(*offset)?.value();
        slots.iter().map(state).collect()
    };
    let mut rows = Vec::new();
    for before in was.channels() {
        let slots = &before.channel.offsets;
        let after: Vec<ChannelReading<'_>> =
            is.channels().filter(|a| a.channel.offsets.iter().any(|o| slots.contains(o))).collect();
        let same = match after.as_slice() {
            [only] => only.channel.offsets == *slots && asks_the_same(kin, &before, only),
            _ => false,
        };
        rows.push(RawRow {
            slots: slots.clone(),
            values: values(slots),
            before: Some(meant(&before)),
            after: after.iter().map(meant).collect(),
            same,
        });
    }
    for after in is.channels() {
        let slots = &after.channel.offsets;
        if slots.iter().all(|offset| was.mode.channel_at(*offset).is_none()) {
            rows.push(RawRow {
                slots: slots.clone(),
                values: values(slots),
                before: None,
                after: vec![meant(&after)],
                same: false,
            });
        }
    }
    rows.sort_by_key(|row| row.slots.iter().min().copied());
    rows
}

/// Whether two channels ask for the same.
fn asks_the_same(kin: &Kin<'_>, a: &ChannelReading<'_>, b: &ChannelReading<'_>) -> bool {
    asks_nearly_the_same(kin, a, b, 0.0)
}

/// Whether two channels ask for the same, with physical values at most so far apart (in their unit).
pub(super) fn asks_nearly_the_same(
    kin: &Kin<'_>,
    a: &ChannelReading<'_>,
    b: &ChannelReading<'_>,
    apart: f64,
) -> bool {
    if a.channel.cell != b.channel.cell {
        return false;
    }
    match (a.range, b.range) {
        // Nothing known means nothing else afterwards, as long as the channels do the same.
        (None, None) => a.channel.name.eq_ignore_ascii_case(&b.channel.name),
        (Some(one), Some(other)) => {
            let physical = match (a.physical, b.physical) {
                (Some(x), Some(y)) => (x - y).abs() <= apart + 1e-6 * x.abs().max(1.0),
                (None, None) => true,
                _ => false,
            };
            physical && kin.distance(&one.does, &other.does) == Some(0)
        }
        _ => false,
    }
}

/// What a channel asks for, in words: `5.00 Hz, strobe, slow to fast`.
pub(super) fn meaning(reading: &ChannelReading<'_>) -> String {
    let Some(range) = reading.range else { return reading.words() };
    let physical = range.physical.zip(reading.physical);
    let physical = physical.map(|(of, value)| of.unit.format(value));
    joined_meaning(&reading.channel.name, physical, &range.label)
}

fn joined_meaning(channel: &str, physical: Option<String>, label: &str) -> String {
    let repeats = label.is_empty() || label.eq_ignore_ascii_case(channel);
    match physical {
        Some(physical) if repeats => physical,
        Some(physical) => format!("{physical}, {label}"),
        None => label.to_owned(),
    }
}

/// Slots of a fixture in words: `slot 7`, `slots 1/2`.
pub fn slot_words(slots: &[u16]) -> String {
    let word = if slots.len() == 1 { "slot" } else { "slots" };
    format!("{word} {}", slots_written(slots))
}

/// Ranges that keep all light back, in words: `Shutter values 0..31`. Value 0 is dark only where one says so.
pub fn closing(mode: &CompiledMode) -> Vec<String> {
    let mut bands = Vec::new();
    for channel in &mode.channels {
        for range in &channel.ranges {
            if range.effects().any(|effect| matches!(effect, Effect::Shut)) {
                let width = channel.offsets.len();
                let values = coverage::values(range.first, range.last, width);
                bands.push(format!("{} {values}", channel.name));
            }
        }
    }
    bands
}

/// Whether anything is known of the slots of a fixture with this footprint.
fn is_held(frames: &Frames, address: Address, footprint: u16) -> bool {
    let mut slots = (1..=footprint).filter_map(|offset| address.slot_at(offset));
    slots.any(|slot| frames.state(address.universe, slot).value().is_some())
}
