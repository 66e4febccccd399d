//! Two cue lists side by side: what differs at each cue, by what the values mean and not by how they are
//! written.
//!
//! Cues are paired by their numbers and fixtures by theirs. Each list is run from cue to cue by itself, and
//! at every cue the readings of both are compared once everything has faded. What differs and goes on
//! differing is told where it begins.

pub(super) mod fixtures;
pub(super) mod side;

use std::sync::Arc;

use serde::Serialize;

use self::fixtures::Pairs;
use self::side::{Cannot, Side};
use crate::cue::{Cue, CueList, CueNumber, words};
use crate::profile::Profile;
use crate::rig::{Address, FixtureId};
use crate::show::Show;
use crate::wire::{Frames, Slot, Universe};

/// What differs between two lists.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// What is compared: the shows, or what else tells the sides apart, and the lists.
    pub sides: (String, String),
    /// What differs of the rigs and of the lists as a whole.
    pub whole: Vec<Difference>,
    /// Cues at which something begins to differ, in order of their numbers.
    pub cues: Vec<CueDifference>,
    /// How many cues there are in all, counting those of the same number once.
    pub cue_count: usize,
}

impl Comparison {
    /// Whether there is no difference at all.
    pub fn is_same(&self) -> bool {
        self.whole.is_empty() && self.cues.is_empty()
    }
}

/// What begins to differ at one cue.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CueDifference {
    /// Its number.
    pub number: String,
    /// What it is called on either side; `None` where the list has no such cue.
    pub names: (Option<String>, Option<String>),
    /// What differs.
    pub differences: Vec<Difference>,
    /// What is held of every universe on either side, once all has faded.
    #[serde(skip)]
    pub frames: (Frames, Frames),
}

/// One thing that differs.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Difference {
    /// What kind of thing.
    pub kind: DifferenceKind,
    /// Whom it concerns; empty where it concerns the whole.
    pub fixtures: Vec<FixtureId>,
    /// What: `times`, the name of a channel, `light`.
    pub what: String,
    /// How it is on the first side; `None` where it is not there.
    pub before: Option<String>,
    /// How it is on the second side.
    pub after: Option<String>,
}

/// What kind of thing differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DifferenceKind {
    /// A cue that one side has not.
    Cue,
    /// Names, times, how the next cue comes, loops, dark moves.
    Timing,
    /// A fixture that one side has not, or that is another model, hangs elsewhere.
    Fixture,
    /// What cannot be done.
    Cannot,
    /// Whether light leaves a fixture.
    Light,
    /// What a channel asks for.
    Channel,
    /// A repeating movement.
    Movement,
    /// What a fixture does at that instant, whatever it is asked.
    Now,
}

/// Makes fixtures of a show of another mode, which may be one of another profile. Each goes to a universe of its
/// own: where its slots are makes no difference to what a cue means, and they may not fit where they were.
///
/// # Errors
///
/// The number of a fixture that the show has not.
pub fn of_mode(
    show: &mut Show,
    fixtures: &[FixtureId],
    profile: &Arc<Profile>,
    mode: &str,
) -> Result<(), FixtureId> {
    let taken: Vec<Universe> =
        show.rig.iter().filter_map(|fixture| Some(fixture.address?.universe)).collect();
    let mut free = (1..).map_while(Universe::new).filter(|universe| !taken.contains(universe));
    for id in fixtures {
        let fixture = show.rig.iter_mut().find(|fixture| fixture.id == *id).ok_or(*id)?;
        fixture.profile = profile.key().0;
        fixture.mode = mode.to_owned();
        let first = free.next().zip(Slot::new(1));
        fixture.address = first.map(|(universe, slot)| Address { universe, slot });
    }
    show.profiles.insert(profile.key().0, profile.clone());
    Ok(())
}

/// Compares a list of one show with a list of another (or the same), both counted from 0. `sides` says what
/// to call them. `None` where one of the lists is not there.
pub fn compare(
    before: (&Show, usize),
    after: (&Show, usize),
    sides: (String, String),
) -> Option<Comparison> {
    let (mut one, mut other) = (Side::new(before.0, before.1)?, Side::new(after.0, after.1)?);
    let mut numbers: Vec<CueNumber> =
        [one.list, other.list].iter().flat_map(|list| &list.cues).map(|cue| cue.number).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let mut whole = list_differences(one.list, other.list);
    let (plan_one, plan_other) = (one.plan.clone(), other.plan.clone());
    let mut pairs = Pairs::new((before.0, &plan_one), (after.0, &plan_other), &mut whole);
    let mut cues = Vec::new();
    for number in &numbers {
        let places = (one.go_to(*number), other.go_to(*number));
        let found = (
            places.0.and_then(|place| one.list.cues.get(place)),
            places.1.and_then(|place| other.list.cues.get(place)),
        );
        let mut differences = cue_differences(found);
        let cannot = (one.cannot(places.0), other.cannot(places.1));
        differences.extend(cannot_differences(cannot));
        differences.extend(pairs.differences((one.at(), other.at())));
        if !differences.is_empty() {
            let name = |cue: Option<&Cue>| cue.map(|cue| cue.name.clone());
            cues.push(CueDifference {
                number: number.to_string(),
                names: (name(found.0), name(found.1)),
                differences: joined(differences),
                frames: (one.frames.clone(), other.frames.clone()),
            });
        }
    }
    Some(Comparison { sides, whole: joined(whole), cues, cue_count: numbers.len() })
}

/// What differs of two lists as a whole.
fn list_differences(one: &CueList, other: &CueList) -> Vec<Difference> {
    let loops =
        |list: &CueList| list.loops.iter().map(words::repeats).collect::<Vec<_>>().join("; ");
    let dark = |list: &CueList| {
        list.dark_moves.map_or(String::new(), |dark| format!("in {}", words::seconds(dark.fade_s)))
    };
    [
        timing("loops", loops(one), loops(other)),
        timing("dark heads moved ahead", dark(one), dark(other)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Something of a cue in words, where it differs. Nothing is told as being not there.
fn timing(what: &str, before: String, after: String) -> Option<Difference> {
    of_kind(DifferenceKind::Timing, what, before, after)
}

fn of_kind(kind: DifferenceKind, what: &str, before: String, after: String) -> Option<Difference> {
    let there = |text: String| Some(text).filter(|text| !text.is_empty());
    (before != after).then(|| Difference {
        kind,
        fixtures: Vec::new(),
        what: what.to_owned(),
        before: there(before),
        after: there(after),
    })
}

/// What differs of a cue itself: whether it is there, its name and times, how the next comes, movements.
fn cue_differences(found: (Option<&Cue>, Option<&Cue>)) -> Vec<Difference> {
    let (one, other) = match found {
        (Some(one), Some(other)) => (one, other),
        (one, other) => {
            let there = |cue: Option<&Cue>| cue.map_or(String::new(), Cue::words);
            let told = of_kind(DifferenceKind::Cue, "cue", there(one), there(other));
            return told.into_iter().collect();
        }
    };
    let movements = |cue: &Cue| {
        let each = |of: &crate::cue::Movement| {
            format!("{}: {}", words::fixtures(&of.fixtures), words::movement(of))
        };
        cue.movements.iter().map(each).collect::<Vec<_>>().join("; ")
    };
    let asserts = |cue: &Cue| if cue.asserts { "everything set so far" } else { "" }.to_owned();
    let next = |cue: &Cue| words::next(cue.next);
    let movement = DifferenceKind::Movement;
    [
        timing("name", one.name.clone(), other.name.clone()),
        timing("times", words::times(one), words::times(other)),
        timing("next", next(one), next(other)),
        timing("states", asserts(one), asserts(other)),
        of_kind(movement, "movements begin", movements(one), movements(other)),
        of_kind(
            movement,
            "movements end",
            words::fixtures(&one.still),
            words::fixtures(&other.still),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What one side cannot do and the other can, or cannot for another reason.
fn cannot_differences((one, other): (Cannot, Cannot)) -> Vec<Difference> {
    let mut keys: Vec<_> = one.keys().chain(other.keys()).collect();
    keys.sort_unstable();
    keys.dedup();
    let differs = keys.into_iter().filter(|key| one.get(key) != other.get(key));
    differs
        .map(|key| Difference {
            kind: DifferenceKind::Cannot,
            fixtures: vec![key.0],
            what: key.1.clone(),
            before: one.get(key).cloned(),
            after: other.get(key).cloned(),
        })
        .collect()
}

/// Puts together what is the same for several fixtures.
pub(super) fn joined(differences: Vec<Difference>) -> Vec<Difference> {
    let mut out: Vec<Difference> = Vec::new();
    for difference in differences {
        let alike = |known: &&mut Difference| {
            !known.fixtures.is_empty()
                && !difference.fixtures.is_empty()
                && (known.kind, &known.what, &known.before, &known.after)
                    == (difference.kind, &difference.what, &difference.before, &difference.after)
        };
        match out.iter_mut().find(alike) {
            Some(known) => known.fixtures.extend(difference.fixtures),
            None => out.push(difference),
        }
    }
    out
}
