//! What holds for every course, however it is cut into steps.

use std::sync::Arc;

use proptest::prelude::*;
use slotwright::decode::{Asked, AxisAsk, ShutterAsk, TurnAsk, WheelPlace};
use slotwright::motion::shutter::ShutterMotion;
use slotwright::motion::wheel::{WheelLimits, WheelMotion};
use slotwright::motion::{Course, HeadMotion, Limits, Pose, RigMotion, Snapshots, settle};
use slotwright::profile::effect::Switch;
use slotwright::profile::{Library, Profile, Shape, Timing};
use slotwright::wire::Frame;

use crate::heads::{ALDER_LIT, Stage, alder, birch, cedar, dogwood, fixture, still};
use crate::motion;

fn limits() -> impl Strategy<Value = Limits> {
    (1.0..600.0f64, 10.0..4000.0f64)
        .prop_map(|(speed_deg_s, accel_deg_s2)| Limits { speed_deg_s, accel_deg_s2 })
}

/// Checks a course against its limits at many moments, and that it ends as it says.
fn check(
    course: &Course,
    from: (f64, f64),
    target_deg: f64,
    limits: Limits,
) -> Result<(), TestCaseError> {
    let Limits { speed_deg_s: top, accel_deg_s2: accel } = limits;
    let end_s = course.end_s();
    prop_assert!(end_s.is_finite() && end_s >= 0.0);
    prop_assert_eq!(course.at(0.0).1, from.1);
    prop_assert!((course.at(0.0).0 - from.0).abs() < 1e-9);
    let steps = 500;
    let step_s = end_s / f64::from(steps);
    let mut before = from;
    for i in 1..=steps {
        let t_s = step_s * f64::from(i);
        let (deg, deg_s) = course.at(t_s);
        let most = top.max(from.1.abs() - accel * t_s);
        prop_assert!(deg_s.abs() <= most + 1e-6, "{} deg/s at {} s", deg_s, t_s);
        let change = (deg_s - before.1).abs();
        prop_assert!(change <= accel * step_s * (1.0 + 1e-6) + 1e-6, "acceleration at {} s", t_s);
        let moved = (deg - before.0).abs();
        let fastest = deg_s.abs().max(before.1.abs()) + accel * step_s;
        prop_assert!(moved <= fastest * step_s + 1e-6, "a jump of {} at {} s", moved, t_s);
        before = (deg, deg_s);
    }
    prop_assert_eq!(course.at(end_s), (target_deg, 0.0));
    // Just before the end it is nearly there: the end is no jump.
    let almost = course.at(end_s * (1.0 - 1e-9));
    prop_assert!((almost.0 - target_deg).abs() < 1e-3 && almost.1.abs() < 1e-2, "{:?}", almost);
    Ok(())
}

proptest! {
    #[test]
    fn every_move_keeps_its_limits_and_ends_on_its_target(
        from_deg in -270.0..270.0f64,
        from_deg_s in -600.0..600.0f64,
        target_deg in -270.0..270.0f64,
        limits in limits(),
    ) {
        let from = (from_deg, from_deg_s);
        check(&Course::to(0.0, from, target_deg, limits), from, target_deg, limits)?;
    }

    #[test]
    fn a_move_in_a_time_takes_it_or_is_the_quickest(
        from_deg in -270.0..270.0f64,
        from_deg_s in -200.0..200.0f64,
        target_deg in -270.0..270.0f64,
        takes_s in 0.0..60.0f64,
    ) {
        let limits = Limits { speed_deg_s: 240.0, accel_deg_s2: 400.0 };
        let from = (from_deg, from_deg_s);
        let course = Course::in_time(0.0, from, target_deg, takes_s, limits);
        check(&course, from, target_deg, limits)?;
        let quickest_s = Course::to(0.0, from, target_deg, limits).end_s();
        if takes_s > quickest_s {
            let end_s = course.end_s();
            prop_assert!((end_s - takes_s).abs() < 1e-6 * takes_s.max(1.0), "{} s", end_s);
        } else {
            prop_assert!(course.end_s() >= quickest_s - 1e-9);
        }
    }

    // Sent somewhere else in the middle of a move, and again: never a jump of place or speed, never past
    // an end stop.
    #[test]
    fn targets_that_change_mid_move_never_pass_the_ends(
        targets in prop::collection::vec((-270.0..=270.0f64, 0.0..1.5f64, 1.0..240.0f64), 1..12),
    ) {
        let (mut t_s, mut course) = (0.0, Course::rest(0.0, 0.0));
        for (target_deg, for_s, speed_deg_s) in targets {
            let limits = Limits { speed_deg_s, accel_deg_s2: 400.0 };
            course = Course::to(t_s, course.at(t_s), target_deg, limits);
            for i in 0..=50 {
                let (deg, _) = course.at(t_s + for_s * f64::from(i) / 50.0);
                prop_assert!(deg.abs() <= 270.0 + 1e-9, "{} deg", deg);
            }
            t_s += for_s;
        }
    }

    #[test]
    fn a_wheel_never_jumps_nor_outruns_its_rate(
        asks in prop::collection::vec((0..5u8, 1..=8u16, -60.0..60.0f64, 0.0..2.0f64), 1..10),
        shortest in any::<bool>(),
    ) {
        let limits = WheelLimits { slots: 8.0, slot_s: 0.15, shortest, turn_deg_s: 360.0 };
        let mut wheel = WheelMotion::at_rest(1.0, 3);
        let mut t_s = 0.0;
        for (kind, slot, rate, for_s) in asks {
            let place = match kind {
                0 => WheelPlace::At { place: f64::from(slot) },
                1 => WheelPlace::Shake { slot, hz: rate.abs() / 10.0 },
                2 => WheelPlace::Scroll { rpm: rate },
                3 => WheelPlace::Random { hz: rate.abs() / 10.0 },
                _ => WheelPlace::Stay,
            };
            let before = wheel.place(t_s, &limits);
            wheel.ask(t_s, place, &limits);
            wheel.turn.ask(t_s, TurnAsk::Spin { rpm: rate }, limits.turn_deg_s);
            // A tremble adds its own swing: 0.15 slots at up to 6 Hz.
            let most_per_s = 1.0 / 0.15 + 8.0 + 6.0;
            let mut last = before;
            for i in 0..=200 {
                let at_s = t_s + for_s * f64::from(i) / 200.0;
                let now = wheel.place(at_s, &limits);
                let moved = (now - last).abs();
                let moved = moved.min(8.0 - moved);
                let most = most_per_s * for_s / 200.0 + 1e-9;
                prop_assert!(moved <= most, "{:?}: {} to {} at {}", place, last, now, at_s);
                last = now;
            }
            t_s += for_s;
        }
    }

    // Mean light in closed form against a fine sum; the same seed gives the same flashes.
    #[test]
    fn mean_light_is_what_adds_up(
        hz in 0.2..25.0f64,
        shape in prop::sample::select(vec![Shape::Hard, Shape::Swell, Shape::Opening, Shape::Closing]),
        timing in prop::sample::select(vec![Timing::Even, Timing::Random, Timing::Burst]),
        from_s in 0.0..50.0f64,
        for_s in 0.01..3.0f64,
    ) {
        let mut shutter = ShutterMotion::open(9);
        shutter.ask(0.0, ShutterAsk::Flash { hz, shape, timing });
        let steps = 20_000;
        let step_s = for_s / f64::from(steps);
        let sum: f64 =
            (0..steps).map(|i| shutter.at(from_s + (f64::from(i) + 0.5) * step_s)).sum();
        let mean = shutter.mean_over(from_s, from_s + for_s);
        // Each edge of a hard flash costs half a step.
        let within = (2.0 + 2.0 * hz * for_s) / f64::from(steps) + 1e-6;
        prop_assert!((mean - sum / f64::from(steps)).abs() <= within, "{} {}", mean, sum);
        // Over 800 whole cycles, 100 bursts with their pauses, it is the mean.
        let long = shutter.mean_over(0.0, 800.0 / hz);
        prop_assert!((long - shutter.mean()).abs() < 1e-6, "{} {}", long, shutter.mean());
    }
}

/// Every number of a pose.
fn numbers(pose: &Pose) -> Vec<f64> {
    let mut all = vec![
        pose.pan_deg,
        pose.tilt_deg,
        pose.pan_spin_rpm,
        pose.tilt_spin_rpm,
        pose.zoom_deg.unwrap_or(-1.0),
        pose.focus.unwrap_or(-1.0),
        pose.iris,
        pose.frost,
        pose.frame_turn_deg,
        f64::from(pose.lamp as u8),
    ];
    all.extend(pose.blades.iter().flat_map(|(depth, turn)| [*depth, *turn]));
    for cell in &pose.cells {
        all.extend([cell.light, cell.instant, cell.temperature_k.unwrap_or(0.0)]);
        all.extend(cell.emitters.iter().chain(&cell.filters));
    }
    for wheel in &pose.wheels {
        all.extend([wheel.place, wheel.turn_deg, wheel.scroll_rpm, wheel.spin_rpm, wheel.shake_hz]);
    }
    all
}

#[track_caller]
fn same(one: &[Option<Pose>], other: &[Option<Pose>]) {
    for (a, b) in one.iter().flatten().zip(other.iter().flatten()) {
        for (x, y) in numbers(a).into_iter().zip(numbers(b)) {
            assert!((x - y).abs() <= 1e-4 * x.abs().max(1e-2), "{x} and {y} in\n{a:?}\n{b:?}");
        }
    }
}

fn profiles() -> Vec<Arc<Profile>> {
    let mut profiles = vec![alder(), birch(), cedar(), dogwood()];
    profiles.extend(Library::embedded().profiles().cloned());
    profiles
}

/// One of each, one behind the other.
fn every_head() -> Stage {
    let profiles = profiles();
    let mut next = 1;
    let rig = profiles.iter().zip(1..).map(|(profile, id)| {
        let first = next;
        next += profile.modes[0].slots;
        fixture(profile, id, first)
    });
    let rig = rig.collect();
    Stage::of(&profiles, rig)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    // One step of 1 s equals 40 of 25 ms, and none at all, with frames that change and holds that end.
    #[test]
    fn one_step_equals_many(
        frames in prop::collection::vec((prop::collection::vec(any::<u8>(), 300), 1..5u32), 1..5),
    ) {
        let start = motion::Course::of(every_head());
        let mut ends = Vec::new();
        for per_s in [0, 1, 40] {
            let mut stage = every_head();
            let mut motion = start.motion.clone();
            let mut now_s = 0.0;
            for (levels, for_s) in &frames {
                stage.send(&Frame::levels(levels.as_slice()).expect("300 slots"));
                motion.frame(now_s, &stage.plan, &stage.frames, &stage.decoded);
                for i in 1..=for_s * per_s {
                    motion.advance(now_s + f64::from(i) / f64::from(per_s));
                    motion.frame(motion.now_s(), &stage.plan, &stage.frames, &stage.decoded);
                }
                now_s += f64::from(*for_s);
            }
            ends.push(motion.poses_at(now_s + 0.37));
        }
        same(&ends[0], &ends[1]);
        same(&ends[1], &ends[2]);
    }

    // Given all the time it needs, a head does what the settled pose says, whatever it did before. Lamps
    // and switches have a memory, which the settled pose has not.
    #[test]
    fn the_settled_pose_is_the_limit(
        before in prop::collection::vec(any::<u8>(), 300),
        levels in prop::collection::vec(any::<u8>(), 300),
        from_rest in any::<bool>(),
    ) {
        let mut course = motion::Course::of(every_head());
        if !from_rest {
            course.send(0.0, &before);
        }
        course.send(0.9, &levels);
        course.motion.advance(20_000.0);
        let stage = &course.stage;
        for (i, (got, fixture)) in
            course.motion.poses_at(20_000.0).iter().zip(&stage.rig).enumerate()
        {
            let reading = stage.reading(i);
            let asked = reading.asked();
            let mut expected =
                settle(&reading.mode.profile, &fixture.aim, &fixture.in_head, &asked);
            let mut got = got.clone().expect("it has a profile");
            let head = course.motion.head(i).expect("it has a profile");
            let switched = Switch::ALL.into_iter().any(|switch| head.latched(switch).is_some());
            if !from_rest && (switched || head.chosen_curve().is_some()) {
                continue;
            }
            if !from_rest {
                expected.lamp = got.lamp;
            }
            forget_phases(&mut expected, &asked);
            forget_phases(&mut got, &asked);
            same(&[Some(expected)], &[Some(got)]);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    // Only what a frame changes is asked again: heads then do what they do when everything is.
    #[test]
    fn asking_for_what_changed_is_asking_for_all(
        first in prop::collection::vec(any::<u8>(), 300),
        changes in prop::collection::vec((0..300usize, any::<u8>(), 0.0..2.0f64), 1..60),
    ) {
        let mut course = motion::Course::of(every_head());
        let mut whole: Vec<HeadMotion> = (0..course.stage.rig.len())
            .map(|i| course.motion.head(i).expect("it has a profile").clone())
            .collect();
        let (mut levels, mut t_s) = (first, 0.0);
        for (slot, value, for_s) in changes {
            levels[slot] = value;
            course.send(t_s, &levels);
            for (i, head) in whole.iter_mut().enumerate() {
                // There is one of each mode, so that one set to follow has none to follow: it goes by its
                // own slots, and its pose says that nothing is known of it.
                head.ask(t_s, &course.stage.reading(i).asked());
            }
            t_s += for_s;
            for (i, head) in whole.iter().enumerate() {
                let pose = course.motion.head(i).expect("it has a profile").pose_at(t_s);
                prop_assert_eq!(pose, head.pose_at(t_s), "head {} at {} s", i, t_s);
            }
        }
    }

    // Sent on in the middle of a move, at whatever speed it has then, a head is where it was asked to be
    // from the time on that it said, and not before.
    #[test]
    fn a_head_arrives_when_it_says(
        sends in prop::collection::vec((any::<[u8; 5]>(), 0.0..1.5f64), 2..6),
    ) {
        let mut course = motion::Course::arrived(&alder(), &ALDER_LIT);
        let mut t_s = 0.0;
        for (aim, for_s) in sends {
            let mut levels = ALDER_LIT;
            levels[..4].copy_from_slice(&aim[..4]);
            levels[4] = aim[4] / 2;
            course.send(t_s, &levels);
            let arrives_s = course.head().arrives_s().aim_s().expect("a position");
            let (there, later) = (course.pose(arrives_s), course.pose(arrives_s + 100.0));
            prop_assert_eq!((there.pan_deg, there.tilt_deg), (later.pan_deg, later.tilt_deg));
            prop_assert_eq!(course.head().aim_speed_deg_s(arrives_s), (0.0, 0.0));
            if arrives_s > t_s + 1e-3 {
                let (pan, tilt) = course.head().aim_speed_deg_s(arrives_s - 1e-4);
                prop_assert!(pan != 0.0 || tilt != 0.0, "it stands before {} s", arrives_s);
            }
            t_s += for_s;
        }
    }
}

// The smallest case in which asking only where it follows nobody gave another pose: the wheel begins to
// scroll while the head is set to follow, and keeps that beginning when it no longer is. With no other of
// its mode, a head that is set to follow goes by its own slots.
#[test]
fn a_wheel_that_begins_to_scroll_while_there_is_none_to_follow_keeps_its_beginning() {
    let wheels = r#"wheels: { "pattern": (move_s: 0.1, slots: [Open, Open, Open, Open]) },"#;
    let channels = r#"
        (name: "Wheel", at: [1], ranges: [
            (from: 0, to: 127, does: Slot(wheel: "pattern", slot: 1)),
            (from: 128, to: 255, does: Scroll(wheel: "pattern", rpm: (3.0, 3.0))),
        ]),
        (name: "Run", at: [2], ranges: [(from: 0, to: 127, does: Idle), (from: 128, to: 255, does: Follow)]),"#;
    let mut course = motion::Course::arrived(&still(2, channels, wheels), &[0, 255]);
    course.send(1.0, &[255, 255]);
    course.send(3.0, &[255, 0]);
    // 3 rpm of 4 slots are a fifth of a slot each second, from 1 s on: 5 s make one slot.
    let place = course.pose(6.0).wheels[0].place;
    assert!((place - 2.0).abs() < 1e-9, "{place}");
}

/// Takes out what turns, trembles and flashes, and what stays where it was.
fn forget_phases(pose: &mut Pose, asked: &Asked) {
    if !matches!(asked.pan, AxisAsk::To { .. }) {
        pose.pan_deg = 0.0;
    }
    if !matches!(asked.tilt, AxisAsk::To { .. }) {
        pose.tilt_deg = 0.0;
    }
    if asked.iris_pulse_hz.is_some() {
        pose.iris = 0.0;
    }
    for cell in &mut pose.cells {
        cell.instant = 0.0;
    }
    for (wheel, ask) in pose.wheels.iter_mut().zip(&asked.wheels) {
        if !matches!(ask.place, WheelPlace::At { .. }) {
            wheel.place = 0.0;
        }
        if !matches!(ask.turn, TurnAsk::To { .. }) {
            wheel.turn_deg = 0.0;
        }
    }
}

// A day: strobes at 7 Hz, a wheel that turns, an axis that spins. Whole turns over a day are counted in
// closed form: 86 400 s at 7 Hz are whole cycles, at 10 rpm 14 400 turns.
#[test]
fn a_day_in_steps_of_25_ms_and_of_1_s_ends_alike() {
    let stage = || {
        let mut stage = every_head();
        let levels: Vec<u8> = (0..300u32).map(|i| (i * 89 + 40) as u8).collect();
        stage.send(&Frame::levels(levels).expect("300 slots"));
        stage
    };
    let run = |per_s: u32| {
        let mut course = motion::Course::of(stage());
        course.motion = RigMotion::at_rest(&course.stage.rig, &course.stage.plan, 0.0);
        let stage = &course.stage;
        course.motion.frame(0.0, &stage.plan, &stage.frames, &stage.decoded);
        for i in 1..=86_400 * per_s {
            course.motion.advance(f64::from(i) / f64::from(per_s));
        }
        course.motion.poses_at(86_400.0 + 0.1)
    };
    same(&run(1), &run(40));
}

#[test]
fn a_strobe_keeps_its_phase_for_a_day() {
    let mut shutter = ShutterMotion::open(0);
    shutter.ask(0.0, ShutterAsk::Flash { hz: 7.0, shape: Shape::Opening, timing: Timing::Even });
    for t_s in [0.05, 3600.05, 86_400.05] {
        assert!((shutter.at(t_s) - 0.35).abs() < 1e-7, "{}", shutter.at(t_s));
    }
}

// Worked by hand: 86 400 s at 10 rpm are 14 400 turns, at 7.5 rpm 10 800.
#[test]
fn a_wheel_and_what_turns_in_it_keep_their_angle_for_a_day() {
    let limits = WheelLimits { slots: 8.0, slot_s: 0.15, shortest: true, turn_deg_s: 360.0 };
    let mut wheel = WheelMotion::at_rest(1.0, 0);
    wheel.ask(0.0, WheelPlace::Scroll { rpm: 10.0 }, &limits);
    wheel.turn.ask(0.0, TurnAsk::Spin { rpm: 7.5 }, limits.turn_deg_s);
    for day_s in [0.0, 86_400.0] {
        // 0.3 s: a twentieth of a turn of 8 slots, and 13.5 degrees.
        assert!((wheel.place(day_s + 0.3, &limits) - 1.4).abs() < 1e-6);
        assert!((wheel.turn.deg(day_s + 0.3, limits.turn_deg_s) - 13.5).abs() < 1e-5);
    }
}

#[test]
fn flashes_at_random_have_the_rate_they_state_and_are_the_same_each_time() {
    let mut shutter = ShutterMotion::open(42);
    shutter.ask(0.0, ShutterAsk::Flash { hz: 5.0, shape: Shape::Hard, timing: Timing::Random });
    let lit = |t_ms: u32| shutter.at(f64::from(t_ms) / 1000.0) > 0.0;
    let starts = (1..200_000).filter(|t| lit(*t) && !lit(*t - 1)).count();
    // 1000 flashes in 200 s; a gap of less than 1 ms is not seen by this count.
    assert!((990..=1000).contains(&starts), "{starts}");
    let again = shutter;
    assert!((0..1000).all(|t| again.at(f64::from(t) * 0.377) == shutter.at(f64::from(t) * 0.377)));
}

#[test]
fn a_spin_is_left_by_the_nearest_way_and_shows_the_asked_angle() {
    use slotwright::decode::AimSpeed;
    use slotwright::motion::axis::{AxisLimits, AxisMotion};
    let limits = Limits { speed_deg_s: 300.0, accel_deg_s2: 1200.0 };
    let axis =
        AxisLimits { limits, half_travel_deg: f64::INFINITY, endless: true, home_deg: 270.0 };
    let mut pan = AxisMotion::at_rest(0.0, 200.0);
    pan.ask(0.0, AxisAsk::Spin { rpm: 20.0 }, AimSpeed::Unasked, &axis);
    assert_eq!(pan.spin_rpm(5.0), 20.0);
    // 120 deg/s after 0.1 s: 6 deg in it; an hour and 0.05 s later 3600 s are 1200 whole turns.
    let expected = 200.0 + 6.0 + 120.0 * 0.0 - 360.0;
    assert!((pan.at(3600.1).0 - expected).abs() < 1e-6, "{}", pan.at(3600.1).0);
    pan.ask(3600.1, AxisAsk::To { deg: -120.0 }, AimSpeed::Unasked, &axis);
    let arrives_s = pan.arrives_s().expect("a position");
    assert_eq!(pan.at(arrives_s), (-120.0, 0.0));
    assert!(arrives_s < 3600.1 + 1.0, "the nearest way round");
    pan.ask(4000.0, AxisAsk::Spin { rpm: -5.0 }, AimSpeed::Unasked, &axis);
    pan.ask(4010.0, AxisAsk::Stay, AimSpeed::Unasked, &axis);
    let stays = pan.at(4011.0);
    assert_eq!((stays, stays.1), (pan.at(9999.0), 0.0));
}

#[test]
fn snapshots_never_run_out_of_room_and_lead_to_the_same_end() {
    let mut course = motion::Course::of(every_head());
    let mut snapshots = Snapshots::new(1.0, 8);
    let frame = |t: u32| -> Vec<u8> { (0..300u32).map(|i| (i * 7 + t * 13) as u8).collect() };
    for t in 0..100 {
        course.send(f64::from(t), &frame(t));
        snapshots.note(&course.motion);
    }
    assert_eq!(snapshots.every_s(), 16.0);
    let straight = course.motion.poses_at(99.5);
    let from = snapshots.before(70.2).expect("one at 0 s at the latest").clone();
    assert!((70.2 - from.now_s()) < 16.0);
    let mut course = motion::Course { stage: every_head(), motion: from };
    for t in 0..100 {
        if f64::from(t) > course.motion.now_s() {
            course.send(f64::from(t), &frame(t));
        }
    }
    same(&straight, &course.motion.poses_at(99.5));
}
