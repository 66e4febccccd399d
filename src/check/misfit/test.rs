//! Tests that are asked of a person: slots to move, and what may be seen.

use super::Case;
use super::change::Changes;
use crate::wire::{Slot, Universe};

/// A test: move a slot, or several one after the other, and look at a head.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// The universe of the slots.
    pub universe: Universe,
    /// What to do.
    pub step: Step,
    /// The head to look at, as a place in the rig.
    pub place: usize,
    /// What may be seen, likeliest first.
    pub outcomes: Vec<Outcome>,
    /// How much the answer tells, in bits.
    pub bits: f64,
}

/// What to do in a test.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// To set a slot and leave it there.
    Set {
        /// The slot.
        slot: Slot,
        /// What it has now; `None` where it was never sent.
        from: Option<u8>,
        /// What to set it to.
        to: u8,
    },
    /// To move these slots one after the other as [`walked`] says, each back to where it was before the
    /// next, until one of them does something.
    Walk {
        /// The slots, in order.
        slots: Vec<Slot>,
    },
}

/// Something that may be seen in a test.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What changes.
    pub changes: Changes,
    /// Of a walk, the first slot that does something. `None`: none of them does.
    pub at: Option<Slot>,
    /// The explanations that say so, as places among the rows.
    pub rows: Vec<usize>,
}

/// How far a slot is moved in a walk.
const STRIDE: u8 = 60;

/// What a slot is moved to in a walk: up by 60, or down where it stands in the upper half.
pub fn walked(from: u8) -> u8 {
    if from < 128 { from + STRIDE } else { from - STRIDE }
}

/// What is seen in a walk of a head that answers each slot as `changes` says: the first slot that does
/// something, and what. `None` where that is not known.
pub(super) fn walk(
    slots: &[Slot],
    mut changes: impl FnMut(Slot) -> Option<Changes>,
) -> Option<(Option<Slot>, Changes)> {
    for slot in slots {
        let seen = changes(*slot)?;
        if seen != Changes::NOTHING {
            return Some((Some(*slot), seen));
        }
    }
    Some((None, Changes::NOTHING))
}

impl Outcome {
    /// In words, after `it`: `tips up`, and of a walk also at which slot.
    pub fn words(&self) -> String {
        match self.at {
            Some(slot) => format!("{} at slot {slot}", self.changes.words()),
            None => self.changes.words(),
        }
    }
}

impl Test {
    /// What to do, in words.
    pub fn words(&self, case: &Case<'_>) -> String {
        let head = case.rig.get(self.place).map_or_else(String::new, |fixture| fixture.words());
        let universe = self.universe;
        match &self.step {
            Step::Set { slot, from, to } => {
                let from = from.map_or_else(|| "not sent".to_owned(), |from| from.to_string());
                format!(
                    "set slot {slot} of universe {universe} from {from} to {to} and look at {head}"
                )
            }
            Step::Walk { slots } => format!(
                "move slots {} of universe {universe} one after the other, each by {STRIDE} and back, \
                 until {head} does something",
                runs(slots)
            ),
        }
    }
}

/// Slots as runs: `1..4, 7`.
fn runs(slots: &[Slot]) -> String {
    let mut runs: Vec<(u16, u16)> = Vec::new();
    for slot in slots.iter().map(|slot| slot.number()) {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == slot => *last = slot,
            _ => runs.push((slot, slot)),
        }
    }
    let words = runs.into_iter().map(|(first, last)| match last - first {
        0 => first.to_string(),
        _ => format!("{first}..{last}"),
    });
    words.collect::<Vec<_>>().join(", ")
}
