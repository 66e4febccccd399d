//! Lists that are changed while they play, and jumps in lists that move dark heads ahead.

use slotwright::cue::{
    CueList, DarkMoves, Movement, MovementKind, Next, Player, Time, Times, Value, Wave,
};

use super::{Rehearsal, cue};

fn all(fade_s: f64) -> Times {
    Times { all: Time { fade_s, delay_s: 0.0 }, ..Times::default() }
}

/// Two cues, the second of which fades a dimmer to full in 10 s and swings a head.
fn rehearsal() -> Rehearsal {
    let mut second = cue("2", &[(1, "Dimmer", "100 %"), (2, "Colour", "c3")]);
    second.times = all(10.0);
    second.movements.push(Movement {
        fixtures: vec![2],
        kind: MovementKind::Pan,
        wave: Wave::Sine,
        hz: 0.3,
        size: 20.0,
        spread: 0.0,
    });
    Rehearsal::of(vec![cue("1", &[(1, "Dimmer", "0 %"), (2, "Pan", "10 deg")]), second])
}

/// A player that is four seconds into its second cue.
fn under_way(rehearsal: &Rehearsal) -> Player {
    let mut player = rehearsal.player(0);
    assert!(player.go(0.0) && player.go(1.0));
    player.advance(5.0);
    player
}

/// Everything that the list has its tracks at.
fn values(rehearsal: &Rehearsal, player: &Player, t_s: f64) -> Vec<Option<u32>> {
    (0..rehearsal.tracks.len())
        .map(|track| player.value(track, t_s).map(|(value, _)| value))
        .collect()
}

#[test]
fn whatever_an_edit_does_not_concern_goes_on_as_if_there_had_been_none() {
    let mut rehearsal = rehearsal();
    let old = under_way(&rehearsal);
    // Another name, a cue in between, one behind, and another number for the one that is on.
    let cues = &mut rehearsal.cues.lists[0].cues;
    cues[1].name = "Dawn".to_owned();
    cues.insert(1, cue("1.5", &[]));
    cues.push(cue("3", &[(1, "Dimmer", "0 %")]));
    let new = old.carried(&rehearsal.compiled(0), 5.0);
    assert_eq!((old.at(), new.at()), (Some(1), Some(2)), "the same cue in another place");
    for t_s in [5.0, 5.1, 7.3, 11.0, 20.0] {
        assert_eq!(values(&rehearsal, &old, t_s), values(&rehearsal, &new, t_s), "{t_s}");
    }
    let cues = &mut rehearsal.cues.lists[0].cues;
    cues[2].number = "2.25".parse().expect("a number");
    let renumbered = new.carried(&rehearsal.compiled(0), 6.0);
    assert_eq!(renumbered.at(), Some(2));
    assert_eq!(values(&rehearsal, &old, 7.3), values(&rehearsal, &renumbered, 7.3));
}

#[test]
fn what_is_changed_of_the_cue_that_is_on_takes_what_is_left_of_its_fade() {
    let mut rehearsal = rehearsal();
    let old = under_way(&rehearsal);
    let dimmer = rehearsal.track(1, "Dimmer");
    let value = |player: &Player, t_s: f64| player.value(dimmer, t_s).expect("it is driven").0;
    // Four of ten seconds.
    assert_eq!(value(&old, 5.0), 102);
    let given = rehearsal.cues.lists[0].cues[1].changes.get_mut(&1).expect("it is given");
    given.insert("Dimmer".to_owned(), "0 %".parse::<Value>().expect("a value"));
    let new = old.carried(&rehearsal.compiled(0), 5.0);
    assert_eq!(value(&new, 5.0), 102, "no jump");
    assert_eq!(value(&new, 8.0), 51, "half of the six seconds that are left");
    assert_eq!(value(&new, 11.0), 0);
    // Once it has faded, what is changed is there at once.
    let late = new.carried(&rehearsal.compiled(0), 12.0);
    let given = rehearsal.cues.lists[0].cues[1].changes.get_mut(&1).expect("it is given");
    given.insert("Dimmer".to_owned(), "50 %".parse::<Value>().expect("a value"));
    let late = late.carried(&rehearsal.compiled(0), 12.5);
    assert_eq!(value(&late, 12.5), 128);
}

#[test]
fn a_movement_whose_rate_changes_goes_on_where_it_is() {
    let mut rehearsal = rehearsal();
    let mut old = rehearsal.player(0);
    assert!(old.go(0.0) && old.go(1.0));
    old.advance(14.0);
    let pan = rehearsal.track(2, "Pan");
    let value = |player: &Player, t_s: f64| player.value(pan, t_s).expect("it is driven").0;
    let before = value(&old, 14.0);
    rehearsal.cues.lists[0].cues[1].movements[0].hz = 1.7;
    let new = old.carried(&rehearsal.compiled(0), 14.0);
    assert!(value(&new, 14.0).abs_diff(before) <= 1, "{before} to {}", value(&new, 14.0));
    assert_ne!(value(&new, 14.1), value(&old, 14.1), "and from there at its new rate");
    // The list lets go of a movement: the head stands where the cues have it.
    rehearsal.cues.lists[0].cues[1].movements.clear();
    let still = new.carried(&rehearsal.compiled(0), 15.0);
    assert_eq!(value(&still, 30.0), value(&still, 31.0));
}

#[test]
fn a_next_cue_that_would_have_been_due_counts_from_the_edit_on() {
    let mut rehearsal = rehearsal();
    rehearsal.cues.lists[0].cues.push(cue("3", &[(1, "Dimmer", "0 %")]));
    let mut old = rehearsal.player(0);
    assert!(old.go(0.0) && old.go(1.0));
    old.advance(60.0);
    rehearsal.cues.lists[0].cues[1].next = Next::Wait(5.0);
    let mut new = old.carried(&rehearsal.compiled(0), 60.0);
    new.advance(64.9);
    assert_eq!(new.at(), Some(1));
    new.advance(65.0);
    assert_eq!(new.at(), Some(2));
}

#[test]
fn a_paused_list_stays_paused_and_keeps_its_pace() {
    let rehearsal = rehearsal();
    let mut old = under_way(&rehearsal);
    old.set_rate(2.0, 5.0);
    old.set_paused(true, 6.0);
    let mut new = old.carried(&rehearsal.compiled(0), 7.0);
    assert!(new.is_paused());
    assert_eq!(values(&rehearsal, &old, 7.0), values(&rehearsal, &new, 150.0));
    new.set_paused(false, 8.0);
    old.set_paused(false, 8.0);
    assert_eq!(new.rate(), 2.0);
    assert_eq!(values(&rehearsal, &old, 8.5), values(&rehearsal, &new, 8.5));
}

#[test]
fn a_cue_that_goes_leaves_the_stage_to_the_one_before() {
    let mut rehearsal = rehearsal();
    let old = under_way(&rehearsal);
    rehearsal.cues.lists[0].cues.truncate(1);
    let new = old.carried(&rehearsal.compiled(0), 5.0);
    assert_eq!(new.at(), Some(0));
    let dimmer = rehearsal.track(1, "Dimmer");
    assert_eq!(new.value(dimmer, 5.0).map(|(value, _)| value), Some(0));
    rehearsal.cues.lists[0].cues.clear();
    let none = new.carried(&rehearsal.compiled(0), 6.0);
    assert_eq!(none.at(), None);
    assert!(none.value(dimmer, 6.0).is_none());
}

/// A head goes dark in cue 2 and is lit elsewhere in cue 4: whoever jumps to cue 3 finds it there already.
#[test]
fn a_jump_keeps_heads_that_were_moved_ahead() {
    let cues = vec![
        cue("1", &[(1, "Dimmer", "100 %"), (1, "Shutter", "open"), (1, "Pan", "0 deg")]),
        cue("2", &[(1, "Dimmer", "0 %")]),
        cue("3", &[(2, "Dimmer", "50 %")]),
        cue("4", &[(1, "Dimmer", "100 %"), (1, "Pan", "90 deg")]),
    ];
    let mut main = CueList { name: "Main".to_owned(), cues, ..CueList::default() };
    main.dark_moves = Some(DarkMoves { fade_s: 1.0 });
    let rehearsal = Rehearsal::with(vec![main]);
    let pan = rehearsal.track(1, "Pan");
    let mut run = rehearsal.player(0);
    assert!((0..4).all(|cue| run.go(f64::from(cue) * 10.0)));
    let there = run.value(pan, 60.0).expect("it is driven").0;
    for cue in [1, 2] {
        let mut jumped = rehearsal.player(0);
        assert!(jumped.jump(0, 0.0) && jumped.jump(cue, 10.0));
        assert_eq!(jumped.value(pan, 30.0).expect("it is driven").0, there, "cue {cue}");
        assert_eq!(jumped.at(), Some(cue));
    }
    // Back to where it is lit, it points where that cue has it.
    let mut jumped = rehearsal.player(0);
    assert!(jumped.jump(2, 0.0) && jumped.jump(0, 10.0));
    assert_ne!(jumped.value(pan, 30.0).expect("it is driven").0, there);
    assert!(rehearsal.compiled(0).standing(2)[pan].is_some_and(|standing| standing.to() == there));
}
