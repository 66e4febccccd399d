//! One patched instance of a profile in a mode, at an address, hung somewhere.

use std::fmt;

use glam::DVec3;
use serde::{Deserialize, Serialize};

use super::orientation::{Aim, Hang};
use crate::wire::{SLOTS, Slot, Universe};

/// The number by which people call a fixture.
pub type FixtureId = u32;

/// All fixtures, in the order of the show file.
pub type Rig = Vec<Fixture>;

/// Where a fixture's first slot is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Address {
    /// The universe.
    pub universe: Universe,
    /// The first slot.
    pub slot: Slot,
}

impl Address {
    /// The slot `offset` places behind the first (offset 1 is the first itself), or `None` past the
    /// end of the universe: a fixture never wraps into the next one.
    pub fn slot_at(self, offset: u16) -> Option<Slot> {
        self.slot.number().checked_add(offset.checked_sub(1)?).and_then(Slot::new)
    }

    /// How many of a fixture's slots lie past the end of the universe.
    pub fn slots_lost(self, footprint: u16) -> u16 {
        (self.slot.number() + footprint).saturating_sub(SLOTS as u16 + 1)
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.universe, self.slot)
    }
}

/// What is set in the fixture's own menu, apart from what is set here.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct InHead {
    /// Pan runs backwards.
    pub invert_pan: bool,
    /// Tilt runs backwards.
    pub invert_tilt: bool,
    /// Pan and tilt change places.
    pub swap: bool,
}

/// A patched fixture. `address` is `None` while it is not patched.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixture {
    /// Its number.
    pub id: FixtureId,
    /// What a person calls it.
    pub label: String,
    /// `maker model` of its profile.
    pub profile: String,
    /// Its mode.
    pub mode: String,
    /// Its first slot.
    pub address: Option<Address>,
    /// Where it hangs: the point its beam leaves from, in metres.
    pub at: DVec3,
    /// How it hangs.
    pub hang: Hang,
    /// What is done to the asked pan and tilt before they reach the axes.
    pub aim: Aim,
    /// What is set in its own menu.
    pub in_head: InHead,
}

impl Fixture {
    /// Its number and label, for messages: `fixture 101 "Front 1"`.
    pub fn words(&self) -> String {
        fixture_words(self.id.into(), &self.label)
    }
}

/// A fixture in words by its number, which may be one that none can have, and its label.
pub(crate) fn fixture_words(number: i64, label: &str) -> String {
    match label {
        "" => format!("fixture {number}"),
        label => format!("fixture {number} \"{label}\""),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn address(slot: u16) -> Address {
        Address { universe: Universe::ONE, slot: Slot::new(slot).unwrap() }
    }

    #[test]
    fn sixteen_slots_fit_at_497_and_lose_one_at_498() {
        assert_eq!(address(497).slots_lost(16), 0);
        assert_eq!(address(498).slots_lost(16), 1);
        assert_eq!(address(501).slots_lost(16), 4);
        assert_eq!(address(512).slots_lost(1), 0);
        assert_eq!(address(512).slot_at(2), None);
        assert_eq!(address(1).slot_at(0), None);
    }
}
