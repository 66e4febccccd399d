//! The dry run in the window: it runs beside the window, leads to each instant, and takes reasons.

use std::time::{Duration, Instant};

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::cue::Value;

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
