//! The slots panel: all 512 slots of a universe, with the fixture that owns each.

use egui::accesskit::{Action, ActionData};
use egui::{
    ComboBox, Event, EventFilter, Key, MouseWheelUnit, Response, RichText, ScrollArea, Sense, Ui,
    vec2,
};

use super::command::{Command, How};
use super::slots_grid::{Cells, Grid, describe, paint};
use super::theme::{BAR, GRID, Palette};
use crate::decode::{Decoded, Plan};
use crate::rig::Rig;
use crate::wire::{Frames, SLOTS, Slot, Universe};

/// What one press of Page Up or Page Down adds or takes.
const PAGE: i32 = 16;
/// How many points of smooth scrolling make one step of a value.
const POINTS_A_STEP: f32 = 16.0;

/// What the panel shows.
#[derive(Clone, Copy)]
pub struct SlotsInput<'a> {
    /// The fixtures.
    pub rig: &'a Rig,
    /// The rig, compiled.
    pub plan: &'a Plan,
    /// What is held of every universe.
    pub frames: &'a Frames,
    /// What the plan made of these frames.
    pub decoded: &'a Decoded,
    /// The universe shown.
    pub universe: Universe,
    /// Every universe there is to choose from.
    pub universes: &'a [Universe],
    /// The selected fixtures, as places in the rig.
    pub selection: &'a [usize],
}

/// What the panel remembers between passes.
#[derive(Clone, Debug, Default)]
pub struct SlotsState {
    cursor: Option<Slot>,
    anchor: Option<Slot>,
    /// Digits typed and not yet applied.
    typed: String,
    /// Edits were made that are to be one step of undo with those that follow.
    open: bool,
    drag: Option<Drag>,
    /// The keyboard is to come to the grid in the next pass.
    wanted: bool,
    /// What was last scrolled to because it was selected.
    revealed: (Option<Universe>, Option<usize>),
    /// Smooth scrolling that has not made a whole step yet, in points.
    scrolled: f32,
    /// The grid has the keyboard: some keys mean slots then.
    pub(super) focused: bool,
}

/// What a drag does, settled by the way it sets out.
#[derive(Clone, Debug, PartialEq)]
enum Drag {
    /// Up and down: values, from those at its beginning.
    Values(Vec<(Slot, u8)>),
    /// Sideways: the span.
    Span,
}

impl SlotsState {
    /// The first and the last slot of the span that keys and drags act on.
    pub fn span(&self) -> Option<(Slot, Slot)> {
        let (cursor, anchor) = (self.cursor?, self.anchor?);
        Some((cursor.min(anchor), cursor.max(anchor)))
    }

    /// The slot that the keyboard is at.
    pub fn cursor(&self) -> Option<Slot> {
        self.cursor
    }

    /// Gives the keyboard to the grid in the next pass, at this slot or where it last was.
    pub(super) fn take_keyboard(&mut self, at: Option<Slot>) {
        self.wanted = true;
        if let Some(slot) = at.filter(|_| !self.focused) {
            self.typed.clear();
            self.go(slot, false);
        }
    }

    pub(super) fn typed(&self) -> &str {
        &self.typed
    }

    fn in_span(&self, slot: Slot) -> bool {
        self.span().is_some_and(|(first, last)| (first..=last).contains(&slot))
    }

    fn slots(&self) -> impl Iterator<Item = Slot> + use<> {
        let span = self.span();
        span.into_iter()
            .flat_map(|(first, last)| (first.number()..=last.number()).filter_map(Slot::new))
    }

    fn go(&mut self, slot: Slot, extend: bool) {
        self.cursor = Some(slot);
        if !extend || self.anchor.is_none() {
            self.anchor = Some(slot);
        }
    }

    fn end_gesture(&mut self, commands: &mut Vec<Command>) {
        if std::mem::take(&mut self.open) {
            commands.push(Command::EndGesture);
        }
    }
}

/// Shows the panel over all the room that is left. The commands are for after the pass.
pub fn slots_panel(ui: &mut Ui, input: SlotsInput<'_>, state: &mut SlotsState) -> Vec<Command> {
    let mut commands = Vec::new();
    let cells = Cells::new(&input);
    ui.spacing_mut().item_spacing.y = GRID;
    ui.horizontal(|ui| {
        universes(ui, &input, state, &mut commands);
        ui.add_space(2.0 * GRID);
        let palette = Palette::of(ui.visuals());
        let words = match state.cursor {
            Some(slot) => cells.lines(&input, slot).join("  \u{b7}  "),
            None => "Click a slot to set it and to select its fixture.".to_owned(),
        };
        ui.add(egui::Label::new(RichText::new(words).small().color(palette.weak_text)).truncate());
    });
    let width = ui.available_width() - BAR;
    ScrollArea::vertical().auto_shrink(false).id_salt("slots").show(ui, |ui| {
        ui.set_width(width);
        grid(ui, &input, &cells, state, &mut commands);
    });
    commands
}

fn universes(
    ui: &mut Ui,
    input: &SlotsInput<'_>,
    state: &mut SlotsState,
    commands: &mut Vec<Command>,
) {
    let mut chosen = input.universe;
    let label = ui.label("Universe");
    match input.universes.len() {
        0 | 1 => {
            ui.strong(chosen.to_string());
        }
        2..=8 => {
            ui.spacing_mut().item_spacing.x = GRID;
            for universe in input.universes {
                ui.selectable_value(&mut chosen, *universe, universe.to_string())
                    .on_hover_text(format!("Show universe {universe}"));
            }
        }
        _ => {
            let shown = ComboBox::from_id_salt("universe").selected_text(chosen.to_string());
            let shown = shown.show_ui(ui, |ui| {
                for universe in input.universes {
                    ui.selectable_value(&mut chosen, *universe, universe.to_string());
                }
            });
            shown.response.labelled_by(label.id);
        }
    }
    if chosen != input.universe {
        state.typed.clear();
        state.end_gesture(commands);
        commands.push(Command::ShowUniverse(chosen));
    }
}

fn grid(
    ui: &mut Ui,
    input: &SlotsInput<'_>,
    cells: &Cells,
    state: &mut SlotsState,
    commands: &mut Vec<Command>,
) {
    let width = ui.available_width();
    let size = vec2(width, Grid::height_for(width));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let grid = Grid::new(rect);
    let mut hand = Hand { input, cells, state, commands };
    hand.pointer(ui, &grid, &response);
    hand.wheel(ui, &grid, &response);
    hand.requests(ui, &response);
    if std::mem::take(&mut hand.state.wanted) {
        response.request_focus();
        if let Some(slot) = hand.state.cursor {
            ui.scroll_to_rect(grid.cell(slot), None);
        }
    }
    hand.state.focused = response.has_focus();
    reveal(ui, &grid, input, hand.state);
    if response.has_focus() {
        let moved = hand.keys(ui, &grid, &response);
        if moved && let Some(slot) = hand.state.cursor {
            ui.scroll_to_rect(grid.cell(slot), None);
        }
    } else {
        hand.commit();
        if response.lost_focus() {
            hand.state.end_gesture(hand.commands);
        }
    }
    let palette = Palette::of(ui.visuals());
    paint(ui, &grid, input, cells, state, response.has_focus(), &palette);
    describe(ui, input, cells, state, &response);
    if let Some(slot) = response.hover_pos().and_then(|at| grid.slot_at(at))
        && !response.dragged()
    {
        response.on_hover_ui_at_pointer(|ui| {
            ui.set_max_width(ui.spacing().tooltip_width);
            for line in cells.lines(input, slot) {
                ui.label(line);
            }
            let how = "Type 0..255, drag up or down, or use the wheel on the chosen slot. Arrows \
                       move, Shift extends, Page Up and Down change by 16, Delete sets 0.";
            ui.label(RichText::new(how).small().color(palette.weak_text));
        });
    }
}

/// Scrolls to a fixture that was selected elsewhere. While the grid has the keyboard, what was
/// clicked is in sight, and moving it from under the pointer would only confuse.
fn reveal(ui: &Ui, grid: &Grid, input: &SlotsInput<'_>, state: &mut SlotsState) {
    let selected = input.selection.first().copied();
    let now = (Some(input.universe), selected);
    if std::mem::replace(&mut state.revealed, now) == now || state.focused {
        return;
    }
    let planned = selected.and_then(|fixture| input.plan.fixtures().get(fixture));
    let Some((address, mode)) = planned.and_then(|f| Some((f.address?, f.mode.as_ref()?))) else {
        return;
    };
    if address.universe == input.universe {
        let first = grid.row(address.slot);
        let last = address.slot_at(mode.footprint.max(1)).map_or(first, |slot| grid.row(slot));
        // The later request counts where the fixture has more rows than there are in sight.
        ui.scroll_to_rect(last, None);
        ui.scroll_to_rect(first, None);
    }
}

/// What a person does to the grid.
struct Hand<'a> {
    input: &'a SlotsInput<'a>,
    cells: &'a Cells,
    state: &'a mut SlotsState,
    commands: &'a mut Vec<Command>,
}

impl Hand<'_> {
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
    fn commit(&mut self) {
        let typed = std::mem::take(&mut self.state.typed);
        match typed.parse::<u16>().map(u8::try_from) {
            Ok(Ok(value)) => self.set_span(value),
            Ok(Err(_)) => self
                .commands
                .push(Command::Message(format!("`{typed}` does not fit: a slot takes 0..255"))),
            Err(_) => {}
        }
    }

    fn pointer(&mut self, ui: &Ui, grid: &Grid, response: &Response) {
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
    fn wheel(&mut self, ui: &Ui, grid: &Grid, response: &Response) {
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
    fn keys(&mut self, ui: &Ui, grid: &Grid, response: &Response) -> bool {
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
    fn requests(&mut self, ui: &Ui, response: &Response) {
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
