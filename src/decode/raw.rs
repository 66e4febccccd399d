//! What the slots of a fixture hold of which nothing is known.

use crate::rig::{Address, Rig, room_behind};
use crate::wire::{Frames, SlotState};

/// The most slots that are given of one fixture: more are seldom its own.
const MOST: u16 = 32;

/// What is held from an address on, for a fixture whose profile or mode is not to be had: it takes at
/// least the first of these slots, and none past where the next fixture begins.
pub fn raw_slots(address: Address, rig: &Rig, frames: &Frames) -> Vec<SlotState> {
    let (room, _) = room_behind(address, rig);
    let slots = (1..=room.min(MOST)).map_while(|offset| address.slot_at(offset));
    slots.map(|slot| frames.state(address.universe, slot)).collect()
}

/// The same in words: `at least 1 slot; raw from 1/11 on: 128 0 - (room for 3 slots)`. `-` was never
/// sent.
pub fn raw_words(address: Address, rig: &Rig, frames: &Frames) -> String {
    let states = raw_slots(address, rig, frames);
    let byte = |state: &SlotState| state.value().map_or("-".to_owned(), |byte| byte.to_string());
    let sent = states.iter().rposition(|state| *state != SlotState::NeverSent);
    let bytes: Vec<String> = states[..sent.map_or(0, |last| last + 1)].iter().map(byte).collect();
    let bytes = if bytes.is_empty() { "none sent".to_owned() } else { bytes.join(" ") };
    let (room, _) = room_behind(address, rig);
    let slots = if room == 1 { "slot" } else { "slots" };
    format!("at least 1 slot; raw from {address} on: {bytes} (room for {room} {slots})")
}
