//! What can be done to the cue lists of a show, and how each of it is undone.

use std::collections::BTreeMap;

use super::check_show::Check;
use super::cue_file;
use super::cue_follow;
use super::edit::refuse;
use super::model::Show;
use super::read_cues;
use crate::cue::{Cue, CueList, Cues, DarkMoves, Loop, Movement, Reference, Value, Watched};
use crate::finding::{Finding, Place};
use crate::profile::Accepted;
use crate::rig::FixtureId;

/// Something a person does to cue lists. Lists and cues are counted from 0, as in the show.
#[derive(Clone, Debug, PartialEq)]
pub enum CueEdit {
    /// Adds a list behind the others.
    AddList(Box<CueList>),
    /// Takes a list out.
    RemoveList(usize),
    /// Changes a list, but for its cues.
    SetList {
        /// Which one.
        list: usize,
        /// What it is called from now on.
        name: String,
        /// Its notes.
        notes: String,
        /// Whether and how dark heads are moved ahead.
        dark_moves: Option<DarkMoves>,
        /// The spans that are run again.
        loops: Vec<Loop>,
    },
    /// Puts a cue where its number belongs; no other cue of the list has that number.
    AddCue {
        /// The list.
        list: usize,
        /// The cue.
        cue: Box<Cue>,
    },
    /// Changes a cue; with another number it goes where that belongs.
    SetCue {
        /// The list.
        list: usize,
        /// Which cue.
        index: usize,
        /// What it is from now on.
        cue: Box<Cue>,
    },
    /// Takes a cue out.
    RemoveCue {
        /// The list.
        list: usize,
        /// Which cue.
        index: usize,
    },
    /// Changes many cues of a list at once: what splitting, copying, renumbering and the like come to.
    SetCues {
        /// The list.
        list: usize,
        /// What was done to them, in words.
        words: String,
        /// What cues there are from now on, in any order.
        cues: Vec<Cue>,
        /// The spans that are run again from now on.
        loops: Vec<Loop>,
    },
    /// Changes the references that cues share. One with another name is another one: the cues that used
    /// it say the old name still.
    SetReferences {
        /// What was done to them, in words.
        words: String,
        /// What there is from now on.
        references: Vec<Reference>,
    },
    /// Gives a reference another name, and has every cue that uses it say that.
    RenameReference {
        /// Which one, counted from 0.
        index: usize,
        /// Its new name; no other reference has it.
        name: String,
    },
    /// Takes a reference out; cues that used it get the values it gave.
    RemoveReference(usize),
    /// Takes note that something the dry run says is meant to be so.
    Accept(Accepted),
    /// Takes that back.
    Unaccept(usize),
    /// Changes the conditions that are watched for.
    SetWatches {
        /// What was done to them, in words.
        words: String,
        /// What there is from now on.
        watches: Vec<Watched>,
    },
}

/// A part of the cue lists that is traded for another.
#[derive(Clone, Debug)]
pub(super) enum CueChange {
    /// A list that comes in, or where there is none, one that goes out.
    ListHere(usize, Option<Box<CueList>>),
    /// A list without its cues: these stay.
    ListHead(usize, Box<CueList>),
    /// A cue of a list.
    Cue(usize, usize, Box<Cue>),
    /// A cue that comes in, or where there is none, one that goes out.
    CueHere(usize, usize, Option<Box<Cue>>),
    /// So many cues of a list from a place on, and those that come in their place.
    Span(usize, usize, usize, Vec<Cue>),
    /// What a cue of a list gives a fixture, or nothing.
    Given(usize, usize, FixtureId, Option<BTreeMap<String, Value>>),
    /// The movements of a cue of a list, and the fixtures whose movements end there.
    Movements(usize, usize, Vec<Movement>, Vec<FixtureId>),
    /// What a reference gives a fixture of its own, or nothing.
    Own(usize, FixtureId, Option<BTreeMap<String, Value>>),
    /// All references.
    References(Vec<Reference>),
    /// All that was accepted.
    Accepted(Vec<Accepted>),
    /// All conditions that are watched for.
    Watches(Vec<Watched>),
}

impl CueChange {
    /// Trades, and gives the change that trades back. Places must lie within the lists.
    pub(super) fn trade(self, cues: &mut Cues) -> Self {
        match self {
            Self::ListHere(at, Some(list)) => {
                cues.lists.insert(at, *list);
                Self::ListHere(at, None)
            }
            Self::ListHere(at, None) => Self::ListHere(at, Some(Box::new(cues.lists.remove(at)))),
            Self::ListHead(at, mut head) => {
                std::mem::swap(&mut cues.lists[at], &mut head);
                std::mem::swap(&mut cues.lists[at].cues, &mut head.cues);
                Self::ListHead(at, head)
            }
            Self::Cue(list, at, mut cue) => {
                std::mem::swap(&mut cues.lists[list].cues[at], &mut cue);
                Self::Cue(list, at, cue)
            }
            Self::CueHere(list, at, Some(cue)) => {
                cues.lists[list].cues.insert(at, *cue);
                Self::CueHere(list, at, None)
            }
            Self::CueHere(list, at, None) => {
                let cue = cues.lists[list].cues.remove(at);
                Self::CueHere(list, at, Some(Box::new(cue)))
            }
            Self::Span(list, at, count, new) => {
                let come = new.len();
                let gone = cues.lists[list].cues.splice(at..at + count, new).collect();
                Self::Span(list, at, come, gone)
            }
            Self::Given(list, at, id, given) => {
                let changes = &mut cues.lists[list].cues[at].changes;
                Self::Given(list, at, id, put(changes, id, given))
            }
            Self::Movements(list, at, mut movements, mut still) => {
                let cue = &mut cues.lists[list].cues[at];
                std::mem::swap(&mut cue.movements, &mut movements);
                std::mem::swap(&mut cue.still, &mut still);
                Self::Movements(list, at, movements, still)
            }
            Self::Own(at, id, own) => Self::Own(at, id, put(&mut cues.references[at].own, id, own)),
            Self::References(mut references) => {
                std::mem::swap(&mut cues.references, &mut references);
                Self::References(references)
            }
            Self::Accepted(mut accepted) => {
                std::mem::swap(&mut cues.accepted, &mut accepted);
                Self::Accepted(accepted)
            }
            Self::Watches(mut watches) => {
                std::mem::swap(&mut cues.watches, &mut watches);
                Self::Watches(watches)
            }
        }
    }
}

/// Puts a value under a key, or takes it out, and gives what was there.
fn put<V>(map: &mut BTreeMap<FixtureId, V>, id: FixtureId, value: Option<V>) -> Option<V> {
    match value {
        Some(value) => map.insert(id, value),
        None => map.remove(&id),
    }
}

/// The words for an edit and the changes it makes: none where the lists are that way already.
pub(super) fn changes(show: &Show, edit: CueEdit) -> Result<(String, Vec<CueChange>), Finding> {
    let cues = &show.cues;
    Ok(match edit {
        CueEdit::AddList(list) => {
            let words = format!("add cue list \"{}\"", list.name);
            sound(&Cues { lists: with_list(cues, None, &list), ..Cues::default() })?;
            (words, vec![CueChange::ListHere(cues.lists.len(), Some(list))])
        }
        CueEdit::RemoveList(at) => {
            let words = format!("remove cue list \"{}\"", list_at(cues, at)?.name);
            (words, vec![CueChange::ListHere(at, None)])
        }
        CueEdit::SetList { list, name, notes, dark_moves, loops } => {
            let old = list_at(cues, list)?;
            let words = format!("change cue list \"{}\"", old.name);
            let new = CueList { name, notes, dark_moves, loops, cues: old.cues.clone() };
            if new == *old {
                return Ok((words, Vec::new()));
            }
            sound(&Cues { lists: with_list(cues, Some(list), &new), ..Cues::default() })?;
            let names = [(cue_follow::list_words(&old.name), cue_follow::list_words(&new.name))];
            let mut changes = Vec::from_iter(cue_follow::accepted(cues, &names));
            let head = CueList { cues: Vec::new(), ..new };
            changes.push(CueChange::ListHead(list, Box::new(head)));
            (words, changes)
        }
        CueEdit::AddCue { list, cue } => {
            let at = free_place(list_at(cues, list)?, &cue, None)?;
            (format!("add {}", cue.words()), vec![CueChange::CueHere(list, at, Some(cue))])
        }
        CueEdit::SetCue { list, index, cue } => set_cue(cues, list, index, cue)?,
        CueEdit::RemoveCue { list, index } => {
            let of = list_at(cues, list)?;
            let words = format!("remove {}", cue_at(of, index)?.words());
            let changes = vec![CueChange::CueHere(list, index, None)];
            (words, without_loops_of(of, list, index, changes))
        }
        CueEdit::SetCues { list, words, cues: new, loops } => {
            let old = list_at(cues, list)?;
            let names = cue_follow::renamed_cues(old, &new);
            let mut changes = set_cues(old, list, new, loops)?;
            changes.extend(cue_follow::accepted(cues, &names));
            (words, changes)
        }
        CueEdit::RenameReference { index, name } => {
            let old = reference_at(cues, index)?;
            let words = format!("rename reference \"{}\"", old.name);
            if old.name == name {
                return Ok((words, Vec::new()));
            }
            let mut references = cues.references.clone();
            references[index].name.clone_from(&name);
            sound(&Cues { references, ..Cues::default() })?;
            (words, cue_follow::renamed(cues, index, &name))
        }
        CueEdit::RemoveReference(index) => {
            let words = format!("remove reference \"{}\"", reference_at(cues, index)?.name);
            (words, cue_follow::dissolved(cues, index))
        }
        CueEdit::SetReferences { words, references } => {
            sound(&Cues { references: references.clone(), ..Cues::default() })?;
            let same = references == cues.references;
            (words, if same { Vec::new() } else { vec![CueChange::References(references)] })
        }
        CueEdit::Accept(accepted) => {
            let words = format!("accept `{}`", accepted.code);
            if accepted.reason.trim().is_empty() {
                let place = Place::item(accepted.at.clone());
                let mend = "say why it is as it should be";
                return Err(Finding::error(place, "it is accepted without a reason", mend));
            }
            let mut all = cues.accepted.clone();
            all.retain(|other| (&other.code, &other.at) != (&accepted.code, &accepted.at));
            all.push(accepted);
            (words, vec![CueChange::Accepted(all)])
        }
        CueEdit::SetWatches { words, watches } => {
            let same = watches == cues.watches;
            (words, if same { Vec::new() } else { vec![CueChange::Watches(watches)] })
        }
        CueEdit::Unaccept(at) => {
            let mut all = cues.accepted.clone();
            if at >= all.len() {
                return Err(nothing("accepted finding", at));
            }
            let words = format!("no longer accept `{}`", all.remove(at).code);
            (words, vec![CueChange::Accepted(all)])
        }
    })
}

fn set_cue(
    cues: &Cues,
    list: usize,
    index: usize,
    cue: Box<Cue>,
) -> Result<(String, Vec<CueChange>), Finding> {
    let of = list_at(cues, list)?;
    let old = cue_at(of, index)?;
    let words = format!("change {}", old.words());
    if *old == *cue {
        return Ok((words, Vec::new()));
    }
    let names = [(cue_follow::cue_words(&of.name, old), cue_follow::cue_words(&of.name, &cue))];
    let mut changes = Vec::from_iter(cue_follow::accepted(cues, &names));
    if old.number == cue.number {
        free_place(of, &cue, Some(index))?;
        changes.push(CueChange::Cue(list, index, cue));
        return Ok((words, changes));
    }
    let words = format!("renumber cue {} to {}", old.number, cue.number);
    let mut loops = of.loops.clone();
    for number in loops.iter_mut().flat_map(|l| [&mut l.from, &mut l.to]) {
        if *number == old.number {
            *number = cue.number;
        }
    }
    let at = free_place(of, &cue, Some(index))?;
    let mut moved = of.clone();
    moved.loops.clone_from(&loops);
    moved.cues.remove(index);
    moved.cues.insert(at, (*cue).clone());
    sound(&Cues { lists: vec![moved], ..Cues::default() })?;
    changes.push(CueChange::CueHere(list, index, None));
    changes.push(CueChange::CueHere(list, at, Some(cue)));
    if loops != of.loops {
        let head = CueList { loops, cues: Vec::new(), ..of.clone() };
        changes.push(CueChange::ListHead(list, Box::new(head)));
    }
    Ok((words, changes))
}

/// Trades the cues from the first that differs to the last.
fn set_cues(
    old: &CueList,
    list: usize,
    mut cues: Vec<Cue>,
    loops: Vec<Loop>,
) -> Result<Vec<CueChange>, Finding> {
    cues.sort_by_key(|cue| cue.number);
    let mut new = CueList { name: old.name.clone(), loops, cues, ..CueList::default() };
    sound(&Cues { lists: vec![new.clone()], ..Cues::default() })?;
    let mut changes = Vec::new();
    if new.cues != old.cues {
        let pairs = || old.cues.iter().zip(&new.cues);
        let first = pairs().take_while(|(a, b)| a == b).count();
        let most = old.cues.len().min(new.cues.len()) - first;
        let ends = old.cues.iter().rev().zip(new.cues.iter().rev()).take(most);
        let last = ends.take_while(|(a, b)| a == b).count();
        let come = new.cues.drain(first..new.cues.len() - last).collect();
        changes.push(CueChange::Span(list, first, old.cues.len() - last - first, come));
    }
    if new.loops != old.loops {
        let head = CueList {
            loops: new.loops,
            cues: Vec::new(),
            name: new.name,
            notes: old.notes.clone(),
            dark_moves: old.dark_moves,
        };
        changes.push(CueChange::ListHead(list, Box::new(head)));
    }
    Ok(changes)
}

/// Loops that end or begin with a cue go with it.
fn without_loops_of(
    of: &CueList,
    list: usize,
    index: usize,
    mut changes: Vec<CueChange>,
) -> Vec<CueChange> {
    let number = of.cues[index].number;
    let stays = |l: &&Loop| l.from != number && l.to != number;
    let loops: Vec<Loop> = of.loops.iter().filter(stays).copied().collect();
    if loops.len() != of.loops.len() {
        let head = CueList { loops, cues: Vec::new(), ..of.clone() };
        changes.push(CueChange::ListHead(list, Box::new(head)));
    }
    changes
}

/// The lists with one in the place of another, or behind them.
fn with_list(cues: &Cues, at: Option<usize>, list: &CueList) -> Vec<CueList> {
    // Only the names of the others matter.
    let bare = |other: &CueList| CueList { name: other.name.clone(), ..CueList::default() };
    let mut lists: Vec<CueList> = cues.lists.iter().map(bare).collect();
    match at {
        Some(at) => lists[at] = list.clone(),
        None => lists.push(list.clone()),
    }
    lists
}

/// Where a cue belongs in a list, once the one at `own` is out of it. What a show file may not hold is
/// refused, so that what was saved can be opened again.
fn free_place(list: &CueList, cue: &Cue, own: Option<usize>) -> Result<usize, Finding> {
    let mut numbers = list.cues.iter().enumerate().filter(|(at, _)| Some(*at) != own);
    if numbers.any(|(_, other)| other.number == cue.number) {
        let what = format!("another cue has the number `{}` already", cue.number);
        return Err(Finding::error(Place::item(cue.words()), what, "give each cue its own number"));
    }
    let alone = CueList { name: list.name.clone(), cues: vec![cue.clone()], ..CueList::default() };
    sound(&Cues { lists: vec![alone], ..Cues::default() })?;
    let before = list.cues.iter().enumerate().filter(|(at, _)| Some(*at) != own);
    Ok(before.filter(|(_, other)| other.number < cue.number).count())
}

/// Refuses what a show file could not hold, by the very checks that read one.
fn sound(cues: &Cues) -> Result<(), Finding> {
    let mut check = Check::default();
    let lists: Vec<_> = cues.lists.iter().map(cue_file::list).collect();
    let references: Vec<_> = cues.references.iter().map(cue_file::reference).collect();
    read_cues::read(&lists, &references, &[], &mut check);
    refuse(&check)
}

fn list_at(cues: &Cues, at: usize) -> Result<&CueList, Finding> {
    cues.lists.get(at).ok_or_else(|| nothing("cue list", at))
}

fn cue_at(list: &CueList, at: usize) -> Result<&Cue, Finding> {
    list.cues.get(at).ok_or_else(|| nothing("cue", at))
}

fn reference_at(cues: &Cues, at: usize) -> Result<&Reference, Finding> {
    cues.references.get(at).ok_or_else(|| nothing("reference", at))
}

fn nothing(kind: &str, at: usize) -> Finding {
    let what = format!("the show has no {kind} in place `{}`", at.saturating_add(1));
    Finding::error(Place::default(), what, "")
}
