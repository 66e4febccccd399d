//! The conventions in circulation for the channels of a moving head, and where they conflict: each can be
//! written as a profile, decodes rightly, and gets the right remark. Bands and rates: common practice, no
//! source; the heads are worked examples.

use std::sync::Arc;

use slotwright::check::lint_profile;
use slotwright::profile::Profile;

use crate::heads::{Stage, profile};

/// What is said of every head of these tests, and is not what they are about.
const ASIDE: [&str; 6] =
    ["provenance", "no-dimmer", "no-aim", "assumed", "default-dark", "wheel-unreached"];

/// A head with these channels and nothing else: a moving one with a colour, a gobo and a prism wheel.
fn head(slots: u16, channels: &str) -> Arc<Profile> {
    profile(&format!(
        r##"(maker: "Neutral", model: "CUSTOM",
            head: Moving(
                pan: (travel_deg: 540.0, speed_deg_s: 240.0, accel_deg_s2: 400.0, endless: true),
                tilt: (travel_deg: 270.0, speed_deg_s: 200.0, accel_deg_s2: 400.0),
            ),
            source: White(flux_lm: 1000.0, cct_k: 5600.0), optics: (beam_deg: 20.0, field_deg: 30.0),
            wheels: {{
                "colour": (move_s: 0.1, shortest: true, slots: [Open, Tint("c1", "#ff2020"), Tint("c2", "#20ff20"), Tint("c3", "#2020ff")]),
                "gobo": (move_s: 0.1, shortest: true, slots: [Open, Pattern("g1", "dots"), Pattern("g2", "bars"), Blocked("blocked")]),
                "prism": (move_s: 0.1, shortest: true, slots: [Open, Prism(name: "facets", facets: 3, spread_deg: 5.0)]),
            }},
            modes: [(name: "one", slots: {slots}, channels: [{channels}])])"##
    ))
}

/// Sends each row of levels and asks what a channel then does, in words; the kinds of remark, in the order
/// of the profile and each once, must be `remarks`.
#[track_caller]
fn check(head: &Arc<Profile>, remarks: &[&str], rows: &[(&[u8], &str, &str)]) {
    for (levels, channel, words) in rows {
        let stage = Stage::sent(head, levels);
        let reading = stage.channel(channel);
        let label = reading.range.map_or("no range", |range| range.label.as_str());
        let said = format!("{label}: {}", reading.words());
        let said = if label == reading.words() { label.to_owned() } else { said };
        assert_eq!(said, *words, "{channel} at {levels:?}");
    }
    let found = lint_profile(head, &|_| true);
    let mut codes: Vec<&str> = Vec::new();
    for (_, finding) in found.list() {
        // A wheel that these channels leave alone is not what they are about.
        let aside = ASIDE.contains(&finding.code) || finding.code == "wheel-unused";
        if !aside && !codes.contains(&finding.code) {
            codes.push(finding.code);
        }
    }
    assert_eq!(codes, remarks, "{:#?}", found.list());
}

/// One channel of one slot.
fn one(name: &str, ranges: &str) -> Arc<Profile> {
    head(1, &format!("(name: \"{name}\", at: [1], {ranges})"))
}

const PAN: &str = "ranges: [(from: 0, to: 255, does: Pan(deg: (-270.0, 270.0)))]";
const TILT: &str = "ranges: [(from: 0, to: 255, does: Tilt(deg: (-135.0, 135.0)))]";

fn aimed(pan: &str, tilt: &str) -> Arc<Profile> {
    let rest = "default: 0x8000";
    head(
        4,
        &format!(
            "(name: \"Pan\", at: {pan}, {rest}, {PAN}), (name: \"Tilt\", at: {tilt}, {rest}, {TILT})"
        ),
    )
}

#[test]
fn the_order_of_coarse_and_fine_slots() {
    let pan = |levels, words| (levels, "Pan", words);
    let quarter: &[u8] = &[64, 0, 128, 0];
    check(&aimed("[1, 2]", "[3, 4]"), &[], &[pan(quarter, "pan: -135.00 deg")]);
    // Pan, tilt, then both fine slots: 64 is pan's coarse slot and 128 its fine one.
    check(&aimed("[1, 3]", "[2, 4]"), &["fine-apart"], &[pan(quarter, "pan: -133.94 deg")]);
    // Fine before coarse: rare, and then 64 is the fine slot.
    check(&aimed("[2, 1]", "[4, 3]"), &["fine-reversed"], &[pan(quarter, "pan: -269.47 deg")]);
    // A slot that is called fine and belongs to nothing.
    let alone = head(
        2,
        &format!(
            "(name: \"Pan\", at: [1], default: 128, {PAN}), (name: \"Pan fine\", at: [2], ranges: [(from: 0, to: 255, does: Idle)])"
        ),
    );
    check(&alone, &["fine-alone"], &[(&[64, 9], "Pan", "pan: -134.47 deg")]);
}

#[test]
fn what_zero_and_full_do_to_a_shutter() {
    let closed_at_0 = "default: 40, snap: true, ranges: [
        (from: 0, to: 31, does: Shut, label: \"closed\"), (from: 32, to: 63, does: Open, label: \"open\"),
        (from: 64, to: 255, does: Strobe(hz: (1.0, 20.0)), label: \"strobe, slow to fast\")]";
    let rows: &[(&[u8], &str, &str)] = &[
        (&[0], "Shutter", "closed"),
        (&[40], "Shutter", "open"),
        (&[255], "Shutter", "strobe, slow to fast: 20.00 Hz"),
    ];
    check(&one("Shutter", closed_at_0), &[], rows);
    // Open at 0, and an open island at the top.
    let open_at_0 = "snap: true, ranges: [
        (from: 0, to: 4, does: Open, label: \"open\"), (from: 5, to: 9, does: Shut, label: \"closed\"),
        (from: 10, to: 199, does: Strobe(hz: (0.5, 25.0)), label: \"strobe\"),
        (from: 200, to: 255, does: Open, label: \"open\")]";
    let rows: &[(&[u8], &str, &str)] =
        &[(&[0], "Shutter", "open"), (&[8], "Shutter", "closed"), (&[255], "Shutter", "open")];
    check(&one("Shutter", open_at_0), &[], rows);
    // A fade over a shutter that is not marked to jump crosses its strobe.
    let fades = open_at_0.replace("snap: true, ", "");
    check(&one("Shutter", &fades), &["fade-crosses"], rows);
    // Nothing but strobe, and no value for steady light.
    let never_open =
        "ranges: [(from: 0, to: 255, does: Strobe(hz: (1.0, 10.0)), label: \"slow to fast\")]";
    let rows: &[(&[u8], &str, &str)] = &[(&[0], "Strobe", "slow to fast: 1.00 Hz")];
    check(&one("Strobe", never_open), &["default-flashes", "no-open"], rows);
}

#[test]
fn shutters_with_more_on_them() {
    // The kind on one slot, the rate on the next.
    let kinds = head(
        2,
        "(name: \"Shutter kind\", at: [1], snap: true, ranges: [
            (from: 0, to: 127, does: Select, label: \"plain\"), (from: 128, to: 255, does: Select, label: \"random\")]),
         (name: \"Shutter\", at: [2], default: 255, snap: true, ranges: [
            (from: 0, to: 31, does: Shut, label: \"closed\"),
            (from: 32, to: 223, does: Strobe(hz: (0.5, 10.0)), label: \"plain\", when: [(\"Shutter kind\", 0, 127)]),
            (from: 32, to: 223, does: Strobe(hz: (0.5, 10.0), timing: Random), label: \"random\", when: [(\"Shutter kind\", 128, 255)]),
            (from: 224, to: 255, does: Open, label: \"open\")])",
    );
    let rows: &[(&[u8], &str, &str)] = &[
        (&[0, 223], "Shutter", "plain: 10.00 Hz"),
        (&[200, 32], "Shutter", "random: 0.50 Hz"),
        (&[200, 230], "Shutter", "open"),
    ];
    check(&kinds, &[], rows);
    // Rates printed as periods, 3.3 s to 30 ms, run evenly in seconds: half way is 1.665 s.
    let periods = "default: 255, snap: true, ranges: [
        (from: 0, to: 100, does: Strobe(hz: (0.30303, 33.3333), even_in: Seconds), label: \"slow to fast\"),
        (from: 101, to: 255, does: Open, label: \"open\")]";
    let rows: &[(&[u8], &str, &str)] = &[(&[50], "Shutter", "slow to fast: 0.60 Hz")];
    check(&one("Shutter", periods), &[], rows);
    // A reset hidden in the shutter slot: a fade may arm it.
    let with_reset = "default: 255, ranges: [
        (from: 0, to: 31, does: Shut, label: \"closed\"), (from: 32, to: 36, does: Reset(hold_s: 8.0, takes_s: 20.0), label: \"reset, hold 8 s\"),
        (from: 37, to: 255, does: Open, label: \"open\")]";
    let rows: &[(&[u8], &str, &str)] = &[(&[33], "Shutter", "reset, hold 8 s")];
    check(&one("Shutter", with_reset), &["fade-crosses"], rows);
    // One slot that dims backwards and strobes: 12 is 98.45 % and 135 is 3.10 %.
    let backwards = "default: 255, snap: true, ranges: [
        (from: 0, to: 9, does: Shut, label: \"off\"), (from: 10, to: 139, does: Dimmer(percent: (100.0, 0.0), curve: Linear)),
        (from: 140, to: 229, does: Strobe(hz: (1.0, 10.0)), label: \"strobe\"), (from: 230, to: 255, does: Open, label: \"full\")]";
    let rows: &[(&[u8], &str, &str)] = &[
        (&[12], "Light", "dimmer: 98.4 %"),
        (&[135], "Light", "dimmer: 3.1 %"),
        (&[139], "Light", "dimmer: 0.0 %"),
        (&[230], "Light", "full"),
    ];
    check(&one("Light", backwards), &["dimmer-bright"], rows);
}

#[test]
fn dimmers() {
    let plateaus = "ranges: [
        (from: 0, to: 7, does: Dimmer(percent: (0.0, 0.0), curve: Linear), label: \"off\"),
        (from: 8, to: 249, does: Dimmer(percent: (0.0, 100.0), curve: Linear)),
        (from: 250, to: 255, does: Dimmer(percent: (100.0, 100.0), curve: Linear), label: \"full\")]";
    let rows: &[(&[u8], &str, &str)] = &[
        (&[5], "Dimmer", "off: 0.0 %"),
        (&[8], "Dimmer", "dimmer: 0.0 %"),
        (&[252], "Dimmer", "full: 100.0 %"),
    ];
    check(&one("Dimmer", plateaus), &[], rows);
    // A curve that a control value chooses, and a master that two slots claim.
    let twice = "(name: \"Dimmer\", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))]),
        (name: \"Dimmer again\", at: [2], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))])";
    check(&head(2, twice), &["same-part"], &[(&[255, 51], "Dimmer again", "dimmer: 20.0 %")]);
    let curves = "snap: true, ranges: [
        (from: 0, to: 9, does: UseCurve(curve: Linear), label: \"linear\"), (from: 10, to: 255, does: UseCurve(curve: S), label: \"S\")]";
    check(&one("Dimmer curve", curves), &[], &[(&[12], "Dimmer curve", "S")]);
}

#[test]
fn colour_wheels() {
    let slots = "(from: 0, to: 9, does: Slot(wheel: \"colour\", slot: 1)), (from: 10, to: 19, does: Slot(wheel: \"colour\", slot: 2)),
        (from: 20, to: 29, does: Slot(wheel: \"colour\", slot: 3)), (from: 30, to: 39, does: Slot(wheel: \"colour\", slot: 4)),";
    // Splits behind the whole colours; a scroll that is fastest at both ends, with a stop between.
    let v_shaped = format!(
        "snap: true, ranges: [{slots} (from: 40, to: 127, does: Split(wheel: \"colour\", between: (1, 2))),
        (from: 128, to: 189, does: Scroll(wheel: \"colour\", rpm: (60.0, 2.0)), label: \"forwards, fast to slow\"),
        (from: 190, to: 193, does: Halt(wheel: \"colour\"), label: \"stop\"),
        (from: 194, to: 255, does: Scroll(wheel: \"colour\", rpm: (-2.0, -60.0)), label: \"backwards, slow to fast\")]"
    );
    let rows: &[(&[u8], &str, &str)] = &[
        (&[15], "Colour", "c1"),
        (&[50], "Colour", "open / c1"),
        (&[128], "Colour", "forwards, fast to slow: 60.0 rpm"),
        (&[190], "Colour", "stop"),
        (&[194], "Colour", "backwards, slow to fast: -2.0 rpm"),
    ];
    check(&one("Colour", &v_shaped), &[], rows);
    // The minority: both ways slow to fast, and no stop. Its label must not be taken over from the others.
    let straight = format!(
        "snap: true, ranges: [{slots} (from: 40, to: 127, does: Scroll(wheel: \"colour\", rpm: (2.0, 60.0)), label: \"forwards, slow to fast\"),
        (from: 128, to: 255, does: Scroll(wheel: \"colour\", rpm: (-2.0, -60.0)), label: \"backwards, fast to slow\")]"
    );
    let rows: &[(&[u8], &str, &str)] = &[(&[40], "Colour", "forwards, slow to fast: 2.0 rpm")];
    check(&one("Colour", &straight), &["label-sense"], rows);
    let turned = straight.replace("backwards, fast to slow", "forwards again, slow to fast");
    check(&one("Colour", &turned), &["label-turn"], rows);
    // One value of white, then anywhere on the wheel, counting down.
    let glide = "snap: true, ranges: [(from: 0, to: 0, does: Slot(wheel: \"colour\", slot: 1)),
        (from: 1, to: 255, does: Glide(wheel: \"colour\", slots: (5.0, 1.0)), label: \"index\")]";
    let rows: &[(&[u8], &str, &str)] =
        &[(&[0], "Colour", "open"), (&[128], "Colour", "index: slot 3.00")];
    check(&one("Colour", glide), &[], rows);
    // A list of colours over which a fade would run.
    let list = format!("ranges: [{slots} (from: 40, to: 255, does: Idle)]");
    check(&one("Colour", &list), &["no-snap"], &[(&[29], "Colour", "c2")]);
}

#[test]
fn gobo_wheels() {
    let gobos = "snap: true, ranges: [
        (from: 0, to: 7, does: Slot(wheel: \"gobo\", slot: 1)), (from: 8, to: 15, does: Slot(wheel: \"gobo\", slot: 2)),
        (from: 16, to: 23, does: Slot(wheel: \"gobo\", slot: 3)),
        (from: 24, to: 31, does: Shake(wheel: \"gobo\", slot: 2, hz: (0.5, 5.0)), label: \"g1 shake, slow to fast\"),
        (from: 32, to: 39, does: Shake(wheel: \"gobo\", slot: 3, hz: (0.5, 5.0)), label: \"g2 shake, slow to fast\"),
        (from: 40, to: 127, does: Slot(wheel: \"gobo\", slot: 4)),
        (from: 128, to: 255, does: Scroll(wheel: \"gobo\", rpm: (2.0, 60.0)), label: \"slow to fast\")]";
    // One step flips the fastest of one to the slowest of the next.
    let rows: &[(&[u8], &str, &str)] = &[
        (&[23], "Gobo", "g2"),
        (&[31], "Gobo", "g1 shake, slow to fast: 5.00 Hz"),
        (&[32], "Gobo", "g2 shake, slow to fast: 0.50 Hz"),
        (&[100], "Gobo", "blocked"),
    ];
    check(&one("Gobo", gobos), &[], rows);
    let rotation = "ranges: [(from: 0, to: 127, does: Turn(wheel: \"gobo\", deg: (0.0, 540.0)), label: \"index\"),
        (from: 128, to: 189, does: Spin(wheel: \"gobo\", rpm: (-60.0, -1.0)), label: \"clockwise, fast to slow\"),
        (from: 190, to: 193, does: SpinStop(wheel: \"gobo\"), label: \"stop\"),
        (from: 194, to: 255, does: Spin(wheel: \"gobo\", rpm: (1.0, 60.0)), label: \"anticlockwise, slow to fast\")]";
    let rows: &[(&[u8], &str, &str)] = &[
        (&[127], "Gobo rotation", "index: 540.00 deg"),
        (&[128], "Gobo rotation", "clockwise, fast to slow: -60.0 rpm"),
    ];
    check(&one("Gobo rotation", rotation), &[], rows);
    // Stop first, then both ways slow to fast.
    let stop_first = "ranges: [(from: 0, to: 15, does: SpinStop(wheel: \"gobo\"), label: \"stop\"),
        (from: 16, to: 135, does: Spin(wheel: \"gobo\", rpm: (1.0, 60.0)), label: \"CCW slow-fast\"),
        (from: 136, to: 255, does: Spin(wheel: \"gobo\", rpm: (1.0, 60.0)), label: \"CW slow-fast\")]";
    let rows: &[(&[u8], &str, &str)] = &[(&[255], "Gobo rotation", "CW slow-fast: 60.0 rpm")];
    check(&one("Gobo rotation", stop_first), &["same-ranges", "label-turn"], rows);
}

#[test]
fn prism_frost_iris_zoom_and_focus() {
    let prism = "ranges: [(from: 0, to: 31, does: Slot(wheel: \"prism\", slot: 1), label: \"out\"),
        (from: 32, to: 127, does: Turn(wheel: \"prism\", deg: (0.0, 360.0)), also: [Slot(wheel: \"prism\", slot: 2)], label: \"in, index\"),
        (from: 128, to: 255, does: Spin(wheel: \"prism\", rpm: (1.0, 60.0)), also: [Slot(wheel: \"prism\", slot: 2)], label: \"in, slow to fast\")]";
    check(&one("Prism", prism), &[], &[(&[128], "Prism", "in, slow to fast: 1.0 rpm")]);
    let frost = "snap: true, ranges: [(from: 0, to: 127, does: Frost(percent: (0.0, 0.0)), label: \"none\"),
        (from: 128, to: 255, does: Frost(percent: (100.0, 100.0)), label: \"full\")]";
    check(&one("Frost", frost), &[], &[(&[128], "Frost", "full: 100.0 %")]);
    // Only part of the slot moves the iris: 96 of 0..191 is 50.3 % of the way, not 37.6 %.
    let iris = |ends: &str, label: &str| {
        format!(
            "ranges: [(from: 0, to: 191, does: Iris(percent: {ends}), label: \"{label}\"),
            (from: 192, to: 255, does: IrisPulse(hz: (0.5, 4.0)), label: \"pulse, slow to fast\")]"
        )
    };
    let rows: &[(&[u8], &str, &str)] = &[
        (&[96], "Iris", "open to closed: 49.7 %"),
        (&[192], "Iris", "pulse, slow to fast: 0.50 Hz"),
    ];
    check(&one("Iris", &iris("(100.0, 0.0)", "open to closed")), &[], rows);
    let rows: &[(&[u8], &str, &str)] = &[(&[96], "Iris", "closed to open: 50.3 %")];
    check(&one("Iris", &iris("(0.0, 100.0)", "closed to open")), &["default-dark"][1..], rows);
    // Both senses of zoom and focus are in use; a label that says the other one is told.
    for (name, does, ends, label, words, remarks) in [
        (
            "Zoom",
            "Zoom(deg:",
            "(8.0, 40.0)",
            "narrow to wide",
            "narrow to wide: 16.03 deg",
            &[][..],
        ),
        (
            "Zoom",
            "Zoom(deg:",
            "(40.0, 8.0)",
            "wide to narrow",
            "wide to narrow: 31.97 deg",
            &[][..],
        ),
        (
            "Zoom",
            "Zoom(deg:",
            "(40.0, 8.0)",
            "narrow to wide",
            "narrow to wide: 31.97 deg",
            &["label-sense"][..],
        ),
        ("Focus", "Focus(percent:", "(0.0, 100.0)", "near to far", "near to far: 25.1 %", &[][..]),
        ("Focus", "Focus(percent:", "(100.0, 0.0)", "far to near", "far to near: 74.9 %", &[][..]),
    ] {
        let ranges =
            format!("ranges: [(from: 0, to: 255, does: {does} {ends}), label: \"{label}\")]");
        check(&one(name, &ranges), remarks, &[(&[64], name, words)]);
    }
}

#[test]
fn position_and_its_speed() {
    // 0 is fastest with most makers, with a band that follows the frame and one that is dark on the way.
    let fast_first = "snap: true, ranges: [(from: 0, to: 3, does: AimFollow, label: \"follow\"),
        (from: 4, to: 225, does: AimRate(deg_s: (240.0, 10.0)), label: \"fast to slow\"),
        (from: 226, to: 245, does: Idle, label: \"no function\"),
        (from: 246, to: 255, does: DarkWhileAiming, also: [AimFollow], label: \"dark while moving\")]";
    let rows: &[(&[u8], &str, &str)] = &[
        (&[2], "Speed", "follow"),
        (&[4], "Speed", "fast to slow: 240.0 deg/s"),
        (&[230], "Speed", "no function"),
        (&[255], "Speed", "dark while moving"),
    ];
    check(&one("Speed", fast_first), &[], rows);
    let slow_first = "snap: true, ranges: [(from: 0, to: 255, does: AimRate(deg_s: (10.0, 240.0)), label: \"slow to fast\")]";
    let rows: &[(&[u8], &str, &str)] = &[(&[0], "Speed", "slow to fast: 10.0 deg/s")];
    check(&one("Speed", slow_first), &[], rows);
    // Times fall as speed rises.
    let times = "snap: true, ranges: [(from: 0, to: 255, does: AimTime(s: (0.2, 25.0)), label: \"slow to fast\")]";
    check(&one("Speed", times), &["label-sense"], &[(&[0], "Speed", "slow to fast: 0.20 s")]);
    let senseless = "ranges: [(from: 0, to: 255, does: AimFollow, label: \"speed\")]";
    check(&one("Speed", senseless), &["name-effect"], &[(&[0], "Speed", "speed")]);
    // Endless pan: the stop is not a way back to a position. Endless tilt, on an axis that is not.
    let spin = "ranges: [(from: 0, to: 8, does: Idle, label: \"neutral\"), (from: 9, to: 124, does: PanSpin(rpm: (-20.0, -1.0)), label: \"clockwise, fast to slow\"),
        (from: 125, to: 139, does: PanStop, label: \"stop\"), (from: 140, to: 255, does: PanSpin(rpm: (1.0, 20.0)), label: \"anticlockwise, slow to fast\")]";
    let rows: &[(&[u8], &str, &str)] = &[
        (&[130], "Pan spin", "stop"),
        (&[255], "Pan spin", "anticlockwise, slow to fast: 20.0 rpm"),
    ];
    check(&one("Pan spin", spin), &[], rows);
    let tilt = spin.replace("Pan", "Tilt");
    check(&one("Tilt spin", &tilt), &["endless"], &[(&[130], "Tilt spin", "stop")]);
}

#[test]
fn control_reset_lamp_and_programs() {
    // Idle at 0 with most; on some lamp slots 0 puts the lamp out.
    let idle = "snap: true, ranges: [(from: 0, to: 79, does: Idle), (from: 80, to: 84, does: Reset(hold_s: 5.0, takes_s: 20.0), label: \"reset, hold 5 s\"),
        (from: 85, to: 89, does: Reset(part: Aim, hold_s: 5.0, takes_s: 10.0), label: \"reset pan and tilt, hold 5 s\"),
        (from: 90, to: 129, does: Latch(switch: DarkWhileAiming, on: true, hold_s: 2.0), label: \"dark on, hold 2 s\"),
        (from: 130, to: 255, does: Latch(switch: DarkWhileAiming, on: false, hold_s: 2.0), label: \"dark off, hold 2 s\")]";
    let rows: &[(&[u8], &str, &str)] =
        &[(&[0], "Control", "idle"), (&[86], "Control", "reset pan and tilt, hold 5 s")];
    check(&one("Control", idle), &[], rows);
    let out_at_0 = "snap: true, ranges: [(from: 0, to: 127, does: LampOff(hold_s: 3.0), label: \"lamp off, hold 3 s\"),
        (from: 128, to: 255, does: LampOn(hold_s: 1.0), also: [Reset(hold_s: 1.0, takes_s: 20.0)], label: \"lamp on and reset, hold 1 s\")]";
    let rows: &[(&[u8], &str, &str)] = &[(&[0], "Lamp", "lamp off, hold 3 s")];
    check(&one("Lamp", out_at_0), &["default-acts"], rows);
    // Charts that say nothing about a hold: unknown. A label that says another hold than the number.
    let silent = "snap: true, ranges: [(from: 0, to: 239, does: Idle), (from: 240, to: 255, does: Reset(takes_s: 20.0), label: \"reset\")]";
    check(&one("Control", silent), &["hold-unknown"], &[(&[250], "Control", "reset")]);
    let otherwise = silent
        .replace("Reset(takes_s", "Reset(hold_s: 3.0, takes_s")
        .replace("\"reset\"", "\"reset (hold 8 s)\"");
    check(&one("Control", &otherwise), &["label-hold"], &[(&[250], "Control", "reset (hold 8 s)")]);
    // The lamp goes out only behind a closed shutter.
    let guarded = head(
        2,
        "(name: \"Shutter\", at: [1], default: 255, snap: true, ranges: [(from: 0, to: 15, does: Shut, label: \"closed\"), (from: 16, to: 255, does: Open, label: \"open\")]),
         (name: \"Control\", at: [2], snap: true, ranges: [(from: 0, to: 229, does: Idle),
            (from: 230, to: 255, does: LampOff(hold_s: 5.0), label: \"lamp off, hold 5 s\", when: [(\"Shutter\", 0, 15)]),
            (from: 230, to: 255, does: Idle, label: \"lamp off, but the shutter is open\", when: [(\"Shutter\", 16, 255)])])",
    );
    let rows: &[(&[u8], &str, &str)] = &[
        (&[0, 240], "Control", "lamp off, hold 5 s"),
        (&[255, 240], "Control", "lamp off, but the shutter is open"),
    ];
    check(&guarded, &[], rows);
    // Programs override everything else; one that runs at rest is told.
    let programs = "snap: true, ranges: [(from: 0, to: 9, does: Program(name: \"demo\"), label: \"demo\"), (from: 10, to: 255, does: Idle, label: \"off\")]";
    check(&one("Programs", programs), &["default-acts"], &[(&[9], "Programs", "demo")]);
    // What nobody has found out stays unknown.
    let unknown = "ranges: [(from: 0, to: 99, does: Idle), (from: 100, to: 255, does: Unknown, label: \"service\")]";
    check(&one("Control", unknown), &["unknown"], &[(&[100], "Control", "unknown: service")]);
}
