//! The dialog that adds fixtures.

use egui::{Align, Button, ComboBox, DragValue, Grid, Layout, RichText, ScrollArea, TextEdit, Ui};

use super::dialogs::Answer;
use super::patching::{AddForm, MOST_ADDED};
use super::reading::note;
use crate::finding::Severity;
use crate::rig::Fixture;
use crate::show::Show;
use crate::wire::SLOTS;

/// How many findings are shown before they have to be scrolled, in points of height.
const FINDINGS: f32 = 84.0;

/// Shows the form, what it comes to, and what there is to say of that.
pub fn add_dialog(ui: &mut Ui, form: &mut AddForm, show: &Show) -> Option<Answer> {
    ui.set_width(460.0);
    ui.heading("Add fixtures");
    ui.add_space(8.0);
    Grid::new("add").num_columns(2).spacing([12.0, 6.0]).show(ui, |ui| {
        kind_rows(ui, form, show);
        number_rows(ui, form);
        address_row(ui, form, show);
        place_rows(ui, form, show);
    });
    ui.add_space(8.0);
    let fixtures = form.fixtures(&show.room);
    ui.label(RichText::new(summary(&fixtures)).strong());
    let mut findings = form.findings(show, &fixtures);
    let taken = fixtures.iter().find(|new| show.rig.iter().any(|known| known.id == new.id));
    if let Some(taken) = taken {
        let words = format!("another fixture has the number {} already", taken.id);
        note(ui, Severity::Error, &words);
    }
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    ScrollArea::vertical().max_height(FINDINGS).show(ui, |ui| {
        for finding in &findings {
            note(ui, finding.severity, &format!("{}: {}", finding.place, finding.what));
        }
    });
    ui.add_space(12.0);
    let mut answer = None;
    ui.horizontal(|ui| {
        let ready = !fixtures.is_empty() && taken.is_none();
        let words = match fixtures.len() {
            1 => "Add 1 fixture".to_owned(),
            n => format!("Add {n} fixtures"),
        };
        if ui.add_enabled(ready, Button::new(words)).clicked() {
            answer = Some(Answer::Add);
        }
        if ui.button("Cancel").on_hover_text("Add nothing (Esc)").clicked() {
            answer = Some(Answer::Cancel);
        }
    });
    answer
}

/// Which numbers and addresses they get: `701 to 704, at 1/251, 1/260, 1/269 and 1/278`.
fn summary(fixtures: &[Fixture]) -> String {
    let (Some(first), Some(last)) = (fixtures.first(), fixtures.last()) else {
        return "There is no profile to choose.".to_owned();
    };
    let address = |fixture: &Fixture| match fixture.address {
        Some(address) => address.to_string(),
        None => "no address".to_owned(),
    };
    match fixtures.len() {
        1 => format!("Number {}, at {}", first.id, address(first)),
        _ => {
            let (a, b) = (address(first), address(last));
            format!("Numbers {} to {}, from {a} to {b}", first.id, last.id)
        }
    }
}

fn kind_rows(ui: &mut Ui, form: &mut AddForm, show: &Show) {
    let before = (form.profile, form.mode);
    let label = ui.label("Profile");
    let name = |profile: usize| form.profiles.get(profile).map_or(String::new(), |p| p.key().0);
    let mut chosen = form.profile;
    let combo = ComboBox::from_id_salt("profile").width(280.0).selected_text(name(chosen));
    let response = combo.show_ui(ui, |ui| {
        for profile in 0..form.profiles.len() {
            ui.selectable_value(&mut chosen, profile, name(profile));
        }
    });
    response.response.labelled_by(label.id);
    ui.end_row();
    if chosen != form.profile {
        (form.profile, form.mode) = (chosen, 0);
    }
    let label = ui.label("Mode");
    let modes = form.profiles.get(form.profile).map_or(&[][..], |p| p.modes.as_slice());
    let words = |mode: &crate::profile::Mode| format!("{}, {} slots", mode.name, mode.slots);
    let text = modes.get(form.mode).map_or(String::new(), words);
    let mut mode = form.mode;
    let combo = ComboBox::from_id_salt("mode").width(280.0).selected_text(text);
    let response = combo.show_ui(ui, |ui| {
        for (i, known) in modes.iter().enumerate() {
            ui.selectable_value(&mut mode, i, words(known));
        }
    });
    response.response.labelled_by(label.id);
    ui.end_row();
    form.mode = mode;
    if (form.profile, form.mode) != before {
        form.find_address(show);
    }
}

fn number_rows(ui: &mut Ui, form: &mut AddForm) {
    let label = ui.label("How many");
    ui.add(DragValue::new(&mut form.count).range(1..=MOST_ADDED).speed(0.1)).labelled_by(label.id);
    ui.end_row();
    let label = ui.label("First number");
    ui.add(DragValue::new(&mut form.first_id).range(1..=99_999).speed(0.2)).labelled_by(label.id);
    ui.end_row();
    let label = ui.label("Label");
    let edit = TextEdit::singleline(&mut form.label).desired_width(280.0);
    ui.add(edit.hint_text("such as Back spot; numbered where there are several"))
        .labelled_by(label.id);
    ui.end_row();
}

fn address_row(ui: &mut Ui, form: &mut AddForm, show: &Show) {
    ui.label("First address");
    ui.horizontal(|ui| {
        let universe = DragValue::new(&mut form.universe).range(1..=63_999).speed(0.05);
        ui.add(universe).accessible_name("Universe").on_hover_text("Universe, 1..63999");
        ui.label("/");
        let slot = DragValue::new(&mut form.slot).range(1..=SLOTS as u16).speed(0.3);
        ui.add(slot).accessible_name("First slot").on_hover_text("First slot, 1..512");
        let tip = "The first slots that are free for all of them";
        if ui.small_button("Find free").on_hover_text(tip).clicked() {
            form.find_address(show);
        }
        ui.weak("free between");
        let gap = DragValue::new(&mut form.gap).range(0..=SLOTS as u16).speed(0.1);
        ui.add(gap)
            .accessible_name("Free slots between")
            .on_hover_text("Slots left free from one to the next");
    });
    ui.end_row();
}

fn place_rows(ui: &mut Ui, form: &mut AddForm, show: &Show) {
    let label = ui.label("On");
    let trusses = &show.room.trusses;
    let name = |truss: Option<usize>| match truss.and_then(|truss| trusses.get(truss)) {
        Some(truss) => truss.name.clone(),
        None => "no truss".to_owned(),
    };
    let combo = ComboBox::from_id_salt("truss").width(160.0).selected_text(name(form.truss));
    let mut truss = form.truss;
    let response = combo.show_ui(ui, |ui| {
        for choice in (0..trusses.len()).map(Some).chain([None]) {
            ui.selectable_value(&mut truss, choice, name(choice));
        }
    });
    response.response.labelled_by(label.id);
    ui.end_row();
    form.truss = truss;
    ui.label("Middle");
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        if form.truss.is_some() {
            let tip = "Metres from the middle of the truss towards its far end";
            metres(ui, ("Along the truss", tip), &mut form.middle.x);
        } else {
            metres(ui, ("Middle x", "To the audience's right"), &mut form.middle.x);
            metres(ui, ("Middle y", "Upstage"), &mut form.middle.y);
            metres(ui, ("Middle z", "Up from the floor"), &mut form.middle.z);
        }
        ui.weak("apart");
        metres(ui, ("Metres apart", "From one to the next"), &mut form.spacing_m);
    });
    ui.end_row();
    ui.label("Hang");
    ui.horizontal(|ui| {
        ui.radio_value(&mut form.stands, false, "hung");
        ui.radio_value(&mut form.stands, true, "standing");
    });
    ui.end_row();
}

/// Farthest that a place can be from where it is counted from, in metres.
const FARTHEST_M: f64 = 1000.0;

fn metres(ui: &mut Ui, (name, tip): (&str, &str), value: &mut f64) {
    let drag = DragValue::new(value).range(-FARTHEST_M..=FARTHEST_M).speed(0.02).max_decimals(2);
    ui.add(drag.suffix(" m")).accessible_name(name).on_hover_text(tip);
}
