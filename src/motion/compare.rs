//! Why one head of a row arrives at another time than the rest: whether the data is the cause.

use super::rig_motion::RigMotion;
use crate::decode::{AxisAsk, CompiledMode, Decoded, Plan, Reading};
use crate::finding::listed;
use crate::wire::Frames;

/// A slot in which two fixtures of one mode differ.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The slot, counted from each fixture's first, which is 1.
    pub offset: u16,
    /// The channel it belongs to; empty where none is described.
    pub channel: String,
    /// What each holds; `None` where it was never sent.
    pub values: (Option<u8>, Option<u8>),
}

/// Two fixtures of one mode beside each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// When each arrives with pan and tilt; `None` where it is going to no position.
    pub aim_s: (Option<f64>, Option<f64>),
    /// Whether both are asked to the same pan and tilt.
    pub same_target: bool,
    /// The slots in which they differ.
    pub differ: Vec<Difference>,
}

impl Comparison {
    /// What follows from it, in words.
    pub fn words(&self) -> String {
        if self.differ.is_empty() {
            return "no slot differs: the cause is not in the data; look at the head's own menu"
                .into();
        }
        let slots = self.differ.iter().map(|difference| {
            let (one, other) = difference.values;
            let Difference { offset, channel, .. } = difference;
            format!("slot {offset} {channel}: {} and {}", shown(one), shown(other))
        });
        let slots: Vec<String> = slots.collect();
        format!("they differ in {}", listed(slots.iter().map(String::as_str)))
    }
}

/// Puts two fixtures, as places in the rig, beside each other. `None` where they are not of one mode.
pub fn compare(
    motion: &RigMotion,
    plan: &Plan,
    frames: &Frames,
    decoded: &Decoded,
    (one, other): (usize, usize),
) -> Option<Comparison> {
    let (a, b) = (plan.reading(one, frames, decoded)?, plan.reading(other, frames, decoded)?);
    if !std::ptr::eq(a.mode, b.mode) {
        return None;
    }
    let (asked_a, asked_b) = (a.asked(), b.asked());
    let differ = (1..=a.mode.footprint).filter_map(|offset| {
        let values = (held(&a, offset), held(&b, offset));
        let channel = channel_name(a.mode, offset);
        (values.0 != values.1).then_some(Difference { offset, channel, values })
    });
    Some(Comparison {
        aim_s: (motion.head(one)?.arrives_s().aim_s(), motion.head(other)?.arrives_s().aim_s()),
        same_target: (asked_a.pan, asked_a.tilt) == (asked_b.pan, asked_b.tilt),
        differ: differ.collect(),
    })
}

fn held(reading: &Reading<'_>, offset: u16) -> Option<u8> {
    reading.slot_state(offset).and_then(|state| state.value())
}

fn shown(value: Option<u8>) -> String {
    value.map_or("not sent".to_owned(), |value| value.to_string())
}

fn channel_name(mode: &CompiledMode, offset: u16) -> String {
    let channel = mode.channel_at(offset).and_then(|(i, _)| mode.channels.get(i));
    channel.map_or(String::new(), |channel| channel.name.clone())
}

/// Arrivals closer together than this are the same, in seconds.
const TOGETHER_S: f64 = 0.01;

/// Fixtures of one mode that are asked to one place, and those among them that get there at another
/// time than most.
#[derive(Clone, Debug, PartialEq)]
pub struct Fleet {
    /// Those that arrive together: the largest such group, or of several as large the one that is there
    /// first. Places in the rig, in the order given.
    pub together: Vec<usize>,
    /// When they arrive with pan and tilt, in seconds.
    pub aim_s: f64,
    /// The others.
    pub apart: Vec<Straggler>,
}

/// A fixture that arrives at another time than the rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Straggler {
    /// Which one, as a place in the rig.
    pub fixture: usize,
    /// When it arrives with pan and tilt, in seconds.
    pub aim_s: f64,
    /// The slots in which it holds what none of the rest holds; its value comes first, then that of the
    /// first of the rest. Empty: the cause is not in the data.
    pub differ: Vec<Difference>,
}

impl Straggler {
    /// What sets it apart, in words.
    pub fn words(&self) -> String {
        if self.differ.is_empty() {
            let why = "no slot sets it apart: the cause is not in the data; look at its own menu";
            return why.to_owned();
        }
        let words = self.differ.iter().take(MOST_NAMED).map(|difference| {
            let Difference { offset, channel, values: (own, others) } = difference;
            format!("slot {offset} {channel}: {}, not {}", shown(*own), shown(*others))
        });
        let words: Vec<String> = words.collect();
        match self.differ.len().saturating_sub(MOST_NAMED) {
            0 => words.join("; "),
            more => format!("{}; and {more} more", words.join("; ")),
        }
    }
}

/// How many slots that set a fixture apart are named.
const MOST_NAMED: usize = 4;

/// Puts fixtures, as places in the rig, beside each other, however many. Those that count are of the
/// first one's mode and asked to the place that most of these are asked to. `None` where fewer than two
/// are on their way to one place.
pub fn compare_all(
    motion: &RigMotion,
    plan: &Plan,
    frames: &Frames,
    decoded: &Decoded,
    fixtures: &[usize],
) -> Option<Fleet> {
    let read = |fixture: &usize| Some((*fixture, plan.reading(*fixture, frames, decoded)?));
    let mut all: Vec<_> = fixtures.iter().filter_map(read).collect();
    let mode = all.first()?.1.mode;
    all.retain(|(_, reading)| std::ptr::eq(reading.mode, mode));
    let going = all.into_iter().filter_map(|(fixture, reading)| {
        let aim_s = motion.head(fixture)?.arrives_s().aim_s()?;
        let asked = reading.asked();
        Some(Going { fixture, aim_s, target: (asked.pan, asked.tilt), reading })
    });
    let going: Vec<Going<'_>> = going.collect();
    let like = |a: &Going<'_>| going.iter().filter(|b| a.target == b.target).count();
    // Of several as large, the first counts: `max_by_key` would take the last.
    let most = going.iter().rev().max_by_key(|a| like(a)).filter(|a| like(a) > 1)?;
    let alike: Vec<&Going<'_>> = going.iter().filter(|a| a.target == most.target).collect();
    let with =
        |a: &Going<'_>| alike.iter().filter(|b| (a.aim_s - b.aim_s).abs() < TOGETHER_S).count();
    let of_most =
        |a: &&&Going<'_>, b: &&&Going<'_>| with(a).cmp(&with(b)).then(b.aim_s.total_cmp(&a.aim_s));
    let aim_s = alike.iter().max_by(of_most)?.aim_s;
    let (together, apart): (Vec<&Going<'_>>, Vec<&Going<'_>>) =
        alike.into_iter().partition(|a| (a.aim_s - aim_s).abs() < TOGETHER_S);
    let apart = apart.into_iter().map(|one| Straggler {
        fixture: one.fixture,
        aim_s: one.aim_s,
        differ: set_apart(mode, one, &together),
    });
    Some(Fleet {
        aim_s,
        apart: apart.collect(),
        together: together.iter().map(|going| going.fixture).collect(),
    })
}

/// A fixture on its way to a place.
struct Going<'a> {
    fixture: usize,
    aim_s: f64,
    target: (AxisAsk, AxisAsk),
    reading: Reading<'a>,
}

/// The slots in which one fixture holds what none of the others does.
fn set_apart(mode: &CompiledMode, one: &Going<'_>, others: &[&Going<'_>]) -> Vec<Difference> {
    let differ = (1..=mode.footprint).filter_map(|offset| {
        let own = held(&one.reading, offset);
        let mut values = others.iter().map(|other| held(&other.reading, offset));
        let first = values.clone().next()?;
        let apart = values.all(|value| value != own);
        let channel = || channel_name(mode, offset);
        apart.then(|| Difference { offset, channel: channel(), values: (own, first) })
    });
    differ.collect()
}
