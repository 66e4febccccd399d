//! What the fixture does when no more frames come.

use std::collections::BTreeMap;

use egui::{Grid, Ui};

use super::Bench;
use super::form::{Form, Number, button, heading};
use crate::app::command::Command;
use crate::profile::times::LOSS_AFTER_S;
use crate::profile::{Loss, ProfileEdit};

/// Draws the form.
pub(super) fn loss_editor(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Without a signal");
    let held = &bench.profile().on_loss;
    let mut on_loss = held.clone();
    let mut form = Form::default();
    Grid::new("loss").num_columns(2).spacing([12.0, 4.0]).show(ui, |ui| {
        ui.label("Acts after").on_hover_text("Time without a frame until it does something");
        let after = Number::new("Acts after", " s", 0.05, 0.0..=3600.0);
        form.optional(ui, &after, &mut on_loss.after_s, LOSS_AFTER_S);
        ui.end_row();
        ui.label("Then");
        let values = match &on_loss.does {
            Some(standby @ Loss::Standby { .. }) => standby.clone(),
            _ => Loss::Standby { fade_s: 0.0, values: BTreeMap::new() },
        };
        let all = [
            (None, "unknown"),
            (Some(Loss::Hold), "holds what was asked last"),
            (Some(Loss::Dark), "goes dark"),
            (Some(values), "shows a look of its own"),
        ];
        form.choice(ui, "What it then does", &mut on_loss.does, &all);
        ui.end_row();
        if let Some(Loss::Standby { fade_s, values }) = &mut on_loss.does {
            ui.label("Takes");
            form.number(ui, &Number::new("Fade of the look", " s", 0.05, 0.0..=3600.0), fade_s);
            ui.end_row();
            standby(ui, bench, &mut form, values);
        }
    });
    form.ask((on_loss != *held).then_some(ProfileEdit::SetOnLoss(on_loss)), commands);
}

/// The channels that the look sets; all others stand at rest.
fn standby(ui: &mut Ui, bench: &Bench, form: &mut Form, values: &mut BTreeMap<String, u32>) {
    let modes = &bench.profile().modes;
    let most = |name: &str| {
        let channels = modes.iter().filter_map(|mode| mode.channel(name));
        channels.map(|channel| channel.max_value()).max().unwrap_or(0)
    };
    let mut removed = None;
    for (name, value) in values.iter_mut() {
        ui.label(name);
        ui.horizontal(|ui| {
            let mut number = f64::from(*value);
            let field = Number::whole(format!("{name} in the look"), 0.0..=f64::from(most(name)));
            form.number(ui, &field, &mut number);
            *value = number.round() as u32;
            ui.push_id(name, |ui| {
                if button(ui, "At rest", "Let it stand at its value at rest", true) {
                    removed = Some(name.clone());
                }
            });
        });
        ui.end_row();
    }
    if let Some(name) = removed {
        values.remove(&name);
        form.touch();
    }
    ui.label("");
    let tip = "Let the look set every channel as the test head stands";
    if button(ui, "Take from the test head", tip, true)
        && let Some(mode) = bench.mode()
    {
        let held = mode.channels.iter().enumerate();
        let held = held.filter_map(|(i, channel)| Some((channel.name.clone(), bench.value(i)?)));
        values.extend(held);
        form.touch();
    }
    ui.end_row();
}
