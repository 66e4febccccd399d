//! What a person types for a channel, as a value.

use std::sync::Arc;

use proptest::prelude::*;
use slotwright::decode::entry::{Entry, EntryError, parse};
use slotwright::decode::{CompiledChannel, CompiledMode, split, values_for};
use slotwright::profile::quantity::Unit;
use slotwright::profile::{Channel, Effect, EvenIn, Mode, Profile, Range, Shape, Timing};

const HEAD: &str = r##"(
    maker: "Neutral", model: "Entry",
    head: Moving(pan: (travel_deg: 540.0), tilt: (travel_deg: 270.0)),
    source: White(flux_lm: 8000.0, cct_k: 6500.0),
    optics: (beam_deg: 13.0, field_deg: 17.0),
    wheels: {"colour": (slots: [Open, Tint("amber", "#ffb000"), Tint("azure", "#0b2bd6")])},
    modes: [(name: "full", slots: 11, channels: [
        (name: "Pan", at: [1, 2], ranges: [(from: 0, to: 255, does: Pan(deg: (0.0, 540.0)))]),
        (name: "Shutter", at: [3], ranges: [
            (from: 0, to: 31, does: Shut),
            (from: 32, to: 63, does: Open),
            (from: 64, to: 95, does: Strobe(hz: (1.0, 20.0))),
            (from: 96, to: 127, does: Open),
            (from: 128, to: 159, does: Strobe(hz: (1.0, 10.0), shape: Swell), label: "pulse"),
            (from: 160, to: 255, does: Open),
        ]),
        (name: "Colour", at: [4], ranges: [
            (from: 0, to: 15, does: Slot(wheel: "colour", slot: 1), label: "white"),
            (from: 16, to: 31, does: Slot(wheel: "colour", slot: 2), label: "c1"),
            (from: 32, to: 127, does: Slot(wheel: "colour", slot: 3)),
            (from: 128, to: 189, does: Scroll(wheel: "colour", rpm: (60.0, 1.0))),
            (from: 190, to: 193, does: Halt(wheel: "colour")),
            (from: 194, to: 250, does: Scroll(wheel: "colour", rpm: (-1.0, -60.0))),
        ]),
        (name: "Dimmer", at: [5], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
        (name: "Backwards", at: [6], ranges: [
            (from: 0, to: 9, does: Shut),
            (from: 10, to: 139, does: Dimmer(percent: (100.0, 0.0))),
            (from: 140, to: 255, does: Open),
        ]),
        (name: "Kind", at: [7], ranges: [
            (from: 0, to: 99, does: Select, label: "index"),
            (from: 100, to: 255, does: Select, label: "spin"),
        ]),
        (name: "Turn", at: [8], ranges: [
            (from: 0, to: 255, does: Turn(wheel: "colour", deg: (0.0, 360.0)), when: [("Kind", 0, 99)]),
            (from: 0, to: 255, does: Spin(wheel: "colour", rpm: (-30.0, 30.0)), when: [("Kind", 100, 255)]),
        ]),
        (name: "Time", at: [9], ranges: [(from: 0, to: 255, does: AimTime(s: (0.0, 25.5)))]),
        (name: "White", at: [10], ranges: [(from: 0, to: 255, does: Temperature(k: (8000.0, 2800.0)))]),
    ])],
)"##;

fn mode() -> CompiledMode {
    let profile: Arc<Profile> = Arc::new(ron::from_str(HEAD).expect("the head is valid"));
    let mode = profile.modes[0].clone();
    CompiledMode::new(&profile, &mode)
}

/// Types `text` for a channel of the head, with every slot at 0 but those given.
#[track_caller]
fn typed(channel: &str, text: &str, slots: &[(u16, u8)]) -> Result<Entry, EntryError> {
    let mode = mode();
    let channel = mode.channels.iter().find(|c| c.name == channel).expect("a channel of the head");
    let held = |offset| Some(slots.iter().find(|(o, _)| *o == offset).map_or(0, |(_, v)| *v));
    parse(channel, text, held)
}

#[track_caller]
fn value(channel: &str, text: &str) -> u32 {
    typed(channel, text, &[]).expect("a value").value
}

#[track_caller]
fn error(channel: &str, text: &str) -> String {
    typed(channel, text, &[]).expect_err("no value").to_string()
}

#[test]
fn a_pan_angle_takes_the_fine_slot_and_says_what_the_coarse_one_alone_would_miss() {
    // Worked example: 129 deg of 0..540 over 16 bits.
    let entry = typed("Pan", "129 deg", &[]).unwrap();
    assert_eq!(split(entry.value, 2), [61, 40]);
    assert!(entry.words.contains("coarse alone 0.33 deg off"), "{}", entry.words);
    let found = values_for(&mode().channels[0], 129.0, Unit::Degree);
    assert_eq!(found.len(), 1);
    assert!(found[0].error.abs() < 540.0 / 65_535.0 / 2.0);
}

#[test]
fn percentages_round_half_up_and_warn_where_another_rounding_does_something_else() {
    // Worked example: 50 % is 127 or 128, 90 % is 229 or 230, 25 % is 63 or 64.
    let fifty = typed("Colour", "50 %", &[]).unwrap();
    assert_eq!(fifty.value, 128);
    assert_eq!(fifty.warnings.len(), 1);
    let warning = &fifty.warnings[0];
    assert!(warning.contains("azure") && warning.contains("colour scroll"), "{warning}");
    let quarter = typed("Shutter", "25%", &[]).unwrap();
    assert_eq!(quarter.value, 64);
    assert!(quarter.warnings[0].contains("63 rounded down, in `open`"), "{:?}", quarter.warnings);
    let ninety = typed("Shutter", "90 %", &[]).unwrap();
    assert_eq!((ninety.value, ninety.warnings), (230, Vec::new()));
    assert_eq!(value("Dimmer", "50 %"), 128);
}

#[test]
fn a_percentage_is_the_light_where_light_is_what_the_channel_gives() {
    // Worked example: one channel dims backwards from 100 % at 10 to 0 % at 139.
    let entry = typed("Backwards", "100 %", &[]).unwrap();
    assert_eq!(entry.value, 10);
    let other = "as a share of the channel it would be 255, in `";
    assert!(entry.warnings[0].starts_with(other), "{:?}", entry.warnings);
    assert_eq!(value("Backwards", "0 %"), 139);
    assert_eq!(value("Backwards", "40 %"), 87);
}

#[test]
fn a_rate_takes_the_range_in_force_before_the_first_that_reaches_it() {
    // Worked example: strobe 1..20 Hz at 64..95, pulse 1..10 Hz at 128..159.
    let entry = typed("Shutter", "5 Hz", &[]).unwrap();
    assert_eq!(entry.value, 71);
    assert!(entry.words.contains("`pulse` at 142"), "{}", entry.words);
    assert_eq!(typed("Shutter", "5 Hz", &[(3, 130)]).unwrap().value, 142);
    assert_eq!(typed("Shutter", "15 Hz", &[(3, 130)]).unwrap().value, 87);
    // A period, as charts print it.
    assert_eq!(value("Shutter", "0.2 s"), 71);
    assert_eq!(value("Time", "2 s"), 20);
}

#[test]
fn turning_has_a_sense() {
    assert_eq!(value("Colour", "12 rpm"), 178);
    assert_eq!(value("Colour", "-60 rpm"), 250);
    assert_eq!(value("White", "3200 K"), 235);
}

#[test]
fn what_is_out_of_reach_is_told_what_there_is() {
    assert_eq!(
        error("Pan", "600 deg"),
        "`600 deg` is out of reach: this channel reaches 0..540 deg"
    );
    assert_eq!(
        error("Shutter", "25 Hz"),
        "`25 Hz` is out of reach: this channel reaches 1..20 or 1..10 Hz"
    );
    assert_eq!(error("Dimmer", "5 Hz"), "`5 Hz`: this channel asks for nothing in Hz");
    assert!(error("Shutter", "120 %").contains("0..100 %"));
    assert!(error("Shutter", "-5 %").contains("0..100 %"));
}

#[test]
fn plain_numbers_fill_every_slot() {
    // 255 is full and 128 is what 128 is on a channel of one slot: bytes repeat when a value widens
    // (DIN SPEC 15800, DMXValue in its plain form).
    assert_eq!(value("Pan", "255"), 65_535);
    assert_eq!(value("Pan", "128"), 128 * 257);
    assert_eq!(value("Pan", "61/40"), 15_656);
    assert_eq!(value("Pan", "#15656"), 15_656);
    assert_eq!(value("Pan", "15656/65535"), 15_656);
    assert!(error("Pan", "256").contains("#0..#65535"));
    assert!(error("Shutter", "256").contains("0..255"));
    assert!(error("Pan", "#65536").contains("#65535"));
    assert!(error("Pan", "61/256").contains("coarse/fine"));
    assert!(error("Shutter", "1/2").contains("one slot"));
    let gap = typed("Colour", "252", &[]).unwrap();
    assert!(gap.warnings[0].contains("no range covers 252"), "{:?}", gap.warnings);
}

#[test]
fn names_match_whole_before_they_match_by_their_beginning() {
    let open = typed("Shutter", "OPEN", &[]).unwrap();
    assert_eq!(open.value, 32);
    assert!(open.words.contains("the same at 96..127, 160..255"), "{}", open.words);
    assert_eq!(value("Shutter", "pul"), 128);
    // The name of the wheel's slot, although the range has a label of its own.
    assert_eq!(value("Colour", "amber"), 16);
    assert_eq!(value("Colour", "az"), 32);
    let colours = error("Colour", "colour");
    assert!(colours.contains("`colour scroll`") && colours.contains("`colour stays`"), "{colours}");
    let unknown = error("Shutter", "sesame");
    assert!(unknown.contains("1..20 or 1..10 Hz") && unknown.contains("pulse"), "{unknown}");
    assert_eq!(error("Shutter", "  "), "nothing was typed");
}

#[test]
fn a_range_that_depends_on_another_channel_is_taken_only_as_a_last_resort_and_says_so() {
    // Worked example: index or spin, as another channel says.
    let index = typed("Turn", "90 deg", &[]).unwrap();
    assert_eq!((index.value, index.warnings), (64, Vec::new()));
    let spin = typed("Turn", "90 deg", &[(7, 200)]).unwrap();
    assert_eq!(spin.value, 64);
    assert!(spin.warnings[0].contains("acts only while the fixture's slot 7 is 0..99"));
}

#[test]
fn no_text_makes_it_panic() {
    let mode = mode();
    let parts = [
        "",
        "#",
        "/",
        "%",
        "1e999",
        "-",
        "--1 deg",
        "NaN deg",
        "inf Hz",
        "1/",
        "#-1",
        "٣",
        "99999999999999999999999999999999999 %",
        "0.00000000000000000000000000001 %",
        "slot",
        "slot x",
        "°",
        "1.2.3 Hz",
        "#99999999999999999999999",
        "1/2/3/4/5/6",
        "ß",
    ];
    for channel in &mode.channels {
        for text in parts {
            let _ = parse(channel, text, |_| None);
        }
    }
}

/// A range between two bounds that gives a physical pair one way or another.
fn effect(kind: u8, a: f64, b: f64) -> Effect {
    let even_in = if kind.is_multiple_of(2) { EvenIn::Hz } else { EvenIn::Seconds };
    match kind % 6 {
        0 => Effect::Pan { deg: (a, b) },
        1 | 2 => Effect::Strobe {
            hz: (a.abs() + 0.1, b.abs() + 0.1),
            shape: Shape::Hard,
            timing: Timing::Even,
            even_in,
        },
        3 => Effect::Temperature { k: (a.abs() * 30.0, b.abs() * 30.0) },
        4 => Effect::Scroll { wheel: "w".into(), rpm: (a, b), even_in },
        _ => Effect::AimTime { s: (a.abs(), b.abs()) },
    }
}

fn channel(width: usize, cuts: &[(u8, u8, f64, f64)]) -> CompiledChannel {
    let mut profile: Profile = ron::from_str(HEAD).expect("the head is valid");
    let mut from = 0i64;
    let mut ranges = Vec::new();
    for (size, kind, a, b) in cuts {
        let to = (from + i64::from(*size)).min(255);
        ranges.push(Range {
            from: Some(from),
            to: Some(to),
            fine_from: None,
            fine_to: None,
            does: effect(*kind, *a, *b),
            also: Vec::new(),
            label: String::new(),
            when: Vec::new(),
        });
        from = to + 1;
        if from > 255 {
            break;
        }
    }
    let channel = Channel {
        name: "Random".into(),
        at: (1..=width as u16).collect(),
        default: 0,
        snap: false,
        cell: None,
        ranges,
    };
    let mode = Mode { name: "random".into(), slots: 4, channels: vec![channel] };
    profile.modes = vec![mode.clone()];
    CompiledMode::new(&Arc::new(profile), &mode).channels.remove(0)
}

proptest! {
    #[test]
    fn a_physical_value_read_off_and_typed_again_comes_back(
        width in 1usize..=3,
        cuts in prop::collection::vec((0u8..80, any::<u8>(), -300.0..300.0f64, -300.0..300.0f64), 1..8),
        which in any::<prop::sample::Index>(),
        along in 0.0..=1.0f64,
    ) {
        let channel = channel(width, &cuts);
        let range = which.get(&channel.ranges);
        let steps = f64::from(range.last - range.first);
        let value = range.first + (along * steps).round() as u32;
        let physical = range.physical_at(value).unwrap();
        let unit = range.physical.unwrap().unit;
        // The range that the value lies in is the one in force, so it is the one taken.
        let bytes = split(value, width);
        let held = |offset: u16| bytes.get(usize::from(offset) - 1).copied();
        let entry = parse(&channel, &format!("{physical:.12} {}", unit.symbol()), held).unwrap();
        let again = range.physical_at(entry.value).unwrap();
        let step = [value.saturating_sub(1).max(range.first), (value + 1).min(range.last)]
            .map(|near| (range.physical_at(near).unwrap() - physical).abs())
            .into_iter()
            .fold(0.0, f64::max);
        prop_assert!(
            (again - physical).abs() <= step / 2.0 + 1e-9,
            "{value} -> {physical} -> {} -> {again}", entry.value
        );
    }

    #[test]
    fn whatever_is_typed_is_answered(text in ".{0,24}", width in 1usize..=4) {
        let channel = channel(width, &[(80, 1, 0.0, 9.0)]);
        if let Ok(entry) = parse(&channel, &text, |_| Some(0)) {
            prop_assert!(entry.value <= channel.max_value());
            prop_assert!(!entry.words.is_empty());
        }
    }
}
