//! How what stands in a wheel's slot is turned over time: to an angle, or without end.

use super::axis::wrapped;
use super::wheel::toward;
use crate::decode::TurnAsk;

/// Degrees a second of one revolution a minute.
const DEG_S_PER_RPM: f64 = 6.0;

/// The angle of what stands in a wheel's slot over time. It turns to an angle at a steady rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TurnMotion {
    ask: TurnAsk,
    start_s: f64,
    from_deg: f64,
    /// It turned without end since it last was sent to an angle, so that whole turns mean nothing.
    unwound: bool,
}

impl TurnMotion {
    /// Standing at an angle.
    pub fn at_rest(deg: f64) -> Self {
        Self { ask: TurnAsk::Unasked, start_s: 0.0, from_deg: deg, unwound: false }
    }

    /// Takes a new ask from `t_s` on. One that is the same as before changes nothing.
    pub fn ask(&mut self, t_s: f64, ask: TurnAsk, rate_deg_s: f64) {
        if ask == self.ask || ask == TurnAsk::Unasked {
            return;
        }
        let mut from_deg = self.raw(t_s, rate_deg_s);
        match ask {
            TurnAsk::To { deg } if self.unwound => {
                // Every whole turn is the same place: it goes to the nearest.
                from_deg -= ((from_deg - deg) / 360.0).round() * 360.0;
                self.unwound = false;
            }
            TurnAsk::Spin { .. } => self.unwound = true,
            _ => {}
        }
        (self.ask, self.start_s, self.from_deg) = (ask, t_s, from_deg);
    }

    fn raw(&self, t_s: f64, rate_deg_s: f64) -> f64 {
        let on_s = (t_s - self.start_s).max(0.0);
        match self.ask {
            TurnAsk::To { deg } => toward(self.from_deg, deg, rate_deg_s * on_s),
            TurnAsk::Spin { rpm } => self.from_deg + DEG_S_PER_RPM * rpm * on_s,
            TurnAsk::Unasked | TurnAsk::Stay => self.from_deg,
        }
    }

    /// The angle in degrees; within half a turn of 0 once it turned without end.
    pub fn deg(&self, t_s: f64, rate_deg_s: f64) -> f64 {
        let deg = self.raw(t_s, rate_deg_s);
        if self.unwound { wrapped(deg) } else { deg }
    }

    /// Revolutions a minute while it turns without end.
    pub fn spin_rpm(&self) -> f64 {
        if let TurnAsk::Spin { rpm } = self.ask { rpm } else { 0.0 }
    }

    /// When it reaches the angle it was asked to; `None` where it was asked to none.
    pub fn arrives_s(&self, rate_deg_s: f64) -> Option<f64> {
        match self.ask {
            TurnAsk::To { deg } => Some(self.start_s + (deg - self.from_deg).abs() / rate_deg_s),
            _ => None,
        }
    }
}
