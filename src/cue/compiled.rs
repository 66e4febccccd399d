//! A cue list resolved against a rig: what each cue sends which channel to.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::dark;
use super::model::{Cue, Cues, DarkMoves, FadeCurve, Next, SnapAt, Times};
use super::movement::{Movement, MovementKind, Reach, Swing};
use super::number::CueNumber;
use super::resolve::resolve;
use super::segment::Target;
use super::tracks::{Part, Tracks};
use super::value::Value;
use crate::decode::{CompiledMode, Plan};
use crate::finding::{Finding, Place, listed, nearest};
use crate::rig::{FixtureId, Rig};

/// A list, resolved.
#[derive(Clone, Debug)]
pub struct Compiled {
    /// What the list is called.
    pub name: String,
    /// The channels that it drives some of.
    pub tracks: Arc<Tracks>,
    /// Its cues, in order.
    pub cues: Vec<CompiledCue>,
    /// Spans that are run again: first and last cue as places, and how often.
    pub loops: Vec<(usize, usize, Option<u32>)>,
    /// What could not be resolved, and keeps its channel as it was.
    pub unresolved: Vec<Unresolved>,
}

/// Something of a cue that could not be resolved.
#[derive(Clone, Debug, PartialEq)]
pub struct Unresolved {
    /// The cue, as a place in its list.
    pub cue: usize,
    /// The fixture, by its number.
    pub fixture: FixtureId,
    /// The channel, as the cue names it.
    pub channel: Option<String>,
    /// Why, and what would be right.
    pub finding: Finding,
}

/// A cue, resolved.
#[derive(Clone, Debug, PartialEq)]
pub struct CompiledCue {
    /// Its number.
    pub number: CueNumber,
    /// Its number and name.
    pub words: String,
    /// What it sends where, in rising order of the tracks.
    pub moves: Vec<Move>,
    /// Moves of heads that are dark, made ahead of a later cue.
    pub ahead: Vec<Ahead>,
    /// How long its parts take.
    pub times: Times,
    /// How fades run.
    pub curve: FadeCurve,
    /// When channels that jump do so.
    pub snap: SnapAt,
    /// How the next cue comes.
    pub next: Next,
    /// How long it stands in a rehearsal.
    pub stands_s: Option<f64>,
    /// From its start until everything of it has faded, in seconds; heads moved ahead do not count.
    pub takes_s: f64,
}

/// One channel that a cue sends somewhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// The channel, as a place among the tracks.
    pub track: usize,
    /// The value that it ends at, at full resolution.
    pub to: u32,
    /// A movement on top.
    pub swing: Option<Swing>,
}

/// One channel of a dark head that is moved ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ahead {
    /// The channel, as a place among the tracks.
    pub track: usize,
    /// The value that it is moved to.
    pub to: u32,
    /// From the start of the cue until the head is dark, in seconds.
    pub delay_s: f64,
    /// In what time it is moved, in seconds.
    pub fade_s: f64,
    /// The cue, as a place, that lights it there.
    pub for_cue: usize,
}

impl CompiledCue {
    /// What a move comes to for a channel of this part that stands at `from`.
    pub fn target(&self, of: &Move, from: f64, tracks: &Tracks) -> Target {
        let track = tracks.get(of.track);
        let part = track.map_or(Part::Beam, |track| track.part);
        let zero = track.and_then(|track| track.level).map_or(0.0, |level| level.zero);
        let rises = (f64::from(of.to) - zero).abs() >= (from - zero).abs();
        let time = part_time(&self.times, part, rises);
        let snap = match self.snap {
            SnapAt::Start => 0.0,
            SnapAt::Half => 0.5,
            SnapAt::End => 1.0,
        };
        Target {
            to: of.to,
            delay_s: time.delay_s,
            fade_s: time.fade_s,
            curve: self.curve,
            snap: track.is_some_and(|track| track.snap).then_some(snap),
            swing: of.swing,
        }
    }
}

/// The time that a part takes from those of a cue.
pub(super) fn part_time(times: &Times, part: Part, rises: bool) -> super::model::Time {
    let own = match part {
        Part::Level if rises => times.up,
        Part::Level => times.down,
        Part::Aim => times.aim,
        Part::Colour => times.colour,
        Part::Beam | Part::Shutter | Part::Control => times.beam,
    };
    own.unwrap_or(times.all)
}

/// What a track stands at after some cues.
pub(super) type Tracked = Vec<Option<Move>>;

impl Compiled {
    /// Resolves a list of a show, counted from 0, against a rig. `plan` and `tracks` must be of this rig.
    pub fn new(cues: &Cues, list: usize, rig: &Rig, plan: &Plan, tracks: &Arc<Tracks>) -> Self {
        let empty = super::model::CueList::default();
        let list = cues.lists.get(list).unwrap_or(&empty);
        let by_id = rig.iter().enumerate().map(|(place, fixture)| (fixture.id, place)).collect();
        let tracked = vec![None; tracks.len()];
        let mut work = Work {
            list: &list.name,
            cues,
            rig,
            plan,
            tracks,
            by_id,
            tracked,
            unresolved: Vec::new(),
        };
        let compiled = (0..).zip(&list.cues).map(|(place, cue)| work.cue(place, cue)).collect();
        let unresolved = work.unresolved;
        let place = |number| list.cue(number);
        let loops =
            list.loops.iter().filter_map(|l| Some((place(l.from)?, place(l.to)?, l.passes)));
        let loops = loops.filter(|(from, to, _)| from <= to).collect();
        let name = list.name.clone();
        let mut compiled = Self { name, tracks: tracks.clone(), cues: compiled, loops, unresolved };
        if let Some(DarkMoves { fade_s }) = list.dark_moves {
            dark::move_ahead(&mut compiled, rig, plan, fade_s);
        }
        compiled
    }

    /// The list for some tracks alone, which are all of `tracks`, in the same order: runs of them, in rising
    /// order.
    pub(super) fn alone(&self, own: &[std::ops::Range<usize>], tracks: &Arc<Tracks>) -> Self {
        let cues = self.cues.iter().map(|cue| {
            let (mut moves, mut ahead, mut first) = (Vec::new(), Vec::new(), 0);
            for own in own {
                let from = cue.moves.partition_point(|of| of.track < own.start);
                let theirs = cue.moves[from..].iter().take_while(|of| of.track < own.end);
                moves.extend(theirs.map(|of| Move { track: first + of.track - own.start, ..*of }));
                let theirs = cue.ahead.iter().filter(|ahead| own.contains(&ahead.track));
                ahead.extend(theirs.map(|of| Ahead { track: first + of.track - own.start, ..*of }));
                first += own.len();
            }
            CompiledCue { moves, ahead, words: cue.words.clone(), ..*cue }
        });
        Self {
            name: self.name.clone(),
            tracks: tracks.clone(),
            cues: cues.collect(),
            loops: self.loops.clone(),
            unresolved: Vec::new(),
        }
    }

    /// What every track stands at once a cue, counted from 0, and all before it have been run: the move
    /// that set it last. `None` for a track that none of them sets.
    pub fn tracked(&self, cue: usize) -> Vec<Option<Move>> {
        let mut tracked = vec![None; self.tracks.len()];
        for cue in self.cues.iter().take(cue + 1) {
            for of in &cue.moves {
                tracked[of.track] = Some(*of);
            }
        }
        tracked
    }
}

/// Resolves one cue after the other.
struct Work<'a> {
    list: &'a str,
    cues: &'a Cues,
    rig: &'a Rig,
    plan: &'a Plan,
    tracks: &'a Tracks,
    by_id: BTreeMap<FixtureId, usize>,
    tracked: Tracked,
    unresolved: Vec<Unresolved>,
}

impl Work<'_> {
    fn cue(&mut self, place: usize, cue: &Cue) -> CompiledCue {
        let mut moves: BTreeMap<usize, Move> = BTreeMap::new();
        for (id, channels) in &cue.changes {
            self.fixture(place, cue, *id, channels, &mut moves);
        }
        for id in &cue.still {
            let own = self.by_id.get(id).map_or(0..0, |fixture| self.tracks.of(*fixture));
            for track in own {
                if let Some(of) = self.tracked[track].filter(|of| of.swing.is_some()) {
                    self.set(Move { swing: None, ..of }, &mut moves);
                }
            }
        }
        for movement in &cue.movements {
            self.movement(place, cue, movement, &mut moves);
        }
        if cue.asserts {
            for of in self.tracked.iter().flatten() {
                moves.entry(of.track).or_insert(*of);
            }
        }
        let moves: Vec<Move> = moves.into_values().collect();
        CompiledCue {
            number: cue.number,
            words: cue.words(),
            takes_s: self.takes_s(cue, &moves),
            moves,
            ahead: Vec::new(),
            times: cue.times,
            curve: cue.curve,
            snap: cue.snap,
            next: cue.next,
            stands_s: cue.stands_s,
        }
    }

    fn set(&mut self, of: Move, moves: &mut BTreeMap<usize, Move>) {
        self.tracked[of.track] = Some(of);
        moves.insert(of.track, of);
    }

    fn takes_s(&self, cue: &Cue, moves: &[Move]) -> f64 {
        let end_s = |of: &Move| {
            let part = self.tracks.get(of.track).map_or(Part::Beam, |track| track.part);
            let (up, down) =
                (part_time(&cue.times, part, true), part_time(&cue.times, part, false));
            if part == Part::Level { up.end_s().max(down.end_s()) } else { up.end_s() }
        };
        moves.iter().map(end_s).reduce(f64::max).unwrap_or(cue.times.all.end_s())
    }

    fn fixture(
        &mut self,
        place: usize,
        cue: &Cue,
        id: FixtureId,
        channels: &BTreeMap<String, Value>,
        moves: &mut BTreeMap<usize, Move>,
    ) {
        let Some((fixture, mode)) = self.known(place, cue, id) else { return };
        let depends =
            |channel: usize| mode.channels[channel].ranges.iter().any(|r| !r.when.is_empty());
        let mut found = Vec::new();
        for (name, value) in channels {
            match mode.channels.iter().position(|channel| channel.name == *name) {
                Some(channel) => found.push((depends(channel), channel, value)),
                None => self.no_channel(place, cue, fixture, &mode, name),
            }
        }
        // What a range depends on is settled before the channels whose ranges depend on it.
        found.sort_by_key(|(depends, channel, _)| (*depends, *channel));
        for (_, channel, value) in found {
            let name = &mode.channels[channel].name;
            let value = match value {
                Value::Like(reference) => {
                    match self.cues.reference(reference).and_then(|r| r.value(id, name)) {
                        Some(value) => value,
                        None => value,
                    }
                }
                value => value,
            };
            let Some(track) = self.tracks.find(fixture, channel) else { continue };
            match resolve(&mode.channels[channel], value, |offset| {
                self.held(fixture, &mode, offset)
            }) {
                Ok(to) => self.set(Move { track, to, swing: None }, moves),
                Err(mut why) => {
                    if let Value::Like(name) = value
                        && self.cues.reference(name).is_none()
                    {
                        let names = || self.cues.references.iter().map(|r| r.name.as_str());
                        let near =
                            nearest(name, names()).map(|near| format!(": did you mean `{near}`?"));
                        let near = near.unwrap_or_default();
                        why = format!("there is no reference `{name}`{near}");
                    }
                    let item = self.item(cue, fixture, Some(name));
                    let mend = "the channel stays as it was: give it a value that it has";
                    self.tell(
                        place,
                        id,
                        Some(name),
                        Finding::error(item, why, mend).coded("cue-value"),
                    );
                }
            }
        }
    }

    /// A fixture and its mode, or a finding.
    fn known(
        &mut self,
        place: usize,
        cue: &Cue,
        id: FixtureId,
    ) -> Option<(usize, Arc<CompiledMode>)> {
        let fixture = self.by_id.get(&id).copied();
        let mode = fixture.and_then(|f| self.plan.fixtures().get(f)?.mode.clone());
        if let (Some(fixture), Some(mode)) = (fixture, mode) {
            return Some((fixture, mode));
        }
        let item = Place::item(format!("list \"{}\", {}, fixture {id}", self.list, cue.words()));
        let what = match fixture {
            None => format!("there is no fixture {id}"),
            Some(_) => format!("the profile or mode of fixture {id} is not to be had"),
        };
        let finding =
            Finding::error(item, what, "its changes do nothing: give it back, or take them out");
        self.tell(place, id, None, finding.coded("cue-fixture"));
        None
    }

    fn tell(&mut self, cue: usize, fixture: FixtureId, channel: Option<&str>, finding: Finding) {
        let channel = channel.map(str::to_owned);
        self.unresolved.push(Unresolved { cue, fixture, channel, finding });
    }

    fn item(&self, cue: &Cue, fixture: usize, channel: Option<&str>) -> Place {
        let mut words = format!("list \"{}\", {}", self.list, cue.words());
        if let Some(fixture) = self.rig.get(fixture) {
            words.push_str(&format!(", {}", fixture.words()));
        }
        if let Some(channel) = channel {
            words.push_str(&format!(", channel \"{channel}\""));
        }
        Place::item(words)
    }

    fn no_channel(
        &mut self,
        place: usize,
        cue: &Cue,
        fixture: usize,
        mode: &CompiledMode,
        name: &str,
    ) {
        let names = || mode.channels.iter().map(|channel| channel.name.as_str());
        let near =
            nearest(name, names()).map_or(String::new(), |near| format!("did you mean `{near}`? "));
        let what = format!("mode \"{}\" has no channel `{name}`", mode.name);
        let mend = format!("{near}it has {}", listed(names()));
        let finding = Finding::error(self.item(cue, fixture, None), what, mend);
        let id = self.rig.get(fixture).map_or(0, |fixture| fixture.id);
        self.tell(place, id, Some(name), finding.coded("cue-channel"));
    }

    /// What a slot of a fixture will hold.
    fn held(&self, fixture: usize, mode: &CompiledMode, offset: u16) -> Option<u8> {
        let (channel, part) = mode.channel_at(offset)?;
        let value = self.value(self.tracks.find(fixture, channel)?);
        let below = mode.channels[channel].offsets.len() - 1 - part;
        Some((value >> (8 * below.min(3))) as u8)
    }

    /// What a track stands at.
    fn value(&self, track: usize) -> u32 {
        let rest = self.tracks.get(track).map_or(0, |track| track.rest);
        self.tracked[track].map_or(rest, |of| of.to)
    }

    fn movement(
        &mut self,
        place: usize,
        cue: &Cue,
        movement: &Movement,
        moves: &mut BTreeMap<usize, Move>,
    ) {
        let count = movement.fixtures.len().max(1) as f64;
        for (nth, id) in movement.fixtures.iter().enumerate() {
            let Some((fixture, mode)) = self.known(place, cue, *id) else { continue };
            let phase = movement.spread * nth as f64 / count;
            let mut any = false;
            for track in self.tracks.of(fixture) {
                let channel = track - self.tracks.of(fixture).start;
                let Some(quarter) = self.moved_by(&movement.kind, &mode, track, channel) else {
                    continue;
                };
                let Some(swing) = self.swing(movement, &mode, track, channel, phase + quarter)
                else {
                    continue;
                };
                any = true;
                self.set(Move { track, to: self.value(track), swing: Some(swing) }, moves);
            }
            if !any {
                let what =
                    format!("{} has nothing that this movement could move", mode.profile.key());
                let mend =
                    "take the fixture out of the movement, or have it move a channel by its name";
                let finding = Finding::warning(self.item(cue, fixture, None), what, mend);
                self.tell(place, *id, None, finding.coded("cue-movement"));
            }
        }
    }

    /// Whether a movement moves a track, and how far its turn is ahead there.
    fn moved_by(
        &self,
        kind: &MovementKind,
        mode: &CompiledMode,
        track: usize,
        channel: usize,
    ) -> Option<f64> {
        use crate::profile::Effect;
        let channel = &mode.channels[channel];
        let does =
            |wanted: fn(&Effect) -> bool| channel.ranges.iter().any(|r| r.effects().any(wanted));
        let pan = || does(|effect| matches!(effect, Effect::Pan { .. }));
        let tilt = || does(|effect| matches!(effect, Effect::Tilt { .. }));
        match kind {
            MovementKind::Circle if pan() => Some(0.0),
            MovementKind::Circle if tilt() => Some(0.25),
            MovementKind::Pan if pan() => Some(0.0),
            MovementKind::Tilt if tilt() => Some(0.0),
            MovementKind::Level => self.tracks.get(track)?.level.map(|_| 0.0),
            MovementKind::Channel(name) => (channel.name == *name).then_some(0.0),
            MovementKind::Circle | MovementKind::Pan | MovementKind::Tilt => None,
        }
    }

    fn swing(
        &self,
        movement: &Movement,
        mode: &CompiledMode,
        track: usize,
        channel: usize,
        phase: f64,
    ) -> Option<Swing> {
        let fixture = self.tracks.get(track)?.fixture;
        let held = |offset: u16| self.held(fixture, mode, offset);
        let place = mode.channels[channel].find_with(self.value(track), held)?;
        let range = &mode.channels[channel].ranges[place];
        let (first, last) = (f64::from(range.first), f64::from(range.last));
        let reach = match (&movement.kind, self.tracks.get(track)?.level) {
            (MovementKind::Level, Some(level)) => {
                Reach::Below { zero: level.zero, depth: (movement.size / 100.0).clamp(0.0, 1.0) }
            }
            _ => {
                let (a, b) = range.physical?.span;
                let slope = if a == b { return None } else { (last - first) / (b - a) };
                Reach::Added(movement.size * slope)
            }
        };
        Some(Swing { wave: movement.wave, hz: movement.hz, phase, reach, within: (first, last) })
    }
}
