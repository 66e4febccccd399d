//! The strips below the stage: what time does, and where the timed frames stand.

use egui::{Layout, RichText, Sense, Slider, Ui, vec2};

use super::clock::{Mode, Rate};
use super::command::Command;
use super::keys::Action;
use super::state::State;
use super::theme::{Palette, number, strong};
use crate::motion::assumed_on_the_way;

/// Draws the strip that sets time going.
pub fn transport(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let running = state.clock.mode == Mode::Running;
        let words = if running { "Pause" } else { "Play" };
        let button = egui::Button::new(words).min_size(vec2(52.0, 0.0)).selected(running);
        if ui.add(button).on_hover_text(Action::Play.tip(ui.ctx())).clicked() {
            commands.push(Command::Do(Action::Play));
        }
        act(ui, "Step", Action::StepOn, true, commands);
        let arrived = state.clock.mode == Mode::Arrived;
        act(ui, "Arrive", Action::Arrive, !arrived, commands);
        ui.add_space(6.0);
        for rate in Rate::ALL {
            let chosen = state.clock.rate == rate;
            let key = |action: Action| action.key_words(ui.ctx());
            let (slower, faster) = (key(Action::Slower), key(Action::Faster));
            let tip = format!("Time at {} of real time ({slower}, {faster})", rate.word());
            let button = ui.selectable_label(chosen, rate.word());
            if button.on_hover_text(tip).clicked() && !chosen {
                commands.push(Command::SetRate(rate));
            }
        }
        ui.add_space(8.0);
        // The buttons take their room first, so that long words give way and never run under them.
        ui.with_layout(Layout::right_to_left(egui::Align::Center), |ui| {
            toggle(ui, "Plot", Action::TogglePlot, state.preferences.plot.open, commands);
            let words = if ui.available_width() > 330.0 { "Cut signal" } else { "Cut" };
            let cut = state.cut_since_s().is_some();
            toggle(ui, words, Action::CutSignal, cut, commands);
            ui.with_layout(Layout::left_to_right(egui::Align::Center), |ui| mode(ui, state));
        });
    });
}

fn toggle(ui: &mut Ui, words: &str, action: Action, on: bool, commands: &mut Vec<Command>) {
    let button = ui.selectable_label(on, words).on_hover_text(action.tip(ui.ctx()));
    if named(button, action.row().name).clicked() {
        commands.push(Command::Do(action));
    }
}

fn act(ui: &mut Ui, words: &str, action: Action, enabled: bool, commands: &mut Vec<Command>) {
    let button = ui.add_enabled(enabled, egui::Button::new(words));
    if button.on_hover_text(action.tip(ui.ctx())).clicked() {
        commands.push(Command::Do(action));
    }
}

/// What time does, so that nobody takes an instant for the end.
fn mode(ui: &mut Ui, state: &State) {
    let palette = Palette::of(ui.visuals());
    let words = mode_words(state);
    let (ink, ring) = match state.clock.mode {
        Mode::Arrived => (palette.weak_text, false),
        Mode::Paused => (palette.accent, false),
        Mode::Running => (palette.accent, true),
    };
    if state.clock.mode != Mode::Arrived {
        let (rect, _) = ui.allocate_exact_size(vec2(10.0, 12.0), Sense::hover());
        let stroke = egui::Stroke::new(1.5, ink);
        match ring {
            true => drop(ui.painter().circle_filled(rect.center(), 4.0, ink)),
            false => {
                for x in [-2.0, 2.0] {
                    let x = rect.center().x + x;
                    ui.painter().vline(x, rect.center().y - 4.0..=rect.center().y + 4.0, stroke);
                }
            }
        }
    }
    let tip = match state.clock.mode {
        Mode::Arrived => {
            "Every head stands where it is asked to be. Play gives it the time it takes."
        }
        Mode::Paused if state.clock.past.is_some() => {
            "The stage shows an instant that was. Edits and Play go on from the present."
        }
        Mode::Paused => "The stage is frozen at this instant; edits ask for what comes after it.",
        Mode::Running => "The stage shows what every head does now; dashed is where it was asked.",
    };
    let text = RichText::new(&words).font(strong()).color(ink);
    ui.add(egui::Label::new(text).truncate()).on_hover_text(tip);
}

/// The state of time in words: `arrived`, `3.25 s, arrives in 1.8 s`, `paused at 3.25 s`. The mark and the
/// buttons beside them say that time runs, and how fast.
pub fn mode_words(state: &State) -> String {
    let clock = &state.clock;
    let rate = clock.rate.word();
    match clock.mode {
        Mode::Arrived => "arrived".to_owned(),
        Mode::Paused if clock.past.is_some() => {
            let (at_s, now_s) = (clock.shown_s(), clock.t_s);
            format!("looking back at {at_s:.2} s of {now_s:.2} s{}", arrival_words(state))
        }
        Mode::Paused => format!("paused at {:.2} s{}", clock.t_s, arrival_words(state)),
        Mode::Running if state.needs_ticks() => {
            format!("{:.2} s{}", clock.t_s, arrival_words(state))
        }
        Mode::Running => format!("running {rate}, all has arrived"),
    }
}

/// When the last head arrives, if one is on its way.
fn arrival_words(state: &State) -> String {
    let (Some(motion), t_s) = (state.motion(), state.clock.shown_s()) else { return String::new() };
    let heads = (0..state.show().rig.len()).filter_map(|i| motion.head(i));
    let late = heads.filter_map(|head| {
        let left_s = head.arrives_s().last_s() - t_s;
        (left_s > 0.005).then_some((left_s, !assumed_on_the_way(head, t_s).is_empty()))
    });
    match late.reduce(|a, b| (a.0.max(b.0), a.1 || b.1)) {
        Some((left_s, true)) => format!(", arrives in about {left_s:.1} s"),
        Some((left_s, false)) => format!(", arrives in {left_s:.1} s"),
        None => String::new(),
    }
}

/// Draws the strip of the timed frames.
pub fn timed_strip(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let Some(timed) = &state.timed else { return };
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let duration_s = timed.duration_s();
        let room = ui.available_width();
        let width = (room * 0.24).clamp(60.0, 200.0);
        let name = RichText::new(&timed.name).color(ui.visuals().weak_text_color());
        let frames = timed.playback.timed().len();
        let tip = match timed.leads {
            true => format!("{frames} frames; the slots follow them"),
            false => format!("{frames} frames, left by an edit; Play goes on with them"),
        };
        ui.scope(|ui| {
            ui.set_max_width(width);
            ui.add(egui::Label::new(name).truncate()).on_hover_text(tip);
        });
        if !timed.leads {
            ui.weak("left by an edit").on_hover_text("Play or drag to follow the frames again");
        }
        ui.with_layout(Layout::right_to_left(egui::Align::Center), |ui| {
            act(ui, "Close", Action::CloseTimed, true, commands);
            let button = ui.selectable_label(timed.loops, "Loop");
            if button.on_hover_text(Action::LoopTimed.tip(ui.ctx())).clicked() {
                commands.push(Command::Do(Action::LoopTimed));
            }
            let at_s = timed.playback.now_s().min(duration_s);
            let words = RichText::new(format!("{at_s:.2} / {duration_s:.2} s")).font(number());
            ui.label(words);
            ui.spacing_mut().slider_width = (ui.available_width() - 8.0).max(40.0);
            let mut to_s = at_s;
            let slider = Slider::new(&mut to_s, 0.0..=duration_s.max(1e-3))
                .show_value(false)
                .handle_shape(egui::style::HandleShape::Rect { aspect_ratio: 0.5 });
            let response = ui.add(slider).on_hover_text("Go through the timed frames");
            let response = super::transport::named(response, "Time in the timed frames");
            if response.changed() {
                commands.push(Command::Scrub(to_s));
            }
        });
    });
}

/// Gives a widget without words of its own a name.
pub(super) fn named(response: egui::Response, name: &str) -> egui::Response {
    response.ctx.accesskit_node_builder(response.id, |node| node.set_label(name));
    response
}
