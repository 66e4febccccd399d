//! The kinds of effect there are to choose from, in groups, each with ends to begin with.

use crate::profile::effect::{
    Curve, Effect, EvenIn, FilterName, ResetPart, Shape, Span, Switch, Timing,
};
use crate::profile::model::{Profile, WheelSlot};

/// What an effect is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Where the light goes.
    Aim,
    /// How much of it.
    Level,
    /// Whether and how it flashes.
    Shutter,
    /// Its colour, apart from wheels.
    Colour,
    /// Wheels: colours, patterns, prisms and animations alike.
    Wheel,
    /// The form of the beam.
    Beam,
    /// The fixture itself.
    Control,
}

impl Group {
    /// Every group, in the order of a list.
    pub const ALL: [Self; 7] = [
        Self::Aim,
        Self::Level,
        Self::Shutter,
        Self::Colour,
        Self::Wheel,
        Self::Beam,
        Self::Control,
    ];

    /// The group in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Aim => "aim",
            Self::Level => "level",
            Self::Shutter => "shutter",
            Self::Colour => "colour",
            Self::Wheel => "wheel",
            Self::Beam => "beam",
            Self::Control => "control",
        }
    }
}

/// One kind of effect.
#[derive(Clone, Copy, Debug)]
pub struct Kind {
    /// What it is about.
    pub group: Group,
    /// What it is called.
    pub word: &'static str,
    /// What it does, in a sentence.
    pub tip: &'static str,
    first: fn(&Profile) -> Option<Effect>,
}

impl Kind {
    /// An effect of this kind with ends to begin with; `None` where the profile has no wheel or
    /// emitter for it.
    pub fn make(&self, profile: &Profile) -> Option<Effect> {
        (self.first)(profile)
    }

    /// An effect of this kind that keeps what it can of another: its wheel and slot, and its physical
    /// ends where they are in the same unit.
    pub fn make_like(&self, profile: &Profile, old: &Effect) -> Option<Effect> {
        let mut effect = self.make(profile)?;
        if let (Some(wheel), Some(old)) = (effect.wheel_mut(), old.wheel()) {
            old.clone_into(wheel);
        }
        for (slot, old) in effect.wheel_slots_mut().into_iter().zip(old.wheel_slots()) {
            *slot = old;
        }
        let unit = |effect: &Effect| effect.physical().map(|physical| physical.unit);
        if unit(&effect) == unit(old)
            && let (Some(span), Some(physical)) = (effect.span_mut(), old.physical())
        {
            *span = physical.span;
        }
        Some(effect)
    }

    /// The kind of an effect.
    pub fn of(effect: &Effect) -> Option<&'static Self> {
        let word = word(effect);
        KINDS.iter().find(|kind| kind.word == word)
    }
}

const FULL: Span = (0.0, 100.0);
const EVEN: EvenIn = EvenIn::Hz;

/// The name of a wheel that carries what `wanted` says, or else of the first one.
fn wheel(profile: &Profile, wanted: fn(&WheelSlot) -> bool) -> Option<String> {
    let fitting = profile.wheels.iter().find(|(_, wheel)| wheel.slots.iter().any(wanted));
    fitting.or(profile.wheels.iter().next()).map(|(name, _)| name.clone())
}

fn any_wheel(profile: &Profile) -> Option<String> {
    wheel(profile, |slot| matches!(slot, WheelSlot::Tint(..)))
}

fn pattern_wheel(profile: &Profile) -> Option<String> {
    wheel(profile, |slot| matches!(slot, WheelSlot::Pattern(..)))
}

/// Half the travel of an axis either way.
fn travel(profile: &Profile, tilt: bool) -> Span {
    let half = profile.head.axes().map(|(pan, tilt_axis)| {
        if tilt { tilt_axis.travel_deg / 2.0 } else { pan.travel_deg / 2.0 }
    });
    let half = half.unwrap_or(if tilt { 135.0 } else { 270.0 });
    (-half, half)
}

fn strobe(shape: Shape, timing: Timing) -> Effect {
    Effect::Strobe { hz: (0.5, 10.0), shape, timing, even_in: EVEN }
}

macro_rules! kinds {
    ($($group:ident { $($word:literal $tip:literal $pattern:pat => |$p:ident| $first:expr;)+ })+) => {
        /// Every kind, group by group.
        pub const KINDS: &[Kind] = &[$($(Kind {
            group: Group::$group,
            word: $word,
            tip: $tip,
            first: |$p| $first,
        },)+)+];

        /// What the kind of an effect is called.
        fn word(effect: &Effect) -> &'static str {
            match effect {
                $($($pattern => $word,)+)+
            }
        }
    };
}

kinds! {
    Aim {
        "pan" "Pan to an angle" Effect::Pan { .. }
            => |p| Some(Effect::Pan { deg: travel(p, false) });
        "tilt" "Tilt to an angle" Effect::Tilt { .. }
            => |p| Some(Effect::Tilt { deg: travel(p, true) });
        "pan spin" "Pan without end at a rate" Effect::PanSpin { .. }
            => |_p| Some(Effect::PanSpin { rpm: (1.0, 20.0) });
        "tilt spin" "Tilt without end at a rate" Effect::TiltSpin { .. }
            => |_p| Some(Effect::TiltSpin { rpm: (1.0, 20.0) });
        "pan stop" "Stop spinning in pan and stay there" Effect::PanStop
            => |_p| Some(Effect::PanStop);
        "tilt stop" "Stop spinning in tilt and stay there" Effect::TiltStop
            => |_p| Some(Effect::TiltStop);
        "aim rate" "Pan and tilt move at this speed" Effect::AimRate { .. }
            => |_p| Some(Effect::AimRate { deg_s: (180.0, 5.0) });
        "aim time" "Every move of pan and tilt takes this long" Effect::AimTime { .. }
            => |_p| Some(Effect::AimTime { s: (0.0, 20.0) });
        "aim share" "Pan and tilt move at this share of their top speed" Effect::AimShare { .. }
            => |_p| Some(Effect::AimShare { percent: (100.0, 1.0) });
        "aim follow" "Pan and tilt follow the frame as fast as they can" Effect::AimFollow
            => |_p| Some(Effect::AimFollow);
        "dark while aiming" "No light while pan or tilt moves" Effect::DarkWhileAiming
            => |_p| Some(Effect::DarkWhileAiming);
        "dark while wheels move" "No light while a wheel moves" Effect::DarkWhileWheels
            => |_p| Some(Effect::DarkWhileWheels);
    }
    Level {
        "dimmer" "Level of light" Effect::Dimmer { .. }
            => |_p| Some(Effect::Dimmer { percent: FULL, curve: Curve::Unknown });
        "dimmer curve" "The dimmer follows this curve from now on" Effect::UseCurve { .. }
            => |_p| Some(Effect::UseCurve { curve: Curve::Linear, hold_s: None });
    }
    Shutter {
        "shut" "No light" Effect::Shut => |_p| Some(Effect::Shut);
        "open" "Light, steady" Effect::Open => |_p| Some(Effect::Open);
        "random strobe" "Flashes at random, with the rate as the mean"
            Effect::Strobe { timing: Timing::Random, .. }
            => |_p| Some(strobe(Shape::Hard, Timing::Random));
        "burst" "Flashes in bursts with pauses between"
            Effect::Strobe { timing: Timing::Burst, .. }
            => |_p| Some(strobe(Shape::Hard, Timing::Burst));
        "strobe" "Flashes at a rate, on and off at once" Effect::Strobe { shape: Shape::Hard, .. }
            => |_p| Some(strobe(Shape::Hard, Timing::Even));
        "pulse" "Light that swells and falls at a rate" Effect::Strobe { .. }
            => |_p| Some(strobe(Shape::Swell, Timing::Even));
    }
    Colour {
        "emitter" "Level of one emitter" Effect::Emitter { .. }
            => |p| p.source.emitters().first().map(|emitter| {
                Effect::Emitter { name: emitter.name.clone(), percent: FULL }
            });
        "filter" "A colour filter moved into the light" Effect::Filter { .. }
            => |_p| Some(Effect::Filter { name: FilterName::Cyan, percent: FULL });
        "temperature" "Colour temperature" Effect::Temperature { .. }
            => |_p| Some(Effect::Temperature { k: (3000.0, 6500.0) });
    }
    Wheel {
        "slot" "A wheel slot" Effect::Slot { .. }
            => |p| any_wheel(p).map(|wheel| Effect::Slot { wheel, slot: 1 });
        "split" "The edge between two wheel slots, half and half" Effect::Split { .. }
            => |p| any_wheel(p).map(|wheel| Effect::Split { wheel, between: (1, 1) });
        "glide" "Anywhere on the wheel, without steps" Effect::Glide { .. }
            => |p| any_wheel(p).map(|wheel| {
                let count = p.wheels.get(&wheel).map_or(1, |wheel| wheel.slots.len());
                Effect::Glide { wheel, slots: (1.0, count as f64) }
            });
        "shake" "A wheel slot, trembling" Effect::Shake { .. }
            => |p| pattern_wheel(p).map(|wheel| Effect::Shake { wheel, slot: 1, hz: (0.5, 5.0) });
        "scroll" "The wheel turns without end" Effect::Scroll { .. }
            => |p| any_wheel(p).map(|wheel| {
                Effect::Scroll { wheel, rpm: (60.0, 1.0), even_in: EVEN }
            });
        "halt" "The wheel stays where it happens to be" Effect::Halt { .. }
            => |p| any_wheel(p).map(|wheel| Effect::Halt { wheel });
        "random slots" "Slots of the wheel at random" Effect::RandomSlots { .. }
            => |p| any_wheel(p).map(|wheel| Effect::RandomSlots { wheel, hz: (0.5, 5.0) });
        "turn" "What stands in the beam turned to an angle" Effect::Turn { .. }
            => |p| pattern_wheel(p).map(|wheel| Effect::Turn { wheel, deg: (0.0, 360.0) });
        "spin" "What stands in the beam turns without end" Effect::Spin { .. }
            => |p| pattern_wheel(p).map(|wheel| {
                Effect::Spin { wheel, rpm: (60.0, 1.0), even_in: EVEN }
            });
        "spin stop" "What stands in the beam stops turning" Effect::SpinStop { .. }
            => |p| pattern_wheel(p).map(|wheel| Effect::SpinStop { wheel });
    }
    Beam {
        "zoom" "Beam angle" Effect::Zoom { .. }
            => |p| Some(Effect::Zoom { deg: (p.optics.beam_deg, p.optics.beam_deg) });
        "focus" "Focus, 0 % near, 100 % far" Effect::Focus { .. }
            => |_p| Some(Effect::Focus { percent: FULL });
        "iris" "Iris, in percent of the full diameter" Effect::Iris { .. }
            => |_p| Some(Effect::Iris { percent: (100.0, 5.0) });
        "iris pulse" "The iris opens and closes by itself" Effect::IrisPulse { .. }
            => |_p| Some(Effect::IrisPulse { hz: (0.5, 5.0), shape: Shape::Swell });
        "frost" "Frost" Effect::Frost { .. } => |_p| Some(Effect::Frost { percent: FULL });
        "blade" "A framing blade pushed in" Effect::Blade { .. }
            => |_p| Some(Effect::Blade { blade: 1, percent: FULL });
        "blade turn" "A framing blade turned" Effect::BladeTurn { .. }
            => |_p| Some(Effect::BladeTurn { blade: 1, deg: (-30.0, 30.0) });
        "frame turn" "All framing blades turned together" Effect::FrameTurn { .. }
            => |_p| Some(Effect::FrameTurn { deg: (-45.0, 45.0) });
    }
    Control {
        "idle" "Nothing, on purpose" Effect::Idle => |_p| Some(Effect::Idle);
        "unknown" "Something that nobody has looked at yet; not the same as nothing"
            Effect::Unknown => |_p| Some(Effect::Unknown);
        "select" "Nothing by itself: says what another channel means" Effect::Select
            => |_p| Some(Effect::Select);
        "reset" "The head goes dark, finds its ends and comes back" Effect::Reset { .. }
            => |_p| Some(Effect::Reset { part: ResetPart::Whole, hold_s: None, takes_s: None });
        "lamp on" "The lamp is struck" Effect::LampOn { .. }
            => |_p| Some(Effect::LampOn { hold_s: None });
        "lamp off" "The lamp is put out" Effect::LampOff { .. }
            => |_p| Some(Effect::LampOff { hold_s: None });
        "switch" "A switch that stays set when the value goes" Effect::Latch { .. }
            => |_p| Some(Effect::Latch { switch: Switch::ALL[0], on: true, hold_s: None });
        "program" "A built-in program runs and overrides the rest" Effect::Program { .. }
            => |_p| Some(Effect::Program { name: "program 1".to_owned() });
        "sound" "A built-in program runs to sound" Effect::Sound => |_p| Some(Effect::Sound);
        "follow" "The fixture does what another one tells it" Effect::Follow
            => |_p| Some(Effect::Follow);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Library;

    #[test]
    fn every_effect_of_the_library_is_of_a_kind_that_can_be_chosen() {
        for profile in Library::embedded().profiles() {
            let channels = profile.modes.iter().flat_map(|mode| &mode.channels);
            for range in channels.flat_map(|channel| &channel.ranges) {
                for effect in range.effects() {
                    let kind = Kind::of(effect).expect("each effect has a kind");
                    let made = kind.make_like(profile, effect).expect("and can be made here");
                    assert_eq!(made.key(), effect.key());
                    assert_eq!(made.wheel(), effect.wheel());
                }
            }
        }
    }

    #[test]
    fn another_kind_keeps_the_wheel_its_slot_and_ends_of_the_same_unit() {
        let spot = Library::embedded().get("Tarnfell S1 Spot").unwrap();
        let kind = |word| KINDS.iter().find(|kind| kind.word == word).unwrap();
        let old = Effect::Shake { wheel: "pattern".to_owned(), slot: 3, hz: (1.0, 7.0) };
        let slot = kind("slot").make_like(&spot, &old).unwrap();
        assert_eq!(slot, Effect::Slot { wheel: "pattern".to_owned(), slot: 3 });
        let strobe = kind("strobe").make_like(&spot, &old).unwrap();
        assert_eq!(strobe.physical().unwrap().span, (1.0, 7.0));
    }

    #[test]
    fn words_are_told_apart() {
        for (i, kind) in KINDS.iter().enumerate() {
            assert!(KINDS[i + 1..].iter().all(|other| other.word != kind.word), "{}", kind.word);
        }
    }
}
