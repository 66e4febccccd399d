//! The form of cue lists in a show file, and the writing of it.

use std::collections::{BTreeMap, HashMap};

use serde::{Deserialize, Serialize};

use crate::cue::{
    Changes, Cue, CueList, DarkMoves, FadeCurve, Movement, Next, Reference, ReferenceKind, SnapAt,
    Time, Times, Value,
};
use crate::profile::effect::{is_default, plain_option};
use crate::profile::ron_text::unique_map;

/// Values of channels by the channel's name, as people type them.
pub(super) type ValuesFile = BTreeMap<String, String>;

/// A list.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "List")]
pub(super) struct ListFile {
    pub(super) name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) notes: String,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) dark_moves: Option<DarkMoves>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) loops: Vec<LoopFile>,
    #[serde(default)]
    pub(super) cues: Vec<CueFile>,
}

/// A span that is run again. Without `passes` it is run until somebody jumps out of it.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Loop")]
pub(super) struct LoopFile {
    pub(super) from: f64,
    pub(super) to: f64,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) passes: Option<i64>,
}

/// A cue.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Cue")]
pub(super) struct CueFile {
    pub(super) number: f64,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub(super) notes: String,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) asserts: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) times: TimesFile,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) curve: FadeCurve,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) snap: SnapAt,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) next: Next,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) stands_s: Option<f64>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) set: Vec<SetFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) movements: Vec<Movement>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) still: Vec<u32>,
}

/// How long the parts of a cue take: for all of it, and for parts that have times of their own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default, rename = "Times")]
pub(super) struct TimesFile {
    #[serde(skip_serializing_if = "is_default")]
    pub(super) fade_s: f64,
    #[serde(skip_serializing_if = "is_default")]
    pub(super) delay_s: f64,
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) up: Option<Time>,
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) down: Option<Time>,
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) aim: Option<Time>,
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) colour: Option<Time>,
    #[serde(skip_serializing_if = "Option::is_none", with = "plain_option")]
    pub(super) beam: Option<Time>,
}

/// The same values for some fixtures.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Set")]
pub(super) struct SetFile {
    pub(super) fixtures: Vec<u32>,
    #[serde(deserialize_with = "unique_map")]
    pub(super) values: ValuesFile,
}

/// A reference.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Reference")]
pub(super) struct ReferenceFile {
    pub(super) name: String,
    #[serde(default, skip_serializing_if = "is_default")]
    pub(super) kind: ReferenceKind,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty", deserialize_with = "unique_map")]
    pub(super) all: ValuesFile,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) own: Vec<SetFile>,
}

impl From<TimesFile> for Times {
    fn from(file: TimesFile) -> Self {
        let TimesFile { fade_s, delay_s, up, down, aim, colour, beam } = file;
        Self { all: Time { fade_s, delay_s }, up, down, aim, colour, beam }
    }
}

impl From<Times> for TimesFile {
    fn from(times: Times) -> Self {
        let Times { all: Time { fade_s, delay_s }, up, down, aim, colour, beam } = times;
        Self { fade_s, delay_s, up, down, aim, colour, beam }
    }
}

/// A list as it is written.
pub(super) fn list(list: &CueList) -> ListFile {
    ListFile {
        name: list.name.clone(),
        notes: list.notes.clone(),
        dark_moves: list.dark_moves,
        loops: list
            .loops
            .iter()
            .map(|l| LoopFile {
                from: l.from.decimal(),
                to: l.to.decimal(),
                passes: l.passes.map(i64::from),
            })
            .collect(),
        cues: list.cues.iter().map(cue).collect(),
    }
}

fn cue(cue: &Cue) -> CueFile {
    CueFile {
        number: cue.number.decimal(),
        name: cue.name.clone(),
        notes: cue.notes.clone(),
        asserts: cue.asserts,
        times: cue.times.into(),
        curve: cue.curve,
        snap: cue.snap,
        next: cue.next,
        stands_s: cue.stands_s,
        set: sets(&cue.changes),
        movements: cue.movements.clone(),
        still: cue.still.clone(),
    }
}

/// A reference as it is written.
pub(super) fn reference(reference: &Reference) -> ReferenceFile {
    ReferenceFile {
        name: reference.name.clone(),
        kind: reference.kind,
        all: values(&reference.all),
        own: sets(&reference.own),
    }
}

fn values(values: &BTreeMap<String, Value>) -> ValuesFile {
    values.iter().map(|(channel, value)| (channel.clone(), value.to_string())).collect()
}

/// Fixtures with the same values stand together, in the order of the first of them.
fn sets(changes: &Changes) -> Vec<SetFile> {
    let mut places: HashMap<ValuesFile, usize> = HashMap::new();
    let mut sets: Vec<Vec<u32>> = Vec::new();
    for (fixture, channels) in changes {
        let place = *places.entry(values(channels)).or_insert(sets.len());
        match sets.get_mut(place) {
            Some(fixtures) => fixtures.push(*fixture),
            None => sets.push(vec![*fixture]),
        }
    }
    let mut values: Vec<(ValuesFile, usize)> = places.into_iter().collect();
    values.sort_unstable_by_key(|(_, place)| *place);
    let set = |((values, _), fixtures)| SetFile { fixtures, values };
    values.into_iter().zip(sets).map(set).collect()
}
