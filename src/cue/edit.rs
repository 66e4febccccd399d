//! What is done to lists as a whole: splitting, copying, renumbering, changing many cues at once.

use std::collections::BTreeMap;

use super::model::{Cue, CueList};
use super::number::CueNumber;
use super::value::Value;
use crate::rig::FixtureId;

/// A number for a new cue behind the one at `after` (before the first for `None`). `None` where there is
/// none between the two.
pub fn number_after(list: &CueList, after: Option<usize>) -> Option<CueNumber> {
    let number = |place: usize| list.cues.get(place).map(|cue| cue.number);
    match after {
        Some(place) => number(place)?.between(number(place + 1)),
        None => match number(0) {
            None => CueNumber::whole(1),
            // Nothing is below 0.001: half of the first, rounded down.
            Some(first) => CueNumber::from_thousandths(first.thousandths() / 2),
        },
    }
}

/// Splits a cue: what `goes` picks (by fixture and channel) leaves it for a new cue of this number, which
/// otherwise is as the old one and comes in its place of the walk. Gives both.
pub fn split(cue: &Cue, number: CueNumber, goes: impl Fn(FixtureId, &str) -> bool) -> (Cue, Cue) {
    let (mut first, mut second) = (cue.clone(), cue.clone());
    second.number = number;
    // Movements and stops stay with the first, so that nothing begins twice.
    (second.movements, second.still) = (Vec::new(), Vec::new());
    for (id, channels) in &mut first.changes {
        channels.retain(|channel, _| !goes(*id, channel));
    }
    for (id, channels) in &mut second.changes {
        channels.retain(|channel, _| goes(*id, channel));
    }
    for cue in [&mut first, &mut second] {
        cue.changes.retain(|_, channels| !channels.is_empty());
    }
    (first, second)
}

/// New numbers for the cues from `from` to `to` (places, both included), from `first` on in steps of `step`
/// thousandths. `None` where they would not fit before the cue behind them or after the one before.
pub fn renumbered(
    list: &CueList,
    from: usize,
    to: usize,
    first: CueNumber,
    step: u32,
) -> Option<Vec<CueNumber>> {
    let count = u32::try_from(to.checked_sub(from)?).ok()?;
    let number = |nth: u32| {
        let thousandths = first.thousandths().checked_add(nth.checked_mul(step)?)?;
        CueNumber::from_thousandths(thousandths)
    };
    let numbers: Option<Vec<CueNumber>> = (0..=count).map(number).collect();
    let numbers = numbers.filter(|_| step > 0)?;
    let before = from.checked_sub(1).and_then(|place| list.cues.get(place));
    let fits_before = before.is_none_or(|cue| cue.number < first);
    let fits_after =
        list.cues.get(to + 1).is_none_or(|cue| numbers.last().is_some_and(|n| *n < cue.number));
    (fits_before && fits_after).then_some(numbers)
}

/// Gives channels of a cue a value, or (with `None`) leaves them as the cues before have them.
pub fn set(cue: &mut Cue, fixtures: &[FixtureId], channel: &str, value: Option<&Value>) {
    for id in fixtures {
        match value {
            Some(value) => {
                cue.changes.entry(*id).or_default().insert(channel.to_owned(), value.clone());
            }
            None => {
                if let Some(channels) = cue.changes.get_mut(id) {
                    channels.remove(channel);
                }
            }
        }
    }
    cue.changes.retain(|_, channels: &mut BTreeMap<String, Value>| !channels.is_empty());
}

/// What a channel of a fixture is given by the cues up to one, counted from 0: the value and the cue that
/// gave it, which is the one itself where it is set there and an earlier one where it carried over.
pub fn standing<'a>(
    list: &'a CueList,
    cue: usize,
    fixture: FixtureId,
    channel: &str,
) -> Option<(usize, &'a Value)> {
    (0..=cue).rev().find_map(|place| {
        let value = list.cues.get(place)?.changes.get(&fixture)?.get(channel)?;
        Some((place, value))
    })
}
