//! Pan, tilt and how fast they move.

use super::super::super::effect::{Effect, Span};
use super::super::super::quantity::Unit;
use super::super::assumed::{AIM_SHARE, AIM_SPIN_RPM, HALF_PAN_DEG, HALF_TILT_DEG};
use super::super::names::Kind;
use super::super::numbers::{ends, pair, single};
use super::super::words::{Course, Turning, course, turning, turning_words};
use super::{Confidence, Guess, Job, rate};

/// A row of a pan or tilt channel.
pub(super) fn angle(job: &mut Job<'_>, kind: Kind) -> Option<Guess> {
    let is_pan = matches!(kind, Kind::Pan | Kind::PanSpin);
    let words = &job.words;
    if words.any(&["stop", "no rotation"]) {
        return Some(Guess::sure(if is_pan { Effect::PanStop } else { Effect::TiltStop }));
    }
    let spins = ["continuous", "endless", "infinite", "spin", "rotation", "rotate", "rotating"];
    let turns = turning(words) != Turning::Unsaid
        && words.any(&["cw", "ccw", "clockwise", "anticlockwise", "slow", "fast"]);
    let spinning = matches!(kind, Kind::PanSpin | Kind::TiltSpin) || words.any(&spins) || turns;
    if spinning && single(&job.text, Unit::Degree).is_none() {
        return spin(job, is_pan);
    }
    let half = if is_pan { HALF_PAN_DEG } else { HALF_TILT_DEG };
    let deg = match ends(&job.text, Unit::Degree) {
        Some(span) => Some(centred(span)),
        None if job.is_whole => None,
        None => return None,
    };
    let effect = |deg: Span| if is_pan { Effect::Pan { deg } } else { Effect::Tilt { deg } };
    Some(match deg {
        Some(deg) => Guess::sure(effect(deg)),
        None => {
            let why = "the travel is not given; a usual one is taken";
            Guess { stated: false, ..Guess::likely(effect((-half, half)), why) }
        }
    })
}

/// A travel counted from one end stop, counted from its middle as profiles do.
fn centred((a, b): Span) -> Span {
    if a < 0.0 || b < 0.0 {
        return (a, b);
    }
    if a == b {
        return (-a / 2.0, a / 2.0);
    }
    let middle = (a + b) / 2.0;
    (a - middle, b - middle)
}

fn spin(job: &mut Job<'_>, is_pan: bool) -> Option<Guess> {
    let sign = match turning(&job.words) {
        Turning::Clockwise => -1.0,
        Turning::Anticlockwise => 1.0,
        Turning::Both => return None,
        Turning::Unsaid if course(&job.words) == Course::Unsaid => return None,
        Turning::Unsaid => 1.0,
    };
    let rate = rate::rpm(job, AIM_SPIN_RPM).signed(sign);
    let rpm = rate.span;
    let guess = rate.guess(if is_pan { Effect::PanSpin { rpm } } else { Effect::TiltSpin { rpm } });
    if turning(&job.words) == Turning::Unsaid {
        return Some(guess.doubted(Confidence::Unsure, "which way it turns is not said"));
    }
    Some(guess)
}

/// A row of a channel for the speed of pan and tilt.
pub(super) fn speed(job: &mut Job<'_>) -> Option<Guess> {
    let words = &job.words;
    let text = &job.text;
    let follows = [
        "tracking",
        "follow",
        "follows",
        "tracking mode",
        "vector off",
        "real time",
        "full speed",
        "track",
        "off",
    ];
    let runs = course(words);
    if words.any(&follows) && !matches!(runs, Course::Rising | Course::Falling) {
        return Some(Guess::sure(Effect::AimFollow));
    }
    if let Some(s) = pair(text, Unit::Second) {
        return Some(Guess::sure(Effect::AimTime { s }));
    }
    if let Some(deg_s) = pair(text, Unit::DegreePerSecond) {
        return Some(Guess::sure(Effect::AimRate { deg_s }));
    }
    let (slow, fast) = AIM_SHARE;
    if let Some(percent) =
        pair(text, Unit::Percent).filter(|(a, b)| a.max(*b) <= 100.0 && a.min(*b) >= 0.0)
    {
        return Some(Guess::sure(Effect::AimShare { percent }));
    }
    let share = |percent: Span, why: &str, confidence| {
        let guess = Guess { stated: false, ..Guess::sure(Effect::AimShare { percent }) };
        Some(guess.doubted(confidence, why))
    };
    let usual = "the speeds are not given; shares of the head's own are taken";
    let paced = words.any(&["speed", "time", "movement", "vector"]);
    match runs {
        Course::Rising => share((slow, fast), usual, Confidence::Likely),
        Course::Falling => share((fast, slow), usual, Confidence::Likely),
        Course::Fast => share((fast, fast), usual, Confidence::Likely),
        Course::Slow => share((slow, slow), usual, Confidence::Likely),
        Course::Unsaid if paced && (job.is_whole || job.values > 64) => {
            let why =
                "which end is fast is not said; fast to slow is taken, as most charts have it";
            share((fast, slow), why, Confidence::Unsure)
        }
        Course::Unsaid => None,
    }
}

/// Whether words say anything of a turn, which a position does not.
pub(super) fn says_turn(job: &Job<'_>) -> bool {
    job.words.any(&turning_words())
        || job.words.any(&["rotation", "rotate", "rotating", "spin", "scroll", "rainbow"])
}
