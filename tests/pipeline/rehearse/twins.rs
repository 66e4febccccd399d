//! What looks like something wrong and is not, beside what is: fades, lamps, speeds, other lists, loops.

use std::sync::Arc;

use slotwright::check::rehearse::rehearse;
use slotwright::cue::{Cue, CueList, Loop, Next};
use slotwright::finding::Severity;
use slotwright::profile::{Accepted, Profile};
use slotwright::show::Show;

use super::{alone, none, only, run, says, show, timed, told, wash};
use crate::heads::{alder, cedar, fixture};

/// A head at slot 1 with some of its channels no longer marked as ones that jump.
pub fn sliding(head: Arc<Profile>, channel: &str) -> Arc<Profile> {
    let mut profile = Arc::unwrap_or_clone(head);
    let channels = &mut profile.modes[0].channels;
    channels.iter_mut().find(|of| of.name == channel).expect("it has that channel").snap = false;
    Arc::new(profile)
}

pub fn one(profile: Arc<Profile>, cues: Vec<Cue>) -> Show {
    show(std::slice::from_ref(&profile), vec![fixture(&profile, 1, 1)], cues)
}

/// ALDER-16 at a level, its shutter faded from closed to open in 2 s.
fn opened(level: &str) -> Show {
    let closed = timed("1", 0.0, &[(1, "Dimmer", level), (1, "Shutter", "0")]);
    one(sliding(alder(), "Shutter"), vec![closed, timed("2", 2.0, &[(1, "Shutter", "255")])])
}

/// The open values between are what was asked for.
#[test]
fn a_shutter_that_is_faded_open_is_told_with_its_strobes_alone() {
    let told = only(&opened("100 %"), "crosses");
    for part in ["`strobe` for 0.251 s", "`pulse`", "`random`"] {
        says(&told, part, Severity::Warning);
    }
    assert!(!told.finding.what.contains("`open`"), "{told:?}");
}

#[test]
fn a_shutter_that_is_faded_in_the_dark_is_not_told() {
    none(&opened("0 %"), "crosses");
}

/// Which shutter a value is depends on the kind that another slot chooses: the kinds not chosen are not passed.
#[test]
fn a_fade_passes_only_what_its_other_channels_choose() {
    let profile = cedar();
    let mode = &profile.modes[0];
    let on_slot = |slot: u16| mode.channels.iter().find(|c| c.at.first() == Some(&slot));
    let (kind, shutter) = (on_slot(7).expect("kind"), on_slot(8).expect("shutter"));
    let (kind, shutter) = (kind.name.clone(), shutter.name.clone());
    let before = timed("1", 0.0, &[(1, &kind, "10"), (1, &shutter, "255")]);
    let cues = vec![before, timed("2", 2.0, &[(1, &shutter, "0")])];
    let told = only(&one(sliding(cedar(), &shutter), cues), "crosses");
    assert_eq!(told.finding.what.matches('`').count(), 4, "the channel and one range: {told:?}");
}

/// worked example: in 5 s the control channel stands 0.196 s in each band: told though nobody sees it.
#[test]
fn a_fade_over_orders_is_told_in_the_dark_too() {
    let cues = vec![timed("1", 5.0, &[(1, "Control", "255")])];
    says(&only(&one(sliding(alder(), "Control"), cues), "crosses"), "0.196 s", Severity::Warning);
}

/// common practice, no source: 0 on a speed channel is full speed on most heads, and the slowest on some.
#[test]
fn a_head_whose_speed_is_left_at_its_slow_end_is_told() {
    let moved = |speed: &str| {
        wash(vec![timed(
            "1",
            1.0,
            &[(1, "Pan", "100 deg"), (1, "Speed", speed), (1, "Red", "100 %")],
        )])
    };
    says(
        &only(&moved("0"), "crawls"),
        "`Speed` at 0 is at its slow end: 2 deg/s",
        Severity::Warning,
    );
    none(&moved("255"), "crawls");
    none(&alone(vec![timed("1", 1.0, &[(1, "Pan", "100 deg"), (1, "Speed", "0")])]), "crawls");
}

/// The lamp is put out, and is cold when the head is opened.
#[test]
fn a_head_that_is_opened_with_its_lamp_out_is_told() {
    let out = Cue { next: Next::Wait(400.0), ..timed("1", 0.0, &[(1, "Control", "215")]) };
    let lit = [(1, "Control", "0"), (1, "Dimmer", "100 %"), (1, "Shutter", "open")];
    let told = only(&alone(vec![out, timed("2", 0.0, &lit)]), "hidden");
    says(&told, "its lamp was put out", Severity::Warning);
    none(&alone(vec![timed("2", 0.0, &lit)]), "hidden");
}

#[test]
fn a_hung_head_that_lights_the_ceiling_is_noted() {
    let aimed = |tilt: &str| {
        let lit = [(1, "Tilt", tilt), (1, "Dimmer", "100 %"), (1, "Shutter", "open")];
        alone(vec![timed("1", 0.0, &lit)])
    };
    says(&only(&aimed("120 deg"), "hidden"), "points 30 deg up", Severity::Note);
    none(&aimed("60 deg"), "hidden");
}

/// A list of cues that set nothing of the head runs beside that which has it come late.
#[test]
fn what_another_list_does_elsewhere_is_no_cause() {
    let lit = [(1, "Dimmer", "100 %"), (1, "Shutter", "open"), (1, "Tilt", "40 deg")];
    let cues = vec![timed("1", 0.0, &lit), timed("2", 1.0, &[(1, "Pan", "180 deg")])];
    let mut both = show(&[alder()], vec![fixture(&alder(), 1, 1), fixture(&alder(), 2, 17)], cues);
    let blink = |number: &str, level: &str| Cue {
        next: Next::Wait(0.25),
        ..timed(number, 0.0, &[(2, "Frost", level)])
    };
    let numbers = (1..30).map(|nth| (nth.to_string(), ["0 %", "50 %"][nth % 2]));
    let cues = numbers.map(|(number, level)| blink(&number, level)).collect();
    both.cues.lists.push(CueList { name: "Other".to_owned(), cues, ..CueList::default() });
    let report = rehearse(&both, &[0, 1], 1, &|_| true).expect("nobody stops it");
    let of_head = report.told.iter().filter(|told| told.fixtures == [1]);
    let moved: Vec<_> = of_head.filter(|told| told.finding.code == "moves-lit").collect();
    assert!(!moved.is_empty());
    for told in moved {
        assert_eq!((told.list, told.finding.severity), (0, Severity::Note), "{told:?}");
    }
}

/// A cue that a loop runs again says the same again, and is told once.
#[test]
fn what_a_loop_repeats_is_told_once() {
    let lit = [(1, "Dimmer", "100 %"), (1, "Shutter", "open"), (1, "Colour", "c1")];
    let colour = |number: &str, to: &str| timed(number, 0.0, &[(1, "Colour", to)]);
    let cues = vec![timed("1", 0.0, &lit), colour("2", "c4"), colour("3", "c1")];
    let mut show = alone(cues);
    let number = |text: &str| text.parse().expect("a number");
    show.cues.lists[0].loops.push(Loop { from: number("2"), to: number("3"), passes: Some(4) });
    assert_eq!(run(&show).starts.len(), 9);
    let numbers: Vec<_> =
        told(&show, "wheel-passes").iter().map(|t| t.number.to_string()).collect();
    assert_eq!(numbers, ["2", "3"]);
}

/// Two heads at one address do the same, whichever of them a cue names last, and are told as one.
#[test]
fn heads_that_share_slots_are_played_together() {
    let both = |values: &[(&'static str, &'static str)]| -> Vec<(u32, &'static str, &'static str)> {
        values
            .iter()
            .flat_map(|(channel, value)| [(1, *channel, *value), (2, *channel, *value)])
            .collect()
    };
    let lit = both(&[("Dimmer", "100 %"), ("Shutter", "open"), ("Colour", "c1")]);
    let rig = |slot: u16| vec![fixture(&alder(), 1, 1), fixture(&alder(), 2, slot)];
    let second = timed("2", 0.0, &[(2, "Colour", "c4")]);
    let at = |slot: u16| show(&[alder()], rig(slot), vec![timed("1", 0.0, &lit), second.clone()]);
    let [told] = told(&at(1), "wheel-passes").try_into().expect("one for both");
    assert_eq!(told.fixtures, [1, 2]);
    assert_eq!(told.finding.place.item.as_deref(), Some("list \"Main\", cue 2, fixtures 1, 2"));
    assert_eq!(only(&at(17), "wheel-passes").fixtures, [2]);
}

/// What is told of several heads in the same words is told once, and can be accepted for one of them.
#[test]
fn what_is_the_same_of_several_heads_is_told_once() {
    let values =
        |channel: &'static str, value: &'static str| (1..4).map(move |id| (id, channel, value));
    let lit: Vec<_> = values("Dimmer", "100 %").chain(values("Shutter", "open")).collect();
    let gobo: Vec<_> = values("Gobo", "blocked").collect();
    let rig = (0..3).map(|nth| fixture(&alder(), nth + 1, 1 + 16 * nth as u16)).collect();
    let mut show = show(&[alder()], rig, vec![timed("1", 0.0, &lit), timed("2", 0.0, &gobo)]);
    assert_eq!(only(&show, "hidden").fixtures, [1, 2, 3]);
    show.cues.accepted.push(Accepted {
        code: "hidden".to_owned(),
        at: "list \"Main\", cue 2, fixture 2 \"head 2\"".to_owned(),
        reason: "it waits".to_owned(),
    });
    let told = told(&show, "hidden");
    let of = |accepted: bool| {
        let told = told.iter().filter(move |told| told.finding.accepted.is_some() == accepted);
        told.flat_map(|told| told.fixtures.clone()).collect::<Vec<_>>()
    };
    assert_eq!((of(true), of(false)), (vec![2], vec![1, 3]));
}
