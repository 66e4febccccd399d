//! Fixtures added, copied and removed in the window; numbers on the stage that keep apart.

use std::path::Path;
use std::sync::Arc;

use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glam::Vec2;
use slotwright::app::dialogs::Dialog;
use slotwright::app::keys::Action;
use slotwright::app::patching::AddForm;
use slotwright::app::shell::App;
use slotwright::app::{Command, How};
use slotwright::profile::{Library, Profile};
use slotwright::rig::Address;
use slotwright::stage::draw::{DrawOptions, draw};
use slotwright::stage::picture::{Rect, Shape};
use slotwright::stage::text::{anchor, line_heights, text_width};
use slotwright::stage::{Sheet, ViewKind};
use slotwright::wire::{Slot, Universe};

use crate::desk::{apply, demo, desk, state};

fn form<'a>(desk: &'a mut Harness<'static, App>) -> &'a mut AddForm {
    match &mut desk.state_mut().state.dialog {
        Some(Dialog::Add(form)) => form,
        other => panic!("{other:?}"),
    }
}

fn address(universe: u32, slot: u16) -> Option<Address> {
    let universe = Universe::new(universe).expect("a universe");
    Some(Address { universe, slot: Slot::new(slot).expect("a slot") })
}

fn undo(desk: &mut Harness<'static, App>) {
    apply(desk, Command::Do(Action::Undo));
}

#[test]
fn fixtures_are_added_as_one_step_where_slots_are_free() {
    let mut desk = desk();
    let before = state(&desk).show().rig.clone();
    desk.key_press(Key::Insert);
    desk.run();
    desk.get_by_label("Add 1 fixture");
    let show = demo();
    let form = form(&mut desk);
    (form.count, form.label) = (3, "Extra".to_owned());
    form.find_address(&show);
    desk.run();
    desk.get_by_label("Add 3 fixtures").click();
    desk.run();
    let rig = &state(&desk).show().rig;
    assert_eq!(rig.len(), before.len() + 3);
    let added = &rig[before.len()..];
    assert_eq!(added[0].id, 703, "behind the highest number");
    assert_eq!(added[2].label, "Extra 3");
    let slots = |nth: usize| {
        let mode = state(&desk).plan.fixtures()[nth].mode.as_ref().expect("known").footprint;
        let first = rig[nth].address.expect("patched");
        (first.universe, first.slot.number()..first.slot.number() + mode)
    };
    for new in before.len()..rig.len() {
        for other in (0..rig.len()).filter(|other| *other != new) {
            let ((a, new), (b, other)) = (slots(new), slots(other));
            assert!(
                a != b || new.end <= other.start || other.end <= new.start,
                "{new:?} {other:?}"
            );
        }
    }
    assert!((added[1].at.x - added[0].at.x - 1.0).abs() < 1e-9, "a metre apart along the truss");
    assert_eq!(state(&desk).selection, (before.len()..rig.len()).collect::<Vec<_>>());
    assert_eq!(state(&desk).document.can_undo(), Some("add 3 fixtures"));
    undo(&mut desk);
    assert_eq!(state(&desk).show().rig, before);
}

#[test]
fn what_is_wrong_with_the_addresses_is_said_before_they_are_added() {
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::AddFixtures));
    let form = form(&mut desk);
    (form.universe, form.slot) = (1, 10);
    desk.run();
    assert!(desk.query_all_by_label_contains("101").next().is_some());
    let state = state(&desk);
    let Some(Dialog::Add(form)) = &state.dialog else { panic!("it is open") };
    let found = form.findings(state.show(), &form.fixtures(&state.show().room));
    assert!(found.iter().any(|finding| finding.what.contains("101")), "{found:?}");
}

#[test]
fn a_number_that_is_taken_is_refused() {
    let mut desk = desk();
    apply(&mut desk, Command::Do(Action::AddFixtures));
    form(&mut desk).first_id = 101;
    desk.run();
    desk.get_by_label("another fixture has the number 101 already");
    desk.get_by_label("Add 1 fixture").click();
    desk.run();
    assert_eq!(state(&desk).show().rig.len(), demo().rig.len());
}

#[test]
fn fixtures_past_the_end_of_a_universe_begin_the_next() {
    let show = demo();
    let mut form = AddForm::new(&show, Library::embedded());
    let slots = form.chosen().expect("there are profiles").1.slots;
    (form.count, form.universe, form.slot) = (2, 3, 513 - slots);
    let fixtures = form.fixtures(&show.room);
    assert_eq!(fixtures[0].address, address(3, 513 - slots));
    assert_eq!(fixtures[1].address, address(4, 1));
}

#[test]
fn profiles_of_the_users_folder_can_be_added_too() {
    let mut library = Library::embedded().clone();
    let spot = library.profiles().next().expect("there are profiles");
    let own = Profile { model: "Own make".to_owned(), ..Profile::clone(spot) };
    let key = own.key().0;
    library.lay_over(Path::new("own-make.ron"), Arc::new(own));
    let form = AddForm::new(&demo(), &library);
    let keys: Vec<String> = form.profiles.iter().map(|profile| profile.key().0).collect();
    assert!(keys.contains(&key), "{keys:?}");
    assert!(keys.is_sorted(), "they stand in order: {keys:?}");
}

#[test]
fn removed_fixtures_come_back_in_one_step() {
    let mut desk = desk();
    let before = state(&desk).show().rig.clone();
    apply(&mut desk, Command::Select { fixtures: vec![1, 4, 7], how: How::Replace });
    desk.key_press(Key::Delete);
    desk.run();
    assert_eq!(state(&desk).show().rig.len(), before.len() - 3);
    assert!(state(&desk).selection.is_empty());
    assert!(state(&desk).show().rig.iter().all(|fixture| fixture.id != before[4].id));
    assert_eq!(state(&desk).document.can_undo(), Some("remove 3 fixtures"));
    undo(&mut desk);
    assert_eq!(state(&desk).show().rig, before);
}

#[test]
fn a_copy_has_a_number_and_an_address_of_its_own() {
    let mut desk = desk();
    let before = state(&desk).show().rig.clone();
    apply(&mut desk, Command::Select { fixtures: vec![0, 1], how: How::Replace });
    desk.get_by_label("Copy").click();
    desk.run();
    let rig = &state(&desk).show().rig;
    let copies = &rig[before.len()..];
    assert_eq!(copies.iter().map(|copy| copy.id).collect::<Vec<_>>(), [107, 108]);
    assert_eq!((&copies[0].profile, &copies[0].mode), (&before[0].profile, &before[0].mode));
    let addresses: Vec<_> = rig.iter().map(|fixture| fixture.address).collect();
    let (a, b) = (addresses[before.len()], addresses[before.len() + 1]);
    assert!(a.is_some() && a != b && !addresses[..before.len()].contains(&a));
    undo(&mut desk);
    assert_eq!(state(&desk).show().rig, before);
}

/// Boxes of the fixture numbers in a drawing of this size.
fn numbers(desk: &Harness<'static, App>, size: Vec2) -> Vec<(String, Vec2, Vec2)> {
    let state = state(desk);
    let views = Sheet::fit(&state.show().room, Rect::new(Vec2::ZERO, size), ViewKind::Front)
        .views()
        .to_vec();
    let picture = draw(&state.scene, &views, size, &DrawOptions::default());
    let shapes = picture.panes.iter().flat_map(|pane| &pane.shapes);
    let boxes = shapes.filter_map(|shape| match shape {
        Shape::Text { at, align, size, weight, text, .. } => {
            let width = text_width(text, *size, *weight);
            let heights = line_heights(*size, *weight);
            let low = *at + anchor(width, *size, *weight, *align) - Vec2::Y * heights.ascent * 0.8;
            let number = text.chars().next().is_some_and(|c| c.is_ascii_digit());
            let high = low + Vec2::new(width, heights.ascent * 0.8);
            (number && *size == 11.0).then(|| (text.clone(), low, high))
        }
        _ => None,
    });
    boxes.collect()
}

#[test]
fn numbers_on_a_small_stage_do_not_touch() {
    let desk = desk();
    for size in [Vec2::new(600.0, 320.0), Vec2::new(380.0, 250.0), Vec2::new(900.0, 700.0)] {
        let numbers = numbers(&desk, size);
        assert!(numbers.len() > 8, "at {size} there are {}", numbers.len());
        for (i, (a, low, high)) in numbers.iter().enumerate() {
            for (b, other_low, other_high) in &numbers[i + 1..] {
                let apart = low.x >= other_high.x
                    || other_low.x >= high.x
                    || low.y >= other_high.y
                    || other_low.y >= high.y;
                assert!(apart, "{a} and {b} touch at {size}");
            }
        }
    }
}
