//! The slots panel: what it says of every slot, and what it asks for.

use egui::{Event, Key, Modifiers, MouseWheelUnit, Role, Theme};
use egui_kittest::{Harness, kittest::Queryable as _};
use slotwright::app::slots::{SlotsInput, SlotsState, slots_panel};
use slotwright::app::{Command, How};
use slotwright::wire::{Frame, Frames, Universe};

use crate::harness::{self, panel_of, snapshot_options};
use crate::rig::{Bench, slot, universe};

const WIDTH: f32 = 1000.0;

type Panel = harness::Panel<SlotsState>;

fn themed(bench: Bench, size: [f32; 2], look: Theme) -> Harness<'static, Panel> {
    panel_of(bench, size, look, |ui, bench, state| {
        let universes: Vec<Universe> = bench.frames.iter().map(|(u, _)| u).collect();
        let input = SlotsInput {
            rig: &bench.rig,
            plan: &bench.plan,
            frames: &bench.frames,
            decoded: &bench.decoded,
            universe: bench.universe,
            universes: &universes,
            selection: &bench.selection,
        };
        let commands = slots_panel(ui, input, state);
        bench.apply(commands);
    })
}

fn panel(bench: Bench) -> Harness<'static, Panel> {
    themed(bench, [WIDTH, 900.0], Theme::Dark)
}

fn usual() -> Harness<'static, Panel> {
    panel(Bench::usual())
}

/// The middle of a slot's cell, found from the size of the grid alone.
fn cell(harness: &Harness<'static, Panel>, number: u16) -> egui::Pos2 {
    let grid = harness.get_by_role(Role::SpinButton).rect();
    let columns = ((grid.width() / 29.0) as usize / 8) * 8;
    let rows = 512usize.div_ceil(columns);
    let (row, column) = (usize::from(number - 1) / columns, usize::from(number - 1) % columns);
    let step = egui::vec2(grid.width() / columns as f32, grid.height() / rows as f32);
    grid.min + step * egui::vec2(column as f32 + 0.5, row as f32 + 0.6)
}

fn click(harness: &mut Harness<'static, Panel>, number: u16) {
    let at = cell(harness, number);
    harness.drag_at(at);
    harness.step();
    harness.drop_at(at);
    harness.run();
}

fn press(harness: &mut Harness<'static, Panel>, keys: &[Key]) {
    for key in keys {
        harness.key_press(*key);
        harness.run();
    }
}

fn digits(harness: &mut Harness<'static, Panel>, text: &str) {
    for c in text.chars() {
        harness.event(Event::Text(c.to_string()));
        harness.run();
    }
}

#[test]
fn slots_show_owners_overlaps_and_what_was_not_sent() {
    let mut bench = Bench::new(&[
        (101, "Spot left", "Spot", 1, 1, 9),
        (102, "Spot right", "Spot", 1, 1, 25),
        (201, "Wash left", "W19", 0, 1, 39),
    ]);
    let levels = bench.frames.universe_mut(universe(1));
    *levels = slotwright::wire::Levels::default();
    levels.apply(&Frame::levels(vec![7; 52]).unwrap());
    levels.apply(&Frame::levels(vec![0; 47]).unwrap());
    bench.set(1, 13, 255);
    let mut harness = themed(bench, [560.0, 240.0], Theme::Light);
    click(&mut harness, 26);
    harness.remove_cursor();
    harness.run();
    harness.snapshot_options("slots", &snapshot_options());
}

#[test]
fn a_click_chooses_the_slot_and_selects_its_fixture() {
    let mut harness = usual();
    click(&mut harness, 33);
    let panel = harness.state();
    assert_eq!(panel.state.cursor(), Some(slot(33)));
    let select = Command::Select { fixtures: vec![1], how: How::Replace };
    assert_eq!(panel.bench.commands, [select]);
    harness.get_by_label("Slot 33 of universe 1, value 128, 102 Spot right Pan");
    click(&mut harness, 500);
    harness.get_by_label("Slot 500 of universe 1, value 0, no fixture");
    assert_eq!(harness.state().bench.selection, [1]);
}

#[test]
fn three_digits_or_enter_set_the_slot() {
    let mut harness = usual();
    click(&mut harness, 20);
    digits(&mut harness, "255");
    assert_eq!(harness.state().bench.value(1, 20), Some(255));
    digits(&mut harness, "7");
    assert_eq!(harness.state().bench.value(1, 20), Some(255));
    press(&mut harness, &[Key::Enter]);
    assert_eq!(harness.state().bench.value(1, 20), Some(7));
    assert_eq!(harness.state().bench.undo_steps(), 2);
}

#[test]
fn what_a_slot_cannot_hold_is_refused_in_words() {
    let mut harness = usual();
    click(&mut harness, 20);
    digits(&mut harness, "256");
    let bench = &harness.state().bench;
    assert_eq!(bench.value(1, 20), Some(0));
    let words = "`256` does not fit: a slot takes 0..255".to_owned();
    assert_eq!(bench.commands.last(), Some(&Command::Message(words)));
}

#[test]
fn escape_takes_back_what_was_typed_and_arrows_apply_it() {
    let mut harness = usual();
    click(&mut harness, 20);
    digits(&mut harness, "9");
    press(&mut harness, &[Key::Escape]);
    press(&mut harness, &[Key::ArrowRight]);
    assert_eq!(harness.state().bench.value(1, 20), Some(0));
    assert_eq!(harness.state().state.cursor(), Some(slot(21)));
    digits(&mut harness, "9");
    press(&mut harness, &[Key::ArrowLeft]);
    assert_eq!(harness.state().bench.value(1, 21), Some(9));
    assert_eq!(harness.state().state.cursor(), Some(slot(20)));
}

#[test]
fn a_span_is_set_at_once() {
    let mut harness = usual();
    click(&mut harness, 100);
    for _ in 0..3 {
        harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowRight);
        harness.run();
    }
    assert_eq!(harness.state().state.span(), Some((slot(100), slot(103))));
    harness.get_by_label_contains("in a span of 4 slots, 100 to 103");
    digits(&mut harness, "42");
    press(&mut harness, &[Key::Enter]);
    let bench = &harness.state().bench;
    let expected: Vec<_> = (100..=103).map(|n| (slot(n), 42)).collect();
    let set = Command::SetSlots { universe: universe(1), values: expected, gesture: false };
    assert_eq!(bench.commands.last(), Some(&set));
    press(&mut harness, &[Key::Delete]);
    assert_eq!(harness.state().bench.value(1, 102), Some(0));
}

#[test]
fn shift_click_and_a_sideways_drag_make_a_span() {
    let mut harness = usual();
    click(&mut harness, 100);
    harness.event(Event::ModifiersChanged(Modifiers::SHIFT));
    click(&mut harness, 105);
    harness.event(Event::ModifiersChanged(Modifiers::NONE));
    assert_eq!(harness.state().state.span(), Some((slot(100), slot(105))));
    click(&mut harness, 10);
    assert_eq!(harness.state().state.span(), Some((slot(10), slot(10))));
    let (from, to) = (cell(&harness, 10), cell(&harness, 14));
    harness.drag_at(from);
    harness.step();
    harness.hover_at(from + egui::vec2(20.0, 0.0));
    harness.step();
    harness.hover_at(to);
    harness.step();
    harness.drop_at(to);
    harness.run();
    assert_eq!(harness.state().state.span(), Some((slot(10), slot(14))));
    assert_eq!(harness.state().bench.undo_steps(), 0);
}

#[test]
fn a_drag_up_raises_the_slot_in_one_step_of_undo() {
    let mut harness = usual();
    let at = cell(&harness, 33);
    harness.drag_at(at);
    harness.step();
    for up in [10.0, 25.0, 40.0] {
        harness.hover_at(at - egui::vec2(0.0, up));
        harness.step();
    }
    harness.drop_at(at - egui::vec2(0.0, 40.0));
    harness.run();
    let bench = &harness.state().bench;
    assert_eq!(bench.value(1, 33), Some(168));
    assert_eq!(bench.undo_steps(), 1);
    assert_eq!(bench.commands.last(), Some(&Command::EndGesture));
}

#[test]
fn the_wheel_turns_the_chosen_slot_only() {
    let mut harness = usual();
    click(&mut harness, 33);
    let notch = |harness: &mut Harness<'static, Panel>, y: f32| {
        harness.event(Event::MouseWheel {
            unit: MouseWheelUnit::Line,
            source: egui::MouseWheelSource::Unknown,
            delta: egui::vec2(0.0, y),
            phase: egui::TouchPhase::Move,
            modifiers: Modifiers::NONE,
        });
        harness.run_steps(8);
    };
    harness.hover_at(cell(&harness, 33));
    harness.run_steps(8);
    notch(&mut harness, 1.0);
    notch(&mut harness, 1.0);
    notch(&mut harness, -1.0);
    assert_eq!(harness.state().bench.value(1, 33), Some(129));
    assert_eq!(harness.state().bench.undo_steps(), 1);
    harness.hover_at(cell(&harness, 36));
    harness.run_steps(8);
    assert_eq!(harness.state().bench.commands.last(), Some(&Command::EndGesture));
    notch(&mut harness, 1.0);
    assert_eq!(harness.state().bench.value(1, 36), Some(0));
}

#[test]
fn page_keys_change_by_sixteen_and_stop_at_the_ends() {
    let mut harness = usual();
    click(&mut harness, 33);
    press(&mut harness, &[Key::PageUp]);
    assert_eq!(harness.state().bench.value(1, 33), Some(144));
    press(&mut harness, &[Key::PageUp; 8]);
    assert_eq!(harness.state().bench.value(1, 33), Some(255));
    press(&mut harness, &[Key::PageDown]);
    assert_eq!(harness.state().bench.value(1, 33), Some(239));
}

#[test]
fn home_end_and_up_and_down_stay_inside_the_universe() {
    let mut harness = usual();
    click(&mut harness, 5);
    press(&mut harness, &[Key::ArrowUp]);
    assert_eq!(harness.state().state.cursor(), Some(slot(5)));
    press(&mut harness, &[Key::End, Key::ArrowRight]);
    assert_eq!(harness.state().state.cursor(), Some(slot(512)));
    press(&mut harness, &[Key::Home, Key::ArrowLeft, Key::ArrowDown]);
    assert_eq!(harness.state().state.cursor(), Some(slot(33)));
}

#[test]
fn not_sent_and_kept_are_said() {
    let mut bench = Bench::usual();
    bench.frames = Frames::default();
    let levels = bench.frames.universe_mut(universe(1));
    levels.apply(&Frame::levels(vec![9; 20]).unwrap());
    levels.apply(&Frame::levels(vec![9; 18]).unwrap());
    let mut harness = panel(bench);
    click(&mut harness, 19);
    harness
        .get_by_label_contains("Slot 19 of universe 1, value 9, kept from an earlier frame, 101");
    press(&mut harness, &[Key::End]);
    harness.get_by_label("Slot 512 of universe 1, not sent, no fixture");
}

#[test]
fn an_overlap_names_both_fixtures_and_channels() {
    let bench = Bench::new(&[(1, "A", "Spot", 1, 1, 1), (2, "B", "Spot", 0, 1, 16)]);
    let mut harness = panel(bench);
    click(&mut harness, 16);
    harness.get_by_label_contains("1 A Control, 2 B Pan coarse");
    harness.hover_at(cell(&harness, 16));
    harness.run_steps(6);
    harness.get_by_label("Overlap: 2 fixtures listen to it.");
    harness.get_by_label("2 B Pan coarse: 0.00 deg");
}

#[test]
fn another_universe_is_asked_for() {
    let mut harness = usual();
    harness.get_by_label("2").click();
    harness.run();
    assert_eq!(harness.state().bench.commands, [Command::ShowUniverse(universe(2))]);
}

#[test]
fn assistive_technology_can_set_the_slot() {
    let mut harness = usual();
    click(&mut harness, 33);
    harness.get_by_role(Role::SpinButton).set_value_accesskit(77.0);
    harness.run();
    assert_eq!(harness.state().bench.value(1, 33), Some(77));
}
