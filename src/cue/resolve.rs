//! From what a cue means to a value of a channel, and back.

use super::value::Value;
use crate::decode::{CompiledChannel, CompiledRange, entry, values_for};
use crate::finding::rounded;
use crate::profile::{Effect, Unit};

/// The value of a channel that a cue's value comes to, at full resolution. `held` gives what the
/// fixture's other slots will hold, by offset: ranges that depend on them are taken where they hold.
///
/// # Errors
///
/// Why the channel cannot do that, and what it can. A reference has to be looked up before.
pub fn resolve(
    channel: &CompiledChannel,
    value: &Value,
    held: impl Fn(u16) -> Option<u8>,
) -> Result<u32, String> {
    let holds = |place: &usize| channel.ranges[*place].may_hold(&held);
    let found = match value {
        Value::Full(full) => Some(*full).filter(|full| *full <= channel.max_value()),
        Value::Byte(byte) => {
            let each = |value: u32, _: &u16| value << 8 | u32::from(*byte);
            Some(channel.offsets.iter().take(4).fold(0, each))
        }
        Value::Is { range, amount, unit } => {
            let whole = |wanted: &str| {
                channel.ranges.iter().any(|range| wanted.eq_ignore_ascii_case(&range.label))
            };
            // `strobe` will do for `strobe, slow to fast` where no range is called just that.
            let named = |place: usize| {
                let label = &channel.ranges[place].label;
                let start = label.split(',').next().unwrap_or_default().trim();
                range.as_ref().is_none_or(|wanted| match whole(wanted) {
                    true => wanted.eq_ignore_ascii_case(label),
                    false => wanted.eq_ignore_ascii_case(start),
                })
            };
            let all = values_for(channel, *amount, *unit);
            let mut all: Vec<_> = all.into_iter().filter(|found| named(found.range)).collect();
            if all.iter().any(|found| holds(&found.range)) {
                all.retain(|found| holds(&found.range));
            }
            all.first()
                .map(|found| found.value)
                .or_else(|| whole_slot(channel, *amount, *unit))
                .or_else(|| share(channel, *amount, *unit))
        }
        Value::Name(name) => {
            let named = |range: &CompiledRange| range.names().any(|n| n.eq_ignore_ascii_case(name));
            let places = (0..channel.ranges.len()).filter(|place| named(&channel.ranges[*place]));
            let places: Vec<usize> = places.collect();
            let place = places.iter().find(|place| holds(place)).or(places.first());
            place.map(|place| channel.ranges[*place].first)
        }
        Value::Like(_) => None,
    };
    found.ok_or_else(|| refused(channel, value))
}

/// A place on a wheel that the channel only has whole slots of.
fn whole_slot(channel: &CompiledChannel, place: f64, unit: Unit) -> Option<u32> {
    let stands = |range: &&CompiledRange| matches!(&range.does, Effect::Slot { slot, .. } if f64::from(*slot) == place);
    let found = channel.ranges.iter().find(stands).filter(|_| unit == Unit::Slot);
    found.map(|range| range.first)
}

/// A percentage of a channel that gives nothing in percent: a share of it, rounded half up.
fn share(channel: &CompiledChannel, percent: f64, unit: Unit) -> Option<u32> {
    let physical = |range: &CompiledRange| {
        range.effects().filter_map(|e| e.physical()).any(|p| p.unit == Unit::Percent)
    };
    let free = unit == Unit::Percent && !channel.ranges.iter().any(physical);
    (free && (0.0..=100.0).contains(&percent))
        .then(|| (percent / 100.0 * f64::from(channel.max_value()) + 0.5).floor() as u32)
}

fn refused(channel: &CompiledChannel, value: &Value) -> String {
    let text = match value {
        Value::Is { amount, unit: Unit::Slot, .. } => format!("slot {amount}"),
        Value::Is { amount, unit, .. } => format!("{amount} {}", unit.symbol()),
        other => other.to_string(),
    };
    match (value, entry::parse(channel, &text, |_| None)) {
        (Value::Like(name), _) => format!("`{name}` gives this channel nothing"),
        (_, Err(why)) => why.to_string(),
        (Value::Is { range: Some(range), .. }, Ok(_)) => {
            format!("`{range}` cannot do `{text}`, or there is no such range on this channel")
        }
        (_, Ok(_)) => format!("`{text}` is not what a range of this channel is called in full"),
    }
}

/// What a value of a channel means, so that it resolves to the same value again: by its physical value or
/// its name where it has one, else raw. `held` is as for [`resolve`].
pub fn meaning(channel: &CompiledChannel, value: u32, held: impl Fn(u16) -> Option<u8>) -> Value {
    let back = |meant: &Value| resolve(channel, meant, &held) == Ok(value);
    let place = channel.find_with(value, &held);
    if let Some(range) = place.and_then(|place| channel.ranges.get(place)) {
        if let (Some(physical), Some(amount)) = (range.physical, range.physical_at(value)) {
            for decimals in 0..=6 {
                // Rounded through its text, so that a file shows no noise behind the last decimal.
                let Ok(amount) = rounded(amount, decimals).parse() else { continue };
                for label in [None, Some(range.label.clone())] {
                    let meant = Value::Is { range: label, amount, unit: physical.unit };
                    if back(&meant) {
                        return meant;
                    }
                }
            }
        }
        // Values of a range without a physical value all do the same: its first stands for it.
        let alike = range.physical.is_none();
        for name in range.slot_name.iter().chain([&range.label]) {
            let meant = Value::Name(name.clone());
            let same = alike && resolve(channel, &meant, &held) == Ok(range.first);
            if !name.trim().is_empty() && (same || back(&meant)) {
                return meant;
            }
        }
    }
    Value::Full(value)
}
