//! What trips people up about frames and patches, each as a worked example with the neutral heads: no real
//! fixture's chart.

use slotwright::decode::{Held, ShutterAsk};
use slotwright::rig::Address;
use slotwright::wire::{Frame, FrameError, Slot, SlotState, Universe};

use crate::decode_cases::{check, is_dark, near, pan_deg, tilt_deg};
use crate::heads::{ALDER_LIT, Stage, alder, elm, fixture, still};

// ---- Which byte is which slot. Worked examples; ANSI E1.11-2008: slot 0 is the start code.

#[test]
fn a_packet_of_513_bytes_starts_with_its_start_code() {
    let tens: Vec<u8> = (0..514u32).map(|n| (n * 10) as u8).collect();
    let mut stage = Stage::one(&alder());
    stage.send(&Frame::from_packet(&tens[..513]).expect("a start code and 512 slots"));
    assert_eq!(stage.reading(0).slot_state(1), Some(SlotState::Sent(10)), "pan coarse");

    let mut bare = Stage::one(&alder());
    bare.send(&Frame::levels(&tens[1..513]).expect("512 slots"));
    assert_eq!(bare.reading(0).slot_state(1), Some(SlotState::Sent(10)), "pan coarse");

    assert_eq!(Frame::from_packet(&tens), Err(FrameError::TooLong(513)));
    assert_eq!(Frame::levels(vec![0; 513]), Err(FrameError::TooLong(513)));
}

#[test]
fn a_head_one_slot_off_its_patch_reads_every_channel_shifted() {
    let mut levels = vec![0u8; 16];
    levels.extend(ALDER_LIT);
    let mut stage = Stage::of(&[alder()], vec![fixture(&alder(), 1, 16)]);
    stage.send(&Frame::levels(levels).expect("32 slots"));
    assert_eq!(stage.channel("Pan").held, Held::Sent(128), "coarse 0, fine 128");
    assert_eq!(stage.channel("Tilt").held, Held::Sent(128), "coarse 0, fine 128");
    check(&stage, "Speed", "follow", None);
    check(&stage, "Dimmer", "dimmer", Some(0.0));
    assert_eq!(stage.channel("Shutter").held, Held::Sent(255));
    check(&stage, "Shutter", "open", None);
    check(&stage, "Colour", "c2", None);
    assert!(is_dark(&stage), "the dimmer is at 0");
}

// ---- What the frame reaches. Worked examples.

#[test]
fn not_sent_is_not_zero() {
    let stage = Stage::sent(&alder(), &ALDER_LIT[..6]);
    assert_eq!(stage.channel("Shutter").held, Held::NeverSent);
    assert_eq!(stage.channel("Shutter").words(), "not sent");
    assert!(stage.channel("Shutter").range.is_none() && !stage.channel("Shutter").in_gap());
    let asked = stage.asked();
    let names: Vec<&str> = asked
        .taken_at_rest
        .iter()
        .map(|i| stage.reading(0).mode.channels[usize::from(*i)].name.as_str())
        .collect();
    assert_eq!(names[0], "Shutter");
    assert_eq!(names.len(), 10, "every channel from slot 7 on");
    // At rest its shutter is closed: the dimmer alone gives no light.
    assert!(is_dark(&stage));
}

#[test]
fn a_16_bit_channel_half_of_which_was_never_sent_has_no_value() {
    let stage = Stage::sent(&alder(), &[128]);
    assert_eq!(stage.channel("Pan").held, Held::NeverSent);
    near(pan_deg(&stage), 0.004_12, 5e-5);
}

#[test]
fn a_frame_cut_short_leaves_the_rest_as_it_was_and_says_so() {
    let mut stage = Stage::one(&alder());
    let mut full = ALDER_LIT.to_vec();
    full.resize(128, 0);
    stage.send(&Frame::levels(full).expect("128 slots"));
    stage.send(&Frame::levels([10, 20, 30]).expect("3 slots"));
    assert_eq!(stage.channel("Pan").held, Held::Sent(10 * 256 + 20));
    assert_eq!(stage.channel("Tilt").held, Held::Kept(30 * 256), "new coarse, old fine");
    assert_eq!(stage.channel("Dimmer").held, Held::Kept(255));
    assert!(!is_dark(&stage));
}

#[test]
fn only_start_code_0_carries_levels() {
    let starts: [(&[u8], &str); 5] = [
        (&[0xCC, 1, 0x24, 255, 255, 255, 255, 255, 255], "remote device management"),
        (&[0x17, 65, 66], "ASCII text packet"),
        (&[0xDD; 513], "per-slot priorities"),
        (&[0xFF, 1, 2], "another maker's use"),
        (&[0x55; 513], "test packet"),
    ];
    for (bytes, meaning) in starts {
        let mut stage = Stage::sent(&alder(), &ALDER_LIT);
        let before = stage.asked();
        let frame = Frame::from_packet(bytes).expect("a packet");
        assert_eq!(frame.start_code_meaning(), meaning);
        assert!(!stage.send(&frame));
        assert_eq!(stage.asked(), before);
    }
    let mut stage = Stage::one(&alder());
    assert!(stage.send(&Frame::levels([100; 512]).expect("512 slots")));
    near(stage.channel("Dimmer").physical.unwrap(), 39.2, 0.05);
}

#[test]
fn a_head_that_took_management_for_levels_would_flash_at_full() {
    // Worked example: the slots behind start code 0xCC, read as levels by a head that ignores the code.
    let slots = [1, 0x24, 255, 255, 255, 255, 255, 255];
    let stage = Stage::sent(&alder(), &slots);
    near(pan_deg(&stage), -267.6, 0.05);
    near(tilt_deg(&stage), 135.0, 1e-9);
    check(&stage, "Shutter", "open", None);
    near(stage.pose().light(), 1.0, 1e-12);
}

#[test]
fn a_range_with_fine_bounds_starts_where_it_says() {
    // 128 repeated into the fine slot is 32896: coarse 128 straddles the edge.
    let profile = still(
        2,
        r#"(name: "Turn", at: [1, 2], ranges: [
             (fine_from: 0, fine_to: 32895, does: Idle, label: "below"),
             (fine_from: 32896, fine_to: 65535, does: FrameTurn(deg: (0.0, 90.0)), label: "above")])"#,
        "",
    );
    for (coarse, fine, label) in [(128, 0, "below"), (128, 127, "below"), (128, 128, "above")] {
        check(&Stage::sent(&profile, &[coarse, fine]), "Turn", label, None);
    }
}

#[test]
fn a_value_that_no_range_covers_is_a_gap() {
    let profile = still(
        1,
        r#"(name: "Shutter", at: [1], default: 200, ranges: [
             (from: 0, to: 99, does: Shut), (from: 110, to: 255, does: Open)])"#,
        "",
    );
    let stage = Stage::sent(&profile, &[105]);
    assert!(stage.channel("Shutter").in_gap());
    assert_eq!(stage.channel("Shutter").words(), "nothing (no range)");
    assert_eq!(stage.asked().taken_at_rest, [0]);
    assert_eq!(stage.asked().cells[0].shutter, ShutterAsk::Open, "as at rest");
}

// ---- Patch. Worked examples.

#[test]
fn what_runs_past_slot_512_is_lost_and_never_wraps() {
    for (first, lost) in [(497, 0), (498, 1), (501, 4)] {
        let address = Address { universe: Universe::ONE, slot: Slot::new(first).unwrap() };
        assert_eq!(address.slots_lost(16), lost, "at {first}");
        let mut stage = Stage::of(&[alder()], vec![fixture(&alder(), 1, first)]);
        stage.send(&Frame::levels([205; 512]).expect("512 slots"));
        let no_slot = stage.reading(0).channels().filter(|c| c.held == Held::NoSlot).count();
        assert_eq!(no_slot, usize::from(lost), "at {first}: one channel a slot up there");
        let commands = stage.asked().commands;
        assert_eq!(commands.is_empty(), lost > 0, "the control slot is the last");
    }
    for number in [0, 513, u16::MAX] {
        assert_eq!(Slot::new(number), None);
    }
    assert_eq!(Slot::new(512).map(Slot::number), Some(512));
}

#[test]
fn slots_of_a_footprint_that_no_channel_describes_belong_to_the_fixture_all_the_same() {
    let ranges = "ranges: [(from: 0, to: 255, does: Idle)]";
    let channels: Vec<String> = (1..=20)
        .chain([24])
        .map(|slot| format!(r#"(name: "Channel {slot}", at: [{slot}], {ranges})"#))
        .collect();
    let profile = still(24, &channels.join(", "), "");
    let stage = Stage::sent(&profile, &[0; 24]);
    for slot in 1..=25 {
        let owners = stage.plan.owners(Universe::ONE, Slot::new(slot).unwrap());
        let described = owners.first().map(|owner| owner.channel.is_some());
        let expected = match slot {
            21..=23 => Some(false),
            25 => None,
            _ => Some(true),
        };
        assert_eq!(described, expected, "slot {slot}");
    }
}

#[test]
fn two_modes_of_one_head_agree_up_to_the_slots_that_one_inserts() {
    let levels: Vec<u8> = (0..28).map(|i| 100 + i).collect();
    let mut other = fixture(&elm(), 2, 1);
    other.mode = elm().modes[1].name.clone();
    let mut stage = Stage::of(&[elm()], vec![fixture(&elm(), 1, 1), other]);
    stage.send(&Frame::levels(levels).expect("28 slots"));
    let held = |fixture: usize, name: &str| {
        let reading = stage.reading(fixture);
        reading.channels().find(|c| c.channel.name == name).and_then(|c| c.held.value())
    };
    assert_eq!(held(0, "Pan"), held(1, "Pan"));
    assert_eq!(held(0, "Tilt"), held(1, "Tilt"));
    assert_eq!((held(0, "Dimmer"), held(1, "Dimmer")), (Some(105), Some(113)));
}

#[test]
fn a_fixture_without_a_profile_stays_in_the_rig_and_has_no_reading() {
    let stage = Stage::of(&[], vec![fixture(&alder(), 1, 1)]);
    assert!(stage.plan.reading(0, &stage.frames, &stage.decoded).is_none());
    assert_eq!(stage.plan.fixtures().len(), 1);
}
