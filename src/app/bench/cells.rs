//! Where the light-emitting cells sit.

use egui::{Grid, Ui};

use super::Bench;
use super::form::{Form, Number, button, heading};
use crate::app::command::Command;
use crate::profile::ProfileEdit;

/// Draws the form of the cells.
pub(super) fn cells_editor(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Cells");
    ui.weak("In metres from the fixture's centre, as hung: x along its length, y across it.");
    let held = &bench.profile().cells;
    let mut cells = held.clone();
    let mut form = Form::default();
    let mut removed = None;
    if cells.is_empty() {
        ui.label("One cell at the centre.");
    }
    Grid::new("cells").num_columns(4).spacing([12.0, 4.0]).show(ui, |ui| {
        for (i, (x, y)) in cells.iter_mut().enumerate() {
            ui.label(format!("{}", i + 1));
            for (axis, value) in [("x", x), ("y", y)] {
                let name = format!("Cell {} {axis}", i + 1);
                form.number(ui, &Number::new(name, " m", 0.005, -100.0..=100.0), value);
            }
            if button(ui, "Remove cell", "Take this cell out; the others move up", true) {
                removed = Some(i);
            }
            ui.end_row();
        }
    });
    if let Some(i) = removed {
        form.touch();
        cells.remove(i);
    }
    if button(ui, "Add cell", "Another cell, as far on as the last from the one before", true) {
        cells.push(next_cell(&cells));
        form.touch();
    }
    form.ask((cells != *held).then_some(ProfileEdit::SetCells(cells)), commands);
}

/// A cell as far behind the last as that is behind the one before; 0.1 m where there is none.
fn next_cell(cells: &[(f64, f64)]) -> (f64, f64) {
    match cells {
        [] => (0.0, 0.0),
        [(x, y)] => (x + 0.1, *y),
        [.., (ax, ay), (bx, by)] => (2.0 * bx - ax, 2.0 * by - ay),
    }
}
