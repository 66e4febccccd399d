//! The window, headless: logic by accessible name, pictures by the software renderer.

mod bench;
mod bench_forms;
mod canvas;
mod desk;
mod files;
mod harness;
mod reading;
mod rig;
mod ruler;
mod shell;
mod slots;
mod stage;
mod time;
