//! What a fade passes over on its way, told from what was really sent, and values that mean nothing.

use super::head::{Begun, HeadRun};
use super::kinds;
use crate::cue::Target;
use crate::decode::{CompiledChannel, CompiledRange};
use crate::finding::{Severity, rounded};
use crate::profile::Effect;

/// How many halvings find the instant between two packets at which a fade enters a range: less than a
/// millionth of a packet.
const HALVINGS: usize = 30;

/// The most ranges of one fade that are named.
const NAMED: usize = 12;

const LET_JUMP: &str = "let this channel jump: mark it so in the profile, or give its part no time";

/// A channel that a cue fades, or will once its delay is over.
pub(super) struct Fade {
    start: usize,
    channel: usize,
    track: usize,
    target: Target,
    begins_s: f64,
    /// When it has faded, or another cue takes the channel over.
    ends_s: f64,
    /// Another cue takes it over before it has faded.
    cut: bool,
    /// Where it begins, and the ranges of both ends once it has.
    from: u32,
    ends: Option<[Option<usize>; 2]>,
    /// The range that the last packet put it into.
    stood: Option<usize>,
    /// The range that nobody asked for in which it is, and since when.
    within: Option<(usize, f64)>,
    passed: Vec<Passed>,
    /// Light came out while it was where nobody asked for.
    lit: bool,
}

/// A range that a fade passed over.
#[derive(Clone, Copy)]
struct Passed {
    range: usize,
    from_s: f64,
    to_s: f64,
}

impl Fade {
    /// Its value at a time, if nothing but it moves the channel.
    fn value(&self, t_s: f64) -> u32 {
        let share = ((t_s - self.begins_s) / self.target.fade_s).clamp(0.0, 1.0);
        let (from, to) = (f64::from(self.from), f64::from(self.target.to));
        (from + (to - from) * self.target.curve.at(share) + 0.5).floor() as u32
    }
}

impl HeadRun<'_> {
    pub(super) fn fades_begin(&mut self, t_s: f64, begun: &[Begun]) {
        for begun in begun {
            self.gap(t_s, begun);
            self.fade_begins(begun);
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

    /// A cue sends a channel somewhere: what was on its way there goes on until the delay is over.
    fn fade_begins(&mut self, begun: &Begun) {
        let (channel, target) = (begun.channel, begun.target);
        let begins_s = begun.at_s + target.delay_s;
        // What an earlier cue would still have begun later is forgotten.
        self.fades.retain(|fade| fade.channel != channel || fade.begins_s <= begun.at_s);
        for fade in self.fades.iter_mut().filter(|fade| fade.channel == channel) {
            fade.cut |= begins_s < fade.ends_s;
            fade.ends_s = fade.ends_s.min(begins_s);
        }
        if target.snap.is_some() || target.swing.is_some() || target.fade_s <= 0.0 {
            return;
        }
        let may = |range: &CompiledRange| !range.effects().all(is_plain);
        let Some(track) = self.run.tracks().find(self.own, channel) else { return };
        if !self.mode.channels[channel].ranges.iter().any(may) {
            return;
        }
        self.fades.push(Fade {
            start: begun.start,
            channel,
            track,
            target,
            begins_s,
            ends_s: begins_s + target.fade_s,
            cut: false,
            from: begun.from,
            ends: None,
            stood: None,
            within: None,
            passed: Vec::new(),
            lit: false,
        });
    }

    /// Looks where the fades under way are.
    pub(super) fn watch_fades(&mut self, t_s: f64) {
        if self.fades.is_empty() {
            return;
        }
        let mut fades = std::mem::take(&mut self.fades);
        let mut nth = 0;
        while nth < fades.len() {
            let fade = &mut fades[nth];
            // Once another cue has the channel, its value is that cue's.
            let taken_over = fade.cut && t_s >= fade.ends_s;
            if !taken_over {
                self.look(t_s, fade);
            }
            if t_s < fade.ends_s {
                nth += 1;
                continue;
            }
            let mut fade = fades.remove(nth);
            if let Some((range, from_s)) = fade.within.take() {
                let next = fades.iter_mut().find(|of| of.channel == fade.channel);
                match next.filter(|next| next.begins_s <= fade.ends_s + 1e-9) {
                    // It stays in that range until the next fade leads it out.
                    Some(next) => next.within = Some((range, from_s)),
                    None => fade.passed.push(Passed { range, from_s, to_s: fade.ends_s }),
                }
            }
            self.passed(fade);
        }
        self.fades = fades;
    }

    fn look(&self, t_s: f64, fade: &mut Fade) {
        let Some(value) = self.value(fade.track) else { return };
        if t_s < fade.begins_s {
            fade.from = value;
            return;
        }
        let channel = &self.mode.channels[fade.channel];
        let held = |offset: u16| self.reading()?.slot_state(offset)?.value();
        let ends = match fade.ends {
            Some(ends) => ends,
            None => {
                let ends = [fade.from, fade.target.to].map(|end| channel.find_with(end, held));
                (fade.ends, fade.stood) = (Some(ends), ends[0]);
                ends
            }
        };
        let range = channel.find_with(value, held);
        if range != fade.stood {
            let before_s = self.last_s.max(fade.begins_s).min(t_s);
            let is_in = |at_s: f64| channel.find_with(fade.value(at_s), held) == range;
            let entered_s = entered_s((before_s, t_s), is_in);
            fade.stood = range;
            if let Some((range, from_s)) = fade.within.take() {
                fade.passed.push(Passed { range, from_s, to_s: entered_s });
            }
            fade.within = range
                .filter(|range| unasked(channel, *range, ends))
                .map(|range| (range, entered_s));
        }
        if fade.within.is_some() {
            fade.lit |= self.pose.light() > 0.0 || self.last.light() > 0.0;
        }
    }

    /// A fade is over: what did it pass?
    fn passed(&mut self, fade: Fade) {
        let (Some(first), Some(last)) = (fade.passed.first(), fade.passed.last()) else { return };
        let span = (first.from_s, last.to_s);
        let channel = &self.mode.channels[fade.channel];
        let name = &channel.name;
        let of = |passed: &Passed| (&channel.ranges[passed.range], passed.to_s - passed.from_s);
        let packet_s = self.run.period_s();
        let held = fade.passed.iter().map(of).find_map(|(range, for_s)| {
            let hold_s = range.effects().find_map(|effect| effect.hold_s().flatten())?;
            // Which packets carry the value hangs on when the first is sent: one decides.
            let enough = match for_s {
                for_s if for_s >= hold_s - 1e-6 => "are enough to act",
                for_s if for_s >= hold_s - packet_s => "act, and one packet decides",
                _ => return None,
            };
            let (label, for_s, hold_s) = (&range.label, rounded(for_s, 3), rounded(hold_s, 2));
            Some(format!("`{name}` fades through `{label}` for {for_s} s, and {hold_s} s {enough}"))
        });
        let mut words: Vec<String> = fade.passed.iter().map(of).map(passing).take(NAMED).collect();
        if let Some(more) = fade.passed.len().checked_sub(NAMED + 1) {
            words.push(format!("{} more", more + 1));
        }
        let what = format!("`{name}` fades through {}", words.join(", "));
        let does = |wanted: fn(&Effect) -> bool| {
            fade.passed.iter().any(|passed| of(passed).0.effects().any(wanted))
        };
        let severity = if does(is_danger) { Severity::Warning } else { Severity::Note };
        // What acts on the fixture is told whether anybody sees it or not.
        let told = fade.lit || does(Effect::acts_on_fixture);
        if let Some(held) = held {
            self.tell_in(kinds::HOLDS, Severity::Error, fade.start, span, held, LET_JUMP);
        }
        if told {
            self.tell_in(kinds::CROSSES, severity, fade.start, span, what, LET_JUMP);
        }
    }

    /// Fades that are still on their way at the end.
    pub(super) fn fades_end(&mut self, t_s: f64) {
        for mut fade in std::mem::take(&mut self.fades) {
            if let Some((range, from_s)) = fade.within.take() {
                fade.passed.push(Passed { range, from_s, to_s: t_s });
            }
            self.passed(fade);
        }
    }
}

/// A range that was passed, and for how long, in words.
fn passing((range, for_s): (&CompiledRange, f64)) -> String {
    let hold = match range.effects().find_map(Effect::hold_s) {
        Some(Some(hold_s)) => format!(" of the {} s it takes", rounded(hold_s, 2)),
        Some(None) => " (how long it must be held is not known)".to_owned(),
        None => String::new(),
    };
    format!("`{}` for {} s{hold}", range.label, rounded(for_s, 3))
}

/// When a fade came into a range, within a span of time at whose end it is in it.
fn entered_s((mut before_s, mut after_s): (f64, f64), is_in: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle_s = (before_s + after_s) / 2.0;
        if is_in(middle_s) {
            after_s = middle_s;
        } else {
            before_s = middle_s;
        }
    }
    after_s
}

/// Whether a range on the way is one that nobody asked for. What does the same as one of the ends was asked for.
fn unasked(channel: &CompiledChannel, range: usize, ends: [Option<usize>; 2]) -> bool {
    let passed = &channel.ranges[range];
    let mut asked = ends.into_iter().flatten().filter_map(|end| channel.ranges.get(end));
    let same = |of: &CompiledRange| of.does == passed.does && of.also == passed.also;
    !ends.contains(&Some(range)) && !passed.effects().all(is_plain) && !asked.any(same)
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

/// What may not happen on the way to something else.
fn is_danger(effect: &Effect) -> bool {
    effect.acts_on_fixture()
        || matches!(effect, Effect::Strobe { .. } | Effect::Shut | Effect::Open)
}
