//! A sweep: one channel run from 0 to its greatest value, at a pace.
//!
//! Time is an argument. What the values do to the slots is in [`sweeping`](super::sweeping).

use serde::{Deserialize, Serialize};

use crate::decode::sweep::{Stop, boundary_after, boundary_before, share_of, stop_of, value_at};

/// The shortest time that a sweep stays in one range, in seconds. Ranges may go dark and light by
/// turns, and no more than three flashes a second may come of it (WCAG 2.2, 2.3.1): six changes.
pub const LEAST_STAY_S: f64 = 1.0 / 6.0;

/// The longest stretch of time that is taken at once, in seconds: a window that was covered goes on
/// from where it stood.
const MOST_AT_ONCE_S: f64 = 0.25;

/// How many steps may wait for their turn.
const MOST_WAITING: i32 = 2;

/// How long the whole channel takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Pace {
    /// 5 s.
    Five,
    /// 10 s.
    #[default]
    Ten,
    /// 20 s.
    Twenty,
    /// 60 s.
    Sixty,
}

impl Pace {
    /// Every pace, the fastest first.
    pub const ALL: [Self; 4] = [Self::Five, Self::Ten, Self::Twenty, Self::Sixty];

    /// The time for the whole channel, in seconds.
    pub fn seconds(self) -> f64 {
        match self {
            Self::Five => 5.0,
            Self::Ten => 10.0,
            Self::Twenty => 20.0,
            Self::Sixty => 60.0,
        }
    }

    /// The next slower one; after the slowest comes the fastest.
    pub fn next(self) -> Self {
        let at = Self::ALL.iter().position(|pace| *pace == self).unwrap_or(0);
        Self::ALL[(at + 1) % Self::ALL.len()]
    }
}

/// Where a sweep stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// The value goes on by itself.
    pub running: bool,
    stops: Vec<Stop>,
    max: u32,
    /// How far it is, from 0 to 1.
    share: f64,
    /// How long it has been in the range it is in, in seconds.
    stayed_s: f64,
    /// Steps to boundaries that wait, forward or back.
    waiting: i32,
}

impl Sweep {
    /// Begins at 0, on its way. `stops` are those of the channel, `max` its greatest value.
    pub fn new(stops: Vec<Stop>, max: u32) -> Self {
        Self { running: true, stops, max, share: 0.0, stayed_s: 0.0, waiting: 0 }
    }

    /// The value, at full resolution.
    pub fn value(&self) -> u32 {
        value_at(self.share, self.max)
    }

    /// How far it is, from 0 to 1.
    pub fn share(&self) -> f64 {
        self.share
    }

    /// The stop it is in.
    pub fn stop(&self) -> Option<Stop> {
        stop_of(&self.stops, self.value())
    }

    /// Which stop of how many it is in, from 1.
    pub fn place(&self) -> (usize, usize) {
        let value = self.value();
        let begun = self.stops.iter().take_while(|stop| stop.first <= value).count();
        (begun, self.stops.len())
    }

    /// Whether time changes anything.
    pub fn goes_on(&self) -> bool {
        self.running || self.waiting != 0
    }

    /// Stands still, or goes on; at the end it begins again.
    pub fn toggle(&mut self) {
        self.running = !self.running;
        if self.running && self.share >= 1.0 {
            self.go_to(0.0);
        }
    }

    /// Lets time pass. Whether that changed the value.
    pub fn advance(&mut self, passed_s: f64, pace: Pace) -> bool {
        let before = self.value();
        let passed_s = passed_s.clamp(0.0, MOST_AT_ONCE_S);
        self.stayed_s += passed_s;
        if self.waiting != 0 {
            if self.stayed_s >= LEAST_STAY_S {
                let forward = self.waiting > 0;
                self.waiting -= self.waiting.signum();
                self.step_now(forward);
            }
        } else if self.running {
            self.run(self.share + passed_s / pace.seconds());
        }
        self.value() != before
    }

    fn run(&mut self, to: f64) {
        let Some(stop) = self.stop() else { return };
        if to >= 1.0 && stop.last == self.max {
            self.share = 1.0;
            self.running = false;
        } else if value_at(to, self.max) <= stop.last {
            self.share = to;
        } else if self.stayed_s >= LEAST_STAY_S {
            // No range is left out, however fast they follow each other.
            self.go_to(share_of(stop.last + 1, self.max));
        } else {
            self.share = share_of(stop.last, self.max);
        }
    }

    /// Goes to the next boundary of a range or to the last one, and stands there. A key that repeats
    /// must not make light flash either: a step that comes too soon waits.
    pub fn step(&mut self, forward: bool) {
        self.running = false;
        if self.stayed_s >= LEAST_STAY_S && self.waiting == 0 {
            self.step_now(forward);
        } else {
            let by = if forward { 1 } else { -1 };
            self.waiting = (self.waiting + by).clamp(-MOST_WAITING, MOST_WAITING);
        }
    }

    fn step_now(&mut self, forward: bool) {
        let to = match forward {
            true => boundary_after(&self.stops, self.value()),
            false => boundary_before(&self.stops, self.value()),
        };
        if let Some(to) = to {
            self.go_to(share_of(to, self.max));
        }
    }

    fn go_to(&mut self, share: f64) {
        self.share = share;
        self.stayed_s = 0.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed, open, and the rest.
    fn sweep() -> Sweep {
        let stop = |first, last, range| Stop { first, last, range };
        Sweep::new(vec![stop(0, 15, Some(0)), stop(16, 31, Some(1)), stop(32, 255, None)], 255)
    }

    /// Runs in steps until it stands, and gives the time that took in seconds and every value shown.
    fn run(sweep: &mut Sweep, pace: Pace, step_s: f64) -> (f64, Vec<u32>) {
        let (mut t_s, mut values) = (0.0, vec![sweep.value()]);
        while sweep.goes_on() && t_s < 1000.0 {
            t_s += step_s;
            if sweep.advance(step_s, pace) {
                values.push(sweep.value());
            }
        }
        (t_s, values)
    }

    #[test]
    fn it_runs_from_0_to_255_in_the_time_chosen_and_stands_there() {
        for pace in Pace::ALL {
            let (t_s, values) = run(&mut sweep(), pace, 0.01);
            assert!((t_s - pace.seconds()).abs() < 0.05, "{t_s} s for {pace:?}");
            assert_eq!((values.first(), values.last()), (Some(&0), Some(&255)));
            assert!(values.windows(2).all(|pair| pair[0] < pair[1]));
            assert_eq!(values.len(), 256, "at steps of 10 ms every value is shown");
        }
    }

    #[test]
    fn no_range_is_left_out_and_none_changes_more_than_six_times_a_second() {
        // WCAG 2.2, 2.3.1: no more than three flashes in any second. Here every value is another range.
        let stops = (0..=255).map(|v| Stop { first: v, last: v, range: Some(v as usize) });
        for step_s in [0.004, 1.0 / 60.0, 0.25, 3.0] {
            let mut sweep = Sweep::new(stops.clone().collect(), 255);
            let (t_s, values) = run(&mut sweep, Pace::Five, step_s);
            assert_eq!(values, (0..=255).collect::<Vec<u32>>());
            let t_s = if step_s > MOST_AT_ONCE_S { t_s / step_s * MOST_AT_ONCE_S } else { t_s };
            assert!(t_s >= 255.0 * LEAST_STAY_S - 1e-6, "{t_s} s");
        }
    }

    #[test]
    fn steps_go_to_boundaries_and_a_repeating_key_waits_for_its_turn() {
        let mut sweep = sweep();
        sweep.advance(0.2, Pace::Ten);
        sweep.step(true);
        assert_eq!((sweep.value(), sweep.running, sweep.place()), (16, false, (2, 3)));
        sweep.step(true);
        assert_eq!(sweep.value(), 16, "too soon");
        assert!(sweep.goes_on());
        sweep.advance(0.2, Pace::Ten);
        assert_eq!(sweep.value(), 32);
        for _ in 0..100 {
            sweep.step(false);
        }
        let (_, values) = run(&mut sweep, Pace::Ten, 0.05);
        assert_eq!(values, [32, 16, 0]);
    }

    #[test]
    fn it_pauses_goes_on_and_begins_again_after_the_end() {
        let mut sweep = sweep();
        for _ in 0..40 {
            sweep.advance(0.1, Pace::Ten);
        }
        sweep.toggle();
        let value = sweep.value();
        assert!(!sweep.advance(0.2, Pace::Ten) && sweep.value() == value && value > 90);
        sweep.toggle();
        run(&mut sweep, Pace::Five, 0.1);
        assert_eq!(sweep.value(), 255);
        sweep.toggle();
        assert_eq!((sweep.value(), sweep.running), (0, true));
    }

    #[test]
    fn a_wide_channel_is_swept_at_full_resolution() {
        let stop = Stop { first: 0, last: u32::MAX, range: Some(0) };
        let mut sweep = Sweep::new(vec![stop], u32::MAX);
        let (_, values) = run(&mut sweep, Pace::Sixty, 0.02);
        assert!(values.len() > 2900 && values.iter().any(|value| value & 0xff != 0));
        assert_eq!(values.last(), Some(&u32::MAX));
    }

    #[test]
    fn a_window_that_was_covered_goes_on_from_where_it_stood() {
        let mut sweep = sweep();
        sweep.advance(3600.0, Pace::Five);
        assert!(sweep.value() < 16);
    }
}
