//! Repeating movements that begin or end with the chosen cue.

use std::collections::BTreeSet;

use egui::Ui;

use super::{picked, remove_button};
use crate::app::bench::form::{Form, Number, button};
use crate::app::command::{Command, How};
use crate::app::state::State;
use crate::cue::{Movement, MovementKind, Wave, words};
use crate::profile::Effect;
use crate::rig::FixtureId;
use crate::show::{CueEdit, Edit};

/// Draws the movements of the chosen cue.
pub(super) fn movements(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let Some((_, index, old)) = picked(state) else {
        ui.weak("Click a cue to give it movements.");
        return;
    };
    let (mut cue, mut form) = (old.clone(), Form::default());
    let selected = selected(state);
    let mut gone = None;
    for (nth, movement) in cue.movements.iter_mut().enumerate() {
        let name = format!("Movement {}", nth + 1);
        if one(ui, state, &mut form, &name, movement, &selected, commands) {
            gone = Some(nth);
        }
        ui.separator();
    }
    if let Some(gone) = gone {
        cue.movements.remove(gone);
        form.touch();
    }
    if cue.movements.is_empty() {
        ui.weak("No movement begins with this cue.");
    }
    ui.horizontal_wrapped(|ui| {
        let tip = "A movement of the selected fixtures that begins with this cue";
        if button(ui, "Add a movement", tip, !selected.is_empty()) {
            cue.movements.push(first_movement(state, selected.clone()));
            form.touch();
        }
        if selected.is_empty() {
            ui.weak("select fixtures first");
        }
    });
    still(ui, &mut form, &mut cue.still, &selected);
    let list = state.cues.list;
    form.edit(|| Edit::Cues(CueEdit::SetCue { list, index, cue: Box::new(cue) }), commands);
}

/// The selected fixtures by their numbers.
fn selected(state: &State) -> Vec<FixtureId> {
    state.selection.iter().filter_map(|at| Some(state.show().rig.get(*at)?.id)).collect()
}

/// A movement to begin with: a circle where a head turns, else a wave of levels.
fn first_movement(state: &State, fixtures: Vec<FixtureId>) -> Movement {
    let turns = |at: &usize| {
        let mode = state.plan.fixtures().get(*at).and_then(|fixture| fixture.mode.as_ref());
        let mut ranges = mode.into_iter().flat_map(|mode| &mode.channels).flat_map(|c| &c.ranges);
        ranges.any(|range| range.effects().any(|effect| matches!(effect, Effect::Pan { .. })))
    };
    let (kind, size) = match state.selection.iter().any(turns) {
        true => (MovementKind::Circle, 10.0),
        false => (MovementKind::Level, 50.0),
    };
    Movement { fixtures, kind, wave: Wave::Sine, hz: 0.2, size, spread: 1.0 }
}

/// Draws one movement. Says whether it is to go.
fn one(
    ui: &mut Ui,
    state: &State,
    form: &mut Form,
    name: &str,
    movement: &mut Movement,
    selected: &[FixtureId],
    commands: &mut Vec<Command>,
) -> bool {
    let mut gone = false;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        kind(ui, state, form, name, movement);
        let waves = [
            (Wave::Sine, "sine"),
            (Wave::Triangle, "triangle"),
            (Wave::Square, "square"),
            (Wave::Saw, "saw"),
        ];
        form.choice(ui, &format!("{name}: course"), &mut movement.wave, &waves);
        gone = remove_button(ui, &name.to_lowercase());
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let unit = match movement.kind {
            MovementKind::Circle | MovementKind::Pan | MovementKind::Tilt => "\u{b0}",
            MovementKind::Level => " %",
            MovementKind::Channel(_) => "",
        };
        let rate = Number::new(format!("{name}: rate"), " Hz", 0.01, -50.0..=50.0);
        form.number(ui, &rate, &mut movement.hz);
        ui.weak("size");
        let size = Number::new(format!("{name}: size"), unit, 0.2, 0.0..=10_000.0);
        form.number(ui, &size, &mut movement.size);
        ui.weak("spread");
        let spread = Number::new(format!("{name}: spread"), " turn", 0.01, -100.0..=100.0);
        let tip = "How much of a turn lies between the first fixture and the end of the row: 0 has all \
            move alike";
        form.number(ui, &spread, &mut movement.spread).on_hover_text(tip);
    });
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.weak("of").on_hover_text(words::movement(movement));
        ui.label(words::fixtures(&movement.fixtures));
        let tip = "The selected fixtures instead, in their order";
        let others = !selected.is_empty() && movement.fixtures != selected;
        if button(ui, "Take the selection", tip, others) {
            movement.fixtures = selected.to_vec();
            form.touch();
        }
        let tip = "Have it pass over the fixtures the other way round";
        if button(ui, "Turn round", tip, movement.fixtures.len() > 1) {
            movement.fixtures.reverse();
            form.touch();
        }
        if button(ui, "Select", "Select its fixtures", true) {
            let rig = &state.show().rig;
            let places = movement.fixtures.iter();
            let places = places.filter_map(|id| rig.iter().position(|fixture| fixture.id == *id));
            commands.push(Command::Select { fixtures: places.collect(), how: How::Replace });
        }
    });
    gone
}

fn kind(ui: &mut Ui, state: &State, form: &mut Form, name: &str, movement: &mut Movement) {
    let channels = channels(state, &movement.fixtures);
    let mut kinds = vec![
        (MovementKind::Circle, "circle"),
        (MovementKind::Pan, "pan"),
        (MovementKind::Tilt, "tilt"),
        (MovementKind::Level, "level"),
    ];
    kinds.extend(channels.iter().map(|name| (MovementKind::Channel((*name).to_owned()), *name)));
    form.choice(ui, &format!("{name}: what moves"), &mut movement.kind, &kinds);
}

/// The channels of these fixtures by name, each once, with that which the movement names.
fn channels<'a>(state: &'a State, fixtures: &[FixtureId]) -> BTreeSet<&'a str> {
    let rig = state.show().rig.iter().enumerate();
    let moved = rig.filter(|(_, fixture)| fixtures.contains(&fixture.id));
    let modes = moved.filter_map(|(at, _)| state.plan.fixtures().get(at)?.mode.as_ref());
    modes.flat_map(|mode| mode.channels.iter().map(|channel| channel.name.as_str())).collect()
}

/// Fixtures whose movements end with the cue.
fn still(ui: &mut Ui, form: &mut Form, still: &mut Vec<FixtureId>, selected: &[FixtureId]) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let tip = "Movements of the selected fixtures that began before end with this cue";
        let more = selected.iter().any(|id| !still.contains(id));
        if button(ui, "End those of the selection", tip, more) {
            still.extend(
                selected.iter().filter(|id| !still.contains(id)).copied().collect::<Vec<_>>(),
            );
            still.sort_unstable();
            form.touch();
        }
        if !still.is_empty() {
            ui.label(format!("end here: {}", words::fixtures(still)));
            if button(ui, "Let them go on", "No movement ends with this cue", true) {
                still.clear();
                form.touch();
            }
        }
    });
}
