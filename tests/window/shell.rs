//! The window as a whole: lists, looks, undo, keys, closing, standing still.

use egui::accesskit::Role;
use egui::{Key, Modifiers, ViewportCommand, ViewportEvent, ViewportId};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use slotwright::app::keys::Action;
use slotwright::app::shell::App;
use slotwright::app::state::Preferences;
use slotwright::app::{Command, How};
use slotwright::show::Show;
use slotwright::stage::MarkState;
use slotwright::wire::{Frames, Slot, Universe};

use crate::desk::{USUAL, apply, demo, desk, desk_of, state};

fn edit_a_slot(desk: &mut Harness<'static, App>) {
    let slot = Slot::new(500).expect("500 is a slot");
    let values = vec![(slot, 77)];
    apply(desk, Command::SetSlots { universe: Universe::ONE, values, gesture: false });
    assert!(state(desk).document.is_dirty(), "the edit took place");
}

fn ask_to_close(desk: &mut Harness<'static, App>) {
    let root = desk.input_mut().viewports.entry(ViewportId::ROOT).or_default();
    root.events.push(ViewportEvent::Close);
    desk.step();
}

/// Whether the last pass told the window to do this.
fn was_told(desk: &Harness<'static, App>, wanted: &ViewportCommand) -> bool {
    let root = desk.output().viewport_output.get(&ViewportId::ROOT);
    root.is_some_and(|root| root.commands.contains(wanted))
}

#[test]
fn a_fixture_chosen_in_the_list_is_read() {
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::SelectNone));
    assert!(desk.query_by_role_and_label(Role::Slider, "Shutter").is_none());
    desk.get_by_label_contains("101 Front spot left,").click();
    desk.run();
    assert_eq!(state(&desk).selection, [0]);
    desk.get_by_role_and_label(Role::Slider, "Shutter");
}

#[test]
fn the_first_lit_head_is_read_at_once() {
    let desk = desk();
    assert_eq!(state(&desk).selection, [0], "101 gives light in the first look");
    desk.get_by_role_and_label(Role::Slider, "Pan");
    assert!(!state(&desk).document.is_dirty(), "a selection changes no show");
    desk.get_by_label_contains("Drag a ruler and watch the beam");
}

#[test]
fn another_show_begins_at_its_own_first_head() {
    let mut desk = desk();
    let show = Show { levels: Frames::default(), ..demo() };
    desk.state_mut().state.replace(show, None);
    desk.run();
    let [first] = state(&desk).selection[..] else { panic!("one is selected") };
    let lit = |i: usize| state(&desk).scene.marks[i].state == MarkState::Lit;
    assert!(lit(first) && !(0..first).any(lit), "the first that gives light unasked");
    apply(&mut desk, Command::Do(Action::New));
    assert_eq!(state(&desk).selection, [0usize; 0], "an empty show has nothing to select");
    desk.get_by_label_contains("Open a show or drop one here");
}

#[test]
fn the_keyboard_goes_to_the_selected_fixtures_slots() {
    let mut desk = desk();
    apply(&mut desk, Command::Select { fixtures: vec![4], how: How::Replace });
    desk.key_press_modifiers(Modifiers::COMMAND, Key::G);
    desk.run();
    for digit in ["2", "0", "1"] {
        desk.event(egui::Event::Text(digit.to_owned()));
        desk.run();
    }
    let address = state(&desk).show().rig[4].address.expect("105 is patched");
    let slot = state(&desk).show().levels.state(address.universe, address.slot);
    assert_eq!(slot.value(), Some(201));
}

#[test]
fn what_is_selected_elsewhere_is_scrolled_to() {
    let mut desk = desk();
    let last = state(&desk).show().rig.len() - 1;
    let named = |desk: &Harness<'static, App>, index: usize| {
        let fixture = &state(desk).show().rig[index];
        format!("{} {},", fixture.id, fixture.label)
    };
    let name = named(&desk, last);
    let window = egui::Rect::from_min_size(egui::Pos2::ZERO, USUAL.into());
    let rect = |desk: &Harness<'static, App>| desk.get_by_label_contains(&name).rect();
    assert!(!window.contains_rect(rect(&desk)), "it is out of sight at first");
    apply(&mut desk, Command::Select { fixtures: vec![last], how: How::Replace });
    desk.run_steps(60);
    let slots = desk.get_by_label_contains("Slots of universe").rect();
    assert!(rect(&desk).bottom() < slots.top() + slots.height(), "{}", rect(&desk));
    assert!(window.contains_rect(rect(&desk)));
}

#[test]
fn arrows_choose_the_next_row_of_a_list() {
    let mut desk = desk();
    desk.get_by_label_contains("101 Front spot left,").focus();
    desk.run();
    for _ in 0..2 {
        desk.key_press(Key::ArrowDown);
        desk.run();
    }
    assert_eq!(state(&desk).selection, [2]);
    desk.key_press(Key::ArrowUp);
    desk.run();
    assert_eq!(state(&desk).selection, [1]);
    assert!(desk.get_by_label_contains("102 Front spot right,").is_focused());
}

#[test]
fn shift_selects_a_span_and_ctrl_one_more() {
    let mut desk = desk();
    desk.get_by_label_contains("102 ").click();
    desk.run();
    desk.get_by_label_contains("104 ").click_modifiers(Modifiers::SHIFT);
    desk.run();
    assert_eq!(state(&desk).selection, [1, 2, 3]);
    desk.get_by_label_contains("101 ").click_modifiers(Modifiers::COMMAND);
    desk.run();
    desk.get_by_label_contains("103 ").click_modifiers(Modifiers::COMMAND);
    desk.run();
    assert_eq!(state(&desk).selection, [0, 1, 3]);
    desk.key_press(Key::Escape);
    desk.run();
    assert_eq!(state(&desk).selection, [0usize; 0]);
}

#[test]
fn a_look_is_recalled_and_undone() {
    let mut desk = desk();
    let before = state(&desk).show().levels.clone();
    let name = state(&desk).show().looks[2].name.clone();
    desk.get_by_role_and_label(Role::ListBoxOption, &name).click();
    desk.run();
    assert_ne!(state(&desk).show().levels, before, "the look did something");
    assert!(!state(&desk).differs_from(2), "the slots stand at the look");
    assert_eq!(state(&desk).look, Some(2));
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert_eq!(state(&desk).show().levels, before);
    assert!(!state(&desk).document.is_dirty());
    assert_eq!(state(&desk).look, Some(0), "the slots stand at the first look again");
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Y);
    desk.run();
    assert!(!state(&desk).differs_from(2));
}

#[test]
fn a_new_look_is_kept_and_named_in_one_go() {
    let mut desk = desk();
    let count = state(&desk).show().looks.len();
    desk.get_by_label("Keep new").click();
    desk.run();
    let name = format!("Name of look {}", count + 1);
    desk.get_by_label(&name).type_text("Curtain warmers");
    desk.run();
    desk.key_press(Key::Enter);
    desk.run();
    let looks = &state(&desk).show().looks;
    assert_eq!(looks.len(), count + 1);
    assert_eq!(looks[count].name, "Curtain warmers");
    assert_eq!(looks[count].frames, state(&desk).show().levels);
}

#[test]
fn a_double_click_renames_a_look_and_escape_leaves_it() {
    let mut desk = desk();
    let old = state(&desk).show().looks[1].name.clone();
    let at = desk.get_by_role_and_label(Role::ListBoxOption, &old).rect().center();
    for _ in 0..2 {
        desk.drag_at(at);
        desk.drop_at(at);
    }
    desk.run();
    desk.get_by_label("Name of look 2").type_text("something else");
    desk.run();
    desk.key_press(Key::Escape);
    desk.run();
    assert_eq!(state(&desk).show().looks[1].name, old);
    assert!(state(&desk).renaming.is_none());
}

#[test]
fn closing_with_unsaved_changes_asks() {
    let mut desk = desk();
    edit_a_slot(&mut desk);
    ask_to_close(&mut desk);
    assert!(was_told(&desk, &ViewportCommand::CancelClose));
    desk.run();
    desk.get_by_label("Cancel").click();
    desk.run();
    assert!(desk.query_by_label("Discard").is_none());
    assert!(state(&desk).document.is_dirty(), "nothing was lost");
    ask_to_close(&mut desk);
    desk.run();
    desk.get_by_label("Discard").click();
    desk.step();
    desk.step();
    assert!(state(&desk).leaving);
    ask_to_close(&mut desk);
    assert!(!was_told(&desk, &ViewportCommand::CancelClose), "now it may close");
}

#[test]
fn closing_a_show_as_it_was_opened_does_not_ask() {
    let mut desk = desk();
    ask_to_close(&mut desk);
    assert!(!was_told(&desk, &ViewportCommand::CancelClose));
    assert!(state(&desk).dialog.is_none());
}

#[test]
fn escape_cancels_the_question_and_enter_saves() {
    let mut desk = desk();
    edit_a_slot(&mut desk);
    apply(&mut desk, Command::Do(Action::New));
    desk.get_by_label("Discard");
    desk.key_press(Key::Escape);
    desk.run();
    assert!(state(&desk).dialog.is_none());
    assert_eq!(state(&desk).show().looks.len(), crate::desk::demo().looks.len());
}

#[test]
fn a_new_show_can_be_begun_and_has_nothing_in_it() {
    let mut desk = desk();
    desk.key_press_modifiers(Modifiers::COMMAND, Key::N);
    desk.run();
    assert!(state(&desk).show().rig.is_empty());
    desk.get_by_label_contains("no fixtures");
    desk.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::O);
    desk.run();
    assert_eq!(state(&desk).show().name, crate::desk::demo().name);
}

#[test]
fn keys_of_a_text_field_stay_its_own() {
    let mut desk = desk();
    edit_a_slot(&mut desk);
    desk.key_press(Key::F2);
    desk.run();
    if state(&desk).renaming.is_none() {
        apply(&mut desk, Command::Rename(0));
    }
    for key in [Key::F, Key::S, Key::L] {
        desk.key_press(key);
    }
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert!(!state(&desk).preferences.stage.side, "S did not reach the stage");
    assert!(state(&desk).document.is_dirty(), "Ctrl+Z did not reach the show");
}

#[test]
fn escape_ends_typing_or_a_menu_before_it_lets_the_selection_go() {
    let mut desk = desk();
    desk.get_by_label_contains("101 Front spot left,").click();
    desk.run();
    desk.get_by_label("View").click();
    desk.run();
    desk.get_by_label_contains("Zoom in");
    desk.key_press(Key::Escape);
    desk.run();
    assert!(desk.query_by_label_contains("Zoom in").is_none(), "the menu closed");
    assert_eq!(state(&desk).selection, [0]);
    apply(&mut desk, Command::Do(Action::Setup));
    desk.get_by_role_and_label(Role::TextInput, "Label").focus();
    desk.run();
    desk.key_press(Key::Escape);
    desk.run();
    assert_eq!(state(&desk).selection, [0]);
    desk.key_press(Key::Escape);
    desk.run();
    assert_eq!(state(&desk).selection, [0usize; 0]);
}

#[test]
fn keys_of_the_slots_stay_theirs_while_they_have_the_keyboard() {
    let mut desk = desk();
    let scale = state(&desk).stage.sheet.map(|sheet| sheet.upper.points_per_m);
    let cell = desk.get_by_label_contains("of universe 1").rect();
    desk.hover_at(cell.min + egui::vec2(10.0, 20.0));
    desk.drag_at(cell.min + egui::vec2(10.0, 20.0));
    desk.drop_at(cell.min + egui::vec2(10.0, 20.0));
    desk.run();
    assert_eq!(state(&desk).selection, [0], "slot 1 is fixture 101's");
    desk.key_press(Key::Plus);
    desk.key_press_modifiers(Modifiers::COMMAND, Key::A);
    desk.run();
    assert_eq!(state(&desk).selection, [0], "Ctrl+A took all slots, not all fixtures");
    assert_eq!(state(&desk).stage.sheet.map(|sheet| sheet.upper.points_per_m), scale);
    desk.key_press(Key::Escape);
    desk.key_press(Key::Escape);
    desk.run();
    desk.key_press(Key::Escape);
    desk.run();
    assert_eq!(state(&desk).selection, [0usize; 0]);
}

#[test]
fn a_drag_of_a_ruler_is_one_step_of_undo() {
    let mut desk = desk();
    desk.get_by_label_contains("101 Front spot left,").click();
    desk.run();
    let before = state(&desk).show().levels.clone();
    let ruler = desk.get_by_role_and_label(Role::Slider, "Dimmer").rect();
    let at = |share: f32| egui::pos2(ruler.left() + share * ruler.width(), ruler.center().y);
    desk.drag_at(at(0.9));
    desk.run();
    for share in [0.7, 0.5, 0.3] {
        desk.hover_at(at(share));
        desk.run();
    }
    desk.drop_at(at(0.3));
    desk.run();
    assert_ne!(state(&desk).show().levels, before, "the drag did something");
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert_eq!(state(&desk).show().levels, before);
    assert!(state(&desk).document.can_undo().is_none());
}

#[test]
fn every_dialog_opens_and_closes_by_key() {
    let mut desk = desk();
    for (modifiers, words) in [(Modifiers::NONE, "Pointer"), (Modifiers::SHIFT, "Licence: ")] {
        desk.key_press_modifiers(modifiers, Key::F1);
        desk.run();
        desk.get_by_label_contains(words);
        desk.key_press(Key::Escape);
        desk.run();
        assert!(state(&desk).dialog.is_none(), "{words}");
    }
}

#[test]
fn nothing_is_drawn_again_while_nothing_changes() {
    let mut desk = desk();
    desk.get_by_label_contains("101 Front spot left,").click();
    desk.run();
    let pictures = state(&desk).stage.pictures;
    for _ in 0..20 {
        desk.step();
        let root = desk.output().viewport_output.get(&ViewportId::ROOT);
        let delay = root.map(|root| root.repaint_delay);
        assert_eq!(delay, Some(std::time::Duration::MAX), "no pass is asked for");
    }
    assert_eq!(state(&desk).stage.pictures, pictures);
}

#[test]
fn panels_leave_room_for_the_stage_at_every_size() {
    for size in [[1000.0, 640.0], [1280.0, 800.0], [1920.0, 1080.0]] {
        let mut desk = desk_of(size, Preferences::default());
        let all = Command::Do(Action::SelectAll);
        apply(&mut desk, all);
        let stage = desk.get_by_label_contains("Stage:").rect();
        assert!(stage.width() > 320.0 && stage.height() > 250.0, "{size:?}: {stage:?}");
        let window = egui::Rect::from_min_size(egui::Pos2::ZERO, size.into());
        for name in ["Keep new", "Update", "Delete", "Fit", "Front", "Side"] {
            let rect = desk.get_by_label(name).rect();
            assert!(window.contains_rect(rect), "{size:?}: {name} is at {rect:?}");
            assert!(!stage.intersects(rect.shrink(1.0)), "{size:?}: {name} covers the stage");
        }
    }
}

#[test]
fn the_setup_changes_a_fixture_and_refuses_a_bad_address() {
    let mut desk = desk();
    desk.get_by_label_contains("101 Front spot left,").click();
    desk.run();
    apply(&mut desk, Command::Do(Action::Setup));
    let type_address = |desk: &mut Harness<'static, App>, text: &str| {
        desk.get_by_role_and_label(Role::TextInput, "Address").focus();
        desk.run();
        desk.key_press_modifiers(Modifiers::COMMAND, Key::A);
        desk.get_by_role_and_label(Role::TextInput, "Address").type_text(text);
        desk.run();
        desk.key_press(Key::Enter);
        desk.run();
    };
    type_address(&mut desk, "3/513");
    desk.get_by_label_contains("slot `513` is not one of 1..512");
    assert!(!state(&desk).document.is_dirty());
    type_address(&mut desk, "3/40");
    let address = state(&desk).show().rig[0].address.map(|address| address.to_string());
    assert_eq!(address.as_deref(), Some("3/40"));
    desk.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    desk.run();
    assert!(!state(&desk).document.is_dirty());
}
