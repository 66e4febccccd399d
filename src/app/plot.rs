//! The plot: what was asked of the selected heads and what they did, over one time axis.

use egui::{Color32, RichText, Ui, vec2};
use egui_plot::{Line, LineStyle, Plot, PlotPoints, VLine};
use serde::{Deserialize, Serialize};

use super::clock::Mode;
use super::command::Command;
use super::keys::Action;
use super::state::State;
use super::theme::{GRID, Palette, small, small_number};
use super::trace::{MOST_HEADS, Quantity, Trace};
use crate::finding::rounded;

/// How courses are shown; kept from run to run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PlotSettings {
    /// The plot is shown.
    pub open: bool,
    /// The channels that are not shown.
    pub hidden: Vec<Quantity>,
    /// Channels that are followed besides the usual ones, by name.
    pub more: Vec<String>,
    /// How much of the time before this instant is shown, in seconds.
    pub span_s: f64,
}

impl Default for PlotSettings {
    fn default() -> Self {
        let hidden = (1..16).map(Quantity::Wheel).chain([Quantity::Zoom]).collect();
        Self { open: false, hidden, more: Vec::new(), span_s: 10.0 }
    }
}

/// The stretches of time to choose from, in seconds.
const SPANS_S: [f64; 4] = [3.0, 10.0, 30.0, 120.0];

/// Room for the names of the lanes, in points.
const GUTTER: f32 = 132.0;

/// Room for the time axis under the lowest lane, in points.
const TIME_AXIS: f32 = 18.0;

/// Draws the panel.
pub fn plot_panel(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let channels = channels(state.course());
    tools(ui, state, &channels, commands);
    let hidden = &state.preferences.plot.hidden;
    let lanes: Vec<_> = channels.iter().filter(|channel| !hidden.contains(&channel.0)).collect();
    if state.course().is_empty() || lanes.is_empty() {
        let words = match (state.selection.is_empty(), state.clock.mode) {
            (true, _) => "Select a fixture to plot its course.",
            (false, Mode::Arrived) if lanes.is_empty() && !channels.is_empty() => {
                "Choose a channel above."
            }
            (false, Mode::Arrived) => {
                "Press Play, then change something: its course is drawn here."
            }
            (false, _) => "Nothing was recorded of the selected fixtures yet.",
        };
        ui.centered_and_justified(|ui| ui.weak(words));
        return;
    }
    let span_s = shown_span(state);
    let height = (ui.available_height() - TIME_AXIS - GRID) / lanes.len() as f32;
    ui.spacing_mut().item_spacing.y = 0.0;
    for (i, (quantity, name, unit)) in lanes.iter().enumerate() {
        let last = i + 1 == lanes.len();
        let height = if last { height + TIME_AXIS } else { height };
        lane(
            ui,
            state,
            (*quantity, &format!("{name}, {unit}")),
            span_s,
            (height.max(24.0), last),
            commands,
        );
    }
}

/// The channels that there are courses of, each once.
fn channels(course: &Trace) -> Vec<(Quantity, String, &'static str)> {
    let mut channels: Vec<(Quantity, String, &'static str)> = Vec::new();
    for column in course.columns() {
        if !channels.iter().any(|known| known.0 == column.quantity) {
            channels.push((column.quantity, column.name.clone(), column.unit_word()));
        }
    }
    channels.sort_by_key(|channel| channel.0);
    channels
}

/// The names of all channels of the selected heads, each once.
fn channel_names(state: &State) -> Vec<String> {
    let modes = state
        .selection
        .iter()
        .filter_map(|fixture| state.plan.fixtures().get(*fixture)?.mode.as_ref());
    let mut names: Vec<String> = Vec::new();
    for channel in modes.take(MOST_HEADS).flat_map(|mode| &mode.channels) {
        if !names.contains(&channel.name) {
            names.push(channel.name.clone());
        }
    }
    names
}

/// The way to any channel of the selected heads.
fn picker(ui: &mut Ui, names: &[String], more: &mut Vec<String>) {
    let button = ui.menu_button(RichText::new("Channels").small(), |ui| {
        egui::ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
            for name in names {
                let mut shown = more.contains(name);
                if ui.checkbox(&mut shown, name).changed() {
                    match shown {
                        true => more.push(name.clone()),
                        false => more.retain(|known| known != name),
                    }
                }
            }
        });
    });
    let tip = "Plot any channel of the selected heads, in the terms that it is asked in";
    button.response.on_hover_text(tip);
}

/// The line above the lanes: which channels, how much time, and the way into a file.
fn tools(
    ui: &mut Ui,
    state: &mut State,
    channels: &[(Quantity, String, &'static str)],
    commands: &mut Vec<Command>,
) {
    let nothing = state.course().is_empty();
    let whole = state.timed.as_ref().is_some_and(|timed| timed.leads && timed.course.is_some());
    let names = channel_names(state);
    let before = state.preferences.plot.more.clone();
    let settings = &mut state.preferences.plot;
    // On as many lines as it needs: nothing is cut where the window is narrow.
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(3.0, 3.0);
        curves(ui, channels, settings);
        if !names.is_empty() {
            picker(ui, &names, &mut settings.more);
        }
        if !whole {
            ui.add_space(GRID);
            spans(ui, settings);
            ui.add_space(GRID);
        }
        let export = ui.add_enabled(!nothing, egui::Button::new("Export\u{2026}").small());
        if export.on_hover_text(Action::ExportPlot.tip(ui.ctx())).clicked() {
            commands.push(Command::Do(Action::ExportPlot));
        }
    });
    if state.preferences.plot.more != before && state.clock.mode != Mode::Arrived {
        state.follow_selection();
    }
}

/// The stretches of time to choose from.
fn spans(ui: &mut Ui, settings: &mut PlotSettings) {
    for span_s in &SPANS_S {
        let words = RichText::new(format!("{span_s:.0} s")).small();
        let chosen = settings.span_s == *span_s;
        let tip = format!("Show the last {span_s:.0} s");
        if ui.selectable_label(chosen, words).on_hover_text(tip).clicked() {
            settings.span_s = *span_s;
        }
    }
}

/// The curves there are, each shown or hidden.
fn curves(ui: &mut Ui, channels: &[(Quantity, String, &'static str)], settings: &mut PlotSettings) {
    for (quantity, name, _) in channels {
        let shown = !settings.hidden.contains(quantity);
        let button = ui.selectable_label(shown, RichText::new(name).small());
        let tip = format!("Show or hide {name}; dashed is asked, solid is now");
        if button.on_hover_text(tip).clicked() {
            match (quantity, shown) {
                (Quantity::Channel(_), _) => settings.more.retain(|known| known != name),
                (_, true) => settings.hidden.push(*quantity),
                (_, false) => settings.hidden.retain(|h| h != quantity),
            }
        }
    }
}

/// The stretch of time on show: all of the timed frames, or what came last.
fn shown_span(state: &State) -> (f64, f64) {
    let course = state.course();
    let whole = state.timed.as_ref().is_some_and(|timed| timed.leads && timed.course.is_some());
    match (whole, course.span_s()) {
        (true, Some((from_s, to_s))) => (from_s, to_s.max(from_s + 0.1)),
        (false, Some((_, last_s))) => {
            let to_s = if state.clock.mode == Mode::Arrived { last_s } else { state.clock.t_s };
            // Nothing was before 0: until it is needed, there is room for what comes.
            let to_s = to_s.max(state.preferences.plot.span_s);
            (to_s - state.preferences.plot.span_s, to_s)
        }
        (_, None) => (0.0, 1.0),
    }
}

/// One channel over time.
fn lane(
    ui: &mut Ui,
    state: &State,
    (quantity, name): (Quantity, &str),
    (from_s, to_s): (f64, f64),
    (height, last): (f32, bool),
    commands: &mut Vec<Command>,
) {
    let palette = Palette::of(ui.visuals());
    let course = state.course();
    let columns = course.columns().iter().enumerate().filter(|(_, c)| c.quantity == quantity);
    let mut curves = Vec::new();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (i, column) in columns {
        let order = course.fixtures().iter().position(|fixture| *fixture == column.fixture);
        for now in [false, true] {
            let points = course.points(i, now, from_s);
            for [_, value] in &points {
                (low, high) = (low.min(*value), high.max(*value));
            }
            curves.push((order.unwrap_or(0), now, column.id, points));
        }
    }
    let range = match (short(low), short(high)) {
        _ if low > high => String::new(),
        (low, high) if low == high => low,
        (low, high) => format!("{low}..{high}"),
    };
    let (low, high) = scale(quantity, low, high);
    let text_ink = palette.weak_text;
    let plot = Plot::new(("lane", quantity_key(quantity)))
        .height(height)
        .show_axes([last, false])
        .show_grid([true, true])
        .grid_color(palette.line)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .allow_axis_zoom_drag(false)
        .show_background(false)
        .cursor_color(palette.strong_line)
        .y_grid_spacer(move |_| grid_marks(low, high))
        .x_axis_formatter(|mark, _| format!("{} s", short(mark.value)))
        .label_formatter(|_| None);
    let shown = ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        let (gutter, _) = ui.allocate_exact_size(vec2(GUTTER, height), egui::Sense::hover());
        let place = |text: String, font, y: f32| {
            let galley = ui.painter().layout_no_wrap(text, font, text_ink);
            ui.painter().galley(gutter.left_top() + vec2(2.0, y), galley, text_ink);
        };
        place(name.to_owned(), small(), 3.0);
        if height - if last { TIME_AXIS } else { 0.0 } >= 28.0 {
            place(range, small_number(), 15.0);
        }
        plot.show(ui, |plot| {
            plot.set_plot_bounds_x(from_s..=to_s);
            plot.set_plot_bounds_y(low..=high);
            for (order, now, id, points) in curves {
                let (ink, width) = ink(order, now, &palette);
                let what = if now { "now" } else { "asked" };
                let line = Line::new(format!("{id} {what}"), PlotPoints::from(points))
                    .color(ink)
                    .width(width)
                    .allow_hover(false);
                plot.line(if now { line } else { line.style(LineStyle::dashed_loose()) });
            }
            if state.clock.mode != Mode::Arrived {
                let cursor = VLine::new("this instant", state.clock.shown_s());
                plot.vline(cursor.color(palette.accent).width(1.0).allow_hover(false));
            }
            plot.pointer_coordinate()
        })
    });
    let (shown, whole) = (shown.inner, shown.response.rect);
    let response = shown.response;
    let label = format!("Plot of {name}");
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Canvas, true, &label));
    let line = egui::Stroke::new(1.0, palette.line);
    ui.painter().hline(whole.x_range(), whole.top() + 0.5, line);
    let Some(at) = shown.inner.filter(|_| response.hovered() || response.dragged()) else { return };
    let at_s = at.x.clamp(from_s, to_s);
    hover_words(ui, course, quantity, at_s, response.rect, &palette);
    let leads = state.timed.as_ref().is_some_and(|timed| timed.leads);
    if response.dragged() || response.clicked() {
        commands.push(if leads { Command::Scrub(at_s) } else { Command::LookBack(at_s) });
    }
}

/// What stands under the pointer, in the lane's right corner.
fn hover_words(
    ui: &Ui,
    course: &Trace,
    quantity: Quantity,
    at_s: f64,
    rect: egui::Rect,
    palette: &Palette,
) {
    let now = if course.fixtures().len() > 3 { " now" } else { "" };
    let mut words = format!("{at_s:.2} s{now}");
    let columns = course.columns().iter().enumerate().filter(|(_, c)| c.quantity == quantity);
    for (i, column) in columns {
        let at = |now: bool| {
            let points = course.points(i, now, at_s);
            points.iter().rev().find(|[t_s, _]| *t_s <= at_s).map(|[_, value]| *value)
        };
        let figure =
            |value: Option<f64>| value.map_or("\u{2013}".to_owned(), |v| format!("{v:.1}"));
        words += &match course.fixtures().len() {
            // There is no room for both of many.
            4.. => format!("  {}: {}", column.id, figure(at(true))),
            _ => {
                format!("   {}: asked {} now {}", column.id, figure(at(false)), figure(at(true)))
            }
        };
    }
    let galley = ui.painter().layout_no_wrap(words, small_number(), palette.text);
    let corner = rect.right_top() + vec2(-galley.size().x - 6.0, 3.0);
    let behind = egui::Rect::from_min_size(corner, galley.size()).expand(2.0);
    ui.painter().rect_filled(behind, 2.0, palette.panel);
    ui.painter().galley(corner, galley, palette.text);
}

/// The scale of a lane: the whole of a share, else what there is with some room.
fn scale(quantity: Quantity, low: f64, high: f64) -> (f64, f64) {
    match quantity {
        Quantity::Dimmer | Quantity::Shutter => (-8.0, 108.0),
        _ if low > high => (0.0, 1.0),
        Quantity::Wheel(_) => (low.min(1.0) - 0.3, high.max(2.0) + 0.3),
        _ => {
            let room = ((high - low) * 0.12).max(2.0);
            (low - room, high + room)
        }
    }
}

/// Two to four round numbers in a scale.
fn grid_marks(low: f64, high: f64) -> Vec<egui_plot::GridMark> {
    let rough = (high - low) / 3.0;
    let power = 10f64.powf(rough.max(1e-9).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
    let step = step.into_iter().find(|step| *step >= rough).unwrap_or(rough).max(1.0);
    let (first, last) = ((low / step).ceil() as i64, (high / step).floor() as i64);
    let mark = |i: i64| egui_plot::GridMark { value: i as f64 * step, step_size: step };
    (first..=last.min(first + 20)).map(mark).collect()
}

/// The first head in the accent, the others in greys: no hue on the desk is other than light's.
fn ink(order: usize, now: bool, palette: &Palette) -> (Color32, f32) {
    let ink = match order {
        0 => palette.accent,
        1 => palette.text,
        2 => palette.weak_text,
        3 => palette.strong_line,
        // Further heads step back one by one; which is which stands under the pointer.
        _ => palette.text.gamma_multiply(0.7 - 0.1 * (order - 4) as f32),
    };
    if now { (ink, 1.6) } else { (ink.gamma_multiply(0.75), 1.0) }
}

/// A number that does not change with the place of a channel in a list.
fn quantity_key(quantity: Quantity) -> usize {
    match quantity {
        Quantity::Pan => 0,
        Quantity::Tilt => 1,
        Quantity::Dimmer => 2,
        Quantity::Shutter => 3,
        Quantity::Zoom => 4,
        Quantity::Wheel(wheel) => 5 + 2 * wheel,
        Quantity::Channel(channel) => 6 + 2 * channel,
    }
}

/// A time without needless zeros.
fn short(value: f64) -> String {
    rounded(value, 2)
}
