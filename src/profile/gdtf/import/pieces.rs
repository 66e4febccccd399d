//! The values of a channel cut into pieces that each do one thing.
//!
//! A function ends before the next one begins (DIN SPEC 15800, table 60). Which one is "next" is not
//! stated where functions depend on other channels; here it is the next one that depends on the same
//! channel standing at the same values, in order of their beginnings. A channel set likewise ends
//! before the next set of its function.

use std::collections::BTreeMap;

use super::super::description::{ChannelFunction, ChannelSet, LogicalChannel};
use crate::profile::model::max_value;

/// Where other channels stand while a piece holds: first and last coarse value by channel.
pub(super) type When = BTreeMap<String, (i64, i64)>;

/// How the physical value runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    from: (u32, f64),
    to: (u32, f64),
}

impl Line {
    /// The line between two values and what they are physically.
    pub(super) fn through(from: (u32, f64), to: (u32, f64)) -> Self {
        Self { from, to }
    }

    /// The physical value at a value of the channel: even between both ends, which are included. That
    /// of the first where there is one value only.
    pub(super) fn at(self, value: u32) -> f64 {
        let ((v0, p0), (v1, p1)) = (self.from, self.to);
        if v1 <= v0 {
            return p0;
        }
        let t = (f64::from(value) - f64::from(v0)) / (f64::from(v1) - f64::from(v0));
        p0 * (1.0 - t) + p1 * t
    }

    /// The value of the channel at which the physical value passes `physical`, if it is inside.
    pub(super) fn passes(self, physical: f64) -> Option<u32> {
        let ((v0, p0), (v1, p1)) = (self.from, self.to);
        let t = (physical - p0) / (p1 - p0);
        let inside = t.is_finite() && t > 0.0 && t < 1.0;
        inside.then(|| v0 + (t * f64::from(v1 - v0)).round() as u32)
    }
}

/// Values that do one thing.
#[derive(Clone, Debug)]
pub(super) struct Piece<'a> {
    /// First value, at the channel's full resolution.
    pub(super) first: u32,
    /// Last value, included.
    pub(super) last: u32,
    /// Where other channels stand.
    pub(super) when: When,
    /// How the physical value runs.
    pub(super) line: Line,
    /// The function.
    pub(super) function: &'a ChannelFunction,
    /// The set of it, where it has one here.
    pub(super) set: Option<&'a ChannelSet>,
    /// The attribute that says how it flashes, where that stands on another channel.
    pub(super) flashes: Option<&'a str>,
}

impl<'a> Piece<'a> {
    /// What the manual calls it; empty where it does not say.
    pub(super) fn label(&self) -> &'a str {
        self.set.and_then(|set| set.name.as_deref()).unwrap_or_default()
    }

    /// Nothing is meant to happen.
    pub(super) fn is_filler(&self) -> bool {
        let attribute = self.function.attribute();
        attribute.eq_ignore_ascii_case("NoFeature") || attribute.eq_ignore_ascii_case("Dummy")
    }

    /// It stands for values that no range covers.
    pub(super) fn is_gap(&self) -> bool {
        let name = self.function.name.as_deref().unwrap_or_default();
        self.is_filler() && name.starts_with(super::GAP)
    }

    /// How surely it is meant where others claim the same values: less is surer. What depends on
    /// another channel goes before what does not, and filling goes last.
    pub(super) fn rank(&self) -> u8 {
        u8::from(self.is_filler()) * 2 + u8::from(self.when.is_empty())
    }
}

/// A function with its first and last value.
pub(super) type Spanned<'a> = (&'a ChannelFunction, u32, u32);

/// The functions of a logical channel of `width` slots that depend on the same, each with its first and
/// last value. `whens` says what each depends on; one that is never active comes nowhere, nor does one
/// that begins where another of its group does.
pub(super) fn spans<'a>(
    logical: &'a LogicalChannel,
    whens: &[Option<When>],
    width: usize,
) -> Vec<(When, Vec<Spanned<'a>>)> {
    let mut groups: BTreeMap<&When, Vec<(u32, &ChannelFunction)>> = BTreeMap::new();
    for (function, when) in logical.functions.iter().zip(whens) {
        let Some(when) = when else { continue };
        let from = function.from().to_width(width);
        groups.entry(when).or_default().push((from, function));
    }
    let mut spans = Vec::with_capacity(groups.len());
    for (when, mut group) in groups {
        group.sort_by_key(|(from, _)| *from);
        let mut spanned = Vec::with_capacity(group.len());
        for (i, (from, function)) in group.iter().enumerate() {
            match group.get(i + 1) {
                Some((next, _)) if next == from => {}
                Some((next, _)) => spanned.push((*function, *from, next - 1)),
                None => spanned.push((*function, *from, max_value(width))),
            }
        }
        spans.push((when.clone(), spanned));
    }
    spans
}

/// Cuts a function into its sets. What no set names is a piece of its own, and sets that say nothing
/// of their own are one with what is beside them.
pub(super) fn cut<'a>(
    function: &'a ChannelFunction,
    when: &When,
    (first, last): (u32, u32),
    width: usize,
) -> Vec<Piece<'a>> {
    let (p0, p1) = function.physical();
    let line = Line { from: (first, p0), to: (last, p1) };
    let mut sets: Vec<(u32, &ChannelSet)> = Vec::new();
    for set in &function.sets {
        let from = set.dmx_from.map_or(0, |value| value.to_width(width));
        sets.push((from.max(first), set));
    }
    sets.retain(|(from, _)| *from <= last);
    sets.sort_by_key(|(from, _)| *from);
    sets.dedup_by_key(|(from, _)| *from);
    let piece = |first: u32, last: u32, set: Option<&'a ChannelSet>| {
        let set = set.filter(|set| says_something(set));
        let own = set.filter(|set| set.physical_from.is_some() || set.physical_to.is_some());
        let line = match own {
            Some(set) => {
                let from = set.physical_from.unwrap_or_else(|| line.at(first));
                let to = set.physical_to.unwrap_or_else(|| line.at(last));
                Line { from: (first, from), to: (last, to) }
            }
            None => line,
        };
        Piece { first, last, when: when.clone(), line, function, set, flashes: None }
    };
    let mut pieces: Vec<Piece<'a>> = Vec::with_capacity(sets.len() + 1);
    let first_set = sets.first().map_or(last.saturating_add(1), |(from, _)| *from);
    if sets.is_empty() || first_set > first {
        pieces.push(piece(first, if sets.is_empty() { last } else { first_set - 1 }, None));
    }
    for (i, (from, set)) in sets.iter().enumerate() {
        let to = sets.get(i + 1).map_or(last, |(next, _)| next - 1);
        let next = piece(*from, to, Some(set));
        match pieces.last_mut() {
            Some(before) if before.set.is_none() && next.set.is_none() => before.last = to,
            _ => pieces.push(next),
        }
    }
    pieces
}

fn says_something(set: &ChannelSet) -> bool {
    set.name.as_deref().is_some_and(|name| !name.trim().is_empty())
        || set.physical_from.is_some()
        || set.physical_to.is_some()
        || set.wheel_slot.is_some_and(|slot| slot > 0)
}

/// What is left of a piece where `taken` has its values already, cut so that no part overlaps.
pub(super) fn without<'a>(piece: Piece<'a>, taken: &[&Piece<'a>]) -> Vec<Piece<'a>> {
    let mut left = vec![piece];
    for other in taken {
        left = left.into_iter().flat_map(|piece| subtract(piece, other)).collect();
        if left.len() > MOST_LEFT {
            left.truncate(MOST_LEFT);
            break;
        }
    }
    left
}

/// Parts one piece may fall into.
const MOST_LEFT: usize = 256;

/// A piece less another: both are boxes in the space of this channel's values and those of the channels
/// they depend on.
fn subtract<'a>(piece: Piece<'a>, other: &Piece<'a>) -> Vec<Piece<'a>> {
    let meets = piece.first <= other.last
        && other.first <= piece.last
        && other.when.iter().all(|(name, (first, last))| {
            let own = piece.when.get(name).copied().unwrap_or((0, 255));
            own.0 <= *last && *first <= own.1
        });
    if !meets {
        return vec![piece];
    }
    let mut rest = piece;
    let mut left = Vec::new();
    for (name, (first, last)) in &other.when {
        let (a, b) = rest.when.get(name).copied().unwrap_or((0, 255));
        let mut part = |from: i64, to: i64| {
            let mut part = rest.clone();
            part.when.insert(name.clone(), (from, to));
            left.push(part);
        };
        if a < *first {
            part(a, first - 1);
        }
        if b > *last {
            part(last + 1, b);
        }
        rest.when.insert(name.clone(), (a.max(*first), b.min(*last)));
    }
    if rest.first < other.first {
        left.push(Piece { last: other.first - 1, ..rest.clone() });
    }
    if rest.last > other.last {
        left.push(Piece { first: other.last + 1, ..rest });
    }
    left
}
