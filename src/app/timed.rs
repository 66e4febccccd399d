//! Timed frames in the window: what is played, whether it leads, and the course of heads through it.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::clock::FRAME_S;
use super::trace::Trace;
use crate::decode::Plan;
use crate::motion::{Cut, Playback};
use crate::profile::Profile;
use crate::rig::Rig;
use crate::show::Show;
use crate::wire::{Frames, TimedFrames};

/// The most instants at which a whole course is looked at.
const MOST_INSTANTS: f64 = 4000.0;

/// Timed frames that are open.
pub struct Timed {
    /// The file's name.
    pub name: String,
    /// The frames, played to the rig.
    pub playback: Playback,
    /// The slots follow these frames, not the show's own values.
    pub leads: bool,
    /// After the last frame it begins again.
    pub loops: bool,
    /// What was held before the first frame.
    pub(super) start: Frames,
    /// Counts how often it began with another rig, or with the signal cut elsewhere.
    pub(super) begun: u64,
    /// What a whole course was last asked for.
    pub(super) traced_for: Option<TraceOf>,
    /// The whole course of the selected heads, once it was worked out.
    pub(super) course: Option<Trace>,
}

/// What a whole course is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TraceOf {
    /// The heads, as places in the rig.
    pub fixtures: Vec<usize>,
    /// Which beginning of the playback it belongs to.
    pub begun: u64,
    /// Channels that are followed besides the usual ones, by name.
    pub more: Vec<String>,
}

impl Timed {
    /// Stands at the beginning, in the lead. The show's own slots are held before the first frame.
    pub(super) fn new(name: String, frames: TimedFrames, show: &Show, plan: &Plan) -> Self {
        let start = show.levels.clone();
        Self {
            name,
            playback: Playback::new(Arc::new(frames), &show.rig, plan, &start),
            leads: true,
            loops: false,
            start,
            begun: 0,
            traced_for: None,
            course: None,
        }
    }

    /// Plays to another rig from now on, and stands where it stood.
    pub(super) fn begin_again(&mut self, rig: &Rig, plan: &Plan) {
        let at_s = self.playback.now_s();
        let cuts = self.playback.cuts().to_vec();
        let playback = Playback::new(self.playback.timed().clone(), rig, plan, &self.start);
        self.playback = playback.with_cuts(cuts);
        self.playback.seek(plan, at_s);
        self.change_course();
    }

    /// What heads do in the course of the frames is not what it was.
    pub(super) fn change_course(&mut self) {
        self.begun += 1;
        self.course = None;
    }

    /// The time of the last frame, in seconds.
    pub fn duration_s(&self) -> f64 {
        self.playback.timed().duration_s()
    }

    /// Whether frames are still to come.
    pub(super) fn goes_on(&self) -> bool {
        let again = self.loops && self.duration_s() > 0.0;
        self.leads && (again || self.playback.now_s() < self.duration_s())
    }

    /// Where a time past the end leads: to the beginning if it loops.
    pub(super) fn wrapped(&self, t_s: f64) -> f64 {
        let duration_s = self.duration_s();
        if self.loops && duration_s > 0.0 && t_s > duration_s { t_s % duration_s } else { t_s }
    }
}

/// The course of some heads through all of the frames, and on until the last one has had a second.
pub(super) fn whole_course(
    of: &TraceOf,
    frames: Arc<TimedFrames>,
    rig: &Rig,
    profiles: &BTreeMap<String, Arc<Profile>>,
    start: &Frames,
    cuts: Vec<Cut>,
) -> Trace {
    let plan = Plan::new(rig, profiles);
    let until_s = frames.duration_s() + 1.0;
    let mut playback = Playback::new(frames, rig, &plan, start).with_cuts(cuts);
    let mut trace = Trace::default();
    trace.follow(&of.fixtures, rig, &plan, &of.more);
    let steps = (until_s / FRAME_S).ceil().clamp(1.0, MOST_INSTANTS);
    for i in 0..=steps as u32 {
        let t_s = until_s * f64::from(i) / steps;
        playback.seek(&plan, t_s);
        let poses = playback.poses();
        let read = |fixture| plan.reading(fixture, playback.frames(), playback.decoded());
        trace.record(t_s, playback.motion(), &poses, read);
    }
    trace
}
