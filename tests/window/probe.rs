//! The form for probing a head without a chart.

use std::path::Path;

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use slotwright::app::shell::App;
use slotwright::profile::Effect;
use slotwright::profile::parse_profile;
use slotwright::profile::probe::Seen;

use crate::desk::{desk, state, wait_for_jobs};

fn click(desk: &mut Harness<'static, App>, words: &str) {
    desk.get_by_role_and_label(Role::Button, words).click();
    desk.run();
    wait_for_jobs(desk);
}

fn fill_in(desk: &mut Harness<'static, App>, field: &str, text: &str) {
    let node = desk.get_by_role_and_label(Role::TextInput, field);
    node.focus();
    desk.run();
    desk.key_press_modifiers(Modifiers::COMMAND, Key::A);
    desk.get_by_role_and_label(Role::TextInput, field).type_text(text);
    desk.run();
}

/// The form on a head of two slots whose notes lie in `folder`.
fn begin(folder: &Path) -> Harness<'static, App> {
    let mut desk = desk();
    desk.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::U);
    desk.run();
    desk.get_by_label_contains("The head will move without warning");
    fill_in(&mut desk, "Maker", "Wold");
    fill_in(&mut desk, "Model", "Nameless");
    fill_in(&mut desk, "Notes file", &folder.join("notes/wold.csv").display().to_string());
    desk.get_by_role_and_label(Role::SpinButton, "Slots").set_value_accesskit(2.0);
    desk.run();
    click(&mut desk, "Start");
    desk
}

fn instruction(desk: &Harness<'static, App>) -> String {
    state(desk).probe.step().expect("there is a step").words()
}

#[test]
fn each_step_says_what_to_set_and_takes_what_is_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = begin(folder.path());
    desk.get_by_label("Set every slot to 0.");
    click(&mut desk, "nothing");
    desk.get_by_label("Set slot 1 to 32; every other slot to 0.");
    // A colour needs its name.
    assert!(desk.get_by_role_and_label(Role::Button, "colour").accesskit_node().is_disabled());
    fill_in(&mut desk, "Measured", "2.5");
    click(&mut desk, "strobes");
    let probe = state(&desk).probe.probe().expect("it goes on");
    assert_eq!(probe.notes[1].measured, Some((2.5, 2.5)));
    assert_eq!(instruction(&desk), "Set slot 1 to 64; every other slot to 0.");
    click(&mut desk, "Back");
    assert_eq!(instruction(&desk), "Set slot 1 to 32; every other slot to 0.");
    fill_in(&mut desk, "Measured", "many");
    click(&mut desk, "strobes");
    desk.get_by_label_contains("`many` is no measurement");
    assert_eq!(instruction(&desk), "Set slot 1 to 32; every other slot to 0.");
    click(&mut desk, "Skip the slot");
    assert_eq!(instruction(&desk), "Set slot 2 to 32; every other slot to 0.");
    fill_in(&mut desk, "Name or words", "red");
    click(&mut desk, "colour");
    let probe = state(&desk).probe.probe().expect("it goes on");
    assert_eq!(probe.notes.last().map(|note| &note.seen), Some(&Seen::Colour("red".to_owned())));
}

#[test]
fn progress_is_kept_in_a_file_and_a_draft_is_made_at_the_end() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = begin(folder.path());
    click(&mut desk, "nothing");
    click(&mut desk, "brighter");
    drop(desk);
    // The same file again, as after a crash.
    let desk = begin(folder.path());
    assert_eq!(instruction(&desk), "Set slot 1 to 64; every other slot to 0.");
    drop(desk);
    // All but the last of it, as it may have been noted by hand.
    let notes = "# maker: Wold\n# model: Nameless\n# slots: 2\nslot,from,to,seen,measured,held\n\
                 all,0,0,nothing\n1,1,255,brighter\n2,1,255,nothing\n2,1,254,nothing,,1=255\n";
    std::fs::write(folder.path().join("notes/wold.csv"), notes).expect("written");
    let mut desk = begin(folder.path());
    let last = "Set slot 2 to 255; keep slot 1 at 255, every other slot at 0.";
    assert_eq!(instruction(&desk), last);
    click(&mut desk, "nothing");
    desk.get_by_label("There is nothing left to look at.");
    click(&mut desk, "Save draft profile");
    let text = std::fs::read_to_string(folder.path().join("notes/wold.ron")).expect("a draft");
    let (draft, _) = parse_profile(&text, None, &|_| false).expect("a sound one");
    assert_eq!(draft.key().0, "Wold Nameless");
    let does = |slot: usize| draft.modes[0].channels[slot].ranges[0].does.clone();
    assert!(matches!(does(0), Effect::Dimmer { percent: (0.0, 100.0), .. }));
    assert_eq!(does(1), Effect::Unknown);
}

#[test]
fn notes_that_cannot_be_read_are_left_as_they_are() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("notes/wold.csv");
    std::fs::create_dir(folder.path().join("notes")).expect("made");
    std::fs::write(&path, "slot,from,to,seen\n900,0,1,nothing\n").expect("written");
    let mut desk = begin(folder.path());
    desk.get_by_label("The notes cannot be opened");
    desk.key_press(Key::Escape);
    desk.run();
    assert!(state(&desk).probe.probe().is_none());
    let text = std::fs::read_to_string(&path).expect("still there");
    assert!(text.contains("900"));
}
