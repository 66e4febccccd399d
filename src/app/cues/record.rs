//! Cues made of what the stage shows.

use std::sync::Arc;

use crate::app::state::State;
use crate::cue::edit::{add, number_after};
use crate::cue::record::{Stage, Take};
use crate::cue::{Changes, Compiled, Cue, CueList, Time, Tracks};
use crate::finding::Severity;
use crate::show::{CueEdit, Edit};

/// How long a first cue takes until somebody says otherwise, in seconds.
const FADE_S: f64 = 2.0;

impl State {
    /// Keeps what the stage shows as a cue behind the chosen one.
    pub(super) fn record_cue(&mut self) {
        let list = self.cues.list;
        let of = self.show().cues.lists.get(list);
        let last = of.and_then(|of| of.cues.len().checked_sub(1));
        let after = self.cues.picked.or(last);
        let before = of.zip(after).and_then(|(of, after)| of.cues.get(after));
        let times = before.map(|cue| cue.times);
        let empty = CueList::default();
        let Some(number) = number_after(of.unwrap_or(&empty), after) else {
            let words = "no number is left between these two cues: give the second a higher one";
            return self.say(Severity::Warning, words);
        };
        let has_list = of.is_some();
        let mut cue = Cue::new(number);
        cue.times.all = Time { fade_s: FADE_S, delay_s: 0.0 };
        cue.times = times.unwrap_or(cue.times);
        cue.changes = self.differing(after);
        if cue.changes.is_empty() {
            let words = "the stage stands as the cues have it: change something first";
            return self.say(Severity::Note, words);
        }
        let edit = match has_list {
            true => CueEdit::AddCue { list, cue: Box::new(cue) },
            false => CueEdit::AddList(Box::new(CueList {
                name: "Main".to_owned(),
                cues: vec![cue],
                ..CueList::default()
            })),
        };
        if self.edit_in(Edit::Cues(edit), false) {
            let lists = &self.show().cues.lists;
            self.cues.picked = lists.get(list).and_then(|list| list.cue(number));
            self.say(Severity::Note, format!("cue {number} was recorded"));
        }
    }

    /// Puts what the stage shows into the chosen cue.
    pub(super) fn update_cue(&mut self) {
        let (list, picked) = (self.cues.list, self.cues.picked);
        let cue = picked.and_then(|cue| self.show().cues.lists.get(list)?.cues.get(cue));
        let (Some(index), Some(mut cue)) = (picked, cue.cloned()) else {
            return self.say(Severity::Note, "click a cue first");
        };
        let changes = self.differing(picked);
        if changes.is_empty() {
            return self.say(Severity::Note, "the stage stands as this cue has it");
        }
        add(&mut cue, changes);
        let edit = CueEdit::SetCue { list, index, cue: Box::new(cue) };
        self.edit_in(Edit::Cues(edit), false);
    }

    /// What the stage has otherwise than the list on show once a cue of it has faded; everything, if
    /// that is asked for.
    fn differing(&self, cue: Option<usize>) -> Changes {
        let show = self.show();
        let tracks = Arc::new(Tracks::new(&self.plan));
        let mut before = tracks.at_rest();
        if let (Some(cue), Some(_)) = (cue, show.cues.lists.get(self.cues.list)) {
            let list = Compiled::new(&show.cues, self.cues.list, &show.rig, &self.plan, &tracks);
            for (track, given) in list.standing(cue).into_iter().enumerate() {
                if let Some(given) = given {
                    tracks.put(track, given.to(), &mut before);
                }
            }
        }
        let (frames, decoded) = self.in_force();
        let stage = Stage { rig: &show.rig, plan: &self.plan, frames, decoded };
        let all: Vec<usize> = (0..show.rig.len()).collect();
        if self.cues.everything {
            return stage.changes(&all, None, Take::Meaning);
        }
        let mut changes = stage.changes(&all, Some(&before), Take::Meaning);
        // Another value that means the same is nothing new.
        let mut decoded = self.plan.start();
        self.plan.decode(&before, &mut decoded);
        let held = Stage { frames: &before, decoded: &decoded, ..stage };
        let held = held.changes(&all, None, Take::Meaning);
        for (fixture, channels) in &mut changes {
            let same = held.get(fixture);
            channels.retain(|name, value| same.and_then(|same| same.get(name)) != Some(value));
        }
        changes.retain(|_, channels| !channels.is_empty());
        changes
    }

    /// Adds an empty list, and shows it.
    pub(super) fn add_list(&mut self) {
        let lists = &self.show().cues.lists;
        let count = lists.len();
        let free = |name: &String| lists.iter().all(|list| list.name != *name);
        let name = (count + 1..).map(|n| format!("List {n}")).find(free).unwrap_or_default();
        let list = CueList { name, ..CueList::default() };
        if self.edit_in(Edit::Cues(CueEdit::AddList(Box::new(list))), false) {
            (self.cues.list, self.cues.picked, self.cues.cells) = (count, None, None);
        }
    }
}
