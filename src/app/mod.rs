//! The window.

pub mod command;
pub mod theme;

pub use command::{Command, How};
