//! Shutter and strobe.

use super::super::super::effect::{Effect, Shape, Timing};
use super::super::super::quantity::Unit;
use super::super::assumed::{PULSE_HZ, STROBE_HZ};
use super::super::numbers::ends;
use super::super::words::{Course, Words, course};
use super::{Guess, Job, level, rate};

const PULSE: [&str; 12] = [
    "pulse",
    "pulses",
    "pulsation",
    "pulsating",
    "swell",
    "ramp",
    "ramping",
    "pulsed",
    "fade in",
    "fade out",
    "sine",
    "pulsing",
];
const STROBE: [&str; 5] = ["strobe", "flash", "flashes", "strob", "flicker"];
const RANDOM: [&str; 5] = ["random", "randomly", "lightning", "thunder", "rnd"];
const BURST: [&str; 4] = ["burst", "bursts", "spike", "spikes"];
const CLOSED: [&str; 8] =
    ["closed", "close", "shut", "blackout", "dark", "no light", "light off", "no output"];
const OPEN: [&str; 7] =
    ["open", "opened", "light on", "no strobe", "strobe off", "without strobe", "full on"];

/// A row of a shutter channel.
pub(super) fn read(job: &mut Job<'_>) -> Option<Guess> {
    flashes(job).or_else(|| dims(job)).or_else(|| gate(job)).or_else(|| bare_rate(job))
}

/// Flashes of any kind.
pub(super) fn flashes(job: &mut Job<'_>) -> Option<Guess> {
    let words = &job.words;
    if words.any(&["no strobe", "strobe off", "without strobe", "no flash"]) {
        return Some(Guess::sure(Effect::Open));
    }
    let (pulse, strobe) = (words.any(&PULSE), words.any(&STROBE));
    let (random, burst) = (words.any(&RANDOM), words.any(&BURST));
    if !(pulse || strobe || random || burst) {
        return None;
    }
    if words.any(&["strobe stop", "stop"]) {
        return Some(Guess::likely(Effect::Open, "a strobe that stops is taken as open"));
    }
    let timing = if random {
        Timing::Random
    } else if burst {
        Timing::Burst
    } else {
        Timing::Even
    };
    let shape = if pulse { shape(words) } else { Shape::Hard };
    let rate = rate::hertz(job, if pulse { PULSE_HZ } else { STROBE_HZ });
    let does = Effect::Strobe { hz: rate.span, shape, timing, even_in: rate.even_in };
    Some(rate.guess(does))
}

/// Which way a pulse goes.
fn shape(words: &Words) -> Shape {
    let opening = words.any(&["opening", "open", "up", "in", "opens"]);
    let closing = words.any(&["closing", "close", "closed", "down", "out", "closes"]);
    match (opening, closing) {
        (true, false) => Shape::Opening,
        (false, true) => Shape::Closing,
        _ => Shape::Swell,
    }
}

/// Light, or none.
pub(super) fn gate(job: &mut Job<'_>) -> Option<Guess> {
    let words = &job.words;
    match (words.first(&CLOSED), words.first(&OPEN)) {
        (Some(closed), Some(open)) => {
            let percent = if closed < open { (0.0, 100.0) } else { (100.0, 0.0) };
            let does = Effect::Dimmer { percent, curve: Default::default() };
            Some(Guess::unsure(
                does,
                "both closed and open are named: taken as from one to the other",
            ))
        }
        (Some(_), None) => Some(Guess::sure(Effect::Shut)),
        (None, Some(_)) => Some(Guess::sure(Effect::Open)),
        (None, None) => {
            let strobes =
                Words::new(job.name).has("strobe") && !Words::new(job.name).has("shutter");
            if words.only(&["off", "strobe"]) && strobes {
                let why = "off is taken as no strobe: look whether light comes out";
                return Some(Guess::likely(Effect::Open, why));
            }
            match () {
                () if words.only(&["off", "light"]) => {
                    Some(Guess::likely(Effect::Shut, "off is taken as no light"))
                }
                () if words.only(&["on", "full", "light"]) => {
                    Some(Guess::likely(Effect::Open, "on is taken as steady light"))
                }
                () => None,
            }
        }
    }
}

/// A level in a shutter channel.
fn dims(job: &mut Job<'_>) -> Option<Guess> {
    let has = job.words.any(&["dimmer", "intensity", "dimming", "dim"]);
    has.then(|| level::dimmer(job)).flatten()
}

/// A rate without a word for what it is the rate of.
fn bare_rate(job: &mut Job<'_>) -> Option<Guess> {
    let says_rate = ends(&job.text, Unit::Hertz).is_some()
        || matches!(course(&job.words), Course::Rising | Course::Falling);
    let does = |rate: &rate::Rate| Effect::Strobe {
        hz: rate.span,
        shape: Shape::Hard,
        timing: Timing::Even,
        even_in: rate.even_in,
    };
    says_rate.then(|| {
        let rate = rate::hertz(job, STROBE_HZ);
        rate.guess(does(&rate))
            .doubted(super::Confidence::Likely, "a rate by itself is taken as a strobe's")
    })
}
