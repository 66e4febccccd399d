//! What one fixture model is and does: the profile, its RON form, its checks, the embedded library.

mod check_effect;
pub mod coverage;
pub mod effect;
pub mod library;
pub mod model;
pub mod place;
pub mod quantity;
pub mod read;
pub mod ron_error;
pub mod validate;

pub use effect::{Curve, Effect, EvenIn, Shape, Span, Timing};
pub use library::Library;
pub use model::{
    Axis, Body, Channel, Condition, Emitter, Head, Lamp, Mode, Optics, Profile, ProfileKey,
    Provenance, Range, Source, Wheel, WheelSlot,
};
pub use quantity::Unit;
pub use read::parse_profile;
pub use validate::{KnownDrawing, validate};
