//! What trips people up when a head does not do as it is told, asked of everything that explains. Worked examples
//! on the neutral heads, unless a line says otherwise.

use slotwright::check::misfit::{Case, Fault, Happened, Observation, Seen, Sight, explain};
use slotwright::check::stray::{StrayKind, strays, uncompared};
use slotwright::check::why::{Moment, NearKind, Stage as Link, Verdict};
use slotwright::stage::Room;
use slotwright::wire::Frame;

use crate::heads::{ALDER_LIT, Stage, alder, alder_with, birch, elm, fixture, still};
use crate::motion::alder_levels;

fn moment(stage: &Stage) -> Moment<'_> {
    Moment { rig: &stage.rig, plan: &stage.plan, frames: &stage.frames, decoded: &stage.decoded }
}

/// What goes with all that was seen of an ALDER-16 at slot 1, in these frames.
fn found(frames: &[[u8; 16]], seen: &[Seen]) -> Vec<Fault> {
    let mut stage = Stage::one(&alder());
    let mut sent = Vec::new();
    for levels in frames {
        stage.send(&Frame::levels(*levels).expect("16 slots"));
        sent.push(stage.frames.clone());
    }
    let mut case = Case::new(&stage.rig, &stage.plan, sent);
    case.seen = seen.iter().map(|seen| Observation { place: 0, seen: seen.clone() }).collect();
    let rows = explain(&case).rows;
    rows.into_iter()
        .flat_map(|row| row.same.into_iter().map(|(_, f)| f).chain([row.fault]))
        .collect()
}

#[test]
fn an_invert_in_the_head_shows_away_from_the_centre_and_not_at_it() {
    let panned = |coarse| alder_levels(&[(1, coarse)]);
    let still = Seen::At { frame: 0, sight: Sight::Steady };
    // 0.004 degrees off the centre nobody sees which way round it is.
    let at_centre = found(&[panned(128)], std::slice::from_ref(&still));
    assert!(at_centre.contains(&Fault::Nothing) && at_centre.contains(&Fault::PanInverted));
    let other = Seen::From { before: 0, after: 1, happened: Happened::OtherWay };
    let moved = found(&[panned(128), panned(160)], &[still, other]);
    assert!(moved.contains(&Fault::PanInverted), "{moved:?}");
    assert!(!moved.contains(&Fault::Nothing) && !moved.contains(&Fault::TiltInverted), "{moved:?}");
}

#[test]
fn packets_that_end_early_are_among_what_explains_a_head_that_aims_and_stays_dark() {
    let panned = alder_levels(&[(1, 160)]);
    let dark = Seen::At { frame: 0, sight: Sight::Dark };
    let turned = Seen::From { before: 0, after: 1, happened: Happened::Turned };
    let all = found(&[ALDER_LIT, panned], &[dark, turned]);
    assert!(all.iter().any(|fault| matches!(fault, Fault::CutShort { .. })), "{all:?}");
    // What no data shows is listed beside it: a lamp that is out. A head without power would not turn.
    assert!(all.contains(&Fault::NoLamp) && !all.contains(&Fault::NoData), "{all:?}");
}

#[test]
fn a_steady_frame_and_a_head_that_twitches_have_nothing_wrong_in_the_data() {
    let nothing = Seen::From { before: 0, after: 1, happened: Happened::Moved };
    // The same was sent twice: no fault that is built into the head makes it move.
    assert_eq!(found(&[ALDER_LIT, ALDER_LIT], &[nothing]), []);
}

#[test]
fn dark_and_lit_over_the_same_frame_go_with_nothing() {
    let seen = [(0, Sight::Dark), (1, Sight::Steady)];
    let seen = seen.map(|(frame, sight)| Seen::At { frame, sight });
    assert_eq!(found(&[ALDER_LIT, ALDER_LIT], &seen), []);
    // With another frame between, a head that starts late or hears another slot explains it.
    assert_ne!(found(&[alder_levels(&[(7, 0)]), ALDER_LIT], &seen), []);
}

#[test]
fn a_head_behind_the_last_slot_that_is_sent_is_told_as_not_sent() {
    let mut stage = Stage::of(&[alder()], vec![fixture(&alder(), 1, 241)]);
    // The sender stops at 240.
    stage.send(&Frame::levels([255; 240]).expect("240 slots"));
    let why = moment(&stage).settled(0).expect("a head");
    assert_eq!(why.verdict, Verdict::Dark);
    assert!(why.sentence().contains("no frame has reached slot 24"), "{}", why.sentence());
    let near = why.near(&Room::default());
    assert!(near.iter().any(|near| near.kind == NearKind::TakenAtRest), "{near:?}");
}

#[test]
fn a_wide_zoom_is_not_dark_and_neither_is_a_head_whose_zoom_runs_backwards() {
    for stage in [
        alder_with(&[(12, 255)]),
        Stage::sent(&birch(), &{
            // Speed, shutter open, red, and zoom at its wide end, 0.
            let mut levels = [0; 12];
            (levels[5], levels[6]) = (2, 255);
            levels
        }),
    ] {
        let why = moment(&stage).settled(0).expect("a head");
        assert_eq!(why.verdict, Verdict::Lit, "{}", why.sentence());
    }
}

#[test]
fn a_closed_iris_is_a_cause_and_its_sense_is_read_from_the_ranges() {
    let iris = |percent: &str| {
        let channels = format!(
            r#"(name: "Iris", at: [1], ranges: [(from: 0, to: 191, does: Iris(percent: {percent})),
                (from: 192, to: 255, does: IrisPulse(hz: (0.5, 2.0)))])"#
        );
        still(1, &channels, "")
    };
    for (percent, shut, open) in [("(100.0, 0.0)", 191, 0), ("(0.0, 100.0)", 0, 191)] {
        let head = iris(percent);
        let stage = Stage::sent(&head, &[shut]);
        let why = moment(&stage).settled(0).expect("a head");
        assert_eq!(why.verdict, Verdict::Dark, "{percent}: {}", why.sentence());
        let links: Vec<Link> = why.causes().iter().map(|cause| cause.link.stage).collect();
        assert_eq!(links, [Link::Iris], "{percent}");
        let mend = moment(&stage).mend(&why).expect("dark");
        assert_eq!(mend.changes.len(), 1, "{}", mend.words());
        let lit = Stage::sent(&head, &[open]);
        assert_eq!(moment(&lit).settled(0).expect("a head").verdict, Verdict::Lit);
    }
}

#[test]
fn a_crawling_twin_is_stray_whichever_end_of_its_speed_slot_is_the_slow_one() {
    // BIRCH-12 crawls at 0 and ALDER-16 follows there.
    for (head, slots, speed, usual, alone) in [(birch(), 12, 4, 255, 0), (alder(), 16, 4, 0, 240)] {
        let rig = (0..3).map(|i| fixture(&head, 1 + u32::from(i), 1 + i * slots)).collect();
        let mut stage = Stage::of(std::slice::from_ref(&head), rig);
        let mut levels = vec![0; 3 * usize::from(slots)];
        for (i, value) in [(0, usual), (1, usual), (2, alone)] {
            levels[i * usize::from(slots) + speed] = value;
        }
        stage.send(&Frame::levels(levels).expect("three heads"));
        let all = strays(&stage.rig, &stage.plan, &stage.frames, &stage.decoded, &[]);
        let speeds: Vec<usize> = all
            .iter()
            .filter(|stray| stray.kind == StrayKind::Speed)
            .map(|stray| stray.fixture)
            .collect();
        assert_eq!(speeds, [2], "{all:#?}");
    }
}

#[test]
fn a_head_without_twins_is_said_to_be_compared_with_none() {
    let mut rig: Vec<_> = (0..4).map(|i| fixture(&alder(), 1 + i, 1 + 16 * i as u16)).collect();
    rig.push(fixture(&elm(), 5, 100));
    rig[3].address = None;
    let stage = Stage::of(&[alder(), elm()], rig);
    let why = |place| uncompared(&stage.plan, place);
    assert_eq!((why(0), why(9)), (None, None));
    assert!(why(3).is_some_and(|why| why.contains("no address")));
    assert!(why(4).is_some_and(|why| why.contains("no other head")));
}
