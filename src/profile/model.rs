//! The profile: what one fixture model is and does.
//!
//! Values in ranges are what a manual prints: 0..255 of the coarse slot. A range of a wider channel
//! runs from `from << 8` to `(to << 8) | 255` (and so on for 24 and 32 bits); a range may instead
//! give `fine_from` and `fine_to` at the channel's full resolution.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

use super::effect::{Effect, is_default, plain_option};
use super::ron_text::unique_map;
use super::times::{OnLoss, Times};

/// What one fixture model is and does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Who makes it.
    pub maker: String,
    /// What it is called.
    pub model: String,
    /// Which state of this profile it is.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub revision: String,
    /// Where the profile's figures come from.
    #[serde(default, skip_serializing_if = "is_default")]
    pub provenance: Provenance,
    /// The body.
    #[serde(default, skip_serializing_if = "is_default")]
    pub body: Body,
    /// What moves.
    pub head: Head,
    /// What makes the light.
    pub source: Source,
    /// How wide the light leaves.
    pub optics: Optics,
    /// Wheels by name: colours, patterns, prisms, animations.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty", deserialize_with = "unique_map")]
    pub wheels: BTreeMap<String, Wheel>,
    /// How long its other parts take.
    #[serde(default, skip_serializing_if = "is_default")]
    pub times: Times,
    /// What it does when no more frames come.
    #[serde(default, skip_serializing_if = "is_default")]
    pub on_loss: OnLoss,
    /// Where the light-emitting cells sit, in metres from the fixture's centre (x along its length,
    /// y across, as hung). Empty: one cell at the centre. Cell 1 is the first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cells: Vec<(f64, f64)>,
    /// Drawings of this profile's own, by name: openings as polygons in the unit disc.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty", deserialize_with = "unique_map")]
    pub drawings: BTreeMap<String, Vec<Vec<(f64, f64)>>>,
    /// What checks say of this profile and its author means to be so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub accepted: Vec<Accepted>,
    /// The channel layouts.
    pub modes: Vec<Mode>,
}

/// A finding that the author of a profile has looked at and means to be so.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Accepted {
    /// The kind of finding, by the name that checks show in brackets: `default-dark`.
    pub code: String,
    /// What the finding is about, in the words of the check: `mode "full", channel "Shutter"`, which
    /// takes in its ranges. Empty: wherever in the profile such a finding is made.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub at: String,
    /// Why it is as it should be.
    #[serde(default)]
    pub reason: String,
}

impl Accepted {
    /// Whether it is about findings of a kind, made about `item`.
    pub fn covers(&self, code: &str, item: &str) -> bool {
        let rest = item.strip_prefix(self.at.as_str());
        let at = self.at.is_empty() || rest.is_some_and(|r| r.is_empty() || r.starts_with(','));
        self.code == code && at
    }
}

/// What names a profile in a show: maker and model.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ProfileKey(pub String);

impl fmt::Display for ProfileKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Profile {
    /// The key a show names it by: `maker model`.
    pub fn key(&self) -> ProfileKey {
        ProfileKey(format!("{} {}", self.maker, self.model))
    }

    /// The mode called `name`.
    pub fn mode(&self, name: &str) -> Option<&Mode> {
        self.modes.iter().find(|mode| mode.name == name)
    }

    /// How many light-emitting cells there are, at least 1.
    pub fn cell_count(&self) -> usize {
        self.cells.len().max(1)
    }
}

/// Where the figures of a profile come from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Provenance {
    /// The chart or manual they were read from, with its date.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub chart: String,
    /// The fixture's software version that the chart is for.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub software: String,
    /// Who checked it against a real fixture.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub checked_by: String,
}

/// The body.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Body {
    /// Mass in kilograms.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub mass_kg: Option<f64>,
    /// Greatest power drawn, in watts.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub power_w: Option<f64>,
    /// Width, depth and height as hung, in metres.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub size_m: Option<(f64, f64, f64)>,
}

/// What moves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Head {
    /// Nothing: the beam leaves along the fixture's own axis.
    Fixed,
    /// The whole head, on a yoke.
    Moving {
        /// Turns the yoke.
        pan: Axis,
        /// Turns the head in the yoke.
        tilt: Axis,
    },
    /// A mirror before a fixed body. The angles are those of the light, not of the mirror.
    Mirror {
        /// Swings the light sideways.
        pan: Axis,
        /// Swings the light up and down.
        tilt: Axis,
    },
}

impl Head {
    /// Pan and tilt axes, where there are any.
    pub fn axes(&self) -> Option<(&Axis, &Axis)> {
        match self {
            Self::Fixed => None,
            Self::Moving { pan, tilt } | Self::Mirror { pan, tilt } => Some((pan, tilt)),
        }
    }
}

/// One axis of aim.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    /// Whole travel between the end stops, in degrees.
    pub travel_deg: f64,
    /// Top speed in degrees a second. `None`: the manual does not say.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub speed_deg_s: Option<f64>,
    /// Acceleration in degrees a second squared. `None`: the manual does not say.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub accel_deg_s2: Option<f64>,
    /// It can turn without end.
    #[serde(default, skip_serializing_if = "is_default")]
    pub endless: bool,
}

/// What kind of lamp makes white light.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Lamp {
    /// Light-emitting diodes: fast, always ready.
    #[default]
    Led,
    /// A discharge lamp: must be struck, dims by a flag.
    Discharge,
    /// A filament: slow to glow and to fade.
    Tungsten,
}

/// What makes the light.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Source {
    /// One white source.
    White {
        /// Luminous flux that leaves the fixture open and at full, in lumens.
        flux_lm: f64,
        /// Colour temperature in kelvin.
        cct_k: f64,
        /// What kind of lamp it is.
        #[serde(default, skip_serializing_if = "is_default")]
        lamp: Lamp,
    },
    /// Coloured emitters that add.
    Emitters(Vec<Emitter>),
}

impl Source {
    /// The emitters, empty for a white source.
    pub fn emitters(&self) -> &[Emitter] {
        match self {
            Self::White { .. } => &[],
            Self::Emitters(emitters) => emitters,
        }
    }

    /// Flux with everything at full, in lumens.
    pub fn full_flux_lm(&self) -> f64 {
        match self {
            Self::White { flux_lm, .. } => *flux_lm,
            Self::Emitters(emitters) => emitters.iter().map(|e| e.flux_lm).sum(),
        }
    }
}

/// One colour of emitter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Emitter {
    /// What channels call it.
    pub name: String,
    /// CIE 1931 chromaticity.
    pub xy: (f64, f64),
    /// Luminous flux at full, in lumens, all cells together.
    pub flux_lm: f64,
}

/// How wide the light leaves when no channel says otherwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Optics {
    /// Full angle between the directions of 50 % of the peak, in degrees.
    pub beam_deg: f64,
    /// Full angle between the directions of 10 % of the peak, in degrees.
    pub field_deg: f64,
    /// Peak intensity in candela at that beam angle, where the manual gives it; else it follows from
    /// the flux.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub peak_cd: Option<f64>,
}

/// A wheel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wheel {
    /// Time from one slot to the next, in seconds. `None`: the manual does not say.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub move_s: Option<f64>,
    /// It may go either way round, whichever is shorter. `None`: the manual does not say.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub shortest: Option<bool>,
    /// The slots, in order; the first is slot 1.
    pub slots: Vec<WheelSlot>,
}

/// What sits in one slot of a wheel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum WheelSlot {
    /// Nothing.
    Open,
    /// A colour filter: name and the sRGB colour that white light becomes.
    Tint(String, String),
    /// A pattern: name and drawing.
    Pattern(String, String),
    /// Nothing passes: name.
    Blocked(String),
    /// A prism.
    Prism {
        /// Its name.
        name: String,
        /// How many images it makes.
        facets: u8,
        /// How far each image is thrown from the middle, in degrees.
        spread_deg: f64,
    },
    /// A moving texture across the beam: name and drawing.
    Animation(String, String),
}

impl WheelSlot {
    /// The slot in words.
    pub fn name(&self) -> &str {
        match self {
            Self::Open => "open",
            Self::Tint(name, _)
            | Self::Pattern(name, _)
            | Self::Blocked(name)
            | Self::Animation(name, _)
            | Self::Prism { name, .. } => name,
        }
    }
}

/// One channel layout of a profile.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mode {
    /// What the fixture's own menu calls it.
    pub name: String,
    /// How many slots the fixture takes, described or not.
    pub slots: u16,
    /// Its controls.
    pub channels: Vec<Channel>,
}

impl Mode {
    /// The channel called `name`.
    pub fn channel(&self, name: &str) -> Option<&Channel> {
        self.channels.iter().find(|channel| channel.name == name)
    }
}

/// One control of a mode.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Channel {
    /// What a person calls it.
    pub name: String,
    /// Its 1 to 4 slots counted from the fixture's first (which is 1), most significant first. They
    /// need not be adjacent or in order.
    pub at: Vec<u16>,
    /// The value at rest, at the channel's full resolution.
    #[serde(default, skip_serializing_if = "is_default")]
    pub default: u32,
    /// It jumps in a fade instead of passing through what lies between.
    #[serde(default, skip_serializing_if = "is_default")]
    pub snap: bool,
    /// The cell it drives, from 1. `None`: the whole fixture.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub cell: Option<u16>,
    /// What its values do.
    pub ranges: Vec<Range>,
}

impl Channel {
    /// The greatest value of this channel at full resolution.
    pub fn max_value(&self) -> u32 {
        max_value(self.at.len())
    }
}

/// The greatest value of a channel of `width` slots: 255, 65 535, ...; 0 for no slots.
pub fn max_value(width: usize) -> u32 {
    match width {
        0 => 0,
        1..=3 => (1u32 << (8 * width)) - 1,
        _ => u32::MAX,
    }
}

/// An interval of a channel's values that does one thing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Range {
    /// First value of the coarse slot, 0..255.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub from: Option<i64>,
    /// Last value of the coarse slot, 0..255.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub to: Option<i64>,
    /// First value at full resolution, instead of `from`.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub fine_from: Option<i64>,
    /// Last value at full resolution, instead of `to`.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub fine_to: Option<i64>,
    /// What it does.
    pub does: Effect,
    /// What it does besides.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Effect>,
    /// What the manual calls it. Empty: the effect's own words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// It holds only while all of these do.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub when: Vec<Condition>,
}

impl Range {
    /// Everything it does.
    pub fn effects(&self) -> impl Iterator<Item = &Effect> {
        std::iter::once(&self.does).chain(&self.also)
    }

    /// First and last value at the full resolution of a channel of `width` slots, both included.
    /// `None` where an end is missing or lies outside the channel.
    pub fn bounds(&self, width: usize) -> Option<(u32, u32)> {
        let shift = 8 * width.checked_sub(1)? as u32;
        let first = match (self.fine_from, self.from) {
            (Some(fine), _) => u32::try_from(fine).ok()?,
            (None, Some(coarse)) => u32::from(u8::try_from(coarse).ok()?).checked_shl(shift)?,
            (None, None) => return None,
        };
        let last = match (self.fine_to, self.to) {
            (Some(fine), _) => u32::try_from(fine).ok()?,
            (None, Some(coarse)) => {
                let coarse = u32::from(u8::try_from(coarse).ok()?);
                coarse.checked_shl(shift)? | max_value(width - 1)
            }
            (None, None) => return None,
        };
        let max = max_value(width);
        (first <= max && last <= max).then_some((first, last))
    }
}

/// Another channel's coarse value lies in an interval: `("Pattern", 64, 127)`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Condition(pub String, pub i64, pub i64);

#[cfg(test)]
mod tests {
    use super::*;

    fn range(from: i64, to: i64) -> Range {
        Range {
            from: Some(from),
            to: Some(to),
            fine_from: None,
            fine_to: None,
            does: Effect::Idle,
            also: Vec::new(),
            label: String::new(),
            when: Vec::new(),
        }
    }

    #[test]
    fn coarse_bounds_widen_to_the_whole_fine_slots() {
        assert_eq!(range(16, 31).bounds(1), Some((16, 31)));
        assert_eq!(range(16, 31).bounds(2), Some((0x1000, 0x1fff)));
        assert_eq!(range(0, 255).bounds(3), Some((0, 0x00ff_ffff)));
        assert_eq!(range(0, 255).bounds(4), Some((0, u32::MAX)));
    }

    #[test]
    fn bounds_outside_the_channel_are_refused() {
        assert_eq!(range(0, 256).bounds(1), None);
        assert_eq!(range(-1, 3).bounds(1), None);
        assert_eq!(range(0, 3).bounds(0), None);
        let fine = Range { fine_from: Some(0), fine_to: Some(65_536), ..range(0, 1) };
        assert_eq!(fine.bounds(2), None);
    }
}
