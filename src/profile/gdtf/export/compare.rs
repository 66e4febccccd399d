//! What of a profile comes back otherwise once it was written and read.

use super::super::import::own_words;
use super::super::said::Said;
use crate::profile::{Channel, Condition, Effect, Mode, Profile, Range, Source, Wheel, WheelSlot};

/// How far a number may be off, for its digits in the file: an import keeps a millionth.
const SLACK: f64 = 2e-6;

/// Says everything of `was` that is not so in `back`.
pub(super) fn compare(was: &Profile, back: &Profile, said: &mut Said) {
    let item = "fixture";
    differs(item, "maker", &was.maker, &back.maker, said);
    differs(item, "model", &was.model, &back.model, said);
    differs(item, "revision", &was.revision, &back.revision, said);
    differs(item, "what it does without a signal", &was.on_loss, &back.on_loss, said);
    differs(item, "times", &was.times, &back.times, said);
    differs(item, "head", &was.head, &back.head, said);
    differs(item, "body", &was.body, &back.body, said);
    optics(was, back, said);
    source(was, back, said);
    differs(
        item,
        "its chart",
        &own_words(&was.provenance.chart),
        &own_words(&back.provenance.chart),
        said,
    );
    if !was.provenance.software.is_empty() || !was.provenance.checked_by.is_empty() {
        said.note(item, "software version and who checked the profile", NOT_HELD);
    }
    if !was.accepted.is_empty() {
        said.note(item, "accepted findings", NOT_HELD);
    }
    cells(was, back, said);
    for (name, wheel) in &was.wheels {
        wheels(&format!("wheel \"{name}\""), wheel, back.wheels.get(name), said);
    }
    for name in was.drawings.keys().filter(|name| !is_used(was, name)) {
        let item = format!("drawing \"{name}\"");
        said.note(&item, "no slot of a wheel names the drawing", NOT_HELD);
    }
    for mode in &was.modes {
        let item = format!("mode \"{}\"", mode.name);
        match back.mode(&mode.name) {
            Some(other) => modes(&item, mode, other, said),
            None => {
                said.error(&item, "the mode does not come back", "the file is of no use for it")
            }
        }
    }
}

/// Where there is no counterpart at all.
const NOT_HELD: &str = "the file has no place for it: it is left out";

/// Whether a slot of a wheel has a drawing.
fn is_used(profile: &Profile, drawing: &str) -> bool {
    let slots = profile.wheels.values().flat_map(|wheel| &wheel.slots);
    slots.into_iter().any(|slot| match slot {
        WheelSlot::Pattern(_, of) | WheelSlot::Animation(_, of) => of == drawing,
        _ => false,
    })
}

/// Two values as a profile writes them, where they differ.
fn differs<T: PartialEq + serde::Serialize>(
    item: &str,
    what: &str,
    was: &T,
    back: &T,
    said: &mut Said,
) {
    let (a, b) = (written(was), written(back));
    if was != back && !near(&a, &b) {
        let what = format!("{what} `{}` reads back as `{}`", shown(&a), shown(&b));
        said.warning(item, what, "the file cannot say more");
    }
}

/// A value as a person reads it: what is not there is not given.
fn shown(text: &str) -> &str {
    match text.strip_prefix("Some(").and_then(|text| text.strip_suffix(')')) {
        Some(inner) => inner,
        None if matches!(text, "None" | "()") => "not given",
        None => text,
    }
}

/// A value as a profile writes it.
fn written<T: serde::Serialize>(value: &T) -> String {
    ron::to_string(value).unwrap_or_default()
}

/// Whether two texts differ only in the last digits of their numbers.
fn near(a: &str, b: &str) -> bool {
    let parts = |text: &str| -> Vec<String> {
        let mut parts = vec![String::new()];
        let mut numeric = false;
        for c in text.chars() {
            let part_of_number = c.is_ascii_digit() || ".-e".contains(c);
            if part_of_number != numeric {
                numeric = part_of_number;
                parts.push(String::new());
            }
            if let Some(last) = parts.last_mut() {
                last.push(c);
            }
        }
        parts
    };
    let (a, b) = (parts(a), parts(b));
    let same = |(a, b): (&String, &String)| match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(a), Ok(b)) => close(a, b),
        _ => a == b,
    };
    a.len() == b.len() && a.iter().zip(&b).all(same)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= SLACK * a.abs().max(1.0)
}

fn optics(was: &Profile, back: &Profile, said: &mut Said) {
    let angles = |profile: &Profile| (profile.optics.beam_deg, profile.optics.field_deg);
    differs("optics", "beam and field angle", &angles(was), &angles(back), said);
    if was.optics.peak_cd.is_some() {
        said.note("optics", "the peak intensity", NOT_HELD);
    }
}

fn source(was: &Profile, back: &Profile, said: &mut Said) {
    let (Source::Emitters(own), Source::Emitters(others)) = (&was.source, &back.source) else {
        return differs("source", "the source", &was.source, &back.source, said);
    };
    for emitter in own {
        let item = format!("emitter \"{}\"", emitter.name);
        match others.iter().find(|other| other.name == emitter.name) {
            Some(other) => differs(&item, "the emitter", emitter, other, said),
            None => said.warning(&item, "no channel sets this emitter", "it does not come back"),
        }
    }
}

fn cells(was: &Profile, back: &Profile, said: &mut Said) {
    // One cell in the middle is what a fixture without cells has.
    let places = |profile: &Profile| match profile.cells.as_slice() {
        [] => vec![(0.0, 0.0)],
        cells => cells.to_vec(),
    };
    differs("cells", "their places", &places(was), &places(back), said);
}

fn wheels(item: &str, was: &Wheel, back: Option<&Wheel>, said: &mut Said) {
    let Some(back) = back else {
        return said.warning(item, "the wheel does not come back", "the file cannot hold it");
    };
    if was.shortest.is_some() {
        said.note(item, "which way round it goes", NOT_HELD);
    }
    match (was.move_s, back.move_s) {
        (Some(s), None) => {
            let what = format!("the time of a step, {s} s, does not come back");
            let mend =
                "it stands with what selects on the wheel or glides over it, and nothing does";
            said.warning(item, what, mend);
        }
        (was, back) => differs(item, "the time of a step", &was, &back, said),
    }
    if was.slots.len() != back.slots.len() {
        let what = format!("{} slots read back as {}", was.slots.len(), back.slots.len());
        said.warning(item, what, "the file cannot hold them all");
    }
    for (i, (slot, other)) in was.slots.iter().zip(&back.slots).enumerate() {
        differs(&format!("{item}, slot {}", i + 1), "the slot", slot, other, said);
        if matches!(slot, WheelSlot::Pattern(..) | WheelSlot::Animation(..)) {
            let mend = "its outlines read back traced, within a cell of 1/128 of the disc";
            said.note("", "a drawing is written as a picture", mend);
        }
    }
}

fn modes(item: &str, was: &Mode, back: &Mode, said: &mut Said) {
    differs(item, "the number of slots", &was.slots, &back.slots, said);
    let mut left: Vec<&Channel> = back.channels.iter().collect();
    for channel in &was.channels {
        let item = format!("{item}, channel \"{}\"", channel.name);
        match left.iter().position(|other| other.at == channel.at) {
            Some(found) => channels(&item, channel, left.remove(found), said),
            None => said.error(&item, "the channel does not come back", "the file cannot hold it"),
        }
    }
}

fn channels(item: &str, was: &Channel, back: &Channel, said: &mut Said) {
    differs(item, "the name", &was.name, &back.name, said);
    differs(item, "the value at rest", &was.default, &back.default, said);
    differs(item, "its jumping in a fade", &was.snap, &back.snap, said);
    let cell = |channel: &Channel| channel.cell;
    differs(item, "its cell", &cell(was), &cell(back), said);
    let width = was.at.len();
    let mut left: Vec<&Range> = back.ranges.iter().collect();
    for range in &was.ranges {
        let key = (range.bounds(width), conditions(range));
        let found = left.iter().position(|other| (other.bounds(width), conditions(other)) == key);
        match found {
            Some(found) => ranges(item, range, left.swap_remove(found), said),
            None => {
                let what = format!("the range {} does not come back", words(range, width));
                said.warning(item, what, "the file cannot hold it");
            }
        }
    }
    for range in left {
        let what = format!("there is a range {} that was none", words(range, width));
        said.warning(item, what, "the file cannot hold the gap");
    }
}

fn words(range: &Range, width: usize) -> String {
    let bounds = range.bounds(width);
    bounds.map_or_else(String::new, |(first, last)| format!("{first}..{last} of {width} slots"))
}

/// The conditions that say something, in order.
fn conditions(range: &Range) -> Vec<&Condition> {
    let mut list: Vec<&Condition> =
        range.when.iter().filter(|when| (when.1, when.2) != (0, 255)).collect();
    list.sort_by(|a, b| (&a.0, a.1, a.2).cmp(&(&b.0, b.1, b.2)));
    list
}

fn ranges(item: &str, was: &Range, back: &Range, said: &mut Said) {
    // A range without words of its own loses none by getting some.
    if !was.label.trim().is_empty() {
        differs(item, "the label", &was.label.trim(), &back.label.as_str(), said);
    }
    let all = |range: &Range| -> Vec<Effect> { range.effects().cloned().collect() };
    let (own, others) = (all(was), all(back));
    let held = |effect: &Effect| others.iter().any(|other| same(effect, other));
    if own.len() != others.len() || !own.iter().all(held) {
        let line = |list: &[Effect]| list.iter().map(written).collect::<Vec<_>>().join(" and ");
        let what = format!("`{}` reads back as `{}`", line(&own), line(&others));
        said.warning(item, what, "the file has no attribute that says as much");
    }
}

/// Whether two effects are the same thing.
fn same(a: &Effect, b: &Effect) -> bool {
    match (a, b) {
        (
            Effect::Split { wheel, between: (a, b) },
            Effect::Split { wheel: other, between: (c, d) },
        ) => wheel == other && ((a, b) == (c, d) || (a, b) == (d, c)),
        _ => a == b || near(&written(a), &written(b)),
    }
}
