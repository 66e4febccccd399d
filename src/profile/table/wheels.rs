//! The wheels of the draft, made of what the rows name.

use std::collections::BTreeMap;

use super::super::model::{Wheel, WheelSlot};
use super::assumed::{FACETS, PRISM_SPREAD_DEG};
use super::colours;

/// The drawing that stands in for patterns, which a chart does not show.
pub(super) const UNSEEN: &str = "not seen";

/// Wheels by name, each with its slots in the order in which they are first named.
#[derive(Clone, Debug, Default)]
pub(super) struct Wheels {
    wheels: BTreeMap<String, Vec<(String, WheelSlot)>>,
}

impl Wheels {
    /// The open slot of a wheel.
    pub(super) fn open(&mut self, wheel: &str) -> u16 {
        self.slot(wheel, "open", || WheelSlot::Open)
    }

    /// A slot with a colour, and whether the colour is known by its name.
    pub(super) fn tint(&mut self, wheel: &str, key: &str, name: &str) -> (u16, bool) {
        let hex = colours::hex(name);
        let known = hex.is_some();
        let hex = hex.unwrap_or_else(|| "#ffffff".to_owned());
        (self.slot(wheel, key, || WheelSlot::Tint(name.to_owned(), hex)), known)
    }

    /// A slot with a pattern.
    pub(super) fn pattern(&mut self, wheel: &str, key: &str, name: &str) -> u16 {
        self.slot(wheel, key, || WheelSlot::Pattern(name.to_owned(), UNSEEN.to_owned()))
    }

    /// A slot through which nothing passes.
    pub(super) fn blocked(&mut self, wheel: &str) -> u16 {
        self.slot(wheel, "blocked", || WheelSlot::Blocked("blocked".to_owned()))
    }

    /// A slot with a prism; the wheel's first slot is open.
    pub(super) fn prism(&mut self, wheel: &str, key: &str, facets: Option<u8>) -> u16 {
        self.open(wheel);
        self.slot(wheel, key, || WheelSlot::Prism {
            name: key.to_owned(),
            facets: facets.unwrap_or(FACETS),
            spread_deg: PRISM_SPREAD_DEG,
        })
    }

    /// The slot of a name that was met before.
    pub(super) fn find(&self, wheel: &str, key: &str) -> Option<u16> {
        let at = self.wheels.get(wheel)?.iter().position(|(known, _)| known == key)?;
        Some(at as u16 + 1)
    }

    /// The first slot with a prism.
    pub(super) fn first_prism(&mut self, wheel: &str) -> u16 {
        let slots = self.wheels.get(wheel).map(Vec::as_slice).unwrap_or_default();
        let found = slots.iter().position(|(_, slot)| matches!(slot, WheelSlot::Prism { .. }));
        match found {
            Some(at) => at as u16 + 1,
            None => self.prism(wheel, "prism", None),
        }
    }

    /// Makes sure that a wheel is there: something turns or stops it.
    pub(super) fn need(&mut self, wheel: &str) {
        self.wheels.entry(wheel.to_owned()).or_default();
    }

    fn slot(&mut self, wheel: &str, key: &str, make: impl FnOnce() -> WheelSlot) -> u16 {
        let slots = self.wheels.entry(wheel.to_owned()).or_default();
        if let Some(at) = slots.iter().position(|(known, _)| known == key) {
            return at as u16 + 1;
        }
        slots.push((key.to_owned(), make()));
        slots.len() as u16
    }

    /// The wheels for a profile. One of which no slot was named has an open one.
    pub(super) fn finish(self) -> BTreeMap<String, Wheel> {
        let wheel = |(name, slots): (String, Vec<(String, WheelSlot)>)| {
            let mut slots: Vec<WheelSlot> = slots.into_iter().map(|(_, slot)| slot).collect();
            if slots.is_empty() {
                slots.push(WheelSlot::Open);
            }
            (name, Wheel { move_s: None, shortest: None, slots })
        };
        self.wheels.into_iter().map(wheel).collect()
    }
}
