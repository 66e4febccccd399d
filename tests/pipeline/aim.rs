//! Where a head points: from the frame through the pose to the beam and the place it lands.
//!
//! Axes of DIN SPEC 15800: right-handed, z up, a hanging head's beam along -z, pan about z, tilt about x. The
//! sense of rotation is not defined there; the right-hand rule is taken: d = Rz(pan) Rx(tilt) (0, 0, -1).

use glam::DVec3;
use proptest::prelude::*;
use slotwright::light::Beam;
use slotwright::rig::orientation::{head_frame, mirror_frame};
use slotwright::rig::{Aim, Fixture, Hang, InHead};
use slotwright::wire::Frame;

use crate::heads::{ALDER_LIT, Stage, alder, fixture};

#[track_caller]
fn near(got: DVec3, expected: DVec3, within: f64) {
    assert!((got - expected).length() <= within, "{got} is not {expected} within {within}");
}

/// The 16-bit values that aim ALDER-16 closest to these angles.
fn levels_for(pan_deg: f64, tilt_deg: f64) -> [u8; 16] {
    let value = |deg: f64, half_travel: f64| {
        ((deg + half_travel) / (2.0 * half_travel) * 65_535.0).round() as u16
    };
    let mut levels = ALDER_LIT;
    let (pan, tilt) = (value(pan_deg, 270.0), value(tilt_deg, 135.0));
    levels[..2].copy_from_slice(&pan.to_be_bytes());
    levels[2..4].copy_from_slice(&tilt.to_be_bytes());
    levels
}

/// The beam of ALDER-16 hung 6 m high, as `change` leaves it, aimed through a frame.
#[track_caller]
fn beam_of(pan_deg: f64, tilt_deg: f64, change: impl FnOnce(&mut Fixture)) -> Beam {
    let mut head = fixture(&alder(), 1, 1);
    change(&mut head);
    let mut stage = Stage::of(&[alder()], vec![head]);
    stage.send(&Frame::levels(levels_for(pan_deg, tilt_deg)).expect("16 slots"));
    stage.beams().into_iter().next().expect("the head is lit")
}

/// Where a beam meets the floor.
fn lands(beam: &Beam) -> DVec3 {
    let along = -beam.cone.apex.z / beam.cone.axis.z;
    beam.cone.apex + beam.cone.axis * along
}

/// One step of a 16-bit tilt over 270 degrees is 72 microradians; half of that is the rounding.
const STEP_RAD: f64 = 270.0 / 65_535.0 * std::f64::consts::PI / 180.0;

// Trigonometry: a ray from height h at t from the vertical meets the floor h tan t away.
#[test]
fn a_head_hung_at_h_and_tilted_t_lands_at_h_tan_t() {
    for tilt_deg in [-60.0, -35.0, 0.0, 10.0, 30.0, 45.0, 70.0] {
        let tilt_rad = f64::to_radians(tilt_deg);
        let beam = beam_of(0.0, tilt_deg, |_| {});
        let expected = DVec3::Y * 6.0 * tilt_rad.tan();
        // The floor moves h / cos^2 t for each radian of tilt.
        near(lands(&beam), expected, 6.0 / tilt_rad.cos().powi(2) * 2.0 * STEP_RAD);
    }
}

// Worked examples of DIN SPEC 15800's axes with the right-hand rule, 6 m high.
#[test]
fn pan_turns_the_spot_anticlockwise_seen_from_above() {
    for (pan_deg, tilt_deg, spot) in [
        (0.0, 30.0, DVec3::new(0.0, 3.4641, 0.0)),
        (90.0, 45.0, DVec3::new(-6.0, 0.0, 0.0)),
        (-45.0, 45.0, DVec3::new(4.2426, 4.2426, 0.0)),
    ] {
        near(lands(&beam_of(pan_deg, tilt_deg, |_| {})), spot, 2e-3);
    }
}

// Worked example: level at the back wall, then pan 30 degrees, under both senses of pan: to the left of
// straight upstage where positive is anticlockwise from above, as far to the right where it is not.
// Standing, each is the other way round.
#[test]
fn the_two_senses_of_pan_are_mirror_images_and_standing_swaps_them() {
    let (sin, cos) = f64::to_radians(30.0).sin_cos();
    for (hang, left) in [(Hang::Hung, -sin), (Hang::Standing, sin)] {
        for (invert_pan, x) in [(false, left), (true, -left)] {
            let beam = beam_of(30.0, 90.0, |head| {
                head.hang = hang;
                head.aim.invert_pan = invert_pan;
            });
            near(beam.cone.axis, DVec3::new(x, cos, 0.0), 1e-3);
        }
    }
}

#[test]
fn a_standing_head_points_up_and_pans_the_other_way_seen_from_above() {
    let stand = |head: &mut Fixture| head.hang = Hang::Standing;
    near(beam_of(0.0, 0.0, stand).cone.axis, DVec3::Z, 1e-4);
    near(beam_of(0.0, 90.0, stand).cone.axis, DVec3::Y, 1e-4);
    let (hung, standing) = (beam_of(30.0, 90.0, |_| {}), beam_of(30.0, 90.0, stand));
    // From straight upstage: to the left (anticlockwise from above) hung, to the right standing.
    assert!(hung.cone.axis.x < -0.4 && standing.cone.axis.x > 0.4);
    assert!((hung.cone.axis.x + standing.cone.axis.x).abs() < 1e-3, "as far");
}

#[test]
fn a_head_on_its_side_points_away_from_the_wall_it_is_on() {
    for (turn_deg, axis) in [(0.0, DVec3::NEG_X), (90.0, DVec3::NEG_Y), (180.0, DVec3::X)] {
        let beam = beam_of(0.0, 0.0, |head| head.hang = Hang::OnSide { turn_deg });
        near(beam.cone.axis, axis, 1e-3);
    }
}

// Worked example: two heads half a turn apart, the same values; the second spot lands mirrored.
#[test]
fn a_head_hung_the_other_way_round_throws_to_the_other_side() {
    let turned = |head: &mut Fixture| head.hang = Hang::HungTurned { turn_deg: 180.0 };
    let (one, two) = (beam_of(20.0, 40.0, |_| {}), beam_of(20.0, 40.0, turned));
    let mirrored = DVec3::new(-lands(&one).x, -lands(&one).y, 0.0);
    near(lands(&two), mirrored, 1e-9);
}

// Worked examples: pan +30 with both inverts, and inverts close to the centre.
#[test]
fn inverting_in_the_head_and_in_the_patch_undoes_itself() {
    let invert = |aim: bool, in_head: bool| {
        beam_of(30.0, 40.0, |head| {
            head.aim = Aim { invert_pan: aim, invert_tilt: aim, ..Aim::default() };
            head.in_head =
                InHead { invert_pan: in_head, invert_tilt: in_head, ..InHead::default() };
        })
    };
    let plain = invert(false, false);
    near(invert(true, true).cone.axis, plain.cone.axis, 1e-12);
    near(invert(true, false).cone.axis, invert(false, true).cone.axis, 1e-12);
    assert!((invert(true, false).cone.axis - plain.cone.axis).length() > 0.5);
}

#[test]
fn inverting_pan_at_its_centre_moves_next_to_nothing() {
    let pose = |invert_pan: bool| {
        let mut head = fixture(&alder(), 1, 1);
        head.aim.invert_pan = invert_pan;
        let mut stage = Stage::of(&[alder()], vec![head]);
        stage.send(&Frame::levels(ALDER_LIT).expect("16 slots"));
        stage.pose().pan_deg
    };
    // Pan at (128, 0): one 16-bit step of 540 degrees.
    assert!((pose(false) - pose(true) - 540.0 / 65_535.0).abs() < 1e-12);
}

// Worked example: an axis above the horizon can catch the sun.
#[test]
fn a_tilt_beyond_a_right_angle_looks_above_the_horizon() {
    assert!(beam_of(0.0, 100.0, |_| {}).cone.axis.z > 0.1);
    assert!(beam_of(0.0, 0.0, |_| {}).cone.axis.z < -0.999);
}

// Continuity from pole to pole: no step of either axis turns the beam, or its up, by more than the step.
#[test]
fn a_sweep_of_every_pan_and_tilt_value_never_jumps() {
    let mut stage = Stage::one(&alder());
    for (first_slot, travel_deg) in [(0, 540.0_f64), (2, 270.0)] {
        let step_rad = (travel_deg / 65_535.0).to_radians();
        let mut before: Option<(DVec3, DVec3)> = None;
        for value in 0..=65_535u16 {
            let mut levels = levels_for(0.0, 100.0);
            levels[first_slot..first_slot + 2].copy_from_slice(&value.to_be_bytes());
            stage.send(&Frame::levels(levels).expect("16 slots"));
            let pose = stage.pose();
            let frame = head_frame(Hang::Hung, pose.pan_deg, pose.tilt_deg);
            if let Some((axis, up)) = before {
                assert!((frame.axis - axis).length() <= step_rad * 1.001, "axis at {value}");
                assert!((frame.up - up).length() <= step_rad * 1.001, "up at {value}");
            }
            before = Some((frame.axis, frame.up));
        }
    }
}

proptest! {
    // A head on a yoke: pan + 180 with the tilt negated points the same way.
    #[test]
    fn a_head_reaches_the_same_direction_from_both_sides(
        pan_deg in -90.0..90.0f64,
        tilt_deg in -135.0..135.0f64,
        turns in (0.0..360.0f64, 0.0..360.0f64, 0.0..360.0f64),
    ) {
        let hang = Hang::Turned { x_deg: turns.0, y_deg: turns.1, z_deg: turns.2 };
        let one = head_frame(hang, pan_deg, tilt_deg);
        let two = head_frame(hang, pan_deg + 180.0, -tilt_deg);
        prop_assert!((one.axis - two.axis).length() < 1e-9);
    }

    // Frames stay orthonormal however the fixture hangs.
    #[test]
    fn a_frame_is_square_however_the_fixture_hangs(
        pan_deg in -720.0..720.0f64,
        tilt_deg in -360.0..360.0f64,
        turns in (0.0..360.0f64, 0.0..360.0f64, 0.0..360.0f64),
    ) {
        let hang = Hang::Turned { x_deg: turns.0, y_deg: turns.1, z_deg: turns.2 };
        for frame in [head_frame(hang, pan_deg, tilt_deg), mirror_frame(hang, pan_deg, tilt_deg)] {
            prop_assert!((frame.axis.length() - 1.0).abs() < 1e-12);
            prop_assert!((frame.up.length() - 1.0).abs() < 1e-12);
            prop_assert!(frame.axis.dot(frame.up).abs() < 1e-12);
        }
    }
}
