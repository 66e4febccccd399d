//! Fixtures, their addresses, and how they hang.

pub mod fixture;
pub mod orientation;
pub mod patch;

pub(crate) use fixture::fixture_words;
pub use fixture::{Address, Fixture, FixtureId, InHead, Rig};
pub use orientation::{Aim, Hang};
pub use patch::{PatchFinding, check_patch, room_behind};
