//! Named values that cues share: recorded from the stage, used in cues, changed for all of them at once.

use egui::{RichText, Ui};

use super::{ask, picked};
use crate::app::bench::form::{Form, typed};
use crate::app::command::Command;
use crate::app::cues::CueAsk;
use crate::app::state::State;
use crate::app::theme::small;
use crate::cue::edit::{refer, uses};
use crate::cue::{Cue, Reference, ReferenceKind, Stage, Tracks};
use crate::show::{CueEdit, Edit};

/// What references are for, in words.
const KINDS: [(ReferenceKind, &str); 4] = [
    (ReferenceKind::Position, "position"),
    (ReferenceKind::Colour, "colour"),
    (ReferenceKind::Pattern, "pattern"),
    (ReferenceKind::Other, "anything"),
];

/// The most cues that are named one by one.
const NAMED: usize = 6;

/// Draws the references of the show.
pub(super) fn references(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    record(ui, state, commands);
    for at in 0..state.show().cues.references.len() {
        ui.separator();
        one(ui, state, at, commands);
    }
    if state.show().cues.references.is_empty() {
        ui.weak("None yet: a reference is a name for where heads point, a colour or a pattern. Cues that \
            use it follow when it is updated.");
    }
}

fn record(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label("New");
        ui.spacing_mut().combo_width = 78.0;
        let (mut form, mut kind) = (Form::default(), state.cues.kind);
        form.choice(ui, "What a new reference is for", &mut kind, &KINDS);
        if kind != state.cues.kind {
            commands.push(Command::Cues(CueAsk::Kind(kind)));
        }
        ui.label("named");
        if let Some(name) = typed(ui, "Name of a new reference", "", 84.0) {
            ask(recorded(state, name.trim()), commands);
        }
    });
    if state.selection.is_empty() {
        ui.weak("Select the fixtures that it is taken from, then type its name and Enter.");
    }
}

/// What cues use a reference, in words.
fn used(state: &State, name: &str) -> String {
    let uses = uses(&state.show().cues, name);
    let cues = uses.iter().filter_map(|(list, cue)| {
        let of = state.show().cues.lists.get(*list)?;
        let number = of.cues.get(*cue)?.number.to_string();
        Some(if *list == state.cues.list { number } else { format!("{number} of {}", of.name) })
    });
    let cues: Vec<String> = cues.take(NAMED).collect();
    match uses.len() {
        0 => "no cue uses it".to_owned(),
        1 => format!("cue {} uses it", cues.join(", ")),
        count if count > NAMED => format!("{count} cues use it"),
        _ => format!("cues {} use it", cues.join(", ")),
    }
}

/// What a reference gives, in short.
fn gives(reference: &Reference) -> String {
    let all = reference.all.iter().map(|(channel, value)| format!("{channel} {value}"));
    let mut parts: Vec<String> = all.collect();
    match reference.own.len() {
        0 => {}
        1 => parts.push("1 fixture of its own".to_owned()),
        count => parts.push(format!("{count} fixtures of their own")),
    }
    if parts.is_empty() { "nothing".to_owned() } else { parts.join(", ") }
}

fn one(ui: &mut Ui, state: &State, at: usize, commands: &mut Vec<Command>) {
    let reference = &state.show().cues.references[at];
    let name = &reference.name;
    let used = used(state, name);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if let Some(name) = typed(ui, &format!("Name of reference {name}"), name, 110.0) {
            let name = name.trim().to_owned();
            let edit = Edit::Cues(CueEdit::RenameReference { index: at, name });
            commands.push(Command::Edit { edit, gesture: false });
        }
        let (mut form, mut new) = (Form::default(), reference.clone());
        ui.spacing_mut().combo_width = 78.0;
        form.choice(ui, &format!("What {name} is for"), &mut new.kind, &KINDS);
        let words = format!("change reference \"{name}\"");
        form.edit(|| replaced(state, at, new, words), commands);
    });
    let gives = gives(reference);
    let words = egui::Label::new(RichText::new(format!("{gives}; {used}")).font(small()));
    ui.add(words.truncate()).on_hover_text(format!("It gives {gives}; {used}"));
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let selected = !state.selection.is_empty();
        let tip = format!("The chosen cue gives the selected fixtures `like {name}`");
        if named(ui, "Use", &tip, &format!("Use {name}"), selected && state.cues.picked.is_some()) {
            ask(used_in_cue(state, reference), commands);
        }
        let tip =
            "What the selected fixtures stand at now, instead; every cue that uses it follows";
        if named(ui, "Update", tip, &format!("Update {name}"), selected) {
            ask(updated(state, at), commands);
        }
        let tip = match used.starts_with("no ") {
            true => "Delete it; it can be undone".to_owned(),
            false => format!("Delete it: {used}, and keep the values that it gave"),
        };
        if named(ui, "Delete", &tip, &format!("Delete {name}"), true) {
            let edit = Edit::Cues(CueEdit::RemoveReference(at));
            commands.push(Command::Edit { edit, gesture: false });
            if !used.starts_with("no ") {
                let words =
                    format!("{name} is gone: the cues that used it keep the values it gave");
                commands.push(Command::Message(words));
            }
        }
    });
}

/// A button whose accessible name says of which reference it is.
fn named(ui: &mut Ui, words: &str, tip: &str, name: &str, enabled: bool) -> bool {
    let button = ui.add_enabled(enabled, egui::Button::new(words));
    let button = button.on_hover_text(tip).on_disabled_hover_text(tip);
    crate::app::transport::named(button, name).clicked()
}

fn replaced(state: &State, at: usize, new: Reference, words: String) -> Edit {
    let mut references = state.show().cues.references.clone();
    references[at] = new;
    Edit::Cues(CueEdit::SetReferences { words, references })
}

fn stage(state: &State) -> Stage<'_> {
    let (frames, decoded) = state.in_force();
    Stage { rig: &state.show().rig, plan: &state.plan, frames, decoded }
}

/// A new reference of what the selected fixtures stand at.
fn recorded(state: &State, name: &str) -> Result<Vec<Command>, String> {
    if state.selection.is_empty() {
        return Err("select the fixtures that it is taken from first".to_owned());
    }
    if state.show().cues.reference(name).is_some() {
        return Err(format!(
            "there is a reference `{name}` already: update it, or choose another name"
        ));
    }
    let tracks = Tracks::new(&state.plan);
    let new = stage(state).reference(name, state.cues.kind, &state.selection, &tracks);
    if new.all.is_empty() && new.own.is_empty() {
        return Err("the selected fixtures have nothing of that kind".to_owned());
    }
    let mut references = state.show().cues.references.clone();
    references.push(new);
    let words = format!("record reference \"{name}\"");
    let edit = Edit::Cues(CueEdit::SetReferences { words, references });
    Ok(vec![Command::Edit { edit, gesture: false }])
}

/// A reference with what the selected fixtures stand at now.
fn updated(state: &State, at: usize) -> Result<Vec<Command>, String> {
    let old = &state.show().cues.references[at];
    let tracks = Tracks::new(&state.plan);
    let new = stage(state).updated(old, &state.selection, &tracks);
    if new == *old {
        return Err(format!("the selected fixtures stand as {} has them", old.name));
    }
    let words = format!("update reference \"{}\"", old.name);
    Ok(vec![Command::Edit { edit: replaced(state, at, new, words), gesture: false }])
}

/// The chosen cue with the selected fixtures like a reference.
fn used_in_cue(state: &State, reference: &Reference) -> Result<Vec<Command>, String> {
    let (_, index, old) = picked(state).ok_or("click a cue first")?;
    let mut cue: Cue = old.clone();
    for at in &state.selection {
        let fixture = state.show().rig.get(*at);
        let mode = state.plan.fixtures().get(*at).and_then(|planned| planned.mode.as_ref());
        let (Some(fixture), Some(mode)) = (fixture, mode) else { continue };
        let channels = mode.channels.iter().map(|channel| channel.name.as_str());
        refer(&mut cue, reference, fixture.id, channels);
    }
    if cue == *old {
        return Err(format!("{} gives the selected fixtures nothing new", reference.name));
    }
    let edit = CueEdit::SetCue { list: state.cues.list, index, cue: Box::new(cue) };
    Ok(vec![Command::Edit { edit: Edit::Cues(edit), gesture: false }])
}
