//! A shutter over time: shut, open, and flashes whose phase is tied to time.

use super::assumed;
use super::phase::{Phase, mixed_share};
use super::pose::Flash;
use crate::decode::ShutterAsk;
use crate::profile::{Shape, Timing};

/// A shutter over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShutterMotion {
    ask: ShutterAsk,
    phase: Phase,
    seed: u64,
}

impl ShutterMotion {
    /// An open shutter. The same seed gives the same random flashes.
    pub fn open(seed: u64) -> Self {
        Self { ask: ShutterAsk::Open, phase: Phase::start(0.0, 0.0), seed }
    }

    /// Takes a new ask from `t_s` on. A change of rate, shape or timing goes on from the same phase;
    /// the first flash starts at once.
    pub fn ask(&mut self, t_s: f64, ask: ShutterAsk) {
        if let ShutterAsk::Flash { hz, .. } = ask {
            if matches!(self.ask, ShutterAsk::Flash { .. }) {
                self.phase.set_hz(t_s, hz);
            } else {
                self.phase = Phase::start(t_s, hz);
            }
        }
        self.ask = ask;
    }

    /// The flashes it is asked for.
    pub fn flash(&self) -> Option<Flash> {
        match self.ask {
            ShutterAsk::Flash { hz, shape, timing } => Some(Flash { hz, shape, timing }),
            _ => None,
        }
    }

    /// Share of the light that it lets through at this instant.
    pub fn at(&self, t_s: f64) -> f64 {
        match self.ask {
            ShutterAsk::Unasked | ShutterAsk::Open => 1.0,
            ShutterAsk::Shut => 0.0,
            ShutterAsk::Flash { shape, timing, .. } => {
                let (cycle, part) = self.phase.split(t_s);
                let Some((from, width)) = self.flash_of(cycle, shape, timing) else { return 0.0 };
                let x = (part - from) / width;
                if (0.0..1.0).contains(&x) { course(shape, x) } else { 0.0 }
            }
        }
    }

    /// Mean share over whole cycles (over a whole burst and its pause).
    pub fn mean(&self) -> f64 {
        match self.ask {
            ShutterAsk::Unasked | ShutterAsk::Open => 1.0,
            ShutterAsk::Shut => 0.0,
            ShutterAsk::Flash { shape, timing, .. } => assumed::mean_light(shape, timing),
        }
    }

    /// Mean share over an interval after the last ask, in closed form.
    pub fn mean_over(&self, from_s: f64, to_s: f64) -> f64 {
        let ShutterAsk::Flash { shape, timing, .. } = self.ask else { return self.at(to_s) };
        let (a, b) = (self.phase.at(from_s), self.phase.at(to_s));
        if b - a <= 0.0 {
            return self.at(to_s);
        }
        (self.sum(b, shape, timing) - self.sum(a, shape, timing)) / (b - a)
    }

    /// Light summed up from cycle 0, in cycles of full light.
    fn sum(&self, cycles: f64, shape: Shape, timing: Timing) -> f64 {
        let (cycle, part) = (cycles as u64, cycles - cycles.floor());
        let of_a_flash = sum_to(shape, 1.0);
        let whole = match timing {
            Timing::Even | Timing::Random => cycle,
            Timing::Burst => {
                let group = assumed::BURST_FLASHES + assumed::BURST_PAUSE;
                let in_group = (cycle % group).min(assumed::BURST_FLASHES);
                cycle / group * assumed::BURST_FLASHES + in_group
            }
        };
        let in_this = self.flash_of(cycle, shape, timing).map_or(0.0, |(from, width)| {
            width * sum_to(shape, ((part - from) / width).clamp(0.0, 1.0))
        });
        whole as f64 * width(shape, timing) * of_a_flash + in_this
    }

    /// Where in its cycle a flash begins and how wide it is, in cycles; `None` in a pause.
    fn flash_of(&self, cycle: u64, shape: Shape, timing: Timing) -> Option<(f64, f64)> {
        let width = width(shape, timing);
        match timing {
            Timing::Even => Some((0.0, width)),
            Timing::Random => Some((mixed_share(self.seed, cycle) * (1.0 - width), width)),
            Timing::Burst => {
                let in_group = cycle % (assumed::BURST_FLASHES + assumed::BURST_PAUSE);
                (in_group < assumed::BURST_FLASHES).then_some((0.0, width))
            }
        }
    }
}

/// How wide a flash is, in cycles. A random one takes part of its cycle and begins anywhere in the
/// rest, so that each cycle has one flash and the rate is the mean exactly.
fn width(shape: Shape, timing: Timing) -> f64 {
    match (shape, timing) {
        (Shape::Hard, _) => assumed::STROBE_DUTY,
        (_, Timing::Random) => assumed::RANDOM_SWELL,
        (_, Timing::Even | Timing::Burst) => 1.0,
    }
}

/// Light at `x`, 0..1, through a flash.
fn course(shape: Shape, x: f64) -> f64 {
    match shape {
        Shape::Hard => 1.0,
        Shape::Swell => 1.0 - (2.0 * x - 1.0).abs(),
        Shape::Opening => x,
        Shape::Closing => 1.0 - x,
    }
}

/// Light summed up until `x` through a flash, as a share of its width.
fn sum_to(shape: Shape, x: f64) -> f64 {
    match shape {
        Shape::Hard => x,
        Shape::Swell if x < 0.5 => x * x,
        Shape::Swell => 0.5 - (1.0 - x) * (1.0 - x),
        Shape::Opening => x * x / 2.0,
        Shape::Closing => x - x * x / 2.0,
    }
}
