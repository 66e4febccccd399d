//! Conditions in the window: typed with what fits offered, kept in the show, stopping time, and their times listed.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::clock::Mode;
use slotwright::app::cues::CueAsk;
use slotwright::app::files::Done;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::cue::Watched;
use slotwright::show::{CueEdit, Edit};
use slotwright::wire::parse_timed_frames;

use crate::desk::{apply, demo, finish, slow_desk_of, state, wait_for_jobs};

fn desk() -> Harness<'static, App> {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    apply(&mut desk, Command::Do(Action::Watch));
    desk
}

fn watch_for(desk: &mut Harness<'static, App>, conditions: &[&str]) {
    let watched = |when: &&str| Watched { when: (*when).to_owned(), on: true };
    let watches = conditions.iter().map(watched).collect();
    let edit = Edit::Cues(CueEdit::SetWatches { words: "watch".to_owned(), watches });
    apply(desk, Command::Edit { edit, gesture: false });
}

fn open_timed(desk: &mut Harness<'static, App>, csv: &str) {
    let read = parse_timed_frames(csv, None).expect("the timed frames read");
    finish(desk, Done::ReadTimed { path: "evening.csv".into(), result: Ok(read) });
}

#[test]
fn a_condition_is_typed_with_what_fits_and_kept_in_the_show() {
    let mut desk = desk();
    desk.get_by_label("Condition").focus();
    desk.step();
    desk.get_by_label("Condition").type_text("fixture 101 mo");
    desk.run();
    assert!(desk.query_by_label("moving").is_some(), "what fits is offered");
    desk.get_by_label("moving").click();
    desk.run();
    desk.get_by_label("while").click();
    desk.run();
    desk.get_by_label("lit").click();
    desk.run();
    desk.get_by_label("Add").click();
    desk.run();
    let watches = &state(&desk).show().cues.watches;
    assert_eq!(watches.len(), 1);
    assert_eq!((watches[0].when.as_str(), watches[0].on), ("fixture 101 moving while lit", true));
    apply(&mut desk, Command::Do(Action::Undo));
    assert!(state(&desk).show().cues.watches.is_empty());
}

#[test]
fn a_mistake_is_told_with_its_place_and_cannot_be_kept() {
    let mut desk = desk();
    desk.get_by_label("Condition").focus();
    desk.step();
    desk.get_by_label("Condition").type_text("fixture 101 litt");
    desk.run();
    desk.get_by_label_contains("character 13");
    desk.get_by_label("Add").click();
    desk.run();
    assert!(state(&desk).show().cues.watches.is_empty());
}

#[test]
fn time_stops_at_the_packet_that_makes_it_true() {
    let mut desk = desk();
    watch_for(&mut desk, &["slot 1.500 > 100"]);
    open_timed(&mut desk, "0,1,500,0\n0.733,1,500,150\n0.9,1,500,0\n2,1,500,120\n3,1,500,0\n");
    apply(&mut desk, Command::Do(Action::Play));
    desk.run_steps(30);
    let stopped = state(&desk).windows.watch.stopped.clone().expect("it stopped");
    assert_eq!(stopped.at_s, 0.733);
    assert_eq!(stopped.because, ["slot 1.500 = 150"]);
    assert_eq!((state(&desk).clock.mode, state(&desk).clock.t_s), (Mode::Paused, 0.733));
    desk.get_by_label_contains("Stopped at 0.733 s");
    // What is true already does not stop it again.
    apply(&mut desk, Command::Do(Action::Play));
    desk.run_steps(60);
    let stopped = state(&desk).windows.watch.stopped.clone().expect("it stopped");
    assert_eq!(stopped.at_s, 2.0);
}

#[test]
fn a_condition_that_is_off_stops_nothing() {
    let mut desk = desk();
    watch_for(&mut desk, &["slot 1.500 > 100"]);
    desk.get_by_label("Watch for slot 1.500 > 100").click();
    desk.run();
    assert!(!state(&desk).show().cues.watches[0].on);
    open_timed(&mut desk, "0,1,500,0\n0.5,1,500,150\n1,1,500,0\n");
    apply(&mut desk, Command::Do(Action::Play));
    desk.run_steps(40);
    assert_eq!(state(&desk).windows.watch.stopped, None);
    assert!(state(&desk).clock.t_s >= 1.0);
}

#[test]
fn cues_that_play_are_stopped_too() {
    let mut desk = desk();
    watch_for(&mut desk, &["fixture 302 lit while moving"]);
    apply(&mut desk, Command::Cues(CueAsk::Show(0)));
    apply(&mut desk, Command::Cues(CueAsk::Seek(33.0)));
    apply(&mut desk, Command::Do(Action::Play));
    desk.run_steps(80);
    let stopped = state(&desk).windows.watch.stopped.clone().expect("it stopped");
    assert!((33.7..33.8).contains(&stopped.at_s), "{stopped:?}");
    assert_eq!(state(&desk).clock.mode, Mode::Paused);
}

#[test]
fn all_times_are_listed_and_lead_to_the_instant() {
    let mut desk = desk();
    watch_for(&mut desk, &["slot 1.500 > 100", "fixture 302 lit while moving"]);
    open_timed(&mut desk, "0,1,500,0\n0.733,1,500,150\n0.9,1,500,0\n2,1,500,120\n3,1,500,0\n");
    desk.get_by_label("All times of slot 1.500 > 100").click();
    desk.step();
    wait_for_jobs(&mut desk);
    let listed = state(&desk).windows.watch.listed.as_ref().expect("it is listed");
    assert_eq!(listed.found.as_ref().map(|found| found.count), Some(2));
    desk.get_by_label("Go to 2 s").click();
    desk.run();
    assert_eq!(state(&desk).clock.t_s, 2.0);
    // Without timed frames the list on show is looked through.
    apply(&mut desk, Command::Do(Action::CloseTimed));
    desk.get_by_label("All times of fixture 302 lit while moving").click();
    desk.step();
    wait_for_jobs(&mut desk);
    let listed = state(&desk).windows.watch.listed.as_ref().expect("it is listed");
    let first_s = listed.found.as_ref().expect("it ran").spans[0].from_s;
    let label = format!("Go to {} s", (first_s * 1000.0).round() / 1000.0);
    desk.get_by_label(&label).click();
    desk.run();
    assert!(state(&desk).cues.lead().is_some_and(|lead| (lead.now_s() - first_s).abs() < 0.03));
}

#[test]
fn a_condition_that_the_rig_does_not_know_is_told_and_stops_nothing() {
    let mut desk = desk();
    watch_for(&mut desk, &["fixture 999 lit"]);
    desk.get_by_label_contains("no fixture 999");
    apply(&mut desk, Command::Do(Action::Play));
    desk.run_steps(3);
    assert_eq!(state(&desk).windows.watch.stopped, None);
}

#[test]
fn the_first_condition_can_be_typed_as_soon_as_the_window_is_open() {
    let mut desk = desk();
    desk.run();
    assert!(desk.get_by_label("Condition").is_focused());
    watch_for(&mut desk, &["fixture 101 lit"]);
    for _ in 0..2 {
        apply(&mut desk, Command::Do(Action::Watch));
        desk.run();
    }
    assert!(!desk.get_by_label("Condition").is_focused(), "keys go on to play time");
}
