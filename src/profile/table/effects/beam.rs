//! Zoom, focus, iris, frost, colour temperature and framing blades.

use super::super::super::effect::{Effect, Shape, Span};
use super::super::super::quantity::Unit;
use super::super::assumed::{HALF_BLADE_DEG, PULSE_HZ, ZOOM_DEG};
use super::super::numbers::{ends, pair};
use super::super::words::Words;
use super::{Confidence, Guess, Job, level, rate};

/// Which ends of a range two kinds of words name: low, high, or neither.
fn run(words: &Words, low: &[&str], high: &[&str], (least, most): Span) -> Option<Span> {
    match (words.first(low), words.first(high)) {
        (Some(a), Some(b)) if a < b => Some((least, most)),
        (Some(_), Some(_)) => Some((most, least)),
        (Some(_), None) => Some((least, least)),
        (None, Some(_)) => Some((most, most)),
        (None, None) => None,
    }
}

/// Whether both ends are the same while the row covers every value.
fn is_one_ended(job: &Job<'_>, span: Span) -> bool {
    job.is_whole && span.0 == span.1
}

pub(super) fn zoom(job: &mut Job<'_>) -> Option<Guess> {
    let narrow = ["narrow", "small", "spot", "tight", "min", "minimum", "narrowest", "smallest"];
    let wide =
        ["wide", "big", "large", "flood", "max", "maximum", "widest", "biggest", "largest", "wash"];
    let said = run(&job.words, &narrow, &wide, ZOOM_DEG);
    let good = |(a, b): &Span| (0.01..=179.9).contains(a) && (0.01..=179.9).contains(b);
    if let Some(deg) = ends(&job.text, Unit::Degree).filter(good) {
        let guess = Guess::sure(Effect::Zoom { deg });
        let against = said.is_some_and(|(a, b)| (b - a) * (deg.1 - deg.0) < 0.0);
        return Some(if against {
            guess.doubted(Confidence::Unsure, "its words and its angles run opposite ways")
        } else {
            guess
        });
    }
    let guess = |deg| Guess { stated: false, ..Guess::sure(Effect::Zoom { deg }) };
    match said.filter(|span| !is_one_ended(job, *span)) {
        Some(deg) => Some(
            guess(deg)
                .doubted(Confidence::Likely, "the angles are not given; usual ones are taken"),
        ),
        None if job.is_whole => Some(guess(ZOOM_DEG).doubted(
            Confidence::Unsure,
            "which end is narrow is not said; narrow to wide is taken",
        )),
        None => None,
    }
}

pub(super) fn focus(job: &mut Job<'_>) -> Option<Guess> {
    if job.words.any(&["auto", "autofocus", "automatic"]) {
        return None;
    }
    let near = ["near", "close", "closest", "nearest"];
    let far = ["far", "infinity", "infinite", "distant", "inf", "furthest", "farthest"];
    match run(&job.words, &near, &far, (0.0, 100.0)).filter(|span| !is_one_ended(job, *span)) {
        Some(percent) => Some(Guess::sure(Effect::Focus { percent })),
        None if job.is_whole => Some(Guess::unsure(
            Effect::Focus { percent: (0.0, 100.0) },
            "which end is near is not said; near to far is taken",
        )),
        None => None,
    }
}

pub(super) fn iris(job: &mut Job<'_>) -> Option<Guess> {
    let words = &job.words;
    if words.any(&["pulse", "pulsation", "pulsating", "pulses", "pulsed", "swell", "ramp"]) {
        if words.has("random") {
            return None;
        }
        let shape =
            match (words.any(&["opening", "open"]), words.any(&["closing", "close", "closed"])) {
                (true, false) => Shape::Opening,
                (false, true) => Shape::Closing,
                _ => Shape::Swell,
            };
        let rate = rate::hertz(job, PULSE_HZ);
        return Some(rate.guess(Effect::IrisPulse { hz: rate.span, shape }));
    }
    if words.any(&["random", "strobe", "effect", "macro"]) {
        return None;
    }
    let closed =
        ["closed", "close", "min", "minimum", "small", "narrow", "smallest", "shut", "tight"];
    let open = ["open", "opened", "max", "maximum", "large", "big", "wide", "biggest", "largest"];
    match run(words, &closed, &open, (0.0, 100.0)).filter(|span| !is_one_ended(job, *span)) {
        Some(percent) => Some(Guess::sure(Effect::Iris { percent })),
        None if job.is_whole || pair(&job.text, Unit::Percent).is_some() => {
            let percent = pair(&job.text, Unit::Percent).unwrap_or((0.0, 100.0));
            let good = (0.0..=100.0).contains(&percent.0) && (0.0..=100.0).contains(&percent.1);
            good.then(|| {
                Guess::unsure(
                    Effect::Iris { percent },
                    "which end is open is not said; the percent is taken as that of the opening",
                )
            })
        }
        None => None,
    }
}

pub(super) fn frost(job: &mut Job<'_>) -> Option<Guess> {
    let words = &job.words;
    if words.any(&["pulse", "pulsation", "pulses", "pulsating", "ramp", "random"]) {
        return None;
    }
    if words.any(&["no frost", "without frost"]) && !job.is_whole {
        return Some(Guess::sure(Effect::Frost { percent: (0.0, 0.0) }));
    }
    let bare = words.only(&["frost", "1", "2"]) && !job.is_whole;
    if bare {
        let why = "frost by itself is taken as all of it in";
        return Some(Guess::likely(Effect::Frost { percent: (100.0, 100.0) }, why));
    }
    if let Some(percent) =
        run(words, &["light", "soft", "weak"], &["heavy", "strong", "hard"], (0.0, 100.0))
    {
        let why = "how much light and heavy frost are is not given";
        return Some(Guess { stated: false, ..Guess::likely(Effect::Frost { percent }, why) });
    }
    let (percent, said) = level::percent(&job.text, words, job.is_whole)?;
    let does = Effect::Frost { percent };
    Some(if said {
        Guess::sure(does)
    } else {
        Guess::likely(does, "whether it slides or steps is not said; it is taken to slide")
    })
}

pub(super) fn temperature(job: &mut Job<'_>) -> Option<Guess> {
    let k = ends(&job.text, Unit::Kelvin)?;
    let good = |value: f64| (1000.0..=30_000.0).contains(&value);
    if !(good(k.0) && good(k.1)) {
        return None;
    }
    let guess = Guess::sure(Effect::Temperature { k });
    let one_ended = is_one_ended(job, k);
    Some(if one_ended {
        guess.doubted(Confidence::Unsure, "every value is said to give one temperature")
    } else {
        guess
    })
}

pub(super) fn blade(job: &mut Job<'_>, blade: u8) -> Option<Guess> {
    let (percent, said) = level::percent(&job.text, &job.words, job.is_whole)?;
    let does = Effect::Blade { blade, percent };
    Some(if said { Guess::sure(does) } else { Guess::likely(does, "out to in is taken") })
}

pub(super) fn blade_turn(job: &mut Job<'_>, blade: Option<u8>) -> Option<Guess> {
    let effect = |deg: Span| match blade {
        Some(blade) => Effect::BladeTurn { blade, deg },
        None => Effect::FrameTurn { deg },
    };
    if let Some(deg) = pair(&job.text, Unit::Degree) {
        return Some(Guess::sure(effect(deg)));
    }
    job.is_whole.then(|| {
        let guess = Guess::likely(
            effect((-HALF_BLADE_DEG, HALF_BLADE_DEG)),
            "the angles are not given; usual ones are taken",
        );
        Guess { stated: false, ..guess }
    })
}
