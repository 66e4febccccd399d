//! Profiles that change while the window is open.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::finding::Severity;
use slotwright::show::ProfileSources;

use crate::desk::{apply, desk, state, wait_for_jobs};

/// A head of no more than a dimmer, that gives this much light at full.
fn head(percent: u8) -> String {
    format!(
        "(\n  maker: \"Wold\", model: \"Ember\", head: Fixed,\n  \
         source: White(flux_lm: 1000, cct_k: 3200), optics: (beam_deg: 10, field_deg: 20),\n  \
         modes: [(name: \"one\", slots: 1, channels: [(name: \"Dimmer\", at: [1], ranges: [\n    \
         (from: 0, to: 255, does: Dimmer(percent: (0, {percent}), curve: Linear)),\n  ])])],\n)\n"
    )
}

fn show(own: &str) -> String {
    format!(
        "(format: 1, name: \"Live\", {own}\n  fixtures: [(id: 1, profile: \"Wold Ember\", mode: \"one\", \
         universe: 1, slot: 1, at: (0, 2, 5))],\n  looks: [(name: \"On\", universes: {{1: [(at: 1, values: \
         [255])]}})],\n)\n"
    )
}

/// A window that watches `heads` on the show there.
fn open(folder: &Path) -> Harness<'static, App> {
    let mut desk = desk();
    let ctx = desk.ctx.clone();
    let sources = ProfileSources::in_folder(folder.join("heads"));
    desk.state_mut().state.watch_profiles(&ctx, sources);
    wait_until(&mut desk, |app| app.state.document.library().get("Wold Ember").is_some());
    apply(&mut desk, Command::OpenFile(folder.join("show.ron")));
    wait_for_jobs(&mut desk);
    assert_eq!(state(&desk).show().name, "Live");
    desk
}

#[track_caller]
fn wait_until(desk: &mut Harness<'static, App>, wanted: impl Fn(&App) -> bool) {
    let begun = Instant::now();
    while !wanted(desk.state()) {
        assert!(begun.elapsed() < Duration::from_secs(20), "the change is never seen");
        std::thread::sleep(Duration::from_millis(5));
        desk.step();
    }
    desk.run();
}

/// Light of the one fixture, as its dimmer has it: 0..1.
fn light(app: &App) -> f64 {
    let wanted =
        app.state.show().profiles["Wold Ember"].modes[0].channels[0].ranges[0].does.clone();
    match wanted {
        slotwright::profile::Effect::Dimmer { percent, .. } => percent.1 / 100.0,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_saved_edit_shows_at_once_and_a_broken_one_leaves_the_last_good() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("heads/ember.ron");
    fs::create_dir(folder.path().join("heads")).expect("made");
    fs::write(&path, head(100)).expect("written");
    fs::write(folder.path().join("show.ron"), show("")).expect("written");
    let mut desk = open(folder.path());
    let (levels, scene) = (state(&desk).show().levels.clone(), state(&desk).scene_number);

    fs::write(&path, head(40)).expect("written");
    wait_until(&mut desk, |app| light(app) == 0.4);
    assert_eq!(state(&desk).show().levels, levels);
    assert_ne!(state(&desk).scene_number, scene, "the light was worked out anew");
    assert!(!state(&desk).document.is_dirty(), "it is no edit of the show");
    desk.get_by_label_contains("read again: Wold Ember");

    fs::write(&path, head(40).replace("Dimmer(percent", "Dimer(percent")).expect("written");
    wait_until(&mut desk, |app| {
        app.state.status.as_ref().is_some_and(|status| status.severity == Severity::Error)
    });
    assert_eq!(light(desk.state()), 0.4);
    desk.get_by_label_contains("ember.ron:5:30: error: unknown effect `Dimer`");
    desk.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::F1);
    desk.run();
    desk.get_by_label_contains("Did you mean `Dimmer`?");
    desk.get_by_label_contains("Your own are looked for in");
    desk.key_press(Key::Escape);
    desk.run();

    fs::write(&path, head(40)).expect("written");
    wait_until(&mut desk, |app| app.state.profiles.sources.broken().count() == 0);
    desk.get_by_label("the profile file is mended");
}

#[test]
fn a_show_without_its_profile_opens_and_is_whole_when_the_profile_turns_up() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::create_dir(folder.path().join("heads")).expect("made");
    fs::write(folder.path().join("show.ron"), show("")).expect("written");
    let mut desk = desk();
    let ctx = desk.ctx.clone();
    let sources = ProfileSources::in_folder(folder.path().join("heads"));
    desk.state_mut().state.watch_profiles(&ctx, sources);
    apply(&mut desk, Command::OpenFile(folder.path().join("show.ron")));
    wait_for_jobs(&mut desk);
    assert_eq!(state(&desk).show().name, "Live");
    desk.get_by_label_contains("There is no profile `Wold Ember`");
    desk.key_press(Key::Escape);
    desk.run();
    apply(&mut desk, Command::Select { fixtures: vec![0], how: How::Replace });
    desk.get_by_label("Nothing is known of `Wold Ember` in the mode `one`.");
    desk.get_by_label_contains("at least 1 slot; raw from 1/1 on: 255");
    assert!(state(&desk).plan.fixtures()[0].mode.is_none());
    // Its own slot has it for its owner, and what is set there stays.
    let slot = slotwright::wire::Slot::new(1).expect("slot 1");
    let owners = state(&desk).plan.owners(slotwright::wire::Universe::ONE, slot);
    assert_eq!((owners.len(), owners[0].fixture, owners[0].channel), (1, 0, None));
    fs::write(folder.path().join("heads/ember.ron"), head(40)).expect("written");
    wait_until(&mut desk, |app| app.state.show().profiles.contains_key("Wold Ember"));
    assert_eq!(light(desk.state()), 0.4);
    assert!(state(&desk).plan.fixtures()[0].mode.is_some() && !state(&desk).document.is_dirty());
    desk.get_by_label_contains("read again: Wold Ember");
}

#[test]
fn a_head_of_which_nothing_is_known_is_given_another_model() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("show.ron"), show("")).expect("written");
    let mut desk = desk();
    apply(&mut desk, Command::OpenFile(folder.path().join("show.ron")));
    wait_for_jobs(&mut desk);
    desk.key_press(Key::Escape);
    desk.run();
    let before = state(&desk).show().clone();
    apply(&mut desk, Command::Select { fixtures: vec![0], how: How::Replace });
    apply(&mut desk, Command::Do(Action::ChangeModel));
    let change = desk.state_mut().state.windows.change.as_mut().expect("it is open");
    change.profile = "Saltgrave Cobble".to_owned();
    let library = slotwright::profile::Library::embedded();
    change.mode = library.get("Saltgrave Cobble").expect("it comes along").modes[0].name.clone();
    desk.run();
    desk.get_by_label_contains("nothing is known of `Wold Ember`");
    desk.get_by_label("Change and translate").click();
    desk.run();
    assert_eq!(state(&desk).show().rig[0].profile, "Saltgrave Cobble");
    assert_eq!(state(&desk).show().levels, before.levels);
    apply(&mut desk, Command::Do(Action::Undo));
    assert_eq!(state(&desk).show(), &before);
}

#[test]
fn the_shows_own_files_are_watched_too() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::create_dir(folder.path().join("heads")).expect("made");
    fs::write(folder.path().join("heads/ember.ron"), head(100)).expect("written");
    let own = folder.path().join("own.ron");
    fs::write(&own, head(70)).expect("written");
    fs::write(folder.path().join("show.ron"), show("profile_files: [\"own.ron\"],"))
        .expect("written");
    let mut desk = open(folder.path());
    assert_eq!(light(desk.state()), 0.7);
    // That the show's own hides the other is said when it is opened.
    desk.get_by_label_contains("The show's own `Wold Ember` is used");
    desk.key_press(Key::Escape);
    desk.run();
    wait_until(&mut desk, |app| !app.state.profiles.sources.own_paths().is_empty());
    fs::write(&own, head(10)).expect("written");
    wait_until(&mut desk, |app| light(app) == 0.1);
    // A mode that is in use cannot go.
    fs::write(&own, head(10).replace("\"one\"", "\"two\"")).expect("written");
    wait_until(&mut desk, |app| {
        app.state.status.as_ref().is_some_and(|status| status.words.contains("has no mode `one`"))
    });
    assert_eq!(light(desk.state()), 0.1);
}
