//! The examples of the pages: a show that the program carries, with some slots set.

use std::collections::BTreeMap;
use std::path::Path;

use crate::decode::{Decoded, Plan, Reading};
use crate::finding::{Finding, Findings, Place};
use crate::light::pattern::is_known_drawing;
use crate::rig::FixtureId;
use crate::show::{Show, parse_show};
use crate::stage::Scene;
use crate::wire::{Slot, Universe};

/// The shows by name.
const SHOWS: [(&str, &str); 4] = [
    ("two-spots", include_str!("../../../assets/guide/scenes/two-spots.ron")),
    ("four-pars", include_str!("../../../assets/guide/scenes/four-pars.ron")),
    ("one-cable", include_str!("../../../assets/guide/scenes/one-cable.ron")),
    ("two-strobes", include_str!("../../../assets/guide/scenes/two-strobes.ron")),
];

/// The names of the shows that examples are made of.
pub fn examples() -> impl Iterator<Item = &'static str> {
    SHOWS.iter().map(|(name, _)| *name)
}

/// An example in a state that a page speaks of.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moment {
    /// What the example is called on its page.
    pub title: String,
    /// The name of its show.
    pub show: String,
    /// Every slot that the page has set since the example began.
    pub slots: BTreeMap<(Universe, Slot), u8>,
    /// The slots that are set by this step, in the order of the page.
    pub step: Vec<(Universe, Slot, u8)>,
    /// The fixture that the example is about.
    pub fixture: Option<FixtureId>,
    /// The channel that the example is about.
    pub channel: Option<String>,
}

/// An example that stands: its show with the slots set, compiled and decoded.
#[derive(Debug)]
pub struct Stand {
    /// The show.
    pub show: Show,
    /// What there is to say about it.
    pub findings: Vec<Finding>,
    /// The compiled rig.
    pub plan: Plan,
    /// What the slots come to.
    pub decoded: Decoded,
    /// The fixture to look at, as a place in the rig, and the channel of it.
    pub focus: Option<(usize, Option<usize>)>,
}

impl Moment {
    /// Sets the example up.
    ///
    /// # Errors
    /// The show does not exist or cannot be read; a test sees to it that every one of the pages can.
    pub fn stand(&self) -> Result<Stand, Findings> {
        let found = SHOWS.iter().find(|(name, _)| *name == self.show);
        let (name, text) = found.ok_or_else(|| {
            let what = format!("there is no example `{}`", self.show);
            Findings(vec![Finding::error(Place::default(), what, "name one that there is")])
        })?;
        let file = format!("assets/guide/scenes/{name}.ron");
        let (mut show, findings) = parse_show(text, Some(Path::new(&file)), &is_known_drawing)?;
        for ((universe, slot), value) in &self.slots {
            show.levels.set(*universe, *slot, *value);
        }
        let plan = Plan::new(&show.rig, &show.profiles);
        let mut decoded = plan.start();
        plan.decode(&show.levels, &mut decoded);
        let focus = self.focus(&show, &plan);
        Ok(Stand { show, findings, plan, decoded, focus })
    }

    /// The fixture that owns the slot set last, or else the one that the example is about; and the channel.
    fn focus(&self, show: &Show, plan: &Plan) -> Option<(usize, Option<usize>)> {
        let about = self.fixture.and_then(|id| show.rig.iter().position(|f| f.id == id));
        let owners = self.step.last().map(|(universe, slot, _)| plan.owners(*universe, *slot));
        let owners = owners.unwrap_or_default();
        let owner =
            owners.iter().find(|owner| Some(owner.fixture) == about).or_else(|| owners.first());
        match (owner, about) {
            (Some(owner), _) => Some((owner.fixture, owner.channel.map(|(channel, _)| channel))),
            (None, Some(about)) => {
                let mode = plan.fixtures().get(about).and_then(|fixture| fixture.mode.as_ref());
                let named =
                    |name: &String| mode?.channels.iter().position(|channel| channel.name == *name);
                Some((about, self.channel.as_ref().and_then(named)))
            }
            (None, None) => None,
        }
    }
}

impl Stand {
    /// The place in the rig of a fixture.
    pub fn place(&self, id: FixtureId) -> Option<usize> {
        self.show.rig.iter().position(|fixture| fixture.id == id)
    }

    /// What is asked of a fixture, by its place in the rig.
    pub fn reading(&self, fixture: usize) -> Option<Reading<'_>> {
        self.plan.reading(fixture, &self.show.levels, &self.decoded)
    }

    /// What there is to draw.
    pub fn scene(&self) -> Scene {
        let show = &self.show;
        Scene::new(&show.room, &show.rig, &self.plan, &show.levels, &self.decoded)
    }
}
