//! Drawings of the profile's own: polygons clicked corner by corner on a disc, whose corners are dragged.

use egui::{
    CornerRadius, CursorIcon, Key, Pos2, Rect, Response, Role, Sense, Shape, Stroke, StrokeKind,
    Ui, WidgetInfo, vec2,
};

use super::act::edit;
use super::form::{button, heading, typed};
use super::{Bench, BenchCommand, Focus, free_name};
use crate::app::command::Command;
use crate::app::theme::Palette;
use crate::light::pattern;
use crate::profile::edit::ProfileEdit;

/// Side of the square that the disc is drawn in, in points.
const SIDE: f32 = 190.0;
/// How near a corner is meant, in points: a click on the first one closes an opening, a drag moves it.
const NEAR: f32 = 8.0;
/// Size of the mark on a corner, in points.
const HANDLE: egui::Vec2 = vec2(4.0, 4.0);
/// The drawing's grid, as a share of the disc's radius, on which corners lie unless Shift is held.
const STEP: f64 = 0.05;

/// Draws the list of drawings and the selected one.
pub(super) fn drawing_editor(ui: &mut Ui, bench: &mut Bench, commands: &mut Vec<Command>) {
    heading(ui, "Drawings of its own");
    let profile = bench.profile().clone();
    ui.horizontal_wrapped(|ui| {
        for name in profile.drawings.keys() {
            let here = bench.focus.drawing.as_ref() == Some(name);
            let row = ui.selectable_label(here, name).on_hover_text("Show this drawing");
            if row.clicked() {
                let focus = Focus { drawing: Some(name.clone()), ..bench.focus.clone() };
                commands.push(BenchCommand::Show(Box::new(focus)).into());
            }
        }
        if button(ui, "New drawing", "An empty disc: no light passes until it has an opening", true)
        {
            let mut taken: Vec<&str> = pattern::names().collect();
            taken.extend(profile.drawings.keys().map(String::as_str));
            let name = free_name("drawing", taken.into_iter());
            commands.push(edit(ProfileEdit::SetDrawing { name, openings: Vec::new() }));
        }
    });
    let Some(name) = bench.focus.drawing.clone() else { return };
    let Some(openings) = profile.drawings.get(&name) else { return };
    ui.push_id(&name, |ui| {
        ui.horizontal(|ui| {
            if let Some(to) = typed(ui, "Drawing name", &name, 120.0) {
                let to = to.trim().to_owned();
                commands.push(edit(ProfileEdit::RenameDrawing { from: name.clone(), to }));
            }
            if button(ui, "Remove drawing", "Take it out; no wheel may use it", true) {
                commands.push(edit(ProfileEdit::RemoveDrawing { name: name.clone() }));
            }
        });
        ui.horizontal_top(|ui| {
            disc(ui, bench, &name, openings, commands);
            ui.vertical(|ui| opening_buttons(ui, bench, &name, openings, commands));
        });
        ui.weak("Click corners round an opening; click the first one to close it.");
        ui.weak("Drag a corner to move it (Shift: off the grid).");
    });
}

fn opening_buttons(
    ui: &mut Ui,
    bench: &mut Bench,
    name: &str,
    openings: &[Vec<(f64, f64)>],
    commands: &mut Vec<Command>,
) {
    let open = bench.opening.len() >= 3;
    let tip = "Join the last corner to the first (Enter, or click the first corner)";
    if button(ui, "Close opening", tip, open) {
        close(bench, name, openings, commands);
    }
    let any = !bench.opening.is_empty();
    if button(ui, "Last corner back", "Take the last corner back (Backspace)", any) {
        bench.opening.pop();
    }
    if button(ui, "Remove opening", "Take the last opening out", !openings.is_empty()) {
        let openings = openings[..openings.len() - 1].to_vec();
        commands.push(edit(ProfileEdit::SetDrawing { name: name.to_owned(), openings }));
    }
}

fn close(bench: &mut Bench, name: &str, openings: &[Vec<(f64, f64)>], commands: &mut Vec<Command>) {
    let mut all = openings.to_vec();
    all.push(std::mem::take(&mut bench.opening));
    commands.push(edit(ProfileEdit::SetDrawing { name: name.to_owned(), openings: all }));
}

fn disc(
    ui: &mut Ui,
    bench: &mut Bench,
    name: &str,
    openings: &[Vec<(f64, f64)>],
    commands: &mut Vec<Command>,
) {
    let (rect, response) = ui.allocate_exact_size(vec2(SIDE, SIDE), Sense::click_and_drag());
    let words = format!("Disc of {name}: {} openings", openings.len());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &words));
    let radius = SIDE / 2.0 - 6.0;
    // The drawing's y runs up, the screen's down.
    let to_screen =
        |(x, y): (f64, f64)| rect.center() + vec2(x as f32 * radius, -(y as f32) * radius);
    let palette = Palette::of(ui.visuals());
    let p = ui.painter();
    p.rect_filled(rect, CornerRadius::ZERO, palette.field);
    p.rect_stroke(rect, CornerRadius::ZERO, Stroke::new(1.0, palette.line), StrokeKind::Inside);
    p.circle_stroke(rect.center(), radius, Stroke::new(1.0, palette.strong_line));
    for opening in openings {
        let points: Vec<Pos2> = opening.iter().map(|corner| to_screen(*corner)).collect();
        // The outline shows every form; a fill of egui's own would only be right for convex ones.
        for corner in &points {
            p.rect_filled(
                Rect::from_center_size(*corner, HANDLE),
                CornerRadius::ZERO,
                palette.text,
            );
        }
        p.add(Shape::closed_line(points, Stroke::new(1.5, palette.text)));
    }
    let drawn: Vec<Pos2> = bench.opening.iter().map(|corner| to_screen(*corner)).collect();
    for corner in &drawn {
        p.circle_filled(*corner, 2.5, palette.accent);
    }
    let drags = drag(ui, &response, bench, name, openings, &to_screen, commands);
    let pointer = response.hover_pos().filter(|_| !drags);
    let mut line = drawn.clone();
    line.extend(pointer.filter(|_| !drawn.is_empty()));
    p.add(Shape::line(line, Stroke::new(1.0, palette.accent)));
    if response.has_focus() {
        p.rect_stroke(
            rect,
            CornerRadius::ZERO,
            Stroke::new(1.0, palette.accent),
            StrokeKind::Inside,
        );
        let (enter, back) = ui
            .input_mut(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Backspace)));
        if enter && bench.opening.len() >= 3 {
            close(bench, name, openings, commands);
            return;
        }
        if back {
            bench.opening.pop();
        }
    }
    if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        response.request_focus();
        let first = drawn.first().is_some_and(|first| first.distance(at) <= NEAR);
        if first && bench.opening.len() >= 3 {
            close(bench, name, openings, commands);
        } else {
            let fine = ui.input(|input| input.modifiers.shift);
            bench.opening.push(corner(rect.center(), radius, at, fine));
        }
    }
}

/// Moves the corner that the pointer has hold of; one drag is one step of undo. Says whether the pointer is
/// at a corner, or has hold of one.
fn drag(
    ui: &Ui,
    response: &Response,
    bench: &mut Bench,
    name: &str,
    openings: &[Vec<(f64, f64)>],
    to_screen: &dyn Fn((f64, f64)) -> Pos2,
    commands: &mut Vec<Command>,
) -> bool {
    let at_pointer = |bench: &Bench, at: Pos2| {
        let done = openings.iter().enumerate().map(|(i, opening)| (Some(i), opening));
        let all = done.chain([(None, &bench.opening)]);
        let corners =
            all.flat_map(|(i, opening)| (0..opening.len()).map(move |c| (i, c, opening[c])));
        let away = |corner: (f64, f64)| to_screen(corner).distance(at);
        let near = corners.filter(|(.., corner)| away(*corner) <= NEAR);
        let nearest = near.min_by(|(.., a), (.., b)| away(*a).total_cmp(&away(*b)));
        nearest.map(|(opening, corner, _)| (opening, corner))
    };
    if response.drag_started() {
        let pressed = ui.input(|input| input.pointer.press_origin());
        bench.dragged = pressed.and_then(|at| at_pointer(bench, at));
    }
    let Some((opening, nth)) = bench.dragged else {
        let over = response.hover_pos().is_some_and(|at| at_pointer(bench, at).is_some());
        if over {
            ui.ctx().set_cursor_icon(CursorIcon::Grab);
        }
        return over && bench.opening.is_empty();
    };
    ui.ctx().set_cursor_icon(CursorIcon::Grabbing);
    if let Some(at) = response.interact_pointer_pos() {
        let fine = ui.input(|input| input.modifiers.shift);
        let to = corner(response.rect.center(), SIDE / 2.0 - 6.0, at, fine);
        let mut all = openings.to_vec();
        match opening {
            None => bench.opening.iter_mut().skip(nth).take(1).for_each(|corner| *corner = to),
            Some(opening) => {
                let moved = all.get_mut(opening).and_then(|opening| opening.get_mut(nth));
                if let Some(moved) = moved.filter(|moved| **moved != to) {
                    *moved = to;
                    let edit = ProfileEdit::SetDrawing { name: name.to_owned(), openings: all };
                    commands.push(BenchCommand::Edit { edit, gesture: true }.into());
                }
            }
        }
    }
    if response.drag_stopped() {
        bench.dragged = None;
        commands.push(BenchCommand::EndGesture.into());
    }
    true
}

/// The corner at a place on the screen, on the grid and inside the disc.
fn corner(centre: Pos2, radius: f32, at: Pos2, fine: bool) -> (f64, f64) {
    let place = |offset: f32| {
        let value = f64::from(offset / radius);
        if fine { (value * 1000.0).round() / 1000.0 } else { (value / STEP).round() * STEP }
    };
    let (x, y) = (place(at.x - centre.x), place(centre.y - at.y));
    let far = x.hypot(y).max(1.0);
    // Rounded, so that a file says 0.35 and not 0.35000000000000003.
    let tidy = |value: f64| (value * 1000.0).trunc() / 1000.0;
    (tidy(x / far), tidy(y / far))
}

#[cfg(test)]
mod tests {
    use egui::pos2;

    use super::*;

    #[test]
    fn corners_lie_on_the_grid_and_inside_the_disc() {
        let centre = pos2(100.0, 100.0);
        assert_eq!(corner(centre, 50.0, pos2(118.0, 83.0), false), (0.35, 0.35));
        assert_eq!(corner(centre, 50.0, pos2(118.0, 83.0), true), (0.36, 0.34));
        let (x, y) = corner(centre, 50.0, pos2(200.0, 0.0), false);
        assert!(x.hypot(y) <= 1.0 && x > 0.7 && y > 0.7);
    }
}
