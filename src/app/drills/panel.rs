//! The panel of the drills: what to practise, the exercise, and what is said of an answer.

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::{Button, ComboBox, DragValue, Label, RichText, ScrollArea, Sense, TextEdit, Ui};
use egui::{Role, WidgetInfo, pos2, vec2};
use glam::{DVec2, Vec2};

use super::{DrillAsk, DrillState};
use crate::app::command::Command;
use crate::app::keys::Action;
use crate::app::profiles::choices;
use crate::app::state::State;
use crate::app::theme::{Palette, small, strong};
use crate::check::drill::{Exercise, HINT_COST, KeyRange, Level, TRY_COST, Task, points};
use crate::finding::number;
use crate::profile::Profile;
use crate::stage::{DrawOptions, Rect, View, ViewKind, draw};

/// Draws the drills.
pub(in crate::app) fn drills_panel(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let practises = state.practises();
    let heads = choices(state.document.show(), state.document.library());
    let drills = &mut state.drills;
    ui.horizontal(|ui| {
        ui.label(RichText::new("Drills").heading());
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Close").on_hover_text(Action::Drills.tip(ui.ctx())).clicked() {
                commands.push(Command::Do(Action::Drills));
            }
            let end = ui.add_enabled(drills.on.is_some(), Button::new("End drill"));
            if end.on_hover_text("End the drill and put your own show back, as it was").clicked() {
                commands.push(Command::Drills(DrillAsk::End));
            }
        });
    });
    ScrollArea::vertical().id_salt("drills").auto_shrink(false).show(ui, |ui| {
        ui.set_width((ui.available_width() - 10.0).max(120.0));
        choose(ui, &heads, drills, commands);
        ui.separator();
        if drills.on.is_some() {
            exercise(ui, drills, practises, commands);
        } else {
            wrapped(
                ui,
                "Exercises on a practice head. Your own show waits meanwhile and loses nothing.",
            );
        }
        progress(ui, drills);
    });
}

fn wrapped(ui: &mut Ui, words: impl Into<egui::WidgetText>) {
    ui.add(Label::new(words).wrap());
}

fn choose(
    ui: &mut Ui,
    heads: &BTreeMap<String, Arc<Profile>>,
    drills: &mut DrillState,
    commands: &mut Vec<Command>,
) {
    let name = TextEdit::singleline(&mut drills.person)
        .hint_text("Your name, to keep your progress")
        .desired_width(f32::INFINITY);
    ui.add(name).accessible_name("Your name");
    let width = ui.available_width();
    let profiles = ComboBox::from_id_salt("drill head").width(width).truncate();
    let shown = profiles.selected_text(&drills.profile).show_ui(ui, |ui| {
        for (key, profile) in heads {
            let first = profile.modes.first().map(|mode| mode.name.clone());
            if ui.selectable_label(drills.profile == *key, key).clicked() {
                (drills.profile, drills.mode) = (key.clone(), first.unwrap_or_default());
            }
        }
    });
    shown.response.accessible_name("Head");
    let modes = ComboBox::from_id_salt("drill mode").width(width).truncate();
    let shown = modes.selected_text(&drills.mode).show_ui(ui, |ui| {
        if let Some(profile) = heads.get(&drills.profile) {
            for mode in &profile.modes {
                ui.selectable_value(&mut drills.mode, mode.name.clone(), &mode.name);
            }
        }
    });
    shown.response.accessible_name("Mode of the head");
    let level = |level: Level| format!("{} {}", level.number(), level.words());
    let levels = ComboBox::from_id_salt("drill level").width(width);
    let shown = levels.selected_text(level(drills.level)).show_ui(ui, |ui| {
        for one in Level::ALL {
            ui.selectable_value(&mut drills.level, one, level(one));
        }
    });
    shown.response.accessible_name("Level");
    ui.horizontal(|ui| {
        let label = ui.label("Seed");
        ui.add(DragValue::new(&mut drills.seed).range(0..=u64::MAX))
            .labelled_by(label.id)
            .on_hover_text("The same seed gives the same exercises, as on a printed sheet");
        let words = if drills.on.is_some() { "Begin anew" } else { "Begin" };
        if ui.button(words).on_hover_text("Put the practice head on the stage").clicked() {
            commands.push(Command::Drills(DrillAsk::Begin));
        }
    });
}

fn exercise(ui: &mut Ui, drills: &mut DrillState, practises: bool, commands: &mut Vec<Command>) {
    let DrillState { on, canvas, .. } = drills;
    let Some(on) = on.as_deref_mut() else { return };
    let Some(exercise) = on.sheet.get(on.nth) else { return };
    let (done, palette) = (on.is_done(), Palette::of(ui.visuals()));
    let worth = points(on.hinted, on.wrong);
    ui.horizontal_wrapped(|ui| {
        let title = format!("Exercise {} of {}", on.nth + 1, on.sheet.len());
        ui.label(RichText::new(title).font(strong()));
        ui.weak(format!("worth {} %", number(worth * 100.0)));
    });
    for line in &on.question {
        wrapped(ui, line.as_str());
    }
    if exercise.flashes() {
        let words = "This light flashes; the stage shows it calmly. With a real head, warn those present first.";
        wrapped(ui, RichText::new(words).font(small()).color(palette.warning));
    }
    if let Some(scene) = &on.target {
        let size = vec2(ui.available_width().min(300.0), 150.0);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let words = "The state that is asked for: plan at the left, front elevation at the right";
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words));
        if ui.is_rect_visible(rect) {
            let (half, all) = (size.x / 2.0, Vec2::new(size.x, size.y));
            let points_per_m = f64::from(half) / 6.0;
            let left = Rect::new(Vec2::ZERO, Vec2::new(half, all.y));
            let right = Rect::new(Vec2::new(half, 0.0), all);
            let view =
                |kind, rect, y| View { kind, rect, centre: DVec2::new(0.0, y), points_per_m };
            let views = [view(ViewKind::Plan, left, 3.0), view(ViewKind::Front, right, 2.3)];
            let options = DrawOptions { title: words, ..DrawOptions::default() };
            let picture = draw(scene, &views, all, &options);
            canvas.paint(&ui.painter().with_clip_rect(rect), rect.min, &picture);
        }
    }
    for (place, choice) in exercise.choices().iter().enumerate() {
        let words = format!("{})  {}", Exercise::letter(place), choice.words);
        ui.add_enabled_ui(!done, |ui| {
            ui.style_mut().wrap_mode = Some(egui::TextWrapMode::Wrap);
            if ui.radio(on.picked == Some(place), words).clicked() {
                on.picked = Some(place);
            }
        });
    }
    let sets = matches!(exercise.task, Task::Set { .. });
    if !sets && exercise.choices().is_empty() {
        let field = TextEdit::singleline(&mut on.written)
            .hint_text(exercise.answer_form())
            .desired_width(f32::INFINITY);
        let field = ui.add_enabled(!done, field).accessible_name("Your answer");
        if field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter)) {
            commands.push(Command::Drills(DrillAsk::Check));
        }
    }
    if sets && !practises {
        wrapped(ui, "The practice head is not on the stage: choose Start over to put it there.");
    }
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        let mut ask = |ui: &mut Ui, words: &str, tip: String, can: bool, ask: DrillAsk| {
            if ui.add_enabled(can, Button::new(words)).on_hover_text(tip).clicked() {
                commands.push(Command::Drills(ask));
            }
        };
        let cost = |share: f64| number(share * 100.0);
        let tip = format!("Grade the answer; a wrong one costs {} %", cost(TRY_COST));
        ask(ui, "Check answer", tip, !done, DrillAsk::Check);
        let more = on.hinted < on.hints.len() && !done;
        let tip = format!("One more hint; it costs {} %", cost(HINT_COST));
        ask(ui, "Hint", tip, more, DrillAsk::Hint);
        let tip = "Put the head back to where the exercise begins".to_owned();
        ask(ui, "Start over", tip, true, DrillAsk::Again);
        let words = if done { "Next" } else { "Skip" };
        ask(ui, words, "Go on to the next exercise".to_owned(), true, DrillAsk::Next);
    });
    for hint in on.hints.iter().take(on.hinted) {
        wrapped(ui, RichText::new(format!("Hint: {hint}")).color(palette.weak_text));
    }
    if let Some(grade) = &on.grade {
        let (mark, colour) = match grade.right {
            true => ("Right", palette.text),
            false => ("Not yet", palette.error),
        };
        ui.label(RichText::new(mark).font(strong()).color(colour));
        for line in &grade.said {
            wrapped(ui, line.as_str());
        }
        for key in &on.keys {
            let name = on.head.mode.channels.get(key.channel).map_or("", |c| c.name.as_str());
            ruler(ui, key, name, &palette);
        }
    }
}

/// A ruler of 0..255 with the right values marked on it.
fn ruler(ui: &mut Ui, key: &KeyRange, name: &str, palette: &Palette) {
    let words = format!("slot {}, {name}: right at {}", key.slot, key.words());
    wrapped(ui, RichText::new(&words).font(small()));
    let size = vec2(ui.available_width(), 10.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words.as_str()));
    let painter = ui.painter().with_clip_rect(rect);
    painter.rect_filled(rect, 2.0, palette.field);
    let x = |value: f32| rect.left() + rect.width() * value / 256.0;
    for (first, last) in &key.values {
        let (from, to) = (x(f32::from(*first)), x(f32::from(*last) + 1.0));
        let marked = egui::Rect::from_min_max(
            pos2(from, rect.top()),
            pos2(to.max(from + 2.0), rect.bottom()),
        );
        painter.rect_filled(marked, 0.0, palette.accent);
    }
    response.on_hover_text("0 at the left, 255 at the right");
}

fn progress(ui: &mut Ui, drills: &DrillState) {
    let Some(file) = &drills.progress else { return };
    ui.separator();
    ui.label(RichText::new(format!("Progress of {}", file.progress.person)).font(strong()));
    for level in Level::ALL {
        let (count, sum) = file.progress.of_level(level.number());
        if count > 0 {
            let (number_of, words) = (level.number(), level.words());
            let points = number((sum * 100.0).round() / 100.0);
            wrapped(ui, format!("{number_of} {words}: {count} done, {points} points"));
        }
    }
}
