//! Rigs at random with one fault in them, built by hand into fixtures, profiles and frames and shown by the
//! ordinary pipeline: what the bench and the tests of misfits ask.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::DVec3;
use slotwright::check::light_on::lit_values;
use slotwright::check::misfit::{
    Change, Changes, Fault, Happened, Kind, Look, Observation, Seen, Sight,
};
use slotwright::decode::{CompiledMode, Plan, split};
use slotwright::profile::{Effect, Library, Loss, Profile};
use slotwright::rig::{Address, Aim, Fixture, Hang, InHead, Rig};
use slotwright::wire::{Frame, Frames, Slot, Universe};

#[path = "misfit_play.rs"]
mod misfit_play;

pub use misfit_play::play;

/// Kinds of faults that are injected.
pub const KINDS: [Kind; 15] = [
    Kind::AddressOff,
    Kind::AddressOf,
    Kind::CountedFrom,
    Kind::Mode,
    Kind::Universe,
    Kind::EveryUniverse,
    Kind::FineFirst,
    Kind::CoarseOnly,
    Kind::Swapped,
    Kind::PanInverted,
    Kind::TiltInverted,
    Kind::Hangs,
    Kind::Boundary,
    Kind::Inverted,
    Kind::CutShort,
];

/// Numbers at random (a linear congruence, of which the upper bits are used).
pub struct Dice(u64);

impl Dice {
    /// Starts from a seed.
    pub fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5bf0_3635);
        dice.below(2);
        dice
    }

    /// A number from 0 to below `n`, which is not 0.
    pub fn below(&mut self, n: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }

    fn pick<'a, T>(&mut self, all: &'a [T]) -> Option<&'a T> {
        all.get(self.below(all.len()))
    }
}

/// A rig and what was sent to it.
pub struct Venue {
    pub rig: Rig,
    pub plan: Plan,
    pub profiles: BTreeMap<String, Arc<Profile>>,
    pub frames: Vec<Frames>,
    /// The head at fault, as a place in the rig.
    pub place: usize,
}

/// The same with a fault built in.
pub struct Faulty {
    rig: Rig,
    plan: Plan,
    wire: Wire,
}

#[derive(Clone)]
enum Wire {
    AsSent,
    Complement(Universe, Vec<Slot>),
    Cut(u16),
    Held,
}

fn mode_of(venue: &Venue, place: usize) -> &Arc<CompiledMode> {
    venue.plan.fixtures()[place].mode.as_ref().expect("shipped modes compile")
}

/// A rig of `heads` shipped heads, with frames in which they are lit.
pub fn venue(dice: &mut Dice, heads: usize) -> Venue {
    let shipped: Vec<&Arc<Profile>> = Library::embedded().profiles().collect();
    let profiles: BTreeMap<String, Arc<Profile>> =
        shipped.iter().map(|profile| (profile.key().0, (*profile).clone())).collect();
    let (mut rig, mut next, mut universe) = (Rig::new(), 1usize, 1u32);
    for i in 0..heads {
        let profile = dice.pick(&shipped).expect("profiles are shipped");
        let mode = dice.pick(&profile.modes).expect("they have modes");
        next += if dice.below(6) == 0 { dice.below(8) } else { 0 };
        if next + usize::from(mode.slots) > 512 {
            (next, universe) = (1, universe + 1);
        }
        let slot = Slot::from_index(next - 1).expect("it fits");
        next += usize::from(mode.slots);
        rig.push(Fixture {
            id: i as u32 + 1,
            label: String::new(),
            profile: profile.key().0,
            mode: mode.name.clone(),
            address: Universe::new(universe).map(|universe| Address { universe, slot }),
            at: DVec3::new((i % 12) as f64 - 6.0, (i / 12) as f64 * 2.0, 6.0),
            hang: if dice.below(4) == 0 { Hang::Standing } else { Hang::Hung },
            aim: Aim::default(),
            in_head: InHead::default(),
        });
    }
    let plan = Plan::new(&rig, &profiles);
    let place = dice.below(heads);
    let mut venue = Venue { rig, plan, profiles, frames: Vec::new(), place };
    let frame = frame(dice, &venue);
    venue.frames.push(frame);
    for _ in 0..dice.below(3) {
        let next = match dice.below(2) {
            0 => self::frame(dice, &venue),
            _ => one_slot_on(dice, &venue),
        };
        venue.frames.push(next);
    }
    venue
}

/// A frame in which every head is lit, and most channels stand somewhere harmless.
fn frame(dice: &mut Dice, venue: &Venue) -> Frames {
    let mut frames = Frames::default();
    for (place, fixture) in venue.rig.iter().enumerate() {
        let (mode, Some(address)) = (mode_of(venue, place), fixture.address) else { continue };
        let lit = lit_values(mode);
        for offset in 1..=mode.footprint {
            if let Some(slot) = address.slot_at(offset) {
                frames.set(address.universe, slot, 0);
            }
        }
        for channel in &mode.channels {
            let mut value = lit.get(&channel.name).copied().unwrap_or(channel.default);
            let aims = channel.ranges.iter().any(|range| range.does.aims());
            let colours = channel.ranges.iter().any(|range| {
                range.does.wheel().is_some()
                    || matches!(range.does, Effect::Filter { .. } | Effect::Emitter { .. })
            });
            if aims || (colours && dice.below(2) == 0) {
                let max = u64::from(channel.max_value());
                value = (max * (15 + dice.below(70) as u64) / 100) as u32;
            }
            write(&mut frames, address, &channel.offsets, value);
        }
    }
    frames
}

fn write(frames: &mut Frames, address: Address, offsets: &[u16], value: u32) {
    for (offset, byte) in offsets.iter().zip(split(value, offsets.len())) {
        if let Some(slot) = address.slot_at(*offset) {
            frames.set(address.universe, slot, byte);
        }
    }
}

/// The last frame with one slot of the head moved.
fn one_slot_on(dice: &mut Dice, venue: &Venue) -> Frames {
    let mut frames = venue.frames.last().expect("there is a frame").clone();
    let mode = mode_of(venue, venue.place);
    let channels: Vec<_> = mode
        .channels
        .iter()
        .filter(|channel| !channel.ranges.iter().any(|range| range.does.acts_on_fixture()))
        .collect();
    if let (Some(address), Some(channel)) = (venue.rig[venue.place].address, dice.pick(&channels)) {
        let offset = channel.offsets[dice.below(channel.offsets.len())];
        if let Some(slot) = address.slot_at(offset) {
            let value = frames.state(address.universe, slot).value().unwrap_or(0);
            frames.set(address.universe, slot, value.wrapping_add(60 + dice.below(100) as u8));
        }
    }
    frames
}

/// A fault of a kind that the head of a venue can have. `None` where it cannot.
pub fn fault(dice: &mut Dice, venue: &mut Venue, kind: Kind) -> Option<Fault> {
    let place = venue.place;
    let address = venue.rig[place].address?;
    let mode = mode_of(venue, place).clone();
    let moves = mode.profile.head.axes().is_some();
    let wide: Vec<usize> =
        (0..mode.channels.len()).filter(|at| mode.channels[*at].offsets.len() > 1).collect();
    let by = |dice: &mut Dice| if dice.below(2) == 0 { 1 } else { -1 };
    match kind {
        Kind::AddressOff => {
            let by = (1 + dice.below(16)) as i16 * by(dice);
            let slot = i32::from(address.slot.number()) + i32::from(by);
            (1..=512).contains(&slot).then_some(Fault::AddressOff { by })
        }
        Kind::AddressOf => {
            let other = dice.below(venue.rig.len());
            (venue.rig[other].address != Some(address)).then_some(Fault::AddressOf { other })
        }
        Kind::CountedFrom => Some(Fault::CountedFrom { by: by(dice) }),
        Kind::Mode => {
            let others: Vec<_> =
                mode.profile.modes.iter().filter(|other| other.name != mode.name).collect();
            dice.pick(&others).map(|other| Fault::Mode { name: other.name.clone() })
        }
        Kind::Universe => {
            let number =
                u32::from(address.universe.number()).checked_add_signed(by(dice).into())?;
            Universe::new(number).map(|universe| Fault::Universe { universe })
        }
        Kind::EveryUniverse => Some(Fault::EveryUniverse { by: by(dice).into() }),
        Kind::FineFirst if dice.below(2) == 0 => {
            (wide.len() > 1).then_some(Fault::FineFirst { channels: wide })
        }
        Kind::FineFirst => dice.pick(&wide).map(|at| Fault::FineFirst { channels: vec![*at] }),
        Kind::CoarseOnly => {
            let offset = *mode.channels[*dice.pick(&wide)?].offsets.get(1)?;
            // Only a fine slot that is moved shows it.
            let mut frames = venue.frames.last()?.clone();
            let slot = address.slot_at(offset)?;
            let to = if frames.state(address.universe, slot).value()? < 128 { 255 } else { 0 };
            frames.set(address.universe, slot, to);
            venue.frames.push(frames);
            Some(Fault::CoarseOnly)
        }
        Kind::Swapped => moves.then_some(Fault::Swapped),
        Kind::PanInverted => moves.then_some(Fault::PanInverted),
        Kind::TiltInverted => moves.then_some(Fault::TiltInverted),
        Kind::Hangs => Some(Fault::Hangs {
            hang: if venue.rig[place].hang == Hang::Hung { Hang::Standing } else { Hang::Hung },
        }),
        Kind::Boundary => boundary(dice, venue, &mode, address),
        Kind::Inverted => Some(Fault::Inverted { channel: dice.below(mode.channels.len()) }),
        Kind::CutShort => {
            let after = address.slot.number() + dice.below(usize::from(mode.footprint)) as u16 - 1;
            Some(Fault::CutShort { after })
        }
        Kind::SignalLost => {
            let holds = matches!(mode.profile.on_loss.does, None | Some(Loss::Hold));
            (holds && venue.frames.len() > 1).then_some(Fault::SignalLost { after: Some(0) })
        }
        Kind::Nothing | Kind::NoLamp | Kind::NoData => None,
    }
}

/// An end of a range that lies elsewhere, with a frame that has a value in between.
fn boundary(
    dice: &mut Dice,
    venue: &mut Venue,
    mode: &CompiledMode,
    address: Address,
) -> Option<Fault> {
    let described = mode.profile.mode(&mode.name)?;
    let mut ends = Vec::new();
    for (c, channel) in described.channels.iter().enumerate() {
        for (lower, a) in channel.ranges.iter().enumerate() {
            for (upper, b) in channel.ranges.iter().enumerate() {
                let (Some(from), Some(to), Some(next), Some(end)) = (a.from, a.to, b.from, b.to)
                else {
                    continue;
                };
                let harmless = !a.does.acts_on_fixture() && !b.does.acts_on_fixture();
                if next == to + 1 && a.when == b.when && harmless {
                    ends.push((c, lower, upper, from, to, end));
                }
            }
        }
    }
    let (channel, lower, upper, from, to, end) = *dice.pick(&ends)?;
    let by = 1 + dice.below(6) as i64;
    let (last, value) = match dice.below(2) {
        0 if to - by >= from => (to - by, to - by + 1 + dice.below(by as usize) as i64),
        _ if to + by < end => (to + by, to + 1 + dice.below(by as usize) as i64),
        _ => return None,
    };
    let mut frames = venue.frames.last()?.clone();
    let slot = address.slot_at(*mode.channels.get(channel)?.offsets.first()?)?;
    frames.set(address.universe, slot, u8::try_from(value).ok()?);
    venue.frames.push(frames);
    let last = u8::try_from(last).ok()?;
    Some(Fault::Boundary { channel, ranges: (lower, upper), last })
}

/// Builds a fault into a venue, by hand.
pub fn build(venue: &Venue, fault: &Fault) -> Option<Faulty> {
    let place = venue.place;
    let mut rig = venue.rig.clone();
    let mut profiles = venue.profiles.clone();
    let mut wire = Wire::AsSent;
    let address = venue.rig[place].address?;
    let mode = mode_of(venue, place).clone();
    let moved = |address: Address, by: i16| -> Option<Address> {
        let slot = i32::from(address.slot.number()) + i32::from(by);
        Some(Address { slot: Slot::new(u16::try_from(slot).ok()?)?, ..address })
    };
    let head = &mut rig[place];
    // A head whose own description differs has a profile of its own.
    let mut edited = Profile::clone(&mode.profile);
    let of_mode = edited.modes.iter_mut().find(|other| other.name == mode.name)?;
    let mut own = false;
    match fault {
        Fault::AddressOff { by } => head.address = Some(moved(address, *by)?),
        Fault::AddressOf { other } => head.address = venue.rig[*other].address,
        Fault::CountedFrom { by } => {
            moved(address, *by)?;
            for head in &mut rig {
                head.address = head.address.and_then(|address| moved(address, *by));
            }
        }
        Fault::Mode { name } => head.mode = name.clone(),
        Fault::Universe { universe } => {
            head.address = Some(Address { universe: *universe, ..address })
        }
        Fault::EveryUniverse { by } => {
            let beside = |address: Address| {
                let number = i64::from(address.universe.number()) + i64::from(*by);
                let universe = Universe::new(u32::try_from(number).ok()?)?;
                Some(Address { universe, ..address })
            };
            beside(address)?;
            for head in &mut rig {
                head.address = head.address.and_then(beside);
            }
        }
        Fault::FineFirst { channels } => {
            own = true;
            for at in channels {
                of_mode.channels[*at].at.swap(0, 1);
            }
        }
        Fault::CoarseOnly => {
            own = true;
            for channel in &mut of_mode.channels {
                if channel.ranges.iter().any(|range| range.fine_from.is_some()) {
                    return None;
                }
                channel.default >>= 8 * (channel.at.len() - 1);
                channel.at.truncate(1);
            }
        }
        Fault::Swapped => head.in_head.swap = true,
        Fault::PanInverted => head.in_head.invert_pan = true,
        Fault::TiltInverted => head.in_head.invert_tilt = true,
        Fault::Hangs { hang } => head.hang = *hang,
        Fault::Boundary { channel, ranges, last } => {
            own = true;
            let channel = &mut of_mode.channels[*channel];
            channel.ranges[ranges.0].to = Some(i64::from(*last));
            channel.ranges[ranges.1].from = Some(i64::from(*last) + 1);
        }
        Fault::Inverted { channel } => {
            let slots = mode.channels[*channel].offsets.iter();
            let slots = slots.filter_map(|offset| address.slot_at(*offset)).collect();
            wire = Wire::Complement(address.universe, slots);
        }
        Fault::CutShort { after } => wire = Wire::Cut(*after),
        Fault::SignalLost { .. } => wire = Wire::Held,
        Fault::Nothing | Fault::NoLamp | Fault::NoData => {}
    }
    if own {
        edited.model.push_str(" at fault");
        rig[place].profile = edited.key().0;
        profiles.insert(edited.key().0, Arc::new(edited));
    }
    let plan = Plan::new(&rig, &profiles);
    Some(Faulty { rig, plan, wire })
}

impl Faulty {
    /// What is seen of a head after frames were sent one after the other.
    pub fn look(&self, frames: &[Frames], place: usize) -> Option<Look> {
        let sent = match self.wire {
            Wire::Held => frames.first()?,
            _ => frames.last()?,
        };
        let mut got = sent.clone();
        match &self.wire {
            Wire::Complement(universe, slots) => {
                for slot in slots {
                    let value = got.state(*universe, *slot).value()?;
                    got.set(*universe, *slot, 255 - value);
                }
            }
            Wire::Cut(after) => {
                got = Frames::default();
                for (universe, levels) in sent.iter() {
                    let short = levels.values()[..usize::from(*after)].to_vec();
                    got.universe_mut(universe).apply(&Frame::levels(short).ok()?);
                }
            }
            Wire::AsSent | Wire::Held => {}
        }
        let mut decoded = self.plan.start();
        self.plan.decode(&got, &mut decoded);
        let fixture = self.rig.get(place).filter(|fixture| fixture.address.is_some())?;
        let reading = self.plan.reading(place, &got, &decoded)?;
        Some(Look::new(fixture, &reading))
    }
}

/// Observations of the head: first one that the patch contradicts, then others. `None` where nothing tells
/// the fault from the patch.
fn observe(dice: &mut Dice, venue: &Venue, faulty: &Faulty) -> Option<Vec<Observation>> {
    let place = venue.place;
    let intact = build(venue, &Fault::Nothing)?;
    let count = venue.frames.len();
    let looks = |of: &Faulty| -> Option<Vec<Look>> {
        (0..count).map(|i| of.look(&venue.frames[..=i], place)).collect()
    };
    let (really, asked) = (looks(faulty)?, looks(&intact)?);
    let mut seen: Vec<(bool, Seen)> = Vec::new();
    for frame in 0..count {
        for sight in Sight::all() {
            if really[frame].shows(sight) == Some(true) {
                let amiss = asked[frame].shows(sight) == Some(false);
                seen.push((amiss, Seen::At { frame, sight }));
            }
        }
    }
    for after in 1..count {
        let before = after - 1;
        let change = |looks: &[Look]| Changes::between(&looks[before], &looks[after]);
        let (real, patched) = (change(&really), change(&asked));
        let mut add = |amiss: bool, happened| {
            seen.push((amiss, Seen::From { before, after, happened }));
        };
        if real == Changes::NOTHING {
            add(patched != Changes::NOTHING, Happened::Nothing);
        }
        for change in Change::all().filter(|change| real.has(*change)) {
            add(!patched.has(change), Happened::Did(change));
        }
        if real.moves() {
            add(!patched.moves(), Happened::Moved);
        }
    }
    let amiss: Vec<Seen> =
        seen.iter().filter(|(amiss, _)| *amiss).map(|(_, seen)| seen.clone()).collect();
    let mut drawn = vec![dice.pick(&amiss)?.clone()];
    for _ in 0..dice.below(5) {
        let (_, more) = dice.pick(&seen)?;
        if !drawn.contains(more) {
            drawn.push(more.clone());
        }
    }
    Some(drawn.into_iter().map(|seen| Observation { place, seen }).collect())
}
