//! The forms of the fixture as a whole: names, body, head, light, optics, times.

use egui::{Grid, Ui};

use super::Bench;
use super::act::edit;
use super::form::{Form, Number, button, heading, typed};
use crate::app::command::Command;
use crate::profile::edit::About;
use crate::profile::model::{Axis, Emitter, Head, Lamp, Source};
use crate::profile::{ProfileEdit, Times};

/// Draws the forms, in columns.
pub(super) fn fixture_editor(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    ui.horizontal_top(|ui| {
        column(ui, 268.0, |ui| {
            about_form(ui, bench, commands);
            ui.add_space(8.0);
            body_form(ui, bench, commands);
        });
        column(ui, 212.0, |ui| {
            head_form(ui, bench, commands);
        });
        column(ui, 270.0, |ui| {
            source_form(ui, bench, commands);
            ui.add_space(8.0);
            optics_form(ui, bench, commands);
        });
        column(ui, 180.0, |ui| times_form(ui, bench, commands));
    });
}

/// A column of forms, `width` points wide at least.
fn column(ui: &mut Ui, width: f32, add: impl FnOnce(&mut Ui)) {
    ui.vertical(|ui| {
        ui.set_min_width(width);
        ui.set_max_width(width);
        add(ui);
    });
}

fn form_grid(ui: &mut Ui, name: &str, add: impl FnOnce(&mut Ui)) {
    Grid::new(name).num_columns(2).spacing([10.0, 3.0]).show(ui, add);
}

fn about_form(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Names");
    let held = About::of(bench.profile());
    let mut about = held.clone();
    form_grid(ui, "about", |ui| {
        for (words, field, tip) in [
            ("Maker", &mut about.maker, "Who makes it; shows name the profile by it"),
            ("Model", &mut about.model, "What it is called; shows name the profile by it"),
            ("Revision", &mut about.revision, "Which state of this profile it is"),
            ("Chart", &mut about.provenance.chart, "The chart or manual it was read from, dated"),
            ("Software", &mut about.provenance.software, "The fixture's software the chart is for"),
            ("Checked by", &mut about.provenance.checked_by, "Who checked it against a real one"),
        ] {
            ui.label(words).on_hover_text(tip);
            if let Some(text) = typed(ui, words, field, 150.0) {
                *field = text.trim().to_owned();
            }
            ui.end_row();
        }
    });
    if about != held {
        commands.push(edit(ProfileEdit::SetAbout(Box::new(about))));
    }
}

fn body_form(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Body");
    let held = &bench.profile().body;
    let mut body = held.clone();
    let mut form = Form::default();
    form_grid(ui, "body", |ui| {
        ui.label("Mass");
        form.optional(ui, &Number::new("Mass", " kg", 0.1, 0.0..=1e6), &mut body.mass_kg, 10.0);
        ui.end_row();
        ui.label("Power").on_hover_text("The greatest power drawn");
        form.optional(ui, &Number::new("Power", " W", 1.0, 0.0..=1e6), &mut body.power_w, 200.0);
        ui.end_row();
        ui.label("Size").on_hover_text("Width, depth and height as hung");
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let mut known = body.size_m.is_some();
            form.note(&ui.checkbox(&mut known, "").accessible_name("Size known"));
            let (mut x, mut y, mut z) = body.size_m.unwrap_or((0.3, 0.3, 0.4));
            if known {
                for (name, value) in [("Width", &mut x), ("Depth", &mut y), ("Height", &mut z)] {
                    form.number(ui, &Number::new(name, " m", 0.005, 0.0..=100.0), value);
                }
            } else {
                ui.weak("unknown");
            }
            body.size_m = known.then_some((x, y, z));
        });
        ui.end_row();
    });
    form.ask((body != *held).then_some(ProfileEdit::SetBody(body)), commands);
}

fn head_form(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Head");
    let held = &bench.profile().head;
    let mut form = Form::default();
    let axes = held.axes().map(|(pan, tilt)| (pan.clone(), tilt.clone()));
    let usual =
        |travel_deg| Axis { travel_deg, speed_deg_s: None, accel_deg_s2: None, endless: false };
    let (mut pan, mut tilt) = axes.unwrap_or_else(|| (usual(540.0), usual(270.0)));
    let kind_of = |head: &Head| match head {
        Head::Fixed => 0u8,
        Head::Moving { .. } => 1,
        Head::Mirror { .. } => 2,
    };
    let mut kind = kind_of(held);
    form.choice(ui, "What moves", &mut kind, &[(0, "fixed"), (1, "moving head"), (2, "mirror")]);
    if kind > 0 {
        for (name, axis) in [("Pan", &mut pan), ("Tilt", &mut tilt)] {
            ui.add_space(2.0);
            ui.label(name);
            ui.push_id(name, |ui| axis_form(ui, &mut form, name, axis));
        }
    }
    let head = match kind {
        0 => Head::Fixed,
        1 => Head::Moving { pan, tilt },
        _ => Head::Mirror { pan, tilt },
    };
    form.ask((head != *held).then(|| ProfileEdit::SetHead(Box::new(head))), commands);
}

fn axis_form(ui: &mut Ui, form: &mut Form, name: &str, axis: &mut Axis) {
    form_grid(ui, name, |ui| {
        ui.label("Travel").on_hover_text("From one end stop to the other");
        let travel = Number::new(format!("{name} travel"), "\u{b0}", 1.0, 0.01..=100_000.0);
        form.number(ui, &travel, &mut axis.travel_deg);
        ui.end_row();
        ui.label("Top speed");
        let speed = Number::new(format!("{name} top speed"), "\u{b0}/s", 1.0, 0.01..=1e6);
        form.optional(ui, &speed, &mut axis.speed_deg_s, 200.0);
        ui.end_row();
        ui.label("Acceleration");
        let accel = Number::new(format!("{name} acceleration"), "\u{b0}/s\u{b2}", 5.0, 0.01..=1e6);
        form.optional(ui, &accel, &mut axis.accel_deg_s2, 600.0);
        ui.end_row();
        ui.label("Endless");
        let tick = ui.checkbox(&mut axis.endless, "").accessible_name(format!("{name} is endless"));
        form.note(&tick.on_hover_text("It can turn without end"));
        ui.end_row();
    });
}

const LAMPS: [(Lamp, &str); 3] =
    [(Lamp::Led, "LED"), (Lamp::Discharge, "discharge"), (Lamp::Tungsten, "tungsten")];

fn source_form(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Light");
    let held = &bench.profile().source;
    let mut form = Form::default();
    let mut source = held.clone();
    let mut white = matches!(source, Source::White { .. });
    form.choice(ui, "Source", &mut white, &[(true, "one white source"), (false, "emitters")]);
    match (white, &source) {
        (true, Source::Emitters(_)) => {
            let flux_lm = held.full_flux_lm();
            source = Source::White { flux_lm, cct_k: 6500.0, lamp: Lamp::Led };
        }
        (false, Source::White { flux_lm, .. }) => source = primaries(*flux_lm),
        _ => {}
    }
    let mut rename = None;
    match &mut source {
        Source::White { flux_lm, cct_k, lamp } => form_grid(ui, "white", |ui| {
            ui.label("Flux").on_hover_text("What leaves the fixture, open and at full");
            form.number(ui, &flux("Flux"), flux_lm);
            ui.end_row();
            ui.label("Temperature");
            let cct = Number::new("Colour temperature", " K", 20.0, 1000.0..=30_000.0);
            form.number(ui, &cct, cct_k);
            ui.end_row();
            ui.label("Lamp");
            form.choice(ui, "Lamp", lamp, &LAMPS);
            ui.end_row();
        }),
        Source::Emitters(emitters) => rename = emitters_form(ui, &mut form, emitters),
    }
    if let Some((emitter, name)) = rename {
        commands.push(edit(ProfileEdit::RenameEmitter { emitter, name }));
        return;
    }
    form.ask((source != *held).then_some(ProfileEdit::SetSource(source)), commands);
}

fn flux(name: impl Into<String>) -> Number {
    Number { decimals: 0, ..Number::new(name, " lm", 20.0, 0.0..=1e9) }
}

/// Three emitters with the primaries of sRGB (IEC 61966-2-1), which give as much light together.
fn primaries(flux_lm: f64) -> Source {
    let emitter = |name: &str, xy, share: f64| Emitter {
        name: name.to_owned(),
        xy,
        flux_lm: (flux_lm * share).round(),
    };
    Source::Emitters(vec![
        emitter("red", (0.64, 0.33), 0.2126),
        emitter("green", (0.30, 0.60), 0.7152),
        emitter("blue", (0.15, 0.06), 0.0722),
    ])
}

/// Draws the emitters; returns one that got another name.
fn emitters_form(
    ui: &mut Ui,
    form: &mut Form,
    emitters: &mut Vec<Emitter>,
) -> Option<(usize, String)> {
    let mut renamed = None;
    let mut removed = None;
    for (i, emitter) in emitters.iter_mut().enumerate() {
        ui.push_id(("emitter", i), |ui| {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 4.0;
                let name = format!("Name of emitter {}", i + 1);
                if let Some(text) = typed(ui, &name, &emitter.name, 64.0) {
                    renamed = Some((i, text.trim().to_owned()));
                }
                let (x, y) = &mut emitter.xy;
                for (axis, value) in [("x", x), ("y", y)] {
                    let name = format!("{} {axis}", emitter.name);
                    form.number(ui, &Number::new(name, "", 0.001, 0.0001..=1.0), value);
                }
                form.number(ui, &flux(format!("{} flux", emitter.name)), &mut emitter.flux_lm);
                let tip = "Take this emitter out; no range may name it";
                if button(ui, "Remove emitter", tip, true) {
                    removed = Some(i);
                }
            });
        });
    }
    if let Some(i) = removed {
        emitters.remove(i);
        form.touch();
    }
    if button(ui, "Add emitter", "Another emitter: name, CIE 1931 x and y, flux", true) {
        let name = super::free_name("emitter", emitters.iter().map(|e| e.name.as_str()));
        emitters.push(Emitter { name, xy: (0.3127, 0.3290), flux_lm: 1000.0 });
        form.touch();
    }
    renamed
}

fn optics_form(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Optics");
    let held = &bench.profile().optics;
    let mut optics = held.clone();
    let mut form = Form::default();
    form_grid(ui, "optics", |ui| {
        ui.label("Beam").on_hover_text("Full angle between the directions of 50 % of the peak");
        let angle = |name| Number::new(name, "\u{b0}", 0.1, 0.01..=179.9);
        form.number(ui, &angle("Beam angle"), &mut optics.beam_deg);
        ui.end_row();
        ui.label("Field").on_hover_text("Full angle between the directions of 10 % of the peak");
        form.number(ui, &angle("Field angle"), &mut optics.field_deg);
        ui.end_row();
        ui.label("Peak").on_hover_text("Where the manual gives it; else it follows from the flux");
        let peak = Number { decimals: 0, ..Number::new("Peak", " cd", 100.0, 0.0..=1e12) };
        form.optional(ui, &peak, &mut optics.peak_cd, 100_000.0);
        ui.end_row();
    });
    // The field lies outside the beam: the one that is not being set gives way.
    if optics.beam_deg != held.beam_deg {
        optics.field_deg = optics.field_deg.max(optics.beam_deg);
    } else if optics.field_deg != held.field_deg {
        optics.beam_deg = optics.beam_deg.min(optics.field_deg);
    }
    form.ask((optics != *held).then_some(ProfileEdit::SetOptics(optics)), commands);
}

fn times_form(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    heading(ui, "Times");
    let held = &bench.profile().times;
    let mut times = held.clone();
    let mut form = Form::default();
    form_grid(ui, "times", |ui| {
        for (words, tip, field, first) in time_fields(&mut times) {
            ui.label(words).on_hover_text(tip);
            let number = Number::new(format!("Time of {words}"), " s", 0.01, 0.0..=3600.0);
            ui.push_id(words, |ui| form.optional(ui, &number, field, first));
            ui.end_row();
        }
    });
    form.ask((times != *held).then(|| ProfileEdit::SetTimes(Box::new(times))), commands);
}

/// Every time: in words, what it is, and what it begins with once it is known.
fn time_fields(times: &mut Times) -> [(&'static str, &'static str, &mut Option<f64>, f64); 12] {
    [
        ("zoom", "From end to end", &mut times.zoom_s, 1.0),
        ("focus", "From end to end", &mut times.focus_s, 0.5),
        ("iris", "From open to closed", &mut times.iris_s, 0.3),
        ("frost", "From out to in", &mut times.frost_s, 0.5),
        ("filter", "A colour filter from out to in", &mut times.filter_s, 0.3),
        ("blade", "A blade, or all turned, from end to end", &mut times.blade_s, 0.5),
        ("turn", "What stands in a wheel's slot once round", &mut times.turn_s, 1.0),
        ("dimmer flag", "From closed to open", &mut times.dimmer_s, 0.1),
        ("filament up", "63.2 % of a rise in level", &mut times.rise_s, 0.2),
        ("filament down", "63.2 % of a fall in level", &mut times.fall_s, 0.3),
        ("strike", "From striking a discharge lamp to light", &mut times.strike_s, 60.0),
        ("cool", "From lamp off until it can be struck", &mut times.cool_s, 300.0),
    ]
}
