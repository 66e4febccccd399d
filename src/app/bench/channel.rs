//! The editor of a channel: its own form, its ranges on bars, and the selected range.

use egui::{Frame, RichText, ScrollArea, Ui, vec2};

use super::act::edit;
use super::form::{Form, Number, button, typed};
use super::range::{range_form, range_words};
use super::ranges::range_bars;
use super::{Bench, BenchCommand};
use crate::app::command::Command;
use crate::app::keys::Action;
use crate::app::theme::{BAR, Palette, number, strong};
use crate::decode::written;
use crate::profile::edit::ProfileEdit;
use crate::profile::model::Channel;
use crate::wire::SLOTS;

/// Width of the list of ranges, in points.
const LIST: f32 = 250.0;

/// Draws the editor of the selected channel.
pub(super) fn channel_editor(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    let Some(channel) = bench.channel() else {
        ui.weak("This mode has no channel yet. Add one in the outline.");
        return;
    };
    channel_form(ui, bench, channel, commands);
    ui.add_space(4.0);
    range_bars(ui, bench, channel, commands);
    range_buttons(ui, bench, commands);
    ui.add_space(4.0);
    let height = ui.available_height().max(96.0);
    ui.horizontal_top(|ui| {
        ui.vertical(|ui| {
            ui.set_width(LIST);
            ui.set_max_height(height);
            range_list(ui, bench, channel, commands);
        });
        ui.separator();
        ui.vertical(|ui| {
            ui.set_max_width(ui.available_width());
            range_form(ui, bench, commands);
        });
    });
}

fn channel_form(ui: &mut Ui, bench: &Bench, channel: &Channel, commands: &mut Vec<Command>) {
    let at = bench.channel_at();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        ui.label("Channel");
        if let Some(name) = typed(ui, "Channel name", &channel.name, 150.0) {
            let name = name.trim().to_owned();
            commands.push(edit(ProfileEdit::RenameChannel { at, name }));
        }
        ui.add_space(6.0);
        slots_form(ui, bench, channel, commands);
        ui.add_space(6.0);
        ui.label("At rest").on_hover_text("The value at rest, at the channel's full resolution");
        let mut form = Form::default();
        let mut value = f64::from(channel.default);
        let most = f64::from(channel.max_value());
        let speed = (most / 500.0).max(0.3);
        let number = Number { speed, ..Number::whole("Value at rest", 0.0..=most) };
        form.number(ui, &number, &mut value);
        let value = value.round().clamp(0.0, most) as u32;
        let change = ProfileEdit::SetDefault { at, value };
        form.ask((value != channel.default).then_some(change), commands);
        if channel.at.len() > 1 {
            ui.weak(written(channel.default, channel.at.len()));
        }
        let held = bench.value(at.channel).filter(|value| *value != channel.default);
        let tip = "Take the test head's value as the value at rest";
        if button(ui, "Take", tip, held.is_some())
            && let Some(value) = held
        {
            commands.push(edit(ProfileEdit::SetDefault { at, value }));
        }
        ui.add_space(6.0);
        let mut snap = channel.snap;
        let tick = ui.checkbox(&mut snap, "Jumps");
        if tick.on_hover_text("It jumps in a fade instead of passing what lies between").changed() {
            commands.push(edit(ProfileEdit::SetSnap { at, snap }));
        }
        cell_choice(ui, bench, channel, commands);
    });
}

fn cell_choice(ui: &mut Ui, bench: &Bench, channel: &Channel, commands: &mut Vec<Command>) {
    let count = bench.profile().cells.len();
    if count == 0 && channel.cell.is_none() {
        return;
    }
    ui.label("Cell");
    let words: Vec<String> = (1..=count.max(1)).map(|cell| cell.to_string()).collect();
    let cells = words.iter().zip(1u16..).map(|(word, cell)| (Some(cell), word.as_str()));
    let all: Vec<(Option<u16>, &str)> = std::iter::once((None, "all")).chain(cells).collect();
    let mut cell = channel.cell;
    Form::default().choice(ui, "Cell of the channel", &mut cell, &all);
    if cell != channel.cell {
        commands.push(edit(ProfileEdit::SetCell { at: bench.channel_at(), cell }));
    }
}

/// The slots, most significant first.
fn slots_form(ui: &mut Ui, bench: &Bench, channel: &Channel, commands: &mut Vec<Command>) {
    let at = bench.channel_at();
    ui.label("Slots").on_hover_text("Counted from the fixture's first, most significant first");
    let mut form = Form::default();
    let mut slots = channel.at.clone();
    for (i, slot) in slots.iter_mut().enumerate() {
        let part = ["coarse", "fine", "third", "fourth"].get(i).copied().unwrap_or("further");
        let mut value = f64::from(*slot);
        form.number(ui, &Number::whole(format!("Slot, {part}"), 1.0..=SLOTS as f64), &mut value);
        *slot = value.round().clamp(1.0, SLOTS as f64) as u16;
    }
    let used = |slot: &u16| {
        bench.mode().is_some_and(|mode| mode.channels.iter().any(|c| c.at.contains(slot)))
    };
    let tip = "One more slot of finer steps; what its values do keeps its place";
    if button(ui, "Finer", tip, slots.len() < 4) {
        let next = slots.last().map_or(1, |last| last.saturating_add(1));
        let free = (next..=SLOTS as u16).find(|slot| !used(slot));
        slots.extend(free);
        form.touch();
    }
    if button(ui, "Coarser", "Without the finest slot", slots.len() > 1) {
        slots.pop();
        form.touch();
    }
    form.ask((slots != channel.at).then_some(ProfileEdit::SetSlots { at, slots }), commands);
}

fn range_buttons(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let mut act = |words: &str, enabled: bool, action: Action| {
            if button(ui, words, &action.tip(ui.ctx()), enabled) {
                commands.push(Command::Do(action));
            }
        };
        act("Split at the cursor", bench.split_value().is_some(), Action::SplitRange);
        act("Merge with next", bench.focus.range.is_some(), Action::MergeRanges);
        let gap = bench.fill_gap();
        let tip = "Put a range into the values around the cursor that no range covers";
        if button(ui, "Fill the gap", tip, gap.is_some())
            && let Some(gap) = gap
        {
            commands.push(edit(gap));
        }
        let at = bench.range_at();
        let tip = "Take the selected range out: its values do nothing then";
        if button(ui, "Remove range", tip, at.is_some())
            && let Some(at) = at
        {
            commands.push(edit(ProfileEdit::RemoveRange(at)));
        }
        if let Some(value) = bench.value(bench.focus.channel)
            && let Some(channel) = bench.channel()
        {
            ui.add_space(8.0);
            let words = format!("cursor {}", written(value, channel.at.len()));
            ui.label(RichText::new(words).font(number()))
                .on_hover_text("The value of this channel on the test head");
        }
    });
}

fn range_list(ui: &mut Ui, bench: &Bench, channel: &Channel, commands: &mut Vec<Command>) {
    let palette = Palette::of(ui.visuals());
    ui.label(RichText::new(format!("Ranges  {}", channel.ranges.len())).font(strong()));
    let width = channel.at.len();
    let mut order: Vec<usize> = (0..channel.ranges.len()).collect();
    order.sort_by_key(|i| channel.ranges[*i].bounds(width));
    Frame::new().fill(palette.panel).show(ui, |ui| {
        ScrollArea::vertical().id_salt("ranges").auto_shrink([false, false]).show(ui, |ui| {
            ui.set_width(LIST - BAR);
            ui.spacing_mut().item_spacing.y = 1.0;
            for i in order {
                let range = &channel.ranges[i];
                let bounds =
                    range.bounds(width).map_or_else(String::new, |(first, last)| match width {
                        1 => format!("{first}\u{2013}{last}"),
                        _ => format!("{}\u{2013}{}", written(first, width), written(last, width)),
                    });
                let words = format!("{bounds}  {}", range_words(bench.profile(), range));
                let row = egui::Button::selectable(bench.focus.range == Some(i), words)
                    .truncate()
                    .min_size(vec2(LIST - BAR, 18.0));
                let row = ui.add(row).on_hover_text("Select it, and let the test head do it");
                if row.clicked() {
                    commands.push(BenchCommand::Try(i).into());
                }
            }
        });
    });
}
