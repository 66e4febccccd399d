//! Cues by keys, on paper and side by side.

use std::path::PathBuf;

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::command::How;
use slotwright::app::cues::CueAsk;
use slotwright::app::files::{Done, Purpose};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::show::{CueEdit, Edit, save_show};
use slotwright::wire::{Slot, Universe};

use crate::desk::{demo, finish, slow_desk_of, state, wait_for_jobs};

type Desk = Harness<'static, App>;

fn desk() -> Desk {
    let mut desk = slow_desk_of([1280.0, 800.0], demo());
    run(&mut desk, Command::Do(Action::ToggleCues));
    desk
}

fn run(desk: &mut Desk, command: Command) {
    let ctx = desk.ctx.clone();
    desk.state_mut().state.apply(&ctx, command);
    desk.run_steps(3);
}

fn press(desk: &mut Desk, modifiers: Modifiers, key: Key) {
    desk.key_press_modifiers(modifiers, key);
    desk.run_steps(3);
}

fn at(desk: &Desk) -> Option<String> {
    let player = state(desk).cues.lead()?.player(state(desk).cues.list)?;
    Some(player.list().cues[player.at()?].number.to_string())
}

fn file(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("slotwright-cues-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    folder.join(name)
}

#[test]
fn a_cue_is_jumped_to_by_its_number() {
    let mut desk = desk();
    press(&mut desk, Modifiers::COMMAND, Key::J);
    desk.get_by_label("Number of the cue to jump to").type_text("5");
    desk.run_steps(2);
    press(&mut desk, Modifiers::NONE, Key::Enter);
    assert_eq!(at(&desk).as_deref(), Some("5"));
    assert!(desk.query_by_label("Number of the cue to jump to").is_none(), "the field goes");
    // A number that is not there says so, and what plays goes on.
    press(&mut desk, Modifiers::COMMAND, Key::J);
    desk.get_by_label("Number of the cue to jump to").type_text("5.5");
    desk.run_steps(2);
    press(&mut desk, Modifiers::NONE, Key::Enter);
    assert_eq!(at(&desk).as_deref(), Some("5"));
    assert!(state(&desk).status.as_ref().is_some_and(|said| said.words.contains("no cue 5.5")));
    // Escape leaves all as it is.
    press(&mut desk, Modifiers::COMMAND, Key::J);
    desk.get_by_label("Number of the cue to jump to").type_text("7");
    desk.run_steps(2);
    press(&mut desk, Modifiers::NONE, Key::Escape);
    assert_eq!(at(&desk).as_deref(), Some("5"));
    assert!(desk.query_by_label("Number of the cue to jump to").is_none());
}

#[test]
fn rate_and_grand_level_have_keys() {
    let mut desk = desk();
    run(&mut desk, Command::Cues(CueAsk::Jump(2)));
    press(&mut desk, Modifiers::NONE, Key::I);
    let rate = |desk: &Desk| state(desk).cues.lead().and_then(|lead| Some(lead.player(0)?.rate()));
    assert_eq!(rate(&desk), Some(1.25));
    press(&mut desk, Modifiers::SHIFT, Key::I);
    press(&mut desk, Modifiers::SHIFT, Key::I);
    assert_eq!(rate(&desk), Some(0.75));
    let grand = |desk: &Desk| state(desk).cues.lead().map_or(0.0, |lead| lead.playbacks.grand());
    press(&mut desk, Modifiers::SHIFT, Key::U);
    press(&mut desk, Modifiers::SHIFT, Key::U);
    assert!((grand(&desk) - 0.9).abs() < 1e-9);
    press(&mut desk, Modifiers::NONE, Key::U);
    assert!((grand(&desk) - 0.95).abs() < 1e-9);
    press(&mut desk, Modifiers::COMMAND, Key::K);
    assert!(state(&desk).cues.grid);
}

#[test]
fn a_list_is_flashed_while_its_key_is_held() {
    let mut desk = desk();
    run(&mut desk, Command::Cues(CueAsk::Show(1)));
    // The first head of the second list, whose first cue has its red at full.
    let red = |desk: &Desk| {
        let fixture = state(desk).show().rig.iter().find(|fixture| fixture.id == 501);
        let address = fixture.and_then(|fixture| fixture.address).expect("an address");
        let of: (Universe, Slot) = (address.universe, address.slot);
        (0..8)
            .filter_map(|offset| {
                let slot = Slot::new(of.1.number() + offset)?;
                state(desk).frames().state(of.0, slot).value()
            })
            .collect::<Vec<u8>>()
    };
    desk.key_down(Key::V);
    desk.run_steps(4);
    let held = red(&desk);
    assert!(held.contains(&255), "{held:?}");
    desk.key_up(Key::V);
    desk.run_steps(4);
    let after = red(&desk);
    assert!(!after.contains(&255), "{after:?}");
}

#[test]
fn the_cue_sheet_is_written_beside_the_window() {
    let mut desk = desk();
    let path = file("sheet.html");
    finish(&mut desk, Done::Chosen(Purpose::Sheet, path.clone()));
    wait_for_jobs(&mut desk);
    let page = std::fs::read_to_string(&path).expect("it was written");
    assert!(
        page.contains("Last song") && page.contains("data:image/svg"),
        "with words and pictures"
    );
    let said = state(&desk).status.as_ref().expect("it says so");
    assert!(said.words.starts_with("written: "), "{}", said.words);
}

#[test]
fn lists_are_compared_with_lists_shows_and_modes() {
    let mut desk = desk();
    press(&mut desk, Modifiers::COMMAND | Modifiers::SHIFT, Key::K);
    // Another list of the show is chosen to begin with.
    desk.get_by_label("Compare").click();
    desk.run_steps(2);
    wait_for_jobs(&mut desk);
    let found = |desk: &Desk| {
        let window = state(desk).windows.compare.as_ref().expect("it is open");
        let found = window.found.as_ref().expect("it is done").as_ref().expect("it went well");
        found.comparison.clone()
    };
    assert!(found(&desk).cues.len() > 5);
    // Another show, in which one cue has another time.
    let mut other = demo();
    other.cues.lists[0].cues[4].times.all.fade_s = 9.0;
    let path = file("other.ron");
    save_show(&path, &other).expect("it is written");
    finish(&mut desk, Done::Chosen(Purpose::CompareShow, path));
    wait_for_jobs(&mut desk);
    let differ = found(&desk);
    assert_eq!(differ.cues.len(), 1);
    assert_eq!(differ.cues[0].number, "5");
    // The heading leads to the cue.
    desk.get_by_label_contains("Go to ").click();
    desk.run_steps(3);
    assert_eq!(at(&desk).as_deref(), Some("5"));
    run(&mut desk, Command::Do(Action::EndCues));
    let page = file("difference.html");
    finish(&mut desk, Done::Chosen(Purpose::Comparison, page.clone()));
    wait_for_jobs(&mut desk);
    assert!(std::fs::read_to_string(&page).expect("it was written").contains("data:image/svg"));
    // A file that is no show says why.
    finish(&mut desk, Done::Chosen(Purpose::CompareShow, file("nowhere.ron")));
    wait_for_jobs(&mut desk);
    let window = state(&desk).windows.compare.as_ref().expect("it is open");
    assert!(matches!(window.found, Some(Err(_))));
    // The same list with some heads in another mode.
    let rig = &state(&desk).show().rig;
    let place = rig.iter().position(|fixture| fixture.id == 101).expect("it is there");
    run(&mut desk, Command::Select { fixtures: vec![place], how: How::Replace });
    desk.get_by_label("What to compare with").click();
    desk.run_steps(2);
    desk.get_by_label("itself in another model or mode").click();
    desk.run_steps(2);
    desk.get_by_label("Mode to compare with").click();
    desk.run_steps(2);
    desk.get_by_label("compact").click();
    desk.run_steps(2);
    desk.get_by_label("Compare").click();
    desk.run_steps(2);
    wait_for_jobs(&mut desk);
    assert!(found(&desk).sides.1.contains("mode compact"), "{:?}", found(&desk).sides);
    press(&mut desk, Modifiers::NONE, Key::Escape);
    assert!(state(&desk).windows.compare.is_none(), "Escape closes it");
}

#[test]
fn the_list_on_show_is_played_ahead_beside_the_window() {
    let mut desk = desk();
    let run_to = |desk: &mut Desk, t_s: f64| {
        run(desk, Command::Cues(CueAsk::Seek(t_s)));
        (state(desk).frames().clone(), state(desk).clock.poses().to_vec())
    };
    // What is seen at an instant does not depend on it.
    let before = run_to(&mut desk, 31.7);
    let start = std::time::Instant::now();
    while !state(&desk).is_prepared() {
        assert!(start.elapsed().as_secs() < 120, "it never is");
        std::thread::sleep(std::time::Duration::from_millis(10));
        desk.run_steps(1);
    }
    assert_eq!(run_to(&mut desk, 31.7), before);
    run_to(&mut desk, 3.0);
    assert_eq!(run_to(&mut desk, 31.7), before);
    // Every change begins it anew, and hiding the cues ends it.
    let mut cue = state(&desk).show().cues.lists[0].cues[1].clone();
    cue.times.all.fade_s = 4.0;
    let edit = Edit::Cues(CueEdit::SetCue { list: 0, index: 1, cue: Box::new(cue) });
    run(&mut desk, Command::Edit { edit, gesture: false });
    assert!(!state(&desk).is_prepared());
}

#[test]
fn an_edit_in_the_middle_of_a_fade_changes_nothing_else_on_the_stage() {
    for seek in [false, true] {
        let mut desk = desk();
        match seek {
            // The fifth second of the list is in the fade of its second cue.
            true => run(&mut desk, Command::Cues(CueAsk::Seek(9.8))),
            false => {
                run(&mut desk, Command::Cues(CueAsk::Jump(1)));
                desk.run_steps(10);
                run(&mut desk, Command::Do(Action::CuePause));
            }
        }
        desk.run_steps(2);
        let (frames, cue) = (state(&desk).frames().clone(), at(&desk));
        let poses = state(&desk).clock.poses().to_vec();
        let mut later = state(&desk).show().cues.lists[0].cues[8].clone();
        later.times.all.fade_s = 4.0;
        later.name = "Elsewhere".to_owned();
        let edit = Edit::Cues(CueEdit::SetCue { list: 0, index: 8, cue: Box::new(later) });
        run(&mut desk, Command::Edit { edit, gesture: false });
        assert_eq!(at(&desk), cue, "sought: {seek}");
        assert!(*state(&desk).frames() == frames, "sought: {seek}");
        if seek {
            assert_eq!(state(&desk).clock.poses(), poses, "no head moves");
        }
        run(&mut desk, Command::Do(Action::Undo));
        assert!(*state(&desk).frames() == frames, "sought: {seek}");
    }
}
