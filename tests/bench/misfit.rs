//! How well and how fast misfits are explained: faults of every kind in rigs at random, with tests asked
//! and answered until no test tells more.

#[path = "misfit_rigs.rs"]
mod misfit_rigs;

use misfit_rigs::{KINDS, play};
use slotwright::check::misfit::Kind;

/// Misfits a kind where no argument says, and rigs that are tried for them.
const EACH: usize = 40;
const TRIES: u64 = 400;

fn median(mut numbers: Vec<usize>) -> usize {
    numbers.sort_unstable();
    numbers.get(numbers.len() / 2).copied().unwrap_or(0)
}

fn main() {
    let verbose = std::env::args().any(|argument| argument == "--words");
    let each = std::env::args().find_map(|argument| argument.strip_prefix("--each=")?.parse().ok());
    let each: usize = each.unwrap_or(EACH);
    let kinds = KINDS.into_iter().chain([Kind::SignalLost]);
    let (mut all, mut slowest_s) = (Vec::new(), 0.0f64);
    for (nth, kind) in kinds.enumerate() {
        let seeds = (0..TRIES).map(|seed| seed * 64 + nth as u64);
        let played: Vec<_> =
            seeds.filter_map(|seed| play(seed, kind, 10 + seed as usize % 51)).take(each).collect();
        let first = played.iter().filter(|one| one.first).count();
        let contradicts = played.iter().filter(|one| one.contradicts).count();
        let tests = median(played.iter().map(|one| one.tests).collect());
        let until = median(played.iter().map(|one| one.tests_to_first).collect());
        println!(
            "misfit/{:<14} first {first:>3} of {:>3}, tests {tests} (first from {until}), contradictions first {contradicts}",
            format!("{kind:?}"),
            played.len(),
        );
        if verbose {
            for one in played.iter().filter(|one| one.first_s > 0.2) {
                println!("    {:.0} ms: {}", one.first_s * 1e3, one.words);
            }
            for one in played.iter().filter(|one| !one.first) {
                println!("    {} tests: {}", one.tests, one.words);
            }
        }
        all.extend(played);
    }
    for one in &all {
        slowest_s = slowest_s.max(one.first_s);
    }
    let first = all.iter().filter(|one| one.first).count();
    let share = 100.0 * first as f64 / all.len().max(1) as f64;
    let tests = median(all.iter().map(|one| one.tests).collect());
    println!("misfit/all: first {share:.1} % of {}, median tests {tests}", all.len());
    let sixty: Vec<_> =
        (0..40).filter_map(|seed| play(seed, KINDS[seed as usize % 15], 60)).collect();
    let sixty_s = sixty.iter().map(|one| one.first_s).fold(0.0, f64::max);
    println!(
        "misfit/slowest answer: {:.1} ms; of 60 heads: {:.1} ms",
        slowest_s * 1e3,
        sixty_s * 1e3
    );
}
