//! Cues and references made of what the stage shows.

use slotwright::cue::{Changes, Reference, ReferenceKind, Stage, Take, edit};
use slotwright::wire::{Frames, Slot, Universe};

use super::{Rehearsal, cue};

/// What is held with every channel at rest, and a few slots of universe 1.
fn held(rehearsal: &Rehearsal, slots: &[(u16, u8)]) -> Frames {
    let mut frames = rehearsal.tracks.at_rest();
    for (slot, value) in slots {
        frames.set(Universe::ONE, Slot::new(*slot).expect("it is a slot"), *value);
    }
    frames
}

fn on_stage<T>(rehearsal: &Rehearsal, frames: &Frames, take: impl Fn(&Stage<'_>) -> T) -> T {
    let mut decoded = rehearsal.plan.start();
    rehearsal.plan.decode(frames, &mut decoded);
    take(&Stage { rig: &rehearsal.rig, plan: &rehearsal.plan, frames, decoded: &decoded })
}

fn typed(changes: &Changes) -> Vec<(u32, String, String)> {
    let of = |(id, channels): (&u32, &std::collections::BTreeMap<_, slotwright::cue::Value>)| {
        let id = *id;
        let one = move |(name, value): (&String, &slotwright::cue::Value)| {
            (id, name.clone(), value.to_string())
        };
        channels.iter().map(one).collect::<Vec<_>>()
    };
    changes.iter().flat_map(of).collect()
}

fn told(of: &[(u32, &str, &str)]) -> Vec<(u32, String, String)> {
    of.iter()
        .map(|(id, channel, value)| (*id, (*channel).to_owned(), (*value).to_owned()))
        .collect()
}

/// worked example: ALDER-16's shutter is open at 32..63, and its colour wheel has c2 at 32..47.
#[test]
fn only_what_was_touched_goes_into_a_cue_by_what_it_means() {
    let rehearsal = Rehearsal::of(Vec::new());
    let before = held(&rehearsal, &[(6, 51)]);
    let now = held(&rehearsal, &[(6, 255), (7, 40), (8, 35), (43, 255)]);
    let changes =
        on_stage(&rehearsal, &now, |stage| stage.changes(&[0, 1, 2], Some(&before), Take::Meaning));
    assert_eq!(
        typed(&changes),
        told(&[
            (1, "Colour", "c2"),
            (1, "Dimmer", "100 %"),
            (1, "Shutter", "open"),
            (3, "Zoom", "8 deg")
        ])
    );
    let raw = on_stage(&rehearsal, &now, |stage| stage.changes(&[0], Some(&before), Take::Raw));
    assert_eq!(
        typed(&raw),
        told(&[(1, "Colour", "#35"), (1, "Dimmer", "#255"), (1, "Shutter", "#40")])
    );
    // All of it, of the fixtures that were chosen.
    let all = on_stage(&rehearsal, &now, |stage| stage.changes(&[2], None, Take::Meaning));
    assert_eq!((all.len(), all[&3].len()), (1, 10), "every channel of BIRCH-12");
    // A cue that is there already is updated with it.
    let mut old = cue("1", &[(1, "Dimmer", "20 %"), (1, "Pan", "10 deg")]);
    edit::add(&mut old, changes);
    assert_eq!(old.changes[&1]["Dimmer"].to_string(), "100 %");
    assert_eq!(old.changes[&1]["Pan"].to_string(), "10 deg", "what was not touched stays");
}

/// worked example: ALDER-16 is open at every value of 32..63.
#[test]
fn another_value_of_the_same_meaning_was_not_touched() {
    let rehearsal = Rehearsal::of(Vec::new());
    let (before, now) = (held(&rehearsal, &[(7, 32)]), held(&rehearsal, &[(7, 60)]));
    let taken =
        |take| on_stage(&rehearsal, &now, |stage| stage.changes(&[0, 1, 2], Some(&before), take));
    assert_eq!(taken(Take::Meaning), Changes::new());
    assert_eq!(typed(&taken(Take::Raw)), told(&[(1, "Shutter", "#60")]), "raw, it is another one");
}

#[test]
fn a_slot_that_was_never_sent_is_no_change() {
    let rehearsal = Rehearsal::of(Vec::new());
    let nothing = Frames::default();
    let changes =
        on_stage(&rehearsal, &nothing, |stage| stage.changes(&[0, 1, 2], None, Take::Raw));
    assert_eq!(changes, Changes::new());
}

#[test]
fn a_reference_takes_the_channels_of_its_kind() {
    let rehearsal = Rehearsal::of(Vec::new());
    // ALDER-16 twice at 1 and 17: pan differs, the colour wheel stands at c3 on both.
    let now = held(&rehearsal, &[(1, 128), (17, 192), (8, 50), (24, 50), (9, 20)]);
    let of =
        |kind| on_stage(&rehearsal, &now, |s| s.reference("r", kind, &[0, 1], &rehearsal.tracks));
    let position = of(ReferenceKind::Position);
    assert!(position.all.is_empty(), "each head has its own");
    let names: Vec<&str> = position.own[&1].keys().map(String::as_str).collect();
    assert_eq!(names, ["Pan", "Speed", "Tilt"], "how it moves is part of its aim");
    assert_ne!(position.own[&1]["Pan"], position.own[&2]["Pan"]);
    let colour = of(ReferenceKind::Colour);
    assert_eq!(colour.all["Colour"].to_string(), "c3", "one value for all that agree");
    assert!(colour.own.is_empty());
    let pattern = of(ReferenceKind::Pattern);
    assert_eq!(pattern.own[&1]["Gobo"].to_string(), "g2");
    assert!(!pattern.all.contains_key("Gobo") && pattern.all.contains_key("Zoom"));
    assert!(of(ReferenceKind::Other).all.contains_key("Dimmer"));
    // One of the two gets another colour, and then has it in common with the other again.
    let other = held(&rehearsal, &[(8, 20), (24, 50)]);
    let update = |frames, reference: &Reference| {
        on_stage(&rehearsal, frames, |stage| stage.updated(reference, &[0], &rehearsal.tracks))
    };
    let changed = update(&other, &colour);
    assert_eq!(
        (changed.all.clone(), changed.own[&1]["Colour"].to_string()),
        (colour.all.clone(), "c1".to_owned())
    );
    assert_eq!(update(&now, &changed), colour);
}
