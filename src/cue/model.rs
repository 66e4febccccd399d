//! Cue lists: what changes, in what time, and how one cue follows another.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::movement::Movement;
use super::number::CueNumber;
use super::value::Value;
use crate::profile::Accepted;
use crate::rig::FixtureId;

/// What is given to channels, by fixture and by the channel's name.
pub type Changes = BTreeMap<FixtureId, BTreeMap<String, Value>>;

/// Everything of a show that has to do with cues.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cues {
    /// The lists, each of its own name.
    pub lists: Vec<CueList>,
    /// Named values that many cues share, each of its own name.
    pub references: Vec<Reference>,
    /// What the dry run says and the author of the show means to be so.
    pub accepted: Vec<Accepted>,
    /// Conditions that are watched for while anything plays.
    pub watches: Vec<Watched>,
}

/// A condition that is watched for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Watch")]
pub struct Watched {
    /// The condition, as it was typed: `fixture 3 lit while moving`. It need not mean anything to the rig.
    pub when: String,
    /// Time is to stop when it becomes true.
    #[serde(default = "Watched::usually", skip_serializing_if = "Watched::is_usual")]
    pub on: bool,
}

impl Watched {
    fn usually() -> bool {
        true
    }

    fn is_usual(on: &bool) -> bool {
        *on
    }
}

impl Cues {
    /// The list called `name`; where no name is the same, the one that differs only in case.
    pub fn list(&self, name: &str) -> Option<usize> {
        let same = |list: &CueList| list.name == name;
        let nearly = |list: &CueList| list.name.eq_ignore_ascii_case(name);
        self.lists.iter().position(same).or_else(|| self.lists.iter().position(nearly))
    }

    /// The reference called `name`.
    pub fn reference(&self, name: &str) -> Option<&Reference> {
        self.references.iter().find(|reference| reference.name == name)
    }
}

/// Cues in the order of their numbers.
///
/// What a cue does not change goes on as the cues before it left it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CueList {
    /// What it is called.
    pub name: String,
    /// Whatever its makers want to say about it.
    pub notes: String,
    /// Heads that are dark are moved ahead to where the next cue lights them.
    pub dark_moves: Option<DarkMoves>,
    /// Spans that are run again.
    pub loops: Vec<Loop>,
    /// The cues, in rising order of their numbers.
    pub cues: Vec<Cue>,
}

impl CueList {
    /// The cue of this number, as a place in the list.
    pub fn cue(&self, number: CueNumber) -> Option<usize> {
        self.cues.binary_search_by_key(&number, |cue| cue.number).ok()
    }
}

/// How dark heads are moved ahead.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DarkMoves {
    /// In what time the channels go there, in seconds.
    pub fade_s: f64,
}

/// A span of cues that is run again: after `to` comes `from`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loop {
    /// The first cue of the span.
    pub from: CueNumber,
    /// The last cue of the span.
    pub to: CueNumber,
    /// How often it is run in all; `None`: until somebody jumps out of it.
    pub passes: Option<u32>,
}

/// A step of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Cue {
    /// Its number.
    pub number: CueNumber,
    /// What it is called.
    pub name: String,
    /// What there is to see, or to heed.
    pub notes: String,
    /// It states everything that the cues up to it have set, and not only what it changes.
    pub asserts: bool,
    /// How long its parts take.
    pub times: Times,
    /// How levels and everything else that fades run between two values.
    pub curve: FadeCurve,
    /// When channels that jump do so.
    pub snap: SnapAt,
    /// How the next cue comes.
    pub next: Next,
    /// How long it stands, once all has faded, before somebody sends the next one on its way. Only a
    /// rehearsal looks at it, and only where the next cue waits for somebody.
    pub stands_s: Option<f64>,
    /// What it gives channels.
    pub changes: Changes,
    /// Repeating movements that begin with it.
    pub movements: Vec<Movement>,
    /// Fixtures whose movements end with it, and whose channels go on as if there had been none.
    pub still: Vec<FixtureId>,
}

impl Cue {
    /// A cue that changes nothing, in no time.
    pub fn new(number: CueNumber) -> Self {
        Self {
            number,
            name: String::new(),
            notes: String::new(),
            asserts: false,
            times: Times::default(),
            curve: FadeCurve::Even,
            snap: SnapAt::Start,
            next: Next::Go,
            stands_s: None,
            changes: Changes::new(),
            movements: Vec::new(),
            still: Vec::new(),
        }
    }

    /// The cue by its number and name: `cue 3 "Dawn"`.
    pub fn words(&self) -> String {
        match self.name.as_str() {
            "" => format!("cue {}", self.number),
            name => format!("cue {} \"{name}\"", self.number),
        }
    }
}

/// How long something takes, and how long after the cue's start it begins.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Time {
    /// From its beginning to its end, in seconds.
    pub fade_s: f64,
    /// From the cue's start to its beginning, in seconds.
    #[serde(default, skip_serializing_if = "crate::profile::effect::is_default")]
    pub delay_s: f64,
}

impl Time {
    /// From the cue's start to the end, in seconds.
    pub fn end_s(self) -> f64 {
        self.delay_s + self.fade_s
    }
}

/// How long the parts of a cue take.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Times {
    /// Whatever has no time of its own.
    pub all: Time,
    /// Levels that rise.
    pub up: Option<Time>,
    /// Levels that fall.
    pub down: Option<Time>,
    /// Pan and tilt, and how they move.
    pub aim: Option<Time>,
    /// Colour.
    pub colour: Option<Time>,
    /// Everything else.
    pub beam: Option<Time>,
}

/// How a fade runs between two values.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum FadeCurve {
    /// Evenly.
    #[default]
    Even,
    /// Slowly at both ends: `3x² − 2x³`.
    Smooth,
    /// Slowly at first: `x²`.
    SlowStart,
    /// Slowly at last: `1 − (1 − x)²`.
    SlowEnd,
}

impl FadeCurve {
    /// The share of the way at a share of the time, both 0..1.
    pub fn at(self, x: f64) -> f64 {
        match self {
            Self::Even => x,
            Self::Smooth => x * x * (3.0 - 2.0 * x),
            Self::SlowStart => x * x,
            Self::SlowEnd => 1.0 - (1.0 - x) * (1.0 - x),
        }
    }
}

/// When channels that jump do so.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum SnapAt {
    /// As their fade begins.
    #[default]
    Start,
    /// Halfway.
    Half,
    /// As it ends.
    End,
}

/// How the next cue comes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum Next {
    /// Somebody sends it on its way.
    #[default]
    Go,
    /// By itself, so many seconds after everything of this one has faded.
    Follow(f64),
    /// By itself, so many seconds after the start of this one.
    Wait(f64),
}

/// What a reference is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum ReferenceKind {
    /// Where heads point.
    Position,
    /// A colour.
    Colour,
    /// A pattern, or what else shapes a beam.
    Pattern,
    /// Anything.
    #[default]
    Other,
}

/// Named values that many cues share: a cue says `like centre`, and what `centre` is can be changed for
/// all of them at once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reference {
    /// What it is called.
    pub name: String,
    /// What it is for.
    pub kind: ReferenceKind,
    /// What it gives the channels of every fixture that has no value of its own here.
    pub all: BTreeMap<String, Value>,
    /// What it gives the channels of single fixtures.
    pub own: Changes,
}

impl Reference {
    /// What it gives a channel of a fixture.
    pub fn value(&self, fixture: FixtureId, channel: &str) -> Option<&Value> {
        let own = self.own.get(&fixture).and_then(|channels| channels.get(channel));
        own.or_else(|| self.all.get(channel))
    }
}
