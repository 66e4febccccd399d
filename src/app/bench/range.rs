//! The form of the selected range: its ends, what it does, what it depends on.

use egui::{RichText, Ui};

use super::Bench;
use super::act::edit;
use super::effect::effect_form;
use super::form::{Form, Number, button, typed};
use crate::app::command::Command;
use crate::app::theme::small;
use crate::finding::rounded;
use crate::profile::edit::kinds::Kind;
use crate::profile::edit::ranges::edge_limits;
use crate::profile::edit::{Edge, ProfileEdit, RangeAt};
use crate::profile::model::{Channel, Condition, Profile, Range};
use crate::profile::{Effect, Unit};

/// Effects that one range may have at most.
const MOST_EFFECTS: usize = 8;

/// A range in words: its label, or what it does.
pub(super) fn range_words(profile: &Profile, range: &Range) -> String {
    match range.label.as_str() {
        "" => effect_words(profile, &range.does),
        label => label.to_owned(),
    }
}

/// An effect in words: `strobe 0.50 Hz..10.00 Hz`, `slot amber`.
fn effect_words(profile: &Profile, effect: &Effect) -> String {
    let word = Kind::of(effect).map_or("", |kind| kind.word);
    let slots: Vec<String> = effect
        .wheel_slots()
        .into_iter()
        .map(|slot| slot_words(profile, effect.wheel().unwrap_or_default(), slot))
        .collect();
    let mut words = word.to_owned();
    if !slots.is_empty() {
        words = format!("{words} {}", slots.join(" / "));
    }
    match effect {
        Effect::Emitter { name, .. } | Effect::Program { name } => {
            words = format!("{words} {name}")
        }
        Effect::Filter { name, .. } => words = format!("{} {words}", name.word()),
        Effect::Blade { blade, .. } | Effect::BladeTurn { blade, .. } => {
            words = format!("{words} {blade}");
        }
        Effect::Latch { switch, on, .. } => {
            words = format!("{} {}", switch.word(), if *on { "on" } else { "off" });
        }
        _ => {}
    }
    if let Some(physical) = effect.physical().filter(|physical| physical.unit != Unit::Slot) {
        let (a, b) = physical.span;
        words =
            format!("{words} {} to {} {}", rounded(a, 2), rounded(b, 2), physical.unit.symbol());
    }
    words
}

/// A slot of a wheel by its name, or by its number where it has none.
pub(super) fn slot_words(profile: &Profile, wheel: &str, slot: u16) -> String {
    let slots = profile.wheels.get(wheel).map_or(&[][..], |wheel| &wheel.slots);
    let known = usize::from(slot).checked_sub(1).and_then(|place| slots.get(place));
    match known.map(|slot| slot.name()).filter(|name| !name.is_empty()) {
        Some(name) => format!("{slot} {name}"),
        None => slot.to_string(),
    }
}

/// Draws the form of the selected range.
pub(super) fn range_form(ui: &mut Ui, bench: &Bench, commands: &mut Vec<Command>) {
    let (Some(channel), Some(range), Some(at)) = (bench.channel(), bench.range(), bench.range_at())
    else {
        ui.weak("Click a range to edit it, or put the cursor into a gap and fill it.");
        return;
    };
    ui.push_id(("range", at.range), |ui| {
        ends_and_label(ui, channel, range, at, commands);
        ui.add_space(4.0);
        effects(ui, bench, range, at, commands);
        ui.add_space(4.0);
        conditions(ui, bench, channel, range, at, commands);
    });
}

fn ends_and_label(
    ui: &mut Ui,
    channel: &Channel,
    range: &Range,
    at: RangeAt,
    commands: &mut Vec<Command>,
) {
    let width = channel.at.len();
    let Some((first, last)) = range.bounds(width) else {
        ui.label("This range has no two ends that the channel can hold. Remove it.");
        return;
    };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        for (words, edge, held) in [("From", Edge::First, first), ("to", Edge::Last, last)] {
            ui.label(words);
            let (least, most) =
                edge_limits(channel, at.range, edge).unwrap_or((0, channel.max_value()));
            end_field(ui, at, edge, held, (least, most), commands);
        }
        if width > 1 {
            let words = format!("of {}", channel.max_value());
            ui.label(RichText::new(words).font(small()).weak())
                .on_hover_text("At the channel's full resolution");
        }
        ui.add_space(6.0);
        ui.label("Label").on_hover_text("What the manual calls it; empty: its own words");
        if let Some(label) = typed(ui, "Label of the range", &range.label, 190.0) {
            commands.push(edit(ProfileEdit::SetLabel { at, label: label.trim().to_owned() }));
        }
    });
}

/// An end of the range as a number. The neighbour that meets it there goes along.
fn end_field(
    ui: &mut Ui,
    at: RangeAt,
    edge: Edge,
    held: u32,
    (least, most): (u32, u32),
    commands: &mut Vec<Command>,
) {
    let mut form = Form::default();
    let mut value = f64::from(held);
    let name = if edge == Edge::First { "First value" } else { "Last value" };
    let speed = (f64::from(most - least) / 400.0).max(0.2);
    let number = Number { speed, ..Number::whole(name, f64::from(least)..=f64::from(most)) };
    form.number(ui, &number, &mut value);
    let to = value.round().clamp(0.0, f64::from(u32::MAX)) as u32;
    form.ask((to != held).then_some(ProfileEdit::MoveEdge { at, edge, to }), commands);
}

fn effects(ui: &mut Ui, bench: &Bench, range: &Range, at: RangeAt, commands: &mut Vec<Command>) {
    let mut form = Form::default();
    let old: Vec<Effect> = range.effects().cloned().collect();
    let mut new = old.clone();
    let mut removed = None;
    for (i, effect) in new.iter_mut().enumerate() {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            ui.label(if i == 0 { "Does" } else { "and" });
            ui.push_id(("effect", i), |ui| effect_form(ui, bench.profile(), &mut form, effect));
            if old.len() > 1 && button(ui, "Remove effect", "The range does this no longer", true) {
                removed = Some(i);
            }
        });
    }
    if let Some(i) = removed {
        new.remove(i);
        form.touch();
    }
    let more = old.len() < MOST_EFFECTS;
    if button(ui, "Also does", "Let the range do something besides", more) {
        new.push(Effect::Unknown);
        form.touch();
    }
    form.ask((new != old).then_some(ProfileEdit::SetEffects { at, effects: new }), commands);
}

fn conditions(
    ui: &mut Ui,
    bench: &Bench,
    channel: &Channel,
    range: &Range,
    at: RangeAt,
    commands: &mut Vec<Command>,
) {
    let mut form = Form::default();
    let mut when = range.when.clone();
    let mut removed = None;
    let others: Vec<&str> = bench.mode().map_or_else(Vec::new, |mode| {
        let others = mode.channels.iter().filter(|other| other.name != channel.name);
        others.map(|other| other.name.as_str()).collect()
    });
    for (i, Condition(name, first, last)) in when.iter_mut().enumerate() {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            ui.label(if i == 0 { "Only while" } else { "and" });
            ui.push_id(("when", i), |ui| {
                form.name(ui, "Channel it depends on", name, others.iter().copied());
                ui.label("is");
                for (words, value) in [("from", first), ("to", last)] {
                    let mut number = *value as f64;
                    let field = Number::whole(format!("Condition {words}"), 0.0..=255.0);
                    form.number(ui, &field, &mut number);
                    *value = number.round() as i64;
                }
                if button(ui, "Remove condition", "It no longer depends on this", true) {
                    removed = Some(i);
                }
            });
        });
    }
    if let Some(i) = removed {
        when.remove(i);
        form.touch();
    }
    let tip = "Let the range hold only while another channel stands somewhere";
    let free = others.iter().find(|name| !when.iter().any(|c| c.0 == **name));
    if button(ui, "Depends on", tip, free.is_some())
        && let Some(name) = free
    {
        when.push(Condition((*name).to_owned(), 0, 255));
        form.touch();
    }
    form.ask((when != range.when).then_some(ProfileEdit::SetWhen { at, when }), commands);
}
