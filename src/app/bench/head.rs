//! The test head: one fixture of the edited profile, alone in a small room.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::DVec3;

use super::Bench;
use crate::app::command::Command;
use crate::app::state::{Exposure, State};
use crate::decode::split;
use crate::profile::edit::ranges::layer_of;
use crate::profile::model::{Channel, Condition, Mode};
use crate::profile::{Effect, Profile};
use crate::rig::{Address, Fixture, Hang};
use crate::show::{Document, Show};
use crate::stage::Room;
use crate::wire::{Frames, SLOTS, Slot, Universe};

/// Height at which the test head hangs, in metres.
const HEIGHT_M: f64 = 3.0;

/// The room: small enough that a beam from its ceiling fills it.
fn room() -> Room {
    Room { width_m: 6.0, depth_m: 4.0, front_m: 2.0, height_m: 3.5, ..Room::default() }
}

/// A show with one fixture of a profile. What was set up for the fixture before stays.
pub fn test_show(profile: &Arc<Profile>, mode: usize, before: Option<&Fixture>) -> Show {
    let key = profile.key().0;
    let named = profile.modes.get(mode).map_or_else(String::new, |mode| mode.name.clone());
    let fixture = match before {
        Some(fixture) => Fixture { profile: key.clone(), mode: named, ..fixture.clone() },
        None => Fixture {
            id: 1,
            label: "Test head".to_owned(),
            profile: key.clone(),
            mode: named,
            address: Slot::new(1).map(|slot| Address { universe: Universe::ONE, slot }),
            at: DVec3::new(0.0, 1.0, HEIGHT_M),
            hang: Hang::Hung,
            aim: Default::default(),
            in_head: Default::default(),
        },
    };
    Show {
        name: key.clone(),
        notes: String::new(),
        room: room(),
        profiles: BTreeMap::from([(key, profile.clone())]),
        profile_files: Vec::new(),
        rig: vec![fixture],
        looks: Vec::new(),
        levels: Frames::default(),
        cues: crate::cue::Cues::default(),
    }
}

/// Frames in which every slot of a mode is sent and channels stand at `value_of`.
fn frames(mode: &Mode, value_of: impl Fn(usize, &Channel) -> u32) -> Frames {
    let mut frames = Frames::default();
    for slot in (1..=mode.slots.min(SLOTS as u16)).filter_map(Slot::new) {
        frames.set(Universe::ONE, slot, 0);
    }
    for (i, channel) in mode.channels.iter().enumerate() {
        let bytes = split(value_of(i, channel), channel.at.len());
        for (slot, byte) in channel.at.iter().zip(bytes) {
            if let Some(slot) = Slot::new(*slot) {
                frames.set(Universe::ONE, slot, byte);
            }
        }
    }
    frames
}

/// The value at which a channel lets light through: a dimmer or emitter at full, an open shutter; else
/// its value at rest.
fn lit_value(channel: &Channel) -> u32 {
    let width = channel.at.len();
    let rest = channel.default.min(channel.max_value());
    let at_rest = channel.ranges.iter().find(|range| {
        range.bounds(width).is_some_and(|(first, last)| (first..=last).contains(&rest))
    });
    let opens = |effect: &Effect| matches!(effect, Effect::Open);
    if at_rest.is_some_and(|range| range.effects().any(opens)) {
        return rest;
    }
    for range in channel.ranges.iter().filter(|range| range.when.is_empty()) {
        let Some((first, last)) = range.bounds(width) else { continue };
        for effect in range.effects() {
            match effect {
                Effect::Dimmer { percent: (a, b), .. }
                | Effect::Emitter { percent: (a, b), .. } => {
                    return if a > b { first } else { last };
                }
                Effect::Open => return first,
                _ => {}
            }
        }
    }
    rest
}

/// Brings a value over to a channel of another width.
fn carried((value, width): (u32, usize), channel: &Channel) -> u32 {
    let new = channel.at.len();
    let by = 8 * new.abs_diff(width) as u32;
    let value = if new > width { value.checked_shl(by) } else { value.checked_shr(by) };
    value.unwrap_or(0).min(channel.max_value())
}

impl State {
    /// Puts another state of the test head's show in its place, with another rig: everything but its
    /// undo steps goes on. `anew`: the automatic exposure is found anew.
    fn revise(&mut self, show: Show, anew: bool) {
        self.document = Document::new(show, None);
        self.plan_anew();
        self.reading.typing = None;
        self.follow(true, if anew { Exposure::Anew } else { Exposure::Held });
    }
}

impl Bench {
    /// The value that a channel of the test head holds.
    pub fn value(&self, channel: usize) -> Option<u32> {
        let frames = self.head.frames();
        let reading = self.head.plan.reading(0, frames, &self.head.decoded)?;
        reading.channel(channel)?.held.value()
    }

    /// The slot of the test head's universe that a slot of the fixture is.
    fn slot(&self, offset: u16) -> Option<(Universe, Slot)> {
        let address = self.head.show().rig.first()?.address?;
        Some((address.universe, address.slot_at(offset)?))
    }

    /// The command that gives a channel of the test head a value.
    pub(super) fn set_value(&self, channel: usize, value: u32, gesture: bool) -> Option<Command> {
        let channel = self.mode()?.channels.get(channel)?;
        let bytes = split(value.min(channel.max_value()), channel.at.len());
        let slots = channel.at.iter().map(|offset| self.slot(*offset));
        let values: Vec<(Slot, u8)> =
            slots.zip(bytes).filter_map(|(slot, byte)| Some((slot?.1, byte))).collect();
        let universe = self.head.show().rig.first()?.address?.universe;
        Some(Command::SetSlots { universe, values, gesture })
    }

    /// Levels in which the test head's channels stand where `value_of` says.
    fn levels(&self, value_of: impl Fn(usize, &Channel) -> u32) -> Frames {
        let mut levels = Frames::default();
        let Some(mode) = self.mode() else { return levels };
        for (_, held) in frames(mode, value_of).iter() {
            for (slot, byte) in held.known() {
                // The frame of a fixture's own slots, moved to its address.
                if let Some((universe, slot)) = self.slot(slot.number()) {
                    levels.set(universe, slot, byte);
                }
            }
        }
        levels
    }

    /// Puts the test head's channels where `value_of` says.
    fn put(&mut self, value_of: impl Fn(usize, &Channel) -> u32) {
        let show = Show { levels: self.levels(value_of), ..self.head.show().clone() };
        self.head.revise(show, true);
        self.head.selection = vec![0];
    }

    /// Lets the test head give light.
    pub(super) fn light(&mut self) {
        self.put(|_, channel| lit_value(channel));
    }

    /// Puts every channel of the test head to rest.
    pub(super) fn rest(&mut self) {
        self.put(|_, channel| channel.default.min(channel.max_value()));
    }

    /// Brings the test head up to the profile as it stands. A channel keeps its value, by its name or,
    /// where that is new, by its first slot.
    pub(super) fn rebuild(&mut self, anew: bool) {
        let held: Vec<(String, u16, u32, usize)> = self.compiled().map_or_else(Vec::new, |mode| {
            let channels = mode.channels.iter().enumerate();
            let known = channels.filter_map(|(i, channel)| {
                let first = *channel.offsets.first()?;
                Some((channel.name.clone(), first, self.value(i)?, channel.offsets.len()))
            });
            known.collect()
        });
        let names: Vec<String> = match self.mode() {
            Some(mode) => mode.channels.iter().map(|channel| channel.name.clone()).collect(),
            None => Vec::new(),
        };
        let levels = self.levels(|_, channel| {
            let by_name = held.iter().find(|(name, ..)| *name == channel.name);
            let by_slot = || {
                held.iter().find(|(name, first, ..)| {
                    channel.at.first() == Some(first) && !names.contains(name)
                })
            };
            match by_name.or_else(by_slot) {
                Some((.., value, width)) => carried((*value, *width), channel),
                None => lit_value(channel),
            }
        });
        let before = self.head.show().rig.first().cloned();
        let show = test_show(self.document.profile(), self.focus.mode, before.as_ref());
        self.head.revise(Show { levels, ..show }, anew);
        self.head.selection = vec![0];
    }

    /// Values for other channels with which a range holds, where it does not as things stand.
    pub(super) fn meet(&self, when: &[Condition]) -> Vec<(usize, u32)> {
        let Some(mode) = self.mode() else { return Vec::new() };
        let wanted = when.iter().filter_map(|Condition(name, first, last)| {
            let place = mode.channels.iter().position(|channel| channel.name == *name)?;
            let width = mode.channels[place].at.len();
            let shift = 8 * width.saturating_sub(1) as u32;
            let coarse = i64::from(self.value(place)?.checked_shr(shift).unwrap_or(0));
            let middle = u32::try_from((first + last) / 2).ok()?;
            (!(*first..=*last).contains(&coarse))
                .then(|| (place, middle.checked_shl(shift).unwrap_or(0)))
        });
        wanted.collect()
    }

    /// The range of a channel that its value on the test head lies in, of the layer of `when`.
    pub(super) fn range_at_value(&self, when: &[Condition], value: u32) -> Option<usize> {
        let layer = layer_of(self.channel()?, when);
        let found = layer.iter().find(|(_, first, last)| (*first..=*last).contains(&value));
        found.map(|(i, ..)| *i)
    }
}
