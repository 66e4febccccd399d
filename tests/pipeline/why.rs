//! Why heads are dark, or look so. Worked examples on the neutral heads, unless a line says otherwise.

use slotwright::check::why::{
    Blocker, Mend, Moment, NearKind, OUTSIDE, Stage as Link, Verdict, Why,
};
use slotwright::profile::Lamp;
use slotwright::stage::Room;
use slotwright::wire::Frame;

use crate::heads::{Stage, alder, alder_with, birch, cedar, dogwood, fixture, still};
use crate::motion::{Course, alder_levels, alder_panned};

fn moment(stage: &Stage) -> Moment<'_> {
    Moment { rig: &stage.rig, plan: &stage.plan, frames: &stage.frames, decoded: &stage.decoded }
}

#[track_caller]
fn why(stage: &Stage) -> Why<'_> {
    moment(stage).settled(0).expect("the head has a profile")
}

#[track_caller]
fn mend(stage: &Stage) -> Mend {
    moment(stage).mend(&why(stage)).expect("there is no light")
}

/// The stages of everything that holds the light back.
fn causes(why: &Why<'_>) -> Vec<Link> {
    why.causes().iter().map(|cause| cause.link.stage).collect()
}

/// Slots and values of a mend.
fn sets(mend: &Mend) -> Vec<(u16, u8)> {
    mend.changes.iter().map(|change| (change.slot.number(), change.to)).collect()
}

/// A stage whose head is dark for these reasons, in this sentence, and needs these slots.
#[track_caller]
fn dark(stage: &Stage, reasons: &[Link], sentence: &str, needs: &[(u16, u8)]) {
    let why = why(stage);
    assert_eq!(why.verdict, Verdict::Dark, "{}", why.sentence());
    assert_eq!(causes(&why), reasons);
    assert_eq!(why.sentence(), sentence);
    let mend = mend(stage);
    assert_eq!(sets(&mend), needs, "{}", mend.words());
    assert!(mend.gives_lm > 0.0);
}

#[track_caller]
fn near(stage: &Stage, kind: NearKind, says: &str) {
    let why = why(stage);
    assert_eq!(why.verdict, Verdict::Lit, "{}", why.sentence());
    let near = why.near(&Room::default());
    let found = near.iter().find(|near| near.kind == kind);
    assert_eq!(found.map(|near| near.words.as_str()), Some(says), "{near:?}");
}

#[test]
fn a_closed_shutter_is_named_with_its_slot_and_the_nearest_value_that_is_open() {
    dark(
        &alder_with(&[(7, 20)]),
        &[Link::Shutter],
        "dark because slot 7 = 20 is in the range closed, 0..31; open is 32..63",
        &[(7, 32)],
    );
}

#[test]
fn of_two_causes_both_are_told_and_both_are_mended() {
    dark(
        &alder_with(&[(6, 0), (7, 20)]),
        &[Link::Dimmer, Link::Shutter],
        "dark because slot 6 = 0 is in the range dimmer, 0..255 (0.0 %); full is 255",
        &[(6, 255), (7, 32)],
    );
}

#[test]
fn a_blocked_place_of_a_wheel_is_looked_at_too() {
    dark(
        &alder_with(&[(9, 122)]),
        &[Link::Pattern],
        "dark because slot 9 = 122 is in the range blocked, 120..127; g7 is 56..63",
        // 119 would be nearer, and shakes.
        &[(9, 63)],
    );
}

#[test]
fn very_little_light_is_not_dark_and_is_judged_by_light_and_not_by_value() {
    let low = alder_with(&[(6, 3)]);
    near(&low, NearKind::VeryLow, "very low: 1.2 % of the light, most of it held back by dimmer");
    let squared = still(
        1,
        r#"(name: "Dimmer", at: [1], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Square))])"#,
        "",
    );
    let stage = Stage::sent(&squared, &[26]);
    near(&stage, NearKind::VeryLow, "very low: 1.0 % of the light, most of it held back by dimmer");
    let tenth = alder_with(&[(6, 26)]);
    assert!(!why(&tenth).near(&Room::default()).iter().any(|n| n.kind == NearKind::VeryLow));
}

#[test]
fn a_built_in_program_is_not_called_dark() {
    let stage = alder_with(&[(15, 12)]);
    let program = why(&stage);
    assert_eq!(program.verdict, Verdict::RunsItself);
    assert_eq!(
        program.sentence(),
        "not known: slot 15 = 12 is in the range on, 10..255; off is 0..9"
    );
    assert_eq!(sets(&mend(&stage)), [(15, 9)]);
    assert_eq!(why(&alder_with(&[(15, 9)])).verdict, Verdict::Lit);
}

#[test]
fn without_a_history_the_lamp_is_not_known() {
    let stage = alder_with(&[]);
    near(
        &stage,
        NearKind::LampUnknown,
        "lamp state unknown: no frame that was seen struck it or put it out",
    );
    let why = why(&stage);
    let lamp = why.links.iter().find(|link| link.stage == Link::Lamp).expect("a lamp");
    assert_eq!(lamp.lets_through, None);
}

#[test]
fn a_lamp_that_was_put_out_has_to_cool_before_any_slot_helps() {
    let mut course = Course::arrived(&alder(), &alder_levels(&[(16, 224)]));
    course.send(0.0, &alder_levels(&[(16, 212)]));
    course.motion.advance(5.1);
    course.send(5.2, &alder_levels(&[]));
    let stage = &course.stage;
    let why = moment(stage).at(0, course.head(), 5.2).expect("a head");
    assert_eq!(why.verdict, Verdict::Dark);
    assert_eq!(causes(&why), [Link::Lamp]);
    assert_eq!(
        why.sentence(),
        "dark because the lamp was put out and is too hot to strike for 299.8 s"
    );
    let mend = moment(stage).mend(&why).expect("dark");
    assert!(
        matches!(mend.blockers[..], [Blocker::Hot { wait_s }] if (wait_s - 299.8).abs() < 1e-6)
    );
    assert_eq!(sets(&mend), [(16, 220)], "{}", mend.words());
    assert!(mend.gives_lm > 0.0 && mend.takes_s > 299.8, "{mend:?}");

    // Five minutes later it only has to be struck; letting go of the value is not enough.
    course.motion.advance(400.0);
    let why = moment(&course.stage).at(0, course.head(), 400.0).expect("a head");
    assert_eq!(why.sentence(), "dark because the lamp was put out");
    let mend = moment(&course.stage).mend(&why).expect("dark");
    assert_eq!((sets(&mend), mend.blockers.len()), (vec![(16, 220)], 0));
}

#[test]
fn a_frame_that_puts_the_lamp_out_is_mended_by_striking_it() {
    let stage = alder_with(&[(16, 212)]);
    let why = why(&stage);
    assert_eq!(
        why.sentence(),
        "dark because slot 16 = 212 is in the range lamp off, hold 5 s, 210..219; \
         lamp on, hold 1 s is 220..229"
    );
    assert_eq!(sets(&mend(&stage)), [(16, 220)]);
}

#[test]
fn dark_only_while_it_moves_says_for_how_long_and_which_slot() {
    let mut course = Course::arrived(&alder(), &alder_panned(0.0, &[(5, 252)]));
    course.send(0.0, &alder_panned(90.0, &[(5, 252)]));
    let stage = &course.stage;
    let moving = moment(stage).at(0, course.head(), 0.5).expect("a head");
    assert_eq!(causes(&moving), [Link::Moving]);
    assert_eq!(
        moving.sentence(),
        "dark because it keeps dark while it moves, for 0.4 s more: slot 5 = 252 is in the range \
         follow, dark while moving, 251..255; fast to slow is 4..250"
    );
    let mend = moment(stage).mend(&moving).expect("dark");
    assert!(mend.changes.is_empty(), "{}", mend.words());
    assert!(matches!(mend.blockers[..], [Blocker::OnItsWay { .. }]));
    assert!((mend.takes_s - 0.449).abs() < 0.01 && mend.gives_lm > 0.0, "{mend:?}");
    course.motion.advance(0.96);
    let after = moment(&course.stage).at(0, course.head(), 0.96).expect("a head");
    assert_eq!(after.verdict, Verdict::Lit);
}

#[test]
fn a_reset_that_runs_is_waited_for() {
    let mut course = Course::arrived(&alder(), &alder_levels(&[]));
    course.send(0.0, &alder_levels(&[(16, 205)]));
    course.motion.advance(5.0);
    let why = moment(&course.stage).at(0, course.head(), 5.0).expect("a head");
    // While it finds its ends, its wheels pass the blocked place.
    assert_eq!(causes(&why), [Link::Control, Link::Pattern]);
    assert_eq!(why.sentence(), "dark because a reset is running, for 23 s more");
    let mend = moment(&course.stage).mend(&why).expect("dark");
    assert_eq!(mend.words(), "no slot can while it resets: wait 23 s");
    assert!(mend.gives_lm > 0.0);
}

#[test]
fn a_head_without_a_dimmer_is_dark_when_every_emitter_is_at_nothing() {
    let dark_birch = |strobe| [128, 128, 0, 0, 255, strobe, 0, 0, 0, 0, 128, 0];
    let stage = Stage::sent(&birch(), &dark_birch(2));
    dark(
        &stage,
        &[Link::Emitters],
        "dark because every emitter is at 0: slots 7..10",
        &[(10, 255)],
    );
    let mut red = dark_birch(2);
    red[6] = 128;
    let stage = Stage::sent(&birch(), &red);
    let lit = why(&stage);
    assert_eq!(lit.verdict, Verdict::Lit);
    let emitters = lit.links.iter().find(|link| link.stage == Link::Emitters).expect("emitters");
    let share = emitters.lets_through.expect("known");
    assert!((share - 1000.0 / 5900.0 * 128.0 / 255.0).abs() < 1e-9, "{share}");
}

#[test]
fn all_slots_at_zero_are_dark_for_other_reasons_in_other_heads() {
    let rig = vec![fixture(&alder(), 1, 1), fixture(&birch(), 2, 17)];
    let mut stage = Stage::of(&[alder(), birch()], rig);
    stage.send(&Frame::levels([0; 28]).expect("28 slots"));
    let all = moment(&stage).all_settled();
    let all: Vec<Vec<Link>> = all.iter().flatten().map(causes).collect();
    // The shutter of BIRCH is open at 0, and its speed slot crawls there: neither is a cause.
    assert_eq!(all, [vec![Link::Dimmer, Link::Shutter], vec![Link::Emitters]]);
}

#[test]
fn filters_all_the_way_in_are_told_as_the_colour() {
    let filter = |name: &str, at: u8| {
        format!(
            r#"(name: "{name}", at: [{at}], ranges: [(from: 0, to: 255, does: Filter(name: {}, percent: (0.0, 100.0)))]),"#,
            name.to_lowercase()
        )
    };
    let channels = filter("Cyan", 1) + &filter("Magenta", 2) + &filter("Yellow", 3);
    let head = still(3, &channels, "");
    near(
        &Stage::sent(&head, &[250, 250, 250]),
        NearKind::DeepColour,
        "near dark: the colour filters are in and let 2.0 % through",
    );
    // The flags of this program are ideal: all the way in nothing is left.
    let stage = Stage::sent(&head, &[255, 255, 255]);
    let full = why(&stage);
    assert_eq!(causes(&full), [Link::Colour]);
    assert_eq!(full.causes()[0].evidence.len(), 3);
    assert_eq!(mend(&stage).changes.len(), 1);
    assert_eq!(why(&Stage::sent(&head, &[0, 0, 0])).share(), 1.0);
}

#[test]
fn one_channel_that_dims_backwards_and_strobes_is_read_by_its_ranges() {
    let head = still(
        1,
        r#"(name: "Light", at: [1], ranges: [
            (from: 0, to: 9, does: Shut, label: "off"),
            (from: 10, to: 139, does: Dimmer(percent: (100.0, 0.0), curve: Linear)),
            (from: 140, to: 229, does: Strobe(hz: (1.0, 20.0))),
            (from: 230, to: 255, does: Open, label: "full"),
        ])"#,
        "",
    );
    let stage = Stage::sent(&head, &[139]);
    dark(
        &stage,
        &[Link::Dimmer],
        "dark because slot 1 = 139 is in the range dimmer, 10..139 (0.0 %); full is 10",
        // The strobe next to it would be nearer, and flashes; a level at less than full comes last.
        &[(1, 230)],
    );
    let stage = Stage::sent(&head, &[3]);
    assert_eq!(sets(&mend(&stage)), [(1, 10)]);
}

#[test]
fn a_strobe_is_proposed_only_where_nothing_else_gives_light() {
    let head = still(
        1,
        r#"(name: "Shutter", at: [1], ranges: [
            (from: 0, to: 9, does: Shut, label: "closed"),
            (from: 10, to: 255, does: Strobe(hz: (1.0, 20.0))),
        ])"#,
        "",
    );
    assert_eq!(sets(&mend(&Stage::sent(&head, &[0]))), [(1, 10)]);
}

#[test]
fn a_range_that_depends_on_another_slot_may_take_both() {
    let stage = Stage::sent(&cedar(), &[0; 14]);
    let why = why(&stage);
    assert_eq!(why.verdict, Verdict::Dark, "{}", why.sentence());
    let mend = mend(&stage);
    assert!(mend.gives_lm > 0.0, "{}", mend.words());
    let head = still(
        2,
        r#"(name: "Kind", at: [1], ranges: [(from: 0, to: 127, does: Select), (from: 128, to: 255, does: Select)]),
           (name: "Shutter", at: [2], ranges: [
             (from: 0, to: 255, does: Shut, label: "closed", when: [("Kind", 0, 127)]),
             (from: 0, to: 99, does: Shut, label: "closed too", when: [("Kind", 128, 255)]),
             (from: 100, to: 255, does: Open, label: "open", when: [("Kind", 128, 255)]),
           ])"#,
        "",
    );
    let stage = Stage::sent(&head, &[0, 20]);
    assert_eq!(sets(&self::mend(&stage)), [(1, 128), (2, 100)]);
}

#[test]
fn one_cell_is_enough_to_be_lit_and_a_master_holds_all_of_them_back() {
    dark(
        &Stage::sent(&dogwood(), &[0, 255, 0, 0, 0, 0, 0, 0, 0, 0]),
        &[Link::Emitters, Link::Dimmer],
        "dark because slot 1 = 0 is in the range dimmer, 0..255 (0.0 %); full is 255",
        &[(1, 255)],
    );
    let stage = Stage::sent(&dogwood(), &[255, 255, 0, 0, 0, 0, 0, 0, 0, 0]);
    let lit = why(&stage);
    assert_eq!(lit.verdict, Verdict::Lit);
    let emitters = lit.links.iter().find(|link| link.stage == Link::Emitters).expect("emitters");
    assert_eq!([0, 1, 2].map(|cell| emitters.blocks_cell(cell)), [false, true, true]);
}

#[test]
fn a_dimmer_of_two_slots_is_mended_by_its_coarse_one() {
    let head = still(
        2,
        r#"(name: "Dimmer", at: [1, 2], ranges: [(from: 0, to: 255, does: Dimmer(percent: (0.0, 100.0), curve: Linear))])"#,
        "",
    );
    dark(
        &Stage::sent(&head, &[0, 0]),
        &[Link::Dimmer],
        "dark because slots 1 and 2 = 0/0 are in the range dimmer, 0..255 (0.0 %); full is 255/255",
        &[(1, 255)],
    );
}

#[test]
fn what_was_never_sent_is_not_zero() {
    let stage = Stage::sent(&alder(), &[128, 0, 128, 0, 0, 255]);
    dark(
        &stage,
        &[Link::Shutter],
        "dark because no frame has reached slot 7; taken to be at rest, in the range closed, 0..31; \
         open is 32..63",
        &[(7, 32)],
    );
    let near = why(&stage).near(&Room::default());
    let rest = near.iter().find(|near| near.kind == NearKind::TakenAtRest).expect("ten channels");
    assert!(rest.words.starts_with("10 channels are taken to be at rest"), "{}", rest.words);
}

#[test]
fn a_value_in_no_range_stays_a_gap() {
    let head = still(
        1,
        r#"(name: "Shutter", at: [1], ranges: [
            (from: 0, to: 9, does: Shut, label: "closed"),
            (from: 20, to: 255, does: Open, label: "open"),
        ])"#,
        "",
    );
    dark(
        &Stage::sent(&head, &[15]),
        &[Link::Shutter],
        "dark because slot 1 = 15 is in no range; taken to be at rest, in the range closed, 0..9; \
         open is 20..255",
        &[(1, 20)],
    );
}

#[test]
fn a_slot_that_other_heads_read_too_says_so() {
    let rig = vec![fixture(&alder(), 1, 1), fixture(&alder(), 2, 1)];
    let mut stage = Stage::of(&[alder()], rig);
    stage.send(&Frame::levels(alder_levels(&[(7, 0)])).expect("16 slots"));
    let mend = mend(&stage);
    assert_eq!(mend.changes[0].shared_with, [1]);
}

#[test]
fn a_head_without_an_address_is_not_called_dark() {
    let mut rig = vec![fixture(&alder(), 1, 1)];
    rig[0].address = None;
    let stage = Stage::of(&[alder()], rig);
    let why = why(&stage);
    assert_eq!(why.verdict, Verdict::NotPatched);
    assert_eq!(mend(&stage).blockers, [Blocker::NotPatched]);
    assert!(why.sentence().contains("no address"));
}

#[test]
fn without_a_signal_no_slot_helps() {
    let dark_alone = slotwright::profile::Profile {
        on_loss: slotwright::profile::OnLoss {
            does: Some(slotwright::profile::Loss::Dark),
            ..alder().on_loss.clone()
        },
        ..slotwright::profile::Profile::clone(&alder())
    };
    let mut course = Course::arrived(&std::sync::Arc::new(dark_alone), &alder_levels(&[]));
    course.motion.lost_everywhere(0.0);
    course.motion.advance(10.0);
    let why = moment(&course.stage).at(0, course.head(), 10.0).expect("a head");
    assert_eq!(causes(&why), [Link::Data]);
    assert!(why.sentence().starts_with("dark because the signal was lost"), "{}", why.sentence());
    let mend = moment(&course.stage).mend(&why).expect("dark");
    assert_eq!(mend.blockers, [Blocker::NoSignal]);
}

#[test]
fn a_wheel_on_its_way_through_a_blocked_place_lets_nothing_through_yet() {
    let mut course = Course::arrived(&alder(), &alder_levels(&[(9, 122)]));
    course.send(0.0, &alder_levels(&[(9, 58)]));
    let why = moment(&course.stage).at(0, course.head(), 0.0).expect("a head");
    assert_eq!(causes(&why), [Link::Pattern]);
    assert!(why.sentence().contains("the wheel is still on its way"), "{}", why.sentence());
    let mend = moment(&course.stage).mend(&why).expect("dark");
    assert!(mend.changes.is_empty() && mend.gives_lm > 0.0, "{}", mend.words());
}

#[test]
fn a_deep_colour_and_a_slow_strobe_are_near_misses() {
    let more = r##"wheels: {"colour": (slots: [Open, Tint("deep blue", "#000040")])},"##;
    let head = still(
        1,
        r#"(name: "Colour", at: [1], ranges: [
            (from: 0, to: 9, does: Slot(wheel: "colour", slot: 1)),
            (from: 10, to: 255, does: Slot(wheel: "colour", slot: 2)),
        ])"#,
        more,
    );
    near(&Stage::sent(&head, &[20]), NearKind::DeepColour, "lit, deep blue at 0.4 %");
    let slow = still(
        1,
        r#"(name: "Shutter", at: [1], ranges: [(from: 0, to: 255, does: Strobe(hz: (0.2, 20.0)))])"#,
        "",
    );
    near(
        &Stage::sent(&slow, &[0]),
        NearKind::SeldomLit,
        "lit on 0.2 flashes a second only: about 2.5 s dark between two",
    );
}

#[test]
fn light_that_goes_where_nobody_looks_is_told() {
    let mut stage = alder_with(&[]);
    // Tilt 135 degrees of a hung head points up and upstage.
    stage.send(&Frame::levels(alder_levels(&[(3, 255), (4, 255)])).expect("16 slots"));
    near(&stage, NearKind::Ceiling, "lit, but aimed at the ceiling (7 m)");
    let why = why(&stage);
    let landing = why.landing(&Room::default()).expect("it lands");
    assert_eq!(landing.on, Some("the ceiling"));
    // 1 m up at 45 degrees is 1.414 m away.
    assert!((landing.distance_m.expect("a way") - 2f64.sqrt()).abs() < 1e-6);
    assert!(landing.lux > 0.0);
    // Out of focus is no near miss.
    let blurred = alder_with(&[(11, 0)]);
    let kinds: Vec<NearKind> =
        self::why(&blurred).near(&Room::default()).iter().map(|near| near.kind).collect();
    assert_eq!(kinds, [NearKind::LampUnknown]);
}

#[test]
fn what_no_frame_shows_is_told_in_the_usual_words() {
    // Common practice, no source.
    assert!(OUTSIDE.iter().any(|words| words.contains("menu")));
    assert!(OUTSIDE.iter().any(|words| words.contains("homes again by itself")));
    assert!(OUTSIDE.iter().any(|words| words.contains("120 ohm")));
    let led = still(1, "", "");
    assert!(matches!(led.source, slotwright::profile::Source::White { lamp: Lamp::Led, .. }));
}
