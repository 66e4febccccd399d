//! Fields of the bench's forms: text, numbers with units, choices. A form collects what its fields do
//! and asks for one edit.

use std::ops::RangeInclusive;

use egui::{ComboBox, DragValue, Key, Response, RichText, TextEdit, Ui};

use super::BenchCommand;
use crate::app::command::Command;
use crate::app::theme::strong;
use crate::profile::ProfileEdit;
use crate::profile::quantity::Unit;
use crate::show::Edit;

/// What the fields of a form did in this pass.
#[derive(Clone, Copy, Debug, Default)]
pub(in crate::app) struct Form {
    /// A field was changed. Without that nothing is asked for, even of a profile that holds what no field
    /// could: it is the person who mends it.
    done: bool,
    /// A number is being dragged: what changes belongs to one step of undo.
    gesture: bool,
    /// The drag ended.
    over: bool,
}

/// A number in a form.
#[derive(Clone, Debug)]
pub(in crate::app) struct Number {
    /// What it is called, for those who cannot see where it stands.
    pub name: String,
    /// Its unit, as shown behind it.
    pub unit: &'static str,
    /// How much a drag of one point changes it.
    pub speed: f64,
    /// What it can be.
    pub range: RangeInclusive<f64>,
    /// Decimals that are shown at most.
    pub decimals: usize,
}

impl Number {
    /// A number of this name and unit that can be anything in `range`.
    pub fn new(
        name: impl Into<String>,
        unit: &'static str,
        speed: f64,
        range: RangeInclusive<f64>,
    ) -> Self {
        Self { name: name.into(), unit, speed, range, decimals: 4 }
    }

    /// A whole number.
    pub fn whole(name: impl Into<String>, range: RangeInclusive<f64>) -> Self {
        Self { name: name.into(), unit: "", speed: 0.2, range, decimals: 0 }
    }

    /// The physical value at an end of a range.
    pub fn physical(name: impl Into<String>, unit: Unit) -> Self {
        let (speed, range) = match unit {
            Unit::Degree => (0.5, -100_000.0..=100_000.0),
            Unit::Percent => (0.5, 0.0..=100.0),
            Unit::Hertz => (0.05, 0.0..=1000.0),
            Unit::Rpm => (0.5, -10_000.0..=10_000.0),
            Unit::DegreePerSecond => (1.0, 0.0..=100_000.0),
            Unit::Second => (0.05, 0.0..=3600.0),
            Unit::Kelvin => (20.0, 1000.0..=30_000.0),
            Unit::Slot => (0.02, 1.0..=1000.0),
        };
        let unit = match unit {
            Unit::Degree => "\u{b0}",
            Unit::Percent => " %",
            Unit::Hertz => " Hz",
            Unit::Rpm => " rpm",
            Unit::DegreePerSecond => "\u{b0}/s",
            Unit::Second => " s",
            Unit::Kelvin => " K",
            Unit::Slot => "",
        };
        Self::new(name, unit, speed, range)
    }
}

impl Form {
    /// Takes in what was done to a field that can be dragged.
    pub fn note(&mut self, response: &Response) {
        self.done |= response.changed();
        self.gesture |= response.dragged();
        self.over |= response.drag_stopped();
    }

    /// Takes in that a button changed something.
    pub fn touch(&mut self) {
        self.done = true;
    }

    /// A number to drag or type.
    pub fn number(&mut self, ui: &mut Ui, number: &Number, value: &mut f64) -> Response {
        let before = value.to_bits();
        let drag = DragValue::new(value)
            .speed(number.speed)
            .range(number.range.clone())
            .clamp_existing_to_range(false)
            .max_decimals(number.decimals)
            .suffix(number.unit)
            .custom_parser(typed_number)
            .update_while_editing(false);
        let response = ui
            .add(drag)
            .accessible_name(&number.name)
            .on_hover_text(format!("{}: drag or type", number.name));
        // What is no number differs from itself: the widget alone takes it for changed all the time.
        self.done |= value.to_bits() != before;
        self.gesture |= response.dragged();
        self.over |= response.drag_stopped();
        response
    }

    /// A number that may be unknown: a tick says that it is known; `first` is what it then begins with.
    pub fn optional(&mut self, ui: &mut Ui, number: &Number, value: &mut Option<f64>, first: f64) {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let mut known = value.is_some();
            let tick =
                ui.checkbox(&mut known, "").accessible_name(format!("{} known", number.name));
            let hint = "Ticked: the manual says it. Else it is unknown, which is not 0.";
            self.done |= tick.on_hover_text(hint).changed();
            match (known, &mut *value) {
                (true, Some(value)) => drop(self.number(ui, number, value)),
                (true, None) => *value = Some(first),
                (false, _) => {
                    *value = None;
                    ui.weak("unknown");
                }
            }
        });
    }

    /// One of a few things.
    pub fn choice<T: Clone + PartialEq>(
        &mut self,
        ui: &mut Ui,
        name: &str,
        value: &mut T,
        all: &[(T, &str)],
    ) {
        let shown = all.iter().find(|(choice, _)| choice == value).map_or("", |(_, word)| word);
        ComboBox::from_id_salt(("choice", name))
            .selected_text(shown)
            .show_ui(ui, |ui| {
                for (choice, word) in all {
                    self.done |= ui.selectable_value(value, choice.clone(), *word).changed();
                }
            })
            .response
            .accessible_name(name);
    }

    /// One of some names.
    pub fn name<'a>(
        &mut self,
        ui: &mut Ui,
        name: &str,
        value: &mut String,
        all: impl Iterator<Item = &'a str>,
    ) {
        ComboBox::from_id_salt(("name", name))
            .selected_text(value.as_str())
            .truncate()
            .show_ui(ui, |ui| {
                for choice in all {
                    let row = ui.selectable_value(value, choice.to_owned(), choice);
                    self.done |= row.changed();
                }
            })
            .response
            .accessible_name(name);
    }

    /// A line of text, taken once it is entered or left.
    pub fn text(&mut self, ui: &mut Ui, name: &str, value: &mut String, width: f32) {
        if let Some(text) = typed(ui, name, value, width) {
            *value = text.trim().to_owned();
            self.done = true;
        }
    }

    /// Asks for an edit of the show, if a field was changed.
    pub fn edit(self, edit: impl FnOnce() -> Edit, commands: &mut Vec<Command>) {
        if self.done {
            commands.push(Command::Edit { edit: edit(), gesture: self.gesture });
        }
        if self.over {
            commands.push(Command::EndGesture);
        }
    }

    /// Asks for an edit, if there is one.
    pub fn ask(self, edit: Option<ProfileEdit>, commands: &mut Vec<Command>) {
        if let Some(edit) = edit.filter(|_| self.done) {
            commands.push(BenchCommand::Edit { edit, gesture: self.gesture }.into());
        }
        if self.over {
            commands.push(BenchCommand::EndGesture.into());
        }
    }
}

/// A text field over a value: what is typed stays aside until Enter, or until the field is left.
pub(in crate::app) fn typed(ui: &mut Ui, name: &str, held: &str, width: f32) -> Option<String> {
    let id = ui.make_persistent_id(("typed", name));
    let kept: Option<String> = ui.data(|data| data.get_temp(id));
    let mut text = kept.unwrap_or_else(|| held.to_owned());
    let edit = TextEdit::singleline(&mut text).id(id.with("field")).desired_width(width);
    let field = ui.add(edit).accessible_name(name);
    if field.changed() {
        ui.data_mut(|data| data.insert_temp(id, text.clone()));
    }
    if field.has_focus() {
        return None;
    }
    // A field that was taken away while it had the keyboard hands its text in when it is back.
    let kept: Option<String> = ui.data_mut(|data| data.remove_temp(id));
    let cancelled = ui.input(|input| input.key_pressed(Key::Escape));
    kept.filter(|text| !cancelled && text != held)
}

/// A number as a person types it, with or without its unit.
fn typed_number(text: &str) -> Option<f64> {
    let text = text.trim().replace('\u{2212}', "-");
    let number = text.trim_end_matches(|c: char| !c.is_ascii_digit() && c != '.').trim_end();
    number.parse().ok().filter(|value: &f64| value.is_finite())
}

/// The heading of a part of the editor.
pub(in crate::app) fn heading(ui: &mut Ui, words: &str) {
    ui.label(RichText::new(words).font(strong()));
}

/// A small button with a tooltip; says whether it was pressed.
pub(in crate::app) fn button(ui: &mut Ui, words: &str, tip: &str, enabled: bool) -> bool {
    let button = ui.add_enabled(enabled, egui::Button::new(words));
    button.on_hover_text(tip).on_disabled_hover_text(tip).clicked()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_with_and_without_their_unit() {
        for (text, value) in [
            ("5", Some(5.0)),
            (" 5.5 Hz ", Some(5.5)),
            ("\u{2212}20\u{b0}", Some(-20.0)),
            ("50 %", Some(50.0)),
            ("220\u{b0}/s", Some(220.0)),
            ("1e400", None),
            ("Hz", None),
            ("", None),
        ] {
            assert_eq!(typed_number(text), value, "{text:?}");
        }
    }
}
