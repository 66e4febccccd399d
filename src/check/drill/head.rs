//! A head by itself on which exercises are made and answers are tried.

use std::sync::Arc;

use glam::DVec3;

use super::outcome::Outcome;
use crate::check::light_on::lit_values;
use crate::decode::{Asked, CompiledMode, Decoded, Plan, Reading, split, values_for};
use crate::light::beam::add_beams;
use crate::motion::settle;
use crate::profile::{Effect, Unit};
use crate::rig::{Address, Aim, Fixture, Hang, InHead};
use crate::stage::{Room, Scene};
use crate::wire::{Frames, SLOTS, Slot, Universe};

/// How high the head hangs, in metres.
const HANGS_M: f64 = 4.5;

/// Width and depth of its room, in metres.
const ROOM_M: f64 = 6.0;

/// Where the head looks while aim plays no part, in degrees upstage: straight down it would hide its own light.
const TIPPED_DEG: f64 = 22.0;

/// A head of one mode at slot 1 of universe 1, in a small room of its own.
#[derive(Debug)]
pub struct TestHead {
    /// Its mode.
    pub mode: Arc<CompiledMode>,
    /// Where it hangs.
    pub fixture: Fixture,
    /// The room.
    pub room: Room,
    plan: Plan,
    frames: Frames,
    decoded: Decoded,
    asked: Asked,
    rest: Vec<u8>,
    lit: Vec<u8>,
}

impl TestHead {
    /// A head of a mode.
    pub fn new(mode: &Arc<CompiledMode>) -> Self {
        let mut head = Self::bare(mode);
        let lit = &mut head.lit;
        let up = lit_values(mode);
        for channel in &mode.channels {
            if let Some(value) = up.get(&channel.name) {
                put(lit, &channel.offsets, *value);
            }
        }
        let tilts = |effect: &Effect| matches!(effect, Effect::Tilt { .. });
        let tilt = mode.channels.iter().find(|c| c.ranges.iter().any(|r| r.effects().any(tilts)));
        if let Some(tilt) = tilt
            && let Some(tipped) = values_for(tilt, TIPPED_DEG, Unit::Degree).first()
        {
            put(lit, &tilt.offsets, tipped.value);
        }
        head
    }

    /// The same without looking for what gives light: [`Self::lit`] is then as at rest.
    pub(super) fn bare(mode: &Arc<CompiledMode>) -> Self {
        let address = Slot::new(1).map(|slot| Address { universe: Universe::ONE, slot });
        let fixture = Fixture {
            id: 1,
            label: "Practice head".to_owned(),
            profile: mode.profile.key().0,
            mode: mode.name.clone(),
            address,
            at: DVec3::new(0.0, ROOM_M / 2.0, HANGS_M),
            hang: Hang::Hung,
            aim: Aim::default(),
            in_head: InHead::default(),
        };
        let room = Room {
            width_m: ROOM_M,
            depth_m: ROOM_M,
            front_m: 0.0,
            height_m: HANGS_M + 0.3,
            ..Room::default()
        };
        let plan = Plan::from_modes([(Some(mode.clone()), address)]);
        let decoded = plan.start();
        let mut rest = vec![0; usize::from(mode.footprint).min(SLOTS)];
        for channel in &mode.channels {
            put(&mut rest, &channel.offsets, channel.default);
        }
        let asked = Asked::for_mode(mode);
        let frames = Frames::default();
        Self {
            mode: mode.clone(),
            fixture,
            room,
            plan,
            frames,
            decoded,
            asked,
            lit: rest.clone(),
            rest,
        }
    }

    /// Its slots at rest; `[0]` is the head's first slot.
    pub fn at_rest(&self) -> &[u8] {
        &self.rest
    }

    /// Its slots when it gives light, tipped upstage if it can be, and otherwise at rest.
    pub fn lit(&self) -> &[u8] {
        &self.lit
    }

    /// What values of its slots come to. Slots past the last one given keep what they had before.
    pub fn outcome(&mut self, slots: &[u8]) -> Outcome {
        self.send(slots);
        Outcome::new(&self.asked)
    }

    /// Whether light leaves it with these values, once everything has arrived.
    pub fn gives_light(&mut self, slots: &[u8]) -> bool {
        self.send(slots);
        let profile = &self.mode.profile;
        let pose = settle(profile, &self.fixture.aim, &self.fixture.in_head, &self.asked);
        let mut beams = Vec::new();
        add_beams(0, &self.fixture, profile, &pose, &mut beams);
        !beams.is_empty()
    }

    /// What one of its channels does with these values, in the words of the chart: the channel, the range and
    /// how much.
    pub fn channel_words(&mut self, channel: usize, slots: &[u8]) -> Option<String> {
        self.send(slots);
        let reading = self.reading()?.channel(channel)?;
        let name = &reading.channel.name;
        let Some(range) = reading.range else { return Some(format!("{name}: nothing (no range)")) };
        let much = reading.words();
        Some(match much == range.label {
            true => format!("{name}: {much}"),
            false => format!("{name}: {}, {much}", range.label),
        })
    }

    /// The stage with these values, once everything has arrived.
    pub fn scene(&mut self, slots: &[u8]) -> Scene {
        self.send(slots);
        let rig = vec![self.fixture.clone()];
        Scene::new(&self.room, &rig, &self.plan, &self.frames, &self.decoded)
    }

    fn reading(&self) -> Option<Reading<'_>> {
        self.plan.reading(0, &self.frames, &self.decoded)
    }

    fn send(&mut self, slots: &[u8]) {
        let values = slots.iter().take(SLOTS).enumerate();
        for (slot, value) in values.filter_map(|(i, value)| Some((Slot::from_index(i)?, *value))) {
            self.frames.set(Universe::ONE, slot, value);
        }
        self.plan.decode(&self.frames, &mut self.decoded);
        if let Some(reading) = self.plan.reading(0, &self.frames, &self.decoded) {
            reading.ask(&mut self.asked);
        }
    }
}

/// Puts a value into the slots of a channel; offsets count from 1.
pub(super) fn put(slots: &mut [u8], offsets: &[u16], value: u32) {
    for (offset, byte) in offsets.iter().zip(split(value, offsets.len())) {
        if let Some(slot) = usize::from(*offset).checked_sub(1).and_then(|i| slots.get_mut(i)) {
            *slot = byte;
        }
    }
}

/// The byte at an offset, which counts from 1; 0 past the last.
pub(super) fn byte(slots: &[u8], offset: u16) -> u8 {
    usize::from(offset).checked_sub(1).and_then(|i| slots.get(i)).copied().unwrap_or(0)
}
