//! The reading panel: what it says, and what it asks for.

use egui::{Key, Modifiers, Role, Theme};
use egui_kittest::{Harness, kittest::Queryable as _};
use slotwright::app::Command;
use slotwright::app::reading::{ReadingInput, ReadingState, reading_panel};
use slotwright::stage::Room;
use slotwright::wire::Frame;

use crate::harness::{self, panel_of, snapshot_options};
use crate::rig::{Bench, universe};

type Panel = harness::Panel<ReadingState>;

fn panel(bench: Bench, size: [f32; 2]) -> Harness<'static, Panel> {
    themed(bench, size, Theme::Dark)
}

fn themed(bench: Bench, size: [f32; 2], look: Theme) -> Harness<'static, Panel> {
    panel_of(bench, size, look, |ui, bench, state| {
        let room = Room::default();
        let input = ReadingInput {
            room: &room,
            rig: &bench.rig,
            plan: &bench.plan,
            frames: &bench.frames,
            decoded: &bench.decoded,
            now: None,
            forecast: None,
            selection: &bench.selection,
        };
        let commands = reading_panel(ui, input, state);
        bench.apply(commands);
    })
}

/// Types a value into a field, as a person would, and presses Enter.
fn type_value(harness: &mut Harness<'static, Panel>, field: &str, text: &str) {
    harness.get_by_label(field).focus();
    harness.run();
    harness.get_by_label(field).type_text(text);
    harness.run();
    harness.key_press(Key::Enter);
    harness.run();
}

/// The spot with its 16-bit axes.
fn wide() -> Harness<'static, Panel> {
    panel(Bench::new(&[(1, "", "Spot", 0, 1, 1)]), [400.0, 900.0])
}

fn pan(harness: &Harness<'static, Panel>) -> u32 {
    let bench = &harness.state().bench;
    u32::from(bench.value(1, 1).expect("sent")) << 8 | u32::from(bench.value(1, 2).expect("sent"))
}

fn usual() -> Harness<'static, Panel> {
    panel(Bench::usual(), [400.0, 900.0])
}

#[test]
fn a_reading_is_a_table_with_its_answers_under_the_rows() {
    let mut bench = Bench::usual();
    bench.selection = vec![0, 1, 3];
    bench.set(1, 21, 70);
    bench.set(1, 22, 14);
    let mut harness = panel(bench, [400.0, 420.0]);
    type_value(&mut harness, "Shutter value", "50 %");
    harness.get_by_label("Pan value").focus();
    harness.run();
    harness.snapshot_options("reading", &snapshot_options());
}

#[test]
fn a_drag_on_a_ruler_sets_the_slot_in_one_gesture() {
    let mut harness = usual();
    let ruler = harness.get_by_role_and_label(Role::Slider, "Shutter").rect();
    let at = |share: f32| egui::pos2(ruler.left() + share * ruler.width(), ruler.center().y);
    harness.drag_at(at(0.1));
    harness.step();
    harness.hover_at(at(0.3));
    harness.step();
    harness.hover_at(at(0.5));
    harness.step();
    harness.drop_at(at(0.5));
    harness.run();
    let bench = &harness.state().bench;
    assert_eq!(bench.value(1, 21), Some(128));
    assert_eq!(bench.commands.last(), Some(&Command::EndGesture));
    assert_eq!(bench.undo_steps(), 1);
    assert!(bench.commands.len() >= 3);
    assert!(
        harness.get_by_role_and_label(Role::Slider, "Shutter").value().unwrap().contains("pulse")
    );
}

#[test]
fn a_drag_goes_on_while_notes_about_the_fixture_come_and_go() {
    let mut harness = usual();
    let ruler = harness.get_by_role_and_label(Role::Slider, "Control").rect();
    let at = |share: f32| egui::pos2(ruler.left() + share * ruler.width(), ruler.center().y);
    harness.drag_at(at(0.01));
    harness.step();
    // Through the resets and built-in programs, each of which says so above the rows.
    for step in 1..=49 {
        harness.hover_at(at(0.02 * step as f32));
        harness.step();
    }
    harness.drop_at(at(0.98));
    harness.run();
    let bench = &harness.state().bench;
    assert_eq!(bench.value(1, 32), Some(251));
    assert_eq!(bench.undo_steps(), 1);
}

#[test]
fn after_a_value_is_entered_arrows_go_on_from_it_and_tab_to_the_next_row() {
    let mut harness = usual();
    type_value(&mut harness, "Dimmer value", "100");
    harness.key_press(Key::ArrowRight);
    harness.run();
    assert_eq!(harness.state().bench.value(1, 20), Some(101));
    harness.key_press(Key::Tab);
    harness.run();
    assert!(harness.get_by_role_and_label(Role::TextInput, "Shutter value").is_focused());
}

#[test]
fn the_ends_of_a_ruler_are_the_ends_of_a_wide_channel() {
    let mut harness = wide();
    let ruler = harness.get_by_role_and_label(Role::Slider, "Pan").rect();
    for (x, value) in [(ruler.left() + 1.0, 0), (ruler.right() - 1.0, 65_535)] {
        let at = egui::pos2(x, ruler.center().y);
        harness.drag_at(at);
        harness.step();
        harness.drop_at(at);
        harness.run();
        assert_eq!(pan(&harness), value);
    }
}

#[test]
fn a_shifted_drag_goes_in_steps_of_full_resolution() {
    let mut harness = wide();
    let ruler = harness.get_by_role_and_label(Role::Slider, "Pan").rect();
    let from = egui::pos2(ruler.left() + 50.0, ruler.center().y);
    harness.event(egui::Event::ModifiersChanged(Modifiers::SHIFT));
    harness.drag_at(from);
    harness.step();
    harness.hover_at(from + egui::vec2(7.0, 0.0));
    harness.step();
    harness.drop_at(from + egui::vec2(7.0, 0.0));
    harness.run();
    assert_eq!(pan(&harness), 0x8000 + 7);
}

#[test]
fn arrows_step_coarse_and_keep_the_fine_slot_and_with_shift_step_finely() {
    let mut harness = wide();
    harness.get_by_role_and_label(Role::Slider, "Pan").focus();
    harness.run();
    harness.key_press(Key::ArrowRight);
    harness.run();
    assert_eq!(pan(&harness), 0x8100);
    harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowLeft);
    harness.run();
    assert_eq!(pan(&harness), 0x80ff);
    assert_eq!(harness.state().bench.undo_steps(), 2);
    harness.key_press(Key::End);
    harness.run();
    harness.key_press(Key::ArrowRight);
    harness.run();
    assert_eq!(pan(&harness), 65_535);
    harness.key_press(Key::Home);
    harness.run();
    assert_eq!(pan(&harness), 0);
}

#[test]
fn page_keys_go_to_the_first_value_of_the_next_range() {
    let mut harness = usual();
    harness.get_by_role_and_label(Role::Slider, "Shutter").focus();
    harness.run();
    for (key, value) in
        [(Key::PageUp, 64), (Key::PageUp, 96), (Key::PageDown, 64), (Key::PageDown, 32)]
    {
        harness.key_press(key);
        harness.run();
        assert_eq!(harness.state().bench.value(1, 21), Some(value));
    }
}

#[test]
fn what_assistive_technology_sets_is_set() {
    let mut harness = usual();
    harness.get_by_role_and_label(Role::Slider, "Dimmer").set_value_accesskit(200.0);
    harness.run();
    assert_eq!(harness.state().bench.value(1, 20), Some(200));
    assert!(
        harness.get_by_role_and_label(Role::Slider, "Dimmer").value().unwrap().contains("78.4 %")
    );
}

#[test]
fn an_angle_is_typed_and_its_rounding_is_told() {
    let mut harness = usual();
    type_value(&mut harness, "Pan value", "35 deg");
    let bench = &harness.state().bench;
    assert_eq!(bench.value(1, 17), Some(144));
    assert_eq!(bench.undo_steps(), 1);
    harness.get_by_label_contains("34.94 deg, 0.059 deg off");
}

#[test]
fn a_percentage_that_rounds_into_another_range_warns() {
    let mut harness = usual();
    type_value(&mut harness, "Shutter value", "25 %");
    assert_eq!(harness.state().bench.value(1, 21), Some(64));
    harness.get_by_label_contains("63 rounded down, in `open`");
}

#[test]
fn what_cannot_be_read_is_answered_under_the_row_and_stays_to_be_mended() {
    let mut harness = usual();
    type_value(&mut harness, "Pan value", "600 deg");
    assert_eq!(harness.state().bench.commands, Vec::new());
    harness.get_by_label_contains("this channel reaches -270..270 deg");
    let field = harness.get_by_role_and_label(Role::TextInput, "Pan value");
    assert_eq!(field.value().as_deref(), Some("600 deg"));
    harness.key_press(Key::Escape);
    harness.run();
    assert!(harness.query_by_label_contains("this channel reaches").is_none());
    assert_eq!(harness.state().bench.commands, Vec::new());
}

#[test]
fn a_field_that_was_only_looked_at_does_not_take_back_a_drag() {
    let mut harness = usual();
    harness.get_by_label("Shutter value").focus();
    harness.run();
    let ruler = harness.get_by_role_and_label(Role::Slider, "Shutter").rect();
    harness.drag_at(ruler.center());
    harness.step();
    harness.drop_at(ruler.center());
    harness.run();
    assert_eq!(harness.state().bench.value(1, 21), Some(128));
    // The same where the value changes elsewhere while the field has the focus.
    harness.get_by_label("Dimmer value").focus();
    harness.run();
    harness.state_mut().bench.set(1, 20, 99);
    harness.run();
    harness.get_by_label("Pan value").focus();
    harness.run();
    assert_eq!(harness.state().bench.value(1, 20), Some(99));
}

#[test]
fn leaving_a_field_by_the_tab_key_applies_it() {
    let mut harness = usual();
    harness.get_by_label("Dimmer value").focus();
    harness.run();
    harness.get_by_label("Dimmer value").type_text("40 %");
    harness.run();
    harness.key_press(Key::Tab);
    harness.run();
    assert_eq!(harness.state().bench.value(1, 20), Some(102));
}

#[test]
fn an_edit_goes_to_every_fixture_of_the_mode_and_is_one_step() {
    let mut bench = Bench::usual();
    bench.selection = vec![0, 1, 2, 3];
    let mut harness = panel(bench, [400.0, 900.0]);
    harness.get_by_label_contains("3 fixtures, Tarnfell S1 Spot compact");
    harness.get_by_label_contains("101..103. An edit goes to all of them.");
    harness.get_by_label_contains("Also selected, of other modes: 201.");
    type_value(&mut harness, "Shutter value", "pulse");
    let bench = &harness.state().bench;
    assert_eq!([bench.value(1, 21), bench.value(1, 37), bench.value(2, 21)], [Some(128); 3]);
    assert_eq!(bench.undo_steps(), 1);
    assert_eq!(bench.commands.last(), Some(&Command::EndGesture));
}

#[test]
fn values_that_differ_are_mixed_and_step_each_from_its_own() {
    let mut bench = Bench::usual();
    bench.selection = vec![0, 1];
    bench.set(1, 20, 10);
    bench.set(1, 36, 250);
    let mut harness = panel(bench, [400.0, 900.0]);
    let words = harness.get_by_role_and_label(Role::Slider, "Dimmer").value().unwrap();
    assert_eq!(words, "mixed, 3.9 to 98.0 %");
    harness.get_by_role_and_label(Role::Slider, "Dimmer").focus();
    harness.run();
    for _ in 0..8 {
        harness.key_press(Key::ArrowRight);
        harness.run();
    }
    let bench = &harness.state().bench;
    assert_eq!([bench.value(1, 20), bench.value(1, 36)], [Some(18), Some(255)]);
}

#[test]
fn not_sent_kept_and_no_range_are_told_apart() {
    let mut bench = Bench::usual();
    bench.frames = slotwright::wire::Frames::default();
    let levels = bench.frames.universe_mut(universe(1));
    levels.apply(&Frame::levels(vec![0; 19]).unwrap());
    levels.apply(&Frame::levels(vec![0; 18]).unwrap());
    bench.apply(Vec::new());
    let harness = panel(bench, [400.0, 900.0]);
    let words = |name| harness.get_by_role_and_label(Role::Slider, name).value().unwrap();
    assert_eq!(words("Pan"), "0, -270.00 deg");
    assert_eq!(words("Aim speed"), "0, kept, follow the frame");
    assert_eq!(words("Dimmer"), "not sent");
    harness.get_by_label_contains("13 channels ask nothing and are taken as at rest.");
}

#[test]
fn a_program_says_that_the_rest_does_not_count() {
    let mut bench = Bench::usual();
    bench.set(1, 32, 243);
    let harness = panel(bench, [400.0, 900.0]);
    harness.get_by_label_contains("built-in program `demonstration` (Control)");
}

#[test]
fn without_a_dimmer_the_level_is_computed() {
    let mut bench = Bench::usual();
    bench.selection = vec![4];
    bench.set(1, 200, 128);
    let harness = panel(bench, [400.0, 900.0]);
    harness.get_by_label_contains("computed 50 %");
}

#[test]
fn what_was_assumed_about_the_light_is_called_an_estimate() {
    let words = "An estimate: how long a flash lasts";
    let mut bench = Bench::usual();
    bench.set(1, 21, 70);
    panel(bench, [400.0, 900.0]).get_by_label_contains(words);
    assert!(panel(Bench::usual(), [400.0, 900.0]).query_by_label_contains(words).is_none());
}

#[test]
fn nothing_selected_says_what_to_do() {
    let mut bench = Bench::usual();
    bench.selection.clear();
    let harness = panel(bench, [400.0, 300.0]);
    harness.get_by_label_contains("Click a fixture or its beam");
}

#[test]
fn sixteen_channels_fit_a_side_panel() {
    let harness = panel(Bench::usual(), [400.0, 720.0]);
    let last = harness.get_by_role_and_label(Role::Slider, "Control").rect();
    let fourteenth = harness.get_by_role_and_label(Role::Slider, "Frost").rect();
    assert!(fourteenth.bottom() < 590.0, "{fourteenth}");
    assert!(last.bottom() < 712.0, "{last}");
}

#[test]
fn a_drag_keeps_its_ruler_while_notes_come_and_go() {
    let mut harness = usual();
    let ruler = harness.get_by_role_and_label(Role::Slider, "Shutter").rect();
    let at = |value: f32| {
        egui::pos2(ruler.left() + (value + 0.5) / 256.0 * ruler.width(), ruler.center().y)
    };
    harness.drag_at(at(40.0));
    for value in [40, 70, 100, 70, 130] {
        harness.hover_at(at(value as f32));
        harness.run();
        assert_eq!(harness.state().bench.value(1, 21), Some(value));
        assert_eq!(harness.get_by_role_and_label(Role::Slider, "Shutter").rect(), ruler);
    }
    harness.drop_at(at(130.0));
    harness.run();
    assert_eq!(harness.state().bench.undo_steps(), 1);
}
