//! Making exercises: the same mode, level and seed always give the same one.

use super::head::{byte, put};
use super::outcome::{Facet, STAYS};
use super::random::Random;
use super::{Choice, Claim, Exercise, Level, Outcome, Task, TestHead, fault, line};
use crate::decode::CompiledChannel;
use crate::decode::sweep::stops;
use crate::profile::Effect;

/// How often another exercise is tried where one came to nothing.
const TRIES: usize = 40;

/// How many answers there are to choose from.
const CHOICES: usize = 4;

/// What differs by this many tolerances is told apart at a glance.
pub(super) const CLEARLY: f64 = 2.5;

/// So many exercises of a level, each with a seed of its own.
pub fn sheet(head: &mut TestHead, level: Level, seed: u64, count: usize) -> Vec<Exercise> {
    let mut seeds = Random::new(seed);
    (0..count).map(|_| exercise(head, level, seeds.next())).collect()
}

#[derive(Clone, Copy)]
enum Kind {
    Set(usize),
    SetFromRest(usize),
    Which,
    What,
    Fault,
    Address,
    Switches,
    Packet,
}

/// The exercise of a seed. There always is one: where the mode has nothing to ask about, it is one of those
/// that need no head.
pub fn exercise(head: &mut TestHead, level: Level, seed: u64) -> Exercise {
    let mut random = Random::new(seed);
    let kinds: &[Kind] = match level {
        Level::FirstLight => &[Kind::Set(1), Kind::Set(1), Kind::What],
        Level::AimAndColour => &[Kind::Set(1), Kind::Set(2), Kind::What, Kind::Which, Kind::Which],
        Level::WholeHead => {
            &[Kind::SetFromRest(2), Kind::Which, Kind::What, Kind::Address, Kind::Switches]
        }
        Level::OnTheLine => {
            &[Kind::SetFromRest(3), Kind::Which, Kind::Packet, Kind::Packet, Kind::Address]
        }
        Level::Misfits => &[Kind::Fault, Kind::Fault, Kind::Fault, Kind::SetFromRest(4)],
    };
    let asked = random.pick(kinds).copied().unwrap_or(Kind::Packet);
    let mut order = vec![asked];
    let mut others = kinds.to_vec();
    random.shuffle(&mut others);
    order.extend(others);
    let mut found = None;
    for kind in order {
        found = match kind {
            Kind::Set(channels) => set(head, &mut random, level, channels, false),
            Kind::SetFromRest(channels) => set(head, &mut random, level, channels, true),
            Kind::Which => which(head, &mut random, level),
            Kind::What => what(head, &mut random, level),
            Kind::Fault => fault::make(head, &mut random),
            Kind::Address => line::make_address(&mut random, head.mode.footprint),
            Kind::Switches => Some(line::make_switches(&mut random)),
            Kind::Packet => Some(line::make_packet(&mut random)),
        };
        if found.is_some() {
            break;
        }
    }
    let task = found.unwrap_or_else(|| line::make_switches(&mut random));
    Exercise { seed, level, task }
}

/// Whether what a channel can do belongs to a level.
fn fits(channel: &CompiledChannel, level: Level) -> bool {
    let mut effects = channel.ranges.iter().flat_map(|range| range.effects());
    match level {
        Level::FirstLight => effects.any(|effect| {
            matches!(effect, Effect::Dimmer { .. } | Effect::Strobe { .. } | Effect::Emitter { .. })
        }),
        Level::AimAndColour => effects.any(|effect| {
            effect.aims()
                || effect.wheel().is_some()
                || matches!(effect, Effect::Emitter { .. } | Effect::Filter { .. })
        }),
        _ => true,
    }
}

/// The channels of a level as places, or all where none is.
fn channels_of(head: &TestHead, level: Level) -> Vec<usize> {
    let channels = &head.mode.channels;
    let within: Vec<usize> = (0..channels.len()).filter(|i| fits(&channels[*i], level)).collect();
    if within.is_empty() { (0..channels.len()).collect() } else { within }
}

/// Gives a channel some value: every range of it is as likely as any other.
fn wander(head: &TestHead, random: &mut Random, slots: &mut [u8], channel: usize) {
    let Some(channel) = head.mode.channels.get(channel) else { return };
    let stops = stops(channel, |offset| Some(byte(slots, offset)));
    let Some(stop) = random.pick(&stops) else { return };
    // Values at the edges of a range are right too, and those within are what a hand would set.
    let value = random.between(stop.first, stop.last);
    put(slots, &channel.offsets, value);
}

fn set(
    head: &mut TestHead,
    random: &mut Random,
    level: Level,
    channels: usize,
    from_rest: bool,
) -> Option<Task> {
    let lit = head.lit().to_vec();
    let start = if from_rest { head.at_rest().to_vec() } else { lit.clone() };
    let before = head.outcome(&start);
    let within = channels_of(head, level);
    for _ in 0..TRIES {
        let mut target = lit.clone();
        let mut chosen = within.clone();
        random.shuffle(&mut chosen);
        chosen.truncate(channels);
        for channel in chosen {
            wander(head, random, &mut target, channel);
        }
        let after = head.outcome(&target);
        let wanted = after.differing(&before, CLEARLY);
        // Where something stays is not to be seen: a state that can be matched has something else.
        let shows = wanted.iter().any(|facet| facet.does != STAYS);
        if shows && after.is_plain() && head.gives_light(&target) {
            return Some(Task::Set { start, target, wanted });
        }
    }
    None
}

/// Whether every facet that was seen to change is one that changes here too, whatever to.
fn may_do(touched: &[Facet], seen: &[Facet]) -> bool {
    seen.iter().all(|s| touched.iter().any(|t| t.part == s.part && t.does == s.does))
}

/// Whether a channel, by its coarse slot, might make the change that was seen: its ranges are tried at their
/// ends and in their middle. It errs to the side of yes.
fn might_do(
    head: &mut TestHead,
    before: &[u8],
    was: &Outcome,
    place: usize,
    seen: &[Facet],
) -> bool {
    let mode = head.mode.clone();
    let Some(channel) = mode.channels.get(place) else { return true };
    let stops = stops(channel, |offset| Some(byte(before, offset)));
    stops.iter().any(|stop| {
        [stop.first, stop.first / 2 + stop.last / 2, stop.last].into_iter().any(|value| {
            let mut slots = before.to_vec();
            put(&mut slots, &channel.offsets, value);
            may_do(&head.outcome(&slots).differing(was, 0.0), seen)
        })
    })
}

fn which(head: &mut TestHead, random: &mut Random, level: Level) -> Option<Task> {
    let before = head.lit().to_vec();
    let was = head.outcome(&before);
    let within = channels_of(head, level);
    let mode = head.mode.clone();
    for _ in 0..TRIES {
        let place = *random.pick(&within)?;
        let channel = mode.channels.get(place)?;
        let coarse = *channel.offsets.first()?;
        let mut after = before.clone();
        let mut moved = before.clone();
        wander(head, random, &mut moved, place);
        put(&mut after, &[coarse], u32::from(byte(&moved, coarse)));
        let outcome = head.outcome(&after);
        let seen = outcome.differing(&was, CLEARLY);
        if seen.is_empty() || !outcome.is_plain() {
            continue;
        }
        let mut others: Vec<usize> = (0..mode.channels.len())
            .filter(|i| *i != place && !mode.channels[*i].offsets.contains(&coarse))
            .collect();
        random.shuffle(&mut others);
        let mut choices = vec![slot_choice(coarse, true)];
        for other in others.into_iter().take(3 * CHOICES) {
            let Some(offset) = mode.channels[other].offsets.first() else { continue };
            let claim = Claim::Slot(*offset);
            if choices.iter().all(|choice| choice.claim != claim)
                && !might_do(head, &before, &was, other, &seen)
            {
                choices.push(slot_choice(*offset, false));
            }
            if choices.len() == CHOICES {
                break;
            }
        }
        if choices.len() > 1 {
            random.shuffle(&mut choices);
            return Some(Task::Which { before, after, was, seen, choices });
        }
    }
    None
}

fn slot_choice(offset: u16, meant: bool) -> Choice {
    Choice { words: format!("slot {offset}"), claim: Claim::Slot(offset), meant }
}

fn what(head: &mut TestHead, random: &mut Random, level: Level) -> Option<Task> {
    let base = head.lit().to_vec();
    let within = channels_of(head, level);
    let mode = head.mode.clone();
    for _ in 0..TRIES {
        let place = *random.pick(&within)?;
        let channel = mode.channels.get(place)?;
        let slot = *channel.offsets.first()?;
        let mut slots = base.clone();
        wander(head, random, &mut slots, place);
        let value = byte(&slots, slot);
        slots = base.clone();
        put(&mut slots, &[slot], u32::from(value));
        let outcome = head.outcome(&slots);
        let Some(words) = head.channel_words(place, &slots) else { continue };
        let mut choices = vec![Choice { words, claim: Claim::Does(slots.clone()), meant: true }];
        for (other, bytes) in elsewhere(head, random, &base, place) {
            let differs = !head.outcome(&bytes).near(&outcome, CLEARLY);
            let words = head.channel_words(other, &bytes).unwrap_or_default();
            let known = choices.iter().any(|choice| choice.words == words);
            if differs && !known && !words.is_empty() {
                choices.push(Choice { words, claim: Claim::Does(bytes), meant: false });
            }
            if choices.len() == CHOICES {
                break;
            }
        }
        if choices.len() > 1 {
            random.shuffle(&mut choices);
            return Some(Task::What { slots, slot, choices });
        }
    }
    None
}

/// Other values of a channel, in any order, and then values of other channels: what a value on its slot
/// might be taken for.
fn elsewhere(
    head: &TestHead,
    random: &mut Random,
    base: &[u8],
    place: usize,
) -> Vec<(usize, Vec<u8>)> {
    let mut all: Vec<(usize, Vec<u8>)> = Vec::new();
    let mut places = vec![place];
    let mut others: Vec<usize> = (0..head.mode.channels.len()).filter(|i| *i != place).collect();
    random.shuffle(&mut others);
    places.extend(others.into_iter().take(CHOICES));
    for place in places {
        let Some(channel) = head.mode.channels.get(place) else { continue };
        let mut values: Vec<u32> = stops(channel, |offset| Some(byte(base, offset)))
            .iter()
            .flat_map(|stop| [stop.first, stop.first / 2 + stop.last / 2, stop.last])
            .collect();
        random.shuffle(&mut values);
        values.truncate(12);
        all.extend(values.into_iter().map(|value| {
            let mut slots = base.to_vec();
            let width = channel.offsets.len();
            // Only the coarse slot: the question is about one slot alone.
            let coarse = value >> (8 * width.saturating_sub(1));
            put(&mut slots, channel.offsets.get(..1).unwrap_or(&[]), coarse);
            (place, slots)
        }));
    }
    all
}
