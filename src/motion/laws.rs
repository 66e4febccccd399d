//! How each value of a model follows what is asked: by the times of its profile, or by assumed ones.

use super::assumed;
use super::lag::Law;
use super::model::{Part, lamp_of};
use crate::decode::CompiledMode;
use crate::profile::{Effect, Lamp};

/// How each value of a model follows what is asked of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laws {
    /// The dimmer.
    pub level: Law,
    /// An emitter.
    pub emitter: Law,
    /// A colour filter.
    pub filter: Law,
    /// Colour temperature, in kelvin.
    pub temperature: Law,
    /// Zoom, in degrees.
    pub zoom: Law,
    /// Focus.
    pub focus: Law,
    /// Iris.
    pub iris: Law,
    /// Frost.
    pub frost: Law,
    /// How far in a blade is.
    pub blade: Law,
    /// A blade's angle, or all of them turned, in degrees.
    pub blade_turn: Law,
}

impl Laws {
    /// Everything at once: to put a head where it has arrived already.
    pub const AT_ONCE: Self = Self {
        level: Law::Step,
        emitter: Law::Step,
        filter: Law::Step,
        temperature: Law::Step,
        zoom: Law::Step,
        focus: Law::Step,
        iris: Law::Step,
        frost: Law::Step,
        blade: Law::Step,
        blade_turn: Law::Step,
    };
}

/// A mode, and what had to be assumed of it so far.
pub(super) struct Guess<'a> {
    pub mode: &'a CompiledMode,
    pub assumed: &'a mut Vec<(Part, String)>,
}

impl Guess<'_> {
    /// A time that the profile gives, or else the default, which is noted where an effect makes use of
    /// it.
    pub(super) fn time(
        &mut self,
        part: Part,
        what: &str,
        given: Option<f64>,
        default_s: f64,
        used: impl Fn(&Effect) -> bool,
    ) -> f64 {
        if given.is_none() && effects(self.mode).any(used) {
            self.assumed.push((part, format!("{what} time")));
        }
        given.unwrap_or(default_s)
    }
}

impl Laws {
    /// How the values of a mode follow.
    pub(super) fn new(guess: &mut Guess<'_>) -> Self {
        use Part::Optics;
        let mode = guess.mode;
        let times = &mode.profile.times;
        let is_zoom = |e: &Effect| matches!(e, Effect::Zoom { .. });
        let is_focus = |e: &Effect| matches!(e, Effect::Focus { .. });
        let is_iris = |e: &Effect| matches!(e, Effect::Iris { .. });
        let is_frost = |e: &Effect| matches!(e, Effect::Frost { .. });
        let turns = |e: &Effect| matches!(e, Effect::BladeTurn { .. } | Effect::FrameTurn { .. });
        let is_blade = |e: &Effect| turns(e) || matches!(e, Effect::Blade { .. });
        let zoom_s = guess.time(Optics, "zoom", times.zoom_s, assumed::ZOOM_S, is_zoom);
        let focus_s = guess.time(Optics, "focus", times.focus_s, assumed::FOCUS_S, is_focus);
        let iris_s = guess.time(Optics, "iris", times.iris_s, assumed::IRIS_S, is_iris);
        let frost_s = guess.time(Optics, "frost", times.frost_s, assumed::FROST_S, is_frost);
        let blade_s = guess.time(Optics, "blade", times.blade_s, assumed::BLADE_S, is_blade);
        Self {
            zoom: Law::travel(span(mode, is_zoom), zoom_s),
            focus: Law::travel(1.0, focus_s),
            iris: Law::travel(1.0, iris_s),
            frost: Law::travel(1.0, frost_s),
            blade: Law::travel(1.0, blade_s),
            blade_turn: Law::travel(span(mode, turns), blade_s),
            ..Self::of_light(guess)
        }
    }

    /// How dimmer, emitters, filters and colour temperature follow; all else at once.
    fn of_light(guess: &mut Guess<'_>) -> Self {
        use Part::Light;
        let mode = guess.mode;
        let times = &mode.profile.times;
        let is_filter = |e: &Effect| matches!(e, Effect::Filter { .. });
        let is_dimmer = |e: &Effect| matches!(e, Effect::Dimmer { .. });
        let is_temperature = |e: &Effect| matches!(e, Effect::Temperature { .. });
        let filter_s =
            guess.time(Light, "colour filter", times.filter_s, assumed::FILTER_S, is_filter);
        let lamp = lamp_of(&mode.profile);
        let level = match lamp {
            Some(Lamp::Discharge) => {
                let flag_s =
                    guess.time(Light, "dimmer flag", times.dimmer_s, assumed::FLAG_S, is_dimmer);
                Law::travel(1.0, flag_s)
            }
            Some(Lamp::Tungsten) => Law::Lag {
                rise_s: guess.time(
                    Light,
                    "filament rise",
                    times.rise_s,
                    assumed::FILAMENT_RISE_S,
                    is_dimmer,
                ),
                fall_s: guess.time(
                    Light,
                    "filament fall",
                    times.fall_s,
                    assumed::FILAMENT_FALL_S,
                    is_dimmer,
                ),
            },
            Some(Lamp::Led) | None => Law::Step,
        };
        Self {
            level,
            filter: Law::travel(1.0, filter_s),
            // A white source changes its temperature by a filter; coloured emitters by their levels.
            temperature: match lamp {
                Some(_) => Law::travel(span(mode, is_temperature), filter_s),
                None => Law::Step,
            },
            ..Self::AT_ONCE
        }
    }
}

/// Every effect of a mode.
pub(super) fn effects(mode: &CompiledMode) -> impl Iterator<Item = &Effect> {
    mode.channels.iter().flat_map(|channel| &channel.ranges).flat_map(|range| range.effects())
}

/// From the least to the most that effects of a kind can ask for.
fn span(mode: &CompiledMode, kind: impl Fn(&Effect) -> bool) -> f64 {
    let of_kind = effects(mode).filter(|effect| kind(effect)).filter_map(Effect::physical);
    let (least, most) = of_kind.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), p| {
        let (a, b) = p.span;
        (least.min(a).min(b), most.max(a).max(b))
    });
    if most > least { most - least } else { 0.0 }
}
