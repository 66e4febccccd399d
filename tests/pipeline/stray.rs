//! Stray slots: what one head alone of its model holds. Worked examples on neutral heads.

use slotwright::check::stray::{NONE, Stray, StrayKind, strays};
use slotwright::decode::Plan;
use slotwright::finding::Severity;
use slotwright::wire::{Slot, Universe};

use crate::heads::{ALDER_LIT, Stage, alder, fixture};

/// Four ALDER-16 at slots 1, 17, 33 and 49, all lit, with these slots set besides.
fn four(slots: &[(u16, u8)]) -> Stage {
    let rig = (0..4).map(|i| fixture(&alder(), 101 + i, 1 + 16 * i as u16)).collect();
    let mut stage = Stage::of(&[alder()], rig);
    let lit = (0..4).flat_map(|_| ALDER_LIT).enumerate();
    for (index, value) in lit {
        stage.frames.set(Universe::ONE, Slot::from_index(index).expect("64 slots"), value);
    }
    for (slot, value) in slots {
        stage.frames.set(Universe::ONE, Slot::new(*slot).expect("a slot"), *value);
    }
    stage.plan.decode(&stage.frames, &mut stage.decoded);
    stage
}

fn found(slots: &[(u16, u8)]) -> Vec<Stray> {
    let stage = four(slots);
    strays(&stage.rig, &stage.plan, &stage.frames, &stage.decoded, &[])
}

#[track_caller]
fn only(slots: &[(u16, u8)]) -> Stray {
    let mut found = found(slots);
    assert_eq!(found.len(), 1, "{found:#?}");
    found.remove(0)
}

#[test]
fn a_lone_speed_is_told_with_its_slot_and_what_the_twins_have() {
    // Head 4 has its speed slot at 120; its twins follow the frame.
    let stray = only(&[(53, 120)]);
    assert_eq!((stray.fixture, stray.offset, stray.kind), (3, 5, StrayKind::Speed));
    assert_eq!((stray.value, stray.usual, stray.twins), (Some(120), Some(0), 3));
    assert!(stray.what.contains("differs in slot 5"), "{}", stray.what);
    let put = (Universe::ONE, Slot::new(53).expect("a slot"), 0);
    assert_eq!(stray.puts, [put]);
}

#[test]
fn heads_that_are_all_alike_have_nothing_stray() {
    assert_eq!(found(&[]), []);
    assert!(NONE.contains("not in the data; look at the head's own menu"));
}

#[test]
fn a_lone_shutter_and_a_lone_control_value_are_told() {
    let shutter = only(&[(7, 0)]);
    assert_eq!((shutter.fixture, shutter.kind), (0, StrayKind::Shutter));
    assert_eq!(shutter.severity(), Severity::Warning);
    let control = found(&[(16, 215)]);
    assert!(control.iter().any(|stray| stray.kind == StrayKind::Control), "{control:#?}");
}

#[test]
fn what_is_set_head_by_head_is_no_stray() {
    // Pan, tilt and dimmer of each apart.
    assert_eq!(found(&[(1, 10), (17, 20), (33, 30), (3, 99), (22, 100)]), []);
}

#[test]
fn two_of_a_kind_are_no_loner_and_two_heads_have_no_majority() {
    assert_eq!(found(&[(5, 120), (21, 120)]), []);
    let rig = vec![fixture(&alder(), 1, 1), fixture(&alder(), 2, 17)];
    let mut stage = Stage::of(&[alder()], rig);
    stage.frames.set(Universe::ONE, Slot::new(5).expect("a slot"), 9);
    stage.frames.set(Universe::ONE, Slot::new(21).expect("a slot"), 120);
    stage.plan.decode(&stage.frames, &mut stage.decoded);
    assert_eq!(strays(&stage.rig, &stage.plan, &stage.frames, &stage.decoded, &[]), []);
}

#[test]
fn only_those_asked_about_are_told_and_all_twins_count() {
    let stage = four(&[(53, 120)]);
    let of =
        |only: &[usize]| strays(&stage.rig, &stage.plan, &stage.frames, &stage.decoded, only).len();
    assert_eq!((of(&[3]), of(&[0, 1])), (1, 0));
}

/// What is put as the twins have it is stray no longer, whatever the frame.
#[test]
fn putting_it_as_its_twins_have_it_mends_it() {
    let mut random = 3u32;
    let mut next = |below: u32| {
        random = random.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (random >> 8) % below
    };
    let mut mended = 0;
    for _ in 0..300 {
        let slots: Vec<(u16, u8)> =
            (0..3).map(|_| (next(64) as u16 + 1, next(256) as u8)).collect();
        let mut stage = four(&slots);
        let plan: &Plan = &stage.plan;
        let all = strays(&stage.rig, plan, &stage.frames, &stage.decoded, &[]);
        for stray in all.iter().filter(|stray| !stray.puts.is_empty()) {
            let mut frames = stage.frames.clone();
            for (universe, slot, value) in &stray.puts {
                frames.set(*universe, *slot, *value);
            }
            let mut decoded = plan.start();
            plan.decode(&frames, &mut decoded);
            let left = strays(&stage.rig, plan, &frames, &decoded, &[stray.fixture]);
            let same = |other: &&Stray| other.channel == stray.channel;
            assert!(!left.iter().any(|s| same(&s)), "{stray:#?}\n{left:#?}");
            mended += 1;
        }
        stage.frames = Default::default();
    }
    assert!(mended > 50, "{mended}");
}
