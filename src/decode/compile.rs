//! One mode of a profile, compiled into flat tables.

use std::sync::Arc;

use super::ops::Ops;
use crate::profile::effect::Physical;
use crate::profile::{Effect, Mode, Profile, model::max_value};

/// Stands in a table for a value that no range covers.
pub(crate) const GAP: u8 = u8::MAX;

/// A mode, compiled.
#[derive(Debug)]
pub struct CompiledMode {
    /// The profile it belongs to.
    pub profile: Arc<Profile>,
    /// Its name.
    pub name: String,
    /// How many slots the fixture takes.
    pub footprint: u16,
    /// Its channels, in the profile's order.
    pub channels: Vec<CompiledChannel>,
    /// The profile's wheels, in the order in which [`CompiledRange::wheel`] counts them.
    pub wheels: Vec<String>,
    /// What its ranges do, laid out flat.
    pub(crate) ops: Ops,
}

/// A channel, compiled.
#[derive(Debug)]
pub struct CompiledChannel {
    /// What a person calls it.
    pub name: String,
    /// Its slots counted from the fixture's first (which is 1), most significant first.
    pub offsets: Vec<u16>,
    /// The value at rest.
    pub default: u32,
    /// It jumps in a fade.
    pub snap: bool,
    /// The cell it drives, from 1. `None`: the whole fixture.
    pub cell: Option<u16>,
    /// Its ranges, in the profile's order.
    pub ranges: Vec<CompiledRange>,
    /// How a value finds its range.
    pub(crate) find: Find,
}

/// A range, compiled: bounds at full resolution, names resolved.
#[derive(Debug)]
pub struct CompiledRange {
    /// First value, at the channel's full resolution.
    pub first: u32,
    /// Last value, included.
    pub last: u32,
    /// What it does.
    pub does: Effect,
    /// What it does besides.
    pub also: Vec<Effect>,
    /// What the manual calls it, or the effect's own words.
    pub label: String,
    /// The name of the wheel slot that it puts into the light, whatever the manual calls the range.
    pub slot_name: Option<String>,
    /// Its physical pair.
    pub physical: Option<Physical>,
    /// Which wheel it moves, as a place in [`CompiledMode::wheels`].
    pub wheel: Option<usize>,
    /// It holds only while all of these do.
    pub(crate) when: Vec<When>,
    /// The places of the emitters that its effects name.
    pub(crate) emitters: Vec<(String, usize)>,
}

/// Another channel's coarse value lies in an interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct When {
    /// The offset of that channel's coarse slot, from 1.
    pub offset: u16,
    pub from: u8,
    pub to: u8,
}

impl When {
    /// Whether it holds. A slot that was never sent meets nothing.
    pub(crate) fn met(&self, held: impl Fn(u16) -> Option<u8>) -> bool {
        held(self.offset).is_some_and(|value| (self.from..=self.to).contains(&value))
    }
}

/// How a value finds its range.
#[derive(Debug)]
pub(crate) enum Find {
    /// The same range for every value.
    Always(u8),
    /// By the coarse slot alone.
    Coarse(Box<[u8; 256]>),
    /// Ranges with fine bounds, or that depend on other channels: looked through in order.
    Search,
}

impl CompiledRange {
    /// The physical value at `value`, which lies in this range; `None` for an effect without one.
    pub fn physical_at(&self, value: u32) -> Option<f64> {
        Some(self.physical?.at(self.share_at(value)))
    }

    /// How far into this range `value` lies: 0 at its first value, 1 at its last, 0 where it has but one.
    pub(crate) fn share_at(&self, value: u32) -> f64 {
        match self.last - self.first {
            0 => 0.0,
            width => f64::from(value.saturating_sub(self.first)) / f64::from(width),
        }
    }

    /// Whether `value` lies in it.
    pub fn contains(&self, value: u32) -> bool {
        (self.first..=self.last).contains(&value)
    }

    /// The place in the source of an emitter that one of its effects names.
    pub(crate) fn emitter(&self, name: &str) -> Option<usize> {
        self.emitters.iter().find(|(known, _)| known == name).map(|(_, place)| *place)
    }

    /// Whether everything that it depends on holds; `held` gives the value of another slot of the
    /// fixture by its offset, or `None` where it was never sent.
    pub fn may_hold(&self, held: impl Fn(u16) -> Option<u8>) -> bool {
        self.when.iter().all(|when| when.met(&held))
    }

    /// Everything it is called: its label, and the name of its wheel slot.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.label.as_str()).chain(self.slot_name.as_deref())
    }

    /// Everything it does.
    pub fn effects(&self) -> impl Iterator<Item = &Effect> {
        std::iter::once(&self.does).chain(&self.also)
    }
}

impl CompiledChannel {
    /// The greatest value at full resolution.
    pub fn max_value(&self) -> u32 {
        max_value(self.offsets.len())
    }

    /// What one step of the coarse slot is at full resolution.
    pub fn coarse_step(&self) -> u32 {
        1 << (8 * self.offsets.len().clamp(1, 4).saturating_sub(1))
    }

    /// The coarse slot of a value at full resolution.
    pub fn coarse(&self, value: u32) -> u8 {
        coarse(value, self.offsets.len())
    }

    /// The value that its slots make together, coarse first; `held` gives each by its offset. `None`
    /// where one of them is not known.
    pub(crate) fn value_from(&self, held: impl Fn(u16) -> Option<u8>) -> Option<u32> {
        let bytes = self.offsets.iter().map(|offset| held(*offset));
        bytes.into_iter().try_fold(0u32, |value, byte| Some(value << 8 | u32::from(byte?)))
    }

    /// Whether a range that covers `value` depends on slots that were never sent, and on nothing that
    /// is known to be otherwise: which range holds is not known then.
    pub(crate) fn waits_at(&self, value: u32, held: impl Fn(u16) -> Option<u8>) -> bool {
        self.ranges.iter().filter(|range| range.contains(value)).any(|range| {
            let open = |when: &When| held(when.offset).is_none() || when.met(&held);
            range.when.iter().all(open) && !range.may_hold(&held)
        })
    }

    /// The range of `value`, as a place in [`Self::ranges`]; `held` gives the value of another slot
    /// of the fixture by its offset, or `None` where it was never sent: a condition on it does not
    /// hold.
    pub fn find_with(&self, value: u32, held: impl Fn(u16) -> Option<u8>) -> Option<usize> {
        match &self.find {
            Find::Always(range) => Some(usize::from(*range)),
            Find::Coarse(table) => {
                let range = table[usize::from(self.coarse(value))];
                (range != GAP).then_some(usize::from(range))
            }
            Find::Search => {
                self.ranges.iter().position(|range| range.contains(value) && range.may_hold(&held))
            }
        }
    }
}

/// The coarse slot of a value of a channel of `width` slots.
pub(crate) fn coarse(value: u32, width: usize) -> u8 {
    (value >> (8 * width.saturating_sub(1).min(3))) as u8
}

impl CompiledMode {
    /// Compiles a mode. Ranges and slots that the checks of a profile call errors are left out, so
    /// that nothing here can fail on a profile which was not checked.
    pub fn new(profile: &Arc<Profile>, mode: &Mode) -> Self {
        let wheels: Vec<String> = profile.wheels.keys().cloned().collect();
        let channels: Vec<CompiledChannel> = mode
            .channels
            .iter()
            .filter(|channel| matches!(channel.at.len(), 1..=4))
            .map(|channel| compile_channel(profile, mode, channel, &wheels))
            .collect();
        Self {
            profile: profile.clone(),
            name: mode.name.clone(),
            footprint: mode.slots,
            ops: Ops::new(&channels, &wheels),
            channels,
            wheels,
        }
    }

    /// The channel that owns the slot at `offset` (from 1) and which of its slots that is (0 is the
    /// coarse one).
    pub fn channel_at(&self, offset: u16) -> Option<(usize, usize)> {
        self.channels.iter().enumerate().find_map(|(i, channel)| {
            channel.offsets.iter().position(|o| *o == offset).map(|part| (i, part))
        })
    }
}

fn compile_channel(
    profile: &Profile,
    mode: &Mode,
    channel: &crate::profile::Channel,
    wheels: &[String],
) -> CompiledChannel {
    let width = channel.at.len();
    let ranges: Vec<CompiledRange> = channel
        .ranges
        .iter()
        .filter_map(|range| {
            let (first, last) = range.bounds(width).filter(|(first, last)| first <= last)?;
            let when = range
                .when
                .iter()
                .map(|condition| {
                    Some(When {
                        offset: *mode.channel(&condition.0)?.at.first()?,
                        from: u8::try_from(condition.1).ok()?,
                        to: u8::try_from(condition.2).ok()?,
                    })
                })
                .collect::<Option<Vec<When>>>()?;
            let label = match range.label.as_str() {
                "" => own_words(profile, &range.does),
                label if range.does == Effect::Unknown => format!("unknown: {label}"),
                label => label.to_owned(),
            };
            Some(CompiledRange {
                first,
                last,
                physical: range.does.physical(),
                slot_name: slot_name(profile, &range.does),
                wheel: range.does.wheel().and_then(|w| wheels.iter().position(|x| x == w)),
                does: range.does.clone(),
                also: range.also.clone(),
                emitters: emitter_places(profile, range),
                label,
                when,
            })
        })
        .collect();
    let find = choose_find(&ranges, width);
    CompiledChannel {
        name: channel.name.clone(),
        offsets: channel.at.clone(),
        default: channel.default.min(max_value(width)),
        snap: channel.snap,
        cell: channel.cell,
        ranges,
        find,
    }
}

fn emitter_places(profile: &Profile, range: &crate::profile::Range) -> Vec<(String, usize)> {
    std::iter::once(&range.does)
        .chain(&range.also)
        .filter_map(|effect| match effect {
            Effect::Emitter { name, .. } => {
                let place = profile.source.emitters().iter().position(|e| e.name == *name)?;
                Some((name.clone(), place))
            }
            _ => None,
        })
        .collect()
}

fn choose_find(ranges: &[CompiledRange], width: usize) -> Find {
    let fine = 8 * (width - 1) as u32;
    let fine_mask = max_value(width - 1);
    let plain = ranges.len() < usize::from(GAP)
        && ranges.iter().all(|range| {
            range.when.is_empty()
                && range.first & fine_mask == 0
                && range.last & fine_mask == fine_mask
        });
    if !plain {
        return Find::Search;
    }
    let mut table = Box::new([GAP; 256]);
    // Backwards, so that the first of two overlapping ranges wins, as it does in a search.
    for (i, range) in ranges.iter().enumerate().rev() {
        table[(range.first >> fine) as usize..=(range.last >> fine) as usize].fill(i as u8);
    }
    match table.iter().all(|entry| *entry == table[0]) {
        true if table[0] != GAP => Find::Always(table[0]),
        _ => Find::Coarse(table),
    }
}

fn slot_name(profile: &Profile, effect: &Effect) -> Option<String> {
    let Effect::Slot { wheel, slot } = effect else { return None };
    let slot = profile.wheels.get(wheel)?.slots.get(usize::from(*slot).checked_sub(1)?)?;
    Some(slot.name().to_owned())
}

/// What a range is called when its profile gives it no label, and an effect that it has besides.
pub(crate) fn own_words(profile: &Profile, effect: &Effect) -> String {
    let slot_name = |wheel: &str, slot: u16| {
        profile
            .wheels
            .get(wheel)
            .and_then(|wheel| wheel.slots.get(usize::from(slot).checked_sub(1)?))
            .map_or_else(|| format!("slot {slot}"), |slot| slot.name().to_owned())
    };
    match effect {
        Effect::Slot { wheel, slot } => slot_name(wheel, *slot),
        Effect::Split { wheel, between: (a, b) } => {
            format!("{} / {}", slot_name(wheel, *a), slot_name(wheel, *b))
        }
        Effect::Shake { wheel, slot, .. } => format!("{} shaking", slot_name(wheel, *slot)),
        Effect::Glide { wheel, .. } => format!("{wheel}, any place"),
        Effect::Scroll { wheel, rpm, .. } => {
            format!("{wheel} scroll{}", if rpm.0 + rpm.1 < 0.0 { " backwards" } else { "" })
        }
        Effect::Halt { wheel } => format!("{wheel} stays"),
        Effect::RandomSlots { wheel, .. } => format!("{wheel} at random"),
        Effect::Turn { wheel, .. } => format!("{wheel} angle"),
        Effect::Spin { wheel, rpm, .. } => {
            format!("{wheel} rotation{}", if rpm.0 + rpm.1 < 0.0 { " backwards" } else { "" })
        }
        Effect::SpinStop { wheel } => format!("{wheel} rotation stops"),
        Effect::Emitter { name, .. } => name.clone(),
        Effect::Filter { name, .. } => name.word().to_owned(),
        Effect::Latch { switch, on, .. } => {
            format!("{} {}", switch.word(), if *on { "on" } else { "off" })
        }
        Effect::Program { name } => format!("program {name}"),
        Effect::Shut => "closed".to_owned(),
        Effect::AimFollow => "follow the frame".to_owned(),
        Effect::DarkWhileWheels => "dark while wheels move".to_owned(),
        effect => effect.key().replace('-', " "),
    }
}
