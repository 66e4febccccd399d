//! What heads do over time. Worked examples on the neutral heads, unless a line says otherwise.

use std::sync::Arc;

use slotwright::motion::wheel::both_ways_s;
use slotwright::motion::{HeadModel, HeadMotion, Lamp, Part, Pose, RigMotion};
use slotwright::profile::effect::Switch;
use slotwright::profile::{Lamp as SourceLamp, Loss, OnLoss, Profile, Source};
use slotwright::rig::{Aim, InHead};
use slotwright::wire::{Frame, Universe};

use crate::heads::{ALDER_LIT, Stage, alder, birch, fixture, still};

/// A stage over time.
pub struct Course {
    pub stage: Stage,
    pub motion: RigMotion,
}

impl Course {
    /// Heads that have had these levels for long.
    #[track_caller]
    pub fn arrived(profile: &Arc<Profile>, levels: &[u8]) -> Self {
        Self::of(Stage::sent(profile, levels))
    }

    pub fn of(stage: Stage) -> Self {
        let motion =
            RigMotion::arrived(&stage.rig, &stage.plan, &stage.frames, &stage.decoded, 0.0);
        Self { stage, motion }
    }

    /// A frame of these levels comes.
    #[track_caller]
    pub fn send(&mut self, t_s: f64, levels: &[u8]) {
        self.stage.send(&Frame::levels(levels).expect("at most 512 slots"));
        self.motion.frame(t_s, &self.stage.plan, &self.stage.frames, &self.stage.decoded);
    }

    #[track_caller]
    pub fn head(&self) -> &HeadMotion {
        self.motion.head(0).expect("the rig has a head")
    }

    #[track_caller]
    pub fn pose(&self, t_s: f64) -> Pose {
        self.head().pose_at(t_s)
    }
}

/// ALDER-16 lit, with these of its slots (from 1) at other levels.
pub fn alder_levels(changes: &[(usize, u8)]) -> [u8; 16] {
    let mut levels = ALDER_LIT;
    for (slot, level) in changes {
        levels[slot - 1] = *level;
    }
    levels
}

/// The 16-bit value of a pan of ALDER-16.
pub fn pan(deg: f64) -> [u8; 2] {
    (((deg + 270.0) / 540.0 * 65_535.0).round() as u16).to_be_bytes()
}

pub fn alder_panned(deg: f64, changes: &[(usize, u8)]) -> [u8; 16] {
    let mut levels = alder_levels(changes);
    levels[..2].copy_from_slice(&pan(deg));
    levels
}

#[track_caller]
pub fn near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "{got} is not {expected} within {within}");
}

#[test]
fn a_slow_speed_slot_makes_the_head_late_for_its_cue() {
    // 196 is 60 degrees a second: 180 / 60 + 60 / 400 = 3.15 s where the cue takes 2 s.
    for (speed, least_s, most_s) in [(196, 3.15, 3.16), (0, 2.0, 2.0 + 90.0 / 400.0 + 1e-3)] {
        let mut course = Course::arrived(&alder(), &alder_panned(-90.0, &[(5, speed)]));
        let frames = 88;
        for i in 1..=frames {
            let t_s = 2.0 * f64::from(i) / f64::from(frames);
            let deg = -90.0 + 180.0 * f64::from(i) / f64::from(frames);
            course.send(t_s, &alder_panned(deg, &[(5, speed)]));
        }
        let arrives_s = course.head().arrives_s().aim_s().expect("it goes to a position");
        assert!((least_s..most_s + 0.03).contains(&arrives_s), "speed {speed}: {arrives_s}");
        near(course.pose(arrives_s).pan_deg, 90.0, 0.005);
    }
}

#[test]
fn a_speed_slot_left_at_0_crawls_on_some_heads() {
    let takes_s = |profile: &Arc<Profile>, from: &[u8], to: &[u8]| {
        let mut course = Course::arrived(profile, from);
        course.send(0.0, to);
        course.head().arrives_s().aim_s().expect("it goes to a position")
    };
    let fast = takes_s(&alder(), &alder_panned(0.0, &[]), &alder_panned(180.0, &[]));
    near(fast, 1.35, 1e-3);
    let birch_to = |pan, speed| [pan, 128, 0, 0, speed, 0, 255, 0, 0, 0, 0, 0];
    let slow = takes_s(&birch(), &birch_to(0, 0), &birch_to(85, 0));
    assert!(slow > 10.0, "{slow}");
    assert!(takes_s(&birch(), &birch_to(0, 255), &birch_to(85, 255)) < 1.4);
}

#[test]
fn a_wheel_passes_through_what_lies_between() {
    let mut course = Course::arrived(&alder(), &alder_levels(&[(8, 16)]));
    course.send(1.0, &alder_levels(&[(8, 64)]));
    near(course.head().wheel_arrives_s(0).expect("a place"), 1.45, 1e-9);
    for (t_s, place) in [(1.0, 2.0), (1.15, 3.0), (1.225, 3.5), (1.3, 4.0), (1.45, 5.0), (9.0, 5.0)]
    {
        near(course.pose(t_s).wheels[0].place, place, 1e-9);
    }
}

#[test]
fn a_wheel_goes_the_way_its_profile_says() {
    for (shortest, takes_s, half_way) in [(true, 0.15, 8.5), (false, 1.05, 4.5)] {
        let mut profile = Profile::clone(&alder());
        if let Some(wheel) = profile.wheels.get_mut("colour") {
            wheel.shortest = Some(shortest);
            assert_eq!(both_ways_s(wheel, 1.0, 8.0), (0.15, 7.0 * 0.15));
        }
        let mut course = Course::arrived(&Arc::new(profile), &alder_levels(&[(8, 0)]));
        course.send(0.0, &alder_levels(&[(8, 112)]));
        near(course.head().wheel_arrives_s(0).expect("a place"), takes_s, 1e-9);
        near(course.pose(takes_s / 2.0).wheels[0].place, half_way, 1e-9);
        assert_eq!(course.pose(takes_s).wheels[0].place, 8.0);
    }
}

#[test]
fn what_a_profile_does_not_say_is_named_as_assumed() {
    let course = Course::arrived(&alder(), &ALDER_LIT);
    let model = course.head().model();
    let assumed: Vec<&str> = model.assumed.iter().map(|(_, what)| what.as_str()).collect();
    assert!(assumed.contains(&"move time or way round of wheel `colour`"), "{assumed:?}");
    assert!(assumed.contains(&"zoom time") && assumed.contains(&"strike time"), "{assumed:?}");
    assert!(!assumed.contains(&"cool-down time"), "{assumed:?}");
    assert!(model.is_estimate(Part::Wheel(0)) && model.is_estimate(Part::Optics));
    assert!(!model.is_estimate(Part::Aim) && !model.is_estimate(Part::Control));
}

#[test]
fn hops_that_come_too_seldom_stop_and_go() {
    // 90 degrees in 3 s: at 5 frames a second 6 degrees a hop, at 2 frames a second 15.
    for (every_s, hop_deg, takes_s, stops) in [(0.2, 6.0, 0.245, false), (0.5, 15.0, 0.387, true)] {
        let mut course = Course::arrived(&alder(), &alder_panned(0.0, &[]));
        course.send(0.0, &alder_panned(hop_deg, &[]));
        near(course.head().arrives_s().aim_s().expect("a position"), takes_s, 1e-3);
        let (speed_deg_s, _) = course.head().aim_speed_deg_s(every_s);
        assert_eq!(speed_deg_s == 0.0, stops, "every {every_s} s: {speed_deg_s} deg/s");
    }
}

#[test]
fn a_lamp_order_acts_only_after_its_hold() {
    let dark = |course: &Course, t_s| course.pose(t_s).light() == 0.0;
    let mut course = Course::arrived(&alder(), &ALDER_LIT);
    assert_eq!(course.pose(0.0).lamp, Lamp::Unknown);
    course.send(0.0, &alder_levels(&[(16, 224)]));
    assert_eq!(course.pose(0.99).lamp, Lamp::Unknown);
    assert_eq!(course.pose(1.2).lamp, Lamp::Striking);
    course.send(1.2, &ALDER_LIT);
    assert_eq!(course.pose(20.0).lamp, Lamp::On);
    course.send(20.0, &alder_levels(&[(16, 212)]));
    course.send(24.9, &ALDER_LIT);
    assert_eq!(course.pose(100.0).lamp, Lamp::On);
    course.send(100.0, &alder_levels(&[(16, 212)]));
    course.send(105.1, &ALDER_LIT);
    assert_eq!(course.pose(105.1).lamp, Lamp::Hot);
    assert!(dark(&course, 105.1));
}

#[test]
fn a_hot_lamp_refuses_to_strike_until_it_is_cool() {
    let (strike, put_out) = (alder_levels(&[(16, 224)]), alder_levels(&[(16, 212)]));
    let mut course = Course::arrived(&alder(), &strike);
    course.send(0.0, &put_out);
    course.send(5.0, &ALDER_LIT);
    course.send(94.0, &strike);
    course.send(96.0, &ALDER_LIT);
    assert_eq!(course.head().refused_strike(), Some((95.0, 305.0)), "put out at 5 s");
    assert_eq!(course.pose(304.9).lamp, Lamp::Hot);
    assert_eq!(course.pose(305.1).lamp, Lamp::Off);
    course.send(310.0, &strike);
    assert_eq!(course.pose(311.5).lamp, Lamp::Striking);
    assert_eq!(course.pose(330.0).lamp, Lamp::On);
}

#[test]
fn a_head_may_be_dark_just_while_it_moves() {
    for (speed, is_dark) in [(252, true), (0, false)] {
        let mut course = Course::arrived(&alder(), &alder_panned(0.0, &[(5, speed)]));
        course.send(0.0, &alder_panned(90.0, &[(5, speed)]));
        for t_s in [0.0, 0.5, 0.94] {
            assert_eq!(course.pose(t_s).light() == 0.0, is_dark, "speed {speed} at {t_s}");
        }
        assert_eq!(course.pose(0.95).light(), 1.0);
    }
}

/// A control channel faded from 0 to 255 in so many seconds, 40 frames a second.
fn faded_control(over_s: f64) -> (bool, Lamp) {
    let mut course = Course::arrived(&alder(), &ALDER_LIT);
    let frames = (over_s * 40.0) as u32;
    let mut reset = false;
    for i in 0..=frames {
        let level = (255.0 * f64::from(i) / f64::from(frames)) as u8;
        course.send(f64::from(i) / 40.0, &alder_levels(&[(16, level)]));
        reset |= course.head().reset().is_some();
    }
    (reset, course.pose(over_s).lamp)
}

#[test]
fn a_fade_across_control_values_does_what_it_dwells_on() {
    // Ten values are 0.196 s of 5 s, 3.0 s of 76.5 s, 5.0 s of 127.5 s.
    assert_eq!(faded_control(5.0), (false, Lamp::Unknown));
    assert!(faded_control(76.5).0);
    let (reset, lamp) = faded_control(127.5);
    assert!(reset && matches!(lamp, Lamp::Hot | Lamp::Striking), "{lamp:?}");
}

#[test]
fn a_reset_goes_dark_finds_its_ends_and_comes_back() {
    let mut course = Course::arrived(&alder(), &alder_panned(40.0, &[]));
    let lit = course.pose(0.0);
    course.send(0.0, &alder_panned(40.0, &[(16, 205)]));
    let hold = course.head().holds().next().copied().expect("a value is held");
    assert_eq!((hold.since_s, hold.hold_s, hold.due_s(), hold.done), (0.0, 3.0, 3.0, false));
    assert_eq!(course.pose(2.99), lit);
    // Let go in the middle of it: it goes on, 25 s.
    course.send(3.5, &alder_panned(40.0, &[]));
    let reset = course.head().reset().expect("it resets");
    assert_eq!((reset.start_s, reset.end_s), (3.0, 28.0));
    assert_eq!(course.pose(10.0).pan_deg, -270.0);
    assert_eq!(course.pose(17.9).pan_deg, 270.0);
    assert_eq!(course.pose(22.9).pan_deg, 0.0);
    for t_s in [3.5, 12.0, 27.9] {
        assert_eq!(course.pose(t_s).light(), 0.0, "dark at {t_s} s");
    }
    assert_eq!(course.pose(28.0), lit);
    // A cue in it moves nothing before it is over, and the arrival says so: 18 s early at 10 s.
    course.send(10.0, &alder_panned(-60.0, &[]));
    assert_eq!(course.pose(13.5).pan_deg, 270.0);
    let arrives_s = course.head().arrives_s().aim_s().expect("a position");
    assert!((23.0..24.5).contains(&arrives_s), "{arrives_s}");
    near(course.pose(arrives_s).pan_deg, -60.0, 0.005);
}

#[test]
fn a_reset_let_go_early_is_none() {
    let mut course = Course::arrived(&alder(), &ALDER_LIT);
    course.send(0.0, &alder_levels(&[(16, 205)]));
    course.send(2.9, &ALDER_LIT);
    course.send(3.0, &alder_levels(&[(16, 205)]));
    assert_eq!(course.pose(5.9).light(), 1.0, "the hold starts over");
    assert_eq!(course.pose(6.1).light(), 0.0);
}

#[test]
fn without_a_signal_a_head_does_what_its_profile_says() {
    let with = |on_loss: OnLoss| Arc::new(Profile { on_loss, ..Profile::clone(&alder()) });
    let lit_at = |course: &Course, t_s| course.pose(t_s).light() > 0.0;
    let dark = with(OnLoss { after_s: Some(1.0), does: Some(Loss::Dark) });
    let mut course = Course::arrived(&dark, &ALDER_LIT);
    let beat = |course: &mut Course, t_s| {
        course.send(t_s, &ALDER_LIT);
        course.motion.lost(Universe::ONE, t_s);
    };
    for t_s in [0.0, 0.9, 1.8] {
        beat(&mut course, t_s);
        assert!(course.head().lost_since_s().is_none() && lit_at(&course, t_s + 0.89));
    }
    beat(&mut course, 2.9);
    assert!(lit_at(&course, 2.9));
    assert!(!lit_at(&course, 3.95), "dark once 1 s is over");
    beat(&mut course, 4.0);
    assert!(lit_at(&course, 4.0), "back with the next frame");

    let holds = Course::arrived(&with(OnLoss::default()), &ALDER_LIT);
    let mut held = holds.motion.clone();
    held.lost(Universe::ONE, 0.0);
    held.advance(60.0);
    let head = held.head(0).expect("a head");
    assert_eq!((head.lost_since_s(), head.pose_at(60.0).light()), (Some(1.25), 1.0));
}

#[test]
fn a_standby_look_is_faded_to() {
    let values = [("Dimmer".to_owned(), 51), ("Shutter".to_owned(), 40)].into();
    let does = Some(Loss::Standby { fade_s: 2.0, values });
    let profile = Profile { on_loss: OnLoss { after_s: None, does }, ..Profile::clone(&alder()) };
    let mut course = Course::arrived(&Arc::new(profile), &ALDER_LIT);
    course.motion.lost(Universe::ONE, 0.0);
    near(course.pose(1.25 + 1.0).light(), 0.6, 1e-9);
    near(course.pose(1.25 + 2.0).light(), 0.2, 1e-9);
    course.motion.advance(10.0);
    course.send(10.0, &ALDER_LIT);
    near(course.pose(10.2).light(), 1.0, 1e-9);
    // The loss falls between two equal frames, and nobody looked in between.
    course.motion.lost(Universe::ONE, 20.0);
    course.send(30.0, &ALDER_LIT);
    near(course.pose(30.2).light(), 1.0, 1e-9);
}

#[test]
fn one_universe_can_be_lost_while_another_is_heard() {
    let does = Some(Loss::Dark);
    let profile = Profile { on_loss: OnLoss { after_s: None, does }, ..Profile::clone(&alder()) };
    let profile = Arc::new(profile);
    let rig = (1..=2).map(|universe| {
        let mut head = fixture(&profile, universe, 1);
        if let (Some(address), Some(universe)) = (&mut head.address, Universe::new(universe)) {
            address.universe = universe;
        }
        head
    });
    let rig = rig.collect();
    let mut stage = Stage::of(&[profile], rig);
    let universes = [1, 2].map(|n| Universe::new(n).expect("1 or 2"));
    let lit = Frame::levels(ALDER_LIT).expect("16 slots");
    for universe in universes {
        stage.frames.universe_mut(universe).apply(&lit);
    }
    stage.plan.decode(&stage.frames, &mut stage.decoded);
    let mut course = Course::of(stage);
    course.motion.lost(universes[0], 0.0);
    course.motion.lost(universes[1], 0.0);
    let Course { stage, motion } = &mut course;
    motion.frame_of(1.0, universes[1], &stage.plan, &stage.frames, &stage.decoded);
    motion.advance(2.0);
    let light = |i| motion.head(i).map(|head| head.pose_at(2.0).light());
    assert_eq!((light(0), light(1)), (Some(0.0), Some(1.0)));
}

#[test]
fn a_follower_does_what_the_first_of_its_model_is_asked() {
    let channels = r#"
        (name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
        (name: "Run", at: [2], ranges: [(from: 0, to: 127, does: Idle), (from: 128, to: 255, does: Follow)]),"#;
    let profile = still(2, channels, "");
    let rig = (0..3).map(|i| fixture(&profile, 3 - i, 1 + 2 * i as u16)).collect();
    let mut course = Course::of(Stage::of(&[profile], rig));
    course.send(0.0, &[51, 0, 255, 200, 255, 0]);
    let light = |course: &Course, i| {
        course.motion.head(i).map_or(f64::NAN, |head: &HeadMotion| head.pose_at(1.0).light())
    };
    for (i, expected) in [0.2, 0.2, 1.0].into_iter().enumerate() {
        near(light(&course, i), expected, 1e-9);
    }
    course.send(1.0, &[255, 0, 255, 200, 255, 0]);
    near(light(&course, 1), 1.0, 1e-9);
}

#[test]
fn a_switch_outlives_the_value_that_set_it() {
    let channels = r#"
        (name: "Control", at: [1], ranges: [
            (from: 0, to: 9, does: Idle),
            (from: 10, to: 19, does: Latch(switch: InvertPan, on: true, hold_s: 3.0)),
            (from: 20, to: 255, does: Idle),
        ]),
        (name: "Pan", at: [2], ranges: [(from: 0, to: 255, does: Pan(deg: (-100.0, 100.0)))]),"#;
    let mut profile = Profile::clone(&still(2, channels, ""));
    profile.head = alder().head.clone();
    let mut course = Course::arrived(&Arc::new(profile), &[0, 255]);
    assert_eq!(course.pose(0.0).pan_deg, 100.0);
    course.send(1.0, &[15, 255]);
    assert_eq!(course.pose(3.9).pan_deg, 100.0);
    course.send(4.5, &[0, 255]);
    assert_eq!(course.head().latched(Switch::InvertPan), Some(true));
    assert_eq!(course.pose(20.0).pan_deg, -100.0);
}

/// A still head with a dimmer, a zoom and a shutter, of this lamp and these times.
fn dimmed(lamp: SourceLamp, times: &str) -> Arc<Profile> {
    let channels = r#"
        (name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
        (name: "Zoom", at: [2], ranges: [(from: 0, to: 255, does: Zoom(deg: (10.0, 61.0)))]),
        (name: "Shutter", at: [3], ranges: [
            (from: 0, to: 9, does: Open), (from: 10, to: 10, does: Strobe(hz: (4.0, 4.0))),
            (from: 11, to: 11, does: Strobe(hz: (8.0, 8.0), timing: Burst)), (from: 12, to: 255, does: Shut),
        ]),"#;
    let mut profile = Profile::clone(&still(3, channels, times));
    if let Source::White { lamp: of_source, .. } = &mut profile.source {
        *of_source = lamp;
    }
    Arc::new(profile)
}

// Definition of the time constant: 1 - 1/e of a step after one.
#[test]
fn light_follows_by_what_makes_it() {
    let light = |lamp, on_s: f64| {
        let profile = dimmed(lamp, "times: (rise_s: 0.2, fall_s: 0.5, dimmer_s: 0.4),");
        let mut course = Course::arrived(&profile, &[0, 0, 0]);
        course.send(1.0, &[255, 0, 0]);
        let up = course.pose(1.0 + on_s).light();
        let mut course = Course::arrived(&profile, &[255, 0, 0]);
        course.send(1.0, &[0, 0, 0]);
        (up, course.pose(1.0 + on_s).light())
    };
    assert_eq!(light(SourceLamp::Led, 0.0), (1.0, 0.0));
    near(light(SourceLamp::Discharge, 0.1).0, 0.25, 1e-9);
    near(light(SourceLamp::Discharge, 0.1).1, 0.75, 1e-9);
    near(light(SourceLamp::Tungsten, 0.2).0, 0.632, 5e-4);
    near(light(SourceLamp::Tungsten, 0.5).1, 0.368, 5e-4);
    let (up, down) = light(SourceLamp::Tungsten, 60.0);
    assert_eq!((up, down), (1.0, 0.0), "it arrives");
}

#[test]
fn a_zoom_takes_its_time_and_says_when_it_is_there() {
    let profile = dimmed(SourceLamp::Led, "times: (zoom_s: 0.85),");
    let mut course = Course::arrived(&profile, &[255, 0, 0]);
    course.send(2.0, &[255, 100, 0]);
    // 100 of 255 steps of 0.2 degrees: 20 degrees at 60 degrees a second.
    near(course.head().arrives_s().optics_s, 2.0 + 20.0 / 60.0, 1e-9);
    near(course.pose(2.1).zoom_deg.expect("a zoom"), 16.0, 1e-9);
    near(course.pose(9.0).zoom_deg.expect("a zoom"), 30.0, 1e-9);
}

#[test]
fn a_still_picture_of_flashes_shows_their_mean() {
    let profile = dimmed(SourceLamp::Led, "");
    let mut course = Course::arrived(&profile, &[255, 0, 0]);
    course.send(0.0, &[255, 0, 10]);
    let pose = course.pose(0.05);
    assert_eq!((pose.light(), pose.instant()), (0.5, 1.0));
    assert_eq!(course.pose(0.2).instant(), 0.0);
    near(course.head().mean_light(0, 0.0, 0.1875).expect("a cell"), 0.125 / 0.1875, 1e-9);
    // A burst of four flashes of 8 Hz, then as long a pause.
    course.send(1.0, &[255, 0, 0]);
    course.send(2.0, &[255, 0, 11]);
    assert_eq!(course.pose(2.0).light(), 0.25);
    let lit = |t_s| course.pose(t_s).instant() == 1.0;
    assert!(lit(2.01) && lit(2.39) && !lit(2.45) && !lit(2.51) && !lit(2.9) && lit(3.01));
}

// Facts of the trade: common practice, no source.
#[test]
fn low_shutter_values_are_dark_and_a_pulse_runs_slow_to_fast() {
    let channels = r#"
        (name: "Shutter", at: [1], ranges: [
            (from: 0, to: 3, does: Shut), (from: 4, to: 127, does: Open),
            (from: 128, to: 191, does: Strobe(hz: (0.5, 5.0), shape: Swell)), (from: 192, to: 255, does: Open),
        ]),
        (name: "Dimmer", at: [2], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
        (name: "Control", at: [3], ranges: [
            (from: 0, to: 249, does: Idle), (from: 250, to: 255, does: Reset(hold_s: 5.0)),
        ]),"#;
    let profile = still(3, channels, "");
    for level in 0..=3 {
        assert_eq!(Course::arrived(&profile, &[level, 255, 0]).pose(9.0).instant(), 0.0);
    }
    let mut course = Course::arrived(&profile, &[4, 255, 0]);
    assert_eq!(course.pose(0.0).instant(), 1.0);
    course.send(0.0, &[128, 255, 0]);
    // A swell of 0.5 Hz is brightest after 1 s; one of 5 Hz after 0.1 s.
    for (t_s, light) in [(0.0, 0.0), (0.5, 0.5), (1.0, 1.0), (1.5, 0.5), (2.0, 0.0)] {
        near(course.pose(t_s).instant(), light, 1e-9);
    }
    course.send(2.0, &[191, 255, 0]);
    near(course.pose(2.1).instant(), 1.0, 1e-9);
    near(course.pose(2.1).light(), 0.5, 1e-9);
    // A reset from 250 only, after about 5 s.
    course.send(10.0, &[4, 255, 249]);
    assert_eq!(course.pose(18.0).light(), 1.0);
    course.send(20.0, &[4, 255, 250]);
    assert_eq!((course.pose(24.9).light(), course.pose(25.1).light()), (1.0, 0.0));
}

#[test]
fn a_fine_slot_moves_the_head_by_less_than_a_coarse_step() {
    let at = |coarse, fine| Course::arrived(&alder(), &alder_levels(&[(1, coarse), (2, fine)]));
    let deg = |coarse, fine| at(coarse, fine).pose(0.0).pan_deg;
    let coarse_deg = deg(101, 0) - deg(100, 0);
    for fine in 1..=255 {
        let moved = deg(100, fine) - deg(100, 0);
        assert!(moved > 0.0 && moved < coarse_deg, "{fine}: {moved} of {coarse_deg}");
    }
}

#[test]
fn a_model_is_worked_out_once_and_a_head_knows_its_rest() {
    let stage = Stage::one(&alder());
    let mode = stage.plan.fixtures()[0].mode.clone().expect("the profile is at hand");
    let model = Arc::new(HeadModel::new(&mode));
    let head = HeadMotion::at_rest(model, &Aim::default(), &InHead::default(), 7.0, 1);
    let pose = head.pose_at(8.0);
    near(pose.pan_deg, 0.0, 0.005);
    assert_eq!(pose.light(), 0.0, "shutter and dimmer rest at 0");
}
