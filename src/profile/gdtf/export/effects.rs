//! The attribute and physical values that an effect is written with.
//!
//! Rates of rotation are degrees a second in the file and revolutions a minute here; shares are 0 to 1
//! in the file and percent here. An effect that the standard has no attribute for is written with
//! [`OTHER`], so that its values keep their name and nobody takes them for nothing.

use std::collections::{BTreeMap, HashSet};

use super::super::attributes;
use crate::profile::effect::{FilterName, ResetPart, Switch};
use crate::profile::{Effect, Profile, Range, Shape, Source, Span, Timing, WheelSlot};

/// What stands for effects without an attribute of their own.
pub(super) const OTHER: &str = "Function";

/// Attributes of emitters by what people call them.
const COLOURS: [(&[&str], &str, (f64, f64)); 16] = [
    (&["red"], "ColorAdd_R", (0.64, 0.33)),
    (&["green"], "ColorAdd_G", (0.3, 0.6)),
    (&["blue"], "ColorAdd_B", (0.15, 0.06)),
    (&["amber"], "ColorAdd_RY", (0.477, 0.460)),
    (&["white"], "ColorAdd_W", (0.3127, 0.3290)),
    (&["warm white"], "ColorAdd_WW", (0.4234, 0.3990)),
    (&["cold white", "cool white"], "ColorAdd_CW", (0.3127, 0.3290)),
    (&["lime"], "ColorAdd_GY", (0.37, 0.55)),
    (&["uv", "ultraviolet"], "ColorAdd_UV", (0.176, 0.005)),
    (&["cyan"], "ColorAdd_C", (0.225, 0.329)),
    (&["magenta"], "ColorAdd_M", (0.321, 0.154)),
    (&["yellow"], "ColorAdd_Y", (0.419, 0.505)),
    (&["green-cyan"], "ColorAdd_GC", (0.26, 0.45)),
    (&["blue-cyan"], "ColorAdd_BC", (0.19, 0.2)),
    (&["blue-magenta"], "ColorAdd_BM", (0.22, 0.1)),
    (&["red-magenta"], "ColorAdd_RM", (0.47, 0.24)),
];

/// Attributes of what a profile gives names to.
#[derive(Clone, Debug, Default)]
pub(super) struct Names {
    /// By wheel, the attribute that selects on it: `Gobo1`.
    wheels: BTreeMap<String, String>,
    /// By emitter, the attribute that sets it: `ColorAdd_R`.
    emitters: BTreeMap<String, &'static str>,
}

impl Names {
    pub(super) fn of(profile: &Profile) -> Self {
        let mut count: BTreeMap<&str, u32> = BTreeMap::new();
        let mut wheels = BTreeMap::new();
        for (name, wheel) in &profile.wheels {
            let has = |is: fn(&WheelSlot) -> bool| wheel.slots.iter().any(is);
            let family = match () {
                () if has(|slot| matches!(slot, WheelSlot::Animation(..))) => "AnimationWheel",
                () if has(|slot| matches!(slot, WheelSlot::Prism { .. })) => "Prism",
                () if has(|slot| matches!(slot, WheelSlot::Pattern(..))) => "Gobo",
                () => "Color",
            };
            let number = count.entry(family).or_default();
            *number += 1;
            wheels.insert(name.clone(), format!("{family}{number}"));
        }
        Self { wheels, emitters: emitters(&profile.source) }
    }
}

/// Each emitter's attribute: by its name, else the nearest colour that no other has taken.
fn emitters(source: &Source) -> BTreeMap<String, &'static str> {
    let mut taken: HashSet<&str> = HashSet::new();
    let mut found = BTreeMap::new();
    for emitter in source.emitters() {
        let name = emitter.name.trim().to_lowercase();
        let named = COLOURS.iter().find(|(words, ..)| words.contains(&name.as_str()));
        if let Some((_, attribute, _)) = named.filter(|(_, attribute, _)| taken.insert(attribute)) {
            found.insert(emitter.name.clone(), *attribute);
        }
    }
    for emitter in source.emitters() {
        let far = |at: &(f64, f64)| (at.0 - emitter.xy.0).hypot(at.1 - emitter.xy.1);
        let free = COLOURS.iter().filter(|(_, attribute, _)| !taken.contains(attribute));
        let near = free.min_by(|a, b| far(&a.2).total_cmp(&far(&b.2)));
        if !found.contains_key(&emitter.name) {
            let attribute = near.map_or("ColorAdd_W", |(_, attribute, _)| *attribute);
            taken.insert(attribute);
            found.insert(emitter.name.clone(), attribute);
        }
    }
    found
}

/// What a range is written with.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Written {
    /// The attribute.
    pub(super) attribute: String,
    /// Physical values at the first and last value, where the attribute has them.
    pub(super) physical: Option<Span>,
    /// The wheel that is moved.
    pub(super) wheel: Option<String>,
    /// The slot of it, from 1, with the place in shares of a slot where values select one.
    pub(super) slot: Option<(u16, Option<Span>)>,
    /// The emitter that is set.
    pub(super) emitter: Option<String>,
}

impl Written {
    fn new(attribute: impl Into<String>) -> Self {
        Self { attribute: attribute.into(), ..Self::default() }
    }

    fn with(attribute: impl Into<String>, physical: Span) -> Self {
        Self { physical: Some(physical), ..Self::new(attribute) }
    }

    /// Whether it does no more than select on a wheel.
    pub(super) fn selects(&self) -> bool {
        matches!(self.slot, Some((_, Some(_))))
    }
}

/// What a range is written with. One attribute is all that it can have: a slot and what turns in it are
/// one together, other effects besides the first are not held.
pub(super) fn written(range: &Range, names: &Names, profile: &Profile) -> Written {
    if let [also] = range.also.as_slice() {
        let both = turning_slot(&range.does, also).or_else(|| turning_slot(also, &range.does));
        if let Some((wheel, slot, rpm)) = both {
            let made = wheel_attribute(names, wheel, "SelectSpin", rpm.map(degrees_a_second));
            if let Some(made) = made {
                return Written { slot: Some((slot, None)), ..made };
            }
        }
    }
    effect(&range.does, names, profile).unwrap_or_else(|| Written::new(OTHER))
}

/// A slot selected and what stands in it turning, in one value.
fn turning_slot<'a>(slot: &'a Effect, turn: &Effect) -> Option<(&'a str, u16, Option<Span>)> {
    let Effect::Slot { wheel, slot } = slot else { return None };
    match turn {
        Effect::Spin { wheel: of, rpm, .. } if of == wheel => Some((wheel, *slot, Some(*rpm))),
        Effect::SpinStop { wheel: of } if of == wheel => Some((wheel, *slot, None)),
        _ => None,
    }
}

fn degrees_a_second((a, b): Span) -> Span {
    (a * 6.0, b * 6.0)
}

fn shares((a, b): Span) -> Span {
    (a / 100.0, b / 100.0)
}

fn effect(effect: &Effect, names: &Names, profile: &Profile) -> Option<Written> {
    aim(effect)
        .or_else(|| light(effect, names))
        .or_else(|| beam(effect))
        .or_else(|| control(effect))
        .or_else(|| on_wheel(effect, names, profile))
}

fn aim(effect: &Effect) -> Option<Written> {
    Some(match effect {
        Effect::Pan { deg } => Written::with("Pan", *deg),
        Effect::Tilt { deg } => Written::with("Tilt", *deg),
        Effect::PanSpin { rpm } => Written::with("PanRotate", degrees_a_second(*rpm)),
        Effect::TiltSpin { rpm } => Written::with("TiltRotate", degrees_a_second(*rpm)),
        Effect::PanStop => Written::with("PanRotate", (0.0, 0.0)),
        Effect::TiltStop => Written::with("TiltRotate", (0.0, 0.0)),
        // The standard gives this attribute no unit, so it gets no numbers.
        Effect::AimRate { .. }
        | Effect::AimTime { .. }
        | Effect::AimShare { .. }
        | Effect::AimFollow => Written::new("PositionMSpeed"),
        Effect::DarkWhileAiming | Effect::DarkWhileWheels => Written::new("BlackoutMode"),
        _ => return None,
    })
}

fn light(effect: &Effect, names: &Names) -> Option<Written> {
    Some(match effect {
        Effect::Dimmer { percent, .. } => Written::with("Dimmer", shares(*percent)),
        Effect::Shut => Written::with("Shutter1", (0.0, 0.0)),
        Effect::Open => Written::with("Shutter1", (1.0, 1.0)),
        Effect::Strobe { hz, shape, timing, .. } => {
            let end = match (timing, shape) {
                (Timing::Burst, _) => "Effect",
                (Timing::Even, Shape::Hard) => "",
                (Timing::Even, Shape::Swell) => "Pulse",
                (Timing::Even, Shape::Opening) => "PulseOpen",
                (Timing::Even, Shape::Closing) => "PulseClose",
                (Timing::Random, Shape::Hard) => "Random",
                (Timing::Random, Shape::Swell) => "RandomPulse",
                (Timing::Random, Shape::Opening) => "RandomPulseOpen",
                (Timing::Random, Shape::Closing) => "RandomPulseClose",
            };
            Written::with(format!("Shutter1Strobe{end}"), *hz)
        }
        Effect::Emitter { name, percent } => Written {
            emitter: Some(name.clone()),
            ..Written::with(*names.emitters.get(name)?, shares(*percent))
        },
        Effect::Filter { name, percent } => {
            let attribute = match name {
                FilterName::Cyan => "ColorSub_C",
                FilterName::Magenta => "ColorSub_M",
                FilterName::Yellow => "ColorSub_Y",
            };
            Written::with(attribute, shares(*percent))
        }
        Effect::Temperature { k } => Written::with("CTC", *k),
        _ => return None,
    })
}

fn beam(effect: &Effect) -> Option<Written> {
    Some(match effect {
        Effect::Zoom { deg } => Written::with("Zoom", *deg),
        Effect::Focus { percent } => Written::with("Focus1", shares(*percent)),
        Effect::Iris { percent } => Written::with("Iris", shares(*percent)),
        Effect::IrisPulse { hz, shape } => {
            let attribute = match shape {
                Shape::Hard | Shape::Swell => "IrisStrobe",
                Shape::Opening => "IrisPulseOpen",
                Shape::Closing => "IrisPulseClose",
            };
            Written::with(attribute, *hz)
        }
        Effect::Frost { percent } => Written::with("Frost1", shares(*percent)),
        Effect::Blade { blade, percent } => {
            Written::with(format!("Blade{blade}A"), shares(*percent))
        }
        Effect::BladeTurn { blade, deg } => Written::with(format!("Blade{blade}Rot"), *deg),
        Effect::FrameTurn { deg } => Written::with("ShaperRot", *deg),
        _ => return None,
    })
}

fn control(effect: &Effect) -> Option<Written> {
    Some(match effect {
        Effect::Idle => Written::new("NoFeature"),
        Effect::Reset { part, .. } => {
            let attribute = match part {
                ResetPart::Whole => "FixtureGlobalReset",
                ResetPart::Aim => "PositionReset",
                ResetPart::Effects => "BeamReset",
            };
            Written::with(attribute, (1.0, 1.0))
        }
        Effect::LampOn { .. } | Effect::LampOff { .. } => Written::new("LampControl"),
        Effect::Latch { switch: Switch::Display, .. } => Written::new("DisplayIntensity"),
        Effect::Latch { switch: Switch::InvertPan, .. } => Written::new("PanMode"),
        Effect::Latch { switch: Switch::InvertTilt, .. } => Written::new("TiltMode"),
        Effect::Latch { switch: Switch::FanFull, .. } => Written::new("FanMode"),
        Effect::Latch { switch: Switch::DarkWhileAiming | Switch::DarkWhileWheels, .. } => {
            Written::new("BlackoutMode")
        }
        Effect::UseCurve { .. } => Written::new("DimmerCurve"),
        _ => return None,
    })
}

/// A movement of a wheel; `None` where the standard has none for wheels of its kind.
fn wheel_attribute(
    names: &Names,
    wheel: &str,
    end: &str,
    physical: impl Into<Option<Span>>,
) -> Option<Written> {
    let attribute = format!("{}{end}", names.wheels.get(wheel)?);
    attributes::find(&attribute)?;
    // What turns at no rate stands still.
    let physical = physical.into().or((end == "SelectSpin").then_some((0.0, 0.0)));
    Some(Written { physical, wheel: Some(wheel.to_owned()), ..Written::new(attribute) })
}

fn on_wheel(effect: &Effect, names: &Names, profile: &Profile) -> Option<Written> {
    let still = (0.0, 0.0);
    let made =
        |wheel: &str, end: &str, physical: Span| wheel_attribute(names, wheel, end, physical);
    let at = |wheel: &str, slot: u16, share: Span| {
        let made = wheel_attribute(names, wheel, "", None)?;
        Some(Written { slot: Some((slot, Some(share))), ..made })
    };
    let count = |wheel: &str| profile.wheels.get(wheel).map_or(1, |wheel| wheel.slots.len());
    match effect {
        Effect::Slot { wheel, slot } => at(wheel, *slot, still),
        Effect::Split { wheel, between: (a, b) } => {
            let count = u16::try_from(count(wheel)).unwrap_or(u16::MAX);
            let behind = |slot: u16| if slot >= count { 1 } else { slot + 1 };
            match () {
                () if behind(*a) == *b => at(wheel, *a, (0.5, 0.5)),
                () if behind(*b) == *a => at(wheel, *b, (0.5, 0.5)),
                // Slots that do not touch have no edge between them.
                () => None,
            }
        }
        Effect::Glide { wheel, slots: (a, b) } => {
            let turn = |place: f64| (place - 1.0) / count(wheel) as f64 * 360.0;
            made(wheel, "WheelIndex", (turn(*a), turn(*b)))
        }
        Effect::Shake { wheel, slot, hz } => made(wheel, "SelectShake", *hz)
            .map(|made| Written { slot: Some((*slot, None)), ..made }),
        Effect::Scroll { wheel, rpm, .. } => made(wheel, "WheelSpin", degrees_a_second(*rpm)),
        Effect::Halt { wheel } => made(wheel, "WheelSpin", still),
        Effect::RandomSlots { wheel, hz } => {
            made(wheel, "WheelRandom", *hz).or_else(|| made(wheel, "Random", *hz))
        }
        Effect::Turn { wheel, deg } => made(wheel, "Pos", *deg),
        Effect::Spin { wheel, rpm, .. } => made(wheel, "PosRotate", degrees_a_second(*rpm)),
        Effect::SpinStop { wheel } => made(wheel, "PosRotate", still),
        _ => None,
    }
}
