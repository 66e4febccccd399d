//! Looking back: the course of the show's own slots since time began, any instant of which can be put
//! back on the stage.
//!
//! Motion is exact in time, so that what was asked and when is all there is to keep.

use std::collections::VecDeque;

use super::clock::{FRAME_S, Mode};
use super::state::{Exposure, State};
use super::time::in_force;
use crate::decode::Decoded;
use crate::motion::RigMotion;
use crate::wire::Frames;

/// How much memory all that is kept may take, in bytes, about, and what one head takes of it.
const ROOM: usize = 64 << 20;
const HEAD_BYTES: usize = 3 << 10;

/// The least and the most frames that are kept.
const KEPT: (usize, usize) = (16, 4096);

/// The most heads times instants that are looked at to find a course anew.
const MOST_LOOKS: usize = 100_000;

/// A frame that came, and every head as that sent it on its way.
struct Asked {
    t_s: f64,
    motion: RigMotion,
    frames: Frames,
    cut_since_s: Option<f64>,
}

/// The frames that came since time began; where there are too many, the last of them.
#[derive(Default)]
pub struct Record {
    asked: VecDeque<Asked>,
}

/// An instant that is looked back at.
pub struct Past {
    /// The instant, in seconds.
    pub at_s: f64,
    /// What was held of every universe.
    pub frames: Frames,
    /// What the plan made of these frames.
    pub decoded: Decoded,
    /// Every head.
    pub motion: RigMotion,
    /// Since when no frame had reached any head.
    pub cut_since_s: Option<f64>,
}

impl Record {
    /// Forgets everything.
    pub(super) fn clear(&mut self) {
        self.asked.clear();
    }

    /// Keeps what was asked at an instant.
    fn note(&mut self, asked: Asked, heads: usize) {
        if self.asked.back().is_some_and(|last| last.t_s >= asked.t_s) {
            self.asked.pop_back();
        }
        let most = (ROOM / (HEAD_BYTES * heads.max(1))).clamp(KEPT.0, KEPT.1);
        while self.asked.len() >= most {
            self.asked.pop_front();
        }
        self.asked.push_back(asked);
    }

    /// The first instant that can be looked back at.
    pub fn from_s(&self) -> Option<f64> {
        self.asked.front().map(|asked| asked.t_s)
    }

    fn at(&self, t_s: f64) -> Option<&Asked> {
        let later = self.asked.partition_point(|asked| asked.t_s <= t_s);
        self.asked.get(later.saturating_sub(1))
    }
}

impl State {
    /// Keeps what is asked of the heads from this instant on, to be looked back at.
    pub(super) fn note_asked(&mut self) {
        let (sweep, timed) = (self.sweep.as_ref(), self.timed.as_ref());
        let (frames, _) =
            in_force(sweep, self.cues.lead(), timed, None, &self.document, &self.decoded);
        let asked = Asked {
            t_s: self.clock.t_s,
            motion: self.clock.motion.clone(),
            frames: frames.clone(),
            cut_since_s: self.clock.cut_since_s,
        };
        self.clock.record.note(asked, self.document.show().rig.len());
    }

    /// Puts an instant that was back on the stage, where time then stands. Nothing comes of it: the next
    /// edit, and time when it goes on, are of the present.
    pub(super) fn look_back(&mut self, t_s: f64) {
        self.end_sweep();
        let leads = self.timed.as_ref().is_some_and(|timed| timed.leads);
        let leads = leads || self.cues.lead().is_some();
        let Some(from_s) = self.clock.record.from_s() else { return };
        if leads || self.clock.mode == Mode::Arrived {
            return;
        }
        self.clock.mode = Mode::Paused;
        if t_s >= self.clock.t_s {
            self.come_back();
            self.go_to(self.clock.t_s);
        } else if let Some(asked) = self.clock.record.at(t_s.max(from_s)) {
            let at_s = t_s.max(from_s);
            let (frames, mut motion) = (asked.frames.clone(), asked.motion.clone());
            motion.advance(at_s);
            let mut decoded = self.plan.start();
            self.plan.decode(&frames, &mut decoded);
            let cut_since_s = asked.cut_since_s;
            self.clock.look(&motion, at_s, self.document.show().rig.len());
            self.clock.past = Some(Past { at_s, frames, decoded, motion, cut_since_s });
        }
        self.show_light(Exposure::Held);
    }

    /// The present is on the stage again, once the heads were looked at.
    pub(super) fn come_back(&mut self) {
        self.clock.past = None;
    }

    /// Follows the selected heads from now on, and finds what they did since time began where that was
    /// kept.
    pub(super) fn follow_selection(&mut self) {
        let show = self.document.show();
        let more = &self.preferences.plot.more;
        let others = self.trace.follow(&self.selection, &show.rig, &self.plan, more);
        let leads = self.timed.as_ref().is_some_and(|timed| timed.leads);
        let leads = leads || self.cues.lead().is_some();
        let Some(from_s) = self.clock.record.from_s().filter(|_| others && !leads) else { return };
        let now_s = self.clock.t_s;
        let most = (MOST_LOOKS / show.rig.len().max(1)).clamp(200, 4000);
        let step_s = ((now_s - from_s) / most as f64).max(FRAME_S);
        let (mut poses, mut decoded) = (Vec::new(), self.plan.start());
        let asked: Vec<&Asked> = self.clock.record.asked.iter().collect();
        for (nth, one) in asked.iter().enumerate() {
            let until_s = asked.get(nth + 1).map_or(now_s, |next| next.t_s);
            let mut motion = one.motion.clone();
            self.plan.decode(&one.frames, &mut decoded);
            let steps = ((until_s - one.t_s) / step_s).ceil().max(1.0) as u32;
            for i in 0..=steps {
                let t_s = one.t_s + (until_s - one.t_s) * f64::from(i) / f64::from(steps);
                motion.advance(t_s);
                motion.fill_poses(t_s, &mut poses);
                let read = |fixture| self.plan.reading(fixture, &one.frames, &decoded);
                self.trace.record(t_s, &motion, &poses, read);
            }
        }
    }
}
