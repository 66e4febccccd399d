//! Drills: exercises for a student, made of any mode and a seed, and graded through the pipeline.
//!
//! An answer is right when what the pipeline makes of it means what was asked, within a stated tolerance:
//! any value of the right range will do. Marked wrong answers were found wrong in the same way.

mod answer;
mod fault;
mod grade;
mod head;
mod key;
mod line;
mod make;
pub mod outcome;
mod random;
mod words;

pub use answer::{Answer, read_answers};
pub use fault::Fault;
pub use grade::Grade;
pub use head::TestHead;
pub use key::{KeyRange, key_ranges};
pub use line::Taken;
pub use make::{exercise, sheet};
pub use outcome::{Facet, Outcome, Part};

use std::str::FromStr;

/// How far a student has come, from first light to misfits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Level and shutter.
    FirstLight,
    /// Aim, colour and pattern; which slot did that.
    AimAndColour,
    /// Every channel, from rest; addresses and address switches.
    WholeHead,
    /// Several channels at once; packets on the line.
    OnTheLine,
    /// Faults.
    Misfits,
}

impl Level {
    /// All of them, in rising order.
    pub const ALL: [Self; 5] =
        [Self::FirstLight, Self::AimAndColour, Self::WholeHead, Self::OnTheLine, Self::Misfits];

    /// Its number, from 1.
    pub fn number(self) -> u8 {
        self as u8 + 1
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::FirstLight => "first light",
            Self::AimAndColour => "aim and colour",
            Self::WholeHead => "the whole head",
            Self::OnTheLine => "on the line",
            Self::Misfits => "misfits",
        }
    }
}

impl FromStr for Level {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let named = |level: &&Self| {
            level.number().to_string() == text || level.words().eq_ignore_ascii_case(text)
        };
        Self::ALL.iter().find(named).copied().ok_or_else(|| {
            "a level is 1 (first light), 2 (aim and colour), 3 (the whole head), 4 (on the line) or 5 \
             (misfits)"
                .to_owned()
        })
    }
}

/// One of the answers to choose from.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The answer in words.
    pub words: String,
    /// What it claims, by which it is graded.
    pub claim: Claim,
    /// It is the one that was meant: the mark by which it was made, not the grade.
    pub meant: bool,
}

/// What an answer to choose claims.
#[derive(Clone, Debug, PartialEq)]
pub enum Claim {
    /// The head does what it does with these values of its slots.
    Does(Vec<u8>),
    /// This slot of the head, counted from 1, did it alone.
    Slot(u16),
    /// This is wrong with the rig.
    Fault(Fault),
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// Set the head to this.
    Set {
        /// The slots before; `[0]` is the head's first.
        start: Vec<u8>,
        /// Slots that do it.
        target: Vec<u8>,
        /// What is asked of the head.
        wanted: Vec<Facet>,
    },
    /// Which slot did that.
    Which {
        /// The slots before.
        before: Vec<u8>,
        /// The slots after.
        after: Vec<u8>,
        /// What the head did before.
        was: Outcome,
        /// What changed, as it is afterwards.
        seen: Vec<Facet>,
        /// Slots to choose from.
        choices: Vec<Choice>,
    },
    /// What will a value on a slot do.
    What {
        /// All slots, with the value.
        slots: Vec<u8>,
        /// The slot, from 1.
        slot: u16,
        /// What to choose from.
        choices: Vec<Choice>,
    },
    /// What is wrong with this head.
    Fault {
        /// The whole frame, 512 slots, as it is meant.
        frame: Vec<u8>,
        /// The address of the head in question.
        address: u16,
        /// What it was meant to do where it differs.
        meant: Vec<Facet>,
        /// What it does.
        seen: Outcome,
        /// Whether light leaves it.
        lit: bool,
        /// What to choose from.
        choices: Vec<Choice>,
    },
    /// Give these heads addresses.
    Address {
        /// Footprints of the heads, in slots.
        footprints: Vec<u16>,
        /// Slots that are taken already.
        taken: Taken,
    },
    /// Which address do these switches make.
    Switches {
        /// Which are on: `[0]` is switch 1, the least.
        on: [bool; 9],
    },
    /// How long is this packet, in microseconds.
    Packet {
        /// The break, in microseconds.
        break_us: u32,
        /// The mark after it, in microseconds.
        mark_us: u32,
        /// Slots behind the start code.
        slots: u16,
    },
}

/// One exercise.
#[derive(Clone, Debug, PartialEq)]
pub struct Exercise {
    /// The seed that it was made of.
    pub seed: u64,
    /// The level that it was made for.
    pub level: Level,
    /// What is asked.
    pub task: Task,
}

/// What each hint costs of the points of an exercise, as a share.
pub const HINT_COST: f64 = 0.25;

/// What each wrong try costs of the points of an exercise, as a share.
pub const TRY_COST: f64 = 0.25;

/// The points of a right answer after so many hints and wrong tries: 1 at once, never below 0.
pub fn points(hints: usize, wrong: usize) -> f64 {
    (1.0 - HINT_COST * hints as f64 - TRY_COST * wrong as f64).max(0.0)
}

impl Exercise {
    /// The stable name of its kind.
    pub fn kind(&self) -> &'static str {
        match self.task {
            Task::Set { .. } => "set",
            Task::Which { .. } => "which-slot",
            Task::What { .. } => "what-does",
            Task::Fault { .. } => "find-fault",
            Task::Address { .. } => "address",
            Task::Switches { .. } => "switches",
            Task::Packet { .. } => "packet",
        }
    }

    /// What there is to choose from; nothing where the answer is written.
    pub fn choices(&self) -> &[Choice] {
        match &self.task {
            Task::Which { choices, .. }
            | Task::What { choices, .. }
            | Task::Fault { choices, .. } => choices,
            _ => &[],
        }
    }

    /// An answer that is marked as right. `None` only for an exercise that was not made here.
    pub fn right_answer(&self) -> Option<Answer> {
        match &self.task {
            Task::Set { start, target, .. } => {
                let slots = target.iter().zip(start).enumerate();
                let moved = slots.filter(|(_, (there, here))| there != here);
                Some(Answer::Slots(moved.map(|(i, (there, _))| (i as u16 + 1, *there)).collect()))
            }
            Task::Address { footprints, taken } => {
                line::free(footprints, *taken).map(Answer::Numbers)
            }
            Task::Switches { on } => Some(Answer::Numbers(vec![line::address(on)])),
            Task::Packet { break_us, mark_us, slots } => {
                Some(Answer::Us(line::packet_us(*break_us, *mark_us, *slots)))
            }
            _ => self.choices().iter().position(|choice| choice.meant).map(Answer::Pick),
        }
    }

    /// Answers that are marked as wrong.
    pub fn wrong_answers(&self) -> Vec<Answer> {
        match &self.task {
            Task::Set { .. } => vec![Answer::Slots(Vec::new())],
            Task::Address { footprints, taken } => line::wrong_addresses(footprints, *taken),
            Task::Switches { on } => line::wrong_switches(on),
            Task::Packet { break_us, mark_us, slots } => {
                line::wrong_packets(*break_us, *mark_us, *slots)
            }
            _ => {
                let choices = self.choices().iter().enumerate();
                choices.filter(|(_, choice)| !choice.meant).map(|(i, _)| Answer::Pick(i)).collect()
            }
        }
    }
}
