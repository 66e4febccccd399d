//! The dry run in the window: it runs beside the window, leads to each instant, and takes reasons.

use std::time::{Duration, Instant};

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::cues::CueAsk;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::cue::Value;
use slotwright::profile::Accepted;
use slotwright::show::{CueEdit, Edit};

use crate::desk::{demo, slow_desk_of, state};

type Desk = Harness<'static, App>;

/// The demo show, in whose second list a spot flashes too fast.
fn desk() -> Desk {
    let mut show = demo();
    show.cues.accepted.clear();
    let cue = &mut show.cues.lists[1].cues[0];
    let value = |text: &str| text.parse::<Value>().expect("a value");
    let strobe = [("Dimmer", value("100 %")), ("Shutter", value("10 Hz"))];
    cue.changes
        .insert(101, strobe.into_iter().map(|(name, value)| (name.to_owned(), value)).collect());
    slow_desk_of([1280.0, 800.0], show)
}

fn act(desk: &mut Desk, action: Action) {
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, Command::Do(action));
    desk.run_steps(2);
}

/// Waits for the run, which goes on beside the window.
fn wait(desk: &mut Desk) {
    let start = Instant::now();
    while state(desk).jobs.is_busy() {
        assert!(start.elapsed() < Duration::from_secs(60), "the run does not end");
        std::thread::sleep(Duration::from_millis(10));
        desk.run_steps(1);
    }
    desk.run_steps(2);
}

#[test]
fn a_dry_run_tells_leads_to_the_instant_and_takes_a_reason() {
    let mut desk = desk();
    let show = slotwright::app::cues::CueAsk::Show(0);
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, Command::Cues(show));
    act(&mut desk, Action::DryRun);
    wait(&mut desk);
    let report = state(&desk).windows.dry_run.as_ref().and_then(|run| run.report.as_ref());
    let told = report.expect("a report").told.clone();
    let moves =
        told.iter().find(|told| told.finding.code == "moves-lit").expect("the search is seen");
    // The moment is a button: the stage goes there, and whom it concerns is selected.
    let ids: Vec<String> = moves.fixtures.iter().map(u32::to_string).collect();
    let label = format!("moves-lit of {} at {:.2} s", ids.join(", "), moves.at_s);
    desk.get_by_label(&label).click();
    desk.run_steps(3);
    let selected = state(&desk).selection.iter().map(|at| state(&desk).show().rig[*at].id);
    assert_eq!(selected.collect::<Vec<_>>(), moves.fixtures);
    assert!(state(&desk).cues.lead().is_some(), "the list leads there");
    // A reason is kept in the show, as a step of undo, and hides the finding after the next run.
    desk.get_all_by_label("Accept\u{2026}").next().expect("a finding").click();
    desk.run_steps(2);
    desk.get_by_label("Reason").focus();
    desk.run_steps(1);
    desk.get_by_label("Reason").type_text("it is a search light");
    desk.run_steps(2);
    desk.get_by_label("Accept").click();
    desk.run_steps(3);
    let accepted = &state(&desk).show().cues.accepted;
    assert_eq!(accepted.len(), 1);
    assert_eq!(accepted[0].reason, "it is a search light");
    assert_eq!(state(&desk).document.can_undo(), Some("accept `moves-lit`"));
    desk.get_by_label("Run again (changed since)").click();
    desk.run_steps(2);
    wait(&mut desk);
    let report = state(&desk).windows.dry_run.as_ref().and_then(|run| run.report.as_ref());
    assert!(report.expect("a report").told.iter().any(|told| told.finding.accepted.is_some()));
    act(&mut desk, Action::DryRun);
    assert!(state(&desk).windows.dry_run.is_none());
}

#[test]
fn flashes_are_told_with_the_caution() {
    let mut desk = desk();
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, Command::Cues(slotwright::app::cues::CueAsk::Show(1)));
    act(&mut desk, Action::DryRun);
    wait(&mut desk);
    let report = state(&desk).windows.dry_run.as_ref().and_then(|run| run.report.as_ref());
    let told = &report.expect("a report").told;
    let flashes = told.iter().find(|told| told.finding.code == "flashes").expect("it flashes");
    assert_eq!(flashes.fixtures, [101]);
    assert!(flashes.finding.mend.contains("photosensitive"));
}

/// The desk after a dry run of the first list, with the window of the dry run closed.
fn marked() -> (Desk, slotwright::check::rehearse::Report) {
    let mut desk = desk();
    ask(&mut desk, CueAsk::Show(0));
    act(&mut desk, Action::ToggleCues);
    act(&mut desk, Action::DryRun);
    wait(&mut desk);
    act(&mut desk, Action::DryRun);
    let report = state(&desk).cues.found.as_ref().expect("it is kept").report.as_ref().clone();
    (desk, report)
}

fn ask(desk: &mut Desk, ask: CueAsk) {
    run(desk, Command::Cues(ask));
}

fn run(desk: &mut Desk, command: Command) {
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, command);
    desk.run_steps(3);
}

#[test]
fn what_was_found_is_marked_on_rows_in_the_timeline_and_in_the_grid() {
    let (mut desk, report) = marked();
    let of_cue = |place: usize| report.told.iter().filter(move |told| told.cue == place);
    let place = (0..).find(|place| of_cue(*place).count() == 1).expect("a cue with one finding");
    let told = of_cue(place).next().expect("it").clone();
    let words = report.cues[0][place].clone();
    ask(&mut desk, CueAsk::Pick(place));
    let name = format!("1 finding of {words}");
    desk.get_by_label(&name).click();
    desk.run_steps(3);
    // The stage goes there, whom it concerns is selected, and the status line says what.
    let lead = state(&desk).cues.lead().expect("the list leads");
    assert!((lead.now_s() - told.at_s).abs() < 0.05);
    assert_eq!(state(&desk).cues.picked, Some(place));
    let ids: Vec<u32> =
        state(&desk).selection.iter().map(|at| state(&desk).show().rig[*at].id).collect();
    assert!(told.fixtures.is_empty() || ids == told.fixtures);
    assert_eq!(state(&desk).status.as_ref().expect("said").words, told.finding.what);
    // The first mark of the timeline is that of the first finding, or of a graver one close by.
    let marks: Vec<_> = desk.get_all_by_label_contains(" s in the timeline").collect();
    assert!(!marks.is_empty());
    drop(marks);
    ask(&mut desk, CueAsk::Grid);
    assert_eq!(desk.get_all_by_label(&name).count(), 2, "the row of the grid has it too");
    // Accepting it takes the mark away; another change makes the marks stale and keeps them.
    let accepted = Accepted {
        code: told.finding.code.to_owned(),
        at: told.finding.place.item.clone().expect("a place"),
        reason: "it is meant".to_owned(),
    };
    let edit = Edit::Cues(CueEdit::Accept(accepted));
    run(&mut desk, Command::Edit { edit, gesture: false });
    assert!(desk.query_by_label(&name).is_none());
    assert!(desk.query_all_by_label_contains(" s in the timeline").next().is_some());
    let mut cue = state(&desk).show().cues.lists[0].cues[11].clone();
    cue.notes = "changed".to_owned();
    let edit = Edit::Cues(CueEdit::SetCue { list: 0, index: 11, cue: Box::new(cue) });
    run(&mut desk, Command::Edit { edit, gesture: false });
    assert!(desk.query_all_by_label_contains(" s in the timeline").next().is_none());
    assert!(desk.query_all_by_label_contains(" of cue ").next().is_some(), "rows keep theirs");
}
