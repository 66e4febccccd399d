//! The lower half of the panel, where things are changed: the chosen cues, their movements, the references
//! that cues share, and the list as a whole.

mod arrange;
mod cue;
mod list;
mod movements;
mod references;

pub(super) use arrange::arrange;

use egui::{ScrollArea, Ui};

use super::act::CueAsk;
use crate::app::command::Command;
use crate::app::state::State;
use crate::cue::{Cue, CueList};
use crate::show::{CueEdit, Edit};

/// What the lower half of the panel is about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum EditorPart {
    /// The chosen cues.
    #[default]
    Cue,
    /// Repeating movements of the chosen cue.
    Movements,
    /// Named values that cues share.
    References,
    /// The list as a whole.
    List,
}

/// The parts, as the tabs name them and their tips explain them.
const PARTS: [(EditorPart, &str, &str); 4] = [
    (EditorPart::Cue, "Cue", "The chosen cues: number, name, times, and where they stand"),
    (
        EditorPart::Movements,
        "Movements",
        "Repeating movements that begin or end with the chosen cue",
    ),
    (EditorPart::References, "References", "Named positions, colours and patterns that cues share"),
    (EditorPart::List, "List", "The list as a whole: name, dark moves, spans that are run again"),
];

/// Draws the part that is shown of the list on show.
pub(super) fn editor(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for (part, words, tip) in PARTS {
            let shown = state.cues.part == part;
            if ui.selectable_label(shown, words).on_hover_text(tip).clicked() && !shown {
                commands.push(Command::Cues(CueAsk::Part(part)));
            }
        }
    });
    let area = ScrollArea::vertical().id_salt(("cue editor", state.cues.part as usize));
    area.auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        match state.cues.part {
            EditorPart::Cue => cue::chosen_cues(ui, state, commands),
            EditorPart::Movements => movements::movements(ui, state, commands),
            EditorPart::References => references::references(ui, state, commands),
            EditorPart::List => list::list(ui, state, commands),
        }
    });
}

/// The list on show and the chosen cue of it.
fn picked(state: &State) -> Option<(&CueList, usize, &Cue)> {
    let list = state.show().cues.lists.get(state.cues.list)?;
    let place = state.cues.picked?;
    Some((list, place, list.cues.get(place)?))
}

/// The edit that puts these cues and loops in the place of those of the list on show.
fn set_cues(state: &State, words: impl Into<String>, new: CueList) -> Command {
    let CueList { cues, loops, .. } = new;
    let edit = CueEdit::SetCues { list: state.cues.list, words: words.into(), cues, loops };
    Command::Edit { edit: Edit::Cues(edit), gesture: false }
}

/// A small button that takes something out, with an accessible name that says what.
fn remove_button(ui: &mut Ui, what: &str) -> bool {
    let name = format!("Remove {what}");
    let button = ui.small_button("\u{d7}").on_hover_text(&name);
    crate::app::transport::named(button, &name).clicked()
}

/// Asks for what was worked out, or says why it cannot be done.
fn ask(made: Result<Vec<Command>, String>, commands: &mut Vec<Command>) {
    match made {
        Ok(made) => commands.extend(made),
        Err(why) => commands.push(Command::Message(why)),
    }
}
