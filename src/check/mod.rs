//! Questions asked of the pipeline: what there is to say about profiles and shows.

pub mod audience;
pub mod change;
pub mod compare;
pub mod diff;
pub mod drill;
pub mod file;
pub mod flashes;
pub mod light_on;
pub mod misfit;
pub mod profile_lint;
pub mod rehearse;
pub mod stray;
pub mod watch;
pub mod why;

pub use file::{FileKind, check_text, check_text_in};
pub use profile_lint::{check_profile, lint_profile};
