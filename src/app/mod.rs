//! The window.

pub mod canvas;
pub mod command;
pub mod reading;
mod reading_row;
pub mod ruler;
mod ruler_paint;
pub mod slots;
mod slots_grid;
pub mod soft;
mod swatch;
pub mod theme;

pub use command::{Command, How};
