//! One row of the reading panel: a line of the table, and the channel's ruler under it.

use egui::text::{CCursor, CCursorRange, LayoutJob, TextFormat, TextWrapping};
use egui::{
    Align2, Color32, CornerRadius, FontId, Frame, Key, Margin, Rect, Response, Stroke, StrokeKind,
    TextEdit, Ui, UiBuilder, pos2, vec2,
};

use super::command::Command;
use super::guide::channel_mark;
use super::now::channel_left_s;
use super::reading::{Answer, ReadingState, Subject, Typing, note};
use super::reading_columns::{Columns, joined, slots};
use super::reading_words::{asked_words, mixed_words};
use super::ruler::{Ruler, RulerEdit};
use super::sweeping::sweep_button;
use super::theme::{self, GRID, Palette};
use crate::decode::{ChannelReading, CompiledChannel, Held, Reading, entry, written};
use crate::finding::Severity;
use crate::motion::Now;
use crate::wire::SlotState;

/// Height of a row's line of text, in points.
const LINE: f32 = 18.0;
/// Height of a row's ruler, in points.
const RULER: f32 = 15.0;
/// Room under a row, in points.
const GAP: f32 = 3.0;

/// What one row shows.
struct Row<'a> {
    subject: &'a Subject<'a>,
    index: usize,
    reading: Reading<'a>,
    channel: ChannelReading<'a>,
    /// The values of the members, each once, in rising order.
    values: Vec<u32>,
    /// Some members have a value and others none, or another one.
    mixed: bool,
    /// What is asked of the members where that is mixed.
    mixed_words: String,
    /// What the first member does.
    now: Option<Now>,
    /// How long what the channel moves is still on its way in the first member, or would be.
    left_s: Option<f64>,
}

/// Shows the row of one channel.
pub(super) fn row(
    ui: &mut Ui,
    subject: &Subject<'_>,
    index: usize,
    columns: &Columns,
    state: &mut ReadingState,
    commands: &mut Vec<Command>,
) {
    let Some(reading) = subject.reading(subject.members[0]) else { return };
    let Some(channel) = reading.channel(index) else { return };
    let readings = subject.members.iter().filter_map(|member| subject.reading(*member));
    let readings: Vec<Reading<'_>> = readings.collect();
    let held: Vec<Held> = readings.iter().map(|reading| reading.held(channel.channel)).collect();
    let mut values: Vec<u32> = held.iter().filter_map(|held| held.value()).collect();
    values.sort_unstable();
    values.dedup();
    let missing = held.iter().any(|held| held.value().is_none());
    let mixed = values.len() > 1 || (missing && !values.is_empty());
    let now = subject.input.now.filter(|_| !mixed);
    let now = now.and_then(|now| now.channel(subject.members[0], &reading, &channel));
    let left_s = subject.left_s(&channel).filter(|_| !mixed);
    let mixed_words = match mixed {
        true => {
            let all = readings.iter().filter_map(|reading| reading.channel(index));
            mixed_words(&all.collect::<Vec<_>>())
        }
        false => String::new(),
    };
    let row = Row { subject, index, reading, channel, values, mixed, mixed_words, now, left_s };
    let (line, _) = ui.allocate_exact_size(vec2(columns.right, LINE), egui::Sense::hover());
    if ui.is_rect_visible(line.expand(RULER + GAP)) || state.typing_in(index) {
        row.line(ui, line, columns, commands);
        row.field(ui, line, columns, state, commands);
        if row.enabled() && sweep_button(ui, line, &row.channel().name) {
            let fixtures = subject.members.clone();
            commands.push(Command::Sweep { fixtures, channel: index });
        }
    }
    row.ruler(ui, state, commands);
    row.answer(ui, state);
    point(ui, line, index, state);
    ui.add_space(GAP);
}

/// Frames the row that the guide speaks of, and brings it into sight once.
fn point(ui: &Ui, line: Rect, index: usize, state: &mut ReadingState) {
    let Some((_, unseen)) = state.pointed.as_mut().filter(|(pointed, _)| *pointed == index) else {
        return;
    };
    let row = Rect::from_min_max(line.min, pos2(ui.max_rect().right(), ui.cursor().top()));
    if std::mem::take(unseen) {
        ui.scroll_to_rect(row, None);
    }
    let stroke = Stroke::new(1.0, Palette::of(ui.visuals()).accent);
    ui.painter().rect_stroke(row.expand2(vec2(0.0, 1.0)), 2, stroke, StrokeKind::Inside);
}

impl Subject<'_> {
    fn left_s(&self, channel: &ChannelReading<'_>) -> Option<f64> {
        let first = *self.members.first()?;
        let (motion, t_s) = match (self.input.now, self.input.forecast) {
            (Some(now), _) => (now.motion, now.t_s),
            (None, motion) => (motion?, 0.0),
        };
        channel_left_s(motion.head(first)?, self.input.rig.get(first)?, channel, t_s)
    }
}

impl ReadingState {
    fn typing_in(&self, index: usize) -> bool {
        self.typing.as_ref().is_some_and(|typing| typing.channel == index)
    }
}

impl Row<'_> {
    fn channel(&self) -> &CompiledChannel {
        self.channel.channel
    }

    fn width(&self) -> usize {
        self.channel().offsets.len()
    }

    fn enabled(&self) -> bool {
        self.channel.held != Held::NoSlot
    }

    /// What the channel's value is, where it is one.
    fn value_text(&self) -> String {
        match (self.mixed, self.channel.held.value()) {
            (false, Some(value)) => written(value, self.width()),
            _ => String::new(),
        }
    }

    /// A state other than "sent, in a range", as a word.
    fn state_word(&self) -> Option<(&'static str, Severity)> {
        if self.mixed {
            return Some(("mixed", Severity::Note));
        }
        match self.channel.held {
            Held::NeverSent => Some(("not sent", Severity::Note)),
            Held::NoSlot => Some(("no slot", Severity::Error)),
            _ if self.channel.waits => Some(("not known", Severity::Note)),
            _ if self.channel.in_gap() => Some(("no range", Severity::Warning)),
            Held::Kept(_) => Some(("kept", Severity::Note)),
            Held::Sent(_) => None,
        }
    }

    /// What is asked, in physical terms and by name.
    fn asked(&self) -> (String, String) {
        match self.mixed {
            true => (String::new(), self.mixed_words.clone()),
            false => asked_words(&self.channel),
        }
    }

    /// The whole reading in one sentence, for the ruler's value and for those who cannot see.
    fn words(&self) -> String {
        let (physical, label) = self.asked();
        let state = self.state_word().map_or("", |(word, _)| word);
        let value = self.value_text();
        let now = self.now.as_ref().map_or(String::new(), |now| format!("now {}", now.words));
        let left = self.left_words().unwrap_or_default();
        let parts = [value.as_str(), state, &physical, &label, &now, &left];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// How long it is on its way, or would be.
    fn left_words(&self) -> Option<String> {
        let left_s = self.left_s?;
        let word = if self.now.is_some() { "in" } else { "takes" };
        Some(format!("{word} {left_s:.1} s"))
    }

    fn line(&self, ui: &Ui, line: Rect, columns: &Columns, commands: &mut Vec<Command>) {
        let palette = Palette::of(ui.visuals());
        let painter = ui.painter();
        let middle = line.center().y - 1.0;
        let place = |x: f32, right: f32, text: String, font: FontId, ink: Color32, flush: bool| {
            let mut job = LayoutJob::single_section(text, TextFormat::simple(font, ink));
            job.wrap = TextWrapping::truncate_at_width((right - x).max(0.0));
            let galley = painter.layout_job(job);
            let x = if flush { right - galley.size().x } else { x };
            let end = x + galley.size().x;
            painter.galley(pos2(line.left() + x, middle - galley.size().y / 2.0), galley, ink);
            end
        };
        let channel = self.channel();
        let small = theme::small_number;
        let weak = palette.weak_text;
        place(0.0, columns.offsets_right + 1.0, joined(&channel.offsets), small(), weak, true);
        // A long name may use what its own slot numbers leave of their column.
        let mut name_right = columns.name_right;
        if let Some(slots_right) = columns.slots_right {
            let slots = slots(&self.reading, channel);
            let slots_width = painter.layout_no_wrap(slots.clone(), small(), weak).size().x;
            place(0.0, slots_right, slots, small(), weak, true);
            name_right = slots_right - slots_width - GRID;
        }
        let name = Rect::from_x_y_ranges(
            line.left() + columns.name..=line.left() + name_right,
            line.y_range(),
        );
        commands.extend(channel_mark(ui, name, channel));
        let font = FontId::proportional(12.5);
        place(columns.name, name_right, channel.name.clone(), font, palette.text, false);
        let (mut asked_right, mut right) = (columns.asked_right, columns.right);
        if let Some(words) = self.left_s.map(|s| format!("in {s:.1} s")) {
            let words_width = painter.layout_no_wrap(words.clone(), small(), weak).size().x;
            place(0.0, right, words, small(), weak, true);
            right -= words_width + GRID;
        }
        // Where no single thing is done, what is asked has all the room.
        if self.now.is_none() {
            asked_right = right;
        }
        let mut x = columns.asked;
        if let Some((word, severity)) = self.state_word() {
            x = tag(ui, pos2(line.left() + x, middle), word, severity, &palette) - line.left()
                + 6.0;
        }
        let (physical, label) = self.asked();
        if !physical.is_empty() {
            x = place(x, asked_right, physical, theme::number(), palette.text, false) + 8.0;
        }
        let (ink, size) = if x > columns.asked { (weak, 11.0) } else { (palette.text, 12.5) };
        if x + 16.0 < asked_right {
            place(x, asked_right, label, FontId::proportional(size), ink, false);
        }
        if let (Some(now), Some(x)) = (&self.now, columns.now) {
            let ink = if now.differs { palette.text } else { weak };
            let words = now.words.clone();
            place(x, right, words, FontId::monospace(11.0), ink, false);
        }
    }

    /// The value as text that can be typed over.
    fn field(
        &self,
        ui: &mut Ui,
        line: Rect,
        columns: &Columns,
        state: &mut ReadingState,
        commands: &mut Vec<Command>,
    ) {
        let palette = Palette::of(ui.visuals());
        let typing = state.typing_in(self.index);
        let mut text = match &state.typing {
            Some(typing) if typing.channel == self.index => typing.text.clone(),
            _ => self.value_text(),
        };
        // While it is typed in, the field grows over what is asked: `-20.5 deg` must be seen whole.
        let right = if typing { columns.right } else { columns.value_right };
        let rect = Rect::from_min_max(
            pos2(line.left() + columns.value, line.top() - 1.0),
            pos2(line.left() + right, line.bottom() - 2.0),
        );
        let stroke = if typing { palette.accent } else { palette.line };
        let edit = TextEdit::singleline(&mut text)
            .id_salt("value")
            .font(theme::number())
            .align(if typing { Align2::LEFT_CENTER } else { Align2::RIGHT_CENTER })
            .margin(Margin::symmetric(3, 0))
            .desired_width(rect.width() - 6.0)
            .hint_text(if typing { "0..255, 50 %, 35 deg, a name" } else { "\u{2013}" })
            .frame(
                Frame::NONE.fill(palette.field).stroke(Stroke::new(1.0, stroke)).corner_radius(2),
            );
        let mut child = ui.new_child(UiBuilder::new().max_rect(rect));
        child.spacing_mut().interact_size.y = rect.height();
        if !self.enabled() {
            child.disable();
        }
        let output = edit.show(&mut child);
        let name = format!("{} value", self.channel().name);
        let response = output.response.response.accessible_name(name);
        if response.gained_focus() {
            // Typing replaces what stands there.
            let all = CCursorRange::two(CCursor::new(0), CCursor::new(text.chars().count()));
            let mut cursor = output.state;
            cursor.cursor.set_char_range(Some(all));
            cursor.store(ui.ctx(), response.id);
        }
        if response.changed() {
            state.answer = None;
        }
        if response.lost_focus() {
            self.leave(ui, text, &response, state, commands);
        } else if response.has_focus() {
            let before = match state.typing.take() {
                Some(typing) if typing.channel == self.index => typing.before,
                _ => self.value_text(),
            };
            state.typing = Some(Typing { channel: self.index, text, before });
            state.touched = Some(self.index);
        }
        response.on_hover_text(self.field_help());
    }

    /// What was typed is done with: applied, unless it was cancelled or changes nothing.
    fn leave(
        &self,
        ui: &Ui,
        text: String,
        field: &Response,
        state: &mut ReadingState,
        commands: &mut Vec<Command>,
    ) {
        let cancelled = ui.input(|i| i.key_pressed(Key::Escape));
        let entered = ui.input(|i| i.key_pressed(Key::Enter));
        let typing = state.typing.take().filter(|typing| typing.channel == self.index);
        let before = typing.map_or_else(|| text.clone(), |typing| typing.before);
        if cancelled {
            state.answer = None;
        } else if entered || text != before {
            self.take(&text, state, commands);
            if matches!(state.answer, Some((_, Answer::Refused(_)))) {
                // What was refused stays to be mended.
                state.typing = Some(Typing { channel: self.index, text, before });
                if entered {
                    field.request_focus();
                }
            } else if entered {
                state.to_ruler = Some(self.index);
            }
        }
    }

    fn field_help(&self) -> String {
        let mut help = String::new();
        if self.width() > 1
            && let (false, Some(value)) = (self.mixed, self.channel.held.value())
        {
            help = format!("#{value} of {} at full resolution\n", self.channel().max_value());
        }
        help + "Type 0..255, 50 %, 35 deg, 5 Hz or a range's name; Enter applies, Esc cancels."
    }

    /// Reads what was typed and asks for it.
    fn take(&self, text: &str, state: &mut ReadingState, commands: &mut Vec<Command>) {
        if text.trim().is_empty() {
            state.answer = None;
            return;
        }
        let held = |offset| self.reading.slot_state(offset).and_then(SlotState::value);
        let answer = match entry::parse(self.channel(), text, held) {
            Ok(entry) => {
                let value = entry.value;
                commands.extend(self.subject.set(self.channel(), |_| Some(value), false));
                Answer::Taken { words: entry.words, warnings: entry.warnings }
            }
            Err(error) => Answer::Refused(error.to_string()),
        };
        state.answer = Some((self.index, answer));
    }

    fn ruler(&self, ui: &mut Ui, state: &mut ReadingState, commands: &mut Vec<Command>) {
        let channel = self.channel();
        let held = |offset| self.reading.slot_state(offset).and_then(SlotState::value);
        let in_force = match (self.mixed, self.channel.held.value()) {
            (false, Some(value)) => channel.find_with(value, held),
            _ => None,
        };
        let ruler = Ruler {
            mode: self.subject.mode,
            channel,
            values: &self.values,
            now: self.now.as_ref().filter(|now| now.differs).and_then(|now| now.channel_value),
            in_force,
            held: &held,
            enabled: self.enabled(),
            words: &self.words(),
        };
        let (response, edits) = ruler.show(ui, RULER);
        if response.has_focus() {
            state.touched = Some(self.index);
        }
        if state.to_ruler == Some(self.index) {
            state.to_ruler = None;
            response.request_focus();
        }
        for edit in edits {
            // The end of a gesture leaves things as they are; so does what was said about them.
            if edit != RulerEdit::End {
                state.answer.take_if(|(index, _)| *index == self.index);
                state.typing.take_if(|typing| typing.channel == self.index);
            }
            match edit {
                RulerEdit::To(value) => {
                    commands.extend(self.subject.set(channel, |_| Some(value), true));
                }
                RulerEdit::By(steps) => {
                    let max = i64::from(channel.max_value());
                    let stepped = |reading: &Reading<'_>| {
                        // Where there is no value yet, a step goes from the value at rest.
                        let from = reading.held(channel).value().unwrap_or(channel.default);
                        u32::try_from((i64::from(from) + steps).clamp(0, max)).ok()
                    };
                    commands.extend(self.subject.set(channel, stepped, true));
                }
                RulerEdit::End => commands.push(Command::EndGesture),
            }
        }
    }

    /// What came of the text typed last, if it was typed here.
    fn answer(&self, ui: &mut Ui, state: &ReadingState) {
        let Some((_, answer)) = state.answer.as_ref().filter(|(index, _)| *index == self.index)
        else {
            return;
        };
        ui.add_space(2.0);
        match answer {
            Answer::Taken { words, warnings } => {
                note(ui, Severity::Note, words);
                for warning in warnings {
                    note(ui, Severity::Warning, warning);
                }
            }
            Answer::Refused(words) => note(ui, Severity::Error, words),
        }
    }
}

/// A word in a frame: a state that is not the usual one. Gives the x behind it.
fn tag(ui: &Ui, at: egui::Pos2, word: &str, severity: Severity, palette: &Palette) -> f32 {
    let ink =
        if severity == Severity::Note { palette.weak_text } else { palette.severity(severity) };
    let painter = ui.painter();
    let galley = painter.layout_no_wrap(word.to_owned(), FontId::proportional(10.5), ink);
    let mark = if severity == Severity::Note { 0.0 } else { 10.0 };
    let size = vec2(galley.size().x + mark + 8.0, 14.0);
    let rect = Rect::from_min_size(pos2(at.x, at.y - size.y / 2.0), size);
    let stroke = Stroke::new(1.0, ink);
    painter.rect_stroke(rect, CornerRadius::same(2), stroke, StrokeKind::Inside);
    if mark > 0.0 {
        let centre = pos2(rect.left() + 8.0, rect.center().y);
        theme::severity_mark(painter, severity, centre, 7.0, palette);
    }
    let text = pos2(rect.left() + 4.0 + mark, rect.center().y - galley.size().y / 2.0);
    painter.galley(text, galley, ink);
    rect.right()
}
