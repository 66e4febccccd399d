//! Edits of ranges, and what a person can do to their ends.
//!
//! Ranges with the same conditions stand side by side: a layer. An end that two of a layer share is
//! one boundary and moves for both.

use super::{Edge, ProfileEdit, RangeAt, channel_of, nothing, range_of, refusal};
use crate::finding::Finding;
use crate::profile::effect::Effect;
use crate::profile::model::{Channel, Condition, Profile, Range, max_value};

pub(super) fn make(profile: &mut Profile, edit: ProfileEdit) -> Result<(), Finding> {
    match edit {
        ProfileEdit::AddRange { at, range } => {
            let channel = channel_of(profile, at)?;
            let width = channel.at.len();
            let first = range.bounds(width).map(|(first, _)| first);
            let before = channel.ranges.iter().rposition(|other| {
                other.when == range.when && other.bounds(width).map(|(first, _)| first) < first
            });
            let place = before.map_or_else(
                || {
                    let layer = channel.ranges.iter().position(|other| other.when == range.when);
                    layer.unwrap_or(channel.ranges.len())
                },
                |before| before + 1,
            );
            channel.ranges.insert(place, *range);
        }
        ProfileEdit::SplitRange { at, value } => split(profile, at, value)?,
        ProfileEdit::MergeRange(at) => merge(profile, at)?,
        ProfileEdit::RemoveRange(at) => {
            range_of(profile, at)?;
            channel_of(profile, at.channel)?.ranges.remove(at.range);
        }
        ProfileEdit::MoveEdge { at, edge, to } => move_edge(profile, at, edge, to)?,
        ProfileEdit::SetEffects { at, mut effects } => {
            let range = range_of(profile, at)?;
            if effects.is_empty() {
                return Err(refusal("a range does one thing at least", "let it do `Idle`"));
            }
            range.does = effects.remove(0);
            range.also = effects;
        }
        ProfileEdit::SetLabel { at, label } => range_of(profile, at)?.label = label,
        ProfileEdit::SetWhen { at, when } => range_of(profile, at)?.when = when,
        _ => {}
    }
    Ok(())
}

/// Sets both ends of a range of a channel of `width` slots, in values of the coarse slot wherever these
/// say it exactly.
pub fn set_bounds(range: &mut Range, first: u32, last: u32, width: usize) {
    let fine = max_value(width.saturating_sub(1));
    let shift = 8 * width.saturating_sub(1) as u32;
    let coarse = |value: u32| Some(i64::from(value.checked_shr(shift).unwrap_or(0)));
    (range.from, range.fine_from) = match first & fine {
        0 => (coarse(first), None),
        _ => (None, Some(i64::from(first))),
    };
    (range.to, range.fine_to) = match last & fine {
        end if end == fine => (coarse(last), None),
        _ => (None, Some(i64::from(last))),
    };
}

/// A range of these values that does one thing.
pub fn new_range(first: u32, last: u32, width: usize, does: Effect, when: Vec<Condition>) -> Range {
    let mut range = Range {
        from: None,
        to: None,
        fine_from: None,
        fine_to: None,
        does,
        also: Vec::new(),
        label: String::new(),
        when,
    };
    set_bounds(&mut range, first, last, width);
    range
}

/// The ranges that stand side by side with a range, itself included, as places in the channel's list
/// with their bounds, in rising order.
pub fn layer(channel: &Channel, range: usize) -> Vec<(usize, u32, u32)> {
    let Some(when) = channel.ranges.get(range).map(|range| &range.when) else { return Vec::new() };
    layer_of(channel, when)
}

/// The ranges of a channel with these conditions, as [`layer`] gives them.
pub fn layer_of(channel: &Channel, when: &[Condition]) -> Vec<(usize, u32, u32)> {
    let width = channel.at.len();
    let members = channel.ranges.iter().enumerate().filter(|(_, range)| range.when == when);
    let mut layer: Vec<(usize, u32, u32)> = members
        .filter_map(|(i, range)| range.bounds(width).map(|(first, last)| (i, first, last)))
        .collect();
    layer.sort_unstable_by_key(|(_, first, _)| *first);
    layer
}

/// The values that an end of a range can go to: no range of its layer may vanish under it.
pub fn edge_limits(channel: &Channel, range: usize, edge: Edge) -> Option<(u32, u32)> {
    let layer = layer(channel, range);
    let place = layer.iter().position(|(i, ..)| *i == range)?;
    let (_, first, last) = layer[place];
    match edge {
        Edge::First => {
            let least = match place.checked_sub(1).map(|before| layer[before]) {
                Some((_, other, end)) if end.checked_add(1) == Some(first) => other + 1,
                Some((.., end)) => end.saturating_add(1),
                None => 0,
            };
            Some((least, last))
        }
        Edge::Last => {
            let most = match layer.get(place + 1) {
                Some((_, start, other)) if last.checked_add(1) == Some(*start) => other - 1,
                Some((_, start, _)) => start.saturating_sub(1),
                None => channel.max_value(),
            };
            Some((first, most))
        }
    }
}

fn move_edge(profile: &mut Profile, at: RangeAt, edge: Edge, to: u32) -> Result<(), Finding> {
    let channel = channel_of(profile, at.channel)?;
    let (least, most) =
        edge_limits(channel, at.range, edge).ok_or_else(|| nothing("range with two ends"))?;
    if !(least..=most).contains(&to) {
        return Err(refusal(
            format!("the end cannot go to `{to}`"),
            format!("give a value from {least} to {most}, or take the neighbour out first"),
        ));
    }
    let width = channel.at.len();
    let layer = layer(channel, at.range);
    let Some(place) = layer.iter().position(|(i, ..)| *i == at.range) else {
        return Err(nothing("range"));
    };
    let (_, first, last) = layer[place];
    match edge {
        Edge::First => {
            set_bounds(&mut channel.ranges[at.range], to, last, width);
            if let Some((other, start, end)) = place.checked_sub(1).map(|before| layer[before])
                && end.checked_add(1) == Some(first)
            {
                set_bounds(&mut channel.ranges[other], start, to - 1, width);
            }
        }
        Edge::Last => {
            set_bounds(&mut channel.ranges[at.range], first, to, width);
            if let Some((other, start, end)) = layer.get(place + 1).copied()
                && last.checked_add(1) == Some(start)
            {
                set_bounds(&mut channel.ranges[other], to + 1, end, width);
            }
        }
    }
    Ok(())
}

fn split(profile: &mut Profile, at: RangeAt, value: u32) -> Result<(), Finding> {
    let channel = channel_of(profile, at.channel)?;
    let width = channel.at.len();
    let range = channel.ranges.get_mut(at.range).ok_or_else(|| nothing("range"))?;
    let (first, last) = range.bounds(width).ok_or_else(|| nothing("range with two ends"))?;
    if value <= first || value > last {
        return Err(refusal(
            format!("the range cannot be split at `{value}`"),
            format!("put the cursor between {first} and {last}, past its first value"),
        ));
    }
    let mut second = range.clone();
    set_bounds(range, first, value - 1, width);
    set_bounds(&mut second, value, last, width);
    let share = |value: u32| f64::from(value - first) / f64::from(last - first);
    for (a, b) in std::iter::once(&mut range.does)
        .chain(&mut range.also)
        .zip(std::iter::once(&mut second.does).chain(&mut second.also))
    {
        let Some(physical) = a.physical() else { continue };
        if let Some(span) = a.span_mut() {
            span.1 = physical.at(share(value - 1));
        }
        if let Some(span) = b.span_mut() {
            span.0 = physical.at(share(value));
        }
    }
    channel.ranges.insert(at.range + 1, second);
    Ok(())
}

fn merge(profile: &mut Profile, at: RangeAt) -> Result<(), Finding> {
    let channel = channel_of(profile, at.channel)?;
    let width = channel.at.len();
    let layer = layer(channel, at.range);
    let place = layer.iter().position(|(i, ..)| *i == at.range).ok_or_else(|| nothing("range"))?;
    let (_, first, _) = layer[place];
    let Some((next, _, last)) = layer.get(place + 1).copied() else {
        return Err(refusal("no range follows this one", "choose the one before it"));
    };
    let second = channel.ranges[next].clone();
    let range = &mut channel.ranges[at.range];
    set_bounds(range, first, last, width);
    let pairs = std::iter::once(&mut range.does)
        .chain(&mut range.also)
        .zip(std::iter::once(&second.does).chain(&second.also));
    for (a, b) in pairs {
        let physical = b.physical().filter(|_| a.key() == b.key() && a.wheel() == b.wheel());
        if let (Some(span), Some(physical)) = (a.span_mut(), physical) {
            span.1 = physical.span.1;
        }
    }
    channel.ranges.remove(next);
    Ok(())
}
