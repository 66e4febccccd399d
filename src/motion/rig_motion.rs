//! Every fixture of a rig over time.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::head::HeadMotion;
use super::model::HeadModel;
use super::pose::Pose;
use crate::decode::parts::Parts;
use crate::decode::{Asked, CompiledMode, Decoded, Override, Plan};
use crate::rig::Rig;
use crate::wire::{Frames, Levels, SlotSet, Universe};

/// Every fixture of a rig over time. Stepping it allocates nothing. A clone is a snapshot: what the
/// models can do is shared.
#[derive(Clone, Debug, Default)]
pub struct RigMotion {
    heads: Vec<Option<Entry>>,
    /// Fixtures of one mode in one universe by address: those that can lead each other.
    groups: Arc<[Vec<usize>]>,
    /// Room for what is asked, one for each mode.
    asked: Vec<Asked>,
    /// What was held of each universe when the last frame came, and what that frame changed.
    held: Vec<Held>,
    now_s: f64,
}

#[derive(Clone, Debug)]
struct Entry {
    head: HeadMotion,
    /// Its universe, as a place in those held, and its first slot there, from 0; `None` without an
    /// address.
    address: Option<(usize, usize)>,
    group: usize,
    asked: usize,
    /// It does what another one is asked.
    follows: bool,
}

#[derive(Clone, Debug)]
struct Held {
    universe: Universe,
    levels: Levels,
    /// The slots that the last frame changed.
    changed: SlotSet,
}

impl RigMotion {
    /// All heads as they stand at rest, with nothing sent. `plan` must be of this rig.
    pub fn at_rest(rig: &Rig, plan: &Plan, t_s: f64) -> Self {
        let mut motion = Self { now_s: t_s, ..Self::default() };
        let mut models: BTreeMap<*const CompiledMode, (Arc<HeadModel>, usize)> = BTreeMap::new();
        let mut groups: BTreeMap<(usize, Option<usize>), Vec<usize>> = BTreeMap::new();
        for (i, (fixture, planned)) in rig.iter().zip(plan.fixtures()).enumerate() {
            let Some(mode) = &planned.mode else {
                motion.heads.push(None);
                continue;
            };
            let address = planned
                .address
                .map(|address| (motion.place_of(address.universe), address.slot.index()));
            let (model, asked) = models.entry(Arc::as_ptr(mode)).or_insert_with(|| {
                motion.asked.push(Asked::for_mode(mode));
                (Arc::new(HeadModel::new(mode)), motion.asked.len() - 1)
            });
            let seed = u64::from(fixture.id);
            let universe = address.map(|(universe, _)| universe);
            groups.entry((*asked, universe)).or_default().push(i);
            motion.heads.push(Some(Entry {
                head: HeadMotion::at_rest(model.clone(), &fixture.aim, &fixture.in_head, t_s, seed),
                address,
                group: 0,
                asked: *asked,
                follows: false,
            }));
        }
        for (group, members) in groups.values_mut().enumerate() {
            members.sort_by_key(|i| plan.fixtures()[*i].address);
            for i in members {
                if let Some(entry) = &mut motion.heads[*i] {
                    entry.group = group;
                }
            }
        }
        motion.groups = groups.into_values().collect();
        motion
    }

    /// Where a universe is kept, which it is from now on.
    fn place_of(&mut self, universe: Universe) -> usize {
        let known = self.held.iter().position(|held| held.universe == universe);
        known.unwrap_or_else(|| {
            let (levels, changed) = (Levels::default(), SlotSet::default());
            self.held.push(Held { universe, levels, changed });
            self.held.len() - 1
        })
    }

    /// Keeps what is held of one universe, or of every one, and notes which changed.
    fn hold(&mut self, only: Option<Universe>, frames: &Frames) {
        for held in self.held.iter_mut().filter(|held| only.is_none_or(|u| u == held.universe)) {
            held.changed = SlotSet::default();
            let Some(levels) = frames.get(held.universe) else { continue };
            if *levels != held.levels {
                held.changed = levels.changed_since(&held.levels);
                held.levels.clone_from(levels);
            }
        }
    }

    /// All heads arrived where these frames ask them to be. `decoded` must hold the same frames,
    /// through `plan`, which must be of this rig.
    pub fn arrived(rig: &Rig, plan: &Plan, frames: &Frames, decoded: &Decoded, t_s: f64) -> Self {
        let mut motion = Self::at_rest(rig, plan, t_s);
        motion.hold(None, frames);
        for (i, fixture) in rig.iter().enumerate() {
            motion.read(i, plan, decoded, Parts::ALL);
            if let Some(Some(entry)) = motion.heads.get_mut(i) {
                let asked = &motion.asked[entry.asked];
                let (model, seed) = (entry.head.model().clone(), u64::from(fixture.id));
                let (aim, in_head) = (&fixture.aim, &fixture.in_head);
                entry.head = HeadMotion::arrived(model, aim, in_head, asked, t_s, seed);
            }
        }
        motion
    }

    /// A frame of every universe came, and asks this from `t_s` on. `decoded` must hold what the frames
    /// do, through `plan`, of which this is. A universe that stands as it did costs a comparison, a head
    /// whose slots do another.
    pub fn frame(&mut self, t_s: f64, plan: &Plan, frames: &Frames, decoded: &Decoded) {
        self.hold(None, frames);
        self.take(t_s, None, plan, decoded);
    }

    /// A frame of one universe came: the others hear nothing.
    pub fn frame_of(
        &mut self,
        t_s: f64,
        universe: Universe,
        plan: &Plan,
        frames: &Frames,
        decoded: &Decoded,
    ) {
        self.hold(Some(universe), frames);
        if let Some(place) = self.held.iter().position(|held| held.universe == universe) {
            self.take(t_s, Some(place), plan, decoded);
        }
    }

    /// Takes a frame to the heads of one universe, or of all.
    fn take(&mut self, t_s: f64, only: Option<usize>, plan: &Plan, decoded: &Decoded) {
        self.now_s = self.now_s.max(t_s);
        for i in 0..self.heads.len() {
            let Some(Some(entry)) = self.heads.get_mut(i) else { continue };
            let universe = entry.address.map(|(universe, _)| universe);
            if only.is_some() && universe != only {
                continue;
            }
            entry.head.advance(t_s);
            let again = entry.follows || entry.head.lost_since_s().is_some();
            let parts = match entry.address {
                _ if again => Parts::ALL,
                Some((universe, first)) => {
                    plan.parts_changed(i, first, &self.held[universe].changed)
                }
                None => Parts::NONE,
            };
            if parts == Parts::NONE {
                entry.head.heard(t_s);
                continue;
            }
            let parts = self.read(i, plan, decoded, parts);
            if let Some(Some(entry)) = self.heads.get_mut(i) {
                entry.head.ask_parts(t_s, &self.asked[entry.asked], parts);
            }
        }
    }

    /// Reads what is asked of some parts of a head into its mode's room, and says which these are. One
    /// that is set to follow is asked what the first of its mode in its universe that does not follow is
    /// asked, of all parts; where there is none, or a program runs that one, nothing is known.
    fn read(&mut self, i: usize, plan: &Plan, decoded: &Decoded, parts: Parts) -> Parts {
        let Some(Some(entry)) = self.heads.get_mut(i) else { return parts };
        let asked = &mut self.asked[entry.asked];
        let levels = entry.address.map(|(universe, _)| &self.held[universe].levels);
        let Some(reading) = plan.reading_of(i, levels, decoded) else { return parts };
        reading.ask_parts(asked, parts);
        if !parts.meet(Parts::CONTROL) {
            return parts;
        }
        entry.follows = matches!(asked.overridden_by, Some(Override::Follow { .. }));
        if !entry.follows {
            return parts;
        }
        if parts != Parts::ALL {
            reading.ask(asked);
        }
        let follow = asked.overridden_by.take();
        let others = self.groups.get(entry.group).map_or(&[][..], Vec::as_slice);
        for other in others.iter().filter(|other| **other != i) {
            let Some(other) = plan.reading_of(*other, levels, decoded) else { continue };
            other.ask(asked);
            match asked.overridden_by {
                None => return Parts::ALL,
                Some(Override::Follow { .. }) => {}
                Some(_) => break,
            }
        }
        asked.overridden_by = follow;
        Parts::ALL
    }

    /// No frame has come for a universe since the one at `last_s`: see [`HeadMotion::lost`].
    pub fn lost(&mut self, universe: Universe, last_s: f64) {
        let Some(place) = self.held.iter().position(|held| held.universe == universe) else {
            return;
        };
        for entry in self.heads.iter_mut().flatten() {
            if entry.address.is_some_and(|(universe, _)| universe == place) {
                entry.head.lost(last_s);
            }
        }
    }

    /// No frame has come for any universe since those at `last_s`: see [`HeadMotion::lost`].
    pub fn lost_everywhere(&mut self, last_s: f64) {
        for entry in self.heads.iter_mut().flatten().filter(|entry| entry.address.is_some()) {
            entry.head.lost(last_s);
        }
    }

    /// Works in what happens by itself up to `t_s`.
    pub fn advance(&mut self, t_s: f64) {
        self.now_s = self.now_s.max(t_s);
        for entry in self.heads.iter_mut().flatten() {
            entry.head.advance(t_s);
        }
    }

    /// The time up to which it was asked or advanced.
    pub fn now_s(&self) -> f64 {
        self.now_s
    }

    /// A head, as a place in the rig; `None` where the rig names a profile or mode that is not to be
    /// had.
    pub fn head(&self, fixture: usize) -> Option<&HeadMotion> {
        self.heads.get(fixture)?.as_ref().map(|entry| &entry.head)
    }

    /// What every fixture does at a time from the last frame on, in the rig's order.
    pub fn poses_at(&self, t_s: f64) -> Vec<Option<Pose>> {
        let mut poses = Vec::new();
        self.fill_poses(t_s, &mut poses);
        poses
    }

    /// The same, into poses that are kept. Allocates nothing once they have room and
    /// [`Self::advance`] was called for this time.
    pub fn fill_poses(&self, t_s: f64, poses: &mut Vec<Option<Pose>>) {
        poses.resize_with(self.heads.len(), || None);
        for (entry, pose) in self.heads.iter().zip(poses) {
            match entry {
                Some(entry) => entry.head.fill_pose(t_s, pose.get_or_insert_default()),
                None => *pose = None,
            }
        }
    }
}
