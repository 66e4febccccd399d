//! The heads at the instant that the window shows.

use super::clock::{Clock, Mode};
use super::timed::Timed;
use crate::decode::{ChannelReading, Reading};
use crate::motion::{self, Pose, RigMotion};

/// The heads at an instant.
#[derive(Clone, Copy)]
pub struct Now<'a> {
    /// Every head over time.
    pub motion: &'a RigMotion,
    /// What every fixture does, in the rig's order.
    pub poses: &'a [Option<Pose>],
    /// The instant, in seconds.
    pub t_s: f64,
}

impl<'a> Now<'a> {
    /// The instant that the window shows; `None` while time plays no part.
    pub fn of(clock: &'a Clock, timed: Option<&'a Timed>) -> Option<Self> {
        if clock.mode == Mode::Arrived {
            return None;
        }
        let timed = timed.filter(|timed| timed.leads);
        let motion = timed.map_or(&clock.motion, |timed| timed.playback.motion());
        Some(Self { motion, poses: clock.poses(), t_s: clock.t_s })
    }

    /// What a fixture does in the terms of a channel; `None` for a channel that nothing shows of.
    pub fn channel<'r>(
        &self,
        fixture: usize,
        reading: &Reading<'r>,
        channel: &ChannelReading<'r>,
    ) -> Option<motion::Now> {
        let pose = self.poses.get(fixture)?.as_ref()?;
        motion::now(self.motion.head(fixture)?, pose, reading, channel, self.t_s)
    }
}

/// A line of a message as a sentence: `arrives in 1.8 s` becomes `Arrives in 1.8 s.`
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}
