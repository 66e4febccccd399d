//! The editor of wheels: what sits in their slots, and drawings of the profile's own.

use egui::{Grid, ScrollArea, Ui};

use super::act::edit;
use super::colour::colour_field;
use super::drawing::drawing_editor;
use super::form::{Form, Number, button, heading, typed};
use super::{Bench, BenchCommand, Focus, free_name};
use crate::app::command::Command;
use crate::light::pattern;
use crate::profile::edit::ProfileEdit;
use crate::profile::model::{Wheel, WheelSlot};

/// Slots that one wheel may have at most.
const MOST_SLOTS: usize = 255;

/// Draws the editor.
pub(super) fn wheels_editor(ui: &mut Ui, bench: &mut Bench, commands: &mut Vec<Command>) {
    ui.horizontal_top(|ui| {
        ui.vertical(|ui| {
            ui.set_width(120.0);
            wheel_list(ui, bench, commands);
        });
        ui.separator();
        ui.vertical(|ui| {
            ui.set_min_width(500.0);
            ui.set_max_width(540.0);
            let wheels = &bench.profile().wheels;
            let chosen = bench.focus.wheel.as_ref().or(wheels.keys().next());
            if let Some((name, wheel)) = chosen.and_then(|name| wheels.get_key_value(name)) {
                wheel_form(ui, bench, name, wheel, commands);
            } else {
                ui.weak("No wheel yet. Add one, then fill its slots.");
            }
        });
        ui.separator();
        ui.vertical(|ui| drawing_editor(ui, bench, commands));
    });
}

fn wheel_list(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Wheels");
    let wheels = &bench.profile().wheels;
    for name in wheels.keys() {
        let here = bench.focus.wheel.as_ref() == Some(name);
        let row = ui.selectable_label(here, name).on_hover_text("Show what sits on it");
        if row.clicked() {
            let focus = Focus { wheel: Some(name.clone()), ..bench.focus.clone() };
            commands.push(BenchCommand::Show(Box::new(focus)).into());
        }
    }
    if button(ui, "Add wheel", "Another wheel, with one open slot", true) {
        let name = free_name("wheel", wheels.keys().map(String::as_str));
        commands.push(edit(ProfileEdit::AddWheel { name }));
    }
}

fn wheel_form(ui: &mut Ui, bench: &Bench, name: &str, wheel: &Wheel, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        ui.label("Wheel");
        if let Some(to) = typed(ui, "Wheel name", name, 120.0) {
            let to = to.trim().to_owned();
            commands.push(edit(ProfileEdit::RenameWheel { from: name.to_owned(), to }));
        }
        ui.label("Step").on_hover_text("Time from one slot to the next");
        let mut form = Form::default();
        let (mut move_s, mut shortest) = (wheel.move_s, wheel.shortest);
        form.optional(ui, &Number::new("Step", " s", 0.01, 0.0..=60.0), &mut move_s, 0.3);
        let ways =
            [(None, "way unknown"), (Some(true), "shorter way"), (Some(false), "one way only")];
        form.choice(ui, "Which way it goes", &mut shortest, &ways);
        let changed = (move_s, shortest) != (wheel.move_s, wheel.shortest);
        let change = ProfileEdit::SetWheelMove { name: name.to_owned(), move_s, shortest };
        form.ask(changed.then_some(change), commands);
        if button(ui, "Remove wheel", "Take the wheel out; no range may move it", true) {
            commands.push(edit(ProfileEdit::RemoveWheel { name: name.to_owned() }));
        }
    });
    ScrollArea::vertical().id_salt("wheel slots").auto_shrink([false, true]).show(ui, |ui| {
        Grid::new("slots").num_columns(4).spacing([8.0, 3.0]).show(ui, |ui| {
            for (i, slot) in wheel.slots.iter().enumerate() {
                ui.label(format!("{}", i + 1));
                ui.push_id(("slot", i), |ui| slot_row(ui, bench, name, wheel, i, slot, commands));
                ui.end_row();
            }
        });
        let room = wheel.slots.len() < MOST_SLOTS;
        if button(ui, "Add slot", "Another slot behind the last", room) {
            let (wheel_name, at) = (name.to_owned(), wheel.slots.len());
            let slot = next_slot(wheel);
            commands.push(edit(ProfileEdit::AddWheelSlot { wheel: wheel_name, at, slot }));
        }
    });
}

/// A slot of the kind that the last one is.
fn next_slot(wheel: &Wheel) -> WheelSlot {
    let name = free_name("new", wheel.slots.iter().map(WheelSlot::name));
    match wheel.slots.last() {
        Some(WheelSlot::Pattern(_, drawing)) => WheelSlot::Pattern(name, drawing.clone()),
        Some(WheelSlot::Animation(_, drawing)) => WheelSlot::Animation(name, drawing.clone()),
        Some(WheelSlot::Prism { .. }) => WheelSlot::Prism { name, facets: 3, spread_deg: 5.0 },
        _ => WheelSlot::Tint(name, "#ffffff".to_owned()),
    }
}

const KINDS: [(u8, &str); 6] =
    [(0, "open"), (1, "colour"), (2, "pattern"), (3, "blocked"), (4, "prism"), (5, "animation")];

fn kind_of(slot: &WheelSlot) -> u8 {
    match slot {
        WheelSlot::Open => 0,
        WheelSlot::Tint(..) => 1,
        WheelSlot::Pattern(..) => 2,
        WheelSlot::Blocked(_) => 3,
        WheelSlot::Prism { .. } => 4,
        WheelSlot::Animation(..) => 5,
    }
}

/// A slot of another kind under the same name.
fn of_kind(kind: u8, slot: &WheelSlot) -> WheelSlot {
    let name = match slot {
        WheelSlot::Open => KINDS[usize::from(kind.min(5))].1.to_owned(),
        slot => slot.name().to_owned(),
    };
    let drawing = match slot {
        WheelSlot::Pattern(_, drawing) | WheelSlot::Animation(_, drawing) => drawing.clone(),
        _ => pattern::names().next().unwrap_or_default().to_owned(),
    };
    match kind {
        0 => WheelSlot::Open,
        1 => WheelSlot::Tint(name, "#ffffff".to_owned()),
        2 => WheelSlot::Pattern(name, drawing),
        3 => WheelSlot::Blocked(name),
        4 => WheelSlot::Prism { name, facets: 3, spread_deg: 5.0 },
        _ => WheelSlot::Animation(name, drawing),
    }
}

fn slot_row(
    ui: &mut Ui,
    bench: &Bench,
    wheel_name: &str,
    wheel: &Wheel,
    at: usize,
    held: &WheelSlot,
    commands: &mut Vec<Command>,
) {
    let mut form = Form::default();
    let mut slot = held.clone();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let mut kind = kind_of(&slot);
        form.choice(ui, &format!("Kind of slot {}", at + 1), &mut kind, &KINDS);
        if kind != kind_of(&slot) {
            slot = of_kind(kind, held);
        }
        slot_fields(ui, bench, &mut form, at, &mut slot);
        let (name, last) = (|| wheel_name.to_owned(), wheel.slots.len() - 1);
        for (words, to) in [("Up", at.checked_sub(1)), ("Down", Some(at + 1))] {
            let to = to.filter(|to| *to <= last);
            if button(ui, words, "Move it; its ranges follow", to.is_some())
                && let Some(to) = to
            {
                commands.push(edit(ProfileEdit::MoveWheelSlot { wheel: name(), from: at, to }));
            }
        }
        if button(ui, "Remove", "Take the slot off; no range may name it", last > 0) {
            commands.push(edit(ProfileEdit::RemoveWheelSlot { wheel: name(), at }));
        }
    });
    let change = ProfileEdit::SetWheelSlot { wheel: wheel_name.to_owned(), at, slot: slot.clone() };
    form.ask((slot != *held).then_some(change), commands);
}

fn slot_fields(ui: &mut Ui, bench: &Bench, form: &mut Form, at: usize, slot: &mut WheelSlot) {
    let field = format!("Name of slot {}", at + 1);
    match slot {
        WheelSlot::Open => {}
        WheelSlot::Blocked(name) => form.text(ui, &field, name, 110.0),
        WheelSlot::Tint(name, hex) => {
            form.text(ui, &field, name, 110.0);
            colour_field(ui, form, &format!("Colour of slot {}", at + 1), hex);
            form.text(ui, &format!("Colour of slot {} as text", at + 1), hex, 72.0);
        }
        WheelSlot::Pattern(name, drawing) | WheelSlot::Animation(name, drawing) => {
            form.text(ui, &field, name, 110.0);
            let mut all: Vec<&str> = pattern::names().collect();
            all.extend(bench.profile().drawings.keys().map(String::as_str));
            form.name(ui, &format!("Drawing of slot {}", at + 1), drawing, all.into_iter());
        }
        WheelSlot::Prism { name, facets, spread_deg } => {
            form.text(ui, &field, name, 110.0);
            let mut count = f64::from(*facets);
            let number = Number::whole(format!("Facets of slot {}", at + 1), 1.0..=64.0);
            form.number(ui, &number, &mut count);
            *facets = count.round() as u8;
            let spread = format!("Spread of slot {}", at + 1);
            form.number(ui, &Number::new(spread, "\u{b0}", 0.1, 0.0..=90.0), spread_deg);
        }
    }
}
