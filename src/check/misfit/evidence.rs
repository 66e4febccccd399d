//! Explanations as rows: with the slots, values and ranges that speak for each.

use std::collections::BTreeMap;

use super::fault::Fault;
use super::look::Sight;
use super::seen::{Happened, Observation, Seen};
use super::suspect::{Moment, Said, Suspect};
use super::{Candidate, Case, Ranked};
use crate::profile::Effect;

/// How many lines of evidence a row has at most.
const LINES: usize = 3;

/// Rows out of candidates; each group becomes one, in order, and names all of its members.
pub(super) fn rows(
    case: &Case<'_>,
    intact: &mut BTreeMap<usize, Suspect>,
    all: &mut [Candidate],
    groups: &[Vec<usize>],
) -> Vec<Ranked> {
    let mut rows: Vec<Ranked> = Vec::new();
    for group in groups {
        let same = group.iter().skip(1).filter_map(|i| all.get(*i));
        let same = same.map(|other| (other.place, other.fault.clone())).collect();
        let Some(candidate) = group.first().and_then(|i| all.get(*i)) else { continue };
        let weight = group.iter().filter_map(|i| all.get(*i)).map(|c| c.weight).sum();
        let tied = rows.last().is_some_and(|before| {
            before.explains.len() == candidate.explains.len() && before.weight == weight
        });
        rows.push(Ranked {
            place: candidate.place,
            fault: candidate.fault.clone(),
            words: words(case, candidate),
            same,
            tied,
            explains: candidate.explains.clone(),
            contradicts: candidate.contradicts.clone(),
            silent: candidate.silent.clone(),
            evidence: evidence(case, intact, candidate),
            weight,
        });
    }
    rows
}

fn words(case: &Case<'_>, candidate: &Candidate) -> String {
    let place = candidate.place.or_else(|| candidate.heads.keys().next().copied()).unwrap_or(0);
    candidate.fault.words(case, place)
}

impl Ranked {
    /// What is the same in everything that can be seen, in words.
    pub fn same_words(&self, case: &Case<'_>) -> Vec<String> {
        let first = case.seen.first().map_or(0, |observation| observation.place);
        let same = self.same.iter();
        same.map(|(place, fault)| fault.words(case, place.unwrap_or(first))).collect()
    }

    /// Whether a fault of a head, or of every head, is this one or the same in all that can be seen.
    pub fn names(&self, place: Option<usize>, fault: &Fault) -> bool {
        (self.place == place && self.fault == *fault)
            || self.same.iter().any(|(at, other)| *at == place && other == fault)
    }
}

/// The channels by which the first observation that is explained came about.
fn evidence(
    case: &Case<'_>,
    intact: &mut BTreeMap<usize, Suspect>,
    candidate: &Candidate,
) -> Vec<String> {
    let seen: Vec<&Observation> =
        candidate.explains.iter().filter_map(|i| case.seen.get(*i)).collect();
    let mut lines = Vec::new();
    for observation in seen {
        let Some(head) = candidate.heads.get(&observation.place) else { continue };
        let frame = match observation.seen {
            Seen::At { frame, .. } | Seen::Walked { frame, .. } => frame,
            Seen::From { after, .. } => after,
        };
        let at = Moment { frame, set: None };
        let really = head.said(case, at);
        let patched = intact.get(&observation.place).map(|head| head.said(case, at));
        let patched = patched.unwrap_or_default();
        let bears = |said: &&Said| said.effect.as_ref().is_none_or(|e| bears(observation, e));
        for said in really.iter().filter(bears) {
            let asked = patched.iter().find(|other| other.channel == said.channel);
            if asked.is_some_and(|asked| asked == said) {
                continue;
            }
            let asked = asked.map_or_else(String::new, |a| format!(" (as patched: {})", a.words()));
            let line = format!("{}{asked}", said.words());
            if !lines.contains(&line) && lines.len() < LINES {
                lines.push(line);
            }
        }
    }
    lines
}

/// Whether an effect can have to do with what was seen.
fn bears(observation: &Observation, effect: &Effect) -> bool {
    let moves = effect.aims();
    let colours = matches!(
        effect,
        Effect::Emitter { .. } | Effect::Filter { .. } | Effect::Temperature { .. }
    ) || effect.wheel().is_some();
    match observation.seen {
        Seen::At { sight, .. } => match sight {
            Sight::Points(_) => moves,
            Sight::Colour(_) => colours,
            Sight::Pattern | Sight::Plain => effect.wheel().is_some(),
            Sight::Dark | Sight::Lit | Sight::Flashes | Sight::Steady => !moves,
            Sight::RunsItself => effect.acts_on_fixture(),
        },
        Seen::From { happened, .. } => match happened {
            Happened::Moved
            | Happened::Turned
            | Happened::Tipped
            | Happened::OtherWay
            | Happened::Jerked => moves,
            Happened::Did(change) if change.is_move() => moves,
            Happened::Just(changes) if changes.moves() => moves,
            Happened::Nothing | Happened::Did(_) | Happened::Just(_) => true,
        },
        Seen::Walked { .. } => true,
    }
}
