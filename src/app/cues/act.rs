//! What the window does with cues: sending them on their way, going through them, letting go of them.

use super::Step;
use super::edit::EditorPart;
use super::lead::{Key, Leading};
use crate::app::clock::Mode;
use crate::app::keys::Action;
use crate::app::state::{Exposure, State};
use crate::cue::{Player, ReferenceKind, Scrub};
use crate::finding::Severity;
use crate::show::Edit;

/// Something asked of cues that no key says whole.
#[derive(Clone, Debug, PartialEq)]
pub enum CueAsk {
    /// Show another list.
    Show(usize),
    /// Choose a cue of the list on show, as a place in it.
    Pick(usize),
    /// Choose a cue besides those that are chosen, or no longer.
    PickAlso(usize),
    /// Choose all cues from the chosen one to this.
    PickTo(usize),
    /// Show another part in the lower half of the panel.
    Part(EditorPart),
    /// From one cue number to the next, in thousandths.
    Step(u32),
    /// What a new reference is for.
    Kind(ReferenceKind),
    /// Send a cue of the list on show on its way, with everything as it would then stand.
    Jump(usize),
    /// Run the list on show this fast; 1 is as written.
    Rate(f64),
    /// Multiply all levels by this share, 0..1.
    Grand(f64),
    /// Hold the levels of the list on show where its cue will have them, or let go of that.
    Flash(bool),
    /// Go to an instant of the straight run of the list on show, in seconds.
    Seek(f64),
    /// Take everything into a new cue, or only what differs.
    Everything(bool),
    /// Show or hide the grid.
    Grid,
    /// Add an empty list.
    NewList,
}

impl State {
    /// Does what a panel asked of cues.
    pub(in crate::app) fn act_on_cues(&mut self, ask: CueAsk) {
        match ask {
            CueAsk::Show(list) => {
                (self.cues.list, self.cues.cells) = (list, None);
                self.cues.picked = self.cues.lead().and_then(|lead| lead.player(list)?.at());
            }
            CueAsk::Pick(cue) => {
                self.cues.picked = Some(cue);
                self.cues.many.clear();
            }
            CueAsk::PickAlso(cue) => self.cues.pick_also(cue),
            CueAsk::PickTo(cue) => {
                let from = *self.cues.picked.get_or_insert(cue);
                self.cues.many = (from.min(cue)..=from.max(cue)).collect();
            }
            CueAsk::Part(part) => self.cues.part = part,
            CueAsk::Step(step) => self.cues.step = Step(step.max(1)),
            CueAsk::Kind(kind) => self.cues.kind = kind,
            CueAsk::Jump(cue) => self.with_list("there is no such cue", |p, t_s| p.jump(cue, t_s)),
            CueAsk::Rate(rate) => self.with_list("", |player, t_s| {
                player.set_rate(rate, t_s);
                true
            }),
            CueAsk::Grand(share) => {
                if let Some(lead) = self.lead_with_cues() {
                    lead.playbacks.set_grand(share);
                    lead.touch();
                }
            }
            CueAsk::Flash(held) => {
                let list = self.cues.list;
                if (held || self.cues.leading.is_some())
                    && let Some(lead) = self.lead_with_cues()
                {
                    lead.playbacks.set_flashed(list, held);
                    lead.touch();
                }
            }
            CueAsk::Seek(t_s) => self.seek_cues(t_s),
            CueAsk::Everything(everything) => self.cues.everything = everything,
            CueAsk::Grid => self.cues.grid = !self.cues.grid,
            CueAsk::NewList => self.add_list(),
        }
    }

    /// Does what a key or a menu asked of cues.
    pub(in crate::app) fn act_on_cue(&mut self, action: Action) {
        match action {
            Action::CueGo => self.with_list("that was the last cue", Player::go),
            Action::CueBack => self.with_list("there is no cue before", Player::back),
            Action::CuePause => self.with_list("", |player, t_s| {
                player.set_paused(!player.is_paused(), t_s);
                true
            }),
            Action::CueRelease => {
                let list = self.cues.list;
                if self.cues.leading.is_some()
                    && let Some(lead) = self.lead_with_cues()
                {
                    let t_s = lead.now_s();
                    lead.playbacks.release(list, t_s);
                    lead.touch();
                }
            }
            Action::EndCues if self.let_go_of_cues().is_some() => {
                self.ask_anew();
                self.say(Severity::Note, "the show's own slots are in force again");
            }
            Action::CuesToSlots => {
                if let Some(lead) = self.let_go_of_cues() {
                    let levels = Box::new(lead.frames);
                    self.edit_in(Edit::SetLevels { levels, from: "cues".to_owned() }, false);
                    self.ask_anew();
                }
            }
            Action::CueGrid => self.act_on_cues(CueAsk::Grid),
            Action::JumpToCue => self.cues.jump = !self.show().cues.lists.is_empty(),
            Action::RecordCue => self.record_cue(),
            Action::UpdateCue => self.update_cue(),
            Action::DeleteCue => self.delete_cues(),
            action => self.act_on_levels(action),
        }
        if matches!(action, Action::CueGo | Action::RecordCue) {
            self.preferences.cues = true;
        }
    }

    /// What lists are compiled from now.
    pub(super) fn cue_key(&self) -> Key {
        (self.cues.edits, self.document.rig_revision())
    }

    /// Gives the lead to the lists, and has time pass.
    fn lead_with_cues(&mut self) -> Option<&mut Leading> {
        if self.show().cues.lists.is_empty() {
            self.say(Severity::Note, "this show has no cues yet: record one first");
            return None;
        }
        self.take_over();
        if let Some(lead) = self.cues.leading.as_mut().filter(|lead| lead.straight().is_some()) {
            // From the straight run on, people say when cues start.
            let key = lead.key;
            *lead = lead.renewed(self.document.show(), &self.plan, key, self.clock.t_s);
        }
        self.clock.mode = Mode::Running;
        self.cues.leading.as_mut()
    }

    /// Has the lists lead, from how things stand.
    fn take_over(&mut self) {
        self.end_sweep();
        self.show_own_slots();
        self.begin_time();
        let key = self.cue_key();
        if self.cues.leading.is_none() {
            let show = self.document.show();
            self.cues.leading = Some(Leading::new(show, &self.plan, key, self.clock.t_s));
        }
    }

    /// Does something to the list on show. Says `none` where that comes to nothing.
    fn with_list(&mut self, none: &str, act: impl FnOnce(&mut Player, f64) -> bool) {
        let list = self.cues.list;
        let Some(lead) = self.lead_with_cues() else { return };
        let t_s = lead.now_s();
        let Some(player) = lead.playbacks.player_mut(list) else { return };
        let (done, at) = (act(player, t_s), player.at());
        lead.touch();
        match done {
            true => self.cues.picked = at.or(self.cues.picked),
            false => self.say(Severity::Note, none),
        }
    }

    /// Takes the lead from the lists, and gives what they stood at.
    pub(in crate::app) fn let_go_of_cues(&mut self) -> Option<Leading> {
        self.cues.leading.take()
    }

    /// Plays the lists that lead up to an instant.
    pub(in crate::app) fn play_cues(&mut self, t_s: f64) {
        let Some(lead) = self.cues.leading.as_mut().filter(|_| self.sweep.is_none()) else {
            return;
        };
        if lead.straight().is_some() {
            if let Some(motion) = lead.seek(&self.plan, t_s) {
                self.clock.motion = motion;
            }
        } else {
            let (plan, motion) = (&self.plan, &mut self.clock.motion);
            let cut = self.clock.cut_since_s.is_some();
            lead.advance(t_s, plan, |at_s, frames, decoded| {
                if !cut {
                    motion.frame(at_s, plan, frames, decoded);
                }
            });
        }
        let at = lead.player(self.cues.list).and_then(Player::at);
        if at.is_some() && self.cues.shown_at != at {
            self.cues.picked = at;
        }
        self.cues.shown_at = at;
    }

    /// Goes to an instant of the straight run of the list on show, and stands there.
    fn seek_cues(&mut self, t_s: f64) {
        self.ready_timeline();
        self.take_over();
        self.clock.mode = Mode::Paused;
        let (list, key) = (self.cues.list, self.cue_key());
        let (Some(timeline), Some(lead)) = (&self.cues.timeline, &mut self.cues.leading) else {
            return;
        };
        if lead.straight() != Some(list) || lead.key != key {
            let prepared = self.cues.prepared.as_ref().and_then(|of| of.scrub((key, list)));
            let new = || Scrub::new(timeline.run.clone(), &self.document.show().rig, &self.plan);
            lead.go_straight(list, prepared.cloned().unwrap_or_else(new));
            lead.key = key;
        }
        self.trace.clear();
        self.clock.record.clear();
        let t_s = t_s.clamp(0.0, timeline.run.end_s());
        self.go_to(t_s);
        self.record();
        self.show_light(Exposure::Held);
    }

    /// Brings the lists that lead up to date with the show.
    pub(in crate::app) fn renew_cues(&mut self) {
        let (key, show) = (self.cue_key(), self.document.show());
        let lists = show.cues.lists.len();
        if lists == 0 {
            self.cues.leading = None;
        }
        if let Some(lead) = self.cues.leading.as_mut().filter(|lead| lead.key != key) {
            *lead = lead.renewed(show, &self.plan, key, self.clock.t_s);
        }
        self.cues.list = self.cues.list.min(lists.saturating_sub(1));
        let cues = show.cues.lists.get(self.cues.list).map_or(0, |list| list.cues.len());
        self.cues.picked = self.cues.picked.map(|cue| cue.min(cues.saturating_sub(1)));
        self.cues.picked = self.cues.picked.filter(|_| cues > 0);
        self.cues.many.retain(|cue| *cue < cues);
        self.renew_marks();
    }
}
