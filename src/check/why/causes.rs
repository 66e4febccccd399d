//! Which slots made a link what it is.

use super::Why;
use super::links::{Link, Stage};
use crate::decode::{ChannelReading, CompiledRange, Held, ShutterAsk, WheelPlace};
use crate::profile::Effect;
use crate::profile::effect::{Physical, Switch};
use crate::wire::Slot;

/// A link that holds light back, and what made it so.
#[derive(Clone, Debug)]
pub struct Cause<'a> {
    /// The link.
    pub link: Link,
    /// The channels that made it so. Empty where no slot did: something in the past, or time.
    pub evidence: Vec<Evidence<'a>>,
}

/// A channel that has a part in a link.
#[derive(Clone, Debug)]
pub struct Evidence<'a> {
    /// The channel, as a place in the mode.
    pub place: usize,
    /// What is asked of it.
    pub channel: ChannelReading<'a>,
    /// Its slots of the universe, coarse first; `None` for one past the end.
    pub slots: Vec<Option<Slot>>,
    /// The bytes held of these slots; `None` where none was ever sent.
    pub bytes: Vec<Option<u8>>,
    /// The range that it stands in: that of its value, else that of its value at rest. `None`: there is
    /// none even at rest.
    pub range: Option<&'a CompiledRange>,
    /// The value with which it stands there.
    pub value: u32,
    /// No value of it, or none in a range, is known: it is taken to stand as it does at rest.
    pub at_rest: bool,
}

impl<'a> Why<'a> {
    /// Everything that holds light back, nearest the source first: all links that hold all light of a
    /// cell back where the head is dark, and what runs it by itself. Nothing where it is lit.
    pub fn causes(&self) -> Vec<Cause<'a>> {
        let counts = |link: &&Link| match self.verdict {
            super::Verdict::Dark | super::Verdict::NotPatched => link.blocks(),
            super::Verdict::RunsItself => link.stage == Stage::Program || link.blocks(),
            super::Verdict::Lit => false,
        };
        let causes = self.links.iter().filter(counts);
        causes.map(|link| Cause { link: *link, evidence: self.responsible(link) }).collect()
    }

    /// The channels that have a part in a link, in the order of the mode.
    pub fn evidence(&self, link: &Link) -> Vec<Evidence<'a>> {
        let channels = 0..self.reading.mode.channels.len();
        channels.filter_map(|place| self.evidence_of(place, link)).collect()
    }

    /// Those of them that hold the light back. Where none does by itself, all.
    fn responsible(&self, link: &Link) -> Vec<Evidence<'a>> {
        let all = self.evidence(link);
        let those: Vec<Evidence<'a>> =
            all.iter().filter(|evidence| self.holds_back(evidence, link)).cloned().collect();
        if those.is_empty() { all } else { those }
    }

    fn evidence_of(&self, place: usize, link: &Link) -> Option<Evidence<'a>> {
        let channel = self.reading.channel(place)?;
        let of_cell = channel.channel.cell.map(|cell| usize::from(cell.saturating_sub(1)));
        if let (Some(cell), true) = (of_cell, link.blocks())
            && !link.blocks_cell(cell)
        {
            return None;
        }
        let evidence = self.standing(place)?;
        let works =
            |range: &CompiledRange| range.effects().any(|effect| bears_on(range, effect, link));
        // A channel in a gap, or without a value, bears on what its ranges would.
        let bears = match evidence.range {
            Some(range) if !evidence.at_rest => works(range),
            _ => channel.channel.ranges.iter().any(works),
        };
        bears.then_some(evidence)
    }

    /// How a channel stands.
    pub(super) fn standing(&self, place: usize) -> Option<Evidence<'a>> {
        let channel = self.reading.channel(place)?;
        let offsets = &channel.channel.offsets;
        let known = channel.range.zip(channel.held.value());
        let (range, value) = match known.or_else(|| self.reading.at_rest(&channel)) {
            Some((range, value)) => (Some(range), value),
            None => (None, channel.held.value().unwrap_or(channel.channel.default)),
        };
        Some(Evidence {
            place,
            slots: offsets.iter().map(|offset| self.reading.slot(*offset)).collect(),
            bytes: offsets
                .iter()
                .map(|offset| self.reading.slot_state(*offset).and_then(|state| state.value()))
                .collect(),
            range,
            value,
            at_rest: known.is_none(),
            channel,
        })
    }

    /// Whether a channel, which bears on a link that holds light back, does so by itself.
    fn holds_back(&self, evidence: &Evidence<'_>, link: &Link) -> bool {
        let Some(range) = evidence.range else { return false };
        let gives = |physical: Option<Physical>| {
            physical.map_or(0.0, |physical| physical.at(range.share_at(evidence.value)))
        };
        range.effects().filter(|effect| bears_on(range, effect, link)).any(|effect| match effect {
            Effect::Shut | Effect::LampOff { .. } | Effect::Reset { .. } => true,
            Effect::Dimmer { curve, .. } => curve.light(gives(effect.physical()) / 100.0) <= 0.0,
            Effect::Emitter { .. } | Effect::Iris { .. } => gives(effect.physical()) <= 0.0,
            Effect::Filter { .. } | Effect::Blade { .. } => gives(effect.physical()) > 0.0,
            Effect::Program { .. } | Effect::Sound | Effect::Follow => true,
            Effect::DarkWhileAiming | Effect::DarkWhileWheels => true,
            Effect::Latch { on, .. } => *on,
            effect => effect.wheel().is_some(),
        })
    }

    /// The wheel of a link stands where a slot of it is, from 1, by its name; `None` between two.
    pub(super) fn wheel_slot(&self, link: &Link) -> Option<(usize, &'a str)> {
        let wheel = link.wheel?;
        let place = self.pose.wheels.get(wheel)?.place;
        let slot = place.round();
        let mode = self.reading.mode;
        let slots = &mode.profile.wheels.get(mode.wheels.get(wheel)?)?.slots;
        let name = slots.get((slot as usize).checked_sub(1)?)?.name();
        ((place - slot).abs() < 5e-3).then_some((slot as usize, name))
    }

    /// Whether a wheel is asked to a place where it does not stand yet.
    pub(super) fn wheel_is_on_its_way(&self, link: &Link) -> bool {
        let Some((head, t_s)) = self.over_time else { return false };
        link.wheel.is_some_and(|wheel| head.wheel_arrives_s(wheel).is_some_and(|s| s > t_s + 1e-9))
    }

    /// What is asked of the shutter of the first cell that a link holds back.
    pub(super) fn shutter_asked(&self, link: &Link) -> ShutterAsk {
        let asked = self.reading.asked();
        let cell = (0..asked.cells.len()).find(|cell| link.blocks_cell(*cell)).unwrap_or(0);
        asked.cells.get(cell).map_or(ShutterAsk::Unasked, |cell| cell.shutter)
    }

    /// Where a wheel is asked to stand.
    pub(super) fn wheel_asked(&self, wheel: usize) -> WheelPlace {
        self.reading.asked().wheels.get(wheel).map_or(WheelPlace::Unasked, |wheel| wheel.place)
    }
}

impl Evidence<'_> {
    /// No frame has reached one of its slots.
    pub fn not_sent(&self) -> bool {
        self.channel.held == Held::NeverSent
    }
}

/// Whether an effect of a range bears on a link.
pub(super) fn bears_on(range: &CompiledRange, effect: &Effect, link: &Link) -> bool {
    use Effect as E;
    if let Some(wheel) = link.wheel {
        return effect.wheel().is_some()
            && range.wheel == Some(wheel)
            && !matches!(effect, E::Turn { .. } | E::Spin { .. } | E::SpinStop { .. });
    }
    match link.stage {
        Stage::Data | Stage::Distance | Stage::Surface | Stage::Pattern => false,
        Stage::Lamp => matches!(effect, E::LampOn { .. } | E::LampOff { .. }),
        Stage::Control => matches!(effect, E::Reset { .. }),
        Stage::Program => matches!(effect, E::Program { .. } | E::Sound | E::Follow),
        Stage::Moving => match effect {
            E::DarkWhileAiming | E::DarkWhileWheels => true,
            E::Latch { switch, .. } => {
                matches!(switch, Switch::DarkWhileAiming | Switch::DarkWhileWheels)
            }
            _ => false,
        },
        Stage::Emitters => matches!(effect, E::Emitter { .. }),
        Stage::Dimmer => matches!(effect, E::Dimmer { .. } | E::UseCurve { .. }),
        Stage::Shutter => matches!(effect, E::Shut | E::Open | E::Strobe { .. }),
        Stage::Iris => matches!(effect, E::Iris { .. } | E::IrisPulse { .. }),
        Stage::Colour => matches!(effect, E::Filter { .. } | E::Temperature { .. }),
        Stage::Blades => {
            matches!(effect, E::Blade { .. } | E::BladeTurn { .. } | E::FrameTurn { .. })
        }
        Stage::Frost => matches!(effect, E::Frost { .. }),
        Stage::Zoom => matches!(effect, E::Zoom { .. }),
        Stage::Aim => matches!(
            effect,
            E::Pan { .. }
                | E::Tilt { .. }
                | E::PanSpin { .. }
                | E::TiltSpin { .. }
                | E::PanStop
                | E::TiltStop
        ),
    }
}
