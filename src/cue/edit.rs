//! What is done to lists as a whole: splitting, copying, renumbering, changing many cues at once.

use std::collections::BTreeMap;

use super::model::{Changes, Cue, CueList, Cues, Loop, Reference};
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

/// Numbers for so many new cues behind the one at `after`, before the next: the first, and the step between
/// them in thousandths. `None` where there are not that many between the two.
pub fn room_after(list: &CueList, after: usize, count: usize) -> Option<(CueNumber, u32)> {
    let before = list.cues.get(after)?.number.thousandths();
    let next = list.cues.get(after + 1).map(|cue| cue.number);
    [1000, 100, 10, 1].into_iter().find_map(|step: u32| {
        let first = CueNumber::from_thousandths((before / step + 1) * step)?;
        let last = *numbers(count, first, step)?.last()?;
        next.is_none_or(|next| last < next).then_some((first, step))
    })
}

/// Does to a cue what was done to another, which was `old` and is `new`: whatever differs between the two,
/// but for the number and what they give channels.
pub fn alike(cue: &mut Cue, old: &Cue, new: &Cue) {
    fn put<T: Clone + PartialEq>(to: &mut T, old: &T, new: &T) {
        if old != new {
            to.clone_from(new);
        }
    }
    put(&mut cue.name, &old.name, &new.name);
    put(&mut cue.notes, &old.notes, &new.notes);
    put(&mut cue.asserts, &old.asserts, &new.asserts);
    put(&mut cue.curve, &old.curve, &new.curve);
    put(&mut cue.snap, &old.snap, &new.snap);
    put(&mut cue.next, &old.next, &new.next);
    put(&mut cue.stands_s, &old.stands_s, &new.stands_s);
    let (times, old, new) = (&mut cue.times, &old.times, &new.times);
    put(&mut times.all.fade_s, &old.all.fade_s, &new.all.fade_s);
    put(&mut times.all.delay_s, &old.all.delay_s, &new.all.delay_s);
    put(&mut times.up, &old.up, &new.up);
    put(&mut times.down, &old.down, &new.down);
    put(&mut times.aim, &old.aim, &new.aim);
    put(&mut times.colour, &old.colour, &new.colour);
    put(&mut times.beam, &old.beam, &new.beam);
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

/// The list with a cue split as by [`split`], the second half right behind the first. `None` where there is
/// no such cue, or no number free behind it.
pub fn split_at(
    list: &CueList,
    place: usize,
    goes: impl Fn(FixtureId, &str) -> bool,
) -> Option<CueList> {
    let number = number_after(list, Some(place))?;
    let (first, second) = split(list.cues.get(place)?, number, goes);
    let mut new = list.clone();
    new.cues[place] = first;
    new.cues.insert(place + 1, second);
    for of in &mut new.loops {
        // What was the end of a span is so still.
        if of.to == list.cues[place].number {
            of.to = number;
        }
    }
    Some(new)
}

/// So many numbers from `first` on in steps of `step` thousandths. `None` where a cue cannot have one.
fn numbers(count: usize, first: CueNumber, step: u32) -> Option<Vec<CueNumber>> {
    let number = |nth: u32| {
        let thousandths = first.thousandths().checked_add(nth.checked_mul(step)?)?;
        CueNumber::from_thousandths(thousandths)
    };
    let numbers: Option<Vec<CueNumber>> = (0..u32::try_from(count).ok()?).map(number).collect();
    numbers.filter(|_| step > 0)
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
    let numbers = numbers(to.checked_sub(from)?.checked_add(1)?, first, step)?;
    let before = from.checked_sub(1).and_then(|place| list.cues.get(place));
    let fits_before = before.is_none_or(|cue| cue.number < first);
    let fits_after =
        list.cues.get(to + 1).is_none_or(|cue| numbers.last().is_some_and(|n| *n < cue.number));
    (fits_before && fits_after).then_some(numbers)
}

/// The list with the cues from `from` to `to` (places, both included) under new numbers, from `first` on in
/// steps of `step` thousandths, each where its number belongs; loops go with the cues that they name.
/// `None` where one of the numbers is not to be had, or another cue has it.
pub fn moved(
    list: &CueList,
    from: usize,
    to: usize,
    first: CueNumber,
    step: u32,
) -> Option<CueList> {
    let span = list.cues.get(from..to.checked_add(1)?)?;
    let numbers = numbers(span.len(), first, step)?;
    let mut new = list.clone();
    for (cue, number) in new.cues.get_mut(from..=to)?.iter_mut().zip(&numbers) {
        cue.number = *number;
    }
    let now = |old: CueNumber| list.cue(old).and_then(|place| Some(new.cues.get(place)?.number));
    new.loops = list
        .loops
        .iter()
        .filter_map(|of| Some(Loop { from: now(of.from)?, to: now(of.to)?, ..*of }))
        .filter(|of| of.from <= of.to)
        .collect();
    in_order(new)
}

/// The list with copies of the cues from `from` to `to` (places, both included) under numbers from `first`
/// on in steps of `step` thousandths. `None` as for [`moved`].
pub fn copied(
    list: &CueList,
    from: usize,
    to: usize,
    first: CueNumber,
    step: u32,
) -> Option<CueList> {
    let span = list.cues.get(from..to.checked_add(1)?)?;
    let numbers = numbers(span.len(), first, step)?;
    let copies = span.iter().zip(numbers).map(|(cue, number)| Cue { number, ..cue.clone() });
    let mut new = list.clone();
    new.cues.extend(copies);
    in_order(new)
}

/// The list without the cues at these places, and without loops that begin or end with one of them.
pub fn without(list: &CueList, places: &[usize]) -> CueList {
    let mut place = 0..;
    let mut new = list.clone();
    new.cues.retain(|_| place.next().is_none_or(|place| !places.contains(&place)));
    let mut loops = std::mem::take(&mut new.loops);
    loops.retain(|of| new.cue(of.from).is_some() && new.cue(of.to).is_some());
    new.loops = loops;
    new
}

fn in_order(mut list: CueList) -> Option<CueList> {
    list.cues.sort_by_key(|cue| cue.number);
    let rises = list.cues.windows(2).all(|pair| pair[0].number < pair[1].number);
    rises.then_some(list)
}

/// Adds to what a cue gives; where it gives a channel something already, that is replaced.
pub fn add(cue: &mut Cue, changes: Changes) {
    for (id, channels) in changes {
        cue.changes.entry(id).or_default().extend(channels);
    }
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

/// Has a cue give channels of a fixture what a reference gives them, by its name; channels that it gives
/// nothing stay as they are.
pub fn refer<'a>(
    cue: &mut Cue,
    reference: &Reference,
    fixture: FixtureId,
    channels: impl Iterator<Item = &'a str>,
) {
    let like = Value::Like(reference.name.clone());
    for channel in channels.filter(|channel| reference.value(fixture, channel).is_some()) {
        set(cue, &[fixture], channel, Some(&like));
    }
}

/// The cues that use a reference: the list and the cue, as places.
pub fn uses(cues: &Cues, reference: &str) -> Vec<(usize, usize)> {
    let like = |value: &Value| matches!(value, Value::Like(name) if name == reference);
    let lists = cues.lists.iter().enumerate();
    lists
        .flat_map(|(list, of)| of.cues.iter().enumerate().map(move |(at, cue)| (list, at, cue)))
        .filter(|(_, _, cue)| cue.changes.values().flat_map(BTreeMap::values).any(like))
        .map(|(list, at, _)| (list, at))
        .collect()
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
