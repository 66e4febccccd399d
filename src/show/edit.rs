//! What can be done to a show, and how each of it is undone.
//!
//! An [`Edit`] is what a person does. It becomes one or a few `Change`s, each of which trades a part
//! of the show for another, so that what was traded out undoes it. Nothing else of the show is copied.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::check_show::Check;
use super::cue_edit::{self, CueChange, CueEdit};
use super::cue_follow;
use super::import::{add_profile, take_profile};
use super::model::{Look, Show};
use super::own_profiles::Shelf;
use crate::finding::{Finding, Place, Severity};
use crate::profile::place::PathInFile;
use crate::profile::{Library, Profile};
use crate::rig::{Fixture, check_patch};
use crate::stage::Room;
use crate::wire::{Frames, Slot, SlotState, Universe};

/// Something a person does to a show. Looks and fixtures are counted from 0, as in the show.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Sets slots of a universe; of a slot that comes twice the last value counts.
    SetSlots {
        /// The universe.
        universe: Universe,
        /// Slots and their new values.
        values: Vec<(Slot, u8)>,
    },
    /// Replaces everything the slots stand at.
    SetLevels {
        /// What they stand at now.
        levels: Box<Frames>,
        /// Where that comes from, for the name of the step: `frame.txt`.
        from: String,
    },
    /// Brings a look onto the stage.
    RecallLook(usize),
    /// Keeps what is on the stage as a new look behind the others.
    StoreLook {
        /// What it is called; no other look is.
        name: String,
    },
    /// Keeps what is on the stage as an existing look.
    UpdateLook(usize),
    /// Gives a look another name.
    RenameLook {
        /// Which one.
        index: usize,
        /// Its new name; no other look has it.
        name: String,
    },
    /// Writes what there is to see in a look.
    NoteLook {
        /// Which one.
        index: usize,
        /// The note.
        note: String,
    },
    /// Takes a look out.
    DeleteLook(usize),
    /// Moves a look to another place among them.
    MoveLook {
        /// Where it is.
        from: usize,
        /// Where it comes to.
        to: usize,
    },
    /// Changes a fixture. Cues and references follow it to another number.
    SetFixture {
        /// Which one.
        index: usize,
        /// What it is from now on.
        fixture: Box<Fixture>,
    },
    /// Adds a fixture behind the others.
    AddFixture(Box<Fixture>),
    /// Takes a fixture out, and what cues and references give it.
    RemoveFixture(usize),
    /// Brings in a profile, and the file that holds it.
    AddProfile {
        /// The profile.
        profile: Box<Profile>,
        /// Its file as the show names it.
        file: String,
    },
    /// Puts a profile in the place of the one of the same name that the show uses, and names its file.
    TakeProfile {
        /// The profile.
        profile: Box<Profile>,
        /// Its file as the show names it.
        file: String,
    },
    /// Gives the show another name.
    SetName(String),
    /// Writes notes on the show.
    SetNotes(String),
    /// Changes the room.
    SetRoom(Box<Room>),
    /// Does something to the cue lists.
    Cues(CueEdit),
}

/// A part of the show that is traded for another.
#[derive(Clone, Debug)]
pub(super) enum Change {
    /// The state of some slots, each once, and whether their universe was heard of at all.
    Slots { universe: Universe, heard: bool, states: Vec<(Slot, SlotState)> },
    /// All levels.
    Levels(Box<Frames>),
    /// A look.
    Look(usize, Box<Look>),
    /// A look that comes in, or where there is none, one that goes out.
    LookHere(usize, Option<Box<Look>>),
    /// A fixture.
    Fixture(usize, Box<Fixture>),
    /// A fixture that comes in, or where there is none, one that goes out.
    FixtureHere(usize, Option<Box<Fixture>>),
    /// A profile, or none.
    Profile(String, Option<Arc<Profile>>),
    /// The name of a profile file that comes in, or where there is none, one that goes out.
    ProfileFileHere(usize, Option<String>),
    /// The name.
    Name(String),
    /// The notes.
    Notes(String),
    /// The room.
    Room(Box<Room>),
    /// Something of the cue lists.
    Cues(CueChange),
}

impl Change {
    /// Trades, and gives the change that trades back. Indices must lie within the show.
    pub(super) fn trade(self, show: &mut Show) -> Self {
        match self {
            Self::Slots { universe, heard, states } => {
                let was_heard = show.levels.get(universe).is_some();
                let levels = show.levels.universe_mut(universe);
                let before = states.iter().map(|(slot, _)| (*slot, levels.state(*slot))).collect();
                for (slot, state) in states {
                    levels.put(slot, state);
                }
                if !heard {
                    show.levels.remove(universe);
                }
                Self::Slots { universe, heard: was_heard, states: before }
            }
            Self::Levels(mut levels) => {
                std::mem::swap(&mut show.levels, &mut levels);
                Self::Levels(levels)
            }
            Self::Look(index, mut look) => {
                std::mem::swap(&mut show.looks[index], &mut look);
                Self::Look(index, look)
            }
            Self::LookHere(index, Some(look)) => {
                show.looks.insert(index, *look);
                Self::LookHere(index, None)
            }
            Self::LookHere(index, None) => {
                Self::LookHere(index, Some(Box::new(show.looks.remove(index))))
            }
            Self::Fixture(index, mut fixture) => {
                std::mem::swap(&mut show.rig[index], &mut fixture);
                Self::Fixture(index, fixture)
            }
            Self::FixtureHere(index, Some(fixture)) => {
                show.rig.insert(index, *fixture);
                Self::FixtureHere(index, None)
            }
            Self::FixtureHere(index, None) => {
                Self::FixtureHere(index, Some(Box::new(show.rig.remove(index))))
            }
            Self::Profile(key, profile) => {
                let before = match profile {
                    Some(profile) => show.profiles.insert(key.clone(), profile),
                    None => show.profiles.remove(&key),
                };
                Self::Profile(key, before)
            }
            Self::ProfileFileHere(index, Some(file)) => {
                show.profile_files.insert(index, file);
                Self::ProfileFileHere(index, None)
            }
            Self::ProfileFileHere(index, None) => {
                Self::ProfileFileHere(index, Some(show.profile_files.remove(index)))
            }
            Self::Name(mut name) => {
                std::mem::swap(&mut show.name, &mut name);
                Self::Name(name)
            }
            Self::Notes(mut notes) => {
                std::mem::swap(&mut show.notes, &mut notes);
                Self::Notes(notes)
            }
            Self::Room(mut room) => {
                std::mem::swap(&mut show.room, &mut room);
                Self::Room(room)
            }
            Self::Cues(change) => Self::Cues(change.trade(&mut show.cues)),
        }
    }

    /// The name of the profile file that it brings in.
    pub(super) fn profile_file(&mut self) -> Option<&mut String> {
        match self {
            Self::ProfileFileHere(_, file) => file.as_mut(),
            _ => None,
        }
    }

    /// Whether it changes fixtures, profiles or the room, so that what is compiled from them must be
    /// compiled again.
    pub(super) fn touches_rig(&self) -> bool {
        matches!(
            self,
            Self::Fixture(..) | Self::FixtureHere(..) | Self::Profile(..) | Self::Room(_)
        )
    }

    /// Puts a profile as it is now in the place of the one that it brings in.
    pub(super) fn renew(&mut self, now: impl Fn(&str) -> Option<Arc<Profile>>) {
        if let Self::Profile(name, Some(profile)) = self
            && let Some(now) = now(name)
        {
            *profile = now;
        }
    }

    /// Takes in a change that undoes the step's next edit, where both are about slots of one universe:
    /// a long drag then remembers each slot once.
    pub(super) fn absorb(&mut self, next: Change) -> Result<(), Change> {
        match (self, next) {
            (
                Self::Slots { universe, states, .. },
                Self::Slots { universe: other, states: more, .. },
            ) if *universe == other => {
                let known = states.len();
                for (slot, state) in more {
                    if !states[..known].iter().any(|(known, _)| *known == slot) {
                        states.push((slot, state));
                    }
                }
                Ok(())
            }
            (_, next) => Err(next),
        }
    }
}

/// The words for an edit, as an undo menu shows them, and the changes it makes. No change at all
/// where the show is that way already.
pub(super) fn changes(
    show: &Show,
    library: &Library,
    edit: Edit,
) -> Result<(String, Vec<Change>), Finding> {
    Ok(match edit {
        Edit::SetSlots { universe, values } => set_slots(show, universe, values),
        Edit::SetLevels { levels, from } => {
            let same = show.levels == *levels;
            (format!("take levels from {from}"), one(same, Change::Levels(levels)))
        }
        Edit::RecallLook(index) => {
            let look = look_at(show, index)?;
            let same = show.levels == look.frames;
            let change = Change::Levels(Box::new(look.frames.clone()));
            (format!("recall look \"{}\"", look.name), one(same, change))
        }
        Edit::StoreLook { name } => {
            let name = free_name(show, name, None)?;
            let words = format!("store look \"{name}\"");
            let look = Look { name, note: String::new(), frames: show.levels.clone() };
            (words, vec![Change::LookHere(show.looks.len(), Some(Box::new(look)))])
        }
        Edit::UpdateLook(index) => {
            let look = look_at(show, index)?;
            let new = Look { frames: show.levels.clone(), ..look.clone() };
            (format!("update look \"{}\"", look.name), set_look(index, look, new))
        }
        Edit::RenameLook { index, name } => {
            let look = look_at(show, index)?;
            let new = Look { name: free_name(show, name, Some(index))?, ..look.clone() };
            (format!("rename look \"{}\"", look.name), set_look(index, look, new))
        }
        Edit::NoteLook { index, note } => {
            let look = look_at(show, index)?;
            let new = Look { note, ..look.clone() };
            (format!("note on look \"{}\"", look.name), set_look(index, look, new))
        }
        Edit::DeleteLook(index) => {
            let look = look_at(show, index)?;
            (format!("delete look \"{}\"", look.name), vec![Change::LookHere(index, None)])
        }
        Edit::MoveLook { from, to } => {
            let look = look_at(show, from)?;
            look_at(show, to)?;
            let back = Change::LookHere(to, Some(Box::new(look.clone())));
            let changes =
                if from == to { Vec::new() } else { vec![Change::LookHere(from, None), back] };
            (format!("move look \"{}\"", look.name), changes)
        }
        Edit::SetFixture { index, fixture } => {
            let old = show.rig.get(index).ok_or_else(|| nothing("fixture", index))?;
            let words = format!("change {}", old.words());
            if *old == *fixture {
                return Ok((words, Vec::new()));
            }
            let mut changes = with_profile(show, library, &fixture, Some(index))?;
            if fixture.id != old.id {
                let follow = cue_follow::renumbered(&show.cues, old.id, fixture.id);
                changes.extend(follow.into_iter().map(Change::Cues));
            }
            changes.push(Change::Fixture(index, fixture));
            (words, changes)
        }
        Edit::AddFixture(fixture) => {
            let words = format!("add {}", fixture.words());
            let mut changes = with_profile(show, library, &fixture, None)?;
            changes.push(Change::FixtureHere(show.rig.len(), Some(fixture)));
            (words, changes)
        }
        Edit::RemoveFixture(index) => {
            let old = show.rig.get(index).ok_or_else(|| nothing("fixture", index))?;
            let follow = cue_follow::without(&show.cues, old.id).into_iter().map(Change::Cues);
            let changes = follow.chain([Change::FixtureHere(index, None)]).collect();
            (format!("remove {}", old.words()), changes)
        }
        Edit::AddProfile { profile, file } => add_profile(show, *profile, file)?,
        Edit::TakeProfile { profile, file } => take_profile(show, *profile, file)?,
        Edit::SetName(name) => {
            ("rename the show".to_owned(), one(show.name == name, Change::Name(name)))
        }
        Edit::SetNotes(notes) => {
            ("notes on the show".to_owned(), one(show.notes == notes, Change::Notes(notes)))
        }
        Edit::Cues(edit) => {
            let (words, changes) = cue_edit::changes(show, edit)?;
            (words, changes.into_iter().map(Change::Cues).collect())
        }
        Edit::SetRoom(room) => {
            let mut check = Check::default();
            check.room(&room);
            refuse(&check)?;
            ("change the room".to_owned(), one(show.room == *room, Change::Room(room)))
        }
    })
}

/// The words for setting `count` slots of which `first` is one.
pub(super) fn slots_words(universe: Universe, first: Slot, count: usize) -> String {
    match count {
        1 => format!("set slot {universe}/{first}"),
        _ => format!("set {count} slots"),
    }
}

fn set_slots(show: &Show, universe: Universe, values: Vec<(Slot, u8)>) -> (String, Vec<Change>) {
    let values: BTreeMap<Slot, u8> = values.into_iter().collect();
    let states: Vec<(Slot, SlotState)> = values
        .into_iter()
        .map(|(slot, value)| (slot, SlotState::Sent(value)))
        .filter(|(slot, state)| show.levels.state(universe, *slot) != *state)
        .collect();
    match states.first() {
        Some((first, _)) => (
            slots_words(universe, *first, states.len()),
            vec![Change::Slots { universe, heard: true, states }],
        ),
        None => ("set no slot".to_owned(), Vec::new()),
    }
}

fn one(same: bool, change: Change) -> Vec<Change> {
    if same { Vec::new() } else { vec![change] }
}

fn set_look(index: usize, old: &Look, new: Look) -> Vec<Change> {
    one(*old == new, Change::Look(index, Box::new(new)))
}

fn look_at(show: &Show, index: usize) -> Result<&Look, Finding> {
    show.looks.get(index).ok_or_else(|| nothing("look", index))
}

fn nothing(kind: &str, index: usize) -> Finding {
    let what = format!("the show has no {kind} in place `{}`", index.saturating_add(1));
    Finding::error(Place::default(), what, "")
}

/// A name for a look that no other look than the one at `own` has.
fn free_name(show: &Show, name: String, own: Option<usize>) -> Result<String, Finding> {
    let place = Place::item(format!("look \"{name}\""));
    if name.trim().is_empty() {
        return Err(Finding::error(place, "the look has no name", "give it one"));
    }
    let mut others = show.looks.iter().enumerate().filter(|(i, _)| Some(*i) != own);
    if others.any(|(_, look)| look.name == name) {
        let what = format!("another look is called `{name}` already");
        return Err(Finding::error(place, what, "give each its own name"));
    }
    Ok(name)
}

/// Checks a fixture that is to stand at `own` or behind the others, and gives the change that brings
/// its profile into the show where it is not there yet. What a show file may not hold is refused, so
/// that what was saved can be opened again.
fn with_profile(
    show: &Show,
    library: &Library,
    fixture: &Fixture,
    own: Option<usize>,
) -> Result<Vec<Change>, Finding> {
    let (mut check, path, item) = (Check::default(), PathInFile::top(), fixture.words());
    let mut others = show.rig.iter().enumerate().filter(|(i, _)| Some(*i) != own);
    let taken = others.any(|(_, other)| other.id == fixture.id);
    check.fixture_id(&path, &item, fixture.id.into(), taken);
    check.hanging(&path, &item, fixture.at.into(), fixture.hang, fixture.aim);
    let is_new = !show.profiles.contains_key(&fixture.profile);
    let shelf = Shelf { own: &show.profiles, library };
    // A profile or mode that is not to be had may stay where the show has it: its fixtures are moved,
    // called otherwise and copied like any other.
    let has = |other: &Fixture| (&other.profile, &other.mode) == (&fixture.profile, &fixture.mode);
    let lacking = if show.rig.iter().any(has) { Severity::Warning } else { Severity::Error };
    let Some(profile) = shelf.get(&fixture.profile) else {
        check.no_profile(lacking, &path, &item, &fixture.profile, shelf);
        refuse(&check)?;
        return Ok(Vec::new());
    };
    fits(fixture, &profile, lacking, &mut check);
    refuse(&check)?;
    Ok(if is_new {
        vec![Change::Profile(fixture.profile.clone(), Some(profile))]
    } else {
        Vec::new()
    })
}

/// Checks that a fixture can have this profile: that its slots are there, and that it has the mode, which
/// is of the severity `lacking` where it has not.
pub(super) fn fits(fixture: &Fixture, profile: &Profile, lacking: Severity, check: &mut Check) {
    let path = PathInFile::top();
    check.mode(lacking, &path, &fixture.words(), &fixture.mode, profile);
    let mode_of = |fixture: &Fixture| profile.mode(&fixture.mode);
    for found in check_patch(std::slice::from_ref(fixture), &mode_of, Severity::Warning) {
        check.found.push(path.clone(), found.finding);
    }
}

/// Checks that every fixture that names a profile can have it as it is now. A mode that its fixtures had
/// not before either is no error: they go on without one.
pub(super) fn all_fit(show: &Show, name: &str, now: &Profile, check: &mut Check) {
    let before = show.profiles.get(name);
    for fixture in show.rig.iter().filter(|fixture| fixture.profile == name) {
        let had = before.is_some_and(|before| before.mode(&fixture.mode).is_some());
        fits(fixture, now, if had { Severity::Error } else { Severity::Warning }, check);
    }
}

/// The first error of a check.
pub(super) fn refuse(check: &Check) -> Result<(), Finding> {
    let mut findings = check.found.list().iter().map(|(_, finding)| finding);
    match findings.find(|finding| finding.severity == Severity::Error) {
        Some(finding) => Err(finding.clone()),
        None => Ok(()),
    }
}
