//! Misfit: the rig does not do what its frame says. What may be wrong, ranked by what was seen.
//!
//! Each fault that heads and wires are known for is built into the head ([`Fault`]): another address, another
//! mode, bytes that arrive changed. The ordinary pipeline then says what would be seen of it. Faults that go
//! with every observation are ranked by how much of it they explain, then by how common they are, then by
//! how little it takes; and the slot is found whose move tells them apart best ([`Test`]).

mod adopt;
mod ask;
mod boundary;
pub mod change;
mod evidence;
pub mod fault;
pub mod log;
pub mod look;
pub mod seen;
mod sense;
mod suspect;
pub mod test;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use change::{Change, Changes};
pub use fault::{Fault, Kind};
pub use log::{LogLine, parse_log};
pub use look::{Hue, Look, Sight, Way};
pub use seen::{Happened, Observation, Seen};
pub use sense::{Fit, HeadFits, Silence};
pub use test::{Outcome, Step, Test, walked};

use crate::decode::{CompiledMode, Plan};
use crate::rig::Fixture;
use crate::wire::{Frames, Slot};
use seen::goes_with;
use suspect::{Modes, Suspect};

/// A rig, the frames that were sent to it one after the other, and what was seen.
#[derive(Clone, Debug)]
pub struct Case<'a> {
    /// The fixtures.
    pub rig: &'a [Fixture],
    /// The same, compiled.
    pub plan: &'a Plan,
    /// What was sent, oldest first: all that was held of every universe.
    pub frames: Vec<Frames>,
    /// What was seen.
    pub seen: Vec<Observation>,
}

/// Something that may be wrong, with what speaks for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// The head that it concerns, as a place in the rig. `None`: every head.
    pub place: Option<usize>,
    /// What may be wrong.
    pub fault: Fault,
    /// The same in words.
    pub words: String,
    /// What is the same in everything that can be seen, in words: no test tells these apart.
    pub same: Vec<(Option<usize>, Fault)>,
    /// It ranks no higher or lower than the one before it.
    pub tied: bool,
    /// The observations that it explains, as places among those of the case.
    pub explains: Vec<usize>,
    /// The observations that it contradicts.
    pub contradicts: Vec<usize>,
    /// The observations of which it says nothing.
    pub silent: Vec<usize>,
    /// The slots, values and ranges by which it explains them, in words.
    pub evidence: Vec<String>,
    /// How common it is, against others.
    pub weight: f64,
}

/// What may be wrong.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Explained {
    /// What goes with everything that was seen, likeliest first.
    pub rows: Vec<Ranked>,
    /// What explains some of it and contradicts the rest, nearest first.
    pub others: Vec<Ranked>,
    /// The test that tells the rows apart best. `None` where no safe move of one slot does.
    pub test: Option<Test>,
}

/// How many explanations are told apart by tests, and how many that contradict something are kept.
const LEADING: usize = 120;
const OTHERS: usize = 8;

impl<'a> Case<'a> {
    /// A case of which nothing was seen yet.
    pub fn new(rig: &'a [Fixture], plan: &'a Plan, frames: Vec<Frames>) -> Self {
        Self { rig, plan, frames, seen: Vec::new() }
    }

    /// The compiled mode of the head at a place in the rig.
    pub fn mode(&self, place: usize) -> Option<&'a Arc<CompiledMode>> {
        self.plan.fixtures().get(place)?.mode.as_ref()
    }

    /// A frame in words: `frame 1`.
    pub fn frame_words(&self, frame: usize) -> String {
        format!("frame {}", frame + 1)
    }

    /// Adds the answer to a test: what was seen to change, and of a walk at which slot. Of a slot that was
    /// set the frame is added too.
    pub fn answer(&mut self, test: &Test, at: Option<Slot>, changes: Changes) {
        let Some(mut frames) = self.frames.last().cloned() else { return };
        let before = self.frames.len() - 1;
        let seen = match &test.step {
            Step::Set { slot, to, .. } => {
                frames.set(test.universe, *slot, *to);
                self.frames.push(frames);
                Seen::From { before, after: before + 1, happened: Happened::Just(changes) }
            }
            Step::Walk { slots } => Seen::Walked {
                frame: before,
                universe: test.universe,
                slots: slots.clone(),
                found: at.map(|slot| (slot, changes)),
            },
        };
        self.seen.push(Observation { place: test.place, seen });
    }

    /// Two observations of one head that no head can show together, as places among those of the case: dark and
    /// lit while the same was sent.
    pub fn at_odds(&self) -> Option<(usize, usize)> {
        // Each head over each frame once: whether it was lit, and who said so.
        let mut known: Vec<(usize, &Frames, bool, usize)> = Vec::new();
        for (nth, observation) in self.seen.iter().enumerate() {
            let Seen::At { frame, sight } = &observation.seen else { continue };
            let (Some(lit), Some(sent)) = (sight.lit(), self.frames.get(*frame)) else { continue };
            let place = observation.place;
            match known.iter().find(|(of, over, ..)| *of == place && *over == sent) {
                Some((.., before, first)) if *before != lit => return Some((*first, nth)),
                Some(_) => {}
                None => known.push((place, sent, lit, nth)),
            }
        }
        None
    }

    /// How many frames there were before the first test.
    fn before_tests(&self) -> usize {
        let firsts = self.seen.iter().filter_map(|observation| match &observation.seen {
            Seen::From { after, happened: Happened::Just(_), .. } => Some(*after),
            _ => None,
        });
        firsts.min().unwrap_or(self.frames.len())
    }
}

/// An explanation while it is looked at: the heads as they would be.
struct Candidate {
    place: Option<usize>,
    fault: Fault,
    /// How common it is, against others: that of its kind, shared among all of the kind.
    weight: f64,
    /// The heads it concerns, by their place in the rig.
    heads: BTreeMap<usize, Suspect>,
    explains: Vec<usize>,
    contradicts: Vec<usize>,
    silent: Vec<usize>,
}

/// Says what may be wrong, and which test tells more.
pub fn explain(case: &Case<'_>) -> Explained {
    let mut places: Vec<usize> = case.seen.iter().map(|observation| observation.place).collect();
    places.sort_unstable();
    places.dedup();
    if places.is_empty() || case.frames.is_empty() {
        return Explained::default();
    }
    let mut modes = Modes::new();
    let mut intact = BTreeMap::new();
    for place in &places {
        if let Some(head) = Suspect::new(case, &mut modes, *place, &Fault::Nothing) {
            intact.insert(*place, head);
        }
    }
    let wire = fault::of_wire(case, &places).into_iter().map(|fault| (None, fault));
    let of_heads = places.iter().flat_map(|place| {
        fault::of_head(case, *place).into_iter().map(move |fault| (Some(*place), fault))
    });
    let mut all = Vec::new();
    for (place, fault) in wire.chain(of_heads) {
        if let Some(candidate) = judge(case, &mut modes, &mut intact, &places, place, fault) {
            all.push(candidate);
        }
    }
    if let Some((first, second)) = case.at_odds() {
        // Whatever a fault makes of the frame, it makes it both times: silence on both is no way out.
        for candidate in &mut all {
            let said = |of: &[usize]| of.contains(&first) || of.contains(&second);
            if !said(&candidate.contradicts) {
                candidate.silent.retain(|nth| *nth != second);
                candidate.contradicts.push(second);
            }
        }
    }
    weigh(&mut all);
    all.sort_by(|a, b| {
        let key = |c: &Candidate| (c.contradicts.len(), usize::MAX - c.explains.len());
        key(a).cmp(&key(b)).then(b.weight.total_cmp(&a.weight))
    });
    drop_farther_boundaries(&mut all);
    let found = all.iter().position(|c| !c.contradicts.is_empty()).unwrap_or(all.len());
    let rest = all.split_off(found);
    all.truncate(LEADING);
    // What says nothing of anything that was seen explains nothing.
    if all.iter().all(|candidate| candidate.explains.is_empty()) {
        all.clear();
    }
    let (groups, test) = ask::tell_apart(case, &mut modes, &mut intact, &mut all);
    let rows = evidence::rows(case, &mut intact, &mut all, &groups);
    // With nothing wrong there is nothing to explain, so this is no near miss either.
    let mut near: Vec<Candidate> = rest.into_iter().filter(|c| c.fault != Fault::Nothing).collect();
    near.retain(|candidate| !candidate.explains.is_empty());
    near.truncate(OTHERS);
    let alone: Vec<Vec<usize>> = (0..near.len()).map(|i| vec![i]).collect();
    let others = evidence::rows(case, &mut intact, &mut near, &alone);
    Explained { rows, others, test }
}

/// Builds a fault into the heads that it concerns, and looks which observations it goes with.
fn judge(
    case: &Case<'_>,
    modes: &mut Modes,
    intact: &mut BTreeMap<usize, Suspect>,
    places: &[usize],
    place: Option<usize>,
    fault: Fault,
) -> Option<Candidate> {
    let mut heads = BTreeMap::new();
    let concerned = match place.as_ref() {
        Some(one) => std::slice::from_ref(one),
        None => places,
    };
    for place in concerned {
        heads.insert(*place, Suspect::new(case, modes, *place, &fault)?);
    }
    let mut candidate = Candidate {
        place,
        fault,
        weight: 0.0,
        heads,
        explains: Vec::new(),
        contradicts: Vec::new(),
        silent: Vec::new(),
    };
    for (i, observation) in case.seen.iter().enumerate() {
        let Some(as_asked) = intact.get_mut(&observation.place) else { continue };
        let says = match candidate.heads.get_mut(&observation.place) {
            Some(head) => goes_with(case, &candidate.fault, head, as_asked, &observation.seen),
            None => {
                // Another head is at fault, so this one does as it is asked.
                let mut other = Suspect::new(case, modes, observation.place, &Fault::Nothing)?;
                goes_with(case, &Fault::Nothing, as_asked, &mut other, &observation.seen)
            }
        };
        match says {
            Some(true) => candidate.explains.push(i),
            Some(false) => candidate.contradicts.push(i),
            None => candidate.silent.push(i),
        }
    }
    Some(candidate)
}

/// Shares the weight of each kind among all of that kind that were thought of: that there are many heads
/// whose address it might have makes none of them likelier.
fn weigh(all: &mut [Candidate]) {
    let mut totals: BTreeMap<Kind, f64> = BTreeMap::new();
    for candidate in all.iter() {
        *totals.entry(candidate.fault.kind()).or_default() += candidate.fault.share();
    }
    for candidate in all {
        let kind = candidate.fault.kind();
        let total = totals.get(&kind).copied().unwrap_or(1.0);
        candidate.weight = kind.weight() * candidate.fault.share() / total;
    }
}

/// Of shifts of one end of a range the first is kept: it goes with the most, by the least.
fn drop_farther_boundaries(all: &mut Vec<Candidate>) {
    let mut known: Vec<(Option<usize>, usize, (usize, usize))> = Vec::new();
    all.retain(|candidate| match &candidate.fault {
        Fault::Boundary { channel, ranges, .. } => {
            let end = (candidate.place, *channel, *ranges);
            let new = !known.contains(&end);
            known.push(end);
            new
        }
        _ => true,
    });
}
