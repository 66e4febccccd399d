//! How a single value follows what is asked: at once, at a steady rate, or as a first-order lag.

/// How a value follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// At once.
    Step,
    /// At a steady rate, in its own unit a second.
    Rate(f64),
    /// As a first-order lag: what is left to go falls to 1/e in every time constant. It never quite
    /// arrives; within one part in a thousand million it is called there.
    Lag {
        /// Time constant of a rise, in seconds.
        rise_s: f64,
        /// Time constant of a fall, in seconds.
        fall_s: f64,
    },
}

impl Law {
    /// At a steady rate that takes `whole_s` for `span`; at once for a time of 0.
    pub fn travel(span: f64, whole_s: f64) -> Self {
        let rate = span.abs() / whole_s;
        if rate.is_finite() && rate > 0.0 { Self::Rate(rate) } else { Self::Step }
    }
}

/// How near to the end a lag counts as there, and what time that takes in time constants.
const THERE: f64 = 1e-9;
const THERE_TAUS: f64 = 20.723_265_836_946_41;

/// A value on its way from one level to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Response {
    start_s: f64,
    from: f64,
    to: f64,
    law: Law,
}

impl Response {
    /// A value that stands.
    pub fn at_rest(value: f64) -> Self {
        Self { start_s: 0.0, from: value, to: value, law: Law::Step }
    }

    /// Sends it on from wherever it is. An ask that is the same as before changes nothing.
    pub fn ask(&mut self, t_s: f64, to: f64, law: Law) {
        if to == self.to || !to.is_finite() {
            return;
        }
        *self = Self { start_s: t_s, from: self.at(t_s), to, law };
    }

    /// Time constant of this way, for a lag.
    fn tau_s(&self, rise_s: f64, fall_s: f64) -> f64 {
        if self.to >= self.from { rise_s } else { fall_s }
    }

    /// The value at a time from the last ask on.
    pub fn at(&self, t_s: f64) -> f64 {
        if self.from == self.to {
            return self.to;
        }
        let on_s = (t_s - self.start_s).max(0.0);
        let change = self.to - self.from;
        match self.law {
            Law::Step => self.to,
            Law::Rate(rate) => {
                let gone = rate * on_s;
                // Rounding must not keep it from being there when it says.
                let there = gone >= change.abs() || t_s >= self.end_s();
                if there { self.to } else { self.from + gone.copysign(change) }
            }
            Law::Lag { rise_s, fall_s } => {
                let left = (-on_s / self.tau_s(rise_s, fall_s)).exp();
                // A time constant of 0 leaves 0 / 0 at the very start.
                if left > THERE { self.to - change * left } else { self.to }
            }
        }
    }

    /// When it arrives.
    pub fn end_s(&self) -> f64 {
        let change = (self.to - self.from).abs();
        if change == 0.0 {
            return self.start_s;
        }
        self.start_s
            + match self.law {
                Law::Step => 0.0,
                Law::Rate(rate) => change / rate,
                Law::Lag { rise_s, fall_s } => THERE_TAUS * self.tau_s(rise_s, fall_s),
            }
    }

    /// Its mean over an interval from the last ask on, in closed form.
    pub fn mean(&self, from_s: f64, to_s: f64) -> f64 {
        let (a, b) = ((from_s - self.start_s).max(0.0), (to_s - self.start_s).max(0.0));
        if b - a <= 0.0 {
            return self.at(to_s);
        }
        let change = self.to - self.from;
        if change == 0.0 {
            return self.to;
        }
        // What is left to go, summed up from the start until a time.
        let sum_left = |on_s: f64| match self.law {
            Law::Step => 0.0,
            Law::Rate(rate) => {
                let all_s = change.abs() / rate;
                let s = on_s.min(all_s);
                change * (s - s * s / (2.0 * all_s))
            }
            Law::Lag { rise_s, fall_s } => {
                let tau = self.tau_s(rise_s, fall_s);
                if tau > 0.0 { change * tau * -(-on_s / tau).exp_m1() } else { 0.0 }
            }
        };
        self.to - (sum_left(b) - sum_left(a)) / (b - a)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, expected: f64) {
        assert!((got - expected).abs() < 1e-9, "{got} is not {expected}");
    }

    #[test]
    fn a_steady_rate_arrives_when_it_says() {
        let mut zoom = Response::at_rest(8.0);
        zoom.ask(2.0, 40.0, Law::travel(32.0, 0.8));
        near(zoom.end_s(), 2.8);
        near(zoom.at(2.4), 24.0);
        assert_eq!(zoom.at(2.8), 40.0);
        near(zoom.mean(2.0, 2.8), 24.0);
        near(zoom.mean(2.0, 3.6), 32.0);
        // Turned round half way, it takes as long back.
        zoom.ask(2.4, 8.0, Law::travel(32.0, 0.8));
        near(zoom.end_s(), 2.8);
    }

    #[test]
    fn a_lag_has_the_mean_of_its_exponential() {
        let mut glow = Response::at_rest(0.0);
        glow.ask(0.0, 1.0, Law::Lag { rise_s: 0.5, fall_s: 1.0 });
        near(glow.mean(0.0, 0.5), 1.0 - (1.0 - (-1.0f64).exp()));
        assert_eq!(glow.at(0.5 * 25.0), 1.0);
    }

    #[test]
    fn no_time_means_at_once() {
        for law in [Law::travel(1.0, 0.0), Law::Lag { rise_s: 0.0, fall_s: 0.0 }] {
            let mut value = Response::at_rest(0.0);
            value.ask(1.0, 1.0, law);
            assert_eq!((value.at(1.0), value.end_s(), value.mean(1.0, 2.0)), (1.0, 1.0, 1.0));
        }
    }
}
