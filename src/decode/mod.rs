//! Frames through compiled profile modes: what every fixture is asked to do.
//!
//! A mode is compiled once into flat tables ([`CompiledMode`]); a rig of them becomes a [`Plan`];
//! [`Plan::decode`] finds the range of every channel of every fixture in one pass that allocates
//! nothing; a [`Reading`] shows what was found, and [`Asked`] says it in typed, physical terms.

pub mod answers;
mod ask;
pub mod asked;
pub mod compile;
pub mod entry;
pub mod inverse;
mod ops;
pub(crate) mod parts;
pub mod plan;
mod raw;
pub mod reading;
pub mod sweep;
mod typed;

pub use answers::{Answer, Near, answers};
pub use asked::{
    AimSpeed, Asked, AxisAsk, BladeAsk, CellAsk, Command, Override, ShutterAsk, TurnAsk, WheelAsk,
    WheelPlace,
};
pub use compile::{CompiledChannel, CompiledMode, CompiledRange};
pub use entry::{Entry, EntryError};
pub use inverse::{Candidate, split, values_for, written};
pub use plan::{Decoded, Plan, PlannedFixture};
pub use raw::{raw_slots, raw_words};
pub use reading::{ChannelReading, Held, Reading};
pub use typed::quantity;
