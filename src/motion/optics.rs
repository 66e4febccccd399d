//! Zoom, focus, iris, frost and framing blades over time.

use super::assumed;
use super::lag::{Law, Response};
use super::laws::Laws;
use super::phase::Phase;
use super::pose::Pose;
use crate::decode::Asked;

/// Zoom, focus, iris, frost and framing blades over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Optics {
    /// `None` until a channel sets it.
    zoom_deg: Option<Response>,
    focus: Option<Response>,
    iris: Response,
    iris_pulse: Option<Phase>,
    frost: Response,
    /// Depth and angle of each.
    blades: [(Response, Response); 4],
    frame_turn_deg: Response,
}

impl Optics {
    /// Everything out of the light.
    pub fn at_rest() -> Self {
        let zero = Response::at_rest(0.0);
        Self {
            zoom_deg: None,
            focus: None,
            iris: Response::at_rest(1.0),
            iris_pulse: None,
            frost: zero,
            blades: [(zero, zero); 4],
            frame_turn_deg: zero,
        }
    }

    /// Takes a new ask from `t_s` on.
    pub fn ask(&mut self, t_s: f64, asked: &Asked, laws: &Laws) {
        ask_or_unset(&mut self.zoom_deg, t_s, asked.zoom_deg, laws.zoom);
        ask_or_unset(&mut self.focus, t_s, asked.focus, laws.focus);
        self.iris.ask(t_s, asked.iris.unwrap_or(1.0).clamp(0.0, 1.0), laws.iris);
        match (&mut self.iris_pulse, asked.iris_pulse_hz) {
            (Some(phase), Some(hz)) => phase.set_hz(t_s, hz),
            (pulse, hz) => *pulse = hz.map(|hz| Phase::start(t_s, hz)),
        }
        self.frost.ask(t_s, asked.frost.unwrap_or(0.0).clamp(0.0, 1.0), laws.frost);
        for ((depth, turn_deg), blade) in self.blades.iter_mut().zip(&asked.blades) {
            depth.ask(t_s, blade.depth.unwrap_or(0.0), laws.blade);
            turn_deg.ask(t_s, blade.turn_deg.unwrap_or(0.0), laws.blade_turn);
        }
        self.frame_turn_deg.ask(t_s, asked.frame_turn_deg.unwrap_or(0.0), laws.blade_turn);
    }

    /// Writes what they do into a pose.
    pub fn fill(&self, t_s: f64, pose: &mut Pose) {
        pose.zoom_deg = self.zoom_deg.map(|zoom| zoom.at(t_s));
        pose.focus = self.focus.map(|focus| focus.at(t_s));
        pose.iris = self.iris.at(t_s);
        if let Some(phase) = self.iris_pulse {
            // It closes and opens evenly, starting open.
            let (_, part) = phase.split(t_s);
            let open = (2.0 * part - 1.0).abs();
            let least = assumed::IRIS_PULSE_LEAST;
            pose.iris *= least + (1.0 - least) * open;
        }
        pose.frost = self.frost.at(t_s);
        pose.blades = self.blades.map(|(depth, turn_deg)| (depth.at(t_s), turn_deg.at(t_s)));
        pose.frame_turn_deg = self.frame_turn_deg.at(t_s);
    }

    /// Whether the iris opens and closes by itself.
    pub fn pulses(&self) -> bool {
        self.iris_pulse.is_some_and(|phase| phase.hz() != 0.0)
    }

    /// When all of them have arrived.
    pub fn end_s(&self) -> f64 {
        let blades = self.blades.iter().flat_map(|(depth, turn_deg)| [depth, turn_deg]);
        blades
            .chain([&self.iris, &self.frost, &self.frame_turn_deg])
            .chain(self.zoom_deg.iter())
            .chain(self.focus.iter())
            .map(Response::end_s)
            .fold(f64::NEG_INFINITY, f64::max)
    }
}

/// Sends on a value that may not be set. Once it is, it is there at once, since where it was is not
/// known; once it is not, it is as the profile has it.
pub(super) fn ask_or_unset(value: &mut Option<Response>, t_s: f64, to: Option<f64>, law: Law) {
    match (value, to) {
        (Some(value), Some(to)) => value.ask(t_s, to, law),
        (value, to) => *value = to.filter(|to| to.is_finite()).map(Response::at_rest),
    }
}
