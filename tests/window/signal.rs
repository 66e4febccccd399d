//! The signal in the window: cut and back, and what a change would take; heads that arrive apart.

use std::sync::Arc;

use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::clock::Mode;
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::profile::times::{Loss, OnLoss};
use slotwright::show::Show;
use slotwright::wire::{Slot, Universe};

use crate::desk::{LONG_STEP_S, USUAL, apply, demo, slow_desk_of, state, wait_for_jobs};

/// Fixtures 101 and 102 of the demo: two spots of one mode, at slots 1 and 37. Pan is at offset 1, aim
/// speed at 5.
const SPOTS: [usize; 2] = [0, 1];

fn desk_of(show: Show) -> Harness<'static, App> {
    slow_desk_of(USUAL, show)
}

/// The demo with its spots doing this when no frame comes.
fn with_loss(after_s: f64, does: Loss) -> Show {
    let mut show = demo();
    let key = show.rig[SPOTS[0]].profile.clone();
    let profile = show.profiles.get_mut(&key).expect("the demo has it");
    Arc::make_mut(profile).on_loss = OnLoss { after_s: Some(after_s), does: Some(does) };
    show
}

fn set(desk: &mut Harness<'static, App>, values: &[(u16, u8)]) {
    let values = values.iter().map(|(slot, value)| (Slot::new(*slot).expect("a slot"), *value));
    let universe = Universe::ONE;
    apply(desk, Command::SetSlots { universe, values: values.collect(), gesture: false });
}

fn select(desk: &mut Harness<'static, App>, fixtures: &[usize]) {
    apply(desk, Command::Select { fixtures: fixtures.to_vec(), how: How::Replace });
}

fn press(desk: &mut Harness<'static, App>, key: Key) {
    desk.key_press(key);
    desk.step();
}

fn seconds(desk: &mut Harness<'static, App>, s: f64) {
    desk.run_steps((s / LONG_STEP_S).round() as usize);
}

fn light(desk: &Harness<'static, App>) -> f64 {
    state(desk).clock.poses()[SPOTS[0]].as_ref().expect("it is read").light()
}

fn pan_deg(desk: &Harness<'static, App>) -> f64 {
    state(desk).clock.poses()[SPOTS[0]].as_ref().expect("it is read").pan_deg
}

#[test]
fn a_cut_signal_is_held_until_the_time_out_and_then_acted_on() {
    let mut desk = desk_of(with_loss(1.0, Loss::Dark));
    select(&mut desk, &SPOTS[..1]);
    desk.get_by_label("Cut signal").click();
    desk.step();
    assert_eq!(state(&desk).clock.mode, Mode::Running, "without a signal, time matters");
    assert_eq!(state(&desk).cut_since_s(), Some(0.0));
    seconds(&mut desk, 0.5);
    assert!(light(&desk) > 0.0, "before the time-out it does as before");
    desk.get_by_label_contains("after 1 s it goes dark.");
    desk.get_by_label_contains("since 0.00 s: no frame reaches any fixture.");
    seconds(&mut desk, 0.7);
    assert_eq!(light(&desk), 0.0);
    desk.get_by_label_contains("No signal: dark by itself, for 0.");
    press(&mut desk, Key::X);
    desk.step();
    assert_eq!(state(&desk).cut_since_s(), None);
    assert!(light(&desk) > 0.0);
    desk.get_by_label_contains("the signal is back after");
}

#[test]
fn what_is_changed_while_the_signal_is_cut_reaches_the_heads_when_it_is_back() {
    let mut desk = desk_of(demo());
    select(&mut desk, &SPOTS[..1]);
    let before = {
        press(&mut desk, Key::X);
        pan_deg(&desk)
    };
    set(&mut desk, &[(1, 250)]);
    seconds(&mut desk, 2.0);
    assert_eq!(pan_deg(&desk), before);
    // A receiver takes 1.25 s from break to break (ANSI E1.11, its table of timings), so that no loss
    // can be told before.
    desk.get_by_label_contains("No signal: ");
    press(&mut desk, Key::X);
    seconds(&mut desk, 3.0);
    assert!((pan_deg(&desk) - before).abs() > 10.0);
}

#[test]
fn a_standby_look_is_faded_to() {
    let loss = Loss::Standby { fade_s: 2.0, values: std::collections::BTreeMap::new() };
    let mut desk = desk_of(with_loss(0.5, loss));
    select(&mut desk, &SPOTS[..1]);
    press(&mut desk, Key::X);
    desk.get_by_label_contains("after 0.5 s it fades to a look of its own in 2 s.");
    seconds(&mut desk, 1.0);
    desk.get_by_label_contains("No signal: a look of its own, for 0.");
    seconds(&mut desk, 2.0);
    desk.get_by_label_contains("No signal: a look of its own, for 2.");
}

#[test]
fn arrived_ends_a_cut() {
    let mut desk = desk_of(demo());
    press(&mut desk, Key::X);
    assert!(state(&desk).cut_since_s().is_some());
    press(&mut desk, Key::A);
    assert_eq!(state(&desk).cut_since_s(), None);
    press(&mut desk, Key::Space);
    assert_eq!(state(&desk).cut_since_s(), None);
}

#[test]
fn timed_frames_keep_their_cut_in_its_place() {
    let mut desk = desk_of(with_loss(0.5, Loss::Dark));
    select(&mut desk, &SPOTS[..1]);
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("steps.csv");
    let text = "seconds,universe,slot,value\n0,1,1,10\n1,1,1,20\n4,1,1,200\n";
    std::fs::write(&path, text).expect("written");
    apply(&mut desk, Command::OpenFile(path));
    wait_for_jobs(&mut desk);
    apply(&mut desk, Command::Scrub(2.0));
    press(&mut desk, Key::X);
    let at = |desk: &mut Harness<'static, App>, t_s: f64| {
        apply(desk, Command::Scrub(t_s));
        (state(desk).cut_since_s(), light(desk) > 0.0)
    };
    assert_eq!(at(&mut desk, 1.5), (None, true));
    assert_eq!(at(&mut desk, 2.25), (Some(2.0), true));
    assert_eq!(at(&mut desk, 3.0), (Some(2.0), false));
    assert_eq!(at(&mut desk, 1.0), (None, true));
    apply(&mut desk, Command::Scrub(3.5));
    press(&mut desk, Key::X);
    assert_eq!(at(&mut desk, 3.75), (None, true));
    assert_eq!(at(&mut desk, 3.25), (Some(2.0), false));
}

#[test]
fn a_change_says_what_it_would_take_before_time_runs() {
    let mut desk = desk_of(demo());
    select(&mut desk, &SPOTS[..1]);
    set(&mut desk, &[(1, 10)]);
    set(&mut desk, &[(1, 250)]);
    // 240 * 256 / 65535 of 540 degrees are 506.26, at 220 a second and 700 a second squared:
    // 506.26 / 220 + 220 / 700 = 2.62 s.
    desk.get_by_label_contains("Would take 2.6 s from where it was");
    let pan = desk.get_by_role_and_label(egui::Role::Slider, "Pan");
    assert!(pan.value().is_some_and(|words| words.ends_with("takes 2.6 s")), "{:?}", pan.value());
    assert_eq!(state(&desk).clock.mode, Mode::Arrived);
    // Going on within one drag counts from where that began.
    let step = |value| Command::SetSlots {
        universe: Universe::ONE,
        values: vec![(Slot::new(1).expect("a slot"), value)],
        gesture: true,
    };
    for value in [200, 100, 10] {
        apply(&mut desk, step(value));
    }
    apply(&mut desk, Command::EndGesture);
    desk.get_by_label_contains("Would take 2.6 s from where it was");
    apply(&mut desk, Command::Do(slotwright::app::keys::Action::Undo));
    desk.get_by_label_contains("Would take 2.6 s from where it was");
    press(&mut desk, Key::Space);
    desk.step();
    assert!(desk.query_by_label_contains("Would take").is_none());
}

#[test]
fn the_head_that_arrives_apart_is_named_with_its_slots() {
    let mut desk = desk_of(demo());
    let rig = &state(&desk).show().rig;
    let spots: Vec<usize> = (0..rig.len())
        .filter(|i| (&rig[*i].profile, &rig[*i].mode) == (&rig[0].profile, &rig[0].mode))
        .collect();
    assert!(spots.len() >= 3, "{spots:?}");
    let firsts: Vec<u16> =
        spots.iter().map(|i| rig[*i].address.expect("patched").slot.number()).collect();
    let odd = (rig[spots[1]].id, firsts[1]);
    select(&mut desk, &spots);
    let aim = |pan: u8| -> Vec<(u16, u8)> {
        let slots = firsts.iter().flat_map(|first| (0..5).map(move |offset| (first + offset, 0)));
        slots.map(|(slot, _)| slot).zip([pan, 0, 128, 0, 0].into_iter().cycle()).collect()
    };
    set(&mut desk, &aim(10));
    set(&mut desk, &[(odd.1 + 4, 200)]);
    set(
        &mut desk,
        &aim(250).into_iter().filter(|(slot, _)| *slot != odd.1 + 4).collect::<Vec<_>>(),
    );
    let words = format!("Same target, yet {} arrives ", odd.0);
    desk.get_by_label_contains(&words);
    desk.get_by_label_contains(&format!(": 200 in {}, 0 in the others", odd.0));
}
