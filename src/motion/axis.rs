//! An axis of aim over time: positions, spins, speeds.

use super::assumed;
use super::course::{Course, Limits, stops_at};
use crate::decode::{AimSpeed, AxisAsk};
use crate::profile;

/// Degrees a second of one revolution a minute.
const DEG_S_PER_RPM: f64 = 6.0;

/// What an axis can do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisLimits {
    /// Top speed and acceleration.
    pub limits: Limits,
    /// Half the travel between the end stops; infinite where there are none.
    pub half_travel_deg: f64,
    /// It can turn without end.
    pub endless: bool,
    /// Where a reset finds its ends, to either side of the middle.
    pub home_deg: f64,
}

impl AxisLimits {
    /// What a profile says of an axis, or is assumed, and whether anything is.
    pub fn new(axis: &profile::Axis) -> (Self, bool) {
        let given = |value: Option<f64>| value.filter(|v| v.is_finite() && *v > 0.0);
        let (speed, accel) = (given(axis.speed_deg_s), given(axis.accel_deg_s2));
        let limits = Limits {
            speed_deg_s: speed.unwrap_or(assumed::AXIS_SPEED_DEG_S),
            accel_deg_s2: accel.unwrap_or(assumed::AXIS_ACCEL_DEG_S2),
        };
        let travel_deg = given(Some(axis.travel_deg));
        let half_travel_deg = match travel_deg {
            Some(travel_deg) if !axis.endless => travel_deg / 2.0,
            _ => f64::INFINITY,
        };
        let home_deg = travel_deg.unwrap_or(0.0) / 2.0;
        let axis = Self { limits, half_travel_deg, endless: axis.endless, home_deg };
        (axis, speed.is_none() || accel.is_none())
    }

    /// What is asked, kept within the travel. An axis that cannot turn without end stays where it is.
    fn kept(&self, ask: AxisAsk) -> AxisAsk {
        match ask {
            AxisAsk::To { deg } => {
                AxisAsk::To { deg: deg.clamp(-self.half_travel_deg, self.half_travel_deg) }
            }
            AxisAsk::Spin { .. } if !self.endless => AxisAsk::Stay,
            ask => ask,
        }
    }
}

/// One axis over time. A new ask takes over from wherever the axis is, at whatever speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisMotion {
    ask: AxisAsk,
    speed: AimSpeed,
    /// When the target was set: a time for the move counts from here.
    since_s: f64,
    course: Course,
    /// It has turned without end since it last stood at a position, so that whole turns mean nothing.
    unwound: bool,
}

impl AxisMotion {
    /// An axis that stands.
    pub fn at_rest(t_s: f64, deg: f64) -> Self {
        Self {
            ask: AxisAsk::Unasked,
            speed: AimSpeed::Unasked,
            since_s: t_s,
            course: Course::rest(t_s, deg),
            unwound: false,
        }
    }

    /// Takes a new ask from `t_s` on. One that is the same as before changes nothing.
    pub fn ask(&mut self, t_s: f64, ask: AxisAsk, speed: AimSpeed, axis: &AxisLimits) {
        let ask = axis.kept(ask);
        if ask == self.ask && speed == self.speed {
            return;
        }
        if ask != self.ask {
            self.since_s = t_s;
        }
        let from = self.course.at(t_s);
        let accel = axis.limits.accel_deg_s2;
        match ask {
            AxisAsk::To { deg } if deg.is_finite() => {
                self.course = self.course_to(t_s, from, deg, speed, axis);
                self.unwound = false;
            }
            AxisAsk::Spin { rpm } if rpm.is_finite() => {
                self.course = Course::to_speed(t_s, from, rpm * DEG_S_PER_RPM, accel);
                self.unwound = true;
            }
            AxisAsk::To { .. } | AxisAsk::Spin { .. } | AxisAsk::Stay => {
                self.course = Course::brake(t_s, from, accel);
            }
            // Nothing is asked any more: a move that was begun is finished, a turn without end is not.
            AxisAsk::Unasked if matches!(self.ask, AxisAsk::Spin { .. }) => {
                self.course = Course::brake(t_s, from, accel);
            }
            AxisAsk::Unasked => {}
        }
        (self.ask, self.speed) = (ask, speed);
    }

    fn course_to(
        &self,
        t_s: f64,
        from: (f64, f64),
        deg: f64,
        speed: AimSpeed,
        axis: &AxisLimits,
    ) -> Course {
        let mut from = from;
        if self.unwound {
            // After turning without end every whole turn is the same place: it goes to the nearest.
            let turns = ((stops_at(from, axis.limits.accel_deg_s2) - deg) / 360.0).round();
            from.0 -= turns * 360.0;
        }
        let top = axis.limits.speed_deg_s;
        // One call for every way of saying how fast, so that the compiler lays out one course.
        let speed_deg_s = match speed {
            AimSpeed::Unasked | AimSpeed::Follow => top,
            AimSpeed::Rate { deg_s } => deg_s.clamp(0.0, top),
            AimSpeed::Share { share } => share.clamp(0.0, 1.0) * top,
            AimSpeed::Time { s } => {
                let left_s = self.since_s + s - t_s;
                return Course::in_time(t_s, from, deg, left_s, axis.limits);
            }
        };
        Course::to(t_s, from, deg, Limits { speed_deg_s, ..axis.limits })
    }

    /// Position in degrees and speed in degrees a second.
    pub fn at(&self, t_s: f64) -> (f64, f64) {
        let (deg, deg_s) = self.course.at(t_s);
        if self.unwound { (wrapped(deg), deg_s) } else { (deg, deg_s) }
    }

    /// Revolutions a minute while it is asked to turn without end, else 0.
    pub fn spin_rpm(&self, t_s: f64) -> f64 {
        match self.ask {
            AxisAsk::Spin { .. } => self.course.at(t_s).1 / DEG_S_PER_RPM,
            _ => 0.0,
        }
    }

    /// When it comes to rest where it was asked to; `None` where it is not going to a position, or is
    /// given no speed to get there.
    pub fn arrives_s(&self) -> Option<f64> {
        match (self.ask, self.course.rest_deg()) {
            (AxisAsk::To { deg }, Some(rest)) if (rest - deg).abs() < 1e-9 => {
                Some(self.course.end_s())
            }
            _ => None,
        }
    }

    /// From when on it stands; infinite while it turns without end.
    pub fn still_from_s(&self) -> f64 {
        match self.ask {
            AxisAsk::Spin { rpm } if rpm != 0.0 => f64::INFINITY,
            _ => self.course.end_s(),
        }
    }

    /// Whether it is on its way to a position, or slowing down: not while it turns without end.
    pub fn moves(&self, t_s: f64) -> bool {
        t_s < self.course.end_s() && !matches!(self.ask, AxisAsk::Spin { .. })
    }
}

/// An angle brought to -180 (left out) .. 180 degrees.
pub(super) fn wrapped(deg: f64) -> f64 {
    -((180.0 - deg).rem_euclid(360.0) - 180.0)
}
