//! The right ranges of an exercise, for the ruler and for answer keys.

use super::grade::grade_slots;
use super::head::{byte, put};
use super::{Exercise, Task, TestHead};

/// Values of one slot that are right while the others stand as the answer key has them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyRange {
    /// The channel, as a place in the mode.
    pub channel: usize,
    /// Its coarse slot, counted from the head's first (which is 1).
    pub slot: u16,
    /// First and last of each run of right values.
    pub values: Vec<(u8, u8)>,
}

/// For every channel that a head must be set by, the values of its coarse slot that are right.
pub fn key_ranges(exercise: &Exercise, head: &mut TestHead) -> Vec<KeyRange> {
    let Task::Set { start, target, wanted } = &exercise.task else { return Vec::new() };
    let mode = head.mode.clone();
    let mut keys = Vec::new();
    for (place, channel) in mode.channels.iter().enumerate() {
        let Some(slot) = channel.offsets.first() else { continue };
        if channel.offsets.iter().all(|o| byte(start, *o) == byte(target, *o)) {
            continue;
        }
        let mut slots = target.clone();
        let right = (0..=255u8).filter(|value| {
            put(&mut slots, &[*slot], u32::from(*value));
            grade_slots(head, wanted, &slots).right
        });
        let mut values: Vec<(u8, u8)> = Vec::new();
        for value in right {
            match values.last_mut() {
                Some((_, last)) if last.checked_add(1) == Some(value) => *last = value,
                _ => values.push((value, value)),
            }
        }
        // A channel that may stand anywhere is no part of the answer.
        if values != [(0, 255)] {
            keys.push(KeyRange { channel: place, slot: *slot, values });
        }
    }
    keys
}

impl KeyRange {
    /// The values in words: `32..63 or 200..255`.
    pub fn words(&self) -> String {
        let words = self.values.iter().map(|(first, last)| match first == last {
            true => first.to_string(),
            false => format!("{first}..{last}"),
        });
        words.collect::<Vec<_>>().join(" or ")
    }
}
