//! The window itself: its layout, its keys, what happens when it is closed, and how it starts.

use std::fmt;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use egui::{CentralPanel, Frame, Margin, Panel, Theme, Ui, ViewportCommand};

use super::bench::Page;
use super::bench::page::bench_page;
use super::change_window::change_window;
use super::chart_window::chart_window;
use super::clock::Mode;
use super::command::Command;
use super::cues::{
    compare_window, cue_strip, cues_panel, dry_run_window, grid_window, jump_field, timeline_strip,
};
use super::diff_window::diff_window;
use super::drills::drills_panel;
use super::guide::guide_panel;
use super::icon::icon;
use super::keys::{self, Action, Holder};
use super::lists::lists_panel;
use super::menus::{exposure, haze, menu_bar};
use super::misfit::misfit_window;
use super::plot::plot_panel;
use super::probe::probe_form;
use super::reading_side::reading;
use super::show_files::empty_show;
use super::slots::{SlotsInput, slots_panel};
use super::stage_panel::{StageInput, stage_panel};
use super::state::{Preferences, State};
use super::status::status_line;
use super::stray::stray_window;
use super::sweeping::{sweep_overlay, sweep_strip};
use super::table_form::table_window;
use super::theme::{self, Palette};
use super::time::in_force;
use super::transport::{timed_strip, transport};
use super::watch::watch_window;
use super::{dialogs, files};
use crate::show::recovery::copies_folder;
use crate::show::{ProfileSources, Show, demo_show};
use crate::stage::ViewKind;
use crate::stage::png::write_rgba;

/// How the window starts.
#[derive(Clone, Debug, Default)]
pub struct WindowOptions {
    /// The show to open; the demo show if there is none.
    pub show: Option<PathBuf>,
    /// Close after this long, without asking.
    pub exit_after: Option<Duration>,
    /// Write what the window shows to this file as a PNG, once it has settled.
    pub screenshot: Option<PathBuf>,
}

/// Why there is no window.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WindowError {
    /// There is no display to open one on; with the system's reason.
    NoDisplay(String),
    /// There is a display, but it offers no way to draw; with the reason.
    NoGraphics(String),
}

impl fmt::Display for WindowError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoDisplay(reason) => {
                write!(f, "there is no display to open a window on: {reason}")
            }
            Self::NoGraphics(reason) => {
                write!(f, "the window cannot be drawn on this display: {reason}")
            }
        }
    }
}

impl std::error::Error for WindowError {}

impl From<eframe::Error> for WindowError {
    fn from(error: eframe::Error) -> Self {
        match error {
            eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_) => {
                // Before the reason stands the place in the library's source, which helps nobody.
                let words = error.to_string();
                Self::NoDisplay(
                    words.rsplit(": ").next().unwrap_or(&words).trim_end_matches('.').to_owned(),
                )
            }
            _ => Self::NoGraphics(error.to_string()),
        }
    }
}

/// Opens the window and stays until it is closed.
///
/// # Errors
/// If no window can be opened or drawn; see [`WindowError`].
pub fn run_window(options: WindowOptions) -> Result<(), WindowError> {
    let native = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_app_id("slotwright")
            .with_title("Slotwright")
            .with_icon(icon())
            .with_inner_size([1280.0, 800.0])
            .with_min_inner_size([800.0, 520.0])
            .with_drag_and_drop(true),
        renderer: eframe::Renderer::Glow,
        ..Default::default()
    };
    eframe::run_native("slotwright", native, Box::new(|cc| Ok(Box::new(App::new(cc, options)))))?;
    Ok(())
}

/// Where eframe keeps the preferences.
const PREFERENCES: &str = "preferences";

/// The program behind the window.
pub struct App {
    /// Everything the window holds.
    pub state: State,
    started: Instant,
    exit_after: Option<Duration>,
    screenshot: Option<PathBuf>,
    titled: String,
}

impl App {
    /// Starts as the options say.
    pub fn new(cc: &eframe::CreationContext<'_>, options: WindowOptions) -> Self {
        let stored = cc.storage.and_then(|storage| eframe::get_value(storage, PREFERENCES));
        let preferences: Preferences = stored.unwrap_or_default();
        let (show, broken) = match (&options.show, demo_show(&files::is_known_drawing)) {
            (Some(_), _) => (empty_show(), Vec::new()),
            (None, Ok(demo)) => (demo, Vec::new()),
            (None, Err(findings)) => (empty_show(), findings.0),
        };
        let mut app = Self::with_show(&cc.egui_ctx, show, preferences);
        if !broken.is_empty() {
            let dialog = dialogs::Dialog::findings("The demo show is broken", broken);
            app.state.dialog = Some(dialog);
        }
        let profiles = ProfileSources::of_user();
        if let Some(path) = options.show {
            app.state.jobs.read(&cc.egui_ctx, path, profiles.clone());
        }
        app.state.watch_profiles(&cc.egui_ctx, profiles);
        if let Some(folder) = copies_folder() {
            app.state.keep_copies_in(&cc.egui_ctx, folder);
        }
        (app.exit_after, app.screenshot) = (options.exit_after, options.screenshot);
        app
    }

    /// Starts on a show that has no file.
    pub fn with_show(ctx: &egui::Context, show: Show, preferences: Preferences) -> Self {
        theme::apply(ctx);
        Self {
            state: State::new(show, None, preferences),
            started: Instant::now(),
            exit_after: None,
            screenshot: None,
            titled: String::new(),
        }
    }

    /// Closing with unsaved changes asks first.
    fn guard_close(&mut self, ctx: &egui::Context) {
        let asked = ctx.input(|input| input.viewport().close_requested());
        let own = self.state.guide.own().map_or(&self.state.document, |(own, _)| own);
        let unsaved = own.is_dirty() || self.state.profile_is_dirty();
        if asked && !self.state.leaving && unsaved {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.state.leave(ctx, dialogs::Then::Quit);
        }
    }

    fn keep_time(&mut self, ctx: &egui::Context) {
        /// Long enough for the window to have its size, its fonts and its first light.
        const SETTLED: Duration = Duration::from_millis(1200);
        let elapsed = self.started.elapsed();
        if self.screenshot.is_some() {
            if elapsed < SETTLED {
                ctx.request_repaint_after(SETTLED - elapsed);
            } else if let Some(path) = self.screenshot.take() {
                ctx.request_screenshot(move |image| write_screenshot(&path, &image));
            }
        }
        if let Some(limit) = self.exit_after {
            if elapsed < limit {
                ctx.request_repaint_after(limit - elapsed);
            } else if !self.state.leaving {
                self.state.leaving = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    fn set_title(&mut self, ctx: &egui::Context) {
        let title = format!("Slotwright \u{2014} {}", self.state.title());
        if title != self.titled {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.titled = title;
        }
    }
}

/// Says on standard error what kept the picture from being written: nobody looks at the window then.
fn write_screenshot(path: &std::path::Path, image: &egui::ColorImage) {
    let [width, height] = image.size;
    let written = write_rgba(width, height, image.as_raw())
        .map_err(|error| error.to_string())
        .and_then(|png| std::fs::write(path, png).map_err(|error| error.to_string()));
    if let Err(reason) = written {
        eprintln!("{}: the screenshot was not written: {reason}", path.display());
    }
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        self.guard_close(&ctx);
        self.keep_time(&ctx);
        window(ui, &mut self.state);
        self.set_title(&ctx);
    }

    fn save(&mut self, storage: &mut dyn eframe::Storage) {
        eframe::set_value(storage, PREFERENCES, &self.state.preferences);
    }
}

/// One pass of the whole window: what jobs came to, keys, panels, then what they asked for.
pub fn window(ui: &mut Ui, state: &mut State) {
    let ctx = ui.ctx().clone();
    let theme = if state.preferences.light { Theme::Light } else { Theme::Dark };
    if ctx.theme() != theme {
        ctx.set_theme(theme);
        // This pass has its style already.
        ctx.request_repaint();
    }
    state.take_in(&ctx);
    state.tend_copies(&ctx);
    match &mut state.bench {
        Some(bench) if state.page == Page::Bench => bench.head.tick(&ctx),
        _ => state.tick(&ctx),
    }
    state.tend_flash(&ctx);
    state.tend_run(&ctx);
    let mut commands = dropped(&ctx);
    let free = state.dialog.is_none() && state.renaming.is_none();
    // Escape closes a menu or ends typing first; what is selected stays then.
    let busy = egui::Popup::is_any_open(&ctx) || state.holder != Holder::Nobody;
    if free {
        commands.extend(keys::pressed(&ctx, state.holder).into_iter().map(Command::Do));
    }
    panels(ui, state, &mut commands);
    change_window(&ctx, state, &mut commands);
    chart_window(&ctx, state);
    dry_run_window(&ctx, state, &mut commands);
    watch_window(&ctx, state, &mut commands);
    compare_window(&ctx, state, &mut commands);
    stray_window(&ctx, state, &mut commands);
    diff_window(&ctx, state, &mut commands);
    misfit_window(&ctx, state, &mut commands);
    if state.page == Page::Stage {
        grid_window(&ctx, state, &mut commands);
        jump_field(&ctx, state, &mut commands);
    }
    probe_form(&ctx, state, &mut commands);
    table_window(&ctx, state, &mut commands);
    drop_hint(&ctx);
    if let Some(mut dialog) = state.dialog.take() {
        let profile = state.bench.as_ref().map(|bench| bench.profile().key().0);
        let answer = dialogs::show(&ctx, &mut dialog, state.show(), &profile.unwrap_or_default());
        state.dialog = Some(dialog);
        if let Some(answer) = answer {
            state.answer(&ctx, answer);
        }
    } else if free && !busy && keys::let_go(&ctx) {
        let action = match &state.sweep {
            Some(_) => Action::EndSweep,
            None if state.cues.grid && state.page == Page::Stage => Action::CueGrid,
            None => state.windows.uppermost().unwrap_or(Action::SelectNone),
        };
        commands.push(Command::Do(action));
    }
    state.holder = match (ctx.text_edit_focused(), state.slots.focused) {
        (true, _) => Holder::Text,
        (false, true) => Holder::Slots,
        (false, false) => Holder::Nobody,
    };
    if !commands.is_empty() {
        // What was drawn in this pass is what stood before.
        ctx.request_repaint();
    }
    for command in commands {
        state.apply(&ctx, command);
    }
}

/// Files dropped on the window.
fn dropped(ctx: &egui::Context) -> Vec<Command> {
    let dropped = ctx.input(|input| input.raw.dropped_files.clone());
    match dropped.as_slice() {
        [] => Vec::new(),
        [file] => vec![Command::OpenFile(file.path().to_owned())],
        _ => vec![Command::Refuse(files::not_a_file("several files were dropped at once"))],
    }
}

/// Says what happens to a file that is held over the window.
fn drop_hint(ctx: &egui::Context) {
    if ctx.input(|input| input.raw.hovered_files.is_empty()) {
        return;
    }
    let layer = egui::LayerId::new(egui::Order::Foreground, egui::Id::unique("drop hint"));
    let painter = ctx.layer_painter(layer);
    let rect = ctx.content_rect();
    painter.rect_filled(rect, 0.0, egui::Color32::from_black_alpha(160));
    let font = egui::FontId::new(18.0, theme::strong_family());
    let words = "Drop a show or timed frames here to open them";
    painter.text(rect.center(), egui::Align2::CENTER_CENTER, words, font, egui::Color32::WHITE);
}

fn panels(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let palette = Palette::of(ui.visuals());
    let bar = Frame::new().fill(palette.panel).inner_margin(Margin::symmetric(6, 3));
    Panel::top("menus").frame(bar).exact_size(32.0).resizable(false).show(ui, |ui| {
        menu_bar(ui, state, commands);
    });
    Panel::bottom("status").frame(bar).exact_size(26.0).resizable(false).show(ui, |ui| {
        status_line(ui, state);
    });
    let body = Frame::new().fill(palette.panel).inner_margin(8);
    let width = ui.available_width();
    if state.guide.open {
        let panel = Panel::left("guide").frame(body).resizable(true);
        panel.default_size(348.0).size_range(260.0..=(width * 0.45).max(261.0)).show(ui, |ui| {
            guide_panel(ui, state, commands);
        });
    }
    if state.drills.open && state.page == Page::Stage {
        let panel = Panel::left("drills").frame(body).resizable(true);
        panel.default_size(316.0).size_range(240.0..=(width * 0.4).max(241.0)).show(ui, |ui| {
            drills_panel(ui, state, commands);
        });
    }
    if state.page == Page::Bench {
        bench_page(ui, state, commands);
        return;
    }
    if state.preferences.slots {
        let limits = 90.0..=(ui.available_height() - 200.0).max(91.0);
        let panel = Panel::bottom("slots").frame(body).resizable(true);
        // Three rows of slots in a window of the usual size, more in a higher one.
        let height = (ui.ctx().content_rect().height() * 0.205).clamp(124.0, 244.0);
        panel.default_size(height).size_range(limits).show(ui, |ui| {
            slots(ui, state, commands);
        });
    }
    // Beside the guide there is room for cues, and beside either for looks and fixtures, in a wide window.
    let wide = width > 1500.0;
    let beside = state.guide.open || state.drills.open;
    let cues = state.preferences.cues && (!beside || wide);
    if cues {
        state.ready_timeline();
        let panel = Panel::left("cues").frame(body).resizable(true);
        panel.default_size(304.0).size_range(240.0..=(width * 0.4).max(241.0)).show(ui, |ui| {
            cues_panel(ui, state, commands);
        });
    }
    if state.preferences.lists && (!cues && !beside || wide) {
        let panel = Panel::left("lists").frame(body).resizable(true);
        panel.default_size(224.0).size_range(180.0..=(width * 0.3).max(181.0)).show(ui, |ui| {
            lists_panel(ui, state, commands);
        });
    }
    if state.preferences.reading {
        // Beside what is asked stands what is done, while time plays a part: that is another panel, with
        // a width of its own.
        let in_time = state.clock.mode != Mode::Arrived;
        let (name, more) = if in_time { ("reading in time", 64.0) } else { ("reading", 0.0) };
        let panel = Panel::right(name).frame(body).resizable(true);
        let usual = (ui.ctx().content_rect().width() * 0.315).clamp(344.0, 440.0) + more;
        panel.default_size(usual).size_range(340.0..=(width * 0.5).max(341.0)).show(ui, |ui| {
            reading(ui, state, commands);
        });
    }
    CentralPanel::no_frame().show(ui, |ui| stage(ui, state, commands));
}

fn slots(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let (frames, decoded) = in_force(
        state.sweep.as_ref(),
        state.cues.lead(),
        state.timed.as_ref(),
        state.clock.past.as_ref(),
        &state.document,
        &state.decoded,
    );
    let input = SlotsInput {
        plan: &state.plan,
        frames,
        decoded,
        rig: &state.document.show().rig,
        selection: &state.selection,
        universe: state.universe,
        universes: &state.universes,
    };
    commands.extend(slots_panel(ui, input, &mut state.slots));
}

pub(super) fn stage(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let palette = Palette::of(ui.visuals());
    let frame = Frame::new().fill(palette.panel).inner_margin(Margin::symmetric(8, 3));
    Panel::top("stage tools").frame(frame).exact_size(30.0).resizable(false).show(ui, |ui| {
        stage_tools(ui, state, commands);
    });
    let bar = Frame::new().fill(palette.panel).inner_margin(Margin::symmetric(8, 3));
    if state.preferences.plot.open {
        let limits = 90.0..=(ui.available_height() - 180.0).max(91.0);
        let height = (ui.ctx().content_rect().height() * 0.26).clamp(180.0, 320.0);
        let panel = Panel::bottom("plot").frame(bar).resizable(true);
        panel.default_size(height).size_range(limits).show(ui, |ui| {
            plot_panel(ui, state, commands);
        });
    }
    Panel::bottom("time").frame(bar).exact_size(30.0).resizable(false).show(ui, |ui| {
        transport(ui, state, commands);
    });
    if state.preferences.cues && state.cues.timeline.is_some() {
        Panel::bottom("timeline").frame(bar).exact_size(44.0).resizable(false).show(ui, |ui| {
            timeline_strip(ui, state, commands);
        });
    }
    if state.cues.lead().is_some() {
        Panel::bottom("cues lead").frame(bar).exact_size(28.0).resizable(false).show(ui, |ui| {
            cue_strip(ui, state, commands);
        });
    }
    if state.timed.is_some() {
        Panel::bottom("timed").frame(bar).exact_size(28.0).resizable(false).show(ui, |ui| {
            timed_strip(ui, state, commands);
        });
    }
    if state.sweep.is_some() {
        Panel::bottom("sweep").frame(bar).exact_size(28.0).resizable(false).show(ui, |ui| {
            sweep_strip(ui, state, commands);
        });
    }
    let shown = ui.available_rect_before_wrap();
    let told = state.stage.hovered.and_then(|place| state.light_words(place));
    let input = StageInput {
        told: told.as_deref(),
        scene: &state.scene,
        scene_number: state.scene_number,
        selection: &state.selection,
        settings: state.preferences.stage,
        title: &state.document.show().name,
    };
    commands.extend(stage_panel(ui, &input, &mut state.stage));
    sweep_overlay(ui, shown, state);
}

fn stage_tools(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if ui.button("Fit").on_hover_text(Action::Fit.tip(ui.ctx())).clicked() {
            commands.push(Command::Do(Action::Fit));
        }
        let lower = state.preferences.stage.lower();
        for (kind, words) in [(ViewKind::Front, "Front"), (ViewKind::Side, "Side")] {
            let button = ui.selectable_label(lower == kind, words);
            let tip = format!(
                "The {} below the plan ({})",
                kind.word(),
                Action::SwapSide.key_words(ui.ctx())
            );
            if button.on_hover_text(tip).clicked() && lower != kind {
                commands.push(Command::Do(Action::SwapSide));
            }
        }
        let room = ui.available_width();
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            // From the right: what there is no room for stays in the View menu.
            let both = room > 400.0;
            let width = if both { (room - 330.0) / 2.0 } else { room - 150.0 }.clamp(20.0, 110.0);
            if both {
                haze(ui, &mut state.preferences, width);
                ui.add_space(8.0);
            }
            exposure(ui, &mut state.preferences, width);
        });
    });
}
