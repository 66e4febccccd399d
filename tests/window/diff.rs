//! Differences in the window: two sides chosen, rows fixture by fixture, a ghost on the stage.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::diff_window::Pick;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::check::diff::{Diff, Side};
use slotwright::wire::{Slot, Universe};

use crate::desk::{apply, demo, slow_desk_of, state};

fn desk() -> Harness<'static, App> {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    apply(&mut desk, Command::Do(Action::Difference));
    desk
}

fn choose(desk: &mut Harness<'static, App>, side: usize, pick: Pick) {
    desk.state_mut().state.windows.diff.picks[side] = pick;
    desk.run();
}

#[track_caller]
fn found<'a>(desk: &'a Harness<'static, App>) -> &'a Diff {
    let found = state(desk).windows.diff.found.as_ref().expect("it was worked out");
    found.as_ref().expect("both sides are there")
}

#[test]
fn it_opens_on_the_look_and_the_stage_and_follows_an_edit() {
    let mut desk = desk();
    assert!(found(&desk).is_same(), "the stage stands at its look");
    // Tilt of fixture 101 at slot 3.
    let values = vec![(Slot::new(3).expect("a slot"), 10)];
    apply(&mut desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
    assert_eq!(found(&desk).slots.len(), 1);
    assert_eq!(found(&desk).fixtures.first().map(|d| d.what.as_str()), Some("Tilt"));
    assert!(state(&desk).scene.marks[0].asked_aim.is_some(), "the look's aim is a ghost");
    desk.get_by_label("Select 101, Tilt").click();
    desk.run();
    assert_eq!(state(&desk).selection, [0]);
    desk.get_by_label("Ghost of the first side on the stage").click();
    desk.run();
    assert!(state(&desk).scene.marks[0].asked_aim.is_none());
}

#[test]
fn looks_cues_and_instants_are_compared() {
    let mut desk = desk();
    choose(&mut desk, 0, Pick::Named(Side::Look("Harbour dawn".to_owned())));
    choose(&mut desk, 1, Pick::Named(Side::Look("Deep water".to_owned())));
    let looks = found(&desk).fixtures.len();
    assert!(looks > 5, "{looks}");
    desk.get_by_label("Select them").click();
    desk.run();
    assert!(state(&desk).selection.len() > 5);
    choose(&mut desk, 1, Pick::Named(Side::At(Some("Evening".to_owned()), 12.5)));
    assert!(found(&desk).sides.1.contains("12.5 s"), "{:?}", found(&desk).sides);
    choose(&mut desk, 1, Pick::Named(Side::Look("Nowhere".to_owned())));
    desk.get_by_label_contains("no look `Nowhere`");
}

#[test]
fn the_stage_is_kept_to_be_compared_with_what_comes() {
    let mut desk = desk();
    desk.get_by_label("Keep the stage").click();
    desk.run();
    assert_eq!(state(&desk).windows.diff.picks[0], Pick::Kept);
    assert!(found(&desk).is_same());
    apply(&mut desk, Command::Do(Action::NextLook));
    assert!(!found(&desk).is_same());
    desk.get_by_label("Swap").click();
    desk.run();
    assert_eq!(state(&desk).windows.diff.picks, [Pick::Stage, Pick::Kept]);
    apply(&mut desk, Command::Do(Action::Difference));
    assert!(state(&desk).scene.marks.iter().all(|mark| mark.asked_aim.is_none()));
}
