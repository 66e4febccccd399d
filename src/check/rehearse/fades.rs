//! What a fade passes over on its way, and values that mean nothing.

use super::head::{Begun, HeadRun};
use super::kinds;
use crate::cue::FadeCurve;
use crate::decode::CompiledRange;
use crate::finding::{Severity, rounded};
use crate::profile::Effect;

/// A range that a fade passes over.
struct Passed {
    label: String,
    for_s: f64,
    hold_s: Option<f64>,
    danger: bool,
    /// It does something to the fixture, whether anybody sees it or not.
    acts: bool,
}

/// A fade across ranges that nobody asked for, of which nothing is told while the head is dark.
pub(super) struct Crossing {
    start: usize,
    span: (f64, f64),
    severity: Severity,
    what: String,
}

const LET_JUMP: &str = "let this channel jump: mark it so in the profile, or give its part no time";

impl HeadRun<'_> {
    pub(super) fn fades_begin(&mut self, t_s: f64, begun: &[Begun]) {
        for begun in begun {
            self.gap(t_s, begun);
            self.crossing(t_s, begun);
        }
    }

    fn gap(&mut self, t_s: f64, begun: &Begun) {
        let channel = &self.mode.channels[begun.channel];
        let to = begun.target.to;
        let held = |offset: u16| self.reading()?.slot_state(offset)?.value();
        if channel.ranges.iter().any(|range| range.contains(to) && range.may_hold(held)) {
            return;
        }
        let value = crate::decode::written(to, channel.offsets.len());
        let what =
            format!("`{}` goes to {value}, which no range covers as things stand", channel.name);
        self.tell(
            kinds::GAP,
            Severity::Warning,
            (t_s, t_s),
            what,
            "give it a value whose range is known",
        );
    }

    fn crossing(&mut self, t_s: f64, begun: &Begun) {
        let target = &begun.target;
        if begun.from == target.to
            || target.snap.is_some()
            || target.swing.is_some()
            || target.fade_s <= 0.0
        {
            return;
        }
        let channel = &self.mode.channels[begun.channel];
        let held = |offset: u16| self.reading()?.slot_state(offset)?.value();
        let ranges = channel.ranges.iter().filter(|range| range.may_hold(held));
        let ends = |range: &CompiledRange| range.contains(begun.from) || range.contains(target.to);
        let asked: Vec<&CompiledRange> = ranges.clone().filter(|range| ends(range)).collect();
        let mut passed: Vec<Passed> = Vec::new();
        for range in ranges.filter(|range| !ends(range)) {
            // What does the same as one of its ends is what was asked for.
            let same = asked.iter().any(|of| of.does == range.does && of.also == range.also);
            let plain = same || range.effects().all(is_plain);
            let Some(for_s) = self.passes_for_s(begun, range).filter(|_| !plain) else { continue };
            let hold_s = range.effects().find_map(|effect| effect.hold_s().flatten());
            let danger = range.effects().any(is_danger);
            let acts = range.effects().any(acts);
            passed.push(Passed { label: range.label.clone(), for_s, hold_s, danger, acts });
        }
        if passed.is_empty() {
            return;
        }
        let name = channel.name.clone();
        let begins_s = t_s + target.delay_s;
        let span = (begins_s, begins_s + target.fade_s);
        let held =
            |passed: &&Passed| passed.hold_s.is_some_and(|hold_s| passed.for_s >= hold_s - 1e-9);
        let danger = passed.iter().any(|passed| passed.danger);
        let words: Vec<String> = passed
            .iter()
            .map(|passed| {
                let hold = passed
                    .hold_s
                    .map_or(String::new(), |s| format!(" of the {} s it takes", rounded(s, 2)));
                format!("`{}` for {} s{hold}", passed.label, rounded(passed.for_s, 3))
            })
            .collect();
        // A fade that the next cue takes over may never get so far.
        let cut_short = self.sent_again_s(begun.channel).is_some_and(|at_s| at_s < span.1);
        if let Some(held) = passed.iter().find(held).filter(|_| !cut_short) {
            let what = format!(
                "`{name}` fades through `{}` for {} s, and {} s are enough to act",
                held.label,
                rounded(held.for_s, 3),
                rounded(held.hold_s.unwrap_or(0.0), 2)
            );
            self.tell(kinds::HOLDS, Severity::Error, span, what, LET_JUMP);
        }
        let severity = if danger { Severity::Warning } else { Severity::Note };
        let what = format!("`{name}` fades through {}", words.join(", "));
        if passed.iter().any(|passed| passed.acts) {
            self.tell(kinds::CROSSES, severity, span, what, LET_JUMP);
        } else {
            let start = self.on.unwrap_or(0);
            self.crossings.push(Crossing { start, span, severity, what });
        }
    }

    /// When a later cue sends a channel somewhere again, in seconds.
    fn sent_again_s(&self, channel: usize) -> Option<f64> {
        let track = self.run.tracks().find(self.own, channel)?;
        let later = self.run.starts().get(self.next_start..)?;
        let sends = later.iter().find(|start| {
            let cue = &self.run.lists()[start.list].cues[start.cue];
            cue.moves.binary_search_by_key(&track, |of| of.track).is_ok()
        });
        sends.map(|start| start.at_s)
    }

    /// Tells the fades under way of which light shows.
    pub(super) fn watch_fades(&mut self, t_s: f64) {
        if self.crossings.is_empty() {
            return;
        }
        let lit = self.pose.light() > 0.0 || self.last.light() > 0.0;
        for crossing in std::mem::take(&mut self.crossings) {
            let Crossing { start, span, severity, ref what } = crossing;
            if lit && t_s > span.0 {
                self.tell_in(kinds::CROSSES, severity, start, span, what, LET_JUMP);
            } else if t_s < span.1 {
                self.crossings.push(crossing);
            }
        }
    }

    /// How long a fade stays in a range that it passes over, in seconds; `None` where it does not.
    fn passes_for_s(&self, begun: &Begun, range: &CompiledRange) -> Option<f64> {
        let (from, to) = (f64::from(begun.from), f64::from(begun.target.to));
        let (low, high) = (from.min(to), from.max(to));
        // A value is the nearest whole one: it begins and ends half a step before and behind.
        let (first, last) = (f64::from(range.first) - 0.5, f64::from(range.last) + 0.5);
        if last <= low || first >= high {
            return None;
        }
        let share = |value: f64| ((value.clamp(low, high) - from) / (to - from)).clamp(0.0, 1.0);
        let (a, b) = (share(first), share(last));
        let time = |share: f64| when(begun.target.curve, share) * begun.target.fade_s;
        Some((time(b) - time(a)).abs())
    }
}

/// The share of the time at which a curve has gone a share of the way.
fn when(curve: FadeCurve, share: f64) -> f64 {
    if curve == FadeCurve::Even {
        return share;
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        if curve.at(middle) < share { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}

/// Whether an effect is nothing, or a matter of more and less through which every fade has to go.
fn is_plain(effect: &Effect) -> bool {
    match effect {
        Effect::Idle
        | Effect::Select
        | Effect::Pan { .. }
        | Effect::Tilt { .. }
        | Effect::Dimmer { .. }
        | Effect::Emitter { .. }
        | Effect::Filter { .. }
        | Effect::Temperature { .. }
        | Effect::Zoom { .. }
        | Effect::Focus { .. }
        | Effect::Frost { .. } => true,
        effect => effect.paces_aim(),
    }
}

/// Whether an effect does something to the fixture itself.
fn acts(effect: &Effect) -> bool {
    is_danger(effect) && !matches!(effect, Effect::Strobe { .. } | Effect::Shut | Effect::Open)
}

/// What may not happen on the way to something else.
fn is_danger(effect: &Effect) -> bool {
    matches!(
        effect,
        Effect::Reset { .. }
            | Effect::LampOn { .. }
            | Effect::LampOff { .. }
            | Effect::Latch { .. }
            | Effect::Strobe { .. }
            | Effect::Program { .. }
            | Effect::Sound
            | Effect::Follow
            | Effect::Shut
            | Effect::Open
    )
}
