//! Timed frames played to a rig, and heads asked for something at a time.

use std::sync::Arc;

use slotwright::motion::{Lamp, Playback, Pose, Reset, RigMotion, now};
use slotwright::wire::{Frames, TimedFrames, parse_timed_frames};

use crate::heads::{ALDER_LIT, Stage, alder};

fn timed(text: &str) -> Arc<TimedFrames> {
    Arc::new(parse_timed_frames(text, None).expect("the timed frames read").timed)
}

/// One ALDER-16 at slot 1, lit and straight ahead, and these changes.
fn alder_playing(text: &str) -> (Stage, Playback) {
    let stage = Stage::sent(&alder(), &ALDER_LIT);
    let playback = Playback::new(timed(text), &stage.rig, &stage.plan, &stage.frames);
    (stage, playback)
}

#[track_caller]
fn pose_at(stage: &Stage, playback: &mut Playback, t_s: f64) -> Pose {
    playback.seek(&stage.plan, t_s);
    playback.poses().remove(0).expect("the head has a profile")
}

#[track_caller]
fn near(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
}

/// Every slot of one ALDER-16 changed `hz` times a second. Control stays at rest, so that all moves.
fn changing(seconds: u32, hz: u32) -> String {
    let mut text = String::from("seconds,universe,slot,value\n");
    let mut random = 1u32;
    for i in 0..seconds * hz {
        for slot in 1..=14 {
            random = random.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            text.push_str(&format!("{},1,{slot},{}\n", f64::from(i) / f64::from(hz), random >> 24));
        }
    }
    text
}

/// What plays from the start to a time.
fn played(stage: &Stage, timed: &TimedFrames, t_s: f64) -> Pose {
    let mut frames = stage.frames.clone();
    let mut decoded = stage.plan.start();
    stage.plan.decode(&frames, &mut decoded);
    let mut motion = RigMotion::arrived(&stage.rig, &stage.plan, &frames, &decoded, 0.0);
    for (at_s, changes) in timed.between(-1.0, t_s) {
        for change in changes {
            frames.set(change.universe, change.slot, change.value);
        }
        stage.plan.decode(&frames, &mut decoded);
        motion.frame(at_s, &stage.plan, &frames, &decoded);
    }
    motion.poses_at(t_s).remove(0).expect("the head has a profile")
}

/// Any order of seeks finds what playing from the start does, whether or not it was played ahead.
#[test]
fn a_seek_is_where_playing_from_the_start_would_be() {
    let (stage, mut playback) = alder_playing(&changing(40, 11));
    let whole = playback.timed().clone();
    for t_s in [0.0, 33.3, 0.0, 12.04, 12.05, 7.0, 39.9, 100.0, 3.21, 20.0] {
        let pose = pose_at(&stage, &mut playback, t_s);
        assert_eq!(pose, played(&stage, &whole, t_s), "{t_s} s");
        assert_eq!(playback.frames(), &whole.frames_from(&stage.frames, t_s), "{t_s} s");
    }
    let mut ahead = Playback::new(whole.clone(), &stage.rig, &stage.plan, &stage.frames);
    while ahead.prepare(&stage.plan, 50) {}
    assert_eq!(ahead.now_s(), 0.0);
    for t_s in [39.0, 1.5, 28.75] {
        assert_eq!(pose_at(&stage, &mut ahead, t_s), played(&stage, &whole, t_s), "{t_s} s");
    }
    assert!(ahead.every_s() <= 2.0, "{}", ahead.every_s());
}

#[test]
fn times_of_no_meaning_are_harmless() {
    let (stage, mut playback) = alder_playing("0,1,1,255\n");
    for t_s in [f64::NAN, f64::INFINITY, -5.0, 1e300] {
        assert!(pose_at(&stage, &mut playback, t_s).pan_deg.is_finite(), "{t_s}");
    }
    let empty = Arc::new(TimedFrames::default());
    let mut playback = Playback::new(empty, &stage.rig, &stage.plan, &Frames::default());
    playback.seek(&stage.plan, 10.0);
    assert!(!playback.prepare(&stage.plan, 1));
}

/// worked example: trapezoid of 240 deg/s and 400 deg/s2. 180 degrees take 180/240 + 240/400 = 1.35 s.
#[test]
fn a_head_takes_its_time_from_the_frame_on() {
    // 540 degrees in 65535 steps: 180 from the middle is 32767.5 + 180 / 540 * 65535 = 54612.5; 213 * 256 + 85 = 54613.
    let (stage, mut playback) = alder_playing("2,1,1,213\n2,1,2,85\n");
    near(pose_at(&stage, &mut playback, 1.999).pan_deg, 0.0, 0.01);
    // Half of a symmetric move is half of its time.
    near(pose_at(&stage, &mut playback, 2.0 + 0.675).pan_deg, 90.0, 0.02);
    assert!(pose_at(&stage, &mut playback, 2.0 + 1.34).pan_deg < 180.0);
    near(pose_at(&stage, &mut playback, 2.0 + 1.351).pan_deg, 180.0, 0.01);
    let arrives_s = playback.motion().head(0).and_then(|head| head.arrives_s().pan_s);
    near(arrives_s.expect("pan goes to a position"), 3.35, 0.001);
}

/// worked example: slot 5 at 196 is 60 degrees a second. 180/60 + 60/400 = 3.15 s.
#[test]
fn the_speed_slot_makes_the_same_move_longer() {
    let (stage, mut playback) = alder_playing("0,1,5,196\n2,1,1,213\n2,1,2,85\n");
    playback.seek(&stage.plan, 2.0);
    let arrives_s = playback.motion().head(0).and_then(|head| head.arrives_s().pan_s);
    near(arrives_s.expect("pan goes to a position"), 5.15, 0.002);
}

/// worked example: reset is 200..209 held 3 s and takes 25 s.
#[test]
fn a_reset_counts_its_hold_and_one_let_go_early_does_nothing() {
    let reset = |playback: &Playback| -> Option<Reset> { playback.motion().head(0)?.reset() };
    let (stage, mut early) = alder_playing("1,1,16,205\n3.9,1,16,0\n");
    assert_eq!(pose_at(&stage, &mut early, 3.0).light(), 1.0);
    let held = early.motion().head(0).and_then(|head| head.holds().next().copied());
    let held = held.expect("the reset value is held");
    assert_eq!((held.since_s, held.hold_s, held.done), (1.0, 3.0, false));
    assert_eq!(pose_at(&stage, &mut early, 10.0).light(), 1.0);
    assert_eq!(reset(&early), None);

    let (stage, mut full) = alder_playing("1,1,16,205\n4.1,1,16,0\n");
    assert_eq!(pose_at(&stage, &mut full, 3.99).light(), 1.0);
    assert_eq!(pose_at(&stage, &mut full, 4.01).light(), 0.0);
    assert_eq!(reset(&full).map(|reset| (reset.start_s, reset.end_s)), Some((4.0, 29.0)));
    assert!(pose_at(&stage, &mut full, 8.0).pan_deg < -200.0, "it finds its ends");
    assert_eq!(pose_at(&stage, &mut full, 29.1).light(), 1.0);
    near(pose_at(&stage, &mut full, 29.1).pan_deg, 0.0, 0.01);
}

/// worked example: lamp off held 5 s, lamp on held 1 s, cool-down 300 s.
#[test]
fn a_lamp_that_was_put_out_is_too_hot_to_strike() {
    let text = "0,1,16,215\n6,1,16,0\n20,1,16,225\n25,1,16,0\n310,1,16,225\n320,1,16,0\n";
    let (stage, mut playback) = alder_playing(text);
    for (t_s, lamp) in [
        (1.0, Lamp::Unknown),
        (5.5, Lamp::Hot),
        (30.0, Lamp::Hot),
        (306.0, Lamp::Off),
        (312.0, Lamp::Striking),
        (400.0, Lamp::On),
        (4.0, Lamp::Unknown),
    ] {
        assert_eq!(pose_at(&stage, &mut playback, t_s).lamp, lamp, "{t_s} s");
    }
}

/// A list of changes says nothing of the packets between them: E1.11's time-out of 1.25 s does not run.
#[test]
fn a_gap_between_changes_is_no_loss_of_the_signal() {
    let (stage, mut playback) = alder_playing("0,1,6,128\n60,1,6,255\n");
    near(pose_at(&stage, &mut playback, 59.0).light(), 128.0 / 255.0, 1e-9);
    assert_eq!(playback.motion().head(0).and_then(|head| head.lost_since_s()), None);
}

/// Played again and again, a loop is the same each time.
#[test]
fn a_loop_comes_back_to_the_same() {
    let (stage, mut playback) = alder_playing(&changing(6, 5));
    let length_s = playback.timed().duration_s() + 0.2;
    let at = |t_s: f64| t_s.rem_euclid(length_s);
    let mut first = Vec::new();
    for turn in 0..3 {
        for i in 0..40 {
            let pose = pose_at(&stage, &mut playback, at(f64::from(i) * 0.155));
            match turn {
                0 => first.push(pose),
                _ => assert_eq!(pose, first[i as usize], "turn {turn}, {i}"),
            }
        }
    }
}

/// What is done now stands in the terms of what is asked: invert, swap and offset are undone.
#[test]
fn now_is_told_as_the_channel_asks() {
    let mut stage = Stage::sent(&alder(), &ALDER_LIT);
    let aim = &mut stage.rig[0].aim;
    (aim.invert_pan, aim.swap, aim.tilt_offset_deg) = (true, true, 5.0);
    let frames = timed("1,1,1,160\n1,1,3,100\n");
    let mut playback = Playback::new(frames, &stage.rig, &stage.plan, &stage.frames);
    let pose = pose_at(&stage, &mut playback, 20.0);
    let head = playback.motion().head(0).expect("the head has a profile");
    let reading = stage.plan.reading(0, playback.frames(), playback.decoded());
    let reading = reading.expect("the head has a profile");
    for channel in reading.channels().take(2) {
        let told = now(head, &pose, &reading, &channel, 20.0).expect("an axis");
        let (deg, _) = told.value.expect("an angle");
        near(deg, channel.physical.expect("an angle is asked"), 1e-6);
        assert!(!told.differs, "{told:?}");
        let value = channel.held.value().map(f64::from);
        assert_eq!(told.channel_value, value, "the value that asks for just this");
    }
    near(pose.pan_deg, 2.0 * 29.53, 0.01);
}
