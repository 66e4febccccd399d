//! Drills beside the stage: a practice head, grades and progress, and the person's own show as it was.

use egui::Key;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use slotwright::app::Command;
use slotwright::app::drills::DrillAsk;
use slotwright::app::shell::App;
use slotwright::check::drill::{Answer, Exercise, Level, Task, TestHead, sheet};
use slotwright::decode::CompiledMode;
use slotwright::profile::Library;
use slotwright::show::drill_progress::ProgressFile;
use slotwright::wire::{Slot, Universe};
use std::sync::Arc;

use crate::desk::{apply, desk, state};
use crate::harness::snapshot_options;

type Desk = Harness<'static, App>;

fn spot() -> TestHead {
    let profile = Library::embedded().get("Tarnfell S1 Spot").expect("it is shipped");
    let mode = profile.mode("full").expect("it has that mode");
    TestHead::new(&Arc::new(CompiledMode::new(&profile, mode)))
}

/// The window with the drills open; progress goes to `folder`, if anywhere.
fn drills(folder: Option<&std::path::Path>) -> Desk {
    let mut desk = desk();
    desk.key_press(Key::F5);
    desk.run();
    let drills = &mut desk.state_mut().state.drills;
    assert!(drills.open);
    drills.folder = folder.map(|folder| folder.join("drills"));
    desk
}

fn ask(desk: &mut Desk, ask: DrillAsk) {
    apply(desk, Command::Drills(ask));
}

/// The exercise that is on.
fn current(desk: &Desk) -> Exercise {
    let on = state(desk).drills.on.as_ref().expect("a drill is on");
    on.exercise().expect("it has an exercise").clone()
}

fn answer_right(desk: &mut Desk) {
    let exercise = current(desk);
    match exercise.right_answer().expect("every exercise has one") {
        Answer::Slots(slots) => {
            let slots = slots.into_iter().filter_map(|(s, v)| Some((Slot::new(s)?, v)));
            let values = slots.collect();
            apply(desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
        }
        Answer::Pick(place) => {
            let on = desk.state_mut().state.drills.on.as_mut().expect("a drill is on");
            on.picked = Some(place);
        }
        written => {
            let on = desk.state_mut().state.drills.on.as_mut().expect("a drill is on");
            on.written = written.words();
        }
    }
    ask(desk, DrillAsk::Check);
}

#[test]
fn a_drill_never_touches_the_persons_own_show() {
    let mut desk = drills(None);
    let own = state(&desk).show().clone();
    desk.get_by_label("Begin").click();
    desk.run();
    assert!(state(&desk).show().name.starts_with("Practice: Tarnfell S1 Spot"));
    assert_eq!(state(&desk).show().rig.len(), 1);
    answer_right(&mut desk);
    ask(&mut desk, DrillAsk::Next);
    desk.get_by_label("End drill").click();
    desk.run();
    assert_eq!(state(&desk).show(), &own);
    assert!(!state(&desk).document.is_dirty());
}

#[test]
fn a_whole_sheet_is_done_and_progress_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let mut desk = drills(Some(folder.path()));
    desk.state_mut().state.drills.person = "Anna".to_owned();
    desk.state_mut().state.drills.level = Level::WholeHead;
    ask(&mut desk, DrillAsk::Begin);
    let printed = sheet(&mut spot(), Level::WholeHead, 1, 10);
    for exercise in &printed {
        assert_eq!(&current(&desk), exercise, "the window and a printed sheet are one");
        ask(&mut desk, DrillAsk::Hint);
        answer_right(&mut desk);
        let on = state(&desk).drills.on.as_ref().unwrap();
        assert!(on.is_done(), "{:?} {exercise:?}", on.grade);
        ask(&mut desk, DrillAsk::Next);
    }
    assert_eq!(state(&desk).drills.seed, 2, "the next sheet is that of the next seed");
    let (file, said) = ProgressFile::open(&folder.path().join("drills"), "Anna").unwrap();
    assert!(said.is_empty());
    assert_eq!(file.progress.of_level(3), (10, 7.5), "a hint costs a quarter");
    desk.get_by_label_contains("3 the whole head: 10 done, 7.5 points");
}

#[test]
fn a_wrong_answer_says_what_it_does_and_shows_the_right_range() {
    let mut desk = drills(None);
    ask(&mut desk, DrillAsk::Begin);
    while !matches!(current(&desk).task, Task::Set { .. }) {
        ask(&mut desk, DrillAsk::Next);
    }
    desk.get_by_label("Check answer").click();
    desk.run();
    let on = state(&desk).drills.on.as_ref().unwrap();
    assert_eq!((on.wrong, on.is_done()), (1, false));
    assert!(!on.keys.is_empty());
    desk.get_by_label_contains("Not yet");
    let drawn = desk
        .query_all_by_role(Role::Image)
        .any(|node| node.accesskit_node().label().is_some_and(|label| label.contains("right at")));
    assert!(drawn, "the right range is on a ruler");
    answer_right(&mut desk);
    assert!(state(&desk).drills.on.as_ref().unwrap().is_done());
    desk.get_by_label("Next");
}

#[test]
fn where_the_head_is_to_point_stands_as_a_ghost_on_the_stage() {
    let mut desk = drills(None);
    desk.state_mut().state.drills.level = Level::AimAndColour;
    ask(&mut desk, DrillAsk::Begin);
    let ghost = (0..60).any(|_| {
        let there = state(&desk).scene.marks.iter().any(|mark| mark.asked_aim.is_some());
        if !there {
            ask(&mut desk, DrillAsk::Next);
        }
        there
    });
    assert!(ghost, "some exercise asks for another aim");
    answer_right(&mut desk);
    assert!(state(&desk).drills.on.as_ref().unwrap().is_done());
    assert!(state(&desk).scene.marks.iter().all(|mark| mark.asked_aim.is_none()));
}

#[test]
fn the_panel_stands_beside_the_stage() {
    let mut desk = drills(None);
    desk.state_mut().state.drills.level = Level::AimAndColour;
    desk.state_mut().state.drills.person = "Anna".to_owned();
    ask(&mut desk, DrillAsk::Begin);
    while !matches!(current(&desk).task, Task::Set { .. }) {
        ask(&mut desk, DrillAsk::Next);
    }
    ask(&mut desk, DrillAsk::Check);
    desk.remove_cursor();
    desk.run();
    desk.snapshot_options("drills", &snapshot_options());
}
