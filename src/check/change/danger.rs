//! What would happen to a head that goes on getting the values of another mode.

use serde::{Serialize, Serializer};

use super::{ChannelRow, meaning};
use crate::decode::{ChannelReading, Command, Reading, written};
use crate::finding::Severity;
use crate::light::beam::add_beams;
use crate::motion::settle;
use crate::profile::{Effect, WheelSlot};
use crate::rig::Fixture;

/// One thing that would happen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Danger {
    /// How bad it is.
    #[serde(serialize_with = "severity_word")]
    pub severity: Severity,
    /// The stable name of its kind: `dark-to-lit`, `lit-to-dark`, `opens`, `reset`, `lamp-off`, `lamp-on`,
    /// `runs-by-itself`, `flashes`, `spins`.
    pub kind: &'static str,
    /// What would happen.
    pub words: String,
    /// The slots and values it comes from, and what they mean.
    pub evidence: String,
}

fn severity_word<S: Serializer>(severity: &Severity, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(severity.word())
}

/// What a head does once everything has arrived.
struct Seen {
    lit: bool,
    reset: bool,
    lamp: Option<bool>,
    runs: Option<String>,
    flashes_hz: Option<f64>,
    spins: bool,
}

fn seen(reading: &Reading<'_>, fixture: &Fixture) -> Seen {
    let asked = reading.asked();
    let profile = &reading.mode.profile;
    let pose = settle(profile, &fixture.aim, &fixture.in_head, &asked);
    let mut beams = Vec::new();
    add_beams(0, fixture, profile, &pose, &mut beams);
    let mut lamps = asked.commands.iter().filter_map(|command| match command {
        Command::Lamp { on, .. } => Some(*on),
        _ => None,
    });
    Seen {
        lit: !beams.is_empty(),
        reset: asked.commands.iter().any(|command| matches!(command, Command::Reset { .. })),
        lamp: lamps.next_back(),
        runs: asked.overridden_by.as_ref().map(|by| by.words()),
        flashes_hz: pose
            .cells
            .iter()
            .filter_map(|cell| cell.flash.as_ref().map(|flash| flash.hz))
            .reduce(f64::max)
            .filter(|_| !beams.is_empty()),
        spins: pose.pan_spin_rpm != 0.0 || pose.tilt_spin_rpm != 0.0,
    }
}

/// What would happen to a head that is read as `after` where it was read as `before`, worst first.
pub(super) fn dangers(
    before: &Reading<'_>,
    after: &Reading<'_>,
    fixture: &Fixture,
    beside: Beside<'_>,
) -> Vec<Danger> {
    let (was, is) = (seen(before, fixture), seen(after, fixture));
    // Of a place in `after`, what there was in `before`; and the other way round.
    let came = |there: usize, here: usize| match beside {
        Beside::Slots => share_slots(before, there, after, here),
        Beside::Channels(places) => places.get(there) == Some(&Some(here)),
    };
    let goes = |there: usize, here: usize| match beside {
        Beside::Slots => share_slots(after, there, before, here),
        Beside::Channels(places) => places.get(here) == Some(&Some(there)),
    };
    let came = Side { of: after, other: before, then: "was", beside: &came };
    let goes = Side { of: before, other: after, then: "now", beside: &goes };
    let mut dangers = Vec::new();
    let mut say = |severity, kind, words: &str, evidence: String| {
        dangers.push(Danger { severity, kind, words: words.to_owned(), evidence });
    };
    let now = |effect: &dyn Fn(&Effect) -> bool| {
        came.evidence(&|reading| reading.range.is_some_and(|r| r.effects().any(effect)))
    };
    if is.lit && !was.lit {
        let dark = goes.evidence(&|reading| darkens(before, reading));
        say(Severity::Error, "dark-to-lit", "dark before, lit after", dark);
    }
    if is.reset && !was.reset {
        let words = "a reset once the value was held";
        say(Severity::Error, "reset", words, now(&|e| matches!(e, Effect::Reset { .. })));
    }
    if is.lamp == Some(false) && was.lamp != Some(false) {
        let words = "the lamp goes out once the value was held";
        say(Severity::Error, "lamp-off", words, now(&|e| matches!(e, Effect::LampOff { .. })));
    }
    if let (Some(runs), None) = (&is.runs, &was.runs) {
        let by = |e: &Effect| matches!(e, Effect::Program { .. } | Effect::Sound | Effect::Follow);
        let words = format!("something else takes over: {runs}");
        say(Severity::Error, "runs-by-itself", &words, now(&by));
    }
    if let (Some(hz), None) = (is.flashes_hz, was.flashes_hz) {
        let words = format!("it flashes, {hz:.1} Hz");
        say(Severity::Warning, "flashes", &words, now(&|e| matches!(e, Effect::Strobe { .. })));
    }
    if is.spins && !was.spins {
        let by = |e: &Effect| matches!(e, Effect::PanSpin { .. } | Effect::TiltSpin { .. });
        say(Severity::Warning, "spins", "pan or tilt turns without end", now(&by));
    }
    if was.lit && !is.lit {
        let dark = came.evidence(&|reading| darkens(after, reading));
        say(Severity::Warning, "lit-to-dark", "lit before, dark after", dark);
    }
    if is.lamp == Some(true) && was.lamp != Some(true) {
        let words = "the lamp is struck once the value was held";
        say(Severity::Warning, "lamp-on", words, now(&|e| matches!(e, Effect::LampOn { .. })));
    }
    dangers
}

/// Says of which closed shutters the same value is open, where that is not said by the light already: what
/// is dark then is so for another reason, which the next cue may take away.
pub(super) fn opens(rows: &[ChannelRow], dangers: &mut Vec<Danger>) {
    if dangers.iter().any(|danger| danger.kind == "dark-to-lit") {
        return;
    }
    for (row, after) in
        rows.iter().filter(|row| row.opens).filter_map(|row| row.after.as_ref().map(|a| (row, a)))
    {
        dangers.push(Danger {
            severity: Severity::Warning,
            kind: "opens",
            words: "closed before, open after".to_owned(),
            evidence: format!(
                "{} of {} `{}` is {} `{}`",
                written(row.value, row.width),
                row.before.channel,
                row.before.words,
                after.channel,
                after.words
            ),
        });
    }
}

/// Whether what a channel asks for keeps light back.
fn darkens(of: &Reading<'_>, reading: &ChannelReading<'_>) -> bool {
    let Some((range, value)) = reading.range.zip(reading.held.value()) else { return false };
    range.effects().any(|effect| match effect {
        Effect::Shut => true,
        Effect::Dimmer { .. } | Effect::Emitter { .. } | Effect::Iris { .. } => {
            effect.physical().is_some_and(|pair| pair.at(range.share_at(value)) <= 0.0)
        }
        Effect::Slot { wheel, slot } => {
            let slots = of.mode.profile.wheels.get(wheel).map(|wheel| wheel.slots.as_slice());
            let at = usize::from(*slot).checked_sub(1);
            let stands = slots.zip(at).and_then(|(slots, at)| slots.get(at));
            matches!(stands, Some(WheelSlot::Blocked(_)))
        }
        _ => false,
    })
}

fn share_slots(a: &Reading<'_>, i: usize, b: &Reading<'_>, j: usize) -> bool {
    let (a, b) = (a.mode.channels.get(i), b.mode.channels.get(j));
    a.zip(b).is_some_and(|(a, b)| a.offsets.iter().any(|offset| b.offsets.contains(offset)))
}

/// Which channels of the two modes are told beside each other.
#[derive(Clone, Copy)]
pub(super) enum Beside<'a> {
    /// Those that read the same slots.
    Slots,
    /// Those that do most of the same: for each channel before, its place afterwards.
    Channels(&'a [Option<usize>]),
}

/// One reading, with the other one told beside it.
struct Side<'a, 'r> {
    of: &'a Reading<'r>,
    other: &'a Reading<'r>,
    /// How the other one is spoken of.
    then: &'static str,
    /// Whether a channel of the other one (the first place) stands beside one of this.
    beside: &'a dyn Fn(usize, usize) -> bool,
}

impl Side<'_, '_> {
    /// The channels that a thing comes from, with what stands beside each.
    fn evidence(&self, does: &dyn Fn(&ChannelReading<'_>) -> bool) -> String {
        let told = self.of.channels().enumerate().filter(|(_, reading)| does(reading));
        let told = told.map(|(place, reading)| {
            let channel = reading.channel;
            let value = reading.held.value().map_or_else(String::new, |value| {
                format!(" = {}", written(value, channel.offsets.len()))
            });
            let there = self.other.channels().enumerate();
            let there = there.filter(|(there, _)| (self.beside)(*there, place));
            let there: Vec<String> = there
                .map(|(_, there)| format!("{} `{}`", there.channel.name, meaning(&there)))
                .collect();
            let there =
                if there.is_empty() { "no channel".to_owned() } else { there.join(" and ") };
            format!(
                "{}{value}, {} `{}`, {} {there}",
                super::slot_words(&channel.offsets),
                channel.name,
                meaning(&reading),
                self.then
            )
        });
        told.collect::<Vec<_>>().join("; ")
    }
}
