//! Cues of a fixture that changes to another mode or model keep what they mean.

use std::collections::BTreeMap;
use std::sync::Arc;

use slotwright::check::change::{CueRow, Outcome, change, edits};
use slotwright::cue::{
    Compiled, Cue, CueList, Cues, Movement, MovementKind, Reference, Tracks, Value, Wave,
};
use slotwright::decode::{Asked, Plan};
use slotwright::profile::Profile;
use slotwright::show::{Document, Show};
use slotwright::stage::Room;
use slotwright::wire::Frames;

use super::cue;
use crate::heads::{alder, birch, elm, fixture};

fn show(profile: Arc<Profile>, cues: Vec<Cue>) -> Show {
    let rig = vec![fixture(&profile, 1, 1), fixture(&profile, 2, 101)];
    let list = CueList { name: "Main".to_owned(), cues, ..CueList::default() };
    let mut reference = Reference { name: "side".to_owned(), ..Reference::default() };
    reference.all.insert("Pan".to_owned(), "30 deg".parse().expect("it is a value"));
    Show {
        name: "Neutral".to_owned(),
        notes: String::new(),
        room: Room::default(),
        profiles: BTreeMap::from([(profile.key().0, profile)]),
        profile_files: Vec::new(),
        rig,
        looks: Vec::new(),
        levels: Frames::default(),
        cues: Cues {
            lists: vec![list],
            references: vec![reference],
            accepted: Vec::new(),
            watches: Vec::new(),
        },
    }
}

/// The show with fixture 1 changed, what is told of its cues, and that one undo takes all of it back.
fn changed(show: &Show, after: &Arc<Profile>, mode: &str) -> (Show, Vec<CueRow>) {
    let mut before = show.clone();
    before.profiles.insert(after.key().0, after.clone());
    let mut document = Document::new(before.clone(), None);
    let rows = change(&before, &[0], after, mode, &[]).expect("it can be done").remove(0).cues;
    let gesture = document.new_gesture();
    for edit in edits(&before, &[0], after, mode).expect("it can be done") {
        document.apply(edit, Some(gesture)).expect("it can be done");
    }
    let new = document.show().clone();
    document.undo();
    assert_eq!(document.show(), &before);
    (new, rows)
}

fn given(show: &Show, cue: usize) -> BTreeMap<String, String> {
    let channels = show.cues.lists[0].cues[cue].changes.get(&1).into_iter().flatten();
    channels.map(|(channel, value)| (channel.clone(), value.to_string())).collect()
}

/// What a fixture is asked for at each cue of a list.
fn asked(show: &Show, list: usize, place: usize) -> Vec<Asked> {
    let plan = Plan::new(&show.rig, &show.profiles);
    let tracks = Arc::new(Tracks::new(&plan));
    let compiled = Compiled::new(&show.cues, list, &show.rig, &plan, &tracks);
    assert_eq!(compiled.unresolved, Vec::new());
    let mut frames = tracks.at_rest();
    let at = |of: &slotwright::cue::CompiledCue| {
        for one in &of.moves {
            tracks.put(one.track, one.to, &mut frames);
        }
        let mut decoded = plan.start();
        plan.decode(&frames, &mut decoded);
        plan.reading(place, &frames, &decoded).expect("it can be read").asked()
    };
    compiled.cues.iter().map(at).collect()
}

/// worked example: ELM-28 has every channel of ELM-20 under the same name, eight slots further on.
#[test]
fn words_stay_where_the_other_mode_has_the_channel() {
    let cues = vec![
        cue(
            "1",
            &[
                (1, "Pan", "like side"),
                (1, "Dimmer", "60 %"),
                (1, "Colour", "c3"),
                (2, "Pan", "5 deg"),
            ],
        ),
        cue("2", &[(1, "Shutter", "pulse: 2 Hz"), (1, "Tilt", "#40000"), (1, "Gobo", "70")]),
    ];
    let show = show(elm(), cues);
    let (after, rows) = changed(&show, &elm(), "ELM-28");
    assert_eq!(after.rig[0].mode, "ELM-28");
    assert_eq!(after.cues, show.cues, "not a word is different");
    assert_eq!(rows, Vec::new());
    // The longer mode has blades beside.
    let of = |show: &Show| -> Vec<_> {
        asked(show, 0, 0).into_iter().map(|a| (a.pan, a.tilt, a.cells, a.wheels)).collect()
    };
    assert_eq!(of(&after), of(&show));
}

/// worked example: ALDER-16 has a dimmer, a shutter and a colour wheel, BIRCH-12 four emitters and a strobe.
#[test]
fn a_white_head_that_becomes_one_of_emitters_keeps_its_light() {
    let cues = vec![
        cue(
            "1",
            &[
                (1, "Pan", "like side"),
                (1, "Dimmer", "50 %"),
                (1, "Shutter", "open"),
                (1, "Gobo", "g2"),
            ],
        ),
        cue("2", &[(1, "Shutter", "closed")]),
        cue("3", &[(1, "Shutter", "strobe: 10 Hz"), (1, "Colour", "c1"), (1, "Pan", "-20 deg")]),
    ];
    let show = show(alder(), cues);
    let (after, rows) = changed(&show, &birch(), "12");
    let first = given(&after, 0);
    assert_eq!((first["Pan"].as_str(), first["Strobe"].as_str()), ("like side", "open"));
    assert_eq!((first["Red"].as_str(), first["White"].as_str()), ("50 %", "50 %"));
    assert!(!first.contains_key("Gobo") && !first.contains_key("Dimmer"));
    assert_eq!(given(&after, 1)["Strobe"], "closed");
    let third = given(&after, 2);
    assert_eq!(third["Pan"], "-20 deg");
    assert!(third["Strobe"].ends_with(" Hz"), "{third:?}");
    assert!(
        third.contains_key("Green") && !third.contains_key("Red"),
        "red stays as it was: {third:?}"
    );
    let told = |channel: &str| rows.iter().find(|row| row.channel == channel).unwrap();
    assert_eq!((told("Gobo").outcome, told("Gobo").value.as_str()), (Outcome::Lost, "g2"));
    assert_eq!(told("Gobo").cue, "cue 1");
    assert_eq!(told("Shutter").to, [("Strobe".to_owned(), "open".to_owned())]);
    assert!(rows.iter().all(|row| row.channel != "Pan"), "its words stayed");
    // And it is lit to the same level: dark where it was dark.
    let lit =
        |asked: &Asked| matches!(asked.cells[0].shutter, slotwright::decode::ShutterAsk::Shut);
    let dark: Vec<bool> = asked(&after, 0, 0).iter().map(lit).collect();
    assert_eq!(dark, [false, true, false]);
}

/// worked example: BIRCH-12 rests open, ALDER-16 closed and with its dimmer down.
#[test]
fn what_the_other_head_needs_beside_is_added_to_the_first_cue() {
    let show = show(
        birch(),
        vec![
            cue("1", &[(1, "Red", "40 %"), (1, "Blue", "80 %")]),
            cue("2", &[(1, "Zoom", "20 deg")]),
        ],
    );
    let (after, _) = changed(&show, &alder(), "16");
    let first = given(&after, 0);
    assert_eq!((first["Dimmer"].as_str(), first["Shutter"].as_str()), ("80 %", "open"));
    assert_eq!(
        given(&after, 1).into_iter().collect::<Vec<_>>(),
        [("Zoom".to_owned(), "20 deg".to_owned())]
    );
}

#[test]
fn a_raw_value_is_raw_afterwards() {
    let show = show(alder(), vec![cue("1", &[(1, "Shutter", "10"), (1, "Zoom", "64")])]);
    let (after, _) = changed(&show, &birch(), "12");
    // Closed at 5..9, and the zoom runs the other way: 255 - 64.
    let first = given(&after, 0);
    assert_eq!((first["Strobe"].as_str(), first["Zoom"].as_str()), ("#5", "#191"));
}

#[test]
fn a_movement_goes_to_the_channel_that_does_the_same_if_all_that_move_change() {
    let movement = |fixtures: Vec<u32>| Movement {
        fixtures,
        kind: MovementKind::Channel("Shutter".to_owned()),
        wave: Wave::Square,
        hz: 0.5,
        size: 5.0,
        spread: 0.0,
    };
    let mut one = cue("1", &[(1, "Shutter", "open")]);
    one.movements = vec![movement(vec![1]), movement(vec![1, 2])];
    let show = show(alder(), vec![one]);
    let (after, rows) = changed(&show, &birch(), "12");
    let kinds: Vec<&MovementKind> =
        after.cues.lists[0].cues[0].movements.iter().map(|movement| &movement.kind).collect();
    let channel = |name: &str| MovementKind::Channel(name.to_owned());
    assert_eq!(kinds, [&channel("Strobe"), &channel("Shutter")]);
    assert_eq!(rows.last().unwrap().outcome, Outcome::Lost);
}

/// Every fixture of the demo, in every mode of its profile: what cues ask of the aim is the same.
#[test]
fn the_cues_of_the_demo_aim_the_same_in_every_mode() {
    let show = slotwright::show::demo_show(&|_| true).unwrap();
    for (place, fixture) in show.rig.iter().enumerate() {
        let profile = show.profiles[&fixture.profile].clone();
        for mode in profile.modes.iter().filter(|mode| mode.name != fixture.mode) {
            let mut show = show.clone();
            // Alone in its universe it fits whatever the mode takes.
            show.rig.retain(|other| other.id == fixture.id);
            let Ok(edits) = edits(&show, &[0], &profile, &mode.name) else { continue };
            let mut document = Document::new(show.clone(), None);
            for edit in edits {
                document.apply(edit, None).unwrap();
            }
            for list in 0..show.cues.lists.len() {
                let of = |show: &Show| -> Vec<_> {
                    let mut show = show.clone();
                    for cue in show.cues.lists.iter_mut().flat_map(|list| &mut list.cues) {
                        cue.changes.retain(|id, _| *id == fixture.id);
                        cue.movements.clear();
                        cue.still.clear();
                    }
                    asked(&show, list, 0).into_iter().map(|asked| (asked.pan, asked.tilt)).collect()
                };
                let (was, is) = (of(&show), of(document.show()));
                let near = |(a, b): (&(_, _), &(_, _))| {
                    let deg = |ask: &_| match ask {
                        slotwright::decode::AxisAsk::To { deg } => Some(*deg),
                        _ => None,
                    };
                    // A coarse channel of 540 degrees has steps of 2.1.
                    let same = |a: &_, b: &_| match (deg(a), deg(b)) {
                        (Some(a), Some(b)) => (a - b).abs() < 2.2,
                        _ => a == b,
                    };
                    same(&a.0, &b.0) && same(&a.1, &b.1)
                };
                assert!(
                    was.iter().zip(&is).all(near),
                    "fixture {place} in {}: {was:?} {is:?}",
                    mode.name
                );
            }
        }
    }
}

/// A value for a channel that there never was stays: it is told of as such before and afterwards.
#[test]
fn what_never_resolved_is_left_alone() {
    let show = show(
        alder(),
        vec![cue("1", &[(1, "Smoke", "amber"), (1, "Gobo", "g2"), (1, "Dimmer", "1 %")])],
    );
    let (after, _) = changed(&show, &birch(), "12");
    assert_eq!(after.cues.lists[0].cues[0].changes[&1]["Smoke"], Value::Name("amber".to_owned()));
}
