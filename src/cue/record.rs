//! Cues and references made of what the stage shows now.

use std::collections::BTreeMap;

use super::model::{Changes, Reference, ReferenceKind};
use super::resolve::meaning;
use super::tracks::{Part, Tracks};
use super::value::Value;
use crate::decode::{Decoded, Plan, Reading};
use crate::rig::Rig;
use crate::wire::Frames;

/// How values are taken from the stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Take {
    /// By what they mean, where they mean something.
    Meaning,
    /// As they are, at the channel's full resolution.
    Raw,
}

/// What the lines hold now.
#[derive(Clone, Copy, Debug)]
pub struct Stage<'a> {
    /// The fixtures.
    pub rig: &'a Rig,
    /// The rig, compiled.
    pub plan: &'a Plan,
    /// What is held of every universe.
    pub frames: &'a Frames,
    /// What that comes to, through the plan.
    pub decoded: &'a Decoded,
}

impl Stage<'_> {
    /// What the fixtures at these places of the rig stand at, for a cue. With `before`, only what differs
    /// from it: what was touched since a list had the stage as it is in `before`. Channels without a value
    /// stay out.
    pub fn changes(&self, fixtures: &[usize], before: Option<&Frames>, take: Take) -> Changes {
        let old = before.map(|before| {
            let mut decoded = self.plan.start();
            self.plan.decode(before, &mut decoded);
            (before, decoded)
        });
        let mut changes = Changes::new();
        for place in fixtures {
            let (Some(fixture), Some(now)) = (self.rig.get(*place), self.reading(*place)) else {
                continue;
            };
            let then = old
                .as_ref()
                .and_then(|(frames, decoded)| self.plan.reading(*place, frames, decoded));
            let mut values = BTreeMap::new();
            for (nth, channel) in now.channels().enumerate() {
                let Some(value) = channel.held.value() else { continue };
                let stood = then.and_then(|then| Some((then, then.channel(nth)?.held.value()?)));
                if stood.is_some_and(|(_, stood)| stood == value) {
                    continue;
                }
                let meant = self.value(&now, nth, value, take);
                // Another value of the same meaning was not touched: a list keeps the first that has it.
                let same = |(then, stood)| self.value(&then, nth, stood, take) == meant;
                if !stood.is_some_and(same) {
                    values.insert(channel.channel.name.clone(), meant);
                }
            }
            if !values.is_empty() {
                changes.insert(fixture.id, values);
            }
        }
        changes
    }

    /// What the channels of these parts stand at, for a reference: a position, a colour, a pattern.
    pub fn parts(&self, fixtures: &[usize], parts: &[Part], tracks: &Tracks) -> Changes {
        let mut changes = self.changes(fixtures, None, Take::Meaning);
        for place in fixtures {
            let (Some(fixture), Some(now)) = (self.rig.get(*place), self.reading(*place)) else {
                continue;
            };
            let of_parts = |name: &str| {
                let nth = now.mode.channels.iter().position(|channel| channel.name == name);
                let track = nth.and_then(|nth| tracks.get(tracks.find(*place, nth)?));
                track.is_some_and(|track| parts.contains(&track.part))
            };
            if let Some(values) = changes.get_mut(&fixture.id) {
                values.retain(|name, _| of_parts(name));
            }
        }
        changes.retain(|_, values| !values.is_empty());
        changes
    }

    /// A new reference of what the fixtures stand at: a position is the aim, a colour the colour, a pattern
    /// what shapes the beam, and anything else all of it.
    ///
    /// Channels on which all of them agree are kept once, for whatever fixture has a channel of that name;
    /// but for a position, which means something only where the head hangs.
    pub fn reference(
        &self,
        name: &str,
        kind: ReferenceKind,
        fixtures: &[usize],
        tracks: &Tracks,
    ) -> Reference {
        let mut own = self.of_kind(kind, fixtures, tracks);
        let mut all = BTreeMap::new();
        if kind != ReferenceKind::Position {
            for (channel, value) in own.values().flatten() {
                all.entry(channel.clone()).or_insert_with(|| value.clone());
            }
            let agree = |channel: &String, value: &Value| {
                own.values().all(|values| values.get(channel).is_none_or(|own| own == value))
            };
            all.retain(|channel, value| agree(channel, value));
            for values in own.values_mut() {
                values.retain(|channel, _| !all.contains_key(channel));
            }
            own.retain(|_, values| !values.is_empty());
        }
        Reference { name: name.to_owned(), kind, all, own }
    }

    /// A reference with what these fixtures stand at in the place of what it gave them.
    pub fn updated(&self, reference: &Reference, fixtures: &[usize], tracks: &Tracks) -> Reference {
        let mut new = reference.clone();
        for (id, values) in self.of_kind(reference.kind, fixtures, tracks) {
            let differ =
                values.into_iter().filter(|(channel, v)| reference.all.get(channel) != Some(v));
            let differ: BTreeMap<String, Value> = differ.collect();
            match differ.is_empty() {
                true => new.own.remove(&id),
                false => new.own.insert(id, differ),
            };
        }
        new
    }

    fn of_kind(&self, kind: ReferenceKind, fixtures: &[usize], tracks: &Tracks) -> Changes {
        match kind {
            ReferenceKind::Position => self.parts(fixtures, &[Part::Aim], tracks),
            ReferenceKind::Colour => self.parts(fixtures, &[Part::Colour], tracks),
            ReferenceKind::Pattern => self.parts(fixtures, &[Part::Beam], tracks),
            ReferenceKind::Other => self.changes(fixtures, None, Take::Meaning),
        }
    }

    fn reading(&self, place: usize) -> Option<Reading<'_>> {
        self.plan.reading(place, self.frames, self.decoded)
    }

    fn value(&self, reading: &Reading<'_>, nth: usize, value: u32, take: Take) -> Value {
        match (take, reading.mode.channels.get(nth)) {
            (Take::Meaning, Some(channel)) => {
                let held = |offset| reading.slot_state(offset).and_then(|state| state.value());
                meaning(channel, value, held)
            }
            _ => Value::Full(value),
        }
    }
}
