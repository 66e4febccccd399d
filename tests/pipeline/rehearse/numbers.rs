//! Worked examples with their numbers, from list to finding.

use std::sync::Arc;

use slotwright::cue::{Cue, Next};
use slotwright::finding::Severity;
use slotwright::show::Show;

use super::twins::{one, sliding};
use super::{alone, none, only, run, says, show, timed, told};
use crate::heads::{alder, birch, fixture, still};

const LIT: [(u32, &str, &str); 2] = [(1, "Shutter", "open"), (1, "Dimmer", "100 %")];

/// Lit with these beside, and then this in so many seconds.
fn then(first: &[(u32, &str, &str)], fade_s: f64, second: &[(u32, &str, &str)]) -> Show {
    let first: Vec<_> = LIT.iter().chain(first).copied().collect();
    alone(vec![timed("1", 0.0, &first), timed("2", fade_s, second)])
}

/// worked example: at 60 deg/s 180 deg take 3.15 s; in a cue of 2.0 s that is 1.15 s late. Following the
/// frame the head is there in time.
#[test]
fn the_heads_own_speed_on_top_of_the_cues_time_makes_it_late() {
    let at = |speed| then(&[(1, "Speed", speed)], 2.0, &[(1, "Pan", "180 deg")]);
    let found = only(&at("196"), "late");
    says(&found, "asked to be there after 2 s and arrives after", Severity::Warning);
    let late_s = found.until_s - found.at_s;
    assert!((1.0..3.3).contains(&late_s), "{found:?}");
    none(&at("0"), "late");
}

/// worked example: four heads of a row pan by 90 deg, for which they need 0.949 s; the last, at 60 deg/s, 1.65 s.
#[test]
fn one_head_of_a_row_that_comes_late_is_told_alone() {
    let heads = |speed: &'static str| {
        let rig = (0..4).map(|nth| fixture(&alder(), nth + 1, 1 + 16 * nth as u16)).collect();
        let lit: Vec<_> = (1..=4)
            .flat_map(|id| [(id, "Shutter", "open"), (id, "Dimmer", "100 %")])
            .chain([(4, "Speed", speed)])
            .collect();
        let pan: Vec<_> = (1..=4).map(|id| (id, "Pan", "90 deg")).collect();
        show(&[alder()], rig, vec![timed("1", 0.0, &lit), timed("2", 1.2, &pan)])
    };
    assert_eq!(only(&heads("196"), "late").fixtures, [4]);
    none(&heads("0"), "late");
}

/// worked example: 8 places at 0.15 s: white to c7 is one place by the shorter way and seven by the other.
#[test]
fn the_way_round_a_wheel_decides_what_passes() {
    let way = |shortest| {
        let mut profile = Arc::unwrap_or_clone(alder());
        profile.wheels.get_mut("colour").expect("a wheel").shortest = shortest;
        let first = [LIT[0], LIT[1], (1, "Colour", "0")];
        let cues = vec![timed("1", 0.0, &first), timed("2", 0.0, &[(1, "Colour", "c7")])];
        one(Arc::new(profile), cues)
    };
    none(&way(Some(true)), "wheel-passes");
    none(&way(None), "wheel-passes");
    let found = only(&way(Some(false)), "wheel-passes");
    says(&found, "passes c1, c2, c3, c4, c5, c6 while it is lit, 1.0", Severity::Warning);
}

/// worked example: the light rises from 0 in 1 s while pan goes 90 deg in 0.949 s; the colour from white to c4
/// takes four places, 0.60 s, and shows three on the way, whichever way round.
#[test]
fn a_colour_that_is_not_ready_is_told_though_the_pan_is() {
    let second = timed("2", 1.0, &[(1, "Dimmer", "100 %"), (1, "Colour", "c4")]);
    let first = timed("1", 0.0, &[LIT[0], (1, "Dimmer", "0 %"), (1, "Pan", "90 deg")]);
    let show = alone(vec![first, second]);
    none(&show, "live-move");
    let found = only(&show, "wheel-passes");
    says(&found, "while it is lit, 0.6", Severity::Warning);
    says(&found, "(estimate: its profile does not say that it takes", Severity::Warning);
    assert_eq!(found.finding.what.matches(',').count(), 3, "three colours and the time: {found:?}");
}

/// worked example: the wheel's channel from 16 to 112 in 4 s: each place has 16 of 96 values, 0.667 s.
#[test]
fn a_wheel_that_is_faded_shows_every_place_on_the_way() {
    let faded = |head| {
        let first = [LIT[0], LIT[1], (1, "Colour", "16")];
        one(head, vec![timed("1", 0.0, &first), timed("2", 4.0, &[(1, "Colour", "112")])])
    };
    let found = only(&faded(sliding(alder(), "Colour")), "crosses");
    for place in ["c2", "c3", "c4", "c5", "c6"] {
        says(&found, &format!("{place}` for 0.667 s"), Severity::Note);
    }
    none(&faded(alder()), "crosses");
}

/// worked example: a mixed rig with all slots at 0: neither head gives light, and nothing flashes or moves.
#[test]
fn a_blackout_of_zeros_is_dark_on_each_head_for_its_own_reason() {
    let zeros = [
        (1, "Dimmer", "0"),
        (1, "Shutter", "0"),
        (2, "Red", "0"),
        (2, "Green", "0"),
        (2, "Blue", "0"),
        (2, "White", "0"),
        (2, "Strobe", "0"),
    ];
    let rig = vec![fixture(&alder(), 1, 1), fixture(&birch(), 2, 17)];
    let show = show(&[alder(), birch()], rig, vec![timed("1", 0.0, &zeros)]);
    let dark: Vec<_> = told(&show, "never-lit").iter().flat_map(|t| t.fixtures.clone()).collect();
    assert_eq!(dark, [1, 2]);
    for code in ["flashes", "hidden", "audience"] {
        none(&show, code);
    }
}

/// worked example: lamp off, struck again after 90 s: refused until 300 s.
#[test]
fn a_hot_lamp_that_is_struck_again_refuses() {
    let again = |after_s: f64| {
        let off = timed("1", 0.0, &[LIT[0], LIT[1], (1, "Control", "215")]);
        let on = timed("2", 0.0, &[(1, "Control", "225")]);
        alone(vec![Cue { next: Next::Wait(after_s + 5.0), ..off }, on])
    };
    let refused = told(&again(90.0), "not-ready");
    let found = refused.iter().find(|told| told.finding.severity == Severity::Error);
    says(
        found.expect("it refuses"),
        "its lamp refuses to strike: it is too hot for 2",
        Severity::Error,
    );
    let later = told(&again(310.0), "not-ready");
    assert!(later.iter().all(|told| told.finding.severity != Severity::Error), "{later:?}");
}

/// worked example: held for 5.0 s, 210-219 puts the lamp out: as the cue asks, or because a fade stays there.
#[test]
fn a_lamp_that_goes_out_is_told_with_whether_a_cue_asked() {
    let asked = Cue { stands_s: Some(8.0), ..timed("1", 0.0, &[(1, "Control", "215")]) };
    says(
        &only(&alone(vec![asked]), "lamp-out"),
        "its lamp goes out as its cue asks",
        Severity::Note,
    );
    let fade = |fade_s| {
        one(sliding(alder(), "Control"), vec![timed("1", fade_s, &[(1, "Control", "255")])])
    };
    let found = only(&fade(130.0), "lamp-out");
    says(&found, "though no cue asks for it, and is too hot to strike for 300 s", Severity::Error);
    none(&fade(120.0), "lamp-out");
    let short = Cue { stands_s: Some(3.0), ..timed("1", 0.0, &[(1, "Control", "215")]) };
    let back = timed("2", 0.0, &[(1, "Control", "0")]);
    none(&alone(vec![short, back]), "lamp-out");
}

/// Outdoors, a lens that is parked above the horizon: warn; straight down: good.
#[test]
fn a_lens_parked_at_the_open_sky_is_told_lit_or_not() {
    let parked = |tilt, open_air| {
        let mut show = alone(vec![
            timed("1", 0.0, &[(1, "Tilt", tilt)]),
            timed("2", 0.0, &[(1, "Tilt", "0 deg")]),
        ]);
        show.room.open_air = open_air;
        show
    };
    let found = only(&parked("120 deg", true), "sun");
    says(&found, "its lens looks above the horizon for 2.7 s", Severity::Warning);
    none(&parked("120 deg", false), "sun");
    none(&parked("0 deg", true), "sun");
    none(&parked("89 deg", true), "sun");
    // It stays so to the end.
    let mut to_the_end = parked("120 deg", true);
    to_the_end.cues.lists[0].cues.pop();
    assert_eq!(only(&to_the_end, "sun").until_s, run(&to_the_end).duration_s);
    // The room says so in the show's file.
    assert!(to_the_end.room.open_air);
}

/// A head that follows another does and shows what that one is asked.
#[test]
fn a_head_that_follows_another_is_told_with_it() {
    let channels = r#"
        (name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0)))]),
        (name: "Shutter", at: [2], ranges: [(from: 0, to: 99, does: Open), (from: 100, to: 255, does: Strobe(hz: (6.0, 6.0)))]),
        (name: "Run", at: [3], snap: true, ranges: [(from: 0, to: 127, does: Idle), (from: 128, to: 255, does: Follow)]),"#;
    let head = still(3, channels, "");
    let led = |run: &'static str, shutter: &'static str| {
        let rig = vec![fixture(&head, 1, 1), fixture(&head, 2, 4)];
        let first = timed("1", 0.0, &[(2, "Run", run)]);
        let lit = timed("2", 0.0, &[(1, "Dimmer", "100 %"), (1, "Shutter", shutter)]);
        show(std::slice::from_ref(&head), rig, vec![first, lit])
    };
    // The follower gives light by what its leader is asked, and flashes with it.
    none(&led("200", "0"), "never-lit");
    assert_eq!(only(&led("0", "0"), "never-lit").fixtures, [2]);
    let flashing: Vec<_> =
        told(&led("200", "200"), "flashes").iter().flat_map(|t| t.fixtures.clone()).collect();
    assert_eq!(flashing, [1, 2]);
    assert_eq!(only(&led("0", "200"), "flashes").fixtures, [1]);
    none(&led("200", "0"), "flashes");
    // A fade of the channel that crosses into following is told, lit or not.
    let mut faded = Arc::unwrap_or_clone(head.clone());
    let run = &mut faded.modes[0].channels[2];
    run.snap = false;
    run.ranges.last_mut().expect("it follows").to = Some(200);
    run.ranges.push(run.ranges[0].clone());
    let last = run.ranges.last_mut().expect("idle again");
    (last.from, last.to) = (Some(201), Some(255));
    let crossed = one(Arc::new(faded), vec![timed("1", 5.1, &[(1, "Run", "255")])]);
    says(&only(&crossed, "crosses"), "for 1.46 s", Severity::Warning);
}
