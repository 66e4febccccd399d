//! The form of one effect: its kind from the groups of kinds, and what that kind needs.

use egui::{RichText, Ui};

use super::form::{Form, Number};
use super::range::slot_words;
use crate::app::theme::small;
use crate::profile::edit::kinds::{Group, KINDS, Kind};
use crate::profile::effect::FilterName;
use crate::profile::effect::{ResetPart, Switch};
use crate::profile::{Curve, Effect, EvenIn, Profile, Shape, Timing, Unit};

const SHAPES: [(Shape, &str); 4] = [
    (Shape::Hard, "hard"),
    (Shape::Swell, "swell"),
    (Shape::Opening, "opening"),
    (Shape::Closing, "closing"),
];

const TIMINGS: [(Timing, &str); 3] =
    [(Timing::Even, "even"), (Timing::Random, "random"), (Timing::Burst, "burst")];

const EVEN_IN: [(EvenIn, &str); 2] =
    [(EvenIn::Hz, "even in rate"), (EvenIn::Seconds, "even in time")];

const BLADES: [(u8, &str); 4] = [(1, "top"), (2, "right"), (3, "bottom"), (4, "left")];

const FILTERS: [(FilterName, &str); 3] =
    [(FilterName::Cyan, "cyan"), (FilterName::Magenta, "magenta"), (FilterName::Yellow, "yellow")];

/// Draws the fields of an effect, which may become another one.
pub(super) fn effect_form(ui: &mut Ui, profile: &Profile, form: &mut Form, effect: &mut Effect) {
    kind_menu(ui, profile, form, effect);
    wheel_fields(ui, profile, form, effect);
    own_fields(ui, profile, form, effect);
    span_fields(ui, form, effect);
    rate_fields(ui, form, effect);
    hold_fields(ui, form, effect);
}

/// A menu of every kind in its group.
fn kind_menu(ui: &mut Ui, profile: &Profile, form: &mut Form, effect: &mut Effect) {
    let here = Kind::of(effect);
    let word = here.map_or("effect", |kind| kind.word);
    let mut chosen = None;
    let menu = ui.menu_button(word, |ui| {
        for group in Group::ALL {
            ui.menu_button(group.word(), |ui| {
                for kind in KINDS.iter().filter(|kind| kind.group == group) {
                    let made = kind.make_like(profile, effect);
                    let row = ui.add_enabled(made.is_some(), egui::Button::new(kind.word));
                    let missing = match kind.group {
                        Group::Colour => "The source has no emitters",
                        _ => "The profile has no wheel yet",
                    };
                    let row = row.on_hover_text(kind.tip).on_disabled_hover_text(missing);
                    if row.clicked() {
                        chosen = made;
                        ui.close();
                    }
                }
            });
        }
    });
    let tip = here.map_or("", |kind| kind.tip);
    menu.response
        .accessible_name(format!("Effect: {word}"))
        .on_hover_text(format!("{tip}. Click for another effect."));
    if let Some(made) = chosen {
        *effect = made;
        form.touch();
    }
}

fn wheel_fields(ui: &mut Ui, profile: &Profile, form: &mut Form, effect: &mut Effect) {
    let Some(wheel) = effect.wheel_mut() else { return };
    form.name(ui, "Wheel", wheel, profile.wheels.keys().map(String::as_str));
    let wheel = wheel.clone();
    let count = profile.wheels.get(&wheel).map_or(0, |wheel| wheel.slots.len());
    let words: Vec<String> =
        (1..=count as u16).map(|slot| slot_words(profile, &wheel, slot)).collect();
    let all: Vec<(u16, &str)> = (1..).zip(words.iter().map(String::as_str)).collect();
    for (i, slot) in effect.wheel_slots_mut().into_iter().enumerate() {
        // Another wheel may have fewer slots.
        *slot = (*slot).min(count.max(1) as u16);
        form.choice(ui, if i == 0 { "Wheel slot" } else { "Other wheel slot" }, slot, &all);
    }
}

fn span_fields(ui: &mut Ui, form: &mut Form, effect: &mut Effect) {
    let Some(unit) = effect.physical().map(|physical| physical.unit) else { return };
    let Some((first, last)) = effect.span_mut() else { return };
    let what = if unit == Unit::Slot { "Place" } else { "Value" };
    form.number(ui, &Number::physical(format!("{what} at the first"), unit), first);
    ui.label("to");
    form.number(ui, &Number::physical(format!("{what} at the last"), unit), last);
    if ui.button("Swap").on_hover_text("Let it run the other way").clicked() {
        std::mem::swap(first, last);
        form.touch();
    }
}

fn rate_fields(ui: &mut Ui, form: &mut Form, effect: &mut Effect) {
    match effect {
        Effect::Strobe { shape, timing, even_in, .. } => {
            form.choice(ui, "Shape of a flash", shape, &SHAPES);
            form.choice(ui, "Timing of flashes", timing, &TIMINGS);
            form.choice(ui, "The rate runs evenly in", even_in, &EVEN_IN);
        }
        Effect::Scroll { even_in, .. } | Effect::Spin { even_in, .. } => {
            form.choice(ui, "The rate runs evenly in", even_in, &EVEN_IN);
        }
        Effect::IrisPulse { shape, .. } => form.choice(ui, "Shape of a pulse", shape, &SHAPES),
        _ => {}
    }
}

fn own_fields(ui: &mut Ui, profile: &Profile, form: &mut Form, effect: &mut Effect) {
    match effect {
        Effect::Dimmer { curve, .. } | Effect::UseCurve { curve, .. } => {
            curve_fields(ui, form, curve)
        }
        Effect::Emitter { name, .. } => {
            let names = profile.source.emitters().iter().map(|emitter| emitter.name.as_str());
            form.name(ui, "Emitter", name, names);
        }
        Effect::Filter { name, .. } => form.choice(ui, "Filter", name, &FILTERS),
        Effect::Blade { blade, .. } | Effect::BladeTurn { blade, .. } => {
            form.choice(ui, "Blade", blade, &BLADES);
        }
        Effect::Latch { switch, on, .. } => {
            let all = Switch::ALL.map(|switch| (switch, switch.word()));
            form.choice(ui, "Switch", switch, &all);
            form.choice(ui, "Switch state", on, &[(true, "on"), (false, "off")]);
        }
        Effect::Program { name } => form.text(ui, "Name of the program", name, 140.0),
        Effect::Reset { part, .. } => {
            let all = [
                (ResetPart::Whole, "everything"),
                (ResetPart::Aim, "pan and tilt"),
                (ResetPart::Effects, "all but pan and tilt"),
            ];
            form.choice(ui, "What goes home", part, &all);
        }
        _ => {}
    }
}

fn curve_fields(ui: &mut Ui, form: &mut Form, curve: &mut Curve) {
    let table = match curve {
        Curve::Table(points) => points.clone(),
        _ => vec![0.0, 0.1, 0.35, 1.0],
    };
    let all = [
        (Curve::Unknown, "curve unknown"),
        (Curve::Linear, "linear"),
        (Curve::Square, "square"),
        (Curve::S, "S"),
        (Curve::Table(table), "table"),
    ];
    form.choice(ui, "Dimmer curve", curve, &all);
    let Curve::Table(points) = curve else { return };
    for (i, point) in points.iter_mut().enumerate() {
        let name = format!("Light at point {}", i + 1);
        form.number(ui, &Number::new(name, "", 0.005, 0.0..=1.0), point);
    }
    if ui.button("More points").on_hover_text("One more point before full").clicked() {
        let last = points.last().copied().unwrap_or(1.0);
        points.push(last);
        form.touch();
    }
    let fewer = ui.add_enabled(points.len() > 2, egui::Button::new("Fewer points"));
    if fewer.on_hover_text("Without the last point").clicked() {
        points.pop();
        form.touch();
    }
}

fn hold_fields(ui: &mut Ui, form: &mut Form, effect: &mut Effect) {
    let (hold, takes) = match effect {
        Effect::Reset { hold_s, takes_s, .. } => (hold_s, Some(takes_s)),
        Effect::LampOn { hold_s }
        | Effect::LampOff { hold_s }
        | Effect::Latch { hold_s, .. }
        | Effect::UseCurve { hold_s, .. } => (hold_s, None),
        _ => return,
    };
    let seconds = |name: &str| Number::new(name, " s", 0.05, 0.0..=3600.0);
    ui.label(RichText::new("held").font(small()));
    ui.push_id("hold", |ui| form.optional(ui, &seconds("Hold time"), hold, 3.0));
    if let Some(takes) = takes {
        ui.label(RichText::new("takes").font(small()));
        ui.push_id("takes", |ui| form.optional(ui, &seconds("Time it takes"), takes, 20.0));
    }
}
