//! What is done with misfits: observations are kept with their frames, and explained beside the window.

use egui::Context;

use super::{MisfitView, Told, ToldRow};
use crate::app::files::Done;
use crate::app::state::State;
use crate::check::misfit::{
    Case, Changes, Happened, Observation, Ranked, Seen, Sight, Test, explain,
};
use crate::decode::Plan;
use crate::wire::{Frames, Slot};

impl MisfitView {
    fn keep(&mut self, observation: Observation) {
        self.seen.push(observation);
        self.number += 1;
    }

    /// Keeps the frame in force as one that something was seen in, if it is not the last. Gives its place.
    fn keep_frame(&mut self, frames: &Frames) -> usize {
        if self.frames.last() != Some(frames) {
            self.frames.push(frames.clone());
        }
        self.frames.len() - 1
    }

    /// Takes an observation back. Frames of which nothing is seen any more stay for those between them.
    pub(super) fn take_back(&mut self, nth: usize) {
        if nth < self.seen.len() {
            self.seen.remove(nth);
            self.number += 1;
        }
        if self.seen.is_empty() {
            self.frames.clear();
        }
    }
}

impl State {
    /// Shows the misfits, or hides them. The selected head is the one that is looked at.
    pub(in crate::app) fn toggle_misfit(&mut self) {
        let selected = self.selection.first().copied();
        let view = &mut self.windows.misfit;
        view.open = !view.open;
        if view.open && view.seen.is_empty() {
            view.place = selected.or(view.place);
        }
    }

    /// Something is seen of the head in the frame in force.
    pub(super) fn seen_now(&mut self, place: usize, sight: Sight) {
        let mut view = std::mem::take(&mut self.windows.misfit);
        let frame = view.keep_frame(self.in_force().0);
        view.keep(Observation { place, seen: Seen::At { frame, sight } });
        self.windows.misfit = view;
    }

    /// Something happened to the head since the frame that something was seen in last.
    pub(super) fn happened_now(&mut self, place: usize, happened: Happened) {
        let mut view = std::mem::take(&mut self.windows.misfit);
        let after = view.keep_frame(self.in_force().0);
        if let Some(before) = after.checked_sub(1) {
            view.keep(Observation { place, seen: Seen::From { before, after, happened } });
        }
        self.windows.misfit = view;
    }

    /// A test was answered.
    pub(super) fn answered(&mut self, test: &Test, at: Option<Slot>, changes: Changes) {
        let mut view = std::mem::take(&mut self.windows.misfit);
        let mut case = Case::new(&self.show().rig, &self.plan, std::mem::take(&mut view.frames));
        case.answer(test, at, changes);
        view.frames = case.frames;
        view.seen.extend(case.seen);
        view.number += 1;
        self.windows.misfit = view;
    }

    /// Has what was seen explained beside the window, where it or the rig changed.
    pub(super) fn ready_misfit(&mut self, ctx: &Context) {
        let rig = &self.document.show().rig;
        let view = &mut self.windows.misfit;
        if view.seen.iter().any(|observation| observation.place >= rig.len()) {
            view.seen.retain(|observation| observation.place < rig.len());
            view.number += 1;
        }
        let asked_for = (self.planned, view.number);
        if view.asked_for == Some(asked_for) {
            return;
        }
        view.asked_for = Some(asked_for);
        if view.seen.is_empty() {
            view.told = None;
            return;
        }
        let (rig, profiles) = (rig.clone(), self.document.show().profiles.clone());
        let (frames, seen) = (view.frames.clone(), view.seen.clone());
        self.jobs.background(ctx, "Explaining what is seen".to_owned(), move || {
            let plan = Plan::new(&rig, &profiles);
            let mut case = Case::new(&rig, &plan, frames);
            case.seen = seen;
            Done::Explained(Box::new(tell(&case, asked_for)))
        });
    }

    /// Takes in what may be wrong.
    pub(in crate::app) fn take_explained(&mut self, told: Told) {
        // Something else may have been seen meanwhile.
        if self.windows.misfit.asked_for == Some(told.asked_for) {
            self.windows.misfit.told = Some(told);
        }
    }
}

fn tell(case: &Case<'_>, asked_for: (u64, u64)) -> Told {
    let explained = explain(case);
    let row = |row: &Ranked| {
        let fixture = row.place.and_then(|place| case.rig.get(place));
        let whose = fixture.map_or_else(String::new, |fixture| format!("{}: ", fixture.words()));
        let mut words = vec![format!("{whose}{}", row.words)];
        words.extend(row.same_words(case));
        let fails = row.contradicts.iter().filter_map(|i| case.seen.get(*i));
        let fails = fails.map(|seen| format!("it does not explain that {}", seen.words(case)));
        let adopt = row.place.and_then(|place| Some((place, row.fault.adopted(case, place)?)));
        ToldRow {
            words,
            tied: row.tied,
            evidence: row.evidence.iter().cloned().chain(fails).collect(),
            look_up: row.fault.look_up(),
            adopt,
        }
    };
    Told {
        seen: case.seen.iter().map(|seen| seen.words(case)).collect(),
        rows: explained.rows.iter().map(row).collect(),
        others: match explained.rows.is_empty() {
            true => explained.others.iter().map(row).collect(),
            false => Vec::new(),
        },
        test: explained.test.map(|test| {
            let words = test.words(case);
            (test, words)
        }),
        asked_for,
    }
}
