//! What holds for every profile and every frame: each value lands in one range or in a gap, and the compiled
//! plan finds what a plain reading of the profile finds.
//!
//! The oracle below works from the profile alone and shares nothing with the decoder.

use std::sync::Arc;

use proptest::prelude::*;
use proptest::sample::subsequence;
use slotwright::decode::{CompiledMode, Held};
use slotwright::profile::model::Condition;
use slotwright::profile::{Channel, Effect, Mode, Profile, Range};
use slotwright::wire::{Frame, Levels, Slot, Universe};

use crate::heads::{Stage, fixture, profile, still};

// ---- The oracle.

/// First and last value of a range in a channel of so many slots, in plain arithmetic.
fn bounds(range: &Range, width: usize) -> (u64, u64) {
    let one_coarse = 256u64.pow(width as u32 - 1);
    let end = |fine: Option<i64>, coarse: Option<i64>, add: u64| match (fine, coarse) {
        (Some(fine), _) => fine as u64,
        (None, coarse) => (coarse.expect("an end") as u64 + add) * one_coarse - add,
    };
    (end(range.fine_from, range.from, 0), end(range.fine_to, range.to, 1))
}

/// Whether every condition holds for the slots of the fixture, `slots[0]` being its first.
fn conditions_hold(mode: &Mode, range: &Range, slots: &[Option<u8>]) -> bool {
    range.when.iter().all(|Condition(name, from, to)| {
        let master = mode.channels.iter().find(|c| c.name == *name).expect("a known channel");
        let coarse = slots.get(usize::from(master.at[0]) - 1).copied().flatten();
        coarse.is_some_and(|coarse| *from <= i64::from(coarse) && i64::from(coarse) <= *to)
    })
}

/// The value of a channel, or `None` where one of its slots is not known.
fn value(channel: &Channel, slots: &[Option<u8>]) -> Option<u64> {
    let parts = channel.at.iter().map(|at| slots.get(usize::from(*at) - 1).copied().flatten());
    parts.into_iter().try_fold(0u64, |value, part| Some(value * 256 + u64::from(part?)))
}

/// All ranges that a value lies in, as places in the channel.
fn ranges_of(mode: &Mode, channel: &Channel, value: u64, slots: &[Option<u8>]) -> Vec<usize> {
    let lies_in = |range: &Range| {
        let (first, last) = bounds(range, channel.at.len());
        first <= value && value <= last && conditions_hold(mode, range, slots)
    };
    let all = channel.ranges.iter().enumerate();
    all.filter(|(_, range)| lies_in(range)).map(|(i, _)| i).collect()
}

// ---- Random profiles.

#[derive(Clone, Debug)]
struct RandomChannel {
    at: Vec<u16>,
    /// Ends of ranges as shares of the whole, and which of the pieces between are gaps.
    cuts: Vec<(f64, bool)>,
    fine: bool,
    /// The channel that it depends on and where that one's values are split.
    master: Option<(usize, u8)>,
}

const FOOTPRINT: u16 = 20;

fn random_channels() -> impl Strategy<Value = Vec<RandomChannel>> {
    let order = Just((1..=FOOTPRINT).collect::<Vec<u16>>()).prop_shuffle();
    let widths = prop::collection::vec(1usize..=4, 1..=7);
    (order, widths).prop_flat_map(|(order, widths)| {
        let mut left = order;
        let mut channels = Vec::new();
        for width in widths {
            if left.len() < width {
                break;
            }
            let at: Vec<u16> = left.drain(..width).collect();
            let cuts = prop::collection::vec((0.0..1.0f64, prop::bool::weighted(0.2)), 0..6);
            let master = prop::option::weighted(0.3, (0usize..7, any::<u8>()));
            channels.push(
                (Just(at), cuts, any::<bool>(), master)
                    .prop_map(|(at, cuts, fine, master)| RandomChannel { at, cuts, fine, master }),
            );
        }
        channels
    })
}

fn range(ends: (u64, u64), fine: bool, width: usize, when: Vec<Condition>) -> Range {
    let one_coarse = 256u64.pow(width as u32 - 1);
    let (first, last) = ends;
    let coarse = |v: u64| Some((v / one_coarse) as i64);
    Range {
        from: coarse(first).filter(|_| !fine),
        to: coarse(last).filter(|_| !fine),
        fine_from: fine.then_some(first as i64),
        fine_to: fine.then_some(last as i64),
        does: Effect::Idle,
        also: Vec::new(),
        label: String::new(),
        when,
    }
}

/// Ranges between the cuts, of which some are left out as gaps.
fn ranges(random: &RandomChannel, master: Option<&str>) -> Vec<Range> {
    let width = random.at.len();
    let top = 256u64.pow(if random.fine { width as u32 } else { 1 });
    let one = if random.fine { 1 } else { 256u64.pow(width as u32 - 1) };
    let mut starts: Vec<(u64, bool)> =
        random.cuts.iter().map(|(share, gap)| ((share * top as f64) as u64, *gap)).collect();
    starts.push((0, false));
    starts.sort_unstable();
    starts.dedup_by_key(|(start, _)| *start);
    let ends = starts.iter().skip(1).map(|(start, _)| *start).chain([top]);
    let pieces = starts.iter().zip(ends).filter(|((_, gap), _)| !gap);
    let split = random.master.map(|(_, split)| i64::from(split));
    let mut out = Vec::new();
    for ((start, _), end) in pieces {
        let ends = (start * one, end * one - 1);
        match (master, split) {
            (Some(name), Some(split)) => {
                let below = vec![Condition(name.to_owned(), 0, split - 1)];
                let above = vec![Condition(name.to_owned(), split, 255)];
                if split > 0 {
                    out.push(range(ends, random.fine, width, below));
                }
                out.push(range(ends, random.fine, width, above));
            }
            _ => out.push(range(ends, random.fine, width, Vec::new())),
        }
    }
    out
}

fn random_profile() -> impl Strategy<Value = Arc<Profile>> {
    random_channels().prop_map(|randoms| {
        let name = |i: usize| format!("Channel {i}");
        let channels = randoms.iter().enumerate().map(|(i, random)| {
            let master = random.master.map(|(m, _)| m % randoms.len()).filter(|m| *m != i);
            Channel {
                name: name(i),
                at: random.at.clone(),
                default: 0,
                snap: false,
                cell: None,
                ranges: ranges(random, master.map(name).as_deref()),
            }
        });
        let mut profile = Profile::clone(&still(FOOTPRINT, "", ""));
        profile.modes[0].channels = channels.collect();
        Arc::new(profile)
    })
}

/// Frames of random values, short ones among them, mostly after a full one.
fn random_frames() -> impl Strategy<Value = Vec<Vec<u8>>> {
    let full = prop::collection::vec(any::<u8>(), 512..=512);
    let short = prop::collection::vec(any::<u8>(), 0..=512);
    let edges = prop::collection::vec(prop::sample::select(vec![0u8, 1, 127, 128, 254, 255]), 512);
    prop::collection::vec(prop_oneof![full, short, edges], 1..4)
}

/// Values of a channel worth trying: all of an 8-bit one, else the edges of every range, every coarse value
/// with some fine ones, and whatever `seed` picks.
fn values_to_try(channel: &Channel, seed: u64) -> Vec<u64> {
    let width = channel.at.len();
    let top = 256u64.pow(width as u32) - 1;
    let mut values = vec![0, top, seed % (top + 1)];
    let fine = 256u64.pow(width as u32 - 1);
    values.extend((0..256u64).flat_map(|coarse| [coarse * fine, coarse * fine + fine - 1]));
    for range in &channel.ranges {
        let (first, last) = bounds(range, width);
        values.extend([first.saturating_sub(1), first, last, (last + 1).min(top)]);
        values.push(first + (last - first) / 3);
    }
    values
}

/// Writes a value into a channel's slots, most significant first.
fn put(channel: &Channel, value: u64, slots: &mut [Option<u8>]) {
    for (i, at) in channel.at.iter().rev().enumerate() {
        slots[usize::from(*at) - 1] = Some((value >> (8 * i)) as u8);
    }
}

/// Every value of every channel, under every condition that its ranges know, lands in at most one range; and
/// the compiled channel finds the same.
#[track_caller]
fn check_mode(profile: &Arc<Profile>, mode: &Mode, seed: u64) {
    let compiled = CompiledMode::new(profile, mode);
    let context = |channel: &Channel| format!("{} {} {}", profile.model, mode.name, channel.name);
    let mut slots = vec![Some(0u8); usize::from(mode.slots)];
    for (channel, flat) in mode.channels.iter().zip(&compiled.channels) {
        let mut masters = vec![0u8];
        let conditions = channel.ranges.iter().flat_map(|range| &range.when);
        for Condition(_, from, to) in conditions {
            masters.extend([from - 1, *from, *to, to + 1].map(|v| v.clamp(0, 255) as u8));
        }
        masters.sort_unstable();
        masters.dedup();
        let names: Vec<&str> = channel
            .ranges
            .iter()
            .flat_map(|range| range.when.iter().map(|condition| condition.0.as_str()))
            .collect();
        for master in masters {
            slots.fill(Some(0));
            for other in mode.channels.iter().filter(|c| names.contains(&c.name.as_str())) {
                slots[usize::from(other.at[0]) - 1] = Some(master);
            }
            for v in values_to_try(channel, seed) {
                put(channel, v, &mut slots);
                let found = ranges_of(mode, channel, v, &slots);
                assert!(found.len() <= 1, "{}: {v} lies in ranges {found:?}", context(channel));
                let held = |offset: u16| slots[usize::from(offset) - 1];
                let got = flat.find_with(v as u32, held);
                assert_eq!(got, found.first().copied(), "{}: {v}", context(channel));
            }
        }
    }
}

/// The shipped profiles.
fn shipped() -> Vec<Arc<Profile>> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/assets/profiles");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the profiles' folder")
        .map(|entry| entry.expect("an entry of it").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "ron"))
        .collect();
    files.sort();
    let read = |path| std::fs::read_to_string(path).expect("a profile file");
    files.iter().map(|path| profile(&read(path))).collect()
}

#[test]
fn every_value_of_every_shipped_mode_lands_in_one_range_or_in_a_gap() {
    let profiles = shipped();
    assert!(profiles.len() >= 7, "{} profiles", profiles.len());
    for profile in &profiles {
        for mode in &profile.modes {
            check_mode(profile, mode, 0x1234_5678_9abc);
        }
    }
}

#[test]
fn every_value_of_every_neutral_mode_lands_in_one_range_or_in_a_gap() {
    use crate::heads::{alder, birch, cedar, dogwood, elm};
    for profile in [alder(), birch(), cedar(), dogwood(), elm()] {
        for mode in &profile.modes {
            check_mode(&profile, mode, 77);
        }
    }
}

/// What the plan finds for every channel of every fixture, against the oracle.
#[track_caller]
fn check_stage(stage: &Stage, profiles: &[Arc<Profile>], known: &[Option<u8>]) {
    for (f, fixture) in stage.rig.iter().enumerate() {
        let profile = profiles.iter().find(|p| p.key().0 == fixture.profile).expect("its profile");
        let mode = &profile.modes[0];
        let first = fixture.address.expect("it is patched").slot.index();
        let slots = &known[first..];
        for (c, channel) in mode.channels.iter().enumerate() {
            let reading = stage.reading(f).channel(c).expect("the channel");
            let expected = value(channel, slots);
            assert_eq!(reading.held.value().map(u64::from), expected, "{f} {}", channel.name);
            let beyond = channel.at.iter().any(|at| first + usize::from(*at) > 512);
            assert_eq!(reading.held == Held::NoSlot, beyond, "{f} {}", channel.name);
            let found = expected.and_then(|v| ranges_of(mode, channel, v, slots).first().copied());
            let got = reading.range.map(|range| {
                let all = reading.channel.ranges.iter();
                all.into_iter().position(|r| std::ptr::eq(r, range)).expect("one of its own")
            });
            assert_eq!(got, found, "{f} {} at {expected:?}", channel.name);
        }
    }
}

/// Everything read of every channel, to compare two stages of one plan.
fn everything(stage: &Stage) -> Vec<Vec<(Held, Option<usize>)>> {
    let channels = |f: usize| {
        let read = stage.reading(f);
        let of = |c: slotwright::decode::ChannelReading<'_>| {
            let place = c.range.map(|range| std::ptr::from_ref(range) as usize);
            (c.held, place)
        };
        read.channels().map(of).collect()
    };
    (0..stage.rig.len()).map(channels).collect()
}

proptest! {
    #[test]
    fn every_value_of_a_random_mode_lands_in_one_range_or_in_a_gap(
        profile in random_profile(),
        seed: u64,
    ) {
        check_mode(&profile, &profile.modes[0], seed);
    }

    // Footprints may overlap and run past slot 512; frames may be short.
    #[test]
    fn the_plan_finds_what_a_plain_reading_of_the_profile_finds(
        one in random_profile(),
        two in random_profile(),
        firsts in prop::collection::vec((1u16..=512, any::<bool>()), 1..8),
        frames in random_frames(),
    ) {
        let mut two = Profile::clone(&two);
        two.model = "OTHER".into();
        let profiles = [one, Arc::new(two)];
        let rig = firsts.iter().enumerate().map(|(i, (first, second))| {
            fixture(&profiles[usize::from(*second)], i as u32 + 1, *first)
        });
        let mut stage = Stage::of(&profiles, rig.collect());
        let mut known = vec![None; 512];
        for frame in &frames {
            stage.send(&Frame::levels(frame.as_slice()).expect("at most 512 slots"));
            for (slot, level) in known.iter_mut().zip(frame) {
                *slot = Some(*level);
            }
            check_stage(&stage, &profiles, &known);
        }
        let before = everything(&stage);
        prop_assert!(!stage.plan.decode(&stage.frames, &mut stage.decoded), "nothing changed");
        prop_assert_eq!(everything(&stage), before);
    }

    #[test]
    fn changing_a_slot_changes_only_what_owns_it_or_depends_on_it(
        profile in random_profile(),
        firsts in prop::collection::vec(1u16..=500, 1..6),
        values in prop::collection::vec(any::<u8>(), 512..=512),
        slot in 1u16..=512,
        by in 1u8..=255,
    ) {
        let rig = firsts.iter().enumerate().map(|(i, first)| fixture(&profile, i as u32 + 1, *first));
        let mut stage = Stage::of(std::slice::from_ref(&profile), rig.collect());
        stage.send(&Frame::levels(values.as_slice()).expect("512 slots"));
        let before = everything(&stage);
        let slot = Slot::new(slot).expect("1 to 512");
        stage.frames.set(Universe::ONE, slot, values[slot.index()].wrapping_add(by));
        prop_assert!(stage.plan.decode(&stage.frames, &mut stage.decoded));
        let after = everything(&stage);
        let owners = stage.plan.owners(Universe::ONE, slot);
        let mode = &profile.modes[0];
        for f in 0..stage.rig.len() {
            let owner = owners.iter().find(|owner| owner.fixture == f);
            for (c, channel) in mode.channels.iter().enumerate() {
                let owns = owner.is_some_and(|o| o.channel.is_some_and(|(owned, _)| owned == c));
                let names: Vec<&str> = channel
                    .ranges.iter().flat_map(|r| r.when.iter().map(|w| w.0.as_str())).collect();
                let depends = owner.is_some_and(|o| {
                    mode.channels.iter().any(|m| names.contains(&m.name.as_str()) && m.at[0] == o.offset)
                });
                // A channel that runs past slot 512 has no value to change.
                if owns && before[f][c].0 != Held::NoSlot {
                    prop_assert_ne!(after[f][c].0, before[f][c].0);
                } else if depends {
                    prop_assert_eq!(after[f][c].0, before[f][c].0);
                } else {
                    prop_assert_eq!(after[f][c], before[f][c]);
                }
            }
        }
    }

    // The slots a fixture's footprint covers, told independently of the plan.
    #[test]
    fn a_slot_is_owned_by_every_fixture_whose_footprint_covers_it(
        firsts in prop::collection::vec(1u16..=512, 1..8),
        slots in subsequence((1u16..=512).collect::<Vec<u16>>(), 16),
    ) {
        let profile = still(FOOTPRINT, "", "");
        let rig = firsts.iter().enumerate().map(|(i, first)| fixture(&profile, i as u32 + 1, *first));
        let stage = Stage::of(std::slice::from_ref(&profile), rig.collect());
        for slot in slots {
            let covers = |first: &u16| (*first..*first + FOOTPRINT).contains(&slot);
            let expected: Vec<usize> =
                firsts.iter().enumerate().filter(|(_, f)| covers(f)).map(|(i, _)| i).collect();
            let owners = stage.plan.owners(Universe::ONE, Slot::new(slot).expect("1 to 512"));
            let got: Vec<usize> = owners.iter().map(|owner| owner.fixture).collect();
            prop_assert_eq!(got, expected);
        }
    }
}

#[test]
fn a_plan_decodes_a_frame_alike_whatever_came_before() {
    let profile = crate::heads::alder();
    let rig: Vec<_> = (0..32).map(|i| fixture(&profile, i + 1, i as u16 * 16 + 1)).collect();
    let mut stage = Stage::of(&[profile], rig);
    let ramp = |add: u8| Levels::full(std::array::from_fn(|i| (i as u8).wrapping_mul(31) ^ add));
    let mut first = Vec::new();
    for add in [3, 200, 3] {
        *stage.frames.universe_mut(Universe::ONE) = ramp(add);
        stage.plan.decode(&stage.frames, &mut stage.decoded);
        if first.is_empty() {
            first = everything(&stage);
        }
    }
    assert_eq!(everything(&stage), first);
}
