//! The smallest change of slots that gives light.

use super::search::Lab;
use super::{Moment, Verdict, Why};
use crate::light::FluxMeter;
use crate::motion::{Lamp, LampState};
use crate::wire::{Slot, Universe};

/// A slot that is to change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SlotChange {
    /// The universe.
    pub universe: Universe,
    /// The slot.
    pub slot: Slot,
    /// What is held of it; `None` where no frame ever carried it.
    pub from: Option<u8>,
    /// What it is to be.
    pub to: u8,
    /// The channel that it belongs to, as a place in the mode.
    pub channel: Option<usize>,
    /// What the channel then does, as the chart calls it.
    pub label: String,
    /// Other fixtures that read this slot too, as places in the rig.
    pub shared_with: Vec<usize>,
}

/// Why no slot can give light, or not yet.
#[derive(Clone, Debug, PartialEq)]
pub enum Blocker {
    /// It has no address: no frame reaches it.
    NotPatched,
    /// The signal is lost: no slot reaches it before frames come again.
    NoSignal,
    /// A reset is running.
    Resets {
        /// For so much longer, in seconds.
        wait_s: f64,
    },
    /// Its lamp was struck and gives no light yet.
    Strikes {
        /// For so much longer, in seconds.
        wait_s: f64,
    },
    /// Its lamp was put out and is too hot to be struck.
    Hot {
        /// For so much longer, in seconds.
        wait_s: f64,
    },
    /// It is on its way to what the frame asks already.
    OnItsWay {
        /// For so much longer, in seconds.
        wait_s: f64,
    },
    /// No change of slots that was tried gives light.
    Nothing,
}

/// How to get light out of a head.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// The slots to change: the fewest, then the least dangerous, then the nearest values. A reset, a
    /// built-in program or putting the lamp out is never among them, a strobe only where nothing else
    /// gives light. A level goes to its full end: the nearest value at which there is any light would
    /// be one that nobody sees.
    pub changes: Vec<SlotChange>,
    /// What stands in the way besides, or instead.
    pub blockers: Vec<Blocker>,
    /// Light that leaves it once it is done, in lumens; 0 where nothing gives any.
    pub gives_lm: f64,
    /// How long until there is light, in seconds of simulated time; 0 where time plays no part.
    pub takes_s: f64,
}

impl<'a> Moment<'a> {
    /// How to get light out of a head. `None` where there is light. Every change that is proposed was run
    /// through the pipeline. It is worked out when asked for, in a few milliseconds.
    pub fn mend(&self, why: &Why<'a>) -> Option<Mend> {
        let nothing =
            |blockers| Mend { changes: Vec::new(), blockers, gives_lm: 0.0, takes_s: 0.0 };
        match why.verdict {
            Verdict::Lit => return None,
            Verdict::NotPatched => return Some(nothing(vec![Blocker::NotPatched])),
            Verdict::Dark | Verdict::RunsItself => {}
        }
        let mut blockers = blockers(why);
        if blockers.contains(&Blocker::NoSignal) {
            return Some(nothing(blockers));
        }
        let Some(mut lab) = Lab::new(why, self) else {
            return Some(nothing(vec![Blocker::NotPatched]));
        };
        let Some(sets) = lab.search() else {
            blockers.push(Blocker::Nothing);
            return Some(nothing(blockers));
        };
        let changes: Vec<SlotChange> = sets.iter().map(|set| self.change(why, *set)).collect();
        let asked = lab.asked(&sets)?;
        let (gives_lm, takes_s) = match why.over_time {
            Some((head, t_s)) => outcome(why, head, t_s, &asked, &blockers),
            None => {
                let fixture = why.fixture;
                let profile = &why.reading.mode.profile;
                let pose = crate::motion::settle(profile, &fixture.aim, &fixture.in_head, &asked);
                (FluxMeter::new(profile).flux_lm(&pose), 0.0)
            }
        };
        if changes.is_empty() && takes_s > 0.0 && blockers.is_empty() {
            blockers.push(Blocker::OnItsWay { wait_s: takes_s });
        }
        Some(Mend { changes, blockers, gives_lm, takes_s })
    }

    fn change(&self, why: &Why<'a>, (slot, to): (Slot, u8)) -> SlotChange {
        let universe = why.fixture.address.map_or(Universe::ONE, |address| address.universe);
        let owners = self.plan.owners(universe, slot);
        let own = owners.iter().find(|owner| owner.fixture == why.place);
        let channel = own.and_then(|owner| owner.channel);
        let held = |offset: u16| match why.reading.slot(offset) {
            Some(at) if at == slot => Some(to),
            _ => why.reading.slot_state(offset).and_then(|state| state.value()),
        };
        let label = channel.and_then(|(nth, _)| {
            let channel = why.reading.mode.channels.get(nth)?;
            let value = channel.value_from(held)?;
            Some(channel.ranges.get(channel.find_with(value, held)?)?.label.clone())
        });
        SlotChange {
            universe,
            slot,
            from: self.frames.state(universe, slot).value(),
            to,
            channel: channel.map(|(channel, _)| channel),
            label: label.unwrap_or_default(),
            shared_with: owners
                .iter()
                .filter(|owner| owner.fixture != why.place)
                .map(|owner| owner.fixture)
                .collect(),
        }
    }
}

/// What no slot can change at once.
fn blockers(why: &Why<'_>) -> Vec<Blocker> {
    let Some((head, t_s)) = why.over_time else { return Vec::new() };
    let mut all = Vec::new();
    if head.lost_since_s().is_some() {
        return vec![Blocker::NoSignal];
    }
    if let Some(reset) = head.reset().filter(|reset| t_s < reset.end_s) {
        all.push(Blocker::Resets { wait_s: reset.end_s - t_s });
    }
    match (why.pose.lamp, head.lamp()) {
        (Lamp::Striking, LampState::Struck { lit_s }) => {
            all.push(Blocker::Strikes { wait_s: lit_s - t_s });
        }
        (Lamp::Hot, LampState::PutOut { cool_s }) => {
            all.push(Blocker::Hot { wait_s: cool_s - t_s });
        }
        _ => {}
    }
    all
}

/// Rounds of waiting for whatever happens by itself.
const ROUNDS: usize = 8;

/// Light in lumens once a head was asked this and had its time, and after how long there is any.
fn outcome(
    why: &Why<'_>,
    head: &crate::motion::HeadMotion,
    t_s: f64,
    asked: &crate::decode::Asked,
    blockers: &[Blocker],
) -> (f64, f64) {
    let meter = FluxMeter::new(&why.reading.mode.profile);
    let mut head = head.clone();
    // A lamp that is too hot forgets the order: it is to be given once it is cool.
    let cool_s = blockers.iter().find_map(|blocker| match blocker {
        Blocker::Hot { wait_s } => Some(*wait_s),
        _ => None,
    });
    let mut now_s = t_s + cool_s.map_or(0.0, |wait_s| wait_s + 1e-6);
    head.ask(now_s, asked);
    for _ in 0..ROUNDS {
        let flux_lm = meter.flux_lm(&head.pose_at(now_s));
        let holds = head.holds().filter(|hold| !hold.done).map(|hold| hold.due_s());
        let reset = head.reset().map(|reset| reset.end_s);
        let lamp = match head.lamp() {
            LampState::Struck { lit_s } => Some(lit_s),
            _ => None,
        };
        let last_s = Some(head.arrives_s().last_s()).filter(|s| s.is_finite());
        let due = holds.chain(reset).chain(lamp).chain(last_s).filter(|s| *s > now_s + 1e-9);
        let next_s = due.fold(f64::INFINITY, f64::min);
        if !next_s.is_finite() {
            return (flux_lm, now_s - t_s);
        }
        now_s = next_s + 1e-6;
        head.advance(now_s);
    }
    (meter.flux_lm(&head.pose_at(now_s)), now_s - t_s)
}

impl SlotChange {
    /// The change in words: `slot 7 from 9 to 16 (open)`.
    pub fn words(&self) -> String {
        let from = self.from.map_or_else(|| "not sent".to_owned(), |from| from.to_string());
        let label =
            if self.label.is_empty() { String::new() } else { format!(" ({})", self.label) };
        format!("slot {} from {from} to {}{label}", self.slot, self.to)
    }
}

impl Blocker {
    /// What stands in the way, in words.
    pub fn words(&self) -> String {
        let wait = |what: &str, wait_s: f64| {
            format!("{what}: wait {} s", crate::finding::rounded(wait_s.max(0.0), 1))
        };
        match self {
            Self::NotPatched => "no slot can: it has no address".to_owned(),
            Self::NoSignal => "no slot can while there is no signal: bring it back".to_owned(),
            Self::Resets { wait_s } => wait("no slot can while it resets", *wait_s),
            Self::Strikes { wait_s } => wait("the lamp is being struck", *wait_s),
            Self::Hot { wait_s } => {
                let wait = wait("the lamp is too hot to be struck", *wait_s);
                format!("{wait}, then give the order to strike it (again)")
            }
            Self::OnItsWay { wait_s } => wait("it is on its way", *wait_s),
            Self::Nothing => "no change of its slots that was tried gives light".to_owned(),
        }
    }
}

impl Mend {
    /// What to do, in one sentence.
    pub fn words(&self) -> String {
        let changes: Vec<String> = self.changes.iter().map(SlotChange::words).collect();
        let set = match changes.as_slice() {
            [] => String::new(),
            [one] => format!("set {one}"),
            all => format!("it takes {} slots: set {}", all.len(), all.join(", and ")),
        };
        let waits = self.blockers.iter().map(Blocker::words);
        let all: Vec<String> =
            waits.chain([set].into_iter().filter(|set| !set.is_empty())).collect();
        all.join("; ")
    }

    /// There is something to change.
    pub fn is_possible(&self) -> bool {
        !self.changes.is_empty()
    }
}
