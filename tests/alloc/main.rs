//! Decoding and stepping allocate nothing, and a file from outside only so much. Its own test binary,
//! since counting needs an allocator of its own.

mod gdtf;
#[path = "../pipeline/gdtf_file.rs"]
mod gdtf_file;
#[path = "../hostile/gdtf_files.rs"]
mod gdtf_files;

use std::collections::BTreeMap;
use std::sync::Arc;

use allocation_counter::measure;
use glam::DVec3;
use slotwright::decode::{Asked, Plan};
use slotwright::motion::RigMotion;
use slotwright::profile::Profile;
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead, Rig};
use slotwright::wire::{Frame, Frames, SLOTS, Slot, Universe};

/// Heads with 8- and 16-bit channels, conditions, wheels and cells.
fn profiles() -> Vec<Arc<Profile>> {
    let texts = [
        include_str!("../pipeline/profiles/alder-16.ron"),
        include_str!("../pipeline/profiles/birch-12.ron"),
        include_str!("../pipeline/profiles/cedar-14.ron"),
        include_str!("../pipeline/profiles/dogwood-10.ron"),
        include_str!("../pipeline/profiles/elm.ron"),
    ];
    texts.map(|text| Arc::new(ron::from_str(text).expect("a profile"))).into()
}

/// As many of them, in turn, as fill two universes.
fn rig(profiles: &[Arc<Profile>]) -> Rig {
    let mut rig = Rig::new();
    for universe in 1..=2 {
        let mut next = 1;
        for profile in profiles.iter().cycle() {
            let mode = &profile.modes[0];
            if next + mode.slots > SLOTS as u16 + 1 {
                break;
            }
            let address = Address {
                universe: Universe::new(universe).expect("1 or 2"),
                slot: Slot::new(next).expect("it fits"),
            };
            next += mode.slots;
            rig.push(Fixture {
                id: rig.len() as u32 + 1,
                label: String::new(),
                profile: profile.key().0,
                mode: mode.name.clone(),
                address: Some(address),
                at: DVec3::Z * 6.0,
                hang: Hang::Hung,
                aim: Aim::default(),
                in_head: InHead::default(),
            });
        }
    }
    rig
}

/// Levels that differ everywhere from one turn to the next.
fn levels(turn: usize) -> Vec<u8> {
    (0..SLOTS).map(|i| (i * 37 + turn * 11 + (i * i) / 7) as u8).collect()
}

struct Bench {
    rig: Rig,
    plan: Plan,
    frames: Frames,
    asked: Vec<Asked>,
}

impl Bench {
    fn new() -> Self {
        let profiles = profiles();
        let rig = rig(&profiles);
        let by_key: BTreeMap<_, _> =
            profiles.into_iter().map(|profile| (profile.key().0, profile)).collect();
        let plan = Plan::new(&rig, &by_key);
        let asked = plan.fixtures().iter().map(|fixture| {
            Asked::for_mode(fixture.mode.as_ref().expect("every profile is at hand"))
        });
        let asked = asked.collect();
        let mut frames = Frames::default();
        for universe in [1, 2] {
            frames.universe_mut(Universe::new(universe).expect("1 or 2"));
        }
        Self { rig, plan, frames, asked }
    }

    fn send(&mut self, frame: &Frame) {
        for universe in [1, 2] {
            self.frames.universe_mut(Universe::new(universe).expect("1 or 2")).apply(frame);
        }
    }
}

fn frames(lengths: impl Iterator<Item = usize>) -> Vec<Frame> {
    let frame = |(turn, length)| Frame::levels(&levels(turn)[..length]).expect("at most 512 slots");
    lengths.enumerate().map(frame).collect()
}

#[test]
fn the_counter_counts() {
    let counted = measure(|| drop(std::hint::black_box(vec![0u8; 100])));
    assert_eq!(counted.count_total, 1);
}

#[test]
fn decoding_changing_frames_allocates_nothing() {
    let mut bench = Bench::new();
    let mut decoded = bench.plan.start();
    let frames = frames((0..200).map(|_| SLOTS).chain((0..=SLOTS).rev().step_by(7)));
    let (mut changed, mut same) = (0, 0);
    let counted = measure(|| {
        for frame in &frames {
            bench.send(frame);
            changed += usize::from(bench.plan.decode(&bench.frames, &mut decoded));
            same += usize::from(!bench.plan.decode(&bench.frames, &mut decoded));
        }
    });
    assert_eq!((changed, same), (frames.len(), frames.len()), "every frame was decoded once");
    assert_eq!(counted.count_total, 0, "{counted:?}");
}

#[test]
fn reading_what_is_asked_allocates_nothing() {
    let mut bench = Bench::new();
    let mut decoded = bench.plan.start();
    let (mut read, mut running) = (0, 0);
    for frame in frames((0..200).map(|_| SLOTS)) {
        bench.send(&frame);
        bench.plan.decode(&bench.frames, &mut decoded);
        for (i, asked) in bench.asked.iter_mut().enumerate() {
            let reading = bench.plan.reading(i, &bench.frames, &decoded).expect("it is known");
            let counted = measure(|| reading.ask(asked));
            // Only the name of a program that runs is copied, and what was copied is given back.
            if asked.overridden_by.is_some() {
                running += 1;
            } else {
                read += 1;
                assert_eq!(counted.count_total, 0, "fixture {i}: {counted:?}");
            }
        }
    }
    assert!(read > running, "{read} readings without a program, {running} with one");
}

#[test]
fn stepping_through_changing_frames_allocates_nothing() {
    let mut bench = Bench::new();
    let mut decoded = bench.plan.start();
    let mut motion = RigMotion::at_rest(&bench.rig, &bench.plan, 0.0);
    let mut poses = motion.poses_at(0.0);
    let (mut stepped, mut with_program, mut t_s) = (0, 0, 0.0);
    for frame in frames((0..200).map(|_| SLOTS)) {
        bench.send(&frame);
        bench.plan.decode(&bench.frames, &mut decoded);
        t_s += 0.8;
        let counted = measure(|| motion.frame(t_s, &bench.plan, &bench.frames, &decoded));
        // Only the name of a program is copied, when one starts or stops.
        with_program += counted.count_total;
        let counted = measure(|| motion.advance(t_s + 0.7));
        assert_eq!(counted.count_total, 0, "{counted:?}");
        motion.fill_poses(t_s + 0.7, &mut poses);
        let counted = measure(|| motion.fill_poses(t_s + 0.75, &mut poses));
        assert_eq!(counted.count_total, 0, "{counted:?}");
        // The same frame again is a step without anything new.
        let counted = measure(|| motion.frame(t_s + 0.75, &bench.plan, &bench.frames, &decoded));
        assert_eq!(counted.count_total, 0, "{counted:?}");
        stepped += poses.iter().flatten().filter(|pose| pose.overridden_by.is_none()).count();
    }
    let programs = (poses.len() * 200 - stepped) as u64;
    // Reading one copies two names, keeping it two more.
    assert!(with_program <= 6 * programs, "{with_program} for {programs} programs");
}
