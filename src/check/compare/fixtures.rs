//! Fixtures of two rigs side by side, channel by channel.

use std::collections::BTreeMap;

use super::side::At;
use super::{Difference, DifferenceKind};
use crate::check::change::kin::Kin;
use crate::check::change::{asks_nearly_the_same, counterparts, meaning};
use crate::decode::{ChannelReading, CompiledMode, Plan};
use crate::finding::rounded;
use crate::rig::{Fixture, FixtureId, Hang};
use crate::show::Show;
use crate::stage::{Mark, MarkState};

/// What a fixture stands at on either side, where that differs.
type Standing = BTreeMap<(DifferenceKind, usize, String), (Option<String>, Option<String>)>;

/// A fixture that both rigs have.
struct Pair<'a> {
    id: FixtureId,
    /// Its places in both rigs.
    places: (usize, usize),
    /// For each channel of the first side that of the second.
    channels: Vec<Option<usize>>,
    /// Channels of the second side that have no counterpart.
    added: Vec<usize>,
    /// Both are the same mode of the same profile.
    same: bool,
    kin: Kin<'a>,
}

/// The fixtures that both rigs have, and how they differed at the cue before.
pub(in crate::check) struct Pairs<'a> {
    pairs: Vec<Pair<'a>>,
    before: Standing,
}

impl<'a> Pairs<'a> {
    /// Pairs the fixtures of two shows by their numbers, and tells what differs of the rigs.
    pub(in crate::check) fn new(
        one: (&Show, &'a Plan),
        other: (&Show, &'a Plan),
        told: &mut Vec<Difference>,
    ) -> Self {
        let mut pairs = Vec::new();
        for (place, fixture) in one.0.rig.iter().enumerate() {
            let there = other.0.rig.iter().position(|with| with.id == fixture.id);
            let with = there.and_then(|place| other.0.rig.get(place));
            told.extend(rig_differences(Some(fixture), with));
            let Some(there) = there else { continue };
            let mode = |plan: &'a Plan, place: usize| plan.fixtures().get(place)?.mode.as_deref();
            if let (Some(before), Some(after)) = (mode(one.1, place), mode(other.1, there)) {
                pairs.push(Pair::new(fixture.id, (place, there), before, after));
            }
        }
        let here = |fixture: &&Fixture| one.0.rig.iter().any(|with| with.id == fixture.id);
        let new = other.0.rig.iter().filter(|fixture| !here(fixture));
        told.extend(new.flat_map(|fixture| rig_differences(None, Some(fixture))));
        Self { pairs, before: Standing::new() }
    }

    /// What begins to differ now.
    pub(in crate::check) fn differences(&mut self, sides: (At<'_>, At<'_>)) -> Vec<Difference> {
        let mut now = Standing::new();
        for (nth, pair) in self.pairs.iter().enumerate() {
            pair.compare(nth, sides, &mut now);
        }
        // Light follows from what is asked: as long as that differs in nothing new, nor does the light.
        if now != self.before {
            let marks = (sides.0.scene().marks, sides.1.scene().marks);
            for (nth, pair) in self.pairs.iter().enumerate() {
                let light = |marks: &[Mark], place: usize| marks.get(place).map(light_words);
                let words = (light(&marks.0, pair.places.0), light(&marks.1, pair.places.1));
                if words.0 != words.1 {
                    now.insert((DifferenceKind::Light, nth, "light".to_owned()), words);
                }
            }
        }
        let fresh = now.iter().filter(|(key, words)| self.before.get(*key) != Some(*words));
        let differences = fresh.map(|((kind, nth, what), (before, after))| Difference {
            kind: *kind,
            fixtures: self.pairs.get(*nth).map(|pair| pair.id).into_iter().collect(),
            what: what.clone(),
            before: before.clone(),
            after: after.clone(),
        });
        let differences = differences.collect();
        self.before = now;
        differences
    }
}

impl<'a> Pair<'a> {
    fn new(
        id: FixtureId,
        places: (usize, usize),
        before: &'a CompiledMode,
        after: &'a CompiledMode,
    ) -> Self {
        let kin = Kin::new(&before.profile, &after.profile);
        let same = before.name == after.name && before.profile == after.profile;
        let channels: Vec<Option<usize>> = match same {
            true => (0..before.channels.len()).map(Some).collect(),
            false => counterparts(&kin, before, after),
        };
        let added = (0..after.channels.len()).filter(|i| !channels.contains(&Some(*i)));
        Self { id, places, added: added.collect(), channels, same, kin }
    }

    /// What the channels ask for on either side, where it is not the same.
    fn compare(&self, nth: usize, sides: (At<'_>, At<'_>), now: &mut Standing) {
        let (one, other) = sides;
        let (Some(one), Some(other)) = (
            one.plan.reading(self.places.0, one.frames, one.decoded),
            other.plan.reading(self.places.1, other.frames, other.decoded),
        ) else {
            return;
        };
        let mut differs = |name: &str, words| {
            now.insert((DifferenceKind::Channel, nth, name.to_owned()), words);
        };
        for (channel, counterpart) in self.channels.iter().enumerate() {
            let Some(before) = one.channel(channel) else { continue };
            let name = &before.channel.name;
            match counterpart.and_then(|place| other.channel(place)) {
                Some(after) if self.alike(&before, &after) => {}
                Some(after) => differs(name, worded(&before, &after)),
                // What rests asks for nothing that would be missed.
                None if rests(&before) => {}
                None => differs(name, (Some(meaning(&before)), None)),
            }
        }
        for place in &self.added {
            let Some(after) = other.channel(*place).filter(|after| !rests(after)) else { continue };
            differs(&after.channel.name, (None, Some(meaning(&after))));
        }
    }

    fn alike(&self, before: &ChannelReading<'_>, after: &ChannelReading<'_>) -> bool {
        if self.same && before.held.value() == after.held.value() {
            return before.range.map(|range| &range.does) == after.range.map(|range| &range.does);
        }
        // Of two resolutions the coarser comes within a step of what the finer has.
        let apart = if self.same { 0.0 } else { step(before).max(step(after)) };
        asks_nearly_the_same(&self.kin, before, after, apart)
    }
}

/// From one value to the next in the unit of the range that it lies in; 0 where there is none.
fn step(reading: &ChannelReading<'_>) -> f64 {
    let Some(range) = reading.range else { return 0.0 };
    let Some((a, b)) = range.physical.map(|physical| physical.span) else { return 0.0 };
    match range.last - range.first {
        0 => 0.0,
        values => ((b - a) / f64::from(values)).abs(),
    }
}

fn rests(reading: &ChannelReading<'_>) -> bool {
    reading.held.value().is_none_or(|value| value == reading.channel.default)
}

/// Both meanings; with their values where the words alone would be the same.
fn worded(
    before: &ChannelReading<'_>,
    after: &ChannelReading<'_>,
) -> (Option<String>, Option<String>) {
    let (one, other) = (meaning(before), meaning(after));
    if one != other {
        return (Some(one), Some(other));
    }
    let exact = |reading: &ChannelReading<'_>, words: String| match reading.physical {
        Some(physical) => format!("{words} ({})", rounded(physical, 6)),
        None => format!("{words} (value {})", reading.held.value().unwrap_or_default()),
    };
    (Some(exact(before, one)), Some(exact(after, other)))
}

fn light_words(mark: &Mark) -> String {
    match (&mark.state, &mark.flash) {
        (MarkState::Lit, Some(flash)) => {
            format!("lit, flashing {} times a second", rounded(flash.hz, 2))
        }
        (MarkState::Lit, None) => "lit".to_owned(),
        (MarkState::Dark, _) => "dark".to_owned(),
        (MarkState::Overridden(what), _) => what.clone(),
        (MarkState::Unread, _) => "not known".to_owned(),
    }
}

/// What differs of one fixture of two rigs, apart from what it is sent.
fn rig_differences(one: Option<&Fixture>, other: Option<&Fixture>) -> Vec<Difference> {
    let id = one.or(other).map(|fixture| fixture.id);
    let told = |what: &str, before: Option<String>, after: Option<String>| Difference {
        kind: DifferenceKind::Fixture,
        fixtures: id.into_iter().collect(),
        what: what.to_owned(),
        before,
        after,
    };
    let model = |fixture: &Fixture| format!("{}, mode {}", fixture.profile, fixture.mode);
    let place = |fixture: &Fixture| {
        let at = fixture.at.to_array().map(|metres| rounded(metres, 3)).join(", ");
        format!("at ({at}) m, {}", hang_words(fixture.hang))
    };
    let mut differences = Vec::new();
    let (models, places) = ((one.map(model), other.map(model)), (one.map(place), other.map(place)));
    if models.0 != models.1 {
        differences.push(told("model", models.0, models.1));
    }
    if let (Some(before), Some(after)) = (one, other) {
        if (before.at, before.hang) != (after.at, after.hang) {
            differences.push(told("place", places.0, places.1));
        }
        if (&before.aim, &before.in_head) != (&after.aim, &after.in_head) {
            differences.push(told("what is set in the head is not the same", None, None));
        }
    }
    differences
}

fn hang_words(hang: Hang) -> String {
    let turned = |how: &str, turn_deg: f64| match turn_deg == 0.0 {
        true => how.to_owned(),
        false => format!("{how}, turned {} deg", rounded(turn_deg, 2)),
    };
    match hang {
        Hang::Hung => "hung".to_owned(),
        Hang::HungTurned { turn_deg } => turned("hung", turn_deg),
        Hang::Standing => "standing".to_owned(),
        Hang::StandingTurned { turn_deg } => turned("standing", turn_deg),
        Hang::OnSide { turn_deg } => turned("on its side", turn_deg),
        Hang::Turned { x_deg, y_deg, z_deg } => {
            let [x, y, z] = [x_deg, y_deg, z_deg].map(|deg| rounded(deg, 2));
            format!("turned ({x}, {y}, {z}) deg")
        }
    }
}
