//! Conditions on slots, channels and states: when are they true?
//!
//! A condition is typed as people say it, `fixture 3 lit while moving`, and read (`read.rs`, which holds the
//! grammar) into a tree, resolved against the rig (`resolve.rs`) and laid out flat (`program.rs`). Over timed
//! frames or cue lists only the heads that it is about are played, through the same pipeline as the stage's, and
//! it is worked out at every packet in which anything of these may differ (`line.rs`). Times are those of
//! packets: between two of them nothing is looked at.

mod complete;
mod eval;
mod line;
mod live;
mod program;
mod read;
mod resolve;
mod token;
mod tree;
mod words;

use crate::decode::Plan;
use crate::rig::Rig;
use crate::show::Show;
use crate::stage::Room;
use crate::wire::{SLOTS, Universe};

pub use self::complete::{Completion, complete};
pub use self::eval::Moment;
use self::line::Bears;
pub use self::line::MOST_SPANS;
pub use self::live::Live;
use self::program::{Look, Program};
pub use self::token::{LONGEST, Mistake};

/// The least light, as a share of full, at which a head is called lit.
pub const LIT: f64 = 0.005;

/// A span of time in which a condition was true.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// The packet with which it became true, in seconds.
    pub from_s: f64,
    /// The packet with which it was no longer, in seconds; the end of what was played where it was still.
    pub to_s: f64,
    /// What made it true as it began, in words.
    pub values: Vec<String>,
}

/// All times at which a condition was true.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The spans in order of time, the first [`MOST_SPANS`] of them.
    pub spans: Vec<Span>,
    /// How many there are.
    pub count: usize,
    /// The end of what was played, in seconds.
    pub end_s: f64,
}

/// How far it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// What was played, in seconds.
    pub done_s: f64,
    /// All there is.
    pub of_s: f64,
}

/// A condition, made ready for a show.
#[derive(Debug)]
pub struct Watch {
    program: Program,
    /// The fixtures that are played, as places in the show's rig in rising order: those that the condition is
    /// about, and those that these share slots with or may follow.
    company: Vec<usize>,
    plan: Plan,
    rig: Rig,
    room: Room,
    /// The heads of the program, as places in `rig`.
    places: Vec<usize>,
    bears: Vec<Bears>,
    has_time: bool,
    /// A leaf depends on what heads do, and not only on what they are asked.
    has_motion: bool,
}

impl Watch {
    /// Reads a condition and makes it ready for a show. `plan` must be of this show's rig.
    ///
    /// # Errors
    ///
    /// The text means nothing, or not for this rig: where, what was found, and what would be right.
    pub fn new(text: &str, show: &Show, plan: &Plan) -> Result<Self, Mistake> {
        let expr = read::read(text)?;
        let program = resolve::resolve(&expr, &show.rig, plan)?;
        let companies = super::rehearse::company::companies(plan);
        let mut company: Vec<usize> = Vec::new();
        for head in &program.heads {
            company.extend(companies.get(*head).map_or(&[][..], Vec::as_slice));
        }
        for leaf in &program.leaves {
            // Whoever owns a slot that is looked at drives it in a cue list.
            if let Look::Slot(universe, slot) = leaf.look {
                let owners = plan.owners(universe, slot).into_iter();
                company.extend(owners.flat_map(|owner| companies[owner.fixture].iter().copied()));
            }
        }
        company.sort_unstable();
        company.dedup();
        let planned = company.iter().filter_map(|place| plan.fixtures().get(*place));
        let own = Plan::from_modes(planned.map(|of| (of.mode.clone(), of.address)));
        let places: Vec<usize> =
            program.heads.iter().filter_map(|head| company.binary_search(head).ok()).collect();
        let looks = || program.leaves.iter().map(|leaf| &leaf.look);
        Ok(Self {
            has_time: program.has_time(),
            has_motion: looks().any(|look| matches!(look, Look::State(_) | Look::Quantity(_))),
            bears: bears(&program, plan, &companies),
            rig: company.iter().filter_map(|place| show.rig.get(*place).cloned()).collect(),
            room: show.room.clone(),
            plan: own,
            company,
            places,
            program,
        })
    }

    /// What the slots of a universe bear upon.
    fn bears(&self, universe: Universe) -> Option<&Bears> {
        self.bears.iter().find(|bears| bears.universe == universe)
    }
}

/// What every slot bears upon: a head, if it or one of those that it may follow owns it.
fn bears(program: &Program, plan: &Plan, companies: &[Vec<usize>]) -> Vec<Bears> {
    let mut all: Vec<Bears> = Vec::new();
    for (nth, head) in program.heads.iter().enumerate() {
        for place in companies.get(*head).map_or(&[][..], Vec::as_slice) {
            let Some(fixture) = plan.fixtures().get(*place) else { continue };
            let (Some(mode), Some(address)) = (&fixture.mode, fixture.address) else { continue };
            let of = bears_of(&mut all, address.universe);
            for offset in 1..=mode.footprint {
                let Some(slot) = address.slot_at(offset) else { break };
                let heads = &mut of.heads[slot.index()];
                let nth = nth as u32;
                if heads.last() != Some(&nth) {
                    heads.push(nth);
                }
            }
        }
    }
    for leaf in &program.leaves {
        if let Look::Slot(universe, slot) = leaf.look {
            bears_of(&mut all, universe).is_leaf[slot.index()] = true;
        }
    }
    all
}

fn bears_of(all: &mut Vec<Bears>, universe: Universe) -> &mut Bears {
    let known = all.iter().position(|bears| bears.universe == universe);
    let place = known.unwrap_or_else(|| {
        let (heads, is_leaf) = (vec![Vec::new(); SLOTS], vec![false; SLOTS]);
        all.push(Bears { universe, heads, is_leaf });
        all.len() - 1
    });
    &mut all[place]
}
