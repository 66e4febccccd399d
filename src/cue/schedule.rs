//! When each cue of a list starts, if the list is run straight through.

use super::compiled::Compiled;
use super::model::Next;

/// How long a cue stands in a rehearsal where it does not say, once all of it has faded, in seconds.
pub const STANDS_S: f64 = 3.0;

/// How often an endless loop is run in a rehearsal.
const PASSES: u32 = 2;

/// The most starts of cues in a rehearsal; loops within loops can be many.
pub(super) const MOST_STARTS: usize = 100_000;

/// A cue that starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// When, in seconds.
    pub at_s: f64,
    /// The cue, as a place in its list.
    pub cue: usize,
}

/// Goes from cue to cue, and through loops.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Walk {
    /// How often each loop was run to its end.
    passes: Vec<u32>,
}

impl Walk {
    /// The cue after `at` (the first one after `None`). An endless loop ends after `endless` passes.
    pub(super) fn next(
        &mut self,
        list: &Compiled,
        at: Option<usize>,
        endless: Option<u32>,
    ) -> Option<usize> {
        let Some(at) = at else { return (!list.cues.is_empty()).then_some(0) };
        self.passes.resize(list.loops.len(), 0);
        for (passed, (from, to, passes)) in self.passes.iter_mut().zip(&list.loops) {
            if *to != at {
                continue;
            }
            *passed += 1;
            if passes.or(endless).is_none_or(|passes| *passed < passes) {
                return Some(*from);
            }
            // Whoever comes by again later runs it anew.
            *passed = 0;
        }
        (at + 1 < list.cues.len()).then_some(at + 1)
    }
}

/// When every cue of a list starts that is begun at `start_s` and run straight through: a cue that waits
/// for somebody comes once the one before it has faded and stood ([`STANDS_S`] where it does not say).
pub fn schedule(list: &Compiled, start_s: f64) -> Vec<Start> {
    let (mut starts, mut walk, mut at_s) = (Vec::new(), Walk::default(), start_s);
    let mut cue = walk.next(list, None, Some(PASSES));
    while let Some(place) = cue.filter(|_| starts.len() < MOST_STARTS) {
        starts.push(Start { at_s, cue: place });
        let of = &list.cues[place];
        at_s += match of.next {
            Next::Go => of.takes_s + of.stands_s.unwrap_or(STANDS_S),
            Next::Follow(s) => of.takes_s + s,
            Next::Wait(s) => s,
        };
        cue = walk.next(list, Some(place), Some(PASSES));
    }
    starts
}

/// When everything of a straight run has ended: the last cue has faded and stood.
pub fn end_s(list: &Compiled, starts: &[Start]) -> f64 {
    let ends = starts.iter().map(|start| {
        let cue = &list.cues[start.cue];
        start.at_s + cue.takes_s + cue.stands_s.unwrap_or(STANDS_S)
    });
    ends.fold(0.0, f64::max)
}
