//! The columns of the reading panel's table.

use egui::{Align2, Color32, FontId, Stroke, Ui, pos2, vec2};

use super::reading::Subject;
use super::theme::{self, GRID, Palette};
use crate::decode::{CompiledChannel, Reading, written};

/// Width of the column of what is done, in points.
const NOW: f32 = 116.0;

/// What the columns of what is done and of what is asked give to names that are too long, in points. Both
/// still hold an angle and a rate; longer words are whole in the row's hint.
const NOW_GIVES: f32 = 24.0;
const ASKED_GIVES: f32 = 12.0;

/// Where the columns of the table stand, in points from its left edge. What is asked takes the rest;
/// another column can be cut from its right.
pub(super) struct Columns {
    /// Right edge of the channel's slots as the manual counts them.
    pub(super) offsets_right: f32,
    pub(super) name: f32,
    pub(super) name_right: f32,
    /// Right edge of the channel's slots in the universe, where they are shown.
    pub(super) slots_right: Option<f32>,
    pub(super) value: f32,
    pub(super) value_right: f32,
    pub(super) asked: f32,
    /// Where what is asked ends.
    pub(super) asked_right: f32,
    /// Where what is done begins, while time plays a part.
    pub(super) now: Option<f32>,
    pub(super) right: f32,
}

impl Columns {
    /// Columns as wide as the numbers in them, so that none is ever cut.
    pub(super) fn new(ui: &Ui, subject: &Subject<'_>, width: f32) -> Self {
        let measure = |text: String, font: FontId| {
            ui.painter().layout_no_wrap(text, font, Color32::WHITE).size().x
        };
        let channels = &subject.mode.channels;
        let widest = |text: &dyn Fn(&CompiledChannel) -> String, font: FontId| {
            let widths = channels.iter().map(|channel| measure(text(channel), font.clone()));
            widths.fold(0.0, f32::max)
        };
        let offsets_right = widest(&|c| joined(&c.offsets), theme::small_number());
        let name = offsets_right + 1.5 * GRID;
        let names = widest(&|c| c.name.clone(), FontId::proportional(12.5));
        let reading = subject.reading(subject.members[0]);
        // Beside what is done there is no room for both kinds of slot number; those of the universe are
        // in the panel below and in the row's hint.
        let slots = match subject.input.now {
            Some(_) => None,
            None => Some(widest(
                &|c| reading.map_or_else(String::new, |reading| slots(&reading, c)),
                theme::small_number(),
            )),
        };
        let values = widest(&|c| written(c.max_value(), c.offsets.len()), theme::number()) + 8.0;
        let now_width = if subject.input.now.is_some() { NOW } else { 0.0 };
        // What is asked needs room for an angle and the word "kept"; names give way, numbers do not.
        let taken = slots.map_or(0.0, |slots| slots + 2.0 * GRID);
        let asked = match (subject.input.now, subject.input.forecast) {
            (Some(_), _) => 92.0,
            // And for how long it would take.
            (None, Some(_)) => 142.0,
            (None, None) => 126.0,
        };
        let rest = width - name - taken - values - 4.0 * GRID - asked - now_width;
        // A name that is cut can be mistaken for another one.
        let short = (names - rest).max(0.0);
        let now_gives = short.min(if now_width > 0.0 { NOW_GIVES } else { 0.0 });
        let asked_gives = (short - now_gives).min(ASKED_GIVES);
        let now_width = now_width - now_gives;
        let rest = rest + now_gives + asked_gives;
        let name_right = name + names.min(rest.max(48.0));
        let slots_right = slots.map(|slots| name_right + 2.0 * GRID + slots);
        let value = slots_right.unwrap_or(name_right) + 2.0 * GRID;
        let value_right = value + values;
        Self {
            offsets_right,
            name,
            name_right,
            slots_right,
            value,
            value_right,
            asked: value_right + 2.0 * GRID,
            asked_right: if now_width > 0.0 { width - now_width - GRID } else { width },
            now: (now_width > 0.0).then_some(width - now_width),
            right: width,
        }
    }
}

impl Columns {
    /// The width of the table, in points.
    pub(super) fn width(&self) -> f32 {
        self.right
    }
}

/// The heads of the columns.
pub(super) fn captions(ui: &mut Ui, columns: &Columns, palette: &Palette) {
    let size = vec2(columns.right, 14.0);
    let (rect, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    let painter = ui.painter();
    let font = FontId::proportional(10.0);
    let y = rect.center().y - 1.0;
    let now = columns.now.map(|x| (x, Align2::LEFT_CENTER, "now"));
    let texts = [
        (columns.name, Align2::LEFT_CENTER, "channel"),
        (columns.value_right - 3.0, Align2::RIGHT_CENTER, "value"),
        (columns.asked, Align2::LEFT_CENTER, "asked"),
    ];
    let slots = columns.slots_right.map(|x| (x, Align2::RIGHT_CENTER, "slot"));
    for (x, align, text) in texts.into_iter().chain(slots).chain(now) {
        painter.text(pos2(rect.left() + x, y), align, text, font.clone(), palette.weak_text);
    }
    painter.hline(rect.x_range(), rect.bottom() - 0.5, Stroke::new(1.0, palette.line));
}

/// Slots of a channel as the manual counts them: `1+2`, or `1..4` where they follow each other.
pub(super) fn joined(numbers: &[u16]) -> String {
    let run = numbers.len() > 2 && numbers.windows(2).all(|pair| pair[1] == pair[0] + 1);
    match (run, numbers.first(), numbers.last()) {
        (true, Some(first), Some(last)) => format!("{first}..{last}"),
        _ => numbers.iter().map(u16::to_string).collect::<Vec<_>>().join("+"),
    }
}

/// The same in the universe; past its end there is none.
pub(super) fn slots(reading: &Reading<'_>, channel: &CompiledChannel) -> String {
    let slots = channel.offsets.iter().map(|offset| reading.slot(*offset));
    match slots.map(|slot| slot.map(|slot| slot.number())).collect::<Option<Vec<u16>>>() {
        Some(numbers) => joined(&numbers),
        None => "\u{2013}".to_owned(),
    }
}
