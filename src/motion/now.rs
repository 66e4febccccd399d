//! What a head does now in the terms of its channels, in words and numbers, to stand beside what is asked.

use super::control::{Hold, Order};
use super::doings::{counted, homing, lamp_words};
use super::head::HeadMotion;
use super::pose::Pose;
use crate::decode::{
    ChannelReading, CompiledChannel, CompiledRange, Reading, WheelPlace, values_for,
};
use crate::profile::effect::Switch;
use crate::profile::quantity::Unit;
use crate::profile::{Curve, Effect};

/// What the part of a fixture that a channel drives does.
#[derive(Clone, Debug, PartialEq)]
pub struct Now {
    /// In words: `35.00 deg`, `open`, `amber`, `slot 2.40`, `held dark`.
    pub words: String,
    /// As a number, where there is one, and its unit.
    pub value: Option<(f64, Unit)>,
    /// The value of the channel, at its full resolution, that would ask for just this. `None` where none
    /// would, or where more than this channel has a part in it.
    pub channel_value: Option<f64>,
    /// It is not what is asked.
    pub differs: bool,
}

/// Slower than this is no turning, in revolutions a minute: what is shown has one decimal.
const LEAST_RPM: f64 = 0.05;

/// Less than this between a wheel and a slot is in that slot.
const IN_SLOT: f64 = 0.005;

/// Levels that differ by less than this are shown alike, 0..1: what is shown has one decimal of a percent.
const ALIKE: f64 = 5e-4;

/// What the part of a fixture that a channel drives does at `t_s`. A channel without a range in force
/// stands as it does at rest.
///
/// Pan and tilt are told as their channels would ask for them, before swap, invert and offset. A
/// dimmer is the light that it lets through: after its curve, and with its master. A shutter's number is
/// the share of the light that it lets through at this instant; its words name the rate, which is calm.
/// `None` for what has no place in a pose, and while a built-in program runs.
///
/// `pose` must be that of `head` at `t_s`, and `reading` one of the fixture that the head is of.
pub fn now<'a>(
    head: &HeadMotion,
    pose: &Pose,
    reading: &Reading<'a>,
    channel: &ChannelReading<'a>,
    t_s: f64,
) -> Option<Now> {
    if pose.overridden_by.is_some() {
        return None;
    }
    let at_rest = || reading.at_rest(channel).map(|(range, _)| range);
    let range = channel.range.or_else(at_rest)?;
    let seen = Seen { head, pose, reading, channel, range, t_s };
    range.effects().find_map(|effect| seen.now(effect))
}

/// Degrees and revolutions a minute of pan and of tilt, as their channels would ask for them.
pub fn aim_now(head: &HeadMotion, pose: &Pose) -> [(f64, f64); 2] {
    let (pan_deg, tilt_deg) = head.as_channels_ask(pose.pan_deg, pose.tilt_deg);
    let [pan_rpm, tilt_rpm] = head.spins_as_channels_ask(pose.pan_spin_rpm, pose.tilt_spin_rpm);
    [(pan_deg, pan_rpm), (tilt_deg, tilt_rpm)]
}

struct Seen<'a> {
    head: &'a HeadMotion,
    pose: &'a Pose,
    reading: &'a Reading<'a>,
    channel: &'a ChannelReading<'a>,
    range: &'a CompiledRange,
    t_s: f64,
}

impl Seen<'_> {
    /// The cell that the channel drives, from 0. Channels of the whole fixture reach every cell: the first
    /// one shows what they come to.
    fn nth_cell(&self) -> usize {
        usize::from(self.channel.channel.cell.unwrap_or(1).saturating_sub(1))
    }

    /// What is done of what an effect asks.
    fn now(&self, effect: &Effect) -> Option<Now> {
        let pose = self.pose;
        let cell = pose.cells.get(self.nth_cell());
        let wheel = |wheel: Option<usize>| pose.wheels.get(wheel?);
        match effect {
            Effect::Pan { .. } | Effect::PanSpin { .. } | Effect::PanStop => {
                self.axis(aim_now(self.head, pose)[0])
            }
            Effect::Tilt { .. } | Effect::TiltSpin { .. } | Effect::TiltStop => {
                self.axis(aim_now(self.head, pose)[1])
            }
            Effect::AimRate { .. }
            | Effect::AimTime { .. }
            | Effect::AimShare { .. }
            | Effect::AimFollow
            | Effect::DarkWhileAiming => {
                let (pan, tilt) = self.head.aim_speed_deg_s(self.t_s);
                let deg_s = pan.abs().max(tilt.abs());
                // A head that stands, or still gathers speed, does what it was told to.
                Some(Now {
                    channel_value: None,
                    differs: false,
                    ..self.number(deg_s, Unit::DegreePerSecond)
                })
            }
            Effect::Dimmer { curve, .. } => self.dimmer(curve),
            Effect::Shut | Effect::Open | Effect::Strobe { .. } => self.shutter(),
            Effect::Emitter { name, .. } => {
                self.share(*cell?.emitters.get(self.range.emitter(name)?)?)
            }
            Effect::Filter { name, .. } => self.share(*cell?.filters.get(*name as usize)?),
            Effect::Temperature { .. } => Some(self.number(cell?.temperature_k?, Unit::Kelvin)),
            Effect::Zoom { .. } => Some(self.number(pose.zoom_deg?, Unit::Degree)),
            Effect::Focus { .. } => self.share(pose.focus?),
            Effect::Iris { .. } | Effect::IrisPulse { .. } => self.share(pose.iris),
            Effect::Frost { .. } => self.share(pose.frost),
            Effect::Blade { blade, .. } => self.share(blade_now(pose, *blade)?.0),
            Effect::BladeTurn { blade, .. } => {
                Some(self.number(blade_now(pose, *blade)?.1, Unit::Degree))
            }
            Effect::FrameTurn { .. } => Some(self.number(pose.frame_turn_deg, Unit::Degree)),
            Effect::Turn { .. } | Effect::Spin { .. } | Effect::SpinStop { .. } => {
                let wheel = wheel(self.range.wheel)?;
                self.axis((wheel.turn_deg, wheel.spin_rpm))
            }
            Effect::Scroll { .. } => {
                Some(self.number(wheel(self.range.wheel)?.scroll_rpm, Unit::Rpm))
            }
            effect if effect.wheel().is_some() => self.wheel(wheel(self.range.wheel)?.place),
            Effect::Reset { .. } => self.held(|order| matches!(order, Order::Reset { .. })),
            Effect::LampOn { .. } | Effect::LampOff { .. } => self
                .held(|order| matches!(order, Order::Lamp { .. }))
                .or_else(|| lamp_words(self.head, self.t_s).map(|words| told(words, false))),
            Effect::Latch { switch, on, .. } => self.latch(*switch, *on),
            Effect::UseCurve { .. } => self.held(|order| matches!(order, Order::UseCurve { .. })),
            _ => None,
        }
    }

    fn number(&self, value: f64, unit: Unit) -> Now {
        let words = unit.format(value);
        let asked = self.range.physical.filter(|p| p.unit == unit).and(self.channel.physical);
        let differs = asked.is_none_or(|asked| unit.format(asked) != words);
        let channel_value = nearest(self.channel.channel, value, unit, asked);
        Now { words, value: Some((value, unit)), channel_value, differs }
    }

    fn share(&self, share: f64) -> Option<Now> {
        Some(self.number(share * 100.0, Unit::Percent))
    }

    /// Something that stands at an angle, or turns.
    fn axis(&self, (deg, rpm): (f64, f64)) -> Option<Now> {
        Some(match rpm.abs() < LEAST_RPM {
            true => self.number(deg, Unit::Degree),
            false => self.number(rpm, Unit::Rpm),
        })
    }

    /// The light that the dimmer lets through, which may differ from what its channel says although it
    /// has arrived: that is its curve.
    fn dimmer(&self, curve: &Curve) -> Option<Now> {
        let light = self.head.dimmer(self.nth_cell(), self.t_s)?;
        let asked = self.reading.asked().cells.get(self.nth_cell())?.level;
        Some(Now {
            words: format!("{} lit", Unit::Percent.format(light * 100.0)),
            value: Some((light * 100.0, Unit::Percent)),
            channel_value: asked.and_then(|asked| self.level_value(curve, light, asked)),
            differs: asked.is_some_and(|asked| (light - asked).abs() > ALIKE),
        })
    }

    /// The value of the channel that would ask for this light, where this channel alone sets it.
    fn level_value(&self, curve: &Curve, light: f64, asked: f64) -> Option<f64> {
        let share = self.channel.physical? / 100.0;
        if (curve.light(share) - asked).abs() > 1e-6 {
            return None;
        }
        if (light - asked).abs() < 1e-6 {
            return self.channel.held.value().map(f64::from);
        }
        // Curves rise, so that halving finds the level: 40 times is finer than any channel.
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if curve.light(middle) < light { low = middle } else { high = middle }
        }
        let percent = (low + high) * 50.0;
        nearest(self.channel.channel, percent, Unit::Percent, self.channel.physical)
    }

    fn shutter(&self) -> Option<Now> {
        let (through, _) = self.head.shutter(self.nth_cell(), self.t_s)?;
        let value = Some((through * 100.0, Unit::Percent));
        let shut_asked = self.range.effects().any(|effect| matches!(effect, Effect::Shut));
        let flash = self.pose.cells.get(self.nth_cell())?.flash;
        let now = match flash {
            _ if self.head.is_held_dark(self.t_s) => told("held dark".to_owned(), true),
            Some(flash) => self.number(flash.hz, Unit::Hertz),
            None if through > 0.0 => told("open".to_owned(), shut_asked),
            None => told("shut".to_owned(), !shut_asked),
        };
        Some(Now { value, ..now })
    }

    /// What a wheel has in the light: a slot by its name, or a place between two.
    fn wheel(&self, place: f64) -> Option<Now> {
        let whole = place.round();
        let name = (place - whole).abs() < IN_SLOT;
        let name = name.then(|| self.slot_name(whole as usize)).flatten();
        let words = name.map_or_else(|| Unit::Slot.format(place), str::to_owned);
        let asked = self.reading.asked();
        let ask = self.range.wheel.and_then(|wheel| asked.wheels.get(wheel));
        let differs = match ask.map(|ask| ask.place) {
            Some(WheelPlace::At { place: asked }) => (asked - place).abs() > IN_SLOT,
            _ => true,
        };
        let channel_value = value_of_place(self.channel.channel, self.range.wheel, place);
        Some(Now { words, value: Some((place, Unit::Slot)), channel_value, differs })
    }

    /// A slot of the wheel as the chart calls it in this channel, or else by what is in it.
    fn slot_name(&self, slot: usize) -> Option<&str> {
        let is_it = |range: &&CompiledRange| {
            let holds =
                matches!(&range.does, Effect::Slot { slot: of, .. } if usize::from(*of) == slot);
            holds && range.wheel == self.range.wheel
        };
        if let Some(range) = self.channel.channel.ranges.iter().find(is_it) {
            return Some(&range.label);
        }
        let mode = self.reading.mode;
        let wheel = mode.profile.wheels.get(mode.wheels.get(self.range.wheel?)?)?;
        Some(wheel.slots.get(slot.checked_sub(1)?)?.name())
    }

    /// How long a value that acts after a while was held, or what it set going.
    fn held(&self, is: impl Fn(Order) -> bool) -> Option<Now> {
        let hold: &Hold = self.head.holds().find(|hold| is(hold.order))?;
        let reset = matches!(hold.order, Order::Reset { .. }).then(|| self.head.reset()).flatten();
        Some(match reset.filter(|_| hold.done) {
            Some(reset) => told(homing(reset.end_s - self.t_s), true),
            None if hold.done => told("done".to_owned(), false),
            None => told(counted(hold, self.t_s), true),
        })
    }

    /// How a switch stands, or how long the value that is to set it was held.
    fn latch(&self, switch: Switch, on: bool) -> Option<Now> {
        let waits = |hold: &&Hold| hold.order == Order::Latch { switch, on } && !hold.done;
        if let Some(hold) = self.head.holds().find(waits) {
            return Some(told(counted(hold, self.t_s), true));
        }
        let stands = self.head.latched(switch)?;
        Some(told(if stands { "on" } else { "off" }.to_owned(), stands != on))
    }
}

/// What has no number.
fn told(words: String, differs: bool) -> Now {
    Now { words, value: None, channel_value: None, differs }
}

fn blade_now(pose: &Pose, blade: u8) -> Option<(f64, f64)> {
    pose.blades.get(usize::from(blade).checked_sub(1)?).copied()
}

/// The value of a channel that gives a number, as near as it can and nearer than the one asked for.
fn nearest(channel: &CompiledChannel, number: f64, unit: Unit, asked: Option<f64>) -> Option<f64> {
    let found = values_for(channel, number, unit).into_iter();
    let best = found.min_by(|a, b| a.error.abs().total_cmp(&b.error.abs()))?;
    let span = asked.map_or(f64::INFINITY, |asked| (asked - number).abs());
    (best.error.abs() <= span).then_some(f64::from(best.value))
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
