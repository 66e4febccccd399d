//! What the ranges of a mode do, laid out flat: every effect with its place worked out and its physical
//! pair at hand, so that nothing is looked for by name when a frame comes.

use super::asked::{Command, Override};
use super::compile::{CompiledChannel, CompiledRange, Find};
use super::parts::Parts;
use crate::profile::effect::{EvenIn, Physical};
use crate::profile::{Curve, Effect, Shape, Timing, quantity::Unit};

/// What the ranges of a mode do.
#[derive(Debug)]
pub(crate) struct Ops {
    pub(super) channels: Vec<ChannelOps>,
    pub(super) ranges: Vec<RangeOps>,
    pub(super) ops: Vec<Op>,
    pub(super) commands: Vec<Command>,
    pub(super) overrides: Vec<Override>,
    /// The curves of the dimmers, and those that a control channel can choose.
    pub(super) curves: Vec<Curve>,
    pub(crate) chosen_curves: Vec<Curve>,
    /// How many slots the channels reach over.
    pub(super) reach: usize,
    /// What each slot bears upon, and all of them together.
    parts_of_slot: Vec<Parts>,
    all_parts: Parts,
}

/// Where a channel's value comes from and where its ranges lie.
#[derive(Debug)]
pub(super) struct ChannelOps {
    pub at: [u16; 4],
    pub width: u8,
    pub find: FindOps,
    pub first_range: u32,
    pub parts: Parts,
    /// The cell it reaches, from 0; `None` reaches all.
    pub cell: Option<u16>,
    /// What each value of a channel of one slot does; `None` for all other channels.
    pub steps: Option<Box<[Step; 256]>>,
}

/// What one value of a channel of one slot does.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// The physical value of the only effect.
    pub value: f64,
    pub does: Does,
}

/// How a channel's range is found.
#[derive(Clone, Copy, Debug)]
pub(super) enum FindOps {
    Always(u8),
    Table,
    Search,
}

/// Bounds of a range, and which ops are its own.
#[derive(Debug)]
pub(super) struct RangeOps {
    first: u32,
    /// From the first value to the last; 1 where they are one, whose share is 0 then.
    width: f64,
    pub ops: (u32, u32),
}

impl RangeOps {
    /// How far into the range `value` lies, as [`CompiledRange::share_at`] has it.
    pub(super) fn share_at(&self, value: u32) -> f64 {
        f64::from(value.saturating_sub(self.first)) / self.width
    }
}

/// One effect.
#[derive(Debug)]
pub(super) struct Op {
    pub does: Does,
    pub parts: Parts,
    /// Its physical pair, percent as shares of 1.
    span: (f64, f64),
    /// The physical pair of a rate that runs evenly in seconds.
    in_seconds: Option<Box<Physical>>,
}

impl Op {
    /// Its physical value `share` of the way through its range, percent as a share of 1; 0 for an effect
    /// that has none.
    pub(super) fn value(&self, share: f64) -> f64 {
        match &self.in_seconds {
            // As a rate that runs evenly has it, too: both ends come out exactly.
            None if self.span.0 == self.span.1 => self.span.0,
            None => self.span.0 * (1.0 - share) + self.span.1 * share,
            Some(physical) => physical.at(share),
        }
    }
}

/// What an effect does, with places in lists where the effect has names.
#[derive(Clone, Copy, Debug)]
pub(super) enum Does {
    Pan,
    Tilt,
    PanSpin,
    TiltSpin,
    PanStop,
    TiltStop,
    AimRate,
    AimTime,
    AimShare,
    AimFollow,
    DarkWhileAiming,
    DarkWhileWheels,
    Dimmer(u16),
    Shut,
    Open,
    Strobe(Shape, Timing),
    Emitter(u16),
    Filter(u8),
    Temperature,
    Zoom,
    Focus,
    Iris,
    IrisPulse,
    Frost,
    FrameTurn,
    Blade(u8),
    BladeTurn(u8),
    /// At a place: a slot, between two, or anywhere.
    Stand(u16),
    Shake(u16, u16),
    Scroll(u16),
    Halt(u16),
    RandomSlots(u16),
    Turn(u16),
    Spin(u16),
    SpinStop(u16),
    Command(u16),
    Override(u16),
    /// Nothing, on purpose.
    Nothing,
    /// Several things, or the value is in no range: its range has to be looked at.
    Other,
}

impl Does {
    fn parts(self) -> Parts {
        match self {
            Self::Pan
            | Self::Tilt
            | Self::PanSpin
            | Self::TiltSpin
            | Self::PanStop
            | Self::TiltStop
            | Self::AimRate
            | Self::AimTime
            | Self::AimShare
            | Self::AimFollow
            | Self::DarkWhileAiming
            | Self::DarkWhileWheels => Parts::AIM,
            Self::Dimmer(_) => Parts::LEVEL,
            Self::Shut | Self::Open | Self::Strobe(..) => Parts::SHUTTER,
            Self::Emitter(_) | Self::Filter(_) | Self::Temperature => Parts::COLOUR,
            Self::Zoom => Parts::ZOOM,
            Self::Focus => Parts::FOCUS,
            Self::Iris | Self::IrisPulse => Parts::IRIS,
            Self::Frost => Parts::FROST,
            Self::FrameTurn | Self::Blade(_) | Self::BladeTurn(_) => Parts::BLADES,
            Self::Stand(wheel)
            | Self::Shake(wheel, _)
            | Self::Scroll(wheel)
            | Self::Halt(wheel)
            | Self::RandomSlots(wheel) => Parts::wheel_place(wheel.into()),
            Self::Turn(wheel) | Self::Spin(wheel) | Self::SpinStop(wheel) => {
                Parts::wheel_turn(wheel.into())
            }
            Self::Command(_) | Self::Override(_) => Parts::CONTROL,
            Self::Nothing | Self::Other => Parts::NONE,
        }
    }
}

impl Ops {
    /// Lays out the channels of a mode.
    pub(super) fn new(channels: &[CompiledChannel], wheels: &[String]) -> Self {
        let mut ops = Self {
            channels: Vec::new(),
            ranges: Vec::new(),
            ops: Vec::new(),
            commands: Vec::new(),
            overrides: Vec::new(),
            curves: Vec::new(),
            chosen_curves: Vec::new(),
            reach: 0,
            parts_of_slot: Vec::new(),
            all_parts: Parts::NONE,
        };
        for channel in channels {
            ops.push_channel(wheels, channel);
        }
        let reach = channels.iter().flat_map(|channel| channel.offsets.iter().copied()).max();
        ops.reach = usize::from(reach.unwrap_or(0));
        ops.parts_of_slot = vec![Parts::NONE; ops.reach];
        for (channel, placed) in channels.iter().zip(&ops.channels) {
            let whens = channel.ranges.iter().flat_map(|range| &range.when);
            for offset in channel.offsets.iter().copied().chain(whens.map(|when| when.offset)) {
                let slot = ops.parts_of_slot.get_mut(usize::from(offset).wrapping_sub(1));
                if let Some(parts) = slot {
                    *parts = *parts | placed.parts;
                }
            }
        }
        ops.all_parts = ops.parts_of_slot.iter().fold(Parts::NONE, |all, parts| all | *parts);
        ops
    }

    fn push_channel(&mut self, wheels: &[String], channel: &CompiledChannel) {
        let mut at = [0; 4];
        for (at, offset) in at.iter_mut().zip(&channel.offsets) {
            *at = offset.saturating_sub(1);
        }
        let first_range = self.ranges.len() as u32;
        let mut parts = Parts::NONE;
        for range in &channel.ranges {
            let first_op = self.ops.len() as u32;
            for effect in range.effects() {
                let Some(does) = self.does(wheels, channel, range, effect) else { continue };
                parts = parts | does.parts();
                let physical = effect.physical();
                let span = match (effect, &physical) {
                    (Effect::Slot { slot, .. }, _) => (f64::from(*slot), f64::from(*slot)),
                    (Effect::Split { between: (a, b), .. }, _) => {
                        (split_place(*a, *b), split_place(*a, *b))
                    }
                    (_, None) => (0.0, 0.0),
                    (_, Some(Physical { span, unit: Unit::Percent, .. })) => {
                        (span.0 / 100.0, span.1 / 100.0)
                    }
                    (_, Some(physical)) => physical.span,
                };
                let in_seconds = physical.filter(|p| p.even_in == EvenIn::Seconds).map(Box::new);
                self.ops.push(Op { does, parts: does.parts(), span, in_seconds });
            }
            let ops = (first_op, self.ops.len() as u32);
            let width = f64::from((range.last - range.first).max(1));
            self.ranges.push(RangeOps { first: range.first, width, ops });
        }
        let find = match channel.find {
            Find::Always(range) => FindOps::Always(range),
            Find::Coarse(_) => FindOps::Table,
            Find::Search => FindOps::Search,
        };
        let steps = self.steps(channel, first_range as usize).filter(|_| parts.is_one());
        let width = channel.offsets.len() as u8;
        let cell = channel.cell.map(|cell| cell.wrapping_sub(1));
        self.channels.push(ChannelOps { at, width, find, first_range, parts, cell, steps });
    }

    /// What each value does of a channel of one slot whose ranges depend on nothing else, and bear upon
    /// one part.
    fn steps(&self, channel: &CompiledChannel, first_range: usize) -> Option<Box<[Step; 256]>> {
        if channel.offsets.len() != 1 || matches!(channel.find, Find::Search) {
            return None;
        }
        let mut steps = Box::new([Step { value: 0.0, does: Does::Other }; 256]);
        for (value, step) in (0u32..).zip(steps.iter_mut()) {
            let range = channel.find_with(value, |_| None);
            let Some(range) = range.and_then(|range| self.ranges.get(first_range + range)) else {
                continue;
            };
            match self.ops.get(range.ops.0 as usize..range.ops.1 as usize) {
                Some([only]) => {
                    *step = Step { value: only.value(range.share_at(value)), does: only.does };
                }
                Some([]) => step.does = Does::Nothing,
                _ => {}
            }
        }
        Some(steps)
    }

    /// What an effect does; `None` for one that does nothing, or names what the profile has not.
    fn does(
        &mut self,
        wheels: &[String],
        channel: &CompiledChannel,
        range: &CompiledRange,
        effect: &Effect,
    ) -> Option<Does> {
        Some(match effect {
            Effect::Pan { .. } => Does::Pan,
            Effect::Tilt { .. } => Does::Tilt,
            Effect::PanSpin { .. } => Does::PanSpin,
            Effect::TiltSpin { .. } => Does::TiltSpin,
            Effect::PanStop => Does::PanStop,
            Effect::TiltStop => Does::TiltStop,
            Effect::AimRate { .. } => Does::AimRate,
            Effect::AimTime { .. } => Does::AimTime,
            Effect::AimShare { .. } => Does::AimShare,
            Effect::AimFollow => Does::AimFollow,
            Effect::DarkWhileAiming => Does::DarkWhileAiming,
            Effect::DarkWhileWheels => Does::DarkWhileWheels,
            Effect::Dimmer { curve, .. } => Does::Dimmer(place_of(&mut self.curves, curve.clone())),
            Effect::Shut => Does::Shut,
            Effect::Open => Does::Open,
            Effect::Strobe { shape, timing, .. } => Does::Strobe(*shape, *timing),
            Effect::Emitter { name, .. } => Does::Emitter(range.emitter(name)? as u16),
            Effect::Filter { name, .. } => Does::Filter(*name as u8),
            Effect::Temperature { .. } => Does::Temperature,
            Effect::Zoom { .. } => Does::Zoom,
            Effect::Focus { .. } => Does::Focus,
            Effect::Iris { .. } => Does::Iris,
            Effect::IrisPulse { .. } => Does::IrisPulse,
            Effect::Frost { .. } => Does::Frost,
            Effect::FrameTurn { .. } => Does::FrameTurn,
            Effect::Blade { blade, .. } => Does::Blade(blade.checked_sub(1)?),
            Effect::BladeTurn { blade, .. } => Does::BladeTurn(blade.checked_sub(1)?),
            Effect::Idle | Effect::Unknown | Effect::Select => return None,
            Effect::Slot { .. }
            | Effect::Split { .. }
            | Effect::Glide { .. }
            | Effect::Shake { .. }
            | Effect::Scroll { .. }
            | Effect::Halt { .. }
            | Effect::RandomSlots { .. }
            | Effect::Turn { .. }
            | Effect::Spin { .. }
            | Effect::SpinStop { .. } => wheel_does(wheels, effect)?,
            Effect::Reset { .. }
            | Effect::LampOn { .. }
            | Effect::LampOff { .. }
            | Effect::Latch { .. }
            | Effect::UseCurve { .. } => {
                let command = self.command(effect)?;
                Does::Command(place_of(&mut self.commands, command))
            }
            Effect::Program { .. } | Effect::Sound | Effect::Follow => {
                let channel = channel.name.clone();
                let by = match effect {
                    Effect::Program { name } => Override::Program { name: name.clone(), channel },
                    Effect::Sound => Override::Sound { channel },
                    _ => Override::Follow { channel },
                };
                Does::Override(place_of(&mut self.overrides, by))
            }
        })
    }

    fn command(&mut self, effect: &Effect) -> Option<Command> {
        Some(match effect {
            Effect::Reset { part, hold_s, takes_s } => {
                Command::Reset { part: *part, hold_s: *hold_s, takes_s: *takes_s }
            }
            Effect::LampOn { hold_s } => Command::Lamp { on: true, hold_s: *hold_s },
            Effect::LampOff { hold_s } => Command::Lamp { on: false, hold_s: *hold_s },
            Effect::Latch { switch, on, hold_s } => {
                Command::Latch { switch: *switch, on: *on, hold_s: *hold_s }
            }
            Effect::UseCurve { curve, hold_s } => {
                let nth = place_of(&mut self.chosen_curves, curve.clone());
                Command::UseCurve { curve: curve.clone(), hold_s: *hold_s, nth }
            }
            _ => return None,
        })
    }

    /// What slots bear upon: `changed` has a bit for each of 64 from `offset` (from 0) on.
    pub(super) fn parts_of(&self, offset: usize, mut changed: u64) -> Parts {
        let slots = self.parts_of_slot.get(offset..).unwrap_or(&[]);
        if changed.trailing_ones() as usize >= self.reach {
            return self.all_parts;
        }
        let mut parts = Parts::NONE;
        while changed != 0 {
            let Some(more) = slots.get(changed.trailing_zeros() as usize) else { break };
            parts = parts | *more;
            changed &= changed - 1;
        }
        parts
    }
}

/// What an effect does to one of these wheels.
fn wheel_does(wheels: &[String], effect: &Effect) -> Option<Does> {
    let name = effect.wheel()?;
    let wheel = wheels.iter().position(|wheel| wheel == name)? as u16;
    Some(match effect {
        Effect::Slot { .. } | Effect::Split { .. } | Effect::Glide { .. } => Does::Stand(wheel),
        Effect::Shake { slot, .. } => Does::Shake(wheel, *slot),
        Effect::Scroll { .. } => Does::Scroll(wheel),
        Effect::Halt { .. } => Does::Halt(wheel),
        Effect::RandomSlots { .. } => Does::RandomSlots(wheel),
        Effect::Turn { .. } => Does::Turn(wheel),
        Effect::Spin { .. } => Does::Spin(wheel),
        Effect::SpinStop { .. } => Does::SpinStop(wheel),
        _ => return None,
    })
}

/// Where something lies in a list, to which it is added if it is not there yet.
fn place_of<T: PartialEq>(list: &mut Vec<T>, item: T) -> u16 {
    let known = list.iter().position(|known| *known == item);
    let place = known.unwrap_or_else(|| {
        list.push(item);
        list.len() - 1
    });
    place as u16
}

/// The place half way between two neighbouring slots. Between the last slot and the first it lies
/// half a place past the last.
fn split_place(a: u16, b: u16) -> f64 {
    let (low, high) = (a.min(b), a.max(b));
    if low == 1 && high > 2 { f64::from(high) + 0.5 } else { f64::from(low) + 0.5 }
}
