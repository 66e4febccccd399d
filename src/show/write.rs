//! Writing a show.

use std::path::Path;

use super::cue_file;
use super::disk::write_file;
use super::file::{FORMAT, FixtureFile, LookFile, RunFile, ShowFile, UniversesFile};
use super::model::Show;
use crate::finding::Finding;
use crate::profile::set_out;
use crate::rig::Fixture;
use crate::wire::{Frames, Levels, SLOTS, Slot, SlotState};

/// The show as a RON text that reads well and reads back to the same show.
pub fn to_ron(show: &Show) -> String {
    let first = show.looks.first().map(|look| look.frames.clone()).unwrap_or_default();
    let file = ShowFile {
        format: FORMAT,
        name: show.name.clone(),
        notes: show.notes.clone(),
        profile_files: show.profile_files.clone(),
        room: show.room.clone(),
        fixtures: show.rig.iter().map(fixture).collect(),
        looks: show
            .looks
            .iter()
            .map(|look| LookFile {
                name: look.name.clone(),
                note: look.note.clone(),
                universes: universes(&look.frames),
            })
            .collect(),
        levels: (show.levels != first).then(|| universes(&show.levels)),
        references: show.cues.references.iter().map(cue_file::reference).collect(),
        lists: show.cues.lists.iter().map(cue_file::list).collect(),
        accepted: show.cues.accepted.clone(),
        watches: show.cues.watches.clone(),
    };
    set_out(&file)
}

/// Saves a show as a whole or not at all.
///
/// # Errors
///
/// The file could not be written; the old one is whole then.
pub fn save_show(path: &Path, show: &Show) -> Result<(), Finding> {
    write_file(path, to_ron(show).as_bytes())
}

fn fixture(fixture: &Fixture) -> FixtureFile {
    FixtureFile {
        id: fixture.id.into(),
        label: fixture.label.clone(),
        profile: fixture.profile.clone(),
        mode: fixture.mode.clone(),
        universe: fixture.address.map(|address| address.universe.number().into()),
        slot: fixture.address.map(|address| address.slot.number().into()),
        at: fixture.at.into(),
        hang: fixture.hang,
        aim: fixture.aim,
        in_head: fixture.in_head,
    }
}

fn universes(frames: &Frames) -> UniversesFile {
    frames.iter().map(|(universe, levels)| (universe.number().into(), runs(levels))).collect()
}

/// The slots that were ever sent, as runs; those that no frame reached stay out.
fn runs(levels: &Levels) -> Vec<RunFile> {
    let mut runs: Vec<RunFile> = Vec::new();
    for slot in (0..SLOTS).filter_map(Slot::from_index) {
        let (value, kept) = match levels.state(slot) {
            SlotState::Sent(value) => (value, false),
            SlotState::Kept(value) => (value, true),
            SlotState::NeverSent => continue,
        };
        let at = i64::from(slot.number());
        match runs.last_mut() {
            Some(run) if run.kept == kept && run.at + run.values.len() as i64 == at => {
                run.values.push(value.into());
            }
            _ => runs.push(RunFile { at, values: vec![value.into()], kept }),
        }
    }
    runs
}
