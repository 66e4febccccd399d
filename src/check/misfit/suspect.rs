//! A head as it would be if a fault were so: run through the ordinary pipeline.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Case;
use super::boundary;
use super::change::Changes;
use super::fault::Fault;
use super::look::Look;
use crate::decode::{CompiledMode, Decoded, Plan};
use crate::motion::{HeadModel, LossPolicy};
use crate::profile::Effect;
use crate::rig::{Address, Fixture};
use crate::wire::{Frame, Levels, Slot, SlotState, Universe};

/// A moment: one of the frames, perhaps with one slot moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Moment {
    /// The frame, as a place among those of the case.
    pub frame: usize,
    /// The slot that is moved, and to what.
    pub set: Option<Move>,
}

/// A slot that is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Move {
    /// Its universe.
    pub universe: Universe,
    /// The slot.
    pub slot: Slot,
    /// Its new value.
    pub to: u8,
}

/// What becomes of the bytes on their way into the head.
#[derive(Debug)]
enum Wire {
    AsSent,
    /// These slots arrive as 255 less what is sent.
    Complement(Vec<Slot>),
    /// These pairs of slots change places.
    Exchange(Vec<(Slot, Slot)>),
    /// These slots are not looked at.
    Ignore(Vec<Slot>),
    /// Nothing arrives behind this slot.
    Cut(u16),
    /// Nothing arrives.
    None,
    /// Nothing arrives after this frame.
    Lost {
        after: Option<usize>,
        policy: LossPolicy,
    },
}

/// A head as it would be with a fault.
pub(super) struct Suspect {
    fixture: Fixture,
    address: Address,
    footprint: u16,
    plan: Plan,
    decoded: Decoded,
    wire: Wire,
    /// It moves as asked and gives no light.
    no_lamp: bool,
    /// What was worked out already, by the bytes that reached the head.
    known: BTreeMap<Vec<u16>, Look>,
}

/// What a channel is told.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Said {
    /// Its name.
    pub channel: String,
    /// Its coarse slot.
    pub slot: Option<Slot>,
    /// The coarse value.
    pub value: Option<u8>,
    /// The range and what it means, in words.
    pub means: String,
    /// What that range does.
    pub effect: Option<Effect>,
}

impl Said {
    /// In words: `slot 7 = 9 is Shutter, closed`.
    pub fn words(&self) -> String {
        match (self.slot, self.value) {
            (Some(slot), Some(value)) => {
                format!("slot {slot} = {value} is `{}`: {}", self.channel, self.means)
            }
            (Some(slot), None) => format!("slot {slot}, `{}`, does not arrive", self.channel),
            (None, _) => format!("`{}` has no slot", self.channel),
        }
    }
}

/// Modes that were compiled for other faults, by profile and name.
pub(super) type Modes = BTreeMap<(String, String), Option<Arc<CompiledMode>>>;

impl Suspect {
    /// The head at a place in the rig with a fault. `None` for one that is not patched or whose profile
    /// is not to be had, and for a fault that it cannot have.
    pub fn new(case: &Case<'_>, modes: &mut Modes, place: usize, fault: &Fault) -> Option<Self> {
        let mut fixture = case.rig.get(place)?.clone();
        let mut mode = case.plan.fixtures().get(place)?.mode.clone()?;
        let address = fault.address(case, fixture.address?)?;
        let slots = |channel: usize| -> Vec<Slot> {
            let offsets = mode.channels.get(channel).map(|c| c.offsets.as_slice());
            offsets.unwrap_or_default().iter().filter_map(|o| address.slot_at(*o)).collect()
        };
        let mut wire = Wire::AsSent;
        match fault {
            Fault::Inverted { channel } => wire = Wire::Complement(slots(*channel)),
            Fault::FineFirst { channels } => {
                let ends = |at: &usize| {
                    let slots = slots(*at);
                    Some((*slots.first()?, *slots.get(1)?))
                };
                wire = Wire::Exchange(channels.iter().filter_map(ends).collect());
            }
            Fault::CoarseOnly => {
                let fine = (0..mode.channels.len()).flat_map(|at| slots(at).into_iter().skip(1));
                wire = Wire::Ignore(fine.collect());
            }
            Fault::CutShort { after } => wire = Wire::Cut(*after),
            Fault::NoData => wire = Wire::None,
            Fault::SignalLost { after } => {
                let policy = HeadModel::new(&mode).on_loss;
                wire = Wire::Lost { after: *after, policy };
            }
            Fault::Swapped => fixture.in_head.swap ^= true,
            Fault::PanInverted => fixture.in_head.invert_pan ^= true,
            Fault::TiltInverted => fixture.in_head.invert_tilt ^= true,
            Fault::Hangs { hang } => fixture.hang = *hang,
            Fault::Boundary { channel, ranges, last } => {
                mode = boundary::shifted(&mode, *channel, *ranges, *last)?;
            }
            Fault::Mode { name } => {
                let key = (fixture.profile.clone(), name.clone());
                let compile = || {
                    let other = mode.profile.mode(name)?;
                    Some(Arc::new(CompiledMode::new(&mode.profile, other)))
                };
                mode = modes.entry(key).or_insert_with(compile).clone()?;
            }
            _ => {}
        }
        fixture.address = Some(address);
        let footprint = mode.footprint;
        let plan = Plan::from_modes([(Some(mode), Some(address))]);
        let decoded = plan.start();
        let no_lamp = matches!(fault, Fault::NoLamp | Fault::NoData);
        let known = BTreeMap::new();
        Some(Self { fixture, address, footprint, plan, decoded, wire, no_lamp, known })
    }

    /// The slots that the head listens to.
    pub fn hears(&self) -> (Universe, std::ops::RangeInclusive<u16>) {
        let first = self.address.slot.number();
        (self.address.universe, first..=first + self.footprint.saturating_sub(1))
    }

    /// The head's compiled mode.
    pub fn mode(&self) -> Option<&Arc<CompiledMode>> {
        self.plan.fixtures().first()?.mode.as_ref()
    }

    /// Its first slot.
    pub fn address(&self) -> Address {
        self.address
    }

    /// What reaches the head.
    pub fn levels(&self, case: &Case<'_>, at: Moment) -> Option<Levels> {
        let sent = |frame: usize, set: Option<Move>| -> Option<Levels> {
            let mut levels = case.frames.get(frame)?.get(self.address.universe).cloned();
            if let Some(set) = set.filter(|set| set.universe == self.address.universe) {
                levels.get_or_insert_default().set(set.slot, set.to);
            }
            levels
        };
        let mut levels = match &self.wire {
            Wire::None => return None,
            Wire::Lost { after: Some(frame), .. } if *frame < at.frame => sent(*frame, None)?,
            Wire::Lost { after: None, .. } => return None,
            _ => sent(at.frame, at.set)?,
        };
        let value = |levels: &Levels, slot: Slot| levels.state(slot).value();
        match &self.wire {
            Wire::Complement(slots) => {
                for slot in slots {
                    if let Some(byte) = value(&levels, *slot) {
                        levels.set(*slot, 255 - byte);
                    }
                }
            }
            Wire::Exchange(pairs) => {
                for (a, b) in pairs {
                    let (state_a, state_b) = (levels.state(*a), levels.state(*b));
                    levels.put(*a, state_b);
                    levels.put(*b, state_a);
                }
            }
            Wire::Ignore(slots) => {
                for slot in slots {
                    if value(&levels, *slot).is_some() {
                        levels.set(*slot, 0);
                    }
                }
            }
            Wire::Cut(after) => {
                let short = levels.values().get(..usize::from(*after)).unwrap_or_default();
                let frame = Frame::levels(short.to_vec()).ok()?;
                let mut cut = Levels::default();
                cut.apply(&frame);
                levels = cut;
            }
            Wire::AsSent | Wire::None | Wire::Lost { .. } => {}
        }
        Some(levels)
    }

    /// What is seen of the head. `None` where that is not known.
    pub fn look(&mut self, case: &Case<'_>, at: Moment) -> Option<Look> {
        let mut lost_dark = false;
        if let Wire::Lost { after, policy } = &self.wire {
            if after.is_none() && *policy != LossPolicy::Dark {
                return None;
            }
            let lost = after.is_none_or(|after| after < at.frame || at.set.is_some());
            match policy {
                LossPolicy::Standby { .. } if lost => return None,
                LossPolicy::Dark => lost_dark = lost,
                _ => {}
            }
        }
        let levels = self.levels(case, at);
        let look = self.look_of(levels.as_ref())?;
        Some(if self.no_lamp || lost_dark { look.without_light() } else { look })
    }

    fn look_of(&mut self, levels: Option<&Levels>) -> Option<Look> {
        let state = |offset: u16| {
            let slot = self.address.slot_at(offset)?;
            levels.map(|levels| levels.state(slot)).and_then(SlotState::value)
        };
        let key: Vec<u16> =
            (1..=self.footprint).map(|offset| state(offset).map_or(256, u16::from)).collect();
        if let Some(look) = self.known.get(&key) {
            return Some(look.clone());
        }
        let look = match levels {
            Some(levels) => {
                self.plan.decode_universe(self.address.universe, levels, &mut self.decoded);
                let reading = self.plan.reading_of(0, Some(levels), &self.decoded)?;
                Look::new(&self.fixture, &reading)
            }
            None => {
                let fresh = self.plan.start();
                Look::new(&self.fixture, &self.plan.reading_of(0, None, &fresh)?)
            }
        };
        self.known.insert(key, look.clone());
        Some(look)
    }

    /// What each channel of the head is told.
    pub fn said(&self, case: &Case<'_>, at: Moment) -> Vec<Said> {
        let levels = self.levels(case, at);
        let mut decoded = self.plan.start();
        if let Some(levels) = &levels {
            self.plan.decode_universe(self.address.universe, levels, &mut decoded);
        }
        let Some(reading) = self.plan.reading_of(0, levels.as_ref(), &decoded) else {
            return Vec::new();
        };
        let said = reading.channels().map(|read| Said {
            channel: read.channel.name.clone(),
            slot: read.channel.offsets.first().and_then(|offset| self.address.slot_at(*offset)),
            value: read.held.value().map(|value| read.channel.coarse(value)),
            means: match (read.range, read.physical) {
                (Some(range), Some(_)) => format!("{}, {}", range.label, read.words()),
                _ => read.words(),
            },
            effect: read.range.map(|range| range.does.clone()),
        });
        said.collect()
    }

    /// What changes on the head between two moments. `None` where that is not known.
    pub fn changes(&mut self, case: &Case<'_>, from: Moment, to: Moment) -> Option<Changes> {
        if let Wire::Lost { after, .. } = &self.wire
            && after.is_none_or(|after| after < from.frame)
        {
            return Some(Changes::NOTHING);
        }
        let before = self.look(case, from)?;
        let after = self.look(case, to)?;
        Some(Changes::between(&before, &after))
    }
}
