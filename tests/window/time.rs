//! Time in the window: running, pausing, stepping, jumping to the end, holding, timed frames, plotting.

use std::time::Duration;

use egui::{Key, Modifiers, ViewportId};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::clock::{FRAME_S, Mode, Rate};
use slotwright::app::files::{Done, Purpose};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::transport::mode_words;
use slotwright::app::{Command, How};
use slotwright::decode::AxisAsk;
use slotwright::rig::{Aim, InHead};
use slotwright::show::Edit;
use slotwright::wire::{Slot, Universe};

use crate::desk::{LONG_STEP_S, apply, demo, slow_desk_of, state, wait_for_jobs};

/// The window on the demo show, in long passes: what is seen does not depend on how often it is drawn.
fn desk() -> Harness<'static, App> {
    slow_desk_of([1000.0, 640.0], demo())
}

/// Fixture 101 of the demo: a spot at universe 1, slot 1. Pan at offset 1, aim speed at 5, control at 36.
const SPOT: usize = 0;

fn set(desk: &mut Harness<'static, App>, slot: u16, value: u8) {
    let values = vec![(Slot::new(slot).expect("a slot"), value)];
    apply(desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
}

fn press(desk: &mut Harness<'static, App>, key: Key) {
    desk.key_press(key);
    desk.step();
}

fn seconds(desk: &mut Harness<'static, App>, s: f64) {
    desk.run_steps((s / LONG_STEP_S).round() as usize);
}

fn pan(desk: &Harness<'static, App>) -> f64 {
    state(desk).clock.poses()[SPOT].as_ref().expect("it moves").pan_deg
}

fn light(desk: &Harness<'static, App>) -> f64 {
    state(desk).clock.poses()[SPOT].as_ref().expect("it is read").light()
}

fn repaint_delay(desk: &Harness<'static, App>) -> Duration {
    let root = desk.output().viewport_output.get(&ViewportId::ROOT);
    root.expect("there is a window").repaint_delay
}

/// The window with time running and fixture 101 sent from its place to pan slot 250.
fn on_its_way() -> Harness<'static, App> {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    set(&mut desk, 1, 10);
    press(&mut desk, Key::Space);
    seconds(&mut desk, 0.1);
    set(&mut desk, 1, 250);
    desk
}

#[test]
fn play_moves_a_head_in_the_time_it_takes() {
    let mut desk = on_its_way();
    // Pan is 540 degrees over 16 bits: slot 10 to slot 250 is 240 * 256 / 65535 of it, 506.26 degrees,
    // at 220 degrees a second and 700 a second squared: 506.26 / 220 + 220 / 700 = 2.62 s.
    let begun = pan(&desk);
    seconds(&mut desk, 1.0);
    let after_a_second = pan(&desk);
    let gone = (after_a_second - begun).abs();
    assert!((150.0..=220.0).contains(&gone), "{gone}");
    assert!(state(&desk).scene.marks[SPOT].asked_aim.is_some(), "a ghost shows where it was asked");
    assert_eq!(state(&desk).clock.mode, Mode::Running);
    desk.get_by_label_contains("Arrives in 1.");
    seconds(&mut desk, 1.8);
    // Slots 250 and 114 over 16 bits: the fine slot stands as the look left it.
    let there = (250.0 * 256.0 + 114.0) / 65_535.0 * 540.0 - 270.0;
    assert!((pan(&desk) - there).abs() < 1e-6, "{}", pan(&desk));
    assert!(state(&desk).scene.marks[SPOT].asked_aim.is_none());
    desk.get_by_label("running 1x, all has arrived");
}

#[test]
fn a_raised_speed_channel_makes_it_take_longer_and_says_so_before() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    set(&mut desk, 1, 10);
    set(&mut desk, 5, 225);
    press(&mut desk, Key::Space);
    press(&mut desk, Key::Space);
    set(&mut desk, 1, 11);
    // One coarse step, 256 / 65535 * 540 = 2.11 degrees, at 4 degrees a second: 0.5 s.
    desk.get_by_label_contains("Arrives in 0.5 s");
    set(&mut desk, 1, 250);
    // 240 * 256 / 65535 * 540 = 506.26 degrees at 4 a second: 126.6 s.
    desk.get_by_label_contains("Arrives in 126.6 s");
}

/// worked example: three heads of one model, one of them with a raised speed slot.
#[test]
fn the_head_of_a_row_that_comes_late_is_told_with_the_slot_that_differs() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![0, 1, 2], how: How::Replace });
    for (first, speed) in [(1, 0), (37, 0), (73, 200)] {
        for (slot, value) in [(0, 10), (1, 0), (2, 128), (3, 0), (4, speed)] {
            set(&mut desk, first + slot, value);
        }
    }
    press(&mut desk, Key::Space);
    press(&mut desk, Key::Space);
    for first in [1, 37, 73] {
        set(&mut desk, first, 250);
    }
    desk.get_by_label_contains("Same target, yet 103 arrives ");
    let why =
        "s after 101 and 102: they differ in `slot 5 Aim speed: 200 in 103, 0 in the others`.";
    desk.get_by_label_contains(why);
}

#[test]
fn pause_freezes_the_instant() {
    let mut desk = on_its_way();
    seconds(&mut desk, 0.5);
    press(&mut desk, Key::Space);
    let (at_s, pan_deg) = (state(&desk).clock.t_s, pan(&desk));
    seconds(&mut desk, 1.0);
    assert_eq!((state(&desk).clock.t_s, pan(&desk)), (at_s, pan_deg));
    assert!(mode_words(state(&desk)).starts_with("paused at 0."), "{}", mode_words(state(&desk)));
    assert_eq!(repaint_delay(&desk), Duration::MAX);
    // What is asked while time stands shows as a ghost, and moves nothing.
    set(&mut desk, 1, 40);
    assert_eq!(pan(&desk), pan_deg);
    assert!(state(&desk).scene.marks[SPOT].asked_aim.is_some());
}

#[test]
fn a_step_is_one_frame() {
    let mut desk = desk();
    press(&mut desk, Key::Period);
    desk.run();
    assert_eq!(state(&desk).clock.mode, Mode::Paused);
    assert!((state(&desk).clock.t_s - 1.0 / 44.0).abs() < 1e-12);
    press(&mut desk, Key::Period);
    desk.run();
    assert!((state(&desk).clock.t_s - 2.0 * FRAME_S).abs() < 1e-12);
    desk.get_by_label("paused at 0.05 s");
}

#[test]
fn the_rate_is_what_time_passes_at() {
    for (rate, key) in [(Rate::Tenfold, Modifiers::NONE), (Rate::Tenth, Modifiers::SHIFT)] {
        let mut desk = on_its_way();
        desk.key_press_modifiers(key, Key::T);
        desk.step();
        assert_eq!(state(&desk).clock.rate, rate);
        let at_s = state(&desk).clock.t_s;
        desk.run_steps(6);
        let passed_s = state(&desk).clock.t_s - at_s;
        assert!(
            (passed_s - 6.0 * LONG_STEP_S * rate.factor()).abs() < 1e-5,
            "{rate:?}: {passed_s}"
        );
    }
}

#[test]
fn a_jump_to_arrived_puts_every_head_where_it_is_asked() {
    let mut desk = on_its_way();
    seconds(&mut desk, 0.3);
    press(&mut desk, Key::A);
    desk.run();
    assert_eq!(state(&desk).clock.mode, Mode::Arrived);
    desk.get_by_label("arrived");
    assert!(state(&desk).motion().is_none() && state(&desk).clock.poses().is_empty());
    let axis = state(&desk).scene.marks[SPOT].axis;
    press(&mut desk, Key::Period);
    desk.run();
    let stepped = state(&desk).scene.marks[SPOT].axis;
    assert!((axis - stepped).length() < 1e-9, "time begins where all has arrived");
}

#[test]
fn a_reset_let_go_early_does_nothing() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    press(&mut desk, Key::Space);
    let (lit, aimed) = (light(&desk), pan(&desk));
    assert!(lit > 0.5, "{lit}");
    // The spot's chart: control 200..209 resets everything once held 4 s, and takes 32 s.
    set(&mut desk, 36, 205);
    seconds(&mut desk, 2.0);
    desk.get_by_label_contains("Reset: held 2.");
    set(&mut desk, 36, 0);
    seconds(&mut desk, 6.0);
    assert_eq!((light(&desk), pan(&desk)), (lit, aimed));
}

#[test]
fn a_reset_held_long_enough_goes_dark_homes_and_comes_back() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    press(&mut desk, Key::Space);
    let (lit, aimed) = (light(&desk), pan(&desk));
    set(&mut desk, 36, 205);
    apply(&mut desk, Command::SetRate(Rate::Tenfold));
    seconds(&mut desk, 0.6);
    assert_eq!(light(&desk), 0.0, "six seconds on, it homes");
    assert!((pan(&desk) - aimed).abs() > 1.0, "it looks for its ends");
    desk.get_by_label_contains("homing,");
    set(&mut desk, 36, 0);
    seconds(&mut desk, 4.0);
    assert_eq!((light(&desk), pan(&desk)), (lit, aimed));
}

#[test]
fn once_all_has_arrived_nothing_is_drawn_again() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: Vec::new(), how: How::Replace });
    // Everything dark and still: no head turns without end.
    let all = |universe| {
        let slots = (1..=512).filter_map(Slot::new);
        let values = slots.map(|slot| (slot, 0)).collect();
        Command::SetSlots { universe, values, gesture: false }
    };
    apply(&mut desk, all(Universe::ONE));
    apply(&mut desk, all(Universe::new(2).expect("a universe")));
    press(&mut desk, Key::Space);
    set(&mut desk, 1, 90);
    desk.step();
    assert!(repaint_delay(&desk) <= Duration::from_millis(17), "it moves");
    seconds(&mut desk, 4.0);
    let turning = (0..state(&desk).show().rig.len())
        .filter(|i| {
            state(&desk).motion().and_then(|m| m.head(*i)).is_some_and(|h| h.still_from_s() > 1e9)
        })
        .count();
    assert_eq!(turning, 0, "nothing turns without end");
    let pictures = state(&desk).stage.pictures;
    for _ in 0..10 {
        desk.step();
        assert_eq!(repaint_delay(&desk), Duration::MAX, "no pass is asked for");
    }
    assert_eq!(state(&desk).stage.pictures, pictures);
}

/// The window on timed frames: pan of 101 goes up in four steps, a second apart.
fn with_frames() -> (Harness<'static, App>, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rise.csv");
    let text = "seconds,universe,slot,value\n0,1,1,10\n1,1,1,20\n2,1,1,30\n3,1,1,40\n";
    std::fs::write(&path, text).expect("written");
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    apply(&mut desk, Command::OpenFile(path));
    wait_for_jobs(&mut desk);
    (desk, folder)
}

fn first_slot(desk: &Harness<'static, App>) -> Option<u8> {
    state(desk).frames().state(Universe::ONE, Slot::new(1).expect("a slot")).value()
}

#[test]
fn timed_frames_play_and_can_be_gone_through() {
    let (mut desk, _folder) = with_frames();
    assert_eq!((state(&desk).clock.mode, first_slot(&desk)), (Mode::Paused, Some(10)));
    press(&mut desk, Key::Space);
    seconds(&mut desk, 1.5);
    assert_eq!(first_slot(&desk), Some(20), "the slots follow");
    assert!(!state(&desk).document.is_dirty(), "playing changes nothing in the show");
    desk.get_by_label("Time in the timed frames");
    press(&mut desk, Key::Space);
    apply(&mut desk, Command::Scrub(2.5));
    assert_eq!(first_slot(&desk), Some(30));
    apply(&mut desk, Command::Scrub(0.5));
    assert_eq!(first_slot(&desk), Some(10));
    press(&mut desk, Key::Comma);
    assert!((state(&desk).clock.t_s - (0.5 - FRAME_S)).abs() < 1e-9);
}

#[test]
fn timed_frames_end_or_loop() {
    let (mut desk, _folder) = with_frames();
    press(&mut desk, Key::Space);
    seconds(&mut desk, 6.0);
    assert_eq!((state(&desk).clock.mode, first_slot(&desk)), (Mode::Paused, Some(40)));
    press(&mut desk, Key::R);
    press(&mut desk, Key::Space);
    seconds(&mut desk, 4.5);
    assert_eq!(state(&desk).clock.mode, Mode::Running);
    assert!(state(&desk).clock.t_s < 3.0, "{}", state(&desk).clock.t_s);
}

#[test]
fn an_edit_pauses_the_timed_frames_and_is_one_step_of_undo() {
    let (mut desk, _folder) = with_frames();
    let before = state(&desk).show().levels.clone();
    press(&mut desk, Key::Space);
    seconds(&mut desk, 1.5);
    set(&mut desk, 40, 77);
    assert_eq!(state(&desk).clock.mode, Mode::Paused);
    assert!(state(&desk).timed.as_ref().is_some_and(|timed| !timed.leads));
    let slot = |n| Slot::new(n).expect("a slot");
    let levels = &state(&desk).show().levels;
    assert_eq!(levels.state(Universe::ONE, slot(1)).value(), Some(20));
    assert_eq!(levels.state(Universe::ONE, slot(40)).value(), Some(77));
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(state(&desk).show().levels, before);
}

#[test]
fn bad_timed_frames_say_what_is_wrong() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("bad.csv");
    std::fs::write(&path, "1,1,1,10\n0.5,1,1,20\n2,1,513,30\n").expect("written");
    let mut desk = desk();
    apply(&mut desk, Command::OpenFile(path));
    wait_for_jobs(&mut desk);
    desk.get_by_label("bad.csv cannot be opened");
    desk.get_by_label_contains("bad.csv:2:");
    assert!(state(&desk).timed.is_none());
}

#[test]
fn the_course_is_plotted_and_exported() {
    let mut desk = on_its_way();
    press(&mut desk, Key::P);
    seconds(&mut desk, 1.0);
    desk.get_by_label("Plot of pan, deg");
    desk.get_by_label("Plot of dimmer, %");
    let folder = tempfile::tempdir().expect("a folder");
    let ctx = desk.ctx.clone();
    let done = Done::Chosen(Purpose::Plot, folder.path().join("course"));
    desk.state_mut().state.finish(&ctx, done);
    wait_for_jobs(&mut desk);
    let text = std::fs::read_to_string(folder.path().join("course.csv")).expect("written");
    let mut lines = text.lines();
    let head = lines.next().expect("a head");
    assert!(head.starts_with("seconds,101 pan asked deg,101 pan now deg,"), "{head}");
    let fields = head.split(',').count();
    assert!(lines.clone().count() > 30 && lines.all(|line| line.split(',').count() == fields));
}

#[test]
fn the_whole_course_through_timed_frames_is_plotted() {
    let (mut desk, _folder) = with_frames();
    press(&mut desk, Key::P);
    wait_for_jobs(&mut desk);
    let course = state(&desk).course();
    assert_eq!(course.span_s(), Some((0.0, 4.0)), "all of the frames and a second more");
    let plot = desk.get_by_label("Plot of pan, deg").rect();
    let at = egui::pos2(plot.center().x, plot.center().y);
    desk.hover_at(at);
    desk.step();
    desk.drag_at(at);
    desk.step();
    desk.hover_at(at + egui::vec2(8.0, 0.0));
    desk.step();
    desk.drop_at(at + egui::vec2(8.0, 0.0));
    desk.run();
    let t_s = state(&desk).clock.t_s;
    assert!((1.0..3.0).contains(&t_s), "the stage goes where the plot was dragged: {t_s}");
}

#[test]
fn now_stands_beside_asked() {
    let mut desk = on_its_way();
    seconds(&mut desk, 0.5);
    let pan = desk.get_by_role_and_label(egui::Role::Slider, "Pan");
    let words = pan.value().expect("it says what is asked");
    assert!(words.contains(", now ") && words.matches("deg").count() == 2, "{words}");
}

#[test]
fn now_is_said_in_the_terms_of_the_channels() {
    let mut desk = desk();
    let mut fixture = state(&desk).show().rig[SPOT].clone();
    fixture.aim = Aim { invert_pan: true, pan_offset_deg: 12.0, swap: true, ..Aim::default() };
    fixture.in_head = InHead { invert_tilt: true, ..InHead::default() };
    let edit = Edit::SetFixture { index: SPOT, fixture: Box::new(fixture) };
    apply(&mut desk, Command::Edit { edit, gesture: false });
    set(&mut desk, 1, 110);
    set(&mut desk, 3, 150);
    press(&mut desk, Key::Period);
    let state = state(&desk);
    let pose = state.clock.poses()[SPOT].as_ref().expect("it moves");
    let head = state.motion().and_then(|motion| motion.head(SPOT)).expect("it moves");
    let (pan_deg, tilt_deg) = head.as_channels_ask(pose.pan_deg, pose.tilt_deg);
    let asked = state.plan.reading(SPOT, state.frames(), &state.decoded).expect("read").asked();
    let near = |ask: AxisAsk, now: f64| {
        let AxisAsk::To { deg } = ask else { panic!("{ask:?}") };
        assert!((deg - now).abs() < 1e-9, "asked {deg}, now {now}");
    };
    near(asked.pan, pan_deg);
    near(asked.tilt, tilt_deg);
}
