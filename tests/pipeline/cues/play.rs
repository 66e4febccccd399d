//! What is played: tracking against a list worked by hand, times, and who wins between lists.

use slotwright::cue::{
    Cue, CueList, DarkMoves, FadeCurve, Loop, Movement, MovementKind, Next, Part, Reference,
    SnapAt, Time, Times, Value, Wave,
};

use super::{Rehearsal, cue};

fn list(name: &str, cues: Vec<Cue>) -> CueList {
    CueList { name: name.to_owned(), cues, ..CueList::default() }
}

fn all(fade_s: f64) -> Times {
    Times { all: Time { fade_s, delay_s: 0.0 }, ..Times::default() }
}

/// Worked by hand: a dimmer that cue 1 sets and cue 3 changes stands through cue 2 as cue 1 had it; a jump
/// to any cue gives what running to it gives.
#[test]
fn what_a_cue_does_not_change_goes_on_as_it_was() {
    let rehearsal = Rehearsal::of(vec![
        cue("1", &[(1, "Dimmer", "50 %"), (1, "Shutter", "open")]),
        cue("2", &[(2, "Dimmer", "100 %")]),
        cue("3", &[(1, "Dimmer", "0 %")]),
        cue("4", &[(2, "Colour", "c3")]),
    ]);
    let (one, two) = (rehearsal.track(1, "Dimmer"), rehearsal.track(2, "Dimmer"));
    let table = [(128, 0), (128, 255), (0, 255), (0, 255)];
    let mut player = rehearsal.player(0);
    for (place, (first, second)) in table.into_iter().enumerate() {
        assert!(player.go(place as f64));
        let value = |player: &slotwright::cue::Player, track| {
            player.value(track, 9.0).map(|(value, _)| value)
        };
        assert_eq!(value(&player, one), Some(first));
        assert_eq!(value(&player, two).unwrap_or(0), second);
        let mut jumped = rehearsal.player(0);
        assert!(jumped.jump(place, 0.0));
        assert_eq!(value(&jumped, one), Some(first));
        assert_eq!(value(&jumped, two).unwrap_or(0), second);
    }
    assert!(!player.go(9.0), "there is no cue after the last");
    assert!(player.back(10.0) && player.back(11.0));
    assert_eq!(player.value(one, 20.0).unwrap().0, 128);
    assert_eq!(player.at(), Some(1));
}

#[test]
fn values_keep_their_meaning_whatever_the_channel_counts() {
    let rehearsal = Rehearsal::of(vec![cue(
        "1",
        &[
            (1, "Pan", "35 deg"),
            (3, "Pan", "35 deg"),
            (1, "Shutter", "5 Hz"),
            (3, "Strobe", "5 Hz"),
            (1, "Zoom", "8 deg"),
            (3, "Zoom", "8 deg"),
            (2, "Pan", "#15656"),
            (2, "Dimmer", "128"),
        ],
    )]);
    let compiled = rehearsal.compiled(0);
    assert_eq!(compiled.unresolved, Vec::new());
    let to = |fixture, channel| {
        let track = rehearsal.track(fixture, channel);
        compiled.cues[0].moves.iter().find(|of| of.track == track).unwrap().to
    };
    // (35 + 270) / 540 of 65 535, rounded.
    assert_eq!((to(1, "Pan"), to(3, "Pan")), (37_015, 37_015));
    // ALDER: 64..95 is 1..20 Hz; BIRCH: 10..199 is 0.5..25 Hz.
    assert_eq!((to(1, "Shutter"), to(3, "Strobe")), (71, 45));
    assert_eq!((to(1, "Zoom"), to(3, "Zoom")), (0, 255));
    assert_eq!((to(2, "Pan"), to(2, "Dimmer")), (15_656, 128));
}

#[test]
fn what_cannot_be_resolved_is_told_with_its_place() {
    let rehearsal = Rehearsal::of(vec![cue(
        "7",
        &[
            (1, "Pan", "900 deg"),
            (1, "Pann", "0 deg"),
            (9, "Pan", "0 deg"),
            (1, "Colour", "like none"),
        ],
    )]);
    let compiled = rehearsal.compiled(0);
    let told: Vec<String> =
        compiled.unresolved.iter().map(|unresolved| unresolved.finding.to_string()).collect();
    for part in [
        "cue 7, fixture 1 \"head 1\", channel \"Pan\": error: `900 deg` is out of reach",
        "did you mean `Pan`?",
        "there is no fixture 9",
        "there is no reference `none`",
    ] {
        assert!(told.iter().any(|told| told.contains(part)), "{part}: {told:#?}");
    }
    assert!(compiled.cues[0].moves.is_empty());
}

#[test]
fn references_are_shared_and_may_differ_from_head_to_head() {
    let mut rehearsal = Rehearsal::of(vec![cue(
        "1",
        &[(1, "Pan", "like centre"), (2, "Pan", "like centre"), (1, "Colour", "like warm")],
    )]);
    let value = |text: &str| text.parse::<Value>().unwrap();
    let mut centre = Reference { name: "centre".to_owned(), ..Reference::default() };
    centre.all.insert("Pan".to_owned(), value("10 deg"));
    centre.own.entry(2).or_default().insert("Pan".to_owned(), value("-10 deg"));
    let mut warm = Reference { name: "warm".to_owned(), ..Reference::default() };
    warm.all.insert("Colour".to_owned(), value("c4"));
    rehearsal.cues.references = vec![centre, warm];
    let compiled = rehearsal.compiled(0);
    assert_eq!(compiled.unresolved, Vec::new());
    let to: Vec<u32> = compiled.cues[0].moves.iter().map(|of| of.to).collect();
    // 280 / 540 and 260 / 540 of 65 535; c4 begins at 64.
    assert_eq!(to, [33_981, 64, 31_554]);
}

/// Each part of a cue takes its own time; levels that rise another than those that fall.
#[test]
fn parts_take_their_own_times() {
    let mut second = cue(
        "2",
        &[(1, "Dimmer", "0 %"), (2, "Dimmer", "100 %"), (1, "Pan", "0 deg"), (1, "Zoom", "40 deg")],
    );
    let time = |fade_s, delay_s| Some(Time { fade_s, delay_s });
    second.times = Times {
        all: Time { fade_s: 9.0, delay_s: 0.0 },
        up: time(2.0, 0.0),
        down: time(4.0, 1.0),
        aim: time(1.0, 0.5),
        colour: None,
        beam: time(8.0, 0.0),
    };
    let rehearsal =
        Rehearsal::of(vec![cue("1", &[(1, "Dimmer", "100 %"), (1, "Pan", "-270 deg")]), second]);
    let compiled = rehearsal.compiled(0);
    assert_eq!(compiled.cues[1].takes_s, 8.0);
    let mut player = rehearsal.player(0);
    player.go(0.0);
    player.go(10.0);
    let at = |track, t_s| player.value(track, t_s).unwrap().0;
    assert_eq!(at(rehearsal.track(2, "Dimmer"), 11.0), 128);
    assert_eq!(at(rehearsal.track(1, "Dimmer"), 11.0), 255);
    assert_eq!(at(rehearsal.track(1, "Dimmer"), 13.0), 128);
    assert_eq!(at(rehearsal.track(1, "Pan"), 11.0), 16_384);
    assert_eq!(at(rehearsal.track(1, "Zoom"), 14.0), 128);
}

#[test]
fn channels_that_jump_do_so_when_the_cue_says() {
    for (snap, at_s) in [(SnapAt::Start, 0.0), (SnapAt::Half, 2.0), (SnapAt::End, 4.0)] {
        let mut only = cue("1", &[(1, "Colour", "c7"), (1, "Dimmer", "100 %")]);
        (only.snap, only.times, only.curve) = (snap, all(4.0), FadeCurve::Smooth);
        let rehearsal = Rehearsal::of(vec![only]);
        let mut player = rehearsal.player(0);
        player.go(0.0);
        let colour = rehearsal.track(1, "Colour");
        assert_eq!(player.value(colour, at_s).unwrap().0, 112);
        assert_eq!(player.value(colour, at_s - 0.01).unwrap().0, if at_s > 0.0 { 0 } else { 112 });
        // 3/16 - 2/64 of the way, a quarter into a smooth fade.
        assert_eq!(player.value(rehearsal.track(1, "Dimmer"), 1.0).unwrap().0, 40);
    }
}

/// Highest takes precedence for levels, latest for the rest: the truth table of two lists.
#[test]
fn of_levels_the_highest_counts_and_of_the_rest_the_latest() {
    for (a, b, first, second, level) in
        [(20, 80, "c1", "c2", 80), (80, 20, "c1", "c2", 80), (0, 0, "c2", "c1", 0)]
    {
        let cues = |percent: i32, colour| {
            let percent = format!("{percent} %");
            vec![cue("1", &[(1, "Dimmer", percent.as_str()), (1, "Colour", colour)])]
        };
        let rehearsal =
            Rehearsal::with(vec![list("A", cues(a, first)), list("B", cues(b, second))]);
        let (dimmer, colour) = (rehearsal.track(1, "Dimmer"), rehearsal.track(1, "Colour"));
        let place = |name: &str| if name == "c1" { 16 } else { 32 };
        for (order, latest) in [([0, 1], second), ([1, 0], first)] {
            let mut lists = rehearsal.playbacks();
            for (nth, list) in order.into_iter().enumerate() {
                lists.player_mut(list).unwrap().go(nth as f64);
            }
            assert_eq!(
                lists.value(dimmer, 5.0),
                (f64::from(level) * 2.55_f64 + 0.5).floor() as u32
            );
            assert_eq!(lists.value(colour, 5.0), place(latest));
            // Common practice, no source: under latest-wins a list that goes leaves its values behind.
            lists.release(order[1], 6.0);
            assert_eq!(lists.value(colour, 7.0), place(latest));
            let left = if order[0] == 0 { a } else { b };
            assert_eq!(lists.value(dimmer, 7.0), (f64::from(left) * 2.55_f64 + 0.5).floor() as u32);
        }
    }
}

#[test]
fn the_grand_level_scales_levels_only_and_a_flash_is_at_once() {
    let mut slow = cue("1", &[(1, "Dimmer", "100 %"), (1, "Zoom", "40 deg"), (3, "Red", "100 %")]);
    slow.times = all(10.0);
    let rehearsal = Rehearsal::of(vec![slow]);
    let mut lists = rehearsal.playbacks();
    let (dimmer, red) = (rehearsal.track(1, "Dimmer"), rehearsal.track(3, "Red"));
    lists.set_flashed(0, true);
    assert_eq!((lists.value(dimmer, 0.0), lists.value(red, 0.0)), (255, 255));
    lists.set_flashed(0, false);
    assert_eq!(lists.value(dimmer, 0.0), 0);
    lists.player_mut(0).unwrap().go(0.0);
    lists.set_grand(0.5);
    assert_eq!(lists.value(dimmer, 10.0), 128);
    // Without a dimmer the emitters are the level.
    assert_eq!(lists.value(red, 10.0), 128);
    assert_eq!(lists.value(rehearsal.track(1, "Zoom"), 10.0), 255);
}

/// A dark head is sent ahead as soon as it is dark, so that it stands where the next cue lights it.
#[test]
fn dark_heads_are_moved_ahead_and_lit_ones_are_not() {
    let mut out = cue("2", &[(1, "Dimmer", "0 %")]);
    out.times = all(2.0);
    let cues = vec![
        cue(
            "1",
            &[
                (1, "Dimmer", "100 %"),
                (1, "Shutter", "open"),
                (1, "Pan", "0 deg"),
                (2, "Dimmer", "100 %"),
                (2, "Shutter", "open"),
            ],
        ),
        out,
        cue("3", &[(1, "Dimmer", "100 %"), (1, "Pan", "90 deg"), (2, "Pan", "90 deg")]),
    ];
    let mut main = list("Main", cues);
    main.dark_moves = Some(DarkMoves { fade_s: 1.0 });
    let rehearsal = Rehearsal::with(vec![main]);
    let compiled = rehearsal.compiled(0);
    let pan = rehearsal.track(1, "Pan");
    let ahead = &compiled.cues[1].ahead;
    assert_eq!(ahead.len(), 1, "the second head is lit all the time: {ahead:?}");
    assert_eq!((ahead[0].track, ahead[0].delay_s, ahead[0].for_cue), (pan, 2.0, 2));
    let mut player = rehearsal.player(0);
    player.go(0.0);
    player.go(10.0);
    let quarter = 43_690; // (90 + 270) / 540 of 65 535
    assert_eq!(player.value(pan, 12.0).unwrap().0, 32_768);
    assert_eq!(player.value(pan, 13.0).unwrap().0, quarter);
    player.go(20.0);
    assert_eq!(player.value(pan, 20.0).unwrap().0, quarter);
    // Nothing but aim, colour and beam is moved: what lets light out waits for its cue.
    let parts: Vec<Part> =
        ahead.iter().map(|a| rehearsal.tracks.get(a.track).unwrap().part).collect();
    assert_eq!(parts, [Part::Aim]);
}

#[test]
fn a_circle_is_a_circle_in_degrees_and_ends_with_the_next_change() {
    let mut first = cue("1", &[(1, "Pan", "0 deg"), (1, "Tilt", "30 deg"), (2, "Pan", "0 deg")]);
    let circle = |kind, wave, size, spread| Movement {
        fixtures: vec![1, 2],
        kind,
        wave,
        hz: 0.5,
        size,
        spread,
    };
    first.movements = vec![circle(MovementKind::Circle, Wave::Sine, 20.0, 1.0)];
    let rehearsal = Rehearsal::of(vec![first, cue("2", &[(1, "Pan", "10 deg")])]);
    let mut player = rehearsal.player(0);
    player.go(0.0);
    let deg = |player: &slotwright::cue::Player, fixture, channel, travel: f64, t_s| {
        let (value, _) = player.value(rehearsal.track(fixture, channel), t_s).unwrap();
        f64::from(value) / 65_535.0 * travel - travel / 2.0
    };
    for t_s in [0.0, 0.3, 0.5, 1.1, 7.7] {
        let pan = deg(&player, 1, "Pan", 540.0, t_s);
        let tilt = deg(&player, 1, "Tilt", 270.0, t_s) - 30.0;
        assert!((pan.hypot(tilt) - 20.0).abs() < 0.01, "{pan} {tilt}");
        // Half a turn lies between two heads over which one whole turn is spread.
        assert!((deg(&player, 2, "Pan", 540.0, t_s) + pan).abs() < 0.02);
    }
    player.go(8.0);
    assert!((deg(&player, 1, "Pan", 540.0, 8.1) - 10.0).abs() < 0.01);
    assert!((deg(&player, 1, "Tilt", 270.0, 8.2) - 30.0).abs() > 1.0, "tilt goes on");
}

#[test]
fn a_level_wave_stays_between_the_level_and_what_it_falls_to() {
    let mut first = cue("1", &[(1, "Dimmer", "80 %"), (3, "Red", "80 %")]);
    let wave = Movement {
        fixtures: vec![1, 3],
        kind: MovementKind::Level,
        wave: Wave::Square,
        hz: 1.0,
        size: 100.0,
        spread: 0.0,
    };
    first.movements = vec![wave];
    let mut second = cue("2", &[]);
    second.still = vec![1];
    let rehearsal = Rehearsal::of(vec![first, second]);
    let mut player = rehearsal.player(0);
    player.go(0.0);
    let at = |player: &slotwright::cue::Player, fixture, channel, t_s| {
        player.value(rehearsal.track(fixture, channel), t_s).unwrap().0
    };
    assert_eq!((at(&player, 1, "Dimmer", 0.2), at(&player, 1, "Dimmer", 0.7)), (204, 0));
    assert_eq!((at(&player, 3, "Red", 0.2), at(&player, 3, "Red", 0.7)), (204, 0));
    player.go(1.0);
    assert_eq!((at(&player, 1, "Dimmer", 1.7), at(&player, 3, "Red", 1.7)), (204, 0));
}

#[test]
fn a_list_paused_and_resumed_ends_where_an_unbroken_one_does() {
    let mut first = cue("1", &[(1, "Pan", "270 deg")]);
    (first.times, first.next) = (all(4.0), Next::Follow(1.0));
    let rehearsal = Rehearsal::of(vec![first, cue("2", &[(1, "Dimmer", "100 %")])]);
    let pan = rehearsal.track(1, "Pan");
    let mut unbroken = rehearsal.player(0);
    unbroken.go(0.0);
    let mut broken = rehearsal.player(0);
    broken.go(0.0);
    broken.set_paused(true, 1.5);
    assert_eq!(broken.value(pan, 2.0), broken.value(pan, 30.0));
    broken.set_paused(false, 31.5);
    for t_s in [1.5, 2.0, 3.9, 4.0, 10.0] {
        assert_eq!(broken.value(pan, t_s + 30.0).unwrap().0, unbroken.value(pan, t_s).unwrap().0);
    }
    for (player, later_s) in [(&mut unbroken, 0.0), (&mut broken, 30.0)] {
        player.advance(4.999 + later_s);
        assert_eq!(player.at(), Some(0));
        player.advance(5.0 + later_s);
        assert_eq!(player.at(), Some(1));
    }
    let mut fast = rehearsal.player(0);
    fast.set_rate(4.0, 0.0);
    fast.go(0.0);
    assert_eq!(fast.value(pan, 1.0).unwrap().0, 65_535);
}

#[test]
fn loops_run_as_often_as_they_say() {
    let numbers = |rehearsal: &Rehearsal| {
        let compiled = rehearsal.compiled(0);
        let starts = slotwright::cue::schedule(&compiled, 0.0);
        starts.iter().map(|start| start.cue + 1).collect::<Vec<_>>()
    };
    let cues = |count: u32| (1..=count).map(|n| cue(&n.to_string(), &[])).collect::<Vec<_>>();
    let span = |from: &str, to: &str, passes| Loop {
        from: from.parse().unwrap(),
        to: to.parse().unwrap(),
        passes,
    };
    let mut main = list("Main", cues(4));
    main.loops = vec![span("2", "3", Some(3))];
    assert_eq!(numbers(&Rehearsal::with(vec![main.clone()])), [1, 2, 3, 2, 3, 2, 3, 4]);
    main.loops = vec![span("2", "3", Some(2)), span("1", "4", Some(2))];
    assert_eq!(numbers(&Rehearsal::with(vec![main.clone()])), [1, 2, 3, 2, 3, 4, 1, 2, 3, 2, 3, 4]);
    main.loops = vec![span("2", "2", None)];
    assert_eq!(numbers(&Rehearsal::with(vec![main])), [1, 2, 2, 3, 4]);
}

/// Cues that follow each other in no time come to an end all the same.
#[test]
fn a_loop_in_no_time_hangs_nothing() {
    let mut main =
        list("Main", vec![cue("1", &[(1, "Dimmer", "100 %")]), cue("2", &[(1, "Dimmer", "0 %")])]);
    for cue in &mut main.cues {
        cue.next = Next::Wait(0.0);
    }
    main.loops = vec![Loop { from: "1".parse().unwrap(), to: "2".parse().unwrap(), passes: None }];
    let rehearsal = Rehearsal::with(vec![main]);
    let mut player = rehearsal.player(0);
    player.go(0.0);
    player.advance(1.0);
    assert!(player.at().is_some());
}
