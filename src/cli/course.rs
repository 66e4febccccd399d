//! What happens to the rig over time: one frame that is held, or timed frames, until the line falls
//! silent.

use std::path::Path;
use std::sync::Arc;

use super::frames::{Situation, look};
use super::{Failure, input};
use crate::decode::{Decoded, Reading};
use crate::finding::Finding;
use crate::motion::{Playback, RigMotion};
use crate::wire::{Frames, parse_timed_frames};

/// How a course is given.
#[derive(Clone, Copy)]
pub(super) struct Given<'a> {
    /// The look in which the heads stood before; `None`: at rest.
    pub from: Option<&'a str>,
    /// A file of timed frames, `-` for standard input, in place of the frame.
    pub timed: Option<&'a Path>,
    /// When the line falls silent, in seconds.
    pub silent_from_s: Option<f64>,
}

/// What happens to the rig.
#[derive(Clone)]
pub(super) struct Course {
    /// What is sent, in words: `look "Dawn"`, `40 timed frames of cue.csv`.
    pub sent: String,
    /// Where the heads stood before, and when the line falls silent, in words: `from rest`.
    pub from: String,
    line: Line,
    silent_from_s: Option<f64>,
}

/// What comes over the line.
#[derive(Clone)]
enum Line {
    /// One frame at time 0, over and over.
    Held(Box<RigMotion>),
    /// Timed frames.
    Played(Box<Playback>),
    /// Nothing any more.
    Silent(Box<Silent>),
}

#[derive(Clone)]
struct Silent {
    motion: RigMotion,
    frames: Frames,
    decoded: Decoded,
}

/// The rig at a time.
#[derive(Clone, Copy)]
pub(super) struct At<'a> {
    /// Every head.
    pub motion: &'a RigMotion,
    /// What is held of every universe.
    pub frames: &'a Frames,
    /// What that came to.
    pub decoded: &'a Decoded,
}

impl<'a> At<'a> {
    /// What is asked of a fixture.
    pub(super) fn reading(self, situation: &'a Situation, fixture: usize) -> Option<Reading<'a>> {
        situation.plan.reading(fixture, self.frames, self.decoded)
    }
}

impl Course {
    /// The rig at time 0, before the frame of `situation` or the first timed frame. What there is to say
    /// about a file of timed frames is added to `said`.
    pub(super) fn load(
        situation: &Situation,
        given: Given<'_>,
        said: &mut Vec<Finding>,
    ) -> Result<Self, Failure> {
        let Situation { show, plan, .. } = situation;
        let look = given.from.map(|from| look(show, from, "--from")).transpose()?;
        let mut from = match look {
            Some(look) => format!("from look \"{}\"", look.name),
            None => "from rest".to_owned(),
        };
        if let Some(silent_s) = given.silent_from_s {
            from.push_str(&format!(", silent from {silent_s} s on"));
        }
        let held = look.map_or_else(Frames::default, |look| look.frames.clone());
        let (sent, line) = match given.timed {
            Some(path) => {
                let read = parse_timed_frames(&input::read_text(path)?, Some(input::name(path)))?;
                said.extend(read.findings);
                let count = read.timed.len();
                let frames = if count == 1 { "frame" } else { "frames" };
                let sent = format!("{count} timed {frames} of {}", input::name(path).display());
                let playback = Playback::new(Arc::new(read.timed), &show.rig, plan, &held);
                (sent, Line::Played(Box::new(playback)))
            }
            None => {
                let motion = match look {
                    None => RigMotion::at_rest(&show.rig, plan, 0.0),
                    Some(_) => {
                        let mut decoded = plan.start();
                        plan.decode(&held, &mut decoded);
                        RigMotion::arrived(&show.rig, plan, &held, &decoded, 0.0)
                    }
                };
                (situation.from.clone(), Line::Held(Box::new(motion)))
            }
        };
        Ok(Self { sent, from, line, silent_from_s: given.silent_from_s })
    }

    /// The frame of `situation` comes. Timed frames come by themselves.
    pub(super) fn begin(&mut self, situation: &Situation) {
        if let Line::Held(motion) = &mut self.line {
            motion.frame(0.0, &situation.plan, &situation.frames, &situation.decoded);
        }
    }

    /// Goes to a time, in seconds. Only timed frames can go back.
    pub(super) fn go(&mut self, situation: &Situation, t_s: f64) {
        if let Some(silent_s) = self.silent_from_s.filter(|silent_s| t_s >= *silent_s) {
            self.fall_silent(situation, silent_s);
        }
        match &mut self.line {
            Line::Held(motion) => motion.advance(t_s),
            Line::Played(playback) => playback.seek(&situation.plan, t_s),
            Line::Silent(silent) => silent.motion.advance(t_s),
        }
    }

    /// The last frame comes at this time.
    fn fall_silent(&mut self, situation: &Situation, last_s: f64) {
        match &mut self.line {
            Line::Held(motion) => motion.advance(last_s),
            Line::Played(playback) => playback.seek(&situation.plan, last_s),
            Line::Silent(_) => return,
        }
        let At { motion, frames, decoded } = self.at(situation);
        let mut motion = motion.clone();
        for (universe, _) in frames.iter() {
            motion.lost(universe, last_s);
        }
        let silent = Silent { motion, frames: frames.clone(), decoded: decoded.clone() };
        self.line = Line::Silent(Box::new(silent));
    }

    /// The rig where it went.
    pub(super) fn at<'a>(&'a self, situation: &'a Situation) -> At<'a> {
        match &self.line {
            Line::Held(motion) => {
                At { motion, frames: &situation.frames, decoded: &situation.decoded }
            }
            Line::Played(playback) => At {
                motion: playback.motion(),
                frames: playback.frames(),
                decoded: playback.decoded(),
            },
            Line::Silent(silent) => {
                At { motion: &silent.motion, frames: &silent.frames, decoded: &silent.decoded }
            }
        }
    }

    /// When nothing comes any more that would have a head do something else, in seconds: the last frame,
    /// or what the last head does about the silence.
    pub(super) fn last_s(&self, situation: &Situation) -> f64 {
        match (self.silent_from_s, &self.line) {
            (Some(silent_s), _) => {
                let motion = self.at(situation).motion;
                let heads = (0..situation.show.rig.len()).filter_map(|i| motion.head(i));
                silent_s + heads.map(|head| head.model().loss_after_s).fold(0.0, f64::max)
            }
            (None, Line::Played(playback)) => playback.timed().duration_s(),
            (None, Line::Held(_) | Line::Silent(_)) => 0.0,
        }
    }
}
