//! Names of channels against what the channels do.

use super::kinds;
use super::words::{has, runs, words};
use crate::profile::validate::{Check, Spot};
use crate::profile::{Channel, Effect, Mode, Range, Unit};

/// Words that make a slot the finer part of another.
const FINE: &[&str] = &["fine", "ultrafine", "lsb"];

/// Words in the name of a channel, and the effects of which it should have one.
const MEANINGS: &[(&[&str], &[&str])] = &[
    (&["pan"], &["pan", "pan-spin", "pan-stop"]),
    (&["tilt"], &["tilt", "tilt-spin", "tilt-stop"]),
    (&["dimmer", "intensity"], &["dimmer", "use-curve"]),
    (&["strobe"], &["strobe", "pulse", "random-strobe", "burst"]),
    (&["zoom"], &["zoom"]),
    (&["focus"], &["focus"]),
    (&["iris"], &["iris", "iris-pulse"]),
    (&["frost"], &["frost"]),
    (&["reset"], &["reset"]),
];

/// Words that make a channel be about another one: `Pan speed`, `Strobe kind`.
const ABOUT: &[&str] =
    &["speed", "time", "rate", "kind", "mode", "type", "select", "duration", "curve", "reset"];

impl Check<'_> {
    /// Whether a channel does what its name says.
    pub(super) fn channel_name(&mut self, at: &Spot, mode: &Mode, channel: &Channel) {
        let name = words(&channel.name);
        let spot = at.field("name");
        if has(&name, FINE) {
            if channel.at.len() == 1 {
                let mend = fine_mend(mode, channel, &name);
                let what = "it is called fine and refines nothing";
                self.warning(kinds::FINE_ALONE, &spot, what, mend);
            }
            return;
        }
        if channel.ranges.iter().flat_map(Range::effects).all(says_nothing) {
            return;
        }
        if has(&name, &["speed"]) && !has_a_pace(channel) {
            let what = "no value of it asks for a speed, nor says which way speed runs";
            let mend = "give its range a rate or a time, or say `slow to fast` in its label";
            self.warning(kinds::NAME_EFFECT, &spot, what, mend);
        }
        let about = has(&name, ABOUT) && name.len() > 1;
        let does = |keys: &[&str]| {
            channel.ranges.iter().flat_map(Range::effects).any(|e| keys.contains(&e.key()))
        };
        let meaning = MEANINGS.iter().find(|(words, _)| has(&name, words));
        if let Some((words, _)) = meaning.filter(|(_, keys)| !about && !does(keys)) {
            let first = channel.ranges.first().map_or("nothing", |range| range.does.key());
            let what = format!("it is called `{}` and does `{first}`", channel.name);
            let word = words.iter().find(|word| has(&name, &[word])).copied().unwrap_or_default();
            let mend = format!("give it a range that is {word}, or name it for what it does");
            self.warning(kinds::NAME_EFFECT, &spot, what, mend);
        }
        self.emitter_name(&spot, channel, &name);
    }

    /// Whether a channel that is called as an emitter drives that one.
    fn emitter_name(&mut self, at: &Spot, channel: &Channel, name: &[String]) {
        let emitters = self.profile.source.emitters();
        let named = emitters.iter().find(|emitter| has(name, &[emitter.name.as_str()]));
        let driven = channel.ranges.iter().flat_map(Range::effects).find_map(|e| match e {
            Effect::Emitter { name, .. } => Some(name.clone()),
            _ => None,
        });
        let (Some(named), Some(driven)) = (named, driven) else { return };
        // A colour of two words, such as `deep red`, holds the name of another.
        if !words(&driven).iter().all(|word| name.contains(word)) {
            let what = format!("it is called `{}` and drives `{driven}`", channel.name);
            let mend = format!("let it drive `{}`, or name it for what it does", named.name);
            self.warning(kinds::NAME_EFFECT, at, what, mend);
        }
    }
}

/// An effect that says nothing of what its channel is for.
fn says_nothing(effect: &Effect) -> bool {
    matches!(effect, Effect::Idle | Effect::Unknown | Effect::Select)
}

/// Whether a channel asks for a rate or a time, or its labels say which way one runs.
fn has_a_pace(channel: &Channel) -> bool {
    channel.ranges.iter().any(|range| {
        let label = words(&range.label);
        let said = runs(&label, "slow", "fast") || runs(&label, "fast", "slow");
        said || range.effects().any(|effect| {
            let unit = effect.physical().map(|physical| physical.unit);
            matches!(effect, Effect::AimShare { .. })
                || matches!(
                    unit,
                    Some(Unit::Hertz | Unit::Rpm | Unit::DegreePerSecond | Unit::Second)
                )
        })
    })
}

/// What to do with a fine slot that stands alone: the channel that it most likely refines.
fn fine_mend(mode: &Mode, channel: &Channel, name: &[String]) -> String {
    let stem: Vec<&String> = name.iter().filter(|word| !FINE.contains(&word.as_str())).collect();
    let coarse = mode.channels.iter().find(|other| {
        let other_name = words(&other.name);
        other.name != channel.name && other_name.iter().collect::<Vec<_>>() == stem
    });
    match (coarse, channel.at.first()) {
        (Some(coarse), Some(fine)) => {
            let mut at: Vec<String> = coarse.at.iter().map(u16::to_string).collect();
            at.push(fine.to_string());
            format!("make it part of `{}`: `at: [{}]`", coarse.name, at.join(", "))
        }
        _ => "list its slot behind that of its coarse channel: `at: [coarse, fine]`".to_owned(),
    }
}
