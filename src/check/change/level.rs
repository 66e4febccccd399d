//! Light where one head has a dimmer or a shutter and the other has none: emitters stand in for a dimmer,
//! and what would rest closed is opened.

use super::keep::{Keeper, KeptRow, Offer, Outcome, Wish};
use super::kin::rgb;
use crate::decode::{Asked, CompiledChannel, Reading, ShutterAsk, WheelPlace, values_for};
use crate::profile::{Effect, Source, Unit, WheelSlot};

fn does(channel: &CompiledChannel, wanted: impl Fn(&Effect) -> bool) -> bool {
    channel.ranges.iter().any(|range| range.effects().any(&wanted))
}

impl Keeper<'_> {
    /// A level for a head without a dimmer: its emitters are the level, and are dimmed alike once their turn
    /// comes, so that the colour stays. Whether that can be done.
    pub(super) fn level_by_emitters(&mut self, wish: &Wish<'_>, row: &mut KeptRow) -> bool {
        let (Effect::Dimmer { curve, .. }, Some((percent, _))) = (wish.effect, wish.physical)
        else {
            return false;
        };
        let share = curve.light(percent / 100.0);
        let of_cell = |channel: &CompiledChannel| {
            let emits = does(channel, |effect| matches!(effect, Effect::Emitter { .. }));
            emits && (wish.of.cell.is_none() || channel.cell == wish.of.cell)
        };
        if !self.after.channels.iter().any(of_cell) {
            return false;
        }
        row.outcome = Outcome::Near;
        row.why = "there is no dimmer: the emitters are dimmed alike".to_owned();
        self.dimmed.push((wish.of.cell, share));
        true
    }

    /// How far the emitters of a cell are dimmed in the place of a dimmer, 0..1.
    pub(super) fn dimmed(&self, cell: Option<u16>) -> f64 {
        let of_cell = |(dimmed, _): &&(Option<u16>, f64)| dimmed.is_none() || *dimmed == cell;
        self.dimmed.iter().filter(of_cell).map(|(_, share)| share).product()
    }

    /// Emitters of a head that had white light and filters before: red, green and blue as the filters and the
    /// colour wheel leave them, white as the least of the three. That is a first mix and no match of colours.
    pub(super) fn mixed(&mut self, reading: &Reading<'_>) -> Option<KeptRow> {
        if matches!(reading.mode.profile.source, Source::Emitters(_)) {
            return None;
        }
        let asked = reading.asked();
        let filters = asked.cells.first().map(|cell| cell.filters).unwrap_or_default();
        let tint = tint(reading, &asked);
        let rgb: [f64; 3] =
            std::array::from_fn(|i| (1.0 - filters[i].unwrap_or(0.0)).clamp(0.0, 1.0) * tint[i]);
        let least = rgb.iter().copied().fold(1.0, f64::min);
        let mut to = Vec::new();
        for channel in 0..self.after.channels.len() {
            let of = &self.after.channels[channel];
            let effects = of.ranges.iter().flat_map(|range| range.effects());
            let name = effects.into_iter().find_map(|effect| match effect {
                Effect::Emitter { name, .. } => Some(name.to_lowercase()),
                _ => None,
            });
            let share = match name.as_deref() {
                Some("red") => rgb[0],
                Some("green") => rgb[1],
                Some("blue") => rgb[2],
                Some(name) if name.contains("white") => least,
                _ => continue,
            };
            let percent = share * self.dimmed(of.cell) * 100.0;
            let Some(found) = values_for(of, percent, Unit::Percent).into_iter().next() else {
                continue;
            };
            let range = &of.ranges[found.range];
            let offer = Offer { channel, range, value: found.value, distance: 1, off: 0.0 };
            if self.take(&offer) {
                to.push(self.told(&offer));
            }
        }
        (!to.is_empty()).then(|| KeptRow {
            channel: "no emitters".to_owned(),
            slots: Vec::new(),
            value: 0,
            means: "white light through its filters".to_owned(),
            outcome: Outcome::Near,
            to,
            why: "a first mix, no match of colours: look at it".to_owned(),
        })
    }

    /// What lets light out that the other head needed nothing for: its dimmers and shutters, as far as no
    /// wish has set them.
    pub(super) fn light_otherwise(&mut self, asked: &Asked) -> Vec<KeptRow> {
        let mut rows = Vec::new();
        let no_dimmer = asked.cells.iter().all(|cell| cell.level.is_none());
        let no_shutter = asked.cells.iter().all(|cell| matches!(cell.shutter, ShutterAsk::Unasked));
        // A white head has to take the level from the emitters; one with emitters has it from them.
        let emits = self
            .after
            .channels
            .iter()
            .any(|channel| does(channel, |effect| matches!(effect, Effect::Emitter { .. })));
        let computed = if emits { 1.0 } else { asked.computed_level().unwrap_or(1.0) };
        for channel in 0..self.after.channels.len() {
            let of = &self.after.channels[channel];
            if self.taken.contains_key(&channel) {
                continue;
            }
            let dims = no_dimmer && does(of, |effect| matches!(effect, Effect::Dimmer { .. }));
            let rests_shut = no_shutter
                && of.ranges.iter().any(|range| {
                    range.contains(of.default)
                        && range.effects().any(|effect| matches!(effect, Effect::Shut))
                });
            let found = if dims {
                let found = values_for(of, computed * 100.0, Unit::Percent).into_iter().next();
                found.map(|found| (found.range, found.value))
            } else if rests_shut {
                let opens = |range: &&crate::decode::CompiledRange| {
                    range.effects().any(|effect| matches!(effect, Effect::Open))
                };
                let place = of.ranges.iter().position(|range| opens(&range));
                place.map(|place| (place, of.ranges[place].first))
            } else {
                None
            };
            let Some((place, value)) = found else { continue };
            let range = &of.ranges[place];
            let offer = Offer { channel, range, value, distance: 1, off: 0.0 };
            if self.take(&offer) {
                let what = if dims { "dimmer" } else { "shutter" };
                rows.push(KeptRow {
                    channel: format!("no {what}"),
                    slots: Vec::new(),
                    value: 0,
                    means: if dims { "light as its emitters have it" } else { "open" }.to_owned(),
                    outcome: Outcome::Near,
                    to: vec![self.told(&offer)],
                    why: format!("there was no {what}"),
                });
            }
        }
        rows
    }
}

/// The colour that the wheels of a white head put into the light, as shares of linear red, green and blue.
fn tint(reading: &Reading<'_>, asked: &Asked) -> [f64; 3] {
    let mut tint = [1.0; 3];
    for wheel in &asked.wheels {
        let WheelPlace::At { place } = wheel.place else { continue };
        let slots = reading.mode.profile.wheels.get(&wheel.wheel).map(|wheel| &wheel.slots);
        // Between two slots the first of them counts.
        let at = (place.is_finite() && place >= 1.0).then(|| place as usize - 1);
        let slot = slots.zip(at).and_then(|(slots, at)| slots.get(at));
        if let Some(WheelSlot::Tint(_, colour)) = slot
            && let Some(rgb) = rgb(colour)
        {
            for (share, value) in tint.iter_mut().zip(rgb) {
                // sRGB's curve, near enough for a first mix.
                *share *= (value / 255.0).powf(2.2);
            }
        }
    }
    tint
}
