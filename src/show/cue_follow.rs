//! What cue lists do when something that they name changes: a fixture gets another number, a reference
//! another name, or either of them goes; and what was accepted goes with lists and cues to their new names.

use std::collections::BTreeMap;

use super::cue_edit::CueChange;
use crate::cue::{Cue, Cues, Movement, Reference, Value};
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

/// Has what was accepted of a list, or of a cue of it, be about the same under its new name; `from` and `to`
/// are how findings name it.
pub(super) fn accepted(cues: &Cues, from: &str, to: &str) -> Option<CueChange> {
    let mut all = cues.accepted.clone();
    for accepted in &mut all {
        let rest = accepted.at.strip_prefix(from);
        if let Some(rest) = rest.filter(|rest| rest.is_empty() || rest.starts_with(',')) {
            accepted.at = format!("{to}{rest}");
        }
    }
    (all != cues.accepted).then_some(CueChange::Accepted(all))
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
