//! One fixture over time.

use std::sync::Arc;

use super::aimed::Aiming;
use super::axis::AxisMotion;
use super::cell::CellMotion;
use super::control::{Control, Hold, Order, Reset};
use super::lag::Response;
use super::lamp::LampState;
use super::model::{HeadModel, LossPolicy};
use super::optics::Optics;
use super::pose::{CellPose, Lamp, Pose, WheelPose};
use super::send::How;
use super::settle::settle;
use super::wheel::WheelMotion;
use crate::decode::parts::Parts;
use crate::decode::{AimSpeed, Asked, AxisAsk, Override, TurnAsk, WheelPlace};
use crate::profile::effect::Switch;
use crate::rig::{Aim, InHead};

/// Times within a thousand millionth of a second are the same moment: float noise.
pub(super) const SAME_S: f64 = 1e-9;

/// One fixture over time. Times are in seconds of simulated time and only go forward.
#[derive(Clone, Debug)]
pub struct HeadMotion {
    pub(super) model: Arc<HeadModel>,
    pub(super) aim: Aim,
    pub(super) in_head: InHead,
    /// What is done to what is asked of the axes, with the switches as they are set.
    pub(super) aiming: Aiming,
    pub(super) now_s: f64,
    /// When something happens by itself next.
    pub(super) next_s: f64,
    pub(super) wanted: Wanted,
    pub(super) axes: [AxisMotion; 2],
    pub(super) optics: Optics,
    pub(super) control: Control,
    pub(super) lamp: LampState,
    /// A strike that a hot lamp refused: when it was ordered and when it would not be.
    pub(super) refused: Option<(f64, f64)>,
    /// When the signal counts as lost, if no frame comes before.
    pub(super) loss_due_s: Option<f64>,
    /// Since when the signal is lost.
    pub(super) lost_since_s: Option<f64>,
    pub(super) wheels: Vec<WheelPart>,
    pub(super) cells: Vec<CellMotion>,
    /// Emitters of every cell, cell by cell.
    pub(super) emitters: Vec<Response>,
    pub(super) emitters_per_cell: usize,
    /// The level that is asked of every cell, cell by cell, by the dimmers' own curves and by each that can
    /// be chosen. Empty where none can.
    pub(super) curved: Vec<f64>,
    pub(super) overridden_by: Option<Override>,
}

/// What is asked that a reset keeps waiting.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Wanted {
    pub(super) pan: AxisAsk,
    pub(super) tilt: AxisAsk,
    pub(super) speed: AimSpeed,
    pub(super) dark_while_aiming: bool,
    pub(super) dark_while_wheels: bool,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct WheelPart {
    pub(super) motion: WheelMotion,
    pub(super) place: WheelPlace,
    pub(super) turn: TurnAsk,
}

/// When the parts of a head arrive where they were asked to, in simulated time; it may be past.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrival {
    /// Pan. `None`: it is asked to no position, or given no speed to get there.
    pub pan_s: Option<f64>,
    /// Tilt, likewise.
    pub tilt_s: Option<f64>,
    /// The last wheel that was asked to a place, or angle. `None` where none was.
    pub wheels_s: Option<f64>,
    /// Zoom, focus, iris, frost, blades.
    pub optics_s: f64,
    /// Dimmers, emitters, filters.
    pub light_s: f64,
}

impl Arrival {
    /// The later of pan and tilt.
    pub fn aim_s(&self) -> Option<f64> {
        self.pan_s.into_iter().chain(self.tilt_s).reduce(f64::max)
    }

    /// The last of everything.
    pub fn last_s(&self) -> f64 {
        let some = self.aim_s().into_iter().chain(self.wheels_s);
        some.chain([self.optics_s, self.light_s]).fold(f64::NEG_INFINITY, f64::max)
    }
}

impl HeadMotion {
    /// A head that stands as it does at rest. Heads with the same seed flash alike at random.
    pub fn at_rest(
        model: Arc<HeadModel>,
        aim: &Aim,
        in_head: &InHead,
        t_s: f64,
        seed: u64,
    ) -> Self {
        let rest = model.rest.clone();
        Self::arrived(model, aim, in_head, &rest, t_s, seed)
    }

    /// A head that was asked this long ago: everything has arrived, every hold was held.
    pub fn arrived(
        model: Arc<HeadModel>,
        aim: &Aim,
        in_head: &InHead,
        asked: &Asked,
        t_s: f64,
        seed: u64,
    ) -> Self {
        let pose = settle(&model.profile, aim, in_head, asked);
        let wheels = pose.wheels.iter().zip(0..).map(|(wheel, i)| {
            let mut motion = WheelMotion::at_rest(wheel.place, seed.wrapping_add(i << 32));
            motion.turn = super::turn::TurnMotion::at_rest(wheel.turn_deg);
            WheelPart { motion, place: WheelPlace::Unasked, turn: TurnAsk::Unasked }
        });
        let emitters_per_cell = model.profile.source.emitters().len();
        let emitters = emitters_per_cell * pose.cells.len();
        let curved = asked.cells.iter().flat_map(|cell| cell.curved.iter().copied());
        let mut head = Self {
            aiming: Aiming::new(&model.profile, aim, in_head),
            curved: curved.collect(),
            emitters_per_cell,
            aim: *aim,
            in_head: *in_head,
            now_s: t_s,
            next_s: f64::INFINITY,
            wanted: Wanted::default(),
            axes: [pose.pan_deg, pose.tilt_deg].map(|deg| AxisMotion::at_rest(t_s, deg)),
            optics: Optics::at_rest(),
            control: Control::default(),
            lamp: match pose.lamp {
                Lamp::Ready => LampState::Ready,
                Lamp::On | Lamp::Striking => LampState::Struck { lit_s: t_s },
                Lamp::Off | Lamp::Hot => LampState::PutOut { cool_s: t_s },
                Lamp::Unknown => LampState::Unknown,
            },
            refused: None,
            loss_due_s: None,
            lost_since_s: None,
            wheels: wheels.collect(),
            cells: vec![CellMotion::at_rest(seed); pose.cells.len()],
            emitters: vec![Response::at_rest(1.0); emitters],
            overridden_by: None,
            model,
        };
        head.control.ask(t_s, &asked.commands);
        while let Some(order) = head.control.due(f64::INFINITY) {
            match order {
                Order::Latch { switch, on } => head.latch(switch, on),
                Order::UseCurve { nth } => head.control.use_curve(nth),
                Order::Reset { .. } | Order::Lamp { .. } => {}
            }
        }
        head.take(asked, Parts::ALL, How::AtOnce);
        head.send(Parts::ALL, How::AtOnce);
        head
    }

    /// What its model can do.
    pub fn model(&self) -> &Arc<HeadModel> {
        &self.model
    }

    /// The time up to which what happens by itself is worked in.
    pub fn now_s(&self) -> f64 {
        self.now_s
    }

    /// A frame asks this of it from `t_s` on (a time that is past counts as now).
    pub fn ask(&mut self, t_s: f64, asked: &Asked) {
        self.ask_parts(t_s, asked, Parts::ALL);
    }

    /// The same, of some parts: the others are asked what they were, and what `asked` has of them is not
    /// looked at.
    pub(crate) fn ask_parts(&mut self, t_s: f64, asked: &Asked, parts: Parts) {
        self.heard(t_s);
        self.take(asked, parts, How::Own);
        let mut moved = parts;
        if parts.meet(Parts::CONTROL) && !self.control.is_asked(&asked.commands) {
            self.control.ask(self.now_s, &asked.commands);
            self.happen();
            self.next_s = self.find_next_s();
            moved = Parts::ALL;
        }
        self.send(moved, How::Own);
    }

    /// A frame came that asks what the one before it asked. Where the loss of the signal was acted on
    /// before it came, it has to be asked for again with [`Self::ask`].
    pub fn heard(&mut self, t_s: f64) {
        self.advance(t_s);
        self.lost_since_s = None;
        if self.loss_due_s.take().is_some() {
            self.next_s = self.find_next_s();
        }
    }

    /// No frame has come since the one at `last_s`: once the time-out of its profile is over, and if
    /// none comes before, the fixture does what it does without a signal.
    pub fn lost(&mut self, last_s: f64) {
        if self.lost_since_s.is_none() && last_s.is_finite() {
            self.loss_due_s = Some(last_s + self.model.loss_after_s);
            self.next_s = self.find_next_s();
        }
    }

    /// Works in what happens by itself up to `t_s`, each thing at its own moment: holds that are over,
    /// stages of a reset, the loss of the signal. A time that is past changes nothing.
    pub fn advance(&mut self, t_s: f64) {
        if t_s.is_nan() || t_s <= self.now_s {
            return;
        }
        while self.next_s <= t_s + SAME_S {
            self.now_s = self.now_s.max(self.next_s);
            self.happen();
            self.send(Parts::ALL, How::Own);
            self.next_s = self.find_next_s();
        }
        self.now_s = self.now_s.max(t_s);
    }

    /// Whether something happens by itself by `t_s`.
    pub fn is_due(&self, t_s: f64) -> bool {
        self.next_s <= t_s + SAME_S
    }

    fn find_next_s(&self) -> f64 {
        self.control.next_s(self.now_s).min(self.loss_due_s.unwrap_or(f64::INFINITY))
    }

    /// What it does at a time from the last ask on.
    pub fn pose_at(&self, t_s: f64) -> Pose {
        let mut pose = Pose::default();
        self.fill_pose(t_s, &mut pose);
        pose
    }

    /// The same, into a pose that is kept. Allocates nothing where the pose had room and nothing is due
    /// by itself before `t_s` (see [`Self::advance`]).
    pub fn fill_pose(&self, t_s: f64, pose: &mut Pose) {
        if self.is_due(t_s) && t_s > self.now_s {
            let mut later = self.clone();
            later.advance(t_s);
            later.fill_pose_now(t_s, pose);
        } else {
            self.fill_pose_now(t_s, pose);
        }
    }

    fn fill_pose_now(&self, t_s: f64, pose: &mut Pose) {
        let [pan, tilt] = &self.axes;
        (pose.pan_deg, pose.tilt_deg) = (pan.at(t_s).0, tilt.at(t_s).0);
        (pose.pan_spin_rpm, pose.tilt_spin_rpm) = (pan.spin_rpm(t_s), tilt.spin_rpm(t_s));
        pose.wheels.clear();
        pose.wheels.extend(self.wheels.iter().zip(&self.model.wheels).map(|(part, limits)| {
            let motion = &part.motion;
            WheelPose {
                place: motion.place(t_s, limits),
                turn_deg: motion.turn.deg(t_s, limits.turn_deg_s),
                scroll_rpm: motion.scroll_rpm(),
                spin_rpm: motion.turn.spin_rpm(),
                shake_hz: motion.shake_hz(),
            }
        }));
        self.optics.fill(t_s, pose);
        let lit = !self.is_held_dark(t_s);
        pose.cells.resize_with(self.cells.len(), CellPose::default);
        let per_cell = self.emitters_per_cell;
        for (i, (cell, pose)) in self.cells.iter().zip(&mut pose.cells).enumerate() {
            cell.fill(t_s, &self.emitters[i * per_cell..(i + 1) * per_cell], lit, pose);
        }
        pose.lamp = self.lamp.at(t_s);
        if pose.overridden_by != self.overridden_by {
            pose.overridden_by.clone_from(&self.overridden_by);
        }
    }

    /// Whether it keeps its light in, whatever dimmer and shutter do: a reset, the loss of the signal,
    /// or a move during which it is to be dark.
    pub fn is_held_dark(&self, t_s: f64) -> bool {
        let switch = |asked: bool, switch| asked || self.control.latched(switch) == Some(true);
        let resets = self.control.reset.is_some_and(|r| t_s + SAME_S < r.end_s);
        let lost = self.lost_since_s.is_some() && self.model.on_loss == LossPolicy::Dark;
        let aims = || self.axes.iter().any(|axis| axis.moves(t_s));
        let wheels = || {
            let mut wheels = self.wheels.iter().zip(&self.model.wheels);
            wheels.any(|(part, limits)| part.motion.moves(t_s, limits))
        };
        resets
            || lost
            || switch(self.wanted.dark_while_aiming, Switch::DarkWhileAiming) && aims()
            || switch(self.wanted.dark_while_wheels, Switch::DarkWhileWheels) && wheels()
    }

    /// Speed of pan and tilt, in degrees a second.
    pub fn aim_speed_deg_s(&self, t_s: f64) -> (f64, f64) {
        (self.axes[0].at(t_s).1, self.axes[1].at(t_s).1)
    }

    /// When everything arrives where it is asked to, as things stand: after a reset that is under way,
    /// and if no hold comes to act.
    pub fn arrives_s(&self) -> Arrival {
        if let Some(reset) = self.control.reset.filter(|reset| self.now_s < reset.returns_s()) {
            let mut later = self.clone();
            later.loss_due_s = None;
            later.advance(reset.returns_s());
            return later.arrives_now_s();
        }
        self.arrives_now_s()
    }

    fn arrives_now_s(&self) -> Arrival {
        let moves = self.model.axes.is_some();
        let [pan_s, tilt_s] = self.axes.map(|axis| axis.arrives_s().filter(|_| moves));
        let light = self.cells.iter().map(CellMotion::end_s);
        Arrival {
            pan_s,
            tilt_s,
            wheels_s: (0..self.wheels.len())
                .filter_map(|wheel| self.wheel_arrives_s(wheel))
                .reduce(f64::max),
            optics_s: self.optics.end_s(),
            light_s: light
                .chain(self.emitters.iter().map(Response::end_s))
                .fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// When a wheel, counted from 0, reaches the place and angle it is asked to.
    pub fn wheel_arrives_s(&self, wheel: usize) -> Option<f64> {
        let (part, limits) = (self.wheels.get(wheel)?, self.model.wheels.get(wheel)?);
        let place_s = part.motion.arrives_s(limits);
        let turn_s = part.motion.turn.arrives_s(limits.turn_deg_s);
        place_s.into_iter().chain(turn_s).reduce(f64::max)
    }

    /// A light-emitting cell, counted from 0.
    pub fn cell(&self, cell: usize) -> Option<&CellMotion> {
        self.cells.get(cell)
    }

    /// Mean light that dimmer and shutter of a cell, counted from 0, let through over an interval after
    /// the last ask: see [`CellMotion::mean_light`].
    pub fn mean_light(&self, cell: usize, from_s: f64, to_s: f64) -> Option<f64> {
        self.cells.get(cell).map(|cell| cell.mean_light(from_s, to_s))
    }

    /// The control values that are held.
    pub fn holds(&self) -> impl Iterator<Item = &Hold> {
        self.control.holds()
    }

    /// The reset that is under way.
    pub fn reset(&self) -> Option<Reset> {
        self.control.reset
    }

    /// How a switch was set by a control channel; `None` where nothing was heard of it.
    pub fn latched(&self, switch: Switch) -> Option<bool> {
        self.control.latched(switch)
    }

    /// The dimmer curve that a control channel chose; `None` where the dimmers go by their own.
    pub fn chosen_curve(&self) -> Option<u16> {
        self.control.curve()
    }

    /// What is known of its lamp.
    pub fn lamp(&self) -> LampState {
        self.lamp
    }

    /// The last order to strike, where the lamp was too hot: when it was given, and from when on the
    /// lamp can be struck.
    pub fn refused_strike(&self) -> Option<(f64, f64)> {
        self.refused
    }

    /// Bytes of its state that lie apart from it: cells, emitters and wheels.
    pub fn heap_bytes(&self) -> usize {
        size_of_val(self.wheels.as_slice())
            + size_of_val(self.cells.as_slice())
            + size_of_val(self.emitters.as_slice())
            + size_of_val(self.curved.as_slice())
    }

    /// Since when it acts on the loss of the signal.
    pub fn lost_since_s(&self) -> Option<f64> {
        self.lost_since_s
    }
}
