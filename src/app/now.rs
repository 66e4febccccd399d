//! The heads at the instant that the window shows.

use super::clock::{Clock, Mode};
use super::timed::Timed;
use crate::decode::{ChannelReading, Reading};
use crate::motion::{self, HeadMotion, Pose, RigMotion, arrival_estimate, doings};
use crate::profile::Effect;
use crate::rig::Fixture;

/// The heads at an instant.
#[derive(Clone, Copy)]
pub struct Now<'a> {
    /// Every head over time.
    pub motion: &'a RigMotion,
    /// What every fixture does, in the rig's order.
    pub poses: &'a [Option<Pose>],
    /// The instant, in seconds.
    pub t_s: f64,
    /// Since when no frame has reached any head; `None` while frames do.
    pub cut_since_s: Option<f64>,
}

impl<'a> Now<'a> {
    /// The instant that the window shows; `None` while time plays no part.
    pub fn of(clock: &'a Clock, timed: Option<&'a Timed>) -> Option<Self> {
        if clock.mode == Mode::Arrived {
            return None;
        }
        let timed = timed.filter(|timed| timed.leads);
        let (motion, cut_since_s) = match (&clock.past, timed) {
            (Some(past), _) => (&past.motion, past.cut_since_s),
            (None, Some(Timed { playback, .. })) => (playback.motion(), playback.cut_since_s()),
            (None, None) => (&clock.motion, clock.cut_since_s),
        };
        Some(Self { motion, poses: clock.poses(), t_s: clock.shown_s(), cut_since_s })
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

/// A line of a message, or a finding's words, as a sentence: `arrives in 1.8 s` becomes `Arrives in 1.8 s.`
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str().trim_end_matches('.'))
}

/// How long what moves with a channel is still on its way at `t_s`: pan, tilt or the wheel that the
/// channel drives. `None` for any other channel, and where it has arrived.
pub fn channel_left_s(
    head: &HeadMotion,
    fixture: &Fixture,
    channel: &ChannelReading<'_>,
    t_s: f64,
) -> Option<f64> {
    let range = channel.range.or(channel.channel.ranges.first())?;
    let arrival = head.arrives_s();
    let swap = fixture.aim.swap != fixture.in_head.swap;
    let at_s = match (&range.does, swap) {
        (Effect::Pan { .. }, false) | (Effect::Tilt { .. }, true) => arrival.pan_s,
        (Effect::Tilt { .. }, false) | (Effect::Pan { .. }, true) => arrival.tilt_s,
        _ => head.wheel_arrives_s(range.wheel?),
    };
    Some(at_s? - t_s).filter(|left_s| *left_s >= SOON_S)
}

/// Less time than this is none, in seconds: what is shown has one decimal.
const SOON_S: f64 = 0.05;

/// What a head sent at 0 s from where it was would take, in words; nothing where it stays.
pub fn forecast_words(head: &HeadMotion) -> Option<String> {
    let left_s = head.arrives_s().last_s();
    if left_s < SOON_S {
        return None;
    }
    let arriving = doings(head, 0.0).into_iter().find(|doing| doing.words.starts_with("arrives"));
    let detail = arriving.and_then(|doing| doing.detail);
    let detail = detail.map_or(String::new(), |detail| format!(": {detail}"));
    let estimate = arrival_estimate(head, 0.0);
    let estimate = estimate.map_or(String::new(), |words| format!(" An estimate: {words}."));
    Some(format!("Would take {left_s:.1} s from where it was{detail}.{estimate}"))
}
