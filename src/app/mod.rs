//! The window.

pub mod canvas;
pub mod clock;
pub mod command;
pub mod dialogs;
pub mod files;
mod icon;
mod import;
pub mod keys;
pub mod lists;
mod looks;
pub mod menus;
pub mod now;
pub mod plot;
pub mod reading;
mod reading_row;
pub mod ruler;
mod ruler_paint;
pub mod setup;
pub mod shell;
pub mod show_files;
pub mod slots;
mod slots_grid;
mod slots_hand;
pub mod soft;
pub mod stage_panel;
pub mod state;
pub mod status;
mod swatch;
pub mod theme;
mod time;
pub mod timed;
pub mod trace;
pub mod transport;

pub use command::{Command, How};
pub use shell::{App, WindowError, WindowOptions, run_window};
pub use state::State;
