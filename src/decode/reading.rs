//! What a frame asks of one fixture, channel by channel.

use super::asked::Asked;
use super::compile::{CompiledChannel, CompiledMode, CompiledRange};
use super::ops::ChannelOps;
use super::parts::Parts;
use super::plan::{Decoded, PlannedFixture};
use crate::wire::{Frames, Levels, Slot, SlotState};

/// How a channel's value came to be held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// The last frame carried all of its slots.
    Sent(u32),
    /// The last frame did not reach all of its slots; they keep what they had.
    Kept(u32),
    /// At least one of its slots was never sent: there is no value.
    NeverSent,
    /// The fixture has no address, or the channel lies past slot 512.
    NoSlot,
}

impl Held {
    /// The value at the channel's full resolution, sent now or kept.
    pub fn value(self) -> Option<u32> {
        match self {
            Self::Sent(value) | Self::Kept(value) => Some(value),
            Self::NeverSent | Self::NoSlot => None,
        }
    }
}

/// What a frame asks of one fixture.
#[derive(Clone, Copy, Debug)]
pub struct Reading<'a> {
    fixture: &'a PlannedFixture,
    /// The fixture's compiled mode.
    pub mode: &'a CompiledMode,
    /// What is held of the fixture's universe; `None` where nothing was ever heard of it.
    levels: Option<&'a Levels>,
    decoded: &'a Decoded,
}

/// What a frame asks of one channel.
#[derive(Clone, Copy, Debug)]
pub struct ChannelReading<'a> {
    /// The channel.
    pub channel: &'a CompiledChannel,
    /// Its value.
    pub held: Held,
    /// The range the value lies in. `None` in a gap, or without a value.
    pub range: Option<&'a CompiledRange>,
    /// What is asked, in the unit of the range's physical pair. `None` for an effect that has none.
    pub physical: Option<f64>,
    /// Which range the value lies in depends on a slot that was never sent: there is a range for it,
    /// and which one is not known.
    pub waits: bool,
}

impl ChannelReading<'_> {
    /// The value lies in no range, whatever the slots that were never sent carry.
    pub fn in_gap(&self) -> bool {
        self.held.value().is_some() && self.range.is_none() && !self.waits
    }

    /// What is asked, in words: `35.00 deg`, `open`, `5.00 Hz`.
    pub fn words(&self) -> String {
        match (self.held, self.range) {
            (Held::NeverSent, _) => "not sent".to_owned(),
            (Held::NoSlot, _) => "no slot".to_owned(),
            (_, None) if self.waits => "depends on a slot not sent".to_owned(),
            (_, None) => "nothing (no range)".to_owned(),
            (_, Some(range)) => match (range.physical, self.physical) {
                (Some(physical), Some(value)) => physical.unit.format(value),
                _ => range.label.clone(),
            },
        }
    }
}

impl<'a> Reading<'a> {
    pub(crate) fn new(
        fixture: &'a PlannedFixture,
        mode: &'a CompiledMode,
        frames: &'a Frames,
        decoded: &'a Decoded,
    ) -> Self {
        let levels = fixture.address.and_then(|address| frames.get(address.universe));
        Self { fixture, mode, levels, decoded }
    }

    /// A reading of what is held of the fixture's own universe.
    pub(super) fn of_universe(
        fixture: &'a PlannedFixture,
        mode: &'a CompiledMode,
        levels: Option<&'a Levels>,
        decoded: &'a Decoded,
    ) -> Self {
        Self { fixture, mode, levels, decoded }
    }

    /// The slot of the universe at `offset` (from 1), or `None` past its end.
    pub fn slot(&self, offset: u16) -> Option<Slot> {
        self.fixture.address?.slot_at(offset)
    }

    /// What is held of a slot at `offset`.
    pub fn slot_state(&self, offset: u16) -> Option<SlotState> {
        let slot = self.slot(offset)?;
        Some(self.levels.map_or(SlotState::NeverSent, |levels| levels.state(slot)))
    }

    /// The value of a channel.
    pub fn held(&self, channel: &CompiledChannel) -> Held {
        let (mut value, mut kept, mut never_sent) = (0u32, false, false);
        for offset in &channel.offsets {
            let byte = match self.slot_state(*offset) {
                // A slot past 512 will never come, whatever is known of the others.
                None => return Held::NoSlot,
                Some(SlotState::NeverSent) => {
                    never_sent = true;
                    0
                }
                Some(SlotState::Kept(byte)) => {
                    kept = true;
                    byte
                }
                Some(SlotState::Sent(byte)) => byte,
            };
            value = value << 8 | u32::from(byte);
        }
        match (never_sent, kept) {
            (true, _) => Held::NeverSent,
            (false, true) => Held::Kept(value),
            (false, false) => Held::Sent(value),
        }
    }

    /// What is asked of one channel, or `None` past the last.
    pub fn channel(&self, index: usize) -> Option<ChannelReading<'a>> {
        let channel = self.mode.channels.get(index)?;
        let held = self.held(channel);
        let range =
            held.value().and_then(|_| self.hit(index)).and_then(|range| channel.ranges.get(range));
        let physical = held.value().and_then(|value| range?.physical_at(value));
        let waits = range.is_none()
            && held
                .value()
                .is_some_and(|value| channel.waits_at(value, |offset| self.byte(offset)));
        Some(ChannelReading { channel, held, range, physical, waits })
    }

    /// What is asked of every channel, in the profile's order.
    pub fn channels(&self) -> impl Iterator<Item = ChannelReading<'a>> {
        (0..self.mode.channels.len()).filter_map(|i| self.channel(i))
    }

    /// What is asked of the whole fixture, typed.
    pub fn asked(&self) -> Asked {
        let mut asked = Asked::for_mode(self.mode);
        self.ask(&mut asked);
        asked
    }

    /// The same, into an [`Asked`] made by [`Asked::for_mode`] for this mode. Nothing is allocated, but
    /// for the name of a built-in program that runs and the points of a dimmer curve that is chosen.
    pub fn ask(&self, asked: &mut Asked) {
        super::ask::fill(self, asked, Parts::ALL);
    }

    /// What is asked of some parts. What `asked` then has of the others means nothing.
    pub(crate) fn ask_parts(&self, asked: &mut Asked, parts: Parts) {
        super::ask::fill(self, asked, parts);
    }

    /// The range that was found for a channel, as a place among its ranges.
    pub(super) fn hit(&self, channel: usize) -> Option<usize> {
        self.fixture.hit(channel, self.decoded)?
    }

    /// The bytes held from the fixture's first slot on, if every slot that its channels reach over has one.
    pub(super) fn known_bytes(&self) -> Option<&'a [u8]> {
        let first = self.fixture.address?.slot.index();
        let (levels, reach) = (self.levels?, self.mode.ops.reach);
        levels.knows(first, reach).then(|| levels.values().get(first..first + reach))?
    }

    /// The range of a channel, as a place among its ranges, and its value, out of [`Self::known_bytes`].
    #[inline]
    pub(super) fn known(
        &self,
        i: usize,
        channel: &ChannelOps,
        bytes: &[u8],
    ) -> Option<(usize, u32)> {
        let range = self.fixture.hit_of(i, channel, self.decoded)??;
        let byte =
            |nth: usize| bytes.get(usize::from(channel.at[nth])).map(|byte| u32::from(*byte));
        let value = match channel.width {
            1 => byte(0)?,
            2 => byte(0)? << 8 | byte(1)?,
            3 => byte(0)? << 16 | byte(1)? << 8 | byte(2)?,
            _ => byte(0)? << 24 | byte(1)? << 16 | byte(2)? << 8 | byte(3)?,
        };
        Some((range, value))
    }

    /// The byte held of a slot at `offset`, sent now or kept.
    fn byte(&self, offset: u16) -> Option<u8> {
        self.slot_state(offset).and_then(SlotState::value)
    }

    /// The byte held of a slot at `offset`; one that was never sent rests where its channel does.
    fn byte_or_rest(&self, offset: u16) -> Option<u8> {
        self.byte(offset).or_else(|| {
            let (channel, part) = self.mode.channel_at(offset)?;
            let channel = &self.mode.channels[channel];
            let below = channel.offsets.len() - 1 - part;
            Some((channel.default >> (8 * below)) as u8)
        })
    }

    /// The range that a channel stands in, and the value with which, while it has no value or one in no
    /// range: that of its value, where it has one and only the slots it depends on are missing; else
    /// that of its value at rest. Slots that were never sent are at rest.
    pub(crate) fn at_rest(&self, channel: &ChannelReading<'a>) -> Option<(&'a CompiledRange, u32)> {
        let (range, value) = self.place_at_rest(channel)?;
        Some((channel.channel.ranges.get(range)?, value))
    }

    /// The same, with the range as a place among those of the channel.
    pub(super) fn place_at_rest(&self, channel: &ChannelReading<'a>) -> Option<(usize, u32)> {
        let held = |offset| self.byte_or_rest(offset);
        let value = channel.held.value().filter(|_| channel.waits);
        let standing = |value: u32| Some((channel.channel.find_with(value, held)?, value));
        value.and_then(standing).or_else(|| standing(channel.channel.default))
    }
}
