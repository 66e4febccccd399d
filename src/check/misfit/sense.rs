//! Frames alone: at which address, and in which mode, would they make sense of a head?
//!
//! Nothing was seen here, so this is a hypothesis and never a fix. Every address near the patched one, the
//! same address one universe before and behind, and every mode of the profile are put into the head and run
//! through the pipeline. What speaks for one is what people send on purpose: that the head is lit by a steady
//! shutter, that nothing resets it or runs it by itself, that its values lie in ranges, that it is not sent to
//! its stops, that it does not jump about, and that fine slots go on where coarse ones stand (common practice,
//! no source).

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Case;
use super::suspect::Modes;
use crate::decode::{AxisAsk, Command, CompiledMode, Held, Plan, Reading};
use crate::light::FluxMeter;
use crate::motion::settle;
use crate::rig::{Address, Fixture};
use crate::wire::{Frames, Slot, Universe};

/// The farthest that an address is tried from the patched one, in slots.
const FARTHEST: i32 = 8;
/// Frames that are looked at, at most; of more, some spread evenly.
const MOST_FRAMES: usize = 64;
/// An address or mode has to make so much more sense than what is patched, to be told.
const TELLING: f64 = 0.05;

/// How well frames go with a head at an address in a mode.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The mode.
    pub mode: String,
    /// The first slot.
    pub address: Address,
    /// How many slots that lies behind the patched one; 0 in another universe.
    pub by: i32,
    /// How much sense it makes, 0..1.
    pub sense: f64,
    /// What speaks for it and against it, in words.
    pub because: Vec<String>,
}

impl Fit {
    /// Whether it is what the show says.
    pub fn is_patched(&self, fixture: &Fixture) -> bool {
        self.mode == fixture.mode && Some(self.address) == fixture.address
    }

    /// Where and how the head would be: `slot 17 of universe 1 in mode 16, 1 slot behind`.
    pub fn words(&self) -> String {
        let Address { universe, slot } = self.address;
        let slots = if self.by.abs() == 1 { "slot" } else { "slots" };
        let far = match self.by {
            0 => String::new(),
            by if by < 0 => format!(", {} {slots} before", by.unsigned_abs()),
            by => format!(", {by} {slots} behind"),
        };
        format!("slot {slot} of universe {universe} in mode `{}`{far}", self.mode)
    }
}

/// What frames say of one head.
#[derive(Clone, Debug, PartialEq)]
pub struct HeadFits {
    /// The head, as a place in the rig.
    pub place: usize,
    /// Addresses and modes, those that make most sense first; of equals what is patched, then the nearest.
    pub fits: Vec<Fit>,
    /// Where what is patched stands among them.
    pub patched: usize,
}

impl HeadFits {
    /// The best fit, where it makes clearly more sense than what is patched.
    pub fn better(&self) -> Option<&Fit> {
        let (best, patched) = (self.fits.first()?, self.fits.get(self.patched)?);
        (best.sense > patched.sense + TELLING).then_some(best)
    }
}

/// The last slot of a universe that is ever sent anything but 0, and the heads patched wholly behind it:
/// as if the sender stopped there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Silence {
    /// The universe.
    pub universe: Universe,
    /// The slot; `None` where all are 0.
    pub last: Option<Slot>,
    /// The heads, as places in the rig.
    pub places: Vec<usize>,
}

impl Case<'_> {
    /// Which addresses and modes make sense of the case's frames, head by head in the rig's order. Heads
    /// without an address or a mode are left out.
    pub fn fits(&self) -> Vec<HeadFits> {
        let mut modes = Modes::new();
        (0..self.rig.len()).filter_map(|place| self.fits_of(&mut modes, place)).collect()
    }

    fn fits_of(&self, modes: &mut Modes, place: usize) -> Option<HeadFits> {
        let fixture = self.rig.get(place)?;
        let patched = fixture.address?;
        let own = self.mode(place)?;
        let mut fits = Vec::new();
        for mode in &own.profile.modes {
            let key = (fixture.profile.clone(), mode.name.clone());
            let compile = || Some(Arc::new(CompiledMode::new(&own.profile, mode)));
            let Some(compiled) = modes.entry(key).or_insert_with(compile).clone() else { continue };
            for (by, address) in self.near(patched) {
                let (sense, because) = self.sense(fixture, &compiled, address);
                fits.push(Fit { mode: mode.name.clone(), address, by, sense, because });
            }
        }
        // Another mode is as common as an address off by two or so (common practice, no source).
        let far = |fit: &Fit| {
            let elsewhere = i32::from(fit.address.universe != patched.universe);
            let otherwise = i32::from(fit.mode != fixture.mode);
            (!fit.is_patched(fixture), fit.by.abs() + 2 * otherwise + 3 * elsewhere, fit.by)
        };
        // Sums of shares differ by rounding, which is no difference in sense.
        let steps = |fit: &Fit| (fit.sense * 1e6).round() as i64;
        fits.sort_by(|a, b| steps(b).cmp(&steps(a)).then(far(a).cmp(&far(b))));
        let patched = fits.iter().position(|fit| fit.is_patched(fixture))?;
        Some(HeadFits { place, fits, patched })
    }

    /// Addresses near one, and how many slots behind it they lie. Universes that carry nothing are left out.
    fn near(&self, patched: Address) -> Vec<(i32, Address)> {
        let shifted = (-FARTHEST..=FARTHEST).filter_map(|by| {
            let number = i32::from(patched.slot.number()) + by;
            let slot = Slot::new(u16::try_from(number).ok()?)?;
            Some((by, Address { slot, ..patched }))
        });
        let number = u32::from(patched.universe.number());
        let beside = [number.checked_sub(1), number.checked_add(1)];
        let universes = beside.into_iter().flatten().filter_map(Universe::new);
        let carries =
            |universe: &Universe| self.frames.iter().any(|frames| frames.get(*universe).is_some());
        let others = universes.filter(carries).map(|universe| (0, Address { universe, ..patched }));
        shifted.chain(others).collect()
    }

    /// How much sense the frames make of a head, and why.
    fn sense(
        &self,
        fixture: &Fixture,
        mode: &Arc<CompiledMode>,
        address: Address,
    ) -> (f64, Vec<String>) {
        let plan = Plan::from_modes([(Some(mode.clone()), Some(address))]);
        let mut decoded = plan.start();
        let mut tally = Tally::default();
        let nothing = Frames::default();
        let step = self.frames.len().div_ceil(MOST_FRAMES).max(1);
        for frames in self.frames.iter().step_by(step) {
            let held = if frames.get(address.universe).is_some() { frames } else { &nothing };
            plan.decode(held, &mut decoded);
            if let Some(reading) = plan.reading(0, held, &decoded) {
                tally.count(fixture, &reading);
            }
        }
        tally.sum()
    }

    /// Universes in which every head behind some slot gets nothing but 0, although heads before it get more.
    pub fn silences(&self) -> Vec<Silence> {
        let mut heads: BTreeMap<Universe, Vec<(Slot, usize)>> = BTreeMap::new();
        for (place, fixture) in self.rig.iter().enumerate() {
            if let Some(Address { universe, slot }) = fixture.address {
                heads.entry(universe).or_default().push((slot, place));
            }
        }
        let of = |(universe, heads): (Universe, Vec<(Slot, usize)>)| {
            let sent = self.frames.iter().filter_map(|frames| frames.get(universe));
            let last = sent.flat_map(|levels| levels.known().filter(|(_, value)| *value != 0));
            let last = last.map(|(slot, _)| slot).max();
            let behind = |slot: &Slot| last.is_none_or(|last| *slot > last);
            let places = heads.iter().filter(|(slot, _)| behind(slot)).map(|(_, place)| *place);
            let places: Vec<usize> = places.collect();
            (!places.is_empty()).then_some(Silence { universe, last, places })
        };
        heads.into_iter().filter_map(of).collect()
    }
}

/// What was counted of a head over the frames.
#[derive(Default)]
struct Tally {
    frames: usize,
    lit: usize,
    flashes: usize,
    acts: usize,
    runs_itself: usize,
    at_stops: usize,
    channels: usize,
    in_gaps: usize,
    not_sent: usize,
    moves: usize,
    turned_deg: f64,
    last_aim: Option<[f64; 2]>,
    /// Changes of a wide channel's lesser slots, and those of them that are far while its first stands.
    fine_moves: usize,
    torn: usize,
    /// What was held of every channel last.
    last: Vec<Option<u32>>,
}

/// A fine slot that moves this far while its coarse one stands is likely no fine slot of it, in its own steps.
const TORN: u32 = 64;

/// A turn from one frame to the next that nobody means, in degrees.
const JUMP_DEG: f64 = 45.0;

impl Tally {
    fn count(&mut self, fixture: &Fixture, reading: &Reading<'_>) {
        let profile = &reading.mode.profile;
        let asked = reading.asked();
        let pose = settle(profile, &fixture.aim, &fixture.in_head, &asked);
        let lit = FluxMeter::new(profile).flux_lm(&pose) > 0.0;
        let acts = |command: &Command| {
            matches!(command, Command::Reset { .. } | Command::Lamp { on: false, .. })
        };
        self.frames += 1;
        self.lit += usize::from(lit);
        self.flashes += usize::from(lit && pose.flash().is_some());
        self.acts += usize::from(asked.commands.iter().any(acts));
        self.runs_itself += usize::from(asked.overridden_by.is_some());
        self.last.resize(reading.mode.channels.len(), None);
        for (channel, last) in reading.channels().zip(&mut self.last) {
            self.channels += 1;
            self.in_gaps += usize::from(channel.in_gap());
            self.not_sent += usize::from(channel.held == Held::NeverSent);
            let before = std::mem::replace(last, channel.held.value());
            let (Some(then), Some(now)) = (before, *last) else { continue };
            let below = channel.channel.offsets.len().saturating_sub(2).min(3);
            let (then, now) = (then >> (8 * below), now >> (8 * below));
            if channel.channel.offsets.len() > 1 && then != now {
                self.fine_moves += 1;
                let torn = then >> 8 == now >> 8 && then.abs_diff(now) >= TORN;
                self.torn += usize::from(torn);
            }
        }
        let Some((pan, tilt)) = profile.head.axes() else { return };
        let at_stop = |ask: &AxisAsk, travel_deg: f64| match ask {
            AxisAsk::To { deg } => deg.abs() > travel_deg * 0.499,
            _ => false,
        };
        let stops = at_stop(&asked.pan, pan.travel_deg) || at_stop(&asked.tilt, tilt.travel_deg);
        self.at_stops += usize::from(stops);
        let aim = [pose.pan_deg, pose.tilt_deg];
        if let Some(last) = self.last_aim.replace(aim) {
            let turned_deg = (aim[0] - last[0]).abs().max((aim[1] - last[1]).abs());
            if turned_deg > 1e-6 {
                self.moves += 1;
                self.turned_deg += turned_deg.min(JUMP_DEG);
            }
        }
    }

    /// How much sense it makes, 0..1, and why.
    fn sum(&self) -> (f64, Vec<String>) {
        let of = |count: usize, all: usize| count as f64 / all.max(1) as f64;
        let shares = [
            (4.0, 1.0 - of(self.acts + self.runs_itself, self.frames).min(1.0)),
            (3.0, if self.lit > 0 { 1.0 } else { 0.0 }),
            (2.0, 1.0 - of(self.not_sent, self.channels)),
            (1.5, 1.0 - of(self.in_gaps, self.channels)),
            (1.0, of(self.lit, self.frames)),
            (1.0, 1.0 - of(self.flashes, self.frames)),
            (1.0, 1.0 - of(self.at_stops, self.frames)),
            (1.5, 1.0 - self.turned_deg / (self.moves.max(1) as f64 * JUMP_DEG)),
            (1.0, 1.0 - of(self.torn, self.fine_moves)),
        ];
        let weight: f64 = shares.iter().map(|(weight, _)| weight).sum();
        let sense = shares.iter().map(|(weight, share)| weight * share).sum::<f64>() / weight;
        (sense, self.because())
    }

    fn because(&self) -> Vec<String> {
        let mut because = Vec::new();
        let mut say = |count: usize, all: usize, words: &str| match count {
            0 => {}
            count if count == all => because.push(words.to_owned()),
            count => because.push(format!("{words} in {count} of {all}")),
        };
        match self.lit {
            0 => say(1, 1, "dark"),
            lit => say(lit, self.frames, "lit"),
        }
        say(self.flashes, self.frames, "flashes");
        say(self.acts, self.frames, "a reset, or the lamp out");
        say(self.runs_itself, self.frames, "runs by itself");
        say(self.at_stops, self.frames, "aimed at a stop");
        say(self.torn, self.fine_moves, "fine slots jump while their coarse ones stand");
        if self.in_gaps > 0 {
            because.push(format!("{} values in no range", self.in_gaps));
        }
        if self.not_sent > 0 {
            because.push(format!("{} values not sent", self.not_sent));
        }
        if self.moves > 0 {
            let mean_deg = self.turned_deg / self.moves as f64;
            because.push(format!("moves {} deg at a time", crate::finding::rounded(mean_deg, 1)));
        }
        because
    }
}
