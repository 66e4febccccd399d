//! Cues in the window: lists are shown, played, changed and recorded; while they play, the slots follow
//! them and the show stays as it is.

mod act;
mod dry_run;
mod editor;
mod grid;
mod lead;
mod panel;
mod record;
mod timeline;
mod words;

pub use act::CueAsk;
pub(in crate::app) use dry_run::Work;
pub use dry_run::{DryRun, dry_run_window};
pub use grid::{Cell, grid_window};
pub(in crate::app) use lead::Key;
pub use lead::Leading;
pub use panel::{cue_strip, cues_panel};
pub use timeline::{Timeline, timeline_strip};

/// What is shown of cue lists, and those that play.
#[derive(Default)]
pub struct CueState {
    /// The list on show, as a place in the show.
    pub list: usize,
    /// The cue that is chosen in it, as a place: what is edited, and where the next one is recorded.
    pub picked: Option<usize>,
    /// A new cue takes everything that the stage shows, and not only what differs from the cues before.
    pub everything: bool,
    /// The grid of cues and channels is shown.
    pub grid: bool,
    /// The cells that are chosen in the grid: where the choice began, and where it ends.
    pub(super) cells: Option<(Cell, Cell)>,
    /// The cue that the list on show stood at in the last pass.
    pub(super) shown_at: Option<usize>,
    /// The lists that lead.
    pub(super) leading: Option<Leading>,
    /// The straight run of the list on show.
    pub(super) timeline: Option<Timeline>,
    /// Counts what was done to lists.
    pub(super) edits: u64,
}

impl CueState {
    /// The lists that lead, if they do.
    pub fn lead(&self) -> Option<&Leading> {
        self.leading.as_ref()
    }
}
