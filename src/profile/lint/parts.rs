//! The channels of a mode beside each other: what two of them drive at once, and what none drives.

use std::collections::BTreeMap;

use super::{channel_spot, kinds, range_spot};
use crate::profile::validate::{Check, Spot};
use crate::profile::{Channel, Condition, Effect, Head, Mode, Range, Source};

/// Pairs of ranges that are looked at for one part of a fixture.
const MOST_PAIRS: usize = 4096;

/// A part of a fixture that one channel at a time can drive: what it is, of which wheel, emitter or
/// blade, and of which cell (0 for all).
type Part<'a> = (&'static str, &'a str, u16);

impl Check<'_> {
    /// What is driven twice, and what is never driven, in one mode.
    pub(super) fn parts(&mut self, at: &Spot, mode: &Mode) {
        self.driven_twice(at, mode);
        self.impossible(at, mode);
        let any = |kind: fn(&Effect) -> bool| {
            mode.channels.iter().flat_map(|c| &c.ranges).flat_map(Range::effects).any(kind)
        };
        let spot = at.field("channels");
        if any(|effect| *effect == Effect::Unknown) {
            // What seems to be missing may be what nobody has found out yet.
            return;
        }
        let white = matches!(self.profile.source, Source::White { .. });
        if white && !any(|effect| matches!(effect, Effect::Dimmer { .. })) {
            let mend = "nothing, if the chart has none";
            self.note(kinds::NO_DIMMER, &spot, "no channel dims the light", mend);
        }
        if !matches!(self.profile.head, Head::Fixed) {
            let pans = |e: &Effect| matches!(e, Effect::Pan { .. } | Effect::PanSpin { .. });
            let tilts = |e: &Effect| matches!(e, Effect::Tilt { .. } | Effect::TiltSpin { .. });
            for (axis, driven) in [("pan", any(pans)), ("tilt", any(tilts))] {
                if !driven {
                    let what = format!("no channel drives the {axis} axis");
                    self.note(kinds::NO_AIM, &spot, what, "nothing, if the chart has none");
                }
            }
        }
        self.emitters_driven(&spot, mode);
        self.cells_driven(&spot, mode);
    }

    fn emitters_driven(&mut self, at: &Spot, mode: &Mode) {
        let effects = || mode.channels.iter().flat_map(|c| &c.ranges).flat_map(Range::effects);
        let drives = |effect: &Effect, wanted: &str| matches!(effect, Effect::Emitter { name, .. } if name == wanted);
        let emitters = self.profile.source.emitters().iter();
        let (driven, dark): (Vec<_>, Vec<_>) =
            emitters.partition(|emitter| effects().any(|effect| drives(effect, &emitter.name)));
        if driven.is_empty() || dark.is_empty() {
            return;
        }
        let names: Vec<&str> = dark.iter().map(|emitter| emitter.name.as_str()).collect();
        let what = format!("no channel drives {}", crate::finding::listed(names));
        self.note(kinds::EMITTER_UNUSED, at, what, "nothing, if the chart has none");
    }

    fn cells_driven(&mut self, at: &Spot, mode: &Mode) {
        let driven: Vec<u16> = mode.channels.iter().filter_map(|channel| channel.cell).collect();
        let all = 1..=self.profile.cell_count() as u16;
        let left: Vec<String> =
            all.filter(|cell| !driven.contains(cell)).map(|cell| format!("`{cell}`")).collect();
        if driven.is_empty() || left.is_empty() {
            return;
        }
        let shown = left[..left.len().min(8)].join(", ");
        let what = format!("no channel is for cell {shown}, while others have their own");
        self.note(kinds::CELL_UNUSED, at, what, "nothing, if the chart has none");
    }

    /// Two channels that ask different things of one part at the same time.
    fn driven_twice(&mut self, at: &Spot, mode: &Mode) {
        let mut drivers: BTreeMap<Part<'_>, Vec<(usize, usize)>> = BTreeMap::new();
        for (c, channel) in mode.channels.iter().enumerate() {
            for (r, range) in channel.ranges.iter().enumerate() {
                for effect in range.effects() {
                    if let Some(part) = part(effect, channel.cell) {
                        drivers.entry(part).or_default().push((c, r));
                    }
                }
            }
        }
        for ((what, of, _), ranges) in drivers {
            let pairs = ranges.iter().enumerate().flat_map(|(i, a)| {
                ranges[i + 1..].iter().filter(|b| b.0 != a.0).map(move |b| (*a, *b))
            });
            let both = pairs.take(MOST_PAIRS).find(|(a, b)| can_hold_together(mode, *a, *b));
            let Some((a, b)) = both else { continue };
            let (first, channel) = (&mode.channels[a.0], &mode.channels[b.0]);
            let of = if of.is_empty() { String::new() } else { format!(" of `{of}`") };
            let what = format!("it drives the {what}{of}, and so does `{}`", first.name);
            let mend = "say with `when` which of the two acts";
            self.warning(kinds::SAME_PART, &channel_spot(at, b.0, channel), what, mend);
        }
    }

    /// Ranges whose conditions contradict each other.
    fn impossible(&mut self, at: &Spot, mode: &Mode) {
        for (c, channel) in mode.channels.iter().enumerate() {
            for (r, range) in channel.ranges.iter().enumerate() {
                let Some(name) = contradiction(&range.when) else { continue };
                let spot = range_spot(&channel_spot(at, c, channel), r).field("when");
                let what = format!("`{name}` cannot be in both places at once");
                let mend = "keep one of the conditions, or make two ranges";
                self.warning(kinds::WHEN_NEVER, &spot, what, mend);
            }
        }
    }
}

/// The part that an effect drives.
fn part(effect: &Effect, cell: Option<u16>) -> Option<Part<'_>> {
    let whole = |what: &'static str| Some((what, "", 0));
    let cell = cell.unwrap_or(0);
    match effect {
        Effect::Pan { .. } => whole("pan angle"),
        Effect::Tilt { .. } => whole("tilt angle"),
        Effect::Zoom { .. } => whole("zoom"),
        Effect::Focus { .. } => whole("focus"),
        Effect::Iris { .. } => whole("iris"),
        Effect::Frost { .. } => whole("frost"),
        Effect::FrameTurn { .. } => whole("angle of all blades"),
        Effect::Blade { blade, .. } => Some(("depth of a blade", "", u16::from(*blade))),
        Effect::BladeTurn { blade, .. } => Some(("angle of a blade", "", u16::from(*blade))),
        Effect::Dimmer { .. } => Some(("dimmer", "", cell)),
        Effect::Temperature { .. } => Some(("colour temperature", "", cell)),
        Effect::Emitter { name, .. } => Some(("level", name, cell)),
        Effect::Filter { name, .. } => Some(("filter", name.word(), cell)),
        Effect::Turn { wheel, .. } | Effect::Spin { wheel, .. } => Some(("rotation", wheel, 0)),
        Effect::Slot { wheel, .. }
        | Effect::Split { wheel, .. }
        | Effect::Glide { wheel, .. }
        | Effect::Shake { wheel, .. }
        | Effect::Scroll { wheel, .. }
        | Effect::RandomSlots { wheel, .. } => Some(("place", wheel, 0)),
        _ => None,
    }
}

/// Whether two ranges of different channels can act at once.
fn can_hold_together(mode: &Mode, a: (usize, usize), b: (usize, usize)) -> bool {
    let range = |(c, r): (usize, usize)| &mode.channels[c].ranges[r];
    let own = |(c, r): (usize, usize)| {
        let channel = &mode.channels[c];
        coarse_ends(channel, range((c, r)))
            .map(|(first, last)| Condition(channel.name.clone(), i64::from(first), i64::from(last)))
    };
    let (Some(own_a), Some(own_b)) = (own(a), own(b)) else { return false };
    let mut all: Vec<Condition> = [own_a, own_b].to_vec();
    all.extend(range(a).when.iter().chain(&range(b).when).cloned());
    contradiction(&all).is_none()
}

/// First and last value of a range, as the coarse slot has them.
fn coarse_ends(channel: &Channel, range: &Range) -> Option<(u32, u32)> {
    let width = channel.at.len();
    let (first, last) = range.bounds(width)?;
    let shift = 8 * (width - 1) as u32;
    Some((first >> shift, last >> shift))
}

/// The channel that conditions would have in two places at once.
fn contradiction(conditions: &[Condition]) -> Option<&str> {
    let mut allowed: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
    for Condition(name, first, last) in conditions {
        let interval = allowed.entry(name).or_insert((0, 255));
        *interval = (interval.0.max(*first), interval.1.min(*last));
    }
    allowed.into_iter().find(|(_, (first, last))| first > last).map(|(name, _)| name)
}
