//! A change over a show: its fixtures, its looks, and what stands beside a fixture in its universe.

use std::sync::Arc;

use serde::Serialize;

use super::over_cues::{CueRow, translate};
use super::{Danger, FrameChange, LayoutRow, closing, compare, is_held, layout};
use crate::cue::CueList;
use crate::decode::CompiledMode;
use crate::finding::{Finding, Place, Severity, listed};
use crate::profile::Profile;
use crate::rig::{Fixture, FixtureId};
use crate::show::{CueEdit, Edit, Show};
use crate::wire::Frames;

/// What one frame of a show becomes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrameOf {
    /// The look, or what else the values are of.
    pub name: String,
    /// What becomes of it.
    pub change: FrameChange,
}

/// What becomes of one fixture.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FixtureChange {
    /// Its number.
    pub fixture: FixtureId,
    /// The place of its first slot, as `1/17`; `None` while it is not patched.
    pub address: Option<String>,
    /// Profile and mode before.
    pub before: (String, String),
    /// Profile and mode afterwards.
    pub after: (String, String),
    /// How many slots it takes before and afterwards.
    pub footprint: (u16, u16),
    /// Which fixtures own slots that it takes now, and how many slots lie past 512.
    pub in_the_way: Vec<String>,
    /// Where every channel goes.
    pub layout: Vec<LayoutRow>,
    /// Ranges that keep all light back, before and afterwards.
    pub closing: (Vec<String>, Vec<String>),
    /// What becomes of each frame that holds something of it.
    pub frames: Vec<FrameOf>,
    /// What becomes of values that cues give it, where the cue's words cannot stay.
    pub cues: Vec<CueRow>,
}

impl FixtureChange {
    /// Everything that would happen if the values stay, with the frame it happens in.
    pub fn dangers(&self) -> impl Iterator<Item = (&str, &Danger)> {
        self.frames.iter().flat_map(|frame| {
            frame.change.dangers.iter().map(|danger| (frame.name.as_str(), danger))
        })
    }

    /// Whether anything would happen that is called an error.
    pub fn is_dangerous(&self) -> bool {
        !self.in_the_way.is_empty()
            || self.dangers().any(|(_, danger)| danger.severity == Severity::Error)
    }
}

/// What becomes of fixtures (places in the rig) that change to a mode of `after`, in each of `frames`.
///
/// # Errors
/// If a fixture or the mode is not there, or if nothing is known of what the fixture is now.
pub fn change(
    show: &Show,
    fixtures: &[usize],
    after: &Arc<Profile>,
    mode: &str,
    frames: &[(&str, &Frames)],
) -> Result<Vec<FixtureChange>, Finding> {
    let new = compiled(after, mode)?;
    let olds: Result<Vec<_>, Finding> =
        fixtures.iter().map(|index| Ok((*index, known(show, *index)?.1))).collect();
    let (_, cues) = translate(show, &olds?, &new);
    let mut changes = Vec::new();
    for (index, cues) in fixtures.iter().zip(cues) {
        let (fixture, old) = known(show, *index)?;
        let of = |(name, frames): &(&str, &Frames)| {
            let address = fixture.address.filter(|at| is_held(frames, *at, old.footprint))?;
            let change = compare(&old, &new, fixture, frames, address)?;
            Some(FrameOf { name: (*name).to_owned(), change })
        };
        changes.push(FixtureChange {
            fixture: fixture.id,
            address: fixture.address.map(|address| address.to_string()),
            before: (fixture.profile.clone(), fixture.mode.clone()),
            after: (after.key().0, mode.to_owned()),
            footprint: (old.footprint, new.footprint),
            in_the_way: in_the_way(show, *index, old.footprint, new.footprint),
            layout: layout(&old, &new),
            closing: (closing(&old), closing(&new)),
            frames: frames.iter().filter_map(of).collect(),
            cues,
        });
    }
    Ok(changes)
}

fn compiled(profile: &Arc<Profile>, mode: &str) -> Result<Arc<CompiledMode>, Finding> {
    let found = profile.mode(mode).map(|mode| Arc::new(CompiledMode::new(profile, mode)));
    found.ok_or_else(|| {
        let names = profile.modes.iter().map(|mode| mode.name.as_str());
        let what = format!("`{}` has no mode `{}`", profile.key(), mode.escape_debug());
        Finding::error(Place::item("mode"), what, format!("its modes: {}", listed(names)))
    })
}

/// Whether nothing is known of what a fixture is: its profile or mode is not to be had.
pub fn is_unknown(show: &Show, fixture: &Fixture) -> bool {
    let profile = show.profiles.get(&fixture.profile);
    profile.is_none_or(|profile| profile.mode(&fixture.mode).is_none())
}

/// A fixture and what it is now.
fn known(show: &Show, index: usize) -> Result<(&Fixture, Arc<CompiledMode>), Finding> {
    let missing = |what: String| Finding::error(Place::default(), what, "");
    let fixture =
        show.rig.get(index).ok_or_else(|| missing("there is no such fixture".to_owned()))?;
    let profile = show.profiles.get(&fixture.profile);
    let mode = profile.and_then(|profile| Some((profile, profile.mode(&fixture.mode)?)));
    let (profile, mode) = mode.ok_or_else(|| {
        let (profile, mode) = (&fixture.profile, &fixture.mode);
        missing(format!("fixture {}: nothing is known of `{profile}` in mode `{mode}`", fixture.id))
    })?;
    Ok((fixture, Arc::new(CompiledMode::new(profile, mode))))
}

/// Whose slots a fixture takes with its new footprint, and not with its old one.
fn in_the_way(show: &Show, index: usize, before: u16, after: u16) -> Vec<String> {
    let Some(address) = show.rig.get(index).and_then(|fixture| fixture.address) else {
        return Vec::new();
    };
    let first = u32::from(address.slot.number());
    let (was, is) = (first + u32::from(before), first + u32::from(after));
    let mut said = Vec::new();
    for other in show.rig.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, other)| other) {
        let Some(at) = other.address.filter(|at| at.universe == address.universe) else { continue };
        let profile = show.profiles.get(&other.profile);
        let Some(mode) = profile.and_then(|profile| profile.mode(&other.mode)) else { continue };
        let from = u32::from(at.slot.number());
        let to = from + u32::from(mode.slots);
        let (taken, end) = (from.max(was), to.min(is));
        if taken < end {
            said.push(format!("slots {taken}..{} are those of {}", end - 1, other.words()));
        }
    }
    match address.slots_lost(after) {
        0 => {}
        lost => said.push(format!("{lost} of its slots lie past slot 512")),
    }
    said
}

/// The edits that change fixtures to a mode of `after`, with what the show stands at, every look and every
/// cue translated so that it keeps its meaning. They belong together as one step of undo. The values of
/// fixtures of which nothing is known stay as they are.
///
/// # Errors
/// As [`change`]; and if a fixture would take slots of another one.
pub fn edits(
    show: &Show,
    fixtures: &[usize],
    after: &Arc<Profile>,
    mode: &str,
) -> Result<Vec<Edit>, Finding> {
    let new = compiled(after, mode)?;
    let mut olds = Vec::new();
    let mut edits = Vec::new();
    for index in fixtures {
        let unknown = show.rig.get(*index).filter(|fixture| is_unknown(show, fixture));
        let (fixture, footprint) = match unknown {
            Some(fixture) => (fixture, 1),
            None => {
                let (fixture, old) = known(show, *index)?;
                let footprint = old.footprint;
                olds.push((*index, fixture, old));
                (fixture, footprint)
            }
        };
        if let [first, ..] = in_the_way(show, *index, footprint, new.footprint).as_slice() {
            let what = format!("{} does not fit: {first}", fixture.words());
            let mend = "give it another address first";
            return Err(Finding::error(Place::default(), what, mend));
        }
        let changed = Fixture { profile: after.key().0, mode: mode.to_owned(), ..fixture.clone() };
        edits.push(Edit::SetFixture { index: *index, fixture: Box::new(changed) });
    }
    edits.extend(cue_edits(show, &olds, &new));
    let translate = |frames: &Frames| -> Option<Box<Frames>> {
        let mut translated = frames.clone();
        for (_, fixture, old) in &olds {
            let Some(address) = fixture.address.filter(|at| is_held(frames, *at, old.footprint))
            else {
                continue;
            };
            let Some(change) = compare(old, &new, fixture, frames, address) else { continue };
            for (offset, byte) in change.translated {
                if let Some(slot) = address.slot_at(offset) {
                    translated.set(address.universe, slot, byte);
                }
            }
        }
        (translated != *frames).then(|| Box::new(translated))
    };
    let from = "the values translated".to_owned();
    for (i, look) in show.looks.iter().enumerate() {
        if let Some(levels) = translate(&look.frames) {
            edits.push(Edit::SetLevels { levels, from: from.clone() });
            edits.push(Edit::UpdateLook(i));
        }
    }
    let levels = translate(&show.levels).unwrap_or_else(|| Box::new(show.levels.clone()));
    edits.push(Edit::SetLevels { levels, from });
    Ok(edits)
}

/// The edits that keep the meaning of cues.
fn cue_edits(
    show: &Show,
    olds: &[(usize, &Fixture, Arc<CompiledMode>)],
    new: &Arc<CompiledMode>,
) -> Vec<Edit> {
    let of: Vec<_> = olds.iter().map(|(index, _, old)| (*index, old.clone())).collect();
    let (cues, _) = translate(show, &of, new);
    let lists = cues.lists.into_iter().zip(&show.cues.lists).enumerate();
    let changed = lists.filter(|(_, (new, old))| new != *old);
    let edit = |(list, (new, _)): (usize, (CueList, &CueList))| {
        let words = format!("translate cue list \"{}\"", new.name);
        Edit::Cues(CueEdit::SetCues { list, words, cues: new.cues, loops: new.loops })
    };
    changed.map(edit).collect()
}
