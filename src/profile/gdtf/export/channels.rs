//! The channels of a mode: ranges as functions and sets, conditions as mode masters.
//!
//! A function ends before the next one with the same condition begins (DIN SPEC 15800, table 60), so
//! values that no range covers need a function too. They get a `NoFeature` function whose name begins
//! with [`GAP`], which the import reads as the gap it is; `NoFeature` by any other name is a range that
//! does nothing on purpose. In the same way a slot behind the last channel is named [`UNDESCRIBED`].

use std::collections::{BTreeMap, HashMap};

use super::super::description::{ChannelFunction, ChannelSet, DmxChannel, DmxMode, LogicalChannel};
use super::super::import::{GAP, UNDESCRIBED};
use super::super::said::Said;
use super::super::values::DmxValue;
use super::effects::{Names, Written, written};
use super::parts::{Levels, Place};
use super::physical::{Curves, fade};
use crate::profile::model::max_value;
use crate::profile::{Channel, Condition, Mode, Profile, Range};

/// What the channels of a profile are written with.
pub(super) struct Maker<'a> {
    pub(super) profile: &'a Profile,
    pub(super) names: &'a Names,
    pub(super) levels: &'a mut Levels,
    pub(super) curves: &'a mut Curves,
    pub(super) said: &'a mut Said,
}

/// Values with one condition, or none.
type Group<'a> = (Option<Condition>, Vec<(u32, u32, &'a Range, Written)>);

impl Maker<'_> {
    /// A mode.
    pub(super) fn mode(&mut self, mode: &Mode) -> DmxMode {
        let groups: Vec<Vec<Group<'_>>> = mode
            .channels
            .iter()
            .map(|channel| self.groups(channel, &format!("mode \"{}\"", mode.name)))
            .collect();
        let mut taken: HashMap<(Place, String), usize> = HashMap::new();
        let mut links: BTreeMap<String, (String, usize)> = BTreeMap::new();
        let mut places = Vec::with_capacity(groups.len());
        for (channel, groups) in mode.channels.iter().zip(&groups) {
            let attribute = main_attribute(groups);
            let place = Place::of(channel, &attribute, self.profile);
            let level = taken.entry((place, attribute.clone())).or_default();
            *level += 1;
            let geometry = self.levels.name(place.at_level(&attribute, *level), *level);
            let link = format!("{geometry}_{attribute}");
            links.insert(channel.name.clone(), (link, channel.at.len()));
            places.push((attribute, geometry));
        }
        let mut made = DmxMode {
            name: Some(mode.name.clone()),
            geometry: Some("Body".to_owned()),
            ..DmxMode::default()
        };
        for ((channel, groups), place) in mode.channels.iter().zip(groups).zip(places) {
            made.channels.push(self.channel(channel, groups, place, &links));
        }
        let described = mode.channels.iter().flat_map(|channel| &channel.at).copied().max();
        if described.is_none_or(|last| last < mode.slots) {
            let key = (Place::Body, gap().attribute().to_owned());
            let level = taken.get(&key).map_or(1, |level| level + 1);
            let place = Place::Body.at_level(&key.1, level);
            made.channels.push(last_slot(mode.slots, self.levels.name(place, level)));
        }
        made
    }

    /// The ranges of a channel by their condition. What depends on several channels is left out.
    fn groups<'r>(&mut self, channel: &'r Channel, mode: &str) -> Vec<Group<'r>> {
        let width = channel.at.len();
        let mut groups: Vec<Group<'r>> = Vec::new();
        for range in &channel.ranges {
            let Some((first, last)) = range.bounds(width) else { continue };
            let mut when = range.when.iter().filter(|when| (when.1, when.2) != (0, 255));
            let condition = when.next().cloned();
            if when.next().is_some() {
                let item = format!("{mode}, channel \"{}\"", channel.name);
                let what = "a range depends on more than one other channel";
                self.said.warning(&item, what, "a function can depend on one: it is left out");
                continue;
            }
            let done = (first, last, range, written(range, self.names, self.profile));
            match groups.iter_mut().find(|(of, _)| *of == condition) {
                Some((_, list)) => list.push(done),
                None => groups.push((condition, vec![done])),
            }
        }
        if groups.is_empty() {
            groups.push((None, Vec::new()));
        }
        for (_, list) in &mut groups {
            list.sort_by_key(|(first, last, ..)| (*first, *last));
        }
        groups
    }

    fn channel(
        &mut self,
        channel: &Channel,
        groups: Vec<Group<'_>>,
        (attribute, geometry): (String, String),
        links: &BTreeMap<String, (String, usize)>,
    ) -> DmxChannel {
        let width = channel.at.len();
        let mut functions: Vec<ChannelFunction> = Vec::new();
        let mut rest: Option<(bool, usize)> = None;
        for (condition, ranges) in groups {
            let master = condition.as_ref().and_then(|when| mode_master(when, links));
            let mut put = |made: ChannelFunction, first: u32, last: u32| {
                let number = functions.len() + 1;
                let start = made.name.as_deref().unwrap_or(made.attribute());
                let name = format!("{start} {number}");
                let holds = (first..=last).contains(&channel.default);
                if holds && rest.is_none_or(|(plain, _)| !plain && master.is_none()) {
                    rest = Some((master.is_none(), functions.len()));
                }
                functions.push(ChannelFunction {
                    name: Some(name),
                    original_attribute: Some(channel.name.clone()),
                    dmx_from: Some(value(first, width)),
                    mode_master: master.as_ref().map(|(link, ..)| link.clone()),
                    mode_from: master.as_ref().map(|(_, from, _)| *from),
                    mode_to: master.as_ref().map(|(.., to)| *to),
                    ..made
                });
            };
            let mut next = Some(0u32);
            let mut i = 0;
            while i < ranges.len() {
                let run = run(&ranges[i..]);
                let (first, last) = (ranges[i].0, ranges[i + run - 1].1);
                if let Some(free) = next.filter(|free| *free < first) {
                    put(gap(), free, first - 1);
                }
                let made = self.function(&ranges[i..i + run], width);
                put(made, first, last);
                next = last.checked_add(1).filter(|next| *next <= max_value(width));
                i += run;
            }
            if let Some(free) = next {
                put(gap(), free, max_value(width));
            }
        }
        let mut made = DmxChannel {
            offset: Some(channel.at.clone()),
            highlight: Some(None),
            geometry: Some(geometry.clone()),
            ..DmxChannel::default()
        };
        if let Some(function) = rest.and_then(|(_, index)| functions.get_mut(index)) {
            function.default = Some(value(channel.default, width));
            let name = function.name.as_deref().unwrap_or_default();
            made.initial_function = Some(format!("{geometry}_{attribute}.{attribute}.{name}"));
        }
        made.logical.push(LogicalChannel {
            attribute: Some(attribute),
            snap: Some(channel.snap),
            functions,
            ..LogicalChannel::default()
        });
        made
    }

    /// One function of ranges that lie one behind the other.
    fn function(
        &mut self,
        ranges: &[(u32, u32, &Range, Written)],
        width: usize,
    ) -> ChannelFunction {
        let mut made = ChannelFunction::default();
        for (first, _, range, written) in ranges {
            let label = Some(range.label.clone()).filter(|label| !label.trim().is_empty());
            let share = written.slot.and_then(|(_, share)| share);
            if label.is_some() || written.slot.is_some() {
                made.sets.push(ChannelSet {
                    name: label,
                    dmx_from: Some(value(*first, width)),
                    physical_from: share.map(|(a, _)| a),
                    physical_to: share.map(|(_, b)| b),
                    wheel_slot: written.slot.map(|(slot, _)| u32::from(slot)),
                    ..ChannelSet::default()
                });
            }
        }
        let Some((_, _, range, written)) = ranges.first() else { return made };
        made.attribute = Some(written.attribute.clone());
        made.physical_from = written.physical.map(|(a, _)| a);
        made.physical_to = written.physical.map(|(_, b)| b);
        made.wheel.clone_from(&written.wheel);
        made.emitter.clone_from(&written.emitter);
        made.dmx_profile = self.curves.name(&range.does);
        (made.real_fade_s, made.real_acceleration_s) = fade(self.profile, &range.does);
        made
    }
}

/// How many of the first ranges are one function: those that only select on a wheel and touch.
fn run(ranges: &[(u32, u32, &Range, Written)]) -> usize {
    let joins = |pair: &[(u32, u32, &Range, Written)]| {
        let (a, b) = (&pair[0], &pair[1]);
        a.1.checked_add(1) == Some(b.0)
            && a.3.selects()
            && b.3.selects()
            && a.3.attribute == b.3.attribute
    };
    1 + ranges.windows(2).take_while(|pair| joins(pair)).count()
}

/// The attribute by which links know a channel: that of its first range.
fn main_attribute(groups: &[Group<'_>]) -> String {
    let mut all = groups.iter().flat_map(|(_, ranges)| ranges).map(|(.., made)| &made.attribute);
    let first = all.clone().find(|attribute| *attribute != "NoFeature");
    first.or_else(|| all.next()).cloned().unwrap_or_else(|| "NoFeature".to_owned())
}

/// What stands at the last slot of a mode that no channel describes, so that its size is known: the
/// standard gives a mode no size of its own.
fn last_slot(slot: u16, geometry: String) -> DmxChannel {
    let attribute = gap().attribute;
    let function = ChannelFunction {
        name: Some(UNDESCRIBED.to_owned()),
        dmx_from: Some(value(0, 1)),
        default: Some(value(0, 1)),
        ..gap()
    };
    DmxChannel {
        offset: Some(vec![slot]),
        highlight: Some(None),
        geometry: Some(geometry),
        logical: vec![LogicalChannel {
            attribute,
            functions: vec![function],
            ..LogicalChannel::default()
        }],
        ..DmxChannel::default()
    }
}

fn gap() -> ChannelFunction {
    ChannelFunction {
        name: Some(GAP.to_owned()),
        attribute: Some("NoFeature".to_owned()),
        ..ChannelFunction::default()
    }
}

/// The channel that a condition is about, and from where to where it must stand.
fn mode_master(
    Condition(name, first, last): &Condition,
    links: &BTreeMap<String, (String, usize)>,
) -> Option<(String, DmxValue, DmxValue)> {
    let (link, width) = links.get(name)?;
    let shift = 8 * u32::try_from(width.checked_sub(1)?).ok()?;
    let first = u32::from(u8::try_from(*first).ok()?) << shift;
    let last = u32::from(u8::try_from(*last).ok()?) << shift | max_value(width - 1);
    Some((link.clone(), value(first, *width), value(last, *width)))
}

/// A value at a channel's full resolution, so that nothing is widened.
fn value(value: u32, width: usize) -> DmxValue {
    let bytes = u8::try_from(width.clamp(1, 4)).unwrap_or(4);
    DmxValue { value, bytes, shifted: false }
}
