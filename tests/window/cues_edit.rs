//! What the lower half of the cue panel does: movements, references, the list, cues in other places.

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::command::How;
use slotwright::app::cues::{CueAsk, EditorPart};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::cue::{CueList, MovementKind, Value};
use slotwright::finding::Severity;

use crate::desk::{demo, slow_desk_of, state};

type Desk = Harness<'static, App>;

/// A high window on the demo show with its cues, of which one is chosen, and a part of the editor.
fn desk(cue: usize, part: EditorPart) -> Desk {
    let mut desk = slow_desk_of([1280.0, 1200.0], demo());
    run(&mut desk, Command::Do(Action::ToggleCues));
    run(&mut desk, Command::Cues(CueAsk::Pick(cue)));
    run(&mut desk, Command::Cues(CueAsk::Part(part)));
    desk
}

fn run(desk: &mut Desk, command: Command) {
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, command);
    desk.run_steps(3);
}

fn click(desk: &mut Desk, name: &str) {
    desk.get_by_label(name).scroll_to_me();
    desk.run_steps(3);
    desk.get_by_label(name).click();
    desk.run_steps(3);
}

fn type_into(desk: &mut Desk, name: &str, text: &str) {
    desk.get_by_label(name).focus();
    desk.run_steps(2);
    desk.key_press_modifiers(Modifiers::COMMAND, Key::A);
    desk.get_by_label(name).type_text(text);
    desk.run_steps(2);
    desk.key_press(Key::Enter);
    desk.run_steps(4);
}

fn choose(desk: &mut Desk, name: &str, option: &str) {
    click(desk, name);
    click(desk, option);
}

fn select(desk: &mut Desk, ids: &[u32]) {
    let rig = &state(desk).show().rig;
    let place = |id: &u32| rig.iter().position(|fixture| fixture.id == *id).expect("it is there");
    let fixtures = ids.iter().map(place).collect();
    run(desk, Command::Select { fixtures, how: How::Replace });
}

fn list(desk: &Desk) -> &CueList {
    &state(desk).show().cues.lists[0]
}

fn numbers(desk: &Desk) -> Vec<String> {
    list(desk).cues.iter().map(|cue| cue.number.to_string()).collect()
}

fn undo_all(desk: &mut Desk) {
    while state(desk).document.can_undo().is_some() {
        run(desk, Command::Do(Action::Undo));
    }
    assert_eq!(state(desk).show().cues, demo().cues, "all of it is undone");
}

#[test]
fn movements_are_added_changed_and_removed() {
    let mut desk = desk(2, EditorPart::Movements);
    select(&mut desk, &[101, 102]);
    click(&mut desk, "Add a movement");
    let movement = list(&desk).cues[2].movements[0].clone();
    assert_eq!((movement.fixtures, movement.kind), (vec![101, 102], MovementKind::Circle));
    choose(&mut desk, "Movement 1: what moves", "tilt");
    assert_eq!(list(&desk).cues[2].movements[0].kind, MovementKind::Tilt);
    type_into(&mut desk, "Movement 1: rate", "0.5");
    type_into(&mut desk, "Movement 1: size", "25");
    type_into(&mut desk, "Movement 1: spread", "0.25");
    let movement = &list(&desk).cues[2].movements[0];
    assert_eq!((movement.hz, movement.size, movement.spread), (0.5, 25.0, 0.25));
    click(&mut desk, "Turn round");
    assert_eq!(list(&desk).cues[2].movements[0].fixtures, [102, 101]);
    select(&mut desk, &[103, 104]);
    click(&mut desk, "Take the selection");
    assert_eq!(list(&desk).cues[2].movements[0].fixtures, [103, 104]);
    click(&mut desk, "End those of the selection");
    assert_eq!(list(&desk).cues[2].still, [103, 104]);
    click(&mut desk, "Let them go on");
    assert!(list(&desk).cues[2].still.is_empty());
    click(&mut desk, "Remove movement 1");
    assert!(list(&desk).cues[2].movements.is_empty());
    undo_all(&mut desk);
}

#[test]
fn the_list_is_named_gets_dark_moves_and_loops() {
    let mut desk = desk(1, EditorPart::List);
    type_into(&mut desk, "List name", "Night");
    assert_eq!(list(&desk).name, "Night");
    assert!(state(&desk).show().cues.accepted.iter().all(|of| of.at.starts_with("list \"Night\"")));
    type_into(&mut desk, "Time of dark moves", "2.5");
    assert_eq!(list(&desk).dark_moves.map(|dark| dark.fade_s), Some(2.5));
    click(&mut desk, "Dark moves");
    assert_eq!(list(&desk).dark_moves, None);
    run(&mut desk, Command::Cues(CueAsk::PickTo(3)));
    click(&mut desk, "Loop the chosen cues");
    let of = list(&desk).loops[1];
    assert_eq!((of.from.to_string().as_str(), of.to.to_string().as_str()), ("2", "4"));
    type_into(&mut desk, "Loop 2: to", "5");
    assert_eq!(list(&desk).loops[1].to.to_string(), "5");
    // A loop to a cue that is not there is refused, and says so.
    type_into(&mut desk, "Loop 2: to", "5.5");
    assert_eq!(list(&desk).loops[1].to.to_string(), "5");
    let said = state(&desk).status.as_ref().expect("it says why");
    assert_eq!(said.severity, Severity::Error);
    click(&mut desk, "Delete the list");
    assert_eq!(state(&desk).show().cues.lists.len(), 1);
    undo_all(&mut desk);
}

#[test]
fn references_are_recorded_used_updated_renamed_and_deleted() {
    let mut desk = desk(5, EditorPart::References);
    select(&mut desk, &[301, 302]);
    choose(&mut desk, "What a new reference is for", "colour");
    run(&mut desk, Command::Cues(CueAsk::Kind(slotwright::cue::ReferenceKind::Position)));
    let count = state(&desk).show().cues.references.len();
    type_into(&mut desk, "Name of a new reference", "wall");
    let references = &state(&desk).show().cues.references;
    assert_eq!((references.len(), references[count].name.as_str()), (count + 1, "wall"));
    assert_eq!(references[count].own.keys().copied().collect::<Vec<_>>(), [301, 302]);
    let pan = references[count].value(301, "Pan").cloned().expect("where it points");
    click(&mut desk, "Use wall");
    let like = Value::Like("wall".to_owned());
    assert_eq!(list(&desk).cues[5].changes[&301]["Pan"], like);
    // Every cue that uses it follows when it is updated.
    let before = state(&desk).show().cues.references[count].clone();
    run(&mut desk, Command::Cues(CueAsk::Jump(8)));
    desk.run_steps(100);
    select(&mut desk, &[301]);
    click(&mut desk, "Update wall");
    let after = &state(&desk).show().cues.references[count];
    assert_ne!(after.value(301, "Pan"), Some(&pan), "the circle has it elsewhere");
    assert_eq!(after.own[&302], before.own[&302], "only the selected one");
    run(&mut desk, Command::Do(Action::EndCues));
    type_into(&mut desk, "Name of reference wall", "back wall");
    assert_eq!(list(&desk).cues[5].changes[&301]["Pan"], Value::Like("back wall".to_owned()));
    let given = state(&desk).show().cues.references[count].value(301, "Pan").cloned();
    click(&mut desk, "Delete back wall");
    assert_eq!(state(&desk).show().cues.references.len(), count);
    assert_eq!(list(&desk).cues[5].changes[&301].get("Pan"), given.as_ref(), "it keeps its value");
    let said = state(&desk).status.as_ref().expect("it says what became of the cues");
    assert!(said.words.contains("keep the values"), "{}", said.words);
    undo_all(&mut desk);
}

#[test]
fn cues_are_inserted_copied_renumbered_and_split() {
    let mut desk = desk(0, EditorPart::Cue);
    click(&mut desk, "Insert");
    assert_eq!(numbers(&desk)[..3], ["1", "1.1", "2"]);
    assert_eq!(state(&desk).cues.picked, Some(1));
    run(&mut desk, Command::Do(Action::DeleteCue));
    run(&mut desk, Command::Cues(CueAsk::Pick(0)));
    run(&mut desk, Command::Cues(CueAsk::PickTo(1)));
    click(&mut desk, "Copy");
    assert_eq!(numbers(&desk)[..5], ["1", "2", "2.1", "2.2", "3"]);
    assert_eq!(state(&desk).cues.chosen(), [2, 3], "the copies are chosen");
    type_into(&mut desk, "Step of cue numbers", "0.5");
    type_into(&mut desk, "Cue number", "40");
    assert_eq!(numbers(&desk)[12..], ["40", "40.5"]);
    assert_eq!(state(&desk).cues.chosen(), [12, 13]);
    type_into(&mut desk, "Copy the chosen cues to", "50");
    assert_eq!(numbers(&desk)[14..], ["50", "50.5"]);
    // A number that another cue has is refused.
    type_into(&mut desk, "Cue number", "40");
    assert_eq!(numbers(&desk)[12..], ["40", "40.5", "50", "50.5"]);
    assert!(state(&desk).status.as_ref().is_some_and(|said| said.words.contains("another cue")));
    run(&mut desk, Command::Cues(CueAsk::Pick(2)));
    select(&mut desk, &[101]);
    click(&mut desk, "Split");
    click(&mut desk, "The selected fixtures");
    assert_eq!(numbers(&desk)[2..5], ["3", "3.1", "4"]);
    assert!(!list(&desk).cues[2].changes.contains_key(&101));
    assert_eq!(list(&desk).cues[3].changes.keys().copied().collect::<Vec<_>>(), [101]);
    click(&mut desk, "Split");
    click(&mut desk, "The aim");
    let aim: Vec<&String> = list(&desk).cues[4].changes[&101].keys().collect();
    assert_eq!(aim, ["Pan", "Tilt"]);
    undo_all(&mut desk);
}

#[test]
fn rows_are_chosen_together_and_changed_together() {
    let mut desk = desk(1, EditorPart::Cue);
    let row = |desk: &Desk, place: usize| list(desk).cues[place].words();
    desk.get_by_label(&row(&desk, 1)).click();
    desk.run_steps(2);
    desk.get_by_label(&row(&desk, 3)).click_modifiers(Modifiers::SHIFT);
    desk.run_steps(2);
    assert_eq!(state(&desk).cues.chosen(), [1, 2, 3]);
    desk.get_by_label(&row(&desk, 2)).click_modifiers(Modifiers::COMMAND);
    desk.run_steps(2);
    assert_eq!(state(&desk).cues.chosen(), [1, 3]);
    type_into(&mut desk, "Whole cue: fade", "9");
    let fades: Vec<f64> = list(&desk).cues.iter().map(|cue| cue.times.all.fade_s).collect();
    assert_eq!(fades[..5], [3.0, 9.0, 2.0, 9.0, 2.0]);
    assert_eq!(state(&desk).document.can_undo(), Some("change 2 cues"));
    // Spans only: these do not stand together.
    click(&mut desk, "Copy");
    assert_eq!(numbers(&desk).len(), 12);
    run(&mut desk, Command::Do(Action::DeleteCue));
    assert_eq!(numbers(&desk)[..3], ["1", "3", "5"]);
    undo_all(&mut desk);
}

#[test]
fn every_part_fits_the_panel() {
    for part in [EditorPart::Cue, EditorPart::Movements, EditorPart::References, EditorPart::List] {
        let mut desk = desk(5, part);
        select(&mut desk, &[301, 302, 303, 304]);
        let width = |desk: &Desk| desk.get_by_label("Grand level").rect().right();
        let before = width(&desk);
        desk.run_steps(20);
        assert!((width(&desk) - before).abs() < 0.5, "{part:?}: {before} to {}", width(&desk));
        assert!(before < 310.0, "{part:?}: {before}");
    }
}
