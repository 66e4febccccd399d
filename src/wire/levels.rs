//! What a receiver holds of each universe after the frames it was sent.
//!
//! Not sent is not 0: a slot that no frame ever reached is unknown, and one that the last frame did
//! not reach keeps what it had.

use std::collections::BTreeMap;

use super::frame::{Frame, SLOTS, Slot, Universe};

/// A set of slots.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SlotSet([u64; SLOTS / 64]);

impl SlotSet {
    /// Which of 64 slots are in it, from the one at `index` (from 0) on, which is the lowest bit. There
    /// are none past the last slot of a universe.
    pub fn window(&self, index: usize) -> u64 {
        let word = |nth: usize| self.0.get(nth).copied().unwrap_or(0);
        let (nth, bit) = (index / 64, index % 64);
        match bit {
            0 => word(nth),
            _ => word(nth) >> bit | word(nth + 1) << (64 - bit),
        }
    }

    fn insert(&mut self, slot: Slot) {
        self.0[slot.index() / 64] |= 1 << (slot.index() % 64);
    }

    fn remove(&mut self, slot: Slot) {
        self.0[slot.index() / 64] &= !(1 << (slot.index() % 64));
    }

    fn contains(&self, slot: Slot) -> bool {
        self.0[slot.index() / 64] & (1 << (slot.index() % 64)) != 0
    }

    /// The first `n` slots.
    fn first(n: usize) -> Self {
        Self(std::array::from_fn(|i| match n.saturating_sub(i * 64) {
            0 => 0,
            n @ 1..64 => (1 << n) - 1,
            _ => u64::MAX,
        }))
    }

    fn union(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] | other.0[i]))
    }

    fn is_full(&self) -> bool {
        self.0.iter().all(|word| *word == u64::MAX)
    }
}

/// What is known of one slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SlotState {
    /// The last frame carried this value.
    Sent(u8),
    /// An earlier frame carried it and the last one did not reach so far: it is kept.
    Kept(u8),
    /// No frame ever carried it.
    NeverSent,
}

impl SlotState {
    /// The value held, sent now or kept.
    pub fn value(self) -> Option<u8> {
        match self {
            Self::Sent(value) | Self::Kept(value) => Some(value),
            Self::NeverSent => None,
        }
    }
}

/// What a receiver holds of one universe.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Levels {
    values: [u8; SLOTS],
    sent: SlotSet,
    ever: SlotSet,
}

impl Default for Levels {
    fn default() -> Self {
        Self { values: [0; SLOTS], sent: SlotSet::default(), ever: SlotSet::default() }
    }
}

impl Levels {
    /// A universe in which every slot was sent.
    pub fn full(values: [u8; SLOTS]) -> Self {
        let all = SlotSet::first(SLOTS);
        Self { values, sent: all, ever: all }
    }

    /// Takes a frame in. Returns false, and changes nothing, where its start code says that the
    /// slots are no levels (E1.11, 8.5.1).
    pub fn apply(&mut self, frame: &Frame) -> bool {
        if !frame.carries_levels() {
            return false;
        }
        let slots = frame.slots();
        self.values[..slots.len()].copy_from_slice(slots);
        self.sent = SlotSet::first(slots.len());
        self.ever = self.ever.union(self.sent);
        true
    }

    /// Sets one slot, as if the frame had carried it.
    pub fn set(&mut self, slot: Slot, value: u8) {
        self.values[slot.index()] = value;
        self.sent.insert(slot);
        self.ever.insert(slot);
    }

    /// Puts a slot into a state it had before, sent or not: to undo, and to read a file.
    pub fn put(&mut self, slot: Slot, state: SlotState) {
        // A slot that was never sent reads 0, so that equal knowledge is equal.
        self.set(slot, state.value().unwrap_or(0));
        if !matches!(state, SlotState::Sent(_)) {
            self.sent.remove(slot);
        }
        if state == SlotState::NeverSent {
            self.ever.remove(slot);
        }
    }

    /// What is known of a slot.
    pub fn state(&self, slot: Slot) -> SlotState {
        let value = self.values[slot.index()];
        if self.sent.contains(slot) {
            SlotState::Sent(value)
        } else if self.ever.contains(slot) {
            SlotState::Kept(value)
        } else {
            SlotState::NeverSent
        }
    }

    /// The values held; a slot that was never sent reads 0 here, so ask [`Self::state`] first
    /// unless [`Self::is_full`].
    pub fn values(&self) -> &[u8; SLOTS] {
        &self.values
    }

    /// The slots of which something else is known than was `before`: another value, or one at all.
    pub fn changed_since(&self, before: &Self) -> SlotSet {
        let ((now, _), (then, _)) =
            (self.values.as_chunks::<64>(), before.values.as_chunks::<64>());
        SlotSet(std::array::from_fn(|i| {
            let ((now, _), (then, _)) = (now[i].as_chunks::<8>(), then[i].as_chunks::<8>());
            let pairs = now.iter().zip(then).enumerate();
            pairs.fold(self.ever.0[i] ^ before.ever.0[i], |changed, (j, (now, then))| {
                changed | differing(*now, *then) << (8 * j)
            })
        }))
    }

    /// Whether `count` slots from the one at `index` (from 0) on all have a value, and are there at all.
    pub fn knows(&self, index: usize, count: usize) -> bool {
        let all = |from: usize| match index + count - from {
            left @ 0..64 => (1u64 << left) - 1,
            _ => u64::MAX,
        };
        (index..index + count).step_by(64).all(|from| !self.ever.window(from) & all(from) == 0)
    }

    /// Whether the last frame carried every slot.
    pub fn is_full(&self) -> bool {
        self.sent.is_full()
    }

    /// The slots ever sent with their values, in order.
    pub fn known(&self) -> impl Iterator<Item = (Slot, u8)> {
        (0..SLOTS)
            .filter_map(Slot::from_index)
            .filter(|slot| self.ever.contains(*slot))
            .map(|slot| (slot, self.values[slot.index()]))
    }
}

/// What a receiver holds of every universe it heard.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Frames(BTreeMap<Universe, Levels>);

impl Frames {
    /// What is held of a universe, or `None` if nothing was ever heard of it.
    pub fn get(&self, universe: Universe) -> Option<&Levels> {
        self.0.get(&universe)
    }

    /// What is held of a universe, to change it.
    pub fn universe_mut(&mut self, universe: Universe) -> &mut Levels {
        self.0.entry(universe).or_default()
    }

    /// Forgets a universe, as if nothing was ever heard of it.
    pub fn remove(&mut self, universe: Universe) {
        self.0.remove(&universe);
    }

    /// Every universe heard, in order.
    pub fn iter(&self) -> impl Iterator<Item = (Universe, &Levels)> {
        self.0.iter().map(|(universe, levels)| (*universe, levels))
    }

    /// What is known of a slot.
    pub fn state(&self, universe: Universe, slot: Slot) -> SlotState {
        self.get(universe).map_or(SlotState::NeverSent, |levels| levels.state(slot))
    }

    /// Sets one slot.
    pub fn set(&mut self, universe: Universe, slot: Slot, value: u8) {
        self.universe_mut(universe).set(slot, value);
    }
}

/// Which of eight bytes differ, one bit each.
fn differing(a: [u8; 8], b: [u8; 8]) -> u64 {
    const LOW: u64 = 0x7f7f_7f7f_7f7f_7f7f;
    let x = u64::from_le_bytes(a) ^ u64::from_le_bytes(b);
    // The top bit of every byte that is not 0, then these gathered into one byte.
    let top = (((x & LOW) + LOW) | x) & !LOW;
    (top >> 7).wrapping_mul(0x0102_0408_1020_4080) >> 56
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slot(n: u16) -> Slot {
        Slot::new(n).unwrap()
    }

    #[test]
    fn a_short_frame_leaves_the_rest_as_it_was_and_says_so() {
        let mut levels = Levels::default();
        assert_eq!(levels.state(slot(1)), SlotState::NeverSent);
        assert!(levels.apply(&Frame::levels(vec![9; 128]).unwrap()));
        assert!(levels.apply(&Frame::levels(vec![1, 2, 3]).unwrap()));
        assert_eq!(levels.state(slot(3)), SlotState::Sent(3));
        assert_eq!(levels.state(slot(4)), SlotState::Kept(9));
        assert_eq!(levels.state(slot(129)), SlotState::NeverSent);
        assert_eq!(levels.known().count(), 128);
    }

    #[test]
    fn every_state_can_be_put_back() {
        let before = {
            let mut levels = Levels::default();
            levels.apply(&Frame::levels(vec![9, 8, 7]).unwrap());
            levels.apply(&Frame::levels(vec![1]).unwrap());
            levels
        };
        let mut levels = Levels::default();
        for slot in (0..SLOTS).filter_map(Slot::from_index) {
            levels.put(slot, before.state(slot));
        }
        assert_eq!(levels, before);
        levels.put(slot(1), SlotState::NeverSent);
        assert_eq!(levels.state(slot(1)), SlotState::NeverSent);
    }

    #[test]
    fn a_frame_that_carries_no_levels_changes_nothing() {
        let mut levels = Levels::full([7; SLOTS]);
        let before = levels.clone();
        assert!(!levels.apply(&Frame::new(0xDD, vec![100; 512]).unwrap()));
        assert_eq!(levels, before);
    }

    #[test]
    fn the_first_n_slots_are_the_first_n() {
        for n in [0, 1, 63, 64, 65, 511, 512] {
            let set = SlotSet::first(n);
            let count = (0..SLOTS).filter(|i| set.contains(Slot::from_index(*i).unwrap())).count();
            assert_eq!(count, n);
            assert_eq!(set.is_full(), n == SLOTS);
        }
    }

    #[test]
    fn what_changed_is_found_slot_by_slot() {
        let before = Levels::full([7; SLOTS]);
        for n in [1, 8, 9, 63, 64, 65, 511, 512] {
            for value in [0, 6, 255] {
                let mut levels = before.clone();
                levels.set(slot(n), value);
                let changed = levels.changed_since(&before);
                for from in [0, 1, 63, 64, 448, 511] {
                    let bit = slot(n).index().checked_sub(from).filter(|bit| *bit < 64);
                    assert_eq!(
                        changed.window(from),
                        bit.map_or(0, |bit| 1 << bit),
                        "{n} from {from}"
                    );
                }
            }
        }
        assert_eq!(before.changed_since(&before), SlotSet::default());
    }

    #[test]
    fn a_first_0_is_a_change_and_a_value_that_is_kept_is_none() {
        let mut levels = Levels::default();
        levels.apply(&Frame::levels(vec![0; 70]).unwrap());
        assert_eq!(levels.changed_since(&Levels::default()), SlotSet::first(70));
        let before = levels.clone();
        levels.apply(&Frame::levels(vec![0; 3]).unwrap());
        assert_eq!(levels.changed_since(&before), SlotSet::default());
    }

    #[test]
    fn slots_are_known_once_they_were_all_sent() {
        let mut levels = Levels::default();
        levels.apply(&Frame::levels(vec![0; 130]).unwrap());
        for (index, count, known) in
            [(0, 130, true), (0, 131, false), (129, 1, true), (130, 1, false)]
        {
            assert_eq!(levels.knows(index, count), known, "{count} from {index}");
        }
        assert!(levels.knows(511, 0) && !Levels::full([0; SLOTS]).knows(500, 13));
    }
}
