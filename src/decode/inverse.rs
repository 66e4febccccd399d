//! From a physical value back to the values of a channel that give it.

use super::compile::{CompiledChannel, CompiledRange};
use crate::finding::rounded;
use crate::profile::effect::Physical;
use crate::profile::quantity::Unit;

/// A value of a channel that gives a physical value, as nearly as it can.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// The range, as a place in the channel's ranges.
    pub range: usize,
    /// The nearest value at full resolution.
    pub value: u32,
    /// What it gives.
    pub physical: f64,
    /// How far that is from what was wanted, in the same unit.
    pub error: f64,
    /// How far off the nearest value of the coarse slot alone is, with the fine slots at 0. The same
    /// as `error` on a channel of one slot.
    pub coarse_error: f64,
}

/// The slots of a value of a channel of `width` slots, most significant first.
pub fn split(value: u32, width: usize) -> Vec<u8> {
    let width = width.min(4);
    value.to_be_bytes()[4 - width..].to_vec()
}

/// A value as people write it: `128`, or `61/40` with its coarse and fine slots apart.
pub fn written(value: u32, width: usize) -> String {
    let parts: Vec<String> = split(value, width).iter().map(u8::to_string).collect();
    parts.join("/")
}

/// Every value that gives a physical value, one for each range that can, in the ranges' order.
pub fn values_for(channel: &CompiledChannel, wanted: f64, unit: Unit) -> Vec<Candidate> {
    let all = channel.ranges.iter().enumerate();
    all.filter_map(|(i, range)| nearest(channel, i, range, wanted, unit)).collect()
}

/// The pairs in `unit` that a range gives.
fn pairs(range: &CompiledRange, unit: Unit) -> impl Iterator<Item = Physical> {
    range.effects().filter_map(|effect| effect.physical()).filter(move |p| p.unit == unit)
}

/// The units of what a channel gives, each once, in the ranges' order.
pub(super) fn units(channel: &CompiledChannel) -> impl Iterator<Item = Unit> {
    let mut seen = Vec::new();
    for physical in channel.ranges.iter().filter_map(|range| range.physical) {
        if !seen.contains(&physical.unit) {
            seen.push(physical.unit);
        }
    }
    seen.into_iter()
}

/// Everything a channel gives in `unit`: `-270..270 deg`, `0.5..18 or 0.3..3 Hz`.
pub(super) fn reach(channel: &CompiledChannel, unit: Unit) -> String {
    let mut spans: Vec<String> = Vec::new();
    for range in &channel.ranges {
        for Physical { span: (a, b), .. } in pairs(range, unit) {
            let span = match () {
                () if range.first == range.last || a == b => rounded(a, 3),
                () => format!("{}..{}", rounded(a.min(b), 3), rounded(a.max(b), 3)),
            };
            if !spans.contains(&span) {
                spans.push(span);
            }
        }
    }
    match spans.is_empty() {
        true => String::new(),
        false => format!("{} {}", spans.join(" or "), unit.symbol()),
    }
}

fn nearest(
    channel: &CompiledChannel,
    index: usize,
    range: &CompiledRange,
    wanted: f64,
    unit: Unit,
) -> Option<Candidate> {
    pairs(range, unit).find_map(|physical| {
        let t = physical.inverse(wanted)?;
        let steps = range.last - range.first;
        let given = |value: u32| physical.at(range.share_at(value));
        let (a, b) = physical.span;
        // A range of one value gives its first end and nothing between the two.
        if steps == 0 && (wanted - a).abs() > (b - a).abs() * 5e-7 + 1e-9 {
            return None;
        }
        let error = |value: u32| (given(value) - wanted).abs();
        // Half up on a tie, so that half of 0..255 is 128. The nudge undoes float noise just below.
        let place = t * f64::from(steps);
        let below = range.first + (place.floor() as u32).min(steps);
        let above = below.saturating_add(1).min(range.last);
        let noise = (b - a).abs() * 1e-12;
        let value = match error(above) <= error(below) + noise && a != b {
            true => above,
            false => below,
        };
        let fine_bits = 8 * (channel.offsets.len().clamp(1, 4) - 1) as u32;
        let coarse = u64::from(value >> fine_bits);
        let coarse_error = [coarse, coarse + 1]
            .into_iter()
            .filter_map(|coarse| u32::try_from(coarse << fine_bits).ok())
            .filter(|value| range.contains(*value))
            .map(|value| given(value) - wanted)
            .min_by(|a, b| a.abs().total_cmp(&b.abs()));
        let physical = given(value);
        let error = physical - wanted;
        let coarse_error = coarse_error.unwrap_or(error);
        Some(Candidate { range: index, value, physical, error, coarse_error })
    })
}
