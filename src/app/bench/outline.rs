//! The outline at the left: the parts of the profile, its modes, and the channels of the selected one.

use egui::{Button, Response, RichText, ScrollArea, Sense, Stroke, Ui, vec2};

use super::act::edit;
use super::form::{button, heading};
use super::{Bench, BenchCommand, Focus, Section};
use crate::app::command::Command;
use crate::app::theme::{BAR, Palette, small};
use crate::profile::edit::{ChannelAt, ProfileEdit};
use crate::profile::model::Channel;

/// Draws the outline.
pub(super) fn outline(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    ScrollArea::vertical().id_salt("outline").auto_shrink(false).show(ui, |ui| {
        ui.set_width(ui.available_width() - BAR);
        ui.spacing_mut().item_spacing.y = 2.0;
        parts(ui, bench, commands);
        ui.add_space(6.0);
        modes(ui, bench, commands);
        ui.add_space(6.0);
        channels(ui, bench, commands);
    });
}

/// A row of the outline over its whole width.
fn row(ui: &mut Ui, selected: bool, words: &str, sense: Sense) -> Response {
    let width = ui.available_width();
    let button = Button::selectable(selected, words).truncate().min_size(vec2(width, 20.0));
    ui.add(button.sense(sense))
}

fn show(focus: Focus, commands: &mut Vec<Command>) {
    commands.push(BenchCommand::Show(Box::new(focus)).into());
}

fn parts(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    let profile = bench.profile();
    let wheels = format!("Wheels and drawings  {}", profile.wheels.len() + profile.drawings.len());
    let cells = format!("Cells  {}", profile.cell_count());
    for (section, words, tip) in [
        (Section::Fixture, "Fixture", "Names, body, head, light, optics and times"),
        (Section::Wheels, wheels.as_str(), "What sits on the wheels, and drawings of its own"),
        (Section::Cells, cells.as_str(), "Where the light-emitting cells sit"),
        (Section::Loss, "Without a signal", "What it does when no more frames come"),
    ] {
        let chosen = row(ui, bench.focus.section == section, words, Sense::click());
        if chosen.on_hover_text(tip).clicked() {
            show(Focus { section, ..bench.focus.clone() }, commands);
        }
    }
}

fn modes(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Modes");
    for (i, mode) in bench.profile().modes.iter().enumerate() {
        let here = bench.focus.mode == i;
        let words = format!("{}  {} slots", mode.name, mode.slots);
        let chosen = row(ui, here && bench.focus.section == Section::Mode, &words, Sense::click());
        if here {
            // Its channels stand below.
            let palette = Palette::of(ui.visuals());
            let edge = chosen.rect.left()..=chosen.rect.left();
            let line = egui::Rect::from_x_y_ranges(edge, chosen.rect.y_range());
            ui.painter().rect_filled(line.expand2(vec2(1.0, 0.0)), 0.0, palette.accent);
        }
        let chosen = chosen.on_hover_text("Show its channels, its name and its slots");
        if chosen.clicked() {
            let mut focus = Focus { section: Section::Mode, mode: i, ..bench.focus.clone() };
            if !here {
                (focus.channel, focus.range) = (0, None);
            }
            show(focus, commands);
        }
    }
    ui.horizontal(|ui| {
        small_buttons(ui);
        if button(ui, "New mode", "An empty mode behind the selected one", true) {
            commands.push(BenchCommand::NewMode.into());
        }
        if button(ui, "Copy mode", "The selected mode once more, under another name", true) {
            commands.push(BenchCommand::CopyMode.into());
        }
        let several = bench.profile().modes.len() > 1;
        if button(ui, "Remove mode", "Take the selected mode out; it can be undone", several) {
            commands.push(edit(ProfileEdit::RemoveMode(bench.focus.mode)));
        }
    });
}

fn small_buttons(ui: &mut Ui) {
    ui.spacing_mut().item_spacing.x = 4.0;
    ui.spacing_mut().button_padding.x = 5.0;
    ui.style_mut().override_font_id = Some(small());
}

fn channels(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    let Some(mode) = bench.mode() else { return };
    heading(ui, &format!("Channels of {}", mode.name));
    if mode.channels.is_empty() {
        ui.label(RichText::new("None yet.").weak());
    }
    ui.horizontal(|ui| {
        small_buttons(ui);
        let at = bench.channel_at();
        let count = mode.channels.len();
        if button(ui, "Add channel", "Another channel behind the selected one", true) {
            commands.push(BenchCommand::NewChannel.into());
        }
        if button(ui, "Up", "Move the selected channel up", at.channel > 0) {
            commands.push(edit(ProfileEdit::MoveChannel { at, to: at.channel - 1 }));
        }
        let below = at.channel + 1 < count;
        if button(ui, "Down", "Move the selected channel down", below) {
            commands.push(edit(ProfileEdit::MoveChannel { at, to: at.channel + 1 }));
        }
        let tip = "Take the selected channel out; it can be undone";
        if button(ui, "Remove", tip, count > 0) {
            commands.push(edit(ProfileEdit::RemoveChannel(at)));
        }
    });
    for (i, channel) in mode.channels.iter().enumerate() {
        channel_row(ui, bench, i, channel, commands);
    }
}

/// The slots of a channel as a chart has them: `1+2`.
pub(super) fn slots_words(channel: &Channel) -> String {
    channel.at.iter().map(u16::to_string).collect::<Vec<_>>().join("+")
}

fn channel_row(
    ui: &mut Ui,
    bench: &Bench,
    index: usize,
    channel: &Channel,
    commands: &mut Vec<Command>,
) {
    let focus = &bench.focus;
    let selected = focus.section == Section::Channel && focus.channel == index;
    let words = format!("{}  {}", slots_words(channel), channel.name);
    let response = row(ui, selected, &words, Sense::click_and_drag());
    response.dnd_set_drag_payload(index);
    if response.clicked() {
        let range = if focus.channel == index { focus.range } else { None };
        let focus =
            Focus { section: Section::Channel, channel: index, range, ..bench.focus.clone() };
        show(focus, commands);
    }
    if let Some(from) = response.dnd_hover_payload::<usize>()
        && *from != index
    {
        let palette = Palette::of(ui.visuals());
        let y = if *from < index { response.rect.bottom() } else { response.rect.top() };
        ui.painter().hline(response.rect.x_range(), y, Stroke::new(2.0, palette.accent));
    }
    if let Some(from) = response.dnd_release_payload::<usize>()
        && *from != index
    {
        let at = ChannelAt { mode: focus.mode, channel: *from };
        commands.push(edit(ProfileEdit::MoveChannel { at, to: index }));
    }
    response.on_hover_text("Its slots and its name. Click to edit it, drag to move it.");
}
