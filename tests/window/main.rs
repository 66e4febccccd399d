//! The window, headless: logic by accessible name, pictures by the software renderer.

mod canvas;
mod desk;
mod files;
#[path = "../pipeline/gdtf_file.rs"]
mod gdtf_file;
mod harness;
mod reading;
mod rig;
mod ruler;
mod shell;
mod slots;
mod stage;
mod time;
