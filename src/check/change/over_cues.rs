//! A change over cue lists: what cues give a fixture keeps its meaning in the other mode.
//!
//! Where the other mode has the channel and that channel can do what a cue says of it, the cue's words
//! stay. Elsewhere values are found as for a look: from everything that the fixture does at that cue.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Serialize;

use super::counterparts;
use super::keep::{Kept, KeptRow, Outcome, keep};
use super::kin::Kin;
use crate::cue::{
    Compiled, Cue, CueList, Cues, Movement, MovementKind, Tracks, Value, meaning, resolve,
};
use crate::decode::{CompiledChannel, CompiledMode, CompiledRange, Plan, split};
use crate::rig::{Address, FixtureId};
use crate::show::Show;
use crate::wire::{Frames, Slot, Universe};

/// What becomes of something that a cue gives a channel, where its words cannot stay.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CueRow {
    /// The list.
    pub list: String,
    /// The cue, by its number and name.
    pub cue: String,
    /// The channel.
    pub channel: String,
    /// What the cue gives it, as it is typed.
    pub value: String,
    /// How well that can be kept.
    pub outcome: Outcome,
    /// The channels that keep it, and what the cue gives them.
    pub to: Vec<(String, String)>,
    /// What is different, or why it cannot be kept. Empty: nothing to say.
    pub why: String,
}

/// The cues of a show once these fixtures (places in the rig, and what they are now) are in another mode, and
/// for each of them what becomes of values whose words cannot stay.
pub(super) fn translate(
    show: &Show,
    fixtures: &[(usize, Arc<CompiledMode>)],
    after: &Arc<CompiledMode>,
) -> (Cues, Vec<Vec<CueRow>>) {
    let mut cues = show.cues.clone();
    let mut rows = vec![Vec::new(); fixtures.len()];
    if cues.lists.is_empty() {
        return (cues, rows);
    }
    let plan = Plan::new(&show.rig, &show.profiles);
    let tracks = Arc::new(Tracks::new(&plan));
    let ids: Vec<FixtureId> =
        fixtures.iter().filter_map(|(place, _)| Some(show.rig.get(*place)?.id)).collect();
    for list in 0..cues.lists.len() {
        let compiled = Compiled::new(&show.cues, list, &show.rig, &plan, &tracks);
        for ((place, before), rows) in fixtures.iter().zip(&mut rows) {
            let Some(fixture) = show.rig.get(*place) else { continue };
            let mut work = Work::new(&show.cues, fixture.id, before, after, &mut cues.lists[list]);
            work.values(&compiled, *place);
            work.movements(&ids);
            rows.append(&mut work.rows);
        }
    }
    (cues, rows)
}

/// Changes what one list gives one fixture.
struct Work<'a> {
    cues: &'a Cues,
    id: FixtureId,
    before: &'a Arc<CompiledMode>,
    after: &'a Arc<CompiledMode>,
    kin: Kin<'a>,
    /// For each channel before, the one that does most of the same.
    places: Vec<Option<usize>>,
    /// Both modes, at the same address.
    plan: Plan,
    list: &'a mut CueList,
    rows: Vec<CueRow>,
}

/// Where both modes are looked at: what lies past the end of a universe must count too.
const HERE: Address = Address { universe: Universe::ONE, slot: Slot::FIRST };

impl<'a> Work<'a> {
    fn new(
        cues: &'a Cues,
        id: FixtureId,
        before: &'a Arc<CompiledMode>,
        after: &'a Arc<CompiledMode>,
        list: &'a mut CueList,
    ) -> Self {
        let kin = Kin::new(&before.profile, &after.profile);
        let places = counterparts(&kin, before, after);
        let plan = Plan::from_modes([before, after].map(|mode| (Some(mode.clone()), Some(HERE))));
        Self { cues, id, before, after, kin, places, plan, list, rows: Vec::new() }
    }

    fn values(&mut self, compiled: &Compiled, place: usize) {
        let own = compiled.tracks.of(place);
        let mut state: Vec<u32> = self.before.channels.iter().map(|c| c.default).collect();
        let mut last: Vec<u32> = self.after.channels.iter().map(|c| c.default).collect();
        // Where all words can stay and nothing has to be added to them, they are all that is needed.
        let mut plain = self.all_words_stay();
        for (at, of) in compiled.cues.iter().enumerate() {
            for one in of.moves.iter().filter(|one| own.contains(&one.track)) {
                if let Some(value) = state.get_mut(one.track - own.start) {
                    *value = one.to;
                }
            }
            let Some(old) = self.list.cues.get(at).and_then(|cue| cue.changes.get(&self.id)) else {
                continue;
            };
            let old = old.clone();
            let Some((kept, frames)) = self.kept(&state) else { return };
            let new = self.cue(at, &old, &kept, &frames, &mut last);
            if plain && new == old {
                return;
            }
            plain = false;
            if let Some(cue) = self.list.cues.get_mut(at) {
                cue.changes.insert(self.id, new);
                cue.changes.retain(|_, channels| !channels.is_empty());
            }
        }
    }

    /// What keeps the meaning of these values, and the frame that it makes.
    fn kept(&self, state: &[u32]) -> Option<(Kept, Frames)> {
        let mut frames = Frames::default();
        let put = |frames: &mut Frames, offset: u16, byte: u8| {
            if let Some(slot) = HERE.slot_at(offset) {
                frames.set(HERE.universe, slot, byte);
            }
        };
        for (channel, value) in self.before.channels.iter().zip(state) {
            for (offset, byte) in channel.offsets.iter().zip(split(*value, channel.offsets.len())) {
                put(&mut frames, *offset, byte);
            }
        }
        let mut decoded = self.plan.start();
        self.plan.decode(&frames, &mut decoded);
        let kept = keep(&self.plan.reading(0, &frames, &decoded)?, self.after, &self.kin);
        let mut frames = Frames::default();
        for (offset, byte) in &kept.slots {
            put(&mut frames, *offset, *byte);
        }
        Some((kept, frames))
    }

    /// What a cue gives the fixture afterwards.
    fn cue(
        &mut self,
        at: usize,
        old: &BTreeMap<String, Value>,
        kept: &Kept,
        frames: &Frames,
        last: &mut [u32],
    ) -> BTreeMap<String, Value> {
        let mut new = BTreeMap::new();
        let mut decoded = self.plan.start();
        self.plan.decode(frames, &mut decoded);
        let Some(reading) = self.plan.reading(1, frames, &decoded) else { return new };
        let held = |offset: u16| reading.slot_state(offset).and_then(|state| state.value());
        let now: Vec<u32> =
            reading.channels().map(|of| of.held.value().unwrap_or(of.channel.default)).collect();
        let of = |name: &str| self.after.channels.iter().position(|of| of.name == name);
        let meant = |channel: usize| meaning(&self.after.channels[channel], now[channel], held);
        let mut rows = Vec::new();
        for (name, value) in old {
            let stays = self.stays(name, value).filter(|(channel, to)| {
                let raw = matches!(value, Value::Byte(_) | Value::Full(_));
                same(&self.after.channels[*channel], *to, now[*channel], raw)
            });
            if stays.is_some() || self.before.channels.iter().all(|of| of.name != *name) {
                // Words for a channel that there never was stay too: they are told of elsewhere.
                new.insert(name.clone(), value.clone());
                continue;
            }
            let told: Vec<&KeptRow> = kept.rows.iter().filter(|row| row.channel == *name).collect();
            let mut row = self.row(at, name, value, &told);
            for channel in told.iter().flat_map(|row| &row.to).filter_map(|to| of(&to.channel)) {
                let to = match value {
                    Value::Byte(_) | Value::Full(_) => Value::Full(now[channel]),
                    _ => meant(channel),
                };
                let name = self.after.channels[channel].name.clone();
                row.to.retain(|(known, _)| *known != name);
                row.to.push((name.clone(), to.to_string()));
                new.insert(name, to);
            }
            rows.push(row);
        }
        // What else the same needs in the other mode: a shutter that rests closed, a channel that chooses.
        for (channel, of) in self.after.channels.iter().enumerate() {
            if now[channel] != last[channel] && !new.contains_key(&of.name) {
                new.insert(of.name.clone(), meant(channel));
            }
        }
        last.copy_from_slice(&now);
        self.rows.extend(rows);
        new
    }

    fn row(&self, at: usize, name: &str, value: &Value, told: &[&KeptRow]) -> CueRow {
        let weight = |row: &&&KeptRow| match row.outcome {
            Outcome::Exact => 1,
            Outcome::Near => 2,
            Outcome::Rests => 0,
            Outcome::Lost => 3,
        };
        let worst = told.iter().max_by_key(weight);
        CueRow {
            list: self.list.name.clone(),
            cue: self.list.cues.get(at).map_or_else(String::new, Cue::words),
            channel: name.to_owned(),
            value: value.to_string(),
            outcome: worst.map_or(Outcome::Lost, |row| row.outcome),
            to: Vec::new(),
            why: worst.map_or_else(String::new, |row| row.why.clone()),
        }
    }

    /// The channel on which a value can stand in the same words, and what it comes to there.
    fn stays(&self, name: &str, value: &Value) -> Option<(usize, u32)> {
        let old = self.before.channels.iter().position(|channel| channel.name == name)?;
        let place = self.places.get(old).copied().flatten()?;
        let channel = self.after.channels.get(place).filter(|channel| channel.name == name)?;
        let value = match value {
            Value::Like(reference) => self.cues.reference(reference)?.value(self.id, name)?,
            value => value,
        };
        Some((place, resolve(channel, value, |_| None).ok()?))
    }

    fn all_words_stay(&self) -> bool {
        let given = self.list.cues.iter().filter_map(|cue| cue.changes.get(&self.id));
        given.flatten().all(|(name, value)| {
            !matches!(value, Value::Byte(_) | Value::Full(_)) && self.stays(name, value).is_some()
        })
    }

    /// Movements of a channel by its name go to the one that does most of the same, if all that move change.
    fn movements(&mut self, changing: &[FixtureId]) {
        for at in 0..self.list.cues.len() {
            for nth in 0..self.list.cues[at].movements.len() {
                let movement = &self.list.cues[at].movements[nth];
                let MovementKind::Channel(name) = &movement.kind else { continue };
                let known =
                    |mode: &CompiledMode| mode.channels.iter().position(|c| c.name == *name);
                let Some(old) = known(self.before) else { continue };
                if !movement.fixtures.contains(&self.id) || known(self.after).is_some() {
                    continue;
                }
                let place = self.places.get(old).copied().flatten();
                let to = place.map(|place| self.after.channels[place].name.clone());
                let all = movement.fixtures.iter().all(|id| changing.contains(id));
                let (value, name) = (words(movement), name.clone());
                let mut row = self.row(at, &name, &Value::Byte(0), &[]);
                row.value = value;
                match to.filter(|_| all) {
                    Some(to) => {
                        row.outcome = Outcome::Exact;
                        row.to.push((to.clone(), row.value.clone()));
                        self.list.cues[at].movements[nth].kind = MovementKind::Channel(to);
                    }
                    None => row.why = "there is no such channel for it to move".to_owned(),
                }
                self.rows.push(row);
            }
        }
    }
}

/// Whether two values of a channel come to the same: in a range without a physical value any two do, elsewhere
/// those that differ by rounding only, unless they are raw.
fn same(channel: &CompiledChannel, a: u32, b: u32, raw: bool) -> bool {
    let slack = match raw {
        true => 0,
        false => (channel.coarse_step()).saturating_sub(1).max(1),
    };
    let alike =
        |range: &CompiledRange| range.physical.is_none() && range.contains(a) && range.contains(b);
    a.abs_diff(b) <= slack || channel.ranges.iter().any(alike)
}

fn words(movement: &Movement) -> String {
    format!("moves at {} Hz", crate::finding::number(movement.hz))
}
