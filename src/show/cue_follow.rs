//! What cue lists do when something that they name changes: a fixture gets another number, a reference
//! another name, or either of them goes; and what was accepted goes with lists and cues to their new names.

use std::collections::BTreeMap;

use super::cue_edit::CueChange;
use crate::cue::{Cue, CueList, CueNumber, Cues, Movement, Reference, Value};
use crate::rig::FixtureId;

/// What a cue gives the channels of one fixture.
type Given = BTreeMap<String, Value>;

/// Takes a fixture out of every cue and reference.
pub(super) fn without(cues: &Cues, id: FixtureId) -> Vec<CueChange> {
    follow(cues, id, None)
}

/// Has every cue and reference name a fixture by its new number.
pub(super) fn renumbered(cues: &Cues, id: FixtureId, to: FixtureId) -> Vec<CueChange> {
    follow(cues, id, Some(to))
}

fn follow(cues: &Cues, id: FixtureId, to: Option<FixtureId>) -> Vec<CueChange> {
    let mut changes = Vec::new();
    for (list, at, cue) in each(cues) {
        if let Some(given) = cue.changes.get(&id) {
            changes.push(CueChange::Given(list, at, id, None));
            changes.extend(to.map(|to| CueChange::Given(list, at, to, Some(given.clone()))));
        }
        let moved = cue.movements.iter().flat_map(|movement| &movement.fixtures);
        if moved.chain(&cue.still).any(|named| *named == id) {
            let named = |of: &[FixtureId]| -> Vec<FixtureId> {
                of.iter().filter_map(|n| if *n == id { to } else { Some(*n) }).collect()
            };
            let movements = cue.movements.iter().map(|movement| Movement {
                fixtures: named(&movement.fixtures),
                ..movement.clone()
            });
            let movements = movements.filter(|movement| !movement.fixtures.is_empty()).collect();
            changes.push(CueChange::Movements(list, at, movements, named(&cue.still)));
        }
    }
    for (at, reference) in cues.references.iter().enumerate() {
        if let Some(own) = reference.own.get(&id) {
            changes.push(CueChange::Own(at, id, None));
            changes.extend(to.map(|to| CueChange::Own(at, to, Some(own.clone()))));
        }
    }
    changes
}

/// Has every cue name a reference by its new name.
pub(super) fn renamed(cues: &Cues, reference: usize, name: &str) -> Vec<CueChange> {
    let Some(old) = cues.references.get(reference) else { return Vec::new() };
    let mut references = cues.references.clone();
    references[reference].name = name.to_owned();
    let mut changes = vec![CueChange::References(references)];
    changes.extend(instead(cues, &old.name, |_, _| Some(Value::Like(name.to_owned()))));
    changes
}

/// Takes a reference out; cues that used it get the values it gave, and where it gave none, none.
pub(super) fn dissolved(cues: &Cues, reference: usize) -> Vec<CueChange> {
    let Some(old) = cues.references.get(reference) else { return Vec::new() };
    let mut references: Vec<Reference> = cues.references.clone();
    references.remove(reference);
    let mut changes = instead(cues, &old.name, |id, channel| old.value(id, channel).cloned());
    changes.push(CueChange::References(references));
    changes
}

/// Puts something else in the place of every use of a reference.
fn instead(
    cues: &Cues,
    name: &str,
    value: impl Fn(FixtureId, &str) -> Option<Value>,
) -> Vec<CueChange> {
    let uses = |value: &Value| matches!(value, Value::Like(like) if like == name);
    let mut changes = Vec::new();
    for (list, at, cue) in each(cues) {
        for (id, given) in &cue.changes {
            if !given.values().any(uses) {
                continue;
            }
            let new: Given = given
                .iter()
                .filter_map(|(channel, old)| {
                    let new = if uses(old) { value(*id, channel) } else { Some(old.clone()) };
                    Some((channel.clone(), new?))
                })
                .collect();
            changes.push(CueChange::Given(list, at, *id, Some(new).filter(|new| !new.is_empty())));
        }
    }
    changes
}

/// Has what was accepted of lists, or of cues of them, be about the same under their new names: pairs of how
/// findings named them and name them from now on, all of which change at once.
pub(super) fn accepted(cues: &Cues, names: &[(String, String)]) -> Option<CueChange> {
    let mut all = cues.accepted.clone();
    for accepted in &mut all {
        let new = names.iter().find_map(|(from, to)| {
            let rest = accepted.at.strip_prefix(from.as_str())?;
            (rest.is_empty() || rest.starts_with(',')).then(|| format!("{to}{rest}"))
        });
        accepted.at = new.unwrap_or_else(|| std::mem::take(&mut accepted.at));
    }
    (all != cues.accepted).then_some(CueChange::Accepted(all))
}

/// How findings named and will name the cues of a list that go on under another number or name.
///
/// A cue that is there just as it was is itself; else one that differs in nothing but the number, first come
/// first served, is it under a new number; else whatever has its number is what it has become.
pub(super) fn renamed_cues(old: &CueList, new: &[Cue]) -> Vec<(String, String)> {
    let place = |number: CueNumber| new.iter().position(|cue| cue.number == number);
    let mut taken = vec![false; new.len()];
    let mut gone = Vec::new();
    for cue in &old.cues {
        match place(cue.number).filter(|at| new[*at] == *cue) {
            Some(at) => taken[at] = true,
            None => gone.push(cue),
        }
    }
    let mut names = Vec::new();
    let mut tell = |cue: &Cue, to: &Cue| {
        if cue.words() != to.words() {
            names.push((cue_words(&old.name, cue), cue_words(&old.name, to)));
        }
    };
    gone.retain(|cue| {
        let alike = |at: &usize| !taken[*at] && same_but_number(cue, &new[*at]);
        let Some(at) = (0..new.len()).find(alike) else { return true };
        taken[at] = true;
        tell(cue, &new[at]);
        false
    });
    for cue in gone {
        if let Some(at) = place(cue.number).filter(|at| !taken[*at]) {
            tell(cue, &new[at]);
        }
    }
    names
}

fn same_but_number(one: &Cue, other: &Cue) -> bool {
    Cue { number: other.number, ..one.clone() } == *other
}

/// How findings name a list.
pub(super) fn list_words(list: &str) -> String {
    format!("list \"{list}\"")
}

/// How findings name a cue of a list.
pub(super) fn cue_words(list: &str, cue: &Cue) -> String {
    format!("{}, {}", list_words(list), cue.words())
}

fn each(cues: &Cues) -> impl Iterator<Item = (usize, usize, &Cue)> {
    cues.lists
        .iter()
        .enumerate()
        .flat_map(|(list, of)| of.cues.iter().enumerate().map(move |(at, cue)| (list, at, cue)))
}
