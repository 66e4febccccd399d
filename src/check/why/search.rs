//! Looking for the smallest change of slots that gives light: every change is tried through the pipeline.

use std::sync::Arc;

use super::words::{brightest_end, is_level};
use super::{Moment, Stage, Why};
use crate::decode::{Asked, CompiledMode, CompiledRange, Plan};
use crate::motion::Lamp;
use crate::profile::Effect;
use crate::profile::effect::Switch;
use crate::rig::{Address, Fixture};
use crate::wire::{Frames, Levels, Slot, SlotState};

/// Changes of one head that are tried at most.
const MOST_TRIES: usize = 20_000;
/// Unfinished changes that are gone on with.
const KEPT: usize = 12;
/// Slots of one head that are changed at most.
const MOST_SLOTS: usize = 12;

/// One slot of the universe and the value it is to have.
pub(super) type Set = (Slot, u8);

/// How good a change is; less is better: fewest slots, then least dangerous, then levels at their full
/// end, then nearest values, then most light.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
struct Cost {
    slots: usize,
    danger: u8,
    faint: usize,
    steps: u32,
    less_lm: f64,
}

/// A change and what it comes to.
#[derive(Clone, Debug)]
struct Try {
    sets: Vec<Set>,
    faint: usize,
    /// Links that still hold light back in the cell with the fewest.
    left: u32,
    cost: Cost,
    lit: bool,
}

/// One head by itself, with what was sent to it.
pub(super) struct Lab<'a> {
    mode: &'a Arc<CompiledMode>,
    rig: [Fixture; 1],
    address: Address,
    plan: Plan,
    before: Levels,
    /// Ranges that its channels stand in before anything is changed.
    stood: Vec<Option<usize>>,
    lamp_off: bool,
    tries: usize,
    /// Links that count although the frame alone does not make them.
    needs_lamp: bool,
}

impl<'a> Lab<'a> {
    /// A head that this is the answer for. `None` where no frame can reach it.
    pub(super) fn new(why: &Why<'a>, moment: &Moment<'a>) -> Option<Self> {
        let mode = moment.plan.fixtures().get(why.place)?.mode.as_ref()?;
        let address = why.fixture.address?;
        let plan = Plan::from_modes([(Some(mode.clone()), Some(address))]);
        let before = moment.frames.get(address.universe).cloned().unwrap_or_default();
        let needs_lamp = why.over_time.is_some() && matches!(why.pose.lamp, Lamp::Off | Lamp::Hot);
        let mut lab = Self {
            mode,
            rig: [why.fixture.clone()],
            address,
            plan,
            before,
            stood: Vec::new(),
            lamp_off: matches!(why.pose.lamp, Lamp::Off | Lamp::Hot),
            tries: 0,
            needs_lamp,
        };
        lab.stood = lab.with(&[], |why| lab.standing(why))?;
        Some(lab)
    }

    /// What the head is once these slots have these values and everything has arrived.
    fn with<T>(&self, sets: &[Set], then: impl FnOnce(&Why<'_>) -> T) -> Option<T> {
        let mut frames = Frames::default();
        let levels = frames.universe_mut(self.address.universe);
        levels.clone_from(&self.before);
        for (slot, value) in sets {
            levels.set(*slot, *value);
        }
        let mut decoded = self.plan.start();
        self.plan.decode(&frames, &mut decoded);
        let moment =
            Moment { rig: &self.rig, plan: &self.plan, frames: &frames, decoded: &decoded };
        moment.settled(0).map(|why| then(&why))
    }

    /// What is asked of it then.
    pub(super) fn asked(&self, sets: &[Set]) -> Option<Asked> {
        self.with(sets, |why| why.reading.asked())
    }

    /// The range that every channel stands in, as a place among its ranges.
    fn standing(&self, why: &Why<'_>) -> Vec<Option<usize>> {
        let channels = self.mode.channels.iter().enumerate();
        let place = |(i, channel): (usize, &crate::decode::CompiledChannel)| {
            let range = why.standing(i)?.range?;
            channel.ranges.iter().position(|of| std::ptr::eq(of, range))
        };
        channels.map(place).collect()
    }

    /// The smallest change that gives light; the slots whose values it sets. `None` where none was found.
    pub(super) fn search(&mut self) -> Option<Vec<Set>> {
        // A strobe, or anything else that is no steady light, only where nothing else gives light.
        let found = self.search_with(false).or_else(|| self.search_with(true))?;
        Some(self.shrunk(found))
    }

    fn search_with(&mut self, rough: bool) -> Option<Vec<Set>> {
        self.tries = 0;
        let start = self.try_out(Vec::new(), 0, rough)?;
        let mut open = vec![start];
        for _ in 0..MOST_SLOTS {
            let mut next: Vec<Try> = Vec::new();
            for from in &open {
                for (sets, faint) in self.steps_from(&from.sets) {
                    if self.tries > MOST_TRIES {
                        break;
                    }
                    let faint = from.faint + usize::from(faint);
                    let Some(tried) = self.try_out(sets, faint, rough) else { continue };
                    if (tried.lit || tried.left < from.left) && tried.sets.len() <= MOST_SLOTS {
                        next.push(tried);
                    }
                }
            }
            let best = next.iter().filter(|tried| tried.lit);
            if let Some(best) = best.min_by(|a, b| order(a, b)) {
                return Some(best.sets.clone());
            }
            next.sort_by(|a, b| a.left.cmp(&b.left).then(order(a, b)));
            next.dedup_by(|a, b| a.sets == b.sets);
            next.truncate(KEPT);
            if next.is_empty() {
                return None;
            }
            open = next;
        }
        None
    }

    /// Leaves out what light does not need.
    fn shrunk(&mut self, mut sets: Vec<Set>) -> Vec<Set> {
        let mut at = 0;
        while at < sets.len() {
            let mut without = sets.clone();
            without.remove(at);
            match self.try_out(without, 0, true).filter(|tried| tried.lit) {
                Some(tried) => sets = tried.sets,
                None => at += 1,
            }
        }
        sets
    }

    /// Runs a change through the pipeline. `None` where it sets something going that is worse than dark.
    fn try_out(&mut self, sets: Vec<Set>, faint: usize, rough: bool) -> Option<Try> {
        self.tries += 1;
        let (left, mut danger, flux_lm, lamp, commands) = self.with(&sets, |why| {
            let danger = self.danger(why, rough);
            let strikes =
                why.reading.asked().commands.iter().any(|command| {
                    matches!(command, crate::decode::Command::Lamp { on: true, .. })
                });
            (blocks_left(why), danger, why.flux_lm, why.pose.lamp, strikes)
        })?;
        let mut left = left;
        if self.needs_lamp && !commands {
            left += 1;
        }
        // Letting go of the value that put a lamp out does not strike it.
        if self.lamp_off && lamp == Lamp::Unknown && self.strikes_lamp() {
            left += 1;
        }
        let lit = left == 0 && flux_lm > 0.0;
        let steps = sets.iter().map(|(slot, value)| self.steps_to(*slot, *value)).sum();
        danger = if sets.is_empty() { Some(0) } else { danger };
        let cost = Cost { slots: sets.len(), danger: danger?, faint, steps, less_lm: -flux_lm };
        Some(Try { sets, faint, left, cost, lit })
    }

    /// Whether any value strikes the lamp.
    fn strikes_lamp(&self) -> bool {
        let mut ranges = self.mode.channels.iter().flat_map(|channel| &channel.ranges);
        ranges.any(|range| range.effects().any(|does| matches!(does, Effect::LampOn { .. })))
    }

    fn steps_to(&self, slot: Slot, value: u8) -> u32 {
        u32::from(self.byte(slot).unwrap_or(0).abs_diff(value))
    }

    fn byte(&self, slot: Slot) -> Option<u8> {
        self.before.state(slot).value()
    }

    /// How dangerous the ranges are that channels have come into; `None`: not to be had.
    fn danger(&self, why: &Why<'_>, rough: bool) -> Option<u8> {
        let mut most = 0;
        for (i, (now, stood)) in self.standing(why).iter().zip(&self.stood).enumerate() {
            let Some(range) = now.filter(|_| now != stood) else { continue };
            let range = self.mode.channels[i].ranges.get(range)?;
            for effect in range.effects() {
                most = most.max(danger_of(effect, rough)?);
            }
        }
        Some(most)
    }

    /// Every change that sets one channel more, with whatever its range depends on; and whether it leaves
    /// a level at less than full.
    fn steps_from(&self, sets: &[Set]) -> Vec<(Vec<Set>, bool)> {
        let mut all = self.turns_from(sets);
        for channel in self.mode.channels.iter().filter(|channel| bears_on_light(channel)) {
            let slots: Option<Vec<Slot>> =
                channel.offsets.iter().map(|offset| self.address.slot_at(*offset)).collect();
            // A channel past the end of the universe can be set to nothing.
            let Some(slots) = slots else { continue };
            let held = |slot: Slot| {
                let set = sets.iter().find(|(of, _)| *of == slot);
                set.map(|(_, value)| *value).or_else(|| self.byte(slot))
            };
            let bytes: Vec<Option<u8>> = slots.iter().map(|slot| held(*slot)).collect();
            for range in &channel.ranges {
                for (value, faint) in values_in(range, &bytes) {
                    let mut sets = sets.to_vec();
                    let parts = crate::decode::split(value, slots.len());
                    for (slot, byte) in slots.iter().zip(parts) {
                        put(&mut sets, *slot, byte, &self.before);
                    }
                    for when in &range.when {
                        let Some(slot) = self.address.slot_at(when.offset) else { continue };
                        let now = sets.iter().find(|(of, _)| *of == slot).map(|(_, value)| *value);
                        let now = now.or_else(|| self.byte(slot));
                        if !now.is_some_and(|now| (when.from..=when.to).contains(&now)) {
                            let to =
                                now.unwrap_or(when.from).clamp(when.from, when.to.max(when.from));
                            put(&mut sets, slot, to, &self.before);
                        }
                    }
                    all.push((sets, faint));
                }
            }
        }
        all
    }
}

impl Lab<'_> {
    /// Every change that takes a slot to the other side of what some range depends on.
    fn turns_from(&self, sets: &[Set]) -> Vec<(Vec<Set>, bool)> {
        let ranges = self.mode.channels.iter().flat_map(|channel| &channel.ranges);
        let mut turns: Vec<(Slot, u8)> = ranges
            .flat_map(|range| &range.when)
            .filter_map(|when| Some((self.address.slot_at(when.offset)?, *when)))
            .flat_map(|(slot, when)| {
                let edges = [Some(when.from), when.from.checked_sub(1), Some(when.to)];
                let edges = edges.into_iter().chain([when.to.checked_add(1)]);
                edges.flatten().map(move |edge| (slot, edge))
            })
            .collect();
        turns.sort_unstable();
        turns.dedup();
        let turned = turns.into_iter().map(|(slot, value)| {
            let mut sets = sets.to_vec();
            put(&mut sets, slot, value, &self.before);
            (sets, false)
        });
        turned.collect()
    }
}

fn order(a: &Try, b: &Try) -> std::cmp::Ordering {
    a.cost.partial_cmp(&b.cost).unwrap_or(std::cmp::Ordering::Equal)
}

/// Sets a slot, or leaves it alone where it has the value already.
fn put(sets: &mut Vec<Set>, slot: Slot, value: u8, before: &Levels) {
    sets.retain(|(of, _)| *of != slot);
    if before.state(slot) == SlotState::NeverSent || before.state(slot).value() != Some(value) {
        sets.push((slot, value));
    }
    sets.sort_unstable();
}

/// How many links hold light back, in the cell with the fewest.
fn blocks_left(why: &Why<'_>) -> u32 {
    let cells = 0..why.pose.cells.len();
    let left = |cell: usize| why.links.iter().filter(|link| link.blocks_cell(cell)).count() as u32;
    let runs = u32::from(why.links.iter().any(|link| link.stage == Stage::Program));
    // Parts that only together hold everything back are one more thing to mend.
    let together = u32::from(why.flux_lm <= 0.0);
    let least = cells.map(left).min().unwrap_or(0);
    let least = if least == 0 && runs == 0 { together } else { least };
    least + runs
}

/// Whether any range of a channel has to do with light, or with what runs the head.
fn bears_on_light(channel: &crate::decode::CompiledChannel) -> bool {
    channel.ranges.iter().flat_map(CompiledRange::effects).any(|effect| {
        matches!(
            effect,
            Effect::Dimmer { .. }
                | Effect::Shut
                | Effect::Open
                | Effect::Strobe { .. }
                | Effect::Emitter { .. }
                | Effect::Filter { .. }
                | Effect::Iris { .. }
                | Effect::Blade { .. }
                | Effect::Program { .. }
                | Effect::Sound
                | Effect::Follow
                | Effect::LampOn { .. }
                | Effect::LampOff { .. }
        ) || effect.wheel().is_some()
    })
}

/// How dangerous it is to come into a range with this effect, 0 least; `None`: not to be had.
fn danger_of(effect: &Effect, rough: bool) -> Option<u8> {
    match effect {
        Effect::Reset { .. }
        | Effect::LampOff { .. }
        | Effect::Program { .. }
        | Effect::Sound
        | Effect::Follow
        | Effect::Unknown
        | Effect::DarkWhileAiming
        | Effect::DarkWhileWheels
        | Effect::Latch {
            switch: Switch::DarkWhileAiming | Switch::DarkWhileWheels,
            on: true,
            ..
        } => None,
        Effect::Strobe { .. } | Effect::RandomSlots { .. } | Effect::Scroll { .. } => {
            rough.then_some(3)
        }
        Effect::Latch { .. } | Effect::UseCurve { .. } => Some(2),
        Effect::LampOn { .. }
        | Effect::Shake { .. }
        | Effect::IrisPulse { .. }
        | Effect::PanSpin { .. }
        | Effect::TiltSpin { .. }
        | Effect::Spin { .. } => Some(1),
        _ => Some(0),
    }
}

/// Values of a range that are worth a try, and whether each leaves a level at less than full: that of the
/// coarse slot alone which is nearest, the nearest of all, and the end with most light.
fn values_in(range: &CompiledRange, bytes: &[Option<u8>]) -> Vec<(u32, bool)> {
    let width = bytes.len();
    let now = bytes.iter().fold(0u32, |value, byte| value << 8 | u32::from(byte.unwrap_or(0)));
    let coarse_only = |wanted: u32| {
        // The slots behind the coarse one keep what they have, wherever that stays in the range.
        let below = 8 * (width.clamp(1, 4) - 1) as u32;
        let fine = now & ((1u32 << below) - 1);
        let value = (wanted >> below << below) | fine;
        let tries = [Some(value), value.checked_add(1 << below), value.checked_sub(1 << below)];
        tries.into_iter().flatten().find(|value| range.contains(*value))
    };
    let nearest = now.clamp(range.first, range.last);
    let mut values = Vec::with_capacity(4);
    let mut add = |value: Option<u32>, faint: bool| {
        if let Some(value) = value.filter(|value| values.iter().all(|(of, _)| of != value)) {
            values.push((value, faint));
        }
    };
    let end = brightest_end(range).filter(|_| range.effects().any(is_level));
    if let Some(end) = end {
        add(coarse_only(end), false);
        add(Some(end), false);
    }
    add(coarse_only(nearest), end.is_some());
    add(Some(nearest), end.is_some());
    if range.first != range.last {
        add(Some(range.first), end.is_some());
        add(Some(range.last), end.is_some());
        add(Some(range.first + (range.last - range.first) / 2), end.is_some());
    }
    values
}
