//! What one fixture model is and does: the profile, its RON form, its checks, the embedded library.

pub mod effect;
pub mod model;
pub mod physical;
pub mod quantity;

pub use effect::{Curve, Effect, EvenIn, Shape, Span, Timing};
pub use model::{
    Axis, Body, Channel, Condition, Emitter, Head, Lamp, Mode, Optics, Profile, ProfileKey,
    Provenance, Range, Source, Wheel, WheelSlot,
};
pub use quantity::Unit;
