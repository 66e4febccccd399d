//! What a head is at, in words: when it arrives, what is held, a reset, its lamp, and what of that is an
//! estimate.

use super::assumed;
use super::control::{Hold, Order, Stage};
use super::head::HeadMotion;
use super::lamp::LampState;
use super::model::Part;
use super::pose::Lamp;
use crate::decode::{Asked, Command};
use crate::finding::Severity;
use crate::profile::Loss;
use crate::profile::effect::ResetPart;

/// One thing that a head is at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doing {
    /// [`Severity::Warning`] for what keeps it from doing what the frame asks.
    pub severity: Severity,
    /// In few words: `arrives in 1.8 s`, `reset: held 2.0 of 4 s`.
    pub words: String,
    /// More of it, where there is room: `aim in 1.8 s, optics in 0.3 s`.
    pub detail: Option<String>,
}

impl Doing {
    fn new(severity: Severity, words: impl Into<String>) -> Self {
        Self { severity, words: words.into(), detail: None }
    }
}

/// Less time than this is none, in seconds: what is shown has one decimal.
const SOON_S: f64 = 0.05;

/// What a head is at, one thing each: a reset, the loss of the signal, when it arrives, what is held and for how long, the lamp
/// where its history tells. `head` must have been advanced to `t_s`.
pub fn doings(head: &HeadMotion, t_s: f64) -> Vec<Doing> {
    let mut all = Vec::new();
    all.extend(resetting(head, t_s));
    all.extend(left_alone(head, t_s));
    all.push(arriving(head, t_s));
    all.extend(head.holds().filter_map(|hold| holding(head, hold, t_s)));
    all.extend(lamp_words(head, t_s).map(|words| {
        let waits = matches!(head.lamp().at(t_s), Lamp::Striking | Lamp::Hot | Lamp::Off);
        Doing::new(if waits { Severity::Warning } else { Severity::Note }, words)
    }));
    if let Some((_, cool_s)) = head.refused_strike().filter(|_| head.lamp().at(t_s) == Lamp::Hot) {
        let left_s = (cool_s - t_s).max(0.0);
        let words = format!("lamp did not strike: too hot, strike it again in {left_s:.1} s");
        all.push(Doing::new(Severity::Warning, words));
    }
    if head.lost_since_s().is_none() && head.reset().is_none() && head.is_held_dark(t_s) {
        all.push(Doing::new(Severity::Warning, "held dark while it moves"));
    }
    all
}

fn resetting(head: &HeadMotion, t_s: f64) -> Option<Doing> {
    let reset = head.reset().filter(|reset| t_s < reset.end_s)?;
    let part = match reset.part {
        ResetPart::Whole => "reset",
        ResetPart::Aim => "reset of pan and tilt",
        ResetPart::Effects => "reset of all but pan and tilt",
    };
    let stage = match reset.stage(t_s) {
        Stage::FirstEnd => "finding its first end",
        Stage::SecondEnd => "finding its second end",
        Stage::Home => "going to the middle",
        Stage::Return => "coming back, still dark",
    };
    let words = format!("{part}: {}", homing(reset.end_s - t_s));
    Some(Doing { detail: Some(stage.to_owned()), ..Doing::new(Severity::Warning, words) })
}

/// What a head does without a signal; `None` while it acts on none.
pub fn left_alone(head: &HeadMotion, t_s: f64) -> Option<Doing> {
    let since_s = head.lost_since_s()?;
    let does = match &head.model().profile.on_loss.does {
        Some(Loss::Hold) => "holds what it had",
        Some(Loss::Dark) => "dark by itself",
        Some(Loss::Standby { .. }) => "a look of its own",
        None => "taken to hold what it had, as the profile does not say",
    };
    let words = format!("no signal: {does}, for {:.1} s", (t_s - since_s).max(0.0));
    Some(Doing::new(Severity::Warning, words))
}

fn arriving(head: &HeadMotion, t_s: f64) -> Doing {
    let arrival = head.arrives_s();
    let left_s = arrival.last_s() - t_s;
    if left_s < SOON_S {
        let endless = head.still_from_s() == f64::INFINITY;
        let detail = endless.then(|| "something turns, trembles or pulses without end".to_owned());
        return Doing { detail, ..Doing::new(Severity::Note, "arrived") };
    }
    let part = |what: &str, at_s: Option<f64>| {
        let left_s = at_s? - t_s;
        (left_s >= SOON_S).then(|| format!("{what} in {left_s:.1} s"))
    };
    let parts = [
        part("aim", arrival.aim_s()),
        part("wheels", arrival.wheels_s),
        part("optics", Some(arrival.optics_s)),
        part("light", Some(arrival.light_s)),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let detail = (parts.len() > 1).then(|| parts.join(", "));
    Doing { detail, ..Doing::new(Severity::Note, format!("arrives in {left_s:.1} s")) }
}

/// A value that is held, unless what came of it is told apart.
fn holding(head: &HeadMotion, hold: &Hold, t_s: f64) -> Option<Doing> {
    let (what, told_apart) = match hold.order {
        Order::Reset { .. } => ("reset".to_owned(), head.reset().is_some()),
        Order::Lamp { on } => (format!("lamp {}", if on { "on" } else { "off" }), true),
        Order::Latch { switch, on } => {
            (format!("{} {}", switch.word(), if on { "on" } else { "off" }), false)
        }
        Order::UseCurve { .. } => ("dimmer curve".to_owned(), false),
    };
    match hold.done {
        false => Some(Doing::new(Severity::Warning, format!("{what}: {}", counted(hold, t_s)))),
        true if told_apart => None,
        true => Some(Doing::new(Severity::Note, format!("{what}: held long enough, done"))),
    }
}

/// How long a value was held: `held 2.0 of 4 s`.
pub(super) fn counted(hold: &Hold, t_s: f64) -> String {
    let held_s = (t_s - hold.since_s).clamp(0.0, hold.hold_s.max(0.0));
    format!("held {held_s:.1} of {} s", hold.hold_s)
}

pub(super) fn homing(left_s: f64) -> String {
    format!("homing, {:.1} s left", left_s.max(0.0))
}

/// The state of a lamp, where its history tells.
pub(super) fn lamp_words(head: &HeadMotion, t_s: f64) -> Option<String> {
    let left = |until_s: f64| format!("{:.1} s", (until_s - t_s).max(0.0));
    Some(match (head.lamp().at(t_s), head.lamp()) {
        (Lamp::Striking, LampState::Struck { lit_s }) => {
            format!("lamp striking, light in {}", left(lit_s))
        }
        (Lamp::Hot, LampState::PutOut { cool_s }) => {
            format!("lamp out, too hot to strike for {}", left(cool_s))
        }
        (Lamp::On, _) => "lamp on".to_owned(),
        (Lamp::Off, _) => "lamp out".to_owned(),
        _ => return None,
    })
}

/// What was assumed of the parts of a head that are still on their way, in words: where there is
/// anything, its arrival is an estimate.
pub fn assumed_on_the_way(head: &HeadMotion, t_s: f64) -> Vec<&str> {
    let arrival = head.arrives_s();
    let late = |at_s: f64| at_s - t_s >= SOON_S;
    let concerns = |part: Part| match part {
        Part::Aim => arrival.aim_s().is_some_and(late),
        Part::Wheel(_) => arrival.wheels_s.is_some_and(late),
        Part::Optics => late(arrival.optics_s),
        Part::Light => late(arrival.light_s),
        // Holding, striking and cooling down are told apart from arriving.
        Part::Control | Part::Lamp => false,
    };
    let assumed = head.model().assumed.iter().filter(|(part, _)| concerns(*part));
    assumed.map(|(_, what)| what.as_str()).collect()
}

/// The same in one line; `None` where nothing was assumed.
pub fn arrival_estimate(head: &HeadMotion, t_s: f64) -> Option<String> {
    let assumed = assumed_on_the_way(head, t_s);
    let (one, rest) = assumed.split_first()?;
    let more = if rest.is_empty() { String::new() } else { format!(", and {} more", rest.len()) };
    Some(format!("its arrival rests on what the profile does not give: the {one}{more}"))
}

/// What was assumed of a head's times because its profile does not say, in words; `None` where nothing
/// was.
pub fn time_estimate(head: &HeadMotion, asked: &Asked) -> Option<String> {
    let assumed_parts = head.model().assumed.iter();
    let mut what: Vec<String> = assumed_parts
        .filter(|(part, _)| *part != Part::Control)
        .map(|(_, what)| what.clone())
        .collect();
    for command in &asked.commands {
        let (hold_s, takes_s) = match command {
            Command::Reset { hold_s, takes_s, .. } => (hold_s, takes_s.is_none()),
            Command::Lamp { hold_s, .. }
            | Command::Latch { hold_s, .. }
            | Command::UseCurve { hold_s, .. } => (hold_s, false),
        };
        if hold_s.is_none() {
            what.push(format!("hold of the control value ({} s)", assumed::HOLD_S));
        }
        if takes_s {
            what.push(format!("time of a reset ({} s)", assumed::RESET_S));
        }
    }
    let what = what.join(", ");
    (!what.is_empty())
        .then(|| format!("times rest on what is assumed, as the profile does not say: {what}"))
}
