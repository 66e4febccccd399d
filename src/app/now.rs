//! What a head does at the instant shown, in the words of the reading panel.

use super::clock::{Clock, Mode};
use super::timed::Timed;
use crate::decode::{ChannelReading, CompiledChannel, Reading, WheelPlace, values_for};
use crate::finding::Severity;
use crate::motion::{HeadMotion, LampState, Order, Part, Pose, RigMotion, Stage};
use crate::profile::Effect;
use crate::profile::quantity::Unit;

/// The heads at an instant.
#[derive(Clone, Copy)]
pub struct Now<'a> {
    /// Every head over time.
    pub motion: &'a RigMotion,
    /// What every fixture does, in the rig's order.
    pub poses: &'a [Option<Pose>],
    /// The instant, in seconds.
    pub t_s: f64,
}

/// What a head does in the terms of one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelNow {
    /// In words: `35.00 deg`, `slot 2.40`, `held dark`.
    pub words: String,
    /// The value of the channel that would ask for just this.
    pub value: Option<f64>,
    /// It is not what is asked.
    pub differs: bool,
}

/// What is done, as a number of the channel's own unit where there is one.
enum Done {
    Number(Unit, f64),
    Words { words: String, differs: bool },
}

impl<'a> Now<'a> {
    /// The instant that the window shows; `None` while time plays no part.
    pub fn of(clock: &'a Clock, timed: Option<&'a Timed>) -> Option<Self> {
        if clock.mode == Mode::Arrived {
            return None;
        }
        let timed = timed.filter(|timed| timed.leads);
        let motion = timed.map_or(&clock.motion, |timed| timed.playback.motion());
        Some(Self { motion, poses: clock.poses(), t_s: clock.t_s })
    }

    /// What a fixture does in the terms of a channel; `None` for a channel that nothing shows of.
    pub fn channel(
        &self,
        fixture: usize,
        reading: &Reading<'_>,
        channel: &ChannelReading<'_>,
    ) -> Option<ChannelNow> {
        let pose = self.poses.get(fixture)?.as_ref()?;
        let head = self.motion.head(fixture)?;
        let seen = Seen { head, pose, reading, channel, t_s: self.t_s };
        let first = channel.channel.ranges.first();
        let range = channel.range.or(first)?;
        let done = range.effects().find_map(|effect| seen.done(effect, range.wheel))?;
        Some(match done {
            Done::Words { words, differs } => ChannelNow { words, value: None, differs },
            Done::Number(Unit::Slot, place) => {
                let value = value_of_place(channel.channel, range.wheel, place);
                let words = seen.place_words(range.wheel, place);
                ChannelNow { words, value, differs: seen.wheel_differs(range.wheel, place) }
            }
            Done::Number(unit, number) => {
                let words = unit.format(number);
                let asked = range.physical.filter(|p| p.unit == unit).and(channel.physical);
                let value = nearest(channel.channel, number, unit, asked);
                let differs = asked.is_none_or(|asked| unit.format(asked) != words);
                ChannelNow { words, value, differs }
            }
        })
    }
}

struct Seen<'a> {
    head: &'a HeadMotion,
    pose: &'a Pose,
    reading: &'a Reading<'a>,
    channel: &'a ChannelReading<'a>,
    t_s: f64,
}

impl Seen<'_> {
    fn cell(&self) -> usize {
        usize::from(self.channel.channel.cell.unwrap_or(1).saturating_sub(1))
    }

    /// What is done of what an effect asks.
    fn done(&self, effect: &Effect, wheel: Option<usize>) -> Option<Done> {
        let percent = |share: f64| Some(Done::Number(Unit::Percent, share * 100.0));
        let pose = self.pose;
        let (pan_deg, tilt_deg) = self.head.as_channels_ask(pose.pan_deg, pose.tilt_deg);
        let axis = |deg: f64, rpm: f64| {
            let spins = rpm.abs() > 0.05;
            Some(if spins { Done::Number(Unit::Rpm, rpm) } else { Done::Number(Unit::Degree, deg) })
        };
        let cell = pose.cells.get(self.cell());
        match effect {
            Effect::Pan { .. } | Effect::PanSpin { .. } | Effect::PanStop => {
                axis(pan_deg, pose.pan_spin_rpm)
            }
            Effect::Tilt { .. } | Effect::TiltSpin { .. } | Effect::TiltStop => {
                axis(tilt_deg, pose.tilt_spin_rpm)
            }
            Effect::Dimmer { curve, .. } => self.dimmer(|level| curve.light(level)),
            Effect::Shut | Effect::Open | Effect::Strobe { .. } => Some(self.shutter()),
            Effect::Emitter { name, .. } => {
                let emitters = self.reading.mode.profile.source.emitters();
                let at = emitters.iter().position(|emitter| emitter.name == *name)?;
                percent(*cell?.emitters.get(at)?)
            }
            Effect::Filter { name, .. } => percent(cell?.filters[*name as usize]),
            Effect::Temperature { .. } => Some(Done::Number(Unit::Kelvin, cell?.temperature_k?)),
            Effect::Zoom { .. } => Some(Done::Number(Unit::Degree, pose.zoom_deg?)),
            Effect::Focus { .. } => percent(pose.focus?),
            Effect::Iris { .. } | Effect::IrisPulse { .. } => percent(pose.iris),
            Effect::Frost { .. } => percent(pose.frost),
            Effect::Blade { blade, .. } => {
                percent(pose.blades.get(usize::from(blade.checked_sub(1)?))?.0)
            }
            Effect::BladeTurn { blade, .. } => {
                let (_, deg) = pose.blades.get(usize::from(blade.checked_sub(1)?))?;
                Some(Done::Number(Unit::Degree, *deg))
            }
            Effect::FrameTurn { .. } => Some(Done::Number(Unit::Degree, pose.frame_turn_deg)),
            Effect::Turn { .. } | Effect::Spin { .. } | Effect::SpinStop { .. } => {
                let wheel = pose.wheels.get(wheel?)?;
                axis(wheel.turn_deg, wheel.spin_rpm)
            }
            Effect::Scroll { .. } => {
                Some(Done::Number(Unit::Rpm, pose.wheels.get(wheel?)?.scroll_rpm))
            }
            effect if effect.wheel().is_some() => {
                Some(Done::Number(Unit::Slot, pose.wheels.get(wheel?)?.place))
            }
            Effect::Reset { .. }
            | Effect::LampOn { .. }
            | Effect::LampOff { .. }
            | Effect::Latch { .. } => self.hold().map(|words| Done::Words { words, differs: true }),
            _ => None,
        }
    }

    /// The dimmer as the channel asks for it, where this channel alone sets it; else the light that it
    /// lets through.
    fn dimmer(&self, light: impl Fn(f64) -> f64) -> Option<Done> {
        let now = self.head.dimmer(self.cell(), self.t_s)?;
        let asked = self.reading.asked().cells.get(self.cell())?.level?;
        let share = self.channel.physical.map(|percent| percent / 100.0);
        if share.is_none_or(|share| (light(share) - asked).abs() > 1e-6) {
            let differs = (now - asked).abs() > 1e-3;
            return Some(Done::Words { words: format!("{:.1} % light", now * 100.0), differs });
        }
        if let Some(share) = share.filter(|_| (now - asked).abs() < 1e-6) {
            return Some(Done::Number(Unit::Percent, share * 100.0));
        }
        // Curves rise, so that halving finds the level: 40 times is finer than any channel.
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if light(middle) < now { low = middle } else { high = middle }
        }
        Some(Done::Number(Unit::Percent, (low + high) * 50.0))
    }

    fn shutter(&self) -> Done {
        if self.head.is_held_dark(self.t_s) {
            return Done::Words { words: "held dark".to_owned(), differs: true };
        }
        let flash = self.pose.cells.get(self.cell()).and_then(|cell| cell.flash);
        match (flash, self.head.shutter(self.cell(), self.t_s)) {
            (Some(flash), _) => Done::Number(Unit::Hertz, flash.hz),
            (None, Some((at, _))) if at > 0.0 => {
                Done::Words { words: "open".to_owned(), differs: self.asks("shut") }
            }
            _ => Done::Words { words: "closed".to_owned(), differs: !self.asks("shut") },
        }
    }

    /// Whether the range in force has an effect of this kind.
    fn asks(&self, key: &str) -> bool {
        self.channel.range.is_some_and(|range| range.effects().any(|effect| effect.key() == key))
    }

    /// What stands in the light: a slot by its name, or the two that it lies between.
    fn place_words(&self, wheel: Option<usize>, place: f64) -> String {
        let nearest = place.round();
        let mode = self.reading.mode;
        let name = wheel.and_then(|wheel| mode.wheels.get(wheel));
        let slots = name.and_then(|name| mode.profile.wheels.get(name)).map(|wheel| &wheel.slots);
        let slot = slots.and_then(|slots| slots.get((nearest as usize).checked_sub(1)?));
        match slot.filter(|_| (place - nearest).abs() < 0.005) {
            Some(slot) => slot.name().to_owned(),
            None => format!("slot {place:.2}"),
        }
    }

    /// How long the value was held, or what came of it.
    fn hold(&self) -> Option<String> {
        if let Some(reset) = self.head.reset() {
            return Some(format!("homing {:.1} s", (reset.end_s - self.t_s).max(0.0)));
        }
        let hold = self.head.holds().next()?;
        Some(match hold.done {
            true => "done".to_owned(),
            false => format!("{:.1} of {:.1} s", self.t_s - hold.since_s, hold.hold_s),
        })
    }

    /// Whether a wheel is elsewhere than it was asked to be.
    fn wheel_differs(&self, wheel: Option<usize>, place: f64) -> bool {
        let asked = self.reading.asked();
        match wheel.and_then(|wheel| asked.wheels.get(wheel)).map(|ask| ask.place) {
            Some(WheelPlace::At { place: asked }) => (asked - place).abs() > 0.005,
            _ => true,
        }
    }
}

/// The value of a channel that gives a number, nearest in its range to the one asked for.
fn nearest(channel: &CompiledChannel, number: f64, unit: Unit, asked: Option<f64>) -> Option<f64> {
    let found = values_for(channel, number, unit).into_iter();
    let best = found.min_by(|a, b| a.error.total_cmp(&b.error))?;
    let span = asked.map_or(f64::INFINITY, |asked| (asked - number).abs());
    (best.error <= span).then_some(f64::from(best.value))
}

/// The value of a channel that puts a wheel at a place: between the middles of the ranges of the two
/// slots beside it.
fn value_of_place(channel: &CompiledChannel, wheel: Option<usize>, place: f64) -> Option<f64> {
    if let Some(value) = nearest(channel, place, Unit::Slot, None) {
        return Some(value);
    }
    let middle = |slot: f64| {
        let holds = |effect: &Effect| matches!(effect, Effect::Slot { slot: s, .. } if f64::from(*s) == slot);
        let range = channel.ranges.iter().find(|range| range.wheel == wheel && holds(&range.does));
        range.map(|range| f64::from(range.first) / 2.0 + f64::from(range.last) / 2.0)
    };
    let (below, share) = (place.floor(), place.fract());
    let from = middle(below)?;
    if share == 0.0 {
        return Some(from);
    }
    middle(below + 1.0).map(|to| from + (to - from) * share)
}

/// What there is to say of a head at an instant: when it arrives, what is held, what goes on by itself.
pub fn head_words(head: &HeadMotion, t_s: f64) -> Vec<(Severity, String)> {
    let mut words = Vec::new();
    words.push((Severity::Note, arrival_words(head, t_s)));
    for hold in head.holds() {
        let what = match hold.order {
            Order::Reset { .. } => "Reset".to_owned(),
            Order::Lamp { on: true } => "Lamp on".to_owned(),
            Order::Lamp { on: false } => "Lamp off".to_owned(),
            Order::Latch { switch, on: true } => format!("Switch `{}` on", switch.word()),
            Order::Latch { switch, on: false } => format!("Switch `{}` off", switch.word()),
            Order::UseCurve { .. } => "Dimmer curve".to_owned(),
        };
        words.push(match hold.done {
            true => (Severity::Note, format!("{what}: held long enough, done.")),
            false => {
                let held_s = (t_s - hold.since_s).max(0.0);
                (Severity::Warning, format!("{what}: held {held_s:.1} of {:.1} s.", hold.hold_s))
            }
        });
    }
    if let Some(reset) = head.reset() {
        let stage = match reset.stage(t_s) {
            Stage::FirstEnd => "finding its first end",
            Stage::SecondEnd => "finding its second end",
            Stage::Home => "going to the middle",
            Stage::Return => "coming back, still dark",
        };
        let left_s = (reset.end_s - t_s).max(0.0);
        words.push((Severity::Warning, format!("Homing, {left_s:.1} s left: {stage}.")));
    } else if head.is_held_dark(t_s) {
        let dark = "Held dark, whatever dimmer and shutter ask.";
        words.push((Severity::Warning, dark.to_owned()));
    }
    words.extend(lamp_words(head, t_s).map(|words| (Severity::Warning, words)));
    words
}

fn arrival_words(head: &HeadMotion, t_s: f64) -> String {
    let arrival = head.arrives_s();
    let left_s = arrival.last_s() - t_s;
    let assumed = assumed_on_the_way(head, t_s);
    let estimate = match assumed.as_slice() {
        [] => String::new(),
        [one] => format!(" An estimate: the profile does not give the {one}."),
        [one, rest @ ..] => {
            let more = rest.len();
            format!(" An estimate: the profile does not give the {one}, and {more} more.")
        }
    };
    if left_s > 0.005 {
        let part = |what: &str, at_s: Option<f64>| {
            let left_s = at_s? - t_s;
            (left_s > 0.005).then(|| format!("{what} in {left_s:.1} s"))
        };
        let parts = [
            part("aim", arrival.aim_s()),
            part("wheels", arrival.wheels_s),
            part("optics", Some(arrival.optics_s)),
            part("light", Some(arrival.light_s)),
        ];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        let detail =
            if parts.len() > 1 { format!(": {}", parts.join(", ")) } else { String::new() };
        return format!("Arrives in {left_s:.1} s{detail}.{estimate}");
    }
    match head.still_from_s() == f64::INFINITY {
        true => "Arrived; something turns, trembles or pulses without end.".to_owned(),
        false => "Arrived.".to_owned(),
    }
}

/// What was assumed of the parts of a head that are still on their way, in words: where there is
/// anything, its arrival is an estimate.
pub fn assumed_on_the_way(head: &HeadMotion, t_s: f64) -> Vec<&str> {
    let arrival = head.arrives_s();
    let late = |at_s: f64| at_s - t_s > 0.005;
    let concerns = |part: Part| match part {
        Part::Aim => arrival.aim_s().is_some_and(late),
        Part::Wheel(_) => arrival.wheels_s.is_some_and(late),
        Part::Optics => late(arrival.optics_s),
        Part::Light => late(arrival.light_s),
        // Holding, striking and cooling down are told apart from arriving.
        Part::Control | Part::Lamp => false,
    };
    let assumed = head.model().assumed.iter().filter(|(part, _)| concerns(*part));
    assumed.map(|(_, what)| what.as_str()).collect()
}

/// The state of a lamp, where there is something to know.
fn lamp_words(head: &HeadMotion, t_s: f64) -> Option<String> {
    match head.lamp() {
        LampState::Struck { lit_s } if t_s < lit_s => {
            Some(format!("Lamp: struck, gives light in {:.1} s.", lit_s - t_s))
        }
        LampState::PutOut { cool_s } if t_s < cool_s => {
            let left_s = cool_s - t_s;
            let refused = head.refused_strike().is_some_and(|(at_s, _)| at_s <= t_s);
            let why = if refused { "refused to strike; " } else { "" };
            Some(format!("Lamp: out and hot, {why}can be struck in {left_s:.0} s."))
        }
        LampState::PutOut { .. } => Some("Lamp: out, and cool enough to be struck.".to_owned()),
        _ => None,
    }
}
