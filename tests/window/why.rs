//! Why heads are dark, in the window: what is said of the light, and the button that gives it.

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::wire::{Slot, Universe};

use crate::desk::{apply, demo, slow_desk_of, state};

/// Fixture 101 of the demo: a spot at universe 1, slot 1. Its shutter is at slot 8, closed at 0..15.
const SPOT: usize = 0;

fn desk() -> Harness<'static, App> {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    desk
}

fn set(desk: &mut Harness<'static, App>, slot: u16, value: u8) {
    let values = vec![(Slot::new(slot).expect("a slot"), value)];
    apply(desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
    desk.step();
}

fn slot(desk: &Harness<'static, App>, number: u16) -> Option<u8> {
    state(desk).frames().state(Universe::ONE, Slot::new(number).expect("a slot")).value()
}

fn press(desk: &mut Harness<'static, App>, modifiers: Modifiers, key: Key) {
    desk.key_press_modifiers(modifiers, key);
    desk.run_steps(4);
}

#[test]
fn the_reading_says_in_one_sentence_why_a_head_is_dark() {
    let mut desk = desk();
    assert!(desk.query_by_label_contains("Dark because").is_none());
    set(&mut desk, 8, 4);
    desk.get_by_label_contains("Dark because slot 8 = 4 is in the range closed, 0..15");
    assert!(desk.query_by_label("Give light").is_none(), "it is folded");
}

#[test]
fn the_button_gives_light_in_one_step_that_can_be_undone() {
    let mut desk = desk();
    set(&mut desk, 6, 0);
    set(&mut desk, 7, 0);
    set(&mut desk, 8, 4);
    press(&mut desk, Modifiers::NONE, Key::Q);
    desk.get_by_label("shutter 0 %");
    desk.get_by_label("dimmer 0 %");
    desk.get_by_label("Give light").click();
    desk.run_steps(4);
    assert_eq!((slot(&desk, 6), slot(&desk, 8)), (Some(255), Some(16)));
    assert!(state(&desk).scene.marks[SPOT].light.1 > 0.9);
    assert!(desk.query_by_label("Give light").is_none(), "there is light");
    press(&mut desk, Modifiers::COMMAND, Key::Z);
    assert_eq!((slot(&desk, 6), slot(&desk, 8)), (Some(0), Some(4)));
    press(&mut desk, Modifiers::NONE, Key::Q);
    assert!(desk.query_by_label("Give light").is_none(), "it is folded again");
}

#[test]
fn a_link_leads_to_the_ruler_of_its_channel() {
    let mut desk = desk();
    set(&mut desk, 8, 4);
    press(&mut desk, Modifiers::NONE, Key::Q);
    // What is unfolded has its height only after a few passes.
    desk.run_steps(4);
    desk.get_by_label("shutter 0 %").click();
    desk.run_steps(4);
    press(&mut desk, Modifiers::NONE, Key::ArrowRight);
    assert_eq!(slot(&desk, 8), Some(5));
}

#[test]
fn every_fixture_has_words_for_its_tooltip_at_any_instant() {
    let mut desk = desk();
    set(&mut desk, 8, 4);
    for play in [false, true] {
        if play {
            press(&mut desk, Modifiers::NONE, Key::Space);
            desk.run_steps(4);
        }
        let state = state(&desk);
        for place in 0..state.show().rig.len() {
            assert!(state.light_words(place).is_some_and(|words| !words.is_empty()));
        }
        let words = state.light_words(SPOT).expect("a profile");
        assert!(words.starts_with("Dark because slot 8 = 4"), "{words}");
    }
}

#[test]
fn giving_light_while_time_runs_reaches_the_head_too() {
    let mut desk = desk();
    set(&mut desk, 8, 4);
    press(&mut desk, Modifiers::NONE, Key::Space);
    press(&mut desk, Modifiers::NONE, Key::Q);
    desk.get_by_label("Give light").click();
    desk.run_steps(20);
    assert!(state(&desk).scene.marks[SPOT].light.1 > 0.5);
}
