//! What is assumed where a profile does not say: the one table of defaults. Whatever is worked out
//! from a row of it is an estimate.
//!
//! Every number is common practice, no source, unless its own line says otherwise.

use crate::profile::{Shape, Timing};

/// Share of a period that a hard strobe is lit: common practice, no source.
pub const STROBE_DUTY: f64 = 0.5;

/// Share of its period that a flash takes that swells, opens or closes at random moments.
pub const RANDOM_SWELL: f64 = 0.5;

/// Flashes in a burst; a burst's rate is that of the flashes within it.
pub const BURST_FLASHES: u64 = 4;

/// Pause behind a burst, in periods of its flashes.
pub const BURST_PAUSE: u64 = 4;

/// Mean light of flashes of this shape and timing, as a share of the peak. The swelling shapes are
/// triangles, so that theirs is exact; a hard strobe's is [`STROBE_DUTY`].
pub fn mean_light(shape: Shape, timing: Timing) -> f64 {
    let of_a_flash = match shape {
        Shape::Hard => STROBE_DUTY,
        Shape::Swell | Shape::Opening | Shape::Closing => 0.5,
    };
    match (timing, shape) {
        (Timing::Even, _) | (Timing::Random, Shape::Hard) => of_a_flash,
        (Timing::Random, _) => of_a_flash * RANDOM_SWELL,
        (Timing::Burst, _) => {
            of_a_flash * BURST_FLASHES as f64 / (BURST_FLASHES + BURST_PAUSE) as f64
        }
    }
}

/// Top speed of pan and tilt: 540 degrees in 3.0 s with the acceleration below, where charts have 2 to
/// 4 s.
pub const AXIS_SPEED_DEG_S: f64 = 220.0;

/// Acceleration of pan and tilt.
pub const AXIS_ACCEL_DEG_S2: f64 = 400.0;

/// Time from one wheel slot to the next, where charts have 0.1 to 0.25 s.
pub const WHEEL_MOVE_S: f64 = 0.15;

/// Whether a wheel goes the shorter way round.
pub const WHEEL_SHORTEST: bool = true;

/// How far a wheel swings to either side when it shakes, in slots.
pub const SHAKE_SLOTS: f64 = 0.15;

/// What stands in a wheel's slot turned once round.
pub const TURN_S: f64 = 1.0;

/// Zoom from end to end.
pub const ZOOM_S: f64 = 0.8;

/// Focus from end to end.
pub const FOCUS_S: f64 = 0.6;

/// Iris from open to closed.
pub const IRIS_S: f64 = 0.3;

/// Share of the full diameter to which an iris closes when it pulses.
pub const IRIS_PULSE_LEAST: f64 = 0.1;

/// Frost from out to in.
pub const FROST_S: f64 = 0.4;

/// A colour filter from out to in.
pub const FILTER_S: f64 = 0.3;

/// A framing blade from out to in.
pub const BLADE_S: f64 = 0.4;

/// The dimmer flag of a discharge source from closed to open.
pub const FLAG_S: f64 = 0.1;

/// Time constant with which a filament's light rises.
pub const FILAMENT_RISE_S: f64 = 0.12;

/// Time constant with which a filament's light falls.
pub const FILAMENT_FALL_S: f64 = 0.3;

/// From striking a discharge lamp to light.
pub const STRIKE_S: f64 = 5.0;

/// From putting a discharge lamp out until it can be struck again: quoted as 3 to 6 minutes.
pub const COOL_S: f64 = 300.0;

/// How long a control value must be held: at once, so that no warning comes too late.
pub const HOLD_S: f64 = 0.0;

/// How long a reset takes, where charts have 15 to 60 s.
pub const RESET_S: f64 = 25.0;

/// Diameter of the front lens, in metres, which says how soft a beam out of focus is: common
/// practice, no source.
pub const LENS_DIAMETER_M: f64 = 0.1;

/// Distance at which a head focused all the way near is sharp, in metres: common practice, no source.
/// All the way far is sharp at infinity, and sharpness runs evenly in 1/distance between.
pub const NEAREST_FOCUS_M: f64 = 2.0;

/// Full angle that frost all the way in adds to a beam, in degrees: common practice, no source.
pub const FROST_DEG: f64 = 20.0;
