//! Two standings of a rig beside each other: frames, looks, cues, instants of a list. What differs in slots, in what
//! fixtures are asked, and in what they do.
//!
//! What a channel asks for is compared as between two cue lists (`check/compare`), of which this is one cue.

mod named;

use serde::Serialize;

use crate::check::compare::fixtures::Pairs;
use crate::check::compare::side::At;
use crate::check::compare::{Difference, DifferenceKind, joined};
use crate::decode::{Decoded, Plan};
use crate::finding::rounded;
use crate::motion::{Pose, RigMotion};
use crate::show::Show;
use crate::wire::{Frames, SLOTS, Slot, SlotState, Universe};

pub use self::named::{Side, SideError, stand};

/// Angles nearer than this are the same, in degrees.
const SAME_DEG: f64 = 0.05;

/// Shares of light nearer than this are the same.
const SAME_LIGHT: f64 = 0.002;

/// A rig as it stands at one instant.
#[derive(Clone, Debug)]
pub struct Standing {
    /// What it is, in words: `look "Dawn"`, `list "Main" at 12.5 s`.
    pub words: String,
    /// What is held of every universe.
    pub frames: Frames,
    /// What that comes to.
    pub decoded: Decoded,
    /// What every fixture does, in the rig's order.
    pub poses: Vec<Option<Pose>>,
    /// It is an instant on the way, at which heads may not have arrived.
    pub is_moment: bool,
}

impl Standing {
    /// A frame that has been held long enough for everything to arrive. `plan` must be of the show's rig.
    pub fn arrived(show: &Show, plan: &Plan, frames: Frames, words: String) -> Self {
        let mut decoded = plan.start();
        plan.decode(&frames, &mut decoded);
        let motion = RigMotion::arrived(&show.rig, plan, &frames, &decoded, 0.0);
        Self { words, poses: motion.poses_at(0.0), frames, decoded, is_moment: false }
    }

    fn at<'a>(&'a self, show: &'a Show, plan: &'a Plan) -> At<'a> {
        let Self { frames, decoded, poses, .. } = self;
        At { show, plan, frames, decoded, poses: self.is_moment.then_some(poses) }
    }
}

/// What differs between two standings of one rig.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diff {
    /// What is compared, in words.
    pub sides: (String, String),
    /// The slots that differ, in order.
    pub slots: Vec<SlotDifference>,
    /// What differs of fixtures, in physical terms.
    pub fixtures: Vec<Difference>,
}

impl Diff {
    /// Whether nothing differs.
    pub fn is_same(&self) -> bool {
        self.slots.is_empty() && self.fixtures.is_empty()
    }
}

/// A slot that differs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SlotDifference {
    /// The universe.
    pub universe: u16,
    /// The slot.
    pub slot: u16,
    /// What is held on the first side; `None` where it was never sent.
    pub before: Option<u8>,
    /// What is held on the second side.
    pub after: Option<u8>,
    /// Whose slot it is, in words: `fixture 101 "Front" Dimmer`; empty where nobody listens to it.
    pub of: String,
}

/// Compares two standings of the rig of a show. `plan` must be of this rig.
pub fn diff(show: &Show, plan: &Plan, before: &Standing, after: &Standing) -> Diff {
    let mut rig = Vec::new();
    let mut pairs = Pairs::new((show, plan), (show, plan), &mut rig);
    let mut fixtures = pairs.differences((before.at(show, plan), after.at(show, plan)));
    if before.is_moment || after.is_moment {
        fixtures.extend(doing_differences(show, plan, before, after));
    }
    Diff {
        sides: (before.words.clone(), after.words.clone()),
        slots: slot_differences(show, plan, &before.frames, &after.frames),
        fixtures: joined(fixtures),
    }
}

fn slot_differences(
    show: &Show,
    plan: &Plan,
    before: &Frames,
    after: &Frames,
) -> Vec<SlotDifference> {
    let mut universes: Vec<Universe> = before.iter().chain(after.iter()).map(|(u, _)| u).collect();
    universes.sort_unstable();
    universes.dedup();
    let mut slots = Vec::new();
    for universe in universes {
        for slot in (0..SLOTS).filter_map(Slot::from_index) {
            let held = |frames: &Frames| SlotState::value(frames.state(universe, slot));
            let (one, other) = (held(before), held(after));
            if one != other {
                slots.push(SlotDifference {
                    universe: universe.number(),
                    slot: slot.number(),
                    before: one,
                    after: other,
                    of: owners(show, plan, universe, slot),
                });
            }
        }
    }
    slots
}

fn owners(show: &Show, plan: &Plan, universe: Universe, slot: Slot) -> String {
    let named = plan.owners(universe, slot).into_iter().filter_map(|owner| {
        let fixture = show.rig.get(owner.fixture)?;
        let mode = plan.fixtures().get(owner.fixture)?.mode.as_ref()?;
        let channel = owner.channel.and_then(|(nth, part)| {
            let channel = mode.channels.get(nth)?;
            let fine = if part > 0 { " fine" } else { "" };
            Some(format!(" {}{fine}", channel.name))
        });
        Some(format!("{}{}", fixture.words(), channel.unwrap_or_default()))
    });
    named.collect::<Vec<_>>().join(", ")
}

/// What fixtures do at these instants, where that is not the same.
fn doing_differences(
    show: &Show,
    plan: &Plan,
    before: &Standing,
    after: &Standing,
) -> Vec<Difference> {
    let mut differences = Vec::new();
    let poses = before.poses.iter().zip(&after.poses);
    for ((fixture, planned), poses) in show.rig.iter().zip(plan.fixtures()).zip(poses) {
        let (Some(one), Some(other), Some(_)) = (poses.0, poses.1, &planned.mode) else { continue };
        let mut told = |what: &str, before: String, after: String| {
            differences.push(Difference {
                kind: DifferenceKind::Now,
                fixtures: vec![fixture.id],
                what: what.to_owned(),
                before: Some(before),
                after: Some(after),
            });
        };
        let deg = |deg: f64| format!("{} deg", rounded(deg, 1));
        if (one.pan_deg - other.pan_deg).abs() > SAME_DEG {
            told("pan axis now", deg(one.pan_deg), deg(other.pan_deg));
        }
        if (one.tilt_deg - other.tilt_deg).abs() > SAME_DEG {
            told("tilt axis now", deg(one.tilt_deg), deg(other.tilt_deg));
        }
        let percent = |light: f64| format!("{} %", rounded(light * 100.0, 1));
        if (one.light() - other.light()).abs() > SAME_LIGHT {
            told("light now", percent(one.light()), percent(other.light()));
        }
    }
    differences
}
