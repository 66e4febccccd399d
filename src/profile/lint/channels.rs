//! Single channels: where their slots lie, how they rest, what a fade passes, whether light is steady.

use super::{coarse_rest, kinds, range_spot, range_words, resting};
use crate::profile::coverage::values;
use crate::profile::model::max_value;
use crate::profile::validate::{Check, Spot};
use crate::profile::{Channel, Effect, Mode, Range};

/// How far from the middle of its travel an axis may rest, as a share of the travel: no value of one
/// slot is the middle exactly.
const NEAR_MIDDLE: f64 = 0.01;

impl Check<'_> {
    /// Where the slots of a channel lie, and ranges that its coarse slot alone does not reach.
    pub(super) fn slots_of(&mut self, at: &Spot, channel: &Channel) {
        let spot = at.field("at");
        if let Some(pair) = channel.at.windows(2).find(|pair| pair[1] < pair[0]) {
            let what =
                format!("slot {} is the finer one and comes before slot {}", pair[1], pair[0]);
            self.note(kinds::FINE_REVERSED, &spot, what, "nothing, if the chart has it so");
        }
        if let Some(pair) = channel.at.windows(2).find(|pair| pair[1].abs_diff(pair[0]) > 1) {
            let what = format!("slot {} refines slot {} and is not next to it", pair[1], pair[0]);
            self.note(kinds::FINE_APART, &spot, what, "nothing, if the chart has it so");
        }
        let width = channel.at.len();
        let fine = max_value(width.saturating_sub(1));
        for (i, range) in channel.ranges.iter().enumerate() {
            let Some((first, _)) = range.bounds(width).filter(|(first, _)| first & fine != 0)
            else {
                continue;
            };
            let coarse = first >> (8 * (width - 1));
            let what = format!("it begins at `#{first}`, inside the coarse step {coarse}");
            let mend = "set its first values with the fine slot too, or begin it on a coarse step";
            self.note(kinds::STRADDLES, &range_spot(at, i).field("fine_from"), what, mend);
        }
    }

    /// What a channel does at rest.
    pub(super) fn rest(&mut self, at: &Spot, mode: &Mode, channel: &Channel) {
        let Some((_, range)) = resting(mode, channel) else { return };
        let spot = at.field("default");
        let default = channel.default;
        for effect in range.effects() {
            match effect {
                Effect::Reset { .. }
                | Effect::LampOff { .. }
                | Effect::Program { .. }
                | Effect::Sound
                | Effect::Follow => {
                    let what = format!("the default `{default}` asks for `{}`", range_words(range));
                    let mend = "choose a default that does nothing";
                    self.warning(kinds::DEFAULT_ACTS, &spot, what, mend);
                }
                Effect::Strobe { .. } | Effect::IrisPulse { .. } => {
                    let what = format!("the default `{default}` asks for `{}`", range_words(range));
                    let mend = "choose a default that is open or closed";
                    self.warning(kinds::DEFAULT_FLASHES, &spot, what, mend);
                }
                Effect::Pan { deg } | Effect::Tilt { deg } => {
                    self.rest_of_axis(&spot, channel, range, *deg);
                }
                _ => {}
            }
        }
    }

    fn rest_of_axis(&mut self, at: &Spot, channel: &Channel, range: &Range, (a, b): (f64, f64)) {
        let Some((first, last)) = range.bounds(channel.at.len()) else { return };
        let share = f64::from(channel.default - first) / f64::from((last - first).max(1));
        if (share - 0.5).abs() > NEAR_MIDDLE {
            let deg = a + (b - a) * share;
            let what =
                format!("the default `{}` asks for {deg:.1} deg of {a}..{b}", channel.default);
            let middle = first + (last - first).div_ceil(2);
            let mend = format!("the middle of the travel is `default: {middle}`");
            self.warning(kinds::DEFAULT_AIM, at, what, mend);
        }
    }

    /// What a fade from rest to full passes on the way.
    pub(super) fn fades(&mut self, at: &Spot, channel: &Channel) {
        if channel.snap {
            return;
        }
        let width = channel.at.len();
        let max = channel.max_value();
        // From full there is only the way down.
        let up = channel.default < max;
        let end = if up { max } else { 0 };
        let crossed = channel.ranges.iter().filter_map(|range| {
            let (first, last) = range.bounds(width)?;
            let on_the_way = if up { first > channel.default } else { last < channel.default };
            let holds_the_end = (first..=last).contains(&end);
            let bad = range.effects().any(|effect| match effect {
                Effect::Strobe { .. } => !holds_the_end,
                Effect::Reset { .. } | Effect::LampOff { .. } | Effect::Program { .. } => true,
                _ => false,
            });
            (on_the_way && bad)
                .then(|| format!("`{}` ({})", range_words(range), values(first, last, width)))
        });
        let crossed: Vec<String> = crossed.take(4).collect();
        let rest = coarse_rest(channel);
        if !crossed.is_empty() {
            let to = if up { "full" } else { "0" };
            let what = format!("a fade from {rest} to {to} crosses {}", crossed.join(", "));
            self.warning(kinds::FADE_CROSSES, at, what, "let it jump: `snap: true`");
        } else if channel.ranges.iter().filter(|range| is_choice(&range.does)).count() > 1
            && channel.ranges.iter().all(|range| is_choice(&range.does) || is_step(&range.does))
        {
            let what = "it chooses between separate things and is not marked to jump";
            self.note(kinds::NO_SNAP, at, what, "let it jump: `snap: true`");
        }
    }

    /// Whether a channel that flashes can also be steady, and which way its dimmer runs.
    pub(super) fn steady_light(&mut self, at: &Spot, mode: &Mode, channel: &Channel) {
        let any = |channel: &Channel, kind: fn(&Effect) -> bool| {
            channel.ranges.iter().flat_map(Range::effects).any(kind)
        };
        let flashes = |effect: &Effect| matches!(effect, Effect::Strobe { .. });
        let steady = |effect: &Effect| {
            let dimmer = matches!(effect, Effect::Dimmer { .. } | Effect::Unknown);
            dimmer || matches!(effect, Effect::Open | Effect::Idle)
        };
        let opens = |effect: &Effect| matches!(effect, Effect::Open);
        if any(channel, flashes)
            && !any(channel, steady)
            && !mode.channels.iter().any(|other| any(other, opens))
        {
            let what = "no steady-open value is given beside the flashing ones";
            let mend = "look in the chart for the value at which it stops flashing: `Open`";
            self.warning(kinds::NO_OPEN, &at.field("ranges"), what, mend);
        }
        for (i, range) in channel.ranges.iter().enumerate() {
            if let Effect::Dimmer { percent: (a, b), .. } = range.does
                && a > b
            {
                let what = format!("the dimmer starts at {a} % and falls to {b} %");
                let mend = "nothing, if the chart has it so";
                self.warning(kinds::DIMMER_BRIGHT, &range_spot(at, i).field("does"), what, mend);
            }
        }
    }
}

/// An effect that is one of several to choose from, with nothing sensible half way to the next.
fn is_choice(effect: &Effect) -> bool {
    matches!(
        effect,
        Effect::Slot { .. }
            | Effect::Split { .. }
            | Effect::Select
            | Effect::Program { .. }
            | Effect::Sound
            | Effect::Follow
            | Effect::Latch { .. }
            | Effect::UseCurve { .. }
            | Effect::LampOn { .. }
    )
}

/// An effect that a channel of choices may have besides.
fn is_step(effect: &Effect) -> bool {
    matches!(
        effect,
        Effect::Idle
            | Effect::Unknown
            | Effect::Shut
            | Effect::Open
            | Effect::Shake { .. }
            | Effect::Scroll { .. }
            | Effect::Halt { .. }
            | Effect::RandomSlots { .. }
            | Effect::Reset { .. }
            | Effect::LampOff { .. }
    )
}
