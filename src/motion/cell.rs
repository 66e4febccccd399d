//! One light-emitting cell over time: dimmer, shutter, filters, colour temperature.

use super::lag::{Law, Response};
use super::laws::Laws;
use super::optics::ask_or_unset;
use super::pose::CellPose;
use super::shutter::ShutterMotion;
use crate::decode::{CellAsk, ShutterAsk};

/// One light-emitting cell over time. Its emitters are kept beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellMotion {
    level: Response,
    shutter: ShutterMotion,
    filters: [Response; 3],
    /// What is asked of the filters, which a reset keeps waiting.
    wanted_filters: [f64; 3],
    temperature_k: Option<Response>,
}

impl CellMotion {
    /// Full and open. The same seed gives the same random flashes.
    pub fn at_rest(seed: u64) -> Self {
        Self {
            level: Response::at_rest(1.0),
            shutter: ShutterMotion::open(seed),
            filters: [Response::at_rest(0.0); 3],
            wanted_filters: [0.0; 3],
            temperature_k: None,
        }
    }

    /// Sends the dimmer on from `t_s`, in its own time or in that of a fade.
    pub(super) fn dim(&mut self, t_s: f64, level: f64, laws: &Laws, fade_s: Option<f64>) {
        let to = level.clamp(0.0, 1.0);
        self.level.ask(t_s, to, law(laws.level, &self.level, t_s, to, fade_s));
    }

    /// Takes a new ask of the shutter from `t_s` on.
    pub(super) fn shut(&mut self, t_s: f64, ask: ShutterAsk) {
        self.shutter.ask(t_s, ask);
    }

    /// Takes a new ask of emitters and colour temperature from `t_s` on, and notes what is asked of the
    /// filters. With a fade, emitters take that many seconds instead of their own.
    pub(super) fn colour(
        &mut self,
        t_s: f64,
        ask: &CellAsk,
        emitters: &mut [Response],
        laws: &Laws,
        fade_s: Option<f64>,
    ) {
        self.wanted_filters = ask.filters.map(|to| to.unwrap_or(0.0).clamp(0.0, 1.0));
        ask_or_unset(&mut self.temperature_k, t_s, ask.temperature_k, laws.temperature);
        // A source whose mode drives none of its emitters runs them all.
        let undriven = if ask.emitters.iter().any(Option::is_some) { 0.0 } else { 1.0 };
        for (emitter, to) in emitters.iter_mut().zip(&ask.emitters) {
            let to = to.unwrap_or(undriven).clamp(0.0, 1.0);
            emitter.ask(t_s, to, law(laws.emitter, emitter, t_s, to, fade_s));
        }
    }

    /// Sends the filters on from `t_s`: where they are wanted, or home, out of the light.
    pub(super) fn send_filters(&mut self, t_s: f64, home: bool, laws: &Laws) {
        for (filter, wanted) in self.filters.iter_mut().zip(self.wanted_filters) {
            filter.ask(t_s, if home { 0.0 } else { wanted }, laws.filter);
        }
    }

    /// Writes what it does into a pose. `lit` is false while something else keeps the light in.
    pub fn fill(&self, t_s: f64, emitters: &[Response], lit: bool, pose: &mut CellPose) {
        pose.emitters.clear();
        pose.emitters.extend(emitters.iter().map(|emitter| emitter.at(t_s)));
        let dark = !lit || (!emitters.is_empty() && pose.emitters.iter().all(|e| *e == 0.0));
        let level = if dark { 0.0 } else { self.level.at(t_s) };
        pose.light = level * self.shutter.mean();
        pose.instant = level * self.shutter.at(t_s);
        pose.flash = self.shutter.flash();
        pose.filters = self.filters.map(|filter| filter.at(t_s));
        pose.temperature_k = self.temperature_k.map(|k| k.at(t_s));
    }

    /// What its dimmer lets through, 0..1, whatever the shutter does.
    pub fn level(&self, t_s: f64) -> f64 {
        self.level.at(t_s)
    }

    /// What its shutter lets through at this instant, 0..1, and on average.
    pub fn shutter(&self, t_s: f64) -> (f64, f64) {
        (self.shutter.at(t_s), self.shutter.mean())
    }

    /// Mean light over an interval after the last ask, in closed form: exact while either the level or
    /// the shutter stands, else as if the two had nothing to do with each other.
    pub fn mean_light(&self, from_s: f64, to_s: f64) -> f64 {
        self.level.mean(from_s, to_s) * self.shutter.mean_over(from_s, to_s)
    }

    /// When level, filters and temperature have arrived.
    pub fn end_s(&self) -> f64 {
        let values = [&self.level].into_iter().chain(&self.filters).chain(&self.temperature_k);
        values.map(Response::end_s).fold(f64::NEG_INFINITY, f64::max)
    }
}

/// How a value goes to where it is asked: in its own time, or in that of a fade.
fn law(own: Law, value: &Response, t_s: f64, to: f64, fade_s: Option<f64>) -> Law {
    fade_s.map_or(own, |fade_s| Law::travel(to - value.at(t_s), fade_s))
}
