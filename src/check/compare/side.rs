//! One of the two lists, run from cue to cue.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::cue::{Compiled, CueList, CueNumber, Tracks};
use crate::decode::{Decoded, Plan};
use crate::motion::Pose;
use crate::rig::FixtureId;
use crate::show::Show;
use crate::stage::Scene;
use crate::wire::Frames;

/// What cannot be done, by fixture and channel.
pub(super) type Cannot = BTreeMap<(FixtureId, String), String>;

/// A list where it stands.
pub(in crate::check) struct Side<'a> {
    show: &'a Show,
    /// The list.
    pub list: &'a CueList,
    /// The compiled rig.
    pub plan: Arc<Plan>,
    tracks: Arc<Tracks>,
    compiled: Compiled,
    /// What is held of every universe once the last cue has faded.
    pub frames: Frames,
    /// What that comes to.
    pub decoded: Decoded,
}

impl<'a> Side<'a> {
    /// Before the first cue, with every channel at rest. `None` where there is no such list.
    pub(in crate::check) fn new(show: &'a Show, place: usize) -> Option<Self> {
        let list = show.cues.lists.get(place)?;
        let plan = Arc::new(Plan::new(&show.rig, &show.profiles));
        let tracks = Arc::new(Tracks::new(&plan));
        let compiled = Compiled::new(&show.cues, place, &show.rig, &plan, &tracks);
        let frames = tracks.at_rest();
        let mut decoded = plan.start();
        plan.decode(&frames, &mut decoded);
        Some(Self { show, list, plan, tracks, compiled, frames, decoded })
    }

    /// Runs the cue of this number, and gives its place. Without one, everything stays as it is.
    pub(in crate::check) fn go_to(&mut self, number: CueNumber) -> Option<usize> {
        let place = self.list.cue(number)?;
        for of in &self.compiled.cues.get(place)?.moves {
            self.tracks.put(of.track, of.to, &mut self.frames);
        }
        self.plan.decode(&self.frames, &mut self.decoded);
        Some(place)
    }

    /// What of a cue cannot be done.
    pub(super) fn cannot(&self, place: Option<usize>) -> Cannot {
        let of_cue = self.compiled.unresolved.iter().filter(|un| Some(un.cue) == place);
        let row = |un: &crate::cue::Unresolved| {
            let what = un.channel.clone().unwrap_or_else(|| "cannot be done".to_owned());
            ((un.fixture, what), format!("cannot be done: {}", un.finding.what))
        };
        of_cue.map(row).collect()
    }

    /// The rig as it stands, once everything has arrived.
    pub(in crate::check) fn at(&self) -> At<'_> {
        let Self { show, plan, frames, decoded, .. } = self;
        At { show, plan, frames, decoded, poses: None }
    }
}

/// A rig at one instant.
#[derive(Clone, Copy)]
pub(in crate::check) struct At<'a> {
    /// Whose rig.
    pub show: &'a Show,
    /// The compiled rig.
    pub plan: &'a Plan,
    /// What is held of every universe.
    pub frames: &'a Frames,
    /// What that comes to.
    pub decoded: &'a Decoded,
    /// What every fixture does; `None`: all has arrived.
    pub poses: Option<&'a [Option<Pose>]>,
}

impl At<'_> {
    /// What there is to see.
    pub(super) fn scene(&self) -> Scene {
        let Self { show, plan, frames, decoded, poses } = self;
        match poses {
            Some(poses) => Scene::from_poses(&show.room, &show.rig, plan, poses),
            None => Scene::new(&show.room, &show.rig, plan, frames, decoded),
        }
    }
}
