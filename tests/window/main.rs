//! The window, headless: logic by accessible name, pictures by the software renderer.

mod canvas;
mod harness;
mod reading;
mod rig;
mod ruler;
mod slots;
