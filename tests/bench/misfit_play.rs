//! Misfits played to their end: the tests that are asked for are made on the faulty rig.

use slotwright::check::misfit::{Case, Changes, Explained, Fault, Kind, Step, explain, walked};
use slotwright::wire::Slot;

use super::{Dice, build, fault, observe, venue};

/// How a misfit was played to its end.
#[derive(Clone, Debug)]
pub struct Played {
    /// The true fault ranks first, alone or with what is the same in all that can be seen.
    pub first: bool,
    /// How many tests were made.
    pub tests: usize,
    /// How many before it ranked first for good.
    pub tests_to_first: usize,
    /// What ranks first contradicts something.
    pub contradicts: bool,
    /// How long the first answer took, in seconds.
    pub first_s: f64,
    /// What was wrong, and what ranks first, in words.
    pub words: String,
}

/// More tests than anybody makes.
const MOST_TESTS: usize = 8;

fn names(explained: &Explained, place: usize, truth: &Fault) -> bool {
    let Some(row) = explained.rows.first() else { return false };
    let concerns = (!truth.is_everywhere()).then_some(place);
    let same = |at: Option<usize>, fault: &Fault| match (fault, truth) {
        (
            Fault::Boundary { channel: a, ranges: x, .. },
            Fault::Boundary { channel: b, ranges: y, .. },
        ) => at == concerns && a == b && x == y,
        _ => at == concerns && fault == truth,
    };
    same(row.place, &row.fault) || row.same.iter().any(|(at, fault)| same(*at, fault))
}

/// Injects a fault of a kind into a rig of `heads` heads, and asks and answers until no test tells more.
/// `None` where such a fault cannot be had or seen there.
pub fn play(seed: u64, kind: Kind, heads: usize) -> Option<Played> {
    let mut dice = Dice::new(seed);
    let mut venue = venue(&mut dice, heads);
    let truth = fault(&mut dice, &mut venue, kind)?;
    let faulty = build(&venue, &truth)?;
    let seen = observe(&mut dice, &venue, &faulty)?;
    let mut case = Case::new(&venue.rig, &venue.plan, venue.frames.clone());
    case.seen = seen;
    let started = std::time::Instant::now();
    let mut explained = explain(&case);
    let first_s = started.elapsed().as_secs_f64();
    let bad = |explained: &Explained| {
        explained.rows.first().is_some_and(|row| !row.contradicts.is_empty())
    };
    let (mut tests, mut tests_to_first, mut contradicts) = (0, 0, bad(&explained));
    while tests < MOST_TESTS {
        let Some(test) = explained.test.clone() else { break };
        let place = test.place;
        let set = |slot: Slot, to: u8| -> Option<Changes> {
            let mut then = case.frames.clone();
            let before = faulty.look(&then, place);
            let mut moved = then.last()?.clone();
            moved.set(test.universe, slot, to);
            then.push(moved);
            let after = faulty.look(&then, place);
            Some(before.zip(after).map_or(Changes::NOTHING, |(a, b)| Changes::between(&a, &b)))
        };
        let (at, changes) = match &test.step {
            Step::Set { slot, to, .. } => (None, set(*slot, *to)?),
            Step::Walk { slots } => {
                let value = |slot: &Slot| case.frames.last()?.state(test.universe, *slot).value();
                let found = slots.iter().find_map(|slot| {
                    let changes = set(*slot, walked(value(slot).unwrap_or(0)))?;
                    (changes != Changes::NOTHING).then_some((Some(*slot), changes))
                });
                found.unwrap_or((None, Changes::NOTHING))
            }
        };
        case.answer(&test, at, changes);
        tests += 1;
        explained = explain(&case);
        contradicts |= bad(&explained);
        if !names(&explained, venue.place, &truth) {
            tests_to_first = tests + 1;
        }
    }
    let first = names(&explained, venue.place, &truth);
    let top = explained.rows.first().map_or_else(String::new, |row| row.words.clone());
    let words = format!("{truth:?}: {top}");
    Some(Played { first, tests, tests_to_first, contradicts, first_s, words })
}
