//! The next test: the slot to move, and what to look at, that tells the remaining explanations apart best.

use std::collections::BTreeMap;

use super::change::Changes;
use super::fault::Fault;
use super::suspect::{Modes, Moment, Move, Suspect};
use super::test::{Outcome, Step, Test, walk, walked};
use super::{Candidate, Case};
use crate::decode::CompiledMode;
use crate::wire::{Slot, Universe};

/// Less than this, in bits, is no reason to ask for a test.
const LEAST_BITS: f64 = 0.01;

/// Share of likelihood at which what ranks first is taken to be found.
const FOUND: f64 = 0.995;

/// How many slots are thought of at most, besides a head's own, and of the head beside it.
const SLOTS_TRIED: usize = 160;
const BESIDE_TRIED: usize = 24;

/// What is seen: at which slot of a walk, and what.
type Answer = (Option<Slot>, Changes);

/// What each candidate says of a test that was thought of.
struct Trial {
    universe: Universe,
    step: Step,
    place: usize,
    says: Vec<Option<Answer>>,
}

impl Trial {
    /// The slots that are moved, each with its new value.
    fn moves<'c>(&'c self, case: &'c Case<'_>) -> Vec<Move> {
        let universe = self.universe;
        match &self.step {
            Step::Set { slot, to, .. } => vec![Move { universe, slot: *slot, to: *to }],
            Step::Walk { slots } => {
                let last = case.frames.last();
                let value = |slot: Slot| last.and_then(|f| f.state(universe, slot).value());
                let to = |slot: &Slot| walked(value(*slot).unwrap_or(0));
                slots.iter().map(|slot| Move { universe, slot: *slot, to: to(slot) }).collect()
            }
        }
    }
}

/// Groups candidates that no test tells apart, and finds the test that tells the groups apart best.
pub(super) fn tell_apart(
    case: &Case<'_>,
    modes: &mut Modes,
    intact: &mut BTreeMap<usize, Suspect>,
    all: &mut [Candidate],
) -> (Vec<Vec<usize>>, Option<Test>) {
    let mut others = BTreeMap::new();
    let mut trials = trials(case, modes, intact, &mut others, all);
    let groups = groups(all, &trials);
    let weight = |group: &Vec<usize>| group.iter().map(|i| all[*i].weight).sum::<f64>();
    let weights: Vec<f64> = groups.iter().map(weight).collect();
    let most = weights.iter().copied().fold(0.0, f64::max);
    if groups.len() < 2 || most >= FOUND * weights.iter().sum::<f64>() {
        return (groups, None);
    }
    for place in intact.keys() {
        let walk = walk_of(case, modes, &mut others, all, &trials, *place);
        trials.extend(walk);
    }
    let mut rated: Vec<(f64, f64, &Trial)> = (trials.iter())
        .map(|trial| {
            let bits = bits(&groups, &weights, trial);
            (bits - cost(case, trial), bits, trial)
        })
        .filter(|(_, bits, _)| *bits > LEAST_BITS)
        .collect();
    rated.sort_by(|a, b| b.0.total_cmp(&a.0));
    let best = rated.into_iter().find(|(_, _, trial)| {
        let moves = trial.moves(case);
        moves.iter().all(|slot| is_safe(case, modes, &mut others, all, trial.place, *slot))
    });
    let Some((_, bits, trial)) = best else {
        // Whatever would tell them apart is not safe to ask for.
        trials.retain(|trial| self::bits(&groups, &weights, trial) <= LEAST_BITS);
        return (self::groups(all, &trials), None);
    };
    let test = Test {
        universe: trial.universe,
        step: trial.step.clone(),
        place: trial.place,
        outcomes: outcomes(&groups, &weights, trial),
        bits,
    };
    (groups, Some(test))
}

/// A walk over every slot whose move as of a walk is safe and shows on a head.
fn walk_of(
    case: &Case<'_>,
    modes: &mut Modes,
    others: &mut BTreeMap<usize, Option<Suspect>>,
    all: &mut [Candidate],
    trials: &[Trial],
    place: usize,
) -> Option<Trial> {
    let universe = case.rig.get(place)?.address?.universe;
    let strides = trials.iter().filter(|trial| trial.place == place && trial.universe == universe);
    let mut strides: Vec<(Slot, u8, &Trial)> = strides
        .filter_map(|trial| match trial.step {
            Step::Set { slot, from, to } if to == walked(from.unwrap_or(0)) => {
                Some((slot, to, trial))
            }
            _ => None,
        })
        .collect();
    strides.sort_by_key(|(slot, ..)| *slot);
    strides.retain(|(slot, to, _)| {
        let slot = Move { universe, slot: *slot, to: *to };
        is_safe(case, modes, others, all, place, slot)
    });
    let slots: Vec<Slot> = strides.iter().map(|(slot, ..)| *slot).collect();
    let says = (0..all.len()).map(|i| {
        let mut says = strides.iter().map(|(.., trial)| trial.says.get(i).copied().flatten());
        walk(&slots, |_| says.next().flatten().map(|(_, changes)| changes))
    });
    let says = says.collect();
    (slots.len() > 1).then_some(Trial { universe, step: Step::Walk { slots }, place, says })
}

/// The last frame, before a test and after it.
fn moments(case: &Case<'_>, slot: Move) -> (Moment, Moment) {
    let frame = case.frames.len().saturating_sub(1);
    (Moment { frame, set: None }, Moment { frame, set: Some(slot) })
}

fn trials(
    case: &Case<'_>,
    modes: &mut Modes,
    intact: &mut BTreeMap<usize, Suspect>,
    others: &mut BTreeMap<usize, Option<Suspect>>,
    all: &mut [Candidate],
) -> Vec<Trial> {
    let mut trials = Vec::new();
    if all.len() < 2 {
        return trials;
    }
    let places: Vec<usize> = intact.keys().copied().collect();
    for place in &places {
        for slot in slots_of(case, *place, all) {
            trials.extend(trials_of(case, *place, slot, intact.get_mut(place), all));
        }
    }
    // Whether one head or all of them are at fault shows on another head.
    let mixed = all.iter().any(|c| c.place.is_none()) && all.iter().any(|c| c.place.is_some());
    let beside = mixed.then(|| neighbour(case, &places)).flatten();
    if let Some(place) = beside {
        let other = others
            .entry(place)
            .or_insert_with(|| Suspect::new(case, modes, place, &Fault::Nothing));
        for candidate in all.iter_mut().filter(|candidate| candidate.place.is_none()) {
            if let Some(head) = Suspect::new(case, modes, place, &candidate.fault) {
                candidate.heads.insert(place, head);
            }
        }
        let slots = other.as_ref().map(Suspect::hears);
        if let (Some(other), Some((universe, slots))) = (other.as_mut(), slots) {
            for slot in slots.filter_map(Slot::new).take(BESIDE_TRIED) {
                trials.extend(trials_of(case, place, (universe, slot), Some(other), all));
            }
        }
    }
    trials
}

/// The patched head nearest to these in the rig that has a profile.
fn neighbour(case: &Case<'_>, places: &[usize]) -> Option<usize> {
    let first = *places.first()?;
    let universe = case.rig.get(first)?.address?.universe;
    let able = (0..case.rig.len()).filter(|place| {
        let address = case.rig.get(*place).and_then(|fixture| fixture.address);
        !places.contains(place)
            && case.mode(*place).is_some()
            && address.is_some_and(|address| address.universe == universe)
            && address != case.rig.get(first).and_then(|fixture| fixture.address)
    });
    able.min_by_key(|place| place.abs_diff(first))
}

/// Slots whose move may show on a head: its own first, then those that it may hear instead.
fn slots_of(case: &Case<'_>, place: usize, all: &[Candidate]) -> Vec<(Universe, Slot)> {
    let mut slots: Vec<(Universe, Slot)> = Vec::new();
    let own = case.rig.get(place).and_then(|fixture| fixture.address);
    if let (Some(address), Some(mode)) = (own, case.mode(place)) {
        let offsets = mode.channels.iter().flat_map(|channel| channel.offsets.iter());
        slots.extend(offsets.filter_map(|o| Some((address.universe, address.slot_at(*o)?))));
    }
    let most = slots.len() + SLOTS_TRIED;
    for candidate in all {
        let Some((universe, heard)) = candidate.heads.get(&place).map(Suspect::hears) else {
            continue;
        };
        // Of an address near by every slot may tell; of a far one, those that move the head.
        let near = own.is_some_and(|own| {
            own.universe == universe && own.slot.number().abs_diff(*heard.start()) <= 16
        });
        let telling = candidate.heads.get(&place).map(telling).unwrap_or_default();
        for slot in heard.filter_map(Slot::new).filter(|slot| near || telling.contains(slot)) {
            if slots.len() < most && !slots.contains(&(universe, slot)) {
                slots.push((universe, slot));
            }
        }
    }
    slots
}

/// The slots of a head that show most surely that it hears them: those that aim it, else its first.
fn telling(head: &Suspect) -> Vec<Slot> {
    let Some(mode) = head.mode() else { return Vec::new() };
    let channels = mode.channels.iter();
    let aims = channels.filter(|channel| channel.ranges.iter().any(|range| range.does.aims()));
    let aims = aims.filter_map(|channel| channel.offsets.first().copied());
    let mut offsets: Vec<u16> = aims.take(2).collect();
    if offsets.is_empty() {
        offsets.extend(1..=mode.footprint.min(4));
    }
    offsets.into_iter().filter_map(|offset| head.address().slot_at(offset)).collect()
}

fn trials_of(
    case: &Case<'_>,
    place: usize,
    (universe, slot): (Universe, Slot),
    mut intact: Option<&mut Suspect>,
    all: &mut [Candidate],
) -> Vec<Trial> {
    let Some(last) = case.frames.last() else { return Vec::new() };
    let from = last.state(universe, slot).value();
    let values = values(from.unwrap_or(0), intact.as_deref(), (universe, slot), all, place);
    let trials = values.into_iter().filter(|to| Some(*to) != from).map(|to| {
        let moved = Move { universe, slot, to };
        let (before, after) = moments(case, moved);
        let hears = |head: &Suspect| {
            let (heard, slots) = head.hears();
            heard == universe && slots.contains(&slot.number())
        };
        let mut look = |head: &mut Suspect| match hears(head) {
            true => head.changes(case, before, after),
            false => Some(Changes::NOTHING),
        };
        let as_asked = intact.as_deref_mut().and_then(&mut look);
        let says = all.iter_mut().map(|candidate| match candidate.heads.get_mut(&place) {
            Some(head) => look(head),
            None => as_asked,
        });
        let says = says.map(|says| says.map(|changes| (None, changes))).collect();
        Trial { universe, step: Step::Set { slot, from, to }, place, says }
    });
    // One that nobody expects anything of is no test, and nearest values stand for farther ones.
    let told = |trial: &Trial| {
        trial.says.iter().flatten().any(|(_, changes)| *changes != Changes::NOTHING)
    };
    trials.filter(told).collect()
}

/// Values to set a slot to: small steps, the middles of its ranges, and both sides of ends in doubt.
fn values(
    from: u8,
    intact: Option<&Suspect>,
    (universe, slot): (Universe, Slot),
    all: &[Candidate],
    place: usize,
) -> Vec<u8> {
    let mut values = vec![walked(from)];
    if let Some(head) = intact
        && let Some(mode) = head.mode()
        && head.hears().0 == universe
    {
        let offset = (slot.number() + 1).saturating_sub(head.address().slot.number());
        match mode.channel_at(offset) {
            Some((channel, 0)) => {
                values.extend([from.saturating_add(25), from.saturating_sub(25)]);
                values.extend(middles(mode, channel));
            }
            Some(_) => values.push(if from < 128 { 255 } else { 0 }),
            None => {}
        }
    }
    for candidate in all.iter().filter(|candidate| candidate.place == Some(place)) {
        if let Fault::Boundary { channel, last, ranges } = &candidate.fault
            && let Some(head) = candidate.heads.get(&place)
            && let Some(channel) = head.mode().and_then(|mode| mode.channels.get(*channel))
            && channel.offsets.first().and_then(|o| head.address().slot_at(*o)) == Some(slot)
        {
            let upper = channel.ranges.get(ranges.1).map(|range| channel.coarse(range.first));
            values.extend([*last, last.saturating_add(1)]);
            values.extend(upper);
        }
    }
    let mut seen = [false; 256];
    values.retain(|value| !std::mem::replace(&mut seen[usize::from(*value)], true));
    values
}

/// Coarse values in the middle of ranges, of a few that are spread over all of them.
fn middles(mode: &CompiledMode, channel: usize) -> Vec<u8> {
    let Some(channel) = mode.channels.get(channel) else { return Vec::new() };
    let middle = |range: &crate::decode::CompiledRange| {
        channel.coarse(range.first + (range.last - range.first) / 2)
    };
    let step = channel.ranges.len().div_ceil(6).max(1);
    channel.ranges.iter().step_by(step).map(middle).collect()
}

/// Candidates of which every trial says the same.
fn groups(all: &[Candidate], trials: &[Trial]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut by_says: BTreeMap<Vec<Option<Answer>>, usize> = BTreeMap::new();
    for i in 0..all.len() {
        let says = trials.iter().map(|trial| trial.says.get(i).copied().flatten()).collect();
        let next = groups.len();
        let at = *by_says.entry(says).or_insert(next);
        match groups.get_mut(at) {
            Some(group) => group.push(i),
            None => groups.push(vec![i]),
        }
    }
    groups
}

/// What each group says of a trial.
fn said(groups: &[Vec<usize>], trial: &Trial) -> impl Iterator<Item = Option<Answer>> {
    groups.iter().map(|group| trial.says.get(*group.first()?).copied().flatten())
}

/// How much the answer to a trial tells, in bits. Of explanations that say nothing it tells nothing.
fn bits(groups: &[Vec<usize>], weights: &[f64], trial: &Trial) -> f64 {
    let mut by_outcome: BTreeMap<Answer, f64> = BTreeMap::new();
    let mut total = 0.0;
    for (says, weight) in said(groups, trial).zip(weights) {
        total += weight;
        if let Some(answer) = says {
            *by_outcome.entry(answer).or_default() += weight;
        }
    }
    let known: f64 = by_outcome.values().sum();
    if known <= 0.0 || total <= 0.0 {
        return 0.0;
    }
    let entropy: f64 = by_outcome.values().map(|w| w / known).map(|p| -p * p.log2()).sum();
    entropy * known / total
}

/// What a trial costs a person, in bits: walks, large moves, and slots and heads that nobody spoke of.
fn cost(case: &Case<'_>, trial: &Trial) -> f64 {
    match &trial.step {
        Step::Walk { .. } => 0.5,
        Step::Set { slot, from, to } => {
            let step = f64::from(from.unwrap_or(0).abs_diff(*to)) / 255.0;
            let own = case.plan.owners(trial.universe, *slot);
            let own = own.iter().any(|owner| owner.fixture == trial.place);
            0.05 * step + if own { 0.0 } else { 0.05 }
        }
    }
}

/// Whether nothing bad comes of moving a slot by any explanation, nor of the other heads that own it.
fn is_safe(
    case: &Case<'_>,
    modes: &mut Modes,
    others: &mut BTreeMap<usize, Option<Suspect>>,
    all: &mut [Candidate],
    place: usize,
    slot: Move,
) -> bool {
    let (before, after) = moments(case, slot);
    let mut fine = |head: &mut Suspect| {
        let Some(then) = head.look(case, after) else { return true };
        then.is_safe() || head.look(case, before).is_some_and(|now| !now.is_safe() && now == then)
    };
    let by_all =
        all.iter_mut().all(|candidate| candidate.heads.get_mut(&place).is_none_or(&mut fine));
    by_all
        && case.plan.owners(slot.universe, slot.slot).iter().all(|owner| {
            let head = others
                .entry(owner.fixture)
                .or_insert_with(|| Suspect::new(case, modes, owner.fixture, &Fault::Nothing));
            head.as_mut().is_none_or(&mut fine)
        })
}

fn outcomes(groups: &[Vec<usize>], weights: &[f64], trial: &Trial) -> Vec<Outcome> {
    let mut outcomes: Vec<(f64, Outcome)> = Vec::new();
    for (row, (says, weight)) in said(groups, trial).zip(weights).enumerate() {
        let Some((at, changes)) = says else { continue };
        let same = |outcome: &Outcome| (outcome.at, outcome.changes) == (at, changes);
        match outcomes.iter_mut().find(|(_, outcome)| same(outcome)) {
            Some((total, outcome)) => {
                *total += weight;
                outcome.rows.push(row);
            }
            None => outcomes.push((*weight, Outcome { changes, at, rows: vec![row] })),
        }
    }
    outcomes.sort_by(|a, b| b.0.total_cmp(&a.0));
    outcomes.into_iter().map(|(_, outcome)| outcome).collect()
}
