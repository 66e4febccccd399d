//! What control channels set going and set for good: resets of every part, dimmer curves. Worked examples,
//! unless a line says otherwise.

use std::sync::Arc;

use slotwright::motion::Pose;
use slotwright::profile::Profile;

use crate::heads::{alder, still};
use crate::motion::Course;

#[track_caller]
fn near(got: f64, expected: f64) {
    assert!((got - expected).abs() <= 1e-9, "{got} is not {expected}");
}

/// A head of which a control channel resets a part: hold 1 s, takes 10 s. From end to end, zoom takes 2 s and
/// all else 1 s; the pattern wheel has 4 slots, 0.1 s each.
fn resetting(part: &str) -> Arc<Profile> {
    let channels = format!(
        r#"(name: "Zoom", at: [1], ranges: [(from: 0, to: 255, does: Zoom(deg: (8.0, 40.0)))]),
        (name: "Focus", at: [2], ranges: [(from: 0, to: 255, does: Focus(percent: (0.0, 100.0)))]),
        (name: "Iris", at: [3], ranges: [(from: 0, to: 255, does: Iris(percent: (100.0, 0.0)))]),
        (name: "Frost", at: [4], ranges: [(from: 0, to: 255, does: Frost(percent: (0.0, 100.0)))]),
        (name: "Cyan", at: [5], ranges: [
          (from: 0, to: 255, does: Filter(name: cyan, percent: (0.0, 100.0)))]),
        (name: "Blade", at: [6], ranges: [
          (from: 0, to: 255, does: Blade(blade: 1, percent: (0.0, 100.0)))]),
        (name: "Pattern", at: [7], ranges: [
          (from: 0, to: 127, does: Slot(wheel: "pattern", slot: 1)),
          (from: 128, to: 255, does: Slot(wheel: "pattern", slot: 3))]),
        (name: "Rotation", at: [8], ranges: [
          (from: 0, to: 127, does: Turn(wheel: "pattern", deg: (0.0, 127.0))),
          (from: 128, to: 255, does: Spin(wheel: "pattern", rpm: (6.0, 6.0)))]),
        (name: "Pan", at: [9], default: 128, ranges: [
          (from: 0, to: 255, does: Pan(deg: (-128.0, 127.0)))]),
        (name: "Control", at: [10], ranges: [
          (from: 0, to: 249, does: Idle),
          (from: 250, to: 255, does: Reset(part: {part}, hold_s: 1.0, takes_s: 10.0))]),"#
    );
    let more = r#"
        wheels: {"pattern": (move_s: 0.1, shortest: false, slots: [
          Open, Pattern("a", "dots"), Pattern("b", "bars"), Pattern("c", "rings")])},
        times: (zoom_s: 2.0, focus_s: 1.0, iris_s: 1.0, frost_s: 1.0, filter_s: 1.0, blade_s: 1.0, turn_s: 1.0),"#;
    let mut profile = Profile::clone(&still(10, &channels, more));
    profile.head = alder().head.clone();
    Arc::new(profile)
}

/// Everything at its far end, and the control channel at a value.
fn at_the_far_end(control: u8) -> [u8; 10] {
    [255, 255, 255, 255, 255, 255, 255, 90, 200, control]
}

#[track_caller]
fn zoom(pose: &Pose) -> f64 {
    pose.zoom_deg.expect("a zoom")
}

#[test]
fn a_whole_reset_takes_every_part_home_in_its_own_time_and_back() {
    let mut course = Course::arrived(&resetting("Whole"), &at_the_far_end(0));
    let before = course.pose(0.0);
    course.send(0.0, &at_the_far_end(255));
    assert_eq!(course.pose(0.99), before, "the hold is not over");
    course.send(1.5, &at_the_far_end(0));
    // Half a second on: zoom a quarter of its way home, the others half of theirs.
    let on_its_way = course.pose(1.5);
    near(zoom(&on_its_way), 32.0);
    near(on_its_way.focus.expect("a focus"), 0.5);
    near(on_its_way.iris, 0.5);
    near(on_its_way.frost, 0.5);
    near(on_its_way.cells[0].filters[0], 0.5);
    near(on_its_way.blades[0].0, 0.5);
    // 90 degrees at 360 degrees a second.
    near(on_its_way.wheels[0].turn_deg, 0.0);
    let home = course.pose(8.9);
    assert_eq!((zoom(&home), home.focus, home.iris, home.frost), (8.0, Some(0.0), 1.0, 0.0));
    assert_eq!((home.cells[0].filters[0], home.blades[0].0), (0.0, 0.0));
    assert_eq!((home.wheels[0].place, home.pan_deg, home.light()), (1.0, 0.0, 0.0));
    // The last fifth of its time it goes back, still dark, and has arrived when it is over.
    let back = course.pose(9.5);
    near(zoom(&back), 16.0);
    near(back.frost, 0.5);
    near(back.cells[0].filters[0], 0.5);
    near(course.head().arrives_s().optics_s, 11.0);
    assert_eq!(course.pose(11.0), before);
}

#[test]
fn what_is_asked_during_a_reset_is_done_after_it() {
    let mut course = Course::arrived(&resetting("Whole"), &at_the_far_end(0));
    course.send(0.0, &at_the_far_end(255));
    let mut levels = at_the_far_end(0);
    (levels[0], levels[3], levels[7]) = (0, 0, 200);
    course.send(4.0, &levels);
    assert_eq!((zoom(&course.pose(8.9)), course.pose(8.9).wheels[0].spin_rpm), (8.0, 0.0));
    let after = course.pose(30.0);
    assert_eq!((zoom(&after), after.frost, after.focus), (8.0, 0.0, Some(1.0)));
    assert_eq!(after.wheels[0].spin_rpm, 6.0);
}

#[test]
fn a_reset_of_one_part_leaves_the_others_where_they_are() {
    let mut course = Course::arrived(&resetting("Aim"), &at_the_far_end(0));
    let before = course.pose(0.0);
    course.send(0.0, &at_the_far_end(255));
    let during = course.pose(8.9);
    assert_eq!((zoom(&during), during.wheels[0].place), (zoom(&before), before.wheels[0].place));
    assert_eq!(during.cells[0].filters, before.cells[0].filters);
    assert_eq!(during.pan_deg, 0.0);
    let mut course = Course::arrived(&resetting("Effects"), &at_the_far_end(0));
    course.send(0.0, &at_the_far_end(255));
    let during = course.pose(8.9);
    assert_eq!((during.pan_deg, zoom(&during), during.wheels[0].place), (before.pan_deg, 8.0, 1.0));
}

// Common practice, no source: a control channel that is normal through 249 and resets from 250 only after
// about 5 s of hold.
#[test]
fn a_control_channel_is_normal_up_to_249_and_resets_from_250_after_5_s() {
    let channels = r#"
        (name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
        (name: "Control", at: [2], ranges: [
          (from: 0, to: 249, does: Idle), (from: 250, to: 255, does: Reset(hold_s: 5.0, takes_s: 20.0))]),"#;
    let profile = still(2, channels, "");
    for (value, held_s, resets) in [(249, 60.0, false), (250, 4.9, false), (250, 5.1, true)] {
        let mut course = Course::arrived(&profile, &[255, 0]);
        course.send(1.0, &[255, value]);
        let dark = course.pose(1.0 + held_s).light() == 0.0;
        assert_eq!(dark, resets, "{value} held {held_s} s");
    }
}

/// A dimmer at a level, and a channel that chooses its curve: square after 3 s, linear at once.
fn curved(values: [u8; 2]) -> Course {
    let channels = r#"
        (name: "Dimmer", at: [1], ranges: [
          (from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))]),
        (name: "Curve", at: [2], ranges: [
          (from: 0, to: 9, does: Idle),
          (from: 10, to: 19, does: UseCurve(curve: Square, hold_s: 3.0)),
          (from: 20, to: 255, does: UseCurve(curve: Linear, hold_s: 0.0))]),"#;
    Course::arrived(&still(2, channels, ""), &values)
}

#[test]
fn a_chosen_curve_acts_after_its_hold_and_outlives_the_value() {
    let mut course = curved([51, 0]);
    course.send(1.0, &[51, 15]);
    near(course.pose(3.9).light(), 0.2);
    near(course.pose(4.1).light(), 0.04);
    course.send(5.0, &[51, 0]);
    near(course.pose(60.0).light(), 0.04);
    course.send(61.0, &[102, 0]);
    near(course.pose(61.0).light(), 0.16);
    course.send(62.0, &[102, 30]);
    near(course.pose(62.0).light(), 0.4);
    course.send(63.0, &[102, 0]);
    near(course.pose(70.0).light(), 0.4);
}

#[test]
fn a_curve_that_is_let_go_early_is_not_chosen() {
    let mut course = curved([51, 0]);
    course.send(1.0, &[51, 15]);
    course.send(3.9, &[51, 0]);
    near(course.pose(30.0).light(), 0.2);
    // One that was held for long before the first look has been chosen.
    let mut course = curved([51, 15]);
    near(course.pose(0.0).light(), 0.04);
    course.send(1.0, &[51, 0]);
    near(course.pose(1.0).light(), 0.04);
}
