//! Every channel of a rig as one number over time.

use crate::decode::{CompiledChannel, CompiledMode, Plan};
use crate::profile::Effect;
use crate::wire::{Change, Frames, Slot, Universe};

/// The part of a fixture that a channel drives, which decides what times it takes from a cue and how
/// several lists share it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// How much light: dimmers, and emitters where a fixture has no dimmer. Of several lists the
    /// highest counts.
    Level,
    /// Where it points, and how it moves.
    Aim,
    /// Colour: wheels of tints, emitters, filters, temperature.
    Colour,
    /// What shapes the beam: patterns, prisms, zoom, focus, iris, frost, blades.
    Beam,
    /// Shutter and strobe.
    Shutter,
    /// What acts on the fixture itself: reset, lamp, switches, programs.
    Control,
}

/// One channel of one fixture.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// The fixture, as a place in the rig.
    pub fixture: usize,
    /// The channel, as a place in its mode.
    pub channel: usize,
    /// What it drives.
    pub part: Part,
    /// It jumps in a fade.
    pub snap: bool,
    /// The value at rest.
    pub rest: u32,
    /// Of a level: the value that gives no light, and the first and last value between which it is one.
    pub level: Option<LevelSpan>,
    universe: Option<Universe>,
    /// Its slots, coarse first; none past the end of the universe.
    slots: Vec<Option<Slot>>,
}

/// The values of a channel that are levels of light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelSpan {
    /// The value that gives no light, which may lie outside.
    pub zero: f64,
    /// The first value.
    pub first: u32,
    /// The last value.
    pub last: u32,
}

impl LevelSpan {
    /// How much light a value gives, in steps above none; below nothing for one that is no level.
    pub fn height(&self, value: u32) -> f64 {
        match (self.first..=self.last).contains(&value) {
            true => (f64::from(value) - self.zero).abs(),
            false => -1.0,
        }
    }
}

/// Every channel of a rig.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tracks {
    all: Vec<Track>,
    /// The first track of each fixture of the rig, and the end of the last.
    first: Vec<usize>,
}

impl Tracks {
    /// The channels of a compiled rig, fixture by fixture.
    pub fn new(plan: &Plan) -> Self {
        let mut tracks = Self::default();
        for (fixture, planned) in plan.fixtures().iter().enumerate() {
            tracks.first.push(tracks.all.len());
            let Some(mode) = &planned.mode else { continue };
            let dims = mode.channels.iter().any(|channel| does(channel, is_dimmer));
            for (place, channel) in mode.channels.iter().enumerate() {
                let slot_at = |offset: &u16| planned.address?.slot_at(*offset);
                let part = part(mode, channel, dims);
                tracks.all.push(Track {
                    fixture,
                    channel: place,
                    part,
                    snap: channel.snap,
                    rest: channel.default,
                    level: if part == Part::Level { level_span(channel) } else { None },
                    universe: planned.address.map(|address| address.universe),
                    slots: channel.offsets.iter().map(slot_at).collect(),
                });
            }
        }
        tracks.first.push(tracks.all.len());
        tracks
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// All of them, fixture by fixture in the rig's order.
    pub fn iter(&self) -> impl Iterator<Item = &Track> {
        self.all.iter()
    }

    /// One of them.
    pub fn get(&self, track: usize) -> Option<&Track> {
        self.all.get(track)
    }

    /// The tracks of a fixture, as places.
    pub fn of(&self, fixture: usize) -> std::ops::Range<usize> {
        let at = |place: usize| self.first.get(place).copied().unwrap_or(self.all.len());
        at(fixture)..at(fixture + 1)
    }

    /// The track of a channel of a fixture, both as places.
    pub fn find(&self, fixture: usize, channel: usize) -> Option<usize> {
        let own = self.of(fixture);
        (channel < own.len()).then_some(own.start + channel)
    }

    /// Sets the slots of a track to a value at its full resolution.
    pub fn put(&self, track: usize, value: u32, frames: &mut Frames) {
        let Some(track) = self.all.get(track) else { return };
        let Some(universe) = track.universe else { return };
        let width = track.slots.len();
        for (nth, slot) in track.slots.iter().enumerate() {
            if let Some(slot) = slot {
                frames.set(universe, *slot, (value >> (8 * (width - 1 - nth).min(3))) as u8);
            }
        }
    }

    /// The same, and notes which slots that changes from what they held with the track at `before`.
    pub(super) fn put_changes(
        &self,
        track: usize,
        before: Option<u32>,
        value: u32,
        frames: &mut Frames,
        changes: &mut Vec<Change>,
    ) {
        let Some(track) = self.all.get(track) else { return };
        let Some(universe) = track.universe else { return };
        let width = track.slots.len();
        for (nth, slot) in track.slots.iter().enumerate() {
            let byte = |value: u32| (value >> (8 * (width - 1 - nth).min(3))) as u8;
            let Some(slot) = *slot else { continue };
            if before.map(byte) != Some(byte(value)) {
                frames.set(universe, slot, byte(value));
                changes.push(Change { universe, slot, value: byte(value) });
            }
        }
    }

    /// What a rig holds with every channel at rest.
    pub fn at_rest(&self) -> Frames {
        let mut frames = Frames::default();
        for (place, track) in self.all.iter().enumerate() {
            self.put(place, track.rest, &mut frames);
        }
        frames
    }
}

fn is_dimmer(effect: &Effect) -> bool {
    matches!(effect, Effect::Dimmer { .. })
}

fn does(channel: &CompiledChannel, wanted: impl Fn(&Effect) -> bool) -> bool {
    channel.ranges.iter().any(|range| range.effects().any(&wanted))
}

/// The part that a channel drives: that of the effect which weighs most of those it has.
fn part(mode: &CompiledMode, channel: &CompiledChannel, dims: bool) -> Part {
    let emits = |effect: &Effect| matches!(effect, Effect::Emitter { .. });
    let colours = |effect: &Effect| {
        let tinted = || effect.wheel().is_some_and(|wheel| is_tinted(mode, wheel));
        matches!(effect, Effect::Filter { .. } | Effect::Temperature { .. }) || tinted()
    };
    if does(channel, is_dimmer) || !dims && does(channel, emits) {
        Part::Level
    } else if does(channel, Effect::aims) || does(channel, Effect::paces_aim) {
        Part::Aim
    } else if does(channel, |e| matches!(e, Effect::Shut | Effect::Open | Effect::Strobe { .. })) {
        Part::Shutter
    } else if does(channel, emits) || does(channel, colours) {
        Part::Colour
    } else if does(channel, Effect::acts_on_fixture) {
        Part::Control
    } else {
        Part::Beam
    }
}

/// Whether a wheel is one of colours: more of its slots are tints than anything else.
fn is_tinted(mode: &CompiledMode, wheel: &str) -> bool {
    use crate::profile::WheelSlot;
    let Some(wheel) = mode.profile.wheels.get(wheel) else { return false };
    let tints = wheel.slots.iter().filter(|slot| matches!(slot, WheelSlot::Tint(..))).count();
    let others =
        wheel.slots.iter().filter(|slot| !matches!(slot, WheelSlot::Tint(..) | WheelSlot::Open));
    tints > others.count()
}

/// The longest run of values of a channel that are levels.
fn level_span(channel: &CompiledChannel) -> Option<LevelSpan> {
    let levels = channel.ranges.iter().filter_map(|range| {
        let level =
            |effect: &&Effect| matches!(effect, Effect::Dimmer { .. } | Effect::Emitter { .. });
        let (a, b) = range.effects().find(level)?.physical()?.span;
        let (first, last) = (f64::from(range.first), f64::from(range.last));
        let zero = if a == b { first } else { first - a * (last - first) / (b - a) };
        Some(LevelSpan { zero, first: range.first, last: range.last })
    });
    levels.max_by_key(|span| span.last - span.first)
}
