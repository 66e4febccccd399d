//! What may stand in any channel: nothing, resets, lamps, switches, programs, sound.

use super::super::super::effect::{Curve, Effect, ResetPart, Switch};
use super::super::super::quantity::Unit;
use super::super::names::Kind;
use super::super::numbers::single;
use super::super::words::Words;
use super::{Guess, Job};

const IDLE: [&str; 16] = [
    "no function",
    "no functions",
    "not used",
    "unused",
    "reserved",
    "no effect",
    "idle",
    "nothing",
    "no action",
    "no operation",
    "no change",
    "not assigned",
    "no use",
    "inactive",
    "spare",
    "unassigned",
];

/// Rules that come before those of the channel.
pub(super) fn everywhere(job: &Job<'_>) -> Option<Guess> {
    let words = &job.words;
    let says_light = words.any(&["open", "closed", "white", "blackout"]);
    if words.any(&IDLE) && !says_light && words.count() <= 8 {
        return Some(Guess::sure(Effect::Idle));
    }
    reset(job)
        .or_else(|| lamp(job))
        .or_else(|| dark_while_moving(job))
        .or_else(|| switch(job))
        .or_else(|| curve(job))
        .or_else(|| outside(words))
}

/// How long a value must be held.
fn hold(job: &Job<'_>) -> Option<f64> {
    single(&job.text, Unit::Second).filter(|s| (0.0..=3600.0).contains(s))
}

fn reset(job: &Job<'_>) -> Option<Guess> {
    let words = &job.words;
    let says = [
        "reset",
        "resets",
        "homing",
        "calibrate",
        "calibration",
        "recalibrate",
        "recalibration",
        "reboot",
        "initialize",
        "initialise",
        "restart",
    ];
    if !words.any(&says) {
        return None;
    }
    if words.any(&["no reset", "disable", "enable", "disabled", "enabled"]) {
        return Some(Guess::unknown("it seems to switch a reset on or off"));
    }
    let aim = words.any(&["pan", "tilt", "movement", "position", "x", "head"]);
    let effects = words.any(&["effects", "effect", "others", "other", "wheels"]);
    let single_part = words.any(&[
        "colour", "gobo", "iris", "zoom", "shutter", "prism", "focus", "cmy", "frost", "dimmer",
    ]);
    let all = words.any(&["all", "total", "complete", "whole", "full", "fixture"]);
    let (part, doubt) = match (aim && !all, (effects || single_part) && !all) {
        (true, false) => (ResetPart::Aim, false),
        (false, true) => (ResetPart::Effects, single_part && !effects),
        (true, true) => (ResetPart::Whole, true),
        (false, false) => (ResetPart::Whole, false),
    };
    let does = Effect::Reset { part, hold_s: hold(job), takes_s: None };
    Some(if doubt {
        Guess::likely(does, "a reset of some parts is taken as one of more")
    } else {
        Guess::sure(does)
    })
}

fn lamp(job: &Job<'_>) -> Option<Guess> {
    let words = &job.words;
    if !words.any(&["lamp", "lamps", "bulb", "discharge"]) {
        return None;
    }
    let on = words.any(&["on", "strike", "ignite", "ignition", "start", "strikes"]);
    let off = words.any(&["off", "out", "extinguish", "shutdown", "douse"]);
    let hold_s = hold(job);
    match (on, off) {
        (true, false) => Some(Guess::sure(Effect::LampOn { hold_s })),
        (false, true) => Some(Guess::sure(Effect::LampOff { hold_s })),
        _ => Some(Guess::unknown("it does not say whether the lamp goes on or off")),
    }
}

/// Whether a row switches something on or off, where it says so.
fn on_off(words: &Words) -> Option<bool> {
    let off = ["off", "disable", "disabled", "deactivate", "without", "no blackout", "disables"];
    let on = ["enable", "enabled", "activate", "active", "enables", "switch on"];
    if words.any(&off) {
        return Some(false);
    }
    let last_on = words.iter().last() == Some("on") || words.text().starts_with("on ");
    (words.any(&on) || last_on).then_some(true)
}

fn dark_while_moving(job: &Job<'_>) -> Option<Guess> {
    let words = &job.words;
    let dark = words.any(&["blackout", "dark", "no light", "black"]);
    let moves =
        ["while", "during", "moving", "movement", "move", "moves", "changing", "change", "moved"];
    if !(dark && words.any(&moves)) {
        return None;
    }
    let wheels = words.any(&["wheel", "wheels", "gobo", "colour", "effect", "effects", "pattern"]);
    let aim = words.any(&["pan", "tilt", "movement", "head", "position", "moving", "move"]);
    let aim = words.any(&["pan", "tilt", "head", "position"]) || aim && !wheels;
    let is_switch = job.named.kind == Kind::Control;
    let state = on_off(words);
    if is_switch && let Some(on) = state {
        let switch = if aim { Switch::DarkWhileAiming } else { Switch::DarkWhileWheels };
        let does = Effect::Latch { switch, on, hold_s: hold(job) };
        let why = "it is taken to stay switched when the value goes";
        let guess = Guess::likely(does, why);
        let both = Effect::Latch { switch: Switch::DarkWhileWheels, on, hold_s: hold(job) };
        return Some(if aim && wheels { guess.with(both) } else { guess });
    }
    if state == Some(false) {
        return Some(Guess::unknown("it seems to switch off darkness while moving"));
    }
    let (first, second) = match (aim, wheels) {
        (true, true) => (Effect::DarkWhileAiming, Some(Effect::DarkWhileWheels)),
        (true, false) => (Effect::DarkWhileAiming, None),
        (false, _) => (Effect::DarkWhileWheels, None),
    };
    let guess = Guess::sure(first);
    let follows = words.any(&["tracking", "follow", "max", "maximum", "full speed"]);
    let guess = if follows { guess.with(Effect::AimFollow) } else { guess };
    Some(match second {
        Some(second) => guess.with(second),
        None => guess,
    })
}

fn switch(job: &Job<'_>) -> Option<Guess> {
    let words = &job.words;
    let hold_s = hold(job);
    let latch = |switch, on| Effect::Latch { switch, on, hold_s };
    let why = "it is taken to stay switched when the value goes";
    if words.any(&["fan", "fans"]) {
        if words.any(&["full", "max", "maximum", "high", "fast"]) {
            return Some(Guess::likely(latch(Switch::FanFull, true), why));
        }
        if words.any(&["auto", "automatic", "normal", "low", "quiet", "silent", "regulated"]) {
            return Some(Guess::likely(latch(Switch::FanFull, false), why));
        }
        return None;
    }
    let control = job.named.kind == Kind::Control;
    let found = if words.has("display") {
        Some(Switch::Display)
    } else if words.any(&["invert", "inverted", "inversion", "reverse"]) && control {
        match (words.has("pan"), words.has("tilt")) {
            (true, false) => Some(Switch::InvertPan),
            (false, true) => Some(Switch::InvertTilt),
            _ => None,
        }
    } else {
        None
    };
    let (switch, on) = (found?, on_off(words)?);
    Some(Guess::likely(latch(switch, on), why))
}

fn curve(job: &Job<'_>) -> Option<Guess> {
    let words = &job.words;
    let control = job.named.kind == Kind::Control;
    if !(words.any(&["curve", "law"]) || control && words.has("dimmer")) || words.has("inverse") {
        return None;
    }
    let curve = if words.any(&["s curve", "s law", "s"]) {
        Curve::S
    } else if words.has("square") {
        Curve::Square
    } else if words.has("linear") {
        Curve::Linear
    } else {
        return None;
    };
    Some(Guess::sure(Effect::UseCurve { curve, hold_s: None }))
}

/// What listens to something else than the line.
fn outside(words: &Words) -> Option<Guess> {
    if words.any(&["sound", "music", "audio"]) {
        if words.any(&["sensitivity", "off", "no", "speed"]) {
            return None;
        }
        return Some(Guess::sure(Effect::Sound));
    }
    words.any(&["slave", "slave mode"]).then(|| Guess::sure(Effect::Follow))
}

/// What no rule of the channel took.
pub(super) fn leftover(job: &Job<'_>) -> Option<Guess> {
    let words = &job.words;
    let kind = job.named.kind;
    if !matches!(kind, Kind::Program | Kind::Control | Kind::Unknown) {
        return None;
    }
    if kind == Kind::Program
        && words.only(&["off", "no", "none", "program", "programs", "auto", "mode", "manual"])
        && words.any(&["off", "no", "none"])
    {
        return Some(Guess::sure(Effect::Idle));
    }
    if kind == Kind::Control && words.only(&["normal", "operation", "mode", "standard", "default"])
    {
        return Some(Guess::likely(Effect::Idle, "normal working is taken as nothing"));
    }
    let says = ["program", "programme", "programs", "auto", "automatic", "show", "demo"];
    let other = ["speed", "macro", "sensitivity", "off", "focus", "time"];
    if words.any(&says) && !words.any(&other) {
        let name = crate::finding::one_line(&job.text).trim().chars().take(60).collect();
        return Some(Guess::sure(Effect::Program { name }));
    }
    None
}
