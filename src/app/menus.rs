//! The bar at the top: menus, and the name of the show.

use std::path::Path;

use egui::{Button, Checkbox, MenuBar, RichText, Slider, Ui};

use super::bench::{Bench, BenchCommand, Page};
use super::clock::Mode;
use super::command::Command;
use super::guide::back_button;
use super::keys::Action;
use super::profiles::choices;
use super::stage_panel::{EXPOSURE_EV, HAZE_PER_M};
use super::state::{Preferences, State};
use super::theme::strong;

/// Draws the menus and the show's name.
pub fn menu_bar(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    MenuBar::new().ui(ui, |ui| {
        let on_bench = state.page == Page::Bench;
        if on_bench {
            ui.menu_button("File", |ui| profile_menu(ui, state, commands));
            ui.menu_button("Edit", |ui| bench_edit_menu(ui, state, commands));
        } else {
            ui.menu_button("File", |ui| file_menu(ui, state, commands));
            ui.menu_button("Edit", |ui| edit_menu(ui, state, commands));
        }
        if !on_bench {
            ui.menu_button("Cues", |ui| cue_menu(ui, state, commands));
        }
        ui.menu_button("Time", |ui| time_menu(ui, state, commands));
        let shown = match &mut state.bench {
            Some(bench) if on_bench => &mut bench.head.preferences,
            _ => &mut state.preferences,
        };
        ui.menu_button("View", |ui| view_menu(ui, shown, on_bench, commands));
        if !on_bench {
            ui.menu_button("Explain", |ui| explain_menu(ui, state, commands));
        }
        ui.menu_button("Tools", |ui| {
            item(ui, Action::Probe, commands);
            item(ui, Action::Table, commands);
        });
        ui.menu_button("Help", |ui| {
            ticked_item(ui, Action::Guide, Action::Guide.row().name, state.guide.open, commands);
            item(ui, Action::Keys, commands);
            item(ui, Action::Profiles, commands);
            item(ui, Action::About, commands);
        });
        ui.separator();
        pages(ui, state, commands);
        ui.add_space(4.0);
        if let (true, Some(bench)) = (on_bench, &state.bench) {
            profile_name(ui, bench);
            return;
        }
        let path = state.document.path();
        let where_it_is = path.map_or_else(
            || "Not saved in any file yet".to_owned(),
            |path| path.display().to_string(),
        );
        ui.label(RichText::new(&state.show().name).font(strong())).on_hover_text(where_it_is);
        // An example is never saved, and the show that waits is named in the title of the window.
        if state.document.is_dirty() && state.guide.own().is_none() {
            ui.weak("\u{2022} not saved").on_hover_text(Action::Save.tip(ui.ctx()));
        }
        back_button(ui, state, commands);
    });
}

/// The two pages of the window.
fn pages(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let tip = Action::Bench.tip(ui.ctx());
    for (page, words) in [(Page::Stage, "Stage"), (Page::Bench, "Bench")] {
        let here = state.page == page;
        if ui.selectable_label(here, words).on_hover_text(&tip).clicked() && !here {
            commands.push(Command::Do(Action::Bench));
        }
    }
}

fn profile_name(ui: &mut Ui, bench: &Bench) {
    let path = bench.document.path();
    let where_it_is = path
        .map_or_else(|| "Not saved in any file yet".to_owned(), |path| path.display().to_string());
    let name = RichText::new(bench.profile().key().0).font(strong());
    ui.label(name).on_hover_text(where_it_is);
    if bench.document.is_dirty() {
        ui.weak("\u{2022} not saved").on_hover_text(Action::Save.tip(ui.ctx()));
    }
}

/// The file menu on the bench, where a file is a profile.
fn profile_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    named_item(ui, Action::New, "New profile", true, commands);
    named_item(ui, Action::Open, "Open profile\u{2026}", true, commands);
    ui.menu_button("Open a copy", |ui| {
        for name in choices(state.show(), state.document.library()).into_keys() {
            let row = ui.button(&name).on_hover_text("Edit a copy of this profile");
            if row.clicked() {
                commands.push(BenchCommand::OpenLibrary(name).into());
            }
        }
    });
    show_profiles(ui, state, commands);
    ui.separator();
    named_item(ui, Action::Save, "Save profile", true, commands);
    named_item(ui, Action::SaveAs, "Save profile as\u{2026}", true, commands);
    ui.separator();
    named_item(ui, Action::Describe, "Export profile\u{2026}", true, commands);
    ui.separator();
    item(ui, Action::Quit, commands);
}

/// The profile files that the show names, to be edited themselves.
fn show_profiles(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let folder = state.document.path().and_then(Path::parent);
    let files = &state.show().profile_files;
    let Some(folder) = folder.filter(|_| !files.is_empty()) else { return };
    ui.menu_button("Open of this show", |ui| {
        for file in files {
            let path = folder.join(file);
            let row = ui.button(file).on_hover_text(path.display().to_string());
            if row.clicked() {
                commands.push(BenchCommand::Open(path).into());
            }
        }
    });
}

fn bench_edit_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let Some(bench) = &state.bench else { return };
    undo_items(ui, bench.document.can_undo(), bench.document.can_redo(), commands);
    ui.separator();
    let range = bench.focus.range.is_some();
    let split = bench.split_value().is_some();
    named_item(ui, Action::SplitRange, Action::SplitRange.row().name, split, commands);
    named_item(ui, Action::MergeRanges, Action::MergeRanges.row().name, range, commands);
    item(ui, Action::NextRange, commands);
    item(ui, Action::PreviousRange, commands);
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
    item(ui, Action::Describe, commands);
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

fn undo_items(ui: &mut Ui, undo: Option<&str>, redo: Option<&str>, commands: &mut Vec<Command>) {
    let step = |action: Action, what: Option<&str>| match what {
        Some(what) => format!("{}: {what}", action.row().name),
        None => action.row().name.to_owned(),
    };
    named_item(ui, Action::Undo, &step(Action::Undo, undo), undo.is_some(), commands);
    named_item(ui, Action::Redo, &step(Action::Redo, redo), redo.is_some(), commands);
}

fn cue_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let lists = !state.show().cues.lists.is_empty();
    item(ui, Action::ToggleCues, commands);
    ticked_item(ui, Action::CueGrid, Action::CueGrid.row().name, state.cues.grid, commands);
    ui.separator();
    for action in [Action::CueGo, Action::CueBack, Action::CuePause, Action::CueRelease] {
        item(ui, action, commands);
    }
    named_item(ui, Action::JumpToCue, Action::JumpToCue.row().name, lists, commands);
    ui.menu_button("Levels and rate", |ui| {
        for action in [Action::GrandUp, Action::GrandDown, Action::CueFaster, Action::CueSlower] {
            named_item(ui, action, action.row().name, lists, commands);
        }
    });
    ui.separator();
    let leads = state.cues.lead().is_some();
    for action in [Action::CuesToSlots, Action::EndCues] {
        named_item(ui, action, action.row().name, leads, commands);
    }
    ui.separator();
    item(ui, Action::RecordCue, commands);
    let papers = [Action::DryRun, Action::CueSheet, Action::CompareCues, Action::ExportList];
    for action in papers {
        named_item(ui, action, action.row().name, lists, commands);
    }
    ui.separator();
    let cue = state.cues.picked.is_some();
    for action in [Action::UpdateCue, Action::DeleteCue] {
        named_item(ui, action, action.row().name, cue, commands);
    }
}

fn explain_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let windows = &state.windows;
    for (action, open) in [
        (Action::Why, state.reading.tells_light()),
        (Action::Watch, windows.watch.open),
        (Action::Stray, windows.stray.open),
        (Action::Difference, windows.diff.open),
        (Action::Misfit, windows.misfit.open),
        (Action::Drills, state.drills.open),
    ] {
        ticked_item(ui, action, action.row().name, open, commands);
    }
}

fn edit_menu(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    undo_items(ui, state.document.can_undo(), state.document.can_redo(), commands);
    ui.separator();
    for action in [
        Action::SelectAll,
        Action::SelectNone,
        Action::NextFixture,
        Action::PreviousFixture,
        Action::GoToSlots,
        Action::Setup,
        Action::ChangeModel,
    ] {
        item(ui, action, commands);
    }
    ui.separator();
    item(ui, Action::AddFixtures, commands);
    let selected = !state.selection.is_empty();
    for action in [Action::DuplicateFixtures, Action::RemoveFixtures] {
        named_item(ui, action, action.row().name, selected, commands);
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
    let cut = Action::CutSignal;
    ticked_item(ui, cut, cut.row().name, state.cut_since_s().is_some(), commands);
    ui.separator();
    let in_time = state.timed.is_some() || state.clock.mode != Mode::Arrived;
    named_item(ui, Action::StepBack, Action::StepBack.row().name, in_time, commands);
    named_item(
        ui,
        Action::LoopTimed,
        Action::LoopTimed.row().name,
        state.timed.is_some(),
        commands,
    );
    ui.separator();
    item(ui, Action::ExportPlot, commands);
    ui.separator();
    item(ui, Action::Sweep, commands);
    for action in [Action::NextBoundary, Action::LastBoundary, Action::KeepSwept, Action::EndSweep]
    {
        named_item(ui, action, action.row().name, state.sweep.is_some(), commands);
    }
    item(ui, Action::SweepPace, commands);
}

fn view_menu(
    ui: &mut Ui,
    preferences: &mut Preferences,
    on_bench: bool,
    commands: &mut Vec<Command>,
) {
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
        if on_bench && action == Action::ToggleSlots {
            continue;
        }
        let name = match action {
            Action::ToggleLists if on_bench => "Outline",
            action => action.row().name,
        };
        ticked_item(ui, action, name, shown, commands);
    }
    ui.separator();
    item(ui, Action::Chart, commands);
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

/// Something that is so or is not.
fn ticked_item(
    ui: &mut Ui,
    action: Action,
    name: &str,
    mut ticked: bool,
    commands: &mut Vec<Command>,
) {
    let words = format!("{name} ({})", action.key_words(ui.ctx()));
    let tick = ui.add(Checkbox::new(&mut ticked, words));
    if tick.on_hover_text(action.row().tip).clicked() {
        commands.push(Command::Do(action));
    }
}

fn named_item(ui: &mut Ui, action: Action, name: &str, enabled: bool, commands: &mut Vec<Command>) {
    let button = Button::new(name).shortcut_text(action.key_words(ui.ctx()));
    let response = ui.add_enabled(enabled, button).on_hover_text(action.row().tip);
    if response.clicked() {
        commands.push(Command::Do(action));
    }
}
