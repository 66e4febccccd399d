//! Fixtures, their addresses, and how they hang.

pub mod fixture;
pub mod orientation;
pub mod patch;

pub use fixture::{Address, Fixture, FixtureId, InHead, Rig};
pub use orientation::{Aim, Hang};
pub use patch::{PatchFinding, check_patch};
