//! A change of model or mode: worked examples of the neutral heads.

use std::collections::BTreeMap;
use std::sync::Arc;

use slotwright::check::change::{
    FixtureChange, FrameChange, Outcome, change, closing, compare, edits, layout,
};
use slotwright::decode::{CompiledMode, Plan};
use slotwright::profile::Profile;
use slotwright::show::{Document, Look, Show};
use slotwright::stage::Room;
use slotwright::wire::{Frame, Frames, Universe};

use crate::heads::{ALDER_LIT, alder, birch, elm, fixture, still};

fn mode(profile: &Arc<Profile>, index: usize) -> Arc<CompiledMode> {
    Arc::new(CompiledMode::new(profile, &profile.modes[index]))
}

fn frames(values: &[u8]) -> Frames {
    let mut frames = Frames::default();
    let frame = Frame::levels(values).expect("it fits a frame");
    frames.universe_mut(Universe::ONE).apply(&frame);
    frames
}

/// What becomes of these values, which begin at slot 1.
fn changed(before: &Arc<CompiledMode>, after: &Arc<CompiledMode>, values: &[u8]) -> FrameChange {
    let fixture = fixture(&before.profile, 1, 1);
    let address = fixture.address.expect("it is patched");
    compare(before, after, &fixture, &frames(values), address).expect("it can be read")
}

fn kinds(dangers: &[slotwright::check::change::Danger]) -> Vec<&'static str> {
    dangers.iter().map(|danger| danger.kind).collect()
}

/// A head with a shutter, a dimmer and a wheel of ten values a slot. worked example
fn narrow_wheel() -> Arc<Profile> {
    let colour: String = (0..3)
        .map(|i| {
            let (from, to) = (i * 10, if i == 2 { 255 } else { i * 10 + 9 });
            format!("(from: {from}, to: {to}, does: Slot(wheel: \"colour\", slot: {})),", i + 1)
        })
        .collect();
    still(
        3,
        &format!(
            "(name: \"Dimmer\", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
             (name: \"Shutter\", at: [2], ranges: [(from: 0, to: 127, does: Open), (from: 128, to: 255, does: Shut)]),
             (name: \"Colour\", at: [3], snap: true, ranges: [{colour}]),"
        ),
        "wheels: {\"colour\": (slots: [Open, Tint(\"c1\", \"#ff2020\"), Tint(\"c2\", \"#ff9020\")])},",
    )
}

/// One head left in another mode: pan and tilt work, and nothing else does. worked example
#[test]
fn of_a_longer_mode_only_what_stands_before_the_inserted_slots_keeps_its_meaning() {
    let elm = elm();
    let (short, long) = (mode(&elm, 0), mode(&elm, 1));
    let values: Vec<u8> = [128, 0, 128, 0, 196, 255, 40].into_iter().chain([0; 21]).collect();
    let change = changed(&short, &long, &values);
    let same: Vec<&[u16]> =
        change.raw.iter().filter(|row| row.same).map(|row| row.slots.as_slice()).collect();
    assert_eq!(same, [&[1, 2][..], &[3, 4]], "slots 1 to 4 mean the same and nothing else does");
    let fifth = change.raw.iter().find(|row| row.slots == [5]).unwrap();
    assert_eq!(fifth.before.as_ref().unwrap().channel, "Speed");
    assert_eq!(fifth.after[0].channel, "Blade top", "it is read as the first inserted slot");
    let dimmer = layout(&short, &long).into_iter().find(|row| row.before == "Dimmer").unwrap();
    assert_eq!((dimmer.slots_before, dimmer.slots_after), (vec![6], vec![14]));
    assert_eq!(kinds(&change.dangers), ["lit-to-dark"]);
    // All of it can be kept.
    assert!(change.lost().next().is_none() && change.dangers_kept.is_empty());
    assert!(change.kept.iter().all(|row| matches!(row.outcome, Outcome::Exact | Outcome::Rests)));
    let at = |slot: u16| change.translated.iter().find(|(o, _)| *o == slot).map(|(_, v)| *v);
    assert_eq!((at(13), at(14), at(6)), (Some(196), Some(255), Some(128)));
    assert!((32..=63).contains(&at(15).unwrap()), "open: {:?}", at(15));
}

/// A head swapped for another type. worked example
#[test]
fn one_raw_colour_value_is_another_colour_on_a_wheel_of_narrower_ranges() {
    let mut values = ALDER_LIT;
    values[7] = 20;
    let change = changed(&mode(&alder(), 0), &mode(&narrow_wheel(), 0), &values);
    let colour = change.by_channel.iter().find(|row| row.before.channel == "Colour").unwrap();
    assert_eq!((colour.before.words.as_str(), colour.same), ("c1", false));
    assert_eq!(colour.after.as_ref().unwrap().words, "c2");
    let kept = change.kept.iter().find(|row| row.channel == "Colour").unwrap();
    assert_eq!((kept.outcome, kept.to[0].value), (Outcome::Exact, 10));
    // A colour that the other wheel does not have and nothing near it.
    values[7] = 100;
    let change = changed(&mode(&alder(), 0), &mode(&narrow_wheel(), 0), &values);
    assert!(change.lost().any(|row| row.channel == "Colour" && row.means == "c6"));
}

/// Zero means closed on one head and open on the other. worked example
#[test]
fn a_closed_shutter_whose_value_is_open_elsewhere_is_a_danger() {
    let (alder, birch) = (alder(), birch());
    let (before, after) = (mode(&alder, 0), mode(&birch, 0));
    assert_eq!(closing(&before), ["Shutter values 0..31"]);
    assert_eq!(closing(&after), ["Strobe values 5..9"]);
    let mut values = ALDER_LIT;
    values[6] = 0;
    let change = changed(&before, &after, &values);
    let shutter = change.by_channel.iter().find(|row| row.before.channel == "Shutter").unwrap();
    assert_eq!((shutter.before.words.as_str(), shutter.opens), ("closed", true));
    assert_eq!(shutter.after.as_ref().unwrap().words, "open");
    assert_eq!(kinds(&change.dangers_by_channel), ["opens"]);
    let kept = change.kept.iter().find(|row| row.channel == "Shutter").unwrap();
    assert_eq!((kept.outcome, kept.to[0].value), (Outcome::Exact, 5), "5 to 9 close it");
    assert!(change.dangers_kept.is_empty());
    // Where the dimmer is up, that is light.
    let mut values = ALDER_LIT;
    values[6] = 0;
    let change = changed(&before, &mode(&narrow_wheel(), 0), &values);
    let lit = &change.dangers_by_channel[0];
    assert_eq!(lit.kind, "dark-to-lit");
    assert!(lit.evidence.contains("slot 7 = 0, Shutter `closed`"), "{}", lit.evidence);
}

/// Zoom runs narrow to wide on one head and wide to narrow on the other. worked example
#[test]
fn senses_that_run_against_each_other_keep_the_angle_and_not_the_value() {
    let (before, after) = (mode(&alder(), 0), mode(&birch(), 0));
    let mut values = ALDER_LIT;
    values[11] = 64;
    let change = changed(&before, &after, &values);
    let zoom = change.by_channel.iter().find(|row| row.before.channel == "Zoom").unwrap();
    // 8 + 32 * 64 / 255 = 16.03; 40 - 32 * 64 / 255 = 31.97.
    assert!(zoom.before.words.starts_with("16.03 deg"), "{}", zoom.before.words);
    assert!(zoom.after.as_ref().unwrap().words.starts_with("31.97 deg"));
    let kept = change.kept.iter().find(|row| row.channel == "Zoom").unwrap();
    assert_eq!((kept.outcome, kept.to[0].value), (Outcome::Exact, 255 - 64));
}

/// worked example: ALDER's control at rest stands where BIRCH's reset begins.
#[test]
fn a_value_that_begins_a_reset_says_so_with_its_slot() {
    let (before, after) = (mode(&alder(), 0), mode(&birch(), 0));
    let mut values = ALDER_LIT;
    values[11] = 250;
    let change = changed(&before, &after, &values);
    let reset = change.dangers.iter().find(|danger| danger.kind == "reset").unwrap();
    assert!(reset.evidence.contains("slot 12 = 250, Control"), "{}", reset.evidence);
    assert!(reset.evidence.contains("was Zoom `39.37 deg"), "{}", reset.evidence);
}

fn show() -> Show {
    let elm = elm();
    let mut show = Show {
        name: "Neutral".to_owned(),
        notes: String::new(),
        room: Room::default(),
        profiles: BTreeMap::new(),
        profile_files: Vec::new(),
        rig: vec![fixture(&elm, 1, 1), fixture(&elm, 2, 31), fixture(&elm, 3, 61)],
        looks: Vec::new(),
        levels: Frames::default(),
        cues: slotwright::cue::Cues::default(),
    };
    show.profiles.insert(elm.key().0, elm);
    let mut values = [0u8; 90];
    for first in [0, 30, 60] {
        values[first..first + 7].copy_from_slice(&[100, 50, 128, 0, 0, 255, 40]);
    }
    show.levels = frames(&values);
    show.looks =
        vec![Look { name: "up".to_owned(), note: String::new(), frames: show.levels.clone() }];
    show
}

fn aims(show: &Show, index: usize) -> (f64, f64, Option<f64>) {
    let plan = Plan::new(&show.rig, &show.profiles);
    let mut decoded = plan.start();
    let frames = &show.looks[0].frames;
    plan.decode(frames, &mut decoded);
    let asked = plan.reading(index, frames, &decoded).expect("it can be read").asked();
    let deg = |ask| match ask {
        slotwright::decode::AxisAsk::To { deg } => deg,
        other => panic!("{other:?}"),
    };
    (deg(asked.pan), deg(asked.tilt), asked.cells[0].level)
}

#[test]
fn the_edits_translate_every_look_and_are_one_step_of_undo() {
    let mut document = Document::new(show(), None);
    let (before, elm) = (document.show().clone(), elm());
    let gesture = document.new_gesture();
    for edit in edits(document.show(), &[0, 1], &elm, "ELM-28").expect("it fits") {
        document.apply(edit, Some(gesture)).expect("it can be done");
    }
    let after = document.show();
    assert_eq!((after.rig[0].mode.as_str(), after.rig[2].mode.as_str()), ("ELM-28", "ELM-20"));
    for index in 0..3 {
        assert_eq!(aims(&before, index), aims(after, index), "fixture {index}");
    }
    assert_eq!(after.levels, after.looks[0].frames, "what it stands at is translated as well");
    document.undo();
    assert_eq!(document.show(), &before);
}

#[test]
fn a_longer_mode_that_reaches_into_the_next_fixture_is_told_and_refused() {
    let mut show = show();
    show.rig[1].address = fixture(&elm(), 2, 21).address;
    let frames = show.levels.clone();
    let of: Vec<FixtureChange> =
        change(&show, &[0], &elm(), "ELM-28", &[("as it stands", &frames)]).expect("it is known");
    assert_eq!(of[0].in_the_way, ["slots 21..28 are those of fixture 2 \"head 2\""]);
    assert!(of[0].is_dangerous());
    let refused = edits(&show, &[0], &elm(), "ELM-28").expect_err("it does not fit");
    assert!(refused.to_string().contains("slots 21..28"), "{refused}");
    assert!(change(&show, &[0], &elm(), "none", &[]).is_err());
    assert!(change(&show, &[9], &elm(), "ELM-28", &[]).is_err());
}

/// Whatever a frame holds: a change to the same mode changes nothing, and one to any other never panics.
#[test]
fn a_change_to_the_same_mode_keeps_everything() {
    let profiles: Vec<Arc<Profile>> =
        slotwright::profile::Library::embedded().profiles().cloned().collect();
    let modes: Vec<Arc<CompiledMode>> = profiles
        .iter()
        .flat_map(|profile| (0..profile.modes.len()).map(|i| mode(profile, i)))
        .collect();
    for (n, before) in modes.iter().enumerate() {
        let values: Vec<u8> = (0..512usize).map(|i| (i * 73 + n * 31) as u8).collect();
        let change = changed(before, before, &values);
        assert!(
            change.dangers.is_empty() && change.dangers_by_channel.is_empty(),
            "{}",
            before.name
        );
        for row in &change.raw {
            let meant = row.before.as_ref().map(|meant| meant.words.as_str());
            if meant.is_some_and(|words| !words.contains("no range")) && !row.same {
                let of = before.channels.iter().find(|c| c.offsets == row.slots).unwrap();
                let dull = |e: &slotwright::profile::Effect| {
                    matches!(
                        e,
                        slotwright::profile::Effect::Select | slotwright::profile::Effect::Unknown
                    )
                };
                assert!(of.ranges.iter().any(|r| r.effects().any(dull)), "{} {row:?}", before.name);
            }
        }
        for after in &modes {
            let _ = changed(before, after, &values);
        }
    }
}

/// A master that becomes part of the colours: 128 of 255 at 50 % becomes 64 (ratio kept, rounded half up).
/// worked example
#[test]
fn emitters_stand_in_for_a_dimmer_that_is_not_there() {
    let (alder, birch) = (alder(), birch());
    let (spot, wash) = (mode(&alder, 0), mode(&birch, 0));
    // A white head: each emitter gets the level.
    let mut values = ALDER_LIT;
    values[5] = 128;
    let change = changed(&spot, &wash, &values);
    let at = |slot: u16| change.translated.iter().find(|(o, _)| *o == slot).map(|(_, v)| *v);
    assert_eq!([7, 8, 9, 10].map(at), [Some(128); 4]);
    let dimmer = change.kept.iter().find(|row| row.channel == "Dimmer").unwrap();
    assert_eq!(dimmer.outcome, Outcome::Near);
    let mixed = change.kept.iter().find(|row| row.channel == "no emitters").unwrap();
    assert_eq!((mixed.outcome, mixed.to.len()), (Outcome::Near, 4));
    assert!(change.dangers_kept.is_empty(), "it stays lit: {:?}", change.dangers_kept);
    // Through a red tint of #ff2020 green and blue go down: (32 / 255) ^ 2.2 * 128 = 1.3.
    values[7] = 20;
    let change = changed(&spot, &wash, &values);
    let at = |slot: u16| change.translated.iter().find(|(o, _)| *o == slot).map(|(_, v)| *v);
    assert_eq!([7, 8, 9, 10].map(at), [Some(128), Some(1), Some(1), Some(1)]);
    // A head with a dimmer over its emitters: all are dimmed alike.
    let emitter = |slot: u16, name: &str| {
        format!(
            "(name: \"{name}\", at: [{slot}], ranges: [(from: 0, to: 255, does: Emitter(name: \"{name}\", percent: (0.0, 100.0)))]),"
        )
    };
    let dimmed = crate::heads::profile(&format!(
        "(maker: \"Neutral\", model: \"DIMMED\", head: Fixed, optics: (beam_deg: 20.0, field_deg: 30.0),
          source: Emitters([(name: \"red\", xy: (0.69, 0.305), flux_lm: 1.0), (name: \"green\", xy: (0.18, 0.695), flux_lm: 1.0)]),
          modes: [(name: \"m\", slots: 3, channels: [
            (name: \"Dimmer\", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))]),
            {}{}])])",
        emitter(2, "red"),
        emitter(3, "green")
    ));
    let dimmed = mode(&dimmed, 0);
    let change = changed(&dimmed, &wash, &[128, 128, 255]);
    let at = |slot: u16| change.translated.iter().find(|(o, _)| *o == slot).map(|(_, v)| *v);
    assert_eq!((at(7), at(8), at(9)), (Some(64), Some(128), Some(0)));
    // And back: the dimmer goes up, and the emitters stay.
    let change = changed(&wash, &dimmed, &[128, 128, 0, 0, 255, 0, 40, 90, 0, 0, 0, 0]);
    let at = |slot: u16| change.translated.iter().find(|(o, _)| *o == slot).map(|(_, v)| *v);
    assert_eq!([1, 2, 3].map(at), [Some(255), Some(40), Some(90)]);
    assert!(change.dangers_kept.is_empty(), "{:?}", change.dangers_kept);
    // To a white head: the largest emitter is the level.
    let change = changed(&wash, &spot, &[128, 128, 0, 0, 255, 0, 40, 90, 0, 0, 0, 0]);
    let at = |slot: u16| change.translated.iter().find(|(o, _)| *o == slot).map(|(_, v)| *v);
    assert_eq!(at(6), Some(90));
    assert!((32..=63).contains(&at(7).unwrap()), "its shutter opens");
}
