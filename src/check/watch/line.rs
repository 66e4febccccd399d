//! A condition over time: timed frames or cue lists played to the heads it is about, and the spans in which it
//! was true.

use std::sync::Arc;

use super::eval::{Moment, Standing, words};
use super::{Found, Progress, Span, Watch};
use crate::cue::{Course, Run, Tracks};
use crate::decode::Decoded;
use crate::motion::RigMotion;
use crate::wire::{Change, Frames, SLOTS, TimedFrames, Universe, packet_s};

/// The most spans that are kept; more are counted.
pub const MOST_SPANS: usize = 10_000;

/// How many of the things that made it true are told.
pub(super) const MOST_REASONS: usize = 12;

/// Frames between two reports of progress.
const REPORT_EVERY: usize = 16_384;

/// How long is waited for what still moves after the last frame, in seconds.
const LONGEST_WAIT_S: f64 = 60.0;

/// The rig of a condition on its way through time.
struct Line<'a> {
    watch: &'a Watch,
    standing: Standing,
    frames: Frames,
    decoded: Decoded,
    motion: RigMotion,
    /// Heads of the program that were asked for something else since they were looked at.
    asked: Vec<bool>,
    /// From when on each stands.
    still_s: Vec<f64>,
    slots_changed: bool,
    last_s: f64,
    is_true: bool,
    found: Found,
}

impl<'a> Line<'a> {
    /// Before the first packet: the heads have arrived where `start` asks them to be, at rest where it holds
    /// nothing.
    fn new(watch: &'a Watch, start: Frames) -> Self {
        let mut decoded = watch.plan.start();
        watch.plan.decode(&start, &mut decoded);
        let motion = match start.iter().next() {
            None => RigMotion::at_rest(&watch.rig, &watch.plan, 0.0),
            Some(_) => RigMotion::arrived(&watch.rig, &watch.plan, &start, &decoded, 0.0),
        };
        let heads = watch.program.heads.len();
        Self {
            watch,
            standing: Standing::new(&watch.program),
            frames: start,
            decoded,
            motion,
            asked: vec![true; heads],
            still_s: vec![f64::NEG_INFINITY; heads],
            slots_changed: true,
            last_s: 0.0,
            is_true: false,
            found: Found::default(),
        }
    }

    fn moment(&self, t_s: f64) -> Moment<'_> {
        let Watch { plan, rig, room, places, .. } = self.watch;
        let Self { frames, decoded, motion, .. } = self;
        Moment { t_s, frames, plan, decoded, motion, rig, room, places }
    }

    /// A packet came that changes this. What no leaf looks at is passed over.
    fn take(&mut self, t_s: f64, changes: &[Change]) {
        let mut reaches = false;
        for change in changes {
            let Some(bears) = self.watch.bears(change.universe) else { continue };
            let heads = &bears.heads[change.slot.index()];
            let is_leaf = bears.is_leaf[change.slot.index()];
            if heads.is_empty() && !is_leaf {
                continue;
            }
            self.slots_changed |= is_leaf;
            self.frames.set(change.universe, change.slot, change.value);
            for head in heads {
                self.asked[*head as usize] = true;
                reaches = true;
            }
        }
        if reaches {
            let plan = &self.watch.plan;
            plan.decode(&self.frames, &mut self.decoded);
            self.motion.frame(t_s, plan, &self.frames, &self.decoded);
        }
    }

    /// Whether anything may differ after the last look though no packet changes it.
    fn is_busy(&self) -> bool {
        let edge = self.is_true && self.watch.program.kept > 0;
        edge || self.watch.has_time || self.still_s.iter().any(|still_s| *still_s > self.last_s)
    }

    /// Looks, if anything may differ.
    fn look(&mut self, t_s: f64) {
        let changed = self.slots_changed || self.asked.contains(&true);
        if !changed && !self.is_busy() {
            self.last_s = t_s;
            return;
        }
        self.motion.advance(t_s);
        for head in 0..self.asked.len() {
            let asked = std::mem::replace(&mut self.asked[head], false);
            if !asked && self.still_s[head] <= self.last_s {
                continue;
            }
            let (mut standing, program) = (self.take_standing(), &self.watch.program);
            standing.look_at_head(program, head, self.moment(t_s));
            self.standing = standing;
            let of = self.watch.places.get(head).and_then(|place| self.motion.head(*place));
            self.still_s[head] = of.map_or(f64::NEG_INFINITY, |of| match self.watch.has_motion {
                true => of.still_from_s(),
                false => f64::NEG_INFINITY,
            });
        }
        if std::mem::replace(&mut self.slots_changed, false) || self.watch.has_time {
            self.standing.look_at_rest(&self.watch.program, t_s, &self.frames);
        }
        let is_true = self.standing.is_true(&self.watch.program);
        self.note(t_s, is_true);
        self.last_s = t_s;
    }

    /// The standing, to be put back: the moment that it is given borrows all else.
    fn take_standing(&mut self) -> Standing {
        std::mem::take(&mut self.standing)
    }

    fn note(&mut self, t_s: f64, is_true: bool) {
        match (self.is_true, is_true) {
            (false, true) => {
                self.found.count += 1;
                if self.found.spans.len() < MOST_SPANS {
                    let values = self.reasons(t_s);
                    self.found.spans.push(Span { from_s: t_s, to_s: f64::INFINITY, values });
                }
            }
            (true, false) => self.end_span(t_s),
            _ => {}
        }
        self.is_true = is_true;
    }

    fn end_span(&mut self, t_s: f64) {
        if let Some(span) = self.found.spans.last_mut().filter(|span| span.to_s == f64::INFINITY) {
            span.to_s = t_s;
        }
    }

    fn reasons(&self, t_s: f64) -> Vec<String> {
        let program = &self.watch.program;
        let reasons = self.standing.reasons(program);
        let more = reasons.len().saturating_sub(MOST_REASONS);
        let told = reasons
            .iter()
            .take(MOST_REASONS)
            .map(|nth| words(&program.leaves[*nth], self.standing.leaves[*nth], self.moment(t_s)));
        let more = (more > 0).then(|| format!("and {more} more"));
        told.chain(more).collect()
    }

    /// Looks at every packet between the last look and `until_s`, as long as anything may differ: the line
    /// repeats what it holds.
    fn between(&mut self, until_s: f64, period_s: f64) {
        let from_s = self.last_s;
        let mut packet = 1u32;
        while self.is_busy() {
            let t_s = from_s + f64::from(packet) * period_s;
            // The packet that comes next is looked at by itself.
            if t_s > until_s - period_s / 2.0 {
                return;
            }
            self.look(t_s);
            packet += 1;
        }
    }

    fn finish(mut self, end_s: f64) -> Found {
        self.end_span(self.last_s.max(end_s));
        self.found.end_s = self.last_s.max(end_s);
        self.found
    }
}

impl Watch {
    /// What a frame that stands makes of it, once everything has arrived: what made it true, or `None` where it
    /// is not.
    pub fn over_frame(&self, frames: &Frames) -> Option<Vec<String>> {
        let mut line = Line::new(self, frames.clone());
        line.look(0.0);
        line.found.spans.pop().map(|span| span.values)
    }

    /// All times at which it is true in timed frames, where `start` was held before. `progress` is called now
    /// and then and says whether to go on; `None` where it did not.
    pub fn over_timed(
        &self,
        start: &Frames,
        timed: &TimedFrames,
        progress: &dyn Fn(Progress) -> bool,
    ) -> Option<Found> {
        let mut line = Line::new(self, start.clone());
        let (period_s, of_s) = (packet_s(SLOTS), timed.duration_s());
        for nth in 0..timed.len() {
            let Some((at_s, changes)) = timed.frame(nth) else { break };
            line.between(at_s, period_s);
            line.take(at_s, changes);
            line.look(at_s);
            if nth.is_multiple_of(REPORT_EVERY) && !progress(Progress { done_s: at_s, of_s }) {
                return None;
            }
        }
        let rest_s = self.rest_s(&line, of_s);
        line.between(rest_s, period_s);
        Some(line.finish(of_s))
    }

    /// All times at which it is true in a straight run of cue lists of the show.
    pub fn over_run(&self, run: &Arc<Run>, progress: &dyn Fn(Progress) -> bool) -> Option<Found> {
        let tracks = Arc::new(Tracks::new(&self.plan));
        let run = Arc::new(run.of_fixtures(&self.company, tracks));
        let mut line = Line::new(self, run.tracks().at_rest());
        let mut course = Course::new(run.clone());
        let (period_s, of_s) = (run.period_s(), run.end_s());
        let mut steps = 0usize;
        while let Some(packet) = course.next_packet() {
            let t_s = run.packet_at_s(packet);
            if t_s > of_s + period_s {
                break;
            }
            line.between(t_s, period_s);
            course.step(packet);
            line.take(t_s, course.changes());
            line.look(t_s);
            steps += 1;
            if steps.is_multiple_of(REPORT_EVERY) && !progress(Progress { done_s: t_s, of_s }) {
                return None;
            }
        }
        let rest_s = self.rest_s(&line, of_s);
        line.between(rest_s, period_s);
        Some(line.finish(of_s))
    }

    /// When all has come to rest after the last packet.
    fn rest_s(&self, line: &Line<'_>, end_s: f64) -> f64 {
        let still_s = line.still_s.iter().copied().fold(line.last_s, f64::max);
        // Two packets more show that it stands.
        let rest_s = still_s.min(end_s + LONGEST_WAIT_S) + 2.5 * packet_s(SLOTS);
        rest_s.max(end_s)
    }
}

/// What the slots of one universe bear upon.
#[derive(Debug)]
pub(super) struct Bears {
    /// The universe.
    pub universe: Universe,
    /// The heads of the program, by slot.
    pub heads: Vec<Vec<u32>>,
    /// Whether a leaf is the slot itself.
    pub is_leaf: Vec<bool>,
}
