//! What keys do to lists that play: flash while a key is held, rate, grand level, and a cue by its number.

use egui::{Context, Key};

use super::act::CueAsk;
use crate::app::bench::form::typed;
use crate::app::command::Command;
use crate::app::files::Purpose;
use crate::app::keys::{Action, Holder};
use crate::app::state::State;
use crate::cue::{CueNumber, Player};
use crate::finding::{Severity, number};

/// Rates that the keys go through.
const RATES: [f64; 11] = [0.1, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 5.0, 10.0];

/// How much a key changes the grand level.
const GRAND_STEP: f64 = 0.05;

impl State {
    /// Does what a key asked of lists that play.
    pub(super) fn act_on_levels(&mut self, action: Action) {
        match action {
            Action::CueFlash => {
                self.cues.flash_key = true;
                self.act_on_cues(CueAsk::Flash(true));
            }
            Action::CueFaster | Action::CueSlower => self.step_rate(action == Action::CueFaster),
            Action::GrandUp | Action::GrandDown => {
                let lead = self.cues.lead();
                let now = lead.map_or(1.0, |lead| lead.playbacks.grand());
                let step = if action == Action::GrandUp { GRAND_STEP } else { -GRAND_STEP };
                // Whole steps: what was dragged to anything else comes to the next of them.
                let share = ((now + step) / GRAND_STEP).round() * GRAND_STEP;
                let share = share.clamp(0.0, 1.0);
                self.act_on_cues(CueAsk::Grand(share));
                if self.cues.lead().is_some() {
                    self.say(Severity::Note, format!("grand level {} %", number(share * 100.0)));
                }
            }
            _ => {}
        }
    }

    fn step_rate(&mut self, faster: bool) {
        let list = self.cues.list;
        let now = self.cues.lead().and_then(|lead| lead.player(list)).map_or(1.0, Player::rate);
        let rate = match faster {
            true => RATES.iter().find(|rate| **rate > now + 1e-9),
            false => RATES.iter().rev().find(|rate| **rate < now - 1e-9),
        };
        let Some(rate) = rate.copied() else { return };
        self.act_on_cues(CueAsk::Rate(rate));
        if self.cues.lead().is_some() {
            self.say(Severity::Note, format!("the list runs at {}x", number(rate)));
        }
    }

    /// Ends a flash once its key is up, or once somebody types.
    pub(in crate::app) fn tend_flash(&mut self, ctx: &Context) {
        if !self.cues.flash_key {
            return;
        }
        let down = ctx.input(|input| input.key_down(Key::V) && input.focused);
        if !down || self.holder != Holder::Nobody {
            self.cues.flash_key = false;
            self.act_on_cues(CueAsk::Flash(false));
        }
    }

    /// Asks where the cue sheet of the list on show is to be written.
    pub(in crate::app) fn choose_sheet(&mut self, ctx: &Context) {
        if self.show().cues.lists.get(self.cues.list).is_none() {
            return self.say(Severity::Note, "there is no cue list to write");
        }
        self.jobs.choose(ctx, Purpose::Sheet, self.document.path());
    }
}

/// The accessible name of the field for the number of a cue.
const FIELD: &str = "Number of the cue to jump to";

/// Shows the field for the number of a cue while that is asked for.
pub fn jump_field(ctx: &Context, state: &mut State, commands: &mut Vec<Command>) {
    if !state.cues.jump {
        return;
    }
    let list = state.document.show().cues.lists.get(state.cues.list);
    let Some(list) = list else {
        state.cues.jump = false;
        return;
    };
    let middle = egui::Align2::CENTER_TOP;
    let (mut entered, mut has) = (None, false);
    egui::Window::new("Jump to a cue")
        .title_bar(false)
        .resizable(false)
        .anchor(middle, [0.0, 90.0])
        .show(ctx, |ui| {
            ui.horizontal(|ui| {
                ui.label("Jump to cue");
                let id = ui.make_persistent_id(("typed", FIELD)).with("field");
                // A window that is sized in its first pass takes no keyboard yet.
                if !state.cues.jump_shown {
                    ui.memory_mut(|memory| memory.request_focus(id));
                }
                entered = typed(ui, FIELD, "", 70.0);
                has = ui.memory(|memory| memory.has_focus(id)) && ctx.text_edit_focused();
            });
            ui.weak("Enter sends it on its way; Escape leaves all as it is.");
        });
    let left = state.cues.jump_shown && !has;
    state.cues.jump_shown |= has;
    match entered.map(|text| text.parse::<CueNumber>()) {
        Some(Ok(wanted)) => match list.cue(wanted) {
            Some(place) => commands.push(Command::Cues(CueAsk::Jump(place))),
            None => {
                let words = format!("{} has no cue {wanted}", list.name);
                commands.push(Command::Message(words));
            }
        },
        Some(Err(why)) => commands.push(Command::Message(why)),
        None if left => {}
        None => return,
    }
    (state.cues.jump, state.cues.jump_shown) = (false, false);
}
