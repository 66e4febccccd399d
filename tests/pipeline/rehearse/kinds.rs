//! Findings about single heads. The heads are worked examples, and so are the numbers.

use slotwright::cue::{Cue, DarkMoves, Time};
use slotwright::finding::Severity;

use super::{alone, none, only, says, timed, told, wash};
use crate::heads::fixture;

/// Dark at pan 0, then level and pan together: 0 to 90 deg takes 0.949 s, in which the light comes up.
fn live(ready: bool) -> Vec<Cue> {
    let pan = if ready { "90 deg" } else { "0 deg" };
    let mut second = timed("2", 0.0, &[(1, "Dimmer", "100 %"), (1, "Pan", "90 deg")]);
    second.times.up = Some(Time { fade_s: 1.0, delay_s: 0.0 });
    vec![timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "0 %"), (1, "Pan", pan)]), second]
}

#[test]
fn a_head_that_looks_for_its_place_while_its_light_comes_up_is_told() {
    let found = only(&alone(live(false)), "live-move");
    says(&found, "it moves 9", Severity::Warning);
    says(&found, "list \"Main\", cue 2, fixture 1 \"head 1\"", Severity::Warning);
    assert!((3.0..3.1).contains(&found.at_s) && (3.9..4.1).contains(&found.until_s), "{found:?}");
    none(&alone(live(true)), "live-move");
    // Dark heads moved ahead do the same as a cue made for it.
    let mut ahead = alone(live(false));
    ahead.cues.lists[0].dark_moves = Some(DarkMoves { fade_s: 0.5 });
    none(&ahead, "live-move");
}

#[test]
fn a_lit_move_that_is_meant_is_a_note() {
    let lit = |pan| {
        alone(vec![
            timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")]),
            timed("2", 2.0, &[(1, "Pan", pan)]),
        ])
    };
    says(&only(&lit("45 deg"), "moves-lit"), "it moves 45", Severity::Note);
    none(&lit("0 deg"), "moves-lit");
    none(&lit("45 deg"), "live-move");
}

/// 180 deg in 1.0 s: at 240 deg/s and 400 deg/s2 it takes 1.35 s.
#[test]
fn a_head_that_comes_late_is_told_with_how_far_it_is() {
    let timed_move = |fade_s| {
        let mut second = timed("2", 0.0, &[(1, "Pan", "180 deg")]);
        second.times.aim = Some(Time { fade_s, delay_s: 0.0 });
        let first = timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")]);
        alone(vec![first, second])
    };
    let found = only(&timed_move(0.5), "late");
    says(&found, "it is asked to be there after 0.5 s and arrives after 1.3", Severity::Warning);
    none(&timed_move(4.0), "late");
    // In the dark nobody sees it.
    let mut dark = timed_move(0.5);
    dark.cues.lists[0].cues[0].changes.get_mut(&1).unwrap().remove("Dimmer");
    none(&dark, "late");
}

/// c1 to c4 in the light: c2 and c3 cross the beam, three places of 0.15 s.
#[test]
fn a_wheel_that_travels_through_the_light_is_told_with_what_passes() {
    let wheel = |shutter| {
        alone(vec![
            timed(
                "1",
                0.0,
                &[(1, "Shutter", shutter), (1, "Dimmer", "100 %"), (1, "Colour", "c1")],
            ),
            timed("2", 0.0, &[(1, "Colour", "c4")]),
        ])
    };
    let lit: Vec<_> = told(&wheel("open"), "wheel-passes")
        .into_iter()
        .filter(|t| t.number.to_string() == "2")
        .collect();
    assert_eq!(lit.len(), 1);
    says(&lit[0], "passes c2, c3 while it is lit, 0.4", Severity::Warning);
    assert!(told(&wheel("closed"), "wheel-passes").is_empty());
}

/// 0 to 255 in 5 s is 0.196 s within each 10-wide band; in 76.5 s exactly 3.0 s, which the reset takes; in
/// 127.5 s exactly the 5.0 s of lamp off.
#[test]
fn a_fade_over_control_values_is_told_with_how_long_it_stays() {
    let mut slow = crate::heads::alder().as_ref().clone();
    slow.modes[0].channels.iter_mut().find(|c| c.name == "Control").unwrap().snap = false;
    let slow = std::sync::Arc::new(slow);
    let fade = |fade_s| {
        let cues = vec![timed("1", fade_s, &[(1, "Control", "255")])];
        super::show(std::slice::from_ref(&slow), vec![fixture(&slow, 1, 1)], cues)
    };
    let short = fade(5.0);
    says(&only(&short, "crosses"), "for 0.196 s of the 3 s it takes", Severity::Warning);
    none(&short, "holds");
    none(&short, "homes");
    let reset = fade(76.5);
    says(&only(&reset, "holds"), "for 3 s, and 3 s are enough to act", Severity::Error);
    let lamp = fade(127.5);
    says(&only(&lamp, "holds"), "for 5 s", Severity::Error);
    says(&only(&fade(80.0), "homes"), "though no cue asks for it", Severity::Error);
    // A channel that jumps passes over nothing.
    none(&alone(vec![timed("1", 76.5, &[(1, "Control", "255")])]), "crosses");
}

#[test]
fn a_reset_that_a_cue_asks_for_is_a_note_and_cues_within_it_come_early() {
    let cues = |at_s: f64| {
        let mut first = timed("1", 0.0, &[(1, "Control", "204"), (1, "Shutter", "open")]);
        first.next = slotwright::cue::Next::Wait(at_s);
        alone(vec![first, timed("2", 0.0, &[(1, "Control", "0"), (1, "Dimmer", "100 %")])])
    };
    // Held 3 s, then homing for 25 s: a cue at 10 s is 18 s early.
    let show = cues(10.0);
    says(&only(&show, "homes"), "as its cue asks", Severity::Note);
    says(
        &only(&show, "not-ready"),
        "the cue comes 18 s early: it is finding its ends",
        Severity::Warning,
    );
    none(&cues(40.0), "not-ready");
}

#[test]
fn a_value_that_no_range_covers_is_told() {
    let profile = crate::heads::still(
        1,
        r#"(name: "Shutter", at: [1], ranges: [(from: 0, to: 9, does: Shut), (from: 100, to: 255, does: Open)])"#,
        "",
    );
    let to = |value| {
        super::show(
            std::slice::from_ref(&profile),
            vec![fixture(&profile, 1, 1)],
            vec![timed("1", 0.0, &[(1, "Shutter", value)])],
        )
    };
    says(&only(&to("50"), "gap"), "`Shutter` goes to 50, which no range covers as things stand", Severity::Warning);
    none(&to("150"), "gap");
}

/// 8-bit pan: 540 / 255 = 2.118 deg a step, 0.37 m at 10 m; 10 deg in 20 s is a step every 4.2 s.
#[test]
fn a_slow_move_on_one_slot_is_told_in_degrees_and_metres() {
    let mut coarse = crate::heads::alder().as_ref().clone();
    let pan = coarse.modes[0].channels.iter_mut().find(|c| c.name == "Pan").unwrap();
    (pan.at, pan.default) = (vec![1], 128);
    let coarse = std::sync::Arc::new(coarse);
    let cues = vec![
        timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %"), (1, "Tilt", "45 deg")]),
        timed("2", 20.0, &[(1, "Pan", "10 deg")]),
    ];
    let show =
        super::show(std::slice::from_ref(&coarse), vec![fixture(&coarse, 1, 1)], cues.clone());
    let found = only(&show, "steps");
    says(&found, "in steps of 2.12 deg, one every", Severity::Warning);
    none(&alone(cues), "steps");
}

#[test]
fn another_turn_of_the_head_that_is_nearer_is_a_note() {
    let turn = |pan| {
        alone(vec![timed("1", 0.0, &[(1, "Pan", "-200 deg")]), timed("2", 3.0, &[(1, "Pan", pan)])])
    };
    let found: Vec<_> = told(&turn("170 deg"), "shorter-way")
        .into_iter()
        .filter(|t| t.number.to_string() == "2")
        .collect();
    assert_eq!(found.len(), 1);
    says(&found[0], "pan -190 deg, tilt 0 deg points the same way after 10 deg", Severity::Note);
    assert!(told(&turn("-150 deg"), "shorter-way").iter().all(|t| t.number.to_string() != "2"));
}

#[test]
fn a_head_at_its_end_stop_is_told() {
    let show = |offset| {
        let mut show = alone(vec![timed("1", 1.0, &[(1, "Pan", "200 deg")])]);
        show.rig[0].aim.pan_offset_deg = offset;
        show
    };
    says(
        &only(&show(100.0), "end-stop"),
        "asked for 200 deg of pan and stops at 170 deg",
        Severity::Warning,
    );
    none(&show(0.0), "end-stop");
}

#[test]
fn cues_that_nobody_sees_and_heads_that_never_light_are_notes() {
    let show = alone(vec![
        timed("1", 0.0, &[(1, "Shutter", "open")]),
        timed("2", 1.0, &[(1, "Dimmer", "100 %")]),
        timed("3", 1.0, &[(1, "Dimmer", "100 %")]),
    ]);
    let unseen: Vec<String> =
        told(&show, "nothing-seen").iter().map(|told| told.number.to_string()).collect();
    assert_eq!(unseen, ["1", "3"]);
    none(&show, "never-lit");
    says(
        &only(&alone(vec![timed("1", 0.0, &[(1, "Dimmer", "100 %")])]), "never-lit"),
        "never gives light",
        Severity::Note,
    );
}

#[test]
fn a_head_that_hides_its_own_light_is_told_with_what_hides_it() {
    let gobo = |value| {
        alone(vec![timed(
            "1",
            0.0,
            &[(1, "Shutter", "open"), (1, "Dimmer", "100 %"), (1, "Gobo", value)],
        )])
    };
    let found = only(&gobo("122"), "hidden");
    says(&found, "0 % of it comes out", Severity::Warning);
    none(&gobo("0"), "hidden");
}

/// Strobe 1..20 Hz on 64..95: 70 is 4.7 Hz, 65 is 1.6 Hz.
#[test]
fn a_strobe_over_the_limit_is_told_with_the_caution() {
    let strobe =
        |value| alone(vec![timed("1", 0.0, &[(1, "Shutter", value), (1, "Dimmer", "100 %")])]);
    let found = only(&strobe("70"), "flashes");
    says(&found, "within a second", Severity::Error);
    assert!(found.finding.mend.contains("photosensitive"));
    says(&only(&strobe("68"), "flashes"), "within a second", Severity::Warning);
    none(&strobe("65"), "flashes");
}

/// A head at 6 m, tilted 45 deg towards the audience, passes 1.2 m at y = -4.8.
#[test]
fn a_beam_through_the_audience_is_told_with_what_eyes_get() {
    let tilt = |deg| {
        alone(vec![
            timed("1", 0.0, &[(1, "Tilt", deg)]),
            timed("2", 0.5, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")]),
        ])
    };
    let found = only(&tilt("-45 deg"), "audience");
    says(&found, "stands in the audience at eye level (1.2 m)", Severity::Warning);
    none(&tilt("45 deg"), "audience");
    none(&tilt("-100 deg"), "audience");
}

#[test]
fn a_zone_that_no_light_is_to_enter_is_an_error() {
    let zone = |x| {
        let mut show =
            alone(vec![timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")])]);
        show.room.keep_out.push(slotwright::stage::Block {
            name: "orchestra".to_owned(),
            min: (x, -1.0, 0.0),
            max: (x + 2.0, 1.0, 1.0),
        });
        show
    };
    says(&only(&zone(-1.0), "keep-out"), "its beam enters `orchestra`", Severity::Error);
    none(&zone(3.0), "keep-out");
}

/// Both values of a square wave of 0 and 255 are open on this head: there is no flash.
#[test]
fn a_flash_that_assumes_that_0_is_closed_is_none() {
    let cues = (1..9).map(|nth| {
        let value = if nth % 2 == 0 { "0" } else { "255" };
        let mut cue = timed(&nth.to_string(), 0.0, &[(1, "Strobe", value), (1, "White", "100 %")]);
        cue.next = slotwright::cue::Next::Wait(0.1);
        cue
    });
    none(&wash(cues.collect()), "flashes");
}

/// A tilt offset turns a flip about: what is suggested must point where the cue asks.
#[test]
fn a_nearer_way_points_the_same_way_whatever_the_offset() {
    use slotwright::light::beam::aim_cone;
    let cues = vec![
        timed("1", 0.0, &[(1, "Pan", "-90 deg"), (1, "Tilt", "-60 deg")]),
        timed("2", 3.0, &[(1, "Pan", "90 deg"), (1, "Tilt", "40 deg")]),
    ];
    let mut show = alone(cues);
    show.rig[0].aim.tilt_offset_deg = 20.0;
    let found = told(&show, "shorter-way");
    let found = found.iter().find(|told| told.number.to_string() == "2").expect("the flip is nearer");
    says(found, "pan -90 deg, tilt -80 deg points the same way after 0 deg", Severity::Note);
    let plan = slotwright::decode::Plan::new(&show.rig, &show.profiles);
    let axis = |pan: &str, tilt: &str| {
        let cue = timed("1", 0.0, &[(1, "Pan", pan), (1, "Tilt", tilt)]);
        let mut show = show.clone();
        show.cues.lists[0].cues = vec![cue];
        let run = slotwright::check::rehearse::straight_run(&show, &plan, &[0]);
        let mut scrub = slotwright::cue::Scrub::new(run.clone(), &show.rig, &plan);
        scrub.seek(&plan, run.end_s());
        let pose = scrub.poses().remove(0).expect("a pose");
        let profile = &show.profiles[&show.rig[0].profile];
        aim_cone(&show.rig[0], profile, &pose).expect("a beam").axis
    };
    assert!(axis("90 deg", "40 deg").distance(axis("-90 deg", "-80 deg")) < 1e-3);
}

/// A fade of the control channel that is called back before it gets to the reset holds nothing.
#[test]
fn a_fade_that_the_next_cue_takes_over_holds_nothing() {
    let mut slow = crate::heads::alder().as_ref().clone();
    slow.modes[0].channels.iter_mut().find(|c| c.name == "Control").unwrap().snap = false;
    let slow = std::sync::Arc::new(slow);
    let mut first = timed("1", 127.5, &[(1, "Control", "255")]);
    first.next = slotwright::cue::Next::Wait(20.0);
    let cues = vec![first, timed("2", 0.0, &[(1, "Control", "0")])];
    let show = super::show(std::slice::from_ref(&slow), vec![fixture(&slow, 1, 1)], cues);
    none(&show, "holds");
    none(&show, "homes");
    none(&show, "not-ready");
}

/// Two heads at one address, of which the list drives one: the other follows the same slots.
#[test]
fn a_head_that_shares_its_slots_is_given_what_the_list_gives() {
    let rig = vec![fixture(&crate::heads::alder(), 1, 1), fixture(&crate::heads::alder(), 2, 1)];
    let cues = vec![timed("1", 1.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")])];
    let show = super::show(&[crate::heads::alder()], rig, cues);
    none(&show, "never-lit");
    let plan = slotwright::decode::Plan::new(&show.rig, &show.profiles);
    let run = slotwright::check::rehearse::straight_run(&show, &plan, &[0]);
    let mut scrub = slotwright::cue::Scrub::new(run.clone(), &show.rig, &plan);
    scrub.seek(&plan, run.end_s());
    assert!(scrub.poses().iter().flatten().all(|pose| pose.light() == 1.0));
}
