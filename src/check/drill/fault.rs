//! Find the fault: a rig in which one thing is wrong, and what it then does.

use std::sync::Arc;

use super::head::{byte, put};
use super::make::CLEARLY;
use super::outcome::Outcome;
use super::random::Random;
use super::{Choice, Claim, Task, TestHead};
use crate::decode::CompiledMode;
use crate::decode::sweep::stops;
use crate::profile::Effect;
use crate::wire::SLOTS;

/// What may be wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The head is set to an address so many slots from its own; positive is later.
    AddressOff(i16),
    /// The head is set to another of its modes.
    Mode(String),
    /// A slot of the head, counted from 1, stands where nobody meant it to.
    Slot {
        /// The slot.
        slot: u16,
        /// Its value.
        value: u8,
    },
}

impl Fault {
    /// It in words, for a head at an address.
    pub fn words(&self, address: u16) -> String {
        match self {
            Self::AddressOff(by) => {
                let at = i32::from(address) + i32::from(*by);
                format!("the head is set to address {at}, not {address}")
            }
            Self::Mode(name) => format!("the head is set to its mode `{name}`"),
            Self::Slot { slot, value } => {
                let at = u32::from(address) + u32::from(*slot) - 1;
                format!("slot {at} (the head's slot {slot}) stands at {value}")
            }
        }
    }
}

/// What the head does when a thing is wrong, and whether light leaves it. `None` where that thing cannot be
/// wrong here.
pub(super) fn seen(
    head: &mut TestHead,
    frame: &[u8],
    address: u16,
    fault: &Fault,
) -> Option<(Outcome, bool)> {
    let own = usize::from(address).checked_sub(1)?;
    match fault {
        Fault::AddressOff(by) => {
            let at = usize::try_from(i64::try_from(own).ok()? + i64::from(*by)).ok()?;
            let slots = frame.get(at..at + head.at_rest().len())?.to_vec();
            Some((head.outcome(&slots), head.gives_light(&slots)))
        }
        Fault::Mode(name) => {
            let profile = head.mode.profile.clone();
            let mode = Arc::new(CompiledMode::new(&profile, profile.mode(name)?));
            let mut other = TestHead::bare(&mode);
            let slots = frame.get(own..own + other.at_rest().len())?.to_vec();
            Some((other.outcome(&slots), other.gives_light(&slots)))
        }
        Fault::Slot { slot, value } => {
            let mut slots = frame.get(own..own + head.at_rest().len())?.to_vec();
            put(&mut slots, &[*slot], u32::from(*value));
            Some((head.outcome(&slots), head.gives_light(&slots)))
        }
    }
}

/// Whether what two faults show can be told apart.
pub(super) fn differ(a: &(Outcome, bool), b: &(Outcome, bool), tolerances: f64) -> bool {
    a.1 != b.1 || !a.0.near(&b.0, tolerances)
}

/// Three heads of the mode behind each other, all lit; something is wrong with the middle one.
pub(super) fn make(head: &mut TestHead, random: &mut Random) -> Option<Task> {
    let footprint = u16::try_from(head.at_rest().len()).ok()?;
    if footprint == 0 || usize::from(footprint) * 4 > SLOTS {
        return None;
    }
    let first = 1 + random.below(SLOTS - 4 * usize::from(footprint)) as u16;
    let address = first + footprint;
    let mut frame = vec![0; SLOTS];
    for nth in 0..3 {
        let at = usize::from(first - 1 + nth * footprint);
        let lit = different_look(head, random);
        frame.get_mut(at..at + lit.len())?.copy_from_slice(&lit);
    }
    let meant = {
        let own = usize::from(address - 1);
        let slots = frame.get(own..own + usize::from(footprint))?.to_vec();
        (head.outcome(&slots), head.gives_light(&slots))
    };
    let mut faults = candidates(head, random, footprint);
    random.shuffle(&mut faults);
    let mut chosen: Option<(Outcome, bool)> = None;
    let mut choices: Vec<Choice> = Vec::new();
    for fault in faults {
        let Some(does) = seen(head, &frame, address, &fault) else { continue };
        let told = match &chosen {
            None => differ(&does, &meant, CLEARLY) && does.0.commands.is_empty(),
            Some(first) => differ(&does, first, CLEARLY),
        };
        if told {
            let (words, meant) = (fault.words(address), chosen.is_none());
            choices.push(Choice { words, claim: Claim::Fault(fault), meant });
            chosen.get_or_insert(does);
        }
        if choices.len() == 4 {
            break;
        }
    }
    let (seen, lit) = chosen.filter(|_| choices.len() > 1)?;
    random.shuffle(&mut choices);
    let meant = meant.0.facets;
    Some(Task::Fault { frame, address, meant, seen, lit, choices })
}

/// The head lit, with one channel of aim, colour or pattern somewhere else, so that heads differ.
fn different_look(head: &mut TestHead, random: &mut Random) -> Vec<u8> {
    let lit = head.lit().to_vec();
    let mode = head.mode.clone();
    let tells = |effect: &Effect| effect.aims() || matches!(effect, Effect::Slot { .. });
    let telling: Vec<_> = mode
        .channels
        .iter()
        .filter(|channel| channel.ranges.iter().any(|range| range.effects().any(tells)))
        .collect();
    for _ in 0..8 {
        let mut slots = lit.clone();
        if let Some(channel) = random.pick(&telling) {
            put(&mut slots, &channel.offsets, random.between(0, channel.max_value()));
        }
        if head.outcome(&slots).is_plain() && head.gives_light(&slots) {
            return slots;
        }
    }
    lit
}

/// What may be wrong with a head of this mode.
fn candidates(head: &TestHead, random: &mut Random, footprint: u16) -> Vec<Fault> {
    let mut faults = vec![
        Fault::AddressOff(1),
        Fault::AddressOff(-1),
        Fault::AddressOff(footprint as i16),
        Fault::AddressOff(-(footprint as i16)),
    ];
    let modes = head.mode.profile.modes.iter().map(|mode| &mode.name);
    faults.extend(modes.filter(|name| **name != head.mode.name).cloned().map(Fault::Mode));
    let lit = head.lit();
    for channel in &head.mode.channels {
        let Some(slot) = channel.offsets.first() else { continue };
        let stops = stops(channel, |offset| Some(byte(lit, offset)));
        if let Some(stop) = random.pick(&stops) {
            let value = channel.coarse(random.between(stop.first, stop.last));
            faults.push(Fault::Slot { slot: *slot, value });
        }
        let shut = channel.ranges.iter().find(|r| r.effects().any(|e| *e == Effect::Shut));
        if let Some(range) = shut {
            faults.push(Fault::Slot { slot: *slot, value: channel.coarse(range.first) });
        }
    }
    faults
}
