//! The list on show as a whole: its name, heads moved in the dark, spans that are run again.

use egui::{Grid, Ui};

use super::remove_button;
use crate::app::bench::form::{Form, Number, button, heading, typed};
use crate::app::command::Command;
use crate::app::state::State;
use crate::cue::{CueList, CueNumber, DarkMoves, Loop};
use crate::show::{CueEdit, Edit};

/// In what time dark heads are moved until somebody says otherwise, in seconds.
const DARK_MOVE_S: f64 = 3.0;

/// Draws the form of the list on show.
pub(super) fn list(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let at = state.cues.list;
    let Some(old) = state.show().cues.lists.get(at) else { return };
    let mut form = Form::default();
    let mut new = CueList { cues: Vec::new(), ..old.clone() };
    Grid::new("cue list").num_columns(2).spacing([8.0, 3.0]).show(ui, |ui| {
        ui.label("Name");
        form.text(ui, "List name", &mut new.name, 170.0);
        ui.end_row();
        ui.label("Notes");
        form.text(ui, "List notes", &mut new.notes, 170.0);
        ui.end_row();
        dark_moves(ui, &mut form, &mut new.dark_moves);
        ui.end_row();
    });
    loops(ui, &mut form, old, &mut new, state, commands);
    let CueList { name, notes, dark_moves, loops, .. } = new;
    let edit = || Edit::Cues(CueEdit::SetList { list: at, name, notes, dark_moves, loops });
    form.edit(edit, commands);
    ui.separator();
    let tip = "Take the list out with all of its cues; it can be undone";
    if button(ui, "Delete the list", tip, true) {
        let edit = Edit::Cues(CueEdit::RemoveList(at));
        commands.push(Command::Edit { edit, gesture: false });
    }
}

fn dark_moves(ui: &mut Ui, form: &mut Form, dark: &mut Option<DarkMoves>) {
    let mut on = dark.is_some();
    let tip = "Heads that are dark are moved ahead to where a later cue lights them";
    if ui.checkbox(&mut on, "Dark moves").on_hover_text(tip).changed() {
        *dark = on.then_some(DarkMoves { fade_s: DARK_MOVE_S });
        form.touch();
    }
    match dark {
        Some(dark) => {
            let number = Number::new("Time of dark moves", " s", 0.05, 0.0..=3600.0);
            form.number(ui, &number, &mut dark.fade_s);
        }
        None => drop(ui.weak("dark heads wait for their cue")),
    }
}

fn loops(
    ui: &mut Ui,
    form: &mut Form,
    old: &CueList,
    new: &mut CueList,
    state: &State,
    commands: &mut Vec<Command>,
) {
    heading(ui, "Spans that are run again");
    let mut gone = None;
    for (nth, span) in new.loops.iter_mut().enumerate() {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let name = format!("Loop {}", nth + 1);
            for (word, end) in [("from", &mut span.from), ("to", &mut span.to)] {
                ui.label(word);
                let held = end.to_string();
                if let Some(text) = typed(ui, &format!("{name}: {word}"), &held, 40.0) {
                    match text.parse::<CueNumber>() {
                        Ok(number) => {
                            *end = number;
                            form.touch();
                        }
                        Err(why) => commands.push(Command::Message(why)),
                    }
                }
            }
            passes(ui, form, &name, &mut span.passes);
            if remove_button(ui, &format!("loop {}", nth + 1)) {
                gone = Some(nth);
            }
        });
    }
    if let Some(gone) = gone {
        new.loops.remove(gone);
        form.touch();
    }
    let chosen = state.cues.chosen();
    let ends = chosen.first().zip(chosen.last());
    let ends = ends.and_then(|(from, to)| old.cues.get(*from).zip(old.cues.get(*to)));
    let tip = "After the last of the chosen cues comes the first again";
    if button(ui, "Loop the chosen cues", tip, ends.is_some())
        && let Some((from, to)) = ends
    {
        new.loops.push(Loop { from: from.number, to: to.number, passes: None });
        form.touch();
    }
}

fn passes(ui: &mut Ui, form: &mut Form, name: &str, passes: &mut Option<u32>) {
    let mut ends = passes.is_some();
    let tip = "Ticked: so many times in all. Else until somebody jumps out of it";
    if ui.checkbox(&mut ends, "times").on_hover_text(tip).changed() {
        *passes = ends.then_some(2);
        form.touch();
    }
    match passes {
        Some(passes) => {
            let mut count = f64::from(*passes);
            let number = Number::whole(format!("{name}: passes"), 2.0..=10_000.0);
            form.number(ui, &number, &mut count);
            *passes = count as u32;
        }
        None => drop(ui.weak("endless")),
    }
}
