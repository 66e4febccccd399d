//! What one fixture model can do over time: the physical side of a profile, worked out once.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::assumed;
use super::axis::AxisLimits;
use super::laws::{Guess, Laws, effects};
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
    /// What the profile does not say and is taken from the table of defaults, in words.
    pub assumed: Vec<(Part, String)>,
}

/// A part of a fixture whose times may be estimates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Pan and tilt.
    Aim,
    /// A wheel, as a place in the compiled mode.
    Wheel(usize),
    /// Zoom, focus, iris, frost, blades.
    Optics,
    /// Dimmer and filters.
    Light,
    /// Striking the lamp and its cooling down.
    Lamp,
    /// Holds and resets.
    Control,
}

impl HeadModel {
    /// Whether times of a part depend on something assumed, and so are estimates.
    pub fn is_estimate(&self, part: Part) -> bool {
        self.assumed.iter().any(|(assumed, _)| *assumed == part)
    }

    /// Works out what a mode of a profile can do.
    pub fn new(mode: &Arc<CompiledMode>) -> Self {
        let profile = &mode.profile;
        let mut assumed = Vec::new();
        let axes = profile.head.axes().map(|(pan, tilt)| {
            [("pan", pan), ("tilt", tilt)].map(|(name, axis)| {
                let (limits, guessed) = AxisLimits::new(axis);
                if guessed {
                    assumed.push((Part::Aim, format!("speed or acceleration of {name}")));
                }
                limits
            })
        });
        let wheels = profile.wheels.iter().enumerate().map(|(i, (name, wheel))| {
            let (limits, guessed) = WheelLimits::new(wheel, profile.times.turn_s);
            if guessed {
                let what = format!("move time or way round of wheel `{name}`");
                assumed.push((Part::Wheel(i), what));
            }
            limits
        });
        let wheels = wheels.collect();
        let mut guess = Guess { mode, assumed: &mut assumed };
        let laws = Laws::new(&mut guess);
        let times = &profile.times;
        let discharges = |_: &Effect| lamp_of(profile) == Some(Lamp::Discharge);
        let strike_s =
            guess.time(Part::Lamp, "strike", times.strike_s, assumed::STRIKE_S, discharges);
        let cool_s = guess.time(Part::Lamp, "cool-down", times.cool_s, assumed::COOL_S, discharges);
        let silent = |effect: &Effect| {
            matches!(effect.hold_s(), Some(None))
                || matches!(effect, Effect::Reset { takes_s: None, .. })
        };
        if effects(mode).any(silent) {
            assumed.push((Part::Control, "how long a hold or a reset takes".to_owned()));
        }
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
