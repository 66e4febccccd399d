//! Motion under limits of speed and acceleration, first-order lags, and the wait for a lost signal.

use slotwright::motion::course::stops_at;
use slotwright::motion::lag::{Law, Response};
use slotwright::motion::{Course, Limits};
use slotwright::profile::{OnLoss, times::LOSS_AFTER_S};

use super::assert_near;

const PAN: Limits = Limits { speed_deg_s: 240.0, accel_deg_s2: 400.0 };
const TILT: Limits = Limits { speed_deg_s: 200.0, accel_deg_s2: 400.0 };

#[track_caller]
fn takes(from: (f64, f64), to_deg: f64, limits: Limits, expected_s: f64) {
    let course = Course::to(0.0, from, to_deg, limits);
    assert_near(course.end_s(), expected_s, 5e-4);
    assert_eq!(course.at(course.end_s()), (to_deg, 0.0));
}

// Lynch and Park, Modern Robotics, 9.2.2.2 (from memory): below v²/a a triangle of 2 sqrt(d/a), above it
// a trapezoid of d/v + v/a. Worked by hand: pan 240²/400 = 144 deg, tilt 200²/400 = 100 deg.
#[test]
fn from_rest_to_rest_takes_a_triangle_or_a_trapezoid() {
    for (deg, s) in [(10.0, 0.316), (90.0, 0.949), (180.0, 1.350), (370.0, 2.142), (540.0, 2.850)] {
        takes((0.0, 0.0), deg, PAN, s);
        takes((deg, 0.0), 0.0, PAN, s);
    }
    for (deg, s) in [(45.0, 0.671), (90.0, 0.949), (270.0, 1.850)] {
        takes((-deg / 2.0, 0.0), deg / 2.0, TILT, s);
    }
}

// The same law at the half-way point of a triangle: it is in the middle at its top speed, sqrt(d a).
#[test]
fn a_triangle_is_half_way_at_half_time() {
    let course = Course::to(0.0, (0.0, 0.0), 90.0, PAN);
    let (deg, deg_s) = course.at(course.end_s() / 2.0);
    assert_near(deg, 45.0, 1e-9);
    assert_near(deg_s, (90.0f64 * 400.0).sqrt(), 1e-9);
}

// Worked by hand. Moving at 200 deg/s with 400 deg/s2 it stops within 200²/800 = 50 deg.
#[test]
fn a_start_with_speed_brakes_cruises_or_turns_round() {
    assert_near(stops_at((10.0, 200.0), 400.0), 60.0, 1e-12);
    // Exactly the way it takes to stop: 200/400 s.
    takes((10.0, 200.0), 60.0, PAN, 0.5);
    // Back to where it is: stop 0.5 s, then 50 deg back, 2 sqrt(50/400) = 0.7071 s.
    takes((10.0, 200.0), 10.0, PAN, 1.2071);
    // Away from the target: 0.5 s to stop 50 deg further off, then 144 deg in 2 sqrt(144/400) = 1.2 s.
    takes((0.0, -200.0), 94.0, PAN, 1.7);
    // On to 240 deg/s: 0.1 s and 22 deg; down from it: 0.6 s and 72 deg; 206 deg at 240 deg/s between.
    takes((0.0, 200.0), 300.0, PAN, 0.1 + 206.0 / 240.0 + 0.6);
    // A lower limit comes in mid-move: 200 to 100 deg/s in 0.25 s and 37.5 deg, 12.5 deg to stop.
    let slow = Limits { speed_deg_s: 100.0, ..PAN };
    takes((0.0, 200.0), 150.0, slow, 0.25 + 1.0 + 0.25);
}

// d/v + v/a = T has v = (aT - sqrt(a²T² - 4ad)) / 2; for 90 deg in 3 s at 400 deg/s2 that is 30.79 deg/s.
#[test]
fn a_move_in_a_time_takes_that_time() {
    let course = Course::in_time(1.0, (0.0, 0.0), 90.0, 3.0, PAN);
    assert_near(course.end_s(), 4.0, 1e-9);
    assert_near(course.at(2.5).1, 30.79, 5e-3);
    // With too little time it goes as fast as it can.
    assert_near(Course::in_time(0.0, (0.0, 0.0), 90.0, 0.1, PAN).end_s(), 0.949, 5e-4);
    // Already faster than it needs to be: 200 deg/s, 200 deg in 4 s. Braking takes 50 deg and 0.5 s in
    // all, the rest is 150 deg in 3.5 s.
    let course = Course::in_time(0.0, (0.0, 200.0), 200.0, 4.0, PAN);
    assert_near(course.end_s(), 4.0, 1e-9);
    assert_near(course.at(2.0).1, 150.0 / 3.5, 1e-9);
}

// Definition of the time constant of a first-order lag: 1 - 1/e of a step after one, 1 - 1/e² after two.
#[test]
fn a_lag_has_63_percent_of_a_step_after_one_time_constant() {
    let law = Law::Lag { rise_s: 0.12, fall_s: 0.3 };
    let mut glow = Response::at_rest(0.0);
    glow.ask(5.0, 1.0, law);
    assert_near(glow.at(5.12), 0.632, 5e-4);
    assert_near(glow.at(5.24), 0.865, 5e-4);
    glow.ask(20.0, 0.0, law);
    assert_near(glow.at(20.3), 1.0 - 0.632, 5e-4);
    assert_eq!(glow.at(40.0), 0.0);
}

// ANSI E1.11-2008: a receiver accepts up to 1.25 s between breaks (as quoted by implementations).
#[test]
fn a_signal_is_lost_after_the_longest_time_between_breaks() {
    assert_eq!(LOSS_AFTER_S, 1.25);
    assert_eq!(OnLoss::default().wait_s(), 1.25);
}
