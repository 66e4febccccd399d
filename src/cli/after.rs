//! The rig a while after its frame, or at a time of timed frames: what each head does now, beside what
//! it is asked.

use std::path::Path;
use std::sync::Arc;

use super::args::AfterArgs;
use super::beside::{At, Starts, beside};
use super::frames::{Situation, look};
use super::{Failure, input};
use crate::decode::{ChannelReading, Reading};
use crate::finding::Finding;
use crate::motion::{HeadMotion, Now, Playback, Pose, RigMotion, doings, now, time_estimate};
use crate::stage::Scene;
use crate::wire::{Frames, parse_timed_frames};

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
        let count = situation.show.rig.len();
        if let Some(path) = &args.timed {
            let Played { mut playback, words, findings } =
                play(situation, path, args.from.as_deref())?;
            let starts = Starts::of(playback.motion(), count);
            playback.seek(&situation.plan, after_s);
            situation.said.extend(findings);
            situation.from = words;
            situation.frames.clone_from(playback.frames());
            situation.decoded.clone_from(playback.decoded());
            let (motion, poses) = (playback.motion().clone(), playback.poses());
            let words = format!("at {after_s} s");
            return Ok(Some(Self { after_s, words, motion, poses, starts }));
        }
        let (mut motion, from) = start(situation, args.from.as_deref())?;
        let starts = Starts::of(&motion, count);
        motion.frame(0.0, &situation.plan, &situation.frames, &situation.decoded);
        motion.advance(after_s);
        let poses = motion.poses_at(after_s);
        let words = format!("held {after_s} s from {from}");
        Ok(Some(Self { after_s, words, motion, poses, starts }))
    }

    /// What there is to draw: with a thin ghost of where each head on its way was asked to point.
    pub(super) fn scene(&self, situation: &Situation) -> Scene {
        let Situation { show, plan, .. } = situation;
        let mut scene = Scene::from_poses(&show.room, &show.rig, plan, &self.poses);
        scene.add_ghosts(&show.rig, plan, &self.motion.poses_as_asked(&self.poses));
        scene
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

/// Timed frames at their beginning.
pub(super) struct Played {
    /// The frames, played to the rig.
    pub playback: Playback,
    /// Which, and from where: `timed frames t.csv, 40 of them, from rest`.
    pub words: String,
    /// What there is to say about the file.
    pub findings: Vec<Finding>,
}

/// Timed frames from a file, to a rig that stands at rest or as a look has it. `-` is standard input.
pub(super) fn play(
    situation: &Situation,
    path: &Path,
    from: Option<&str>,
) -> Result<Played, Failure> {
    let Situation { show, plan, .. } = situation;
    // A slip in a name is told before anything is read.
    let (held, from) = match from {
        Some(from) => {
            let look = look(show, from, "--from")?;
            (look.frames.clone(), format!("look \"{}\"", look.name))
        }
        None => (Frames::default(), "rest".to_owned()),
    };
    let read = parse_timed_frames(&input::read_text(path)?, Some(input::name(path)))?;
    let name = input::name(path).display();
    let words = format!("timed frames {name}, {} of them, from {from}", read.timed.len());
    let playback = Playback::new(Arc::new(read.timed), &show.rig, plan, &held);
    Ok(Played { playback, words, findings: read.findings })
}
