//! Whether the modes of a profile make sense: their channels, slots and ranges.

use std::collections::{HashMap, HashSet};

use super::check_effect::{EffectPlace, check_effect};
use super::coverage::{Gap, gaps, overlaps, values};
use super::lint::kinds;
use super::model::{Channel, Condition, Mode, Range};
use super::place::PathInFile;
use super::validate::{Check, Spot, spot};
use crate::finding::nearest;
use crate::wire::SLOTS;

/// Ranges one channel may have: as many as a coarse slot has values, for each of four conditions.
const MOST_RANGES: usize = 1024;

impl Check<'_> {
    /// Every mode.
    pub(super) fn modes(&mut self) {
        if self.profile.modes.is_empty() {
            let at = spot("modes", "");
            self.error(kinds::NO_MODE, &at, "the profile has no mode", "describe at least one");
        }
        let mut names = HashSet::new();
        for (i, mode) in self.profile.modes.iter().enumerate() {
            let at = Spot {
                path: PathInFile::top().field("modes").index(i),
                item: format!("mode \"{}\"", mode.name),
            };
            self.name_once(&at.field("name"), &mode.name, &mut names);
            if !(1..=SLOTS as u16).contains(&mode.slots) {
                self.error(
                    kinds::FOOTPRINT,
                    &at.field("slots"),
                    format!("a mode of `{}` slots fits in no universe", mode.slots),
                    format!("give the number of slots it takes, 1..{SLOTS}"),
                );
            }
            self.mode(&at, mode);
        }
    }

    fn mode(&mut self, at: &Spot, mode: &Mode) {
        let mut names = HashSet::new();
        let mut owners: HashMap<u16, &str> = HashMap::new();
        let known: HashSet<&str> = mode.channels.iter().map(|c| c.name.as_str()).collect();
        for (i, channel) in mode.channels.iter().enumerate() {
            let at = Spot {
                path: at.path.field("channels").index(i),
                item: format!("{}, channel \"{}\"", at.item, channel.name),
            };
            self.name_once(&at.field("name"), &channel.name, &mut names);
            self.channel_slots(&at, mode, channel, &mut owners);
            self.channel(&at, channel, &known);
        }
        let bare: Vec<u16> =
            (1..=mode.slots.min(SLOTS as u16)).filter(|slot| !owners.contains_key(slot)).collect();
        if !bare.is_empty() {
            self.note(
                kinds::SLOT_UNUSED,
                &at.field("slots"),
                format!("no channel describes {} of this mode", slots_in_words(&bare)),
                "what they do is unknown",
            );
        }
    }

    fn channel_slots<'m>(
        &mut self,
        at: &Spot,
        mode: &Mode,
        channel: &'m Channel,
        owners: &mut HashMap<u16, &'m str>,
    ) {
        if !(1..=4).contains(&channel.at.len()) {
            self.error(
                kinds::FOOTPRINT,
                &at.field("at"),
                format!("a channel of {} slots", channel.at.len()),
                "list its 1 to 4 slots, most significant first",
            );
        }
        for (i, slot) in channel.at.iter().enumerate().take(SLOTS + 1) {
            let at = at.field("at").index(i);
            if *slot == 0 || *slot > mode.slots {
                self.error(
                    kinds::SLOT_OUTSIDE,
                    &at,
                    format!("the mode has no slot `{slot}`"),
                    format!("its slots are 1..{}, counted from the fixture's first", mode.slots),
                );
            } else if let Some(other) = owners.insert(*slot, &channel.name) {
                self.error(
                    kinds::SLOT_TWICE,
                    &at,
                    format!("slot `{slot}` belongs to channel `{other}` already"),
                    "give each slot to one channel",
                );
            }
        }
    }

    fn channel(&mut self, at: &Spot, channel: &Channel, known: &HashSet<&str>) {
        if channel.default > channel.max_value() {
            self.error(
                kinds::DEFAULT_OUTSIDE,
                &at.field("default"),
                format!("the default `{}` does not fit the channel", channel.default),
                format!("its greatest value is {}", channel.max_value()),
            );
        }
        if let Some(cell) = channel.cell {
            let cells = self.profile.cell_count();
            if cell == 0 || usize::from(cell) > cells {
                self.error(
                    kinds::REFERENCE,
                    &at.field("cell"),
                    format!("the profile has no cell `{cell}`"),
                    format!("its cells are 1..{cells}"),
                );
            }
        }
        if channel.ranges.len() > MOST_RANGES {
            let what = format!("{} ranges in one channel", channel.ranges.len());
            self.error(
                kinds::TOO_MANY,
                &at.field("ranges"),
                what,
                format!("{MOST_RANGES} are allowed"),
            );
            return;
        }
        let mut sound = true;
        for (i, range) in channel.ranges.iter().enumerate() {
            let at = Spot {
                path: at.path.field("ranges").index(i),
                item: format!("{}, range {}", at.item, i + 1),
            };
            sound &= self.range_bounds(&at, channel, range);
            sound &= self.conditions(&at, channel, range, known);
            let place = EffectPlace { path: &at.path.field("does"), item: &at.item };
            check_effect(self.profile, place, &range.does, &mut self.found);
            for (j, effect) in range.also.iter().enumerate() {
                let place = EffectPlace { path: &at.path.field("also").index(j), item: &at.item };
                check_effect(self.profile, place, effect, &mut self.found);
            }
        }
        // What a broken range covers is anybody's guess; its own finding is enough.
        if sound {
            self.coverage(at, channel);
        }
    }

    /// Checks both ends of a range and says whether they are sound.
    fn range_bounds(&mut self, at: &Spot, channel: &Channel, range: &Range) -> bool {
        let width = channel.at.len();
        let max = i64::from(channel.max_value());
        let ends = [
            ("from", range.from, "fine_from", range.fine_from),
            ("to", range.to, "fine_to", range.fine_to),
        ];
        let mut sound = true;
        for (coarse_name, coarse, fine_name, fine) in ends {
            if coarse.is_none() && fine.is_none() {
                sound = false;
                self.error(
                    kinds::RANGE_ENDS,
                    at,
                    format!("the range has no `{coarse_name}`"),
                    format!("add `{coarse_name}: ...`, or `{fine_name}: ...` at full resolution"),
                );
            }
            for (name, value, most) in [(coarse_name, coarse, 255), (fine_name, fine, max)] {
                if value.is_some_and(|value| !(0..=most).contains(&value)) {
                    sound = false;
                    self.error(
                        kinds::RANGE_ENDS,
                        &at.field(name),
                        format!("the channel has no value `{}`", value.unwrap_or_default()),
                        format!("`{name}` lies in 0..{most}"),
                    );
                }
            }
        }
        if let (true, Some((first, last))) = (sound, range.bounds(width))
            && first > last
        {
            sound = false;
            let (from, to) = (range.from.or(range.fine_from), range.to.or(range.fine_to));
            self.error(
                kinds::RANGE_ENDS,
                at,
                format!(
                    "the range runs from `{}` back to `{}`",
                    from.unwrap_or_default(),
                    to.unwrap_or_default()
                ),
                "put the smaller value first; a falling effect is a falling pair in `does`",
            );
        }
        sound
    }

    /// Checks what a range depends on and says whether it can hold.
    fn conditions(
        &mut self,
        at: &Spot,
        channel: &Channel,
        range: &Range,
        known: &HashSet<&str>,
    ) -> bool {
        let mut sound = true;
        for (i, Condition(name, first, last)) in range.when.iter().enumerate() {
            let at = at.field("when").index(i);
            if *name == channel.name {
                sound = false;
                self.error(
                    kinds::WHEN_UNKNOWN,
                    &at.index(0),
                    "the range depends on its own channel",
                    "name another channel, or narrow `from` and `to`",
                );
            } else if !known.contains(name.as_str()) {
                sound = false;
                let near = nearest(name, known.iter().copied());
                let mend = match near {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "name a channel of this mode".to_owned(),
                };
                self.error(
                    kinds::WHEN_UNKNOWN,
                    &at.index(0),
                    format!("the mode has no channel `{name}`"),
                    mend,
                );
            }
            if first > last || *first < 0 || *last > 255 {
                sound = false;
                self.error(
                    kinds::WHEN_NEVER,
                    &at.index(1),
                    format!("no value lies in `{first}..{last}`"),
                    "give the first and the last value of the coarse slot, in 0..255",
                );
            }
        }
        sound
    }

    fn coverage(&mut self, at: &Spot, channel: &Channel) {
        if !(1..=4).contains(&channel.at.len()) {
            return;
        }
        for (a, b) in overlaps(channel) {
            let width = channel.at.len();
            let shared = match (channel.ranges[a].bounds(width), channel.ranges[b].bounds(width)) {
                (Some(a), Some(b)) => values(a.0.max(b.0), a.1.min(b.1), width),
                _ => continue,
            };
            let belong = if shared.starts_with("values") { "belong" } else { "belongs" };
            let at = Spot {
                path: at.path.field("ranges").index(b),
                item: format!("{}, range {}", at.item, b + 1),
            };
            self.error(
                kinds::OVERLAP,
                &at,
                format!("{shared} already {belong} to range {}", a + 1),
                "let each value lie in one range, or give both `when`s that exclude each other",
            );
        }
        let gaps = gaps(channel);
        for gap in gaps.iter().take(8) {
            let at = at.field("ranges");
            let mend = "if that is meant, say so with a range that is `Idle`";
            let verb = if gap.first == gap.last { "does" } else { "do" };
            let values = values(gap.first, gap.last, gap.width);
            let what = format!("{values} {verb} nothing{}", gap.while_words());
            if gap.is_whole() && !gap.setting.is_empty() {
                self.note(kinds::GAP, &at, what, mend);
            } else {
                self.warning(kinds::GAP, &at, what, mend);
            }
        }
        let default = channel.default;
        let in_gap = |gap: &&Gap| (gap.first..=gap.last).contains(&default);
        if gaps.iter().filter(|gap| gap.setting.is_empty()).any(|gap| in_gap(&gap)) {
            self.warning(
                kinds::DEFAULT_GAP,
                &at.field("default"),
                format!("no range covers the default `{default}`"),
                "choose a default that does something known",
            );
        }
    }
}

/// Slots in words: `slot 7`, `slots 3, 5..9`.
fn slots_in_words(slots: &[u16]) -> String {
    let runs = slots.chunk_by(|a, b| a + 1 == *b).map(|run| match run {
        [first, .., last] => format!("{first}..{last}"),
        _ => run.iter().map(u16::to_string).collect(),
    });
    let words: Vec<String> = runs.collect();
    format!("slot{} {}", if slots.len() == 1 { "" } else { "s" }, words.join(", "))
}
