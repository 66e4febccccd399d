//! The stage: pointing, choosing, moving the views.

use egui::{Event, Key, Modifiers, MouseWheelUnit, Pos2, TouchPhase, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use glam::Vec2;
use slotwright::app::shell::App;
use slotwright::stage::ViewKind;

use crate::desk::{desk, state};

fn corner(desk: &Harness<'static, App>) -> Pos2 {
    desk.get_by_label_contains("Stage:").rect().min
}

/// Where a fixture's mark is in the window, in the plan.
fn mark(desk: &Harness<'static, App>, fixture: usize) -> Pos2 {
    let sheet = state(desk).stage.sheet.expect("the stage was drawn");
    let at = sheet.upper.to_screen(state(desk).show().rig[fixture].at);
    corner(desk) + vec2(at.x, at.y)
}

fn click(desk: &mut Harness<'static, App>, at: Pos2, modifiers: Modifiers) {
    desk.hover_at(at);
    desk.step();
    for pressed in [true, false] {
        let button = egui::PointerButton::Primary;
        desk.event_modifiers(
            Event::PointerButton { pos: at, button, pressed, modifiers },
            modifiers,
        );
    }
    desk.run();
}

fn drag(desk: &mut Harness<'static, App>, from: Pos2, to: Pos2, modifiers: Modifiers) {
    let button = egui::PointerButton::Primary;
    desk.hover_at(from);
    desk.step();
    let press = |pos, pressed| Event::PointerButton { pos, button, pressed, modifiers };
    desk.event_modifiers(press(from, true), modifiers);
    desk.step();
    desk.event_modifiers(Event::PointerMoved(from.lerp(to, 0.5)), modifiers);
    desk.step();
    desk.event_modifiers(Event::PointerMoved(to), modifiers);
    desk.step();
    desk.event_modifiers(press(to, false), modifiers);
    desk.run();
}

#[test]
fn a_click_selects_and_shift_takes_more() {
    let mut desk = desk();
    let (first, second) = (mark(&desk, 0), mark(&desk, 1));
    click(&mut desk, first, Modifiers::NONE);
    assert_eq!(state(&desk).selection, [0]);
    click(&mut desk, second, Modifiers::SHIFT);
    assert_eq!(state(&desk).selection, [0, 1]);
    click(&mut desk, first, Modifiers::SHIFT);
    assert_eq!(state(&desk).selection, [1]);
    let nowhere = corner(&desk) + vec2(3.0, 40.0);
    click(&mut desk, nowhere, Modifiers::NONE);
    assert_eq!(state(&desk).selection, [0usize; 0]);
}

#[test]
fn a_box_selects_the_marks_inside() {
    let mut desk = desk();
    let around = vec2(18.0, 18.0);
    let (a, b) = (mark(&desk, 0), mark(&desk, 1));
    let rect = egui::Rect::from_two_pos(a, b).expand2(around);
    drag(&mut desk, rect.min, rect.max, Modifiers::SHIFT);
    assert!(state(&desk).selection.contains(&0) && state(&desk).selection.contains(&1));
    let sheet = state(&desk).stage.sheet.expect("drawn");
    for fixture in &state(&desk).selection {
        let at = sheet.upper.to_screen(state(&desk).show().rig[*fixture].at);
        let at = corner(&desk) + vec2(at.x, at.y);
        assert!(rect.contains(at), "{fixture} is outside the box");
    }
}

#[test]
fn the_wheel_zooms_about_the_pointer_and_f_fits_again() {
    let mut desk = desk();
    let fitted = state(&desk).stage.sheet.expect("drawn");
    let at = corner(&desk) + vec2(150.0, 120.0);
    let inside = Vec2::new(150.0, 120.0);
    let held = fitted.upper.to_plane(inside);
    desk.hover_at(at);
    desk.step();
    desk.event(Event::MouseWheel {
        unit: MouseWheelUnit::Point,
        delta: vec2(0.0, 240.0),
        phase: TouchPhase::Move,
        source: egui::MouseWheelSource::Unknown,
        modifiers: Modifiers::NONE,
    });
    desk.run_steps(40);
    let zoomed = state(&desk).stage.sheet.expect("drawn");
    assert!(zoomed.upper.points_per_m > fitted.upper.points_per_m * 1.5, "it came closer");
    assert!((zoomed.upper.to_plane(inside) - held).length() < 1e-3);
    assert_eq!(zoomed.upper.centre.x, zoomed.lower.centre.x, "x is shared");
    desk.key_press(Key::F);
    desk.run();
    assert_eq!(state(&desk).stage.sheet, Some(fitted));
}

#[test]
fn a_drag_moves_the_drawing_with_the_pointer() {
    let mut desk = desk();
    let before = state(&desk).stage.sheet.expect("drawn");
    let start = corner(&desk) + vec2(8.0, 60.0);
    drag(&mut desk, start, start + vec2(60.0, 20.0), Modifiers::NONE);
    let after = state(&desk).stage.sheet.expect("drawn");
    let moved =
        after.upper.to_screen(glam::DVec3::ZERO) - before.upper.to_screen(glam::DVec3::ZERO);
    assert!((moved - Vec2::new(60.0, 20.0)).length() < 0.01, "{moved}");
    assert_eq!(state(&desk).selection, [0], "a drag selects nothing and lets go of nothing");
}

#[test]
fn s_swaps_the_side_view_in() {
    let mut desk = desk();
    desk.key_press(Key::S);
    desk.run();
    assert_eq!(state(&desk).stage.sheet.map(|sheet| sheet.lower.kind), Some(ViewKind::Side));
    desk.key_press(Key::S);
    desk.run();
    assert_eq!(state(&desk).stage.sheet.map(|sheet| sheet.lower.kind), Some(ViewKind::Front));
}

#[test]
fn the_light_under_the_pointer_is_each_beams_share() {
    let mut desk = desk();
    let sheet = state(&desk).stage.sheet.expect("drawn");
    // The brightest of a grid of places on the floor: some beam lands somewhere.
    let places = (0..400).map(|i| Vec2::new((i % 20) as f32, (i / 20) as f32));
    let size = sheet.upper.rect.size() / 20.0;
    let lux = |at: Vec2| {
        let flat = sheet.upper.to_plane(at);
        let point = glam::DVec3::new(flat.x, flat.y, 0.0);
        state(&desk).scene.illuminance_at(point, glam::DVec3::Z).iter().map(|(_, lux)| lux).sum()
    };
    let brightest = places
        .map(|cell| sheet.upper.rect.min + cell * size)
        .max_by(|a, b| f64::total_cmp(&lux(*a), &lux(*b)))
        .expect("there are places");
    let expected: f64 = lux(brightest);
    let at = corner(&desk) + vec2(brightest.x, brightest.y);
    desk.hover_at(at);
    desk.run();
    let under = state(&desk).stage.under.clone().expect("the pointer is over the floor");
    assert!(expected > 1.0 && (under.total_lx() - expected).abs() < 1e-6 * expected);
    desk.get_by_label_contains(&format!("{expected:.0} lx"));
}

#[test]
fn a_dimmer_pulled_down_is_seen_to_dim() {
    let mut desk = desk();
    let reference = state(&desk).scene.reference_lx;
    let show = state(&desk).show();
    let universe = show.rig[0].address.expect("it is patched").universe;
    let values: Vec<_> =
        (1..=512).filter_map(slotwright::wire::Slot::new).map(|s| (s, 0)).collect();
    crate::desk::apply(
        &mut desk,
        slotwright::app::Command::SetSlots { universe, values, gesture: false },
    );
    assert!(state(&desk).scene.reference_lx >= reference, "exposure does not follow down");
}
