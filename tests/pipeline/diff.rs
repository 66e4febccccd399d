//! What differs between two standings of a rig. Worked examples on neutral heads.

use slotwright::check::compare::DifferenceKind;
use slotwright::check::diff::{Diff, Side, Standing, diff, stand};
use slotwright::decode::Plan;
use slotwright::show::{Look, Show};
use slotwright::wire::{Frames, Slot, Universe};

use crate::heads::{ALDER_LIT, alder, fixture};
use crate::rehearse::{show, timed};

fn lit(slots: &[(u16, u8)]) -> Frames {
    let mut frames = Frames::default();
    for (nth, value) in ALDER_LIT.iter().enumerate() {
        frames.set(Universe::ONE, Slot::from_index(nth).expect("16 slots"), *value);
    }
    for (slot, value) in slots {
        frames.set(Universe::ONE, Slot::new(*slot).expect("a slot"), *value);
    }
    frames
}

/// One ALDER-16 with two looks and a list of two cues.
fn one() -> Show {
    let cues = vec![
        timed("1", 0.0, &[(1, "Dimmer", "100 %"), (1, "Shutter", "open")]),
        timed("2", 2.0, &[(1, "Dimmer", "0 %"), (1, "Pan", "90 deg")]),
    ];
    let look = |name: &str, frames| Look { name: name.to_owned(), note: String::new(), frames };
    let looks = vec![look("Lit", lit(&[])), look("Shut", lit(&[(7, 0), (100, 9)]))];
    Show { looks, levels: lit(&[]), ..show(&[alder()], vec![fixture(&alder(), 1, 1)], cues) }
}

#[track_caller]
fn between(a: &str, b: &str) -> Diff {
    let show = one();
    let plan = Plan::new(&show.rig, &show.profiles);
    let side = |word: &str| -> Standing {
        let side = Side::parse(word).unwrap_or_else(|error| panic!("{error}"));
        stand(&show, &plan, &side).unwrap_or_else(|error| panic!("{error}"))
    };
    diff(&show, &plan, &side(a), &side(b))
}

#[test]
fn the_same_differs_in_nothing() {
    for side in ["look:Lit", "levels", "cue:Main/2", "at:Main/1.5s", "slots:1/6=9"] {
        assert!(between(side, side).is_same(), "{side}");
    }
    assert!(between("look:Lit", "levels").is_same());
}

#[test]
fn looks_differ_in_slots_and_in_what_they_mean() {
    let found = between("look:Lit", "look:Shut");
    let slots: Vec<_> = found.slots.iter().map(|s| (s.slot, s.before, s.after)).collect();
    assert_eq!(slots, [(7, Some(40), Some(0)), (100, None, Some(9))]);
    assert!(found.slots[0].of.ends_with("Shutter"), "{:?}", found.slots[0]);
    assert_eq!(found.slots[1].of, "");
    let shutter = found.fixtures.iter().find(|d| d.what == "Shutter").expect("it differs");
    assert_eq!((shutter.kind, shutter.fixtures.as_slice()), (DifferenceKind::Channel, &[1][..]));
    let light = found.fixtures.iter().find(|d| d.kind == DifferenceKind::Light).expect("light");
    assert_eq!((light.before.as_deref(), light.after.as_deref()), (Some("lit"), Some("dark")));
}

#[test]
fn cues_are_compared_once_all_has_faded() {
    let found = between("cue:Main/1", "cue:2");
    let of = |what: &str| found.fixtures.iter().find(|d| d.what == what);
    assert!(of("Dimmer").is_some() && of("Pan").is_some(), "{:#?}", found.fixtures);
    assert!(of("Shutter").is_none());
    assert!(found.sides.0.contains("cue 1") && found.sides.1.contains("cue 2"));
}

#[test]
fn an_instant_on_the_way_is_told_by_what_heads_do() {
    // Cue 1 stands for 3 s; a second later cue 2 is half way down.
    let found = between("cue:Main/2", "at:Main/4s");
    let light = found.fixtures.iter().find(|d| d.what == "light now").expect("it is on its way");
    assert_eq!(light.kind, DifferenceKind::Now);
    assert_eq!(light.before.as_deref(), Some("0 %"));
    assert!(found.fixtures.iter().any(|d| d.what == "pan axis now"), "{:#?}", found.fixtures);
}

#[test]
fn sides_that_are_not_there_are_told_with_what_is() {
    let show = one();
    let plan = Plan::new(&show.rig, &show.profiles);
    let error = |word: &str| {
        let side = match Side::parse(word) {
            Ok(side) => side,
            Err(error) => return error.to_string(),
        };
        stand(&show, &plan, &side).expect_err("it is not there").to_string()
    };
    for (word, part) in [
        ("look:Lti", "did you mean `Lit`?"),
        ("cue:Main/9", "it has `1`, `2`"),
        ("cue:Mani/1", "did you mean `Main`?"),
        ("cue:Main/x", "no number of a cue"),
        ("at:Main/-3", "no time"),
        ("at:Main/NaN", "no time"),
        ("at:soon", "no time"),
        ("slots:1/513=3", "sets no slot"),
        ("slots:", "sets no slot"),
        ("slots:0/1=3", "sets no slot"),
    ] {
        assert!(error(word).contains(part), "{word}: {}", error(word));
    }
    assert_eq!(Side::parse("a/b.txt"), Ok(Side::File("a/b.txt".to_owned())));
    assert_eq!(Side::parse("C:\\x"), Ok(Side::File("C:\\x".to_owned())));
}
