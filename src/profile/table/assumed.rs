//! Numbers that stand in where a chart gives none: common practice, no source.
//!
//! Nothing that rests on one of them is ever presented as sure, and the draft's head comment lists them.

use super::super::effect::Span;

/// Slowest and fastest strobe, in flashes a second.
pub(super) const STROBE_HZ: Span = (1.0, 20.0);
/// Slowest and fastest pulse, in pulses a second.
pub(super) const PULSE_HZ: Span = (0.5, 5.0);
/// Slowest and fastest shake of a wheel slot, in swings a second.
pub(super) const SHAKE_HZ: Span = (0.5, 6.0);
/// Slowest and fastest change of random wheel slots, in changes a second.
pub(super) const RANDOM_HZ: Span = (0.2, 5.0);
/// Slowest and fastest turn of a wheel, in revolutions a minute.
pub(super) const SCROLL_RPM: Span = (1.0, 60.0);
/// Slowest and fastest turn of a pattern or prism, in revolutions a minute.
pub(super) const SPIN_RPM: Span = (1.0, 60.0);
/// Slowest and fastest endless turn of pan or tilt, in revolutions a minute.
pub(super) const AIM_SPIN_RPM: Span = (1.0, 30.0);
/// Slowest and fastest aim, in percent of the head's own speed.
pub(super) const AIM_SHARE: Span = (1.0, 100.0);
/// Narrowest and widest beam, in degrees.
pub(super) const ZOOM_DEG: Span = (8.0, 45.0);
/// Travel of an index, in degrees.
pub(super) const TURN_DEG: Span = (0.0, 540.0);
/// Half the travel of pan, in degrees.
pub(super) const HALF_PAN_DEG: f64 = 270.0;
/// Half the travel of tilt, in degrees.
pub(super) const HALF_TILT_DEG: f64 = 135.0;
/// Half the turn of a framing blade or of all of them, in degrees.
pub(super) const HALF_BLADE_DEG: f64 = 45.0;
/// Facets of a prism.
pub(super) const FACETS: u8 = 3;
/// How far a prism throws each image, in degrees.
pub(super) const PRISM_SPREAD_DEG: f64 = 6.0;
/// Light of a white source, or of each emitter, in lumens.
pub(super) const FLUX_LM: f64 = 8000.0;
/// Colour temperature of a white source, in kelvin.
pub(super) const CCT_K: f64 = 6500.0;
/// Beam and field angle, in degrees.
pub(super) const BEAM_FIELD_DEG: Span = (15.0, 20.0);
