//! What can be seen of a head beside its pose: from when on it stands, and what it was asked for in the
//! terms of its axes and of its channels.

use super::aimed::{aimed, switched, unaimed};
use super::axis::AxisMotion;
use super::cell::CellMotion;
use super::head::HeadMotion;
use super::lag::Response;
use super::lamp::LampState;
use super::pose::Pose;
use super::rig_motion::RigMotion;
use crate::decode::AxisAsk;
use crate::profile::effect::Switch;

impl HeadMotion {
    /// From when on nothing of it changes any more, but for the flashes of a shutter: infinite while
    /// something turns, trembles or pulses without end. Holds, a reset and a lamp that warms up or
    /// cools down count as changing.
    pub fn still_from_s(&self) -> f64 {
        if self.optics.pulses() {
            return f64::INFINITY;
        }
        let axes = self.axes.iter().map(AxisMotion::still_from_s);
        let limits = &self.model.wheels;
        let wheels = self.wheels.iter().zip(limits).map(|(part, l)| part.motion.still_from_s(l));
        let light = self.cells.iter().map(CellMotion::end_s);
        let emitters = self.emitters.iter().map(Response::end_s);
        let lamp_s = match self.lamp {
            LampState::Struck { lit_s } => lit_s,
            LampState::PutOut { cool_s } => cool_s,
            LampState::Ready | LampState::Unknown => f64::NEG_INFINITY,
        };
        let happens_s = if self.next_s.is_finite() { self.next_s } else { f64::NEG_INFINITY };
        axes.chain(wheels)
            .chain(light)
            .chain(emitters)
            .chain([self.optics.end_s(), lamp_s, happens_s])
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Whether pan or tilt moves at a time, or is about to: on its way somewhere, slowing down, or turning
    /// without end.
    pub fn aims(&self, t_s: f64) -> bool {
        self.axes.iter().any(|axis| axis.moves(t_s) || axis.spin_rpm(t_s) != 0.0)
    }

    /// What its pan and tilt axis were asked, after swap, invert and offset, and whatever a reset has
    /// them do meanwhile. `None` for a fixture that does not move.
    pub fn asked_of_axes(&self) -> Option<[AxisAsk; 2]> {
        let in_head = switched(&self.in_head, |switch| self.control.latched(switch));
        let wanted = (self.wanted.pan, self.wanted.tilt);
        aimed(&self.model.profile, &self.aim, &in_head, wanted)
    }

    /// What the pan and the tilt channel would ask of it to stand at these angles of its axes.
    pub fn as_channels_ask(&self, pan_deg: f64, tilt_deg: f64) -> (f64, f64) {
        let latched = |switch: Switch| self.control.latched(switch);
        let in_head = switched(&self.in_head, latched);
        unaimed(&self.model.profile, &self.aim, &in_head, (pan_deg, tilt_deg))
    }

    /// The same of these rates of its axes, in revolutions a minute.
    pub fn spins_as_channels_ask(&self, pan_rpm: f64, tilt_rpm: f64) -> [f64; 2] {
        let in_head = switched(&self.in_head, |switch| self.control.latched(switch));
        let turned = |rpm: f64, invert: bool| if invert { -rpm } else { rpm };
        let pan_rpm = turned(pan_rpm, self.aim.invert_pan != in_head.invert_pan);
        let tilt_rpm = turned(tilt_rpm, self.aim.invert_tilt != in_head.invert_tilt);
        match self.aim.swap != in_head.swap {
            true => [tilt_rpm, pan_rpm],
            false => [pan_rpm, tilt_rpm],
        }
    }

    /// What the dimmer of a cell, counted from 0, lets through, 0..1.
    pub fn dimmer(&self, cell: usize, t_s: f64) -> Option<f64> {
        Some(self.cells.get(cell)?.level(t_s))
    }

    /// What the shutter of a cell, counted from 0, lets through at this instant, 0..1, and on average
    /// over its flashes. A reset, or anything else that keeps the light in, shuts it.
    pub fn shutter(&self, cell: usize, t_s: f64) -> Option<(f64, f64)> {
        let shutter = self.cells.get(cell)?.shutter(t_s);
        Some(if self.is_held_dark(t_s) { (0.0, 0.0) } else { shutter })
    }
}

impl RigMotion {
    /// What every fixture that is not yet where it was asked to point would do there, in the rig's order:
    /// its pose now with pan and tilt arrived. `poses` are those of now.
    pub fn poses_as_asked(&self, poses: &[Option<Pose>]) -> Vec<Option<Pose>> {
        let asked = |(i, pose): (usize, &Option<Pose>)| {
            let (pose, [pan, tilt]) = (pose.as_ref()?, self.head(i)?.asked_of_axes()?);
            let to = |ask: AxisAsk, now: f64| match ask {
                AxisAsk::To { deg } => deg,
                _ => now,
            };
            let (pan_deg, tilt_deg) = (to(pan, pose.pan_deg), to(tilt, pose.tilt_deg));
            let there = (pan_deg, tilt_deg) == (pose.pan_deg, pose.tilt_deg);
            (!there).then(|| Pose { pan_deg, tilt_deg, ..pose.clone() })
        };
        poses.iter().enumerate().map(asked).collect()
    }
}
