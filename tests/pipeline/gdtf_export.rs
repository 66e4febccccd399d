//! Profiles written as fixture descriptions of DIN SPEC 15800 and read back. What must hold is a rule of
//! this program, so no outside source is named but where the standard itself is checked.

use slotwright::finding::{Finding, Severity};
use slotwright::light::pattern;
use slotwright::profile::gdtf::{self, Exported};
use slotwright::profile::{
    Channel, Condition, Effect, EvenIn, Library, Profile, Range, Shape, Timing, parse_profile,
};

/// The profile that comes back, the file, and what was said.
#[track_caller]
pub fn there_and_back(profile: &Profile) -> (Profile, Vec<u8>, Vec<Finding>) {
    let Exported { bytes, findings } =
        gdtf::export(profile, &pattern::openings).unwrap_or_else(|findings| panic!("{findings}"));
    let read = gdtf::read(&bytes).unwrap_or_else(|findings| panic!("{findings}"));
    let back = gdtf::import(&read, None).unwrap_or_else(|findings| panic!("{findings}")).profile;
    (back, bytes, findings)
}

#[track_caller]
pub fn profile(text: &str) -> Profile {
    let (profile, _) = parse_profile(text, None, &|_| true).unwrap_or_else(|f| panic!("{f}"));
    profile
}

/// A head that does not move, with these channels.
pub fn head(slots: u16, channels: &str) -> Profile {
    profile(&format!(
        r#"(maker: "Neutral", model: "ALDER", head: Fixed,
            source: White(flux_lm: 1000.0, cct_k: 5000.0), optics: (beam_deg: 10.0, field_deg: 15.0),
            modes: [(name: "m", slots: {slots}, channels: [{channels}])])"#
    ))
}

/// Every value that says where a range lies and when it holds.
type Key = (Option<(u32, u32)>, Vec<Condition>);

fn key(range: &Range, width: usize) -> Key {
    (range.bounds(width), range.when.clone())
}

pub fn in_order(channel: &Channel) -> Vec<&Range> {
    let mut ranges: Vec<&Range> = channel.ranges.iter().collect();
    ranges.sort_by_key(|range| {
        let when: Vec<_> = range.when.iter().map(|when| (when.0.clone(), when.1)).collect();
        (range.bounds(channel.at.len()), when)
    });
    ranges
}

/// Whether the standard has an attribute that says all of an effect.
fn is_held(effect: &Effect) -> bool {
    match effect {
        Effect::Strobe { even_in, timing, shape, .. } => {
            *even_in == EvenIn::Hz && (*timing != Timing::Burst || *shape == Shape::Hard)
        }
        Effect::Scroll { even_in, .. } | Effect::Spin { even_in, .. } => *even_in == EvenIn::Hz,
        Effect::IrisPulse { shape, .. } => *shape != Shape::Swell,
        Effect::AimRate { .. }
        | Effect::AimTime { .. }
        | Effect::AimShare { .. }
        | Effect::AimFollow
        | Effect::DarkWhileAiming
        | Effect::DarkWhileWheels
        | Effect::Select
        | Effect::Reset { .. }
        | Effect::LampOn { .. }
        | Effect::LampOff { .. }
        | Effect::Latch { .. }
        | Effect::UseCurve { .. }
        | Effect::Program { .. }
        | Effect::Sound
        | Effect::Follow => false,
        _ => true,
    }
}

/// Numbers are written to a millionth, and rates of rotation are six times as large in the file.
#[track_caller]
pub fn same_numbers(was: &Effect, back: &Effect, at: &str) {
    assert_eq!(std::mem::discriminant(was), std::mem::discriminant(back), "{at}: {was:?} {back:?}");
    match (was.physical(), back.physical()) {
        (Some(a), Some(b)) => {
            let close = |a: f64, b: f64| (a - b).abs() <= 2e-6 * a.abs().max(1.0);
            assert!(
                close(a.span.0, b.span.0) && close(a.span.1, b.span.1),
                "{at}: {was:?} {back:?}"
            );
            assert_eq!((a.unit, a.even_in), (b.unit, b.even_in), "{at}");
        }
        (a, b) => assert_eq!(a, b, "{at}"),
    }
    if let (Effect::Dimmer { curve: a, .. }, Effect::Dimmer { curve: b, .. }) = (was, back) {
        for i in 0..=32 {
            let level = f64::from(i) / 32.0;
            assert!((a.light(level) - b.light(level)).abs() < 1e-5, "{at}: {a:?} {b:?}");
        }
    } else if was.physical().is_none() {
        assert_eq!(was, back, "{at}");
    }
}

#[test]
fn every_shipped_profile_comes_back_in_all_that_both_can_hold() {
    for was in Library::embedded().profiles() {
        let (back, _, findings) = there_and_back(was);
        assert_eq!((&back.maker, &back.model), (&was.maker, &was.model));
        assert_eq!((back.body.mass_kg, back.body.power_w), (was.body.mass_kg, was.body.power_w));
        assert_eq!(back.optics.field_deg, was.optics.field_deg);
        assert_eq!(back.modes.len(), was.modes.len(), "{}", was.key());
        for (mode, other) in was.modes.iter().zip(&back.modes) {
            assert_eq!((&mode.name, mode.slots), (&other.name, other.slots), "{}", was.key());
            assert_eq!(mode.channels.len(), other.channels.len());
            for (channel, other) in mode.channels.iter().zip(&other.channels) {
                let at = format!("{}, {}, {}", was.key(), mode.name, channel.name);
                same_channel(channel, other, &at, &findings);
            }
        }
    }
}

#[track_caller]
pub fn same_channel(channel: &Channel, other: &Channel, at: &str, findings: &[Finding]) {
    let plain = |c: &Channel| (c.name.clone(), c.at.clone(), c.default, c.snap, c.cell);
    assert_eq!(plain(channel), plain(other), "{at}");
    let width = channel.at.len();
    let (own, others) = (in_order(channel), in_order(other));
    let keys = |list: &[&Range]| list.iter().map(|range| key(range, width)).collect::<Vec<Key>>();
    assert_eq!(keys(&own), keys(&others), "{at}");
    for (range, other) in own.iter().zip(&others) {
        if !range.label.is_empty() {
            assert_eq!(range.label, other.label, "{at}");
        }
        if range.also.is_empty() && is_held(&range.does) {
            same_numbers(&range.does, &other.does, at);
        } else if range.effects().ne(other.effects()) {
            let item = format!("channel \"{}\"", channel.name);
            let told = findings.iter().any(|finding| finding.to_string().contains(&item));
            assert!(told, "{at}: {:?} became {:?} in silence", range.does, other.does);
        }
    }
}

#[test]
fn wheels_come_back_with_their_slots_and_colours() {
    let was = Library::embedded().get("Tarnfell S1 Spot").expect("it is shipped");
    let (back, _, _) = there_and_back(&was);
    assert_eq!(back.wheels.keys().collect::<Vec<_>>(), was.wheels.keys().collect::<Vec<_>>());
    for (name, wheel) in &was.wheels {
        let other = &back.wheels[name];
        let step = |s: Option<f64>| s.map(|s| (s * 1e5).round());
        assert_eq!(step(wheel.move_s), step(other.move_s), "{name}");
        // A prism's throw goes through a share of the field.
        if name != "prism" {
            assert_eq!(wheel.slots, other.slots, "{name}");
        }
    }
    // Three leaves let as much through as they do in the profile.
    let traced = &back.drawings["three-leaves"];
    let area = |corners: &Vec<(f64, f64)>| {
        let next = corners.iter().cycle().skip(1);
        corners.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>().abs() / 2.0
    };
    let share = traced.iter().map(area).sum::<f64>() / std::f64::consts::PI;
    let open = pattern::drawing("three-leaves").expect("it is shipped").open_fraction;
    assert!((share - open).abs() < 0.02, "{share} {open}");
}

#[test]
fn a_gap_comes_back_as_a_gap_and_what_does_nothing_on_purpose_as_that() {
    // DIN SPEC 15800, table 60: a function ends where the next begins, so that a gap needs one too.
    let was = head(
        3,
        r#"(name: "Shutter", at: [1], ranges: [
              (from: 10, to: 19, does: Shut), (from: 20, to: 29, does: Idle),
              (from: 40, to: 49, does: Idle, label: "no function"), (from: 50, to: 250, does: Open)]),
           (name: "Level", at: [2, 3], ranges: [
              (fine_from: 1, fine_to: 65534, does: Dimmer(percent: (0.0, 100.0)))])"#,
    );
    let (back, _, findings) = there_and_back(&was);
    for (channel, other) in was.modes[0].channels.iter().zip(&back.modes[0].channels) {
        same_channel(channel, other, &channel.name, &findings);
    }
    assert_eq!(findings, []);
}

#[test]
fn ranges_that_depend_on_a_channel_of_two_slots_come_back_with_their_condition() {
    // DIN SPEC 15800, table 60: ModeMaster, ModeFrom, ModeTo.
    let was = head(
        4,
        r#"(name: "Kind", at: [1, 2], ranges: [
              (from: 0, to: 127, does: Unknown, label: "a"), (from: 128, to: 255, does: Unknown, label: "b")]),
           (name: "Rate", at: [4], ranges: [
              (from: 0, to: 9, does: Open),
              (from: 10, to: 200, does: Strobe(hz: (1.0, 9.0)), when: [("Kind", 0, 127)]),
              (from: 20, to: 255, does: Shut, when: [("Kind", 128, 255)])])"#,
    );
    let (back, _, findings) = there_and_back(&was);
    for (channel, other) in was.modes[0].channels.iter().zip(&back.modes[0].channels) {
        same_channel(channel, other, &channel.name, &findings);
    }
    assert_eq!(findings, []);
}

#[test]
fn a_range_that_depends_on_two_channels_is_left_out_and_told() {
    let was = head(
        3,
        r#"(name: "A", at: [1], ranges: [(from: 0, to: 255, does: Unknown, label: "a")]),
           (name: "B", at: [2], ranges: [(from: 0, to: 255, does: Unknown, label: "b")]),
           (name: "C", at: [3], ranges: [(from: 0, to: 255, does: Open, when: [("A", 0, 9), ("B", 0, 9)])])"#,
    );
    let (back, _, findings) = there_and_back(&was);
    assert_eq!(back.modes[0].channels[2].ranges, []);
    let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
    assert!(lines.iter().any(|line| line.contains("more than one other channel")), "{lines:?}");
    assert!(lines.iter().any(|line| line.contains("does not come back")), "{lines:?}");
}

#[test]
fn channels_that_do_the_same_are_told_apart_by_what_depends_on_them() {
    let kind = |name: &str, slot: u16| {
        format!(
            r#"(name: "{name}", at: [{slot}], ranges: [(from: 0, to: 255, does: Unknown, label: "k")]),"#
        )
    };
    let last = r#"(name: "Shutter", at: [4], ranges: [
        (from: 0, to: 255, does: Open, when: [("Second", 0, 99)]),
        (from: 0, to: 255, does: Shut, when: [("Second", 100, 255)])])"#;
    let channels = kind("First", 1) + &kind("Second", 2) + &kind("Third", 3) + last;
    let (back, _, findings) = there_and_back(&head(4, &channels));
    assert_eq!(back.modes[0].channels[3].ranges[0].when[0].0, "Second");
    assert_eq!(findings, []);
}

#[test]
fn emitters_come_back_with_their_colour_and_flux() {
    let was = profile(
        r#"(maker: "Neutral", model: "BEECH", head: Fixed, optics: (beam_deg: 10.0, field_deg: 15.0),
            source: Emitters([
                (name: "leaf", xy: (0.29, 0.62), flux_lm: 900.0),
                (name: "red", xy: (0.69, 0.3), flux_lm: 300.0)]),
            modes: [(name: "m", slots: 2, channels: [
                (name: "Leaf", at: [1], ranges: [
                    (from: 0, to: 255, does: Emitter(name: "leaf", percent: (0.0, 100.0)))]),
                (name: "Red", at: [2], ranges: [
                    (from: 0, to: 255, does: Emitter(name: "red", percent: (0.0, 100.0)))])])])"#,
    );
    let (back, _, findings) = there_and_back(&was);
    assert_eq!(back.source.emitters().len(), 2);
    for (emitter, other) in was.source.emitters().iter().zip(back.source.emitters()) {
        assert_eq!((&emitter.name, emitter.xy), (&other.name, other.xy));
        assert!((emitter.flux_lm - other.flux_lm).abs() < 1e-3, "{other:?}");
    }
    assert_eq!(findings, []);
}

#[test]
fn the_same_profile_gives_the_same_bytes() {
    for profile in Library::embedded().profiles() {
        assert_eq!(there_and_back(profile).1, there_and_back(profile).1);
    }
}

/// What was said that is more than a note.
#[track_caller]
pub fn losses(findings: &[Finding]) -> Vec<String> {
    let more = findings.iter().filter(|finding| finding.severity > Severity::Note);
    more.map(Finding::to_string).collect()
}

#[track_caller]
fn told(findings: &[Finding], expected: &str) {
    let lines: Vec<String> = findings.iter().map(Finding::to_string).collect();
    assert!(lines.iter().any(|line| line.contains(expected)), "{expected}: {lines:#?}");
}

#[test]
fn slots_that_no_channel_describes_are_counted_all_the_same() {
    // A mode has no size of its own (DIN SPEC 15800, table 56), so that a channel stands at its last slot.
    let channel = r#"(name: "Spare", at: [2], ranges: [])"#;
    let was = head(9, channel);
    let (back, _, findings) = there_and_back(&was);
    assert_eq!(back.modes, was.modes);
    assert_eq!(findings, []);
    let empty = head(3, "");
    assert_eq!(there_and_back(&empty).0.modes, empty.modes);
}

#[test]
fn every_loss_has_a_finding_at_its_place() {
    let was = profile(
        r##"(maker: "Neutral", model: "ASPEN", head: Fixed, cells: [(0.5, 0.0)],
            provenance: (chart: "printed chart", software: "1.4"),
            source: White(flux_lm: 1000.0, cct_k: 5000.0), optics: (beam_deg: 10.0, field_deg: 15.0, peak_cd: 9000.0),
            wheels: {"a.b": (move_s: 0.25, shortest: true, slots: [Open, Tint("red", "#ff2200")])},
            times: (rise_s: 0.2), on_loss: (does: Dark), drawings: {"spare": [[(0.0, 0.0), (0.5, 0.0), (0.0, 0.5)]]},
            modes: [(name: "m", slots: 3, channels: [
                (name: "Turn", at: [1], ranges: [(from: 0, to: 255, does: Scroll(wheel: "a.b", rpm: (1.0, 9.0), even_in: Seconds))]),
                (name: "Reset", at: [2], ranges: [(from: 9, to: 255, does: Reset(hold_s: 3.0))]),
                (name: "Show", at: [3], ranges: [(from: 0, to: 255, does: Program(name: "chase"))])])])"##,
    );
    let (_, _, findings) = there_and_back(&was);
    for expected in [
        "wheel \"a.b\": note: links are split at a full stop",
        "wheel \"a.b\": note: which way round it goes",
        "wheel \"a.b\": warning: the time of a step, 0.25 s, does not come back; it stands with what selects",
        "cells: warning: their places",
        "optics: note: the peak intensity",
        "fixture: note: software version",
        "fixture: warning: times `(rise_s:0.2)`",
        "fixture: warning: what it does without a signal",
        "drawing \"spare\": note: no slot of a wheel names the drawing",
        "mode \"m\", channel \"Turn\": warning: `Scroll(",
        "mode \"m\", channel \"Reset\": warning: `Reset(hold_s:3.0)` reads back as `Reset()`",
        "mode \"m\", channel \"Show\": warning: `Program(name:\"chase\")` reads back as `Unknown`",
        "times `(rise_s:0.2)` reads back as `not given`",
    ] {
        told(&findings, expected);
    }
}

#[test]
fn a_step_of_a_wheel_that_only_glides_comes_back() {
    let was = profile(
        r##"(maker: "Neutral", model: "ROWAN", head: Fixed,
            source: White(flux_lm: 1000.0, cct_k: 5000.0), optics: (beam_deg: 10.0, field_deg: 15.0),
            wheels: {"colour": (move_s: 0.25, slots: [Open, Tint("red", "#ff2200"), Tint("blue", "#0033ee")])},
            modes: [(name: "m", slots: 2, channels: [
                (name: "Colour", at: [1, 2], ranges: [
                    (from: 0, to: 127, does: Glide(wheel: "colour", slots: (1.0, 3.5))),
                    (from: 128, to: 255, does: Glide(wheel: "colour", slots: (4.0, 1.0)))])])])"##,
    );
    let (back, _, findings) = there_and_back(&was);
    assert_eq!(back.wheels, was.wheels);
    assert_eq!(findings, []);
}

#[test]
fn many_channels_of_one_kind_and_many_cells_find_room() {
    let idle = |slot: u16| {
        let does = if slot.is_multiple_of(2) { "Idle" } else { "Unknown" };
        format!(
            r#"(name: "No {slot}", at: [{slot}], ranges: [(from: 0, to: 255, does: {does}, label: "x")])"#
        )
    };
    let channels: Vec<String> = (1..=200).map(idle).collect();
    let was = head(200, &channels.join(","));
    let (back, _, findings) = there_and_back(&was);
    assert_eq!(back.modes, was.modes);
    assert_eq!(losses(&findings), Vec::<String>::new());
    let cell = |slot: u16| {
        format!(
            r#"(name: "Cell {slot}", at: [{slot}], cell: {slot}, ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))])"#
        )
    };
    let channels: Vec<String> = (1..=100).map(cell).collect();
    let cells: Vec<String> = (0..100).map(|i| format!("({}.5, 0.0)", i)).collect();
    let was = profile(&format!(
        r#"(maker: "Neutral", model: "LARCH", head: Fixed, cells: [{}],
            source: White(flux_lm: 1000.0, cct_k: 5000.0), optics: (beam_deg: 10.0, field_deg: 15.0),
            modes: [(name: "m", slots: 100, channels: [{}])])"#,
        cells.join(","),
        channels.join(",")
    ));
    let (back, _, findings) = there_and_back(&was);
    assert_eq!(back.modes, was.modes);
    assert_eq!(losses(&findings), Vec::<String>::new());
}
