//! Repeating movements as the content of a cue, resolved into values like everything else.

use std::f64::consts::TAU;

use serde::{Deserialize, Serialize};

use crate::rig::FixtureId;

/// A repeating movement of a selection.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Movement {
    /// The fixtures, in the order in which it passes over them.
    pub fixtures: Vec<FixtureId>,
    /// What moves.
    pub kind: MovementKind,
    /// Its course.
    #[serde(default, skip_serializing_if = "crate::profile::effect::is_default")]
    pub wave: Wave,
    /// Turns a second; a negative number runs backwards.
    pub hz: f64,
    /// How far it goes to either side, in the unit of what moves (degrees of aim); for a level, how far
    /// it falls, in percent of the level.
    pub size: f64,
    /// How much of a turn lies between the first fixture and where one behind the last would be: 1
    /// spreads one whole turn evenly over the selection, 0 has all move alike.
    #[serde(default, skip_serializing_if = "crate::profile::effect::is_default")]
    pub spread: f64,
}

/// What a movement moves.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum MovementKind {
    /// Pan and tilt, a quarter of a turn apart.
    Circle,
    /// Pan.
    Pan,
    /// Tilt.
    Tilt,
    /// The level of light, below what the cues have it at.
    Level,
    /// A channel, by its name.
    Channel(String),
}

/// The course of a movement through a turn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Wave {
    /// A sine.
    #[default]
    Sine,
    /// Straight up and straight down.
    Triangle,
    /// Up half of the turn, down the other half.
    Square,
    /// Straight up, and down at once.
    Saw,
}

impl Wave {
    /// Where it is, −1..1, after a number of turns. A sine, a triangle and a saw start at 0 and rise.
    pub fn at(self, turns: f64) -> f64 {
        let x = turns - turns.floor();
        match self {
            Self::Sine => (x * TAU).sin(),
            Self::Triangle if x < 0.25 => 4.0 * x,
            Self::Triangle if x < 0.75 => 2.0 - 4.0 * x,
            Self::Triangle => 4.0 * x - 4.0,
            Self::Square if x < 0.5 => 1.0,
            Self::Square => -1.0,
            Self::Saw if x < 0.5 => 2.0 * x,
            Self::Saw => 2.0 * x - 2.0,
        }
    }
}

/// A movement as it acts on the value of one channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    pub(super) wave: Wave,
    pub(super) hz: f64,
    /// Where in its turn it starts.
    pub(super) phase: f64,
    pub(super) reach: Reach,
    /// The range that it may not leave, at full resolution.
    pub(super) within: (f64, f64),
}

/// How a swing joins the value below it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Reach {
    /// It is added: so much at the most, at full resolution.
    Added(f64),
    /// It takes this share of what lies between the value that gives no light and the value.
    Below { zero: f64, depth: f64 },
}

impl Swing {
    /// Turns a second; negative where it runs backwards.
    pub fn hz(&self) -> f64 {
        self.hz
    }

    /// The value with the swing on top, `for_s` after it began, at a share of its size.
    pub(super) fn over(&self, value: f64, for_s: f64, share: f64) -> f64 {
        let x = self.wave.at(self.phase + self.hz * for_s);
        let swung = match self.reach {
            Reach::Added(size) => value + size * share * x,
            Reach::Below { zero, depth } => {
                zero + (value - zero) * (1.0 - depth * share * (0.5 - 0.5 * x))
            }
        };
        // A value outside the range stays where it is rather than being pulled into it.
        let (low, high) = self.within;
        swung.clamp(low.min(value), high.max(value))
    }
}
