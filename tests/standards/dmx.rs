//! Frames and what their slots mean, through the whole decode.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::DVec3;
use slotwright::decode::{AxisAsk, Plan};
use slotwright::profile::Profile;
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead};
use slotwright::wire::{Frame, FrameError, Frames, SLOTS, Slot, SlotState, Universe};

use crate::assert_near;

/// A head whose pan and tilt have so many slots, coarse ones first: pan from slot 1, tilt after it.
fn head(width: usize, pan_travel_deg: f64, tilt_travel_deg: f64) -> Arc<Profile> {
    let slots: Vec<usize> = (1..=2 * width).collect();
    let (pan, tilt) = (pan_travel_deg / 2.0, tilt_travel_deg / 2.0);
    let text = format!(
        r#"(maker: "Neutral", model: "HEAD",
            head: Moving(pan: (travel_deg: {pan_travel_deg:?}), tilt: (travel_deg: {tilt_travel_deg:?})),
            source: White(flux_lm: 1000.0, cct_k: 5600.0), optics: (beam_deg: 10.0, field_deg: 14.0),
            modes: [(name: "m", slots: {}, channels: [
              (name: "Pan", at: {:?}, ranges: [(from: 0, to: 255, does: Pan(deg: (-{pan:?}, {pan:?})))]),
              (name: "Tilt", at: {:?}, ranges: [(from: 0, to: 255, does: Tilt(deg: (-{tilt:?}, {tilt:?})))]),
            ])])"#,
        2 * width,
        &slots[..width],
        &slots[width..],
    );
    Arc::new(ron::from_str(&text).expect("a profile"))
}

/// Pan and tilt that a frame of these slots asks, in degrees.
#[track_caller]
fn asked_deg(profile: &Arc<Profile>, slots: &[u8]) -> (f64, f64) {
    let fixture = Fixture {
        id: 1,
        label: String::new(),
        profile: profile.key().0,
        mode: "m".into(),
        address: Some(Address { universe: Universe::ONE, slot: Slot::new(1).expect("slot 1") }),
        at: DVec3::ZERO,
        hang: Hang::Hung,
        aim: Aim::default(),
        in_head: InHead::default(),
    };
    let plan = Plan::new(&vec![fixture], &BTreeMap::from([(profile.key().0, profile.clone())]));
    let mut frames = Frames::default();
    frames.universe_mut(Universe::ONE).apply(&Frame::levels(slots).expect("a frame"));
    let mut decoded = plan.start();
    plan.decode(&frames, &mut decoded);
    let asked = plan.reading(0, &frames, &decoded).expect("its profile is known").asked();
    match (asked.pan, asked.tilt) {
        (AxisAsk::To { deg: pan }, AxisAsk::To { deg: tilt }) => (pan, tilt),
        other => panic!("no angles: {other:?}"),
    }
}

// DIN SPEC 15800 (channel functions run linearly from DMXFrom to DMXTo, both included; offsets list the most
// significant slot first). Worked there for a 16-bit pan of -270..270: 0, 32767, 32768 and 65535.
#[test]
fn sixteen_bits_run_from_stop_to_stop() {
    let profile = head(2, 540.0, 270.0);
    for (value, pan_deg) in
        [(0u16, -270.0), (32_767, -0.004_12), (32_768, 0.004_12), (65_535, 270.0)]
    {
        let [coarse, fine] = value.to_be_bytes();
        let (pan, tilt) = asked_deg(&profile, &[coarse, fine, coarse, fine]);
        assert_near(pan, pan_deg, 5e-6);
        // Calculated: half the travel, half the angle.
        assert_near(tilt, pan_deg / 2.0, 5e-6);
        assert_near(pan, -270.0 + 540.0 * f64::from(value) / 65_535.0, 1e-12);
    }
}

// The same for 8 bits: 127 -> -1.0588, 128 -> +1.0588, a step of 2.1176 degrees (DIN SPEC 15800, calculated).
#[test]
fn eight_bits_have_no_value_at_the_centre() {
    let profile = head(1, 540.0, 270.0);
    let pan = |value: u8| asked_deg(&profile, &[value, 128]).0;
    assert_near(pan(127), -1.0588, 5e-5);
    assert_near(pan(128), 1.0588, 5e-5);
    assert_near(pan(128) - pan(127), 2.1176, 5e-5);
    assert_eq!((pan(0), pan(255)), (-270.0, 270.0));
}

// More slots run to the same stops; each adds eight bits (DIN SPEC 15800: offsets, most significant first).
#[test]
fn wider_channels_run_to_the_same_stops() {
    for width in 1..=4 {
        let profile = head(width, 540.0, 270.0);
        let both = |byte: u8| asked_deg(&profile, &vec![byte; 2 * width]);
        assert_eq!(both(0), (-270.0, -135.0));
        assert_eq!(both(255), (270.0, 135.0));
        let mut one_up = vec![0; 2 * width];
        one_up[width - 1] = 1;
        let step_deg = 540.0 / (256f64.powi(width as i32) - 1.0);
        // A 32-bit step is 0.13 microdegrees, of which a double near 270 keeps six digits.
        assert_near(asked_deg(&profile, &one_up).0 + 270.0, step_deg, 1e-12);
    }
}

// Largest error of an 8-bit position, closed form: half a step, travel / 255 / 2. Beside it the 16-bit one,
// travel / 65535 / 2, and what each is at 10 m: 2 d sin(e / 2), the chord. Calculated.
#[test]
fn the_largest_error_of_eight_bits_is_half_a_step() {
    for (travel_deg, coarse_deg, coarse_m, fine_deg, fine_m) in [
        (540.0, 1.058_824, 0.1848, 0.004_120, 0.000_719),
        (270.0, 0.529_412, 0.0924, 0.002_060, 0.000_360),
    ] {
        let profiles = [head(1, travel_deg, 270.0), head(2, travel_deg, 270.0)];
        let errors = profiles.each_ref().map(|profile| largest_error_deg(profile, travel_deg));
        assert_near(errors[0], travel_deg / 255.0 / 2.0, 1e-9);
        assert_near(errors[1], travel_deg / 65_535.0 / 2.0, 1e-9);
        assert_near(errors[0], coarse_deg, 5e-7);
        assert_near(errors[1], fine_deg, 5e-7);
        let at_10_m = |deg: f64| 2.0 * 10.0 * (deg.to_radians() / 2.0).sin();
        assert_near(at_10_m(errors[0]), coarse_m, 5e-5);
        assert_near(at_10_m(errors[1]), fine_m, 5e-7);
        assert_near(errors[0] / errors[1], 257.0, 1e-3);
    }
}

/// How far the wanted angle can be from the nearest one that a channel can ask, looked for half way between
/// neighbours and everywhere around.
fn largest_error_deg(profile: &Arc<Profile>, travel_deg: f64) -> f64 {
    let width = profile.modes[0].channels[0].at.len();
    let top = 256u32.pow(width as u32) - 1;
    let pan_deg = |value: u32| {
        let mut slots = vec![0; 2 * width];
        slots[..width].copy_from_slice(&value.to_be_bytes()[4 - width..]);
        asked_deg(profile, &slots).0
    };
    let mut worst = 0f64;
    for i in 0..256 {
        let value = (u64::from(top - 1) * i / 255) as u32;
        let (low, high) = (pan_deg(value), pan_deg(value + 1));
        assert!(low < high && high - low < travel_deg / 100.0);
        for share in [0.25, 0.5, 0.75] {
            let wanted = low + (high - low) * share;
            worst = worst.max((wanted - low).min(high - wanted));
        }
    }
    worst
}

// ANSI E1.11-2008, 8.5.1: only the NULL start code carries levels.
#[test]
fn only_the_null_start_code_carries_levels() {
    for code in 0..=255u8 {
        let frame = Frame::new(code, vec![1; SLOTS]).expect("512 slots");
        assert_eq!(frame.carries_levels(), code == 0, "{code:#04x}");
        let mut frames = Frames::default();
        assert_eq!(frames.universe_mut(Universe::ONE).apply(&frame), code == 0, "{code:#04x}");
        let known = frames.iter().flat_map(|(_, levels)| levels.known()).count();
        assert_eq!(known, if code == 0 { SLOTS } else { 0 }, "{code:#04x}");
    }
}

// ANSI E1.11-2008, Annex D, and ANSI E1.20 for 0xCC; 0xF0..0xF7 are for prototyping only.
#[test]
fn start_codes_have_the_standards_meanings() {
    for (code, meaning) in [
        (0x00, "levels"),
        (0x17, "ASCII text packet"),
        (0x55, "test packet"),
        (0x90, "UTF-8 text packet"),
        (0x91, "maker-specific packet"),
        (0x92, "reserved by the standard"),
        (0xA9, "reserved by the standard"),
        (0xAB, "reserved by the standard"),
        (0xCC, "remote device management"),
        (0xCD, "reserved by the standard"),
        (0xCF, "system information packet"),
        (0xF0, "prototype, never in sold equipment"),
        (0xF7, "prototype, never in sold equipment"),
        (0xFF, "another maker's use"),
    ] {
        let frame = Frame::new(code, vec![]).expect("no slots");
        assert_eq!(frame.start_code_meaning(), meaning, "{code:#04x}");
    }
}

// ANSI E1.11-2008, 8.7: no minimum number of slots; at most 512 behind slot 0, the start code, which is never
// an address.
#[test]
fn a_packet_has_0_to_512_slots_behind_its_start_code() {
    for count in [0, 1, 24, 511, 512] {
        let bytes: Vec<u8> = std::iter::once(0).chain((0..count).map(|_| 7)).collect();
        let frame = Frame::from_packet(&bytes).expect("at most 512 slots");
        assert_eq!(frame.slots().len(), count);
        let mut frames = Frames::default();
        frames.universe_mut(Universe::ONE).apply(&frame);
        for number in 1..=512u16 {
            let slot = Slot::new(number).expect("1 to 512");
            let sent = usize::from(number) <= count;
            let expected = if sent { SlotState::Sent(7) } else { SlotState::NeverSent };
            assert_eq!(frames.state(Universe::ONE, slot), expected, "slot {number} of {count}");
        }
    }
    assert_eq!(Frame::from_packet(&[0; 514]), Err(FrameError::TooLong(513)));
    assert_eq!(Frame::from_packet(&[]), Err(FrameError::Empty));
    assert_eq!((Slot::new(0), Slot::new(513)), (None, None));
}

// ANSI E1.31-2018, 9.1.1 and 6.2.7: universes 1 to 63999.
#[test]
fn universes_run_from_1_to_63999() {
    for number in [1, 2, 256, 63_999] {
        assert_eq!(Universe::new(number).map(u32::from), Some(number));
    }
    // 64214 is the discovery universe, which carries no levels.
    for number in [0, 64_000, 64_214, 65_535, 65_536, 65_537, u32::MAX] {
        assert_eq!(Universe::new(number), None, "{number}");
    }
}
