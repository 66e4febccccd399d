//! What a head does now in the terms of its channels and in words, to stand beside what is asked.

use super::aimed::{switched, unaimed};
use super::assumed;
use super::control::{Hold, Order};
use super::head::HeadMotion;
use super::lamp::LampState;
use super::model::Part;
use super::pose::{CellPose, Flash, Lamp, Pose};
use crate::decode::{Asked, Command, CompiledChannel, CompiledRange};
use crate::profile::effect::ResetPart;
use crate::profile::{Effect, quantity::Unit};
use crate::rig::Fixture;

/// What the part of a fixture that a channel drives does.
#[derive(Clone, Debug, PartialEq)]
pub struct Now {
    /// In words: `35.00 deg`, `open`, `slot 2 amber`.
    pub words: String,
    /// As a number, where there is one, and its unit.
    pub value: Option<(f64, Unit)>,
}

impl Now {
    fn number(value: f64, unit: Unit) -> Option<Self> {
        Some(Self { words: unit.format(value), value: Some((value, unit)) })
    }

    fn share(share: f64) -> Option<Self> {
        Self::number(share * 100.0, Unit::Percent)
    }

    fn words(words: impl Into<String>) -> Option<Self> {
        Some(Self { words: words.into(), value: None })
    }
}

/// Less than this between a wheel and a slot is in that slot.
const IN_SLOT: f64 = 0.005;

/// Less time than this is none, in seconds: what is shown has one decimal.
const SOON_S: f64 = 0.05;

/// What the part of a fixture that a channel drives does at `t_s`, while the channel stands in `range`.
///
/// Pan and tilt are told as their channels would ask for them, before swap, invert and offset. A
/// dimmer is the light that it lets through: after its curve, and with its master. A shutter is the
/// share of the light that it lets through at this instant. `None` for what has no place in a pose,
/// and while a built-in program runs.
///
/// `pose` must be that of `head` at `t_s`, and `fixture` the one that the head is of.
pub fn now(
    head: &HeadMotion,
    fixture: &Fixture,
    (channel, range): (&CompiledChannel, &CompiledRange),
    pose: &Pose,
    t_s: f64,
) -> Option<Now> {
    if pose.overridden_by.is_some() {
        return None;
    }
    // Channels of the whole fixture reach every cell: the first one shows what they come to.
    let nth_cell = channel.cell.map_or(0, |cell| usize::from(cell).saturating_sub(1));
    let cell = pose.cells.get(nth_cell);
    match &range.does {
        Effect::Pan { .. } | Effect::PanSpin { .. } | Effect::PanStop => {
            axis(aim_now(head, fixture, pose)[0])
        }
        Effect::Tilt { .. } | Effect::TiltSpin { .. } | Effect::TiltStop => {
            axis(aim_now(head, fixture, pose)[1])
        }
        Effect::AimRate { .. }
        | Effect::AimTime { .. }
        | Effect::AimShare { .. }
        | Effect::AimFollow
        | Effect::DarkWhileAiming => {
            let (pan, tilt) = head.aim_speed_deg_s(t_s);
            Now::number(pan.abs().max(tilt.abs()), Unit::DegreePerSecond)
        }
        Effect::Dimmer { .. } => {
            // After its curve, which is why it may differ from what is asked although it has arrived.
            let light = Now::share(head.cell(nth_cell)?.level(t_s))?;
            Some(Now { words: format!("{} light", light.words), ..light })
        }
        Effect::Shut | Effect::Open | Effect::Strobe { .. } => {
            Some(shutter(head, nth_cell, cell?, t_s))
        }
        Effect::Emitter { name, .. } => Now::share(*cell?.emitters.get(range.emitter(name)?)?),
        Effect::Filter { name, .. } => Now::share(*cell?.filters.get(*name as usize)?),
        Effect::Temperature { .. } => Now::number(cell?.temperature_k?, Unit::Kelvin),
        Effect::Zoom { .. } => Now::number(pose.zoom_deg?, Unit::Degree),
        Effect::Focus { .. } => Now::share(pose.focus?),
        Effect::Iris { .. } | Effect::IrisPulse { .. } => Now::share(pose.iris),
        Effect::Frost { .. } => Now::share(pose.frost),
        Effect::Blade { blade, .. } => Now::share(blade_now(pose, *blade)?.0),
        Effect::BladeTurn { blade, .. } => Now::number(blade_now(pose, *blade)?.1, Unit::Degree),
        Effect::FrameTurn { .. } => Now::number(pose.frame_turn_deg, Unit::Degree),
        Effect::Turn { .. } | Effect::Spin { .. } | Effect::SpinStop { .. } => {
            let wheel = pose.wheels.get(range.wheel?)?;
            axis((wheel.turn_deg, wheel.spin_rpm))
        }
        effect if effect.wheel().is_some() => wheel(head, range.wheel?, pose),
        Effect::Reset { .. } => held(head, t_s, |order| matches!(order, Order::Reset { .. })),
        Effect::LampOn { .. } | Effect::LampOff { .. } => {
            held(head, t_s, |order| matches!(order, Order::Lamp { .. }))
                .or_else(|| lamp_words(head, t_s).and_then(Now::words))
        }
        Effect::Latch { switch, .. } => match head.latched(*switch)? {
            true => Now::words("on"),
            false => Now::words("off"),
        },
        Effect::UseCurve { .. } => held(head, t_s, |order| matches!(order, Order::UseCurve { .. })),
        _ => None,
    }
}

fn blade_now(pose: &Pose, blade: u8) -> Option<(f64, f64)> {
    pose.blades.get(usize::from(blade).checked_sub(1)?).copied()
}

/// Degrees and revolutions a minute of pan and of tilt, as their channels would ask for them.
pub fn aim_now(head: &HeadMotion, fixture: &Fixture, pose: &Pose) -> [(f64, f64); 2] {
    let (aim, in_head) = (&fixture.aim, switched(&fixture.in_head, |switch| head.latched(switch)));
    let angles = (pose.pan_deg, pose.tilt_deg);
    let (pan_deg, tilt_deg) = unaimed(&head.model().profile, aim, &in_head, angles);
    let turned = |rpm: f64, invert: bool| if invert { -rpm } else { rpm };
    let pan_rpm = turned(pose.pan_spin_rpm, aim.invert_pan != in_head.invert_pan);
    let tilt_rpm = turned(pose.tilt_spin_rpm, aim.invert_tilt != in_head.invert_tilt);
    match aim.swap != in_head.swap {
        true => [(pan_deg, tilt_rpm), (tilt_deg, pan_rpm)],
        false => [(pan_deg, pan_rpm), (tilt_deg, tilt_rpm)],
    }
}

/// Something that stands at an angle, or turns.
fn axis((deg, rpm): (f64, f64)) -> Option<Now> {
    if rpm == 0.0 { Now::number(deg, Unit::Degree) } else { Now::number(rpm, Unit::Rpm) }
}

/// What a shutter lets through at this instant, 0..1: nothing while something else keeps the light in.
pub fn shutter_now(head: &HeadMotion, cell: usize, t_s: f64) -> Option<f64> {
    let through = head.cell(cell)?.shutter(t_s).0;
    Some(if head.is_held_dark(t_s) { 0.0 } else { through })
}

fn shutter(head: &HeadMotion, cell: usize, pose: &CellPose, t_s: f64) -> Now {
    let through = shutter_now(head, cell, t_s).unwrap_or(0.0);
    let state = match through {
        0.0 => "shut".to_owned(),
        1.0 => "open".to_owned(),
        share => Unit::Percent.format(share * 100.0),
    };
    let words = match pose.flash {
        _ if head.is_held_dark(t_s) => "held dark".to_owned(),
        Some(Flash { hz, .. }) => format!("{}, {state}", Unit::Hertz.format(hz)),
        None => state,
    };
    Now { words, value: Some((through * 100.0, Unit::Percent)) }
}

fn wheel(head: &HeadMotion, nth: usize, pose: &Pose) -> Option<Now> {
    let place = pose.wheels.get(nth)?.place;
    let whole = place.round();
    let words = if (place - whole).abs() < IN_SLOT {
        let slots = head.model().profile.wheels.values().nth(nth).map(|wheel| &wheel.slots);
        let slot = slots.and_then(|slots| slots.get((whole as usize).checked_sub(1)?));
        format!("slot {whole} {}", slot.map_or("", |slot| slot.name()))
    } else {
        Unit::Slot.format(place)
    };
    Some(Now { words: words.trim_end().to_owned(), value: Some((place, Unit::Slot)) })
}

/// How long a value that acts after a while was held, or what it set going.
fn held(head: &HeadMotion, t_s: f64, is: impl Fn(Order) -> bool) -> Option<Now> {
    let hold = head.holds().find(|hold| is(hold.order))?;
    let reset = head.reset().filter(|_| hold.done && matches!(hold.order, Order::Reset { .. }));
    match reset {
        Some(reset) => Now::words(homing(reset.end_s - t_s)),
        None if hold.done => Now::words("done"),
        None => Now::words(counted(hold, t_s)),
    }
}

fn counted(hold: &Hold, t_s: f64) -> String {
    let held_s = (t_s - hold.since_s).clamp(0.0, hold.hold_s);
    format!("held {held_s:.1} of {} s", hold.hold_s)
}

fn homing(left_s: f64) -> String {
    format!("homing, {:.1} s left", left_s.max(0.0))
}

fn lamp_words(head: &HeadMotion, t_s: f64) -> Option<String> {
    let left = |until_s: f64| format!("{:.1} s", (until_s - t_s).max(0.0));
    Some(match (head.lamp().at(t_s), head.lamp()) {
        (Lamp::Striking, LampState::Struck { lit_s }) => {
            format!("lamp striking, light in {}", left(lit_s))
        }
        (Lamp::Hot, LampState::PutOut { cool_s }) => {
            format!("lamp out, too hot to strike for {}", left(cool_s))
        }
        (Lamp::On, _) => "lamp on".to_owned(),
        (Lamp::Off, _) => "lamp out".to_owned(),
        _ => return None,
    })
}

/// What a head is at, in words, one thing each: when it arrives, what is held and for how long, a
/// reset, the lamp where its history tells. `head` must have been advanced to `t_s`.
pub fn doings(head: &HeadMotion, t_s: f64) -> Vec<String> {
    let mut words = Vec::new();
    let left_s = head.arrives_s().last_s() - t_s;
    match head.reset() {
        Some(reset) if t_s < reset.end_s => {
            let part = match reset.part {
                ResetPart::Whole => "reset",
                ResetPart::Aim => "reset of pan and tilt",
                ResetPart::Effects => "reset of all but pan and tilt",
            };
            words.push(format!("{part}: {}", homing(reset.end_s - t_s)));
        }
        _ if left_s >= SOON_S => words.push(format!("arrives in {left_s:.1} s")),
        _ => words.push("arrived".to_owned()),
    }
    for hold in head.holds().filter(|hold| !hold.done) {
        let what = match hold.order {
            Order::Reset { .. } => "reset".to_owned(),
            Order::Lamp { on: true } => "lamp on".to_owned(),
            Order::Lamp { on: false } => "lamp off".to_owned(),
            Order::Latch { switch, on } => {
                format!("{} {}", switch.word(), if on { "on" } else { "off" })
            }
            Order::UseCurve { .. } => "dimmer curve".to_owned(),
        };
        words.push(format!("{what}: {}", counted(hold, t_s)));
    }
    words.extend(lamp_words(head, t_s));
    if let Some((_, cool_s)) = head.refused_strike().filter(|_| head.lamp().at(t_s) == Lamp::Hot) {
        let cool_s = (cool_s - t_s).max(0.0);
        words.push(format!("lamp did not strike: too hot, strike it again in {cool_s:.1} s"));
    }
    if let Some(since_s) = head.lost_since_s() {
        words.push(format!("no signal, acted on {:.1} s ago", (t_s - since_s).max(0.0)));
    } else if head.reset().is_none() && head.is_held_dark(t_s) {
        words.push("keeps its light in while it moves".to_owned());
    }
    words
}

/// What was assumed of a head's times because its profile does not say, in words; `None` where nothing
/// was.
pub fn time_estimate(head: &HeadMotion, asked: &Asked) -> Option<String> {
    let assumed_parts = head.model().assumed.iter();
    let mut what: Vec<String> = assumed_parts
        .filter(|(part, _)| *part != Part::Control)
        .map(|(_, what)| what.clone())
        .collect();
    for command in &asked.commands {
        let (hold_s, takes_s) = match command {
            Command::Reset { hold_s, takes_s, .. } => (hold_s, takes_s.is_none()),
            Command::Lamp { hold_s, .. }
            | Command::Latch { hold_s, .. }
            | Command::UseCurve { hold_s, .. } => (hold_s, false),
        };
        if hold_s.is_none() {
            what.push(format!("hold of the control value ({} s)", assumed::HOLD_S));
        }
        if takes_s {
            what.push(format!("time of a reset ({} s)", assumed::RESET_S));
        }
    }
    let what = what.join(", ");
    (!what.is_empty())
        .then(|| format!("times rest on what is assumed, as the profile does not say: {what}"))
}
