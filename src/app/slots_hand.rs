//! What a person does to the grid of the slots panel, with the pointer, the wheel and the keyboard.

use egui::accesskit::{Action, ActionData};
use egui::{Event, EventFilter, Key, MouseWheelUnit, Response, Ui};

use super::command::{Command, How};
use super::slots::{Drag, SlotsInput, SlotsState};
use super::slots_grid::{Cells, Grid};
use crate::wire::{SLOTS, Slot};

/// What one press of Page Up or Page Down adds or takes.
const PAGE: i32 = 16;
/// How many points of smooth scrolling make one step of a value.
const POINTS_A_STEP: f32 = 16.0;

/// What a person does to the grid.
pub(super) struct Hand<'a> {
    pub(super) input: &'a SlotsInput<'a>,
    pub(super) cells: &'a Cells,
    pub(super) state: &'a mut SlotsState,
    pub(super) commands: &'a mut Vec<Command>,
}

impl Hand<'_> {
    /// What steps and drags set out from: 0 where nothing was ever sent, as a fader stands at its foot.
    fn value(&self, slot: Slot) -> u8 {
        self.input.frames.state(self.input.universe, slot).value().unwrap_or(0)
    }

    /// Sets slots; edits of a gesture are one step of undo.
    fn set(&mut self, values: Vec<(Slot, u8)>, gesture: bool) {
        if values.is_empty() {
            return;
        }
        if !gesture {
            self.state.end_gesture(self.commands);
        }
        self.state.open = gesture;
        self.commands.push(Command::SetSlots { universe: self.input.universe, values, gesture });
    }

    fn set_span(&mut self, value: u8) {
        let values = self.state.slots().map(|slot| (slot, value)).collect();
        self.set(values, false);
    }

    /// Adds to every slot of the span.
    fn add(&mut self, by: i32) {
        let values = self.state.slots().map(|slot| (slot, moved(self.value(slot), by))).collect();
        self.set(values, true);
    }

    /// Applies the digits typed so far.
    pub(super) fn commit(&mut self) {
        let typed = std::mem::take(&mut self.state.typed);
        match typed.parse::<u16>().map(u8::try_from) {
            Ok(Ok(value)) => self.set_span(value),
            Ok(Err(_)) => self
                .commands
                .push(Command::Message(format!("`{typed}` does not fit: a slot takes 0..255"))),
            Err(_) => {}
        }
    }

    pub(super) fn pointer(&mut self, ui: &Ui, grid: &Grid, response: &Response) {
        let shift = ui.input(|i| i.modifiers.shift);
        let at = response.interact_pointer_pos().and_then(|at| grid.slot_at(at));
        let pressed =
            response.is_pointer_button_down_on() && ui.input(|i| i.pointer.primary_pressed());
        if pressed && let Some(slot) = at {
            self.commit();
            response.request_focus();
            // A press inside a span may begin a drag of the whole of it.
            if shift || !self.state.in_span(slot) {
                self.state.end_gesture(self.commands);
                self.state.go(slot, shift);
            }
        }
        if response.drag_started() {
            let way = response.total_drag_delta().unwrap_or_default();
            let values = || self.state.slots().map(|slot| (slot, self.value(slot))).collect();
            let drag = if way.x.abs() > way.y.abs() { Drag::Span } else { Drag::Values(values()) };
            self.state.drag = Some(drag);
        }
        if response.dragged() {
            match &self.state.drag {
                Some(Drag::Values(values)) => {
                    let up = -response.total_drag_delta().unwrap_or_default().y.round() as i32;
                    let values: Vec<(Slot, u8)> =
                        values.iter().map(|(slot, value)| (*slot, moved(*value, up))).collect();
                    if values.iter().any(|(slot, value)| self.value(*slot) != *value) {
                        self.set(values, true);
                    }
                }
                Some(Drag::Span) => {
                    if let Some(slot) = at {
                        self.state.go(slot, true);
                    }
                }
                None => {}
            }
        }
        if response.drag_stopped() {
            self.state.drag = None;
            self.state.end_gesture(self.commands);
        }
        if response.clicked()
            && let Some(slot) = at
            && !shift
        {
            self.state.go(slot, false);
            if let Some(owner) = self.cells.owners(slot).first() {
                let fixtures = vec![owner.fixture];
                self.commands.push(Command::Select { fixtures, how: How::Replace });
            }
        }
    }

    /// The wheel changes the chosen slots while the pointer is on one of them; elsewhere it scrolls.
    pub(super) fn wheel(&mut self, ui: &Ui, grid: &Grid, response: &Response) {
        let over = response.hover_pos().and_then(|at| grid.slot_at(at));
        let on_span = response.has_focus() && over.is_some_and(|slot| self.state.in_span(slot));
        if !on_span {
            self.state.scrolled = 0.0;
            // The pointer went elsewhere: what the wheel changed until now is one step.
            if over.is_some() && self.state.drag.is_none() && ui.input(|i| i.keys_down.is_empty()) {
                self.state.end_gesture(self.commands);
            }
            return;
        }
        let mut steps = 0.0;
        ui.input_mut(|input| {
            for event in &input.events {
                if let Event::MouseWheel { unit, delta, .. } = event {
                    match unit {
                        MouseWheelUnit::Point => self.state.scrolled += delta.y / POINTS_A_STEP,
                        MouseWheelUnit::Line | MouseWheelUnit::Page => steps += delta.y,
                    }
                }
            }
            input.smooth_scroll_delta = egui::Vec2::ZERO;
        });
        steps += self.state.scrolled.trunc();
        self.state.scrolled = self.state.scrolled.fract();
        if steps != 0.0 {
            self.commit();
            // Part of a notch is still a notch.
            self.add(steps.signum() as i32 * steps.abs().ceil() as i32);
        }
    }

    /// Follows the keyboard. Gives whether the cursor moved.
    pub(super) fn keys(&mut self, ui: &Ui, grid: &Grid, response: &Response) -> bool {
        let filter = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            escape: !self.state.typed.is_empty(),
            ..EventFilter::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        if self.state.cursor.is_none() {
            self.state.cursor = Slot::new(1);
            self.state.anchor = self.state.cursor;
        }
        let before = self.state.cursor;
        let events = ui.input(|i| i.filtered_events(&filter));
        for event in events {
            match event {
                Event::Text(text) => self.text(&text),
                Event::Key { key, pressed: true, modifiers, .. } => {
                    self.key(key, modifiers.shift, modifiers.command, grid);
                }
                Event::Key { pressed: false, .. } => self.state.end_gesture(self.commands),
                _ => {}
            }
        }
        self.state.cursor != before
    }

    fn text(&mut self, text: &str) {
        for c in text.chars() {
            match c {
                '0'..='9' => {
                    self.state.typed.push(c);
                    if self.state.typed.len() == 3 {
                        self.commit();
                    }
                }
                '+' => self.add(1),
                '-' => self.add(-1),
                _ => {}
            }
        }
    }

    fn key(&mut self, key: Key, shift: bool, command: bool, grid: &Grid) {
        let columns = grid.columns as i32;
        match key {
            Key::ArrowLeft => self.step(-1, shift),
            Key::ArrowRight => self.step(1, shift),
            Key::ArrowUp => self.step(-columns, shift),
            Key::ArrowDown => self.step(columns, shift),
            Key::Home => self.step(-(SLOTS as i32), shift),
            Key::End => self.step(SLOTS as i32, shift),
            Key::PageUp => self.add(PAGE),
            Key::PageDown => self.add(-PAGE),
            Key::Enter => self.commit(),
            Key::Delete => {
                self.state.typed.clear();
                self.set_span(0);
            }
            Key::Backspace => {
                self.state.typed.pop();
            }
            Key::Escape => {
                self.state.typed.clear();
                self.state.anchor = self.state.cursor;
            }
            Key::A if command => {
                self.state.anchor = Slot::new(1);
                self.state.cursor = Slot::new(SLOTS as u16);
            }
            _ => {}
        }
    }

    /// Moves the cursor, to the first or the last slot at most.
    fn step(&mut self, by: i32, extend: bool) {
        self.commit();
        self.state.end_gesture(self.commands);
        let Some(cursor) = self.state.cursor else { return };
        let to = i32::from(cursor.number()) + by;
        // Up and down stop in their column instead of sliding to a corner.
        let inside = (1..=SLOTS as i32).contains(&to) || by.abs() == SLOTS as i32;
        let to = if inside { to.clamp(1, SLOTS as i32) } else { i32::from(cursor.number()) };
        if let Some(slot) = u16::try_from(to).ok().and_then(Slot::new) {
            self.state.go(slot, extend);
        }
    }

    /// What assistive technology asks for.
    pub(super) fn requests(&mut self, ui: &Ui, response: &Response) {
        let (set, steps) = ui.input(|input| {
            let set = input
                .accesskit_action_requests(response.id, Action::SetValue)
                .filter_map(|request| match request.data {
                    Some(ActionData::NumericValue(value)) => Some(value),
                    _ => None,
                })
                .last();
            let count = |action| input.num_accesskit_action_requests(response.id, action) as i32;
            (set, count(Action::Increment) - count(Action::Decrement))
        });
        if let Some(value) = set {
            self.set_span(value.round().clamp(0.0, 255.0) as u8);
        }
        if steps != 0 {
            self.add(steps);
            self.state.end_gesture(self.commands);
        }
    }
}

fn moved(value: u8, by: i32) -> u8 {
    (i32::from(value).saturating_add(by)).clamp(0, 255) as u8
}
