//! The show on disk and in hand: room, rig, profiles and looks joined; load, save, undo.

mod check_show;
pub mod disk;
mod file;
pub mod model;
pub mod read;
pub mod write;

pub use model::{Look, Show};
pub use read::{demo_show, parse_show, read_show};
pub use write::{save_show, to_ron};
