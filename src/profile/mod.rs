//! What one fixture model is and does: the profile, its RON form, its checks, the embedded library.

mod check_effect;
mod check_mode;
pub mod coverage;
pub mod edit;
pub mod effect;
pub mod gdtf;
pub mod head_comment;
mod layout;
pub mod library;
pub mod lint;
pub mod model;
pub mod physical;
pub mod place;
pub mod probe;
pub mod quantity;
pub mod read;
pub mod ron_text;
pub mod srgb;
pub mod table;
pub mod times;
mod tokens;
pub mod validate;
pub mod write;

pub use edit::ProfileEdit;
pub use effect::{Curve, Effect, EvenIn, Shape, Span, Timing};
pub(crate) use layout::set_out;
pub use library::{Library, Origin};
pub use model::{
    Accepted, Axis, Body, Channel, Condition, Emitter, Head, Lamp, Mode, Optics, Profile,
    ProfileKey, Provenance, Range, Source, Wheel, WheelSlot,
};
pub use quantity::Unit;
pub use read::parse_profile;
pub use times::{Loss, OnLoss, Times};
pub use validate::{KnownDrawing, validate};
pub use write::to_ron;
