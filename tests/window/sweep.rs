//! Sweeps in the window: what follows, what is shown, what is kept and what is restored.

use std::time::Duration;

use egui::{Key, Modifiers, ViewportId};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::sweep::Pace;
use slotwright::app::{Command, How};
use slotwright::stage::MarkState;
use slotwright::wire::{Slot, Universe};

use crate::desk::{LONG_STEP_S, apply, demo, slow_desk_of, state};
use crate::harness::snapshot_options;

/// Fixture 101 of the demo: a spot at universe 1, slot 1. Its shutter is at slot 8.
const SPOT: usize = 0;

fn desk() -> Harness<'static, App> {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    desk
}

/// Slot 8 of what is in force, that is, the spot's shutter.
fn shutter(desk: &Harness<'static, App>) -> Option<u8> {
    slot(desk, 8)
}

fn slot(desk: &Harness<'static, App>, number: u16) -> Option<u8> {
    state(desk).frames().state(Universe::ONE, Slot::new(number).expect("a slot")).value()
}

/// The same in the show, whatever is in force.
fn kept(desk: &Harness<'static, App>) -> Option<u8> {
    state(desk).show().levels.state(Universe::ONE, Slot::new(8).expect("a slot")).value()
}

fn press(desk: &mut Harness<'static, App>, key: Key) {
    desk.key_press(key);
    desk.step();
    desk.step();
}

fn seconds(desk: &mut Harness<'static, App>, s: f64) {
    desk.run_steps((s / LONG_STEP_S).round() as usize);
}

fn sweep_shutter(desk: &mut Harness<'static, App>) {
    desk.get_by_label("Sweep Shutter").click();
    desk.step();
    desk.step();
}

fn lit(desk: &Harness<'static, App>) -> bool {
    state(desk).scene.marks[SPOT].state == MarkState::Lit
}

#[test]
fn a_button_on_the_row_runs_its_channel_and_the_stage_follows() {
    let mut desk = desk();
    let before = kept(&desk);
    assert!(lit(&desk));
    sweep_shutter(&mut desk);
    assert_eq!(shutter(&desk), Some(0));
    assert!(!lit(&desk), "0 is closed");
    seconds(&mut desk, 1.0);
    // 10 s for 256 values: 25.6 a second.
    let value = shutter(&desk).expect("it is sent");
    assert!((24..=28).contains(&value), "{value}");
    assert!(lit(&desk), "16..31 is open");
    seconds(&mut desk, 9.5);
    assert_eq!(shutter(&desk), Some(255));
    assert_eq!(kept(&desk), before, "the show stays as it is");
    let delay = desk.output().viewport_output.get(&ViewportId::ROOT).expect("a window");
    assert_eq!(delay.repaint_delay, Duration::MAX, "at the end nothing is drawn again");
}

#[test]
fn the_range_and_its_value_stand_large_over_the_stage() {
    let mut desk = desk();
    sweep_shutter(&mut desk);
    seconds(&mut desk, 0.2);
    desk.get_by_label_contains("Shutter  \u{b7}  1 of ");
    for _ in 0..2 {
        press(&mut desk, Key::B);
        seconds(&mut desk, 0.2);
    }
    assert_eq!(shutter(&desk), Some(32));
    desk.get_by_label_contains("Shutter  \u{b7}  3 of ");
    // The slowest of the profile's strobe range, 0.5 Hz at its first value.
    desk.get_by_label("32   0.50 Hz");
    desk.snapshot_options("sweep", &snapshot_options());
}

#[test]
fn keys_step_to_boundaries_hold_and_change_the_pace() {
    let mut desk = desk();
    sweep_shutter(&mut desk);
    seconds(&mut desk, 0.3);
    press(&mut desk, Key::B);
    seconds(&mut desk, 1.0);
    assert_eq!(shutter(&desk), Some(16), "it stands where it was stepped to");
    desk.key_press_modifiers(Modifiers::SHIFT, Key::B);
    seconds(&mut desk, 0.3);
    assert_eq!(shutter(&desk), Some(0));
    press(&mut desk, Key::W);
    seconds(&mut desk, 1.0);
    let value = shutter(&desk);
    assert!(value > Some(16), "{value:?}");
    press(&mut desk, Key::W);
    let held = shutter(&desk);
    seconds(&mut desk, 1.0);
    assert_eq!(shutter(&desk), held);
    press(&mut desk, Key::Y);
    assert_eq!(state(&desk).preferences.sweep, Pace::Twenty);
    desk.get_by_label("5 s").click();
    desk.step();
    assert_eq!(state(&desk).preferences.sweep, Pace::Five);
    desk.get_by_label("Next boundary").click();
    seconds(&mut desk, 0.5);
    assert!(shutter(&desk) > held);
}

#[test]
fn escape_restores_the_value_and_leaves_no_trace() {
    let mut desk = desk();
    let (before, light) = (kept(&desk), state(&desk).scene.reference_lx);
    let undo = state(&desk).document.can_undo().map(str::to_owned);
    sweep_shutter(&mut desk);
    seconds(&mut desk, 3.0);
    assert_ne!(shutter(&desk), before);
    press(&mut desk, Key::Escape);
    assert!(state(&desk).sweep.is_none());
    assert_eq!(shutter(&desk), before);
    assert!(!state(&desk).document.is_dirty());
    assert_eq!(state(&desk).document.can_undo(), undo.as_deref());
    assert_eq!(state(&desk).scene.reference_lx, light);
    assert_eq!(state(&desk).selection, [SPOT], "Escape ends the sweep and not the selection");
    press(&mut desk, Key::Escape);
    assert!(state(&desk).selection.is_empty());
}

#[test]
fn a_value_is_kept_as_one_step_of_undo() {
    let mut desk = desk();
    let before = kept(&desk);
    sweep_shutter(&mut desk);
    seconds(&mut desk, 1.0);
    press(&mut desk, Key::W);
    let value = shutter(&desk);
    press(&mut desk, Key::K);
    assert!(state(&desk).sweep.is_none());
    assert_eq!(kept(&desk), value);
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(kept(&desk), before);
}

#[test]
fn an_edit_on_the_way_keeps_the_value_with_it_as_one_step() {
    let mut desk = desk();
    let before = (kept(&desk), slot(&desk, 9));
    sweep_shutter(&mut desk);
    seconds(&mut desk, 2.0);
    let value = shutter(&desk);
    let values = vec![(Slot::new(9).expect("a slot"), 99)];
    apply(&mut desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
    assert!(state(&desk).sweep.is_none());
    assert_eq!((kept(&desk), slot(&desk, 9)), (value, Some(99)));
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!((kept(&desk), slot(&desk, 9)), before);
    // A look that is recalled, or an undo, takes nothing of a sweep in.
    sweep_shutter(&mut desk);
    seconds(&mut desk, 1.0);
    apply(&mut desk, Command::Do(Action::NextLook));
    let look = &state(&desk).show().looks[state(&desk).look.expect("a look")];
    assert_eq!(state(&desk).show().levels, look.frames);
}

#[test]
fn a_wide_channel_of_several_heads_is_swept_at_full_resolution() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![0, 1], how: How::Replace });
    desk.get_by_label("Sweep Pan").click();
    desk.step();
    seconds(&mut desk, 2.0);
    let (first, second) = ((slot(&desk, 1), slot(&desk, 2)), (slot(&desk, 37), slot(&desk, 38)));
    assert_eq!(first, second);
    assert!(first.0 > Some(40) && first.1.is_some_and(|fine| fine != 0), "{first:?}");
    desk.get_by_label_contains("101 and 1 more");
}

#[test]
fn the_key_sweeps_the_channel_touched_last() {
    let mut desk = desk();
    desk.get_by_label("Dimmer value").focus();
    desk.step();
    press(&mut desk, Key::Escape);
    press(&mut desk, Key::W);
    assert_eq!(state(&desk).sweep.as_ref().map(|swept| swept.channel), Some(3));
    assert!(slot(&desk, 6) <= Some(1));
}

#[test]
fn with_time_running_heads_follow_in_the_time_they_take() {
    let mut desk = desk();
    press(&mut desk, Key::Space);
    desk.get_by_label("Sweep Pan").click();
    desk.step();
    seconds(&mut desk, 1.0);
    let pose = state(&desk).clock.poses()[SPOT].clone().expect("it moves");
    let asked = f64::from(slot(&desk, 1).expect("it is sent")) / 255.0 * 540.0 - 270.0;
    assert!(pose.pan_deg > asked + 10.0, "{} is not there yet: {asked}", pose.pan_deg);
    press(&mut desk, Key::Escape);
    assert!(state(&desk).sweep.is_none());
}

#[test]
fn without_a_sweep_its_keys_do_nothing_but_say_so() {
    let mut desk = desk();
    press(&mut desk, Key::B);
    assert_eq!(
        state(&desk).status.as_ref().map(|s| s.words.as_str()),
        Some("nothing is being swept")
    );
    apply(&mut desk, Command::Do(Action::SelectNone));
    press(&mut desk, Key::W);
    assert!(state(&desk).sweep.is_none() && state(&desk).status.is_some());
}
