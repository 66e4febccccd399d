//! The show on disk and in hand: room, rig, profiles and looks joined; load, save, undo.

pub mod model;

pub use model::{Look, Show};
