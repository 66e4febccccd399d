//! What a cue changes, in the words that people use, and for many fixtures at once.

use std::collections::{BTreeMap, BTreeSet};

use super::SheetLine;
use crate::cue::{Cue, Move, Part, ReferenceKind, Tracks, Value, words};
use crate::decode::{ChannelReading, CompiledMode, Decoded, Plan};
use crate::finding::rounded;
use crate::profile::{Effect, Shape, Timing, Unit};
use crate::rig::FixtureId;
use crate::show::Show;
use crate::wire::Frames;

/// From how many different values on one thing is told from its least to its greatest value.
const MANY: usize = 4;

/// One thing that a cue does to one fixture.
struct Said {
    fixture: FixtureId,
    /// Where it stands among the others.
    order: u8,
    /// What it is a value of, and the value: `pan`, 35 deg.
    amount: Option<(String, f64, Unit)>,
    /// All of it in words.
    words: String,
    /// The cell, and how many there are.
    cell: Option<(u16, usize)>,
}

/// What the cues so far have set.
pub(super) struct Changed<'a> {
    show: &'a Show,
    plan: &'a Plan,
    tracks: &'a Tracks,
    tracked: Vec<Option<Move>>,
}

impl<'a> Changed<'a> {
    pub(super) fn new(show: &'a Show, plan: &'a Plan, tracks: &'a Tracks) -> Self {
        Self { show, plan, tracks, tracked: vec![None; tracks.len()] }
    }

    /// What the next cue changes: `moves` are its own, `frames` hold them.
    pub(super) fn lines(
        &mut self,
        cue: &Cue,
        moves: &[Move],
        frames: &Frames,
        decoded: &Decoded,
    ) -> Vec<SheetLine> {
        let (mut said, mut alike) = (Vec::new(), 0);
        for of in moves {
            let before = self.tracked[of.track].replace(*of);
            let Some((fixture, mode, reading)) = self.reading(of.track, frames, decoded) else {
                continue;
            };
            let own = cue.changes.get(&fixture).and_then(|own| own.get(&reading.channel.name));
            let Some(value) = own else { continue };
            let track = self.tracks.get(of.track);
            let rest = track.map_or(0, |track| track.rest);
            let swung = before.is_some_and(|before| before.swing.is_some());
            if before.map_or(rest, |before| before.to) == of.to && !swung {
                alike += 1;
                continue;
            }
            let part = track.map_or(Part::Beam, |track| track.part);
            said.push(self.said(fixture, part, mode, &reading, value));
        }
        let mut lines = grouped(said);
        for movement in &cue.movements {
            lines.push(SheetLine::new(&movement.fixtures, words::movement(movement)));
        }
        if !cue.still.is_empty() {
            lines.push(SheetLine::new(&cue.still, "movements end"));
        }
        if cue.asserts {
            lines.push(SheetLine::new(&[], "states everything that was set so far"));
        }
        match alike {
            0 => {}
            1 => lines.push(SheetLine::new(&[], "1 value is set to what it stands at")),
            n => {
                lines.push(SheetLine::new(&[], format!("{n} values are set to what they stand at")))
            }
        }
        if lines.is_empty() {
            lines.push(SheetLine::new(&[], "changes nothing"));
        }
        lines
    }

    fn reading<'b>(
        &'b self,
        track: usize,
        frames: &'b Frames,
        decoded: &'b Decoded,
    ) -> Option<(FixtureId, &'b CompiledMode, ChannelReading<'b>)> {
        let track = self.tracks.get(track)?;
        let fixture = self.show.rig.get(track.fixture)?;
        let reading = self.plan.reading(track.fixture, frames, decoded)?;
        Some((fixture.id, reading.mode, reading.channel(track.channel)?))
    }

    fn said(
        &self,
        fixture: FixtureId,
        part: Part,
        mode: &CompiledMode,
        reading: &ChannelReading<'_>,
        value: &Value,
    ) -> Said {
        let order = match part {
            Part::Aim => 0,
            Part::Colour => 1,
            Part::Beam => 2,
            Part::Shutter => 3,
            Part::Level => 4,
            Part::Control => 5,
        };
        let cell = reading.channel.cell.map(|cell| (cell, mode.profile.cells.len()));
        if let Value::Like(name) = value {
            let kind = self.show.cues.reference(name).map(|reference| reference.kind);
            let words = match kind {
                Some(ReferenceKind::Position) => format!("at {name}"),
                Some(ReferenceKind::Colour) => format!("in {name}"),
                Some(ReferenceKind::Pattern) => format!("with {name}"),
                _ => format!("like {name}"),
            };
            // A colour mixed of levels is one all the same.
            let order = if kind == Some(ReferenceKind::Colour) { 1 } else { order };
            return Said { fixture, order, amount: None, words, cell };
        }
        let noun = noun(reading);
        let physical = reading.range.and_then(|range| range.physical).map(|of| of.unit);
        // What was asked for in this unit is said as it was, and not as the nearest step comes to.
        let amount = physical.zip(reading.physical).map(|(of, nearest)| match value {
            Value::Is { amount, unit, .. } if *unit == of => (noun, *amount, of),
            _ => (noun, nearest, of),
        });
        let words = match &amount {
            Some((noun, amount, unit)) => amount_words(noun, &figure(*amount, *unit)),
            None => plain(reading),
        };
        Said { fixture, order, amount, words, cell }
    }
}

/// What a channel with a physical value is a value of; empty where the value says it.
fn noun(reading: &ChannelReading<'_>) -> String {
    match reading.range.map(|range| &range.does) {
        Some(Effect::Dimmer { .. } | Effect::Temperature { .. }) => String::new(),
        Some(Effect::Pan { .. }) => "pan".to_owned(),
        Some(Effect::Tilt { .. }) => "tilt".to_owned(),
        Some(Effect::Zoom { .. }) => "zoom".to_owned(),
        Some(Effect::Emitter { name, .. }) => name.to_lowercase(),
        Some(Effect::Strobe { shape, timing, .. }) => {
            let kind = if *shape == Shape::Hard { "strobe" } else { "pulse" };
            match timing {
                Timing::Even => kind.to_owned(),
                _ => format!("random {kind}"),
            }
        }
        _ => reading.channel.name.to_lowercase(),
    }
}

/// A channel without a physical value: the name of a wheel slot, or what the range is called.
fn plain(reading: &ChannelReading<'_>) -> String {
    let channel = reading.channel.name.to_lowercase();
    match reading.range {
        Some(range) => match (&range.does, &range.slot_name) {
            (Effect::Slot { .. }, Some(name)) if name != "open" => name.clone(),
            _ if range.label.to_lowercase().contains(&channel) => range.label.clone(),
            _ => format!("{channel} {}", range.label),
        },
        None => format!("{channel}: {}", reading.words()),
    }
}

/// A value as people say it: `35 deg`, `12.5 Hz`.
fn figure(amount: f64, unit: Unit) -> String {
    let decimals = match unit {
        Unit::Kelvin => 0,
        Unit::Degree | Unit::Percent | Unit::DegreePerSecond => 1,
        _ => 2,
    };
    match unit {
        Unit::Slot => format!("slot {}", rounded(amount, decimals)),
        unit => format!("{} {}", rounded(amount, decimals), unit.symbol()),
    }
}

fn amount_words(noun: &str, figure: &str) -> String {
    match (noun, figure) {
        ("", "0 %") => "out".to_owned(),
        ("", figure) => figure.to_owned(),
        (noun, figure) => format!("{noun} {figure}"),
    }
}

/// One thing that is done to some fixtures, with the cells of each that it is done to.
type Phrases = BTreeMap<(u8, String), BTreeMap<FixtureId, (BTreeSet<u16>, usize)>>;

/// Puts together what is done to the same fixtures: `101, 102: pan 35 deg, amber, 60 %`.
fn grouped(mut said: Vec<Said>) -> Vec<SheetLine> {
    spanned(&mut said);
    let mut phrases = Phrases::new();
    let mut nouns: Vec<(u8, String)> = Vec::new();
    for said in said {
        let key = (said.order, said.words);
        if !nouns.contains(&key) {
            nouns.push(key.clone());
        }
        let of = phrases.entry(key).or_default().entry(said.fixture).or_default();
        if let Some((cell, all)) = said.cell {
            of.0.insert(cell);
            of.1 = all;
        }
    }
    // In the order of the profile's channels within a part: pan before tilt.
    nouns.sort_by_key(|(order, _)| *order);
    let mut groups: Vec<(Vec<FixtureId>, Vec<String>)> = Vec::new();
    for key in nouns {
        let Some(fixtures) = phrases.get(&key) else { continue };
        let mut by_cells: BTreeMap<String, Vec<FixtureId>> = BTreeMap::new();
        for (fixture, (cells, all)) in fixtures {
            let cells: Vec<FixtureId> = cells.iter().map(|cell| FixtureId::from(*cell)).collect();
            let words = match cells.len() {
                0 => key.1.clone(),
                n if n >= *all => key.1.clone(),
                1 => format!("{} in cell {}", key.1, words::fixtures(&cells)),
                _ => format!("{} in cells {}", key.1, words::fixtures(&cells)),
            };
            by_cells.entry(words).or_default().push(*fixture);
        }
        for (words, fixtures) in by_cells {
            match groups.iter_mut().find(|(known, _)| *known == fixtures) {
                Some((_, all)) => all.push(words),
                None => groups.push((fixtures, vec![words])),
            }
        }
    }
    groups.sort_by(|a, b| a.0.cmp(&b.0));
    groups.iter().map(|(ids, words)| SheetLine::new(ids, words.join(", "))).collect()
}

/// Where many fixtures have each its own value of the same thing, one phrase for all of them.
fn spanned(said: &mut [Said]) {
    let mut spans: BTreeMap<(String, &'static str), (f64, f64, BTreeSet<String>)> = BTreeMap::new();
    let key = |noun: &String, unit: &Unit| (noun.clone(), unit.symbol());
    for of in said.iter() {
        let Some((noun, amount, unit)) = &of.amount else { continue };
        let fresh = (f64::INFINITY, f64::NEG_INFINITY, BTreeSet::new());
        let span = spans.entry(key(noun, unit)).or_insert(fresh);
        (span.0, span.1) = (span.0.min(*amount), span.1.max(*amount));
        span.2.insert(of.words.clone());
    }
    for of in said.iter_mut() {
        let Some((noun, _, unit)) = &of.amount else { continue };
        let Some((least, most, words)) = spans.get(&key(noun, unit)) else { continue };
        if words.len() >= MANY {
            let span = format!("{} to {}", figure(*least, *unit), figure(*most, *unit));
            of.words = format!("{}, each its own", amount_words(noun, &span));
            of.cell = None;
        }
    }
}
