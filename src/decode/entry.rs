//! What a person typed for a channel, as a value: a number, coarse and fine, a percentage, a
//! physical value, or a name.
//!
//! Where two readings of the same words are in circulation, the entry says which one it took and
//! warns when the other one lands in a different range.

use std::fmt;

use super::compile::{CompiledChannel, CompiledRange};
use super::inverse::{Candidate, reach, units, values_for, written};
use super::typed::{self, Percent};
use crate::profile::quantity::Unit;

/// A value that was typed, and how it was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The value, at the channel's full resolution.
    pub value: u32,
    /// Which reading was taken, with the rounding error of a physical value.
    pub words: String,
    /// What another reading would have done, or what keeps the value from acting.
    pub warnings: Vec<String>,
}

/// Why something typed is no value of a channel.
#[derive(Clone, Debug, PartialEq)]
pub enum EntryError {
    /// Nothing was typed.
    Empty,
    /// It is none of what a channel takes: the text, and what would be right.
    NotUnderstood {
        /// What was typed.
        text: String,
        /// What this channel takes.
        takes: String,
    },
    /// A number that the slots cannot hold.
    DoesNotFit {
        /// What was typed.
        text: String,
        /// What would be right.
        right: String,
    },
    /// A physical value that no range gives.
    OutOfReach {
        /// What was typed.
        text: String,
        /// What the channel gives: `-270..270 deg`; empty where it gives nothing in that unit.
        reach: String,
        /// The unit that was typed.
        unit: Unit,
    },
    /// The beginning of more than one name.
    Ambiguous {
        /// What was typed.
        text: String,
        /// The names that begin so.
        names: Vec<String>,
    },
}

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "nothing was typed"),
            Self::NotUnderstood { text, takes } => {
                write!(f, "`{text}` is no value of this channel, which takes {takes}")
            }
            Self::DoesNotFit { text, right } => write!(f, "`{text}` does not fit: {right}"),
            Self::OutOfReach { text, reach, unit } if reach.is_empty() => {
                write!(f, "`{text}`: this channel asks for nothing in {}", unit.symbol())
            }
            Self::OutOfReach { text, reach, .. } => {
                write!(f, "`{text}` is out of reach: this channel reaches {reach}")
            }
            Self::Ambiguous { text, names } => {
                write!(f, "`{text}` may be {}", names.join(" or "))
            }
        }
    }
}

impl std::error::Error for EntryError {}

/// Reads what was typed for a channel. `held` gives the value of a slot of the fixture by its offset
/// (1 is its first), or `None` where it was never sent: it finds the range in force and tells which
/// ranges that depend on other channels hold.
///
/// Taken are
///
/// * `128`: that value in every slot of the channel, which is the same share of the channel that 128
///   is of 255;
/// * `61/40`: coarse and fine;
/// * `#15656` or `15656/65535`: the value at full resolution;
/// * `50 %`: a share of the channel, rounded half up; but a physical value where percent is what the
///   range in force (or every range with a unit) gives;
/// * `35 deg`, `5 Hz`, `3200 K`, `12 rpm`, `2 s`: the nearest value of the range in force, or else of
///   the first that reaches it;
/// * `open`, `amber`: the first value of the range, or of the range of the wheel slot, that bears or
///   alone begins with this name.
///
/// # Errors
///
/// An [`EntryError`] that says what would be right.
pub fn parse(
    channel: &CompiledChannel,
    text: &str,
    held: impl Fn(u16) -> Option<u8>,
) -> Result<Entry, EntryError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(EntryError::Empty);
    }
    let typing = Typing { channel, text, held: &held };
    let mut entry = match typed::quantity(text) {
        Some((number, Unit::Percent)) => typing.percent(number)?,
        Some((number, unit)) => typing.physical(number, unit)?,
        None => match typing.number() {
            Some(entry) => entry?,
            None => typing.name()?,
        },
    };
    if channel.find_with(entry.value, &held).is_none() {
        let written = written(entry.value, channel.offsets.len());
        entry.warnings.push(format!("no range covers {written} as things stand: it does nothing"));
    }
    Ok(entry)
}

/// One text, typed for one channel.
struct Typing<'a> {
    channel: &'a CompiledChannel,
    text: &'a str,
    held: &'a dyn Fn(u16) -> Option<u8>,
}

impl Typing<'_> {
    fn width(&self) -> usize {
        self.channel.offsets.len()
    }

    fn written(&self, value: u32) -> String {
        written(value, self.width())
    }

    /// The range in force, as a place.
    fn in_force(&self) -> Option<usize> {
        self.channel.find_with(self.channel.value_from(self.held)?, self.held)
    }

    fn holds(&self, range: &CompiledRange) -> bool {
        range.may_hold(self.held)
    }

    /// The range that a value lies in, in words.
    fn range_words(&self, value: u32) -> String {
        self.channel
            .find_with(value, self.held)
            .and_then(|range| self.channel.ranges.get(range))
            .map_or_else(|| "no range".to_owned(), |range| format!("`{}`", range.label))
    }

    fn same_range(&self, a: u32, b: u32) -> bool {
        self.channel.find_with(a, self.held) == self.channel.find_with(b, self.held)
    }

    /// A bare number, bytes, or a value at full resolution. `None`: it is something else.
    fn number(&self) -> Option<Result<Entry, EntryError>> {
        let max = self.channel.max_value();
        if let Some(full) = typed::full_resolution(self.text, max) {
            return Some(self.full(full));
        }
        let parts = typed::whole_parts(self.text)?;
        Some(match parts.as_slice() {
            [only] => self.plain(*only),
            parts => self.bytes(parts),
        })
    }

    fn full(&self, value: Option<u64>) -> Result<Entry, EntryError> {
        let max = self.channel.max_value();
        let value = value.and_then(|value| u32::try_from(value).ok()).filter(|v| *v <= max);
        let value = value.ok_or_else(|| EntryError::DoesNotFit {
            text: self.text.to_owned(),
            right: format!("at full resolution this channel takes #0..#{max}"),
        })?;
        let words = format!("{} of {max} at full resolution: {}", value, self.range_words(value));
        Ok(Entry { value, words, warnings: Vec::new() })
    }

    fn plain(&self, number: u64) -> Result<Entry, EntryError> {
        let Ok(byte) = u8::try_from(number) else {
            let right = match self.width() {
                1 => "a slot takes 0..255".to_owned(),
                _ => format!(
                    "a slot takes 0..255; at full resolution write #0..#{}",
                    self.channel.max_value()
                ),
            };
            return Err(EntryError::DoesNotFit { text: self.text.to_owned(), right });
        };
        let width = self.width() as u32;
        let value = (0..width).fold(0u32, |value, _| value << 8 | u32::from(byte));
        let mut warnings = Vec::new();
        let words = if width == 1 {
            format!("{byte}: {}", self.range_words(value))
        } else {
            let shifted = u32::from(byte) << (8 * (width - 1));
            if !self.same_range(value, shifted) {
                warnings.push(format!(
                    "{byte} in every slot is in {}; with the fine slots at 0 it is in {}",
                    self.range_words(value),
                    self.range_words(shifted)
                ));
            }
            format!("{} ({byte} in every slot): {}", self.written(value), self.range_words(value))
        };
        Ok(Entry { value, words, warnings })
    }

    fn bytes(&self, parts: &[u64]) -> Result<Entry, EntryError> {
        let bytes: Option<Vec<u8>> = parts.iter().map(|part| u8::try_from(*part).ok()).collect();
        let Some(bytes) = bytes.filter(|bytes| bytes.len() == self.width()) else {
            let takes = match self.width() {
                1 => "one slot, 0..255".to_owned(),
                2 => "coarse/fine, each 0..255".to_owned(),
                n => format!("{n} slots, each 0..255, coarse first"),
            };
            return Err(EntryError::NotUnderstood { text: self.text.to_owned(), takes });
        };
        let value = bytes.iter().fold(0u32, |value, byte| value << 8 | u32::from(*byte));
        let words = format!("{}, coarse first: {}", self.written(value), self.range_words(value));
        Ok(Entry { value, words, warnings: Vec::new() })
    }

    /// Whether a percentage is a physical value here, not a share of the channel.
    fn percent_is_physical(&self) -> bool {
        let percent = |range: &CompiledRange| {
            range.physical.is_some_and(|physical| physical.unit == Unit::Percent)
        };
        let in_force = self.in_force().and_then(|range| self.channel.ranges.get(range));
        let mut with_unit = self.channel.ranges.iter().filter(|range| range.physical.is_some());
        let all = with_unit.clone().next().is_some() && with_unit.all(percent);
        all || in_force.is_some_and(percent)
    }

    fn percent(&self, number: f64) -> Result<Entry, EntryError> {
        let share = Percent::parse(self.text).and_then(|p| p.readings(self.channel.max_value()));
        if self.percent_is_physical() {
            let physical = self.physical(number, Unit::Percent);
            match (physical, share) {
                (Ok(mut entry), Some(share)) => {
                    let (other, written) = (share.half_up, self.written(share.half_up));
                    let as_share = format!(
                        "as a share of the channel it would be {written}, in {}",
                        self.range_words(other)
                    );
                    if !self.same_range(entry.value, other) {
                        entry.warnings.push(as_share);
                    } else if entry.value.abs_diff(other) > 1 {
                        entry.words.push_str(&format!("; {as_share}"));
                    }
                    return Ok(entry);
                }
                (physical, None) => return physical,
                (Err(_), Some(_)) => {}
            }
        }
        let share = share.ok_or_else(|| EntryError::DoesNotFit {
            text: self.text.to_owned(),
            right: "a share of the channel is 0..100 %".to_owned(),
        })?;
        let value = share.half_up;
        let words = format!(
            "{} of the channel, rounded half up: {}, {}",
            self.text,
            self.written(value),
            self.range_words(value)
        );
        let mut warnings = Vec::new();
        let others = [("rounded down", share.floor), ("taken of 256", share.of_256)];
        for (how, other) in others {
            if !self.same_range(value, other) {
                warnings.push(format!(
                    "{} is {} rounded half up, in {}, but {} {how}, in {}",
                    self.text,
                    self.written(value),
                    self.range_words(value),
                    self.written(other),
                    self.range_words(other)
                ));
            }
        }
        Ok(Entry { value, words, warnings })
    }

    fn physical(&self, number: f64, unit: Unit) -> Result<Entry, EntryError> {
        let mut candidates = values_for(self.channel, number, unit);
        let mut lead = String::new();
        let mut unit = unit;
        // A chart may print the period of a rate: 0.5 s is 2 Hz, where no range counts seconds.
        if unit == Unit::Second && number > 0.0 && reach(self.channel, Unit::Second).is_empty() {
            let as_rate = values_for(self.channel, 1.0 / number, Unit::Hertz);
            if !as_rate.is_empty() {
                (candidates, unit) = (as_rate, Unit::Hertz);
                lead = format!("every {number} s, ");
            }
        }
        let in_force = self.in_force();
        let holds = |candidate: &Candidate| {
            self.channel.ranges.get(candidate.range).is_some_and(|range| self.holds(range))
        };
        let chosen = candidates
            .iter()
            .find(|candidate| Some(candidate.range) == in_force)
            .or_else(|| candidates.iter().find(|candidate| holds(candidate)))
            .or(candidates.first())
            .copied()
            .ok_or_else(|| EntryError::OutOfReach {
                text: self.text.to_owned(),
                reach: reach(self.channel, unit),
                unit,
            })?;
        let mut words = lead + &self.candidate_words(&chosen, unit);
        let others: Vec<String> = candidates
            .iter()
            .filter(|other| other.range != chosen.range && holds(other))
            .filter_map(|other| {
                let range = self.channel.ranges.get(other.range)?;
                Some(format!("`{}` at {}", range.label, self.written(other.value)))
            })
            .collect();
        if !others.is_empty() {
            words.push_str(&format!("; also {}", others.join(", ")));
        }
        let mut warnings = Vec::new();
        if let Some(range) = self.channel.ranges.get(chosen.range) {
            self.warn_unmet(range, &mut warnings);
        }
        Ok(Entry { value: chosen.value, words, warnings })
    }

    fn candidate_words(&self, candidate: &Candidate, unit: Unit) -> String {
        let label = self.channel.ranges.get(candidate.range).map_or("", |range| &range.label);
        let off = |error: f64| match error.abs() {
            error if error < 1e-9 => "exactly".to_owned(),
            error => format!("{} off", typed::significant(error, unit)),
        };
        let mut words = format!(
            "{}: `{label}`, {}, {}",
            self.written(candidate.value),
            unit.format(candidate.physical),
            off(candidate.error)
        );
        if self.width() > 1 && candidate.coarse_error.abs() > candidate.error.abs() {
            words.push_str(&format!(" (coarse alone {})", off(candidate.coarse_error)));
        }
        words
    }

    fn warn_unmet(&self, range: &CompiledRange, warnings: &mut Vec<String>) {
        for when in range.when.iter().filter(|when| !when.met(self.held)) {
            warnings.push(format!(
                "`{}` acts only while the fixture's slot {} is {}..{}",
                range.label, when.offset, when.from, when.to
            ));
        }
    }

    fn name(&self) -> Result<Entry, EntryError> {
        let wanted = self.text.to_lowercase();
        let named = |matches: &dyn Fn(&str) -> bool| -> Vec<&CompiledRange> {
            let names = |range: &&CompiledRange| {
                range.names().any(|name| matches(name.to_lowercase().as_str()))
            };
            self.channel.ranges.iter().filter(names).collect()
        };
        let mut found = named(&|name| name == wanted);
        if found.is_empty() {
            found = named(&|name| name.starts_with(&wanted));
            let mut labels: Vec<String> = found.iter().map(|range| range.label.clone()).collect();
            labels.sort();
            labels.dedup();
            if labels.len() > 1 {
                let names = labels.into_iter().map(|label| format!("`{label}`")).collect();
                return Err(EntryError::Ambiguous { text: self.text.to_owned(), names });
            }
        }
        let range = found.iter().find(|range| self.holds(range)).or(found.first());
        let range = *range.ok_or_else(|| EntryError::NotUnderstood {
            text: self.text.to_owned(),
            takes: self.takes(),
        })?;
        let span = |range: &CompiledRange| {
            format!("{}..{}", self.written(range.first), self.written(range.last))
        };
        let mut words = format!(
            "`{}`: {}, the first of {}",
            range.label,
            self.written(range.first),
            span(range)
        );
        let others: Vec<String> =
            found.iter().filter(|other| other.first != range.first).map(|r| span(r)).collect();
        if !others.is_empty() {
            words.push_str(&format!("; the same at {}", others.join(", ")));
        }
        let mut warnings = Vec::new();
        self.warn_unmet(range, &mut warnings);
        Ok(Entry { value: range.first, words, warnings })
    }

    /// What this channel takes, in words.
    fn takes(&self) -> String {
        let mut takes = vec!["0..255".to_owned()];
        if self.width() > 1 {
            takes.push("coarse/fine such as 61/40".to_owned());
        }
        takes.push("a percentage".to_owned());
        for unit in units(self.channel).filter(|unit| *unit != Unit::Percent) {
            takes.push(reach(self.channel, unit));
        }
        let mut names: Vec<&str> = Vec::new();
        for range in &self.channel.ranges {
            if !names.contains(&range.label.as_str()) {
                names.push(&range.label);
            }
        }
        match names.as_slice() {
            [] => {}
            names if names.len() <= 12 => takes.push(format!("or a name: {}", names.join(", "))),
            names => takes.push(format!("or one of its {} range names", names.len())),
        }
        takes.join(", ")
    }
}
