//! The neutral heads: worked examples, no real fixture's charts. And a rig of them to send frames to.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::DVec3;
use slotwright::decode::{Asked, ChannelReading, Decoded, Plan, Reading};
use slotwright::light::Beam;
use slotwright::motion::{Pose, settle};
use slotwright::profile::{Profile, ProfileKey};
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead, Rig};
use slotwright::stage::{Room, Scene};
use slotwright::wire::{Frame, Frames, Slot, Universe};

/// A profile from the text of its file.
#[track_caller]
pub fn profile(text: &str) -> Arc<Profile> {
    match ron::from_str(text) {
        Ok(profile) => Arc::new(profile),
        Err(error) => panic!("a profile of the tests does not read: {error}"),
    }
}

/// Spot with a discharge lamp.
pub fn alder() -> Arc<Profile> {
    profile(include_str!("profiles/alder-16.ron"))
}

/// LED wash without a dimmer; the fine slots follow both coarse ones.
pub fn birch() -> Arc<Profile> {
    profile(include_str!("profiles/birch-12.ron"))
}

/// Fine slots before coarse ones; two slots whose meaning another slot chooses.
pub fn cedar() -> Arc<Profile> {
    profile(include_str!("profiles/cedar-14.ron"))
}

/// Three cells under one master.
pub fn dogwood() -> Arc<Profile> {
    profile(include_str!("profiles/dogwood-10.ron"))
}

/// One head in two modes that agree up to slot 4.
pub fn elm() -> Arc<Profile> {
    profile(include_str!("profiles/elm.ron"))
}

/// A still white head with these channels and, optionally, more of the profile: for what no neutral head
/// has.
#[track_caller]
pub fn still(slots: u16, channels: &str, more: &str) -> Arc<Profile> {
    profile(&format!(
        r#"(maker: "Neutral", model: "STILL", head: Fixed, source: White(flux_lm: 1000.0, cct_k: 5600.0),
            optics: (beam_deg: 20.0, field_deg: 30.0), {more}
            modes: [(name: "still", slots: {slots}, channels: [{channels}])])"#
    ))
}

/// ALDER-16 aimed straight ahead, dimmer full, shutter open, everything else at rest.
pub const ALDER_LIT: [u8; 16] = [128, 0, 128, 0, 0, 255, 40, 0, 0, 0, 128, 64, 0, 0, 0, 0];

/// Patched fixtures and what was sent to them.
pub struct Stage {
    pub rig: Rig,
    pub plan: Plan,
    pub frames: Frames,
    pub decoded: Decoded,
}

/// A fixture of a profile's first mode that hangs at 6 m.
pub fn fixture(profile: &Profile, id: u32, first_slot: u16) -> Fixture {
    let ProfileKey(key) = profile.key();
    Fixture {
        id,
        label: format!("head {id}"),
        profile: key,
        mode: profile.modes[0].name.clone(),
        address: Slot::new(first_slot).map(|slot| Address { universe: Universe::ONE, slot }),
        at: DVec3::Z * 6.0,
        hang: Hang::Hung,
        aim: Aim::default(),
        in_head: InHead::default(),
    }
}

impl Stage {
    /// Fixtures of these profiles, to which nothing was sent yet.
    pub fn of(profiles: &[Arc<Profile>], rig: Rig) -> Self {
        let by_key: BTreeMap<String, Arc<Profile>> =
            profiles.iter().map(|profile| (profile.key().0, profile.clone())).collect();
        let plan = Plan::new(&rig, &by_key);
        let decoded = plan.start();
        Self { rig, plan, frames: Frames::default(), decoded }
    }

    /// One fixture of the profile's first mode at slot 1.
    pub fn one(profile: &Arc<Profile>) -> Self {
        Self::of(std::slice::from_ref(profile), vec![fixture(profile, 1, 1)])
    }

    /// One fixture at slot 1 to which these levels were sent.
    #[track_caller]
    pub fn sent(profile: &Arc<Profile>, levels: &[u8]) -> Self {
        let mut stage = Self::one(profile);
        stage.send(&Frame::levels(levels).expect("a frame of at most 512 slots"));
        stage
    }

    /// Takes a frame of universe 1 in. Returns whether it carried levels.
    pub fn send(&mut self, frame: &Frame) -> bool {
        let taken = self.frames.universe_mut(Universe::ONE).apply(frame);
        self.plan.decode(&self.frames, &mut self.decoded);
        taken
    }

    /// What is asked of a fixture.
    #[track_caller]
    pub fn reading(&self, fixture: usize) -> Reading<'_> {
        self.plan.reading(fixture, &self.frames, &self.decoded).expect("the fixture has a profile")
    }

    /// What is asked of a channel of the first fixture.
    #[track_caller]
    pub fn channel(&self, name: &str) -> ChannelReading<'_> {
        let reading = self.reading(0);
        let index = reading.mode.channels.iter().position(|channel| channel.name == name);
        index.and_then(|index| reading.channel(index)).expect("the mode has that channel")
    }

    /// What is asked of the first fixture as a whole.
    #[track_caller]
    pub fn asked(&self) -> Asked {
        self.reading(0).asked()
    }

    /// What the first fixture does once it had the time.
    #[track_caller]
    pub fn pose(&self) -> Pose {
        self.pose_of(0)
    }

    /// What a fixture does once it had the time.
    #[track_caller]
    pub fn pose_of(&self, index: usize) -> Pose {
        let reading = self.reading(index);
        let fixture = &self.rig[index];
        settle(&reading.mode.profile, &fixture.aim, &fixture.in_head, &reading.asked())
    }

    /// Everything in a room of this size.
    pub fn scene_in(&self, room: &Room) -> Scene {
        Scene::new(room, &self.rig, &self.plan, &self.frames, &self.decoded)
    }

    /// The beams that leave the fixtures.
    pub fn beams(&self) -> Vec<Beam> {
        self.scene_in(&Room::default()).beams
    }
}

/// ALDER-16 lit, with these of its slots (from 1) at other levels.
pub fn alder_with(changes: &[(usize, u8)]) -> Stage {
    let mut levels = ALDER_LIT;
    for (slot, level) in changes {
        levels[slot - 1] = *level;
    }
    Stage::sent(&alder(), &levels)
}
