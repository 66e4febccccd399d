//! A small rig on the shipped profiles, for the panels.

use std::collections::BTreeMap;
use std::sync::Arc;

use slotwright::app::Command;
use slotwright::decode::{Decoded, Plan};
use slotwright::profile::Profile;
use slotwright::rig::{Address, Fixture, InHead, Rig};
use slotwright::wire::{Frame, Frames, Slot, Universe};

/// A rig, its plan and what it holds.
pub struct Bench {
    pub rig: Rig,
    pub plan: Plan,
    pub frames: Frames,
    pub decoded: Decoded,
    pub selection: Vec<usize>,
    pub universe: Universe,
    /// Everything asked for so far.
    pub commands: Vec<Command>,
}

pub fn universe(number: u32) -> Universe {
    Universe::new(number).expect("a universe")
}

pub fn slot(number: u16) -> Slot {
    Slot::new(number).expect("a slot")
}

const FILES: [&str; 3] = [
    include_str!("../../assets/profiles/tarnfell-s1-spot.ron"),
    include_str!("../../assets/profiles/ockerwick-w19-wash.ron"),
    include_str!("../../assets/profiles/saltgrave-cobble.ron"),
];

impl Bench {
    /// Fixtures as `(number, label, words of the profile's name, mode, universe, slot)`.
    pub fn new(fixtures: &[(u32, &str, &str, usize, u32, u16)]) -> Self {
        let mut profiles: BTreeMap<String, Arc<Profile>> = BTreeMap::new();
        for file in FILES {
            let profile: Profile = ron::from_str(file).expect("a shipped profile");
            let name = format!("{} {}", profile.maker, profile.model);
            profiles.insert(name, Arc::new(profile));
        }
        let rig: Rig = fixtures
            .iter()
            .map(|(id, label, words, mode, u, s)| {
                let (name, profile) =
                    profiles.iter().find(|(n, _)| n.contains(words)).expect("a shipped profile");
                Fixture {
                    id: *id,
                    label: (*label).to_owned(),
                    profile: name.clone(),
                    mode: profile.modes[*mode].name.clone(),
                    address: Some(Address { universe: universe(*u), slot: slot(*s) }),
                    at: glam::DVec3::ZERO,
                    hang: slotwright::rig::Hang::default(),
                    aim: slotwright::rig::Aim::default(),
                    in_head: InHead::default(),
                }
            })
            .collect();
        let plan = Plan::new(&rig, &profiles);
        let decoded = plan.start();
        let mut bench = Self {
            rig,
            plan,
            frames: Frames::default(),
            decoded,
            selection: vec![0],
            universe: Universe::ONE,
            commands: Vec::new(),
        };
        bench.rest();
        bench
    }

    /// Two spots, two more in another universe, two washes and a par.
    pub fn usual() -> Self {
        Self::new(&[
            (101, "Spot left", "Spot", 1, 1, 17),
            (102, "Spot right", "Spot", 1, 1, 33),
            (103, "Spot far", "Spot", 1, 2, 17),
            (201, "Wash left", "W19", 0, 1, 65),
            (301, "Par", "Cobble", 0, 1, 200),
        ])
    }

    /// Sends every fixture its values at rest, in full frames.
    fn rest(&mut self) {
        let mut values: BTreeMap<Universe, Vec<u8>> = BTreeMap::new();
        for fixture in self.plan.fixtures() {
            let (mode, address) =
                (fixture.mode.as_ref().expect("known"), fixture.address.expect("patched"));
            let slots = values.entry(address.universe).or_insert_with(|| vec![0; 512]);
            for channel in &mode.channels {
                let bytes = slotwright::decode::split(channel.default, channel.offsets.len());
                for (offset, byte) in channel.offsets.iter().zip(bytes) {
                    if let Some(slot) = address.slot_at(*offset) {
                        slots[slot.index()] = byte;
                    }
                }
            }
        }
        for (universe, slots) in values {
            self.frames.universe_mut(universe).apply(&Frame::levels(slots).expect("512 slots"));
        }
        self.plan.decode(&self.frames, &mut self.decoded);
    }

    /// Sets a slot and decodes.
    pub fn set(&mut self, u: u32, s: u16, value: u8) {
        self.frames.set(universe(u), slot(s), value);
        self.plan.decode(&self.frames, &mut self.decoded);
    }

    /// The value a slot holds.
    pub fn value(&self, u: u32, s: u16) -> Option<u8> {
        self.frames.state(universe(u), slot(s)).value()
    }

    /// Does what the panels asked for, and keeps a list of it.
    pub fn apply(&mut self, commands: Vec<Command>) {
        for command in &commands {
            match command {
                Command::SetSlots { universe, values, .. } => {
                    for (slot, value) in values {
                        self.frames.set(*universe, *slot, *value);
                    }
                }
                Command::Select { fixtures, .. } => self.selection.clone_from(fixtures),
                Command::ShowUniverse(universe) => self.universe = *universe,
                _ => {}
            }
        }
        self.commands.extend(commands);
        self.plan.decode(&self.frames, &mut self.decoded);
    }

    /// How many steps of undo the edits so far would make.
    pub fn undo_steps(&self) -> usize {
        let mut steps = 0;
        let mut open = false;
        for command in &self.commands {
            match command {
                Command::SetSlots { gesture, .. } => {
                    steps += usize::from(!(*gesture && open));
                    open = *gesture;
                }
                Command::EndGesture => open = false,
                _ => {}
            }
        }
        steps
    }
}
