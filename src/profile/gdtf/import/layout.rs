//! Where the channels of a mode lie and what they are called.
//!
//! A mode with several start addresses has no counterpart here. Its addresses are laid one behind
//! another, in order, so that it stays one fixture: the slots of the second begin where those of the
//! first end. A warning says where.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::super::description::{DmxChannel, DmxMode, FixtureType};
use super::super::said::Said;
use super::geometry::Parts;
use super::words::channel_name;
use crate::wire::SLOTS;

/// Channels of one mode with its references put in.
const MOST_CHANNELS: usize = 1024;

/// A channel where it comes.
#[derive(Clone, Debug)]
pub(super) struct Placed<'a> {
    /// What the file says of it.
    pub(super) channel: &'a DmxChannel,
    /// The part it acts on.
    pub(super) part: Option<usize>,
    /// Its slots from 1, most significant first; none where it takes none.
    pub(super) slots: Vec<u16>,
    /// What it is called here.
    pub(super) name: String,
}

/// A mode laid out.
#[derive(Clone, Debug)]
pub(super) struct Layout<'a> {
    /// What the file says of it.
    pub(super) mode: &'a DmxMode,
    /// Words for it in findings.
    pub(super) item: String,
    /// The parts of the fixture in it.
    pub(super) parts: Parts,
    /// Its channels.
    pub(super) channels: Vec<Placed<'a>>,
    /// Slots it takes: its highest slot, not how many are described.
    pub(super) slots: u16,
    /// Channels by the name that links use, in lower case.
    by_link: HashMap<String, Vec<usize>>,
    /// How many channels set an attribute, in lower case.
    setting: HashMap<String, usize>,
}

impl<'a> Layout<'a> {
    /// Lays a mode out, or says why it cannot be.
    pub(super) fn of(fixture: &FixtureType, mode: &'a DmxMode, said: &mut Said) -> Option<Self> {
        let item = format!("mode \"{}\"", mode.name());
        let top = mode.geometry.as_deref().unwrap_or_default();
        let parts = Parts::of(fixture, top, &item, said);
        let mut raw = Vec::new();
        for channel in &mode.channels {
            let name = channel.geometry.as_deref().unwrap_or_default();
            let parts_of_it: Vec<Option<usize>> = match parts.named(name) {
                [] => {
                    let what =
                        format!("channel `{}` acts on `{name}`, which is no part", channel.name());
                    said.error(&item, what, "it is taken to act on the whole fixture");
                    vec![None]
                }
                parts => parts.iter().copied().map(Some).collect(),
            };
            for part in parts_of_it {
                let (counts_from, shift) = parts.place(channel, part);
                raw.push((channel, part, counts_from, shift));
            }
            if raw.len() > MOST_CHANNELS {
                let what = format!("the mode has more than {MOST_CHANNELS} channels");
                said.error(&item, what, "it is left out");
                return None;
            }
        }
        let bases = bases(&raw, &item, said);
        let mut names = HashSet::new();
        let mut channels: Vec<Placed<'a>> = Vec::with_capacity(raw.len());
        let mut last_slot = 0;
        for (channel, part, counts_from, shift) in raw {
            let base = bases.get(&counts_from).copied().unwrap_or(0);
            let slot = |slot: &u16| u32::from(*slot).saturating_add(shift).saturating_add(base);
            let slots = channel.slots().iter().map(|s| u16::try_from(slot(s)).unwrap_or(u16::MAX));
            let slots: Vec<u16> = slots.collect();
            last_slot = slots.iter().copied().fold(last_slot, u16::max);
            if is_undescribed(channel) {
                continue;
            }
            let part_name = part.map(|part| part_name(&parts, part)).unwrap_or_default();
            let repeated = parts.named(channel.geometry.as_deref().unwrap_or_default()).len() > 1;
            let name = channel_name(channel, &part_name, repeated, &mut names);
            channels.push(Placed { channel, part, slots, name });
        }
        let slots = last_slot;
        if slots == 0 || usize::from(slots) > SLOTS {
            let what = format!("a mode of {slots} slots fits in no universe");
            said.error(&item, what, "it is left out");
            return None;
        }
        say_undescribed(&channels, slots, &item, said);
        let mut by_link: HashMap<String, Vec<usize>> = HashMap::new();
        let mut setting: HashMap<String, usize> = HashMap::new();
        for (i, placed) in channels.iter().enumerate() {
            by_link.entry(placed.channel.name().to_lowercase()).or_default().push(i);
            let attributes = placed.channel.functions().map(|(_, f)| f.attribute().to_lowercase());
            for attribute in attributes.collect::<HashSet<String>>() {
                *setting.entry(attribute).or_default() += 1;
            }
        }
        Some(Self { mode, item, parts, channels, slots, by_link, setting })
    }

    /// The channels that a link means: `Channel`, or `Channel.Attribute.Function`. Several where their
    /// part comes several times.
    pub(super) fn linked(&self, link: &str) -> impl Iterator<Item = &Placed<'a>> {
        let name = link.split('.').next().unwrap_or_default().to_lowercase();
        self.by_link.get(&name).into_iter().flatten().map(|i| &self.channels[*i])
    }

    /// How many channels set an attribute.
    pub(super) fn setting(&self, attribute: &str) -> usize {
        self.setting.get(&attribute.to_lowercase()).copied().unwrap_or(0)
    }

    /// Words for a channel in findings.
    pub(super) fn channel_item(&self, channel: &Placed<'_>) -> String {
        format!("{}, channel \"{}\"", self.item, channel.name)
    }
}

/// Whether a channel is there for its slot only, so that the size of its mode is known.
fn is_undescribed(channel: &DmxChannel) -> bool {
    let mut names = channel.functions().map(|(_, function)| {
        let name = function.name.as_deref().unwrap_or_default();
        function.attribute() == "NoFeature" && name.starts_with(super::UNDESCRIBED)
    });
    names.next() == Some(true) && names.all(|is| is)
}

/// The name by which people tell one of several parts: that of the reference it was put in by.
fn part_name(parts: &Parts, part: usize) -> String {
    let own = &parts.list[part];
    let reference = own.reference.map(|reference| parts.list[reference].name.clone());
    reference.filter(|name| !name.is_empty()).unwrap_or_else(|| own.name.clone())
}

/// Says which slots before the last nothing describes. A description names no size, so that slots
/// behind the last cannot be known from it either.
fn say_undescribed(channels: &[Placed<'_>], slots: u16, item: &str, said: &mut Said) {
    let described: HashSet<u16> =
        channels.iter().flat_map(|channel| &channel.slots).copied().collect();
    let mut gaps: Vec<(u16, u16)> = Vec::new();
    for slot in (1..slots).filter(|slot| !described.contains(slot)) {
        match gaps.last_mut() {
            Some((_, last)) if *last + 1 == slot => *last = slot,
            _ => gaps.push((slot, slot)),
        }
    }
    if gaps.is_empty() {
        return;
    }
    let words = |(first, last): &(u16, u16)| match first == last {
        true => first.to_string(),
        false => format!("{first}..{last}"),
    };
    let shown: Vec<String> = gaps.iter().take(6).map(words).collect();
    let more = if gaps.len() > shown.len() { ", ..." } else { "" };
    let what = format!("no channel describes slot {}{more} of the mode", shown.join(", "));
    let mend = format!(
        "its size is taken as {slots}, the highest slot: compare with the manual, since slots behind \
         that cannot be known from the file"
    );
    said.note(item, what, mend);
}

/// Slots before the first of each start address.
fn bases(
    raw: &[(&DmxChannel, Option<usize>, u32, u32)],
    item: &str,
    said: &mut Said,
) -> BTreeMap<u32, u32> {
    let mut sizes: BTreeMap<u32, u32> = BTreeMap::new();
    for (channel, _, counts_from, shift) in raw {
        let most = channel.slots().iter().copied().max().map_or(0, |slot| u32::from(slot) + shift);
        let size = sizes.entry(*counts_from).or_default();
        *size = (*size).max(most);
    }
    let mut next = 0u32;
    let mut bases = BTreeMap::new();
    for (counts_from, size) in sizes {
        if next > 0 && size > 0 {
            said.warning(
                item,
                format!("the mode has a start address of its own for its part {counts_from}"),
                format!("its slots follow here from slot {}: patch it so, or not at all", next + 1),
            );
        }
        bases.insert(counts_from, next);
        next = next.saturating_add(size);
    }
    bases
}
