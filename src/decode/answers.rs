//! Every range that can do what was asked for, with the values that do it: the answer to "which value
//! gives 5 Hz?" where [`entry`](super::entry) only takes one.

use super::compile::{CompiledChannel, CompiledRange};
use super::entry::{EntryError, parse};
use super::inverse::{Candidate, reach, values_for};
use super::typed;
use crate::profile::quantity::Unit;

/// Values of one range that do what was asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Answer {
    /// The range, as a place in the channel's ranges.
    pub range: usize,
    /// The first value that does it, at full resolution; the nearest one to a physical value.
    pub first: u32,
    /// The last value that does it; the same as `first` for a physical value.
    pub last: u32,
    /// How near it comes, where a physical value was asked for.
    pub near: Option<Near>,
}

/// How near a value comes to a physical value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// What the value gives.
    pub physical: f64,
    /// Its unit.
    pub unit: Unit,
    /// How far that is from what was asked for, in the same unit.
    pub error: f64,
    /// How far off the nearest value of the coarse slot alone is, with the fine slots at 0.
    pub coarse_error: f64,
}

/// Every range of a channel that can do what `text` asks for, in the ranges' order, whatever other
/// channels stand at: a physical value such as `5 Hz`, a range or wheel slot by its name or the
/// beginning of it, or any other value that [`parse`] takes. `held` is as it is there.
///
/// # Errors
///
/// An [`EntryError`] where no value does it.
pub fn answers(
    channel: &CompiledChannel,
    text: &str,
    held: impl Fn(u16) -> Option<u8>,
) -> Result<Vec<Answer>, EntryError> {
    let text = text.trim();
    let found = match typed::quantity(text) {
        Some((number, unit)) => physical(channel, number, unit),
        None => named(channel, text),
    };
    if !found.is_empty() {
        return Ok(found);
    }
    let value = parse(channel, text, &held)?.value;
    let range = channel.find_with(value, &held);
    Ok(range
        .map(|range| Answer { range, first: value, last: value, near: None })
        .into_iter()
        .collect())
}

fn physical(channel: &CompiledChannel, number: f64, unit: Unit) -> Vec<Answer> {
    let mut found = values_for(channel, number, unit);
    let mut unit = unit;
    // A chart may print the period of a rate: 0.5 s is 2 Hz, where no range counts seconds.
    if unit == Unit::Second && number > 0.0 && reach(channel, Unit::Second).is_empty() {
        unit = Unit::Hertz;
        found = values_for(channel, 1.0 / number, unit);
    }
    let answer = |Candidate { range, value, physical, error, coarse_error }: Candidate| Answer {
        range,
        first: value,
        last: value,
        near: Some(Near { physical, unit, error, coarse_error }),
    };
    found.into_iter().map(answer).collect()
}

/// Ranges that bear a name; where none does, those whose name begins with it.
fn named(channel: &CompiledChannel, text: &str) -> Vec<Answer> {
    let wanted = text.to_lowercase();
    if wanted.is_empty() || wanted.starts_with(|c: char| c.is_ascii_digit() || c == '#') {
        return Vec::new();
    }
    let ranges = |matches: &dyn Fn(&str) -> bool| -> Vec<Answer> {
        let bears = |range: &CompiledRange| range.names().any(|name| matches(&name.to_lowercase()));
        let all = channel.ranges.iter().enumerate().filter(|(_, range)| bears(range));
        let answer = |(range, of): (usize, &CompiledRange)| Answer {
            range,
            first: of.first,
            last: of.last,
            near: None,
        };
        all.map(answer).collect()
    };
    match ranges(&|name| name == wanted) {
        exact if !exact.is_empty() => exact,
        _ => ranges(&|name| name.starts_with(&wanted)),
    }
}
