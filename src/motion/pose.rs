//! What a fixture is doing.

use crate::decode::Override;
use crate::profile::{Shape, Timing};

/// Flashes of a shutter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flash {
    /// Flashes a second; the mean where they are random.
    pub hz: f64,
    /// The course of one.
    pub shape: Shape,
    /// When they come.
    pub timing: Timing,
}

/// The state of a lamp.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lamp {
    /// It gives light whenever it has power: no lamp to strike.
    #[default]
    Ready,
    /// It burns.
    On,
    /// It was struck and does not give light yet.
    Striking,
    /// It was put out, and is too hot to be struck again.
    Hot,
    /// It was put out, and can be struck.
    Off,
    /// A discharge lamp of which nothing was heard. Drawn as if it were on.
    Unknown,
}

impl Lamp {
    /// Whether light may come from it.
    pub fn gives_light(self) -> bool {
        matches!(self, Self::Ready | Self::On | Self::Unknown)
    }
}

/// What one light-emitting cell is doing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CellPose {
    /// Light that passes dimmers and shutter, 0..1, as the mean over a flash.
    pub light: f64,
    /// The same at this very instant, in or between flashes.
    pub instant: f64,
    /// Flashes, if there are any.
    pub flash: Option<Flash>,
    /// Level of each emitter, 0..1.
    pub emitters: Vec<f64>,
    /// How far the cyan, magenta and yellow filters are in, 0..1.
    pub filters: [f64; 3],
    /// Colour temperature, where a channel sets it.
    pub temperature_k: Option<f64>,
}

/// Where one wheel stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelPose {
    /// The place, from 1; a fraction lies between two slots.
    pub place: f64,
    /// How far what stands in the slot is turned, in degrees.
    pub turn_deg: f64,
    /// Revolutions a minute of the wheel, positive in rising order of slots.
    pub scroll_rpm: f64,
    /// Revolutions a minute of what stands in the slot.
    pub spin_rpm: f64,
    /// Swings a second about the slot.
    pub shake_hz: f64,
}

impl WheelPose {
    /// A wheel at slot 1 that does nothing.
    pub const REST: Self =
        Self { place: 1.0, turn_deg: 0.0, scroll_rpm: 0.0, spin_rpm: 0.0, shake_hz: 0.0 };
}

/// What a fixture is doing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pose {
    /// Angle of the pan axis, after swap, invert and offset, in degrees.
    pub pan_deg: f64,
    /// Angle of the tilt axis, after swap, invert and offset, in degrees.
    pub tilt_deg: f64,
    /// Revolutions a minute of an endless pan.
    pub pan_spin_rpm: f64,
    /// Revolutions a minute of an endless tilt.
    pub tilt_spin_rpm: f64,
    /// Every light-emitting cell; cell 1 is the first.
    pub cells: Vec<CellPose>,
    /// Every wheel, in the order of the compiled mode.
    pub wheels: Vec<WheelPose>,
    /// Beam angle in degrees, where a channel sets it.
    pub zoom_deg: Option<f64>,
    /// 0 near, 1 far, where a channel sets it.
    pub focus: Option<f64>,
    /// Share of the full diameter, 0..1.
    pub iris: f64,
    /// How far in, 0..1.
    pub frost: f64,
    /// Depth (0..1) and angle (degrees) of the blades: top, right, bottom, left.
    pub blades: [(f64, f64); 4],
    /// All blades turned together, in degrees.
    pub frame_turn_deg: f64,
    /// The lamp.
    pub lamp: Lamp,
    /// What runs instead of what is asked. The rest of the pose is then not known.
    pub overridden_by: Option<Override>,
}

impl Pose {
    /// The greatest light of any cell, 0..1; 0 where something else runs the fixture or its lamp is
    /// off.
    pub fn light(&self) -> f64 {
        if self.overridden_by.is_some() || !self.lamp.gives_light() {
            return 0.0;
        }
        self.cells.iter().map(|cell| cell.light).fold(0.0, f64::max)
    }

    /// The greatest light of any cell at this very instant, in or between flashes, 0..1.
    pub fn instant(&self) -> f64 {
        if self.overridden_by.is_some() || !self.lamp.gives_light() {
            return 0.0;
        }
        self.cells.iter().map(|cell| cell.instant).fold(0.0, f64::max)
    }

    /// The fastest flash of any lit cell.
    pub fn flash(&self) -> Option<Flash> {
        let flashes = self.cells.iter().filter(|cell| cell.light > 0.0).filter_map(|c| c.flash);
        flashes.reduce(|a, b| if b.hz > a.hz { b } else { a })
    }
}
