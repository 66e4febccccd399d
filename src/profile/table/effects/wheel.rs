//! Wheels of colours and of patterns.

use super::super::super::effect::{Effect, Span};
use super::super::assumed::{RANDOM_HZ, SCROLL_RPM, SHAKE_HZ};
use super::super::colours;
use super::super::names::{Kind, Standing};
use super::super::values;
use super::super::words::{Course, Turning, Words, course, turning};
use super::{Confidence, Guess, Job, rate};

/// Words that say that a wheel turns.
const SCROLL: [&str; 10] = [
    "rainbow",
    "scroll",
    "scrolling",
    "rotation",
    "rotate",
    "rotating",
    "spin",
    "flow",
    "cycle",
    "turn",
];
const GLIDE: [&str; 7] =
    ["index", "linear", "stepless", "proportional", "continuous", "continuously", "gradual"];
const STOP: [&str; 4] = ["stop", "stopped", "no rotation", "stops"];
const SHAKE: [&str; 5] = ["shake", "shaking", "shakes", "jitter", "tremble"];

/// Words that no name of a colour or pattern holds: a row with them is about something else.
const NO_NAME: [&str; 24] = [
    "see", "page", "speed", "mode", "macro", "effect", "effects", "function", "control", "dmx",
    "value", "auto", "program", "channel", "fast", "slow", "select", "to", "menu", "sound",
    "wheel", "reset", "lamp", "with",
];

/// The name that a profile gives to a colour wheel.
fn colour_wheel(job: &Job<'_>) -> String {
    if job.named.kind == Kind::Colour {
        numbered("colour", job.named.nth)
    } else {
        "colour".to_owned()
    }
}

/// The name that a profile gives to a wheel of patterns.
pub(in super::super) fn pattern_wheel(standing: Standing, nth: u16) -> String {
    let name = match standing {
        Standing::Unsaid => "pattern",
        Standing::Still => "still pattern",
        Standing::Turning => "turning pattern",
    };
    numbered(name, nth)
}

/// A name with a number where there are several.
pub(super) fn numbered(name: &str, nth: u16) -> String {
    if nth > 1 { format!("{name} {nth}") } else { name.to_owned() }
}

/// A row of a colour wheel.
pub(super) fn colour(job: &mut Job<'_>) -> Option<Guess> {
    let wheel = colour_wheel(job);
    if colours::is_open(&job.words) {
        return Some(Guess::sure(Effect::Slot { slot: job.wheels.open(&wheel), wheel }));
    }
    if let Some(between) = split(job, &wheel) {
        return Some(Guess::sure(Effect::Split { wheel, between }));
    }
    if colours::hex(&job.text).is_some() {
        return Some(tint(job, wheel));
    }
    if let Some(guess) = moves(job, &wheel) {
        return Some(guess);
    }
    if job.words.has("colour") && job.words.number_after("colour").is_some() || is_name(job) {
        return Some(tint(job, wheel));
    }
    None
}

/// A colour by its name or number.
fn tint(job: &mut Job<'_>, wheel: String) -> Guess {
    let key = colour_key(&job.words);
    let (slot, known) = job.wheels.tint(&wheel, &key, &shown(&job.text));
    let does = Effect::Slot { wheel, slot };
    if known {
        Guess::sure(does)
    } else {
        Guess::likely(does, "what colour that is is not known; it is drawn white")
    }
}

/// The words by which a colour is known again.
fn colour_key(words: &Words) -> String {
    let plain = words.without(&["filter", "dichroic"]);
    let bare = plain.without(&["colour"]);
    let numbers_only = bare.iter().all(|word| word.chars().all(|c| c.is_ascii_digit()));
    if bare.is_empty() || numbers_only { plain.text().to_owned() } else { bare.text().to_owned() }
}

/// The two slots that a row names, half and half.
fn split(job: &mut Job<'_>, wheel: &str) -> Option<(u16, u16)> {
    let text = job.text.replace(['(', ')'], " ");
    let parts: Vec<&str> =
        [" / ", "/", "+", "&", " - ", " – ", " and ", " > ", ", "].iter().find_map(|mark| {
            let parts: Vec<&str> = text.split(mark).collect();
            (parts.len() == 2).then_some(parts)
        })?;
    let part = |text: &str| {
        Words::new(text).without(&["split", "half", "colour", "colours", "bicolour", "two"])
    };
    let (first, second) = (part(parts[0]), part(parts[1]));
    let known = |job: &Job<'_>, words: &Words| {
        let numbered = words.only_number().map(|n| format!("colour {n}"));
        let key = numbered.unwrap_or_else(|| colour_key(words));
        let open = colours::is_open(words);
        let good =
            open || colours::hex(words.text()).is_some() || job.wheels.find(wheel, &key).is_some();
        good.then_some((key, open))
    };
    let (a, b) = (known(job, &first)?, known(job, &second)?);
    let mut slot = |(key, open): (String, bool)| {
        if open { job.wheels.open(wheel) } else { job.wheels.tint(wheel, &key, &key).0 }
    };
    let between = (slot(a), slot(b));
    (between.0 != between.1).then_some(between)
}

/// A row that turns, stops or shuffles a wheel.
fn moves(job: &mut Job<'_>, wheel: &str) -> Option<Guess> {
    let wheel = wheel.to_owned();
    let words = &job.words;
    if words.any(&["random", "randomly"]) {
        let rate = rate::hertz(job, RANDOM_HZ);
        job.wheels.need(&wheel);
        return Some(rate.guess(Effect::RandomSlots { wheel, hz: rate.span }));
    }
    if words.any(&STOP) {
        job.wheels.need(&wheel);
        return Some(Guess::sure(Effect::Halt { wheel }));
    }
    let turns = turning(words);
    let runs = matches!(course(words), Course::Rising | Course::Falling);
    if words.any(&GLIDE) && !words.any(&SCROLL) && turns == Turning::Unsaid && !runs {
        job.wheels.need(&wheel);
        // The last place follows once every slot is known.
        let slots: Span = (1.0, f64::INFINITY);
        let why = "it is taken to go once round in the order of the slots";
        return Some(Guess { stated: false, ..Guess::likely(Effect::Glide { wheel, slots }, why) });
    }
    if !(words.any(&SCROLL) || turns != Turning::Unsaid || runs) {
        return None;
    }
    let (sign, why, confidence) = match turns {
        Turning::Clockwise => (
            1.0,
            "clockwise is taken as rising slots: it is not said from where",
            Confidence::Likely,
        ),
        Turning::Anticlockwise => (
            -1.0,
            "anticlockwise is taken as falling slots: it is not said from where",
            Confidence::Likely,
        ),
        Turning::Both => return None,
        Turning::Unsaid => (1.0, "which way it turns is not said", Confidence::Unsure),
    };
    let rate = rate::rpm(job, SCROLL_RPM).signed(sign);
    job.wheels.need(&wheel);
    let does = Effect::Scroll { wheel, rpm: rate.span, even_in: rate.even_in };
    Some(rate.guess(does).doubted(confidence, why))
}

/// A row of a wheel of patterns.
pub(super) fn pattern(job: &mut Job<'_>, kind: Kind) -> Option<Guess> {
    let own = matches!(job.named.kind, Kind::Pattern(_));
    let standing = if let Kind::Pattern(standing) = kind { standing } else { Standing::Unsaid };
    let wheel = pattern_wheel(standing, if own { job.named.nth } else { 1 });
    let shakes = job.words.any(&SHAKE);
    let plain = job.words.without(&SHAKE).without(&["effect"]);
    if !shakes && plain.any(&["blocked", "closed", "blackout"]) {
        return Some(Guess::sure(Effect::Slot { slot: job.wheels.blocked(&wheel), wheel }));
    }
    if values::find_range(&job.text).is_some() && plain.any(&["gobo", "pattern"]) {
        return Some(Guess::unknown("the row holds several slots: give each its own values"));
    }
    let runs = ["slow", "fast", "to", "speed", "from", "slowly", "min", "max", "increasing", "hz"];
    if shakes {
        let slot = shaken(job, &wheel, &plain.without(&runs))?;
        let rate = rate::hertz(job, SHAKE_HZ);
        return Some(rate.guess(Effect::Shake { wheel, slot, hz: rate.span }));
    }
    if colours::is_open(&job.words) {
        return Some(Guess::sure(Effect::Slot { slot: job.wheels.open(&wheel), wheel }));
    }
    let number = number_of(&plain);
    if (number.is_none() || plain.any(&SCROLL))
        && let Some(guess) = moves(job, &wheel)
    {
        return Some(guess);
    }
    if let Some(n) = number {
        let slot = job.wheels.pattern(&wheel, &format!("gobo {n}"), &shown(&job.text));
        return Some(Guess::sure(Effect::Slot { wheel, slot }));
    }
    is_name(job).then(|| {
        let slot = job.wheels.pattern(&wheel, job.words.text(), &shown(&job.text));
        Guess::likely(Effect::Slot { wheel, slot }, "its words are taken as the name of a pattern")
    })
}

/// The slot that a row shakes.
fn shaken(job: &mut Job<'_>, wheel: &str, plain: &Words) -> Option<u16> {
    if let Some(n) = number_of(plain) {
        let name = format!("gobo {n}");
        return Some(job.wheels.pattern(wheel, &name, &name));
    }
    if colours::is_open(plain) {
        return Some(job.wheels.open(wheel));
    }
    // Numbers that are left are those of a rate.
    let letters: Vec<&str> =
        plain.iter().filter(|word| !word.chars().all(|c| c.is_ascii_digit())).collect();
    let name = letters.join(" ");
    let bare = Words::new(&name).without(&["gobo", "pattern"]);
    job.wheels.find(wheel, bare.text()).or_else(|| job.wheels.find(wheel, &name))
}

/// The number of a pattern.
fn number_of(words: &Words) -> Option<u16> {
    words
        .number_after("gobo")
        .or_else(|| words.number_after("pattern"))
        .filter(|n| (1..=99).contains(n))
}

/// Whether a row's words can be the name of what is in a slot.
fn is_name(job: &Job<'_>) -> bool {
    let letters = job.words.iter().any(|word| word.chars().all(char::is_alphabetic));
    letters
        && job.words.count() <= 4
        && job.values <= 32
        && !job.words.any(&NO_NAME)
        && !job.is_whole
}

/// A name as a wheel's slot shows it.
fn shown(text: &str) -> String {
    crate::finding::one_line(text).trim().chars().take(60).collect::<String>().to_lowercase()
}
