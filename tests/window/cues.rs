//! Cue lists in the window: played, recorded, changed, gone through and undone.

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::clock::Mode;
use slotwright::app::cues::CueAsk;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::cue::{Cues, Value};
use slotwright::show::{CueEdit, Edit};
use slotwright::wire::{Frames, Slot, Universe};

use crate::desk::{LONG_STEP_S, apply, demo, slow_desk_of, state};
use crate::harness::snapshot_options;

type Desk = Harness<'static, App>;

/// The demo show without its cues.
fn no_cues() -> Desk {
    let mut show = demo();
    show.cues = Cues::default();
    slow_desk_of([1280.0, 800.0], show)
}

/// The demo show, with dark heads where they are: where they are moved ahead, going back is another way.
fn with_cues() -> Desk {
    let mut show = demo();
    show.cues.lists[0].dark_moves = None;
    let mut desk = slow_desk_of([1280.0, 800.0], show);
    act(&mut desk, Action::ToggleCues);
    desk
}

fn act(desk: &mut Desk, action: Action) {
    apply_and_look(desk, Command::Do(action));
}

fn ask(desk: &mut Desk, ask: CueAsk) {
    apply_and_look(desk, Command::Cues(ask));
}

/// A list that plays is never at rest, so that the window is only looked at twice.
fn apply_and_look(desk: &mut Desk, command: Command) {
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, command);
    desk.run_steps(2);
}

fn seconds(desk: &mut Desk, s: f64) {
    desk.run_steps((s / LONG_STEP_S).round() as usize);
}

fn at(desk: &Desk) -> Option<String> {
    let lead = state(desk).cues.lead()?;
    let player = lead.player(state(desk).cues.list)?;
    Some(player.list().cues[player.at()?].number.to_string())
}

fn set_slot(desk: &mut Desk, number: u16, value: u8) {
    let values = vec![(Slot::new(number).expect("a slot"), value)];
    let command = Command::SetSlots { universe: Universe::ONE, values, gesture: false };
    apply_and_look(desk, command);
}

fn slot(frames: &Frames, number: u16) -> Option<u8> {
    frames.state(Universe::ONE, Slot::new(number).expect("a slot")).value()
}

/// The slots that differ, with both values.
fn differing(before: &Frames, now: &Frames) -> Vec<(Universe, Slot, u8, Option<u8>)> {
    let held = before.iter().flat_map(|(universe, held)| {
        held.known().map(move |(slot, value)| (universe, slot, value))
    });
    held.map(|(universe, slot, value)| (universe, slot, value, now.state(universe, slot).value()))
        .filter(|(_, _, value, now)| *now != Some(*value))
        .collect()
}

fn numbers(desk: &Desk) -> Vec<String> {
    let list = state(desk).show().cues.lists.first();
    list.map_or(Vec::new(), |list| list.cues.iter().map(|cue| cue.number.to_string()).collect())
}

#[test]
fn a_list_plays_on_the_stage_and_leaves_the_show_as_it_is() {
    let mut desk = with_cues();
    let levels = state(&desk).show().levels.clone();
    desk.key_press(Key::G);
    desk.run_steps(3);
    assert_eq!(at(&desk).as_deref(), Some("1"));
    assert_eq!(state(&desk).clock.mode, Mode::Running);
    seconds(&mut desk, 5.0);
    let one = state(&desk).frames().clone();
    assert_ne!(one, levels, "the slots follow the list");
    act(&mut desk, Action::CueGo);
    seconds(&mut desk, 1.0);
    assert_eq!(at(&desk).as_deref(), Some("2"));
    act(&mut desk, Action::CueBack);
    seconds(&mut desk, 5.0);
    assert_eq!(at(&desk).as_deref(), Some("1"));
    assert_eq!(differing(&one, state(&desk).frames()), [], "back is as it was");
    assert_eq!(state(&desk).show().levels, levels);
    assert!(!state(&desk).document.is_dirty());
    act(&mut desk, Action::EndCues);
    assert!(state(&desk).cues.lead().is_none());
    assert_eq!(*state(&desk).frames(), levels);
}

#[test]
fn a_list_that_is_paused_stands_and_then_goes_on() {
    let mut desk = with_cues();
    act(&mut desk, Action::CueGo);
    seconds(&mut desk, 1.0);
    act(&mut desk, Action::CuePause);
    seconds(&mut desk, 0.2);
    let stood = state(&desk).frames().clone();
    seconds(&mut desk, 2.0);
    assert_eq!(*state(&desk).frames(), stood);
    act(&mut desk, Action::CuePause);
    seconds(&mut desk, 4.0);
    assert_ne!(*state(&desk).frames(), stood);
}

#[test]
fn what_the_lists_put_on_the_stage_can_be_taken_into_the_slots() {
    let mut desk = with_cues();
    ask(&mut desk, CueAsk::Jump(4));
    seconds(&mut desk, 6.0);
    let played = state(&desk).frames().clone();
    act(&mut desk, Action::CuesToSlots);
    assert!(state(&desk).cues.lead().is_none());
    assert_eq!(state(&desk).show().levels, played);
    act(&mut desk, Action::Undo);
    assert_ne!(state(&desk).show().levels, played);
}

#[test]
fn cues_are_made_of_the_stage_changed_and_undone() {
    let mut desk = no_cues();
    act(&mut desk, Action::ToggleCues);
    desk.get_by_label("Record a cue").click();
    desk.run_steps(3);
    assert_eq!(numbers(&desk), ["1"]);
    set_slot(&mut desk, 6, 0);
    act(&mut desk, Action::RecordCue);
    assert_eq!(numbers(&desk), ["1", "2"]);
    let second = &state(&desk).show().cues.lists[0].cues[1];
    assert_eq!(second.changes.len(), 1, "only what was touched: {:?}", second.changes);
    // One between the two.
    ask(&mut desk, CueAsk::Pick(0));
    set_slot(&mut desk, 6, 128);
    act(&mut desk, Action::RecordCue);
    assert_eq!(numbers(&desk), ["1", "1.1", "2"]);
    set_slot(&mut desk, 6, 64);
    act(&mut desk, Action::UpdateCue);
    for (cue, value) in [(0, None), (1, Some(64)), (2, Some(0))] {
        ask(&mut desk, CueAsk::Jump(cue));
        seconds(&mut desk, 2.5);
        if let Some(value) = value {
            assert_eq!(slot(state(&desk).frames(), 6), Some(value), "cue {cue}");
        }
    }
    act(&mut desk, Action::DeleteCue);
    assert_eq!(numbers(&desk), ["1", "1.1"]);
    while state(&desk).document.can_undo().is_some() {
        act(&mut desk, Action::Undo);
    }
    assert!(numbers(&desk).is_empty());
    assert!(state(&desk).cues.lead().is_none(), "there is nothing left to lead");
}

#[test]
fn an_edit_of_the_cue_that_is_on_is_seen_on_the_stage() {
    let mut desk = with_cues();
    act(&mut desk, Action::CueGo);
    seconds(&mut desk, 5.0);
    let before = state(&desk).frames().clone();
    let mut cue = state(&desk).show().cues.lists[0].cues[0].clone();
    let id = *cue.changes.keys().next().expect("a fixture");
    let channels = cue.changes.get_mut(&id).expect("its channels");
    channels.insert("Dimmer".to_owned(), Value::Byte(250));
    let edit = Edit::Cues(CueEdit::SetCue { list: 0, index: 0, cue: Box::new(cue) });
    apply_and_look(&mut desk, Command::Edit { edit, gesture: false });
    seconds(&mut desk, 0.2);
    assert_eq!(at(&desk).as_deref(), Some("1"), "it stays where it was");
    let changed = differing(&before, state(&desk).frames());
    assert!((1..=2).contains(&changed.len()), "{changed:?}");
}

#[test]
fn the_timeline_goes_to_any_instant_and_back() {
    let mut desk = with_cues();
    ask(&mut desk, CueAsk::Seek(3.0));
    let (first, stage) = (state(&desk).frames().clone(), state(&desk).clock.poses().to_vec());
    assert_eq!(state(&desk).clock.mode, Mode::Paused);
    ask(&mut desk, CueAsk::Seek(40.0));
    assert_ne!(*state(&desk).frames(), first);
    ask(&mut desk, CueAsk::Seek(3.0));
    assert_eq!(*state(&desk).frames(), first);
    assert_eq!(state(&desk).clock.poses(), stage);
    act(&mut desk, Action::Play);
    seconds(&mut desk, 2.0);
    assert!(state(&desk).cues.lead().is_some_and(|lead| lead.now_s() > 4.0), "it plays on");
}

#[test]
fn cells_of_the_grid_are_typed_and_cleared() {
    let mut desk = with_cues();
    ask(&mut desk, CueAsk::Grid);
    desk.run_steps(3);
    desk.get_by_label("Cue 1, 101 Pan: , never set").click();
    desk.run_steps(3);
    desk.get_by_label("Value of the chosen cells").focus();
    desk.run_steps(2);
    desk.get_by_label("Value of the chosen cells").type_text("30 deg");
    desk.run_steps(2);
    desk.key_press(Key::Enter);
    desk.run_steps(4);
    desk.get_by_label("Cue 1, 101 Pan: 30 deg, set here");
    desk.get_by_label("Cue 2, 101 Pan: 30 deg, carried over");
    desk.get_by_label("Clear").click();
    desk.run_steps(4);
    desk.get_by_label("Cue 1, 101 Pan: , never set");
}

#[test]
fn keys_record_and_show() {
    let mut desk = no_cues();
    desk.key_press_modifiers(Modifiers::COMMAND, Key::R);
    desk.run_steps(3);
    assert_eq!(numbers(&desk), ["1"]);
    assert!(state(&desk).preferences.cues, "what was recorded is shown");
    apply(&mut desk, Command::Do(Action::ToggleCues));
    assert!(!state(&desk).preferences.cues);
}

#[test]
fn cues_in_play_look_as_they_did() {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    act(&mut desk, Action::ToggleCues);
    ask(&mut desk, CueAsk::Jump(2));
    seconds(&mut desk, 1.5);
    act(&mut desk, Action::CuePause);
    desk.remove_cursor();
    desk.run_steps(3);
    desk.snapshot_options("cues", &snapshot_options());
}

/// Nothing in the panel may be wider than it is, or it would grow from pass to pass.
#[test]
fn the_panel_keeps_its_width_while_a_list_plays() {
    let mut desk = with_cues();
    let width = |desk: &Desk| desk.get_by_label("Grand level").rect().right();
    desk.key_press(Key::G);
    desk.run_steps(3);
    let before = width(&desk);
    desk.run_steps(40);
    assert!((width(&desk) - before).abs() < 0.5, "{before} to {}", width(&desk));
}
