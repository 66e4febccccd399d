//! Why a head is dark, or why its light is as it is: the way of the light from its source to where it
//! lands, link by link, with what each lets through and the slots that made it so.
//!
//! Everything is worked out by the pipeline: what a link lets through is the light that leaves the fixture with
//! it in the way, against what leaves without it. A head is dark if, and only if, no light leaves it as the
//! mean over a flash ([`FluxMeter`]). Links and causes are cheap, so that they can be had of every head at any
//! moment; words, the mend and where the light lands are worked out when asked for.

pub mod causes;
pub mod links;
pub mod mend;
pub mod near;
mod search;
pub mod words;

pub use causes::{Cause, Evidence};
pub use links::{Link, Stage};
pub use mend::{Blocker, Mend, SlotChange};
pub use near::{Landing, Near, NearKind, OUTSIDE};

use crate::decode::{Asked, Decoded, Plan, Reading};
use crate::light::FluxMeter;
use crate::motion::{HeadMotion, Pose, settle};
use crate::rig::Fixture;
use crate::wire::Frames;

/// A rig and the frames that reached it: what heads are asked about.
#[derive(Clone, Copy, Debug)]
pub struct Moment<'a> {
    /// The fixtures.
    pub rig: &'a [Fixture],
    /// The same, compiled.
    pub plan: &'a Plan,
    /// What is held of every universe.
    pub frames: &'a Frames,
    /// The same frames, decoded through `plan`.
    pub decoded: &'a Decoded,
}

/// What can be said of a head's light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Light leaves it.
    Lit,
    /// No light leaves it.
    Dark,
    /// Something else than the frame runs it: what it does is not known.
    RunsItself,
    /// It has no address, so that no frame can reach it.
    NotPatched,
}

/// Why a head is dark, or why its light is as it is.
#[derive(Clone, Debug)]
pub struct Why<'a> {
    /// The fixture, as a place in the rig.
    pub place: usize,
    /// The fixture.
    pub fixture: &'a Fixture,
    /// What the frames ask of it.
    pub reading: Reading<'a>,
    /// What it does.
    pub pose: Pose,
    /// The head over time and the moment in simulated seconds; `None` where time plays no part and
    /// everything asked has arrived.
    pub over_time: Option<(&'a HeadMotion, f64)>,
    /// What can be said of its light.
    pub verdict: Verdict,
    /// The way of the light, from the source on.
    pub links: Vec<Link>,
    /// Light that leaves it, in lumens, as the mean over a flash.
    pub flux_lm: f64,
    /// Light that would leave it with everything at full and nothing in the way, in lumens.
    pub full_lm: f64,
}

impl<'a> Moment<'a> {
    /// Why a fixture, as a place in the rig, is as it is once everything asked has arrived. `None` where
    /// its profile or mode is not to be had.
    pub fn settled(&self, place: usize) -> Option<Why<'a>> {
        let reading = self.plan.reading(place, self.frames, self.decoded)?;
        let mut asked = Asked::for_mode(reading.mode);
        self.settled_into(place, &mut asked)
    }

    /// The same, with the room for what is asked kept from one head to the next of the same mode.
    fn settled_into(&self, place: usize, asked: &mut Asked) -> Option<Why<'a>> {
        let (fixture, reading) = self.read(place)?;
        reading.ask(asked);
        let pose = settle(&reading.mode.profile, &fixture.aim, &fixture.in_head, asked);
        Some(why(place, fixture, reading, pose, links::Levels::Asked(asked), None))
    }

    /// Why a fixture is as it is at a moment of simulated time. `head` must be that of this fixture, and
    /// have been advanced to `t_s`.
    pub fn at(&self, place: usize, head: &'a HeadMotion, t_s: f64) -> Option<Why<'a>> {
        let (fixture, reading) = self.read(place)?;
        let pose = head.pose_at(t_s);
        Some(why(
            place,
            fixture,
            reading,
            pose,
            links::Levels::Moving(head, t_s),
            Some((head, t_s)),
        ))
    }

    /// Why every fixture is as it is once everything asked has arrived, in the rig's order.
    pub fn all_settled(&self) -> Vec<Option<Why<'a>>> {
        let mut kept: Option<(*const _, Asked)> = None;
        let whys = (0..self.rig.len()).map(|place| {
            let mode = self.plan.fixtures().get(place)?.mode.as_deref()?;
            let same = kept.as_ref().is_some_and(|(of, _)| std::ptr::eq(*of, mode));
            if !same {
                kept = Some((std::ptr::from_ref(mode), Asked::for_mode(mode)));
            }
            let (_, asked) = kept.as_mut()?;
            self.settled_into(place, asked)
        });
        whys.collect()
    }

    fn read(&self, place: usize) -> Option<(&'a Fixture, Reading<'a>)> {
        Some((self.rig.get(place)?, self.plan.reading(place, self.frames, self.decoded)?))
    }
}

fn why<'a>(
    place: usize,
    fixture: &'a Fixture,
    reading: Reading<'a>,
    pose: Pose,
    levels: links::Levels<'_>,
    over_time: Option<(&'a HeadMotion, f64)>,
) -> Why<'a> {
    let meter = FluxMeter::new(&reading.mode.profile);
    let (links, flux_lm) = links::links(reading.mode, &meter, &pose, levels);
    let verdict = match () {
        () if fixture.address.is_none() => Verdict::NotPatched,
        () if pose.overridden_by.is_some() => Verdict::RunsItself,
        () if flux_lm > 0.0 => Verdict::Lit,
        () => Verdict::Dark,
    };
    let full_lm = meter.full_lm();
    Why { place, fixture, reading, pose, over_time, verdict, links, flux_lm, full_lm }
}

impl Why<'_> {
    /// Share of its fullest light that leaves it, 0..1.
    pub fn share(&self) -> f64 {
        if self.full_lm > 0.0 { (self.flux_lm / self.full_lm).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// No light leaves it.
    pub fn is_dark(&self) -> bool {
        self.verdict == Verdict::Dark
    }

    /// The links that hold all light of some cell back, nearest the source first.
    pub fn blocking(&self) -> impl Iterator<Item = &Link> {
        self.links.iter().filter(|link| link.blocks())
    }

    /// The link that the light gets no further than: the first that holds back what reaches it of all
    /// cells, else the first that holds any back. `None` where none does.
    pub fn first_block(&self) -> Option<&Link> {
        self.blocking().find(|link| link.blocks_all()).or_else(|| self.blocking().next())
    }
}
