//! The form of a mode as a whole.

use egui::{Grid, Ui};

use super::Bench;
use super::act::edit;
use super::form::{Form, Number, button, heading, typed};
use crate::app::command::Command;
use crate::profile::edit::ProfileEdit;
use crate::wire::SLOTS;

/// Draws the form of the selected mode.
pub(super) fn mode_editor(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    let Some(mode) = bench.mode() else { return };
    let index = bench.focus.mode;
    heading(ui, &format!("Mode {}", mode.name));
    Grid::new("mode").num_columns(2).spacing([12.0, 4.0]).show(ui, |ui| {
        ui.label("Name").on_hover_text("As the fixture's own menu calls it");
        if let Some(name) = typed(ui, "Mode name", &mode.name, 220.0) {
            let name = name.trim().to_owned();
            commands.push(edit(ProfileEdit::RenameMode { mode: index, name }));
        }
        ui.end_row();
        ui.label("Slots").on_hover_text("How many the fixture takes, described or not");
        let mut form = Form::default();
        let mut slots = f64::from(mode.slots);
        form.number(ui, &Number::whole("Slots of the mode", 1.0..=SLOTS as f64), &mut slots);
        let slots = slots.round() as u16;
        let change = ProfileEdit::SetModeSlots { mode: index, slots };
        form.ask((slots != mode.slots).then_some(change), commands);
        ui.end_row();
        ui.label("Order");
        ui.horizontal(|ui| {
            let last = bench.profile().modes.len() - 1;
            for (words, to) in [("Mode up", index.checked_sub(1)), ("Mode down", Some(index + 1))] {
                let to = to.filter(|to| *to <= last);
                if button(ui, words, "Move it in the list of modes", to.is_some())
                    && let Some(to) = to
                {
                    commands.push(edit(ProfileEdit::MoveMode { from: index, to }));
                }
            }
            let tip = "Number the slots in the order of the channels, without gaps";
            if button(ui, "Number slots", tip, !mode.channels.is_empty()) {
                commands.push(edit(ProfileEdit::PackSlots { mode: index }));
            }
        });
        ui.end_row();
    });
}
