//! How the bench is laid out: the outline at the left, the test head with its reading, the editor below.

use egui::{CentralPanel, Frame, Margin, Panel, RichText, ScrollArea, Ui};

use super::cells::cells_editor;
use super::channel::channel_editor;
use super::findings::findings_list;
use super::fixture::fixture_editor;
use super::form::button;
use super::loss::loss_editor;
use super::mode::mode_editor;
use super::outline::outline;
use super::wheels::wheels_editor;
use super::{Bench, BenchCommand, Section};
use crate::app::command::Command;
use crate::app::reading_side::reading;
use crate::app::shell::stage;
use crate::app::state::State;
use crate::app::theme::{Palette, small};

/// Draws the page below the menus.
pub fn bench_page(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let Some(mut bench) = state.bench.take() else { return };
    let palette = Palette::of(ui.visuals());
    let body = Frame::new().fill(palette.panel).inner_margin(8);
    let (width, height) = (ui.available_width(), ui.ctx().content_rect().height());
    if bench.head.preferences.lists {
        let panel = Panel::left("bench outline").frame(body).resizable(true);
        panel.default_size(224.0).size_range(190.0..=(width * 0.3).max(191.0)).show(ui, |ui| {
            let findings = Panel::bottom("bench findings").resizable(true);
            let frame = Frame::new().inner_margin(Margin { top: 6, ..Margin::ZERO });
            let usual = (height * 0.2).clamp(96.0, 240.0);
            findings
                .frame(frame)
                .default_size(usual)
                .size_range(60.0..=height * 0.5)
                .show(ui, |ui| findings_list(ui, &bench, commands));
            CentralPanel::no_frame().show(ui, |ui| outline(ui, &bench, commands));
        });
    }
    let limits = 160.0..=(ui.available_height() - 240.0).max(161.0);
    let usual = (height * 0.37).clamp(230.0, 420.0);
    let panel = Panel::bottom("bench editor").frame(body).resizable(true);
    panel.default_size(usual).size_range(limits).show(ui, |ui| {
        // The fields of one channel are not those of another.
        let focus = &bench.focus;
        let salt = (focus.section as u8, focus.mode, focus.channel, focus.wheel.clone());
        ui.push_id(salt, |ui| editor(ui, &mut bench, commands));
    });
    let mut head_commands = Vec::new();
    if bench.head.preferences.reading {
        let panel = Panel::right("reading").frame(body).resizable(true);
        let usual = (ui.ctx().content_rect().width() * 0.315).clamp(344.0, 440.0);
        panel.default_size(usual).size_range(340.0..=(width * 0.5).max(341.0)).show(ui, |ui| {
            test_values(ui, commands);
            reading(ui, &mut bench.head, &mut head_commands);
        });
    }
    CentralPanel::no_frame().show(ui, |ui| stage(ui, &mut bench.head, &mut head_commands));
    let for_head = |command| BenchCommand::Head(Box::new(command)).into();
    let (guide, head): (Vec<_>, Vec<_>) =
        head_commands.into_iter().partition(|it| matches!(it, Command::Guide(_)));
    commands.extend(guide);
    commands.extend(head.into_iter().map(for_head));
    commands.extend(bench.deferred.take().map(Command::Do));
    state.bench = Some(bench);
}

/// Buttons that put the whole test head somewhere.
fn test_values(ui: &mut Ui, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label(RichText::new("Put the test head").font(small()));
        if button(ui, "at rest", "Every channel at its value at rest", true) {
            commands.push(BenchCommand::Rest.into());
        }
        if button(ui, "alight", "At rest, but with dimmers up and shutters open", true) {
            commands.push(BenchCommand::Light.into());
        }
    });
    ui.separator();
}

fn editor(ui: &mut Ui, bench: &mut Bench, commands: &mut Vec<Command>) {
    ScrollArea::both().id_salt("editor").auto_shrink(false).show(ui, |ui| {
        match bench.focus.section {
            Section::Channel => channel_editor(ui, bench, commands),
            Section::Mode => mode_editor(ui, bench, commands),
            Section::Fixture => fixture_editor(ui, bench, commands),
            Section::Wheels => wheels_editor(ui, bench, commands),
            Section::Cells => cells_editor(ui, bench, commands),
            Section::Loss => loss_editor(ui, bench, commands),
        }
    });
}
