//! A change to profiles that make no sense, and sweeps of them: never a panic, and in a bounded time.

use std::sync::Arc;

use slotwright::check::change::{compare, layout};
use slotwright::decode::{CompiledMode, sweep::stops};
use slotwright::paper::sweep::{html, strip, text};
use slotwright::profile::library::FILES;
use slotwright::profile::{Library, Profile};
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead};
use slotwright::wire::{Frames, Slot, Universe};

use crate::mutation::{Dice, damaged};

fn modes(profile: &Arc<Profile>) -> Vec<Arc<CompiledMode>> {
    profile.modes.iter().map(|mode| Arc::new(CompiledMode::new(profile, mode))).collect()
}

fn values(seed: u8) -> Frames {
    let mut frames = Frames::default();
    for number in 1..=512u16 {
        let slot = Slot::new(number).expect("a slot");
        frames.set(Universe::ONE, slot, (number as u8).wrapping_mul(seed));
    }
    frames
}

#[test]
fn damaged_profiles_are_changed_to_and_from_and_swept() {
    let mut dice = Dice(0x51_07_c4_a9);
    let sound: Vec<Arc<CompiledMode>> = Library::embedded().profiles().flat_map(modes).collect();
    let fixture = Fixture {
        id: 1,
        label: String::new(),
        profile: String::new(),
        mode: String::new(),
        address: None,
        at: glam::DVec3::Z * 5.0,
        hang: Hang::Hung,
        aim: Aim::default(),
        in_head: InHead::default(),
    };
    let address =
        |number| Address { universe: Universe::ONE, slot: Slot::new(number).expect("a slot") };
    let (mut read, mut n) = (0, 0usize);
    for (_, text_of) in FILES {
        for _ in 0..25 {
            let Ok(profile) = ron::from_str::<Profile>(&damaged(text_of, &mut dice)) else {
                continue;
            };
            let profile = Arc::new(profile);
            for mode in modes(&profile) {
                (read, n) = (read + 1, n + 1);
                let other = &sound[n % sound.len()];
                for (before, after) in [(&mode, other), (other, &mode), (&mode, &mode)] {
                    layout(before, after);
                    let at = address(if n % 3 == 0 { 505 } else { 1 });
                    if let Some(change) = compare(before, after, &fixture, &values(n as u8), at) {
                        assert!(change.translated.len() <= 4 * after.channels.len());
                    }
                }
                for channel in &mode.channels {
                    let stops = stops(channel, |_| None);
                    assert!(stops.first().is_some_and(|stop| stop.first == 0));
                    assert!(stops.last().is_some_and(|stop| stop.last == channel.max_value()));
                }
                if let Some(strip) = strip(&mode, n % mode.channels.len().max(1)) {
                    assert!(!text(&strip).is_empty() && html(&strip).ends_with("</html>\n"));
                }
            }
        }
    }
    assert!(read > 0, "the damage is too great");
}
