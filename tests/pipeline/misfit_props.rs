//! Faults of every kind, injected into rigs at random: the true one ranks first once the tests that are
//! asked for were made, and nothing that contradicts what was seen ever does.

#[path = "../bench/misfit_rigs.rs"]
mod misfit_rigs;

use misfit_rigs::{KINDS, play};

#[test]
fn the_true_fault_ranks_first_after_the_tests() {
    let (mut all, mut missed) = (0, Vec::new());
    let mut tests = Vec::new();
    for (nth, kind) in KINDS.into_iter().enumerate() {
        let seeds = (0..60).map(|seed| seed * 64 + nth as u64);
        let played = seeds.filter_map(|seed| play(seed, kind, 10 + seed as usize % 4)).take(1);
        for one in played {
            assert!(!one.contradicts, "a contradiction ranks first: {}", one.words);
            all += 1;
            tests.push(one.tests);
            if !one.first {
                missed.push(one.words);
            }
        }
    }
    tests.sort_unstable();
    assert!(all >= KINDS.len(), "only {all} faults could be seen");
    assert!(missed.len() * 10 <= all, "{} of {all} missed: {missed:#?}", missed.len());
    assert!(tests[tests.len() / 2] <= 3, "{tests:?}");
}
