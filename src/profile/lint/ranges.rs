//! The ranges of a channel beside each other: two that do the same, those of which nothing is known.

use super::{kinds, range_spot, range_words};
use crate::profile::coverage::values;
use crate::profile::validate::{Check, Spot};
use crate::profile::{Channel, Effect, Range};

/// Ranges of one channel that are compared with each other.
const COMPARED: usize = 256;

impl Check<'_> {
    /// Ranges that do the same, and those of which nothing is known.
    pub(super) fn ranges(&mut self, at: &Spot, channel: &Channel) {
        self.unknown_ranges(at, channel);
        let ranges = &channel.ranges[..channel.ranges.len().min(COMPARED)];
        for (b, range) in ranges.iter().enumerate() {
            let Some(a) = ranges[..b].iter().position(|other| same(channel, other, range)) else {
                continue;
            };
            let what = format!("it does the same as range {}: `{}`", a + 1, range_words(range));
            let mend = "look in the chart which of the two is meant";
            let spot = range_spot(at, b);
            match range.does.physical() {
                Some(_) => self.warning(kinds::SAME_RANGES, &spot, what, mend),
                None => self.note(kinds::SAME_RANGES, &spot, what, mend),
            }
        }
    }

    fn unknown_ranges(&mut self, at: &Spot, channel: &Channel) {
        let width = channel.at.len();
        let unknown = channel.ranges.iter().enumerate();
        let unknown: Vec<(usize, String)> = unknown
            .filter(|(_, range)| range.effects().any(|effect| *effect == Effect::Unknown))
            .filter_map(|(i, range)| {
                let (first, last) = range.bounds(width)?;
                Some((i, values(first, last, width)))
            })
            .collect();
        let Some((first, _)) = unknown.first() else { return };
        let shown: Vec<&str> = unknown.iter().take(4).map(|(_, values)| values.as_str()).collect();
        let more = if unknown.len() > shown.len() { " and more" } else { "" };
        let verb =
            if shown == [shown[0]] && shown[0].starts_with("value ") { "does" } else { "do" };
        let what = format!("what {}{more} {verb} is not known", shown.join(", "));
        let mend = "try it on the head, or look for a newer chart";
        self.note(kinds::UNKNOWN, &range_spot(at, *first), what, mend);
    }
}

/// Whether two ranges do the same though nothing makes them two.
fn same(channel: &Channel, a: &Range, b: &Range) -> bool {
    if a.does != b.does || a.also != b.also || a.when != b.when {
        return false;
    }
    // Charts are full of values between others at which nothing happens or light is steady: those are
    // islands, not slips, unless they touch and are called the same.
    if is_island(&a.does) {
        let width = channel.at.len();
        let (Some(a_ends), Some(b_ends)) = (a.bounds(width), b.bounds(width)) else { return false };
        let touch =
            a_ends.1.checked_add(1) == Some(b_ends.0) || b_ends.1.checked_add(1) == Some(a_ends.0);
        return touch && a.label == b.label;
    }
    true
}

fn is_island(effect: &Effect) -> bool {
    effect.physical().is_none() && effect.wheel_slots().is_empty() && {
        let once = matches!(
            effect,
            Effect::Reset { .. }
                | Effect::LampOn { .. }
                | Effect::LampOff { .. }
                | Effect::Latch { .. }
                | Effect::UseCurve { .. }
                | Effect::Program { .. }
        );
        !once
    }
}
