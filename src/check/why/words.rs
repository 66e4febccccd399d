//! The answer in words that a student understands.

use super::causes::{Cause, Evidence, bears_on};
use super::links::{Link, Stage};
use super::{Landing, Verdict, Why};
use crate::decode::{CompiledRange, Held, ShutterAsk, WheelPlace, written};
use crate::finding::rounded;
use crate::motion::{Lamp, LampState};
use crate::profile::{Effect, WheelSlot, model::max_value};

impl Why<'_> {
    /// The answer in one sentence: what holds the light back first, or how much light there is.
    pub fn sentence(&self) -> String {
        match self.verdict {
            Verdict::NotPatched => {
                "not known: it has no address, so that no frame reaches it".to_owned()
            }
            Verdict::Lit => format!("lit: {}", self.light_words()),
            Verdict::RunsItself => {
                let causes = self.causes();
                let program = causes.iter().find(|cause| cause.link.stage == Stage::Program);
                let because = program.map_or_else(String::new, |cause| self.because(cause));
                format!("not known: {because}")
            }
            Verdict::Dark => match self.first_cause() {
                Some(cause) => format!("dark because {}", self.because(&cause)),
                None => "dark because its source gives no light at all".to_owned(),
            },
        }
    }

    /// The cause that the sentence names: the first that holds all light back, else the first.
    pub fn first_cause(&self) -> Option<Cause<'_>> {
        let first = *self.first_block()?;
        self.causes().into_iter().find(|cause| cause.link == first)
    }

    /// How much light leaves it: `34 % of full, 2790 lm`.
    pub fn light_words(&self) -> String {
        let mut words = format!("{} of full, {} lm", percent(self.share()), lumens(self.flux_lm));
        if let Some(flash) = self.pose.flash() {
            words.push_str(&format!(", {} flashes a second", rounded(flash.hz, 2)));
        }
        if self.pose.lamp == Lamp::Unknown {
            words.push_str("; whether its lamp burns is not known");
        }
        words
    }

    /// What a cause comes to, in words: what holds the light back, where the value lies, and which value
    /// of the same channel would not.
    pub fn because(&self, cause: &Cause<'_>) -> String {
        let link = &cause.link;
        let left = |until_s: f64| match self.over_time {
            Some((_, t_s)) => format!("{} s", rounded((until_s - t_s).max(0.0), 1)),
            None => "some time".to_owned(),
        };
        match (link.stage, self.over_time) {
            (Stage::Data, Some((head, t_s))) => {
                let since_s = head.lost_since_s().map_or(0.0, |since_s| t_s - since_s);
                let since = rounded(since_s.max(0.0), 1);
                return format!(
                    "the signal was lost {since} s ago, and it goes dark then by itself"
                );
            }
            (Stage::Control, Some((head, _))) => {
                let end_s = head.reset().map_or(0.0, |reset| reset.end_s);
                return format!("a reset is running, for {} more", left(end_s));
            }
            (Stage::Lamp, Some((head, t_s))) => match (self.pose.lamp, head.lamp()) {
                (Lamp::Striking, LampState::Struck { lit_s }) => {
                    return format!("the lamp was struck and gives light in {}", left(lit_s));
                }
                (Lamp::Hot, LampState::PutOut { cool_s }) => {
                    let cool = left(cool_s.max(t_s));
                    return format!("the lamp was put out and is too hot to strike for {cool}");
                }
                _ if cause.evidence.is_empty() => return "the lamp was put out".to_owned(),
                _ => {}
            },
            (Stage::Moving, Some((head, _))) => {
                let arrives = head.arrives_s();
                let last_s = arrives.aim_s().into_iter().chain(arrives.wheels_s);
                let last_s = last_s.fold(f64::NEG_INFINITY, f64::max);
                let evidence = self.all_evidence(cause);
                let tail = if evidence.is_empty() { evidence } else { format!(": {evidence}") };
                return format!("it keeps dark while it moves, for {} more{tail}", left(last_s));
            }
            _ => {}
        }
        if link.stage == Stage::Emitters && cause.evidence.len() > 1 {
            let slots: Vec<u16> = cause
                .evidence
                .iter()
                .flat_map(|evidence| evidence.slots.iter().flatten().map(|slot| slot.number()))
                .collect();
            return format!("every emitter is at 0: slots {}", runs(slots));
        }
        if cause.evidence.is_empty() {
            return self.without_slots(link);
        }
        let mut words = self.all_evidence(cause);
        if self.wheel_is_on_its_way(link) {
            words.push_str("; the wheel is still on its way");
        }
        words
    }

    fn all_evidence(&self, cause: &Cause<'_>) -> String {
        let all = cause.evidence.iter().map(|evidence| {
            let mut words = evidence.words();
            if let Some(other) = self.instead(evidence, &cause.link) {
                words.push_str(&format!("; {other}"));
            }
            words
        });
        all.collect::<Vec<_>>().join(", and ")
    }

    /// What holds the light back where no slot does.
    fn without_slots(&self, link: &Link) -> String {
        let mode = self.reading.mode;
        match link.wheel {
            Some(wheel) => {
                let name = mode.wheels.get(wheel).map_or("", String::as_str);
                let stands = match self.wheel_slot(link) {
                    Some((_, slot)) => format!("stands at `{slot}`"),
                    None => "stands between two places".to_owned(),
                };
                let asked = match self.wheel_asked(wheel) {
                    WheelPlace::Unasked => ", where it is at rest: no channel asks anything of it",
                    _ if self.wheel_is_on_its_way(link) => " and is on its way",
                    _ => "",
                };
                format!("wheel `{name}` {stands}{asked}")
            }
            None if link.stage == Stage::Shutter => match self.shutter_asked(link) {
                ShutterAsk::Shut => "its shutter is shut".to_owned(),
                _ => "its shutter has not opened yet".to_owned(),
            },
            None => match link.stage {
                Stage::Lamp => "the lamp was put out".to_owned(),
                Stage::Dimmer => "its dimmer is at 0".to_owned(),
                stage => format!("{} lets nothing through", stage.word()),
            },
        }
    }

    /// Which value of a channel would not hold the light back as its own does: `open is 16..31`.
    fn instead(&self, evidence: &Evidence<'_>, link: &Link) -> Option<String> {
        let channel = evidence.channel.channel;
        let width = channel.offsets.len();
        let works = |range: &CompiledRange, is: fn(&Effect) -> bool| {
            range.effects().any(|effect| bears_on(range, effect, link) && is(effect))
        };
        // A level goes to the end of its own range first.
        let level = evidence.range.filter(|range| works(range, is_level));
        if let Some((range, end)) = level.and_then(|range| Some((range, brightest_end(range)?))) {
            let what = match range.effects().next()? {
                Effect::Filter { .. } | Effect::Blade { .. } => "out of the light",
                Effect::Iris { .. } => "open",
                _ => "full",
            };
            return (end != evidence.value).then(|| format!("{what} is {}", written(end, width)));
        }
        let held = |offset| self.reading.slot_state(offset).and_then(|state| state.value());
        let lets = |range: &&CompiledRange| {
            let runs = |effect: &Effect| {
                matches!(effect, Effect::Program { .. } | Effect::Sound | Effect::Follow)
            };
            let fits = match link.stage {
                Stage::Program => !range.effects().any(runs),
                Stage::Lamp => works(range, |effect| matches!(effect, Effect::LampOn { .. })),
                Stage::Moving => !works(range, |_| true),
                Stage::Shutter => works(range, |effect| matches!(effect, Effect::Open)),
                Stage::Colour | Stage::Pattern => self.puts_open(range, link),
                _ => false,
            };
            fits && range.may_hold(held)
        };
        let far = |range: &&CompiledRange| match evidence.value {
            value if value < range.first => range.first - value,
            value => value.saturating_sub(range.last),
        };
        let range = channel.ranges.iter().filter(lets).min_by_key(far)?;
        Some(format!("{} is {}", range.label, bounds(range, width)))
    }

    /// Whether a range puts something into the light of a wheel that lets it through.
    fn puts_open(&self, range: &CompiledRange, link: &Link) -> bool {
        let mode = self.reading.mode;
        let Some(wheel) = link.wheel.and_then(|wheel| mode.wheels.get(wheel)) else { return false };
        let Some(wheel) = mode.profile.wheels.get(wheel) else { return false };
        range.wheel == link.wheel
            && matches!(&range.does, Effect::Slot { slot, .. }
                if usize::from(*slot).checked_sub(1).and_then(|slot| wheel.slots.get(slot))
                    .is_some_and(|slot| !matches!(slot, WheelSlot::Blocked(_))))
    }

    /// What made a link what it is, in words; empty where nothing is to be said.
    pub fn link_words(&self, link: &Link) -> String {
        let evidence = self.evidence(link);
        let all: Vec<String> = evidence.iter().take(MOST_TOLD).map(Evidence::words).collect();
        match (evidence.len(), link.stage) {
            (0, Stage::Lamp) => "nothing that was seen struck it or put it out".to_owned(),
            (0, _) if link.blocks() => self.without_slots(link),
            (n, _) if n > MOST_TOLD => format!("{}, and {} more", all.join("; "), n - MOST_TOLD),
            _ => all.join("; "),
        }
    }

    /// The links that there is something to say of: those that hold something back, or that a channel bears on.
    pub fn telling_links(&self) -> impl Iterator<Item = &Link> {
        self.links.iter().filter(|link| {
            link.stage == Stage::Data
                || link.lets_through != Some(1.0)
                || !self.evidence(link).is_empty()
        })
    }

    /// What a link is called: its stage, and the wheel where it is one.
    pub fn link_name(&self, link: &Link) -> String {
        match link.wheel.and_then(|wheel| self.reading.mode.wheels.get(wheel)) {
            Some(wheel) if wheel != link.stage.word() => format!("{} ({wheel})", link.stage.word()),
            None if link.stage == Stage::Colour => "colour filters".to_owned(),
            _ => link.stage.word().to_owned(),
        }
    }

    /// What would show that a cause is not the one: a test to make, in words.
    pub fn disproof(&self, cause: &Cause<'_>) -> String {
        let slots = |evidence: &Evidence<'_>| evidence.slots_named();
        match (cause.link.stage, cause.evidence.first()) {
            (Stage::Data, _) => {
                "bring the signal back: if it stays dark, this was not all".to_owned()
            }
            (Stage::Control, _) => {
                "wait until the reset is over: a head that is still dark then has another cause"
                    .to_owned()
            }
            (Stage::Lamp, _) => {
                "look into the lens from the side: a faint glow says that the lamp burns".to_owned()
            }
            (Stage::Program, Some(evidence)) => format!(
                "move {} out of the range: a head that goes on by itself was started in its menu",
                slots(evidence)
            ),
            (Stage::Moving, _) => {
                "let it stand still: a head that stays dark then has another cause".to_owned()
            }
            (_, Some(evidence)) => format!(
                "move {} and look: a head whose light stays the same does not read it there, or is held \
                 dark by something else as well",
                slots(evidence)
            ),
            (_, None) => "look at the head: no slot made it so".to_owned(),
        }
    }
}

impl Evidence<'_> {
    /// The channel's slots by number: `slot 7`, `slots 1 and 2`.
    pub fn slots_named(&self) -> String {
        let number = |slot: &Option<crate::wire::Slot>| {
            slot.map_or_else(|| "one past the end".to_owned(), |slot| slot.to_string())
        };
        let all: Vec<String> = self.slots.iter().map(number).collect();
        match all.as_slice() {
            [one] => format!("slot {one}"),
            all => format!("slots {}", all.join(" and ")),
        }
    }

    /// Slots and bytes: `slot 7 = 9`, `slots 1 and 2 = 12/0`; without a value what is known of it.
    pub fn slot_words(&self) -> String {
        let slots = self.slots_named();
        match self.channel.held {
            Held::Sent(value) => {
                format!("{slots} = {}", written(value, self.channel.channel.offsets.len()))
            }
            Held::Kept(value) => {
                let value = written(value, self.channel.channel.offsets.len());
                format!("{slots} = {value} (kept)")
            }
            Held::NeverSent => {
                let missing = self.slots.iter().zip(&self.bytes).filter(|(_, byte)| byte.is_none());
                let missing: Vec<String> =
                    missing.filter_map(|(slot, _)| slot.map(|slot| slot.to_string())).collect();
                let word = if missing.len() == 1 { "slot" } else { "slots" };
                format!("no frame has reached {word} {}", missing.join(" and "))
            }
            Held::NoSlot => format!("`{}` has no slot", self.channel.channel.name),
        }
    }

    /// Where the value lies: `slot 7 = 9 is in the range closed, 0..15`.
    pub fn words(&self) -> String {
        let slots = self.slot_words();
        let channel = &self.channel;
        let width = channel.channel.offsets.len();
        let label = |range: &CompiledRange| {
            let asks = range.physical.map(|physical| {
                let value = physical.at(range.share_at(self.value));
                format!(" ({})", physical.unit.format(value))
            });
            format!("{}, {}{}", range.label, bounds(range, width), asks.unwrap_or_default())
        };
        let rests = |range: Option<&CompiledRange>| match range {
            Some(range) => format!("taken to be at rest, in the range {}", label(range)),
            None => "nothing is known of it".to_owned(),
        };
        match (channel.held, self.range) {
            (Held::Sent(_) | Held::Kept(_), Some(range)) if !self.at_rest => {
                let is = if self.slots.len() > 1 { "are" } else { "is" };
                format!("{slots} {is} in the range {}", label(range))
            }
            (Held::Sent(_) | Held::Kept(_), range) if channel.waits => {
                format!(
                    "{slots} means what a slot says that no frame has reached; {}",
                    rests(range)
                )
            }
            (Held::Sent(_) | Held::Kept(_), range) => {
                format!("{slots} is in no range; {}", rests(range))
            }
            (Held::NeverSent | Held::NoSlot, range) => format!("{slots}; {}", rests(range)),
        }
    }
}

impl Landing {
    /// Where the light lands, in words: `the floor, 6.9 m away, at 0.0, 3.5, 0.0 m`.
    pub fn words(&self) -> String {
        let (Some(on), Some(at), Some(distance_m)) = (self.on, self.at, self.distance_m) else {
            return "nowhere in the room".to_owned();
        };
        let [x, y, z] = at.to_array().map(|m| rounded(m, 1));
        format!("{on}, {} m away, at {x}, {y}, {z} m", rounded(distance_m, 1))
    }
}

/// Slots by number, those in a row together: `7, 9..12`.
fn runs(mut slots: Vec<u16>) -> String {
    slots.sort_unstable();
    slots.dedup();
    let mut runs: Vec<(u16, u16)> = Vec::new();
    for slot in slots {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == slot => *last = slot,
            _ => runs.push((slot, slot)),
        }
    }
    let words = runs.iter().map(|(first, last)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first}..{last}"),
    });
    words.collect::<Vec<_>>().join(", ")
}

/// Channels of one link that are told of at most.
const MOST_TOLD: usize = 4;

/// Whether an effect lets through a share of the light that its value sets.
pub(super) fn is_level(effect: &Effect) -> bool {
    matches!(
        effect,
        Effect::Dimmer { .. }
            | Effect::Emitter { .. }
            | Effect::Iris { .. }
            | Effect::Filter { .. }
            | Effect::Blade { .. }
    )
}

/// The value of a range at which there is most light, where its physical pair is a level.
pub(super) fn brightest_end(range: &CompiledRange) -> Option<u32> {
    let (a, b) = range.physical?.span;
    let held_back = matches!(range.does, Effect::Filter { .. } | Effect::Blade { .. });
    match a == b {
        true => None,
        false => Some(if (a > b) != held_back { range.first } else { range.last }),
    }
}

/// The values of a range, of the coarse slot wherever that says it exactly: `0..15`.
pub(super) fn bounds(range: &CompiledRange, width: usize) -> String {
    let fine = max_value(width.saturating_sub(1));
    let (first, last) = (range.first, range.last);
    let (first, last) = match width > 1 && first & fine == 0 && last & fine == fine {
        true => (first >> (8 * (width - 1)), last >> (8 * (width - 1))),
        false => (first, last),
    };
    if first == last { first.to_string() } else { format!("{first}..{last}") }
}

/// A share in percent, with as many digits as tell it from nothing.
pub fn percent(share: f64) -> String {
    let percent = share * 100.0;
    match percent {
        p if p >= 9.95 => format!("{p:.0} %"),
        p if p >= 0.05 => format!("{p:.1} %"),
        p if p > 0.0 => "under 0.1 %".to_owned(),
        _ => "0 %".to_owned(),
    }
}

fn lumens(flux_lm: f64) -> String {
    if flux_lm >= 10.0 { rounded(flux_lm, 0) } else { rounded(flux_lm, 2) }
}
