//! Looking back at what was, and plotting any channel of up to eight heads.

use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::clock::{FRAME_S, Mode};
use slotwright::app::shell::App;
use slotwright::app::trace::MOST_HEADS;
use slotwright::app::transport::mode_words;
use slotwright::app::{Command, How};
use slotwright::wire::{Slot, Universe};

use crate::desk::{USUAL, apply, demo, slow_desk_of, state};

/// Fixture 101 of the demo: a spot at universe 1, slot 1. Pan at offset 1, aim speed at 5.
const SPOT: usize = 0;

/// The window with the plot open and time running; 101 was sent to pan slot 250 after 0.5 s, and to 40
/// after 1.5 s; 2 s have passed.
fn desk() -> Harness<'static, App> {
    let mut desk = slow_desk_of(USUAL, demo());
    apply(&mut desk, Command::Select { fixtures: vec![SPOT], how: How::Replace });
    set(&mut desk, 1, 10);
    for key in [Key::P, Key::Space] {
        desk.key_press(key);
        desk.step();
    }
    for (steps, value) in [(10, 250), (20, 40), (10, 40)] {
        desk.run_steps(steps);
        set(&mut desk, 1, value);
    }
    desk.key_press(Key::Space);
    desk.step();
    desk
}

fn set(desk: &mut Harness<'static, App>, slot: u16, value: u8) {
    let values = vec![(Slot::new(slot).expect("a slot"), value)];
    let ctx = desk.ctx.clone();
    let command = Command::SetSlots { universe: Universe::ONE, values, gesture: false };
    desk.state_mut().state.apply(&ctx, command);
}

fn pan_deg(desk: &Harness<'static, App>) -> f64 {
    state(desk).clock.poses()[SPOT].as_ref().expect("it moves").pan_deg
}

fn first_slot(desk: &Harness<'static, App>) -> Option<u8> {
    state(desk).frames().state(Universe::ONE, Slot::new(1).expect("a slot")).value()
}

#[test]
fn the_stage_goes_back_to_what_was_and_play_goes_on_from_the_present() {
    let mut desk = desk();
    let (now_s, now_deg) = (state(&desk).clock.t_s, pan_deg(&desk));
    apply(&mut desk, Command::LookBack(0.2));
    let begun_deg = pan_deg(&desk);
    assert_eq!(first_slot(&desk), Some(10), "with the slots that stood then");
    assert!(mode_words(state(&desk)).starts_with("looking back at 0.20 s"));
    apply(&mut desk, Command::LookBack(1.2));
    assert_eq!(first_slot(&desk), Some(250));
    assert!((pan_deg(&desk) - begun_deg).abs() > 50.0, "on its way then");
    desk.get_by_label_contains("Arrives in");
    assert_eq!(state(&desk).clock.mode, Mode::Paused);
    assert_eq!(
        state(&desk)
            .document
            .show()
            .levels
            .state(Universe::ONE, Slot::new(1).expect("one"))
            .value(),
        Some(40)
    );
    desk.key_press(Key::Space);
    desk.step();
    assert!((state(&desk).clock.shown_s() - now_s).abs() < 0.2, "{}", state(&desk).clock.shown_s());
    assert_eq!(first_slot(&desk), Some(40));
    assert!((pan_deg(&desk) - now_deg).abs() < 60.0);
}

#[test]
fn an_edit_while_looking_back_is_of_the_present() {
    let mut desk = desk();
    let now_s = state(&desk).clock.t_s;
    apply(&mut desk, Command::LookBack(0.7));
    set(&mut desk, 1, 99);
    desk.run();
    assert_eq!((state(&desk).clock.shown_s(), first_slot(&desk)), (now_s, Some(99)));
}

#[test]
fn steps_lead_back_and_forth() {
    let mut desk = desk();
    let now_s = state(&desk).clock.t_s;
    for _ in 0..2 {
        desk.key_press(Key::Comma);
        desk.run();
    }
    assert!((state(&desk).clock.shown_s() - (now_s - 2.0 * FRAME_S)).abs() < 1e-9);
    for _ in 0..2 {
        desk.key_press(Key::Period);
        desk.run();
    }
    assert!((state(&desk).clock.shown_s() - now_s).abs() < 1e-9);
    assert!(state(&desk).clock.past.is_none());
}

#[test]
fn the_plot_is_dragged_through_what_was_recorded() {
    let mut desk = desk();
    let plot = desk.get_by_label("Plot of pan, deg").rect();
    let at = egui::pos2(plot.left() + plot.width() * 0.08, plot.center().y);
    desk.hover_at(at);
    desk.step();
    desk.drag_at(at);
    desk.step();
    desk.hover_at(at + egui::vec2(6.0, 0.0));
    desk.step();
    desk.drop_at(at + egui::vec2(6.0, 0.0));
    desk.run();
    let shown_s = state(&desk).clock.shown_s();
    assert!(state(&desk).clock.past.is_some() && (0.5..1.3).contains(&shown_s), "{shown_s}");
}

#[test]
fn heads_that_are_selected_later_have_their_course_too() {
    let mut desk = desk();
    let count = state(&desk).show().rig.len();
    apply(&mut desk, Command::Select { fixtures: (0..count).collect(), how: How::Replace });
    let course = state(&desk).course();
    assert_eq!(course.fixtures().len(), MOST_HEADS);
    let (from_s, to_s) = course.span_s().expect("something was recorded");
    assert!(from_s == 0.0 && (to_s - state(&desk).clock.t_s).abs() < 1e-9, "{from_s} {to_s}");
    let points = course.points(0, true, 0.0);
    let spread = |points: &[[f64; 2]]| {
        let values = points.iter().map(|[_, value]| *value);
        values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min)
    };
    assert!(spread(&points) > 50.0, "101 moved");
}

#[test]
fn any_channel_can_be_plotted() {
    let mut desk = desk();
    assert!(desk.query_by_label("Plot of Cyan, %").is_none());
    desk.get_by_label("Channels").click();
    desk.run();
    desk.get_by_role_and_label(egui::Role::CheckBox, "Cyan").click();
    desk.run();
    assert_eq!(state(&desk).preferences.plot.more, ["Cyan"]);
    let column = state(&desk).course().columns().iter().position(|column| column.name == "Cyan");
    let points = state(&desk).course().points(column.expect("it is followed"), true, 0.0);
    assert!(points.len() > 20, "also of the time before it was chosen");
    desk.get_by_label("Plot of Cyan, %");
}
