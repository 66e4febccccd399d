//! Exercises about addresses, address switches and packets on the line.

use glam::DVec3;

use super::random::Random;
use super::{Answer, Task};
use crate::finding::Severity;
use crate::profile::Mode;
use crate::rig::patch::check_patch;
use crate::rig::{Address, Aim, Fixture, Hang, InHead};
use crate::wire::rate::SLOT_S;
use crate::wire::{SLOTS, Slot, Universe};

/// Slots that are taken already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The first.
    pub first: u16,
    /// How many.
    pub slots: u16,
}

pub(super) fn make_address(random: &mut Random, footprint: u16) -> Option<Task> {
    let usual = [1, 4, 6, 12, 16, 24];
    let mut footprints = vec![footprint];
    for _ in 0..2 {
        footprints.push(random.pick(&usual).copied().unwrap_or(1));
    }
    if random.below(2) == 0 {
        footprints.push(footprint);
    }
    random.shuffle(&mut footprints);
    let taken = Taken { first: random.between(1, 200) as u16, slots: random.between(6, 48) as u16 };
    free(&footprints, taken).is_some().then_some(Task::Address { footprints, taken })
}

/// The lowest addresses at which nothing overlaps. `None` where they do not fit.
pub(super) fn free(footprints: &[u16], taken: Taken) -> Option<Vec<u16>> {
    let mut next = 1u16;
    let place = footprints.iter().map(|footprint| {
        let past = next.checked_add(*footprint)?;
        if next < taken.first + taken.slots && past > taken.first {
            next = taken.first + taken.slots;
        }
        let at = next;
        next = next.checked_add(*footprint)?;
        (usize::from(next) <= SLOTS + 1).then_some(at)
    });
    place.collect()
}

/// What is wrong with these addresses, by the check that shows go through. Nothing: they are right.
pub(super) fn patch_faults(footprints: &[u16], taken: Taken, addresses: &[u16]) -> Vec<String> {
    if addresses.len() != footprints.len() {
        return vec![format!(
            "there are {} heads and {} addresses",
            footprints.len(),
            addresses.len()
        )];
    }
    let mut said = Vec::new();
    let sizes: Vec<u16> = footprints.iter().copied().chain([taken.slots]).collect();
    let modes: Vec<Mode> = sizes
        .iter()
        .map(|slots| Mode { name: String::new(), slots: *slots, channels: Vec::new() })
        .collect();
    let mut rig = Vec::new();
    for (i, address) in addresses.iter().copied().chain([taken.first]).enumerate() {
        let Some(slot) = Slot::new(address) else {
            said.push(format!("head {} cannot begin at {address}: slots are 1..512", i + 1));
            continue;
        };
        let taken = i == addresses.len();
        rig.push(Fixture {
            id: i as u32 + 1,
            label: if taken { "taken already".to_owned() } else { String::new() },
            profile: String::new(),
            mode: i.to_string(),
            address: Some(Address { universe: Universe::ONE, slot }),
            at: DVec3::ZERO,
            hang: Hang::Hung,
            aim: Aim::default(),
            in_head: InHead::default(),
        });
    }
    let mode_of = |fixture: &Fixture| modes.get(fixture.id.checked_sub(1)? as usize);
    let found = check_patch(&rig, &mode_of, Severity::Error);
    said.extend(found.into_iter().map(|patch| patch.finding.what));
    said
}

pub(super) fn wrong_addresses(footprints: &[u16], taken: Taken) -> Vec<Answer> {
    let Some(right) = free(footprints, taken) else { return Vec::new() };
    let mut wrong = vec![vec![taken.first; right.len()]];
    let mut past = right.clone();
    if let (Some(last), Some(footprint)) = (past.last_mut(), footprints.last())
        && *footprint > 1
    {
        // Its last slot would be slot 513.
        *last = SLOTS as u16 + 2 - footprint;
        wrong.push(past);
    }
    let mut from_zero = right;
    if let Some(first) = from_zero.first_mut() {
        *first = 0;
        wrong.push(from_zero);
    }
    wrong.into_iter().map(Answer::Numbers).collect()
}

pub(super) fn make_switches(random: &mut Random) -> Task {
    let address = random.between(1, 511);
    Task::Switches { on: std::array::from_fn(|i| address >> i & 1 == 1) }
}

/// The address that switches make, of which switch 1 counts 1, switch 2 counts 2, switch 3 counts 4
/// (common practice, no source).
pub(super) fn address(on: &[bool; 9]) -> u16 {
    on.iter().enumerate().map(|(i, on)| u16::from(*on) << i).sum()
}

pub(super) fn wrong_switches(on: &[bool; 9]) -> Vec<Answer> {
    let right = address(on);
    let backwards: [bool; 9] = std::array::from_fn(|i| on[8 - i]);
    let wrong = [address(&backwards), right + 1, right.saturating_sub(1)];
    wrong.into_iter().filter(|a| *a != right).map(|a| Answer::Numbers(vec![a])).collect()
}

pub(super) fn make_packet(random: &mut Random) -> Task {
    // The shortest break that is sent, the usual one, and longer ones (E1.11, transmitters).
    let break_us = random.pick(&[92, 120, 176, 200]).copied().unwrap_or(92);
    let mark_us = random.pick(&[12, 16, 24, 52]).copied().unwrap_or(12);
    let slots = match random.below(3) {
        0 => SLOTS as u16,
        1 => 24 + 8 * random.below(40) as u16,
        _ => random.between(24, SLOTS as u32) as u16,
    };
    Task::Packet { break_us, mark_us, slots }
}

/// From the beginning of the break to the end of the last slot, in microseconds: break, mark, start code and
/// slots, each of 11 bits of 4 µs (E1.11).
pub(super) fn packet_us(break_us: u32, mark_us: u32, slots: u16) -> f64 {
    f64::from(break_us) + f64::from(mark_us) + (f64::from(slots) + 1.0) * SLOT_S * 1e6
}

/// How far a time may be from the right one, in microseconds: less than half a slot, so that one slot
/// forgotten is wrong.
pub(super) const PACKET_TOLERANCE_US: f64 = 4.0;

pub(super) fn wrong_packets(break_us: u32, mark_us: u32, slots: u16) -> Vec<Answer> {
    let right = packet_us(break_us, mark_us, slots);
    let no_start_code = right - SLOT_S * 1e6;
    let no_break = right - f64::from(break_us);
    // 8 bits a slot: without start and stop bits.
    let bare = f64::from(break_us + mark_us) + (f64::from(slots) + 1.0) * 32.0;
    [no_start_code, no_break, bare].map(Answer::Us).to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example from the figures of E1.11: 176 + 12 + 44 · 513 µs.
    #[test]
    fn a_packet_is_break_mark_start_code_and_slots() {
        assert!((packet_us(176, 12, 512) - 22_760.0).abs() < 1e-6);
        assert!((packet_us(92, 12, 24) - 1204.0).abs() < 1e-6);
    }

    /// Common practice, no source: switches 1, 3 and 5 make 1 + 4 + 16.
    #[test]
    fn switches_count_from_the_least() {
        let mut on = [false; 9];
        (on[0], on[2], on[4]) = (true, true, true);
        assert_eq!(address(&on), 21);
        assert_eq!(address(&[true; 9]), 511);
    }

    #[test]
    fn heads_go_around_what_is_taken() {
        let taken = Taken { first: 10, slots: 5 };
        assert_eq!(free(&[4, 8, 16], taken), Some(vec![1, 15, 23]));
        assert_eq!(free(&[300, 300], taken), None);
        assert!(patch_faults(&[4, 8, 16], taken, &[1, 15, 23]).is_empty());
        assert!(!patch_faults(&[4, 8, 16], taken, &[1, 5, 23]).is_empty());
        assert!(!patch_faults(&[4, 8, 16], taken, &[1, 15, 498]).is_empty());
        assert!(patch_faults(&[4, 8, 16], taken, &[1, 15, 497]).is_empty());
        assert!(!patch_faults(&[4], taken, &[0]).is_empty());
    }
}
