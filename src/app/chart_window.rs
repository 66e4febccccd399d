//! The channel chart of the selected head's mode, with the values held marked in it.

use std::sync::Arc;

use egui::{Grid, RichText, ScrollArea, Ui, vec2};

use super::files::Purpose;
use super::state::State;
use super::theme::{Palette, number, small_strong, strong};
use crate::decode::{ChannelReading, CompiledMode, written};
use crate::paper::chart::{Chart, ChartChannel, ChartRow, html};
use crate::wire::slots_written;

/// The chart that is shown.
#[derive(Debug)]
pub struct ChartView {
    /// The mode that it was worked out for.
    mode: Arc<CompiledMode>,
    /// The chart.
    pub chart: Chart,
}

impl State {
    /// Shows the chart of the first selected head, or hides it.
    pub(super) fn toggle_chart(&mut self) {
        self.windows.chart = match self.windows.chart.take() {
            Some(_) => None,
            None => self.first_mode().map(|mode| ChartView { chart: Chart::new(&mode), mode }),
        };
    }

    fn first_mode(&self) -> Option<Arc<CompiledMode>> {
        let mode = |i: &usize| self.plan.fixtures().get(*i)?.mode.clone();
        self.selection.iter().find_map(mode)
    }

    /// The chart as a page that prints.
    pub(super) fn chart_page(&self) -> Option<String> {
        self.windows.chart.as_ref().map(|view| html(&view.chart))
    }
}

/// Shows the chart in a window of its own while it is open.
pub(super) fn chart_window(ctx: &egui::Context, state: &mut State) {
    let Some(mut view) = state.windows.chart.take() else { return };
    // It follows the selection; with nothing selected it stays.
    if let Some(mode) = state.first_mode().filter(|mode| !Arc::ptr_eq(mode, &view.mode)) {
        view = ChartView { chart: Chart::new(&mode), mode };
    }
    let mut open = true;
    let room = ctx.content_rect().size();
    let window = egui::Window::new("Channel chart")
        .open(&mut open)
        .collapsible(false)
        .default_pos(egui::pos2(room.x * 0.18, 40.0))
        .default_size(vec2(620.0, 520.0).min(room - vec2(80.0, 120.0)))
        .resizable(true);
    let mut save = false;
    window.show(ctx, |ui| {
        ui.horizontal(|ui| {
            let title = format!("{}, mode {}", view.chart.title, view.chart.mode);
            ui.label(RichText::new(title).font(strong()));
            ui.weak(format!("{} slots", view.chart.slots));
            let tip = "Write it as one page of HTML, which prints from any browser";
            save = ui.button("Save as HTML to print").on_hover_text(tip).clicked();
        });
        ui.separator();
        ScrollArea::both().auto_shrink(false).show(ui, |ui| rows(ui, &view, state));
    });
    if save {
        state.jobs.choose(ctx, Purpose::Chart, state.document.path());
    }
    if open {
        state.windows.chart = Some(view);
    }
}

fn rows(ui: &mut Ui, view: &ChartView, state: &State) {
    let shows = |i: &&usize| {
        let mode = state.plan.fixtures().get(**i).and_then(|fixture| fixture.mode.as_ref());
        mode.is_some_and(|mode| Arc::ptr_eq(mode, &view.mode))
    };
    let reading = state.selection.iter().find(shows).and_then(|i| state.reading_of(*i));
    let held: Vec<ChannelReading<'_>> =
        reading.iter().flat_map(|reading| reading.channels()).collect();
    Grid::new("chart").num_columns(5).striped(false).spacing([14.0, 2.0]).show(ui, |ui| {
        for words in ["values", "function", "from", "to", "more"] {
            ui.label(RichText::new(words).font(small_strong()));
        }
        ui.end_row();
        for channel in &view.chart.channels {
            let same = |held: &&ChannelReading<'_>| {
                held.channel.offsets == channel.slots && held.channel.name == channel.name
            };
            let value = held.iter().find(same).and_then(|held| held.held.value());
            channel_rows(ui, channel, value);
        }
    });
}

fn channel_rows(ui: &mut Ui, channel: &ChartChannel, value: Option<u32>) {
    let name = format!("{}  {}", slots_written(&channel.slots), channel.name);
    ui.label(RichText::new(name).font(strong()));
    let stands = value.map_or_else(String::new, |value| {
        format!("stands at {}, ", written(value, channel.slots.len()))
    });
    ui.weak(format!("{stands}rests at {}", channel.default));
    ui.end_row();
    for row in &channel.rows {
        let here = value.is_some_and(|value| (row.from..=row.to).contains(&value));
        chart_row(ui, row, value.filter(|_| here));
    }
}

/// One line; that of the value held is marked.
fn chart_row(ui: &mut Ui, row: &ChartRow, held: Option<u32>) {
    let palette = Palette::of(ui.visuals());
    let ink = if held.is_some() { palette.accent } else { palette.text };
    let mark = if held.is_some() { "\u{25b8} " } else { "   " };
    ui.label(RichText::new(format!("{mark}{}", row.values_words())).font(number()).color(ink));
    ui.horizontal(|ui| {
        if let Some(colour) = row.swatch.as_deref().and_then(|c| egui::Color32::from_hex(c).ok()) {
            let (rect, _) = ui.allocate_exact_size(vec2(10.0, 10.0), egui::Sense::hover());
            ui.painter().rect_filled(rect, 1.0, colour);
        }
        let words = RichText::new(row.function_words()).color(ink);
        ui.label(if row.function.is_none() { words.italics() } else { words });
    });
    let (from, to) = match row.physical {
        Some((a, b, unit)) => (unit.format(a), unit.format(b)),
        None => (String::new(), String::new()),
    };
    for words in [from, to] {
        ui.label(RichText::new(words).font(number()).color(ink));
    }
    let more = [row.notes_words(), row.steps_words()];
    let more: Vec<&str> = more.iter().map(String::as_str).filter(|m| !m.is_empty()).collect();
    ui.label(RichText::new(more.join("; ")).small().color(palette.weak_text));
    ui.end_row();
}
