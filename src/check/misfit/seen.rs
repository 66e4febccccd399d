//! Observations: what a person saw of a head, and whether a fault goes with it.

use super::Case;
use super::change::{Change, Changes};
use super::fault::Fault;
use super::look::{Sight, Way};
use super::suspect::{Moment, Move, Suspect};
use super::test::{walk, walked};
use crate::wire::{Slot, Universe};

/// What was seen of a head, as a place in the rig.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Observation {
    /// The head.
    pub place: usize,
    /// What was seen of it.
    pub seen: Seen,
}

/// What was seen, and in which of the frames.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Seen {
    /// In one frame.
    At {
        /// The frame, as a place among those of the case.
        frame: usize,
        /// What was seen.
        sight: Sight,
    },
    /// From one frame to another.
    From {
        /// The frame before.
        before: usize,
        /// The frame after.
        after: usize,
        /// What happened.
        happened: Happened,
    },
    /// In a walk over slots, each moved as [`walked`] says and back before the next.
    Walked {
        /// The frame, as a place among those of the case.
        frame: usize,
        /// The universe of the slots.
        universe: Universe,
        /// The slots, in order, up to the last that was moved.
        slots: Vec<Slot>,
        /// The first that did something, and what. `None`: none of them did.
        found: Option<(Slot, Changes)>,
    },
}

/// What happened between two frames.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Happened {
    /// It did nothing.
    Nothing,
    /// This happened, whatever else did.
    Did(Change),
    /// It moved, one way or another.
    Moved,
    /// It turned about its base.
    Turned,
    /// It tipped.
    Tipped,
    /// It moved the other way than the frames ask.
    OtherWay,
    /// It moved by a leap where the frames ask for a small step.
    Jerked,
    /// All this happened, and nothing else: the answer to a test.
    Just(Changes),
}

impl Happened {
    /// All but answers, in the order of the lists that offer them.
    pub fn all() -> impl Iterator<Item = Self> {
        let first =
            [Self::Nothing, Self::Moved, Self::Turned, Self::Tipped, Self::OtherWay, Self::Jerked];
        first.into_iter().chain(Change::all().map(Self::Did))
    }

    /// In words, after `it`.
    pub fn words(self) -> String {
        match self {
            Self::Nothing => "does nothing".to_owned(),
            Self::Did(change) => change.words(),
            Self::Moved => "moves".to_owned(),
            Self::Turned => "turns about its base".to_owned(),
            Self::Tipped => "tips".to_owned(),
            Self::OtherWay => "moves the other way than asked".to_owned(),
            Self::Jerked => "jerks".to_owned(),
            Self::Just(changes) => changes.words(),
        }
    }
}

impl Observation {
    /// In words: `fixture 3 is dark in frame 1`.
    pub fn words(&self, case: &Case<'_>) -> String {
        let head = case.rig.get(self.place).map_or_else(String::new, |fixture| fixture.words());
        match &self.seen {
            Seen::Walked { universe, found: None, .. } => {
                format!("{head} does nothing in the walk over slots of universe {universe}")
            }
            Seen::Walked { universe, found: Some((slot, changes)), .. } => {
                let first = "the first slot of the walk that does something";
                format!("{head} {} at {slot} of universe {universe}, {first}", changes.words())
            }
            Seen::At { frame, sight } => {
                format!("{head} {} in {}", sight.words(), case.frame_words(*frame))
            }
            Seen::From { before, after, happened } => format!(
                "{head} {} from {} to {}",
                happened.words(),
                case.frame_words(*before),
                case.frame_words(*after)
            ),
        }
    }
}

/// How far a leap goes at least, in degrees, and how many times what is asked.
const LEAP: (f64, f64) = (5.0, 4.0);

/// Whether a head with a fault shows what was seen. `None` where nobody can say. `intact` is the same head
/// without a fault.
pub(super) fn goes_with(
    case: &Case<'_>,
    fault: &Fault,
    suspect: &mut Suspect,
    intact: &mut Suspect,
    seen: &Seen,
) -> Option<bool> {
    match *seen {
        Seen::Walked { frame, universe, ref slots, found } => {
            let sent = case.frames.get(frame)?;
            let before = Moment { frame, set: None };
            let says = walk(slots, |slot| {
                let to = walked(sent.state(universe, slot).value().unwrap_or(0));
                let set = Some(Move { universe, slot, to });
                suspect.changes(case, before, Moment { frame, set })
            })?;
            Some(says == found.map_or((None, Changes::NOTHING), |(at, seen)| (Some(at), seen)))
        }
        Seen::At { frame, sight } => {
            // Where a head without data hangs, nobody knows.
            let unknown = *fault == Fault::NoData && matches!(sight, Sight::Points(_));
            let look = suspect.look(case, Moment { frame, set: None }).filter(|_| !unknown)?;
            look.shows(sight)
        }
        Seen::From { before, after, happened } => {
            let [from, to] = [before, after].map(|frame| Moment { frame, set: None });
            let changes = suspect.changes(case, from, to)?;
            match happened {
                Happened::Nothing => Some(changes == Changes::NOTHING),
                Happened::Did(change) => Some(changes.has(change)),
                Happened::Moved => Some(changes.moves()),
                Happened::Turned => Some(turned(changes)),
                Happened::Tipped => Some(tipped(changes)),
                Happened::Just(all) => Some(changes == all),
                Happened::OtherWay => {
                    let asked = intact.changes(case, from, to)?;
                    Some(against(asked, changes))
                }
                Happened::Jerked => {
                    let step = |head: &mut Suspect| -> Option<f64> {
                        let [a, b] = [head.look(case, from)?, head.look(case, to)?];
                        let (a, b) = (a.axes_deg?, b.axes_deg?);
                        Some((a[0] - b[0]).abs().max((a[1] - b[1]).abs()))
                    };
                    let (asked_deg, deg) = (step(intact)?, step(suspect)?);
                    Some(deg >= LEAP.0 && deg >= LEAP.1 * asked_deg)
                }
            }
        }
    }
}

fn turned(changes: Changes) -> bool {
    changes.has(Change::TurnsClockwise) || changes.has(Change::TurnsAnticlockwise)
}

fn tipped(changes: Changes) -> bool {
    Way::ALL.into_iter().any(|way| changes.has(Change::Tips(way)))
}

/// Whether one movement goes against another.
fn against(asked: Changes, seen: Changes) -> bool {
    let turns = [
        (Change::TurnsClockwise, Change::TurnsAnticlockwise),
        (Change::TurnsAnticlockwise, Change::TurnsClockwise),
    ];
    let tips = Way::ALL.into_iter().flat_map(|a| {
        let other = Way::ALL.into_iter().find(|b| b.vector() == -a.vector());
        other.map(|b| (Change::Tips(a), Change::Tips(b)))
    });
    turns.into_iter().chain(tips).any(|(a, b)| asked.has(a) && seen.has(b))
}
