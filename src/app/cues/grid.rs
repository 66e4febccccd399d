//! Cues and the channels of the selected fixtures as a table: what is set where, and what carried over.

use std::str::FromStr as _;

use egui::{Align2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use super::marks::{cell_mark, cue_mark};
use crate::app::bench::form::typed;
use crate::app::command::Command;
use crate::app::state::State;
use crate::app::theme::{Palette, number, severity_mark, small, small_strong};
use crate::cue::edit::{set, standing};
use crate::cue::{CueList, Value};
use crate::rig::FixtureId;
use crate::show::{CueEdit, Edit};

/// A cell of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cell {
    /// The cue, as a place in its list.
    pub cue: usize,
    /// The column.
    pub column: usize,
}

/// Size of a cell, in points; the first column has the cues, the first row the channels.
const CELL: egui::Vec2 = vec2(92.0, 22.0);
const NAMES: f32 = 150.0;
const HEAD: f32 = 34.0;

/// A channel of a fixture.
struct Column {
    fixture: FixtureId,
    channel: String,
}

fn columns(state: &State) -> Vec<Column> {
    let of = |place: &usize| {
        let fixture = state.show().rig.get(*place)?.id;
        let mode = state.plan.fixtures().get(*place)?.mode.as_ref()?;
        let channels = mode.channels.iter();
        Some(channels.map(move |of| Column { fixture, channel: of.name.clone() }).collect())
    };
    state.selection.iter().filter_map(of).flat_map(|columns: Vec<Column>| columns).collect()
}

/// Draws the table in a window of its own, while that is asked for.
pub fn grid_window(ctx: &egui::Context, state: &mut State, commands: &mut Vec<Command>) {
    let (mut open, room) = (state.cues.grid, ctx.content_rect().size());
    if !open {
        return;
    }
    egui::Window::new("Cue grid")
        .open(&mut open)
        .collapsible(false)
        .default_pos(pos2(room.x * 0.25, (room.y - 400.0).max(60.0)))
        .default_size(vec2(760.0, 360.0).min(room * 0.7))
        .min_width(360.0)
        .show(ctx, |ui| grid(ui, state, commands));
    state.cues.grid = open;
}

fn grid(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    let columns = columns(state);
    let Some(list) = state.document.show().cues.lists.get(state.cues.list) else {
        ui.weak("There are no cues yet.");
        return;
    };
    if columns.is_empty() {
        ui.weak("Select fixtures to see what the cues give their channels.");
        return;
    }
    entry(ui, state, list, &columns, commands);
    let size = vec2(CELL.x * columns.len() as f32, CELL.y * list.cues.len() as f32);
    let room = ui.available_size();
    let mut chosen = state.cues.cells;
    let palette = Palette::of(ui.visuals());
    let corner = ui.cursor().min;
    let clip = ui.clip_rect();
    let mut inner = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(Rect::from_min_size(corner + vec2(NAMES, HEAD), room - vec2(NAMES, HEAD))),
    );
    let mut marked: Vec<(String, egui::Pos2)> = Vec::new();
    let area = ScrollArea::both().id_salt("cue grid").auto_shrink([false, false]);
    area.show_viewport(&mut inner, |ui, view| {
        let (whole, _) = ui.allocate_exact_size(size, Sense::hover());
        let span = |from: f32, to: f32, step: f32, count: usize| {
            ((from / step).max(0.0) as usize)..((to / step).ceil().max(0.0) as usize).min(count)
        };
        let names = ui
            .ctx()
            .layer_painter(ui.layer_id())
            .with_clip_rect(Rect::from_min_size(corner, room).intersect(clip));
        let across = span(view.left(), view.right(), CELL.x, columns.len());
        for column in across.clone() {
            let at = pos2(whole.left() + column as f32 * CELL.x + 4.0, corner.y + 2.0);
            if at.x < corner.x + NAMES {
                continue;
            }
            let of = &columns[column];
            let id = of.fixture.to_string();
            names.text(at, Align2::LEFT_TOP, id, small(), palette.weak_text);
            let under = at + vec2(0.0, 14.0);
            names.text(under, Align2::LEFT_TOP, cut(&of.channel, 13), small_strong(), palette.text);
        }
        for cue in span(view.top(), view.bottom(), CELL.y, list.cues.len()) {
            let y = whole.top() + cue as f32 * CELL.y;
            if y + CELL.y / 2.0 > corner.y + HEAD {
                let of = &list.cues[cue];
                let at = pos2(corner.x + 4.0, y + CELL.y / 2.0);
                let words = cut(&format!("{} {}", of.number, of.name), 20);
                names.text(at, Align2::LEFT_CENTER, words, small(), palette.text);
                marked.push((of.words(), pos2(corner.x + NAMES - 12.0, y + CELL.y / 2.0)));
            }
            for column in across.clone() {
                let at = whole.min + vec2(column as f32 * CELL.x, cue as f32 * CELL.y);
                let rect = Rect::from_min_size(at, CELL);
                let of = &columns[column];
                cell(ui, list, of, Cell { cue, column }, rect, &mut chosen);
                // One mark a fixture: on the first of its channels.
                let first = column == 0 || columns[column - 1].fixture != of.fixture;
                let found = cell_mark(state, &list.cues[cue].words(), of.fixture);
                if let Some(severity) = found.filter(|_| first) {
                    let at = rect.right_top() + vec2(-7.0, 7.0);
                    severity_mark(ui.painter(), severity, at, 7.0, &palette);
                }
            }
        }
    });
    for (words, at) in
        marked.iter().filter(|(_, at)| corner.y + HEAD < at.y && at.y < corner.y + room.y)
    {
        cue_mark(ui, state, words, *at, commands);
    }
    ui.advance_cursor_after_rect(Rect::from_min_size(corner, room));
    state.cues.cells = chosen;
}

fn cut(words: &str, most: usize) -> String {
    match words.char_indices().nth(most) {
        Some((end, _)) => format!("{}\u{2026}", &words[..end]),
        None => words.to_owned(),
    }
}

fn holds(chosen: Option<(Cell, Cell)>, at: Cell) -> bool {
    let between = |a: usize, b: usize, x: usize| (a.min(b)..=a.max(b)).contains(&x);
    chosen.is_some_and(|(from, to)| {
        between(from.cue, to.cue, at.cue) && between(from.column, to.column, at.column)
    })
}

fn cell(
    ui: &mut Ui,
    list: &CueList,
    of: &Column,
    at: Cell,
    rect: Rect,
    chosen: &mut Option<(Cell, Cell)>,
) {
    let response = ui.interact(rect, ui.scope_id().with((at.cue, at.column)), Sense::click());
    let given = standing(list, at.cue, of.fixture, &of.channel);
    let words = given.map_or_else(String::new, |(_, value)| value.to_string());
    let own = given.is_some_and(|(cue, _)| cue == at.cue);
    response.widget_info(|| {
        let cue = list.cues.get(at.cue).map_or_else(String::new, |cue| cue.number.to_string());
        let how = match (own, words.is_empty()) {
            (true, _) => "set here",
            (false, false) => "carried over",
            (false, true) => "never set",
        };
        let name = format!("Cue {cue}, {} {}: {words}, {how}", of.fixture, of.channel);
        WidgetInfo::selected(Role::Button, true, holds(*chosen, at), name)
    });
    let palette = Palette::of(ui.visuals());
    let fill = match (holds(*chosen, at), own) {
        (true, _) => palette.accent_fill,
        (false, true) => palette.field_alt,
        (false, false) => palette.field,
    };
    ui.painter().rect_filled(rect, 0.0, fill);
    let line = Stroke::new(1.0, palette.line);
    ui.painter().rect_stroke(rect, 0.0, line, StrokeKind::Inside);
    let ink = if own { palette.text } else { palette.weak_text };
    let font = if own { number() } else { small() };
    let painter = ui.painter_at(rect.shrink2(vec2(3.0, 0.0)));
    painter.text(rect.left_center() + vec2(4.0, 0.0), Align2::LEFT_CENTER, &words, font, ink);
    if response.clicked() {
        let shift = ui.input(|input| input.modifiers.shift);
        *chosen = match *chosen {
            Some((from, _)) if shift => Some((from, at)),
            _ => Some((at, at)),
        };
    }
    if !words.is_empty() {
        response.on_hover_text(words);
    }
}

/// The value of the chosen cells, to be typed or cleared.
fn entry(ui: &mut Ui, state: &State, list: &CueList, columns: &[Column], out: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let first = state.cues.cells.map(|(from, _)| from);
        let column = first.and_then(|cell| columns.get(cell.column));
        let (Some(cell), Some(column)) = (first, column) else {
            ui.weak("Click a cell to give it a value; Shift+click chooses many.");
            return;
        };
        let given = standing(list, cell.cue, column.fixture, &column.channel);
        let held = given.map_or_else(String::new, |(_, value)| value.to_string());
        ui.label(format!("{} {}", column.fixture, column.channel));
        if let Some(text) = typed(ui, "Value of the chosen cells", &held, 140.0) {
            match Value::from_str(&text) {
                Ok(value) => change(state, list, columns, Some(&value), out),
                Err(why) => out.push(Command::Message(why)),
            }
        }
        let tip = "Leave these channels as the cues before have them";
        if ui.button("Clear").on_hover_text(tip).clicked() {
            change(state, list, columns, None, out);
        }
        ui.weak("Shift+click chooses many.");
    });
}

fn change(
    state: &State,
    list: &CueList,
    columns: &[Column],
    value: Option<&Value>,
    out: &mut Vec<Command>,
) {
    let mut cues = list.cues.clone();
    for (place, cue) in cues.iter_mut().enumerate() {
        for (nth, column) in columns.iter().enumerate() {
            if holds(state.cues.cells, Cell { cue: place, column: nth }) {
                set(cue, &[column.fixture], &column.channel, value);
            }
        }
    }
    let words = match value {
        Some(value) => format!("set cells to {value}"),
        None => "clear cells".to_owned(),
    };
    let loops = list.loops.clone();
    let edit = Edit::Cues(CueEdit::SetCues { list: state.cues.list, words, cues, loops });
    out.push(Command::Edit { edit, gesture: false });
}
