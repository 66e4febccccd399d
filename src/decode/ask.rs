//! From channel readings to what is asked of the fixture as a whole.

use super::asked::{AimSpeed, Asked, AxisAsk, Command, Override, ShutterAsk, TurnAsk, WheelPlace};
use super::compile::{CompiledChannel, CompiledRange};
use super::reading::Reading;
use crate::profile::{Curve, Effect};

/// Fills `asked` from a reading. A channel that has no value, or one in no range, asks nothing; it is
/// then taken to stand as it does at rest, and `taken_at_rest` names it.
pub(super) fn fill(reading: &Reading<'_>, asked: &mut Asked) {
    asked.clear();
    let curve = chosen_curve(reading);
    for (i, channel) in reading.channels().enumerate() {
        let standing = match (channel.range, channel.held.value()) {
            (Some(range), Some(value)) => Some((range, value)),
            _ => {
                asked.taken_at_rest.push(i as u16);
                reading.at_rest(&channel)
            }
        };
        let Some((range, value)) = standing else { continue };
        for effect in range.effects() {
            let one = One { channel: channel.channel, range, effect, value, curve };
            one.apply(asked);
        }
    }
}

/// The dimmer curve that a control channel asks for, which replaces each range's own.
fn chosen_curve<'a>(reading: &Reading<'a>) -> Option<&'a Curve> {
    reading.channels().find_map(|channel| {
        channel.range?.effects().find_map(|effect| match effect {
            Effect::UseCurve { curve } => Some(curve),
            _ => None,
        })
    })
}

/// One effect of one range that a channel stands in.
struct One<'a> {
    channel: &'a CompiledChannel,
    range: &'a CompiledRange,
    effect: &'a Effect,
    value: u32,
    curve: Option<&'a Curve>,
}

impl One<'_> {
    /// The physical value of this effect, which need not be the range's main one.
    fn physical(&self) -> f64 {
        let share = self.range.share_at(self.value);
        self.effect.physical().map_or(0.0, |physical| physical.at(share))
    }

    /// A physical value in percent, as a share of 1.
    fn share(&self) -> f64 {
        self.physical() / 100.0
    }

    fn apply(&self, asked: &mut Asked) {
        match self.effect {
            Effect::Pan { .. } => asked.pan = AxisAsk::To { deg: self.physical() },
            Effect::Tilt { .. } => asked.tilt = AxisAsk::To { deg: self.physical() },
            Effect::PanSpin { .. } => asked.pan = AxisAsk::Spin { rpm: self.physical() },
            Effect::TiltSpin { .. } => asked.tilt = AxisAsk::Spin { rpm: self.physical() },
            Effect::PanStop => asked.pan = AxisAsk::Stay,
            Effect::TiltStop => asked.tilt = AxisAsk::Stay,
            Effect::AimRate { .. } => asked.aim_speed = AimSpeed::Rate { deg_s: self.physical() },
            Effect::AimTime { .. } => asked.aim_speed = AimSpeed::Time { s: self.physical() },
            Effect::AimShare { .. } => asked.aim_speed = AimSpeed::Share { share: self.share() },
            Effect::AimFollow => asked.aim_speed = AimSpeed::Follow,
            Effect::DarkWhileAiming => asked.dark_while_aiming = true,
            Effect::DarkWhileWheels => asked.dark_while_wheels = true,
            Effect::Zoom { .. } => asked.zoom_deg = Some(self.physical()),
            Effect::Focus { .. } => asked.focus = Some(self.share()),
            Effect::Iris { .. } => asked.iris = Some(self.share()),
            Effect::IrisPulse { .. } => asked.iris_pulse_hz = Some(self.physical()),
            Effect::Frost { .. } => asked.frost = Some(self.share()),
            Effect::FrameTurn { .. } => asked.frame_turn_deg = Some(self.physical()),
            Effect::Blade { blade, .. } => {
                if let Some(blade) = blade_mut(asked, *blade) {
                    blade.depth = Some(self.share());
                }
            }
            Effect::BladeTurn { blade, .. } => {
                if let Some(blade) = blade_mut(asked, *blade) {
                    blade.turn_deg = Some(self.physical());
                }
            }
            Effect::Idle | Effect::Unknown | Effect::Select | Effect::UseCurve { .. } => {
                self.apply_control(asked)
            }
            _ => {
                self.apply_light(asked);
                self.apply_wheel(asked);
                self.apply_control(asked);
            }
        }
    }

    /// Dimmers, shutters, emitters and filters, which reach one cell or all.
    fn apply_light(&self, asked: &mut Asked) {
        let cells = match self.channel.cell {
            Some(cell) => {
                let i = usize::from(cell).wrapping_sub(1);
                asked.cells.get_mut(i..).and_then(|rest| rest.get_mut(..1)).unwrap_or(&mut [])
            }
            None => asked.cells.as_mut_slice(),
        };
        for cell in cells {
            match self.effect {
                Effect::Dimmer { curve, .. } => {
                    let light = self.curve.unwrap_or(curve).light(self.share());
                    // A master and a cell's own dimmer follow each other in the same light.
                    cell.level = Some(cell.level.unwrap_or(1.0) * light);
                }
                Effect::Shut => cell.shutter = ShutterAsk::Shut,
                Effect::Open if cell.shutter == ShutterAsk::Unasked => {
                    cell.shutter = ShutterAsk::Open;
                }
                Effect::Strobe { shape, timing, .. } if cell.shutter != ShutterAsk::Shut => {
                    let (shape, timing) = (*shape, *timing);
                    cell.shutter = ShutterAsk::Flash { hz: self.physical(), shape, timing };
                }
                Effect::Filter { name, .. } => {
                    cell.filters[*name as usize] = Some(self.share());
                }
                Effect::Temperature { .. } => cell.temperature_k = Some(self.physical()),
                _ => {}
            }
        }
        if let Effect::Emitter { name, .. } = self.effect {
            self.apply_emitter(name, asked);
        }
    }

    fn apply_emitter(&self, name: &str, asked: &mut Asked) {
        // The emitters' names are known to the range's profile only; it gave them their places when
        // the mode was compiled.
        let Some(emitter) = self.range.emitter(name) else { return };
        for (i, cell) in asked.cells.iter_mut().enumerate() {
            if self.channel.cell.is_none_or(|cell| usize::from(cell) == i + 1)
                && let Some(level) = cell.emitters.get_mut(emitter)
            {
                *level = Some(self.share());
            }
        }
    }

    fn apply_wheel(&self, asked: &mut Asked) {
        let Some(wheel) = self.effect.wheel() else { return };
        let Some(ask) = asked.wheels.iter_mut().find(|ask| ask.wheel == wheel) else { return };
        match self.effect {
            Effect::Slot { slot, .. } => ask.place = WheelPlace::At { place: f64::from(*slot) },
            Effect::Split { between: (a, b), .. } => {
                ask.place = WheelPlace::At { place: split_place(*a, *b) };
            }
            Effect::Glide { .. } => ask.place = WheelPlace::At { place: self.physical() },
            Effect::Shake { slot, .. } => {
                ask.place = WheelPlace::Shake { slot: *slot, hz: self.physical() };
            }
            Effect::Scroll { .. } => ask.place = WheelPlace::Scroll { rpm: self.physical() },
            Effect::Halt { .. } => ask.place = WheelPlace::Stay,
            Effect::RandomSlots { .. } => ask.place = WheelPlace::Random { hz: self.physical() },
            Effect::Turn { .. } => ask.turn = TurnAsk::To { deg: self.physical() },
            Effect::Spin { .. } => ask.turn = TurnAsk::Spin { rpm: self.physical() },
            Effect::SpinStop { .. } => ask.turn = TurnAsk::Stay,
            _ => {}
        }
    }

    fn apply_control(&self, asked: &mut Asked) {
        let channel = || self.channel.name.clone();
        match self.effect {
            Effect::Reset { part, hold_s, takes_s } => asked.commands.push(Command::Reset {
                part: *part,
                hold_s: *hold_s,
                takes_s: *takes_s,
            }),
            Effect::LampOn { hold_s } => {
                asked.commands.push(Command::Lamp { on: true, hold_s: *hold_s });
            }
            Effect::LampOff { hold_s } => {
                asked.commands.push(Command::Lamp { on: false, hold_s: *hold_s });
            }
            Effect::Latch { switch, on, hold_s } => {
                asked.commands.push(Command::Latch { switch: *switch, on: *on, hold_s: *hold_s })
            }
            Effect::UseCurve { curve } => {
                asked.commands.push(Command::UseCurve { curve: curve.clone() });
            }
            Effect::Program { name } => {
                let name = name.clone();
                asked.overridden_by = Some(Override::Program { name, channel: channel() });
            }
            Effect::Sound => asked.overridden_by = Some(Override::Sound { channel: channel() }),
            Effect::Follow => asked.overridden_by = Some(Override::Follow { channel: channel() }),
            _ => {}
        }
    }
}

fn blade_mut(asked: &mut Asked, blade: u8) -> Option<&mut super::asked::BladeAsk> {
    asked.blades.get_mut(usize::from(blade).checked_sub(1)?)
}

/// The place half way between two neighbouring slots. Between the last slot and the first it lies
/// half a place past the last.
fn split_place(a: u16, b: u16) -> f64 {
    let (low, high) = (a.min(b), a.max(b));
    if low == 1 && high > 2 { f64::from(high) + 0.5 } else { f64::from(low) + 0.5 }
}
