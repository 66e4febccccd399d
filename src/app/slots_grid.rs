//! The grid of the slots panel: where cells lie, who owns them, and how they are drawn.

use egui::accesskit::Action;
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{
    Color32, CornerRadius, FontId, Painter, Pos2, Rect, Response, Stroke, StrokeKind, Ui,
    WidgetInfo, pos2, vec2,
};

use super::ruler_paint::{hatch, says_nothing};
use super::slots::{SlotsInput, SlotsState};
use super::theme::{self, Palette};
use crate::decode::CompiledRange;
use crate::finding::Severity;
use crate::wire::{SLOTS, Slot, SlotState};

/// The narrowest a cell may be, in points: three digits fit with room around them.
const NARROWEST: f32 = 29.0;
/// Height of the band that names the fixtures of a row, in points.
const BAND: f32 = 13.0;
/// Height of a cell, in points.
const CELL: f32 = 25.0;
/// Height of a row with the room under it, in points.
const ROW: f32 = BAND + CELL + 2.0;

/// Where the cells lie.
pub(super) struct Grid {
    rect: Rect,
    pub columns: usize,
}

impl Grid {
    pub(super) fn new(rect: Rect) -> Self {
        Self { rect, columns: columns_for(rect.width()) }
    }

    pub(super) fn height_for(width: f32) -> f32 {
        SLOTS.div_ceil(columns_for(width)) as f32 * ROW
    }

    fn x(&self, column: usize) -> f32 {
        (self.rect.left() + self.rect.width() * column as f32 / self.columns as f32).round()
    }

    /// The cell of a slot, without the band above it.
    pub(super) fn cell(&self, slot: Slot) -> Rect {
        let (row, column) = (slot.index() / self.columns, slot.index() % self.columns);
        let top = self.rect.top() + row as f32 * ROW + BAND;
        Rect::from_min_max(pos2(self.x(column), top), pos2(self.x(column + 1), top + CELL))
    }

    /// The whole row of a slot, with the band above it.
    pub(super) fn row(&self, slot: Slot) -> Rect {
        let top = self.rect.top() + (slot.index() / self.columns) as f32 * ROW;
        Rect::from_x_y_ranges(self.rect.x_range(), top..=top + ROW)
    }

    /// The slot at a point; the band above a cell belongs to it.
    pub(super) fn slot_at(&self, at: Pos2) -> Option<Slot> {
        if !self.rect.contains(at) {
            return None;
        }
        let row = ((at.y - self.rect.top()) / ROW) as usize;
        let share = (at.x - self.rect.left()) / self.rect.width();
        let column = ((share * self.columns as f32) as usize).min(self.columns - 1);
        Slot::from_index(row * self.columns + column)
    }
}

/// A multiple of 8, as many as fit.
fn columns_for(width: f32) -> usize {
    ((width / NARROWEST) as usize / 8 * 8).clamp(8, 64)
}

/// A fixture that owns a slot.
#[derive(Clone, Copy)]
pub(super) struct CellOwner {
    /// The fixture, as a place in the rig.
    pub fixture: usize,
    /// The slot counted from the fixture's first, which is 1.
    offset: u16,
}

/// The owners of every slot of a universe.
pub(super) struct Cells(Vec<Vec<CellOwner>>);

impl Cells {
    pub(super) fn new(input: &SlotsInput<'_>) -> Self {
        let mut cells = vec![Vec::new(); SLOTS];
        for (fixture, planned) in input.plan.fixtures().iter().enumerate() {
            let Some(address) = planned.address else { continue };
            if address.universe != input.universe {
                continue;
            }
            for offset in 1..=planned.least_slots() {
                let Some(slot) = address.slot_at(offset) else { break };
                cells[slot.index()].push(CellOwner { fixture, offset });
            }
        }
        Self(cells)
    }

    pub(super) fn owners(&self, slot: Slot) -> &[CellOwner] {
        self.0.get(slot.index()).map_or(&[], Vec::as_slice)
    }

    /// A slot in one sentence.
    pub(super) fn words(&self, input: &SlotsInput<'_>, slot: Slot) -> String {
        let mut words = format!("Slot {slot} of universe {}", input.universe);
        words.push_str(&match input.frames.state(input.universe, slot) {
            SlotState::Sent(value) => format!(", value {value}"),
            SlotState::Kept(value) => format!(", value {value}, kept from an earlier frame"),
            SlotState::NeverSent => ", not sent".to_owned(),
        });
        let owners = self.owners(slot);
        if owners.is_empty() {
            words.push_str(", no fixture");
        }
        for owner in owners {
            words.push_str(", ");
            words.push_str(&owner_words(input, owner));
        }
        words
    }

    /// A slot in full: a line for itself and one for each owner.
    pub(super) fn lines(&self, input: &SlotsInput<'_>, slot: Slot) -> Vec<String> {
        let state = match input.frames.state(input.universe, slot) {
            SlotState::Sent(value) => format!("value {value}"),
            SlotState::Kept(value) => {
                format!("value {value}, kept: the last frame did not reach so far")
            }
            SlotState::NeverSent => "not sent by any frame, which is not 0".to_owned(),
        };
        let mut lines = vec![format!("Slot {}/{slot}: {state}", input.universe)];
        let owners = self.owners(slot);
        if owners.is_empty() {
            lines.push("No fixture listens to it.".to_owned());
        }
        if owners.len() > 1 {
            lines.push(format!("Overlap: {} fixtures listen to it.", owners.len()));
        }
        for owner in owners {
            let mut line = owner_words(input, owner);
            let asked = input.plan.reading(owner.fixture, input.frames, input.decoded).and_then(
                |reading| {
                    let (channel, _) = reading.mode.channel_at(owner.offset)?;
                    reading.channel(channel)
                },
            );
            if let Some(asked) = asked {
                line.push_str(&format!(": {}", asked.words()));
                let named = |range: &&CompiledRange| !says_nothing(asked.channel, range);
                if let Some(range) = asked.range.filter(|_| asked.physical.is_some()).filter(named)
                {
                    line.push_str(&format!(" ({})", range.label));
                }
            }
            lines.push(line);
        }
        lines
    }
}

/// `101 Spot left Pan coarse`.
fn owner_words(input: &SlotsInput<'_>, owner: &CellOwner) -> String {
    let Some(fixture) = input.rig.get(owner.fixture) else { return String::new() };
    let mut words = fixture.id.to_string();
    if !fixture.label.is_empty() {
        words.push_str(&format!(" {}", fixture.label));
    }
    let mode = input.plan.fixtures().get(owner.fixture).and_then(|f| f.mode.as_ref());
    let channel = mode.and_then(|mode| {
        let (channel, part) = mode.channel_at(owner.offset)?;
        Some((mode.channels.get(channel)?, part))
    });
    match channel {
        Some((channel, part)) => {
            words.push_str(&format!(" {}", channel.name));
            if channel.offsets.len() > 1 {
                let names = ["coarse", "fine", "second fine", "third fine"];
                words.push_str(&format!(" {}", names.get(part).unwrap_or(&"")));
            }
        }
        None if mode.is_none() => {
            words.push_str(": nothing is known of its model, which takes at least this slot");
        }
        None => {
            words.push_str(&format!(" slot {}, which its profile does not describe", owner.offset))
        }
    }
    words
}

/// Says for those who cannot see it where the keyboard is and what holds there.
pub(super) fn describe(
    ui: &Ui,
    input: &SlotsInput<'_>,
    cells: &Cells,
    state: &SlotsState,
    response: &Response,
) {
    let words = match (state.cursor(), state.span()) {
        (Some(slot), Some((first, last))) if first != last => format!(
            "{}, in a span of {} slots, {first} to {last}",
            cells.words(input, slot),
            last.number() - first.number() + 1
        ),
        (Some(slot), _) => cells.words(input, slot),
        _ => format!("Slots of universe {}", input.universe),
    };
    let value = state.cursor().and_then(|slot| input.frames.state(input.universe, slot).value());
    response.widget_info(|| WidgetInfo::labeled(egui::Role::SpinButton, true, &words));
    ui.ctx().accesskit_node_builder(response.id, |node| {
        node.set_min_numeric_value(0.0);
        node.set_max_numeric_value(255.0);
        if let Some(value) = value {
            node.set_numeric_value(f64::from(value));
        }
        node.add_action(Action::SetValue);
        node.add_action(Action::Increment);
        node.add_action(Action::Decrement);
    });
}

/// Draws what can be seen of the grid.
pub(super) fn paint(
    ui: &Ui,
    grid: &Grid,
    input: &SlotsInput<'_>,
    cells: &Cells,
    state: &SlotsState,
    focus: bool,
    palette: &Palette,
) {
    let painter = ui.painter();
    let clip = painter.clip_rect();
    let brush = Brush { painter, input, cells, palette };
    let slots = (0..SLOTS).filter_map(Slot::from_index);
    let seen = |slot: &Slot| grid.cell(*slot).expand2(vec2(0.0, BAND)).intersects(clip);
    for slot in slots.clone().filter(seen) {
        brush.cell(slot, grid.cell(slot));
    }
    // After the cells, so that no cell cuts the feet of the letters above it.
    for slot in slots.clone().filter(seen) {
        brush.band(grid, slot, grid.cell(slot));
    }
    let Some((first, last)) = state.span() else { return };
    let ink = if focus { palette.accent } else { palette.strong_line };
    for slot in slots.filter(|slot| (first..=last).contains(slot)) {
        let cell = grid.cell(slot);
        let at_cursor = state.cursor() == Some(slot);
        if !state.typed().is_empty() {
            painter.rect_filled(cell, CornerRadius::ZERO, palette.field);
            brush.value(cell, state.typed().to_owned(), palette.accent, false);
        }
        let stroke = Stroke::new(if at_cursor { 2.0 } else { 1.0 }, ink);
        painter.rect_stroke(cell, CornerRadius::ZERO, stroke, StrokeKind::Inside);
    }
}

struct Brush<'a> {
    painter: &'a Painter,
    input: &'a SlotsInput<'a>,
    cells: &'a Cells,
    palette: &'a Palette,
}

impl Brush<'_> {
    fn selected(&self, owner: CellOwner) -> bool {
        self.input.selection.contains(&owner.fixture)
    }

    /// The fixture that a cell is drawn as the cell of: a selected one, or else the first.
    fn owner(&self, slot: Slot) -> Option<CellOwner> {
        let owners = self.cells.owners(slot);
        owners.iter().find(|owner| self.selected(**owner)).or(owners.first()).copied()
    }

    /// The fill of a fixture: one of two greys, which alternate so that neighbours differ.
    fn fill(&self, owner: Option<CellOwner>) -> Color32 {
        let p = self.palette;
        match owner {
            None => p.panel,
            Some(owner) if self.selected(owner) => p.accent_fill,
            Some(owner) if owner.fixture % 2 == 0 => p.field,
            Some(_) => p.field_alt,
        }
    }

    fn cell(&self, slot: Slot, cell: Rect) {
        let p = self.palette;
        let owners = self.cells.owners(slot);
        let owner = self.owner(slot);
        let sharp = CornerRadius::ZERO;
        self.painter.rect_filled(cell, sharp, self.fill(owner));
        self.painter.rect_stroke(cell, sharp, Stroke::new(0.5, p.line), StrokeKind::Inside);
        if owners.len() > 1 {
            hatch(self.painter, cell, p.warning.gamma_multiply(0.5));
            let at = pos2(cell.right() - 6.0, cell.top() + 6.0);
            theme::severity_mark(self.painter, Severity::Warning, at, 8.0, p);
        }
        let dim = if owner.is_some() { p.weak_text } else { p.strong_line };
        let chosen = owner.is_some_and(|owner| self.selected(owner));
        let number = self.painter.layout_no_wrap(
            slot.to_string(),
            FontId::monospace(8.5),
            if chosen { p.text } else { dim },
        );
        self.painter.galley(cell.min + vec2(3.0, 0.5), number, dim);
        let plain = if owner.is_some() { p.text } else { p.weak_text };
        let quiet = if chosen { p.text } else { dim };
        match self.input.frames.state(self.input.universe, slot) {
            SlotState::Sent(0) => self.value(cell, "0".to_owned(), quiet, false),
            SlotState::Sent(value) => self.value(cell, value.to_string(), plain, false),
            SlotState::Kept(value) => {
                let ink = if owner.is_some() { p.text } else { dim };
                self.value(cell, value.to_string(), ink, true);
                let dot = pos2(cell.left() + 5.0, cell.bottom() - 7.0);
                self.painter.circle_stroke(dot, 1.5, Stroke::new(1.0, ink));
            }
            SlotState::NeverSent => self.value(cell, "\u{2013}".to_owned(), quiet, false),
        }
    }

    fn value(&self, cell: Rect, text: String, ink: Color32, italics: bool) {
        let format = TextFormat { italics, ..TextFormat::simple(theme::number(), ink) };
        let galley = self.painter.layout_job(LayoutJob::single_section(text, format));
        let at = cell.right_bottom() - galley.size() - vec2(4.0, 0.0);
        self.painter.galley(at, galley, ink);
    }

    /// The band over the cells of one fixture in one row, begun at its first cell there.
    fn band(&self, grid: &Grid, slot: Slot, cell: Rect) {
        let Some(owner) = self.owner(slot) else { return };
        let column = slot.index() % grid.columns;
        let same = |slot: Option<Slot>| {
            let other = slot.and_then(|slot| self.owner(slot));
            other.is_some_and(|other| other.fixture == owner.fixture)
        };
        let before = slot.index().checked_sub(1).and_then(Slot::from_index);
        if column > 0 && same(before) {
            return;
        }
        let row_end = slot.index() - column + grid.columns - 1;
        let last = (slot.index()..=row_end)
            .map_while(|i| Slot::from_index(i).filter(|slot| same(Some(*slot))))
            .last()
            .unwrap_or(slot);
        let p = self.palette;
        // A fixture that goes on from or into another row runs to the edge without a gap.
        let left = cell.left() + if same(before) { 0.0 } else { 1.0 };
        let right = grid.cell(last).right() - 1.0;
        let top = cell.top() - BAND;
        let band = Rect::from_min_max(pos2(left, top + 1.0), pos2(right, cell.top()));
        let chosen = self.selected(owner);
        let fill = if chosen { p.accent_fill } else { p.hover };
        self.painter.rect_filled(band, CornerRadius::ZERO, fill);
        if chosen {
            let stroke = Stroke::new(2.0, p.accent);
            self.painter.hline(band.x_range(), band.top() + 1.0, stroke);
        }
        let Some(fixture) = self.input.rig.get(owner.fixture) else { return };
        let strong = TextFormat::simple(FontId::new(9.5, theme::strong_family()), p.text);
        let mut job = LayoutJob::single_section(fixture.id.to_string(), strong);
        let format = TextFormat::simple(FontId::proportional(9.5), p.text);
        // A number is shown whole or not at all; a label only where some of it can be read.
        if band.width() > 56.0 {
            job.append(&fixture.label, 4.0, format);
            job.wrap = TextWrapping::truncate_at_width(band.width() - 6.0);
        }
        let galley = self.painter.layout_job(job);
        let y = band.center().y - galley.size().y / 2.0 + if chosen { 1.0 } else { 0.0 };
        self.painter.galley(pos2(band.left() + 3.0, y), galley, p.text);
    }
}
