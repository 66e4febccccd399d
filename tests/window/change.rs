//! A change of model or mode in the window, and the channel chart.

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::files::{Done, Purpose};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::decode::AxisAsk;

use crate::desk::{apply, desk, state, wait_for_jobs};
use crate::harness::snapshot_options;

/// Fixture 101 of the demo: a spot in the mode `full`.
const SPOT: usize = 0;

fn with_spot() -> Harness<'static, App> {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    desk
}

fn open_change(desk: &mut Harness<'static, App>) {
    desk.key_press_modifiers(Modifiers::COMMAND, Key::M);
    desk.run();
    desk.run();
}

fn pan_deg(desk: &Harness<'static, App>) -> f64 {
    let asked = state(desk).reading_of(SPOT).expect("it is read").asked();
    match asked.pan {
        AxisAsk::To { deg } => deg,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_change_tells_what_would_happen_look_by_look() {
    let mut desk = with_spot();
    open_change(&mut desk);
    let form = state(&desk).windows.change.as_ref().expect("it is open");
    assert_eq!((form.profile.as_str(), form.mode.as_str()), ("Tarnfell S1 Spot", "compact"));
    let found = form.found.as_ref().expect("it is known");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].frames.len(), state(&desk).show().looks.len());
    desk.get_by_label_contains("0 of 30 channels mean the same");
    assert!(desk.query_all_by_label_contains("lit before, dark after").count() >= 1);
    desk.snapshot_options("change", &snapshot_options());
    desk.get_by_label_contains("Deep water (").click();
    desk.run();
    desk.get_by_label("Cyan: 87.8 %");
    assert!(desk.query_all_by_label_contains("no counterpart").count() >= 3);
    desk.key_press(Key::Escape);
    desk.run();
    assert!(state(&desk).windows.change.is_none());
    assert_eq!(state(&desk).selection, [SPOT], "Escape closes the window and no more");
}

#[test]
fn a_change_with_its_values_translated_is_one_step_of_undo() {
    let mut desk = with_spot();
    let (before, was) = (state(&desk).show().clone(), pan_deg(&desk));
    open_change(&mut desk);
    desk.get_by_label("Change and translate").click();
    desk.run();
    assert!(state(&desk).windows.change.is_none());
    assert_eq!(state(&desk).show().rig[SPOT].mode, "compact");
    assert_eq!(state(&desk).plan.fixtures()[SPOT].mode.as_ref().unwrap().name, "compact");
    // One slot of 255 steps over 540 degrees: within half a step.
    assert!((pan_deg(&desk) - was).abs() <= 540.0 / 255.0 / 2.0 + 1e-9);
    let looks = &state(&desk).show().looks;
    assert!(looks.iter().zip(&before.looks).all(|(now, then)| now.name == then.name));
    assert_ne!(looks[0].frames, before.looks[0].frames);
    assert_eq!(state(&desk).show().levels, looks[0].frames, "it stands at its look as before");
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(state(&desk).show(), &before);
}

#[test]
fn a_change_can_leave_the_slots_as_they_are() {
    let mut desk = with_spot();
    let before = state(&desk).show().clone();
    apply(&mut desk, Command::Do(Action::Setup));
    desk.get_by_label("Change model\u{2026}").click();
    desk.run();
    desk.get_by_label("Change, slots as they are").click();
    desk.run();
    assert_eq!(state(&desk).show().rig[SPOT].mode, "compact");
    assert_eq!(state(&desk).show().levels, before.levels);
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(state(&desk).show(), &before);
}

#[test]
fn a_model_that_does_not_fit_is_refused_in_words() {
    let mut desk = with_spot();
    // Its 36 slots from 500 on reach past the last.
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    apply(&mut desk, Command::Do(Action::ChangeModel));
    let change = desk.state_mut().state.windows.change.as_mut().expect("it is open");
    change.mode = "none".to_owned();
    desk.run();
    desk.get_by_label_contains("has no mode `none`");
    apply(&mut desk, Command::ChangeModel { translate: true });
    assert_eq!(state(&desk).show().rig[SPOT].mode, "full");
    assert!(state(&desk).status.as_ref().is_some_and(|s| s.words.contains("has no mode")));
    // With nothing selected there is nothing to change.
    desk.key_press(Key::Escape);
    desk.run();
    apply(&mut desk, Command::Do(Action::SelectNone));
    apply(&mut desk, Command::Do(Action::ChangeModel));
    assert!(state(&desk).windows.change.is_none() && state(&desk).status.is_some());
}

#[test]
fn the_chart_marks_the_values_held_and_is_saved_as_a_page() {
    let mut desk = with_spot();
    desk.key_press(Key::C);
    desk.run();
    desk.run();
    desk.get_by_label("Tarnfell S1 Spot, mode full");
    desk.get_by_label_contains("\u{25b8} 16..31");
    desk.get_by_label_contains("stands at 24, rests at 24");
    desk.snapshot_options("chart", &snapshot_options());
    let folder = tempfile::tempdir().expect("there is room for a folder");
    let path = folder.path().join("chart.html");
    let ctx = desk.ctx.clone();
    desk.state_mut().state.finish(&ctx, Done::Chosen(Purpose::Chart, path.clone()));
    wait_for_jobs(&mut desk);
    let page = std::fs::read_to_string(path).expect("it was written");
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("strobe, slow to fast"));
    // It follows the selection: 201 is a wash.
    apply(&mut desk, Command::Do(Action::SelectNone));
    let wash = state(&desk).show().rig.iter().position(|fixture| fixture.id == 201).unwrap();
    apply(&mut desk, Command::Select { fixtures: vec![wash], how: How::Replace });
    desk.run();
    desk.get_by_label_contains("Ockerwick W19 Wash, mode ");
    desk.key_press(Key::Escape);
    desk.run();
    assert!(state(&desk).windows.chart.is_none());
}
