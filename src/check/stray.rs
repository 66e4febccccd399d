//! Stray slots: heads of one model and mode beside each other over one frame, and what one of them alone holds.
//!
//! Twins are aimed, coloured and dimmed apart on purpose; how fast they move, whether a program runs, what is reset,
//! what spins and how the shutter stands they mostly share. One that is alone there was likely not meant.

use std::collections::BTreeMap;

use crate::decode::{ChannelReading, CompiledChannel, CompiledMode, Decoded, Plan, Reading};
use crate::finding::Severity;
use crate::profile::Effect;
use crate::rig::Rig;
use crate::wire::{Frames, Slot, Universe};

/// What one head is alone in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StrayKind {
    /// How fast pan and tilt move.
    Speed,
    /// A built-in program, sound, or following another head.
    Program,
    /// Resets, the lamp, switches.
    Control,
    /// What turns, scrolls or trembles without end.
    Spin,
    /// Open, shut, flashes.
    Shutter,
    /// A value that no range covers.
    Gap,
    /// A range that none of its twins is in.
    Range,
}

impl StrayKind {
    /// The stable name in machine-readable output, and the word in a list.
    pub fn word(self) -> &'static str {
        match self {
            Self::Speed => "speed",
            Self::Program => "program",
            Self::Control => "control",
            Self::Spin => "spin",
            Self::Shutter => "shutter",
            Self::Gap => "gap",
            Self::Range => "range",
        }
    }
}

/// A slot in which a head is alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Stray {
    /// The fixture, as a place in the rig.
    pub fixture: usize,
    /// The channel, as a place in its mode.
    pub channel: usize,
    /// Its coarse slot, counted from the fixture's first, which is 1.
    pub offset: u16,
    /// In what it is alone.
    pub kind: StrayKind,
    /// What it holds, at full resolution; `None` where it was never sent.
    pub value: Option<u32>,
    /// What most of its twins hold; `None` where these hold nothing of one kind.
    pub usual: Option<u32>,
    /// How many of its twins hold that.
    pub twins: usize,
    /// What was found, in words.
    pub what: String,
    /// What would be right, in words.
    pub mend: String,
    /// The slots that put it as its twins have it; empty where these do not agree.
    pub puts: Vec<(Universe, Slot, u8)>,
}

impl Stray {
    /// How much it matters: a range of its own may well be meant.
    pub fn severity(&self) -> Severity {
        if self.kind == StrayKind::Range { Severity::Note } else { Severity::Warning }
    }
}

/// What there is to say where nothing is stray.
pub const NONE: &str = "no stray slot: no head differs alone from its twins in what these mostly share; if one still behaves apart, that is not in the data; look at the head's own menu";

/// Why a fixture, as a place in the rig, is compared with no twins, in words; `None` where it is. `plan` must be of
/// this rig.
pub fn uncompared(plan: &Plan, place: usize) -> Option<&'static str> {
    let fixture = plan.fixtures().get(place)?;
    let Some(mode) = &fixture.mode else { return Some("its profile or mode is not to be had") };
    if fixture.address.is_none() {
        return Some("it has no address, so that no frame reaches it");
    }
    let of_mode = |other: &std::sync::Arc<CompiledMode>| std::sync::Arc::ptr_eq(other, mode);
    let twins = plan.fixtures().iter().enumerate().filter(|(other, fixture)| {
        *other != place && fixture.address.is_some() && fixture.mode.as_ref().is_some_and(of_mode)
    });
    match twins.count() {
        0 => Some("no other head with an address is of its model and mode"),
        1 => Some("it has one twin only, and of two nobody can say which is stray"),
        _ => None,
    }
}

/// Every stray slot of a rig, fixture by fixture; of `only` these fixtures, as places in the rig, where there are
/// any. Twins are those of one mode, however few were asked about. `decoded` must hold the same frames, through
/// `plan`, which must be of this rig.
pub fn strays(
    rig: &Rig,
    plan: &Plan,
    frames: &Frames,
    decoded: &Decoded,
    only: &[usize],
) -> Vec<Stray> {
    let mut groups: BTreeMap<*const CompiledMode, Vec<usize>> = BTreeMap::new();
    for (place, fixture) in plan.fixtures().iter().enumerate() {
        if let (Some(mode), Some(_)) = (&fixture.mode, fixture.address) {
            groups.entry(std::sync::Arc::as_ptr(mode)).or_default().push(place);
        }
    }
    let mut found = Vec::new();
    for places in groups.values() {
        let readings: Vec<(usize, Reading<'_>)> = places
            .iter()
            .filter_map(|place| Some((*place, plan.reading(*place, frames, decoded)?)))
            .collect();
        let Some((_, first)) = readings.first() else { continue };
        for channel in 0..first.mode.channels.len() {
            let row: Vec<Seen<'_>> = readings
                .iter()
                .filter_map(|(place, reading)| Seen::new(*place, reading, channel))
                .collect();
            let group = Group { rig, plan, mode: first.mode, channel, row };
            found.extend(group.strays());
        }
    }
    found.retain(|stray| only.is_empty() || only.contains(&stray.fixture));
    found.sort_by_key(|stray| (stray.fixture, stray.channel));
    found
}

/// What one head holds in a channel.
struct Seen<'a> {
    place: usize,
    reading: ChannelReading<'a>,
    /// The range that it is in, as a place in the channel.
    range: Option<usize>,
}

impl<'a> Seen<'a> {
    fn new(place: usize, reading: &Reading<'a>, channel: usize) -> Option<Self> {
        let reading = reading.channel(channel)?;
        let ranges = &reading.channel.ranges;
        let range =
            reading.range.and_then(|range| ranges.iter().position(|of| std::ptr::eq(of, range)));
        Some(Self { place, reading, range })
    }

    fn value(&self) -> Option<u32> {
        self.reading.held.value()
    }

    /// Whether its range turns something without end.
    fn spins(&self) -> bool {
        self.reading.range.is_some_and(|range| range.effects().any(spins))
    }
}

/// One channel of heads of one mode.
struct Group<'a> {
    rig: &'a Rig,
    plan: &'a Plan,
    mode: &'a CompiledMode,
    channel: usize,
    row: Vec<Seen<'a>>,
}

impl Group<'_> {
    fn strays(&self) -> Vec<Stray> {
        let compiled = &self.mode.channels[self.channel];
        let kind = kind_of(compiled);
        let usual = most(self.row.iter().map(Seen::value));
        let usual_range = most(self.row.iter().map(|seen| seen.range));
        let mut found = Vec::new();
        for seen in &self.row {
            let alike = |same: &dyn Fn(&Seen<'_>) -> bool| {
                self.row.iter().filter(|other| same(other)).count()
            };
            let alone = match kind {
                // Twins that spin may well do so at rates and to angles of their own.
                Some(StrayKind::Spin) => alike(&|other| other.spins() == seen.spins()) == 1,
                _ => alike(&|other| other.value() == seen.value()) == 1,
            };
            let alone_in_range = alike(&|other| other.range == seen.range) == 1;
            if seen.reading.in_gap() {
                found.push(self.gap(seen, usual.as_ref()));
            } else if let (Some(kind), Some((usual, twins)), true) = (kind, usual, alone) {
                found.push(self.lone(seen, kind, usual, twins));
            } else if let (None, Some((Some(_), twins)), true) = (kind, usual_range, alone_in_range)
                && seen.value().is_some()
            {
                found.push(self.lone_range(seen, twins, usual_range.and_then(|(range, _)| range)));
            }
        }
        found
    }

    fn gap(&self, seen: &Seen<'_>, usual: Option<&(Option<u32>, usize)>) -> Stray {
        let value = seen.value().unwrap_or_default();
        let what = format!("{} = {value} lies in no range: it does nothing", self.words());
        let elsewhere = usual.filter(|(usual, _)| *usual != seen.value());
        let (usual, twins) = elsewhere.copied().unwrap_or((None, 0));
        let mend = match usual {
            Some(usual) => format!("its twins have {usual}"),
            None => "give it a value of the chart".to_owned(),
        };
        self.stray(seen, StrayKind::Gap, usual, twins, (what, mend))
    }

    fn lone(&self, seen: &Seen<'_>, kind: StrayKind, usual: Option<u32>, twins: usize) -> Stray {
        let twin = self.row.iter().find(|other| other.value() == usual);
        let theirs = twin.map_or(String::new(), |twin| held_words(&twin.reading));
        let what = format!(
            "{} = {}, where its {twins} twins have {theirs}",
            self.words(),
            held_words(&seen.reading)
        );
        let mend = "put it as its twins have it, unless it is meant".to_owned();
        self.stray(seen, kind, usual, twins, (what, mend))
    }

    fn lone_range(&self, seen: &Seen<'_>, twins: usize, range: Option<usize>) -> Stray {
        let ranges = &self.mode.channels[self.channel].ranges;
        let theirs = range.and_then(|range| ranges.get(range)).map_or("", |range| &range.label);
        let what = format!(
            "{} = {}: it is alone in that range; {twins} twins are in `{theirs}`",
            self.words(),
            held_words(&seen.reading)
        );
        // Which of their values it would have is not said by the range that they share.
        let theirs = most(self.row.iter().filter(|other| other.range == range).map(Seen::value));
        let usual = theirs.and_then(|(usual, _)| usual);
        let mend = "look whether it is meant".to_owned();
        self.stray(seen, StrayKind::Range, usual, twins, (what, mend))
    }

    fn stray(
        &self,
        seen: &Seen<'_>,
        kind: StrayKind,
        usual: Option<u32>,
        twins: usize,
        (what, mend): (String, String),
    ) -> Stray {
        let compiled = &self.mode.channels[self.channel];
        let address = self.plan.fixtures().get(seen.place).and_then(|fixture| fixture.address);
        let puts = usual.zip(address).map_or_else(Vec::new, |(usual, address)| {
            let parts = compiled.offsets.iter().rev().enumerate().rev();
            let puts = parts.filter_map(|(nth, offset)| {
                let byte = (usual >> (8 * nth)) as u8;
                Some((address.universe, address.slot_at(*offset)?, byte))
            });
            puts.collect()
        });
        let whom = self.rig.get(seen.place).map(|fixture| fixture.words()).unwrap_or_default();
        Stray {
            fixture: seen.place,
            channel: self.channel,
            offset: compiled.offsets.first().copied().unwrap_or_default(),
            kind,
            value: seen.value(),
            usual,
            twins,
            what: format!("{whom} differs in {what}"),
            mend,
            puts,
        }
    }

    /// The channel with its slots: `slot 5 Aim speed`.
    fn words(&self) -> String {
        let compiled = &self.mode.channels[self.channel];
        let slots: Vec<String> = compiled.offsets.iter().map(u16::to_string).collect();
        format!("slot {} `{}`", slots.join("+"), compiled.name)
    }
}

/// What a head holds, and what that does: `120 (slow to fast)`.
fn held_words(reading: &ChannelReading<'_>) -> String {
    match reading.held.value() {
        Some(value) => format!("{value} ({})", reading.words()),
        None => reading.words(),
    }
}

/// What more than half of them are alike in, and how many these are: at least two.
fn most<T: PartialEq + Copy>(all: impl Iterator<Item = T>) -> Option<(T, usize)> {
    let all: Vec<T> = all.collect();
    let counted = |of: T| all.iter().filter(|other| **other == of).count();
    let found = all.iter().map(|of| (*of, counted(*of))).find(|(_, count)| count * 2 > all.len());
    found.filter(|(_, count)| *count >= 2)
}

/// In what heads that share this channel's value mostly agree; `None` for what is set head by head.
fn kind_of(channel: &CompiledChannel) -> Option<StrayKind> {
    let does = |is: fn(&Effect) -> bool| channel.ranges.iter().any(|range| range.effects().any(is));
    // The first that fits names the channel: a shutter that also resets is a matter of control.
    if does(|effect| {
        matches!(
            effect,
            Effect::Reset { .. }
                | Effect::LampOn { .. }
                | Effect::LampOff { .. }
                | Effect::Latch { .. }
                | Effect::UseCurve { .. }
        )
    }) {
        return Some(StrayKind::Control);
    }
    if does(|effect| matches!(effect, Effect::Program { .. } | Effect::Sound | Effect::Follow)) {
        return Some(StrayKind::Program);
    }
    if does(Effect::paces_aim) {
        return Some(StrayKind::Speed);
    }
    if does(|effect| matches!(effect, Effect::Shut | Effect::Open | Effect::Strobe { .. })) {
        return Some(StrayKind::Shutter);
    }
    // A wheel that can also scroll is a matter of colour or pattern first.
    let only = channel.ranges.iter().any(|range| range.effects().any(spins));
    only.then_some(StrayKind::Spin)
}

/// Whether an effect turns or opens and closes something without end.
fn spins(effect: &Effect) -> bool {
    matches!(
        effect,
        Effect::Spin { .. }
            | Effect::PanSpin { .. }
            | Effect::TiltSpin { .. }
            | Effect::IrisPulse { .. }
    )
}
