//! Cues in other places of their list: inserted, copied, renumbered, split, taken out.

use egui::Ui;

use super::{ask, picked, set_cues};
use crate::app::bench::form::{button, typed};
use crate::app::command::Command;
use crate::app::cues::CueAsk;
use crate::app::state::State;
use crate::app::transport::named;
use crate::cue::edit::{copied, moved, number_after, room_after, split_at, without};
use crate::cue::{Cue, CueNumber, Part, Tracks};
use crate::rig::FixtureId;
use crate::show::{CueEdit, Edit};

/// What leaves a cue that is split.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum SplitBy {
    /// Everything of the selected fixtures.
    Selected,
    /// Channels of these parts.
    Parts(&'static [Part]),
}

/// Draws the buttons for what can be done to the chosen cues as a whole.
pub(in crate::app::cues) fn arrange(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let any = picked(state).is_some();
    if button(ui, "Insert", "An empty cue behind the chosen one, before the next", any) {
        ask(inserted(state), commands);
    }
    if button(ui, "Copy", "Copies of the chosen cues right behind them", any) {
        ask(copied_behind(state), commands);
    }
    let split_button = ui.add_enabled_ui(any, |ui| {
        ui.menu_button("Split", |ui| {
            if let Some(by) = split_menu(ui, state) {
                ask(split(state, by), commands);
            }
        })
    });
    let tip = "Part of what the cue gives leaves it for a new cue right behind";
    split_button.inner.response.on_hover_text(tip);
}

/// Draws the rows that give the chosen cues, or copies of them, other numbers.
pub(super) fn number_rows(ui: &mut Ui, state: &State, cue: &Cue, commands: &mut Vec<Command>) {
    ui.label("Number");
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if let Some(text) = typed(ui, "Cue number", &cue.number.to_string(), 44.0) {
            ask(renumbered(state, &text, false), commands);
        }
        ui.weak("copy to");
        if let Some(text) = typed(ui, "Copy the chosen cues to", "", 44.0) {
            ask(renumbered(state, &text, true), commands);
        }
        if state.cues.chosen().len() > 1 {
            ui.weak("by");
            let mut step = f64::from(state.cues.step.0) / 1000.0;
            let drag = egui::DragValue::new(&mut step).speed(0.1).range(0.001..=100.0);
            let tip = "From the number of one cue to that of the next";
            let drag = ui.add(drag.max_decimals(3)).on_hover_text(tip);
            if named(drag, "Step of cue numbers").changed() {
                commands.push(Command::Cues(CueAsk::Step((step * 1000.0).round() as u32)));
            }
        }
    });
    ui.end_row();
}

fn split_menu(ui: &mut Ui, state: &State) -> Option<SplitBy> {
    let mut by = None;
    let rows = [
        ("The levels", SplitBy::Parts(&[Part::Level, Part::Shutter])),
        ("The aim", SplitBy::Parts(&[Part::Aim])),
        ("The colour", SplitBy::Parts(&[Part::Colour])),
        ("The beam", SplitBy::Parts(&[Part::Beam])),
    ];
    let selected = !state.selection.is_empty();
    if button(ui, "The selected fixtures", "All that the cue gives them", selected) {
        by = Some(SplitBy::Selected);
    }
    for (words, parts) in rows {
        if ui.button(words).on_hover_text("That part of what the cue gives").clicked() {
            by = Some(parts);
        }
    }
    if by.is_some() {
        ui.close();
    }
    by
}

const NONE: &str = "click a cue first";

/// An empty cue behind the chosen one.
fn inserted(state: &State) -> Result<Vec<Command>, String> {
    let (list, place, before) = picked(state).ok_or(NONE)?;
    let number = number_after(list, Some(place))
        .ok_or("no number is left between these two cues: give the second a higher one")?;
    let cue = Cue { times: before.times, ..Cue::new(number) };
    let edit = Edit::Cues(CueEdit::AddCue { list: state.cues.list, cue: Box::new(cue) });
    Ok(vec![Command::Edit { edit, gesture: false }, pick(place + 1)])
}

fn pick(place: usize) -> Command {
    Command::Cues(CueAsk::Pick(place))
}

/// Chooses so many cues from a place on.
fn pick_span(from: usize, count: usize) -> [Command; 2] {
    [pick(from), Command::Cues(CueAsk::PickTo(from + count - 1))]
}

/// The chosen cues as the first and the last of a span.
fn span(state: &State) -> Result<(usize, usize), String> {
    let chosen = state.cues.chosen();
    match (chosen.first(), chosen.last()) {
        (Some(from), Some(to)) if to - from + 1 == chosen.len() => Ok((*from, *to)),
        (Some(_), _) => {
            Err("choose cues that stand together: Shift+click chooses a span".to_owned())
        }
        _ => Err(NONE.to_owned()),
    }
}

/// Copies of the chosen cues right behind them.
fn copied_behind(state: &State) -> Result<Vec<Command>, String> {
    let (list, ..) = picked(state).ok_or(NONE)?;
    let (from, to) = span(state)?;
    let count = to - from + 1;
    let new =
        room_after(list, to, count).and_then(|(first, step)| copied(list, from, to, first, step));
    let new = new.ok_or("there are not that many numbers before the next cue")?;
    let mut made = vec![set_cues(state, words("copy", list, from, to), new)];
    made.extend(pick_span(to + 1, count));
    Ok(made)
}

fn words(what: &str, list: &crate::cue::CueList, from: usize, to: usize) -> String {
    let number = |place: usize| list.cues[place].number;
    match from == to {
        true => format!("{what} cue {}", number(from)),
        false => format!("{what} cues {} to {}", number(from), number(to)),
    }
}

/// The chosen cues, or copies of them, under numbers from a typed one on.
fn renumbered(state: &State, text: &str, copies: bool) -> Result<Vec<Command>, String> {
    let (list, ..) = picked(state).ok_or(NONE)?;
    let (from, to) = span(state)?;
    let first: CueNumber = text.parse()?;
    let (new, what) = match copies {
        true => (copied(list, from, to, first, state.cues.step.0), "copy"),
        false => (moved(list, from, to, first, state.cues.step.0), "renumber"),
    };
    let new = new.ok_or("another cue has one of these numbers: choose others, or a finer step")?;
    let at = new.cue(first).unwrap_or(from);
    let mut made = vec![set_cues(state, words(what, list, from, to), new)];
    made.extend(pick_span(at, to - from + 1));
    Ok(made)
}

/// The chosen cue in two.
fn split(state: &State, by: SplitBy) -> Result<Vec<Command>, String> {
    let (list, place, cue) = picked(state).ok_or(NONE)?;
    let rig = &state.show().rig;
    let tracks = Tracks::new(&state.plan);
    let goes = |id: FixtureId, channel: &str| {
        let at = rig.iter().position(|fixture| fixture.id == id);
        match by {
            SplitBy::Selected => at.is_some_and(|at| state.selection.contains(&at)),
            SplitBy::Parts(parts) => at
                .and_then(|at| part_of(state, &tracks, at, channel))
                .is_some_and(|part| parts.contains(&part)),
        }
    };
    let new = split_at(list, place, goes)
        .ok_or("no number is left before the next cue: give that a higher one")?;
    let (first, second) = (&new.cues[place], &new.cues[place + 1]);
    if second.changes.is_empty() || first.changes.is_empty() {
        let words = if second.changes.is_empty() { "nothing" } else { "all" };
        return Err(format!("{words} of what {} gives would leave it", cue.words()));
    }
    Ok(vec![set_cues(state, words("split", list, place, place), new), pick(place + 1)])
}

/// What a channel of a fixture, at a place of the rig, drives.
fn part_of(state: &State, tracks: &Tracks, at: usize, channel: &str) -> Option<Part> {
    let mode = state.plan.fixtures().get(at)?.mode.as_ref()?;
    let nth = mode.channels.iter().position(|of| of.name == channel)?;
    Some(tracks.get(tracks.find(at, nth)?)?.part)
}

impl State {
    /// Takes the chosen cues out.
    pub(in crate::app::cues) fn delete_cues(&mut self) {
        let chosen = self.cues.chosen();
        let list = self.cues.list;
        let edit = match (chosen.as_slice(), self.show().cues.lists.get(list)) {
            ([index], Some(_)) => CueEdit::RemoveCue { list, index: *index },
            ([_, ..], Some(of)) => {
                let new = without(of, &chosen);
                let words = format!("remove {} cues", chosen.len());
                CueEdit::SetCues { list, words, cues: new.cues, loops: new.loops }
            }
            _ => return self.say(crate::finding::Severity::Note, NONE),
        };
        self.cues.many.clear();
        self.edit_in(Edit::Cues(edit), false);
    }
}
