//! A rig of compiled modes, and the one pass that decodes a frame through all of it.
//!
//! The pass is laid out for speed: channels that share a table are looked up together, one byte of
//! the frame and one byte of the table each, into a flat list of range numbers. Channels whose every
//! value lies in one range cost nothing; those that need a search are done one by one. What a value
//! means in degrees or hertz is one multiplication, made when somebody reads it.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::compile::{CompiledMode, Find, GAP};
use super::ops::{ChannelOps, FindOps};
use super::parts::Parts;
use super::reading::Reading;
use crate::profile::Profile;
use crate::rig::{Address, Rig};
use crate::wire::{Frames, Levels, SLOTS, Slot, SlotSet, Universe};

/// A rig, compiled.
#[derive(Debug, Default)]
pub struct Plan {
    fixtures: Vec<PlannedFixture>,
    universes: Vec<PlannedUniverse>,
    /// How many channels are found by table, and how many by search.
    table_count: usize,
    search_count: usize,
}

/// One fixture of a plan.
#[derive(Debug)]
pub struct PlannedFixture {
    /// Its compiled mode. `None` where the rig names a profile or mode that is not to be had.
    pub mode: Option<Arc<CompiledMode>>,
    /// Its first slot.
    pub address: Option<Address>,
    /// Where each channel's range number lies among those found by table, or by search.
    hits: Vec<u32>,
}

#[derive(Debug)]
struct PlannedUniverse {
    universe: Universe,
    /// Channels found by their coarse slot, grouped by table.
    runs: Vec<Run>,
    /// Channels that need a search: fixture and channel.
    searches: Vec<(u32, u32)>,
}

/// Channels of one table: the frame's places they read and the place their results start at.
#[derive(Debug)]
struct Run {
    table: [u8; 256],
    indices: Vec<u16>,
    first_hit: usize,
}

/// What the last decoded frames came to. Made by [`Plan::start`], filled by [`Plan::decode`].
#[derive(Clone, Debug, Default)]
pub struct Decoded {
    /// Ranges found by table: as many as a byte can tell apart.
    by_table: Vec<u8>,
    /// Ranges found by search, of which a channel may have more.
    by_search: Vec<Option<u16>>,
    last: Vec<Levels>,
    /// Whether the universe was decoded at all yet.
    begun: Vec<bool>,
}

impl Plan {
    /// Compiles a rig. Each mode is compiled once, however many fixtures use it.
    pub fn new(rig: &Rig, profiles: &BTreeMap<String, Arc<Profile>>) -> Self {
        let mut modes: BTreeMap<(&str, &str), Option<Arc<CompiledMode>>> = BTreeMap::new();
        let fixtures = rig.iter().map(|fixture| {
            let mode = modes.entry((&fixture.profile, &fixture.mode)).or_insert_with(|| {
                let profile = profiles.get(&fixture.profile)?;
                let mode = profile.mode(&fixture.mode)?;
                Some(Arc::new(CompiledMode::new(profile, mode)))
            });
            (mode.clone(), fixture.address)
        });
        Self::from_modes(fixtures)
    }

    /// A plan of modes that are compiled already.
    pub fn from_modes(
        fixtures: impl IntoIterator<Item = (Option<Arc<CompiledMode>>, Option<Address>)>,
    ) -> Self {
        let mut plan = Self::default();
        for (mode, address) in fixtures {
            let hits = vec![u32::MAX; mode.as_ref().map_or(0, |mode| mode.channels.len())];
            plan.fixtures.push(PlannedFixture { mode, address, hits });
        }
        plan.lay_out();
        plan
    }

    /// Gives every channel its place in the decoded list.
    fn lay_out(&mut self) {
        // Same table means same run: keyed by where the table lies, which is one place a mode.
        type Key = (Universe, *const CompiledMode, usize);
        let mut runs: BTreeMap<Key, Vec<(usize, u16)>> = BTreeMap::new();
        let mut by_universe: BTreeMap<Universe, PlannedUniverse> = BTreeMap::new();
        for (f, fixture) in self.fixtures.iter_mut().enumerate() {
            let (Some(mode), Some(address)) = (&fixture.mode, fixture.address) else { continue };
            let planned = by_universe.entry(address.universe).or_insert_with(|| PlannedUniverse {
                universe: address.universe,
                runs: Vec::new(),
                searches: Vec::new(),
            });
            for (c, channel) in mode.channels.iter().enumerate() {
                let coarse = channel.offsets.first().and_then(|o| address.slot_at(*o));
                match (&channel.find, coarse) {
                    (Find::Coarse(_), Some(slot)) => runs
                        .entry((address.universe, Arc::as_ptr(mode), c))
                        .or_default()
                        .push((f, slot.index() as u16)),
                    (Find::Search, Some(_)) => {
                        fixture.hits[c] = self.search_count as u32;
                        self.search_count += 1;
                        planned.searches.push((f as u32, c as u32));
                    }
                    // Either one range for all values, or a slot past the end of the universe.
                    _ => {}
                }
            }
        }
        for ((universe, _, c), members) in runs {
            let Some(mode) = members.first().and_then(|(f, _)| self.fixtures[*f].mode.clone())
            else {
                continue;
            };
            let Find::Coarse(table) = &mode.channels[c].find else { continue };
            let first_hit = self.table_count;
            for (i, (f, _)) in members.iter().enumerate() {
                self.fixtures[*f].hits[c] = (first_hit + i) as u32;
            }
            self.table_count += members.len();
            if let Some(planned) = by_universe.get_mut(&universe) {
                planned.runs.push(Run {
                    table: **table,
                    indices: members.into_iter().map(|(_, index)| index).collect(),
                    first_hit,
                });
            }
        }
        self.universes = by_universe.into_values().collect();
    }

    /// The fixtures, in the rig's order.
    pub fn fixtures(&self) -> &[PlannedFixture] {
        &self.fixtures
    }

    /// Room for what frames come to. The only allocation of decoding.
    pub fn start(&self) -> Decoded {
        let universes = self.universes.len();
        Decoded {
            by_table: vec![GAP; self.table_count],
            by_search: vec![None; self.search_count],
            last: vec![Levels::default(); universes],
            begun: vec![false; universes],
        }
    }

    /// Decodes everything held. Universes that stand as they did cost a comparison. Returns whether
    /// anything changed. `decoded` must come from this plan's [`Self::start`].
    pub fn decode(&self, frames: &Frames, decoded: &mut Decoded) -> bool {
        let mut changed = false;
        for (i, planned) in self.universes.iter().enumerate() {
            if let Some(levels) = frames.get(planned.universe) {
                changed |= self.decode_nth(i, levels, decoded);
            }
        }
        changed
    }

    /// Decodes what is held of one universe. Returns whether anything changed.
    pub fn decode_universe(
        &self,
        universe: Universe,
        levels: &Levels,
        decoded: &mut Decoded,
    ) -> bool {
        let at = self.universes.iter().position(|planned| planned.universe == universe);
        at.is_some_and(|i| self.decode_nth(i, levels, decoded))
    }

    fn decode_nth(&self, i: usize, levels: &Levels, decoded: &mut Decoded) -> bool {
        let (Some(last), Some(begun)) = (decoded.last.get_mut(i), decoded.begun.get_mut(i)) else {
            return false;
        };
        if *begun && last == levels {
            return false;
        }
        *begun = true;
        last.clone_from(levels);
        let planned = &self.universes[i];
        let values = levels.values();
        for run in &planned.runs {
            let hits = &mut decoded.by_table[run.first_hit..run.first_hit + run.indices.len()];
            for (hit, index) in hits.iter_mut().zip(&run.indices) {
                // The mask proves to the compiler that the index is in bounds.
                *hit = run.table[usize::from(values[usize::from(*index) % SLOTS])];
            }
        }
        for (f, c) in &planned.searches {
            self.search(*f as usize, *c as usize, levels, decoded);
        }
        true
    }

    fn search(&self, f: usize, c: usize, levels: &Levels, decoded: &mut Decoded) {
        let fixture = &self.fixtures[f];
        let (Some(mode), Some(address)) = (&fixture.mode, fixture.address) else { return };
        let channel = &mode.channels[c];
        let held = |offset: u16| levels.state(address.slot_at(offset)?).value();
        let range = channel.value_from(held).and_then(|value| channel.find_with(value, held));
        if let Some(hit) = decoded.by_search.get_mut(fixture.hits[c] as usize) {
            *hit = range.and_then(|range| u16::try_from(range).ok());
        }
    }

    /// What the frames ask of one fixture. `decoded` must hold the same frames.
    pub fn reading<'a>(
        &'a self,
        fixture: usize,
        frames: &'a Frames,
        decoded: &'a Decoded,
    ) -> Option<Reading<'a>> {
        let planned = self.fixtures.get(fixture)?;
        let mode = planned.mode.as_deref()?;
        Some(Reading::new(planned, mode, frames, decoded))
    }

    /// The same, of what is held of the fixture's own universe.
    pub(crate) fn reading_of<'a>(
        &'a self,
        fixture: usize,
        levels: Option<&'a Levels>,
        decoded: &'a Decoded,
    ) -> Option<Reading<'a>> {
        let planned = self.fixtures.get(fixture)?;
        let mode = planned.mode.as_deref()?;
        Some(Reading::of_universe(planned, mode, levels, decoded))
    }

    /// The parts of a fixture, whose first slot lies at `first` (from 0), that these slots bear upon.
    pub(crate) fn parts_changed(&self, fixture: usize, first: usize, slots: &SlotSet) -> Parts {
        let Some(mode) = self.fixtures.get(fixture).and_then(|planned| planned.mode.as_deref())
        else {
            return Parts::NONE;
        };
        let offsets = (0..mode.ops.reach).step_by(64);
        offsets.fold(Parts::NONE, |parts, offset| {
            parts | mode.ops.parts_of(offset, slots.window(first + offset))
        })
    }

    /// Which fixtures and channels own a slot: fixture, channel, and which of the channel's slots (0
    /// is the coarse one). A slot inside a footprint that no channel describes has no channel. A fixture
    /// whose mode is not to be had owns its first slot.
    pub fn owners(&self, universe: Universe, slot: Slot) -> Vec<Owner> {
        let mut owners = Vec::new();
        for (f, fixture) in self.fixtures.iter().enumerate() {
            let Some(address) = fixture.address else { continue };
            if address.universe != universe || slot < address.slot {
                continue;
            }
            let offset = slot.number() - address.slot.number() + 1;
            if offset <= fixture.least_slots() {
                let channel = fixture.mode.as_ref().and_then(|mode| mode.channel_at(offset));
                owners.push(Owner { fixture: f, offset, channel });
            }
        }
        owners
    }
}

impl PlannedFixture {
    /// How many slots it takes: at least 1, where its mode is not to be had.
    pub fn least_slots(&self) -> u16 {
        self.mode.as_ref().map_or(1, |mode| mode.footprint)
    }

    /// The range that was found for a channel: `Some(None)` is a gap, `None` a channel without a
    /// place in the frame.
    pub(super) fn hit(&self, channel: usize, decoded: &Decoded) -> Option<Option<usize>> {
        self.hit_of(channel, self.mode.as_ref()?.ops.channels.get(channel)?, decoded)
    }

    /// The same, where the channel is at hand.
    #[inline]
    pub(super) fn hit_of(
        &self,
        nth: usize,
        channel: &ChannelOps,
        decoded: &Decoded,
    ) -> Option<Option<usize>> {
        let place = *self.hits.get(nth)? as usize;
        match channel.find {
            FindOps::Always(range) => Some(Some(usize::from(range))),
            FindOps::Table => {
                let hit = *decoded.by_table.get(place)?;
                Some((hit != GAP).then_some(usize::from(hit)))
            }
            FindOps::Search => Some(decoded.by_search.get(place)?.map(usize::from)),
        }
    }
}

/// A fixture that owns a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Owner {
    /// The fixture, as a place in the rig.
    pub fixture: usize,
    /// The slot counted from the fixture's first, which is 1.
    pub offset: u16,
    /// The channel, as a place in the mode, and which of its slots it is; 0 is the coarse one.
    pub channel: Option<(usize, usize)>,
}
