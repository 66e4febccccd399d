//! From channel readings to what is asked of the fixture as a whole.

use super::asked::{AimSpeed, Asked, AxisAsk, BladeAsk, CellAsk, Command};
use super::asked::{ShutterAsk, TurnAsk, WheelAsk, WheelPlace};
use super::ops::{Does, Ops, Step};
use super::parts::Parts;
use super::reading::Reading;

/// Fills `asked` from a reading. A channel that has no value, or one in no range, asks nothing; it is
/// then taken to stand as it does at rest, and `taken_at_rest` names it.
///
/// Of parts that are not among `parts` nothing is worked out: what `asked` has of them means nothing.
pub(super) fn fill(reading: &Reading<'_>, asked: &mut Asked, parts: Parts) {
    asked.clear(parts);
    let ops = &reading.mode.ops;
    let bytes = reading.known_bytes();
    for (i, channel) in ops.channels.iter().enumerate() {
        if !channel.parts.meet(parts) && parts != Parts::ALL {
            continue;
        }
        if let (Some(bytes), Some(steps)) = (bytes, &channel.steps)
            && let Some(byte) = bytes.get(usize::from(channel.at[0]))
        {
            let Step { value, does } = steps[usize::from(*byte)];
            if ask_for(does, value, channel.cell, ops, asked) {
                continue;
            }
        }
        let (range, value) = match bytes.and_then(|bytes| reading.known(i, channel, bytes)) {
            Some(known) => known,
            None => match taken_at_rest(reading, i, asked) {
                Some(at_rest) => at_rest,
                None => continue,
            },
        };
        let Some(range) = ops.ranges.get(channel.first_range as usize + range) else { continue };
        let share = range.share_at(value);
        for op in ops.ops.get(range.ops.0 as usize..range.ops.1 as usize).unwrap_or(&[]) {
            if op.parts.meet(parts) {
                ask_for(op.does, op.value(share), channel.cell, ops, asked);
            }
        }
    }
    if !ops.chosen_curves.is_empty() {
        asked.choose_curve();
    }
}

/// The range, and the value in it, of a channel whose slots may not all be known. Where it has none, it
/// stands as it does at rest.
#[cold]
fn taken_at_rest(reading: &Reading<'_>, i: usize, asked: &mut Asked) -> Option<(usize, u32)> {
    let channel = reading.channel(i)?;
    if let (Some(range), Some(value)) = (reading.hit(i), channel.held.value()) {
        return Some((range, value));
    }
    asked.taken_at_rest.push(i as u16);
    reading.place_at_rest(&channel)
}

/// Asks for one effect, whose physical value is `value`. Returns false where what a value does is yet to be
/// found.
#[inline]
fn ask_for(does: Does, value: f64, cell: Option<u16>, ops: &Ops, asked: &mut Asked) -> bool {
    match does {
        Does::Pan => asked.pan = AxisAsk::To { deg: value },
        Does::Tilt => asked.tilt = AxisAsk::To { deg: value },
        Does::PanSpin => asked.pan = AxisAsk::Spin { rpm: value },
        Does::TiltSpin => asked.tilt = AxisAsk::Spin { rpm: value },
        Does::PanStop => asked.pan = AxisAsk::Stay,
        Does::TiltStop => asked.tilt = AxisAsk::Stay,
        Does::AimRate => asked.aim_speed = AimSpeed::Rate { deg_s: value },
        Does::AimTime => asked.aim_speed = AimSpeed::Time { s: value },
        Does::AimShare => asked.aim_speed = AimSpeed::Share { share: value },
        Does::AimFollow => asked.aim_speed = AimSpeed::Follow,
        Does::DarkWhileAiming => asked.dark_while_aiming = true,
        Does::DarkWhileWheels => asked.dark_while_wheels = true,
        Does::Zoom => asked.zoom_deg = Some(value),
        Does::Focus => asked.focus = Some(value),
        Does::Iris => asked.iris = Some(value),
        Does::IrisPulse => asked.iris_pulse_hz = Some(value),
        Does::Frost => asked.frost = Some(value),
        Does::FrameTurn => asked.frame_turn_deg = Some(value),
        Does::Blade(nth) => with_blade(asked, nth, |blade| blade.depth = Some(value)),
        Does::BladeTurn(nth) => with_blade(asked, nth, |blade| blade.turn_deg = Some(value)),
        Does::Stand(wheel) => stand(asked, wheel, WheelPlace::At { place: value }),
        Does::Shake(wheel, slot) => stand(asked, wheel, WheelPlace::Shake { slot, hz: value }),
        Does::Scroll(wheel) => stand(asked, wheel, WheelPlace::Scroll { rpm: value }),
        Does::Halt(wheel) => stand(asked, wheel, WheelPlace::Stay),
        Does::RandomSlots(wheel) => stand(asked, wheel, WheelPlace::Random { hz: value }),
        Does::Turn(wheel) => turn(asked, wheel, TurnAsk::To { deg: value }),
        Does::Spin(wheel) => turn(asked, wheel, TurnAsk::Spin { rpm: value }),
        Does::SpinStop(wheel) => turn(asked, wheel, TurnAsk::Stay),
        Does::Command(nth) => command(nth, ops, asked),
        Does::Override(nth) => run(nth, ops, asked),
        Does::Shut => each_cell(asked, cell, |cell| cell.shutter = ShutterAsk::Shut),
        Does::Open => each_cell(asked, cell, |cell| {
            if cell.shutter == ShutterAsk::Unasked {
                cell.shutter = ShutterAsk::Open;
            }
        }),
        Does::Strobe(shape, timing) => each_cell(asked, cell, |cell| {
            if cell.shutter != ShutterAsk::Shut {
                cell.shutter = ShutterAsk::Flash { hz: value, shape, timing };
            }
        }),
        Does::Dimmer(curve) => each_cell(asked, cell, |cell| dim(cell, curve, value, ops)),
        Does::Filter(nth) => each_cell(asked, cell, |cell| {
            if let Some(filter) = cell.filters.get_mut(usize::from(nth)) {
                *filter = Some(value);
            }
        }),
        Does::Temperature => each_cell(asked, cell, |cell| cell.temperature_k = Some(value)),
        Does::Emitter(nth) => each_cell(asked, cell, |cell| {
            if let Some(emitter) = cell.emitters.get_mut(usize::from(nth)) {
                *emitter = Some(value);
            }
        }),
        Does::Nothing => {}
        Does::Other => return false,
    }
    true
}

/// A cell, from 0, or all of them.
#[inline]
fn each_cell(asked: &mut Asked, nth: Option<u16>, each: impl FnMut(&mut CellAsk)) {
    match nth {
        None => asked.cells.iter_mut().for_each(each),
        Some(nth) => asked.cells.get_mut(usize::from(nth)).into_iter().for_each(each),
    }
}

/// A master and a cell's own dimmer follow each other in the same light.
fn dim(cell: &mut CellAsk, curve: u16, share: f64, ops: &Ops) {
    let Some(own) = ops.curves.get(usize::from(curve)) else { return };
    let light = own.light(share);
    cell.level = Some(cell.level.unwrap_or(1.0) * light);
    if let Some((by_own, by_chosen)) = cell.curved.split_first_mut() {
        *by_own *= light;
        for (by, curve) in by_chosen.iter_mut().zip(&ops.chosen_curves) {
            *by *= curve.light(share);
        }
    }
}

#[cold]
fn command(nth: u16, ops: &Ops, asked: &mut Asked) {
    asked.commands.extend(ops.commands.get(usize::from(nth)).cloned());
}

#[cold]
fn run(nth: u16, ops: &Ops, asked: &mut Asked) {
    asked.overridden_by = ops.overrides.get(usize::from(nth)).cloned();
}

fn stand(asked: &mut Asked, wheel: u16, ask: WheelPlace) {
    if let Some(WheelAsk { place, .. }) = asked.wheels.get_mut(usize::from(wheel)) {
        *place = ask;
    }
}

fn turn(asked: &mut Asked, wheel: u16, ask: TurnAsk) {
    if let Some(WheelAsk { turn, .. }) = asked.wheels.get_mut(usize::from(wheel)) {
        *turn = ask;
    }
}

fn with_blade(asked: &mut Asked, nth: u8, set: impl FnOnce(&mut BladeAsk)) {
    if let Some(blade) = asked.blades.get_mut(usize::from(nth)) {
        set(blade);
    }
}

impl Asked {
    /// Takes the levels by the curve that a control channel asks for, which replaces each dimmer's own.
    fn choose_curve(&mut self) {
        let chosen = self.commands.iter().rev().find_map(|command| match command {
            Command::UseCurve { nth, .. } => Some(usize::from(*nth) + 1),
            _ => None,
        });
        let nth = chosen.unwrap_or(0);
        for cell in &mut self.cells {
            cell.level = cell.level.and_then(|_| cell.curved.get(nth).copied());
        }
    }
}
