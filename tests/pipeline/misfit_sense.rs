//! Frames alone: which addresses and modes make sense of them. Worked examples on the neutral heads, unless a
//! line says otherwise.

use slotwright::check::misfit::Case;
use slotwright::rig::{Address, Fixture, Rig};
use slotwright::wire::{Frame, Frames, Slot, Universe};

use crate::heads::{ALDER_LIT, Stage, alder, elm, fixture};

/// What is held of universe 1 after a frame of these levels, from a slot on.
fn held(first: usize, levels: &[u8]) -> Frames {
    let mut slots = vec![0; first - 1];
    slots.extend(levels);
    slots.resize(512, 0);
    let mut frames = Frames::default();
    frames.universe_mut(Universe::ONE).apply(&Frame::levels(slots).expect("512 slots"));
    frames
}

/// A frame made for slot 17, read by a head at 16: one slot behind makes most sense.
#[test]
fn a_head_one_slot_early_makes_sense_one_slot_behind() {
    let profile = alder();
    let stage = Stage::of(std::slice::from_ref(&profile), vec![fixture(&profile, 1, 16)]);
    let case = Case::new(&stage.rig, &stage.plan, vec![held(17, &ALDER_LIT)]);
    let fits = case.fits();
    let better = fits[0].better().expect("as patched it is dark");
    assert_eq!((better.by, better.mode.as_str()), (1, stage.rig[0].mode.as_str()), "{fits:#?}");
    assert!(fits[0].fits[fits[0].patched].because.iter().any(|why| why == "dark"), "{fits:#?}");
}

#[test]
fn a_head_that_is_patched_as_it_is_makes_most_sense_there() {
    let profile = alder();
    for first in [1, 16, 497] {
        let rig = vec![fixture(&profile, 1, first)];
        let stage = Stage::of(std::slice::from_ref(&profile), rig);
        let frames = held(usize::from(first), &ALDER_LIT);
        let case = Case::new(&stage.rig, &stage.plan, vec![frames]);
        let fits = case.fits();
        assert_eq!((fits[0].patched, fits[0].better()), (0, None), "{fits:#?}");
    }
}

/// The longer mode takes 8 slots more behind slot 4: pan and tilt agree, nothing else does.
#[test]
fn a_head_left_in_another_mode_makes_sense_in_that_mode() {
    let profile = elm();
    let rig: Rig = vec![fixture(&profile, 1, 1)];
    let stage = Stage::of(std::slice::from_ref(&profile), rig);
    let long = profile.modes.iter().find(|mode| mode.slots == 28).expect("the longer mode");
    let short = &profile.modes[0];
    assert_eq!(short.slots, 20, "it is patched in the shorter one");
    // Every channel at a value that lets light out, as the longer mode has them.
    let compiled = slotwright::decode::CompiledMode::new(&profile, long);
    let lit = slotwright::check::light_on::lit_values(&std::sync::Arc::new(compiled));
    let mut levels = vec![0u8; 28];
    for channel in &long.channels {
        let value = lit.get(&channel.name).copied().unwrap_or(channel.default);
        for (part, offset) in channel.at.iter().enumerate() {
            let shift = 8 * (channel.at.len() - 1 - part);
            levels[usize::from(*offset) - 1] = (value >> shift) as u8;
        }
    }
    let case = Case::new(&stage.rig, &stage.plan, vec![held(1, &levels)]);
    let fits = case.fits();
    let better = fits[0].better().expect("in the shorter mode it is dark");
    assert_eq!((better.by, better.mode.as_str()), (0, long.name.as_str()), "{fits:#?}");
}

/// Slots 1..4 are pan, its fine slot, tilt, its fine slot; sent is pan, tilt and then both fine ones. A slow
/// pan with a tilt that nods makes pan's fine slot jump while its coarse one stands.
#[test]
fn fine_slots_in_another_place_are_told_by_their_jumps() {
    let profile = alder();
    let rig = vec![fixture(&profile, 1, 1)];
    let stage = Stage::of(std::slice::from_ref(&profile), rig);
    let mut levels = ALDER_LIT;
    let frames = (0..24u8).map(|i| {
        (levels[0], levels[1]) = (100 + i / 8, if i % 2 == 0 { 60 } else { 190 });
        (levels[2], levels[3]) = (i * 10, i * 5);
        held(1, &levels)
    });
    let case = Case::new(&stage.rig, &stage.plan, frames.collect());
    let fits = case.fits();
    let because = &fits[0].fits[fits[0].patched].because;
    assert!(because.iter().any(|why| why.starts_with("fine slots jump while")), "{because:?}");
}

/// Everything is dark, but the universe before carries the data.
#[test]
fn a_universe_off_by_one_is_told() {
    let profile = alder();
    let two = Universe::new(2).expect("there is a universe 2");
    let slot = Slot::new(1).expect("there is a slot 1");
    let head =
        Fixture { address: Some(Address { universe: two, slot }), ..fixture(&profile, 1, 1) };
    let stage = Stage::of(std::slice::from_ref(&profile), vec![head]);
    let case = Case::new(&stage.rig, &stage.plan, vec![held(1, &ALDER_LIT)]);
    let fits = case.fits();
    let better = fits[0].better().expect("nothing reaches it as patched");
    assert_eq!(better.address, Address { universe: Universe::ONE, slot }, "{fits:#?}");
}

/// Over many frames slots 241..512 stay 0 while lower ones move, and a head is patched there.
#[test]
fn a_sender_that_stops_is_told_with_the_heads_behind() {
    let profile = alder();
    let rig = vec![fixture(&profile, 1, 225), fixture(&profile, 2, 241)];
    let stage = Stage::of(std::slice::from_ref(&profile), rig);
    let mut levels = ALDER_LIT;
    levels[15] = 7;
    let frames = (0..20u8).map(|pan| {
        levels[0] = 100 + pan;
        held(225, &levels)
    });
    let case = Case::new(&stage.rig, &stage.plan, frames.collect());
    let silences = case.silences();
    assert_eq!(silences.len(), 1);
    assert_eq!((silences[0].last, silences[0].places.as_slice()), (Slot::new(240), &[1][..]));
}

#[test]
fn heads_without_an_address_and_cases_without_frames_are_left_in_peace() {
    let profile = alder();
    let head = Fixture { address: None, ..fixture(&profile, 1, 1) };
    let stage = Stage::of(std::slice::from_ref(&profile), vec![head, fixture(&profile, 2, 505)]);
    let case = Case::new(&stage.rig, &stage.plan, Vec::new());
    let fits = case.fits();
    assert_eq!(fits.len(), 1, "the one that has an address");
    assert_eq!(fits[0].better(), None);
}
