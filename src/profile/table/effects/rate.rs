//! Rates: in numbers where a row has them, else as usual, in the sense that its words give.

use super::super::super::effect::{EvenIn, Span};
use super::super::super::quantity::Unit;
use super::super::numbers::{ends, pair};
use super::super::words::{Course, course};
use super::{Confidence, Guess, Job};
use crate::profile::Effect;

/// A rate with what is known of it.
pub(super) struct Rate {
    pub(super) span: Span,
    pub(super) even_in: EvenIn,
    pub(super) stated: bool,
    confidence: Confidence,
    why: &'static str,
    /// Its numbers have the sense as their sign.
    pub(super) own_sign: bool,
}

impl Rate {
    /// An effect with this rate.
    pub(super) fn guess(&self, does: Effect) -> Guess {
        let guess = Guess { stated: self.stated, ..Guess::sure(does) };
        if self.why.is_empty() { guess } else { guess.doubted(self.confidence, self.why) }
    }

    /// The same with the sense of a turn as its sign.
    pub(super) fn signed(mut self, sign: f64) -> Self {
        if !self.own_sign {
            self.span = (self.span.0 * sign, self.span.1 * sign);
        }
        self
    }
}

/// Flashes, pulses or swings a second.
pub(super) fn hertz(job: &Job<'_>, usual: Span) -> Rate {
    let text = &job.text;
    if let Some(span) = pair(text, Unit::Hertz).or_else(|| ends(text, Unit::Hertz)) {
        return stated(job, span, EvenIn::Hz);
    }
    if let Some((a, b)) = pair(text, Unit::Second).filter(|(a, b)| *a > 0.0 && *b > 0.0) {
        return stated(job, (1.0 / a, 1.0 / b), EvenIn::Seconds);
    }
    assumed(job, usual)
}

/// Revolutions a minute.
pub(super) fn rpm(job: &Job<'_>, usual: Span) -> Rate {
    let text = &job.text;
    if let Some((a, b)) = pair(text, Unit::Rpm).or_else(|| ends(text, Unit::Rpm)) {
        let rate = stated(job, (a.abs(), b.abs()), EvenIn::Hz);
        let own_sign = a < 0.0 || b < 0.0;
        return if own_sign { Rate { span: (a, b), own_sign, ..rate } } else { rate };
    }
    if let Some((a, b)) = pair(text, Unit::Hertz) {
        return stated(job, (a.abs() * 60.0, b.abs() * 60.0), EvenIn::Hz);
    }
    assumed(job, usual)
}

fn stated(job: &Job<'_>, span: Span, even_in: EvenIn) -> Rate {
    let (slow, fast) = (Course::Rising, Course::Falling);
    let runs = course(&job.words);
    let against = runs == slow && span.0 > span.1 || runs == fast && span.0 < span.1;
    let (confidence, why) = if against {
        (Confidence::Unsure, "its words and its numbers run opposite ways; the numbers are taken")
    } else if span.0 == span.1 && matches!(runs, Course::Rising | Course::Falling) {
        (Confidence::Unsure, "it runs between two rates and only one is given")
    } else {
        (Confidence::Sure, "")
    };
    Rate { span, even_in, stated: true, confidence, why, own_sign: false }
}

fn assumed(job: &Job<'_>, (slow, fast): Span) -> Rate {
    let (span, why) = match course(&job.words) {
        Course::Rising => ((slow, fast), "the rates are not given; usual ones are taken"),
        Course::Falling => ((fast, slow), "the rates are not given; usual ones are taken"),
        Course::Fast => ((fast, fast), "the rate is not given; a usual one is taken"),
        Course::Slow => ((slow, slow), "the rate is not given; a usual one is taken"),
        Course::Unsaid if job.values <= 2 => {
            ((fast, fast), "the rate is not given; a usual one is taken")
        }
        Course::Unsaid => (
            (slow, fast),
            "neither rates nor sense are given; usual rates, slow to fast, are taken",
        ),
    };
    Rate {
        span,
        even_in: EvenIn::Hz,
        stated: false,
        confidence: Confidence::Likely,
        why,
        own_sign: false,
    }
}
