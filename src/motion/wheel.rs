//! A wheel over time: from slot to slot through what lies between, without end, trembling, at random.

use std::f64::consts::TAU;

use super::assumed;
use super::lag::toward;
use super::phase::{Phase, mixed};
use super::turn::TurnMotion;
use crate::decode::WheelPlace;
use crate::profile;

/// What a wheel can do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelLimits {
    /// How many slots it has, at least 1.
    pub slots: f64,
    /// Time from one slot to the next, in seconds.
    pub slot_s: f64,
    /// It goes the shorter way round; else it never passes from its last slot to its first.
    pub shortest: bool,
    /// Degrees a second at which what stands in a slot turns to an angle.
    pub turn_deg_s: f64,
}

impl WheelLimits {
    /// What a profile says of a wheel, or is assumed, and whether anything is.
    pub fn new(wheel: &profile::Wheel, turn_s: Option<f64>) -> (Self, bool) {
        // No wheel moves in no time: 0 is a figure that nobody measured.
        let given = |value: Option<f64>| value.filter(|v| v.is_finite() && *v > 0.0);
        let (slot_s, turn_s) = (given(wheel.move_s), given(turn_s));
        let limits = Self {
            slots: wheel.slots.len().max(1) as f64,
            slot_s: slot_s.unwrap_or(assumed::WHEEL_MOVE_S),
            shortest: wheel.shortest.unwrap_or(assumed::WHEEL_SHORTEST),
            turn_deg_s: 360.0 / turn_s.unwrap_or(assumed::TURN_S),
        };
        (limits, slot_s.is_none() || wheel.shortest.is_none())
    }

    /// How far it goes, with its direction, from one place to another, both from 0.
    fn distance(&self, from: f64, to: f64) -> f64 {
        let direct = to - from;
        let way = direct.abs();
        if !self.shortest || way < 0.5 * self.slots {
            direct
        } else if way < 1.5 * self.slots {
            direct - self.slots.copysign(direct)
        } else {
            direct - (direct / self.slots).round() * self.slots
        }
    }

    /// The longest way from any place to any slot, in slots.
    fn longest(&self) -> f64 {
        if self.shortest { self.slots / 2.0 } else { self.slots - 1.0 }.max(1.0)
    }

    /// Brings a place into 0..=slots; the end is left as it is, for a wheel asked to stand just there.
    fn wrapped(&self, x: f64) -> f64 {
        if (0.0..=self.slots).contains(&x) { x } else { x.rem_euclid(self.slots) }
    }
}

/// Seconds from one place of a wheel (from 1) to another by the shorter way round and by the way that
/// does not pass from the last slot to the first: where a profile does not say which a wheel takes, it
/// is one of these two.
pub fn both_ways_s(wheel: &profile::Wheel, from: f64, to: f64) -> (f64, f64) {
    let (limits, _) = WheelLimits::new(wheel, None);
    let of = |shortest| {
        WheelLimits { shortest, ..limits }.distance(from - 1.0, to - 1.0).abs() * limits.slot_s
    };
    (of(true), of(false))
}

/// A wheel over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelMotion {
    ask: WheelPlace,
    start_s: f64,
    /// Where it starts and ends, in slots from 0; the end may lie past either end of the wheel.
    from: f64,
    to: f64,
    /// Swings of a shake, changes at random.
    phase: Phase,
    /// The number of the random choice that cycle 0 of the phase is.
    choice: u64,
    seed: u64,
    /// How what stands in its slots is turned.
    pub turn: TurnMotion,
}

impl WheelMotion {
    /// A wheel that stands at a place, counted from 1.
    pub fn at_rest(place: f64, seed: u64) -> Self {
        Self {
            ask: WheelPlace::Unasked,
            start_s: 0.0,
            from: place - 1.0,
            to: place - 1.0,
            phase: Phase::start(0.0, 0.0),
            choice: 0,
            seed,
            turn: TurnMotion::at_rest(0.0),
        }
    }

    /// Takes a new ask from `t_s` on. One that is the same as before changes nothing.
    pub fn ask(&mut self, t_s: f64, ask: WheelPlace, wheel: &WheelLimits) {
        // Nothing asked any more lets a move end, and stops what would not.
        let ask = match (ask, self.ask) {
            (WheelPlace::Unasked, WheelPlace::At { .. } | WheelPlace::Unasked) => self.ask,
            (WheelPlace::Unasked, _) => WheelPlace::Stay,
            (ask, _) => ask,
        };
        if ask == self.ask {
            return;
        }
        let x = wheel.wrapped(self.x(t_s, wheel));
        match (ask, self.ask) {
            (WheelPlace::Shake { slot, hz }, WheelPlace::Shake { slot: before, .. })
                if slot == before =>
            {
                self.phase.set_hz(t_s, hz);
            }
            (WheelPlace::At { place }, _) if place.is_finite() => {
                self.travel(t_s, x, place - 1.0, wheel);
            }
            (WheelPlace::Shake { slot, hz }, _) => {
                self.travel(t_s, x, f64::from(slot) - 1.0, wheel);
                self.phase = Phase::start(self.travel_end_s(wheel), hz);
            }
            (WheelPlace::Random { hz }, before) => {
                // Never faster than it can make its longest change.
                let hz = hz.min(1.0 / (wheel.longest() * wheel.slot_s));
                if let WheelPlace::Random { .. } = before {
                    self.choice += self.phase.split(t_s).0;
                    self.phase = self.phase.in_this_cycle(t_s, hz);
                } else {
                    self.choice = 0;
                    self.phase = Phase::start(t_s, hz);
                }
                (self.start_s, self.from) = (t_s, x);
            }
            _ => (self.start_s, self.from, self.to) = (t_s, x, x),
        }
        self.ask = ask;
    }

    fn travel(&mut self, t_s: f64, from: f64, to: f64, wheel: &WheelLimits) {
        (self.start_s, self.from) = (t_s, from);
        self.to = from + wheel.distance(from, to);
    }

    fn travel_end_s(&self, wheel: &WheelLimits) -> f64 {
        self.start_s + (self.to - self.from).abs() * wheel.slot_s
    }

    /// Where it is, in slots from 0, not brought back onto the wheel.
    fn x(&self, t_s: f64, wheel: &WheelLimits) -> f64 {
        let on_s = (t_s - self.start_s).max(0.0);
        match self.ask {
            WheelPlace::Scroll { rpm } => self.from + rpm / 60.0 * wheel.slots * on_s,
            WheelPlace::Random { .. } => self.x_at_random(t_s, wheel),
            WheelPlace::Shake { .. } => {
                let swing = assumed::SHAKE_SLOTS * (TAU * self.phase.at(t_s)).sin();
                toward(self.from, self.to, on_s / wheel.slot_s) + swing
            }
            WheelPlace::Unasked | WheelPlace::Stay | WheelPlace::At { .. } => {
                toward(self.from, self.to, on_s / wheel.slot_s)
            }
        }
    }

    fn x_at_random(&self, t_s: f64, wheel: &WheelLimits) -> f64 {
        let chosen = |cycle: u64| {
            let n = mixed(self.seed, self.choice.wrapping_add(cycle));
            (n % (wheel.slots as u64).max(1)) as f64
        };
        let (cycle, part) = self.phase.split(t_s);
        let (from, on_s) = match cycle.checked_sub(1) {
            None => (self.from, t_s - self.start_s),
            Some(before) => (chosen(before), part / self.phase.hz()),
        };
        let to = from + wheel.distance(from, chosen(cycle));
        toward(from, to, on_s.max(0.0) / wheel.slot_s)
    }

    /// The place, from 1, below 1 + slots unless it was asked to stand just there.
    pub fn place(&self, t_s: f64, wheel: &WheelLimits) -> f64 {
        match self.ask {
            WheelPlace::At { place } if t_s >= self.travel_end_s(wheel) => place,
            _ => 1.0 + wheel.wrapped(self.x(t_s, wheel)),
        }
    }

    /// Revolutions a minute while it turns without end.
    pub fn scroll_rpm(&self) -> f64 {
        if let WheelPlace::Scroll { rpm } = self.ask { rpm } else { 0.0 }
    }

    /// Swings a second while it trembles.
    pub fn shake_hz(&self) -> f64 {
        if let WheelPlace::Shake { hz, .. } = self.ask { hz } else { 0.0 }
    }

    /// When it reaches the place it was asked to; `None` where it was asked to no place.
    pub fn arrives_s(&self, wheel: &WheelLimits) -> Option<f64> {
        match self.ask {
            WheelPlace::At { .. } | WheelPlace::Shake { .. } => Some(self.travel_end_s(wheel)),
            _ => None,
        }
    }

    /// From when on it and what stands in its slot stand; infinite while either turns, trembles or
    /// changes at random.
    pub fn still_from_s(&self, wheel: &WheelLimits) -> f64 {
        let endless = match self.ask {
            WheelPlace::Scroll { rpm } => rpm != 0.0,
            WheelPlace::Shake { hz, .. } | WheelPlace::Random { hz } => hz != 0.0,
            WheelPlace::Unasked | WheelPlace::Stay | WheelPlace::At { .. } => false,
        };
        if endless || self.turn.spin_rpm() != 0.0 {
            return f64::INFINITY;
        }
        let turned_s = self.turn.arrives_s(wheel.turn_deg_s).unwrap_or(f64::NEG_INFINITY);
        self.travel_end_s(wheel).max(turned_s)
    }

    /// Whether it is on its way to a place.
    pub fn moves(&self, t_s: f64, wheel: &WheelLimits) -> bool {
        self.arrives_s(wheel).is_some_and(|end_s| t_s < end_s)
    }
}
