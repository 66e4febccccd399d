//! The slots panel: all 512 slots of a universe, with the fixture that owns each.

use egui::{ComboBox, RichText, ScrollArea, Sense, Ui, vec2};

use super::command::Command;
use super::slots_grid::{Cells, Grid, describe, paint};
use super::slots_hand::Hand;
use super::theme::{BAR, GRID, Palette};
use crate::decode::{Decoded, Plan};
use crate::rig::Rig;
use crate::wire::{Frames, Slot, Universe};

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
    pub(super) cursor: Option<Slot>,
    pub(super) anchor: Option<Slot>,
    /// Digits typed and not yet applied.
    pub(super) typed: String,
    /// Edits were made that are to be one step of undo with those that follow.
    pub(super) open: bool,
    pub(super) drag: Option<Drag>,
    /// The keyboard is to come to the grid in the next pass.
    wanted: bool,
    /// What was last scrolled to because it was selected.
    revealed: (Option<Universe>, Option<usize>),
    /// Smooth scrolling that has not made a whole step yet, in points.
    pub(super) scrolled: f32,
    /// The grid has the keyboard: some keys mean slots then.
    pub(super) focused: bool,
}

/// What a drag does, settled by the way it sets out.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Drag {
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

    pub(super) fn in_span(&self, slot: Slot) -> bool {
        self.span().is_some_and(|(first, last)| (first..=last).contains(&slot))
    }

    pub(super) fn slots(&self) -> impl Iterator<Item = Slot> + use<> {
        let span = self.span();
        span.into_iter()
            .flat_map(|(first, last)| (first.number()..=last.number()).filter_map(Slot::new))
    }

    pub(super) fn go(&mut self, slot: Slot, extend: bool) {
        self.cursor = Some(slot);
        if !extend || self.anchor.is_none() {
            self.anchor = Some(slot);
        }
    }

    pub(super) fn end_gesture(&mut self, commands: &mut Vec<Command>) {
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
