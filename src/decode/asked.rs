//! What is asked of a fixture, typed and in physical terms.
//!
//! The serialized form is part of the stable output of `slotwright read --json`.

use serde::Serialize;

use super::compile::CompiledMode;
use super::parts::Parts;
use crate::profile::effect::{ResetPart, Switch};
use crate::profile::{Curve, Shape, Timing};

/// What is asked of one axis, or of what turns in a wheel's slot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AxisAsk {
    /// No channel asks anything of it.
    #[default]
    Unasked,
    /// A position in degrees.
    To {
        /// Degrees: from the middle of an axis's travel, or from how a wheel's slot was loaded.
        deg: f64,
    },
    /// To turn without end.
    Spin {
        /// Revolutions a minute.
        rpm: f64,
    },
    /// To stop where it is: not the same as a position.
    Stay,
}

/// How fast pan and tilt are asked to move.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AimSpeed {
    /// No channel says.
    #[default]
    Unasked,
    /// As fast as the frame asks.
    Follow,
    /// At a speed.
    Rate {
        /// Degrees a second.
        deg_s: f64,
    },
    /// Each move in a time.
    Time {
        /// Seconds.
        s: f64,
    },
    /// At a share of the top speed.
    Share {
        /// 0..1.
        share: f64,
    },
}

/// What is asked of a shutter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ShutterAsk {
    /// No channel asks anything of it.
    #[default]
    Unasked,
    /// No light.
    Shut,
    /// Steady light.
    Open,
    /// Flashes.
    Flash {
        /// Flashes a second (the mean, where they are random).
        hz: f64,
        /// The course of one.
        #[serde(serialize_with = "debug_name")]
        shape: Shape,
        /// When they come.
        #[serde(serialize_with = "debug_name")]
        timing: Timing,
    },
}

/// What is asked of one light-emitting cell. Channels of the whole fixture reach every cell.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CellAsk {
    /// Light let through by the dimmers, 0..1 after their curves. `None`: there is no dimmer.
    pub level: Option<f64>,
    /// The shutter.
    pub shutter: ShutterAsk,
    /// Level of each emitter of the source, 0..1; `None` where no channel drives it.
    pub emitters: Vec<Option<f64>>,
    /// How far the cyan, magenta and yellow filters are in, 0..1.
    pub filters: [Option<f64>; 3],
    /// Colour temperature.
    pub temperature_k: Option<f64>,
    /// The level by the dimmers' own curves, then by each that a control channel can choose. Empty where
    /// none can be chosen.
    #[serde(skip)]
    pub(crate) curved: Vec<f64>,
}

/// Where a wheel is asked to stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WheelPlace {
    /// No channel asks anything of it.
    #[default]
    Unasked,
    /// A place, counted from 1; a fraction lies between two slots.
    At {
        /// The place.
        place: f64,
    },
    /// A slot, trembling.
    Shake {
        /// The slot, from 1.
        slot: u16,
        /// Swings a second.
        hz: f64,
    },
    /// To turn without end; positive passes the slots in rising order.
    Scroll {
        /// Revolutions a minute.
        rpm: f64,
    },
    /// To stay where it is.
    Stay,
    /// Slots at random.
    Random {
        /// Changes a second.
        hz: f64,
    },
}

/// How what stands in a wheel's slot is asked to turn: the same can be asked of it as of an axis.
pub type TurnAsk = AxisAsk;

/// What is asked of one wheel.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WheelAsk {
    /// Its name.
    pub wheel: String,
    /// Where it stands.
    pub place: WheelPlace,
    /// How what stands in the slot turns.
    pub turn: TurnAsk,
}

/// What is asked of one framing blade.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct BladeAsk {
    /// How far in, 0..1; 1 reaches the middle.
    pub depth: Option<f64>,
    /// Its angle in degrees.
    pub turn_deg: Option<f64>,
}

/// Something that acts once its value was held long enough.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Command {
    /// Go home.
    Reset {
        /// What goes home.
        #[serde(serialize_with = "debug_name")]
        part: ResetPart,
        /// How long to hold; `None` is unknown.
        hold_s: Option<f64>,
        /// How long it takes; `None` is unknown.
        takes_s: Option<f64>,
    },
    /// Strike the lamp or put it out.
    Lamp {
        /// Strike it.
        on: bool,
        /// How long to hold; `None` is unknown.
        hold_s: Option<f64>,
    },
    /// Set a switch that stays set.
    Latch {
        /// The switch.
        #[serde(serialize_with = "debug_name")]
        switch: Switch,
        /// On or off.
        on: bool,
        /// How long to hold; `None` is unknown.
        hold_s: Option<f64>,
    },
    /// Use a dimmer curve from now on.
    UseCurve {
        /// The curve.
        #[serde(serialize_with = "debug_name")]
        curve: Curve,
        /// How long to hold; `None` is unknown.
        hold_s: Option<f64>,
        /// Which it is of those that the mode's control channels can choose, from 0.
        #[serde(skip)]
        nth: u16,
    },
}

/// What runs instead of what the other channels ask.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Override {
    /// A built-in program: its name, and the channel whose value turned it on.
    Program {
        /// Its name.
        name: String,
        /// The channel that turned it on.
        channel: String,
    },
    /// A built-in program to the sound in the room.
    Sound {
        /// The channel that turned it on.
        channel: String,
    },
    /// Another fixture leads.
    Follow {
        /// The channel that turned it on.
        channel: String,
    },
}

impl Override {
    /// What runs, in words.
    pub fn words(&self) -> String {
        match self {
            Self::Program { name, channel } => format!("built-in program `{name}` ({channel})"),
            Self::Sound { channel } => format!("built-in program to sound ({channel})"),
            Self::Follow { channel } => format!("follows another fixture ({channel})"),
        }
    }
}

/// What a frame asks of one fixture.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Asked {
    /// Pan, before swap, invert and offset.
    pub pan: AxisAsk,
    /// Tilt, before swap, invert and offset.
    pub tilt: AxisAsk,
    /// How fast they move.
    pub aim_speed: AimSpeed,
    /// No light while pan or tilt moves.
    pub dark_while_aiming: bool,
    /// No light while a wheel moves.
    pub dark_while_wheels: bool,
    /// Every light-emitting cell; cell 1 is the first.
    pub cells: Vec<CellAsk>,
    /// Every wheel of the profile.
    pub wheels: Vec<WheelAsk>,
    /// Beam angle in degrees.
    pub zoom_deg: Option<f64>,
    /// 0 near, 1 far.
    pub focus: Option<f64>,
    /// Share of the full diameter, 0..1.
    pub iris: Option<f64>,
    /// Pulses of the iris a second.
    pub iris_pulse_hz: Option<f64>,
    /// How far in, 0..1.
    pub frost: Option<f64>,
    /// Framing blades: top, right, bottom, left.
    pub blades: [BladeAsk; 4],
    /// All framing blades turned together, in degrees.
    pub frame_turn_deg: Option<f64>,
    /// What acts once held long enough.
    pub commands: Vec<Command>,
    /// What runs instead of all the rest.
    pub overridden_by: Option<Override>,
    /// Channels, as places in the mode, that have no value or one in no range, and were taken to stand
    /// as they do at rest. Written from 1, as everything that people and programs count.
    #[serde(serialize_with = "from_one")]
    pub taken_at_rest: Vec<u16>,
}

impl Asked {
    /// Room for what can be asked of a mode.
    pub fn for_mode(mode: &CompiledMode) -> Self {
        let profile = &mode.profile;
        let curves = mode.ops.chosen_curves.len();
        let cell = CellAsk {
            emitters: vec![None; profile.source.emitters().len()],
            curved: vec![1.0; if curves == 0 { 0 } else { curves + 1 }],
            ..CellAsk::default()
        };
        let wheels = mode.wheels.iter();
        Self {
            cells: vec![cell; profile.cell_count()],
            wheels: wheels
                .map(|wheel| WheelAsk { wheel: wheel.clone(), ..WheelAsk::default() })
                .collect(),
            commands: Vec::with_capacity(4),
            taken_at_rest: Vec::with_capacity(mode.channels.len()),
            ..Self::default()
        }
    }

    /// Back to nothing asked of these parts, keeping the room.
    pub(crate) fn clear(&mut self, parts: Parts) {
        if parts.meet(Parts::AIM) {
            (self.pan, self.tilt) = (AxisAsk::Unasked, AxisAsk::Unasked);
            self.aim_speed = AimSpeed::Unasked;
            (self.dark_while_aiming, self.dark_while_wheels) = (false, false);
        }
        if parts.meet(Parts::LIGHT) {
            for cell in &mut self.cells {
                cell.level = None;
                cell.shutter = ShutterAsk::Unasked;
                cell.emitters.fill(None);
                cell.filters = [None; 3];
                cell.temperature_k = None;
                cell.curved.fill(1.0);
            }
        }
        if parts.meet(Parts::WHEELS) {
            for wheel in &mut self.wheels {
                (wheel.place, wheel.turn) = (WheelPlace::Unasked, TurnAsk::Unasked);
            }
        }
        if parts.meet(Parts::OPTICS) {
            (self.zoom_deg, self.focus, self.frost) = (None, None, None);
            (self.iris, self.iris_pulse_hz) = (None, None);
            (self.blades, self.frame_turn_deg) = (Default::default(), None);
        }
        if parts.meet(Parts::CONTROL) {
            self.commands.clear();
            self.overridden_by = None;
        }
        self.taken_at_rest.clear();
    }

    /// Intensity worked out for a fixture without a dimmer: the level of its brightest emitter, the
    /// largest over its cells. `None` where a dimmer says it, or no emitter is driven.
    pub fn computed_level(&self) -> Option<f64> {
        if self.cells.iter().any(|cell| cell.level.is_some()) {
            return None;
        }
        let levels = self.cells.iter().flat_map(|cell| cell.emitters.iter().flatten().copied());
        levels.reduce(f64::max)
    }
}

fn from_one<S: serde::Serializer>(places: &[u16], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(places.iter().map(|place| u32::from(*place) + 1))
}

/// Writes a plain enum by its own name, in the files' spelling.
fn debug_name<T: std::fmt::Debug, S: serde::Serializer>(
    value: &T,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    serializer.collect_str(&format_args!("{value:?}"))
}
