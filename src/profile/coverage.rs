//! Which values of a channel its ranges cover: twice, once or not at all.
//!
//! Ranges may depend on other channels. Two ranges collide only where their conditions can hold
//! together, and a gap may open only while other channels stand somewhere.

use std::collections::BTreeMap;
use std::fmt;

use super::model::{Channel, Condition, max_value};

/// Settings of other channels that are looked at one by one; with more, only what no setting covers
/// is reported.
const MOST_SETTINGS: usize = 256;

/// Values of a channel, at its full resolution, that do nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// The first value.
    pub first: u32,
    /// The last value, included.
    pub last: u32,
    /// Where other channels stand while the gap is there. Empty: always.
    pub setting: Vec<Condition>,
    /// Slots of the channel.
    pub width: usize,
}

impl Gap {
    /// Whether no value of the channel is left.
    pub fn is_whole(&self) -> bool {
        self.first == 0 && self.last == max_value(self.width)
    }

    /// Where other channels stand, in words: ` while `Pattern` is 0..63`. Empty: always.
    pub fn while_words(&self) -> String {
        let mut text = String::new();
        for (i, Condition(name, first, last)) in self.setting.iter().enumerate() {
            let word = if i == 0 { "while" } else { "and" };
            text.push_str(&format!(" {word} `{name}` is {first}..{last}"));
        }
        text
    }
}

impl fmt::Display for Gap {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", values(self.first, self.last, self.width), self.while_words())
    }
}

/// Values of a channel in words: `values 16..31`, of the coarse slot wherever that says it exactly.
pub fn values(first: u32, last: u32, width: usize) -> String {
    let fine = max_value(width.saturating_sub(1));
    let (first, last, of) = if width <= 1 {
        (first, last, String::new())
    } else if first & fine == 0 && last & fine == fine {
        let shift = 8 * (width - 1);
        (first >> shift, last >> shift, String::new())
    } else {
        (first, last, format!(" of {}", max_value(width)))
    };
    if first == last { format!("value {first}{of}") } else { format!("values {first}..{last}{of}") }
}

/// Pairs of ranges, by index, that cover a value together while all their conditions hold; at most
/// one pair for each range. A range with impossible bounds takes no part.
pub fn overlaps(channel: &Channel) -> Vec<(usize, usize)> {
    let mut spans = spans(channel);
    spans.sort_unstable();
    let mut pairs = Vec::new();
    for (place, (_, last, a)) in spans.iter().enumerate() {
        let next = spans[place + 1..]
            .iter()
            .take_while(|(first, ..)| first <= last)
            .find(|(.., b)| can_hold_together(channel, *a, *b));
        if let Some((.., b)) = next {
            pairs.push((*a.min(b), *a.max(b)));
        }
    }
    pairs
}

/// The values that no range covers. A gap that is there wherever other channels stand comes once.
pub fn gaps(channel: &Channel) -> Vec<Gap> {
    let width = channel.at.len();
    let spans = spans(channel);
    let always = uncovered(width, spans.iter().map(|(first, last, _)| (*first, *last)));
    let mut gaps: Vec<Gap> = always
        .iter()
        .map(|(first, last)| Gap { first: *first, last: *last, setting: Vec::new(), width })
        .collect();
    for setting in settings(channel) {
        let active = spans.iter().filter(|(.., i)| holds(&channel.ranges[*i].when, &setting));
        for (first, last) in uncovered(width, active.map(|(first, last, _)| (*first, *last))) {
            // What is never covered was reported already.
            if !always.contains(&(first, last)) {
                gaps.push(Gap { first, last, setting: setting.clone(), width });
            }
        }
    }
    gaps
}

fn spans(channel: &Channel) -> Vec<(u32, u32, usize)> {
    let width = channel.at.len();
    let bounds = channel.ranges.iter().map(|range| range.bounds(width));
    bounds
        .enumerate()
        .filter_map(|(i, bounds)| bounds.map(|(first, last)| (first, last, i)))
        .filter(|(first, last, _)| first <= last)
        .collect()
}

/// What remains of a channel's values when `spans` are taken away.
fn uncovered(width: usize, spans: impl Iterator<Item = (u32, u32)>) -> Vec<(u32, u32)> {
    let mut spans: Vec<(u32, u32)> = spans.collect();
    spans.sort_unstable();
    let mut gaps = Vec::new();
    // One past the last covered value; 64 bits, because a 32-bit channel ends at the largest u32.
    let mut next = 0u64;
    for (first, last) in spans {
        if u64::from(first) > next {
            gaps.push((next as u32, first - 1));
        }
        next = next.max(u64::from(last) + 1);
    }
    let max = max_value(width);
    if next <= u64::from(max) {
        gaps.push((next as u32, max));
    }
    gaps
}

/// Whether every condition of two ranges can hold at once: no channel would have to stand at two
/// places.
fn can_hold_together(channel: &Channel, a: usize, b: usize) -> bool {
    let mut allowed: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
    for Condition(name, first, last) in channel.ranges[a].when.iter().chain(&channel.ranges[b].when)
    {
        let interval = allowed.entry(name).or_insert((0, 255));
        *interval = (interval.0.max(*first), interval.1.min(*last));
    }
    allowed.values().all(|(first, last)| first <= last)
}

/// Every way in which the channels that this one's ranges depend on can stand, as far as its ranges
/// tell them apart. Empty where no range depends on another channel, or where the ways are too many.
fn settings(channel: &Channel) -> Vec<Vec<Condition>> {
    let mut cuts: BTreeMap<&str, Vec<i64>> = BTreeMap::new();
    for Condition(name, first, last) in channel.ranges.iter().flat_map(|range| &range.when) {
        let cuts = cuts.entry(name).or_insert_with(|| vec![0]);
        cuts.extend([*first, last.saturating_add(1)].iter().filter(|cut| (0..256).contains(*cut)));
    }
    let mut settings: Vec<Vec<Condition>> = Vec::new();
    for (name, mut cuts) in cuts {
        cuts.sort_unstable();
        cuts.dedup();
        let ends = cuts.iter().skip(1).map(|cut| cut - 1).chain([255]);
        let intervals: Vec<Condition> = cuts
            .iter()
            .zip(ends)
            .map(|(first, last)| Condition(name.to_owned(), *first, last))
            .collect();
        if settings.is_empty() {
            settings.push(Vec::new());
        }
        if settings.len() * intervals.len() > MOST_SETTINGS {
            return Vec::new();
        }
        settings = settings
            .iter()
            .flat_map(|setting| {
                intervals.iter().map(|interval| [setting, std::slice::from_ref(interval)].concat())
            })
            .collect();
    }
    settings
}

/// Whether all conditions hold in a setting, whose intervals lie wholly in or out of each of them.
fn holds(when: &[Condition], setting: &[Condition]) -> bool {
    when.iter().all(|Condition(name, first, last)| {
        setting.iter().any(|at| at.0 == *name && at.1 >= *first && at.2 <= *last)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::{Effect, Range};

    /// First value, last value, conditions.
    type Draft<'a> = (i64, i64, &'a [(&'a str, i64, i64)]);

    fn channel(width: u16, ranges: &[Draft<'_>]) -> Channel {
        let range = |(from, to, when): &Draft<'_>| Range {
            from: Some(*from),
            to: Some(*to),
            fine_from: None,
            fine_to: None,
            does: Effect::Idle,
            also: Vec::new(),
            label: String::new(),
            when: when.iter().map(|(n, a, b)| Condition((*n).to_owned(), *a, *b)).collect(),
        };
        Channel {
            name: "C".to_owned(),
            at: (1..=width).collect(),
            default: 0,
            snap: false,
            cell: None,
            ranges: ranges.iter().map(range).collect(),
        }
    }

    #[track_caller]
    fn check(channel: &Channel, overlapping: &[(usize, usize)], gaps_in_words: &[&str]) {
        assert_eq!(overlaps(channel), overlapping);
        let words: Vec<String> = gaps(channel).iter().map(Gap::to_string).collect();
        assert_eq!(words, gaps_in_words);
    }

    #[test]
    fn ranges_side_by_side_leave_nothing() {
        for width in 1..=4 {
            check(&channel(width, &[(128, 255, &[]), (0, 127, &[])]), &[], &[]);
        }
    }

    #[test]
    fn an_overlap_names_both_ranges_and_a_gap_its_values() {
        let ranges: &[Draft<'_>] = &[(10, 20, &[]), (20, 209, &[]), (211, 250, &[])];
        check(&channel(1, ranges), &[(0, 1)], &["values 0..9", "value 210", "values 251..255"]);
        check(&channel(2, ranges), &[(0, 1)], &["values 0..9", "value 210", "values 251..255"]);
        check(&channel(2, &[]), &[], &["values 0..255"]);
    }

    #[test]
    fn conditions_that_exclude_each_other_let_ranges_overlap() {
        let low: &[(&str, i64, i64)] = &[("P", 0, 63)];
        let high: &[(&str, i64, i64)] = &[("P", 64, 255)];
        check(&channel(1, &[(0, 255, low), (0, 255, high)]), &[], &[]);
        let other: &[(&str, i64, i64)] = &[("Q", 0, 63)];
        assert_eq!(overlaps(&channel(1, &[(0, 255, low), (0, 255, other)])), [(0, 1)]);
        assert_eq!(overlaps(&channel(1, &[(0, 255, low), (9, 9, &[])])), [(0, 1)]);
    }

    #[test]
    fn a_gap_that_opens_with_another_channel_says_where_that_stands() {
        let low: &[(&str, i64, i64)] = &[("P", 0, 63)];
        let high: &[(&str, i64, i64)] = &[("P", 64, 255)];
        check(
            &channel(1, &[(0, 255, low), (0, 99, high)]),
            &[],
            &["values 100..255 while `P` is 64..255"],
        );
    }
}
