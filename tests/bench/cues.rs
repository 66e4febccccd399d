//! How fast cue lists are resolved, run and scrubbed.
//!
//! The show is a long evening (`evening.rs`): 200 heads over 8 universes, 300 cues, two hours. `compile` resolves
//! the list; `run` goes through all its packets that change anything, without heads; `scrub` goes to any
//! instant of it, heads and all, after it was played ahead once. Its floor is printed beside it: what stepping
//! 200 heads through one packet takes.

#[path = "evening.rs"]
mod evening;

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use criterion::{Criterion, criterion_group, criterion_main};
use slotwright::cue::{Compiled, Course, Run, Scrub, Tracks};
use slotwright::decode::Plan;

/// Instants that are gone to, all over the evening.
const SEEKS: u32 = 1000;

fn cues(c: &mut Criterion) {
    let show = evening::show();
    let plan = Plan::new(&show.rig, &show.profiles);
    let tracks = Arc::new(Tracks::new(&plan));
    let compile = || Arc::new(Compiled::new(&show.cues, 0, &show.rig, &plan, &tracks));
    let mut group = c.benchmark_group("cues");
    group.sample_size(10);
    group.bench_function("compile/300 cues, 200 heads", |b| b.iter(|| black_box(compile())));
    let list = compile();
    assert!(list.unresolved.is_empty(), "{:?}", list.unresolved.first());
    let run = Arc::new(Run::new(tracks.clone(), vec![list]));
    assert!(run.end_s() > evening::LASTS_S - 60.0);
    let mut packets = 0u64;
    group.bench_function("run/every packet that changes anything", |b| {
        b.iter(|| {
            let mut course = Course::new(run.clone());
            packets = 0;
            while let Some(packet) = course.next_packet() {
                course.step(packet);
                packets += 1;
            }
        });
    });
    group.finish();
    println!("packets that change anything: {packets}");
    scrub(&run, &show, &plan);
}

/// Plays the evening ahead and goes to instants all over it, each timed once.
fn scrub(run: &Arc<Run>, show: &slotwright::show::Show, plan: &Plan) {
    let mut scrub = Scrub::new(run.clone(), &show.rig, plan);
    let start = Instant::now();
    let mut played = 0u32;
    while scrub.prepare(plan, 1000) {
        played += 1000;
    }
    let ahead_s = start.elapsed().as_secs_f64();
    println!(
        "scrub: played ahead in {ahead_s:.2} s, {:.1} us a packet",
        ahead_s / f64::from(played) * 1e6
    );
    let mut took: Vec<f64> = (0..SEEKS)
        .map(|nth| {
            // A golden section step (from memory) spreads instants evenly in no order.
            let t_s = (f64::from(nth) * 0.618_033_988_75).fract() * run.end_s();
            let start = Instant::now();
            scrub.seek(plan, t_s);
            black_box(scrub.poses());
            start.elapsed().as_secs_f64()
        })
        .collect();
    took.sort_by(f64::total_cmp);
    let mean = took.iter().sum::<f64>() / took.len() as f64;
    let at = |share: f64| took[((took.len() - 1) as f64 * share) as usize] * 1e3;
    println!(
        "scrub: {SEEKS} seeks: mean {:.2} ms, half under {:.2}, 99 of 100 under {:.2}, worst {:.2}",
        mean * 1e3,
        at(0.5),
        at(0.99),
        at(1.0)
    );
}

criterion_group!(benches, cues);
criterion_main!(benches);
