//! Cue lists on a rig of neutral heads.

use std::sync::Arc;

use slotwright::cue::{Compiled, Cue, CueList, CueNumber, Cues, Playbacks, Player, Run, Tracks};
use slotwright::decode::Plan;
use slotwright::rig::{FixtureId, Rig};

use crate::heads::{Stage, alder, birch, fixture};

mod carry;
mod change;
mod edit;
mod file;
mod play;
mod record;
mod run;
mod seek;

/// ALDER-16 at 1 and 17 (fixtures 1 and 2), BIRCH-12 at 33 (fixture 3), and cue lists for them.
pub struct Rehearsal {
    pub cues: Cues,
    pub rig: Rig,
    pub plan: Plan,
    pub tracks: Arc<Tracks>,
}

impl Rehearsal {
    /// With one list of these cues.
    pub fn of(cues: Vec<Cue>) -> Self {
        Self::with(vec![CueList { name: "Main".to_owned(), cues, ..CueList::default() }])
    }

    pub fn with(lists: Vec<CueList>) -> Self {
        let rig = vec![fixture(&alder(), 1, 1), fixture(&alder(), 2, 17), fixture(&birch(), 3, 33)];
        let stage = Stage::of(&[alder(), birch()], rig);
        let tracks = Arc::new(Tracks::new(&stage.plan));
        let cues = Cues { lists, ..Cues::default() };
        Self { cues, rig: stage.rig, plan: stage.plan, tracks }
    }

    pub fn compiled(&self, list: usize) -> Arc<Compiled> {
        Arc::new(Compiled::new(&self.cues, list, &self.rig, &self.plan, &self.tracks))
    }

    pub fn player(&self, list: usize) -> Player {
        Player::new(self.compiled(list))
    }

    pub fn playbacks(&self) -> Playbacks {
        let players = (0..self.cues.lists.len()).map(|list| self.player(list)).collect();
        Playbacks::new(self.tracks.clone(), players)
    }

    pub fn run(&self) -> Arc<Run> {
        let lists = (0..self.cues.lists.len()).map(|list| self.compiled(list)).collect();
        Arc::new(Run::new(self.tracks.clone(), lists))
    }

    /// The track of a channel of a fixture.
    #[track_caller]
    pub fn track(&self, fixture: FixtureId, channel: &str) -> usize {
        let place = self.rig.iter().position(|f| f.id == fixture).expect("it is there");
        let mode = self.plan.fixtures()[place].mode.as_ref().expect("it is there");
        let channel = mode.channels.iter().position(|c| c.name == channel).expect("it is there");
        self.tracks.find(place, channel).expect("it is there")
    }
}

/// A cue that gives channels of fixtures these values, typed.
#[track_caller]
pub fn cue(number: &str, changes: &[(FixtureId, &str, &str)]) -> Cue {
    let mut cue = Cue::new(number.parse::<CueNumber>().expect("it is typed right"));
    for (fixture, channel, value) in changes {
        let channels = cue.changes.entry(*fixture).or_default();
        channels.insert((*channel).to_owned(), value.parse().expect("it is typed right"));
    }
    cue
}
