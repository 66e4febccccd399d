//! The rig a while after its frame: what each head does now, beside what it is asked.

use super::Failure;
use super::args::AfterArgs;
use super::frames::{Situation, look};
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
}

impl Later {
    /// The rig as long after its frame as `args` say; `None` where they do not.
    pub(super) fn load(situation: &Situation, args: &AfterArgs) -> Result<Option<Self>, Failure> {
        let Some(after_s) = args.after else { return Ok(None) };
        let (mut motion, from) = start(situation, args.from.as_deref())?;
        motion.frame(0.0, &situation.plan, &situation.frames, &situation.decoded);
        motion.advance(after_s);
        let poses = motion.poses_at(after_s);
        Ok(Some(Self { after_s, words: format!("held {after_s} s from {from}"), motion, poses }))
    }

    /// What there is to draw.
    pub(super) fn scene(&self, situation: &Situation) -> Scene {
        let Situation { show, plan, .. } = situation;
        Scene::from_poses(&show.room, &show.rig, plan, &self.poses)
    }

    /// A fixture at a place of the rig: its head and what it does. `None` where no frame reaches it, or
    /// its profile is not to be had.
    pub(super) fn head<'a>(&'a self, situation: &'a Situation, at: usize) -> Option<LaterHead<'a>> {
        let fixture = situation.show.rig.get(at).filter(|fixture| fixture.address.is_some())?;
        let reading = situation.plan.reading(at, &situation.frames, &situation.decoded)?;
        let (head, pose) = (self.motion.head(at)?, self.poses.get(at)?.as_ref()?);
        Some(LaterHead { head, pose, fixture, reading, after_s: self.after_s })
    }
}

/// One head a while after its frame.
pub(super) struct LaterHead<'a> {
    /// The head.
    pub head: &'a HeadMotion,
    /// What it does.
    pub pose: &'a Pose,
    fixture: &'a crate::rig::Fixture,
    reading: Reading<'a>,
    /// How long after, in seconds.
    pub after_s: f64,
}

impl LaterHead<'_> {
    /// What the part that a channel drives does.
    pub(super) fn now(&self, channel: &ChannelReading<'_>) -> Option<Now> {
        let at_rest = || self.reading.at_rest(channel).map(|(range, _)| range);
        let range = channel.range.or_else(at_rest)?;
        now(self.head, self.fixture, (channel.channel, range), self.pose, self.after_s)
    }

    /// What it is at, in words, one thing each.
    pub(super) fn doings(&self) -> Vec<String> {
        match self.pose.overridden_by {
            // What a built-in program does with it, and by when, is not known.
            Some(_) => Vec::new(),
            None => doings(self.head, self.after_s),
        }
    }

    /// What was assumed of its times, in words.
    pub(super) fn estimate(&self) -> Option<String> {
        time_estimate(self.head, &self.reading.asked())
    }
}

/// The rig at time 0 before its frame: arrived in a look of the show, or at rest. And from where, in
/// words.
pub(super) fn start(
    situation: &Situation,
    from: Option<&str>,
) -> Result<(RigMotion, String), Failure> {
    let Situation { show, plan, .. } = situation;
    let Some(name) = from else {
        return Ok((RigMotion::at_rest(&show.rig, plan, 0.0), "rest".to_owned()));
    };
    let look = look(show, name, "--from")?;
    let mut decoded = plan.start();
    plan.decode(&look.frames, &mut decoded);
    let motion = RigMotion::arrived(&show.rig, plan, &look.frames, &decoded, 0.0);
    Ok((motion, format!("look \"{}\"", look.name)))
}
