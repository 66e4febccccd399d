//! Lists that nobody would write: the dry run ends, and says where it stopped.

use slotwright::check::rehearse::rehearse;
use slotwright::cue::{Cue, Loop, Movement, MovementKind, Next, Wave};
use slotwright::finding::Severity;

use super::{alone, none, only, run, says, timed};

const LIT: [(u32, &str, &str); 2] = [(1, "Shutter", "open"), (1, "Dimmer", "100 %")];

#[test]
fn ten_thousand_cues_are_played_to_the_end() {
    let cues = (1..=10_000).map(|nth: u32| {
        let level = if nth.is_multiple_of(2) { "100 %" } else { "90 %" };
        let cue = timed(&nth.to_string(), 0.0, &[LIT[0], (1, "Dimmer", level)]);
        Cue { next: Next::Wait(0.1), ..cue }
    });
    let show = alone(cues.collect());
    let report = run(&show);
    assert_eq!(report.starts.len(), 10_000);
    assert!(report.duration_s > 999.0);
}

/// A loop without end is run twice; cues that follow each other in no time are all at one instant.
#[test]
fn loops_without_end_and_cues_that_follow_in_no_time_end() {
    let number = |text: &str| text.parse().expect("a number");
    let cue = |number: &str, level| {
        let cue = timed(number, 0.0, &[LIT[0], (1, "Dimmer", level)]);
        Cue { next: Next::Follow(0.0), ..cue }
    };
    let mut show = alone(vec![cue("1", "10 %"), cue("2", "20 %")]);
    show.cues.lists[0].loops.push(Loop { from: number("1"), to: number("2"), passes: None });
    assert_eq!(run(&show).starts.len(), 4);
    none(&show, "cut-off");
    show.cues.lists[0].loops[0].passes = Some(u32::MAX);
    let found = only(&show, "cut-off");
    says(&found, "for its first 100000 starts of cues only", Severity::Warning);
}

#[test]
fn a_run_of_days_is_played_for_one_and_says_so() {
    let cue = |number| Cue { stands_s: Some(86_400.0), ..timed(number, 0.0, &LIT) };
    let show = alone(vec![cue("1"), cue("2"), cue("3"), timed("4", 0.0, &[(1, "Pan", "9 deg")])]);
    let found = only(&show, "cut-off");
    says(&found, "goes on after 24 hours", Severity::Warning);
    says(&found, "2 of 4 starts of cues were", Severity::Warning);
    // Of cues that were not played nothing is said.
    assert!(run(&show).told.iter().all(|told| told.cue < 3 && told.number.to_string() != "4"));
    let done = std::cell::Cell::new(0.0);
    rehearse(&show, &[0], 2, &|progress| {
        done.set(progress.done_s / progress.of_s);
        true
    });
    assert_eq!(done.get(), 1.0);
}

#[test]
fn a_movement_that_stands_still_is_no_movement() {
    let movement = |hz| Movement {
        fixtures: vec![1],
        kind: MovementKind::Pan,
        wave: Wave::Sine,
        hz,
        size: 30.0,
        spread: 0.0,
    };
    for hz in [0.0, -0.0, 1e-12] {
        let cue = Cue { movements: vec![movement(hz)], ..timed("1", 0.0, &LIT) };
        none(&alone(vec![cue]), "uneven");
    }
    let fast = Cue { movements: vec![movement(10.0)], ..timed("1", 0.0, &LIT) };
    says(
        &only(&alone(vec![fast]), "uneven"),
        "a channel goes up and down 10 times a second, and the line carries 2.2 packets each way",
        Severity::Warning,
    );
}
