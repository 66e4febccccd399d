//! What one fixture model can do over time: the physical side of a profile, worked out once.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::assumed;
use super::axis::AxisLimits;
use super::lag::Law;
use super::wheel::WheelLimits;
use crate::decode::{Asked, CompiledMode, Plan};
use crate::profile::{Effect, Lamp, Loss, Profile, Source};
use crate::rig::Address;
use crate::wire::{Frames, Slot, Universe};

/// What a model does when no more frames come.
#[derive(Clone, Debug, PartialEq)]
pub enum LossPolicy {
    /// Whatever was asked last.
    Hold,
    /// No light.
    Dark,
    /// A look of its own.
    Standby {
        /// How long its light takes to get there, in seconds.
        fade_s: f64,
        /// What it then asks of itself.
        asked: Box<Asked>,
    },
}

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

/// What one fixture model can do over time.
#[derive(Clone, Debug)]
pub struct HeadModel {
    /// The profile.
    pub profile: Arc<Profile>,
    /// Pan and tilt; `None` for a fixture that does not move.
    pub axes: Option<[AxisLimits; 2]>,
    /// Its wheels, in the order of the compiled mode.
    pub wheels: Vec<WheelLimits>,
    /// How its values follow.
    pub laws: Laws,
    /// From striking its lamp to light, in seconds.
    pub strike_s: f64,
    /// From putting its lamp out until it can be struck again, in seconds.
    pub cool_s: f64,
    /// How long after the last frame the signal counts as lost, in seconds.
    pub loss_after_s: f64,
    /// What it does then.
    pub on_loss: LossPolicy,
    /// What it asks of itself with every channel at rest.
    pub rest: Asked,
    /// What the profile does not say and is taken from the table of defaults, in words. Times that
    /// depend on one of these are estimates.
    pub assumed: Vec<String>,
}

impl HeadModel {
    /// Works out what a mode of a profile can do.
    pub fn new(mode: &Arc<CompiledMode>) -> Self {
        let profile = &mode.profile;
        let mut assumed = Vec::new();
        let axes = profile.head.axes().map(|(pan, tilt)| {
            [("pan", pan), ("tilt", tilt)].map(|(name, axis)| {
                let (limits, guessed) = AxisLimits::new(axis);
                if guessed {
                    assumed.push(format!("speed or acceleration of {name}"));
                }
                limits
            })
        });
        let wheels = profile.wheels.iter().map(|(name, wheel)| {
            let (limits, guessed) = WheelLimits::new(wheel, profile.times.turn_s);
            if guessed {
                assumed.push(format!("move time or way round of wheel `{name}`"));
            }
            limits
        });
        let wheels = wheels.collect();
        let laws = laws(mode, &mut assumed);
        let discharge = lamp_of(profile) == Some(Lamp::Discharge);
        let mut time = |what: &str, given: Option<f64>, default: f64| {
            if discharge && given.is_none() {
                assumed.push(what.to_owned());
            }
            given.unwrap_or(default)
        };
        let strike_s = time("strike time", profile.times.strike_s, assumed::STRIKE_S);
        let cool_s = time("cool-down time", profile.times.cool_s, assumed::COOL_S);
        let on_loss = match &profile.on_loss.does {
            None | Some(Loss::Hold) => LossPolicy::Hold,
            Some(Loss::Dark) => LossPolicy::Dark,
            Some(Loss::Standby { fade_s, values }) => LossPolicy::Standby {
                fade_s: *fade_s,
                asked: Box::new(asked_by_itself(mode, values)),
            },
        };
        Self {
            profile: profile.clone(),
            axes,
            wheels,
            laws,
            strike_s,
            cool_s,
            loss_after_s: profile.on_loss.wait_s(),
            on_loss,
            rest: asked_by_itself(mode, &BTreeMap::new()),
            assumed,
        }
    }
}

/// What kind of lamp makes the light; `None` for coloured emitters.
pub(super) fn lamp_of(profile: &Profile) -> Option<Lamp> {
    match profile.source {
        Source::White { lamp, .. } => Some(lamp),
        Source::Emitters(_) => None,
    }
}

/// What a fixture with these channels at these values, and all others at rest, is asked: as if they had
/// come in a frame.
pub fn asked_by_itself(mode: &Arc<CompiledMode>, values: &BTreeMap<String, u32>) -> Asked {
    let universe = Universe::ONE;
    let address = Slot::new(1).map(|slot| Address { universe, slot });
    let plan = Plan::from_modes([(Some(mode.clone()), address)]);
    let mut frames = Frames::default();
    for channel in &mode.channels {
        let value = values.get(&channel.name).copied().unwrap_or(channel.default);
        for (offset, byte) in channel.offsets.iter().rev().zip(value.to_be_bytes().iter().rev()) {
            if let Some(slot) = address.and_then(|address| address.slot_at(*offset)) {
                frames.set(universe, slot, *byte);
            }
        }
    }
    let mut decoded = plan.start();
    plan.decode(&frames, &mut decoded);
    let reading = plan.reading(0, &frames, &decoded);
    reading.map_or_else(|| Asked::for_mode(mode), |reading| reading.asked())
}

/// How the values of a mode follow.
fn laws(mode: &CompiledMode, assumed: &mut Vec<String>) -> Laws {
    let profile = &mode.profile;
    let times = &profile.times;
    let mut time =
        |what: &str, given: Option<f64>, default: f64, used: &dyn Fn(&Effect) -> bool| {
            let used = effects(mode).any(used);
            if used && given.is_none() {
                assumed.push(format!("travel time of {what}"));
            }
            given.unwrap_or(default)
        };
    let zoom = span(mode, |effect| matches!(effect, Effect::Zoom { .. }));
    let turn = span(mode, |e| matches!(e, Effect::BladeTurn { .. } | Effect::FrameTurn { .. }));
    let kelvin = span(mode, |effect| matches!(effect, Effect::Temperature { .. }));
    let zoom_s = time("zoom", times.zoom_s, assumed::ZOOM_S, &|e| matches!(e, Effect::Zoom { .. }));
    let focus_s =
        time("focus", times.focus_s, assumed::FOCUS_S, &|e| matches!(e, Effect::Focus { .. }));
    let iris_s = time("iris", times.iris_s, assumed::IRIS_S, &|e| matches!(e, Effect::Iris { .. }));
    let frost_s =
        time("frost", times.frost_s, assumed::FROST_S, &|e| matches!(e, Effect::Frost { .. }));
    let filter_s = time("colour filters", times.filter_s, assumed::FILTER_S, &|e| {
        matches!(e, Effect::Filter { .. })
    });
    let blade_s = time("framing blades", times.blade_s, assumed::BLADE_S, &|e| {
        matches!(e, Effect::Blade { .. } | Effect::BladeTurn { .. } | Effect::FrameTurn { .. })
    });
    let lamp = lamp_of(profile);
    let level = match lamp {
        Some(Lamp::Discharge) => {
            let flag_s = time("the dimmer flag", times.dimmer_s, assumed::FLAG_S, &|e| {
                matches!(e, Effect::Dimmer { .. })
            });
            Law::travel(1.0, flag_s)
        }
        Some(Lamp::Tungsten) => {
            let (rise_s, fall_s) = (times.rise_s, times.fall_s);
            if rise_s.is_none() || fall_s.is_none() {
                assumed.push("rise or fall of the filament".to_owned());
            }
            Law::Lag {
                rise_s: rise_s.unwrap_or(assumed::FILAMENT_RISE_S),
                fall_s: fall_s.unwrap_or(assumed::FILAMENT_FALL_S),
            }
        }
        Some(Lamp::Led) | None => Law::Step,
    };
    Laws {
        level,
        emitter: Law::Step,
        filter: Law::travel(1.0, filter_s),
        // A white source changes its temperature by a filter; coloured emitters by their levels.
        temperature: match lamp {
            Some(_) => Law::travel(kelvin, filter_s),
            None => Law::Step,
        },
        zoom: Law::travel(zoom, zoom_s),
        focus: Law::travel(1.0, focus_s),
        iris: Law::travel(1.0, iris_s),
        frost: Law::travel(1.0, frost_s),
        blade: Law::travel(1.0, blade_s),
        blade_turn: Law::travel(turn, blade_s),
    }
}

fn effects(mode: &CompiledMode) -> impl Iterator<Item = &Effect> {
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
