//! Where a head points on its way: lit moves, late arrivals, end stops, and nearer ways.

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

/// Moves shorter than this have no nearer way worth a word, in degrees.
const LONG_DEG: f64 = 30.0;

/// Angles that differ by less are the same, in degrees: the last bit of a channel.
const SAME_DEG: f64 = 0.05;

/// How far a beam is taken to go where nothing of the room stops it, in metres.
const USUAL_THROW_M: f64 = 8.0;

/// What is watched of the aim.
#[derive(Default)]
pub(super) struct AimWatch {
    moving: Option<Moving>,
    due: Option<Due>,
    late: Option<Late>,
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
        // Whoever is sent past the end stands at it, which is told by that.
        if !self.judge_ends(t_s, &due, [can.0, can.1]) {
            self.judge_stop(t_s, &due, [to.0, to.1]);
        }
        let late = arrival.filter(|arrives_s| *arrives_s > due.at_s + LATE_S);
        self.aim.late = late.map(|arrives_s| Late {
            start: due.start,
            began_s: due.began_s,
            asked_s: due.at_s,
            arrives_s,
            share: share.clamp(0.0, 1.0),
        });
    }

    /// What the channels ask for against what the axes can do of it, in the terms of the channels. Says
    /// whether they ask for more.
    fn judge_ends(&mut self, t_s: f64, due: &Due, can: [f64; 2]) -> bool {
        let mut beyond = false;
        let wanted: [fn(&Effect) -> bool; 2] =
            [|e| matches!(e, Effect::Pan { .. }), |e| matches!(e, Effect::Tilt { .. })];
        for (axis, wanted) in wanted.into_iter().enumerate() {
            let asked = (0..self.mode.channels.len()).find_map(|channel| {
                let track = self.run.tracks().find(self.own, channel)?;
                self.asked_deg(channel, self.value(track)?, wanted)
            });
            let Some(asked) = asked.filter(|asked| (asked - can[axis]).abs() > SAME_DEG) else {
                continue;
            };
            let what = format!(
                "it is asked for {} deg of {} and stops at {} deg: its travel ends there",
                rounded(asked, 1),
                ["pan", "tilt"][axis],
                rounded(can[axis], 1)
            );
            beyond = true;
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
        beyond
    }

    /// An axis that is sent just to the end of its travel: it has no way left to go on.
    fn judge_stop(&mut self, t_s: f64, due: &Due, to: [f64; 2]) {
        let Some(limits) = self.head().and_then(|head| head.model().axes) else { return };
        let from = [due.from.0, due.from.1];
        for axis in 0..2 {
            let half_deg = limits[axis].half_travel_deg;
            let stands = (to[axis].abs() - half_deg).abs() <= SAME_DEG;
            if !stands || (to[axis] - from[axis]).abs() <= SAME_DEG {
                continue;
            }
            let what = format!(
                "its {} axis stands at the end of its travel, {} deg from its middle: it can go back only",
                ["pan", "tilt"][axis],
                rounded(half_deg, 1)
            );
            let mend = "come at the same direction another way round, if the next cue goes on";
            let span = (due.at_s, t_s);
            self.tell_in(kinds::AT_STOP, Severity::Note, due.start, span, what, mend);
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
