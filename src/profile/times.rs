//! How long the parts of a fixture take, and what it does when the frames stop.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::effect::plain_option;

/// Times of what moves besides pan, tilt and the wheels, in seconds. `None`: the manual does not say.
///
/// A travel time is that of the whole way from one end of what channels can ask for to the other.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Times {
    /// Zoom from end to end.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub zoom_s: Option<f64>,
    /// Focus from end to end.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub focus_s: Option<f64>,
    /// Iris from open to closed.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub iris_s: Option<f64>,
    /// Frost from out to in.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub frost_s: Option<f64>,
    /// A colour filter from out to in.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub filter_s: Option<f64>,
    /// A framing blade, or all of them turned, from end to end.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub blade_s: Option<f64>,
    /// What stands in a wheel's slot turned once round.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub turn_s: Option<f64>,
    /// The dimmer flag of a discharge source from closed to open.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub dimmer_s: Option<f64>,
    /// A filament's rise to 63.2 % of a step in level: its time constant.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub rise_s: Option<f64>,
    /// A filament's fall by 63.2 % of a step in level: its time constant.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub fall_s: Option<f64>,
    /// From striking a discharge lamp to light.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub strike_s: Option<f64>,
    /// From putting a discharge lamp out until it can be struck again.
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub cool_s: Option<f64>,
}

impl Times {
    /// Every time by the name of its field.
    pub fn all(&self) -> [(&'static str, Option<f64>); 12] {
        [
            ("zoom_s", self.zoom_s),
            ("focus_s", self.focus_s),
            ("iris_s", self.iris_s),
            ("frost_s", self.frost_s),
            ("filter_s", self.filter_s),
            ("blade_s", self.blade_s),
            ("turn_s", self.turn_s),
            ("dimmer_s", self.dimmer_s),
            ("rise_s", self.rise_s),
            ("fall_s", self.fall_s),
            ("strike_s", self.strike_s),
            ("cool_s", self.cool_s),
        ]
    }
}

/// How long a receiver waits for a frame before it takes the signal as lost, in seconds: the longest
/// time between two breaks that a receiver accepts (ANSI E1.11-2008, as quoted by implementations).
pub const LOSS_AFTER_S: f64 = 1.25;

/// What a fixture does when no more frames come (ANSI E1.11 leaves that to the maker, who must say it;
/// from memory).
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct OnLoss {
    /// How long after the last frame it acts, in seconds. `None`: [`LOSS_AFTER_S`].
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub after_s: Option<f64>,
    /// What it then does. `None`: the manual does not say; taken as [`Loss::Hold`].
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub does: Option<Loss>,
}

impl OnLoss {
    /// How long after the last frame it acts, in seconds.
    pub fn wait_s(&self) -> f64 {
        self.after_s.unwrap_or(LOSS_AFTER_S)
    }
}

/// What a fixture does without a signal.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Loss {
    /// Whatever was asked last.
    Hold,
    /// No light.
    Dark,
    /// A look of its own.
    Standby {
        /// How long its light takes to get there, in seconds.
        #[serde(default)]
        fade_s: f64,
        /// Values of channels by name, at the channel's full resolution. A channel that is not named
        /// stands at its value at rest.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        values: BTreeMap<String, u32>,
    },
}
