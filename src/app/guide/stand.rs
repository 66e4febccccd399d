//! Examples on the stage, and the person's own show that waits for them to go.
//!
//! Nothing is lost on the way: the own show is put aside as it is, with its steps of undo, its time and the cues
//! that play; and an example that was changed is as it was left when it comes again.

use crate::app::bench::Page as WindowPage;
use crate::app::clock::Clock;
use crate::app::command::How;
use crate::app::cues::CueState;
use crate::app::dialogs::Dialog;
use crate::app::show_files::empty_show;
use crate::app::stage_panel::StageView;
use crate::app::state::{Exposure, State};
use crate::app::timed::Timed;
use crate::app::trace::Trace;
use crate::finding::Severity;
use crate::paper::guide::{Guide, Moment, Stand};
use crate::show::{Document, Edit, Show};
use crate::wire::Universe;

/// A show that was put aside, with all that the window had of it.
pub(super) struct Parked {
    document: Document,
    edits: u64,
    clock: Clock,
    timed: Option<Timed>,
    cues: CueState,
    trace: Trace,
    stage: StageView,
    selection: Vec<usize>,
    universe: Universe,
    look: Option<usize>,
}

impl Parked {
    pub(super) fn own(&self) -> (&Document, u64) {
        (&self.document, self.edits)
    }
}

impl State {
    /// Puts an example on the stage in a state that a page speaks of: a place among the pages, and one among
    /// the moments of that page.
    pub(super) fn stand_example(&mut self, page: usize, nth: usize, anew: bool) {
        let Some(moment) = Guide::embedded().pages.get(page).and_then(|it| it.moments.get(nth))
        else {
            return;
        };
        let stand = match moment.stand() {
            Ok(stand) => stand,
            Err(findings) => {
                self.dialog = Some(Dialog::findings("The example is broken", findings.0));
                return;
            }
        };
        if self.page == WindowPage::Bench {
            self.turn_page();
        }
        let here = self.standing_show() == Some(moment.show.as_str());
        if !here || anew {
            self.put_example(moment, &stand, anew);
        }
        self.set_as(&stand);
        self.guide.standing = Some((page, nth));
        self.focus_on(&stand);
        if let Some((universe, _, _)) = moment.step.last() {
            self.universe = *universe;
        }
    }

    /// The name of the show of the example that is on the stage.
    fn standing_show(&self) -> Option<&'static str> {
        let (page, nth) = self.guide.standing?;
        Some(Guide::embedded().pages.get(page)?.moments.get(nth)?.show.as_str())
    }

    /// Puts the show of an example in the place of what is on the stage.
    fn put_example(&mut self, moment: &Moment, stand: &Stand, anew: bool) {
        if self.guide.parked.is_none() {
            self.park();
        } else {
            self.set_example_aside();
        }
        let left = self.guide.left.remove(&moment.show).filter(|_| !anew);
        self.put(left.unwrap_or_else(|| Document::new(stand.show.clone(), None)));
    }

    /// Puts a practice show in the place of what is on the stage.
    pub(in crate::app) fn put_practice(&mut self, show: Show) {
        if self.page == WindowPage::Bench {
            self.turn_page();
        }
        if self.guide.parked.is_none() {
            self.park();
        } else {
            self.set_example_aside();
        }
        self.put(Document::new(show, None));
    }

    /// Puts the person's own show aside.
    fn park(&mut self) {
        self.end_sweep();
        self.end_gesture();
        let document = std::mem::replace(&mut self.document, Document::new(empty_show(), None));
        self.guide.parked = Some(Box::new(Parked {
            document,
            edits: self.edits,
            clock: std::mem::take(&mut self.clock),
            timed: self.timed.take(),
            cues: std::mem::take(&mut self.cues),
            trace: std::mem::take(&mut self.trace),
            stage: std::mem::take(&mut self.stage),
            selection: std::mem::take(&mut self.selection),
            universe: self.universe,
            look: self.look,
        }));
    }

    /// Keeps the example that is on the stage as it is, if it was changed.
    fn set_example_aside(&mut self) {
        if let (Some(show), true) = (self.standing_show(), self.document.is_dirty()) {
            let empty = Document::new(empty_show(), None);
            let document = std::mem::replace(&mut self.document, empty);
            self.guide.left.insert(show.to_owned(), document);
        }
        self.guide.standing = None;
    }

    /// Puts the person's own show back on the stage, as it was. Nothing happens if it is there.
    pub(in crate::app) fn leave_example(&mut self) {
        let Some(parked) = self.guide.parked.take() else { return };
        self.set_example_aside();
        let Parked {
            document, clock, timed, cues, trace, stage, selection, universe, look, ..
        } = *parked;
        self.put(document);
        (self.clock, self.timed, self.cues, self.trace) = (clock, timed, cues, trace);
        (self.stage, self.universe, self.look) = (stage, universe, look);
        self.follow(false, Exposure::Anew);
        self.select(selection, How::Replace);
        let name = self.show().name.clone();
        self.say(Severity::Note, format!("{name} is back on the stage, as it was"));
    }

    /// Sets the slots to what the page says they are.
    fn set_as(&mut self, stand: &Stand) {
        let wanted: Vec<(Universe, Vec<_>)> = stand
            .show
            .levels
            .iter()
            .map(|(universe, levels)| {
                let now = &self.document.show().levels;
                let differs =
                    |slot| now.state(universe, slot).value() != levels.state(slot).value();
                (universe, levels.known().filter(|(slot, _)| differs(*slot)).collect())
            })
            .collect();
        for (universe, values) in wanted.into_iter().filter(|(_, values)| !values.is_empty()) {
            self.edit_in(Edit::SetSlots { universe, values }, true);
        }
        self.end_gesture();
    }

    /// Selects the fixture that the page speaks of, and touches its channel.
    fn focus_on(&mut self, stand: &Stand) {
        let Some((fixture, channel)) = stand.focus else { return };
        if self.selection != [fixture] {
            self.select(vec![fixture], How::Replace);
        }
        if let Some(channel) = channel {
            self.reading.point_to(fixture, channel);
        }
        self.preferences.reading = true;
    }
}
