//! Zoom, focus, iris, frost and framing blades over time.

use super::assumed;
use super::lag::{Law, Response};
use super::laws::Laws;
use super::phase::Phase;
use super::pose::Pose;
use crate::decode::Asked;
use crate::decode::parts::Parts;

/// Where zoom, focus, iris, frost and framing blades are to go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OpticsGoal {
    zoom_deg: Option<f64>,
    focus: Option<f64>,
    iris: f64,
    iris_pulse_hz: Option<f64>,
    frost: f64,
    /// Depth and angle of each.
    blades: [(f64, f64); 4],
    frame_turn_deg: f64,
}

impl OpticsGoal {
    /// Everything out of the light.
    const OUT: Self = Self {
        zoom_deg: None,
        focus: None,
        iris: 1.0,
        iris_pulse_hz: None,
        frost: 0.0,
        blades: [(0.0, 0.0); 4],
        frame_turn_deg: 0.0,
    };
}

/// Zoom, focus, iris, frost and framing blades over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Optics {
    /// What is asked of them, which a reset keeps waiting.
    wanted: OpticsGoal,
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
            wanted: OpticsGoal::OUT,
            zoom_deg: None,
            focus: None,
            iris: Response::at_rest(1.0),
            iris_pulse: None,
            frost: zero,
            blades: [(zero, zero); 4],
            frame_turn_deg: zero,
        }
    }

    /// Notes what is asked of some of them.
    pub(super) fn want(&mut self, asked: &Asked, parts: Parts) {
        let wanted = &mut self.wanted;
        if parts.meet(Parts::ZOOM) {
            wanted.zoom_deg = asked.zoom_deg;
        }
        if parts.meet(Parts::FOCUS) {
            wanted.focus = asked.focus;
        }
        if parts.meet(Parts::IRIS) {
            wanted.iris = asked.iris.unwrap_or(1.0).clamp(0.0, 1.0);
            wanted.iris_pulse_hz = asked.iris_pulse_hz;
        }
        if parts.meet(Parts::FROST) {
            wanted.frost = asked.frost.unwrap_or(0.0).clamp(0.0, 1.0);
        }
        if parts.meet(Parts::BLADES) {
            wanted.blades = asked
                .blades
                .map(|blade| (blade.depth.unwrap_or(0.0), blade.turn_deg.unwrap_or(0.0)));
            wanted.frame_turn_deg = asked.frame_turn_deg.unwrap_or(0.0);
        }
    }

    /// Sends some of them on from `t_s`: where they are wanted, or home, which is out of the light, and
    /// for zoom and focus where `rest` has them.
    pub(super) fn send(&mut self, t_s: f64, home: Option<&Asked>, laws: &Laws, parts: Parts) {
        let Self { wanted, zoom_deg, focus, iris, iris_pulse, frost, blades, frame_turn_deg } =
            self;
        let at_home;
        let goal = match home {
            None => &*wanted,
            Some(rest) => {
                at_home = OpticsGoal {
                    zoom_deg: rest.zoom_deg.or(wanted.zoom_deg),
                    focus: rest.focus.or(wanted.focus),
                    ..OpticsGoal::OUT
                };
                &at_home
            }
        };
        if parts.meet(Parts::ZOOM) {
            ask_or_unset(zoom_deg, t_s, goal.zoom_deg, laws.zoom);
        }
        if parts.meet(Parts::FOCUS) {
            ask_or_unset(focus, t_s, goal.focus, laws.focus);
        }
        if parts.meet(Parts::IRIS) {
            iris.ask(t_s, goal.iris, laws.iris);
            match (iris_pulse, goal.iris_pulse_hz) {
                (Some(phase), Some(hz)) => phase.set_hz(t_s, hz),
                (pulse, hz) => *pulse = hz.map(|hz| Phase::start(t_s, hz)),
            }
        }
        if parts.meet(Parts::FROST) {
            frost.ask(t_s, goal.frost, laws.frost);
        }
        if parts.meet(Parts::BLADES) {
            for ((depth, turn_deg), (to_depth, to_deg)) in blades.iter_mut().zip(goal.blades) {
                depth.ask(t_s, to_depth, laws.blade);
                turn_deg.ask(t_s, to_deg, laws.blade_turn);
            }
            frame_turn_deg.ask(t_s, goal.frame_turn_deg, laws.blade_turn);
        }
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
