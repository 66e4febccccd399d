//! Findings about the whole picture, acceptance, and the same report on every run.

use slotwright::check::rehearse::{Progress, Report, rehearse};
use slotwright::cue::{Cue, CueList, Movement, MovementKind, Next, Wave};
use slotwright::finding::Severity;
use slotwright::profile::Accepted;
use slotwright::rig::Rig;
use slotwright::show::{Show, demo_show};

use super::{alone, none, only, run, says, show, timed, told};
use crate::heads::{alder, fixture};

fn row(count: u32, cues: Vec<Cue>) -> Show {
    let rig: Rig =
        (0..count).map(|nth| fixture(&alder(), nth + 1, (nth * 16 + 1) as u16)).collect();
    show(&[alder()], rig, cues)
}

/// Three heads at 1.6 Hz are under any limit one by one; out of step they come to more than three a second.
#[test]
fn heads_that_flash_out_of_step_are_told_together() {
    let strobe = |apart_s: f64| {
        let cues = (1..=3u32).map(|id| {
            let mut cue =
                timed(&id.to_string(), 0.0, &[(id, "Shutter", "65"), (id, "Dimmer", "100 %")]);
            cue.next = if id < 3 { Next::Wait(apart_s) } else { Next::Go };
            cue
        });
        row(3, cues.collect())
    };
    let apart = strobe(0.21);
    let found = only(&apart, "flashes-together");
    says(&found, "3 heads flash", Severity::Error);
    none(&apart, "flashes");
    none(&strobe(0.0), "flashes-together");
}

/// 12 lamps in one frame are told; 5 s apart they are not.
#[test]
fn lamps_struck_all_at_once_are_told() {
    let strike = |apart_s: f64| {
        let cues = (1..=12u32).map(|id| {
            let mut cue = timed(&id.to_string(), 0.0, &[(id, "Control", "224")]);
            cue.next = Next::Wait(apart_s);
            cue
        });
        row(12, cues.collect())
    };
    let found = only(&strike(0.0), "lamps-together");
    says(&found, "12 lamps strike within 0 s", Severity::Warning);
    assert_eq!(found.fixtures.len(), 12);
    none(&strike(5.0), "lamps-together");
}

#[test]
fn lists_that_set_the_same_channel_are_told_when_run_together() {
    let with = |channel| {
        let mut show = alone(vec![timed("1", 0.0, &[(1, "Pan", "10 deg"), (1, "Dimmer", "50 %")])]);
        let cues = vec![timed("1", 0.0, &[(1, channel, "20 deg"), (1, "Dimmer", "90 %")])];
        show.cues.lists.push(CueList { name: "Other".to_owned(), cues, ..CueList::default() });
        show
    };
    let fight = |show: &Show, lists: &[usize]| {
        let report = rehearse(show, lists, 1, &|_| true).unwrap();
        report
            .told
            .into_iter()
            .filter(|told| told.finding.code == "lists-fight")
            .collect::<Vec<_>>()
    };
    let found = fight(&with("Pan"), &[0, 1]);
    assert_eq!(found.len(), 1);
    says(&found[0], "\"Main\" and \"Other\" both set 1 channels of 1 fixtures", Severity::Warning);
    assert!(fight(&with("Pan"), &[0]).is_empty());
    assert!(fight(&with("Tilt"), &[0, 1]).is_empty());
}

/// A second list holds a level, so that a head that the first has dark is lit: its move is seen.
#[test]
fn a_head_that_another_list_holds_lit_is_not_dark() {
    let show = |level| {
        let mut show = alone(vec![
            timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "0 %")]),
            timed("2", 1.0, &[(1, "Pan", "60 deg")]),
        ]);
        let cues = vec![timed("1", 0.0, &[(1, "Dimmer", level)])];
        show.cues.lists.push(CueList { name: "Other".to_owned(), cues, ..CueList::default() });
        show
    };
    let moves = |show: &Show| {
        let report = rehearse(show, &[0, 1], 1, &|_| true).unwrap();
        report.told.iter().filter(|told| told.finding.code == "moves-lit").count()
    };
    assert_eq!((moves(&show("60")), moves(&show("0"))), (1, 0));
}

/// 44.1 packets a second: a level chased 20 times a second has 1.1 each way.
#[test]
fn a_strobe_of_levels_faster_than_the_packets_is_told() {
    let chase = |hz| {
        let mut cue = timed("1", 0.0, &[(1, "Shutter", "open"), (1, "Dimmer", "100 %")]);
        cue.movements = vec![Movement {
            fixtures: vec![1],
            kind: MovementKind::Level,
            wave: Wave::Square,
            hz,
            size: 100.0,
            spread: 0.0,
        }];
        alone(vec![cue])
    };
    says(&only(&chase(20.0), "uneven"), "the line carries 1.1 packets each way", Severity::Warning);
    none(&chase(2.0), "uneven");
    // Chased levels flash as a shutter does.
    says(&only(&chase(6.0), "flashes"), "it flashes", Severity::Error);
}

#[test]
fn what_is_accepted_keeps_its_reason_and_does_not_count() {
    let mut show = alone(vec![timed("1", 0.0, &[(1, "Shutter", "70"), (1, "Dimmer", "100 %")])]);
    assert!(run(&show).bad());
    let accept = |at: &str| Accepted {
        code: "flashes".to_owned(),
        at: at.to_owned(),
        reason: "warned of".to_owned(),
    };
    show.cues.accepted = vec![accept("list \"Main\", cue 1")];
    let report = run(&show);
    assert!(!report.bad());
    let found = only(&show, "flashes");
    assert_eq!(found.finding.accepted.as_deref(), Some("warned of"));
    show.cues.accepted = vec![accept("list \"Main\", cue 2")];
    assert!(run(&show).bad());
}

#[test]
fn the_report_is_the_same_on_every_run_and_on_any_number_of_threads() {
    let show = demo_show(&|_| true).unwrap();
    let first = rehearse(&show, &[0, 1], 1, &|_| true).unwrap();
    let page =
        |report: &Report| slotwright::paper::rehearsal::html("", std::slice::from_ref(report));
    for threads in [1, 2, 3, 64] {
        let again = rehearse(&show, &[0, 1], threads, &|_| true).unwrap();
        assert_eq!(again, first);
        assert_eq!(page(&again).as_bytes(), page(&first).as_bytes());
    }
    assert!(!first.told.is_empty());
}

#[test]
fn a_dry_run_tells_how_far_it_is_and_can_be_stopped() {
    let show = demo_show(&|_| true).unwrap();
    let seen = std::cell::RefCell::new(Vec::new());
    let all = rehearse(&show, &[0], 1, &|Progress { done_s, of_s }| {
        seen.borrow_mut().push(done_s / of_s);
        true
    });
    assert!(all.is_some());
    assert!(seen.borrow().is_sorted() && seen.borrow().last() == Some(&1.0));
    assert_eq!(rehearse(&show, &[0], 1, &|_| false), None);
}

#[test]
fn a_list_without_cues_has_nothing_to_say() {
    let report = run(&alone(Vec::new()));
    assert_eq!((report.told.len(), report.duration_s), (0, 0.0));
    assert!(told(&alone(Vec::new()), "never-lit").is_empty());
}
