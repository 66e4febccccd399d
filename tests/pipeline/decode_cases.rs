//! What trips people up when they read a head's values, each as a worked example with the neutral heads: no
//! real fixture's chart.

use slotwright::decode::{AimSpeed, AxisAsk, Command, Override, ShutterAsk, TurnAsk, WheelPlace};
use slotwright::light::{Rgb, estimates};
use slotwright::motion::Lamp;
use slotwright::profile::{Shape, Timing};
use slotwright::wire::Frame;

use crate::heads::{Stage, alder, alder_with, birch, cedar, dogwood, still};

/// The channel stands in the range of this label, and asks this much, where the range has a physical pair.
#[track_caller]
pub fn check(stage: &Stage, channel: &str, label: &str, physical: Option<f64>) {
    let reading = stage.channel(channel);
    let range = reading.range.expect("the value lies in a range");
    assert_eq!(range.label, label);
    match (reading.physical, physical) {
        (Some(got), Some(expected)) => near(got, expected, 5e-3),
        (_, None) => {}
        (None, Some(expected)) => panic!("nothing physical is asked, where {expected} should be"),
    }
}

#[track_caller]
pub fn near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "{got} is not {expected} within {within}");
}

#[track_caller]
pub fn pan_deg(stage: &Stage) -> f64 {
    let AxisAsk::To { deg } = stage.asked().pan else { panic!("no angle of pan is asked") };
    deg
}

#[track_caller]
pub fn tilt_deg(stage: &Stage) -> f64 {
    let AxisAsk::To { deg } = stage.asked().tilt else { panic!("no angle of tilt is asked") };
    deg
}

/// No light leaves the first fixture.
pub fn is_dark(stage: &Stage) -> bool {
    stage.beams().is_empty()
}

/// ALDER-16 with one slot (from 1) changed: its channel stands in this range.
#[track_caller]
fn alder_at(slot: usize, level: u8, channel: &str, label: &str, physical: Option<f64>) {
    check(&alder_with(&[(slot, level)]), channel, label, physical);
}

// ---- Coarse and fine. Worked examples.

#[test]
fn coarse_and_fine_are_joined_before_they_are_an_angle() {
    for (coarse, fine, deg) in [
        (0, 0, -270.0),
        (255, 255, 270.0),
        (127, 255, -0.004_12),
        (128, 0, 0.004_12),
        (170, 85, 89.2996),
    ] {
        let stage = alder_with(&[(1, coarse), (2, fine)]);
        near(pan_deg(&stage), deg, 5e-5);
    }
}

#[test]
fn no_8_bit_value_is_exactly_the_centre() {
    let profile = still(
        1,
        r#"(name: "Turn", at: [1], ranges: [(from: 0, to: 255, does: FrameTurn(deg: (-270.0, 270.0)))])"#,
        "",
    );
    for (level, deg) in [(127, -1.0588), (128, 1.0588)] {
        near(Stage::sent(&profile, &[level]).asked().frame_turn_deg.unwrap(), deg, 5e-5);
    }
}

/// Unknown is not nothing: the value lies in no gap, and what it does is said to be unknown.
#[test]
fn what_nobody_knows_is_told_from_what_does_nothing() {
    let ranges = r#"(name: "Macro", at: [1], ranges: [
        (from: 0, to: 9, does: Idle), (from: 10, to: 99, does: Unknown),
        (from: 100, to: 255, does: Unknown, label: "show 2")])"#;
    let profile = still(1, ranges, "");
    for (level, words) in [(9, "idle"), (10, "unknown"), (255, "unknown: show 2")] {
        let stage = Stage::sent(&profile, &[level]);
        let channel = stage.channel("Macro");
        assert_eq!((channel.words().as_str(), channel.in_gap()), (words, false));
    }
}

#[test]
fn a_fine_slot_belongs_to_the_axis_that_the_profile_gives_it() {
    let levels = [100, 50, 128, 0];
    let stage = Stage::sent(&alder(), &levels);
    near(pan_deg(&stage), -58.65, 5e-3);
    near(tilt_deg(&stage), 0.002, 5e-4);
    let stage = Stage::sent(&birch(), &levels);
    near(pan_deg(&stage), -58.00, 6e-3);
    near(tilt_deg(&stage), -82.26, 6e-3);
}

#[test]
fn fine_may_stand_before_coarse() {
    let stage = Stage::sent(&cedar(), &[0, 128, 85, 170]);
    near(pan_deg(&stage), 0.004_12, 5e-5);
    near(tilt_deg(&stage), 89.2996 / 2.0, 5e-5);
}

#[test]
fn an_angle_gives_back_the_pair_of_slots_and_what_the_coarse_one_alone_would_miss() {
    let profile = still(
        2,
        r#"(name: "Turn", at: [1, 2], ranges: [(from: 0, to: 255, does: FrameTurn(deg: (0.0, 540.0)))])"#,
        "",
    );
    let stage = Stage::sent(&profile, &[61, 40]);
    let turn = stage.channel("Turn");
    let physical = turn.range.and_then(|range| range.physical).expect("an angle");
    let share = physical.inverse(129.0).expect("within the travel");
    let value = (share * f64::from(turn.channel.max_value())).round();
    assert_eq!(value, 15_656.0);
    assert_eq!(turn.held.value(), Some(15_656));
    near(turn.physical.unwrap(), 129.0, 540.0 / 65_535.0 / 2.0);
    // As if the head turned 360 degrees in 255 steps: 92 really sends it to 194.8.
    near(physical.at(92.0 / 255.0), 194.8, 0.05);
    near(physical.at(92.0 / 255.0) - 129.0, 65.8, 0.05);
}

#[test]
fn the_roundings_of_a_percentage_can_fall_in_different_ranges() {
    alder_at(8, 127, "Colour", "c7", None);
    alder_at(8, 128, "Colour", "clockwise, fast to slow", Some(60.0));
    alder_at(7, 63, "Shutter", "open", None);
    alder_at(7, 64, "Shutter", "strobe", Some(1.0));
    alder_at(16, 229, "Control", "lamp on, hold 1 s", None);
    alder_at(16, 230, "Control", "idle", None);
}

// ---- Nothing is dark, open, fast or idle because its value is 0. Worked examples.

#[test]
fn zero_is_closed_on_one_head_and_open_on_another() {
    alder_at(7, 0, "Shutter", "closed", None);
    for (level, label) in [(0, "open"), (3, "open"), (8, "closed")] {
        check(&Stage::sent(&birch(), &[0, 0, 0, 0, 0, level]), "Strobe", label, None);
    }
}

#[test]
fn zero_is_the_fastest_aim_on_one_head_and_the_slowest_on_another() {
    assert_eq!(alder_with(&[(5, 0)]).asked().aim_speed, AimSpeed::Follow);
    alder_at(5, 196, "Speed", "fast to slow", Some(60.0));
    let birch = Stage::sent(&birch(), &[0; 12]);
    assert_eq!(birch.asked().aim_speed, AimSpeed::Rate { deg_s: 2.0 });
}

#[test]
fn all_slots_at_zero_are_dark_for_different_reasons() {
    let alder = Stage::sent(&alder(), &[0; 16]);
    assert_eq!(alder.asked().cells[0].shutter, ShutterAsk::Shut);
    assert!(is_dark(&alder));
    let birch = Stage::sent(&birch(), &[0; 12]);
    assert_eq!(birch.asked().cells[0].shutter, ShutterAsk::Open);
    assert_eq!(birch.asked().computed_level(), Some(0.0));
    assert!(is_dark(&birch));
}

#[test]
fn both_ends_of_a_strobe_channel_may_be_open() {
    for level in [0, 255] {
        let stage = Stage::sent(&birch(), &[0, 0, 0, 0, 0, level, 255, 0, 0, 0, 0, 0]);
        assert_eq!(stage.asked().cells[0].shutter, ShutterAsk::Open, "at {level}");
    }
}

// ---- Dimmer and shutter. Worked examples.

#[test]
fn a_head_is_dark_behind_any_one_closed_gate() {
    assert!(!is_dark(&alder_with(&[])));
    assert!(is_dark(&alder_with(&[(7, 20)])), "shutter");
    assert!(!is_dark(&alder_with(&[(7, 32)])), "the smallest change that gives light");
    assert!(is_dark(&alder_with(&[(6, 0)])), "dimmer");
    assert!(is_dark(&alder_with(&[(6, 0), (7, 40)])), "one of two causes is not enough");
    assert!(is_dark(&alder_with(&[(9, 122)])), "blocked place of the wheel");
    near(alder_with(&[(6, 3)]).pose().light(), 0.0118, 5e-5);
    assert!(!is_dark(&alder_with(&[(6, 3)])), "very low is not dark");
}

#[test]
fn one_channel_may_dim_backwards_and_strobe() {
    let profile = still(
        1,
        r#"(name: "Light", at: [1], ranges: [
            (from:   0, to:   9, does: Shut),
            (from:  10, to: 139, does: Dimmer(percent: (100.0, 0.0), curve: Linear), also: [Open]),
            (from: 140, to: 229, does: Strobe(hz: (1.0, 10.0))),
            (from: 230, to: 255, does: Dimmer(percent: (100.0, 100.0)), also: [Open], label: "full"),
        ])"#,
        "",
    );
    for (level, percent) in [(10, 100.0), (12, 98.45), (135, 3.10), (139, 0.0), (230, 100.0)] {
        let stage = Stage::sent(&profile, &[level]);
        near(stage.channel("Light").physical.unwrap(), percent, 5e-3);
        near(stage.pose().light(), percent / 100.0, 5e-5);
    }
    assert!(is_dark(&Stage::sent(&profile, &[9])));
    let stage = Stage::sent(&profile, &[140]);
    let flash = ShutterAsk::Flash { hz: 1.0, shape: Shape::Hard, timing: Timing::Even };
    assert_eq!(stage.asked().cells[0].shutter, flash);
}

#[test]
fn another_channel_chooses_what_a_shutter_value_means() {
    let hz = 0.5 + 9.5 * (128.0 - 32.0) / (223.0 - 32.0);
    for (kind, shape, timing) in [
        (10, Shape::Hard, Timing::Even),
        (60, Shape::Opening, Timing::Even),
        (120, Shape::Closing, Timing::Even),
        (200, Shape::Hard, Timing::Random),
    ] {
        let at = |level| Stage::sent(&cedar(), &[0, 128, 0, 128, 0, 0, kind, level]);
        let shutter = |level| at(level).asked().cells[0].shutter;
        assert_eq!(shutter(128), ShutterAsk::Flash { hz, shape, timing }, "kind {kind}");
        assert_eq!(shutter(230), ShutterAsk::Open, "kind {kind}");
        assert_eq!(shutter(10), ShutterAsk::Shut, "kind {kind}");
    }
}

#[test]
fn a_range_that_depends_on_a_slot_never_sent_is_not_known_and_not_nothing() {
    let head = |rest: u8| {
        let kind = format!(
            r#"(name: "Kind", at: [2], default: {rest}, ranges: [(from: 0, to: 255, does: Select)])"#
        );
        let shutter = r#"(name: "Shutter", at: [1], default: 9, ranges: [
             (from: 0, to: 199, does: Open, when: [("Kind", 0, 127)]),
             (from: 0, to: 199, does: Shut, when: [("Kind", 128, 255)])]),"#;
        still(2, &format!("{shutter} {kind}"), "")
    };
    // At rest the other slot makes it open on one head and closed on the next.
    for (rest, dark) in [(0, false), (200, true)] {
        let stage = Stage::sent(&head(rest), &[9]);
        let shutter = stage.channel("Shutter");
        assert!(shutter.range.is_none() && shutter.waits && !shutter.in_gap());
        assert_eq!(shutter.words(), "depends on a slot not sent");
        assert_eq!(stage.asked().taken_at_rest, [0, 1]);
        assert_eq!(is_dark(&stage), dark, "with the other slot at rest at {rest}");
    }
    let mut stage = Stage::sent(&head(0), &[9]);
    stage.send(&Frame::levels([9, 200]).expect("two slots"));
    check(&stage, "Shutter", "closed", None);
    // No setting of the other slot gives this value a range.
    assert!(Stage::sent(&head(0), &[230]).channel("Shutter").in_gap());
}

/// A chart may list more ranges in one channel of two slots than a byte can count.
#[test]
fn the_last_of_a_thousand_ranges_is_found() {
    let ranges: String = (0..1000)
        .map(|i| {
            format!(
                r#"(fine_from: {}, fine_to: {}, does: Idle, label: "{i}"),"#,
                i * 65,
                i * 65 + 64
            )
        })
        .collect();
    let profile = still(2, &format!(r#"(name: "Long", at: [1, 2], ranges: [{ranges}])"#), "");
    for place in [0u16, 254, 255, 256, 999] {
        let stage = Stage::sent(&profile, &(place * 65 + 64).to_be_bytes());
        check(&stage, "Long", &place.to_string(), None);
    }
    assert!(Stage::sent(&profile, &65_000u16.to_be_bytes()).channel("Long").in_gap());
}

// ---- What the profile does not say. Worked examples.

#[test]
fn light_worked_out_from_an_assumption_is_called_an_estimate() {
    let dimmer = |curve: &str| {
        let dimmer = format!("Dimmer(percent: (0.0, 100.0){curve})");
        format!(r#"(name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: {dimmer})]),"#)
    };
    let rest = r#"(name: "Shutter", at: [2], ranges: [
          (from: 0, to: 9, does: Open), (from: 10, to: 255, does: Strobe(hz: (1.0, 9.0)))]),
        (name: "Frost", at: [3], ranges: [(from: 0, to: 255, does: Frost(percent: (0.0, 100.0)))]),
        (name: "Curve", at: [4], ranges: [
          (from: 0, to: 9, does: Idle), (from: 10, to: 255, does: UseCurve(curve: Square))])"#;
    let check = |curve: &str, levels: [u8; 4], expected: &[&str]| {
        let stage = Stage::sent(&still(4, &(dimmer(curve) + rest), ""), &levels);
        let words = estimates(stage.reading(0).mode, &stage.asked());
        assert_eq!(words.len(), expected.len(), "{words:?}");
        for (words, expected) in words.iter().zip(expected) {
            assert!(words.contains(expected), "{words}\nshould say\n{expected}");
        }
    };
    check(", curve: Linear", [255, 0, 0, 0], &[]);
    check("", [255, 0, 0, 0], &["curve is not given and taken as linear"]);
    check("", [255, 0, 0, 200], &[]);
    check(", curve: S", [255, 99, 0, 0], &["how long a flash lasts is not given"]);
    check(", curve: S", [255, 0, 7, 0], &["frost is taken to widen the beam"]);
}

#[test]
fn dark_while_moving_is_asked_by_its_range_alone() {
    let asked = alder_with(&[(5, 252)]).asked();
    assert!(asked.dark_while_aiming && !asked.dark_while_wheels);
    assert_eq!(asked.aim_speed, AimSpeed::Follow);
    assert!(!alder_with(&[(5, 0)]).asked().dark_while_aiming);
}

#[test]
fn a_dimmer_curve_tells_how_little_light_a_low_value_is() {
    for (curve, level, percent) in [
        ("Linear", 26, 10.2),
        ("Linear", 13, 5.1),
        ("Square", 26, 1.04),
        ("Square", 13, 0.26),
        ("Unknown", 26, 10.2),
    ] {
        let channel = format!(
            r#"(name: "Dimmer", at: [1], ranges: [
                (from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: {curve}))])"#
        );
        let stage = Stage::sent(&still(1, &channel, ""), &[level]);
        near(stage.pose().light() * 100.0, percent, 0.005 + percent * 1e-3);
    }
}

#[test]
fn a_control_channel_chooses_the_dimmer_curve() {
    let profile = still(
        2,
        r#"(name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
           (name: "Curve", at: [2], ranges: [
             (from: 0, to: 99, does: UseCurve(curve: Linear)), (from: 100, to: 255, does: UseCurve(curve: Square))])"#,
        "",
    );
    near(Stage::sent(&profile, &[51, 0]).pose().light(), 0.2, 1e-12);
    near(Stage::sent(&profile, &[51, 100]).pose().light(), 0.04, 1e-12);
}

#[test]
fn without_a_dimmer_the_brightest_emitter_is_the_level() {
    let rgbw = |rgbw: [u8; 4]| {
        let [r, g, b, w] = rgbw;
        Stage::sent(&birch(), &[128, 128, 0, 0, 255, 2, r, g, b, w, 0, 0])
    };
    let red = rgbw([128, 0, 0, 0]).asked();
    assert_eq!(red.cells[0].shutter, ShutterAsk::Open);
    assert_eq!(red.cells[0].level, None, "no dimmer is made up");
    near(red.computed_level().unwrap(), 0.502, 5e-4);
    near(rgbw([1, 64, 7, 0]).asked().computed_level().unwrap(), 64.0 / 255.0, 1e-12);
    assert!(is_dark(&rgbw([0; 4])));
    assert_eq!(alder_with(&[]).asked().computed_level(), None, "the dimmer says it");
}

#[test]
fn a_master_reaches_every_cell_and_each_cell_has_its_own_colour() {
    let stage = Stage::sent(&dogwood(), &[128, 255, 0, 0, 0, 255, 0, 0, 0, 0]);
    let asked = stage.asked();
    let levels: Vec<f64> = asked.cells.iter().filter_map(|cell| cell.level).collect();
    assert_eq!(levels, [128.0 / 255.0; 3]);
    assert_eq!(asked.cells[0].emitters, [Some(1.0), Some(0.0), Some(0.0)]);
    assert_eq!(asked.cells[1].emitters, [Some(0.0), Some(1.0), Some(0.0)]);
    let lit: Vec<usize> = stage.beams().iter().map(|beam| beam.cell).collect();
    assert_eq!(lit, [1, 2], "the third cell's emitters are all at 0");
}

// ---- Wheels. Worked examples.

#[test]
fn scrolling_is_fastest_just_past_the_last_colour() {
    for (level, label, rpm) in [
        (128, "clockwise, fast to slow", 60.0),
        (189, "clockwise, fast to slow", 2.0),
        (194, "anticlockwise, slow to fast", -2.0),
        (255, "anticlockwise, slow to fast", -60.0),
    ] {
        alder_at(8, level, "Colour", label, Some(rpm));
        let asked = alder_with(&[(8, level)]).asked();
        assert_eq!(asked.wheels[0].place, WheelPlace::Scroll { rpm });
    }
    for level in 190..=193 {
        let place = alder_with(&[(8, level)]).asked().wheels[0].place;
        assert_eq!(place, WheelPlace::Stay, "stop is no position");
    }
    // The other kind of chart runs from slow to fast both ways.
    let straight = still(
        1,
        r#"(name: "Colour", at: [1], ranges: [(from: 128, to: 189, does: Scroll(wheel: "c", rpm: (2.0, 60.0)))])"#,
        r##"wheels: {"c": (slots: [Open, Tint("red", "#ff0000")])},"##,
    );
    check(&Stage::sent(&straight, &[128]), "Colour", "c scroll", Some(2.0));
}

#[test]
fn a_step_between_two_shakes_flips_fastest_to_slowest() {
    for (level, slot, hz) in [(64, 2, 0.5), (71, 2, 5.0), (72, 3, 0.5)] {
        let asked = alder_with(&[(9, level)]).asked();
        assert_eq!(asked.wheels[1].place, WheelPlace::Shake { slot, hz }, "at {level}");
    }
    let still = alder_with(&[(9, 63)]).asked();
    assert_eq!(still.wheels[1].place, WheelPlace::At { place: 8.0 });
    alder_at(9, 63, "Gobo", "g7", None);
}

#[test]
fn another_channel_makes_a_rotation_value_an_angle_or_a_rate() {
    let at = |kind| Stage::sent(&cedar(), &[0, 128, 0, 128, 0, 0, 0, 255, kind, 64]);
    let TurnAsk::To { deg } = at(0).asked().wheels[0].turn else { panic!("an angle is asked") };
    near(deg / 360.0, 0.251, 5e-4);
    let spin = TurnAsk::Spin { rpm: 1.0 + 59.0 * 64.0 / 255.0 };
    assert_eq!(at(200).asked().wheels[0].turn, spin);
}

#[test]
fn a_wheel_passes_the_colours_between_when_its_value_is_faded() {
    let named: Vec<String> = [32, 48, 64, 80, 96, 112]
        .into_iter()
        .map(|level| alder_with(&[(8, level)]).channel("Colour").words())
        .collect();
    assert_eq!(named, ["c2", "c3", "c4", "c5", "c6", "c7"]);
    assert!(alder_with(&[]).channel("Colour").channel.snap);
}

#[test]
fn the_same_raw_value_is_another_colour_on_a_wheel_with_narrower_bands() {
    alder_at(8, 20, "Colour", "c1", None);
    let narrow = still(
        1,
        r#"(name: "Colour", at: [1], ranges: [
             (from: 0, to: 9, does: Slot(wheel: "c", slot: 1)), (from: 10, to: 19, does: Slot(wheel: "c", slot: 2)),
             (from: 20, to: 29, does: Slot(wheel: "c", slot: 3))])"#,
        r##"wheels: {"c": (slots: [Open, Tint("c1", "#ff0000"), Tint("c2", "#00ff00")])},"##,
    );
    check(&Stage::sent(&narrow, &[20]), "Colour", "c2", None);
}

#[test]
fn full_cyan_magenta_and_yellow_leave_almost_no_light() {
    let profile = still(
        5,
        r#"(name: "Cyan", at: [1], ranges: [(from: 0, to: 255, does: Filter(name: cyan, percent: (0.0, 100.0)))]),
           (name: "Magenta", at: [2], ranges: [(from: 0, to: 255, does: Filter(name: magenta, percent: (0.0, 100.0)))]),
           (name: "Yellow", at: [3], ranges: [(from: 0, to: 255, does: Filter(name: yellow, percent: (0.0, 100.0)))]),
           (name: "Dimmer", at: [4], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
           (name: "Shutter", at: [5], ranges: [(from: 0, to: 255, does: Open)])"#,
        "",
    );
    let light = |level: u8| -> f64 {
        let stage = Stage::sent(&profile, &[level, level, level, 255, 255]);
        let point = glam::DVec3::ZERO;
        stage.beams().iter().map(|b| b.illuminance_at(point, glam::DVec3::Z).luminance()).sum()
    };
    assert!(light(0) > 0.0);
    assert!(light(255) < 0.01 * light(0), "near dark");
    let open = Stage::sent(&profile, &[0, 0, 0, 255, 255]).beams();
    assert_eq!(open[0].openings[0].transmission, Rgb::WHITE);
}

// ---- Zoom and iris. Worked examples.

#[test]
fn zoom_runs_either_way_round() {
    near(alder_with(&[(12, 64)]).asked().zoom_deg.unwrap(), 16.03, 5e-3);
    let birch = Stage::sent(&birch(), &[0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 64, 0]);
    near(birch.asked().zoom_deg.unwrap(), 31.97, 5e-3);
}

#[test]
fn an_iris_uses_the_part_of_its_channel_that_its_range_covers() {
    let profile = still(
        1,
        r#"(name: "Iris", at: [1], ranges: [
             (from: 0, to: 191, does: Iris(percent: (100.0, 5.0))), (from: 192, to: 255, does: IrisPulse(hz: (0.5, 5.0)))])"#,
        "",
    );
    let asked = |level| Stage::sent(&profile, &[level]).asked();
    near(asked(191).iris.unwrap(), 0.05, 1e-12);
    assert_eq!((asked(192).iris, asked(192).iris_pulse_hz), (None, Some(0.5)));
    let whole = still(
        1,
        r#"(name: "Iris", at: [1], ranges: [(from: 0, to: 191, does: Iris(percent: (0.0, 100.0)))])"#,
        "",
    );
    // 96 of 191, not of 255.
    near(Stage::sent(&whole, &[96]).asked().iris.unwrap(), 0.503, 5e-4);
}

// ---- Programs, lamps, resets. Worked examples.

#[test]
fn a_built_in_program_overrides_what_the_rest_asks() {
    let stage = alder_with(&[(15, 12)]);
    let Some(Override::Program { channel, .. }) = stage.asked().overridden_by else {
        panic!("a program runs")
    };
    assert_eq!(channel, "Programs");
    check(&stage, "Programs", "on", None);
    assert!(is_dark(&stage), "no beam is made up");
    let off = alder_with(&[(15, 9)]);
    assert_eq!(off.asked().overridden_by, None);
    assert!(!is_dark(&off));
}

#[test]
fn a_discharge_lamp_is_only_known_to_burn_when_it_was_struck() {
    for (level, lamp, dark) in
        [(0, Lamp::Unknown, false), (224, Lamp::On, false), (212, Lamp::Off, true)]
    {
        let stage = alder_with(&[(16, level)]);
        assert_eq!(stage.pose().lamp, lamp, "control at {level}");
        assert_eq!(is_dark(&stage), dark, "control at {level}");
    }
    let off = Command::Lamp { on: false, hold_s: Some(5.0) };
    assert_eq!(alder_with(&[(16, 212)]).asked().commands, [off]);
}

#[test]
fn a_hold_that_the_chart_does_not_give_is_unknown_and_not_nothing() {
    let hold_s = |stage: &Stage| match stage.asked().commands.as_slice() {
        [Command::Reset { hold_s, takes_s, .. }] => (*hold_s, *takes_s),
        other => panic!("one reset is asked, not {other:?}"),
    };
    assert_eq!(hold_s(&alder_with(&[(16, 205)])), (Some(3.0), Some(25.0)));
    assert_eq!(hold_s(&Stage::sent(&birch(), &[240; 12])), (Some(5.0), None));
}

#[test]
fn ten_values_of_a_control_channel_reset_and_no_other() {
    let resets: Vec<u8> = (0..=255)
        .filter(|level| {
            let asked = alder_with(&[(16, *level)]).asked();
            asked.commands.iter().any(|command| matches!(command, Command::Reset { .. }))
        })
        .collect();
    assert_eq!(resets, (200..=209).collect::<Vec<u8>>());
}
