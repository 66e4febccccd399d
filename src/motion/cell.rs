//! One light-emitting cell over time: dimmer, shutter, filters, colour temperature.

use super::lag::{Law, Response};
use super::model::Laws;
use super::optics::ask_first;
use super::pose::CellPose;
use super::shutter::ShutterMotion;
use crate::decode::CellAsk;

/// One light-emitting cell over time. Its emitters are kept beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellMotion {
    level: Response,
    shutter: ShutterMotion,
    filters: [Response; 3],
    temperature_k: Option<Response>,
}

impl CellMotion {
    /// Full and open. The same seed gives the same random flashes.
    pub fn at_rest(seed: u64) -> Self {
        Self {
            level: Response::at_rest(1.0),
            shutter: ShutterMotion::open(seed),
            filters: [Response::at_rest(0.0); 3],
            temperature_k: None,
        }
    }

    /// Takes a new ask from `t_s` on. With a fade, light takes that many seconds instead of its own.
    pub fn ask(
        &mut self,
        t_s: f64,
        ask: &CellAsk,
        emitters: &mut [Response],
        laws: &Laws,
        fade_s: Option<f64>,
    ) {
        let law = |own: Law, value: &Response, to: f64| {
            fade_s.map_or(own, |fade_s| Law::travel(to - value.at(t_s), fade_s))
        };
        let to = ask.level.unwrap_or(1.0).clamp(0.0, 1.0);
        self.level.ask(t_s, to, law(laws.level, &self.level, to));
        self.shutter.ask(t_s, ask.shutter);
        for (filter, to) in self.filters.iter_mut().zip(ask.filters) {
            filter.ask(t_s, to.unwrap_or(0.0).clamp(0.0, 1.0), laws.filter);
        }
        ask_first(&mut self.temperature_k, t_s, ask.temperature_k, laws.temperature);
        // A source whose mode drives none of its emitters runs them all.
        let undriven = if ask.emitters.iter().any(Option::is_some) { 0.0 } else { 1.0 };
        for (emitter, to) in emitters.iter_mut().zip(&ask.emitters) {
            let to = to.unwrap_or(undriven).clamp(0.0, 1.0);
            emitter.ask(t_s, to, law(laws.emitter, emitter, to));
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
