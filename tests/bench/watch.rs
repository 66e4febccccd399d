//! How fast conditions are looked for: three hours of timed frames of one universe, 44 packets a second, in each of
//! which 20 slots change, to 36 heads of 14 slots. Each condition is to take no more than 10.8 s: 1,000 times real
//! time.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Instant;

use glam::DVec3;
use slotwright::check::watch::Watch;
use slotwright::cue::Cues;
use slotwright::decode::Plan;
use slotwright::profile::Profile;
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead};
use slotwright::show::Show;
use slotwright::stage::Room;
use slotwright::wire::{Change, Frames, Slot, TimedFrames, Universe};

/// Packets in three hours.
const PACKETS: u32 = 3 * 3600 * 44;

/// Slots that change in each.
const CHANGES: u32 = 20;

fn show() -> Show {
    let profile: Profile =
        ron::from_str(include_str!("spot-14.ron")).expect("the bench's own profile reads");
    let fixture = |i: usize| Fixture {
        id: i as u32 + 1,
        label: String::new(),
        profile: profile.key().0,
        mode: "14".into(),
        address: Some(Address {
            universe: Universe::ONE,
            slot: Slot::from_index(i * 14).expect("36 heads of 14 slots fit"),
        }),
        at: DVec3::new(i as f64 - 18.0, 2.0, 6.0),
        hang: Hang::Hung,
        aim: Aim::default(),
        in_head: InHead::default(),
    };
    let rig = (0..36).map(fixture).collect();
    let profiles = BTreeMap::from([(profile.key().0, Arc::new(profile))]);
    Show {
        name: "Bench".into(),
        notes: String::new(),
        room: Room { width_m: 40.0, front_m: 20.0, ..Room::default() },
        profiles,
        profile_files: Vec::new(),
        rig,
        looks: Vec::new(),
        levels: Frames::default(),
        cues: Cues::default(),
    }
}

fn frames() -> TimedFrames {
    let mut random = 1u32;
    let mut next = move || {
        random = random.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        random >> 8
    };
    let changes = (0..PACKETS * CHANGES).map(move |i| {
        let at_s = f64::from(i / CHANGES) / 44.0;
        let index = next() as usize % 504;
        let slot = Slot::from_index(index).expect("a slot");
        // No control value is held long enough to act, and shutters stay open more often than not.
        let value = match index % 14 {
            13 => 0,
            _ => (next() % 256) as u8,
        };
        (at_s, Change { universe: Universe::ONE, slot, value })
    });
    TimedFrames::new(changes)
}

fn main() {
    let show = show();
    let plan = Plan::new(&show.rig, &show.profiles);
    let timed = frames();
    println!("{} packets, {} changes", timed.len(), timed.change_count());
    for text in [
        "slot 1.7 > 100",
        "fixture 3 \"Shutter\" is open",
        "fixture 3 lit while moving",
        "fixture 3 level > 50 % and tilt < 10 deg",
        "any of 1..6 lit while moving",
        "any fixture lit while moving",
        "all fixtures lit",
        "beam of 3 below 2 m over the audience",
        "fixture 3 lux at eye level > 100",
        "any fixture beam below 2 m over the audience",
    ] {
        let watch = Watch::new(text, &show, &plan).expect("the condition reads");
        let mut best_s = f64::INFINITY;
        let mut count = 0;
        for _ in 0..2 {
            let start = Instant::now();
            let found = watch.over_timed(&Frames::default(), &timed, &|_| true);
            best_s = best_s.min(start.elapsed().as_secs_f64());
            count = found.expect("nobody stopped it").count;
        }
        let times = timed.duration_s() / best_s;
        println!(
            "{text:<46} best of 2: {best_s:6.2} s, {times:6.0} times real time, {count} spans"
        );
    }
}
