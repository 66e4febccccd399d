//! The rig a while after its frame, or at a time of timed frames: what each head does now, beside what
//! it is asked.

use super::Failure;
use super::args::AfterArgs;
use super::beside::{Starts, beside};
use super::course::{At, Course, Given};
use super::frames::Situation;
use crate::decode::{ChannelReading, Reading};
use crate::motion::{HeadMotion, Now, Pose, RigMotion, doings, now, time_estimate};
use crate::stage::Scene;

/// The rig a while after its frame.
pub(super) struct Later {
    /// How long after, in seconds.
    pub after_s: f64,
    /// How long and from where, in words: `held 2 s from look "Dawn"`.
    pub words: String,
    motion: RigMotion,
    poses: Vec<Option<Pose>>,
    starts: Starts,
}

impl Later {
    /// The rig as long after its frame as `args` say; `None` where they do not. With timed frames,
    /// `situation` then stands as these do at that time.
    pub(super) fn load(
        situation: &mut Situation,
        args: &AfterArgs,
    ) -> Result<Option<Self>, Failure> {
        let Some(after_s) = args.after else { return Ok(None) };
        let given = Given {
            from: args.from.as_deref(),
            timed: args.timed.as_deref(),
            silent_from_s: args.silent_from,
        };
        let mut said = Vec::new();
        let mut course = Course::load(situation, given, &mut said)?;
        situation.said.extend(said);
        let starts = Starts::of(course.at(situation).motion, situation.show.rig.len());
        course.begin(situation);
        course.go(situation, after_s);
        let At { motion, frames, decoded } = course.at(situation);
        let (motion, frames, decoded) = (motion.clone(), frames.clone(), decoded.clone());
        let how = if given.timed.is_some() { "at" } else { "held" };
        let words = format!("{how} {after_s} s {}", course.from);
        (situation.frames, situation.decoded, situation.from) = (frames, decoded, course.sent);
        let poses = motion.poses_at(after_s);
        Ok(Some(Self { after_s, words, motion, poses, starts }))
    }

    /// What there is to draw: with a thin ghost of where each head on its way was asked to point.
    pub(super) fn scene(&self, situation: &Situation) -> Scene {
        let Situation { show, plan, .. } = situation;
        let mut scene = Scene::from_poses(&show.room, &show.rig, plan, &self.poses);
        scene.add_ghosts(&show.rig, plan, &self.motion.poses_as_asked(&self.poses));
        scene
    }

    /// The head of a fixture at a place of the rig, and the moment in simulated seconds.
    pub(super) fn motion_of(&self, at: usize) -> Option<(&HeadMotion, f64)> {
        Some((self.motion.head(at)?, self.after_s))
    }

    /// The fixtures at these places of the rig beside each other, in words.
    pub(super) fn beside(&self, situation: &Situation, places: &[usize]) -> Vec<String> {
        let Situation { frames, decoded, .. } = situation;
        let at = At { motion: &self.motion, frames, decoded };
        beside(situation, at, &self.starts, places)
    }

    /// A fixture at a place of the rig: its head and what it does. `None` where no frame reaches it, or
    /// its profile is not to be had.
    pub(super) fn head<'a>(&'a self, situation: &'a Situation, at: usize) -> Option<LaterHead<'a>> {
        situation.show.rig.get(at).filter(|fixture| fixture.address.is_some())?;
        let reading = situation.plan.reading(at, &situation.frames, &situation.decoded)?;
        let (head, pose) = (self.motion.head(at)?, self.poses.get(at)?.as_ref()?);
        Some(LaterHead { head, pose, reading, after_s: self.after_s })
    }
}

/// One head a while after its frame.
pub(super) struct LaterHead<'a> {
    /// The head.
    pub head: &'a HeadMotion,
    /// What it does.
    pub pose: &'a Pose,
    reading: Reading<'a>,
    /// How long after, in seconds.
    pub after_s: f64,
}

impl<'a> LaterHead<'a> {
    /// What the part that a channel drives does.
    pub(super) fn now(&self, channel: &ChannelReading<'a>) -> Option<Now> {
        now(self.head, self.pose, &self.reading, channel, self.after_s)
    }

    /// What it is at, in words, one thing each.
    pub(super) fn doings(&self) -> Vec<String> {
        match self.pose.overridden_by {
            // What a built-in program does with it, and by when, is not known.
            Some(_) => Vec::new(),
            None => doings(self.head, self.after_s).into_iter().map(|doing| doing.words).collect(),
        }
    }

    /// What was assumed of its times, in words.
    pub(super) fn estimate(&self) -> Option<String> {
        time_estimate(self.head, &self.reading.asked())
    }
}
