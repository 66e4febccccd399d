//! A show: a room, a rig with its profiles, and named looks.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::cue::Cues;
use crate::profile::Profile;
use crate::rig::Rig;
use crate::stage::Room;
use crate::wire::Frames;

/// Everything a show file holds, with the profiles it names found and joined.
#[derive(Clone, Debug, PartialEq)]
pub struct Show {
    /// What it is called.
    pub name: String,
    /// Whatever its makers want to say about it.
    pub notes: String,
    /// The room.
    pub room: Room,
    /// The profiles that the rig uses and those of the files the show names, by `maker model`.
    pub profiles: BTreeMap<String, Arc<Profile>>,
    /// Profile files that the show file names, as written there: relative to it.
    pub profile_files: Vec<String>,
    /// The fixtures.
    pub rig: Rig,
    /// Named frames, in order.
    pub looks: Vec<Look>,
    /// What the slots stand at. A show that was never edited stands at its first look.
    pub levels: Frames,
    /// Cue lists, and what they share.
    pub cues: Cues,
}

/// A named set of frames.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// What it is called.
    pub name: String,
    /// What there is to see in it.
    pub note: String,
    /// What each universe carries.
    pub frames: Frames,
}

impl Show {
    /// The look called `name`; where no name is the same, the one that differs only in case.
    pub fn look(&self, name: &str) -> Option<&Look> {
        self.looks
            .iter()
            .find(|look| look.name == name)
            .or_else(|| self.looks.iter().find(|look| look.name.eq_ignore_ascii_case(name)))
    }
}
