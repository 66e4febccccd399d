//! What a channel asks, in the words of a row of the reading panel.

use super::ruler_paint::says_nothing;
use crate::decode::{ChannelReading, written};
use crate::profile::quantity::Unit;
use crate::rig::Rig;

/// What a channel asks, in physical terms and by name; nothing where no range is in force.
pub(super) fn asked_words(channel: &ChannelReading<'_>) -> (String, String) {
    let Some(range) = channel.range else { return Default::default() };
    let physical = match (range.physical, channel.physical) {
        (Some(physical), Some(value)) => physical.unit.format(value),
        _ => String::new(),
    };
    // Beside a number, a label that only repeats the channel's name says nothing.
    let repeats = says_nothing(channel.channel, range);
    let label = if repeats && !physical.is_empty() { "" } else { range.label.as_str() };
    (physical, label.to_owned())
}

/// What some fixtures are asked of one channel, in few words: the span where all are asked numbers of
/// one unit, else each thing once.
pub(super) fn mixed_words(channels: &[ChannelReading<'_>]) -> String {
    let number =
        |channel: &ChannelReading<'_>| Some((channel.range?.physical?.unit, channel.physical?));
    let numbers: Option<Vec<(Unit, f64)>> = channels.iter().map(number).collect();
    let numbers = numbers.filter(|all| all.iter().all(|(unit, _)| *unit == all[0].0));
    if let Some(((unit, low), (_, high))) = numbers.and_then(|mut all| {
        all.sort_by(|a, b| a.1.total_cmp(&b.1));
        Some((*all.first()?, *all.last()?))
    }) {
        let (low, high) = (unit.format(low), unit.format(high));
        let bare = low.split(' ').next().unwrap_or(&low);
        return if low == high { low } else { format!("{bare} to {high}") };
    }
    let mut words: Vec<String> = Vec::new();
    for channel in channels {
        let width = channel.channel.offsets.len();
        let word = match (channel.range, asked_words(channel)) {
            (Some(_), (physical, label)) if physical.is_empty() => label,
            (Some(_), (physical, _)) => physical,
            (None, _) => match channel.held.value() {
                Some(value) => written(value, width),
                None => "not sent".to_owned(),
            },
        };
        if !word.is_empty() && !words.contains(&word) {
            words.push(word);
        }
    }
    words.join(", ")
}

/// Numbers of fixtures, runs of neighbours drawn together: `101..104, 107`.
pub(super) fn numbers(rig: &Rig, places: &[usize]) -> String {
    let mut ids: Vec<u32> = places.iter().filter_map(|i| rig.get(*i)).map(|f| f.id).collect();
    ids.sort_unstable();
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for id in ids {
        match runs.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(id) => *last = id,
            _ => runs.push((id, id)),
        }
    }
    let word = |(a, b): &(u32, u32)| match b - a {
        0 => a.to_string(),
        1 => format!("{a}, {b}"),
        _ => format!("{a}..{b}"),
    };
    runs.iter().map(word).collect::<Vec<_>>().join(", ")
}
