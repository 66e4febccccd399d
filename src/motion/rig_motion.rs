//! Every fixture of a rig over time.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::head::HeadMotion;
use super::model::HeadModel;
use super::pose::Pose;
use crate::decode::{Asked, CompiledMode, Decoded, Override, Plan, Reading};
use crate::rig::Rig;
use crate::wire::{Frames, Levels, Universe};

/// Every fixture of a rig over time. Stepping it allocates nothing. A clone is a snapshot: what the
/// models can do is shared.
#[derive(Clone, Debug, Default)]
pub struct RigMotion {
    heads: Vec<Option<Entry>>,
    /// Fixtures of one mode in one universe by address: those that can lead each other.
    groups: Arc<[Vec<usize>]>,
    /// Room for what is asked, one for each mode.
    asked: Vec<Asked>,
    /// What was held of each universe when the last frame came, and whether that frame changed it.
    held: Vec<Held>,
    now_s: f64,
}

#[derive(Clone, Debug)]
struct Entry {
    head: HeadMotion,
    /// Its universe, as a place in those held; `None` without an address.
    universe: Option<usize>,
    group: usize,
    asked: usize,
    /// Its slots as they were when it was last asked; [`NEVER_SENT`] and values.
    slots: Vec<u16>,
    /// It does what another one is asked.
    follows: bool,
}

#[derive(Clone, Debug)]
struct Held {
    universe: Universe,
    levels: Levels,
    changed: bool,
}

/// Stands for a slot that was never sent, or not asked about yet.
const NEVER_SENT: u16 = u16::MAX;

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
            let universe = planned.address.map(|address| motion.place_of(address.universe));
            let (model, asked) = models.entry(Arc::as_ptr(mode)).or_insert_with(|| {
                motion.asked.push(Asked::for_mode(mode));
                (Arc::new(HeadModel::new(mode)), motion.asked.len() - 1)
            });
            let seed = u64::from(fixture.id);
            groups.entry((*asked, universe)).or_default().push(i);
            motion.heads.push(Some(Entry {
                head: HeadMotion::at_rest(model.clone(), &fixture.aim, &fixture.in_head, t_s, seed),
                universe,
                group: 0,
                asked: *asked,
                slots: vec![NEVER_SENT; usize::from(mode.footprint)],
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
            self.held.push(Held { universe, levels: Levels::default(), changed: false });
            self.held.len() - 1
        })
    }

    /// Keeps what is held of one universe, or of every one, and notes which changed.
    fn hold(&mut self, only: Option<Universe>, frames: &Frames) {
        for held in self.held.iter_mut().filter(|held| only.is_none_or(|u| u == held.universe)) {
            let levels = frames.get(held.universe);
            held.changed = levels.is_some_and(|levels| *levels != held.levels);
            if let Some(levels) = levels.filter(|_| held.changed) {
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
            let Some(reading) = plan.reading(i, frames, decoded) else { continue };
            motion.read(i, plan, frames, decoded, &reading);
            if let Some(Some(entry)) = motion.heads.get_mut(i) {
                let asked = &motion.asked[entry.asked];
                let (model, seed) = (entry.head.model().clone(), u64::from(fixture.id));
                let (aim, in_head) = (&fixture.aim, &fixture.in_head);
                entry.head = HeadMotion::arrived(model, aim, in_head, asked, t_s, seed);
                entry.keep(&reading);
            }
        }
        motion
    }

    /// A frame of every universe came, and asks this from `t_s` on. `decoded` must hold what the frames
    /// do, through `plan`, of which this is. A universe that stands as it did costs a comparison, a head
    /// whose slots do another.
    pub fn frame(&mut self, t_s: f64, plan: &Plan, frames: &Frames, decoded: &Decoded) {
        self.hold(None, frames);
        self.take(t_s, None, plan, frames, decoded);
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
            self.take(t_s, Some(place), plan, frames, decoded);
        }
    }

    /// Takes a frame to the heads of one universe, or of all.
    fn take(
        &mut self,
        t_s: f64,
        only: Option<usize>,
        plan: &Plan,
        frames: &Frames,
        decoded: &Decoded,
    ) {
        self.now_s = self.now_s.max(t_s);
        for i in 0..self.heads.len() {
            let Some(Some(entry)) = self.heads.get_mut(i) else { continue };
            if only.is_some() && entry.universe != only {
                continue;
            }
            entry.head.advance(t_s);
            let changed = entry.universe.is_some_and(|place| self.held[place].changed);
            let again = entry.follows || entry.head.lost_since_s().is_some();
            if !changed && !again {
                entry.head.heard(t_s);
                continue;
            }
            let Some(reading) = plan.reading(i, frames, decoded) else { continue };
            if !entry.keep(&reading) && !again {
                entry.head.heard(t_s);
                continue;
            }
            self.read(i, plan, frames, decoded, &reading);
            if let Some(Some(entry)) = self.heads.get_mut(i) {
                entry.head.ask(t_s, &self.asked[entry.asked]);
            }
        }
    }

    /// Reads what is asked of a head into its mode's room. One that is set to follow is asked what the
    /// first of its mode in its universe that does not follow is asked; where there is none, or a
    /// program runs that one, nothing is known.
    fn read(
        &mut self,
        i: usize,
        plan: &Plan,
        frames: &Frames,
        decoded: &Decoded,
        reading: &Reading<'_>,
    ) {
        let Some(Some(entry)) = self.heads.get_mut(i) else { return };
        let asked = &mut self.asked[entry.asked];
        reading.ask(asked);
        entry.follows = matches!(asked.overridden_by, Some(Override::Follow { .. }));
        if !entry.follows {
            return;
        }
        let follow = asked.overridden_by.take();
        let others = self.groups.get(entry.group).map_or(&[][..], Vec::as_slice);
        for other in others.iter().filter(|other| **other != i) {
            let Some(other) = plan.reading(*other, frames, decoded) else { continue };
            other.ask(asked);
            match asked.overridden_by {
                None => return,
                Some(Override::Follow { .. }) => {}
                Some(_) => break,
            }
        }
        asked.overridden_by = follow;
    }

    /// No frame has come for a universe since the one at `last_s`: see [`HeadMotion::lost`].
    pub fn lost(&mut self, universe: Universe, last_s: f64) {
        let Some(place) = self.held.iter().position(|held| held.universe == universe) else {
            return;
        };
        for entry in self.heads.iter_mut().flatten() {
            if entry.universe == Some(place) {
                entry.head.lost(last_s);
            }
        }
    }

    /// No frame has come for any universe since those at `last_s`: see [`HeadMotion::lost`].
    pub fn lost_everywhere(&mut self, last_s: f64) {
        for entry in self.heads.iter_mut().flatten().filter(|entry| entry.universe.is_some()) {
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

impl Entry {
    /// Keeps the slots that a reading shows. Returns whether any differs from those kept before.
    fn keep(&mut self, reading: &Reading<'_>) -> bool {
        let mut changed = false;
        for (kept, offset) in self.slots.iter_mut().zip(1..) {
            let state = reading.slot_state(offset).and_then(|state| state.value());
            let value = state.map_or(NEVER_SENT, u16::from);
            changed |= *kept != value;
            *kept = value;
        }
        changed
    }
}
