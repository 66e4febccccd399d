//! Conditions in the window: time stops as one becomes true while it plays, and all times at which one is true
//! are listed beside the window.

mod act;
mod window;

use std::sync::Arc;

use super::cues::Work;
use crate::check::watch::{Found, Live, Mistake, Watch};
use crate::cue::Watched;

pub use window::watch_window;

/// The conditions that are watched for, as the window has them.
#[derive(Default)]
pub struct Watching {
    /// The window is shown.
    pub open: bool,
    /// The condition that is being typed.
    pub(super) typed: String,
    /// The field is to have the keyboard as soon as it can take it.
    asks_for_keys: bool,
    /// What is wrong with it, and for which rig that was found.
    checked: Option<Checked>,
    /// The condition of the show that is being changed, as a place.
    editing: Option<usize>,
    /// The conditions of the show, made ready.
    rows: Vec<Row>,
    /// What they were made ready of.
    made_of: Option<(u64, Vec<Watched>)>,
    /// When they were looked at last, in seconds.
    last_s: f64,
    /// Where time stopped last.
    pub stopped: Option<Stopped>,
    work: Option<Work>,
    /// The times that were listed last.
    pub listed: Option<Listed>,
}

/// What was found of a text that is being typed.
struct Checked {
    text: String,
    rig: u64,
    mistake: Option<Mistake>,
}

/// A condition of the show.
struct Row {
    /// Made ready, or what is wrong with it.
    watch: Result<Arc<Watch>, String>,
    live: Option<Live>,
}

/// Where time stopped.
#[derive(Clone, Debug, PartialEq)]
pub struct Stopped {
    /// The condition.
    pub when: String,
    /// The instant, in seconds.
    pub at_s: f64,
    /// What made it true.
    pub because: Vec<String>,
}

/// What times were looked for in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// The timed frames that are open.
    Timed(String),
    /// A cue list, as a place in the show, and its name.
    List(usize, String),
}

/// All times at which a condition is true.
#[derive(Debug)]
pub struct Listed {
    /// The condition.
    pub when: String,
    /// In what.
    pub source: Source,
    /// The times; `None` where that was stopped.
    pub found: Option<Found>,
}
