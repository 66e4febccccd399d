//! The bar at the top: menus, and the name of the show.

use egui::{Button, Checkbox, MenuBar, RichText, Slider, Ui};

use super::command::Command;
use super::keys::Action;
use super::stage_panel::{EXPOSURE_EV, HAZE_PER_M};
use super::state::{Preferences, State};
use super::theme::strong;

/// Draws the menus and the show's name.
pub fn menu_bar(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    MenuBar::new().ui(ui, |ui| {
        ui.menu_button("File", |ui| file_menu(ui, state, commands));
        ui.menu_button("Edit", |ui| edit_menu(ui, state, commands));
        ui.menu_button("Time", |ui| time_menu(ui, state, commands));
        ui.menu_button("View", |ui| view_menu(ui, &mut state.preferences, commands));
        ui.menu_button("Help", |ui| {
            item(ui, Action::Keys, commands);
            item(ui, Action::About, commands);
        });
        ui.separator();
        ui.add_space(4.0);
        let path = state.document.path();
        let where_it_is = path.map_or_else(
            || "Not saved in any file yet".to_owned(),
            |path| path.display().to_string(),
        );
        ui.label(RichText::new(&state.show().name).font(strong())).on_hover_text(where_it_is);
        if state.document.is_dirty() {
            ui.weak("\u{2022} not saved").on_hover_text(Action::Save.tip(ui.ctx()));
        }
    });
}

fn file_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    item(ui, Action::New, commands);
    item(ui, Action::Open, commands);
    ui.add_enabled_ui(!state.preferences.recent.is_empty(), |ui| {
        ui.menu_button("Open recent", |ui| {
            for path in &state.preferences.recent {
                let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
                let button = ui.button(name).on_hover_text(path.display().to_string());
                if button.clicked() {
                    commands.push(Command::OpenFile(path.clone()));
                }
            }
        });
    });
    item(ui, Action::OpenDemo, commands);
    ui.separator();
    item(ui, Action::Import, commands);
    ui.separator();
    item(ui, Action::OpenTimed, commands);
    named_item(
        ui,
        Action::CloseTimed,
        Action::CloseTimed.row().name,
        state.timed.is_some(),
        commands,
    );
    ui.separator();
    item(ui, Action::Save, commands);
    item(ui, Action::SaveAs, commands);
    ui.separator();
    item(ui, Action::Quit, commands);
}

fn edit_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let step = |action: Action, what: Option<&str>| match what {
        Some(what) => format!("{}: {what}", action.row().name),
        None => action.row().name.to_owned(),
    };
    let (undo, redo) = (state.document.can_undo(), state.document.can_redo());
    named_item(ui, Action::Undo, &step(Action::Undo, undo), undo.is_some(), commands);
    named_item(ui, Action::Redo, &step(Action::Redo, redo), redo.is_some(), commands);
    ui.separator();
    for action in [
        Action::SelectAll,
        Action::SelectNone,
        Action::NextFixture,
        Action::PreviousFixture,
        Action::GoToSlots,
        Action::Setup,
    ] {
        item(ui, action, commands);
    }
    ui.separator();
    item(ui, Action::NewLook, commands);
    for action in [Action::UpdateLook, Action::RenameLook, Action::DeleteLook] {
        named_item(ui, action, action.row().name, state.look.is_some(), commands);
    }
    item(ui, Action::NextLook, commands);
    item(ui, Action::PreviousLook, commands);
}

fn time_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    for action in [Action::Play, Action::StepOn, Action::Arrive] {
        item(ui, action, commands);
    }
    ui.separator();
    for action in [Action::Faster, Action::Slower] {
        item(ui, action, commands);
    }
    ui.separator();
    for action in [Action::StepBack, Action::LoopTimed] {
        named_item(ui, action, action.row().name, state.timed.is_some(), commands);
    }
    ui.separator();
    item(ui, Action::ExportPlot, commands);
}

fn view_menu(ui: &mut Ui, preferences: &mut Preferences, commands: &mut Vec<Command>) {
    for action in [Action::Fit, Action::SwapSide, Action::ZoomIn, Action::ZoomOut] {
        item(ui, action, commands);
    }
    ui.separator();
    exposure(ui, preferences, 140.0);
    haze(ui, preferences, 140.0);
    item(ui, Action::AutoExposure, commands);
    ui.separator();
    let shown = [
        (Action::ToggleLists, preferences.lists),
        (Action::ToggleReading, preferences.reading),
        (Action::ToggleSlots, preferences.slots),
        (Action::TogglePlot, preferences.plot.open),
    ];
    for (action, shown) in shown {
        let mut ticked = shown;
        let words = format!("{} ({})", action.row().name, action.key_words(ui.ctx()));
        let tick = ui.add(Checkbox::new(&mut ticked, words));
        if tick.on_hover_text(action.row().tip).clicked() {
            commands.push(Command::Do(action));
        }
    }
    ui.separator();
    item(ui, Action::SwapTheme, commands);
}

/// A slider for the exposure, `width` points wide.
pub fn exposure(ui: &mut Ui, preferences: &mut Preferences, width: f32) {
    ui.spacing_mut().slider_width = width;
    let slider = Slider::new(&mut preferences.stage.exposure_ev, -EXPOSURE_EV..=EXPOSURE_EV)
        .custom_formatter(|ev, _| format!("{ev:+.1}"))
        .suffix(" EV")
        .text("Exposure");
    let key = |action: Action| action.key_words(ui.ctx());
    let tip = format!(
        "How bright light is drawn, in stops on top of the automatic exposure ({}, {}; {} for none)",
        key(Action::Brighter),
        key(Action::Darker),
        key(Action::AutoExposure)
    );
    ui.add(slider).on_hover_text(tip);
}

/// A slider for the haze, `width` points wide.
pub fn haze(ui: &mut Ui, preferences: &mut Preferences, width: f32) {
    ui.spacing_mut().slider_width = width;
    let mut percent = preferences.stage.haze_per_m * 100.0;
    let slider = Slider::new(&mut percent, 0.0..=HAZE_PER_M * 100.0)
        .fixed_decimals(0)
        .suffix(" %/m")
        .text("Haze");
    let key = |action: Action| action.key_words(ui.ctx());
    let tip = format!(
        "Share of the light that haze scatters in each metre ({}, {})",
        key(Action::MoreHaze),
        key(Action::LessHaze)
    );
    if ui.add(slider).on_hover_text(tip).changed() {
        preferences.stage.haze_per_m = percent / 100.0;
    }
}

fn item(ui: &mut Ui, action: Action, commands: &mut Vec<Command>) {
    named_item(ui, action, action.row().name, true, commands);
}

fn named_item(ui: &mut Ui, action: Action, name: &str, enabled: bool, commands: &mut Vec<Command>) {
    let button = Button::new(name).shortcut_text(action.key_words(ui.ctx()));
    let response = ui.add_enabled(enabled, button).on_hover_text(action.row().tip);
    if response.clicked() {
        commands.push(Command::Do(action));
    }
}
