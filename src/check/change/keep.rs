//! Which values of another mode do what the values of a frame did.

use std::collections::BTreeMap;

use serde::Serialize;

use super::kin::Kin;
use super::meaning;
use crate::decode::{CompiledChannel, CompiledMode, CompiledRange, Reading, split, values_for};
use crate::profile::{Effect, Unit};

/// How well a meaning can be kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It can, to within half a step of either channel.
    Exact,
    /// Something near it can be had.
    Near,
    /// There is no counterpart, and none is needed: the channel rests.
    Rests,
    /// There is no counterpart.
    Lost,
}

impl Outcome {
    /// The outcome in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Exact => "kept",
            Self::Near => "nearly",
            Self::Rests => "not needed",
            Self::Lost => "no counterpart",
        }
    }
}

/// A value that keeps a meaning.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct To {
    /// The channel.
    pub channel: String,
    /// Its slots counted from the fixture's first (which is 1), most significant first.
    pub slots: Vec<u16>,
    /// The value, at the channel's full resolution.
    pub value: u32,
    /// What it means there.
    pub means: String,
}

/// What becomes of one meaning.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KeptRow {
    /// The channel that had it.
    pub channel: String,
    /// Its slots counted from the fixture's first.
    pub slots: Vec<u16>,
    /// Its value, at full resolution.
    pub value: u32,
    /// What the value means.
    pub means: String,
    /// How well that can be kept.
    pub outcome: Outcome,
    /// What keeps it: one channel, or one a cell.
    pub to: Vec<To>,
    /// What is different, or why it cannot be kept. Empty: nothing to say.
    pub why: String,
}

/// What becomes of every meaning, and the values that the slots of the other mode get.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Kept {
    pub rows: Vec<KeptRow>,
    /// Every slot of the other mode by its offset (1 is the first), with its byte.
    pub slots: Vec<(u16, u8)>,
}

/// One thing that a value of a frame does.
pub(super) struct Wish<'a> {
    channel: usize,
    pub(super) of: &'a CompiledChannel,
    value: u32,
    pub(super) effect: &'a Effect,
    pub(super) physical: Option<(f64, Unit)>,
    /// What half a step of its own channel is.
    slack: f64,
    rests: bool,
    means: String,
}

/// One value that might do it.
pub(super) struct Offer<'a> {
    pub(super) channel: usize,
    pub(super) range: &'a CompiledRange,
    pub(super) value: u32,
    pub(super) distance: u32,
    /// How far the physical value is off, beyond what the steps of both channels come to.
    pub(super) off: f64,
}

/// Keeps what a reading asks for, as far as `after` can.
pub(super) fn keep(reading: &Reading<'_>, after: &CompiledMode, kin: &Kin<'_>) -> Kept {
    let mut wishes = wishes(reading);
    // What darkens or flashes comes first where one channel has to do several things, what is open last.
    wishes.sort_by_key(|wish| rank(wish.effect));
    let mut keeper = Keeper { after, kin, taken: BTreeMap::new(), dimmed: Vec::new() };
    let is_emitter = |wish: &Wish<'_>| matches!(wish.effect, Effect::Emitter { .. });
    let mut rows: Vec<(usize, KeptRow)> = Vec::new();
    for wish in &mut wishes {
        if is_emitter(wish)
            && let Some((percent, _)) = &mut wish.physical
        {
            *percent *= keeper.dimmed(wish.of.cell);
        }
        rows.push((wish.channel, keeper.grant(wish)));
    }
    let mut otherwise: Vec<KeptRow> = keeper.mixed(reading).into_iter().collect();
    otherwise.extend(keeper.light_otherwise(&reading.asked()));
    rows.extend(otherwise.into_iter().map(|row| (usize::MAX, row)));
    rows.sort_by_key(|(channel, _)| *channel);
    // Several things that one value does may all be kept or lost in the same way.
    rows.dedup();
    let value = |i: usize, channel: &CompiledChannel| {
        keeper.taken.get(&i).copied().unwrap_or(channel.default)
    };
    let channels = after.channels.iter().enumerate();
    let slots = channels.flat_map(|(i, channel)| {
        let bytes = split(value(i, channel), channel.offsets.len());
        channel.offsets.iter().copied().zip(bytes)
    });
    Kept { slots: slots.collect(), rows: rows.into_iter().map(|(_, row)| row).collect() }
}

fn rank(effect: &Effect) -> u8 {
    match effect {
        Effect::Shut => 0,
        Effect::Strobe { .. } => 1,
        Effect::Dimmer { .. } => 2,
        Effect::Open => 8,
        Effect::Idle => 9,
        _ => 4,
    }
}

fn wishes<'a>(reading: &Reading<'a>) -> Vec<Wish<'a>> {
    let mut wishes = Vec::new();
    for (index, channel) in reading.channels().enumerate() {
        let (Some(value), Some(range)) = (channel.held.value(), channel.range) else { continue };
        let of = channel.channel;
        let rests = range.contains(of.default)
            && match (range.physical_at(value), range.physical_at(of.default)) {
                (Some(a), Some(b)) => (a - b).abs() < 1e-9,
                _ => true,
            };
        for effect in range.effects() {
            let pair = effect.physical();
            let steps = f64::from((range.last - range.first).max(1));
            wishes.push(Wish {
                channel: index,
                of,
                value,
                effect,
                physical: pair.map(|pair| (pair.at(range.share_at(value)), pair.unit)),
                slack: pair.map_or(0.0, |pair| (pair.span.1 - pair.span.0).abs() / steps / 2.0),
                rests: rests || matches!(effect, Effect::Idle),
                means: meaning(&channel),
            });
        }
    }
    wishes
}

pub(super) struct Keeper<'a> {
    pub(super) after: &'a CompiledMode,
    kin: &'a Kin<'a>,
    /// Channels that have a value already.
    pub(super) taken: BTreeMap<usize, u32>,
    /// Cells, or `None` for the whole head, whose emitters are dimmed in the place of a dimmer, 0..1.
    pub(super) dimmed: Vec<(Option<u16>, f64)>,
}

impl<'a> Keeper<'a> {
    fn grant(&mut self, wish: &Wish<'_>) -> KeptRow {
        let mut row = KeptRow {
            channel: wish.of.name.clone(),
            slots: wish.of.offsets.clone(),
            value: wish.value,
            means: wish.means.clone(),
            outcome: Outcome::Lost,
            to: Vec::new(),
            why: String::new(),
        };
        let mut offers = self.offers(wish);
        if offers.is_empty() && self.level_by_emitters(wish, &mut row) {
            return row;
        }
        let cells_of = |offers: &[Offer<'_>]| -> Vec<Option<u16>> {
            let mut cells: Vec<Option<u16>> =
                offers.iter().map(|offer| self.after.channels[offer.channel].cell).collect();
            cells.sort_unstable();
            cells.dedup();
            cells
        };
        let cells = cells_of(&offers);
        let wanted: Vec<Option<u16>> = match (cells.contains(&wish.of.cell), wish.of.cell) {
            (true, cell) => vec![cell],
            // A whole head that becomes several cells asks the same of each.
            (false, None) => cells,
            // Of several cells that become one head, the first is the head.
            (false, Some(1)) if cells.contains(&None) => {
                row.why = "of the whole head, not of one cell".to_owned();
                vec![None]
            }
            (false, Some(_)) => Vec::new(),
        };
        let mut worst = Outcome::Exact;
        let mut busy = None;
        for cell in &wanted {
            let of_cell =
                offers.extract_if(.., |offer| self.after.channels[offer.channel].cell == *cell);
            let of_cell: Vec<Offer<'_>> = of_cell.collect();
            match of_cell.iter().find(|offer| self.take(offer)) {
                Some(offer) => {
                    if offer.distance > 0 || offer.off > 0.0 || !row.why.is_empty() {
                        worst = Outcome::Near;
                    }
                    row.to.push(self.told(offer));
                }
                None => busy = of_cell.first().map(|offer| offer.channel).or(busy),
            }
        }
        if !row.to.is_empty() {
            row.outcome = worst;
            return row;
        }
        if wish.rests {
            row.outcome = Outcome::Rests;
        }
        row.why = match busy {
            Some(channel) => {
                format!("`{}` has to do something else", self.after.channels[channel].name)
            }
            None if wish.of.cell.is_some() && !wanted.is_empty() => "no such cell".to_owned(),
            None => String::new(),
        };
        row
    }

    pub(super) fn told(&self, offer: &Offer<'_>) -> To {
        let channel = &self.after.channels[offer.channel];
        let physical = offer.range.physical.zip(offer.range.physical_at(offer.value));
        let physical = physical.map(|(of, value)| of.unit.format(value));
        To {
            channel: channel.name.clone(),
            slots: channel.offsets.clone(),
            value: offer.value,
            means: super::joined_meaning(&channel.name, physical, &offer.range.label),
        }
    }

    /// Every value that might grant a wish, the best first.
    fn offers(&self, wish: &Wish<'_>) -> Vec<Offer<'a>> {
        let mut offers = Vec::new();
        for (index, channel) in self.after.channels.iter().enumerate() {
            for (place, range) in channel.ranges.iter().enumerate() {
                let near = range.effects().filter_map(|offered| {
                    Some((self.kin.distance(wish.effect, offered)?, offered))
                });
                let Some((distance, offered)) = near.min_by_key(|(distance, _)| *distance) else {
                    continue;
                };
                let Some((value, off)) = value_in(channel, place, offered, wish) else { continue };
                offers.push(Offer { channel: index, range, value, distance, off });
            }
        }
        offers.sort_by(|a, b| {
            let key = |offer: &Offer<'_>| (offer.distance, offer.off > 0.0);
            let order = key(a).cmp(&key(b)).then(a.off.total_cmp(&b.off));
            order.then(a.range.when.len().cmp(&b.range.when.len()))
        });
        offers
    }

    /// Takes a value for its channel, and for those it depends on values that let it act. `false` where
    /// one of them stands elsewhere already.
    pub(super) fn take(&mut self, offer: &Offer<'_>) -> bool {
        let mut taking = vec![(offer.channel, offer.value)];
        for when in &offer.range.when {
            let Some((other, _)) = self.after.channel_at(when.offset) else { return false };
            let channel = &self.after.channels[other];
            let allowed = when.from..=when.to;
            match self.taken.get(&other).map(|value| channel.coarse(*value)) {
                Some(coarse) if allowed.contains(&coarse) => {}
                Some(_) => return false,
                None if allowed.contains(&channel.coarse(channel.default)) => {
                    taking.push((other, channel.default));
                }
                None => taking.push((other, u32::from(when.from) * channel.coarse_step())),
            }
        }
        let fits = |(channel, value): &(usize, u32)| match self.taken.get(channel) {
            // What stands there already may do this as well.
            Some(taken) if *channel == offer.channel => {
                taken == value
                    || offer.off == 0.0 && offer.range.contains(*taken) && is_level(offer)
            }
            _ => true,
        };
        if !taking.iter().all(fits) {
            return false;
        }
        for (channel, value) in taking {
            self.taken.entry(channel).or_insert(value);
        }
        true
    }
}

/// Whether any value of the range grants the wish, so that one that was taken for another wish does too.
fn is_level(offer: &Offer<'_>) -> bool {
    offer.range.also.iter().any(|effect| effect.physical().is_none())
        || offer.range.physical.is_none()
}

/// The value of one range that grants a wish best, and how far it is off beyond the steps of both.
fn value_in(
    channel: &CompiledChannel,
    place: usize,
    offered: &Effect,
    wish: &Wish<'_>,
) -> Option<(u32, f64)> {
    let range = &channel.ranges[place];
    let Some((wanted, unit)) = wish.physical else {
        let value = if range.contains(channel.default) { channel.default } else { range.first };
        return Some((value, 0.0));
    };
    let pair = offered.physical().filter(|pair| pair.unit == unit)?;
    let steps = f64::from((range.last - range.first).max(1));
    let slack = wish.slack + (pair.span.1 - pair.span.0).abs() / steps / 2.0 + 1e-9;
    let found = values_for(channel, wanted, unit).into_iter().find(|found| found.range == place);
    if let Some(found) = found {
        let off = found.error.abs();
        return Some((found.value, if off <= slack { 0.0 } else { off }));
    }
    // Out of reach: the nearer end.
    let (a, b) = pair.span;
    let (first, last) = ((wanted - a).abs(), (wanted - b).abs());
    let (value, off) = if first <= last { (range.first, first) } else { (range.last, last) };
    off.is_finite().then_some((value, if off <= slack { 0.0 } else { off }))
}
