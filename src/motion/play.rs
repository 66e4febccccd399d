//! Timed frames played to a rig, and how to be at any moment of them at once.

use std::sync::Arc;

use super::pose::Pose;
use super::rig_motion::RigMotion;
use super::snapshots::Snapshots;
use crate::decode::{Decoded, Plan};
use crate::rig::Rig;
use crate::wire::{Frames, TimedFrames};

/// Snapshots are never closer together than this, in seconds.
const CLOSEST_S: f64 = 1.0;

/// How much memory all snapshots together may take, in bytes, about.
const ROOM: usize = 256 << 20;

/// What one head takes in a snapshot, in bytes, about: itself, its wheels, cells, emitters and slots.
const HEAD_BYTES: usize = 3 << 10;

/// The least and the most snapshots that are kept.
const KEPT: (usize, usize) = (16, 1024);

/// Timed frames played to a rig.
///
/// All changes of one time are one frame. Between two frames nothing happens but time: the line is
/// taken to go on repeating what it holds, so that the signal is never lost between changes. It is lost
/// only where it was cut ([`Self::toggle_cut`]): frames go on there, and reach no head.
///
/// Going to a time plays on from the nearest snapshot before it. Snapshots are taken on the way, so
/// that only what was never played yet must be played; [`Self::prepare`] does so ahead, in portions.
/// In an hour of 44 frames a second to 36 heads, played ahead in 0.63 s, the mean of 1000 seeks took 0.37 ms
/// and the worst 0.77 ms, each the best of three (the `seek` bench, on 2 cores). No seek plays more than
/// the 155 frames between two snapshots.
#[derive(Clone, Debug)]
pub struct Playback {
    timed: Arc<TimedFrames>,
    /// What was held before the first frame.
    start: Frames,
    snapshots: Snapshots,
    now: Moment,
    now_s: f64,
    /// How far it was played ahead.
    ahead: Moment,
    /// Stretches of time in which no frame reaches a head, in rising order.
    cuts: Vec<Cut>,
}

/// A stretch of time in which no frame reaches a head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// When the last frame came, in seconds.
    pub from_s: f64,
    /// When one comes again, in seconds; infinite while that is not known.
    pub to_s: f64,
}

impl Cut {
    fn holds(&self, t_s: f64) -> bool {
        self.from_s <= t_s && t_s < self.to_s
    }
}

/// What is played to the heads: frames, and the stretches in which none reaches them.
#[derive(Clone, Copy)]
struct Line<'a> {
    timed: &'a TimedFrames,
    cuts: &'a [Cut],
}

/// A rig after some frames.
#[derive(Clone, Debug)]
struct Moment {
    frames: Frames,
    decoded: Decoded,
    motion: RigMotion,
    /// The next frame, counted from 0.
    next: usize,
    /// The cut that it is in, or the next one, counted from 0.
    cut: usize,
    /// No frame reaches the heads.
    is_cut: bool,
}

impl Playback {
    /// Stands at time 0. Where nothing was sent before (`start` holds nothing), all heads are at rest;
    /// else they have arrived where `start` asks them to be. `plan` must be of this rig.
    pub fn new(timed: Arc<TimedFrames>, rig: &Rig, plan: &Plan, start: &Frames) -> Self {
        let mut decoded = plan.start();
        plan.decode(start, &mut decoded);
        let motion = match start.iter().next() {
            None => RigMotion::at_rest(rig, plan, 0.0),
            Some(_) => RigMotion::arrived(rig, plan, start, &decoded, 0.0),
        };
        let mut now =
            Moment { frames: start.clone(), decoded, motion, next: 0, cut: 0, is_cut: false };
        let most = (ROOM / (HEAD_BYTES * rig.len().max(1))).clamp(KEPT.0, KEPT.1);
        let every_s = (timed.duration_s() / most as f64).max(CLOSEST_S);
        let mut snapshots = Snapshots::new(every_s, most);
        // A frame at 0 belongs to the first snapshot, so that what follows one is always later than it.
        let line = Line { timed: &timed, cuts: &[] };
        now.play(line, plan, 0.0, usize::MAX, &mut snapshots);
        snapshots.note(&now.motion);
        let (start, ahead, cuts) = (start.clone(), now.clone(), Vec::new());
        Self { timed, start, snapshots, ahead, now, now_s: 0.0, cuts }
    }

    /// Goes to a time, in seconds; one before 0 is 0, and one past the last frame holds that frame.
    /// `plan` must be the one it was made with.
    pub fn seek(&mut self, plan: &Plan, t_s: f64) {
        let t_s = if t_s.is_finite() { t_s.max(0.0) } else { 0.0 };
        let before = self.snapshots.before(t_s);
        let back = t_s < self.now_s;
        let nearer = before.filter(|snapshot| back || snapshot.now_s() > self.now_s);
        if let Some(snapshot) = nearer {
            let at_s = snapshot.now_s();
            let frames = self.timed.frames_from(&self.start, at_s);
            let mut decoded = plan.start();
            plan.decode(&frames, &mut decoded);
            let (motion, next) = (snapshot.clone(), self.timed.count_until(at_s));
            // A snapshot is never taken within a cut: one at its very beginning was taken before it.
            let cut = self.cuts.partition_point(|cut| cut.to_s <= at_s);
            self.now = Moment { frames, decoded, motion, next, cut, is_cut: false };
        }
        let line = Line { timed: &self.timed, cuts: &self.cuts };
        self.now.play(line, plan, t_s, usize::MAX, &mut self.snapshots);
        self.now.motion.advance(t_s);
        self.now_s = t_s;
    }

    /// Plays at most `most_frames` further ahead and keeps snapshots of the way, so that going there
    /// later costs little. Returns whether there is more to play. Where it stands does not change.
    pub fn prepare(&mut self, plan: &Plan, most_frames: usize) -> bool {
        if self.ahead.next < self.now.next {
            self.ahead = self.now.clone();
        }
        let line = Line { timed: &self.timed, cuts: &self.cuts };
        self.ahead.play(line, plan, f64::INFINITY, most_frames, &mut self.snapshots);
        self.ahead.next < self.timed.len()
    }

    /// Cuts the signal where it stands, or where it is cut already, lets frames come again. Cuts keep
    /// their place in time, and those that come later are forgotten. `plan` must be the one it was made
    /// with.
    pub fn toggle_cut(&mut self, plan: &Plan) {
        let t_s = self.now_s;
        self.cuts.retain(|cut| cut.from_s <= t_s);
        match self.cuts.last_mut().filter(|cut| cut.holds(t_s)) {
            Some(cut) => cut.to_s = t_s,
            None => self.cuts.push(Cut { from_s: t_s, to_s: f64::INFINITY }),
        }
        self.snapshots.forget_after(t_s);
        // Ended where it began, it never was.
        if self.cuts.pop_if(|cut| cut.from_s >= cut.to_s).is_some() && self.now.is_cut {
            self.now.restore(plan, t_s);
        }
        self.seek(plan, t_s);
        self.ahead = self.now.clone();
    }

    /// The stretches of time in which no frame reaches a head, in rising order.
    pub fn cuts(&self) -> &[Cut] {
        &self.cuts
    }

    /// The same frames played with the signal cut like this. To be called before any seek.
    pub fn with_cuts(self, cuts: Vec<Cut>) -> Self {
        Self { cuts, ..self }
    }

    /// Since when no frame has reached a head, where it stands; `None` while frames do.
    pub fn cut_since_s(&self) -> Option<f64> {
        self.cuts.iter().find(|cut| cut.holds(self.now_s)).map(|cut| cut.from_s)
    }

    /// Where it stands, in seconds.
    pub fn now_s(&self) -> f64 {
        self.now_s
    }

    /// What is played.
    pub fn timed(&self) -> &Arc<TimedFrames> {
        &self.timed
    }

    /// What is held of every universe.
    pub fn frames(&self) -> &Frames {
        &self.now.frames
    }

    /// What that comes to, through the plan.
    pub fn decoded(&self) -> &Decoded {
        &self.now.decoded
    }

    /// Every head.
    pub fn motion(&self) -> &RigMotion {
        &self.now.motion
    }

    /// What every fixture does where it stands, in the rig's order.
    pub fn poses(&self) -> Vec<Option<Pose>> {
        self.now.motion.poses_at(self.now_s)
    }

    /// How far apart the snapshots are, in seconds: no seek to what was played plays more than that.
    pub fn every_s(&self) -> f64 {
        self.snapshots.every_s()
    }
}

impl Moment {
    /// Plays at most `most` frames, up to and with those at `t_s`.
    fn play(
        &mut self,
        line: Line<'_>,
        plan: &Plan,
        t_s: f64,
        most: usize,
        snapshots: &mut Snapshots,
    ) {
        for _ in 0..most {
            let frame = line.timed.frame(self.next).filter(|(at_s, _)| *at_s <= t_s);
            let until_s = frame.as_ref().map_or(t_s, |(at_s, _)| *at_s);
            self.pass_cuts(line.cuts, plan, until_s, frame.is_some(), snapshots);
            let Some((at_s, changes)) = frame else { return };
            for change in changes {
                self.frames.set(change.universe, change.slot, change.value);
            }
            plan.decode(&self.frames, &mut self.decoded);
            self.next += 1;
            if !self.is_cut {
                self.motion.frame(at_s, plan, &self.frames, &self.decoded);
                snapshots.note(&self.motion);
            }
        }
    }

    /// Passes the beginnings and ends of cuts up to `t_s`. With a frame still to come at `t_s`, those at
    /// this very time wait for it: a frame that comes just as a cut begins gets through.
    fn pass_cuts(
        &mut self,
        cuts: &[Cut],
        plan: &Plan,
        t_s: f64,
        frame_to_come: bool,
        snapshots: &mut Snapshots,
    ) {
        let is_past = |edge_s: f64| edge_s < t_s || edge_s == t_s && !frame_to_come;
        while let Some(cut) = cuts.get(self.cut) {
            if !self.is_cut && is_past(cut.from_s) {
                self.is_cut = true;
                self.motion.lost_everywhere(cut.from_s);
            }
            if !self.is_cut || cut.to_s == f64::INFINITY || !is_past(cut.to_s) {
                return;
            }
            self.cut += 1;
            self.restore(plan, cut.to_s);
            snapshots.note(&self.motion);
        }
    }

    /// Frames reach the heads again: the one that is held comes at `t_s`.
    fn restore(&mut self, plan: &Plan, t_s: f64) {
        self.is_cut = false;
        self.motion.frame(t_s, plan, &self.frames, &self.decoded);
    }
}
