//! The window.

pub mod canvas;
pub mod soft;
