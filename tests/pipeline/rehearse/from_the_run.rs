//! What is told from what was really sent: fades that are cut short, holds, steps of every axis, spans.

use std::sync::Arc;

use slotwright::cue::{Cue, Next, Time};
use slotwright::finding::Severity;
use slotwright::profile::Profile;

use super::every::sent_on;
use super::twins::{one, sliding};
use super::{alone, none, only, run, says, timed, told};
use crate::heads::alder;

fn control() -> Arc<Profile> {
    sliding(alder(), "Control")
}

fn cut(fade_s: f64, after_s: f64, second: Cue) -> slotwright::show::Show {
    let first = Cue { next: Next::Wait(after_s), ..timed("1", fade_s, &[(1, "Control", "255")]) };
    one(control(), vec![first, second])
}

/// worked example: 0 to 255 in 25.5 s passes 200 after 19.95 s, 210 after 20.95 s and 220 after 21.95 s.
#[test]
fn a_fade_that_is_cut_short_tells_only_what_it_crossed() {
    let back = |fade_s| timed("2", fade_s, &[(1, "Control", "0")]);
    none(&cut(25.5, 19.0, back(0.0)), "crosses");
    let found = only(&cut(25.5, 21.3, back(0.0)), "crosses");
    assert_eq!(found.finding.what.matches('`').count(), 6, "the channel and two ranges: {found:?}");
    says(&found, "for 1 s of the 3 s it takes", Severity::Warning);
    says(&found, "for 0.35 s of the 5 s it takes", Severity::Warning);
    assert!((found.at_s - 19.95).abs() < 0.03 && (found.until_s - 21.3).abs() < 0.03, "{found:?}");
}

/// worked example: 0 to 255 in 102 s is in the reset from 79.8 s on; called back at 82.0 s it is at 205, and
/// is back under 199.5 after 1.07 s more: 3.27 s in all, where neither fade alone has the 3 s.
#[test]
fn a_hold_is_the_time_that_the_value_really_stays() {
    let back = |fade_s: f64| timed("2", fade_s, &[(1, "Control", "0")]);
    let show = cut(102.0, 82.0, back(40.0));
    let found = only(&show, "holds");
    says(&found, "for 3.2", Severity::Error);
    says(&found, "and 3 s are enough to act", Severity::Error);
    says(&only(&show, "homes"), "though no cue asks for it", Severity::Error);
    // Called back at once, it stays 2.2 s.
    let quick = cut(102.0, 82.0, back(0.0));
    none(&quick, "holds");
    none(&quick, "homes");
    says(&only(&quick, "crosses"), "for 2.2 s of the 3 s it takes", Severity::Warning);
}

/// The next cue takes the channel after a delay: until then the first fade goes on.
#[test]
fn a_fade_goes_on_while_the_next_cue_waits() {
    let mut second = timed("2", 0.0, &[(1, "Control", "0")]);
    second.times.all = Time { fade_s: 0.0, delay_s: 5.0 };
    let found = only(&cut(25.5, 19.0, second), "crosses");
    says(&found, "for 1 s of the 3 s it takes", Severity::Warning);
    assert!(!found.finding.what.contains("230"), "{found:?}");
}

/// From 0 to 255 in three packets none carries a value of the bands between: nothing is crossed.
#[test]
fn a_fade_that_skips_ranges_does_not_cross_them() {
    let fade = |fade_s| one(control(), vec![timed("1", fade_s, &[(1, "Control", "255")])]);
    none(&fade(0.05), "crosses");
    only(&fade(0.5), "crosses");
}

/// ALDER-16 in a mode of one slot each for pan and tilt, lit.
fn coarse(
    changes: &[(u32, &str, &str)],
    fade_s: f64,
    cut_s: Option<f64>,
) -> slotwright::show::Show {
    let mut profile = Arc::unwrap_or_clone(alder());
    for (name, at) in [("Pan", 1), ("Tilt", 3)] {
        let channels = &mut profile.modes[0].channels;
        let channel = channels.iter_mut().find(|of| of.name == name).expect("it aims");
        (channel.at, channel.default) = (vec![at], 128);
    }
    let lit = timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")]);
    let second = timed("2", fade_s, changes);
    let mut cues = vec![lit, second.clone()];
    if let Some(cut_s) = cut_s {
        let third = timed("3", 0.0, &[(1, "Pan", "0 deg"), (1, "Tilt", "0 deg")]);
        cues = vec![cues.remove(0), Cue { next: Next::Wait(cut_s), ..second }, third];
    }
    one(Arc::new(profile), cues)
}

/// worked example: one step of pan is 540 / 255 = 2.118 deg, 0.37 m at 10 m; one of tilt is 1.059 deg. 10 deg
/// in 20 s are 4.7 steps, one every 4.2 s: the slot holds whole ones, so that it goes by 4, one every 5 s.
#[test]
fn steps_are_told_of_every_axis() {
    let both = [(1, "Pan", "10 deg"), (1, "Tilt", "10 deg")];
    let mut show = coarse(&both, 20.0, None);
    show.rig[0].at.z = 10.0;
    let told = told(&show, "steps");
    assert_eq!(told.len(), 2, "{told:#?}");
    for (axis, words) in [
        ("`Pan`", "in steps of 2.12 deg, one every 5 s"),
        ("`Tilt`", "in steps of 1.06 deg, one every 2."),
        // On the floor 10 m below, tilted by 10 deg: 10.2 m.
        ("`Pan`", "0.38 m each at 10.2 m"),
    ] {
        let of_axis = told.iter().find(|told| told.finding.what.starts_with(axis));
        says(of_axis.expect("it is told"), words, Severity::Warning);
    }
    none(&coarse(&both, 0.5, None), "steps");
}

/// Only the steps that were made are told: cut after 2 s the first comes alone or not at all.
#[test]
fn steps_of_a_move_that_is_cut_short_are_not_told() {
    none(&coarse(&[(1, "Pan", "10 deg")], 20.0, Some(2.0)), "steps");
    only(&coarse(&[(1, "Pan", "10 deg")], 20.0, Some(12.0)), "steps");
}

/// worked example: hops of 6 deg take 0.245 s each and never end at five a second; 15 deg take 0.387 s, and
/// the head stands for the rest of half a second.
#[test]
fn a_move_that_is_sent_on_too_seldom_is_told() {
    let found = only(&sent_on(15.0, 0.5), "stutter");
    says(
        &found,
        "its pan is sent on 6 times, by up to 15 deg every 0.5 s, and stands in between",
        Severity::Warning,
    );
    none(&sent_on(6.0, 0.2), "stutter");
    // Moves a second and more apart are moves of their own.
    none(&sent_on(15.0, 1.5), "stutter");
}

/// What hides a head's light is told once for the cues over which it does, and again if it comes back.
#[test]
fn a_hidden_head_is_told_once_for_as_long_as_it_is() {
    let gobo = |number: &str, value: &str| timed(number, 0.0, &[(1, "Gobo", value)]);
    let lit =
        timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %"), (1, "Gobo", "122")]);
    let wait = |number: &str| timed(number, 0.0, &[(1, "Frost", "10 %")]);
    let cues = vec![lit, wait("2"), wait("3"), gobo("4", "0"), gobo("5", "122"), wait("6")];
    let told = told(&alone(cues), "hidden");
    let spans: Vec<_> =
        told.iter().map(|told| (told.number.to_string(), told.until_s.round())).collect();
    // Cues come every 3 s and something.
    assert_eq!(spans.len(), 2, "{told:#?}");
    assert_eq!((spans[0].0.as_str(), spans[1].0.as_str()), ("1", "5"));
    assert!(told[0].until_s - told[0].at_s > 5.0, "{told:#?}");
}

/// A wheel so quick that it passes several slots from packet to packet.
#[test]
fn slots_that_a_quick_wheel_passes_between_packets_are_told() {
    let mut quick = Arc::unwrap_or_clone(alder());
    quick.wheels.get_mut("colour").expect("a wheel").move_s = Some(0.01);
    let lit = [(1, "Shutter", "open"), (1, "Dimmer", "100 %"), (1, "Colour", "c1")];
    let cues = vec![timed("1", 1.0, &lit), timed("2", 0.0, &[(1, "Colour", "c4")])];
    let show = one(Arc::new(quick), cues);
    let told = told(&show, "wheel-passes");
    let second = told.iter().find(|told| told.number.to_string() == "2").expect("it passes some");
    says(second, "passes c2, c3 while it is lit", Severity::Warning);
    assert!(!run(&show).bad());
}
