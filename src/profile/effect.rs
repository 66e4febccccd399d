//! What a range of a channel does, in physical terms.
//!
//! Names of wheels, emitters and filters are those the profile gives them; wheel slots count from 1.
//! A pair `(a, b)` is the physical value at the first and at the last value of the range, both
//! included; a falling pair is legal.

use serde::{Deserialize, Serialize};

pub use super::physical::Physical;

/// Physical value at the first and at the last value of a range.
pub type Span = (f64, f64);

/// In what a rate runs evenly between the ends of its range.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum EvenIn {
    /// Evenly in events a second (or revolutions a minute).
    #[default]
    Hz,
    /// Evenly in the time one event takes: charts that print periods mean this.
    Seconds,
}

/// How light follows a level.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum Curve {
    /// The profile does not say. Taken as linear, and what follows is an estimate.
    #[default]
    Unknown,
    /// Light is the level.
    Linear,
    /// Light is the square of the level.
    Square,
    /// Light follows a smooth S: `3x² − 2x³`.
    S,
    /// Light at evenly spaced levels from 0 to full, each 0..1, straight lines between.
    Table(Vec<f64>),
}

impl Curve {
    /// Light, 0..1, at a level of 0..1.
    pub fn light(&self, level: f64) -> f64 {
        let x = if level.is_finite() { level.clamp(0.0, 1.0) } else { 0.0 };
        match self {
            Self::Unknown | Self::Linear => x,
            Self::Square => x * x,
            Self::S => x * x * (3.0 - 2.0 * x),
            Self::Table(points) => match points.as_slice() {
                [] => x,
                [only] => *only,
                points => {
                    let at = x * (points.len() - 1) as f64;
                    let i = (at as usize).min(points.len() - 2);
                    points[i] + (points[i + 1] - points[i]) * (at - i as f64)
                }
            },
        }
    }
}

/// The course of one flash.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Shape {
    /// On at once, off at once.
    #[default]
    Hard,
    /// Up and down evenly.
    Swell,
    /// Up evenly, off at once.
    Opening,
    /// On at once, down evenly.
    Closing,
}

/// When flashes come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Timing {
    /// Evenly.
    #[default]
    Even,
    /// At random, with the rate as the mean.
    Random,
    /// In bursts with pauses between.
    Burst,
}

/// What a reset sends home.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum ResetPart {
    /// Everything.
    #[default]
    Whole,
    /// Pan and tilt only.
    Aim,
    /// Everything but pan and tilt.
    Effects,
}

/// A switch inside the fixture that outlives the value that set it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Switch {
    /// Dark while pan or tilt moves.
    DarkWhileAiming,
    /// Dark while a wheel moves.
    DarkWhileWheels,
    /// Pan runs backwards.
    InvertPan,
    /// Tilt runs backwards.
    InvertTilt,
    /// The cooling fan runs at full.
    FanFull,
    /// The display stays lit.
    Display,
}

impl Switch {
    /// Every switch, in the order of declaration.
    pub const ALL: [Self; 6] = [
        Self::DarkWhileAiming,
        Self::DarkWhileWheels,
        Self::InvertPan,
        Self::InvertTilt,
        Self::FanFull,
        Self::Display,
    ];

    /// The switch in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::DarkWhileAiming => "dark while aiming",
            Self::DarkWhileWheels => "dark while wheels move",
            Self::InvertPan => "pan invert",
            Self::InvertTilt => "tilt invert",
            Self::FanFull => "fan at full",
            Self::Display => "display",
        }
    }
}

/// What a range does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Effect {
    // Aim.
    /// Pan to an angle.
    Pan {
        /// Degrees from the middle of the travel; positive is anticlockwise seen from above, hung.
        deg: Span,
    },
    /// Tilt to an angle.
    Tilt {
        /// Degrees from straight along the pan axis; positive tips a hung head upstage.
        deg: Span,
    },
    /// Pan without end at a rate.
    PanSpin {
        /// Revolutions a minute; positive is anticlockwise seen from above, hung.
        rpm: Span,
    },
    /// Tilt without end at a rate.
    TiltSpin {
        /// Revolutions a minute.
        rpm: Span,
    },
    /// Stop spinning in pan and stay: no position is asked for.
    PanStop,
    /// Stop spinning in tilt and stay: no position is asked for.
    TiltStop,
    /// Pan and tilt move at this speed.
    AimRate {
        /// Degrees a second.
        deg_s: Span,
    },
    /// Every move of pan and tilt takes this long.
    AimTime {
        /// Seconds.
        s: Span,
    },
    /// Pan and tilt move at this share of their top speed.
    AimShare {
        /// Percent of the head's own top speed.
        percent: Span,
    },
    /// Pan and tilt follow the frame as fast as they can.
    AimFollow,
    /// No light while pan or tilt moves.
    DarkWhileAiming,
    /// No light while a wheel moves.
    DarkWhileWheels,

    // Level.
    /// Level of light.
    Dimmer {
        /// Percent of full.
        percent: Span,
        /// How light follows the level.
        #[serde(default, skip_serializing_if = "is_default")]
        curve: Curve,
    },

    // Shutter.
    /// No light.
    Shut,
    /// Light, steady.
    Open,
    /// Flashes at a rate.
    Strobe {
        /// Flashes a second.
        hz: Span,
        /// The course of one flash.
        #[serde(default, skip_serializing_if = "is_default")]
        shape: Shape,
        /// When flashes come.
        #[serde(default, skip_serializing_if = "is_default")]
        timing: Timing,
        /// In what the rate runs evenly.
        #[serde(default, skip_serializing_if = "is_default")]
        even_in: EvenIn,
    },

    // Wheels: colour, pattern, prism and animation alike.
    /// A wheel slot.
    Slot {
        /// The wheel.
        wheel: String,
        /// The slot, from 1.
        slot: u16,
    },
    /// The edge between two wheel slots, half and half.
    Split {
        /// The wheel.
        wheel: String,
        /// The two slots, from 1.
        between: (u16, u16),
    },
    /// Anywhere on the wheel, without steps.
    Glide {
        /// The wheel.
        wheel: String,
        /// Places, from 1; a fraction lies between two slots.
        slots: Span,
    },
    /// A wheel slot, trembling.
    Shake {
        /// The wheel.
        wheel: String,
        /// The slot, from 1.
        slot: u16,
        /// Swings a second.
        hz: Span,
    },
    /// The wheel turns without end.
    Scroll {
        /// The wheel.
        wheel: String,
        /// Revolutions a minute; positive passes the slots in rising order.
        rpm: Span,
        /// In what the rate runs evenly.
        #[serde(default, skip_serializing_if = "is_default")]
        even_in: EvenIn,
    },
    /// The wheel stays where it happens to be.
    Halt {
        /// The wheel.
        wheel: String,
    },
    /// Slots at random.
    RandomSlots {
        /// The wheel.
        wheel: String,
        /// Changes a second.
        hz: Span,
    },
    /// What stands in the beam (a pattern, a prism) turned to an angle.
    Turn {
        /// The wheel.
        wheel: String,
        /// Degrees; positive is anticlockwise seen against the beam.
        deg: Span,
    },
    /// What stands in the beam turns without end.
    Spin {
        /// The wheel.
        wheel: String,
        /// Revolutions a minute; positive is anticlockwise seen against the beam.
        rpm: Span,
        /// In what the rate runs evenly.
        #[serde(default, skip_serializing_if = "is_default")]
        even_in: EvenIn,
    },
    /// What stands in the beam stops turning, where it happens to be.
    SpinStop {
        /// The wheel.
        wheel: String,
    },

    // Colour.
    /// Level of one emitter.
    Emitter {
        /// The emitter, as the source names it.
        name: String,
        /// Percent of its full output.
        percent: Span,
    },
    /// A colour filter moved into the light.
    Filter {
        /// `cyan`, `magenta` or `yellow`.
        name: FilterName,
        /// Percent in; 0 is out of the light.
        percent: Span,
    },
    /// Colour temperature.
    Temperature {
        /// Kelvin that results.
        k: Span,
    },

    // Beam.
    /// Beam angle.
    Zoom {
        /// Degrees of the full angle between the 50 % directions.
        deg: Span,
    },
    /// Focus.
    Focus {
        /// 0 is focused near, 100 far.
        percent: Span,
    },
    /// Iris.
    Iris {
        /// Percent of the full diameter.
        percent: Span,
    },
    /// The iris opens and closes by itself.
    IrisPulse {
        /// Pulses a second.
        hz: Span,
        /// The course of one pulse.
        #[serde(default, skip_serializing_if = "is_default")]
        shape: Shape,
    },
    /// Frost.
    Frost {
        /// Percent in.
        percent: Span,
    },
    /// A framing blade pushed in.
    Blade {
        /// 1 top, 2 right, 3 bottom, 4 left, as the beam sees it.
        blade: u8,
        /// Percent in; 100 reaches the middle.
        percent: Span,
    },
    /// A framing blade turned.
    BladeTurn {
        /// 1 top, 2 right, 3 bottom, 4 left, as the beam sees it.
        blade: u8,
        /// Degrees.
        deg: Span,
    },
    /// All framing blades turned together.
    FrameTurn {
        /// Degrees.
        deg: Span,
    },

    // Control.
    /// Nothing, on purpose.
    Idle,
    /// Something that is not known: the chart does not say, or nobody has looked yet. Not the same as
    /// nothing.
    Unknown,
    /// Nothing by itself: says what another channel means.
    Select,
    /// The head goes dark, finds its ends and comes back.
    Reset {
        /// What goes home.
        #[serde(default, skip_serializing_if = "is_default")]
        part: ResetPart,
        /// How long the value must be held. `None` where the manual does not say.
        #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
        hold_s: Option<f64>,
        /// How long it takes. `None` where the manual does not say.
        #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
        takes_s: Option<f64>,
    },
    /// The lamp is struck.
    LampOn {
        /// How long the value must be held.
        #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
        hold_s: Option<f64>,
    },
    /// The lamp is put out.
    LampOff {
        /// How long the value must be held.
        #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
        hold_s: Option<f64>,
    },
    /// A switch is set and stays set when the value goes.
    Latch {
        /// The switch.
        switch: Switch,
        /// On or off.
        on: bool,
        /// How long the value must be held.
        #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
        hold_s: Option<f64>,
    },
    /// The dimmer follows this curve from now on.
    UseCurve {
        /// The curve.
        curve: Curve,
        /// How long the value must be held.
        #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
        hold_s: Option<f64>,
    },
    /// A built-in program runs and overrides the rest.
    Program {
        /// Its name.
        name: String,
    },
    /// A built-in program runs to the sound in the room and overrides the rest.
    Sound,
    /// The fixture does what another one tells it, and ignores this line.
    Follow,
}

/// A subtractive filter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FilterName {
    /// Takes out red.
    Cyan,
    /// Takes out green.
    Magenta,
    /// Takes out blue.
    Yellow,
}

impl FilterName {
    /// The filter in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cyan => "cyan",
            Self::Magenta => "magenta",
            Self::Yellow => "yellow",
        }
    }
}

/// Whether a value is what a file that leaves it out means.
pub(crate) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// Reads and writes an `Option` as the bare value, so that a file says `hold_s: 4.0`, not
/// `hold_s: Some(4.0)`. Absent is `None`.
pub(crate) mod plain_option {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub(crate) fn serialize<T: Serialize, S: Serializer>(
        value: &Option<T>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        match value {
            Some(value) => value.serialize(serializer),
            None => serializer.serialize_unit(),
        }
    }

    pub(crate) fn deserialize<'de, T: Deserialize<'de>, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<T>, D::Error> {
        T::deserialize(deserializer).map(Some)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn curves_give_no_light_at_zero_and_all_at_full() {
        let table = Curve::Table(vec![0.0, 0.1, 1.0]);
        for curve in [Curve::Unknown, Curve::Linear, Curve::Square, Curve::S, table] {
            assert_eq!(curve.light(0.0), 0.0, "{curve:?}");
            assert_eq!(curve.light(1.0), 1.0, "{curve:?}");
        }
    }
}
