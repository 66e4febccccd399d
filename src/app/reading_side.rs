//! The reading at the right side of the window, with the setup below it while that is open.

use egui::{CentralPanel, Frame, Margin, Panel, Ui};

use super::command::Command;
use super::forecast::Forecast;
use super::now::Now;
use super::reading::{ReadingInput, reading_panel};
use super::setup::setup_panel;
use super::state::State;
use super::time::in_force;

/// Shows the reading of what is selected, and the setup below it while that is open.
pub(super) fn reading(ui: &mut Ui, state: &mut State, commands: &mut Vec<Command>) {
    if state.setup.open {
        let frame = Frame::new().inner_margin(Margin { top: 8, ..Margin::ZERO });
        Panel::bottom("setup").frame(frame).resizable(false).show(ui, |ui| {
            setup_panel(ui, state, commands);
        });
    }
    let (frames, decoded) = in_force(
        state.sweep.as_ref(),
        state.cues.lead(),
        state.timed.as_ref(),
        state.clock.past.as_ref(),
        &state.document,
        &state.decoded,
    );
    let input = ReadingInput {
        plan: &state.plan,
        frames,
        decoded,
        now: Now::of(&state.clock, state.timed.as_ref()),
        forecast: Forecast::sent(state.forecast.as_ref(), &state.clock),
        rig: &state.document.show().rig,
        selection: &state.selection,
        room: &state.document.show().room,
    };
    CentralPanel::no_frame().show(ui, |ui| {
        commands.extend(reading_panel(ui, input, &mut state.reading));
    });
}

impl State {
    /// What the reading panel shows.
    pub(super) fn reading_input(&self) -> ReadingInput<'_> {
        let (frames, decoded) = self.in_force();
        ReadingInput {
            rig: &self.show().rig,
            plan: &self.plan,
            frames,
            decoded,
            selection: &self.selection,
            now: Now::of(&self.clock, self.timed.as_ref()),
            forecast: None,
            room: &self.show().room,
        }
    }
}
