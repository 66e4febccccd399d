//! Where a head points on its way: lit moves, late arrivals, end stops, steps, and nearer ways.

use super::head::{Begun, HeadRun};
use super::kinds;
use crate::decode::AxisAsk;
use crate::finding::{Severity, rounded};
use crate::light::beam::aim_cone;
use crate::profile::{Effect, Head};
use crate::stage::scene::faces;

/// The least lit travel that is told, in degrees; less is seen by nobody.
const LEAST_DEG: f64 = 1.0;

/// How much later than its fade a head may arrive, in seconds: any head lags a little behind what it follows.
const LATE_S: f64 = 0.25;

/// A step that is seen, in degrees, where there are no more of them a second than [`STEPS_S`].
const STEP_DEG: f64 = 0.25;

/// Steps a second above which a move looks smooth: about what films have (common practice, no source).
const STEPS_S: f64 = 24.0;

/// Moves shorter than this have no nearer way worth a word, in degrees.
const LONG_DEG: f64 = 30.0;

/// How far a beam is taken to go where nothing of the room stops it, in metres.
const USUAL_THROW_M: f64 = 8.0;

/// What is watched of the aim.
#[derive(Default)]
pub(super) struct AimWatch {
    moving: Option<Moving>,
    due: Option<Due>,
    late: Option<Late>,
    steps: Option<Steps>,
    /// It gave no light as the cue that is on began.
    was_dark: bool,
    /// A movement without end is on it.
    swings: bool,
}

struct Moving {
    start: usize,
    /// Since when light came from it on this way.
    lit_from_s: f64,
    lit_deg: f64,
    lit_s: f64,
    was_dark: bool,
    swings: bool,
}

/// A fade of pan or tilt that ends.
struct Due {
    start: usize,
    began_s: f64,
    at_s: f64,
    from: (f64, f64),
}

struct Late {
    start: usize,
    began_s: f64,
    asked_s: f64,
    arrives_s: f64,
    share: f64,
}

struct Steps {
    start: usize,
    channel: String,
    step_deg: f64,
    every_s: f64,
    until_s: f64,
}

impl HeadRun<'_> {
    pub(super) fn aim_begins(&mut self, t_s: f64, begun: &[Begun]) {
        self.aim.was_dark = self.last.light() <= 0.0;
        let aims = |begun: &&Begun| {
            let ranges = &self.mode.channels[begun.channel].ranges;
            ranges.iter().any(|r| matches!(r.does, Effect::Pan { .. } | Effect::Tilt { .. }))
        };
        let aimed: Vec<&Begun> = begun.iter().filter(aims).collect();
        if aimed.is_empty() {
            return;
        }
        self.aim.swings = aimed.iter().any(|begun| begun.target.swing.is_some());
        self.aim.late = None;
        let start = self.on.unwrap_or(0);
        let ends_s = aimed.iter().map(|b| b.target.delay_s + b.target.fade_s).fold(0.0, f64::max);
        let moved = aimed.iter().any(|begun| begun.from != begun.target.to);
        if moved && !self.aim.swings {
            let from = (self.pose.pan_deg, self.pose.tilt_deg);
            self.aim.due = Some(Due { start, began_s: t_s, at_s: t_s + ends_s, from });
            self.judge_pace(t_s);
        }
        self.steps_begin(start, t_s, &aimed);
    }

    /// What a channel asks at a value, in degrees.
    fn asked_deg(&self, channel: usize, value: u32, wanted: fn(&Effect) -> bool) -> Option<f64> {
        let ranges = &self.mode.channels[channel].ranges;
        ranges.iter().find(|r| r.contains(value) && wanted(&r.does))?.physical_at(value)
    }

    /// Says if another turn of the head, or the other side of its tilt, points the same way nearer by. `to` is where
    /// the axes end, after offset, invert and swap: only there does half a turn of pan undo a tilt turned over.
    fn nearer_way(&mut self, due: &Due, to: (f64, f64)) {
        let Some(head) = self.head().filter(|head| head.reset().is_none()) else { return };
        let Some([pan, tilt]) = head.model().axes else { return };
        if !matches!(self.mode.profile.head, Head::Moving { .. }) {
            return;
        }
        let travel = |(p, t): (f64, f64)| (p - due.from.0).abs().max((t - due.from.1).abs());
        let turns = [-360.0, 360.0].map(|turn| (to.0 + turn, to.1));
        let flips = [-540.0, -180.0, 180.0, 540.0].map(|turn| (to.0 + turn, -to.1));
        let best = turns
            .into_iter()
            .chain(flips)
            .filter(|(p, t)| p.abs() <= pan.half_travel_deg && t.abs() <= tilt.half_travel_deg)
            .min_by(|a, b| travel(*a).total_cmp(&travel(*b)));
        let Some(best) = best else { return };
        if travel(to) < LONG_DEG || travel(best) * 2.0 >= travel(to) {
            return;
        }
        let [asked, nearer] = [to, best].map(|(pan, tilt)| {
            let (pan, tilt) = head.as_channels_ask(pan, tilt);
            format!("pan {} deg, tilt {} deg", rounded(pan, 1), rounded(tilt, 1))
        });
        let [far, near] = [to, best].map(|way| rounded(travel(way), 1));
        let what = format!(
            "it travels {far} deg to {asked}; {nearer} points the same way after {near} deg"
        );
        let mend = "give it the nearer pair, if what comes after can start from there";
        let span = (due.began_s, due.at_s);
        self.tell_in(kinds::SHORTER_WAY, Severity::Note, due.start, span, what, mend);
    }

    fn steps_begin(&mut self, start: usize, t_s: f64, aimed: &[&Begun]) {
        self.aim.steps = aimed.iter().find_map(|begun| {
            let channel = &self.mode.channels[begun.channel];
            let fade_s = begun.target.fade_s;
            if channel.offsets.len() > 1 || begun.target.snap.is_some() || fade_s <= 0.0 {
                return None;
            }
            let range = channel.ranges.iter().find(|range| range.contains(begun.target.to))?;
            let (a, b) = range.physical?.span;
            let step_deg = (b - a).abs() / f64::from((range.last - range.first).max(1));
            let steps = f64::from(begun.from.abs_diff(begun.target.to));
            let seen = step_deg >= STEP_DEG && steps > 0.0 && steps / fade_s <= STEPS_S;
            seen.then(|| Steps {
                start,
                channel: channel.name.clone(),
                step_deg,
                every_s: fade_s / steps,
                until_s: t_s + begun.target.delay_s + fade_s,
            })
        });
    }

    pub(super) fn watch_aim(&mut self, t_s: f64) {
        let moved =
            (self.pose.pan_deg - self.last.pan_deg).hypot(self.pose.tilt_deg - self.last.tilt_deg);
        let lit = self.pose.light() > 0.0;
        if moved > 1e-9 {
            let start = self.on.unwrap_or(0);
            let (was_dark, swings) = (self.aim.was_dark, self.aim.swings);
            let from_s = self.last_s;
            let moving = self.aim.moving.get_or_insert(Moving {
                start,
                lit_from_s: t_s,
                lit_deg: 0.0,
                lit_s: 0.0,
                was_dark,
                swings,
            });
            moving.swings |= swings;
            if lit {
                if moving.lit_s == 0.0 {
                    moving.lit_from_s = from_s;
                }
                moving.lit_deg += moved;
                moving.lit_s += t_s - from_s;
                self.steps_seen(t_s);
            }
        } else {
            self.move_ends(t_s);
        }
        self.judge_due(t_s);
        self.judge_late(t_s, lit);
    }

    fn move_ends(&mut self, t_s: f64) {
        let Some(moving) = self.aim.moving.take() else { return };
        if moving.swings || moving.lit_deg < LEAST_DEG {
            return;
        }
        let lit = format!(
            "{} deg while it is lit, for {} s",
            rounded(moving.lit_deg, 1),
            rounded(moving.lit_s, 2)
        );
        let span = (moving.lit_from_s, (moving.lit_from_s + moving.lit_s).min(t_s));
        match moving.was_dark {
            true => {
                let what = format!("its light comes up on the way: it moves {lit}");
                let mend =
                    "set its aim in a cue before, while it is dark, or have dark heads moved ahead";
                self.tell_in(kinds::LIVE_MOVE, Severity::Warning, moving.start, span, what, mend);
            }
            false => {
                let what = format!("it moves {lit}");
                self.tell_in(kinds::MOVES_LIT, Severity::Note, moving.start, span, what, "");
            }
        }
    }

    fn steps_seen(&mut self, t_s: f64) {
        let Some(steps) = self.aim.steps.take_if(|steps| t_s <= steps.until_s) else { return };
        let throw_m = self.throw_m();
        let step_m = throw_m * steps.step_deg.to_radians().tan();
        let what = format!(
            "`{}` has one slot: it goes in steps of {} deg, one every {} s, {} m each at {} m",
            steps.channel,
            rounded(steps.step_deg, 2),
            rounded(steps.every_s, 2),
            rounded(step_m, 2),
            rounded(throw_m, 1)
        );
        let mend = "move faster, move it in the dark, or choose a mode with a fine slot";
        self.tell_in(
            kinds::STEPS,
            Severity::Warning,
            steps.start,
            (t_s, steps.until_s),
            what,
            mend,
        );
    }

    /// How far its beam goes before it meets the room.
    pub(super) fn throw_m(&self) -> f64 {
        let cone = aim_cone(self.fixture, &self.mode.profile, &self.pose);
        let hits = cone.and_then(|cone| {
            let faces = faces(&self.show.room);
            let hits = faces.iter().filter_map(|face| face.hit(cone.apex, cone.axis));
            hits.map(|hit| hit.distance(cone.apex)).reduce(f64::min)
        });
        hits.unwrap_or(USUAL_THROW_M)
    }

    /// The fade of pan and tilt has ended: has the head arrived, and is it where it was asked to be?
    fn judge_due(&mut self, t_s: f64) {
        let Some(due) = self.aim.due.take_if(|due| due.at_s <= t_s) else { return };
        let Some(head) = self.head() else { return };
        let (arrival, asked) = (head.arrives_s().aim_s(), head.asked_of_axes());
        let Some(asked) = asked else { return };
        let end = |axis: usize| match asked[axis] {
            AxisAsk::To { deg } => deg,
            _ => [self.pose.pan_deg, self.pose.tilt_deg][axis],
        };
        let can = head.as_channels_ask(end(0), end(1));
        let now = [self.pose.pan_deg, self.pose.tilt_deg];
        let from = [due.from.0, due.from.1];
        let mut share = 1.0f64;
        for axis in 0..2 {
            let AxisAsk::To { deg } = asked[axis] else { continue };
            let to = deg;
            let way = (to - from[axis]).abs();
            if way > 0.1 {
                share = share.min(1.0 - (to - now[axis]).abs() / way);
            }
        }
        let to = (end(0), end(1));
        self.nearer_way(&due, to);
        self.judge_ends(t_s, &due, [can.0, can.1]);
        let late = arrival.filter(|arrives_s| *arrives_s > due.at_s + LATE_S);
        self.aim.late = late.map(|arrives_s| Late {
            start: due.start,
            began_s: due.began_s,
            asked_s: due.at_s,
            arrives_s,
            share: share.clamp(0.0, 1.0),
        });
    }

    /// What the channels ask for against what the axes can do of it, in the terms of the channels.
    fn judge_ends(&mut self, t_s: f64, due: &Due, can: [f64; 2]) {
        let wanted: [fn(&Effect) -> bool; 2] =
            [|e| matches!(e, Effect::Pan { .. }), |e| matches!(e, Effect::Tilt { .. })];
        for (axis, wanted) in wanted.into_iter().enumerate() {
            let asked = (0..self.mode.channels.len()).find_map(|channel| {
                let track = self.run.tracks().find(self.own, channel)?;
                self.asked_deg(channel, self.value(track)?, wanted)
            });
            let Some(asked) = asked.filter(|asked| (asked - can[axis]).abs() > 0.05) else {
                continue;
            };
            let what = format!(
                "it is asked for {} deg of {} and stops at {} deg: its travel ends there",
                rounded(asked, 1),
                ["pan", "tilt"][axis],
                rounded(can[axis], 1)
            );
            let mend = "give it an angle within its travel; its offset counts too";
            self.tell_in(
                kinds::END_STOP,
                Severity::Warning,
                due.start,
                (due.at_s, t_s),
                what,
                mend,
            );
        }
    }

    /// A head that is late is told once somebody can see it.
    fn judge_late(&mut self, t_s: f64, lit: bool) {
        if self.aim.late.as_ref().is_some_and(|late| t_s > late.arrives_s + self.run.period_s()) {
            self.aim.late = None;
        }
        let Some(late) = self.aim.late.take_if(|_| lit) else { return };
        let what = format!(
            "it is asked to be there after {} s and arrives after {} s: {} % of the way when the fade ends",
            rounded(late.asked_s - late.began_s, 2),
            rounded(late.arrives_s - late.began_s, 2),
            rounded(late.share * 100.0, 0)
        );
        let mend = "give the aim more time, start it earlier, or raise the head's own speed";
        self.tell_in(
            kinds::LATE,
            Severity::Warning,
            late.start,
            (late.asked_s, late.arrives_s),
            what,
            mend,
        );
    }

    pub(super) fn aim_ends(&mut self, t_s: f64) {
        self.move_ends(t_s);
    }
}
