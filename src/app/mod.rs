//! The window.

pub mod canvas;
pub mod command;
pub mod soft;
pub mod theme;

pub use command::{Command, How};
