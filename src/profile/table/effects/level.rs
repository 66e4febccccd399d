//! Levels: dimmers, emitters and filters.

use super::super::super::effect::{Curve, Effect, FilterName, Span};
use super::super::super::quantity::Unit;
use super::super::numbers::{pair, single};
use super::super::words::Words;
use super::{Guess, Job};

const NONE: [&str; 14] = [
    "closed", "close", "off", "dark", "none", "out", "min", "minimum", "blackout", "black", "zero",
    "no light", "without", "lowest",
];
const FULL: [&str; 11] = [
    "full",
    "open",
    "max",
    "maximum",
    "on",
    "bright",
    "in",
    "brightest",
    "highest",
    "100",
    "insert",
];

/// The percent that a row names at both ends, and whether it says so itself.
pub(super) fn percent(text: &str, words: &Words, is_whole: bool) -> Option<(Span, bool)> {
    let hundred = |value: f64| (0.0..=100.0).contains(&value);
    if let Some((a, b)) = pair(text, Unit::Percent).filter(|(a, b)| hundred(*a) && hundred(*b)) {
        return Some(((a, b), true));
    }
    if words.has("0 100") {
        return Some(((0.0, 100.0), true));
    }
    if words.has("100 0") {
        return Some(((100.0, 0.0), true));
    }
    let falls = words.any(&["reversed", "inverse", "inverted", "decreasing", "reverse"]);
    match (words.first(&NONE), words.first(&FULL)) {
        (Some(none), Some(full)) if none < full => Some(((0.0, 100.0), true)),
        (Some(_), Some(_)) => Some(((100.0, 0.0), true)),
        (Some(_), None) if !is_whole => Some(((0.0, 0.0), true)),
        (None, Some(_)) if !is_whole => Some(((100.0, 100.0), true)),
        _ => {
            if let Some(value) = single(text, Unit::Percent).filter(|value| hundred(*value)) {
                return (!is_whole).then_some(((value, value), true));
            }
            (is_whole && !falls).then_some(((0.0, 100.0), false))
        }
    }
}

/// Words that a dimmer's row may have without saying anything of its ends.
const PLAIN: [&str; 13] = [
    "dimmer",
    "intensity",
    "master",
    "dimming",
    "linear",
    "brightness",
    "control",
    "level",
    "adjustment",
    "proportional",
    "light",
    "output",
    "of",
];

/// A row of a dimmer channel.
pub(super) fn dimmer(job: &mut Job<'_>) -> Option<Guess> {
    let curve = if job.words.has("linear") { Curve::Linear } else { Curve::Unknown };
    if let Some((percent, said)) = percent(&job.text, &job.words, job.is_whole) {
        let plain =
            said || job.words.only(&PLAIN) || job.words.text() == Words::new(job.name).text();
        let does = Effect::Dimmer { percent, curve };
        return Some(if plain {
            Guess::sure(does)
        } else {
            Guess::likely(does, "its words do not say the ends; dark to full is taken")
        });
    }
    let words_only = job.words.only(&PLAIN) && job.values > 8;
    words_only.then(|| {
        let does = Effect::Dimmer { percent: (0.0, 100.0), curve };
        Guess::likely(does, "its words do not say the ends; dark to full is taken")
    })
}

/// A row of a channel that is called by a colour.
pub(super) fn emitter(job: &mut Job<'_>, name: &str) -> Option<Guess> {
    let (percent, said) = percent(&job.text, &job.words, job.is_whole)?;
    let filter = match name {
        "cyan" => Some(FilterName::Cyan),
        "magenta" => Some(FilterName::Magenta),
        "yellow" => Some(FilterName::Yellow),
        _ => None,
    };
    let does = match filter.filter(|_| !job.has_emitters) {
        Some(name) => Effect::Filter { name, percent },
        None => Effect::Emitter { name: name.to_owned(), percent },
    };
    let mut plain =
        vec!["emitter", "led", "leds", "level", "of", "cell", "pixel", "zone", "head", "light"];
    plain.extend(PLAIN);
    let own = Words::new(job.name);
    let known = job.words.iter().all(|word| {
        plain.contains(&word)
            || own.has(word)
            || name.contains(word)
            || word.chars().all(|c| c.is_ascii_digit())
    });
    Some(if said || known {
        Guess::sure(does)
    } else {
        Guess::likely(does, "its words do not say the ends; none to full is taken")
    })
}
