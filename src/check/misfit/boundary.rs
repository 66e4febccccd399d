//! Ranges that end elsewhere than a profile says: which would explain what is seen, and the mode as it
//! would then be.

use std::sync::Arc;

use super::Case;
use super::fault::Fault;
use crate::decode::CompiledMode;
use crate::profile::{Channel, Range};

/// How far, in coarse values, an end of a range is thought to be off at most.
const REACH: u8 = 8;

/// Adds every shift of a range's end that would put a value of the frames into the range beside its own.
/// Others could not be seen in these frames.
pub(super) fn near(case: &Case<'_>, place: usize, all: &mut Vec<Fault>) {
    let address = case.rig.get(place).and_then(|fixture| fixture.address);
    let (Some(address), Some(mode)) = (address, case.mode(place)) else { return };
    let Some(described) = mode.profile.mode(&mode.name) else { return };
    for (at, channel) in mode.channels.iter().enumerate() {
        let Some(of_profile) = described.channel(&channel.name) else { continue };
        let Some(slot) = channel.offsets.first().and_then(|offset| address.slot_at(*offset)) else {
            continue;
        };
        let mut values: Vec<u8> = (case.frames.iter())
            .filter_map(|frames| frames.state(address.universe, slot).value())
            .collect();
        values.sort_unstable();
        values.dedup();
        for value in values {
            for (lower, upper) in ends(of_profile) {
                let Some((first, last, end)) = bounds(of_profile, lower, upper) else { continue };
                // Below the end: the upper range may begin with it. Above: the lower may end with it.
                let to = match value {
                    value if value <= last && last - value < REACH => value.checked_sub(1),
                    value if value > last && value - last <= REACH => Some(value),
                    _ => None,
                };
                let Some(to) = to.filter(|to| (first..end).contains(to)) else { continue };
                let fault = Fault::Boundary { channel: at, ranges: (lower, upper), last: to };
                if !all.contains(&fault) {
                    all.push(fault);
                }
            }
        }
    }
}

/// Pairs of ranges of which the second begins where the first ends.
fn ends(channel: &Channel) -> impl Iterator<Item = (usize, usize)> {
    let ranges = &channel.ranges;
    ranges.iter().enumerate().flat_map(move |(lower, range)| {
        let next = range.to.and_then(|to| to.checked_add(1));
        let behind = ranges.iter().enumerate().filter(move |(_, other)| {
            next.is_some() && other.from == next && other.when == range.when
        });
        behind.map(move |(upper, _)| (lower, upper))
    })
}

/// The first value of the lower range, its last, and the last of the upper one; `None` where one is given
/// at full resolution, which no shift of the coarse slot can mean.
fn bounds(channel: &Channel, lower: usize, upper: usize) -> Option<(u8, u8, u8)> {
    let (lower, upper) = (channel.ranges.get(lower)?, channel.ranges.get(upper)?);
    let fine = |range: &Range| range.fine_from.is_some() || range.fine_to.is_some();
    if fine(lower) || fine(upper) {
        return None;
    }
    let byte = |value: Option<i64>| u8::try_from(value?).ok();
    Some((byte(lower.from)?, byte(lower.to)?, byte(upper.to)?))
}

/// A mode whose ranges on both sides of an end meet at `last` instead.
pub(super) fn shifted(
    mode: &CompiledMode,
    channel: usize,
    ranges: (usize, usize),
    last: u8,
) -> Option<Arc<CompiledMode>> {
    let name = &mode.channels.get(channel)?.name;
    let mut described = mode.profile.mode(&mode.name)?.clone();
    let channel = described.channels.iter_mut().find(|channel| channel.name == *name)?;
    channel.ranges.get_mut(ranges.0)?.to = Some(last.into());
    channel.ranges.get_mut(ranges.1)?.from = Some(i64::from(last) + 1);
    Some(Arc::new(CompiledMode::new(&mode.profile, &described)))
}
