//! Cues in the window: lists are shown, played, changed and recorded; while they play, the slots follow
//! them and the show stays as it is.

use std::collections::BTreeSet;

use crate::cue::ReferenceKind;
use crate::show::{CueEdit, Edit};

mod act;
mod compare;
mod dry_run;
mod edit;
mod grid;
mod keyed;
mod lead;
mod marks;
mod panel;
mod prepare;
mod record;
mod timeline;
mod words;

pub use act::CueAsk;
pub use compare::{CompareWindow, Compared, compare_window};
pub(in crate::app) use dry_run::Work;
pub use dry_run::{DryRun, dry_run_window};
pub use edit::EditorPart;
pub use grid::{Cell, grid_window};
pub use keyed::jump_field;
pub(in crate::app) use lead::Key;
pub use lead::Leading;
pub use marks::Found;
pub use panel::{cue_strip, cues_panel};
pub use timeline::{Timeline, timeline_strip};

/// What is shown of cue lists, and those that play.
#[derive(Default)]
pub struct CueState {
    /// The list on show, as a place in the show.
    pub list: usize,
    /// The cue that is chosen in it, as a place: what is edited, and where the next one is recorded.
    pub picked: Option<usize>,
    /// The cues that are chosen together, as places; of no account while `picked` is none of them.
    pub(super) many: BTreeSet<usize>,
    /// What the lower half of the panel is about.
    pub part: EditorPart,
    /// From one number to the next, where several cues get new ones.
    pub(super) step: Step,
    /// What a new reference is for.
    pub(super) kind: ReferenceKind,
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
    /// The field for the number of a cue to jump to is asked for, and was shown in the last pass.
    pub(super) jump: bool,
    pub(super) jump_shown: bool,
    /// The list on show is flashed by a key that is held.
    pub(super) flash_key: bool,
    /// The straight run of the list on show, played ahead.
    pub(super) prepared: Option<prepare::Prepared>,
    /// What the last dry run found.
    pub found: Option<Found>,
    /// Counts what was accepted of dry runs since the window opened.
    pub(super) accepts: u64,
    /// Counts what was done to lists.
    pub(super) edits: u64,
}

/// From one cue number to the next, in thousandths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Step(pub(super) u32);

impl Default for Step {
    fn default() -> Self {
        Self(1000)
    }
}

impl CueState {
    /// Counts an edit that is about to be made.
    pub(in crate::app) fn count(&mut self, edit: &Edit) {
        let of_lists = |of: &CueEdit| !matches!(of, CueEdit::SetWatches { .. });
        self.edits += u64::from(matches!(edit, Edit::Cues(of) if of_lists(of)));
        let accepts = matches!(edit, Edit::Cues(CueEdit::Accept(_) | CueEdit::Unaccept(_)));
        self.accepts += u64::from(accepts);
    }

    /// Chooses a cue besides those that are chosen, or no longer.
    pub(super) fn pick_also(&mut self, cue: usize) {
        let mut many: BTreeSet<usize> = self.chosen().into_iter().collect();
        if many.remove(&cue) {
            self.picked = self.picked.filter(|at| *at != cue).or(many.first().copied());
        } else {
            many.insert(cue);
            self.picked = Some(cue);
        }
        self.many = many;
    }

    /// The cues that are chosen, as places in rising order.
    pub fn chosen(&self) -> Vec<usize> {
        match self.picked {
            Some(picked) if self.many.contains(&picked) => self.many.iter().copied().collect(),
            picked => picked.into_iter().collect(),
        }
    }

    /// The lists that lead, if they do.
    pub fn lead(&self) -> Option<&Leading> {
        self.leading.as_ref()
    }
}
