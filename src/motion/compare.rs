//! Why one head of a row arrives later than another: whether the data is the cause.

use super::rig_motion::RigMotion;
use crate::decode::{Decoded, Plan};
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
        let shown = |value: Option<u8>| value.map_or("not sent".to_owned(), |v| v.to_string());
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
        let held = |state: Option<crate::wire::SlotState>| state.and_then(|state| state.value());
        let values = (held(a.slot_state(offset)), held(b.slot_state(offset)));
        let channel = a.mode.channel_at(offset).and_then(|(i, _)| a.mode.channels.get(i));
        let channel = channel.map_or(String::new(), |channel| channel.name.clone());
        (values.0 != values.1).then_some(Difference { offset, channel, values })
    });
    Some(Comparison {
        aim_s: (motion.head(one)?.arrives_s().aim_s(), motion.head(other)?.arrives_s().aim_s()),
        same_target: (asked_a.pan, asked_a.tilt) == (asked_b.pan, asked_b.tilt),
        differ: differ.collect(),
    })
}
