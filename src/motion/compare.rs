//! Why one head of a row arrives later than the others: whether the data is the cause.

use super::rig_motion::RigMotion;
use crate::decode::{CompiledChannel, CompiledMode, Decoded, Plan, Reading};
use crate::finding::listed;
use crate::profile::Effect;
use crate::profile::effect::Switch;
use crate::wire::{Frames, SlotState};

/// Arrivals this close together are one, in seconds: two frames of a full universe.
const TOGETHER_S: f64 = 0.05;

/// A slot in which fixtures of one mode differ.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The slot, counted from each fixture's first, which is 1.
    pub offset: u16,
    /// The channel it belongs to; empty where none is described.
    pub channel: String,
    /// What each holds, in the order of [`Comparison::fixtures`]; `None` where it was never sent.
    pub values: Vec<Option<u8>>,
    /// Its channel has a part in where pan and tilt go and how fast.
    pub bears: bool,
}

/// Fixtures of one mode beside each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The fixtures, as places in the rig.
    pub fixtures: Vec<usize>,
    /// When each arrives with pan and tilt; `None` where it is going to no position.
    pub aim_s: Vec<Option<f64>>,
    /// Whether all are asked to the same pan and tilt.
    pub same_target: bool,
    /// The slots in which any of them differ.
    pub differ: Vec<Difference>,
}

impl Comparison {
    /// Those that arrive together, the first first and those that never do last: the time of the first
    /// of them, and the fixtures as places in the rig.
    pub fn arrivals(&self) -> Vec<(Option<f64>, Vec<usize>)> {
        let late = |s: Option<f64>| s.unwrap_or(f64::INFINITY);
        let mut all: Vec<_> =
            self.aim_s.iter().copied().zip(self.fixtures.iter().copied()).collect();
        all.sort_by(|a, b| late(a.0).total_cmp(&late(b.0)));
        let mut groups: Vec<(Option<f64>, Vec<usize>)> = Vec::new();
        for (aim_s, fixture) in all {
            let together = |first: Option<f64>| match (first, aim_s) {
                (Some(first), Some(s)) => s - first < TOGETHER_S,
                (first, s) => first == s,
            };
            match groups.last_mut() {
                Some((first, members)) if together(*first) => members.push(fixture),
                _ => groups.push((aim_s, vec![fixture])),
            }
        }
        for (_, members) in &mut groups {
            members.sort_unstable();
        }
        groups
    }

    /// Whether any slot that has a part in pan and tilt differs.
    pub fn data_differs(&self) -> bool {
        self.differ.iter().any(|difference| difference.bears)
    }

    /// What follows from it where they do not arrive together, in words. `name` is what a fixture is
    /// called, by its place in the rig.
    pub fn words(&self, name: impl Fn(usize) -> String) -> String {
        let bears = |bears: bool| self.differ.iter().filter(move |d| d.bears == bears);
        let shown = |difference: &Difference| {
            let Difference { offset, channel, .. } = difference;
            format!("slot {offset} {channel}").trim_end().to_owned()
        };
        if self.data_differs() {
            let slots = bears(true).map(|d| format!("{}: {}", shown(d), self.values(d, &name)));
            let slots: Vec<String> = slots.collect();
            return format!("they differ in {}", listed(slots.iter().map(String::as_str)));
        }
        let others: Vec<String> = bears(false).map(shown).collect();
        let found = match others.as_slice() {
            [] => "no slot differs".to_owned(),
            others => {
                let names = listed(others.iter().map(String::as_str));
                format!("no slot of pan and tilt or their speed differs, only {names}")
            }
        };
        format!("{found}: the cause is not in the data; look at the head's own menu")
    }

    /// Who holds what in a slot: `120 in 104, 0 in the others`.
    fn values(&self, difference: &Difference, name: impl Fn(usize) -> String) -> String {
        let mut groups: Vec<(Option<u8>, Vec<String>)> = Vec::new();
        for (value, fixture) in difference.values.iter().zip(&self.fixtures) {
            let named = name(*fixture);
            match groups.iter_mut().find(|(of, _)| of == value) {
                Some((_, names)) => names.push(named),
                None => groups.push((*value, vec![named])),
            }
        }
        let shown = |value: Option<u8>| value.map_or("not sent".to_owned(), |v| v.to_string());
        let most = groups.iter().map(|(_, names)| names.len()).max().unwrap_or(0);
        let usual = groups.iter().filter(|(_, names)| names.len() == most).count() == 1;
        let rest = groups.iter().filter(|(_, names)| !usual || names.len() < most);
        let mut words: Vec<String> =
            rest.map(|(value, names)| format!("{} in {}", shown(*value), joined(names))).collect();
        let common = groups.iter().find(|(_, names)| usual && names.len() == most);
        words.extend(common.map(|(value, _)| format!("{} in the others", shown(*value))));
        words.join(", ")
    }
}

/// `names` as a sentence has them: `101, 102 and 104`.
pub fn joined(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Puts fixtures, as places in the rig, beside each other. `None` where they are not all of one mode, or
/// fewer than two. `decoded` must hold the same frames, through `plan`, as `motion` was last asked.
pub fn compare(
    motion: &RigMotion,
    plan: &Plan,
    frames: &Frames,
    decoded: &Decoded,
    fixtures: &[usize],
) -> Option<Comparison> {
    let readings = fixtures.iter().map(|i| plan.reading(*i, frames, decoded));
    let readings: Vec<Reading<'_>> = readings.collect::<Option<_>>()?;
    let [first, others @ ..] = readings.as_slice() else { return None };
    let mode = first.mode;
    if others.is_empty() || others.iter().any(|other| !std::ptr::eq(other.mode, mode)) {
        return None;
    }
    let target = |reading: &Reading<'_>| {
        let asked = reading.asked();
        (asked.pan, asked.tilt)
    };
    let first_target = target(first);
    let differ = (1..=mode.footprint).filter_map(|offset| {
        let held = |reading: &Reading<'_>| reading.slot_state(offset).and_then(SlotState::value);
        let values: Vec<Option<u8>> = readings.iter().map(held).collect();
        if values.iter().all(|value| *value == values[0]) {
            return None;
        }
        let channel = mode.channel_at(offset).and_then(|(i, _)| mode.channels.get(i));
        let bears = channel.is_some_and(|channel| bears(mode, channel));
        let channel = channel.map_or(String::new(), |channel| channel.name.clone());
        Some(Difference { offset, channel, values, bears })
    });
    let arrives = |i: &usize| Some(motion.head(*i)?.arrives_s().aim_s());
    Some(Comparison {
        fixtures: fixtures.to_vec(),
        aim_s: fixtures.iter().map(arrives).collect::<Option<_>>()?,
        same_target: others.iter().all(|other| target(other) == first_target),
        differ: differ.collect(),
    })
}

/// Whether a channel has a part in where pan and tilt go and how fast: by itself, or because what
/// another one does depends on it.
fn bears(mode: &CompiledMode, channel: &CompiledChannel) -> bool {
    let has_part = |effect: &Effect| {
        let told = effect.aims() || effect.paces_aim();
        told || matches!(
            effect,
            Effect::Reset { .. }
                | Effect::Latch { switch: Switch::InvertPan | Switch::InvertTilt, .. }
                | Effect::Program { .. }
                | Effect::Sound
                | Effect::Follow
        )
    };
    let all = mode.channels.iter().flat_map(|other| other.ranges.iter().map(move |r| (other, r)));
    let mut moving = all.filter(|(_, range)| range.effects().any(has_part));
    moving.any(|(other, range)| {
        std::ptr::eq(other, channel)
            || range.when.iter().any(|when| channel.offsets.first() == Some(&when.offset))
    })
}
