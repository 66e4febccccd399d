//! The show on disk and in hand: room, rig, profiles and looks joined; load, save, undo.

mod check_show;
pub mod cue_edit;
mod cue_file;
mod cue_follow;
pub mod disk;
pub mod document;
pub mod drill_progress;
pub mod edit;
mod file;
pub mod find_profile;
mod history;
mod import;
pub mod model;
mod own_profiles;
pub mod profile_document;
pub mod profile_files;
pub mod profile_sources;
pub mod profile_watch;
pub mod read;
mod read_cues;
pub mod recovery;
pub mod reload;
pub mod write;

pub use cue_edit::CueEdit;
pub use document::Document;
pub use edit::Edit;
pub use find_profile::{FoundProfile, find_profile, find_text};
pub use import::import_profile;
pub use model::{Look, Show};
pub use profile_document::ProfileDocument;
pub use profile_sources::ProfileSources;
pub use profile_watch::ProfileWatch;
pub use read::{demo_show, demo_show_in, parse_show, read_show, read_show_in};
pub use reload::Reloaded;
pub use write::{save_show, to_ron};
