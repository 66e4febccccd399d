//! The show on disk and in hand: room, rig, profiles and looks joined; load, save, undo.

mod check_show;
pub mod disk;
pub mod document;
pub mod edit;
mod file;
mod import;
pub mod model;
mod own_profiles;
pub mod read;
pub mod write;

pub use document::Document;
pub use edit::Edit;
pub use import::import_profile;
pub use model::{Look, Show};
pub use read::{demo_show, parse_show, read_show};
pub use write::{save_show, to_ron};
