//! What may be wrong with heads that do not do what their frame says. Worked examples on the neutral heads,
//! unless a line says otherwise.

use slotwright::check::misfit::{
    Case, Change, Explained, Fault, Happened, Kind, Observation, Seen, Sight, Step, explain,
};
use slotwright::wire::Frame;

use crate::heads::{ALDER_LIT, Stage, alder, elm, fixture};

/// A stage of one head at slot 17 to which these frames were sent, each from slot 16 on.
fn case<'a>(stage: &'a mut Stage, frames: &[Vec<u8>]) -> Case<'a> {
    let mut sent = Vec::new();
    for frame in frames {
        let mut slots = vec![0; 15];
        slots.extend(frame);
        slots.resize(64, 0);
        stage.send(&Frame::levels(slots).expect("a short frame"));
        sent.push(stage.frames.clone());
    }
    Case::new(&stage.rig, &stage.plan, sent)
}

fn at_17(profile: &std::sync::Arc<slotwright::profile::Profile>) -> Stage {
    Stage::of(std::slice::from_ref(profile), vec![fixture(profile, 1, 17)])
}

fn sees(case: &mut Case<'_>, seen: &[Seen]) -> Explained {
    case.seen = seen.iter().map(|seen| Observation { place: 0, seen: seen.clone() }).collect();
    let explained = explain(case);
    assert!(explained.rows.iter().all(|row| row.contradicts.is_empty()), "{explained:#?}");
    explained
}

fn lit_from_16() -> Vec<u8> {
    [&[0][..], &ALDER_LIT].concat()
}

#[test]
fn a_head_one_slot_early_is_found_by_the_slot_that_lights_it() {
    // Its display says 16: what is meant for speed is its dimmer, and its shutter is open.
    let mut moved = lit_from_16();
    moved[5] = 255;
    let mut stage = at_17(&alder());
    let mut case = case(&mut stage, &[lit_from_16(), moved]);
    let explained = sees(
        &mut case,
        &[
            Seen::At { frame: 0, sight: Sight::Dark },
            Seen::From { before: 0, after: 1, happened: Happened::Did(Change::LightsUp) },
        ],
    );
    let first = &explained.rows[0];
    assert!(first.names(Some(0), &Fault::AddressOff { by: -1 }), "{:#?}", explained.rows);
    // On one head it looks the same as counting from 0, and that is said.
    assert!(first.names(None, &Fault::CountedFrom { by: -1 }), "{first:#?}");
    assert!(!first.evidence.is_empty());
}

#[test]
fn a_head_in_another_mode_is_among_what_explains_a_dark_head_that_tilts() {
    let elm = elm();
    let mut lit = vec![0; 21];
    lit[1..5].copy_from_slice(&[128, 0, 100, 0]);
    lit[6..8].copy_from_slice(&[255, 40]);
    let mut moved = lit.clone();
    moved[3] = 160;
    let mut stage = at_17(&elm);
    let mut case = case(&mut stage, &[lit, moved]);
    let explained = sees(
        &mut case,
        &[
            Seen::At { frame: 0, sight: Sight::Dark },
            Seen::From { before: 0, after: 1, happened: Happened::Tipped },
        ],
    );
    let mode = Fault::Mode { name: "ELM-28".to_owned() };
    assert!(explained.rows.iter().any(|row| row.names(Some(0), &mode)), "{:#?}", explained.rows);
    assert!(explained.test.is_some(), "a test tells it from a lamp that is out");
}

#[test]
fn a_dark_head_may_have_nothing_wrong_in_the_data() {
    let mut stage = at_17(&alder());
    let mut case = case(&mut stage, &[lit_from_16()]);
    let explained = sees(&mut case, &[Seen::At { frame: 0, sight: Sight::Dark }]);
    for fault in [Fault::NoLamp, Fault::NoData] {
        assert!(explained.rows.iter().any(|row| row.names(Some(0), &fault)), "{fault:?}");
    }
}

#[test]
fn what_contradicts_an_observation_never_ranks() {
    let mut stage = at_17(&alder());
    let mut case = case(&mut stage, &[lit_from_16()]);
    let seen = [Sight::Dark, Sight::Lit].map(|sight| Seen::At { frame: 0, sight });
    let explained = sees(&mut case, &seen);
    assert!(explained.rows.is_empty() && explained.test.is_none());
    assert!(!explained.others.is_empty());
}

#[test]
fn with_what_the_frame_asks_nothing_is_wrong() {
    let mut stage = at_17(&alder());
    let mut case = case(&mut stage, &[lit_from_16()]);
    let lit = [Sight::Lit, Sight::Steady, Sight::Points(slotwright::check::misfit::Way::Down)];
    let explained = sees(&mut case, &lit.map(|sight| Seen::At { frame: 0, sight }));
    assert!(explained.rows.iter().any(|row| row.fault.kind() == Kind::Nothing));
}

#[test]
fn a_test_never_resets_a_head_or_puts_its_lamp_out() {
    let mut stage = at_17(&alder());
    let mut case = case(&mut stage, &[lit_from_16()]);
    let mut explained = sees(&mut case, &[Seen::At { frame: 0, sight: Sight::Dark }]);
    for _ in 0..4 {
        let Some(test) = explained.test.clone() else { break };
        // Control is slot 32: no value of its reset, 200..209, or lamp off, 210..219, is asked for.
        if let Step::Set { slot, to, .. } = &test.step {
            assert!(slot.number() != 32 || !(200..220).contains(to), "{test:?}");
        }
        let Some(outcome) = test.outcomes.last() else { break };
        case.answer(&test, outcome.at, outcome.changes);
        explained = explain(&case);
        assert!(explained.rows.iter().all(|row| row.contradicts.is_empty()));
    }
}
