//! Two cue lists side by side, and a list on paper: what is told of the meaning, and what is not.

use slotwright::check::compare::{Comparison, DifferenceKind, compare};
use slotwright::cue::{Cue, Movement, MovementKind, Time, Wave};
use slotwright::paper::cue_sheet::{CueSheet, SheetLine, cue_sheet};
use slotwright::rig::{FixtureId, Rig};
use slotwright::show::Show;

use crate::cues::cue;
use crate::heads::{alder, birch, fixture};
use crate::rehearse::show;

/// Four ALDER-16 (1 to 4) and a BIRCH-12 (9) with these cues.
fn rig(cues: Vec<Cue>) -> Show {
    let mut rig: Rig = (0..4).map(|i| fixture(&alder(), i + 1, 16 * i as u16 + 1)).collect();
    rig.push(fixture(&birch(), 9, 101));
    show(&[alder(), birch()], rig, cues)
}

fn compared(one: &Show, other: &Show) -> Comparison {
    compare((one, 0), (other, 0), ("first".to_owned(), "second".to_owned())).unwrap()
}

/// Cue, kind, fixtures, what, before, after.
type Told<'a> = (&'a str, DifferenceKind, &'a [FixtureId], &'a str, &'a str, &'a str);

/// What differs, as `cue: kind, fixtures, what, before, after`.
#[track_caller]
fn tells(one: Vec<Cue>, other: Vec<Cue>, told: &[Told<'_>]) {
    let comparison = compared(&rig(one), &rig(other));
    let side = |words: &Option<String>| words.clone().unwrap_or_default();
    let mut all = Vec::new();
    for cue in &comparison.cues {
        for of in &cue.differences {
            let sides = (side(&of.before), side(&of.after));
            all.push((
                cue.number.clone(),
                of.kind,
                of.fixtures.clone(),
                of.what.clone(),
                sides.0,
                sides.1,
            ));
        }
    }
    let wanted: Vec<_> = told
        .iter()
        .map(|(cue, kind, ids, what, before, after)| {
            let text = |text: &str| text.to_owned();
            (text(cue), *kind, ids.to_vec(), text(what), text(before), text(after))
        })
        .collect();
    assert_eq!(all, wanted);
}

#[test]
fn a_list_is_like_itself() {
    let cues = || vec![cue("1", &[(1, "Pan", "35 deg"), (1, "Shutter", "5 Hz")])];
    assert!(compared(&rig(cues()), &rig(cues())).is_same());
}

#[test]
fn values_that_mean_the_same_are_alike_whatever_they_are() {
    // Shutter 40, 100 and 240 are all open.
    let one = vec![cue("1", &[(1, "Shutter", "40"), (2, "Colour", "3")])];
    let other = vec![cue("1", &[(1, "Shutter", "240"), (2, "Colour", "12")])];
    tells(one, other, &[]);
}

#[test]
fn a_difference_that_goes_on_is_told_once_and_again_when_it_is_another() {
    use DifferenceKind::Channel;
    let with = |pan: &str, then: &str| {
        vec![
            cue("1", &[(1, "Pan", pan), (2, "Pan", pan)]),
            cue("2", &[(3, "Tilt", "5 deg")]),
            cue("3", &[(1, "Pan", then)]),
            cue("4", &[(1, "Pan", "0 deg"), (2, "Pan", "0 deg")]),
        ]
    };
    tells(
        with("35 deg", "10 deg"),
        with("30 deg", "20 deg"),
        &[
            ("1", Channel, &[1, 2], "Pan", "35.00 deg", "30.00 deg"),
            ("3", Channel, &[1], "Pan", "10.00 deg", "20.00 deg"),
        ],
    );
}

#[test]
fn a_head_that_gives_light_on_one_side_alone_is_told() {
    use DifferenceKind::{Channel, Light};
    let open = |percent: &str| vec![cue("1", &[(1, "Shutter", "open"), (1, "Dimmer", percent)])];
    tells(
        open("100 %"),
        open("0 %"),
        &[
            ("1", Light, &[1], "light", "lit", "dark"),
            ("1", Channel, &[1], "Dimmer", "100.0 %", "0.0 %"),
        ],
    );
}

#[test]
fn times_movements_and_cues_that_are_missing_are_told() {
    use DifferenceKind::{Cue as Missing, Movement as Moves, Timing};
    let swing = Movement {
        fixtures: vec![1, 2],
        kind: MovementKind::Circle,
        wave: Wave::Sine,
        hz: 0.5,
        size: 10.0,
        spread: 0.0,
    };
    let mut one = cue("1", &[(1, "Pan", "35 deg")]);
    let mut other = one.clone();
    one.times.all = Time { fade_s: 2.0, delay_s: 0.0 };
    other.times.all = Time { fade_s: 3.0, delay_s: 0.5 };
    other.movements.push(swing);
    let mut extra = cue("1.5", &[]);
    extra.name = "Breath".to_owned();
    tells(
        vec![one],
        vec![other, extra],
        &[
            ("1", Timing, &[], "times", "2 s", "3 s after 0.5 s"),
            ("1", Moves, &[], "movements begin", "", "1, 2: circle of 10 deg, 0.5 Hz, all alike"),
            ("1.5", Missing, &[], "cue", "", "cue 1.5 \"Breath\""),
        ],
    );
}

#[test]
fn rigs_that_differ_are_told_apart_from_the_cues() {
    let one = rig(vec![cue("1", &[(1, "Pan", "35 deg")])]);
    let mut other = one.clone();
    other.rig.remove(4);
    other.rig[0].at.z += 1.0;
    let comparison = compared(&one, &other);
    let whole: Vec<_> =
        comparison.whole.iter().map(|of| (of.what.as_str(), of.fixtures.clone())).collect();
    assert_eq!(whole, [("place", vec![1]), ("model", vec![9])]);
    assert!(comparison.cues.is_empty());
}

#[test]
fn another_model_is_compared_by_what_it_does() {
    let one = rig(vec![cue("1", &[(1, "Pan", "35 deg"), (1, "Zoom", "24 deg")])]);
    let mut other = one.clone();
    other.rig[0] = fixture(&birch(), 1, 1);
    let comparison = compared(&one, &other);
    // Both pan by degrees in 16 bits and zoom by degrees, in other slots and the other way round.
    let of_cue = comparison.cues.iter().flat_map(|cue| &cue.differences);
    let channels: Vec<&str> =
        of_cue.filter(|of| of.kind == DifferenceKind::Channel).map(|of| of.what.as_str()).collect();
    assert!(!channels.contains(&"Pan") && !channels.contains(&"Zoom"), "{channels:?}");
}

fn sheet(cues: Vec<Cue>) -> CueSheet {
    cue_sheet(&rig(cues), 0, false).unwrap()
}

#[track_caller]
fn does(sheet: &CueSheet, cue: usize, lines: &[&str]) {
    let told: Vec<String> = sheet.rows[cue].lines.iter().map(SheetLine::whole).collect();
    assert_eq!(told, lines);
}

#[test]
fn fixtures_that_do_the_same_stand_together() {
    let of = |id| [(id, "Pan", "35 deg"), (id, "Colour", "20"), (id, "Dimmer", "60 %")];
    let mut changes: Vec<(FixtureId, &str, &str)> = [1, 2, 3].into_iter().flat_map(of).collect();
    changes.push((2, "Tilt", "-10 deg"));
    changes.push((4, "Dimmer", "60 %"));
    let sheet = sheet(vec![cue("1", &changes)]);
    let told: Vec<String> = sheet.rows[0].lines.iter().map(SheetLine::whole).collect();
    assert_eq!(told[0], "1 to 3: pan 35 deg, c1");
    assert_eq!(told[1], "1 to 4: 60 %");
    assert_eq!(told[2], "2: tilt -10 deg");
}

#[test]
fn many_values_of_one_thing_are_told_from_end_to_end() {
    let pans = [(1, "-30 deg"), (2, "-10 deg"), (3, "10 deg"), (4, "30 deg")];
    let changes = pans.map(|(id, pan)| (id, "Pan", pan));
    does(&sheet(vec![cue("1", &changes)]), 0, &["1 to 4: pan -30 deg to 30 deg, each its own"]);
    does(&sheet(vec![cue("1", &changes[..2])]), 0, &["1: pan -30 deg", "2: pan -10 deg"]);
}

#[test]
fn what_is_said_again_is_counted_and_what_is_said_of_nothing_is_too() {
    let cues = vec![
        cue("1", &[(1, "Dimmer", "60 %")]),
        cue("2", &[(1, "Dimmer", "60 %"), (1, "Pan", "10 deg")]),
        cue("3", &[]),
    ];
    let sheet = sheet(cues);
    does(&sheet, 1, &["1: pan 10 deg", "1 value is set to what it stands at"]);
    does(&sheet, 2, &["changes nothing"]);
}

#[test]
fn only_heads_whose_light_flashes_carry_a_caution() {
    let flash =
        |level: &str| vec![cue("1", &[(1, "Shutter", "strobe: 5 Hz"), (1, "Dimmer", level)])];
    assert!(sheet(flash("0 %")).rows[0].flashes.is_empty());
    let lit = sheet(flash("100 %"));
    assert_eq!(lit.rows[0].lit, [1]);
    let caution = lit.rows[0].flashes[0].whole();
    assert!(caution.starts_with("1: flashes ") && caution.ends_with("times a second"), "{caution}");
}

/// Above three flashes a second (WCAG 2.2, 2.3.1) a level that comes and goes is one of them.
#[test]
fn a_level_that_comes_and_goes_fast_carries_a_caution() {
    let with = |hz| {
        let mut cue = cue("1", &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")]);
        let (kind, wave) = (MovementKind::Level, Wave::Square);
        cue.movements =
            vec![Movement { fixtures: vec![1], kind, wave, hz, size: 90.0, spread: 0.0 }];
        sheet(vec![cue])
    };
    assert!(with(3.0).rows[0].flashes.is_empty());
    let caution = with(-3.5).rows[0].flashes[0].whole();
    assert_eq!(caution, "1: its level comes and goes 3.5 times a second");
}
