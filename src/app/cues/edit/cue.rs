//! The chosen cues, to be changed.

use egui::{Grid, RichText, Ui};

use super::arrange::number_rows;
use super::picked;
use crate::app::bench::form::{Form, Number};
use crate::app::command::Command;
use crate::app::state::State;
use crate::app::theme::strong;
use crate::cue::edit::alike;
use crate::cue::{Cue, CueList, FadeCurve, Next, SnapAt, Time};
use crate::show::{CueEdit, Edit};

/// Draws the form of the chosen cues of the list on show: what is changed of one is changed of all.
pub(super) fn chosen_cues(ui: &mut Ui, state: &State, commands: &mut Vec<Command>) {
    let Some((list, index, old)) = picked(state) else {
        ui.weak("Click a cue to change it; Shift+click and Ctrl+click choose several.");
        return;
    };
    let chosen = state.cues.chosen();
    if chosen.len() > 1 {
        let words = format!("{} cues, changed together", chosen.len());
        ui.label(RichText::new(words).font(strong()));
    }
    let (mut cue, mut form) = (old.clone(), Form::default());
    Grid::new("cue").num_columns(2).spacing([8.0, 3.0]).show(ui, |ui| {
        number_rows(ui, state, old, commands);
        // Several cues of one name would be told apart by their numbers alone.
        if chosen.len() == 1 {
            ui.label("Name");
            form.text(ui, "Cue name", &mut cue.name, 170.0);
            ui.end_row();
            ui.label("Notes");
            form.text(ui, "Cue notes", &mut cue.notes, 170.0);
            ui.end_row();
        }
        time_rows(ui, &mut form, &mut cue);
        course_rows(ui, &mut form, &mut cue);
    });
    form.edit(|| changed(state.cues.list, list, index, &chosen, cue), commands);
}

/// The edit that changes all chosen cues as one of them was.
fn changed(at: usize, list: &CueList, index: usize, chosen: &[usize], cue: Cue) -> Edit {
    if chosen.len() == 1 {
        return Edit::Cues(CueEdit::SetCue { list: at, index, cue: Box::new(cue) });
    }
    let (mut cues, old) = (list.cues.clone(), &list.cues[index]);
    for place in chosen {
        if let Some(of) = cues.get_mut(*place) {
            alike(of, old, &cue);
        }
    }
    let words = format!("change {} cues", chosen.len());
    Edit::Cues(CueEdit::SetCues { list: at, words, cues, loops: list.loops.clone() })
}

fn seconds(name: String) -> Number {
    Number::new(name, " s", 0.05, 0.0..=3600.0)
}

fn time_rows(ui: &mut Ui, form: &mut Form, cue: &mut Cue) {
    ui.label("Fade, delay");
    ui.horizontal(|ui| time(ui, form, "Whole cue", &mut cue.times.all));
    ui.end_row();
    let all = cue.times.all;
    for (name, own) in [
        ("Up", &mut cue.times.up),
        ("Down", &mut cue.times.down),
        ("Aim", &mut cue.times.aim),
        ("Colour", &mut cue.times.colour),
        ("Beam", &mut cue.times.beam),
    ] {
        let mut has = own.is_some();
        let tip = "Ticked: a time of its own";
        if ui.checkbox(&mut has, name).on_hover_text(tip).changed() {
            *own = has.then_some(all);
            form.touch();
        }
        ui.horizontal(|ui| match own {
            Some(own) => time(ui, form, name, own),
            None => drop(ui.weak("as the whole cue")),
        });
        ui.end_row();
    }
}

fn time(ui: &mut Ui, form: &mut Form, name: &str, time: &mut Time) {
    form.number(ui, &seconds(format!("{name}: fade")), &mut time.fade_s);
    form.number(ui, &seconds(format!("{name}: delay")), &mut time.delay_s);
}

fn course_rows(ui: &mut Ui, form: &mut Form, cue: &mut Cue) {
    ui.label("Curve");
    let curves = [
        (FadeCurve::Even, "even"),
        (FadeCurve::Smooth, "smooth"),
        (FadeCurve::SlowStart, "slow start"),
        (FadeCurve::SlowEnd, "slow end"),
    ];
    form.choice(ui, "Curve of fades", &mut cue.curve, &curves);
    ui.end_row();
    ui.label("Jumps");
    let snaps =
        [(SnapAt::Start, "at the start"), (SnapAt::Half, "halfway"), (SnapAt::End, "at the end")];
    form.choice(ui, "When channels that jump do so", &mut cue.snap, &snaps);
    ui.end_row();
    ui.label("Next cue");
    ui.horizontal(|ui| next(ui, form, cue));
    ui.end_row();
    if cue.next == Next::Go {
        let mut stands = cue.stands_s.is_some();
        let tip = "How long it stands in a rehearsal before somebody sends the next one";
        if ui.checkbox(&mut stands, "Stands").on_hover_text(tip).changed() {
            cue.stands_s = stands.then_some(crate::cue::schedule::STANDS_S);
            form.touch();
        }
        match &mut cue.stands_s {
            Some(s) => drop(form.number(ui, &seconds("Stands for".to_owned()), s)),
            None => drop(ui.weak("3 s in a rehearsal")),
        }
        ui.end_row();
    }
    ui.label("Asserts");
    let tip = "It states everything that the cues up to it have set, and not only what it changes";
    if ui.checkbox(&mut cue.asserts, "all that stands").on_hover_text(tip).changed() {
        form.touch();
    }
    ui.end_row();
}

fn next(ui: &mut Ui, form: &mut Form, cue: &mut Cue) {
    let s = match cue.next {
        Next::Go => 0.0,
        Next::Follow(s) | Next::Wait(s) => s,
    };
    let ways = [
        (Next::Go, "on Go"),
        (Next::Follow(s), "follows the fade"),
        (Next::Wait(s), "after a wait"),
    ];
    form.choice(ui, "How the next cue comes", &mut cue.next, &ways);
    if let Next::Follow(s) | Next::Wait(s) = &mut cue.next {
        form.number(ui, &seconds("Until the next cue".to_owned()), s);
    }
}
