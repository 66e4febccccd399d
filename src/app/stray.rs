//! Stray slots in the window: what one head alone of its model holds, with a way to each and a mend.

use egui::{Button, Context, RichText, ScrollArea, Ui, vec2};

use super::change_window::OVER_LISTS;
use super::command::{Command, How};
use super::reading::note;
use super::state::State;
use super::theme::strong;
use super::transport::named;
use crate::check::stray::{NONE, Stray, strays};
use crate::finding::Severity;
use crate::wire::{Slot, Universe};

/// The stray slots, and what they were found in.
#[derive(Default)]
pub struct StrayView {
    /// The window is shown.
    pub open: bool,
    /// Notes are shown too: heads that are alone in a range.
    notes: bool,
    made_for: Option<(u64, u64, u64)>,
    /// What was found.
    pub found: Vec<Stray>,
}

impl State {
    /// Shows the stray slots, or hides them.
    pub(super) fn toggle_stray(&mut self) {
        self.windows.stray.open = !self.windows.stray.open;
    }

    /// Finds them anew where the slots in force or the rig changed.
    fn ready_stray(&mut self) {
        let now = (self.scene_number, self.planned, self.edits);
        if self.windows.stray.made_for == Some(now) {
            return;
        }
        let (frames, decoded) = self.in_force();
        let found = strays(&self.show().rig, &self.plan, frames, decoded, &[]);
        (self.windows.stray.found, self.windows.stray.made_for) = (found, Some(now));
    }
}

/// Shows the stray slots in a window of their own while it is open.
pub fn stray_window(ctx: &Context, state: &mut State, commands: &mut Vec<Command>) {
    if !state.windows.stray.open {
        return;
    }
    state.ready_stray();
    let room = ctx.content_rect().size();
    let (mut open, mut slot) = (true, None);
    let mut view = std::mem::take(&mut state.windows.stray);
    egui::Window::new("Stray slots")
        .open(&mut open)
        .collapsible(false)
        .default_pos(OVER_LISTS)
        .default_size(vec2(480.0, 300.0).min(room - vec2(60.0, 120.0)))
        .resizable(true)
        .show(ctx, |ui| {
            ui.weak("Heads of one mode beside each other: what one of them alone holds.");
            let is_note = |stray: &Stray| stray.severity() == Severity::Note;
            let notes = view.found.iter().filter(|stray| is_note(stray)).count();
            if notes > 0 {
                let words = format!("Show heads that are alone in a range too ({notes})");
                ui.checkbox(&mut view.notes, words);
            }
            let shown: Vec<&Stray> =
                view.found.iter().filter(|stray| view.notes || !is_note(stray)).collect();
            if shown.is_empty() {
                ui.add(egui::Label::new(NONE).wrap());
            }
            ScrollArea::vertical().auto_shrink([false, true]).show(ui, |ui| {
                for stray in shown {
                    slot = row(ui, state, stray, commands).or(slot);
                }
            });
        });
    view.open = open;
    state.windows.stray = view;
    if let Some((universe, slot)) = slot {
        (state.preferences.slots, state.universe) = (true, universe);
        state.slots.take_keyboard(Some(slot));
    }
}

/// One of them. Gives the slot that is to be gone to.
fn row(
    ui: &mut Ui,
    state: &State,
    stray: &Stray,
    commands: &mut Vec<Command>,
) -> Option<(Universe, Slot)> {
    let fixture = state.show().rig.get(stray.fixture)?;
    let (id, offset) = (fixture.id, stray.offset);
    let mut slot = None;
    ui.horizontal(|ui| {
        let words = format!("{id}, slot {offset}");
        let go = ui.add(Button::new(RichText::new(&words).font(strong())));
        let tip = "Select the head, and go to the slot";
        if named(go, &format!("Go to {words}")).on_hover_text(tip).clicked() {
            commands.push(Command::Select { fixtures: vec![stray.fixture], how: How::Replace });
            slot = fixture
                .address
                .and_then(|address| Some((address.universe, address.slot_at(offset)?)));
        }
        let mend = ui.add_enabled(!stray.puts.is_empty(), Button::new("As its twins"));
        let tip = "Set the slots as most of its twins have them; it can be undone";
        if named(mend, &format!("{words} as its twins")).on_hover_text(tip).clicked()
            && let Some((universe, _, _)) = stray.puts.first()
        {
            let values = stray.puts.iter().map(|(_, slot, value)| (*slot, *value)).collect();
            commands.push(Command::SetSlots { universe: *universe, values, gesture: false });
        }
    });
    note(ui, stray.severity(), &stray.what);
    slot
}
