//! The ranges of a channel on bars, with boundaries to drag and the test head's value as a cursor.
//!
//! Ranges that hold under the same conditions share a bar.

use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{
    Color32, CornerRadius, CursorIcon, EventFilter, FontId, Key, Modifiers, Rect, Response, Role,
    Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use super::range::range_words;
use super::{Bench, BenchCommand};
use crate::app::command::Command;
use crate::app::ruler_paint::{Span, cursor, hatch, paint_swatch};
use crate::app::swatch::swatch;
use crate::app::theme::{Palette, small, small_number};
use crate::decode::written;
use crate::profile::edit::ranges::{edge_limits, layer_of};
use crate::profile::edit::{Edge, ProfileEdit};
use crate::profile::model::{Channel, Condition};

/// Height of a bar, in points.
const BAR: f32 = 34.0;
/// How near a boundary the pointer takes it, in points.
const NEAR: f32 = 5.0;

/// What a drag on a bar moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Drag {
    Edge { range: usize, edge: Edge },
    Cursor,
}

/// A range on a bar with its bounds.
type Member = (usize, u32, u32);

/// Draws a bar for every layer of ranges.
pub(super) fn range_bars(
    ui: &mut Ui,
    bench: &Bench,
    channel: &Channel,
    commands: &mut Vec<Command>,
) {
    let mut whens: Vec<&[Condition]> = Vec::new();
    for range in &channel.ranges {
        if !whens.contains(&range.when.as_slice()) {
            whens.push(&range.when);
        }
    }
    if whens.is_empty() {
        whens.push(&[]);
    }
    for (i, when) in whens.iter().enumerate() {
        if !when.is_empty() || whens.len() > 1 {
            let words = match when.is_empty() {
                true => "always".to_owned(),
                false => while_words(when),
            };
            ui.label(egui::RichText::new(words).font(small()).weak());
        }
        let members = layer_of(channel, when);
        ui.push_id(("bar", i), |ui| bar(ui, bench, channel, when, &members, commands));
    }
}

/// What a range depends on, in words.
pub(super) fn while_words(when: &[Condition]) -> String {
    let parts = when.iter().map(|Condition(name, first, last)| format!("{name} {first}..{last}"));
    format!("while {}", parts.collect::<Vec<_>>().join(" and "))
}

fn bar(
    ui: &mut Ui,
    bench: &Bench,
    channel: &Channel,
    when: &[Condition],
    members: &[Member],
    commands: &mut Vec<Command>,
) {
    let size = vec2(ui.available_width().max(200.0), BAR);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let name = match when.is_empty() {
        true => format!("Ranges of {}", channel.name),
        false => format!("Ranges of {} {}", channel.name, while_words(when)),
    };
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &name));
    let span = Span::new(rect, channel.max_value());
    let edge =
        response.hover_pos().and_then(|at| edge_near(span, channel.max_value(), members, at.x));
    follow_pointer(ui, bench, channel, members, &response, span, commands);
    follow_keys(ui, bench, channel, &response, commands);
    if edge.is_some() {
        ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
    }
    if ui.is_rect_visible(rect) {
        paint(ui, bench, channel, members, span, &response, edge);
    }
    hint(channel, bench, members, span, response);
}

/// The end of a range near a place on the bar. Of two ranges that meet there, the right one's.
fn edge_near(span: Span, max: u32, members: &[Member], x: f32) -> Option<(usize, Edge)> {
    let ends = members.iter().flat_map(|(range, first, last)| {
        let meets = members.iter().any(|(_, start, _)| last.checked_add(1) == Some(*start));
        let left = (*first > 0).then(|| (*range, Edge::First, span.x_of(f64::from(*first))));
        let right = (*last < max && !meets)
            .then(|| (*range, Edge::Last, span.x_of(f64::from(*last) + 1.0)));
        left.into_iter().chain(right)
    });
    ends.map(|(range, edge, at)| (range, edge, (at - x).abs()))
        .filter(|(.., distance)| *distance <= NEAR)
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(range, edge, _)| (range, edge))
}

/// The value that an end goes to when it is dragged to `x`: in steps of the coarse slot, with Shift in
/// the finest ones.
fn edge_value(channel: &Channel, span: Span, x: f32, range: usize, edge: Edge, fine: bool) -> u32 {
    let max = channel.max_value();
    let start = span.boundary_at(x);
    let step = if fine { 1 } else { 1u64 << (8 * channel.at.len().saturating_sub(1)) };
    let start = (start + step / 2) / step * step;
    let to = match edge {
        Edge::First => start,
        Edge::Last => start.saturating_sub(1),
    };
    let to = u32::try_from(to).unwrap_or(max).min(max);
    edge_limits(channel, range, edge).map_or(to, |(least, most)| to.clamp(least, most))
}

fn follow_pointer(
    ui: &Ui,
    bench: &Bench,
    channel: &Channel,
    members: &[Member],
    response: &Response,
    span: Span,
    commands: &mut Vec<Command>,
) {
    let max = channel.max_value();
    let id = response.id.with("drag");
    let (press, shift) = ui.input(|i| (i.pointer.press_origin(), i.modifiers.shift));
    if response.drag_started()
        && let Some(press) = press
    {
        response.request_focus();
        let drag = match edge_near(span, max, members, press.x) {
            Some((range, edge)) => Drag::Edge { range, edge },
            None => Drag::Cursor,
        };
        ui.data_mut(|data| data.insert_temp(id, drag));
    }
    let at = response.interact_pointer_pos();
    let drag: Option<Drag> = ui.data(|data| data.get_temp(id));
    if response.drag_stopped() {
        ui.data_mut(|data| data.remove::<Drag>(id));
        commands.push(BenchCommand::EndGesture.into());
    } else if response.dragged()
        && let (Some(at), Some(drag)) = (at, drag)
    {
        match drag {
            Drag::Edge { range, edge } => {
                let to = edge_value(channel, span, at.x, range, edge, shift);
                let bounds = channel.ranges.get(range).and_then(|r| r.bounds(channel.at.len()));
                let held = bounds.map(|(first, last)| match edge {
                    Edge::First => first,
                    Edge::Last => last,
                });
                if held == Some(to) {
                    return;
                }
                let edit = ProfileEdit::MoveEdge { at: bench.channel_at().range(range), edge, to };
                commands.push(BenchCommand::Edit { edit, gesture: true }.into());
            }
            Drag::Cursor => {
                let value = span.value_at(at.x);
                if bench.value(bench.focus.channel) != Some(value) {
                    to_value(bench, members, value, commands);
                }
            }
        }
    }
    if response.clicked()
        && let Some(at) = at
    {
        response.request_focus();
        to_value(bench, members, span.value_at(at.x), commands);
    }
}

/// Puts the test head's channel at a value, with what the range there depends on, and selects it.
fn to_value(bench: &Bench, members: &[Member], value: u32, commands: &mut Vec<Command>) {
    let found = members.iter().find(|(_, first, last)| (*first..=*last).contains(&value));
    commands.push(BenchCommand::SetValue { channel: bench.focus.channel, value }.into());
    match found {
        Some((range, ..)) => commands.push(BenchCommand::Try(*range).into()),
        None => {
            let focus = super::Focus { range: None, ..bench.focus.clone() };
            commands.push(BenchCommand::Show(Box::new(focus)).into());
        }
    }
}

fn follow_keys(
    ui: &Ui,
    bench: &Bench,
    channel: &Channel,
    response: &Response,
    commands: &mut Vec<Command>,
) {
    if !response.has_focus() {
        return;
    }
    let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let coarse = 1i64 << (8 * channel.at.len().saturating_sub(1));
    let (mut by, mut edge_by) = (0, 0);
    ui.input_mut(|input| {
        // The keys that need most modifiers first: a key with Shift would also count as the key without.
        let mut steps = |modifiers: Modifiers, step: i64| {
            let up = input.count_and_consume_key(modifiers, Key::ArrowRight) as i64;
            let down = input.count_and_consume_key(modifiers, Key::ArrowLeft) as i64;
            (up - down) * step
        };
        edge_by += steps(Modifiers::ALT | Modifiers::SHIFT, 1) + steps(Modifiers::ALT, coarse);
        by += steps(Modifiers::SHIFT, 1) + steps(Modifiers::NONE, coarse);
    });
    if edge_by != 0 {
        move_end(bench, channel, edge_by, commands);
    }
    if by != 0 {
        let here = bench.value(bench.focus.channel).unwrap_or(channel.default);
        let value = (i64::from(here) + by).clamp(0, i64::from(channel.max_value()));
        let value = u32::try_from(value).unwrap_or(0);
        commands.push(BenchCommand::SetValue { channel: bench.focus.channel, value }.into());
    }
}

/// Moves the end of the selected range, as far as it goes.
fn move_end(bench: &Bench, channel: &Channel, by: i64, commands: &mut Vec<Command>) {
    let Some((at, range)) = bench.range_at().zip(bench.range()) else { return };
    let ends = range.bounds(channel.at.len()).zip(edge_limits(channel, at.range, Edge::Last));
    let Some(((_, last), (least, most))) = ends else { return };
    let to = (i64::from(last) + by).clamp(i64::from(least), i64::from(most));
    let to = u32::try_from(to).unwrap_or(last);
    let edit = ProfileEdit::MoveEdge { at, edge: Edge::Last, to };
    commands.push(BenchCommand::Edit { edit, gesture: false }.into());
}

fn paint(
    ui: &Ui,
    bench: &Bench,
    channel: &Channel,
    members: &[Member],
    span: Span,
    response: &Response,
    edge: Option<(usize, Edge)>,
) {
    let (rect, palette, p) = (response.rect, Palette::of(ui.visuals()), ui.painter());
    p.rect_filled(rect, CornerRadius::ZERO, palette.panel);
    hatch(p, rect, palette.strong_line);
    let width = channel.at.len();
    for (place, (i, first, last)) in members.iter().enumerate() {
        let segment = span.rect_of(*first, *last);
        let fill = if place % 2 == 0 { palette.field } else { palette.field_alt };
        p.rect_filled(segment, CornerRadius::ZERO, fill);
        let range = &channel.ranges[*i];
        let compiled = bench.compiled().and_then(|mode| {
            let ranges = &mode.channels.get(bench.focus.channel)?.ranges;
            let same = |r: &&crate::decode::CompiledRange| {
                (r.first, r.last) == (*first, *last) && r.does == range.does
            };
            Some((mode, ranges.iter().find(same)?))
        });
        let mut room = segment;
        if let Some(swatch) = compiled.and_then(|(mode, range)| swatch(mode, range)) {
            room.max.y -= 4.0;
            paint_swatch(
                p,
                Rect::from_min_max(pos2(segment.left(), room.bottom()), segment.max),
                swatch,
            );
        }
        let ink = if bench.focus.range == Some(*i) { palette.text } else { palette.weak_text };
        let middle = room.center().y;
        set(
            ui,
            &range_words(bench.profile(), range),
            FontId::proportional(11.0),
            room,
            middle - 6.0,
            ink,
        );
        let bounds = format!("{}..{}", written(*first, width), written(*last, width));
        set(ui, &bounds, small_number(), room, middle + 7.0, palette.weak_text);
    }
    for (_, first, last) in members {
        for value in [f64::from(*first), f64::from(*last) + 1.0] {
            p.vline(span.x_of(value), rect.y_range(), Stroke::new(1.0, palette.strong_line));
        }
    }
    p.rect_stroke(rect, CornerRadius::ZERO, Stroke::new(1.0, palette.line), StrokeKind::Inside);
    let chosen = members.iter().find(|(i, ..)| bench.focus.range == Some(*i));
    if let Some((_, first, last)) = chosen {
        let segment = span.rect_of(*first, *last);
        let stroke = Stroke::new(1.5, palette.accent);
        p.rect_stroke(segment, CornerRadius::ZERO, stroke, StrokeKind::Inside);
    }
    if let Some((range, edge)) = edge
        && let Some((_, first, last)) = members.iter().find(|(i, ..)| *i == range)
    {
        let value = if edge == Edge::First { f64::from(*first) } else { f64::from(*last) + 1.0 };
        p.vline(span.x_of(value), rect.y_range(), Stroke::new(3.0, palette.accent));
    }
    if let Some(value) = bench.value(bench.focus.channel) {
        cursor(p, rect, span.cursor_x(f64::from(value)), &palette);
    }
    if response.has_focus() {
        let ring = Stroke::new(2.0, palette.accent);
        p.rect_stroke(rect.expand(2.0), CornerRadius::same(1), ring, StrokeKind::Inside);
    }
}

/// Words in the middle of a segment, cut to its width; nothing where hardly a letter has room.
fn set(ui: &Ui, words: &str, font: FontId, room: Rect, y: f32, ink: Color32) {
    let width = room.width() - 6.0;
    if width < 14.0 {
        return;
    }
    let mut job = LayoutJob::single_section(words.to_owned(), TextFormat::simple(font, ink));
    job.wrap = TextWrapping::truncate_at_width(width);
    let galley = ui.painter().layout_job(job);
    if galley.elided && width < 34.0 {
        return;
    }
    let at = pos2(room.center().x - galley.size().x / 2.0, y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, ink);
}

fn hint(channel: &Channel, bench: &Bench, members: &[Member], span: Span, response: Response) {
    let Some(at) = response.hover_pos().filter(|_| !response.dragged()) else { return };
    let value = span.value_at(at.x);
    let width = channel.at.len();
    let found = members.iter().find(|(_, first, last)| (*first..=*last).contains(&value));
    response.on_hover_ui_at_pointer(|ui| match found {
        Some((i, first, last)) => {
            let words = range_words(bench.profile(), &channel.ranges[*i]);
            ui.strong(format!("{}..{}  {words}", written(*first, width), written(*last, width)));
            ui.weak("Click to try it. Drag a boundary to move it, with Shift in the finest steps.");
        }
        None => {
            ui.strong(written(value, width));
            ui.label("No range covers this value: it does nothing.");
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Effect;
    use crate::profile::edit::ranges::new_range;

    #[test]
    fn a_boundary_goes_in_coarse_steps_and_with_shift_in_the_finest() {
        let halves = [(0, 0x7fff), (0x8000, 0xffff)];
        let channel = Channel {
            name: "Pan".to_owned(),
            at: vec![1, 2],
            default: 0,
            snap: false,
            cell: None,
            ranges: halves
                .map(|(first, last)| new_range(first, last, 2, Effect::Unknown, Vec::new()))
                .to_vec(),
        };
        let line = Rect::from_min_max(pos2(0.0, 0.0), pos2(1024.0, 34.0));
        let span = Span::new(line, channel.max_value());
        let to = |edge, x, fine| {
            edge_value(&channel, span, x, usize::from(edge == Edge::First), edge, fine)
        };
        assert_eq!(to(Edge::First, 256.5, false), 0x4000);
        assert_eq!(to(Edge::First, 256.5, true), 0x4020);
        assert_eq!(to(Edge::Last, 256.5, false), 0x3fff);
        assert_eq!(to(Edge::First, 0.0, false), 1, "its neighbour keeps a value");
        assert_eq!(to(Edge::Last, 5000.0, false), 0xfffe);
    }
}
