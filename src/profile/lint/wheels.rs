//! Wheels: which slots a value reaches, and whether slots are what they are called.

use super::kinds;
use super::words::{has, words};
use crate::finding::listed;
use crate::profile::place::PathInFile;
use crate::profile::srgb;
use crate::profile::validate::{Check, Spot};
use crate::profile::{Effect, Range, Wheel, WheelSlot};

/// Each part of a filter's colour from which on it is as good as white, of 255.
const WHITE: u8 = 250;

/// A part of a filter's colour below which nobody calls it white, of 255.
const COLOURED: u8 = 170;

impl Check<'_> {
    /// What the modes together make of each wheel.
    pub(super) fn wheel_use(&mut self) {
        for (name, wheel) in &self.profile.wheels {
            let at = Spot {
                path: PathInFile::top().field("wheels").field(name),
                item: format!("wheel \"{name}\""),
            };
            self.reach(&at, name, wheel);
            self.slot_names(&at, wheel);
        }
    }

    fn reach(&mut self, at: &Spot, name: &str, wheel: &Wheel) {
        let channels = self.profile.modes.iter().flat_map(|mode| &mode.channels);
        let effects = channels.flat_map(|channel| &channel.ranges).flat_map(Range::effects);
        let on_it: Vec<&Effect> = effects.filter(|effect| effect.wheel() == Some(name)).collect();
        if on_it.is_empty() {
            let mend = "give a channel ranges that move it, or leave it out";
            self.warning(kinds::WHEEL_UNUSED, at, "no channel of any mode moves it", mend);
            return;
        }
        let mut reached = vec![false; wheel.slots.len()];
        let mut reach = |slot: usize| {
            if let Some(place) = slot.checked_sub(1).and_then(|i| reached.get_mut(i)) {
                *place = true;
            }
        };
        // Without a value that sends it somewhere it stays where it rests.
        reach(1);
        for effect in &on_it {
            effect.wheel_slots().into_iter().for_each(|slot| reach(usize::from(slot)));
            if let Effect::Glide { slots: (a, b), .. } = effect {
                let (low, high) = (a.min(*b).ceil(), a.max(*b).floor());
                (low as usize..=high.min(1e4) as usize).for_each(&mut reach);
            }
        }
        let left = reached.iter().zip(&wheel.slots).enumerate().filter(|(_, (there, _))| !*there);
        let left: Vec<String> =
            left.map(|(i, (_, slot))| format!("{} ({})", i + 1, slot.name())).collect();
        if left.is_empty() {
            return;
        }
        let what = format!(
            "no value of any mode puts slot {} into the light",
            listed(left.iter().map(String::as_str))
        );
        let passes = |e: &&Effect| matches!(e, Effect::Scroll { .. } | Effect::RandomSlots { .. });
        let mend = "look in the chart for its values";
        match on_it.iter().any(passes) {
            true => self.note(kinds::WHEEL_UNREACHED, &at.field("slots"), what, mend),
            false => self.warning(kinds::WHEEL_UNREACHED, &at.field("slots"), what, mend),
        }
    }

    fn slot_names(&mut self, at: &Spot, wheel: &Wheel) {
        for (i, slot) in wheel.slots.iter().enumerate() {
            let spot = Spot {
                path: at.path.field("slots").index(i),
                item: format!("{}, slot {}", at.item, i + 1),
            };
            let twin = wheel.slots[..i]
                .iter()
                .take(256)
                .position(|other| other.name() == slot.name() && *slot != WheelSlot::Open);
            if let Some(twin) = twin {
                let what = format!("`{}` is the name of slot {} too", slot.name(), twin + 1);
                self.note(kinds::WHEEL_NAME, &spot, what, "give each a name of its own");
            }
            let WheelSlot::Tint(name, colour) = slot else { continue };
            let Some(parts) = srgb::parse(colour) else { continue };
            let called_white = has(&words(name), &["open", "white", "clear"]);
            let is_white = parts.iter().all(|part| *part >= WHITE);
            let is_coloured = parts.iter().any(|part| *part < COLOURED);
            if called_white && is_coloured {
                let what = format!("`{name}` is no white: `{colour}`");
                self.note(kinds::WHEEL_NAME, &spot, what, "mend the name or the colour");
            } else if is_white && !called_white {
                let what = format!("`{name}` is as good as white: `{colour}`");
                self.note(kinds::WHEEL_NAME, &spot, what, "mend the name or the colour");
            }
        }
    }
}
