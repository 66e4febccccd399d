//! The window, headless: logic by accessible name, pictures by the software renderer.

mod canvas;
mod desk;
mod files;
mod harness;
mod probe;
mod profiles;
mod reading;
mod rig;
mod ruler;
mod shell;
mod slots;
mod stage;
mod time;
