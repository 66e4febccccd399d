//! The ruler of a channel: 0..255 with its ranges marked and named, and the value as a cursor.

use egui::accesskit::{Action, ActionData};
use egui::{EventFilter, Key, Modifiers, Response, Sense, Ui, WidgetInfo, vec2};

use super::ruler_paint::{Span, paint};
use super::theme::Palette;
use crate::decode::{CompiledChannel, CompiledMode, CompiledRange, written};

/// What a ruler shows.
pub struct Ruler<'a> {
    /// The mode that the channel belongs to.
    pub mode: &'a CompiledMode,
    /// The channel.
    pub channel: &'a CompiledChannel,
    /// The values held, at full resolution: one cursor for each that differs. Empty: there is none.
    pub values: &'a [u32],
    /// Where the fixture is by now, as a value at full resolution with a fraction: a ghost cursor.
    pub now: Option<f64>,
    /// The range in force, as a place in the channel's ranges.
    pub in_force: Option<usize>,
    /// Gives the value of another slot of the fixture: ranges whose conditions do not hold are left
    /// out.
    pub held: &'a dyn Fn(u16) -> Option<u8>,
    /// Whether there is a slot to edit.
    pub enabled: bool,
    /// What the value means, in words, for those who cannot see it.
    pub words: &'a str,
}

/// What a person did to a ruler.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RulerEdit {
    /// Go to this value, at full resolution.
    To(u32),
    /// Go this many steps of full resolution up or down, each fixture from where it stands.
    By(i64),
    /// The gesture is over.
    End,
}

/// What can be done to a ruler, under its tooltip.
const HOW_TO: &str = "Drag to set, with Shift finely. Arrows step, Page Up and Down go to the next \
                      range.";

impl Ruler<'_> {
    /// Shows it over the whole width that is left.
    pub fn show(&self, ui: &mut Ui, height: f32) -> (Response, Vec<RulerEdit>) {
        let sense = if self.enabled { Sense::drag() } else { Sense::hover() };
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), sense);
        let mut edits = Vec::new();
        if self.enabled {
            self.follow_pointer(ui, &response, &mut edits);
            self.follow_keys(ui, &response, &mut edits);
            self.follow_requests(ui, &response, &mut edits);
        }
        if ui.is_rect_visible(rect) {
            let palette = Palette::of(ui.visuals());
            paint(self, ui.painter(), rect, response.has_focus(), &palette);
        }
        self.describe(ui, &response);
        let max = self.channel.max_value();
        let response = match response.hover_pos() {
            Some(at) if !response.dragged() => {
                let value = Span::new(rect, max).value_at(at.x);
                response.on_hover_ui_at_pointer(|ui| self.tooltip(ui, value))
            }
            _ => response,
        };
        (response, edits)
    }

    /// The ranges that can hold as things stand, with their places.
    pub(super) fn ranges(&self) -> impl Iterator<Item = (usize, &CompiledRange)> {
        let held = self.held;
        self.channel.ranges.iter().enumerate().filter(move |(_, range)| range.may_hold(held))
    }

    fn follow_pointer(&self, ui: &Ui, response: &Response, edits: &mut Vec<RulerEdit>) {
        // Kept during a drag: whether it is a fine one, and what of a step is left over.
        let id = response.id.with("fine");
        if response.drag_started() {
            response.request_focus();
            let fine = ui.input(|i| i.modifiers.shift);
            ui.data_mut(|data| data.insert_temp(id, (fine, 0.0f32)));
        }
        if response.dragged()
            && let Some(at) = response.interact_pointer_pos()
        {
            let (fine, rest) = ui.data(|data| data.get_temp(id)).unwrap_or((false, 0.0));
            if fine {
                let travel = rest + response.drag_delta().x;
                let steps = travel.trunc();
                ui.data_mut(|data| data.insert_temp(id, (fine, travel - steps)));
                if steps != 0.0 {
                    edits.push(RulerEdit::By(steps as i64));
                }
            } else {
                let value = Span::new(response.rect, self.channel.max_value()).value_at(at.x);
                if self.values != [value] {
                    edits.push(RulerEdit::To(value));
                }
            }
        }
        if response.drag_stopped() {
            edits.push(RulerEdit::End);
        }
    }

    fn follow_keys(&self, ui: &Ui, response: &Response, edits: &mut Vec<RulerEdit>) {
        if response.lost_focus() {
            edits.push(RulerEdit::End);
        }
        if !response.has_focus() {
            return;
        }
        let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        let coarse = i64::from(self.channel.coarse_step());
        let before = edits.len();
        ui.input_mut(|input| {
            // Fine steps first: a key with Shift would also count as the key without.
            for (modifiers, step) in [(Modifiers::SHIFT, 1), (Modifiers::NONE, coarse)] {
                let up = input.count_and_consume_key(modifiers, Key::ArrowRight) as i64;
                let down = input.count_and_consume_key(modifiers, Key::ArrowLeft) as i64;
                if up != down {
                    edits.push(RulerEdit::By((up - down) * step));
                }
            }
            if input.consume_key(Modifiers::NONE, Key::Home) {
                edits.push(RulerEdit::To(0));
            }
            if input.consume_key(Modifiers::NONE, Key::End) {
                edits.push(RulerEdit::To(self.channel.max_value()));
            }
            if input.consume_key(Modifiers::NONE, Key::PageUp) {
                edits.extend(self.neighbour(true).map(RulerEdit::To));
            }
            if input.consume_key(Modifiers::NONE, Key::PageDown) {
                edits.extend(self.neighbour(false).map(RulerEdit::To));
            }
        });
        let keys =
            [Key::ArrowLeft, Key::ArrowRight, Key::Home, Key::End, Key::PageUp, Key::PageDown];
        let released = ui.input(|i| keys.iter().any(|key| i.key_released(*key)));
        // A run of one held key is one gesture.
        if released || (edits.len() > before && ui.input(|i| !keys.iter().any(|k| i.key_down(*k))))
        {
            edits.push(RulerEdit::End);
        }
    }

    /// What assistive technology asks for.
    fn follow_requests(&self, ui: &Ui, response: &Response, edits: &mut Vec<RulerEdit>) {
        let max = self.channel.max_value();
        let before = edits.len();
        ui.input(|input| {
            for request in input.accesskit_action_requests(response.id, Action::SetValue) {
                if let Some(ActionData::NumericValue(value)) = request.data {
                    edits.push(RulerEdit::To(value.round().clamp(0.0, f64::from(max)) as u32));
                }
            }
            let count = |action| input.num_accesskit_action_requests(response.id, action) as i64;
            let steps = count(Action::Increment) - count(Action::Decrement);
            if steps != 0 {
                edits.push(RulerEdit::By(steps * i64::from(self.channel.coarse_step())));
            }
        });
        if edits.len() > before {
            edits.push(RulerEdit::End);
        }
    }

    fn describe(&self, ui: &Ui, response: &Response) {
        let value = self.values.first().copied();
        response.widget_info(|| {
            WidgetInfo::slider(
                self.enabled,
                value.map_or(f64::NAN, f64::from),
                self.channel.name.as_str(),
            )
        });
        ui.ctx().accesskit_node_builder(response.id, |node| {
            node.set_min_numeric_value(0.0);
            node.set_max_numeric_value(f64::from(self.channel.max_value()));
            node.set_value(self.words);
            if value.is_none() {
                node.clear_numeric_value();
            }
            if self.enabled {
                node.add_action(Action::SetValue);
                node.add_action(Action::Increment);
                node.add_action(Action::Decrement);
            }
        });
    }

    /// The first value of the next or the previous range.
    fn neighbour(&self, up: bool) -> Option<u32> {
        let here = self.values.first().copied().unwrap_or(0);
        let firsts = self.ranges().map(|(_, range)| range.first);
        match up {
            true => firsts.filter(|first| *first > here).min(),
            // From inside a range, the one before it, not its own beginning.
            false => {
                let own = self.in_force.and_then(|i| self.channel.ranges.get(i)).map(|r| r.first);
                firsts.filter(|first| *first < own.unwrap_or(here)).max()
            }
        }
    }

    fn tooltip(&self, ui: &mut Ui, value: u32) {
        let palette = Palette::of(ui.visuals());
        let width = self.channel.offsets.len();
        let weak = |text: String| egui::RichText::new(text).small().color(palette.weak_text);
        let Some((_, range)) = self.ranges().find(|(_, range)| range.contains(value)) else {
            ui.strong(written(value, width));
            ui.label("No range covers this value: it does nothing.");
            ui.label(weak(HOW_TO.to_owned()));
            return;
        };
        let (first, last) = (written(range.first, width), written(range.last, width));
        let span = if first == last { first.clone() } else { format!("{first}..{last}") };
        ui.strong(format!("{span}  {}", range.label));
        for effect in range.effects() {
            let mut line = effect.key().replace('-', " ");
            if let Some(physical) = effect.physical() {
                let (a, b) = physical.span;
                let (a, b) = (physical.unit.format(a), physical.unit.format(b));
                line = match a == b {
                    true => format!("{line}: {a}"),
                    false => format!("{line}: {a} at {first}, {b} at {last}"),
                };
            }
            match effect.hold_s() {
                Some(Some(hold_s)) => line.push_str(&format!(", once held {hold_s} s")),
                Some(None) => line.push_str(", once held for a time the profile does not give"),
                None => {}
            }
            if line != range.label {
                ui.label(line);
            }
        }
        if first != last {
            let physical = range.physical.zip(range.physical_at(value));
            let physical = physical.map(|(pair, here)| format!(": {}", pair.unit.format(here)));
            let here = format!("Here {}{}", written(value, width), physical.unwrap_or_default());
            ui.label(here);
        }
        if self.enabled {
            ui.label(weak(HOW_TO.to_owned()));
        }
    }
}
