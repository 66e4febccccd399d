//! What is assumed where a profile does not say: the one table of defaults. Whatever is worked out
//! from a row of it is an estimate.

use crate::profile::Shape;

/// Share of a period that a hard strobe is lit: common practice, no source.
pub const STROBE_DUTY: f64 = 0.5;

/// Mean light of flashes of this shape, as a share of the peak. The swelling shapes are triangles,
/// so that theirs is exact; a hard strobe's is [`STROBE_DUTY`].
pub fn mean_light(shape: Shape) -> f64 {
    match shape {
        Shape::Hard => STROBE_DUTY,
        Shape::Swell | Shape::Opening | Shape::Closing => 0.5,
    }
}

/// Diameter of the front lens, in metres, which says how soft a beam out of focus is: common
/// practice, no source.
pub const LENS_DIAMETER_M: f64 = 0.1;

/// Distance at which a head focused all the way near is sharp, in metres: common practice, no source.
/// All the way far is sharp at infinity, and sharpness runs evenly in 1/distance between.
pub const NEAREST_FOCUS_M: f64 = 2.0;

/// Full angle that frost all the way in adds to a beam, in degrees: common practice, no source.
pub const FROST_DEG: f64 = 20.0;
