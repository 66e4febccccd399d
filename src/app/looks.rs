//! What is done with looks: recalled, kept, renamed, stepped through.

use super::keys::Action;
use super::lists::Renaming;
use super::state::State;
use crate::finding::Severity;
use crate::show::Edit;

impl State {
    pub(super) fn recall(&mut self, look: usize) {
        if self.edit_in(Edit::RecallLook(look), false) {
            self.look = Some(look);
        }
    }

    pub(super) fn start_renaming(&mut self, look: usize) {
        let name = self.show().looks.get(look).map(|look| look.name.clone());
        self.renaming = name.map(|name| Renaming::new(look, name));
    }

    pub(super) fn act_on_look(&mut self, action: Action) {
        let count = self.show().looks.len();
        match (action, self.look) {
            (Action::NewLook, _) => {
                if self.edit_in(Edit::StoreLook { name: self.free_look_name() }, false) {
                    self.look = Some(count);
                    self.start_renaming(count);
                    self.preferences.lists = true;
                }
            }
            (Action::NextLook, at) if count > 0 => {
                self.recall(at.map_or(0, |look| (look + 1) % count));
            }
            (Action::PreviousLook, at) if count > 0 => {
                self.recall(at.map_or(count - 1, |look| (look + count - 1) % count));
            }
            (Action::UpdateLook, Some(look)) => {
                self.edit_in(Edit::UpdateLook(look), false);
            }
            (Action::RenameLook, Some(look)) => self.start_renaming(look),
            (Action::DeleteLook, Some(look)) => {
                if self.edit_in(Edit::DeleteLook(look), false) {
                    self.look = None;
                }
            }
            (Action::NextLook | Action::PreviousLook, _) => {
                self.say(Severity::Note, "this show has no looks yet");
            }
            _ => self.say(Severity::Note, "click a look first"),
        }
    }

    /// A name that no look has yet.
    fn free_look_name(&self) -> String {
        let show = self.show();
        let taken = |name: &String| show.looks.iter().any(|look| look.name == *name);
        (show.looks.len() + 1..)
            .map(|number| format!("Look {number}"))
            .find(|name| !taken(name))
            .unwrap_or_default()
    }
}
