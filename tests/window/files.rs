//! Opening and saving: what is on disk, what is asked, and what a bad file leaves as it was.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::bench::BenchCommand;
use slotwright::app::files::{Done, Purpose, is_known_drawing};
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::profile::to_ron as profile_to_ron;
use slotwright::show::{import_profile, read_show, save_show};
use slotwright::wire::{Slot, Universe};

use crate::desk::{apply, demo, desk, finish, state, wait_for_jobs};
use crate::gdtf_file::{Parts, mode, plain};

fn edit_a_slot(desk: &mut Harness<'static, App>) {
    let values = vec![(Slot::new(500).expect("500 is a slot"), 77)];
    apply(desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
}

fn save_to(desk: &mut Harness<'static, App>, path: &Path) {
    finish(desk, Done::Chosen(Purpose::Save, path.to_owned()));
}

#[test]
fn a_bad_file_says_what_is_wrong_and_leaves_the_show_open() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("bad.ron");
    std::fs::write(&path, "(format: 1,\n name: \"x\",\n fixtures: [(id: 1,]\n)").expect("written");
    let mut desk = desk();
    edit_a_slot(&mut desk);
    let before = state(&desk).show().clone();
    apply(&mut desk, Command::OpenFile(path));
    wait_for_jobs(&mut desk);
    desk.get_by_label("bad.ron cannot be opened");
    desk.get_by_label_contains("bad.ron:3:");
    assert_eq!(*state(&desk).show(), before);
    desk.key_press(Key::Enter);
    desk.run();
    assert!(state(&desk).dialog.is_none());
    assert!(state(&desk).document.is_dirty(), "the edit is still there");
}

#[test]
fn a_missing_file_says_so() {
    let mut desk = desk();
    apply(&mut desk, Command::OpenFile("/nowhere/at/all.ron".into()));
    wait_for_jobs(&mut desk);
    desk.get_by_label("all.ron cannot be opened");
    assert_eq!(state(&desk).show().name, demo().name);
}

/// A file let go over the window.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

#[test]
fn a_show_dropped_on_the_window_is_opened_and_several_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("other.ron");
    let other = slotwright::show::Show { name: "Other".to_owned(), ..demo() };
    save_show(&path, &other).expect("written");
    let mut desk = desk();
    for count in [2, 1] {
        let files = (0..count).map(|_| Arc::new(Dropped(path.clone())) as Arc<_>);
        desk.input_mut().dropped_files = files.collect();
        desk.run();
        wait_for_jobs(&mut desk);
        if count == 2 {
            desk.get_by_label_contains("Several files were dropped");
            assert_eq!(state(&desk).show().name, demo().name);
            desk.key_press(Key::Escape);
            desk.run();
        }
    }
    assert_eq!(state(&desk).show().name, "Other");
}

#[test]
fn a_show_is_saved_and_read_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk();
    edit_a_slot(&mut desk);
    save_to(&mut desk, &folder.path().join("mine"));
    assert!(!state(&desk).document.is_dirty());
    let path = folder.path().join("mine.ron");
    let (read, _) = read_show(&path, &is_known_drawing).expect("it reads back");
    assert_eq!(read, *state(&desk).show());
    edit_a_slot(&mut desk);
    assert!(!state(&desk).document.is_dirty(), "the same value again is no change");
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert!(state(&desk).document.is_dirty(), "going back behind the save is a change");
    desk.key_press_modifiers(Modifiers::COMMAND, Key::S);
    desk.run();
    wait_for_jobs(&mut desk);
    let (read, _) = read_show(&path, &is_known_drawing).expect("it reads back");
    assert_eq!(read, *state(&desk).show());
    assert_eq!(state(&desk).preferences.recent.first(), Some(&path));
}

#[test]
fn a_save_that_fails_says_why_and_loses_nothing() {
    let mut desk = desk();
    edit_a_slot(&mut desk);
    save_to(&mut desk, Path::new("/nowhere/at/all.ron"));
    desk.get_by_label("all.ron was not saved");
    assert!(state(&desk).document.is_dirty());
    assert_eq!(state(&desk).document.path(), None);
}

#[test]
fn opening_another_show_asks_about_unsaved_changes() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("other.ron");
    let other = slotwright::show::Show { name: "Other".to_owned(), ..demo() };
    save_show(&path, &other).expect("written");
    let mut desk = desk();
    edit_a_slot(&mut desk);
    apply(&mut desk, Command::OpenFile(path.clone()));
    wait_for_jobs(&mut desk);
    desk.get_by_label("Cancel").click();
    desk.run();
    assert_eq!(state(&desk).show().name, demo().name);
    apply(&mut desk, Command::OpenFile(path.clone()));
    wait_for_jobs(&mut desk);
    desk.get_by_label("Discard").click();
    desk.run();
    assert_eq!(state(&desk).show().name, "Other");
    assert_eq!(state(&desk).document.path(), Some(path.as_path()));
}

#[test]
fn saving_first_goes_on_to_what_was_asked() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mine.ron");
    let mut desk = desk();
    save_to(&mut desk, &path);
    edit_a_slot(&mut desk);
    apply(&mut desk, Command::Do(Action::New));
    // Save is what Enter stands for.
    desk.key_press(Key::Enter);
    desk.run();
    wait_for_jobs(&mut desk);
    assert!(state(&desk).show().rig.is_empty(), "the new show is open");
    let (read, _) = read_show(&path, &is_known_drawing).expect("it was saved");
    let slot = Slot::new(500).expect("500 is a slot");
    assert_eq!(read.levels.state(Universe::ONE, slot).value(), Some(77));
}

#[test]
fn without_a_file_dialog_a_path_is_typed() {
    let mut desk = desk();
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("typed.ron");
    finish(&mut desk, Done::NoDialog(Purpose::Save));
    desk.get_by_label_contains("no file dialog");
    let label = "This system offers no file dialog, so type where the file is:";
    let field = desk.get_by_role_and_label(egui::accesskit::Role::TextInput, label);
    field.type_text(&path.display().to_string());
    desk.run();
    desk.key_press(Key::Enter);
    desk.run();
    wait_for_jobs(&mut desk);
    assert!(path.is_file());
}

#[test]
fn a_fixture_description_comes_into_the_show_by_way_of_a_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("alder.gdtf");
    let channels = plain("1", "Lens", "Dimmer", "") + &plain("2", "Body", "Fans", "");
    let file = Parts { modes: &mode(&channels), ..Parts::default() }.packed();
    std::fs::write(&path, file).expect("written");
    let mut desk = desk();
    let imported = Box::new(import_profile(&path, None).expect("a sound file"));
    let out = folder.path().join("alder.ron");
    std::fs::write(&out, profile_to_ron(&imported.profile)).expect("written");
    finish(&mut desk, Done::ProfileWritten { path: out, imported, result: Ok(()) });
    desk.get_by_label("alder.ron imported, with something to say");
    desk.get_by_label_contains("attribute `Fans` has no counterpart here");
    let show = state(&desk).show();
    assert!(show.profiles.contains_key("Neutral ALDER"));
    assert!(show.profile_files.iter().any(|file| file.ends_with("alder.ron")));
    desk.key_press(Key::Enter);
    desk.run();
    // Undone, it is out of the show, and the file stays.
    apply(&mut desk, Command::Do(Action::Undo));
    let show = state(&desk).show();
    assert!(!show.profiles.contains_key("Neutral ALDER") && show.profile_files.is_empty());
    apply(&mut desk, Command::Do(Action::Redo));
    assert!(state(&desk).show().profiles.contains_key("Neutral ALDER"));
    // A file that is none says so and leaves the show as it was.
    std::fs::write(&path, "hello").expect("written");
    apply(&mut desk, Command::OpenFile(path));
    wait_for_jobs(&mut desk);
    desk.get_by_label("alder.gdtf cannot be imported");
}

/// The profile of the selected fixture goes out as a fixture description, which reads back.
#[test]
fn a_profile_is_exported_where_somebody_chooses() {
    let mut desk = desk();
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("spot.gdtf");
    let chosen = Done::Chosen(Purpose::Describe, path.clone());
    finish(&mut desk, chosen);
    let back = import_profile(&path, None).expect("a sound file");
    let fixture = &state(&desk).show().rig[state(&desk).selection[0]];
    assert_eq!(back.profile.key().0, fixture.profile);
    apply(&mut desk, Command::Select { fixtures: Vec::new(), how: How::Replace });
    apply(&mut desk, Command::Do(Action::Describe));
    let said = state(&desk).status.as_ref().map(|status| status.words.clone());
    assert_eq!(said.as_deref(), Some("select a fixture to export its profile"));
}

#[test]
fn the_profile_on_the_bench_is_exported_and_what_the_file_does_not_hold_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::Bench));
    apply(&mut desk, Command::Bench(BenchCommand::OpenLibrary("Tarnfell S1 Spot".to_owned())));
    let out = folder.path().join("spot.gdtf");
    ask_for_export(&mut desk, &out);
    let told = state(&desk).dialog.as_ref().map(|dialog| format!("{dialog:?}")).unwrap_or_default();
    assert!(told.contains("`AimFollow` reads back as `Unknown`"), "{told}");
    let back = import_profile(&out, None).expect("a sound file").profile;
    assert_eq!(back.key().0, "Tarnfell S1 Spot");
    desk.key_press(Key::Enter);
    desk.run();
    ask_for_export(&mut desk, Path::new("/nowhere/at/all.gdtf"));
    desk.get_by_label("all.gdtf was not written");
}

/// Asks for an export by its keys, and answers with a path for the system's file dialog.
fn ask_for_export(desk: &mut Harness<'static, App>, path: &Path) {
    desk.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::X);
    desk.run();
    // Whatever dialog the system has is of no use to a test.
    desk.state_mut().state.jobs.cancel();
    finish(desk, Done::NoDialog(Purpose::Describe));
    desk.get_by_label("Export a fixture");
    finish(desk, Done::Chosen(Purpose::Describe, path.to_owned()));
}
