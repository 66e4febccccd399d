//! Aims that go in steps: one slot for a slow move, and moves sent on so seldom that the head stands between.

use super::head::{Begun, HeadRun};
use super::kinds;
use crate::decode::CompiledMode;
use crate::finding::{Severity, rounded};
use crate::profile::Effect;
use crate::rig::Fixture;

/// A step that is seen, in degrees (common practice, no source).
const STEP_DEG: f64 = 0.25;

/// How long a head stands between two moves before it is seen to, in seconds: about one picture of a film
/// (common practice, no source).
const STAND_S: f64 = 0.04;

/// Moves that follow each other this soon are meant as one, in seconds.
const ONE_MOVE_S: f64 = 1.0;

/// How often a head stands on such a move before it is told.
const STOPS: u32 = 3;

/// What is watched of the way an aim is sent.
#[derive(Default)]
pub(super) struct StepWatch {
    /// Channels of one slot, by which a slow move shows its steps.
    coarse: Vec<Coarse>,
    /// Moves that follow each other, by axis.
    hops: [Option<Hops>; 2],
}

/// A channel of one slot that aims.
struct Coarse {
    channel: usize,
    axis: usize,
    value: Option<u32>,
    steps: Option<Steps>,
}

/// A move in steps, so far.
struct Steps {
    start: usize,
    from_s: f64,
    to_s: f64,
    step_deg: f64,
    count: u32,
    /// How often the axis stood before one.
    stops: u32,
}

/// Moves of one axis the same way, one soon after the other, so far.
struct Hops {
    start: usize,
    from_s: f64,
    last_s: f64,
    up: bool,
    count: u32,
    stops: u32,
    most_deg: f64,
}

/// The axis of the head that a channel moves: 0 is pan. Axes may be swapped in the rig or in the head.
fn axis(fixture: &Fixture, mode: &CompiledMode, channel: usize) -> Option<usize> {
    let ranges = &mode.channels[channel].ranges;
    let axis = ranges.iter().find_map(|range| match range.does {
        Effect::Pan { .. } => Some(0),
        Effect::Tilt { .. } => Some(1),
        _ => None,
    })?;
    Some(axis ^ usize::from(fixture.aim.swap != fixture.in_head.swap))
}

impl StepWatch {
    pub(super) fn new(fixture: &Fixture, mode: &CompiledMode) -> Self {
        let coarse = (0..mode.channels.len()).filter_map(|channel| {
            let axis = axis(fixture, mode, channel)?;
            let one = mode.channels[channel].offsets.len() == 1;
            one.then_some(Coarse { channel, axis, value: None, steps: None })
        });
        Self { coarse: coarse.collect(), hops: [None, None] }
    }
}

impl HeadRun<'_> {
    /// Cues send axes on: did these stand where the last move had brought them?
    pub(super) fn steps_begin(&mut self, begun: &[Begun]) {
        for begun in begun {
            let Some(axis) = axis(self.fixture, &self.mode, begun.channel) else { continue };
            if let Some(coarse) = self.steps.coarse.iter().position(|c| c.channel == begun.channel)
            {
                self.steps_over(coarse);
            }
            let lit = self.pose.light() > 0.0 && self.last.light() > 0.0;
            let (at_s, to) = (begun.at_s, begun.target.to);
            let hops = self.steps.hops[axis].take();
            if begun.target.swing.is_some() || begun.from == to || !lit {
                self.hops_over(axis, hops);
                continue;
            }
            let up = to > begun.from;
            let far = |of: &Hops| at_s - of.last_s > ONE_MOVE_S || of.up != up;
            let hops = match hops {
                Some(hops) if far(&hops) => {
                    self.hops_over(axis, Some(hops));
                    None
                }
                hops => hops,
            };
            let hops = hops.unwrap_or(Hops {
                start: begun.start,
                from_s: at_s,
                last_s: at_s,
                up,
                count: 0,
                stops: 0,
                most_deg: 0.0,
            });
            let stood = hops.count > 0 && self.stood(axis, at_s);
            let hop_deg = self.span_deg(begun.channel, begun.from, to);
            self.steps.hops[axis] = Some(Hops {
                last_s: at_s,
                count: hops.count + 1,
                stops: hops.stops + u32::from(stood),
                most_deg: hops.most_deg.max(hop_deg),
                ..hops
            });
        }
    }

    /// Whether an axis stood until just before a time, for so long that it is seen.
    fn stood(&self, axis: usize, t_s: f64) -> bool {
        self.arrived_s[axis].is_some_and(|arrived_s| t_s - arrived_s >= STAND_S)
    }

    /// How far two values of an aim channel are apart, in degrees; 0 where they are not of one range.
    fn span_deg(&self, channel: usize, a: u32, b: u32) -> f64 {
        let ranges = &self.mode.channels[channel].ranges;
        let aims = |does: &Effect| matches!(does, Effect::Pan { .. } | Effect::Tilt { .. });
        let range = ranges.iter().find(|r| r.contains(a) && r.contains(b) && aims(&r.does));
        let deg = |value: u32| range?.physical_at(value);
        deg(a).zip(deg(b)).map_or(0.0, |(a, b)| (a - b).abs())
    }

    /// Looks whether a channel of one slot went on by a single step, from a stand.
    pub(super) fn watch_steps(&mut self, t_s: f64) {
        for nth in 0..self.steps.coarse.len() {
            let Coarse { channel, axis, value: before, .. } = self.steps.coarse[nth];
            let value = self.run.tracks().find(self.own, channel).and_then(|t| self.value(t));
            if value == before {
                continue;
            }
            self.steps.coarse[nth].value = value;
            let (Some(before), Some(value)) = (before, value) else { continue };
            let step_deg = self.span_deg(channel, before, value);
            let lit = self.pose.light() > 0.0;
            if before.abs_diff(value) != 1 || step_deg < STEP_DEG || !lit {
                self.steps_over(nth);
                continue;
            }
            let start = self.on.unwrap_or(0);
            let stood = self.stood(axis, t_s);
            let steps = self.steps.coarse[nth].steps.get_or_insert(Steps {
                start,
                from_s: t_s,
                to_s: t_s,
                step_deg,
                count: 0,
                stops: 0,
            });
            // The first step begins from a stand whatever the channel is.
            steps.stops += u32::from(stood && steps.count > 0);
            steps.count += 1;
            steps.to_s = t_s;
            steps.step_deg = steps.step_deg.max(step_deg);
        }
    }

    fn steps_over(&mut self, coarse: usize) {
        let Some(steps) = self.steps.coarse[coarse].steps.take() else { return };
        if steps.stops == 0 {
            return;
        }
        let throw_m = self.throw_m();
        let step_m = throw_m * steps.step_deg.to_radians().tan();
        let every_s = (steps.to_s - steps.from_s) / f64::from(steps.count.max(2) - 1);
        let what = format!(
            "`{}` has one slot: it goes in steps of {} deg, one every {} s, {} m each at {} m",
            self.mode.channels[self.steps.coarse[coarse].channel].name,
            rounded(steps.step_deg, 2),
            rounded(every_s, 2),
            rounded(step_m, 2),
            rounded(throw_m, 1)
        );
        let mend = "move faster, move it in the dark, or choose a mode with a fine slot";
        let span = (steps.from_s, steps.to_s);
        self.tell_in(kinds::STEPS, Severity::Warning, steps.start, span, what, mend);
    }

    fn hops_over(&mut self, axis: usize, hops: Option<Hops>) {
        let Some(hops) = hops.filter(|hops| hops.stops >= STOPS) else { return };
        let every_s = (hops.last_s - hops.from_s) / f64::from(hops.count.max(2) - 1);
        let what = format!(
            "its {} is sent on {} times, by up to {} deg every {} s, and stands in between",
            ["pan", "tilt"][axis],
            hops.count,
            rounded(hops.most_deg, 1),
            rounded(every_s, 2)
        );
        let mend =
            "send it on sooner, give each cue a fade as long as it stands, or make it one fade";
        let span = (hops.from_s, hops.last_s);
        self.tell_in(kinds::STUTTER, Severity::Warning, hops.start, span, what, mend);
    }

    /// What is still on its way at the end.
    pub(super) fn steps_end(&mut self) {
        for coarse in 0..self.steps.coarse.len() {
            self.steps_over(coarse);
        }
        for axis in 0..2 {
            let hops = self.steps.hops[axis].take();
            self.hops_over(axis, hops);
        }
    }
}
