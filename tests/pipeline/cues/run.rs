//! Straight runs: times exact to the packet, and timed frames that carry the same.

use slotwright::cue::{Course, Cue, Next, Time, Times};
use slotwright::wire::{Slot, Universe, packet_s, parse_timed_frames};

use super::{Rehearsal, cue};

fn fading(number: &str, value: &str, fade_s: f64, next: Next) -> Cue {
    let times = Times { all: Time { fade_s, delay_s: 0.0 }, ..Times::default() };
    Cue {
        times,
        next,
        stands_s: Some(1.0),
        ..cue(number, &[(1, "Dimmer", value), (1, "Pan", value)])
    }
}

fn rehearsal() -> Rehearsal {
    Rehearsal::of(vec![
        fading("1", "100 %", 2.0, Next::Follow(0.5)),
        fading("2", "20 %", 1.0, Next::Wait(0.75)),
        fading("3", "60 %", 0.0, Next::Go),
        fading("4", "0 %", 0.1, Next::Go),
    ])
}

/// Pan at a share of its travel, not of degrees.
fn shares(mut rehearsal: Rehearsal) -> Rehearsal {
    for cue in &mut rehearsal.cues.lists[0].cues {
        let channels = cue.changes.get_mut(&1).expect("it is there");
        let slotwright::cue::Value::Is { amount, .. } = channels["Dimmer"] else { unreachable!() };
        channels.insert(
            "Pan".to_owned(),
            format!("{} deg", amount * 5.4 - 270.0).parse().expect("it is there"),
        );
    }
    rehearsal
}

/// From the figures of E1.11: whole universes as fast as the line carries them, 22.676 ms apart.
#[test]
fn cues_start_in_the_first_packet_at_or_after_their_time() {
    let rehearsal = shares(rehearsal());
    let run = rehearsal.run();
    let starts: Vec<f64> = run.starts().iter().map(|start| start.at_s).collect();
    // 2.0 + 0.5; + 0.75 after its start; 0.0 + 1.0 stood.
    assert_eq!(starts, [0.0, 2.5, 3.25, 4.25]);
    assert!((run.end_s() - 5.35).abs() < 1e-9);
    assert_eq!(run.period_s(), packet_s(512));
    let timed = run.timed_frames();
    let dimmer = |t_s: f64| {
        timed.frames_at(t_s).state(Universe::ONE, Slot::new(6).unwrap()).value().unwrap()
    };
    let packet = run.packet_from(3.25);
    assert!(run.packet_at_s(packet) >= 3.25 && run.packet_at_s(packet - 1) < 3.25);
    assert_eq!(dimmer(run.packet_at_s(packet)), 153);
    assert_ne!(dimmer(run.packet_at_s(packet - 1)), 153);
    for at_s in (0..timed.len()).filter_map(|nth| timed.frame(nth)).map(|(at_s, _)| at_s) {
        let packet = run.packet_from(at_s);
        assert_eq!(run.packet_at_s(packet), at_s, "a frame that no packet carries");
    }
}

/// A pair of coarse and fine that are faded apart would jump by 256 whenever the coarse slot steps.
#[test]
fn both_slots_of_a_wide_channel_run_as_one_number() {
    let rehearsal = shares(rehearsal());
    let run = rehearsal.run();
    let timed = run.timed_frames();
    let slot = |n| Slot::new(n).unwrap();
    let mut last: Option<u32> = None;
    // 0 to full from rest in the middle: 32 767 in 2 s.
    let most = (32_767.0 / 2.0 * run.period_s()).ceil() as u32 + 1;
    for packet in 0..run.packet_from(2.0) {
        let frames = timed.frames_at(run.packet_at_s(packet));
        let byte = |n| u32::from(frames.state(Universe::ONE, slot(n)).value().unwrap());
        let value = byte(1) << 8 | byte(2);
        if let Some(last) = last {
            assert!(value >= last && value - last <= most, "{last} to {value}");
        }
        last = Some(value);
    }
}

#[test]
fn what_is_passed_over_changes_nothing() {
    let rehearsal = shares(rehearsal());
    let run = rehearsal.run();
    let (mut every, mut few) = (Course::new(run.clone()), Course::new(run.clone()));
    let last = run.packet_from(run.end_s());
    let mut next = Some(0);
    for packet in 0..=last {
        let changed = every.step(packet);
        if next == Some(packet) {
            few.step(packet);
            next = few.next_packet();
        } else {
            assert!(!changed, "packet {packet} was passed over");
        }
        assert_eq!(every.frames(), few.frames());
    }
    assert_eq!(next, None);
}

/// The list as it is exported reads back as what was played.
#[test]
fn an_exported_list_reads_back() {
    let rehearsal = shares(rehearsal());
    let timed = rehearsal.run().timed_frames();
    let read = parse_timed_frames(&timed.to_csv(), None).unwrap();
    assert_eq!(read.timed, timed);
    assert_eq!(read.findings, Vec::new());
}
