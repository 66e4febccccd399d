//! Light where one head has a dimmer or a shutter and the other has none: emitters stand in for a dimmer,
//! and what would rest closed is opened.

use super::keep::{Keeper, KeptRow, Offer, Outcome, Wish};
use crate::decode::{Asked, CompiledChannel, ShutterAsk, values_for};
use crate::profile::{Effect, Unit};

fn does(channel: &CompiledChannel, wanted: impl Fn(&Effect) -> bool) -> bool {
    channel.ranges.iter().any(|range| range.effects().any(&wanted))
}

impl Keeper<'_> {
    /// A level for a head without a dimmer: its emitters are the level. Where the other head had emitters
    /// too, these are all dimmed alike once their turn comes, so that the colour stays; else each gets the
    /// level. `has_emitters` says which. Whether that could be done.
    pub(super) fn level_by_emitters(
        &mut self,
        wish: &Wish<'_>,
        has_emitters: bool,
        row: &mut KeptRow,
    ) -> bool {
        let (Effect::Dimmer { curve, .. }, Some((percent, _))) = (wish.effect, wish.physical)
        else {
            return false;
        };
        let share = curve.light(percent / 100.0);
        let of_cell = |channel: &CompiledChannel| {
            let emits = does(channel, |effect| matches!(effect, Effect::Emitter { .. }));
            emits && (wish.of.cell.is_none() || channel.cell == wish.of.cell)
        };
        let all = self.after.channels.iter().enumerate();
        let emitters: Vec<usize> = all.filter(|(_, c)| of_cell(c)).map(|(i, _)| i).collect();
        if emitters.is_empty() {
            return false;
        }
        row.outcome = Outcome::Near;
        if has_emitters {
            self.dimmed.push((wish.of.cell, share));
            row.why = "there is no dimmer: the emitters are dimmed alike".to_owned();
            return true;
        }
        row.why = "there is no dimmer: each emitter gets the level".to_owned();
        for channel in emitters {
            let of = &self.after.channels[channel];
            let Some(found) = values_for(of, share * 100.0, Unit::Percent).into_iter().next()
            else {
                continue;
            };
            let range = &of.ranges[found.range];
            let offer = Offer { channel, range, value: found.value, distance: 1, off: 0.0 };
            if self.take(&offer) {
                row.to.push(self.told(&offer));
            }
        }
        true
    }

    /// How far the emitters of a cell are dimmed in the place of a dimmer, 0..1.
    pub(super) fn dimmed(&self, cell: Option<u16>) -> f64 {
        let of_cell = |(dimmed, _): &&(Option<u16>, f64)| dimmed.is_none() || *dimmed == cell;
        self.dimmed.iter().filter(of_cell).map(|(_, share)| share).product()
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
