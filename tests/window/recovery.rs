//! What is kept while it is not saved, and what becomes of it after a crash.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::Command;
use slotwright::app::bench::{BenchCommand, Page};
use slotwright::app::dialogs::Dialog;
use slotwright::app::files::{Done, Purpose};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::wire::{Slot, Universe};
use tempfile::TempDir;

use crate::desk::{apply, desk, finish, state, wait_for_jobs};

/// The window, which keeps its copies in a folder.
fn keeping(folder: &Path) -> Harness<'static, App> {
    let mut desk = desk();
    let ctx = desk.ctx.clone();
    desk.state_mut().state.keep_copies_in(&ctx, folder.to_owned());
    desk.run();
    desk
}

fn edit_a_slot(desk: &mut Harness<'static, App>, value: u8) {
    let values = vec![(Slot::new(500).expect("500 is a slot"), value)];
    apply(desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
}

fn edit_a_profile(desk: &mut Harness<'static, App>) {
    apply(desk, BenchCommand::NewMode.into());
}

/// Passes of the window until something is so.
#[track_caller]
fn until(desk: &mut Harness<'static, App>, mut so: impl FnMut(&Harness<'static, App>) -> bool) {
    let begun = Instant::now();
    while !so(desk) {
        assert!(begun.elapsed() < Duration::from_secs(20), "it never came to that");
        std::thread::sleep(Duration::from_millis(5));
        desk.step();
    }
}

fn endings(folder: &Path) -> Vec<String> {
    let files = fs::read_dir(folder).expect("a folder").flatten();
    let mut endings: Vec<String> = files
        .filter_map(|file| Some(file.path().extension()?.to_string_lossy().into_owned()))
        .collect();
    endings.sort();
    endings
}

/// The files as a crash leaves them: nobody holds the locks of these.
fn after_a_crash(folder: &Path) -> TempDir {
    let left = tempfile::tempdir().expect("a folder");
    for file in fs::read_dir(folder).expect("a folder").flatten() {
        fs::copy(file.path(), left.path().join(file.file_name())).expect("copied");
    }
    left
}

#[test]
fn an_unsaved_show_and_profile_come_back_after_a_crash() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = keeping(folder.path());
    edit_a_slot(&mut first, 77);
    apply(&mut first, Command::Do(Action::Bench));
    edit_a_profile(&mut first);
    until(&mut first, |_| endings(folder.path()) == ["lock", "profile", "show"]);
    let left = after_a_crash(folder.path());

    let mut second = keeping(left.path());
    until(&mut second, |desk| matches!(state(desk).dialog, Some(Dialog::Left(_))));
    second.run();
    second.get_by_label("Recover what was not saved?");
    second.get_by_label("Recover").click();
    second.run();
    wait_for_jobs(&mut second);
    assert_eq!(*state(&second).show(), *state(&first).show());
    assert!(state(&second).document.is_dirty() && state(&second).profile_is_dirty());
    let profile = |desk| state(desk).bench.as_ref().expect("a bench").profile().clone();
    assert_eq!(profile(&second), profile(&first));
    // The copies of before have given way to copies of the window that has them now.
    until(&mut second, |_| endings(left.path()) == ["lock", "profile", "show"]);
    drop(second);
    assert_eq!(endings(left.path()), [] as [String; 0], "a window that closes leaves nothing");
}

#[test]
fn a_saved_show_is_not_kept_and_copies_thrown_away_are_gone() {
    let folder = tempfile::tempdir().expect("a folder");
    let saved = tempfile::tempdir().expect("a folder");
    let mut desk = keeping(folder.path());
    edit_a_slot(&mut desk, 77);
    until(&mut desk, |_| endings(folder.path()) == ["lock", "show"]);
    let left = after_a_crash(folder.path());
    let path = saved.path().join("mine.ron");
    finish(&mut desk, Done::Chosen(Purpose::Save, path));
    until(&mut desk, |_| endings(folder.path()) == ["lock"]);

    let mut other = keeping(left.path());
    until(&mut other, |desk| state(desk).dialog.is_some());
    other.run();
    other.get_by_label("Throw away").click();
    other.run();
    until(&mut other, |_| endings(left.path()).is_empty());
    assert!(!state(&other).document.is_dirty());
}

#[test]
fn a_copy_that_cannot_be_read_as_a_show_says_why_and_stays() {
    let left = tempfile::tempdir().expect("a folder");
    fs::write(left.path().join("window-a.lock"), "").expect("written");
    let copy = "(of: Show, name: \"Broken\", path: None, text: \"(format: 1, name: 3)\")";
    fs::write(left.path().join("window-a.show"), copy).expect("written");
    let mut desk = keeping(left.path());
    until(&mut desk, |desk| state(desk).dialog.is_some());
    desk.run();
    desk.get_by_label("Recover").click();
    desk.run();
    wait_for_jobs(&mut desk);
    desk.get_by_label("The copy of Broken cannot be read");
    assert!(left.path().join("window-a.show").exists());
    assert_eq!(state(&desk).page, Page::Stage);
}
