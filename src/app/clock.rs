//! Simulated time in the window: whether it runs, how fast, and what every head does in it.

use serde::{Deserialize, Serialize};

use crate::decode::{Decoded, Plan};
use crate::motion::{Pose, RigMotion};
use crate::rig::Rig;
use crate::wire::Frames;

/// The time between two frames of a full universe, in seconds: a break of 92 us, a mark after break of
/// 12 us and 513 slots of 44 us each (ANSI E1.11) make 44 a second.
pub const FRAME_S: f64 = 1.0 / 44.0;

/// The most steps in which a stretch of time is recorded.
const MOST_STEPS: f64 = 64.0;

/// What time does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mode {
    /// It plays no part: every head is where it is asked to be.
    #[default]
    Arrived,
    /// It stands at an instant.
    Paused,
    /// It passes.
    Running,
}

/// How fast time passes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Rate {
    /// A tenth of real time.
    Tenth,
    /// Real time.
    #[default]
    Real,
    /// Ten times real time.
    Tenfold,
}

impl Rate {
    /// Every rate, the slowest first.
    pub const ALL: [Self; 3] = [Self::Tenth, Self::Real, Self::Tenfold];

    /// Simulated seconds in a second.
    pub fn factor(self) -> f64 {
        match self {
            Self::Tenth => 0.1,
            Self::Real => 1.0,
            Self::Tenfold => 10.0,
        }
    }

    /// The rate in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Tenth => "0.1x",
            Self::Real => "1x",
            Self::Tenfold => "10x",
        }
    }

    /// The next faster one, or the next slower one; the fastest and the slowest stay.
    pub fn stepped(self, faster: bool) -> Self {
        let at = Self::ALL.iter().position(|rate| *rate == self).unwrap_or(1);
        let to = if faster { at + 1 } else { at.saturating_sub(1) };
        Self::ALL[to.min(Self::ALL.len() - 1)]
    }
}

/// Simulated time, and the heads in it.
#[derive(Default)]
pub struct Clock {
    /// What time does.
    pub mode: Mode,
    /// How fast it passes while it does.
    pub rate: Rate,
    /// The instant shown, in seconds since time was set going.
    pub t_s: f64,
    /// Every head, while the show's own slots are what is asked.
    pub(super) motion: RigMotion,
    /// What every fixture does at the instant shown, in the rig's order.
    pub(super) poses: Vec<Option<Pose>>,
    /// From when on nothing moves any more.
    still_from_s: f64,
    /// What the window's own clock showed at the last pass while time ran, in seconds.
    passed_s: Option<f64>,
}

impl Clock {
    /// Begins at 0 with every head where it is asked to be.
    pub(super) fn start(&mut self, rig: &Rig, plan: &Plan, frames: &Frames, decoded: &Decoded) {
        self.t_s = 0.0;
        self.motion = RigMotion::arrived(rig, plan, frames, decoded, 0.0);
    }

    /// How much simulated time has passed since the last pass, by the window's own clock.
    pub(super) fn passed(&mut self, window_s: f64) -> f64 {
        if self.mode != Mode::Running {
            self.passed_s = None;
            return 0.0;
        }
        let before_s = self.passed_s.replace(window_s).unwrap_or(window_s);
        (window_s - before_s).max(0.0) * self.rate.factor()
    }

    /// The instants at which a stretch of time is looked at: a frame apart or, in a long stretch, a
    /// little more. The last is its end.
    pub(super) fn instants(&self, passed_s: f64) -> impl Iterator<Item = f64> + use<> {
        let steps = (passed_s / FRAME_S).ceil().clamp(1.0, MOST_STEPS);
        let from_s = self.t_s;
        (1..=steps as u32).map(move |i| from_s + passed_s * f64::from(i) / steps)
    }

    /// Looks at the heads as they are at the instant shown.
    pub(super) fn look(&mut self, motion: &RigMotion, count: usize) {
        motion.fill_poses(self.t_s, &mut self.poses);
        self.still_from_s = still_from_s(motion, count);
    }

    /// Whether anything moves, or is about to, at the instant shown.
    pub fn is_moving(&self) -> bool {
        self.mode != Mode::Arrived && self.still_from_s > self.t_s
    }

    /// What every fixture does at the instant shown; nothing while time plays no part.
    pub fn poses(&self) -> &[Option<Pose>] {
        if self.mode == Mode::Arrived { &[] } else { &self.poses }
    }
}

/// From when on no head of `count` moves any more.
fn still_from_s(motion: &RigMotion, count: usize) -> f64 {
    let heads = (0..count).filter_map(|i| motion.head(i));
    heads.map(|head| head.still_from_s()).fold(f64::NEG_INFINITY, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_stop_at_their_ends() {
        assert_eq!(Rate::Real.stepped(true), Rate::Tenfold);
        assert_eq!(Rate::Tenfold.stepped(true), Rate::Tenfold);
        assert_eq!(Rate::Tenth.stepped(false), Rate::Tenth);
    }

    #[test]
    fn time_passes_at_its_rate_and_only_while_it_runs() {
        let mut clock = Clock { mode: Mode::Running, rate: Rate::Tenfold, ..Clock::default() };
        assert_eq!(clock.passed(5.0), 0.0, "nothing is known of what went before");
        assert_eq!(clock.passed(5.5), 5.0);
        clock.mode = Mode::Paused;
        assert_eq!(clock.passed(9.0), 0.0);
        clock.mode = Mode::Running;
        assert_eq!(clock.passed(10.0), 0.0, "the pause does not count");
    }

    #[test]
    fn a_stretch_is_looked_at_often_enough_and_to_its_end() {
        let clock = Clock { t_s: 1.0, ..Clock::default() };
        let instants: Vec<f64> = clock.instants(0.1).collect();
        assert_eq!(instants.len(), 5);
        assert_eq!(instants.last(), Some(&1.1));
        assert_eq!(clock.instants(3600.0).count(), 64);
        assert_eq!(clock.instants(0.0).count(), 1);
    }
}
