//! Patterns and prisms that turn, and prisms that move in and out.

use super::super::super::effect::Effect;
use super::super::super::quantity::Unit;
use super::super::assumed::{SPIN_RPM, TURN_DEG};
use super::super::names::Kind;
use super::super::numbers::{pair, single};
use super::super::words::{Course, Turning, course, turning};
use super::{Confidence, Guess, Job, aim, rate, wheel::numbered};

/// A row of a channel that turns a pattern.
pub(super) fn pattern(job: &mut Job<'_>) -> Option<Guess> {
    let wheel = job.turned.clone();
    job.wheels.need(&wheel);
    turn(job, wheel)
}

/// A row of a channel that turns a prism.
pub(super) fn prism_turn(job: &mut Job<'_>) -> Option<Guess> {
    let wheel = prism_wheel(job);
    let guess = turn(job, wheel.clone());
    if guess.is_some() {
        job.wheels.first_prism(&wheel);
    }
    guess
}

fn prism_wheel(job: &Job<'_>) -> String {
    let own = matches!(job.named.kind, Kind::Prism | Kind::PrismTurn);
    numbered("prism", if own { job.named.nth } else { 1 })
}

/// An angle, a turn without end, or its stop.
fn turn(job: &mut Job<'_>, wheel: String) -> Option<Guess> {
    let words = &job.words;
    if words.any(&["stop", "no rotation", "stopped"]) {
        return Some(Guess::sure(Effect::SpinStop { wheel }));
    }
    if words.any(&[
        "bounce",
        "swing",
        "shake",
        "shaking",
        "random",
        "bouncing",
        "oscillate",
        "oscillation",
    ]) {
        return None;
    }
    let says = turning(words);
    let runs = course(words);
    let degrees = pair(&job.text, Unit::Degree)
        .or_else(|| single(&job.text, Unit::Degree).map(|value| (0.0, value)));
    let indexed = words.any(&["index", "position", "angle", "positioning", "fixed", "degrees"]);
    if degrees.is_some() || indexed && says == Turning::Unsaid {
        return Some(match degrees {
            Some(deg) => Guess::sure(Effect::Turn { wheel, deg }),
            None => {
                let guess = Guess::likely(
                    Effect::Turn { wheel, deg: TURN_DEG },
                    "the travel of the index is not given; a usual one is taken",
                );
                Guess { stated: false, ..guess }
            }
        });
    }
    let moving = matches!(runs, Course::Rising | Course::Falling);
    if says == Turning::Both || says == Turning::Unsaid && !moving {
        return None;
    }
    // Positive is anticlockwise seen against the beam.
    let sign = if says == Turning::Anticlockwise { 1.0 } else { -1.0 };
    let rate = rate::rpm(job, SPIN_RPM).signed(sign);
    let does = Effect::Spin { wheel, rpm: rate.span, even_in: rate.even_in };
    let guess = rate.guess(does);
    Some(if says == Turning::Unsaid {
        guess.doubted(Confidence::Unsure, "which way it turns is not said; clockwise is taken")
    } else {
        guess.doubted(Confidence::Likely, "the sense is taken as seen against the beam")
    })
}

/// A row of a prism channel.
pub(super) fn prism(job: &mut Job<'_>) -> Option<Guess> {
    let wheel = prism_wheel(job);
    let words = &job.words;
    let out = [
        "out",
        "off",
        "no prism",
        "open",
        "none",
        "not inserted",
        "removed",
        "without",
        "excluded",
    ];
    let turned = aim::says_turn(job) || words.any(&["index", "stop", "angle"]);
    let turns_by_rate = matches!(course(words), Course::Rising | Course::Falling);
    let no_turn = words.any(&["no rotation", "without rotation"]);
    if (turned || turns_by_rate) && !words.any(&out) {
        if no_turn && words.any(&["in", "on", "insert", "inserted"]) {
            let slot = job.wheels.first_prism(&wheel);
            return Some(Guess::sure(Effect::Slot { wheel, slot }));
        }
        let guess = turn(job, wheel.clone())?;
        let slot = job.wheels.first_prism(&wheel);
        return Some(guess.with(Effect::Slot { wheel, slot }));
    }
    if words.any(&out) {
        return Some(Guess::sure(Effect::Slot { slot: job.wheels.open(&wheel), wheel }));
    }
    let facets = words
        .iter()
        .zip(words.iter().skip(1))
        .find(|(_, word)| word.starts_with("facet") || word.starts_with("face"))
        .and_then(|(number, _)| number.parse::<u8>().ok())
        .filter(|n| (2..=64).contains(n));
    let inserts = words.any(&["in", "on", "insert", "inserted", "prism", "linear", "circular"]);
    if !(inserts || facets.is_some()) || words.any(&["macro", "macros", "effect", "effects"]) {
        return None;
    }
    let number = words.number_after("prism").filter(|n| facets.is_none() && *n <= 9);
    let key = match (facets, number) {
        (Some(facets), _) => format!("{facets} facets"),
        (None, Some(n)) => format!("prism {n}"),
        (None, None) => "prism".to_owned(),
    };
    let slot = job.wheels.prism(&wheel, &key, facets);
    let does = Effect::Slot { wheel, slot };
    if job.is_whole {
        return Some(Guess::unsure(does, "no value takes the prism out"));
    }
    Some(Guess::sure(does))
}
