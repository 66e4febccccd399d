//! How a ruler is drawn.

use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{Color32, CornerRadius, FontId, Mesh, Painter, Rangef, Rect, Shape, Stroke, StrokeKind};
use egui::{pos2, vec2};

use super::ruler::Ruler;
use super::swatch::{Swatch, swatch};
use super::theme::{self, Palette};
use crate::decode::{CompiledChannel, CompiledRange};

/// A label is cut short only where at least this much of it can stand, in points.
const ELIDE_FROM: f32 = 40.0;
/// A range with a physical pair shows it at its ends from this width on, in points.
const ENDS_FROM: f32 = 96.0;
/// Height of a colour sample, in points.
const SWATCH_HEIGHT: f32 = 4.0;

/// Values along a line.
#[derive(Clone, Copy)]
pub(super) struct Span {
    rect: Rect,
    max: f64,
}

impl Span {
    pub(super) fn new(rect: Rect, max: u32) -> Self {
        Self { rect, max: f64::from(max) }
    }

    /// The value at `x`. The outermost points of the line give the first and the last value, so that
    /// both can be hit with a pointer on channels of many steps.
    pub(super) fn value_at(self, x: f32) -> u32 {
        let line = self.rect.shrink2(vec2(1.0, 0.0));
        let share = f64::from((x - line.left()) / line.width().max(1.0)).clamp(0.0, 1.0);
        (share * (self.max + 1.0)).floor().min(self.max) as u32
    }

    /// The value whose step begins nearest to `x`; one past the last at the end of the line.
    pub(super) fn boundary_at(self, x: f32) -> u64 {
        let share = f64::from((x - self.rect.left()) / self.rect.width().max(1.0)).clamp(0.0, 1.0);
        (share * (self.max + 1.0)).round() as u64
    }

    /// Where the step of a value begins; a fraction lies between steps.
    pub(super) fn x_of(self, value: f64) -> f32 {
        let share = value / (self.max + 1.0);
        self.rect.left() + share as f32 * self.rect.width()
    }

    /// Where a cursor stands: the middle of its step.
    pub(super) fn cursor_x(self, value: f64) -> f32 {
        self.x_of(value + 0.5)
    }

    pub(super) fn rect_of(self, first: u32, last: u32) -> Rect {
        let x = Rangef::new(self.x_of(f64::from(first)), self.x_of(f64::from(last) + 1.0));
        Rect::from_x_y_ranges(Rangef::new(x.min.round(), x.max.round()), self.rect.y_range())
    }
}

pub(super) fn paint(ruler: &Ruler<'_>, p: &Painter, rect: Rect, focus: bool, palette: &Palette) {
    let span = Span::new(rect, ruler.channel.max_value());
    let sharp = CornerRadius::ZERO;
    p.rect_filled(rect, sharp, palette.panel);
    hatch(p, rect, palette.strong_line);
    let mut ranges: Vec<(usize, &CompiledRange)> = ruler.ranges().collect();
    ranges.sort_by_key(|(_, range)| range.first);
    for (place, (i, range)) in ranges.iter().enumerate() {
        let segment = span.rect_of(range.first, range.last);
        let fill = if place % 2 == 0 { palette.field } else { palette.field_alt };
        p.rect_filled(segment, sharp, fill);
        let mut room = segment;
        if let Some(swatch) = swatch(ruler.mode, range) {
            room.max.y -= SWATCH_HEIGHT;
            let strip = Rect::from_min_max(pos2(segment.left(), room.bottom()), segment.max);
            paint_swatch(p, strip, swatch);
        }
        let here = ruler.in_force == Some(*i);
        let ink = if here { palette.text } else { palette.weak_text };
        label(p, room, range, ruler.channel, ink);
    }
    for (_, range) in ranges.iter().skip(1) {
        let x = span.rect_of(range.first, range.last).left() - 0.5;
        p.vline(x, rect.y_range(), Stroke::new(1.0, palette.line));
    }
    p.rect_stroke(rect, sharp, Stroke::new(1.0, palette.line), StrokeKind::Inside);
    if let Some(range) = ruler.in_force.and_then(|i| ruler.channel.ranges.get(i))
        && ranges.len() > 1
    {
        let segment = span.rect_of(range.first, range.last);
        p.rect_stroke(segment, sharp, Stroke::new(1.0, palette.accent), StrokeKind::Inside);
    }
    if let Some(now) = ruler.now {
        ghost(p, rect, span.cursor_x(now), palette);
    }
    for value in ruler.values {
        cursor(p, rect, span.cursor_x(f64::from(*value)), palette);
    }
    if focus {
        // To the sides there is no room: the list that rulers stand in is cut off at their ends.
        let ring = Stroke::new(2.0, palette.accent);
        p.rect_stroke(
            rect.expand2(vec2(0.0, 2.0)),
            CornerRadius::same(1),
            ring,
            StrokeKind::Inside,
        );
    }
}

/// The value: a line with a head, in the colour of text, ringed so that it shows on every sample.
pub(super) fn cursor(p: &Painter, rect: Rect, x: f32, palette: &Palette) {
    let x = x.clamp(rect.left() + 1.0, rect.right() - 1.0);
    let line = Rect::from_x_y_ranges(x - 1.0..=x + 1.0, rect.y_range());
    p.rect_filled(line.expand2(vec2(1.0, 0.0)), CornerRadius::ZERO, palette.panel);
    p.rect_filled(line, CornerRadius::ZERO, palette.text);
    let top = rect.top() - 1.0;
    let head = vec![pos2(x - 4.0, top), pos2(x + 4.0, top), pos2(x, top + 5.0)];
    p.add(Shape::convex_polygon(head, palette.text, Stroke::new(1.0, palette.panel)));
}

/// Where the fixture is by now: a hollow head from below and a broken line.
fn ghost(p: &Painter, rect: Rect, x: f32, palette: &Palette) {
    let x = x.clamp(rect.left() + 1.0, rect.right() - 1.0);
    let stroke = Stroke::new(1.0, palette.text);
    p.extend(Shape::dashed_line(&[pos2(x, rect.top()), pos2(x, rect.bottom())], stroke, 2.0, 2.0));
    let bottom = rect.bottom() + 1.0;
    let head = vec![pos2(x - 4.0, bottom), pos2(x + 4.0, bottom), pos2(x, bottom - 5.0)];
    p.add(Shape::convex_polygon(head, palette.panel, stroke));
}

/// Slanting lines: nothing is here.
pub(super) fn hatch(p: &Painter, rect: Rect, ink: Color32) {
    let p = p.with_clip_rect(rect.intersect(p.clip_rect()));
    let stroke = Stroke::new(1.0, ink.gamma_multiply(0.6));
    let mut x = rect.left() - rect.height();
    while x < rect.right() {
        p.line_segment([pos2(x, rect.bottom()), pos2(x + rect.height(), rect.top())], stroke);
        x += 5.0;
    }
}

pub(super) fn paint_swatch(p: &Painter, rect: Rect, swatch: Swatch) {
    match swatch {
        Swatch::Plain(colour) => {
            p.rect_filled(rect, CornerRadius::ZERO, colour);
        }
        Swatch::Pair(a, b) => {
            let (left, right) = rect.split_left_right_at_fraction(0.5);
            p.rect_filled(left, CornerRadius::ZERO, a);
            p.rect_filled(right, CornerRadius::ZERO, b);
        }
        Swatch::Ramp(a, b) => {
            let mut mesh = Mesh::default();
            mesh.colored_vertex(rect.left_top(), a);
            mesh.colored_vertex(rect.right_top(), b);
            mesh.colored_vertex(rect.right_bottom(), b);
            mesh.colored_vertex(rect.left_bottom(), a);
            mesh.add_triangle(0, 1, 2);
            mesh.add_triangle(0, 2, 3);
            p.add(mesh);
        }
    }
}

/// Whether a range's label adds nothing to its channel's name: it is the same, or it is the effect's
/// own word on a channel that does nothing else.
pub(super) fn says_nothing(channel: &CompiledChannel, range: &CompiledRange) -> bool {
    let own_word = || range.label == range.does.key().replace('-', " ");
    range.label.eq_ignore_ascii_case(&channel.name) || (channel.ranges.len() == 1 && own_word())
}

/// The name of a range in the middle of its segment, with the physical values at its ends where
/// there is room.
fn label(
    p: &Painter,
    segment: Rect,
    range: &CompiledRange,
    channel: &CompiledChannel,
    ink: Color32,
) {
    // The cursor at either end must not stand on a number.
    let mut room = segment.shrink2(vec2(5.0, 0.0));
    let middle = segment.center().y - 0.5;
    if segment.width() >= ENDS_FROM
        && let Some(physical) = range.physical
        && physical.span.0 != physical.span.1
    {
        let number = |value: f64| {
            let text = physical.unit.format(value);
            let text = text.strip_suffix(physical.unit.symbol()).unwrap_or(&text).trim();
            let short = match text.split_once('.') {
                Some((whole, part)) if part.bytes().all(|b| b == b'0') => whole,
                _ => text,
            };
            p.layout_no_wrap(short.to_owned(), theme::small_number(), ink)
        };
        let (a, b) = (number(physical.span.0), number(physical.span.1));
        let y = middle - a.size().y / 2.0;
        let b_left = room.right() - b.size().x;
        let (a_width, b_width) = (a.size().x, b.size().x);
        p.galley(pos2(room.left(), y), a, ink);
        p.galley(pos2(b_left, y), b, ink);
        room.min.x += a_width + 6.0;
        room.max.x -= b_width + 6.0;
    }
    if says_nothing(channel, range) || room.width() < 6.0 {
        return;
    }
    let room = room.expand2(vec2(2.0, 0.0));
    let set = |text: &str| {
        let format = TextFormat::simple(FontId::proportional(10.0), ink);
        let mut job = LayoutJob::single_section(text.to_owned(), format);
        job.wrap = TextWrapping::truncate_at_width(room.width());
        p.layout_job(job)
    };
    let mut galley = set(&range.label);
    // Labels run "strobe, slow to fast": their beginning says what matters, where it says it alone.
    let beginning = |label: &str| label.split_once(',').map(|(beginning, _)| beginning.to_owned());
    if galley.elided
        && let Some(beginning) = beginning(&range.label)
        && !channel
            .ranges
            .iter()
            .any(|other| !std::ptr::eq(other, range) && other.label.starts_with(&beginning))
    {
        galley = set(&beginning);
    }
    if galley.elided && room.width() < ELIDE_FROM {
        return;
    }
    let at = pos2(room.center().x - galley.size().x / 2.0, middle - galley.size().y / 2.0);
    p.galley(at, galley, ink);
}
